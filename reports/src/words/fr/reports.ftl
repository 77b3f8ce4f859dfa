# Phrases des rapports.

authority = La plaque de l’appareil, le code local et la personne agréée décident. Ce dossier les informe ; il ne décide rien.
foot-reference = Dossier { $reference }. La plaque, le code local et la personne agréée décident.

# En-tête d'une visite

visit-what = { $kind }, { $when }
visit-no_kind = visite
visit-no_day = jour non inscrit
visit-no_site = site non inscrit
visit-no_customer = client non inscrit
visit-no_crew = personne n’est inscrit comme ayant travaillé
visit-crew = Sur place : { $names }
visit-signed = signé par { $person } comme { $role }, { $at }
visit-unsigned = non signé
visit-not_released = pas encore visé par un superviseur

# Colonnes

column-answers = Réponses
column-area = Zone
column-at_visits = Aux visites
column-by_when = Pour quand, et qui décide
column-carry = À emporter
column-check = Contrôle
column-did = Fait
column-figure = Valeur
column-for_causes = Pour
column-for_units = Pour les appareils
column-formula = Formule
column-found = Trouvé
column-from = De
column-governs = Fait foi
column-if_not = Si rien n’est fait
column-last_time = La dernière fois
column-left = Laissé
column-limit = Limite
column-limit_source = Limite et sa source
column-number = N°
column-open = Ouvert
column-part = Pièce
column-phase = Phase
column-photo = Photo
column-quantity = Quantité
column-register = Élément
column-remarks = Remarques
column-said_by = Dit par
column-says = Ce que cela dit
column-source = Source de la limite
column-unit = Appareil
column-used = Utilisé
column-value = Valeur
column-verdict = Verdict
column-visit = Visite
column-what_and_why = Quoi, et pourquoi
column-when = Quand
column-who = Qui
column-why = Pourquoi
column-with = Avec

# La phrase du haut

lead = { $heaters } : { $states }.
lead-heaters =
    { $count ->
        [0] Aucun appareil
        [one] { $count } appareil
       *[other] { $count } appareils
    }
lead-within =
    { $count ->
        [one] { $count } laissé en marche dans les limites inscrites
       *[other] { $count } laissés en marche dans les limites inscrites
    }
lead-not_measured =
    { $count ->
        [one] { $count } en marche, non mesuré en fin de travail ou sans limite à comparer
       *[other] { $count } en marche, non mesurés en fin de travail ou sans limite à comparer
    }
lead-cannot_tell = { $count } avec une valeur dont l’instrument ne peut dire de quel côté de la limite elle est
lead-watch = { $count } à suivre ou en attente d’une pièce
lead-outside = { $count } avec une valeur hors d’une limite inscrite
lead-not_reached =
    { $count ->
        [one] { $count } non atteint ou non ouvert
       *[other] { $count } non atteints ou non ouverts
    }
lead-not_settled = { $count } dont l’état n’est pas tranché
lead-stopped =
    { $count ->
        [one] { $count } arrêté par son propre contrôle
       *[other] { $count } arrêtés par leur propre contrôle
    }
lead-shut_down = { $count } HORS SERVICE
lead-removed =
    { $count ->
        [one] { $count } déposé
       *[other] { $count } déposés
    }
lead-none_shut_down = aucun hors service

# Page du client

customer-title = Vos appareils de chauffage, { $when }
customer-decide = À décider par vous
customer-done = Fait à cette visite
customer-trend = Comment le site évolue
customer-untested = Ce qui n’a pas été testé, et pourquoi
customer-limits = Les limites de cette page viennent de : { $sources }.
customer-no_limits = Aucune valeur de cette page n’a pu être comparée à une limite.
customer-licences = Licences : { $licences }.
customer-record = Dossier { $reference }.
decide-caption = Ce qui attend votre décision
decide-none = Aucun avis n’est ouvert.
decide-no_date = Sans date
decide-was_due = Échu le { $day }
decide-no_photo = pas de photo
decide-nobody_told = Personne chez vous n’est encore inscrit comme averti.
decide-shut_down = { $unit } est hors service. Ne pas l’utiliser.
decide-tagged_by = Étiqueté par { $person }, { $at }.
who-note = Pour votre information
who-advise = Vous décidez
who-urgent = Un superviseur fixe la limite et la date ; vous décidez de la réparation
who-shut_down = Seule une personne agréée peut le remettre en service, après preuve ; là où la règle locale le dit, l’inspecteur ou le distributeur de gaz.
if_not-note = Rien ne devrait changer bientôt.
if_not-advise = Il marche maintenant et cela ne durera pas.
if_not-urgent = Il ne peut marcher que dans la limite et jusqu’à la date dites.
if_not-shut_down = Il reste hors service : le danger touche la vie ou les biens.
done-caption = Trouvé, fait et laissé
done-nothing_found = Rien trouvé
done-nothing_done = Rien d’inscrit comme fait
done-figure = { $name } : { $value }
done-parts = Pièces : { $parts }
done-no_limit = aucune valeur à comparer
done-shut_down = hors service
done-others_within =
    { $count ->
        [one] { $count } autre appareil a été mesuré ; chaque valeur qui a une limite était dedans.
       *[other] { $count } autres appareils ont été mesurés ; chaque valeur qui a une limite était dedans.
    }
done-others_not = Rien n’est inscrit comme trouvé ou fait sur { $units } ; cela ne dit pas que tout y va bien.
trend-caption = La même cause, par zone et par visite
trend-intro = Ce qui est le plus revenu : « { $cause } ». Un point par appareil, sur { $visits } visites.
trend-none = Aucune cause n’est revenue sur le même appareil en { $visits } visites.
trend-first = C’est la première visite au dossier : il n’y a encore rien à comparer.
trend-not_opened = non ouvert
trend-elsewhere = toutes les autres zones
trend-dotted = Point plein : c’est arrivé. Point vide : l’appareil a été ouvert et cela n’a pas été trouvé. Cercle pointillé : non ouvert à cette visite.
untested-nothing = Chaque appareil a été ouvert et chaque preuve de cette liste a été relevée.
untested-no_reason = sans motif inscrit
untested-not_reached = { $unit } non atteint : { $reason }
untested-not_taken = { $unit } : une valeur n’a pas pu être relevée : { $reason }
untested-checks = { $unit } : non fait : { $checks }
untested-count = { $what } : mesuré en fin de travail sur { $done } des { $of } appareils ouverts ; non testé sur { $missing }
untested-named = { $what } : mesuré en fin de travail sur { $done } des { $of } appareils ouverts ; non testé sur { $units }
untested-gas_pressure = Pression de gaz au brûleur
untested-flame = Signal de flamme ou de veilleuse
untested-exhaust = Monoxyde de carbone dans les fumées ou l’air soufflé
untested-meter = Débit de gaz au compteur
signature-supervisor = superviseur
signature-customer = Client
signature-seen = vu
plain_figure-manifold_high = pression de gaz au brûleur
plain_figure-flame_current = signal de flamme
plain_figure-clocked_input = débit de gaz au compteur
plain_figure-co_air_free = monoxyde de carbone des fumées, sans l’air en trop
plain_figure-draft_differential = aspiration du ventilateur de fumées
plain_figure-profile_differential = pression d’air au brûleur
plain_figure-rise = échauffement de l’air
plain_figure-igniter_ohms = résistance de l’allumeur
plain_figure-inlet_flowing = pression de gaz à l’appareil
plain_figure-ambient_co = monoxyde de carbone du local
plain_figure-contact_drop = tension perdue à un contact
plain_figure-thermocouple_loaded = signal de veilleuse
plain_figure-pilot_pressure = pression de gaz à la veilleuse

# Dossier d'une visite

record-title = Dossier de la visite, { $when }
record-shut_down = { $unit } est hors service. Ne pas l’utiliser.
record-shut_down_no_tag = { $unit } a l’état hors service sans fiche en vigueur. Chercher pourquoi avant que quiconque le démarre.
record-blocking = Ce qui empêche la signature
record-nothing_blocks = Rien ne l’empêche.
record-excepted = Admis par un superviseur : { $reason }
record-differences = Ce que deux personnes ont dit différemment
record-differences_none = Rien.
record-outside = Valeurs laissées hors limite, ou trop proches pour trancher
record-outside_none = Aucune parmi les valeurs relevées qui ont une limite.
record-missing = Non mesuré en fin de travail
record-missing_none = Aucun appareil travaillé ne manque de relevés de fin.
record-as_left_missing = { $unit } : travaillé, non mesuré en fin de travail
record-not_opened = { $unit } : non ouvert
record-instruments = Instruments à étalonnage échu
record-instruments_none = Aucun parmi ceux nommés aux relevés.
record-overdue =
    { $count ->
        [one] { $instrument } : échu depuis le { $since }, { $count } relevé
       *[other] { $instrument } : échu depuis le { $since }, { $count } relevés
    }
record-questions = Questions aux fabricants
record-questions_none = Aucune.
record-signed = Signatures, et les valeurs telles que signées
record-units = Appareils
record-rest = Tout le reste
record-problems = Parties que cette version ne sait pas lire
signed-documents =
    { $count ->
        [one] { $count } document
       *[other] { $count } documents
    }
signed-figures =
    { $count ->
        [one] { $count } valeur telle que signée
       *[other] { $count } valeurs telles que signées
    }
signed-without_figures = sans copie des valeurs
signed-no_figures = Aucune signature ne contient de copie des valeurs.
signed-caption = Valeurs telles que signées par { $person }, { $at }
signed-nothing_moved = Chaque valeur est aujourd’hui ce qu’elle était à la signature.
signed-moved = { $unit }, { $figure }, { $phase } : signé { $signed }, maintenant { $now } ({ $why })
signed-gone = rien de calculable
signed-by_formula = une autre formule ou version la calcule maintenant
signed-by_readings = des relevés ou réglages ont changé après la signature
signed-no_limit = sans limite
signed-outside = hors limite
signed-see_words = voir sa phrase

# Un appareil

unit-status = état : { $status }
unit-status_open = son état a deux réponses
unit-outcome = passage : { $outcome }
unit-no_outcome = passage non clos
unit-gas = gaz fourni : { $gas }
unit-gas_open = gaz fourni non tranché
unit-merged = Fusionné avec { $unit } : le même appareil inscrit deux fois.
unit-no_figures = Aucune valeur trouvée ou laissée.
unit-double = inscrit deux fois, compte une fois
unit-symptom = Plainte : { $says } ({ $person })
unit-tested = Essai : { $says } ({ $person })
unit-finding = Trouvé : { $says } ({ $person })
unit-work = Fait : { $says } ({ $person })
unit-part = Pièce : { $says } ({ $person })
unit-gas_part = Pièce de gaz : { $says } ({ $person })
unit-photo = Photo : { $says } ({ $person })
unit-advisory = Avis : { $says } ({ $person })
unit-ack = Averti : { $says } ({ $person })
unit-closing = Avis clos : { $says } ({ $person })
unit-repointed = Inscrit pour { $from }, appartient ici : { $says }
unit-note = Note sur { $subject }
unit-note_writers =
    { $count ->
        [one] ({ $count } personne l’a écrite)
       *[other] ({ $count } personnes l’ont modifiée)
    }
checks-caption = Contrôles
check-answer = { $person } : { $result }, { $at }
entries-caption = Chaque inscription, dans l’ordre où elle a été connue
plate-caption = Registres de l’appareil, avec qui les a dits
plate-none = Aucune plaque inscrite.
plate-said_by = { $person }, { $at }
plate-two_answers = deux réponses, non tranché

# Dossier d'un appareil

dossier-title = Toutes les preuves pour { $unit }
dossier-what = Toutes les preuves pour { $unit }
dossier-lead =
    { $visits ->
        [one] { $unit } : { $visits } visite au dossier. État actuel : { $status }.
       *[other] { $unit } : { $visits } visites au dossier. État actuel : { $status }.
    }
dossier-plate = Plaque et appareil
dossier-targets = Valeurs visées
dossier-targets_none = Aucune valeur visée inscrite à côté de la plaque.
dossier-charts = Relevés au fil des visites
dossier-charts_none = Aucune valeur n’a été relevée à deux visites : il n’y a encore rien à tracer.
dossier-own = Inscriptions du document de l’appareil
dossier-foot = Toutes les preuves pour { $unit }. La plaque, le code local et la personne agréée décident.
dossier-no_area = zone non inscrite
dossier-no_make = fabricant et modèle non inscrits

# Question à un fabricant

question-title = Question à un fabricant, { $unit }
question-what = Question au fabricant
question-what_to = Question à
question-asked_by = Posée par { $person }, { $at }, pour { $unit }. État : { $state }.
question-unit = L’appareil
question-site = Le gaz et l’altitude du site
question-site_caption = Gaz et altitude du site
question-no_site = Rien n’est inscrit sur le gaz et l’altitude du site.
question-figures = Valeurs et ce qui a été vu
question-answers = Réponses reçues
question-your_answer = Votre réponse
question-answer_lines = Valeurs avec unité, allure, gaz, altitude ; la page ou le bulletin d’où elles viennent ; votre nom ; le jour
question-use = Une réponse est inscrite avec sa source et son jour et montrée à côté de la plaque. Elle ne remplace jamais la plaque.

# Plan d'une journée

morning-title = Plan de la journée, { $when }
morning-what = Plan de la journée, { $when }
morning-lead =
    { $count ->
        [one] { $count } appareil au plan.
       *[other] { $count } appareils au plan.
    }
morning-tagged = Hors service : { $units }. N’en démarrer aucun avant qu’une personne agréée l’ait remis en service.
morning-caution = Odeur de gaz ou alarme de CO : aucun interrupteur, aucune flamme, faire sortir les gens, appeler de dehors. Tester l’air (CO et gaz) avant d’ouvrir un appareil.
morning-no_emergency = Aucun point de rassemblement ni numéro d’urgence inscrit pour ce site : demandez avant de monter.
morning-unassigned = Encore personne
morning-caption = La tournée
morning-notes = À propos du site
morning-never = aucune visite au dossier
morning-no_cause = sans cause inscrite
morning-questions =
    { $count ->
        [one] { $count } question sans réponse
       *[other] { $count } questions sans réponse
    }
morning-contested =
    { $count ->
        [one] { $count } élément à deux réponses
       *[other] { $count } éléments à deux réponses
    }
rank-urgent = un avis urgent est ouvert
rank-unsettled = deux réponses non tranchées
rank-no_heat = pas de chauffage
rank-watch = à suivre
rank-falling = une marge diminue
rank-repeats = la même cause est revenue
rank-missed = manqué la dernière fois
rank-usual = à son tour
rank-tagged = hors service : regarder, ne pas démarrer

# Ce qu'il faut au camion

restock-title = Pièces pour le camion, { $when }
restock-what = Pièces pour le camion, après { $when }
restock-lead =
    { $count ->
        [0] Aucune pièce n’a été utilisée.
        [one] { $count } sorte de pièce a été utilisée.
       *[other] { $count } sortes de pièces ont été utilisées.
    }
restock-doubtful =
    { $count ->
        [one] { $count } paire de lignes est peut-être un événement inscrit deux fois ; les deux comptent jusqu’à ce que quelqu’un le dise.
       *[other] { $count } paires de lignes sont peut-être un événement inscrit deux fois ; les deux comptent jusqu’à ce que quelqu’un le dise.
    }
restock-used = Utilisé
restock-used_caption = Pièces utilisées à cette visite
restock-no_source = non inscrit
restock-carry = Utile à emporter
restock-carry_caption = Pièces que le dossier dit utiles à emporter
restock-carry_why = Assez pour neuf visites sur dix comme celles du dossier. On compte ce qui a été utilisé, non ce qui a manqué.
restock-no_carry = Trop peu de visites au dossier pour dire quoi emporter.
restock-no_cause = sans cause inscrite

# Registre des différences d'un site

register-title = Registre des différences
register-foot = Registre des différences. La plaque, le code local et la personne agréée décident.
register-lead =
    { $open ->
        [0] Rien n’est ouvert.
        [one] { $open } différence est ouverte.
       *[other] { $open } différences sont ouvertes.
    } { $settled ->
        [0] Aucune n’a été tranchée.
        [one] { $settled } a été tranchée, par une personne nommée, avec un motif.
       *[other] { $settled } ont été tranchées, chacune par une personne nommée, avec un motif.
    }
