//! What is in order before a test: smell, the room's CO, what can be met today, and signs that are seen.

use client_core::fault::choice::Care;
use client_core::fault::lockout::{Lockout, Note};
use client_core::fault::permit::GasSmell;
use client_core::record::code::{Gas, Phase, Quantity};
use client_core::record::derived::block::gas_supplied;
use client_core::record::id::ApplianceId;
use maud::{Markup, html};

use crate::bits;
use crate::search;
use crate::see::See;
use crate::tap::{Deed, Name, Place};

/// How the control was found: each fact is one tap, and what it tells by itself stands below.
fn control(see: &See<'_>, unit: ApplianceId, lockout: Lockout) -> Markup {
    let key = |what: &str, to: &str, word: &str| {
        let chosen = see.state.chosen(&search::control_name(unit, what)) == Some(to);
        let deed = Deed::Control { unit, what: Name(what.to_owned()), to: Name(to.to_owned()) };
        bits::choice(deed, see.t(word), "", chosen)
    };
    let notes: Vec<String> = lockout
        .notes()
        .into_iter()
        .filter_map(|note| match note {
            Note::FindCauseBeforeReset(trip) => Some(see.f(
                "The {} has tripped: its cause comes before any reset. It is never just reset.",
                &[see.t(search::trip_words(trip))],
            )),
            Note::RetriesOnLp => Some(
                see.t("A control that tries again by itself on LP is a finding: on LP it must stay off after the trial.")
                    .to_owned(),
            ),
            Note::KindNotKnown | Note::AskResets => None,
        })
        .collect();
    html! {
        h2 { (see.t("The control as found")) }
        div class="keys k3" role="group" aria-label=(see.t("The control as found")) {
            (key("kind", "hard", "Locked out hard")) (key("kind", "retries", "Tries by itself")) (key("kind", "button", "Waits for its button"))
        }
        p class="dim t1" { (see.t("Trials before you came, since the last flame or wait")) }
        div class="keys k4" role="group" aria-label=(see.t("Trials before you came, since the last flame or wait")) {
            (key("trials", "0", "0")) (key("trials", "1", "1")) (key("trials", "2", "2")) (key("trials", "3", "3 or more"))
        }
        p class="dim t1" { (see.t("Resets by the customer, as they say")) }
        div class="keys k4" role="group" aria-label=(see.t("Resets by the customer, as they say")) {
            (key("resets", "0", "0")) (key("resets", "1", "1")) (key("resets", "2", "2")) (key("resets", "3", "3 or more"))
        }
        p class="dim t1" { (see.t("A trip that is never just reset")) }
        div class="keys k2" role="group" aria-label=(see.t("A trip that is never just reset")) {
            (key("trip", "rollout", "Rollout switch")) (key("trip", "vent", "Blocked-vent switch"))
            (key("trip", "limit", "Limit, hand reset")) (key("trip", "water", "Low water"))
        }
        @for note in notes { p class="note now" { (note) } }
    }
}

/// A care on a key.
pub const fn short(care: Care) -> &'static str {
    match care {
        Care::Look => "look",
        Care::Live => "live work",
        Care::Locked => "padlock",
        Care::Port => "test ports",
        Care::Firing => "firing",
        Care::Height => "height",
        Care::Roof => "roof",
    }
}

/// The page.
pub fn page(see: &See<'_>, place: &Place, unit: ApplianceId) -> Markup {
    let (Some(file), Some(own)) = (see.file, see.unit(unit)) else {
        return bits::page(see, place, &html! {});
    };
    let known = search::knows(super::from(see), file, own);
    let (smelled, room) = (known.gas_smell, known.signs.ambient_co_ppm);
    let smell = match smelled {
        GasSmell::NotChecked => see.t("not checked"),
        GasSmell::None => see.t("none found"),
        GasSmell::Present => see.t("SMELLED: nothing but the gas procedure"),
    };
    let room = room.map_or_else(|| see.t("not read").to_owned(), |ppm| format!("{ppm:.0} ppm"));
    let trials = search::trials(see.state, unit);
    let on_lp = gas_supplied(file, own).map(|gas| gas == Gas::Lp);
    let inside = html! {
        (bits::unit_head(&see.unit_no(unit), &html! { span class="t3 b" { (see.t("In order")) } }))
        div class="pad stack grow" {
            (bits::notice(see))
            div class="rows" {
                p class="between" { span { (see.t("Gas smell, low and high")) } b { (smell) } }
                p class="between" { span { (see.t("CO in the room")) } b { (room) } }
                p class="between" { span { (see.t("Trials in a row")) } b { (trials) } }
                @if known.tagged {
                    p class="between" { span { (see.t("Tag, or a status that is not settled")) } b { (see.t("only a dead unit")) } }
                }
            }
            div class="keys k2" {
                (bits::key(Deed::NoSmell { unit }, see.t("No gas smell"), see.t("low and high")))
                (bits::key(Place::One { unit, phase: Phase::InWork, quantity: Quantity::AmbientCo }, see.t("Room CO"), see.t("type the figure")))
            }
            (control(see, unit, search::lockout(see.state, unit, on_lp)))
            h2 { (see.t("What you can meet today")) }
            div class="keys" role="group" aria-label=(see.t("What you can meet today")) {
                @for care in Care::ALL.iter().filter(|care| **care != Care::Look) {
                    (bits::choice(Deed::Able { care: Name(care.key().to_owned()) }, &bits::capital(see.t(short(*care))),
                        see.t(care.words()), see.state.is_chosen(&search::able(*care))))
                }
            }
            h2 { (see.t("Seen besides")) }
            div class="keys" role="group" aria-label=(see.t("Seen besides")) {
                @for (what, words) in search::SIGNS {
                    (bits::choice(Deed::Saw { unit, what: Name(what.to_owned()) }, &bits::capital(see.t(words)), "",
                        see.state.is_chosen(&search::saw(unit, what))))
                }
            }
        }
        (bits::foot(&html! {
            (bits::big(Place::Fault { unit }, see.t("Find the fault"), see.t("with this in order")))
            div class="keys k2" { (bits::back(see)) (bits::gas_smell(see)) }
        }))
    };
    bits::page(see, place, &inside)
}
