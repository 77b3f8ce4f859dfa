# Figures, limits, verdicts, and what is missing.

limit-between = { $low } to { $high }
limit-at_least = at least { $low }
limit-at_most = at most { $high }
limit-none = no figure entered
limit-with_source = { $limit } ({ $source })

source-plate = plate
source-plate_band = band of common practice round the plate’s { $figure }
source-plate_bands = bands of common practice round the plate’s figure
source-valve_or_plate = valve’s or plate’s maximum
source-plate_or_control = plate or flame control
source-switch = setpoint of the pressure switch
source-dated = { $source } of { $day }

verdict-within = { $name } is within { $limit } by { $margin } ({ $source })
verdict-over = { $name } is { $by } over its limit, { $limit } ({ $source })
verdict-under = { $name } is { $by } under its limit, { $limit } ({ $source })
verdict-too_close = { $name } lies { $distance } from its limit, { $limit } ({ $source }): the instrument cannot tell on which side. Measure again with a finer instrument, or treat it as outside
verdict-not_tested = { $name } was not tested
verdict-no_target = { $name }: no figure of the plate or the maker entered, so it is not judged. Ask the manufacturer
verdict-co = { $name }: { $meaning } ({ $source })

verdict_label-within = within
verdict_label-over = over
verdict_label-under = under
verdict_label-too_close = cannot tell
verdict_label-not_tested = not tested
verdict_label-no_target = no target yet

co_label-note = recorded
co_label-find_source = find the source
co_label-leave_area = leave the area
co_label-everybody_out = everybody out
co_label-usual = usual
co_label-find_cause = find the cause
co_label-shut_down = shut down
co_band-note = recorded; a spot reading cannot show what an average over a shift is
co_band-find_source = something is adding CO; find it before other work
co_band-leave_area = leave the area, warn others, ventilate, shut the likely source if that can be done without risk
co_band-everybody_out = get people out now and call emergency services from outside
co_band-usual = under what is usual for most vented units; read it beside O2 and its direction
co_band-find_cause = find the cause, test again, advise
co_band-shut_down = over the figure vented heaters are tested to; shut down and call your supervisor
co_source-note = common practice; the firm’s own setting goes first
co_source-find_source = common practice; the firm’s own setting goes first
co_source-leave_area = common practice; the firm’s own setting goes first
co_source-everybody_out = common practice; the firm’s own setting goes first
co_source-usual = 100 ppm air-free: common practice
co_source-find_cause = 100 ppm air-free: common practice
co_source-shut_down = 400 ppm air-free: ANSI Z21/Z83 family as reported in the trade press
co_lines-flue = 100 / 400 ppm
co_lines-room = 9 / 35 / 100 ppm

derived-net_stack = net stack temperature
derived-co2 = CO2 worked out from O2
derived-excess_air = excess air
derived-co_air_free = air-free CO
derived-efficiency = combustion efficiency, gross
derived-manifold_input = input by manifold pressure
derived-clocked_input = input by the meter
derived-output = output
derived-rise = temperature rise

figures-caption = Figures: found, left and limit; ± is twice the standard uncertainty of the instruments
figures-as_found = as found
figures-no_limit = no figure to compare

gap-flue_temperatures = flue sums wait for stack and combustion air temperature
gap-gas_not_settled = the gas supplied is not settled, so what depends on it is not worked out
gap-flue_sums = flue sums cannot be worked out: { $why }
gap-too_much_air = there is too much air in the sample to judge air-free CO; look for a leak in the sampling line, test again
gap-flue_co = air-free CO cannot be worked out: { $why }
gap-clocking = the input cannot be worked out from the meter: a reading is missing or impossible
gap-rise = the rise cannot be worked out: { $why }
gap-room_co = room CO cannot be judged: { $why }
gap-judging = { $name } cannot be judged: { $why }
impossible-oxygen_of_air = the sample is nearly all air
impossible-flue_colder = the flue reads colder than the air
impossible-no_rise = the outlet reads no warmer than the inlet
impossible-co2_over_most = CO2 is over the most that this gas can give
impossible-other = a figure is outside what can be

chart-title = { $figure }, over { $along }
chart-by_hours = firing hours
chart-by_days = days
chart-mark_hours = { $day }, { $hours } h
chart-found = found
chart-left = left
chart-caps = the bars reach as far as the instrument’s doubt (twice the standard uncertainty)
chart-co_100 = 100 ppm, common practice
chart-co_400 = 400 ppm, ANSI Z21/Z83 family as reported in the trade press
chart-no_limit = no limit entered
chart-sentence = { $figure }: found { $found }; left { $left }; limit: { $limits }.
chart-table = The points of the chart
