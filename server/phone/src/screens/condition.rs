//! What is asked once a block and carried on, and the question before the phase changes.

use client_core::present::words::condition;
use client_core::record::body::Condition;
use client_core::record::code::{Phase, Running, Stage};
use client_core::record::id::ApplianceId;

use maud::{Markup, html};

use crate::bits;
use crate::carried::STEADY_MIN;
use crate::see::{See, phase_word};
use crate::tap::{Deed, Place};

/// The condition in one line.
pub fn line(see: &See<'_>) -> String {
    let carried = &see.state.carried;
    let minutes = carried.steady_min.to_string();
    // That the others run as usual goes without saying where room is short.
    let others = carried.condition.others.filter(|state| *state != Running::On);
    let said = condition(&Condition { others, ..carried.condition.clone() }, &see.language());
    format!("{}, {}", bits::capital(&said), see.f("{} min", &[&minutes]))
}

/// The page.
pub fn page(see: &See<'_>, place: &Place, unit: ApplianceId, phase: Phase) -> Markup {
    let carried = &see.state.carried;
    let own = &carried.condition;
    let group = |name: &str, keys: &Markup| {
        html! { div { h2 { (see.t(name)) } div class="keys k3" role="group" aria-label=(see.t(name)) { (keys) } } }
    };
    let on_off = |deed: fn(Running) -> Deed, chosen: Option<Running>, words: [&str; 2]| {
        html! {
            @for (state, word) in [Running::On, Running::Off].into_iter().zip(words) {
                (bits::choice(deed(state), see.t(word), "", chosen == Some(state)))
            }
        }
    };
    let stages = html! {
        @for stage in [Stage::High, Stage::Low, Stage::Off] {
            (bits::choice(Deed::Fire { stage }, see.t(stage.says()), "", own.stage == Some(stage)))
        }
    };
    let others = html! {
        @for (state, word) in [(Running::On, "all on"), (Running::SomeOn, "some on"), (Running::Off, "all off")] {
            (bits::choice(Deed::Others { state }, see.t(word), "", own.others == Some(state)))
        }
    };
    let steady = html! {
        @for minutes in [0, 5, 10, 15] {
            (bits::choice(Deed::Steady { minutes }, &minutes.to_string(), see.t("min"), carried.steady_min == minutes))
        }
    };
    let inside = html! {
        (bits::unit_head(&see.unit_no(unit), &bits::plate(see, phase)))
        div class="pad stack grow" {
            p { (see.t("How the unit runs while you read. It is carried on until you change it.")) }
            (group("Fire", &stages))
            div class="keys k2" {
                div { h2 { (see.t("Fan")) } div class="keys k2" {
                    (on_off(|state| Deed::Fan { state }, own.fan, ["on", "off"])) } }
                div { h2 { (see.t("Panels")) } div class="keys k2" {
                    (on_off(|state| Deed::Panel { state }, own.panel, ["on", "off"])) } }
            }
            (group("Other units", &others))
            div {
                h2 { (see.t("Steady for")) }
                div class="keys k4" role="group" aria-label=(see.t("Steady for")) { (steady) }
                @if carried.steady_min < STEADY_MIN {
                    p class="dim t1" { (see.f("Flue figures before {} min are marked early.", &[&STEADY_MIN.to_string()])) }
                }
            }
        }
        (bits::foot(&html! {
            (bits::big(Deed::Phase { unit, phase }, see.t("So it is"), see.t("go on to the figures")))
            div class="keys k2" { (bits::back(see)) (bits::gas_smell(see)) }
        }))
    };
    bits::framed(see, place, phase, &inside)
}

/// The question before a phase changes: once, on the full screen.
pub fn turn(see: &See<'_>, place: &Place, unit: ApplianceId, phase: Phase) -> Markup {
    let inside = html! {
        (bits::unit_head(&see.unit_no(unit), &bits::plate(see, phase)))
        div class="pad stack grow" {
            h2 class="ask" { (see.f("From here on: {}", &[see.t(phase_word(phase))])) }
            @if phase == Phase::AsLeft {
                p { (see.t("As the unit is left: work done, panels on, unit steady.")) }
                p class="dim" { (see.t("What was found stays as it is.")) }
            }
        }
        (bits::foot(&html! {
            (bits::big(Deed::Phase { unit, phase }, see.f("Take {}", &[see.t(phase_word(phase))]).as_str(), ""))
            div class="keys k2" { (bits::back(see)) (bits::gas_smell(see)) }
        }))
    };
    bits::framed(see, place, phase, &inside)
}
