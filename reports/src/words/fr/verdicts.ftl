# Valeurs, limites, verdicts, et ce qui manque.

limit-between = { $low } à { $high }
limit-at_least = au moins { $low }
limit-at_most = au plus { $high }
limit-none = aucune valeur inscrite
limit-with_source = { $limit } ({ $source })

source-plate = plaque
source-plate_band = bande d’usage autour de la valeur de la plaque, { $figure }
source-plate_bands = bandes d’usage autour de la valeur de la plaque
source-valve_or_plate = maximum de la vanne ou de la plaque
source-plate_or_control = plaque ou contrôle de flamme
source-switch = consigne du pressostat
source-dated = { $source } du { $day }

verdict-within = { $name } : dans { $limit }, à { $margin } de la limite ({ $source })
verdict-over = { $name } : { $by } au-dessus de sa limite, { $limit } ({ $source })
verdict-under = { $name } : { $by } au-dessous de sa limite, { $limit } ({ $source })
verdict-too_close = { $name } : à { $distance } de sa limite, { $limit } ({ $source }) ; l’instrument ne peut dire de quel côté. Mesurer à nouveau avec un instrument plus fin, ou tenir la valeur pour hors limite
verdict-not_tested = { $name } : non testé
verdict-no_target = { $name } : aucune valeur de la plaque ou du fabricant inscrite, donc non jugé. Demander au fabricant
verdict-co = { $name } : { $meaning } ({ $source })

verdict_label-within = dedans
verdict_label-over = au-dessus
verdict_label-under = au-dessous
verdict_label-too_close = indécidable
verdict_label-not_tested = non testé
verdict_label-no_target = pas encore de cible

co_label-note = noté
co_label-find_source = chercher la source
co_label-leave_area = quitter la zone
co_label-everybody_out = tout le monde dehors
co_label-usual = usuel
co_label-find_cause = chercher la cause
co_label-shut_down = mettre hors service
co_band-note = noté ; un relevé ponctuel ne dit pas ce qu’est la moyenne d’un quart de travail
co_band-find_source = quelque chose ajoute du CO ; le trouver avant tout autre travail
co_band-leave_area = quitter la zone, avertir, aérer, couper la source probable si cela se peut sans risque
co_band-everybody_out = faire sortir tout le monde maintenant et appeler les secours de l’extérieur
co_band-usual = sous ce qui est usuel pour la plupart des appareils raccordés ; le lire avec l’O2 et sa tendance
co_band-find_cause = chercher la cause, refaire l’essai, aviser
co_band-shut_down = au-dessus de la valeur d’essai des appareils raccordés ; mettre hors service et appeler le superviseur
co_source-note = usage courant ; le réglage de l’entreprise prime
co_source-find_source = usage courant ; le réglage de l’entreprise prime
co_source-leave_area = usage courant ; le réglage de l’entreprise prime
co_source-everybody_out = usage courant ; le réglage de l’entreprise prime
co_source-usual = 100 ppm à air nul : usage courant
co_source-find_cause = 100 ppm à air nul : usage courant
co_source-shut_down = 400 ppm à air nul : famille ANSI Z21/Z83, selon la presse du métier
co_lines-flue = 100 / 400 ppm
co_lines-room = 9 / 35 / 100 ppm

derived-net_stack = température nette des fumées
derived-co2 = CO2 calculé à partir de l’O2
derived-excess_air = excès d’air
derived-co_air_free = CO à air nul
derived-efficiency = rendement de combustion, PCS
derived-manifold_input = débit calorifique selon le collecteur
derived-clocked_input = débit calorifique au compteur
derived-output = puissance fournie
derived-rise = élévation de température

figures-caption = Valeurs : trouvé, laissé et limite ; ± est deux fois l’incertitude type des instruments
figures-as_found = tel que trouvé
figures-no_limit = aucune valeur à comparer

gap-flue_temperatures = les calculs de fumées attendent les températures des fumées et de l’air de combustion
gap-gas_not_settled = le gaz fourni n’est pas tranché, ce qui en dépend n’est donc pas calculé
gap-flue_sums = calculs de fumées impossibles : { $why }
gap-too_much_air = trop d’air dans l’échantillon pour juger le CO à air nul ; chercher une fuite dans la ligne de prélèvement, refaire l’essai
gap-flue_co = CO à air nul impossible à calculer : { $why }
gap-clocking = débit au compteur impossible à calculer : un relevé manque ou est impossible
gap-rise = élévation impossible à calculer : { $why }
gap-room_co = CO du local impossible à juger : { $why }
gap-judging = { $name } : impossible à juger : { $why }
impossible-oxygen_of_air = l’échantillon est presque de l’air pur
impossible-flue_colder = les fumées sont lues plus froides que l’air
impossible-no_rise = la sortie n’est pas lue plus chaude que l’entrée
impossible-co2_over_most = le CO2 dépasse le maximum possible avec ce gaz
impossible-other = une valeur est hors du possible

chart-title = { $figure }, selon { $along }
chart-by_hours = les heures de marche
chart-by_days = les jours
chart-mark_hours = { $day }, { $hours } h
chart-found = trouvé
chart-left = laissé
chart-caps = les barres couvrent le doute de l’instrument (deux fois l’incertitude type)
chart-co_100 = 100 ppm, usage courant
chart-co_400 = 400 ppm, famille ANSI Z21/Z83, selon la presse du métier
chart-no_limit = aucune limite inscrite
chart-sentence = { $figure } : trouvé { $found } ; laissé { $left } ; limite : { $limits }.
chart-table = Les points du graphique
