//! What is in order before a test: smell, the room's CO, what can be met today, and signs that are seen.

use client_core::fault::choice::Care;
use client_core::fault::permit::GasSmell;
use client_core::record::code::{Phase, Quantity};
use client_core::record::id::ApplianceId;
use maud::{Markup, html};

use crate::bits;
use crate::search;
use crate::see::See;
use crate::tap::{Deed, Name, Place};

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
