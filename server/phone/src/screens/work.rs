//! What was done, and a setting changed.

use client_core::record::code::{Quantity, System, WorkKind};
use client_core::record::id::ApplianceId;
use maud::{Markup, html};

use crate::bits;
use crate::see::{See, phase_class};
use crate::tap::{Deed, Place};

const KINDS: [WorkKind; 6] = [
    WorkKind::Cleaned,
    WorkKind::Set,
    WorkKind::Replaced,
    WorkKind::Repaired,
    WorkKind::Isolated,
    WorkKind::Advised,
];

/// The page.
pub fn page(see: &See<'_>, place: &Place, unit: ApplianceId) -> Markup {
    let kind = see.state.chosen("kind").unwrap_or_default();
    let inside = html! {
        (bits::unit_head(&see.unit_no(unit), &bits::plate(see, client_core::record::code::Phase::InWork)))
        div class="pad stack grow" {
            (bits::notice(see))
            h2 { (see.t("What was done")) }
            div class="keys k3" role="group" aria-label=(see.t("What was done")) {
                @for own in KINDS {
                    (bits::choice(Deed::Kind { kind: own }, see.t(own.says()), "", kind == own.key()))
                }
            }
            h2 { (see.t("What it touched")) }
            div class="keys k2" role="group" aria-label=(see.t("What it touched")) {
                @for system in System::ALL {
                    @let on = see.state.is_chosen(&format!("touch/{}", system.key()));
                    (bits::choice(Deed::Touch { system: *system }, see.t(system.says()), "", on))
                }
            }
            (bits::line(see, "did", see.t("In words"), ""))
            p class="dim t1" { (see.t("The first work entered closes FOUND. What is read after it says so.")) }
        }
        (bits::foot(&html! {
            (bits::big(Deed::DidIt { unit }, see.t("Enter the work"), ""))
            div class="keys k3" {
                (bits::back(see))
                (bits::key(Place::Parts { unit }, see.t("Part used"), ""))
                (bits::gas_smell(see))
            }
        }))
    };
    bits::framed(see, place, client_core::record::code::Phase::InWork, &inside)
}

/// A setting changed: one entry holds before and after.
pub fn setting(see: &See<'_>, place: &Place, unit: ApplianceId) -> Markup {
    let phase = client_core::record::code::Phase::InWork;
    debug_assert_eq!(phase_class(phase), "work", "settings are changed in work");
    let name = bits::capital(see.t(Quantity::ManifoldHigh.says()));
    let inside = html! {
        (bits::unit_head(&see.unit_no(unit), &bits::plate(see, phase)))
        div class="pad stack grow" {
            (bits::notice(see))
            h2 { (see.f("{}: set", &[&name])) }
            (bits::number(see, "before", see.t("Before"), "in w.c."))
            (bits::number(see, "after", see.t("After"), "in w.c."))
            p { (see.t("Set to the plate, clock the meter, then read CO again.")) }
        }
        (bits::foot(&html! {
            (bits::big(Deed::SetIt { unit }, see.t("Enter the setting"), ""))
            div class="keys k2" { (bits::back(see)) (bits::gas_smell(see)) }
        }))
    };
    bits::framed(see, place, phase, &inside)
}
