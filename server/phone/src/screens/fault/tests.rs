//! Every test that may be made now, the best first, and those held back with their reason.

use client_core::fault::say;
use client_core::fault::table::Table;
use client_core::record::id::ApplianceId;
use maud::{Markup, html};

use crate::bits;
use crate::search;
use crate::see::See;
use crate::tap::{Deed, Name, Place};

/// Tests that are held back and shown; the rest are counted.
const HELD_SHOWN: usize = 30;

/// The page.
pub fn page(see: &See<'_>, place: &Place, unit: ApplianceId) -> Markup {
    let (Some(file), Some(own)) = (see.file, see.unit(unit)) else {
        return bits::page(see, place, &html! {});
    };
    let standing = search::standing(super::from(see), file, own);
    let search = standing.as_ref().and_then(search::Standing::search);
    let table = Table::standard();
    let inside = html! {
        (bits::unit_head(&see.unit_no(unit), &html! { span class="t3 b" { (see.t("Tests")) } }))
        div class="pad stack grow" {
            (bits::notice(see))
            p class="dim" { (see.t("You can meet today")) ": " (super::met(see)) "." }
            @if let Some(search) = search {
                @if search.offers.is_empty() { p class="note" { (see.t("No test may be made now.")) } }
                div class="keys" {
                    @for offer in &search.offers {
                        @let test = &table[offer.test];
                        (bits::key(Deed::PickTest { unit, test: Name(test.key.to_owned()) }, see.t(test.name),
                            &see.f("{} min, at {}", &[&format!("{:.0}", offer.minutes), see.t(test.place)])))
                    }
                }
                @if !search.held_back.is_empty() {
                    h2 { (see.t("Held back now")) }
                    div class="rows" {
                        @for (test, refusal) in search.held_back.iter().take(HELD_SHOWN) {
                            p { b { (see.t(table[*test].name)) } br; span class="dim" { (see.phrase(&say::refusal(table, *refusal))) } }
                        }
                    }
                }
            }
        }
        (bits::foot(&html! {
            div class="keys k2" {
                (bits::key(Place::InOrder { unit }, see.t("In order"), see.t("smell, CO, means")))
                (bits::key(Place::DoesWhat { unit }, see.t("Symptom"), see.t("it does something else")))
            }
            div class="keys k2" { (bits::back(see)) (bits::gas_smell(see)) }
        }))
    };
    bits::page(see, place, &inside)
}
