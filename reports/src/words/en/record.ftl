# What the record's entries, registers and differences say.

yes = yes
no = no
none = none
dash = –
colon = : { "" }
not_tested = not tested
list-and = { $first } and { $last }
count-of = { $hits } of { $of }
days-from_to = { $first } to { $last }

month-1 = January
month-2 = February
month-3 = March
month-4 = April
month-5 = May
month-6 = June
month-7 = July
month-8 = August
month-9 = September
month-10 = October
month-11 = November
month-12 = December
month_short-1 = Jan
month_short-2 = Feb
month_short-3 = Mar
month_short-4 = Apr
month_short-5 = May
month_short-6 = Jun
month_short-7 = Jul
month_short-8 = Aug
month_short-9 = Sep
month_short-10 = Oct
month_short-11 = Nov
month_short-12 = Dec

measured-over_range = over range
measured-not_taken = not taken:

# Entries of a sheet

entry-check = { $item }: { $result }
entry-adjustment = { $what } set from { $before } to { $after }
entry-not_read = a figure that was not read
entry-photo = photo of { $subject } ({ $hash })
entry-claim_here = works here
entry-claim_left = left the unit
entry-labour =
    { $minutes ->
        [one] { $person }: { $minutes } minute, { $kind }
       *[other] { $person }: { $minutes } minutes, { $kind }
    }
entry-crew = { $person } { $event }
entry-steady =
    { $minutes ->
        [one] steady for { $minutes } minute
       *[other] steady for { $minutes } minutes
    }
entry-early = early, not steady yet
entry-fuel_set = fuel set in the instrument: { $text }
entry-unusual = unusual because { $text }
entry-corrected = corrected because { $text }
entry-fan = fan { $state }
entry-panels = panels { $state }
entry-others = other units { $state }
entry-touched = touched: { $what }
entry-minutes = { $minutes } min
entry-gas_part = { $count } × { $part } marked { $marking }, for { $gas }, { $phase }
entry-kept = kept
entry-not_kept = not kept
entry-old_part = old part: { $story }
entry-part_number = no. { $text }
entry-for_gas = for { $gas }
entry-part_source = from { $text }

# Entries of a visit

entry-sign_off =
    { $count ->
        [one] signed as { $role }, { $count } document
       *[other] signed as { $role }, { $count } documents
    }
entry-reopened = opened again
entry-exception = let pass by a supervisor
entry-query_to = asked { $person }
entry-query = asked
entry-reply = replied
entry-lock_on = lock put on { $point }
entry-lock_off = lock taken off { $point }
entry-lock_number = lock { $number }
entry-void = withdraws entry { $entry }
entry-settlement = settled
entry-text_read = text read and left as it stands
entry-double_one = these are one event
entry-double_two = these are two events
entry-repoint = belongs to { $to }, was entered for { $from }
entry-vouch = work of this device accepted
entry-note = note on { $subject }

# Entries of a unit, a site, the company

entry-due = by { $day }
entry-closing = closed
entry-release = shut-down ended
entry-question = asked the manufacturer
entry-answer = manufacturer's answer
entry-target = target for { $what }: { $band }
entry-air_free = air-free
entry-from_day = from { $day }
entry-area = area { $label }
entry-position = position { $label }
entry-roster = { $unit } put on the roster
entry-serial = no. { $number }
entry-calibration = { $instrument } calibrated on { $day }
entry-bump = { $instrument } tried with { $with }
entry-catalogue = catalogue line { $part }
entry-other = an entry of a newer version
entry-tag = shut down: { $reason }
tag-no_isolation = no isolation entered
tag-isolated = isolated: { $points }
tag-told = told: { $told }
tag-not_told = nobody at the customer’s entered as told
tag-release_when = may be released when { $when }
entry-ack = { $told } told ({ $how }) and acknowledged it
entry-ack_refused = { $told } told ({ $how }) and did not acknowledge it
entry-decided = { $decision } by { $by }
entry-decision = customer’s decision: { $decision }
entry-until = until { $day }

event-installed = installed
event-moved = moved
event-replaced = replaced
event-converted = converted to another gas
event-repaired = repaired
event-modified = modified
event-recall = maker’s recall
event-complaint = complaint
event-season_start = start of the season
event-meter_read = hour meter read
member-contaminant = carried by the air here
member-visit_wish = wish for the next visit
member-spare_wish = part wished for the next visit
member-contact = contact
member-hazard = hazard
member-access = access

# Differences

about-register = { $field }
about-check = check “{ $item }”
about-readings = { $quantity }, { $phase }
about-text = two people edited this text
about-double = these may be one event
about-removed =
    { $count ->
        [one] taken off the roster although it has { $count } entry
       *[other] taken off the roster although it has { $count } entries
    }
about-late =
    { $count ->
        [one] { $count } entry that the sign-off did not show
       *[other] { $count } entries that the sign-off did not show
    }
about-clock_ahead =
    { $minutes ->
        [one] clock of { $person }: { $minutes } minute ahead of the hub
       *[other] clock of { $person }: { $minutes } minutes ahead of the hub
    }
about-clock_behind =
    { $minutes ->
        [one] clock of { $person }: { $minutes } minute behind the hub
       *[other] clock of { $person }: { $minutes } minutes behind the hub
    }
about-release = a release made without having seen these failing entries
about-lock = a lock taken off by another person than its owner

governs-register = until then the marked answer governs
governs-register_open = until then neither governs, and what depends on it is not judged
governs-check = until then the worst answer governs
governs-readings = until then the reading of the instrument in date governs
governs-readings_open = until then none governs; they are never averaged
governs-text = both edits stand in it
governs-double = until then both count
governs-removed = its entries stay
governs-late = they count, marked as after sign-off
governs-clock = stamps stay as entered; order is by what each had seen
governs-release = the release does not take effect; the unit stays shut down
governs-lock = both entries stand

next-register = a named person settles it with a reason
next-register_open = a named person settles it with a reason
next-check = one of them tests again, or a named person settles it with a reason
next-readings = measure again, or settle with the reading that governs and why
next-readings_open = measure again, or settle with the reading that governs and why
next-text = read it once and say that it reads well, or edit it
next-double = say that they are one event, or two
next-removed = merge it into the right unit, or put it on the roster again
next-late = a second sign-off that shows them
next-clock = a named person settles it with a reason
next-release = prove the unit again and release it again
next-lock = the owner says whether the lock is off, and why another took it

difference-visit = the visit
difference-caption = Both sides as entered
difference-more =
    { $count ->
        [one] and { $count } more, told with its unit
       *[other] and { $count } more, told with their units
    }
difference-text_merged = Both edits stand in the text as it is shown with its unit.
difference-open = Open.
difference-settled = Settled by { $person }, { $at }: { $says }
side-governs = governs
side-after = after { $at }
side-no_time = no time
side-person_unknown = not known
side-no_instrument = –

# Remarks beside entries

mark-found_after_work = found, entered after the work had begun
mark-work_begun_elsewhere = work had begun elsewhere
mark-instrument_overdue = instrument past due since { $day }
mark-early = early, not steady yet
mark-unexplained = unusual, not explained
mark-after_sign_off = after sign-off
mark-clock_ahead =
    { $minutes ->
        [one] clock { $minutes } minute ahead
       *[other] clock { $minutes } minutes ahead
    }
mark-clock_behind =
    { $minutes ->
        [one] clock { $minutes } minute behind
       *[other] clock { $minutes } minutes behind
    }
mark-licence_expired = license expired { $day }
mark-entered_for_another = entered for another person
mark-anothers_key = signed by the key of another person
mark-unknown_key = signed by a key that is not known
mark-vouched = accepted by a supervisor

remark-corrected = corrected by { $entry }
remark-withdrawn = withdrawn by { $entry }
remark-entered_by = entered by { $person }

# What blocks a sign-off

blocker-about = { $what }: { $about }
blocker-other = something that this version cannot name; see the record
blocker-unsettled = two answers not settled
blocker-not_told = shut down, and nobody at the customer’s entered as told
blocker-not_isolated = shut down, and no isolation entered
blocker-lock_on = a lock is still on
blocker-check_differs = a check with two answers
blocker-check_failed = a check that failed
blocker-leak_check = a gas joint was opened and its leak check is not entered
blocker-ports_closed = a gas test port was opened and not entered as closed
blocker-as_left_missing = worked on and not measured as left
blocker-left_as_found = closed as left as found although it was worked on
blocker-ambient_co = room CO not read where it is needed
blocker-gas_part = a gas part marked for another gas than the one supplied
blocker-manifold = manifold pressure as left outside its limit
blocker-inlet = inlet pressure as left outside its limit
blocker-clocked = clocked input as left outside its limit
blocker-co_air_free = air-free CO as left over its line
blocker-co_rising = CO as left rising
