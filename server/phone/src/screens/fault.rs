//! Finding the fault: the likely causes, the test that tells most for its minutes, and one key a result.
//!
//! A cause never stands without the others; a result is named by what was seen; what may not be done now
//! says why. The plate, the local code and the licensed person decide.

pub mod names;
pub mod order;
pub mod pipe;
pub mod start;
pub mod tests;

use client_core::fault::advise::{Advice, Search, Step, Stop};
use client_core::fault::belief::Candidate;
use client_core::fault::choice::Care;
use client_core::fault::detect::Suspicion;
use client_core::fault::known::quantity;
use client_core::fault::next::{Offer, Outlook, outlooks};
use client_core::fault::say;
use client_core::fault::table::{CauseId, Table};
use client_core::record::body::{Body, Kind};
use client_core::record::code::{Phase, Quantity};
use client_core::record::file::{UnitInVisit, VisitFile};
use client_core::record::id::ApplianceId;
use client_core::record::phrase::Tongue as _;
use client_core::trade::stats::words::ten_dots;
use maud::{Markup, html};

use crate::bits;
use crate::search::{self, From, Standing};
use crate::see::See;
use crate::tap::{Deed, Name, Place};

/// Causes with a line of their own; the others stand together.
const CAUSES_SHOWN: usize = 3;

/// A cause in the few words that fit a key.
fn named<'t>(see: &See<'_>, table: &Table, candidate: Candidate) -> &'t str {
    see.t(names::short(table, candidate))
}

/// What a search is made from, as the screens see it.
pub fn from<'a>(see: &See<'a>) -> From<'a> {
    From { state: see.state, lists: see.lists, site: see.site, visit: see.visit, now: see.now }
}

/// What is seen, in the words of the floor.
pub fn short(symptom: &str) -> &'static str {
    match symptom {
        "dead" => "nothing starts",
        "inducer_no_ign" => "fan runs, no try",
        "try_no_light" => "tries but does not light",
        "pilot_no_main" => "pilot lit, no main flame",
        "lights_drops" => "lights, then drops",
        "limit_cycles" => "stops on its limit",
        "low_heat" => "runs, stays cold",
        "weak_flame" => "stays on weak flame",
        "bad_combustion" => "high CO or yellow flame",
        "delayed_ign" => "lights late or rough",
        "pilot_out" => "pilot goes out",
        "runs_on" => "will not stop",
        "intermittent" => "fails now and then",
        "no_modulation" => "stuck at one fire",
        "drips" => "water at unit or vent",
        _ => "another symptom",
    }
}

/// The page.
pub fn page(see: &See<'_>, place: &Place, unit: ApplianceId) -> Markup {
    let (Some(file), Some(own)) = (see.file, see.unit(unit)) else {
        return bits::page(see, place, &html! {});
    };
    let Some(standing) = search::standing(from(see), file, own) else {
        return start::does_what(see, place, unit);
    };
    let table = Table::standard();
    let beside =
        html! { span class="t3 b" { (bits::capital(see.t(short(table[standing.symptom].key)))) } };
    let inside = html! {
        (bits::unit_head(&see.unit_no(unit), &beside))
        div class="pad stack grow" {
            (bits::notice(see))
            (pipe::of(see, unit, &standing))
            (seen(see, own, &standing))
            @match &standing.advice {
                Err(_) => p class="note" { (see.t("This does not happen to such a unit. Say again what is seen.")) },
                Ok(Advice::GasProcedure) => (gas_procedure(see)),
                Ok(Advice::Search(search)) => {
                    (dangers(see, table, search))
                    (suspicions(see, &standing.known.suspicions))
                    (causes(see, table, search, &standing))
                    (next(see, table, unit, search, &standing))
                },
            }
        }
        (keys(see, table, unit, &standing))
    };
    bits::page(see, place, &inside)
}

/// Gas smell: one procedure and nothing else.
fn gas_procedure(see: &See<'_>) -> Markup {
    html! {
        p class="note now" { b { (see.t("Gas smell: stop here.")) } " "
            (see.t("No switch, no flame, no test. The key with eight corners says what to do.")) }
    }
}

/// What stands in the visit that the search goes by.
fn seen(see: &See<'_>, own: &UnitInVisit<'_>, standing: &Standing) -> Markup {
    let Some(sheet) = &own.sheet else { return html! {} };
    let say = see.say();
    let table = Table::standard();
    let mut lines: Vec<String> = vec![];
    for entry in sheet.read.counted(Kind::Symptom) {
        if let Body::Symptom(own) = &entry.body
            && table.symptom(&own.symptom) == Some(standing.symptom)
            && let Some(text) = &own.text
        {
            lines = vec![search::symptom_text(see.language(), text)];
        }
    }
    for (id, _) in &standing.known.results {
        let Some(entry) = sheet.read.entry(*id) else { continue };
        let said = match &entry.body {
            Body::Reading(reading) => {
                format!("{} {}", see.t(reading.quantity.says()), say.measured(&reading.value))
            }
            body => say.body(body),
        };
        if !lines.contains(&said) {
            lines.push(said);
        }
    }
    html! {
        @if !lines.is_empty() { p class="dim" { (see.t("Seen")) ": " (lines.join("; ")) "." } }
    }
}

fn dangers(see: &See<'_>, table: &Table, search: &Search) -> Markup {
    html! {
        @if !search.dangers.is_empty() {
            div class="note now" role="alert" {
                p { b class="inv" { (see.t("Shut-down is proposed")) } " "
                    (see.t("A qualified person decides. Only tests on a dead unit from here.")) }
                @for danger in &search.dangers {
                    p { (bits::capital(&see.phrase(&say::danger(table, search, danger)))) "." }
                }
            }
        }
    }
}

/// Figures before the repair that contradict each other, for the screen on which they are looked through.
pub fn contradict(
    see: &See<'_>,
    file: &VisitFile<'_>,
    own: &UnitInVisit<'_>,
    phase: Phase,
) -> Markup {
    if phase == Phase::AsLeft {
        return html! {};
    }
    suspicions(see, &search::knows(from(see), file, own).suspicions)
}

/// Figures that contradict each other.
fn suspicions(see: &See<'_>, all: &[Suspicion]) -> Markup {
    html! {
        @for own in all {
            p class="note" { b { (see.t("The figures")) ": " } (bits::capital(&see.phrase(&own.because))) ". "
                (bits::capital(see.t(own.next))) "." }
        }
    }
}

/// Ten dots: the leaders, then everything else with "none of these".
fn causes(see: &See<'_>, table: &Table, search: &Search, standing: &Standing) -> Markup {
    let shown: Vec<(Candidate, f64)> = search
        .ranked
        .iter()
        .filter(|(candidate, _)| candidate.is_some())
        .take(CAUSES_SHOWN)
        .copied()
        .collect();
    let rest: f64 = 1.0 - shown.iter().map(|(_, p)| p).sum::<f64>();
    let others = search.ranked.len().saturating_sub(shown.len() + 1);
    let mut shares: Vec<f64> = shown.iter().map(|(_, p)| *p).collect();
    shares.push(rest.max(0.0));
    let dots = ten_dots(&shares);
    let others = match others {
        0 => see.t("none of these").to_owned(),
        1 => see.t("1 other, with \u{201c}none of these\u{201d}").to_owned(),
        many => see.f("{} others, with \u{201c}none of these\u{201d}", &[&many.to_string()]),
    };
    let names = shown.iter().map(|(candidate, _)| named(see, table, *candidate).to_owned());
    let names = names.chain([others]);
    html! {
        table class="causes" {
            caption class="dim t1" { (see.t("Likely causes, out of 10 like this")) }
            tbody {
                @for (name, dots) in names.zip(&dots) {
                    tr { th scope="row" { (name) } td { (ten(see, *dots)) } }
                }
            }
        }
        @if search.together.is_some() {
            p class="t1" { (see.t("No single test tells the first two apart: the repair with its as-left does.")) }
        }
        p class="t1 dim" { (weights(see, table, &shown, standing)) }
        @for (_, why) in &search.set_aside {
            p class="t1 dim" { (bits::capital(&see.phrase(&say::set_aside(table, &standing.results, *why)))) "." }
        }
    }
}

fn ten(see: &See<'_>, filled: u8) -> Markup {
    let words = see.f("{} in 10", &[&filled.to_string()]);
    html! {
        span class="dots" role="img" aria-label=(words) {
            @for place in 0..10 { i class=[(place < filled).then_some("on")] {} }
        }
    }
}

/// How far this building's own findings have moved the weights.
fn weights(
    see: &See<'_>,
    table: &Table,
    shown: &[(Candidate, f64)],
    standing: &Standing,
) -> String {
    let leader = shown.first().and_then(|(candidate, _)| *candidate);
    let job = (standing.symptom, standing.family);
    let moved = leader.and_then(|cause| Some((cause, standing.learnt.shift(table, job, cause)?)));
    let Some((cause, shift)) = moved else {
        return see
            .t("General weights, trade judgement. Not yet this building\u{2019}s counts.")
            .to_owned();
    };
    let about = |share: f64| see.phrase(&say::chance(share));
    let mut words = see.f(
        "{}: {} of {} findings in this building; in general {} with this symptom.",
        &[
            named(see, table, Some(cause)),
            &shift.count.0.to_string(),
            &shift.count.1.to_string(),
            &about(shift.general),
        ],
    );
    words.push(' ');
    words.push_str(&see.f("Before any test it is {} here.", &[&about(shift.now)]));
    if let Some((age, without)) = shift.without_age {
        words.push(' ');
        words.push_str(&see.f(
            "The unit\u{2019}s age, {}, moves it there from {}.",
            &[see.t(age.words()), &about(without)],
        ));
    }
    words
}

/// The test in hand: the one picked, when it may be made, else the one that tells most.
pub fn in_hand<'s>(see: &See<'_>, unit: ApplianceId, search: &'s Search) -> Option<&'s Offer> {
    let picked = search::picked(see.state, unit);
    let picked = picked.and_then(|test| search.offers.iter().find(|offer| offer.test == test));
    if picked.is_some() {
        return picked;
    }
    match &search.step {
        Step::Test(offer) => search.offers.iter().find(|own| own.test == offer.test),
        _ => None,
    }
}

/// What is next, with the reason.
fn next(
    see: &See<'_>,
    table: &Table,
    unit: ApplianceId,
    search: &Search,
    standing: &Standing,
) -> Markup {
    if let Some(offer) = in_hand(see, unit, search) {
        return test(see, table, search, offer);
    }
    let words = match &search.step {
        Step::ReadAmbientCo => {
            see.t("Read the CO in the room first, at the door and under the unit. Nothing is lit before.")
        }
        Step::CheckGasSmell => {
            see.t("Check for gas smell, low and high, with nose and detector. Nothing is lit before.")
        }
        Step::GasCheckAndWait(_) => {
            see.t("Two trials in a row. Gas check and wait, five minutes or what the label says, before another.")
        }
        Step::Stop(stop) => return stopped(see, table, search, *stop),
        Step::Test(_) => "",
    };
    let left = search::wait_until(see.state, unit);
    html! {
        div class="panel" {
            h2 { (see.t("First")) }
            p { (words) }
            @if let (Step::GasCheckAndWait(test), Some(until)) = (&search.step, left) {
                @let seconds = (until - see.now.secs).max(0);
                p { (see.t("Wait")) ": " b class="t4" data-until=(until) { (format!("{}:{:02}", seconds / 60, seconds % 60)) } }
                p class="dim" { (see.t("Then")) ": " (see.t(table[*test].name)) }
            }
            @if standing.results.is_empty() { p class="t1 dim" { (see.t("Then the first test.")) } }
        }
    }
}

/// The panel of a test: what, how long, what first, and why it is worth its minutes.
fn test(see: &See<'_>, table: &Table, search: &Search, offer: &Offer) -> Markup {
    let test = &table[offer.test];
    let outlooks = outlooks(table, &search.belief, offer.test);
    let best = search.offers.first().is_some_and(|best| best.test == offer.test);
    html! {
        div class="panel" {
            div class="between" {
                h2 { (see.t(test.name)) }
                b { (see.f("{} min", &[&format!("{:.0}", offer.minutes)])) }
            }
            p class="dim" { (see.f("at {}", &[see.t(test.place)]))
                @if offer.setup_min > 0.0 {
                    "; " (see.f("{} of them set-up, paid once here", &[&format!("{:.0}", offer.setup_min)]))
                }
            }
            p { b { (see.t("First")) ": " }
                @if offer.permit.cock_closed { (see.t("gas cock closed")) "; " }
                (offer.permit.cares.members().map(|care| see.t(care.words())).collect::<Vec<_>>().join("; ")) "." }
            p { (why(see, table, search, &outlooks, best)) }
        }
    }
}

/// The reason in words: which two it tells apart, or that it tells most for its minutes.
fn why(see: &See<'_>, table: &Table, search: &Search, outlooks: &[Outlook], best: bool) -> String {
    let first = search.ranked.first().map(|(candidate, _)| *candidate);
    let mut leads: Vec<Candidate> = outlooks.iter().map(|own| own.leader.0).collect();
    leads.dedup();
    // The one that leads now is named first where it may go on leading.
    leads.sort_by_key(|candidate| Some(*candidate) != first);
    leads.dedup();
    let splits = match *leads.as_slice() {
        [one] if Some(one) == first => {
            see.f("Whatever it shows, {} stays ahead; it says how far.", &[named(see, table, one)])
        }
        [one, other, ..] => see.f(
            "It can turn the order: {} or {} would lead after it.",
            &[named(see, table, one), named(see, table, other)],
        ),
        _ => String::new(),
    };
    let most = if best {
        see.t("Tells most for its minutes.")
    } else {
        see.t("Picked by you; another would tell more for its minutes.")
    };
    format!("{most} {splits}")
}

fn stopped(see: &See<'_>, table: &Table, search: &Search, stop: Stop) -> Markup {
    let repair =
        |cause: CauseId| see.f("Usual repair once proved: {}.", &[see.t(table[cause].repair)]);
    let (head, lines) = match stop {
        Stop::Clear(cause) => (see.t("One cause stands out"), vec![repair(cause)]),
        Stop::Together(first, second) => {
            (see.t("Two causes that no test tells apart"), vec![repair(first), repair(second)])
        }
        Stop::RepairIsShorter { cause, test_min, repair_min } => (
            see.t("The repair is shorter than another test"),
            vec![
                see.f(
                    "The next test takes {} minutes, the usual repair {}.",
                    &[&format!("{test_min:.0}"), &format!("{repair_min:.0}")],
                ),
                repair(cause),
            ],
        ),
        Stop::NoneOfThese => (
            see.t("The results fit none of the listed causes"),
            vec![see.t("Look at the start again, or ask the maker with model, serial and these results.").to_owned()],
        ),
        Stop::NothingLeft => (
            see.t("No test that may be made now would tell more"),
            vec![match search.held_back.len() {
                0 => see.t("Ask the maker with model, serial and these results.").to_owned(),
                many => see.f("{} are held back, each with its reason.", &[&many.to_string()]),
            }],
        ),
    };
    html! {
        div class="panel" {
            h2 { (head) }
            p { (bits::capital(&see.phrase(&say::standing(table, search)))) "." }
            @for line in lines { p { (line) } }
            p class="dim" { (see.t("The proof is the repair with a clean as-left. Plate, local code and the licensed person decide.")) }
        }
    }
}

// --- keys ---

fn keys(see: &See<'_>, table: &Table, unit: ApplianceId, standing: &Standing) -> Markup {
    let main = match standing.search() {
        None => html! {},
        Some(search) => match in_hand(see, unit, search) {
            Some(offer) => results(see, table, unit, search, offer),
            None => first(see, table, unit, search),
        },
    };
    bits::foot(&html! {
        (main)
        div class="keys k4" {
            (bits::key(Place::Tests { unit }, see.t("Can't"), see.t("other test")))
            (bits::key(Place::ShutDown { unit }, see.t("Shut down"), ""))
            (bits::back(see))
            (bits::gas_smell(see))
        }
    })
}

/// One key a result, named by what is seen; a figure is typed where one decides.
fn results(
    see: &See<'_>,
    table: &Table,
    unit: ApplianceId,
    search: &Search,
    offer: &Offer,
) -> Markup {
    let test = &table[offer.test];
    let outlooks = outlooks(table, &search.belief, offer.test);
    let points = |outcome: usize| {
        let found = outlooks.iter().find(|own| own.outcome == outcome);
        found.map_or_else(String::new, |own| {
            see.f(
                "then {}, before {}",
                &[named(see, table, own.leader.0), named(see, table, own.runner_up.0)],
            )
        })
    };
    let figure = quantity(test.key);
    html! {
        @if let Some(quantity) = figure {
            (bits::big(Place::One { unit, phase: Phase::InWork, quantity }, see.t("Type the figure"),
                &bits::capital(see.t(quantity.says()))))
        }
        div class="keys k2" {
            @for (outcome, words) in test.outcomes.iter().enumerate() {
                (bits::key(Deed::Gave { unit, test: Name(test.key.to_owned()), outcome: u8::try_from(outcome).unwrap_or(u8::MAX) },
                    &bits::capital(see.language().result(test.key, words)), &points(outcome)))
            }
        }
    }
}

/// The key of what comes before a test, or the causes to settle on.
fn first(see: &See<'_>, table: &Table, unit: ApplianceId, search: &Search) -> Markup {
    match &search.step {
        Step::ReadAmbientCo => {
            let quantity = Quantity::AmbientCo;
            bits::big(
                Place::One { unit, phase: Phase::InWork, quantity },
                see.t("Room CO"),
                see.t("type the figure"),
            )
        }
        Step::CheckGasSmell => bits::big(
            Deed::NoSmell { unit },
            see.t("No gas smell"),
            see.t("low and high, nose and detector"),
        ),
        Step::GasCheckAndWait(_) => match search::wait_until(see.state, unit) {
            None => bits::big(
                Deed::GasChecked { unit },
                see.t("Gas checked, none found"),
                see.t("the wait begins"),
            ),
            Some(_) => {
                bits::big(Deed::Waited { unit }, see.t("The wait is over"), see.t("one more trial"))
            }
        },
        Step::Stop(_) => settle(see, table, unit, search),
        Step::Test(_) => html! {},
    }
}

/// The causes to settle on: the leaders, and none of these.
fn settle(see: &See<'_>, table: &Table, unit: ApplianceId, search: &Search) -> Markup {
    let listed: Vec<CauseId> =
        search.ranked.iter().filter_map(|(candidate, _)| *candidate).take(2).collect();
    let deed = |key: &str| Deed::ItIs { unit, cause: Name(key.to_owned()) };
    html! {
        @if let Some(first) = listed.first() {
            (bits::big(deed(table[*first].key), named(see, table, Some(*first)), see.t("enter it as the finding")))
        }
        div class="keys k2" {
            @if let Some(second) = listed.get(1) {
                (bits::key(deed(table[*second].key), named(see, table, Some(*second)), see.t("enter it instead")))
            }
            (bits::key(Place::Found { unit }, see.t("Another cause"), see.t("from the list, or in words")))
        }
    }
}

/// The keys of what a person can meet today, as a line.
pub fn met(see: &See<'_>) -> String {
    let cares = search::cares(see.state);
    let met: Vec<&str> = cares
        .members()
        .filter(|care| *care != Care::Look)
        .map(|care| see.t(order::short(care)))
        .collect();
    if met.is_empty() { see.t("only looking").to_owned() } else { met.join(", ") }
}
