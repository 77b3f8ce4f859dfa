//! What was done, and a setting changed.

use client_core::record::code::{Quantity, System, WorkKind};
use client_core::record::id::ApplianceId;
use maud::{Markup, html};

use crate::bits;
use crate::pad::Form;
use crate::see::{See, phase_class};
use crate::tap::{Deed, Name, Place};

const KINDS: [WorkKind; 6] = [
    WorkKind::Cleaned,
    WorkKind::Set,
    WorkKind::Replaced,
    WorkKind::Repaired,
    WorkKind::Isolated,
    WorkKind::Advised,
];

/// What is set at a unit.
const SETTINGS: [Quantity; 6] = [
    Quantity::ManifoldHigh,
    Quantity::ManifoldLow,
    Quantity::PilotPressure,
    Quantity::FlueO2,
    Quantity::AirOut,
    Quantity::InletFlowing,
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
    let chosen = see.state.chosen("setting").and_then(Quantity::from_key);
    let chosen = chosen.unwrap_or(Quantity::ManifoldHigh);
    let name = bits::capital(see.t(chosen.says()));
    let unit_of = Form::of(chosen, see.set.system()).map_or("", |form| form.unit.symbol());
    let inside = html! {
        (bits::unit_head(&see.unit_no(unit), &bits::plate(see, phase)))
        div class="pad stack grow" {
            (bits::notice(see))
            div class="keys k3" role="group" aria-label=(see.t("Which setting")) {
                @for own in SETTINGS {
                    @let to = Name(own.key().to_owned());
                    (bits::choice(Deed::Choose { what: Name("setting".to_owned()), to }, see.t(own.says()), "", own == chosen))
                }
            }
            h2 { (see.f("{}: set", &[&name])) }
            div class="keys k2" {
                (bits::number(see, "before", see.t("Before"), unit_of))
                (bits::number(see, "after", see.t("After"), unit_of))
            }
            p { (see.t("Set to the plate, clock the meter, then read CO again.")) }
        }
        (bits::foot(&html! {
            (bits::big(Deed::SetIt { unit }, see.t("Enter the setting"), ""))
            div class="keys k2" { (bits::back(see)) (bits::gas_smell(see)) }
        }))
    };
    bits::framed(see, place, phase, &inside)
}
