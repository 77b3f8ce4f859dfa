# Frases de los informes.

authority = Deciden la placa del equipo, el código local y la persona con licencia. Este expediente les informa; no decide nada.
foot-reference = Expediente { $reference }. Deciden la placa, el código local y la persona con licencia.

# Encabezado de una visita

visit-what = { $kind }, { $when }
visit-no_kind = visita
visit-no_day = día no anotado
visit-no_site = sitio no anotado
visit-no_customer = cliente no anotado
visit-no_crew = nadie consta como que trabajó
visit-crew = Quién vino: { $names }
visit-signed = firmado por { $person } como { $role }, { $at }
visit-unsigned = sin firmar
visit-not_released = aún sin el visto de un supervisor

# Columnas

column-answers = Respuestas
column-area = Zona
column-at_visits = En visitas
column-by_when = Para cuándo, y quién decide
column-carry = Llevar
column-check = Control
column-did = Hecho
column-figure = Valor
column-for_causes = Para
column-for_units = Para los equipos
column-formula = Fórmula
column-found = Encontrado
column-from = De
column-governs = Rige
column-if_not = Si no se hace nada
column-last_time = La última vez
column-left = Dejado
column-limit = Límite
column-limit_source = Límite y su fuente
column-number = N.º
column-open = Abierto
column-part = Pieza
column-phase = Fase
column-photo = Foto
column-quantity = Cantidad
column-register = Dato
column-remarks = Observaciones
column-said_by = Dicho por
column-says = Lo que dice
column-source = Fuente del límite
column-unit = Equipo
column-used = Usado
column-value = Valor
column-verdict = Veredicto
column-visit = Visita
column-what_and_why = Qué, y por qué
column-when = Cuándo
column-who = Quién
column-why = Por qué
column-with = Con

# La frase de arriba

lead = { $heaters }: { $states }.
lead-heaters =
    { $count ->
        [0] Ningún equipo
        [one] { $count } equipo
       *[other] { $count } equipos
    }
lead-within =
    { $count ->
        [one] { $count } dejado en marcha dentro de los límites anotados
       *[other] { $count } dejados en marcha dentro de los límites anotados
    }
lead-not_measured =
    { $count ->
        [one] { $count } en marcha, no medido al terminar o sin límite con que comparar
       *[other] { $count } en marcha, no medidos al terminar o sin límite con que comparar
    }
lead-cannot_tell = { $count } con un valor del que el instrumento no puede decir de qué lado del límite está
lead-watch = { $count } en vigilancia o a la espera de una pieza
lead-outside = { $count } con un valor fuera de un límite anotado
lead-not_reached =
    { $count ->
        [one] { $count } no alcanzado o no abierto
       *[other] { $count } no alcanzados o no abiertos
    }
lead-not_settled = { $count } cuyo estado no está resuelto
lead-stopped =
    { $count ->
        [one] { $count } parado por su propio control
       *[other] { $count } parados por su propio control
    }
lead-shut_down = { $count } FUERA DE SERVICIO
lead-removed =
    { $count ->
        [one] { $count } retirado
       *[other] { $count } retirados
    }
lead-none_shut_down = ninguno fuera de servicio

# Página del cliente

customer-title = Sus equipos de calefacción, { $when }
customer-decide = Necesita su decisión
customer-done = Hecho en esta visita
customer-trend = Cómo va el sitio
customer-untested = Lo que no se probó, y por qué
customer-limits = Los límites de esta página vienen de: { $sources }.
customer-no_limits = Ningún valor de esta página pudo compararse con un límite.
customer-licences = Licencias: { $licences }.
customer-record = Expediente { $reference }.
decide-caption = Lo que espera su decisión
decide-none = No hay ningún aviso abierto.
decide-no_date = Sin fecha
decide-was_due = Venció el { $day }
decide-no_photo = sin foto
decide-nobody_told = Nadie de su parte consta aún como avisado.
decide-shut_down = { $unit } está fuera de servicio. No lo use.
decide-tagged_by = Etiquetado por { $person }, { $at }.
who-note = Para su información
who-advise = Usted decide
who-urgent = Un supervisor fija el límite y la fecha; usted decide la reparación
who-shut_down = Solo una persona con licencia puede volverlo al servicio, tras comprobarlo; donde lo diga la regla local, el inspector o la compañía de gas.
if_not-note = No se espera que cambie pronto.
if_not-advise = Funciona ahora y no seguirá así.
if_not-urgent = Solo puede funcionar dentro del límite y hasta la fecha indicada.
if_not-shut_down = Sigue fuera de servicio: el peligro es para la vida o los bienes.
done-caption = Lo encontrado, lo hecho y lo dejado
done-nothing_found = Nada encontrado
done-nothing_done = Nada anotado como hecho
done-figure = { $name }: { $value }
done-parts = Piezas: { $parts }
done-no_limit = sin valor para comparar
done-shut_down = fuera de servicio
done-others_within =
    { $count ->
        [one] Se midió { $count } equipo más; todo valor que tiene límite estaba dentro.
       *[other] Se midieron { $count } equipos más; todo valor que tiene límite estaba dentro.
    }
done-others_not = Nada consta como encontrado o hecho en { $units }; esto no dice que allí todo esté bien.
trend-caption = La misma causa, por zona y visita
trend-intro = Lo que más volvió: «{ $cause }». Un punto por equipo, en { $visits } visitas.
trend-none = Ninguna causa volvió al mismo equipo en { $visits } visitas.
trend-first = Es la primera visita en el expediente: aún no hay con qué comparar.
trend-not_opened = no abierto
trend-elsewhere = todas las demás zonas
trend-dotted = Punto lleno: ocurrió. Punto vacío: el equipo se abrió y no se encontró. Círculo punteado: no abierto en esa visita.
untested-nothing = Se abrió cada equipo y se tomó cada prueba de esta lista.
untested-no_reason = sin motivo anotado
untested-not_reached = { $unit } no alcanzado: { $reason }
untested-not_taken = { $unit }: no se pudo tomar un valor: { $reason }
untested-checks = { $unit }: sin hacer: { $checks }
untested-count = { $what }: medido al terminar en { $done } de los { $of } equipos abiertos; no probado en { $missing }
untested-named = { $what }: medido al terminar en { $done } de los { $of } equipos abiertos; no probado en { $units }
untested-gas_pressure = Presión de gas en el quemador
untested-flame = Señal de llama o de piloto
untested-exhaust = Monóxido de carbono en los humos o en el aire entregado
untested-meter = Consumo de gas por el medidor
signature-supervisor = supervisor
signature-customer = Cliente
signature-seen = visto
plain_figure-manifold_high = presión de gas en el quemador
plain_figure-flame_current = señal de llama
plain_figure-clocked_input = consumo de gas por el medidor
plain_figure-co_air_free = monóxido de carbono en los humos, sin el aire sobrante
plain_figure-draft_differential = aspiración del ventilador de humos
plain_figure-profile_differential = presión de aire en el quemador
plain_figure-rise = calentamiento del aire
plain_figure-igniter_ohms = resistencia del encendedor
plain_figure-inlet_flowing = presión de gas en el equipo
plain_figure-ambient_co = monóxido de carbono en el local
plain_figure-contact_drop = tensión perdida en un contacto
plain_figure-thermocouple_loaded = señal del piloto
plain_figure-pilot_pressure = presión de gas del piloto

# Expediente de una visita

record-title = Expediente de la visita, { $when }
record-shut_down = { $unit } está fuera de servicio. No lo use.
record-shut_down_no_tag = { $unit } tiene el estado fuera de servicio sin ficha vigente. Averigüe por qué antes de que alguien lo arranque.
record-blocking = Lo que impide la firma
record-nothing_blocks = Nada la impide.
record-excepted = Admitido por un supervisor: { $reason }
record-differences = Lo que dos personas dijeron distinto
record-differences_none = Nada.
record-outside = Valores dejados fuera de su límite, o demasiado cerca para decirlo
record-outside_none = Ninguno entre los valores leídos que tienen límite.
record-missing = Sin medir al terminar
record-missing_none = A ningún equipo trabajado le faltan lecturas de término.
record-as_left_missing = { $unit }: se trabajó, no se midió al terminar
record-not_opened = { $unit }: no abierto
record-instruments = Instrumentos con calibración vencida
record-instruments_none = Ninguno entre los nombrados en las lecturas.
record-overdue =
    { $count ->
        [one] { $instrument }: vencido desde el { $since }, { $count } lectura
       *[other] { $instrument }: vencido desde el { $since }, { $count } lecturas
    }
record-questions = Preguntas a fabricantes
record-questions_none = Ninguna.
record-signed = Firmas, y los valores como se firmaron
record-units = Equipos
record-rest = Todo lo demás
record-problems = Partes que esta versión no sabe leer
signed-documents =
    { $count ->
        [one] { $count } documento
       *[other] { $count } documentos
    }
signed-figures =
    { $count ->
        [one] { $count } valor como se firmó
       *[other] { $count } valores como se firmaron
    }
signed-without_figures = sin copia de los valores
signed-no_figures = Ninguna firma guarda copia de los valores.
signed-caption = Valores como los firmó { $person }, { $at }
signed-nothing_moved = Cada valor es hoy el que era al firmarse.
signed-moved = { $unit }, { $figure }, { $phase }: firmado como { $signed }, ahora { $now } ({ $why })
signed-gone = nada que se pueda calcular
signed-by_formula = ahora lo calcula otra fórmula o versión
signed-by_readings = lecturas o ajustes cambiaron después de la firma
signed-no_limit = sin límite
signed-outside = fuera
signed-see_words = véase su frase

# Un equipo

unit-status = estado: { $status }
unit-status_open = su estado tiene dos respuestas
unit-outcome = turno: { $outcome }
unit-no_outcome = turno sin cerrar
unit-gas = gas suministrado: { $gas }
unit-gas_open = gas suministrado sin resolver
unit-merged = Unido a { $unit }: el mismo equipo anotado dos veces.
unit-no_figures = Sin valores encontrados ni dejados.
unit-double = anotado dos veces, cuenta una
unit-symptom = Queja: { $says } ({ $person })
unit-tested = Prueba: { $says } ({ $person })
unit-finding = Encontrado: { $says } ({ $person })
unit-work = Hecho: { $says } ({ $person })
unit-part = Pieza: { $says } ({ $person })
unit-gas_part = Pieza de gas: { $says } ({ $person })
unit-photo = Foto: { $says } ({ $person })
unit-advisory = Aviso: { $says } ({ $person })
unit-ack = Avisado: { $says } ({ $person })
unit-closing = Aviso cerrado: { $says } ({ $person })
unit-repointed = Anotado para { $from }, pertenece aquí: { $says }
unit-note = Nota sobre { $subject }
unit-note_writers =
    { $count ->
        [one] (la escribió { $count } persona)
       *[other] (la editaron { $count } personas)
    }
checks-caption = Controles
check-answer = { $person }: { $result }, { $at }
entries-caption = Cada anotación, en el orden en que se conoció
plate-caption = Registros del equipo, con quién los dijo
plate-none = Ninguna placa anotada.
plate-said_by = { $person }, { $at }
plate-two_answers = dos respuestas, sin resolver

# Expediente de un equipo

dossier-title = Toda la evidencia de { $unit }
dossier-what = Toda la evidencia de { $unit }
dossier-lead =
    { $visits ->
        [one] { $unit }: { $visits } visita en el expediente. Estado ahora: { $status }.
       *[other] { $unit }: { $visits } visitas en el expediente. Estado ahora: { $status }.
    }
dossier-plate = Placa y equipo
dossier-targets = Valores buscados
dossier-targets_none = Ningún valor buscado anotado aparte de la placa.
dossier-charts = Lecturas a lo largo de las visitas
dossier-charts_none = Ningún valor se leyó en dos visitas: aún no hay nada que dibujar.
dossier-own = Anotaciones del documento del equipo
dossier-foot = Toda la evidencia de { $unit }. Deciden la placa, el código local y la persona con licencia.
dossier-no_area = zona no anotada
dossier-no_make = fabricante y modelo no anotados

# Pregunta a un fabricante

question-title = Pregunta a un fabricante, { $unit }
question-what = Pregunta al fabricante
question-what_to = Pregunta a
question-asked_by = Hecha por { $person }, { $at }, para { $unit }. Estado: { $state }.
question-unit = El equipo
question-site = El gas y la altitud del sitio
question-site_caption = Gas y altitud del sitio
question-no_site = Nada consta del gas y la altitud del sitio.
question-figures = Valores y lo que se vio
question-answers = Respuestas hasta ahora
question-your_answer = Su respuesta
question-answer_lines = Valores con unidad, etapa, gas, altitud; la página o boletín de donde vienen; su nombre; el día
question-use = Una respuesta se anota con su fuente y su día y se muestra junto a la placa. Nunca reemplaza a la placa.

# Plan de un día

morning-title = Plan del día, { $when }
morning-what = Plan del día, { $when }
morning-lead =
    { $count ->
        [one] { $count } equipo en el plan.
       *[other] { $count } equipos en el plan.
    }
morning-tagged = Fuera de servicio: { $units }. No arranque ninguno antes de que una persona con licencia lo vuelva al servicio.
morning-caution = Olor a gas o alarma de CO: ningún interruptor, ninguna llama, sacar a la gente, llamar desde afuera. Probar el aire (CO y gas) antes de abrir un equipo.
morning-no_emergency = No hay punto de reunión ni número de emergencia anotados para este sitio: pregunte antes de subir.
morning-unassigned = Nadie aún
morning-caption = El recorrido
morning-notes = Sobre el sitio
morning-never = sin visita en el expediente
morning-no_cause = sin causa anotada
morning-questions =
    { $count ->
        [one] { $count } pregunta sin respuesta
       *[other] { $count } preguntas sin respuesta
    }
morning-contested =
    { $count ->
        [one] { $count } dato con dos respuestas
       *[other] { $count } datos con dos respuestas
    }
rank-urgent = hay un aviso urgente abierto
rank-unsettled = dos respuestas sin resolver
rank-no_heat = sin calefacción
rank-watch = en vigilancia
rank-falling = un margen baja
rank-repeats = volvió la misma causa
rank-missed = faltó la última vez
rank-usual = en su turno
rank-tagged = fuera de servicio: mirar, no arrancar

# Lo que necesita el camión

restock-title = Piezas para el camión, { $when }
restock-what = Piezas para el camión, después de { $when }
restock-lead =
    { $count ->
        [0] No se usó ninguna pieza.
        [one] Se usó { $count } clase de pieza.
       *[other] Se usaron { $count } clases de piezas.
    }
restock-doubtful =
    { $count ->
        [one] { $count } par de líneas puede ser un hecho anotado dos veces; ambas cuentan hasta que alguien lo diga.
       *[other] { $count } pares de líneas pueden ser un hecho anotado dos veces; ambas cuentan hasta que alguien lo diga.
    }
restock-used = Usado
restock-used_caption = Piezas usadas en esta visita
restock-no_source = no anotado
restock-carry = Conviene llevar
restock-carry_caption = Piezas que según el expediente conviene llevar
restock-carry_why = Alcanza para nueve visitas de cada diez como las del expediente. Cuenta lo usado, no lo que faltó.
restock-no_carry = No hay bastantes visitas en el expediente para decir qué llevar.
restock-no_cause = sin causa anotada

# Registro de diferencias de un sitio

register-title = Registro de diferencias
register-foot = Registro de diferencias. Deciden la placa, el código local y la persona con licencia.
register-lead =
    { $open ->
        [0] Nada está abierto.
        [one] { $open } diferencia está abierta.
       *[other] { $open } diferencias están abiertas.
    } { $settled ->
        [0] Ninguna se resolvió.
        [one] { $settled } se resolvió, por una persona con nombre y con un motivo.
       *[other] { $settled } se resolvieron, cada una por una persona con nombre y con un motivo.
    }
