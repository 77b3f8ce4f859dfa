# Words of the record's closed lists. One message a word: <list>-<key>.

newer-word = a word of a newer version

# Role
role-technician = technician
role-supervisor = supervisor
role-office = office
role-customer = customer contact

# Training
training-live = live electrical tests
training-lift = lift
training-roof = roof
training-closed_space = closed spaces

# Channel
channel-in_person = in person
channel-in_writing = in writing
channel-in_person_and_writing = in person and in writing
channel-by_phone = by phone
channel-on_report = on the report
channel-in_person_and_report = in person and on the report

# Decision
decision-open = open
decision-accepted = accepted
decision-declined = declined
decision-deferred = deferred

# LabourKind
labour_kind-on_site = on site
labour_kind-travel = travel
labour_kind-office = office
labour_kind-fetching = fetching parts

# Quantity
quantity-inlet_static = inlet, no flow
quantity-inlet_flowing = inlet, firing
quantity-inlet_all_on = inlet, all units on
quantity-lockup = lock-up after quick shut-off
quantity-manifold_high = manifold, high fire
quantity-manifold_low = manifold, low fire
quantity-manifold_off = manifold, valve off
quantity-meter_time = meter, time for the dial
quantity-pilot_pressure = pilot pressure
quantity-draft_differential = draft differential at the switch
quantity-vent_static = vent static
quantity-draft_hood = draft at the hood outlet
quantity-overfire_draft = overfire draft
quantity-building_dp = building against outdoors
quantity-flue_o2 = flue O2
quantity-flue_co2 = flue CO2
quantity-flue_co = flue CO
quantity-stack_temp = stack temperature
quantity-combustion_air_temp = combustion air temperature
quantity-ambient_co = room CO
quantity-ambient_lel = combustible gas at joints
quantity-air_in = air in
quantity-air_out = air out
quantity-external_static = external static
quantity-profile_differential = burner profile differential
quantity-air_switch_dp = air-proving differential
quantity-fan_amps = fan current
quantity-fan_rpm = fan speed
quantity-line_volts = line voltage
quantity-control_volts = control voltage, loaded
quantity-neutral_ground_volts = neutral to ground
quantity-rod_to_ground = rod to ground, lead off
quantity-contact_drop = drop across a made contact
quantity-valve_coil_ohms = valve coil
quantity-igniter_ohms = igniter, cold
quantity-igniter_amps = igniter current
quantity-flame_current = flame current
quantity-flame_volts = flame signal at the relay jack
quantity-thermocouple_open = thermocouple, open
quantity-thermocouple_loaded = thermocouple, loaded
quantity-dropout_mv = magnet drop-out
quantity-thermopile_mv = thermopile
quantity-prepurge_s = pre-purge
quantity-trial_s = trial for ignition
quantity-flame_fail_s = flame failure response
quantity-postpurge_s = post-purge
quantity-fan_on_s = fan on delay
quantity-fan_off_s = fan off delay
quantity-limit_trip_temp = limit opens at
quantity-orifice_bore = orifice bore
quantity-burner_hours = firing hours
quantity-cycles = cycles
quantity-lockout_count = lockouts since last visit
quantity-water_supply = water supply
quantity-water_return = water return
quantity-system_pressure = system pressure
quantity-relief_rating = relief valve rating
quantity-condensate_ph = condensate, after neutralizer
quantity-tube_surface = tube surface
quantity-tube_vacuum = tube vacuum
quantity-outdoor_temp = outdoor temperature
quantity-wind = wind
quantity-baro = barometer
quantity-space_temp = space temperature
quantity-co_discharge_added = CO added to the discharge

# Phase
phase-as_found = found
phase-in_work = in work
phase-as_left = left
phase-baseline = baseline
phase-spot = spot

# Stage
stage-off = off
stage-pilot = pilot only
stage-low = low fire
stage-high = high fire
stage-between = between low and high
stage-high_called_stays_low = high fire called, stays low
stage-trial = trial for ignition

# Running
running-off = off
running-on = on
running-some_on = some on
running-none = none fitted

# Method
method-measured = measured
method-instrument_calculated = calculated by the instrument
method-from_printout = from printout
method-read_from_gauge = read from a fixed gauge

# Status
status-in_service = in service
status-in_service_part_awaited = in service, part awaited
status-watch = watch
status-shut_down_tagged = shut down, tagged
status-control_locked_out = control locked out
status-removed = removed
status-unknown = not known

# AdvisorySeverity
advisory_severity-note = note
advisory_severity-advise = advise
advisory_severity-urgent = urgent
advisory_severity-shut_down = shut down

# Gas
gas-natural = natural gas
gas-lp = LP
gas-other_gas = another gas
gas-both = natural gas and LP
gas-not_known = not known

# GasPartKind
gas_part_kind-main_orifice = main orifice
gas_part_kind-pilot_orifice = pilot orifice
gas_part_kind-regulator_spring = regulator spring
gas_part_kind-valve = gas valve
gas_part_kind-air_shutter = air shutter or venturi piece
gas_part_kind-conversion_label = conversion label
gas_part_kind-flame_control = flame control

# CheckItem
check_item-leak_check = leak check at the joints opened
check_item-test_ports_closed = test ports closed
check_item-flame_failure = flame failure
check_item-high_limit = high limit
check_item-rollout = rollout switch
check_item-air_proving = air proving
check_item-spill = spill at the draft hood
check_item-guards_and_panels = guards and panels
check_item-wiring = wiring
check_item-label = labels
check_item-vent_look = vent, outside look
check_item-condensate = condensate drain and trap
check_item-relief_valve = relief valve, by eye
check_item-low_water = low-water cut-off
check_item-heat_exchanger = heat exchanger, by eye
check_item-clearances = clearances
check_item-tools_counted = tools counted, area clean
check_item-ambient_smell = smell at entry, high and low
check_item-firms_own = firm's own item

# CheckResult
check_result-pass = pass
check_result-fail = fail
check_result-not_done = not done
check_result-not_applicable = not applicable

# Confidence
confidence-suspected = suspected
confidence-likely = likely
confidence-proved = proved by repair and as-left

# Root
root-area_contaminant = contaminant of the area
root-installation = installation
root-age = age
root-misuse = use
root-not_known = not known

# WorkKind
work_kind-cleaned = cleaned
work_kind-set = set
work_kind-replaced = replaced
work_kind-repaired = repaired
work_kind-isolated = isolated
work_kind-advised = advised
work_kind-none = nothing done

# System
system-gas_joint = a gas joint opened
system-gas_port = a gas test port opened
system-gas_setting = a gas setting
system-combustion = burner, air or flue way
system-ignition = ignition or flame sensing
system-air_side = circulating air side
system-controls = controls and wiring
system-vent = vent
system-water = water side
system-outside = nothing of the unit

# Outcome
outcome-done = done
outcome-left_as_found = left as found
outcome-not_reached = not reached
outcome-in_hand = in hand

# VisitKind
visit_kind-pre_season = pre-season maintenance
visit_kind-no_heat = no-heat call
visit_kind-repair = repair
visit_kind-start_up = first start
visit_kind-inspection = inspection
visit_kind-follow_up = follow-up

# Family
family-isp = intermittent spark pilot, inducer
family-dsi = direct spark
family-hsi = hot surface igniter
family-spc = standing pilot, thermocouple
family-pvs = power vent, air proving
family-irt = infrared tube
family-mua = modulating make-up air
family-two = two-stage duct furnace or rooftop
family-blr = hot-water boiler

# VentCategory
vent_category-i = I, negative, non-condensing
vent_category-ii = II, negative, condensing
vent_category-iii = III, positive, non-condensing
vent_category-iv = IV, positive, condensing
vent_category-unvented = unvented or direct-fired

# Mount
mount-hung = hung
mount-floor = on the floor
mount-roof = on the roof
mount-wall = on a wall

# TargetSource
target_source-plate = plate
target_source-written_answer = maker's written answer
target_source-booklet = installation booklet
target_source-phone_call = maker by phone
target_source-firm = firm's setting
target_source-baseline = own baseline

# QuestionState
question_state-open = open
question_state-sent = sent
question_state-answered = answered
question_state-withdrawn = withdrawn

# LockState
lock_state-on = on
lock_state-off = off

# CrewEvent
crew_event-arrived = arrived
crew_event-left = left

# InstrumentKind
instrument_kind-flue_gas_analyser = flue gas analyzer
instrument_kind-manometer = manometer
instrument_kind-multimeter = multimeter, microamp range
instrument_kind-air_probe = air temperature probe
instrument_kind-gas_detector = combustible gas detector
instrument_kind-co_monitor = room CO monitor
instrument_kind-infrared_thermometer = infrared thermometer
instrument_kind-clock = stopwatch
instrument_kind-clamp_meter = clamp meter
instrument_kind-ph_meter = pH meter
instrument_kind-pin_gauge = pin gauge set
instrument_kind-tachometer = tachometer
