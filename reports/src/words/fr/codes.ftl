# Mots des listes fermées du dossier. Un message par mot : <liste>-<clé>.

newer-word = un mot d’une version plus récente

# Role
role-technician = technicien
role-supervisor = responsable
role-office = bureau
role-customer = contact du client

# Training
training-live = essais électriques sous tension
training-lift = nacelle
training-roof = toiture
training-closed_space = espaces clos

# Channel
channel-in_person = de vive voix
channel-in_writing = par écrit
channel-in_person_and_writing = de vive voix et par écrit
channel-by_phone = par téléphone
channel-on_report = sur le rapport
channel-in_person_and_report = de vive voix et sur le rapport

# Decision
decision-open = à prendre
decision-accepted = acceptée
decision-declined = refusée
decision-deferred = reportée

# LabourKind
labour_kind-on_site = sur place
labour_kind-travel = trajet
labour_kind-office = bureau
labour_kind-fetching = recherche de pièces

# Quantity
quantity-inlet_static = pression d’entrée, sans débit
quantity-inlet_flowing = pression d’entrée, en marche
quantity-inlet_all_on = pression d’entrée, tous appareils en marche
quantity-lockup = pression d’entrée après arrêt rapide
quantity-manifold_high = pression au collecteur, plein feu
quantity-manifold_low = pression au collecteur, petit feu
quantity-manifold_off = pression au collecteur, vanne fermée
quantity-meter_time = compteur, durée d’un tour du cadran
quantity-pilot_pressure = pression à la veilleuse
quantity-draft_differential = différentiel de tirage au pressostat
quantity-vent_static = pression statique du conduit
quantity-draft_hood = tirage à la sortie du coupe-tirage
quantity-overfire_draft = tirage dans la chambre
quantity-building_dp = bâtiment par rapport à l’extérieur
quantity-flue_o2 = O2 des fumées
quantity-flue_co2 = CO2 des fumées
quantity-flue_co = CO des fumées
quantity-stack_temp = température des fumées
quantity-combustion_air_temp = température de l’air de combustion
quantity-ambient_co = CO du local
quantity-ambient_lel = gaz combustible aux joints
quantity-air_in = air à l’entrée
quantity-air_out = air à la sortie
quantity-external_static = pression statique externe
quantity-profile_differential = différentiel au profil du brûleur
quantity-air_switch_dp = différentiel au contrôle d’air
quantity-fan_amps = courant du ventilateur
quantity-fan_rpm = vitesse du ventilateur
quantity-line_volts = tension du réseau
quantity-control_volts = tension de commande, en charge
quantity-neutral_ground_volts = neutre à la terre
quantity-rod_to_ground = électrode de flamme à la terre, fil débranché
quantity-contact_drop = chute de tension au contact fermé
quantity-valve_coil_ohms = bobine de vanne
quantity-igniter_ohms = allumeur, à froid
quantity-igniter_amps = courant de l’allumeur
quantity-flame_current = courant de flamme
quantity-flame_volts = signal de flamme à la prise du relais
quantity-thermocouple_open = thermocouple, à vide
quantity-thermocouple_loaded = thermocouple, en charge
quantity-dropout_mv = lâcher de l’électroaimant
quantity-thermopile_mv = thermopile
quantity-prepurge_s = prépurge
quantity-trial_s = durée de l’essai d’allumage
quantity-flame_fail_s = réponse à la perte de flamme
quantity-postpurge_s = postpurge
quantity-fan_on_s = retard de mise en marche du ventilateur
quantity-fan_off_s = retard d’arrêt du ventilateur
quantity-limit_trip_temp = limiteur, ouvre à
quantity-orifice_bore = alésage du gicleur
quantity-burner_hours = heures de marche du brûleur
quantity-cycles = cycles
quantity-lockout_count = verrouillages depuis la dernière visite
quantity-water_supply = départ d’eau
quantity-water_return = retour d’eau
quantity-system_pressure = pression du circuit
quantity-relief_rating = tarage de la soupape
quantity-condensate_ph = condensat, après neutralisation
quantity-tube_surface = surface du tube
quantity-tube_vacuum = dépression du tube
quantity-outdoor_temp = température extérieure
quantity-wind = vent
quantity-baro = baromètre
quantity-space_temp = température du local
quantity-co_discharge_added = CO ajouté au soufflage

# Phase
phase-as_found = trouvé
phase-in_work = en cours de travail
phase-as_left = laissé
phase-baseline = référence
phase-spot = ponctuel

# Stage
stage-off = arrêt
stage-pilot = veilleuse seule
stage-low = petit feu
stage-high = plein feu
stage-between = entre petit et plein feu
stage-high_called_stays_low = plein feu demandé, reste au petit feu
stage-trial = essai d’allumage

# Running
running-off = à l’arrêt
running-on = en marche
running-some_on = en partie en marche
running-none = sans

# Method
method-measured = mesuré
method-instrument_calculated = calculé par l’instrument
method-from_printout = repris d’une impression
method-read_from_gauge = lu sur un manomètre fixe

# Status
status-in_service = en service
status-in_service_part_awaited = en service, pièce attendue
status-watch = à surveiller
status-shut_down_tagged = mis hors service, étiqueté
status-control_locked_out = arrêté par sa commande
status-removed = déposé
status-unknown = inconnu

# AdvisorySeverity
advisory_severity-note = note
advisory_severity-advise = conseil
advisory_severity-urgent = urgent
advisory_severity-shut_down = mise hors service

# Gas
gas-natural = gaz naturel
gas-lp = propane (GPL)
gas-other_gas = un autre gaz
gas-both = gaz naturel et propane (GPL)
gas-not_known = inconnu

# GasPartKind
gas_part_kind-main_orifice = gicleur principal
gas_part_kind-pilot_orifice = gicleur de veilleuse
gas_part_kind-regulator_spring = ressort du régulateur
gas_part_kind-valve = vanne de gaz
gas_part_kind-air_shutter = volet d’air ou pièce du venturi
gas_part_kind-conversion_label = étiquette de conversion
gas_part_kind-flame_control = commande de flamme

# CheckItem
check_item-leak_check = recherche de fuite aux joints ouverts
check_item-test_ports_closed = prises de pression refermées
check_item-flame_failure = perte de flamme
check_item-high_limit = limiteur de température
check_item-rollout = contact de débordement de flamme
check_item-air_proving = contrôle du débit d’air
check_item-spill = refoulement au coupe-tirage
check_item-guards_and_panels = protections et panneaux
check_item-wiring = câblage
check_item-label = étiquettes
check_item-vent_look = conduit, vu de l’extérieur
check_item-condensate = évacuation et siphon du condensat
check_item-relief_valve = soupape, à l’œil
check_item-low_water = sécurité de manque d’eau
check_item-heat_exchanger = échangeur, à l’œil
check_item-clearances = dégagements
check_item-tools_counted = outils comptés, lieu propre
check_item-ambient_smell = odeur à l’entrée, en haut et en bas
check_item-firms_own = point propre à l’entreprise

# CheckResult
check_result-pass = bon
check_result-fail = défaut
check_result-not_done = non fait
check_result-not_applicable = sans objet

# Confidence
confidence-suspected = soupçonné
confidence-likely = probable
confidence-proved = prouvé par la réparation et l’état laissé

# Root
root-area_contaminant = polluant du local
root-installation = installation
root-age = âge
root-misuse = usage
root-not_known = inconnu

# WorkKind
work_kind-cleaned = nettoyé
work_kind-set = réglé
work_kind-replaced = remplacé
work_kind-repaired = réparé
work_kind-isolated = isolé
work_kind-advised = conseillé
work_kind-none = rien fait

# System
system-gas_joint = un joint de gaz ouvert
system-gas_port = une prise de pression de gaz ouverte
system-gas_setting = un réglage de gaz
system-combustion = brûleur, air ou voie des fumées
system-ignition = allumage ou détection de flamme
system-air_side = circuit d’air soufflé
system-controls = commandes et câblage
system-vent = conduit
system-water = circuit d’eau
system-outside = rien de l’appareil

# Outcome
outcome-done = fait
outcome-left_as_found = laissé comme trouvé
outcome-not_reached = non atteint
outcome-in_hand = en cours

# VisitKind
visit_kind-pre_season = entretien d’avant-saison
visit_kind-no_heat = appel pour panne de chauffage
visit_kind-repair = réparation
visit_kind-start_up = première mise en marche
visit_kind-inspection = inspection
visit_kind-follow_up = visite de suivi

# Family
family-isp = veilleuse intermittente à étincelle, extracteur
family-dsi = étincelle directe
family-hsi = allumeur à surface chaude
family-spc = veilleuse permanente, thermocouple
family-pvs = évacuation forcée, contrôle d’air
family-irt = tube infrarouge
family-mua = apport d’air modulant
family-two = générateur de gaine ou toiture à deux allures
family-blr = chaudière à eau chaude

# VentCategory
vent_category-i = I, dépression, sans condensation
vent_category-ii = II, dépression, avec condensation
vent_category-iii = III, surpression, sans condensation
vent_category-iv = IV, surpression, avec condensation
vent_category-unvented = sans conduit ou à chauffe directe

# Mount
mount-hung = suspendu
mount-floor = au sol
mount-roof = en toiture
mount-wall = au mur

# TargetSource
target_source-plate = plaque
target_source-written_answer = réponse écrite du fabricant
target_source-booklet = notice d’installation
target_source-phone_call = fabricant, par téléphone
target_source-firm = réglage de l’entreprise
target_source-baseline = référence propre

# QuestionState
question_state-open = ouverte
question_state-sent = envoyée
question_state-answered = répondue
question_state-withdrawn = retirée

# LockState
lock_state-on = posé
lock_state-off = retiré

# CrewEvent
crew_event-arrived = arrivée
crew_event-left = départ

# InstrumentKind
instrument_kind-flue_gas_analyser = analyseur de combustion
instrument_kind-manometer = manomètre
instrument_kind-multimeter = multimètre, gamme microampère
instrument_kind-air_probe = sonde de température d’air
instrument_kind-gas_detector = détecteur de gaz combustible
instrument_kind-co_monitor = détecteur de CO du local
instrument_kind-infrared_thermometer = thermomètre infrarouge
instrument_kind-clock = chronomètre
instrument_kind-clamp_meter = pince ampèremétrique
instrument_kind-ph_meter = pH-mètre
instrument_kind-pin_gauge = jeu de jauges
instrument_kind-tachometer = tachymètre
