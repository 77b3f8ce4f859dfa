# Sentences of the reports.

authority = The equipment’s plate, the local code and the licensed person decide. This record informs them; it decides nothing.
foot-reference = Record { $reference }. The plate, the local code and the licensed person decide.

# Head of a visit

visit-what = { $kind }, { $when }
visit-no_kind = visit
visit-no_day = day not entered
visit-no_site = site not entered
visit-no_customer = customer not entered
visit-no_crew = nobody entered as having worked
visit-crew = Who came: { $names }
visit-signed = signed by { $person } as { $role }, { $at }
visit-unsigned = not signed
visit-not_released = not released by a supervisor yet

# Columns

column-answers = Answers
column-area = Area
column-at_visits = At visits
column-by_when = By when, and who decides
column-carry = Carry
column-check = Check
column-did = Did
column-figure = Figure
column-for_causes = For
column-for_units = For units
column-formula = Formula
column-found = Found
column-from = From
column-governs = Governs
column-if_not = If nothing is done
column-last_time = Last time
column-left = Left
column-limit = Limit
column-limit_source = Limit and its source
column-number = No.
column-open = Open
column-part = Part
column-phase = Phase
column-photo = Photo
column-quantity = Quantity
column-register = Item
column-remarks = Remarks
column-said_by = Said by
column-says = What it says
column-source = Source of the limit
column-unit = Unit
column-used = Used
column-value = Value
column-verdict = Verdict
column-visit = Visit
column-what_and_why = What, and why
column-when = When
column-who = Who
column-why = Why
column-with = With

# The sentence at the top

lead = { $heaters }: { $states }.
lead-heaters =
    { $count ->
        [0] No heaters
        [one] { $count } heater
       *[other] { $count } heaters
    }
lead-within = { $count } left working within the limits entered
lead-not_measured = { $count } working, not measured as left or without a limit to compare with
lead-cannot_tell = { $count } with a figure of which the instrument cannot tell on which side of its limit it lies
lead-watch = { $count } on watch or waiting for a part
lead-outside = { $count } with a figure outside a limit entered
lead-not_reached = { $count } not reached or not opened
lead-not_settled = { $count } whose state is not settled
lead-stopped = { $count } stopped by its own control
lead-shut_down = { $count } SHUT DOWN
lead-removed = { $count } removed
lead-none_shut_down = none shut down

# Customer's page

customer-title = Your heaters, { $when }
customer-decide = Needs your decision
customer-done = Done at this visit
customer-trend = How the site is trending
customer-untested = What was not tested, and why
customer-limits = Limits on this page come from: { $sources }.
customer-no_limits = No figure on this page could be compared with a limit.
customer-licences = Licenses: { $licences }.
customer-record = Record { $reference }.
decide-caption = What needs your decision
decide-none = No advice is open.
decide-no_date = No date set
decide-was_due = Was due { $day }
decide-no_photo = no photo
decide-nobody_told = Nobody at your side is entered as told yet.
decide-shut_down = { $unit } is shut down. Do not use it.
decide-tagged_by = Tagged by { $person }, { $at }.
who-note = For your information
who-advise = You decide
who-urgent = A supervisor sets the limit and the date; you decide on the repair
who-shut_down = Only a licensed person may release it, after proof; where local rules say so, the inspector or the gas utility.
if_not-note = Nothing is expected to change soon.
if_not-advise = It works now and will not stay so.
if_not-urgent = It may only run within the limit and until the date stated.
if_not-shut_down = It stays shut down: the danger is to life or property.
done-caption = What was found, done and left
done-nothing_found = Nothing found
done-nothing_done = Nothing entered as done
done-figure = { $name }: { $value }
done-parts = Parts: { $parts }
done-no_limit = no figure to compare
done-shut_down = shut down
done-others_within =
    { $count ->
        [one] { $count } more heater was measured; every figure that has a limit was within it.
       *[other] { $count } more heaters were measured; every figure that has a limit was within it.
    }
done-others_not = Nothing is entered as found or done on { $units }; this does not say that nothing is wrong there.
trend-caption = The same cause, by area and visit
trend-intro = What came back most: “{ $cause }”. One dot a heater, over { $visits } visits.
trend-none = No cause came back on the same heater in { $visits } visits.
trend-first = This is the first visit on record: there is nothing to compare it with yet.
trend-not_opened = not opened
trend-elsewhere = all other areas
trend-dotted = Filled dot: it happened. Open dot: the heater was opened and it was not found. Dotted ring: not opened at that visit.
untested-nothing = Every heater was opened, and every proof on this list was taken.
untested-no_reason = no reason entered
untested-not_reached = { $unit } was not reached: { $reason }
untested-not_taken = { $unit }: a figure could not be taken: { $reason }
untested-checks = { $unit }: not done: { $checks }
untested-count = { $what }: measured as left on { $done } of the { $of } heaters opened; not tested on { $missing }
untested-named = { $what }: measured as left on { $done } of the { $of } heaters opened; not tested on { $units }
untested-gas_pressure = Gas pressure at the burner
untested-flame = Flame or pilot signal
untested-exhaust = Carbon monoxide in the exhaust or the delivered air
untested-meter = Gas input by the meter
signature-supervisor = supervisor
signature-customer = Customer
signature-seen = seen
plain_figure-manifold_high = burner gas pressure
plain_figure-flame_current = flame signal
plain_figure-clocked_input = gas input by the meter
plain_figure-co_air_free = carbon monoxide in the exhaust, free of extra air
plain_figure-draft_differential = pull of the exhaust fan
plain_figure-profile_differential = air pressure over the burner
plain_figure-rise = warming of the air
plain_figure-igniter_ohms = igniter resistance
plain_figure-inlet_flowing = gas pressure at the heater
plain_figure-ambient_co = carbon monoxide in the room
plain_figure-contact_drop = voltage lost at a contact
plain_figure-thermocouple_loaded = pilot signal
plain_figure-pilot_pressure = pilot gas pressure

# Record of a visit

record-title = Record of the visit, { $when }
record-shut_down = { $unit } is shut down. Do not use it.
record-shut_down_no_tag = { $unit } has the status shut down, and no shut-down record is in force. Find out why before anybody starts it.
record-blocking = What blocks the sign-off
record-nothing_blocks = Nothing blocks it.
record-excepted = Let pass by a supervisor: { $reason }
record-differences = What two people said differently
record-differences_none = Nothing.
record-outside = Figures as left outside their limit, or too near to tell
record-outside_none = None among the figures that were read and have a limit.
record-missing = Not measured as left
record-missing_none = No unit that was worked on lacks readings as left.
record-as_left_missing = { $unit }: worked on, not measured as left
record-not_opened = { $unit }: not opened
record-instruments = Instruments past due
record-instruments_none = None among those named at readings.
record-overdue =
    { $count ->
        [one] { $instrument }: past due since { $since }, { $count } reading
       *[other] { $instrument }: past due since { $since }, { $count } readings
    }
record-questions = Questions to manufacturers
record-questions_none = None.
record-signed = Sign-offs, and the figures as signed
record-units = Units
record-rest = Everything else
record-problems = Parts that this version cannot read
signed-documents =
    { $count ->
        [one] { $count } document
       *[other] { $count } documents
    }
signed-figures =
    { $count ->
        [one] { $count } figure as signed
       *[other] { $count } figures as signed
    }
signed-without_figures = no copy of figures
signed-no_figures = No sign-off holds a copy of figures.
signed-caption = Figures as signed by { $person }, { $at }
signed-nothing_moved = Every figure is today what it was when it was signed.
signed-moved = { $unit }, { $figure }, { $phase }: signed as { $signed }, now { $now } ({ $why })
signed-gone = nothing that can be worked out
signed-by_formula = another formula or version works it out now
signed-by_readings = readings or settings changed after the signature
signed-no_limit = no limit
signed-outside = outside
signed-see_words = see its sentence

# One unit

unit-status = status: { $status }
unit-status_open = its status has two answers
unit-outcome = turn: { $outcome }
unit-no_outcome = turn not closed
unit-gas = gas supplied: { $gas }
unit-gas_open = gas supplied not settled
unit-merged = Merged into { $unit }: the same unit entered twice.
unit-no_figures = No figures as found or as left.
unit-double = entered twice, counts once
unit-symptom = Complaint: { $says } ({ $person })
unit-tested = Test: { $says } ({ $person })
unit-finding = Found: { $says } ({ $person })
unit-work = Did: { $says } ({ $person })
unit-part = Part: { $says } ({ $person })
unit-gas_part = Gas part: { $says } ({ $person })
unit-photo = Photo: { $says } ({ $person })
unit-advisory = Advice: { $says } ({ $person })
unit-ack = Told: { $says } ({ $person })
unit-closing = Advice closed: { $says } ({ $person })
unit-repointed = Entered for { $from }, belongs here: { $says }
unit-note = Note on { $subject }
unit-note_writers =
    { $count ->
        [one] ({ $count } person wrote it)
       *[other] ({ $count } people edited this)
    }
checks-caption = Checks
check-answer = { $person }: { $result }, { $at }
entries-caption = Every entry, in the order in which it became known
plate-caption = Registers of the unit, with who said them
plate-none = No plate entered.
plate-said_by = { $person }, { $at }
plate-two_answers = two answers, not settled

# Dossier of a unit

dossier-title = All evidence for { $unit }
dossier-what = All evidence for { $unit }
dossier-lead =
    { $visits ->
        [one] { $unit }: { $visits } visit on record. Status now: { $status }.
       *[other] { $unit }: { $visits } visits on record. Status now: { $status }.
    }
dossier-plate = Plate and unit
dossier-targets = Targets
dossier-targets_none = No target entered beside the plate.
dossier-charts = Readings over the visits
dossier-charts_none = No figure was read at two visits: there is nothing to draw yet.
dossier-own = Entries of the unit’s own document
dossier-foot = All evidence for { $unit }. The plate, the local code and the licensed person decide.
dossier-no_area = area not entered
dossier-no_make = maker and model not entered

# Question to a manufacturer

question-title = Question to a manufacturer, { $unit }
question-what = Question to the manufacturer
question-what_to = Question to
question-asked_by = Asked by { $person }, { $at }, for { $unit }. State: { $state }.
question-unit = The unit
question-site = The site’s gas and altitude
question-site_caption = Gas and altitude of the site
question-no_site = Nothing is entered about the site’s gas and altitude.
question-figures = Figures and what was seen
question-answers = Answers so far
question-your_answer = Your answer
question-answer_lines = Figures with unit, stage, gas, altitude; the page or bulletin they come from; your name; the day
question-use = An answer is entered with its source and its day and is shown beside the plate. It never replaces the plate.

# Plan of a day

morning-title = Plan of the day, { $when }
morning-what = Plan of the day, { $when }
morning-lead =
    { $count ->
        [one] { $count } unit on the plan.
       *[other] { $count } units on the plan.
    }
morning-tagged = Shut down: { $units }. Do not start any of them before a licensed person has released it.
morning-caution = Smell of gas or a CO alarm: no switch, no flame, get people out, call from outside. Test the air for CO and gas before opening a unit.
morning-no_emergency = No muster point and no emergency number are entered for this site: ask before you go up.
morning-unassigned = Nobody yet
morning-caption = The walk
morning-notes = About the site
morning-never = no visit on record
morning-no_cause = no cause entered
morning-questions =
    { $count ->
        [one] { $count } question without an answer
       *[other] { $count } questions without an answer
    }
morning-contested =
    { $count ->
        [one] { $count } item with two answers
       *[other] { $count } items with two answers
    }
rank-urgent = urgent advice is open
rank-unsettled = two answers not settled
rank-no_heat = no heat
rank-watch = on watch
rank-falling = a margin is falling
rank-repeats = the same cause came back
rank-missed = missed last time
rank-usual = in turn
rank-tagged = shut down: look, do not start

# What the truck needs

restock-title = Parts for the truck, { $when }
restock-what = Parts for the truck, after { $when }
restock-lead =
    { $count ->
        [0] No part was used.
        [one] { $count } kind of part was used.
       *[other] { $count } kinds of parts were used.
    }
restock-doubtful =
    { $count ->
        [one] { $count } pair of lines may be one event entered twice; both are counted until somebody says.
       *[other] { $count } pairs of lines may be one event entered twice; both are counted until somebody says.
    }
restock-used = Used
restock-used_caption = Parts used at this visit
restock-no_source = not entered
restock-carry = Worth carrying
restock-carry_caption = Parts that the record says are worth carrying
restock-carry_why = Enough for nine visits of ten like those on record. It counts what was used, not what was wanted.
restock-no_carry = There are not enough visits on record to say what to carry.
restock-no_cause = no cause entered

# A site's register of differences

register-title = Register of differences
register-foot = Register of differences. The plate, the local code and the licensed person decide.
register-lead =
    { $open ->
        [0] Nothing is open.
        [one] { $open } difference is open.
       *[other] { $open } differences are open.
    } { $settled ->
        [0] None was settled.
        [one] { $settled } was settled, by a named person with a reason.
       *[other] { $settled } were settled, each by a named person with a reason.
    }
