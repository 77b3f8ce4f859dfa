//! A start followed step by step: one big key stamps each step as it is seen. Or the phone stays away, and
//! the last thing seen is picked afterwards, in one tap. What was not timed says so; it is never a pass.

use client_core::fault::choice::Family as Kin;
use client_core::fault::follow::{Next, Timing, follow};
use client_core::fault::sequence::Sequence;
use client_core::fault::table::Table;
use client_core::record::code::Family;
use client_core::record::file::UnitInVisit;
use client_core::record::id::ApplianceId;
use maud::{Markup, html};

use crate::app::NOTHING;
use crate::bits;
use crate::search::{self, Follow};
use crate::see::See;
use crate::tap::{Deed, Name, Place};

fn family(own: &UnitInVisit<'_>) -> Option<Kin> {
    own.word("unit/family").map(Family::from_code).and_then(|family| Kin::from_key(family.key()))
}

fn sequence(own: &UnitInVisit<'_>) -> Option<&'static Sequence> {
    let word = own.word("unit/family").map(Family::from_code)?;
    client_core::fault::sequence::named(word.key())
}

fn step_no(step: usize) -> u8 {
    u8::try_from(step).unwrap_or(NOTHING)
}

/// What a tag or an unknown family says instead of a start.
fn barred(see: &See<'_>, own: &UnitInVisit<'_>) -> Option<Markup> {
    if own.tag_in_force().is_some() {
        return Some(html! {
            p class="note now" { b class="inv" { (see.t("DO NOT USE")) } " "
                (see.t("The tag is on: nothing is started. Only tests on a dead unit.")) }
        });
    }
    if sequence(own).is_none() {
        return Some(html! {
            p class="note" { (see.t("Nobody has said how this unit lights. Read the plate, then come back: the steps depend on it.")) }
        });
    }
    None
}

/// The page.
pub fn page(see: &See<'_>, place: &Place, unit: ApplianceId) -> Markup {
    let Some(own) = see.unit(unit) else { return bits::page(see, place, &html! {}) };
    let beside = html! { span class="t3 b" { (see.t("Start")) } };
    if let Some(why) = barred(see, own) {
        let inside = html! {
            (bits::unit_head(&see.unit_no(unit), &beside))
            div class="pad stack grow" { (bits::notice(see)) (why) }
            (bits::foot(&html! { div class="keys k3" {
                (bits::key(Place::Plate { unit }, see.t("Plate"), "")) (bits::back(see)) (bits::gas_smell(see))
            } }))
        };
        return bits::page(see, place, &inside);
    }
    let Some(sequence) = sequence(own) else { return bits::page(see, place, &html! {}) };
    let started = search::start(see.state, unit);
    let inside = html! {
        (bits::unit_head(&see.unit_no(unit), &beside))
        @if started.begun.is_none() { (before(see, unit, sequence)) } @else { (running(see, unit, sequence, &started)) }
    };
    bits::page(see, place, &inside)
}

fn before(see: &See<'_>, unit: ApplianceId, sequence: &Sequence) -> Markup {
    html! {
        div class="pad stack grow" {
            (bits::notice(see))
            h2 { (see.t(sequence.title)) }
            p { (see.t(sequence.note)) }
            p class="dim" { (see.t(sequence.lockout)) }
            p class="note" { (see.t("No more than two trials in a row without a gas check and a wait. Never hold a reset, never defeat a switch. Face away at light-off.")) }
            ol class="steps" {
                @for step in &sequence.steps { li { (see.t(step.name)) small class="dim" { " " (see.t(step.expect)) } } }
            }
            p class="t1 dim" { (see.t("Windows are common practice; the unit's own sheet overrides.")) }
        }
        (bits::foot(&html! {
            (bits::big(Deed::StartNow { unit }, see.t("Call for heat is on"), see.t("then one key a step")))
            (bits::key(Place::LastSeen { unit }, see.t("Watched it"), see.t("pick the last thing seen")))
            div class="keys k2" { (bits::back(see)) (bits::gas_smell(see)) }
        }))
    }
}

fn timing_words(see: &See<'_>, timing: Timing) -> String {
    let whole = |seconds: f64| format!("{seconds:.0}");
    match timing {
        Timing::NotTimed => see.t("not timed").to_owned(),
        Timing::Early(by) => see.f("{} s sooner than usual", &[&whole(by)]),
        Timing::InWindow(after) => see.f("after {} s", &[&whole(after)]),
        Timing::Late(by) => see.f("{} s later than usual", &[&whole(by)]),
    }
}

fn running(see: &See<'_>, unit: ApplianceId, sequence: &Sequence, started: &Follow) -> Markup {
    let now_s =
        started.begun.and_then(|begun| i32::try_from(see.now.secs - begun).ok()).map(f64::from);
    let found = follow(sequence, &started.stamps, now_s);
    let next = match found.next {
        Next::Step { step, left_s } => Some((step, left_s)),
        Next::Complete => None,
    };
    html! {
        div class="pad stack grow" {
            (bits::notice(see))
            ol class="steps" {
                @for (n, step) in sequence.steps.iter().enumerate() {
                    @let seen = found.seen.iter().find(|(own, _)| own.step == n);
                    @if let Some((own, timing)) = seen {
                        li class="on" { (see.t(step.name)) small { " " (timing_words(see, *timing))
                            @if own.weak { ", " (see.t("weak")) } } }
                    } @else if found.not_stamped.contains(&n) {
                        li { (see.t(step.name)) small class="dim" { " " (see.t("not seen, not timed")) } }
                    } @else if next.is_some_and(|(at, _)| at == n) {
                        li class="here" aria-current="step" { b { (see.t(step.name)) } }
                    }
                }
            }
            @if let Some((at, left_s)) = next {
                @let step = &sequence.steps[at];
                div class="panel" {
                    div class="between" {
                        h2 { (see.t(step.name)) }
                        @if let (Some(left), Some(begun)) = (left_s, started.begun) { (clock(see, begun, now_s, left)) }
                    }
                    p { (see.t("Expected")) ": " b { (see.t(step.expect)) } }
                    p class="dim" { (see.t(step.place)) ": " (see.t(step.usual)) }
                }
            } @else {
                p class="note" { b { (see.t("Every step was seen.")) } " " (see.t("What was not timed is no pass.")) }
            }
        }
        (bits::foot(&html! {
            @match next {
                Some((at, _)) => {
                    (bits::big(Deed::Stamp { unit, step: step_no(at) }, see.t("Seen"), see.t(sequence.steps[at].name)))
                    div class="keys k2" {
                        @let last = at.checked_sub(1).map_or(NOTHING, step_no);
                        (bits::key(Deed::StopAfter { unit, step: last }, see.t("It does not come"), see.t("the start stops here")))
                        @if sequence.steps[at].weak.is_some() {
                            (bits::key(Deed::Weak { unit, step: step_no(at) }, see.t("Weak"), see.t("it comes, but weakly")))
                        } @else {
                            (bits::key(Place::LastSeen { unit }, see.t("Last seen"), see.t("pick it from the list")))
                        }
                    }
                }
                None => (bits::key(Place::DoesWhat { unit }, see.t("It lights, but"), see.t("pick what it does"))),
            }
            div class="keys k3" {
                (bits::key(Deed::StartNow { unit }, see.t("From the top"), see.t("a new start")))
                (bits::back(see))
                (bits::gas_smell(see))
            }
        }))
    }
}

/// The time that is left in the step's window, or that it is overdue. Only the person says that it failed.
fn clock(see: &See<'_>, begun: i64, now_s: Option<f64>, left: f64) -> Markup {
    if left <= 0.0 {
        return html! { b { (see.t("overdue")) } };
    }
    #[expect(clippy::cast_possible_truncation, reason = "a window is minutes, not centuries")]
    let until = begun + (now_s.unwrap_or(0.0) + left) as i64;
    let seconds = (until - see.now.secs).max(0);
    html! { b class="t4" data-until=(until) { (format!("{}:{:02}", seconds / 60, seconds % 60)) } }
}

/// The last thing that was seen: one tap.
pub fn last_seen(see: &See<'_>, place: &Place, unit: ApplianceId) -> Markup {
    let Some(own) = see.unit(unit) else { return bits::page(see, place, &html! {}) };
    let steps = sequence(own).map(|sequence| sequence.steps.as_slice()).unwrap_or_default();
    let inside = html! {
        (bits::unit_head(&see.unit_no(unit), &html! { span class="t3 b" { (see.t("Last seen")) } }))
        div class="pad stack grow" {
            (bits::notice(see))
            p { (see.t("Tap the last thing that happened. Nothing is timed by this, and nothing is a pass.")) }
            div class="keys" {
                (bits::key(Deed::StopAfter { unit, step: NOTHING }, see.t("Nothing at all"), ""))
                @for (n, step) in steps.iter().enumerate() {
                    (bits::key(Deed::StopAfter { unit, step: step_no(n) }, &format!("{} {}", n + 1, see.t(step.name)), see.t(step.expect)))
                    @if step.weak.is_some() {
                        (bits::key(Deed::Weak { unit, step: step_no(n) }, &format!("{} {}", n + 1, see.t(step.name)), see.t("it came, but weakly")))
                    }
                }
            }
        }
        (bits::foot(&html! { div class="keys k2" { (bits::back(see)) (bits::gas_smell(see)) } }))
    };
    bits::page(see, place, &inside)
}

/// What the unit does: follow a start, or pick the symptom.
pub fn does_what(see: &See<'_>, place: &Place, unit: ApplianceId) -> Markup {
    let Some(own) = see.unit(unit) else { return bits::page(see, place, &html! {}) };
    let table = Table::standard();
    let kin = family(own);
    let tagged = own.tag_in_force().is_some();
    let inside = html! {
        (bits::unit_head(&see.unit_no(unit), &html! { span class="t3 b" { (see.t("Find the fault")) } }))
        div class="pad stack grow" {
            (bits::notice(see))
            @if tagged {
                p class="note now" { b class="inv" { (see.t("DO NOT USE")) } " " (see.t("The tag is on: only tests on a dead unit.")) }
            }
            @if kin.is_none() {
                p class="note" { (see.t("Nobody has said how this unit lights. Read the plate, then come back: the causes depend on it.")) }
                (bits::key(Place::Plate { unit }, see.t("Plate"), see.t("read the nameplate")))
            }
            h2 { (see.t("What does it do?")) }
            div class="keys k2" {
                @for symptom in table.symptom_ids() {
                    @let own = &table[symptom];
                    @if kin.is_some_and(|kin| own.families.has(kin)) {
                        (bits::key(Deed::ItDoes { unit, symptom: Name(own.key.to_owned()) },
                            &bits::capital(see.t(short(own.key))), ""))
                    }
                }
            }
            p class="t1 dim" { (see.t("Gas smell is no symptom: it has its own key.")) }
        }
        (bits::foot(&html! {
            @if !tagged && kin.is_some() {
                (bits::big(Place::Start { unit }, see.t("Follow a start"), see.t("the step that fails says what it is")))
            }
            div class="keys k3" {
                (bits::key(Place::InOrder { unit }, see.t("In order"), see.t("smell, CO, means")))
                (bits::back(see))
                (bits::gas_smell(see))
            }
        }))
    };
    bits::page(see, place, &inside)
}

use super::short;
