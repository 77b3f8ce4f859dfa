# Lo que dicen las anotaciones, los registros y las diferencias.

yes = sí
no = no
none = ninguno
dash = –
colon = : { "" }
not_tested = no probado
list-and = { $first } y { $last }
count-of = { $hits } de { $of }
days-from_to = del { $first } al { $last }

month-1 = enero
month-2 = febrero
month-3 = marzo
month-4 = abril
month-5 = mayo
month-6 = junio
month-7 = julio
month-8 = agosto
month-9 = septiembre
month-10 = octubre
month-11 = noviembre
month-12 = diciembre
month_short-1 = ene
month_short-2 = feb
month_short-3 = mar
month_short-4 = abr
month_short-5 = may
month_short-6 = jun
month_short-7 = jul
month_short-8 = ago
month_short-9 = sep
month_short-10 = oct
month_short-11 = nov
month_short-12 = dic

measured-over_range = fuera de escala
measured-not_taken = no tomado:

# Anotaciones de una hoja

entry-check = { $item }: { $result }
entry-adjustment = { $what } ajustado de { $before } a { $after }
entry-not_read = un valor que no se leyó
entry-photo = foto de { $subject } ({ $hash })
entry-claim_here = trabaja aquí
entry-claim_left = dejó el equipo
entry-labour =
    { $minutes ->
        [one] { $person }: { $minutes } minuto, { $kind }
       *[other] { $person }: { $minutes } minutos, { $kind }
    }
entry-crew = { $person } { $event }
entry-steady =
    { $minutes ->
        [one] estable desde hace { $minutes } minuto
       *[other] estable desde hace { $minutes } minutos
    }
entry-early = temprano, aún no estable
entry-fuel_set = combustible puesto en el instrumento: { $text }
entry-unusual = inusual porque { $text }
entry-corrected = corregido porque { $text }
entry-fan = ventilador { $state }
entry-panels = paneles { $state }
entry-others = otros equipos { $state }
entry-touched = tocado: { $what }
entry-minutes = { $minutes } min
entry-gas_part = { $count } × { $part } con marca { $marking }, para { $gas }, { $phase }
entry-kept = guardada
entry-not_kept = no guardada
entry-old_part = pieza vieja: { $story }
entry-part_number = n.º { $text }
entry-for_gas = para { $gas }
entry-part_source = de { $text }

# Anotaciones de una visita

entry-sign_off =
    { $count ->
        [one] firmado como { $role }, { $count } documento
       *[other] firmado como { $role }, { $count } documentos
    }
entry-reopened = abierto de nuevo
entry-exception = admitido por un supervisor
entry-query_to = preguntado a { $person }
entry-query = preguntado
entry-reply = respondido
entry-lock_on = candado puesto en { $point }
entry-lock_off = candado quitado de { $point }
entry-lock_number = candado { $number }
entry-void = retira la anotación { $entry }
entry-settlement = resuelto
entry-text_read = texto leído y dejado como está
entry-double_one = son un solo hecho
entry-double_two = son dos hechos
entry-repoint = pertenece a { $to }, se anotó para { $from }
entry-vouch = trabajo de este dispositivo aceptado
entry-note = nota sobre { $subject }

# Anotaciones de un equipo, un sitio, la empresa

entry-due = para el { $day }
entry-closing = cerrado
entry-release = fin de la puesta fuera de servicio
entry-question = preguntado al fabricante
entry-answer = respuesta del fabricante
entry-target = valor buscado de { $what }: { $band }
entry-air_free = libre de aire
entry-from_day = desde el { $day }
entry-area = zona { $label }
entry-position = posición { $label }
entry-roster = { $unit } puesto en la lista
entry-serial = n.º { $number }
entry-calibration = { $instrument } calibrado el { $day }
entry-bump = { $instrument } probado con { $with }
entry-catalogue = línea de catálogo { $part }
entry-other = una anotación de una versión más nueva
entry-tag = fuera de servicio: { $reason }
tag-no_isolation = ningún aislamiento anotado
tag-isolated = aislado: { $points }
tag-told = avisado: { $told }
tag-not_told = nadie del cliente consta como avisado
tag-release_when = puede volver al servicio cuando { $when }
entry-ack = { $told } avisado ({ $how }), lo reconoció
entry-ack_refused = { $told } avisado ({ $how }), no lo reconoció
entry-decided = { $decision } por { $by }
entry-decision = decisión del cliente: { $decision }
entry-until = hasta el { $day }

event-installed = instalado
event-moved = trasladado
event-replaced = sustituido
event-converted = convertido a otro gas
event-repaired = reparado
event-modified = modificado
event-recall = llamado del fabricante
event-complaint = queja
event-season_start = inicio de temporada
event-meter_read = contador de horas leído
member-contaminant = en el aire de aquí
member-visit_wish = deseo para la próxima visita
member-spare_wish = pieza deseada para la próxima visita
member-contact = contacto
member-hazard = peligro
member-access = acceso

# Diferencias

about-register = { $field }
about-check = control «{ $item }»
about-readings = { $quantity }, { $phase }
about-text = dos personas editaron este texto
about-double = esto puede ser un solo hecho
about-removed =
    { $count ->
        [one] quitado de la lista aunque tiene { $count } anotación
       *[other] quitado de la lista aunque tiene { $count } anotaciones
    }
about-late =
    { $count ->
        [one] { $count } anotación que la firma no mostraba
       *[other] { $count } anotaciones que la firma no mostraba
    }
about-clock_ahead =
    { $minutes ->
        [one] reloj de { $person }: { $minutes } minuto adelantado respecto al concentrador
       *[other] reloj de { $person }: { $minutes } minutos adelantado respecto al concentrador
    }
about-clock_behind =
    { $minutes ->
        [one] reloj de { $person }: { $minutes } minuto atrasado respecto al concentrador
       *[other] reloj de { $person }: { $minutes } minutos atrasado respecto al concentrador
    }
about-release = una vuelta al servicio hecha sin haber visto estas anotaciones desfavorables
about-lock = un candado quitado por otra persona que su dueño

governs-register = hasta entonces rige la respuesta marcada
governs-register_open = hasta entonces no rige ninguna y lo que depende de ello no se juzga
governs-check = hasta entonces rige la peor respuesta
governs-readings = hasta entonces rige la lectura del instrumento al día
governs-readings_open = hasta entonces no rige ninguna; nunca se promedian
governs-text = ambas ediciones están en él
governs-double = hasta entonces cuentan ambas
governs-removed = sus anotaciones quedan
governs-late = cuentan, marcadas como posteriores a la firma
governs-clock = las horas quedan como se anotaron; el orden sigue lo que cada uno había visto
governs-release = la vuelta al servicio no tiene efecto; el equipo sigue fuera de servicio
governs-lock = ambas anotaciones quedan

next-register = una persona con nombre lo resuelve con un motivo
next-register_open = una persona con nombre lo resuelve con un motivo
next-check = uno de los dos prueba de nuevo, o una persona con nombre lo resuelve con un motivo
next-readings = medir de nuevo, o resolver diciendo qué lectura rige y por qué
next-readings_open = medir de nuevo, o resolver diciendo qué lectura rige y por qué
next-text = leerlo y decir que se lee bien, o editarlo
next-double = decir si es un hecho o son dos
next-removed = unirlo al equipo correcto, o ponerlo otra vez en la lista
next-late = una segunda firma que las muestre
next-clock = una persona con nombre lo resuelve con un motivo
next-release = comprobar el equipo de nuevo y volverlo al servicio de nuevo
next-lock = el dueño dice si el candado está quitado y por qué otro lo tomó

difference-visit = la visita
difference-caption = Ambos lados como se anotaron
difference-more =
    { $count ->
        [one] y { $count } más, contada con su equipo
       *[other] y { $count } más, contadas con sus equipos
    }
difference-text_merged = Ambas ediciones están en el texto que se muestra con su equipo.
difference-open = Abierto.
difference-settled = Resuelto por { $person }, { $at }: { $says }
side-governs = rige
side-after = después de { $at }
side-no_time = sin hora
side-person_unknown = no se conoce
side-no_instrument = –

# Observaciones

mark-found_after_work = encontrado, anotado después de empezar el trabajo
mark-work_begun_elsewhere = el trabajo había empezado en otro lado
mark-instrument_overdue = calibración del instrumento vencida desde el { $day }
mark-early = temprano, aún no estable
mark-unexplained = inusual, sin explicación
mark-after_sign_off = después de la firma
mark-clock_ahead =
    { $minutes ->
        [one] reloj adelantado { $minutes } minuto
       *[other] reloj adelantado { $minutes } minutos
    }
mark-clock_behind =
    { $minutes ->
        [one] reloj atrasado { $minutes } minuto
       *[other] reloj atrasado { $minutes } minutos
    }
mark-licence_expired = licencia vencida el { $day }
mark-entered_for_another = anotado por cuenta de otra persona
mark-anothers_key = firmado con la clave de otra persona
mark-unknown_key = firmado con una clave que no se conoce
mark-vouched = aceptado por un supervisor

remark-corrected = corregido por { $entry }
remark-withdrawn = retirado por { $entry }
remark-entered_by = anotado por { $person }

# Lo que impide la firma

blocker-about = { $what }: { $about }
blocker-other = algo que esta versión no sabe nombrar; véase el expediente
blocker-unsettled = dos respuestas sin resolver
blocker-not_told = fuera de servicio, y nadie del cliente consta como avisado
blocker-not_isolated = fuera de servicio, y ningún aislamiento anotado
blocker-lock_on = un candado sigue puesto
blocker-check_differs = un control con dos respuestas
blocker-check_failed = un control que falló
blocker-leak_check = se abrió una unión de gas y no consta prueba de fugas
blocker-ports_closed = se abrió una toma de presión y no consta cerrada
blocker-as_left_missing = se trabajó y no se midió al terminar
blocker-left_as_found = cerrado como dejado igual aunque se trabajó
blocker-ambient_co = CO del local sin leer donde hace falta
blocker-gas_part = una pieza de gas marcada para otro gas que el suministrado
blocker-manifold = presión en el colector dejada fuera de su límite
blocker-inlet = presión de entrada dejada fuera de su límite
blocker-clocked = consumo por el medidor dejado fuera de su límite
blocker-co_air_free = CO libre de aire dejado sobre su línea
blocker-co_rising = CO dejado en aumento
