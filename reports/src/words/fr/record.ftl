# Ce que disent les inscriptions, les registres et les différences.

yes = oui
no = non
none = aucun
dash = –
colon = { " : " }
not_tested = non testé
list-and = { $first } et { $last }
count-of = { $hits } sur { $of }
days-from_to = du { $first } au { $last }

month-1 = janvier
month-2 = février
month-3 = mars
month-4 = avril
month-5 = mai
month-6 = juin
month-7 = juillet
month-8 = août
month-9 = septembre
month-10 = octobre
month-11 = novembre
month-12 = décembre
month_short-1 = janv.
month_short-2 = févr.
month_short-3 = mars
month_short-4 = avr.
month_short-5 = mai
month_short-6 = juin
month_short-7 = juil.
month_short-8 = août
month_short-9 = sept.
month_short-10 = oct.
month_short-11 = nov.
month_short-12 = déc.

measured-over_range = hors étendue
measured-not_taken = non relevé :

# Inscriptions d'une feuille

entry-check = { $item } : { $result }
entry-adjustment = { $what } réglé de { $before } à { $after }
entry-not_read = une valeur non relevée
entry-photo = photo de { $subject } ({ $hash })
entry-claim_here = travaille ici
entry-claim_left = a quitté l’appareil
entry-labour =
    { $minutes ->
        [one] { $person } : { $minutes } minute, { $kind }
       *[other] { $person } : { $minutes } minutes, { $kind }
    }
entry-crew = { $person } { $event }
entry-steady =
    { $minutes ->
        [one] stable depuis { $minutes } minute
       *[other] stable depuis { $minutes } minutes
    }
entry-early = tôt, pas encore stable
entry-fuel_set = combustible réglé dans l’instrument : { $text }
entry-unusual = inhabituel parce que { $text }
entry-corrected = corrigé parce que { $text }
entry-fan = ventilateur { $state }
entry-panels = panneaux { $state }
entry-others = autres appareils { $state }
entry-touched = touché : { $what }
entry-minutes = { $minutes } min
entry-gas_part = { $count } × { $part } marqué { $marking }, pour { $gas }, { $phase }
entry-kept = gardée
entry-not_kept = non gardée
entry-old_part = ancienne pièce : { $story }
entry-part_number = n° { $text }
entry-for_gas = pour { $gas }
entry-part_source = de { $text }

# Inscriptions d'une visite

entry-sign_off =
    { $count ->
        [one] signé comme { $role }, { $count } document
       *[other] signé comme { $role }, { $count } documents
    }
entry-reopened = rouvert
entry-exception = admis par un superviseur
entry-query_to = demandé à { $person }
entry-query = demandé
entry-reply = répondu
entry-lock_on = cadenas posé sur { $point }
entry-lock_off = cadenas retiré de { $point }
entry-lock_number = cadenas { $number }
entry-void = retire l’inscription { $entry }
entry-settlement = tranché
entry-text_read = texte lu et laissé tel quel
entry-double_one = c’est un seul événement
entry-double_two = ce sont deux événements
entry-repoint = appartient à { $to }, inscrit pour { $from }
entry-vouch = travail de cet appareil mobile accepté
entry-note = note sur { $subject }

# Inscriptions d'un appareil, d'un site, de l'entreprise

entry-due = d’ici au { $day }
entry-closing = clos
entry-release = mise hors service levée
entry-question = demandé au fabricant
entry-answer = réponse du fabricant
entry-target = valeur visée pour { $what } : { $band }
entry-air_free = ramené à air nul
entry-from_day = à partir du { $day }
entry-area = zone { $label }
entry-position = emplacement { $label }
entry-roster = { $unit } mis sur la liste
entry-serial = n° { $number }
entry-calibration = { $instrument } étalonné le { $day }
entry-bump = { $instrument } essayé avec { $with }
entry-catalogue = ligne de catalogue { $part }
entry-other = une inscription d’une version plus récente
entry-tag = mis hors service : { $reason }
tag-no_isolation = aucun isolement inscrit
tag-isolated = isolé : { $points }
tag-told = averti : { $told }
tag-not_told = personne chez le client n’est inscrit comme averti
tag-release_when = peut être remis en service quand { $when }
entry-ack = { $told } averti ({ $how }), l’a reconnu
entry-ack_refused = { $told } averti ({ $how }), ne l’a pas reconnu
entry-decided = { $decision } par { $by }
entry-decision = décision du client : { $decision }
entry-until = jusqu’au { $day }

event-installed = installé
event-moved = déplacé
event-replaced = remplacé
event-converted = converti à un autre gaz
event-repaired = réparé
event-modified = modifié
event-recall = rappel du fabricant
event-complaint = plainte
event-season_start = début de saison
event-meter_read = compteur d’heures relevé
member-contaminant = porté par l’air ici
member-visit_wish = souhait pour la prochaine visite
member-spare_wish = pièce souhaitée pour la prochaine visite
member-contact = contact
member-hazard = danger
member-access = accès

# Différences

about-register = { $field }
about-check = contrôle « { $item } »
about-readings = { $quantity }, { $phase }
about-text = deux personnes ont modifié ce texte
about-double = ceci est peut-être un seul événement
about-removed =
    { $count ->
        [one] retiré de la liste bien qu’il ait { $count } inscription
       *[other] retiré de la liste bien qu’il ait { $count } inscriptions
    }
about-late =
    { $count ->
        [one] { $count } inscription que la signature ne montrait pas
       *[other] { $count } inscriptions que la signature ne montrait pas
    }
about-clock_ahead =
    { $minutes ->
        [one] horloge de { $person } : { $minutes } minute d’avance sur le concentrateur
       *[other] horloge de { $person } : { $minutes } minutes d’avance sur le concentrateur
    }
about-clock_behind =
    { $minutes ->
        [one] horloge de { $person } : { $minutes } minute de retard sur le concentrateur
       *[other] horloge de { $person } : { $minutes } minutes de retard sur le concentrateur
    }
about-release = une remise en service faite sans avoir vu ces inscriptions défavorables
about-lock = un cadenas retiré par une autre personne que son propriétaire

governs-register = d’ici là, la réponse marquée fait foi
governs-register_open = d’ici là, aucune ne fait foi et ce qui en dépend n’est pas jugé
governs-check = d’ici là, la réponse la plus défavorable fait foi
governs-readings = d’ici là, le relevé de l’instrument à jour fait foi
governs-readings_open = d’ici là, aucun ne fait foi ; on n’en fait jamais la moyenne
governs-text = les deux modifications y figurent
governs-double = d’ici là, les deux comptent
governs-removed = ses inscriptions restent
governs-late = elles comptent, marquées comme postérieures à la signature
governs-clock = les heures restent telles qu’inscrites ; l’ordre suit ce que chacun avait vu
governs-release = la remise en service n’a pas d’effet ; l’appareil reste hors service
governs-lock = les deux inscriptions restent

next-register = une personne nommée tranche, avec un motif
next-register_open = une personne nommée tranche, avec un motif
next-check = l’un des deux refait l’essai, ou une personne nommée tranche avec un motif
next-readings = mesurer à nouveau, ou trancher en disant quel relevé fait foi et pourquoi
next-readings_open = mesurer à nouveau, ou trancher en disant quel relevé fait foi et pourquoi
next-text = le lire et dire qu’il se lit bien, ou le modifier
next-double = dire si c’est un événement ou deux
next-removed = le fusionner avec le bon appareil, ou le remettre sur la liste
next-late = une seconde signature qui les montre
next-clock = une personne nommée tranche, avec un motif
next-release = éprouver à nouveau l’appareil, puis le remettre en service
next-lock = le propriétaire dit si le cadenas est retiré, et pourquoi un autre l’a pris

difference-visit = la visite
difference-caption = Les deux côtés tels qu’inscrits
difference-more =
    { $count ->
        [one] et { $count } autre, dite avec son appareil
       *[other] et { $count } autres, dites avec leurs appareils
    }
difference-text_merged = Les deux modifications figurent dans le texte montré avec son appareil.
difference-open = Ouvert.
difference-settled = Tranché par { $person }, { $at } : { $says }
side-governs = fait foi
side-after = après { $at }
side-no_time = sans heure
side-person_unknown = inconnu
side-no_instrument = –

# Remarques

mark-found_after_work = trouvé, inscrit après le début du travail
mark-work_begun_elsewhere = le travail avait commencé ailleurs
mark-instrument_overdue = étalonnage de l’instrument échu depuis le { $day }
mark-early = tôt, pas encore stable
mark-unexplained = inhabituel, sans explication
mark-after_sign_off = après la signature
mark-clock_ahead =
    { $minutes ->
        [one] horloge en avance de { $minutes } minute
       *[other] horloge en avance de { $minutes } minutes
    }
mark-clock_behind =
    { $minutes ->
        [one] horloge en retard de { $minutes } minute
       *[other] horloge en retard de { $minutes } minutes
    }
mark-licence_expired = licence expirée le { $day }
mark-entered_for_another = inscrit pour une autre personne
mark-anothers_key = signé avec la clé d’une autre personne
mark-unknown_key = signé avec une clé inconnue
mark-vouched = accepté par un superviseur

remark-corrected = corrigé par { $entry }
remark-withdrawn = retiré par { $entry }
remark-entered_by = inscrit par { $person }

# Ce qui empêche la signature

blocker-about = { $what } : { $about }
blocker-other = un point que cette version ne sait pas nommer ; voir le dossier
blocker-unsettled = deux réponses non tranchées
blocker-not_told = hors service, et personne chez le client n’est inscrit comme averti
blocker-not_isolated = hors service, et aucun isolement inscrit
blocker-lock_on = un cadenas est encore posé
blocker-check_differs = un contrôle à deux réponses
blocker-check_failed = un contrôle en échec
blocker-leak_check = un joint de gaz a été ouvert, aucun essai d’étanchéité inscrit
blocker-ports_closed = une prise de pression a été ouverte, sa fermeture n’est pas inscrite
blocker-as_left_missing = travaillé, non mesuré en fin de travail
blocker-left_as_found = clos comme laissé tel que trouvé bien que travaillé
blocker-ambient_co = CO du local non relevé là où il le faut
blocker-gas_part = une pièce de gaz marquée pour un autre gaz que celui fourni
blocker-manifold = pression au collecteur laissée hors limite
blocker-inlet = pression d’entrée laissée hors limite
blocker-clocked = débit au compteur laissé hors limite
blocker-co_air_free = CO ramené à air nul laissé au-dessus de sa ligne
blocker-co_rising = CO laissé en hausse
