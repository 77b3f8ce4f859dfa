//! A finding: the cause from the fault table of the family, or in words.

use client_core::fault::choice::Family as Kin;
use client_core::fault::table::Table;
use client_core::record::code::Family;
use client_core::record::id::ApplianceId;
use maud::{Markup, html};

use crate::bits;
use crate::see::See;
use crate::tap::{Deed, Name, Place};

/// Causes that are shown before "more".
const CAUSES_SHOWN: usize = 40;

/// The page.
pub fn page(see: &See<'_>, place: &Place, unit: ApplianceId) -> Markup {
    let Some(own) = see.unit(unit) else { return bits::page(see, place, &html! {}) };
    let family = own.word("unit/family").map(Family::from_code);
    let table = Table::standard();
    let kin = family.and_then(|family| Kin::from_key(family.key()));
    let mut causes: Vec<(&'static str, &'static str, f64)> = table
        .cause_ids()
        .map(|id| &table[id])
        .filter(|cause| kin.is_none_or(|kin| cause.families.has(kin)))
        .map(|cause| (cause.key, cause.name, cause.weights.iter().map(|(_, weight)| *weight).sum()))
        .collect();
    causes.sort_by(|one, other| other.2.total_cmp(&one.2));
    let chosen = see.state.chosen("cause").unwrap_or_default();
    let inside = html! {
        (bits::unit_head(&see.unit_no(unit), &html! { span class="t3 b" { (see.t("Finding")) } }))
        div class="pad stack grow" {
            (bits::notice(see))
            (bits::key(Place::Fault { unit }, see.t("Find the fault"), ""))
            (bits::line(see, "finding", see.t("What you saw"), see.t("in your words")))
            h2 { (see.t("Cause")) }
            div class="keys k2" {
                (bits::choice(Deed::Cause { unit, cause: Name("gas_leak_joint".to_owned()) },
                    see.t("gas leak at a joint, found by soap or detector"), "", chosen == "gas_leak_joint"))
                @for (key, name, _) in causes.iter().take(CAUSES_SHOWN) {
                    (bits::choice(Deed::Cause { unit, cause: Name((*key).to_owned()) }, see.t(name), "", chosen == *key))
                }
                (bits::choice(Deed::Cause { unit, cause: Name("other".to_owned()) }, see.t("none of these"), "", chosen == "other"))
            }
        }
        (bits::foot(&html! {
            (bits::big(Deed::FoundIt { unit }, see.t("Enter the finding"), see.t("then what was done")))
            div class="keys k3" {
                (bits::back(see))
                (bits::key(Place::Work { unit }, see.t("Work"), see.t("no finding")))
                (bits::gas_smell(see))
            }
        }))
    };
    bits::page(see, place, &inside)
}
