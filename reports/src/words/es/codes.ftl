# Palabras de las listas cerradas del registro. Un mensaje por palabra: <lista>-<clave>.

newer-word = una palabra de una versión más nueva

# Role
role-technician = técnico
role-supervisor = supervisor
role-office = oficina
role-customer = contacto del cliente

# Training
training-live = pruebas eléctricas con tensión
training-lift = elevador
training-roof = techo
training-closed_space = espacios cerrados

# Channel
channel-in_person = en persona
channel-in_writing = por escrito
channel-in_person_and_writing = en persona y por escrito
channel-by_phone = por teléfono
channel-on_report = en el informe
channel-in_person_and_report = en persona y en el informe

# Decision
decision-open = pendiente
decision-accepted = aceptada
decision-declined = rechazada
decision-deferred = aplazada

# LabourKind
labour_kind-on_site = en el lugar
labour_kind-travel = viaje
labour_kind-office = oficina
labour_kind-fetching = búsqueda de piezas

# Quantity
quantity-inlet_static = presión de entrada, sin caudal
quantity-inlet_flowing = presión de entrada, en marcha
quantity-inlet_all_on = presión de entrada, todos los equipos en marcha
quantity-lockup = presión de entrada tras cierre rápido
quantity-manifold_high = presión en el colector, fuego alto
quantity-manifold_low = presión en el colector, fuego bajo
quantity-manifold_off = presión en el colector, válvula cerrada
quantity-meter_time = medidor, tiempo de una vuelta del dial
quantity-pilot_pressure = presión del piloto
quantity-draft_differential = diferencial de tiro en el presostato
quantity-vent_static = presión estática del conducto
quantity-draft_hood = tiro a la salida del cortatiro
quantity-overfire_draft = tiro en la cámara
quantity-building_dp = edificio respecto al exterior
quantity-flue_o2 = O2 de los gases de combustión
quantity-flue_co2 = CO2 de los gases de combustión
quantity-flue_co = CO de los gases de combustión
quantity-stack_temp = temperatura de los gases de combustión
quantity-combustion_air_temp = temperatura del aire de combustión
quantity-ambient_co = CO del local
quantity-ambient_lel = gas combustible en las juntas
quantity-air_in = aire de entrada
quantity-air_out = aire de salida
quantity-external_static = presión estática externa
quantity-profile_differential = diferencial en el perfil del quemador
quantity-air_switch_dp = diferencial del control de aire
quantity-fan_amps = corriente del ventilador
quantity-fan_rpm = velocidad del ventilador
quantity-line_volts = tensión de línea
quantity-control_volts = tensión de control, con carga
quantity-neutral_ground_volts = neutro a tierra
quantity-rod_to_ground = electrodo de llama a tierra, cable suelto
quantity-contact_drop = caída de tensión en el contacto cerrado
quantity-valve_coil_ohms = bobina de la válvula
quantity-igniter_ohms = encendedor, en frío
quantity-igniter_amps = corriente del encendedor
quantity-flame_current = corriente de llama
quantity-flame_volts = señal de llama en la toma del relé
quantity-thermocouple_open = termopar, sin carga
quantity-thermocouple_loaded = termopar, con carga
quantity-dropout_mv = desenganche del electroimán
quantity-thermopile_mv = termopila
quantity-prepurge_s = prepurga
quantity-trial_s = tiempo del intento de encendido
quantity-flame_fail_s = respuesta a la pérdida de llama
quantity-postpurge_s = pospurga
quantity-fan_on_s = retardo de arranque del ventilador
quantity-fan_off_s = retardo de parada del ventilador
quantity-limit_trip_temp = limitador, abre a
quantity-orifice_bore = diámetro del orificio
quantity-burner_hours = horas de quemador
quantity-cycles = ciclos
quantity-lockout_count = bloqueos desde la última visita
quantity-water_supply = ida de agua
quantity-water_return = retorno de agua
quantity-system_pressure = presión del circuito
quantity-relief_rating = tarado de la válvula de alivio
quantity-condensate_ph = condensado, tras el neutralizador
quantity-tube_surface = superficie del tubo
quantity-tube_vacuum = vacío del tubo
quantity-outdoor_temp = temperatura exterior
quantity-wind = viento
quantity-baro = barómetro
quantity-space_temp = temperatura del local
quantity-co_discharge_added = CO añadido a la descarga

# Phase
phase-as_found = encontrado
phase-in_work = durante el trabajo
phase-as_left = dejado
phase-baseline = referencia
phase-spot = puntual

# Stage
stage-off = apagado
stage-pilot = solo piloto
stage-low = fuego bajo
stage-high = fuego alto
stage-between = entre fuego bajo y alto
stage-high_called_stays_low = fuego alto pedido, sigue en bajo
stage-trial = intento de encendido

# Running
running-off = parado
running-on = en marcha
running-some_on = en parte en marcha
running-none = sin equipo

# Method
method-measured = medido
method-instrument_calculated = calculado por el instrumento
method-from_printout = copiado de una impresión
method-read_from_gauge = leído en un manómetro fijo

# Status
status-in_service = en servicio
status-in_service_part_awaited = en servicio, se espera una pieza
status-watch = en observación
status-shut_down_tagged = fuera de servicio, etiquetado
status-control_locked_out = parado por su propio control
status-removed = retirado
status-unknown = no se sabe

# AdvisorySeverity
advisory_severity-note = nota
advisory_severity-advise = aviso
advisory_severity-urgent = urgente
advisory_severity-shut_down = fuera de servicio

# Gas
gas-natural = gas natural
gas-lp = propano (GLP)
gas-other_gas = otro gas
gas-both = gas natural y propano (GLP)
gas-not_known = no se sabe

# GasPartKind
gas_part_kind-main_orifice = orificio principal
gas_part_kind-pilot_orifice = orificio del piloto
gas_part_kind-regulator_spring = resorte del regulador
gas_part_kind-valve = válvula de gas
gas_part_kind-air_shutter = obturador de aire o pieza del venturi
gas_part_kind-conversion_label = etiqueta de conversión
gas_part_kind-flame_control = control de llama

# CheckItem
check_item-leak_check = búsqueda de fugas en las juntas abiertas
check_item-test_ports_closed = tomas de presión cerradas
check_item-flame_failure = pérdida de llama
check_item-high_limit = limitador de temperatura
check_item-rollout = interruptor de desborde de llama
check_item-air_proving = control del caudal de aire
check_item-spill = retroceso en el cortatiro
check_item-guards_and_panels = resguardos y paneles
check_item-wiring = cableado
check_item-label = etiquetas
check_item-vent_look = conducto, visto por fuera
check_item-condensate = desagüe y sifón del condensado
check_item-relief_valve = válvula de alivio, a la vista
check_item-low_water = corte por bajo nivel de agua
check_item-heat_exchanger = intercambiador, a la vista
check_item-clearances = distancias libres
check_item-tools_counted = herramientas contadas, lugar limpio
check_item-ambient_smell = olor al entrar, arriba y abajo
check_item-firms_own = punto propio de la empresa

# CheckResult
check_result-pass = bien
check_result-fail = falla
check_result-not_done = no hecho
check_result-not_applicable = no aplica

# Confidence
confidence-suspected = sospechado
confidence-likely = probable
confidence-proved = probado por la reparación y el estado dejado

# Root
root-area_contaminant = contaminante del local
root-installation = instalación
root-age = edad
root-misuse = uso
root-not_known = no se sabe

# WorkKind
work_kind-cleaned = limpiado
work_kind-set = ajustado
work_kind-replaced = reemplazado
work_kind-repaired = reparado
work_kind-isolated = aislado
work_kind-advised = avisado
work_kind-none = nada hecho

# System
system-gas_joint = una junta de gas abierta
system-gas_port = una toma de presión de gas abierta
system-gas_setting = un ajuste de gas
system-combustion = quemador, aire o paso de gases
system-ignition = encendido o detección de llama
system-air_side = lado del aire impulsado
system-controls = controles y cableado
system-vent = conducto
system-water = lado del agua
system-outside = nada del equipo

# Outcome
outcome-done = hecho
outcome-left_as_found = dejado como se encontró
outcome-not_reached = no alcanzado
outcome-in_hand = en curso

# VisitKind
visit_kind-pre_season = mantenimiento de pretemporada
visit_kind-no_heat = llamada por falta de calefacción
visit_kind-repair = reparación
visit_kind-start_up = primera puesta en marcha
visit_kind-inspection = inspección
visit_kind-follow_up = visita de seguimiento

# Family
family-isp = piloto intermitente de chispa, extractor
family-dsi = chispa directa
family-hsi = encendedor de superficie caliente
family-spc = piloto permanente, termopar
family-pvs = tiro forzado, control de aire
family-irt = tubo infrarrojo
family-mua = aire de reposición modulante
family-two = calefactor de ducto o de techo de dos etapas
family-blr = caldera de agua caliente

# VentCategory
vent_category-i = I, presión negativa, sin condensación
vent_category-ii = II, presión negativa, con condensación
vent_category-iii = III, presión positiva, sin condensación
vent_category-iv = IV, presión positiva, con condensación
vent_category-unvented = sin conducto o de fuego directo

# Mount
mount-hung = colgado
mount-floor = en el piso
mount-roof = en el techo
mount-wall = en la pared

# TargetSource
target_source-plate = placa
target_source-written_answer = respuesta escrita del fabricante
target_source-booklet = manual de instalación
target_source-phone_call = fabricante, por teléfono
target_source-firm = ajuste de la empresa
target_source-baseline = referencia propia

# QuestionState
question_state-open = abierta
question_state-sent = enviada
question_state-answered = contestada
question_state-withdrawn = retirada

# LockState
lock_state-on = puesto
lock_state-off = quitado

# CrewEvent
crew_event-arrived = llegada
crew_event-left = salida

# InstrumentKind
instrument_kind-flue_gas_analyser = analizador de combustión
instrument_kind-manometer = manómetro
instrument_kind-multimeter = multímetro, rango de microamperios
instrument_kind-air_probe = sonda de temperatura de aire
instrument_kind-gas_detector = detector de gas combustible
instrument_kind-co_monitor = detector de CO del local
instrument_kind-infrared_thermometer = termómetro infrarrojo
instrument_kind-clock = cronómetro
instrument_kind-clamp_meter = pinza amperimétrica
instrument_kind-ph_meter = medidor de pH
instrument_kind-pin_gauge = juego de galgas
instrument_kind-tachometer = tacómetro
