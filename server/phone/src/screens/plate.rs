//! The nameplate, register by register. A photo first; from a ladder nobody types a serial.

use client_core::record::code::Gas;
use client_core::record::field::{Field, Holds};
use client_core::record::id::ApplianceId;
use maud::{Markup, html};

use crate::bits;
use crate::see::See;
use crate::tap::{Deed, Name, Place};

/// Registers that are typed here.
pub const REGISTERS: [&str; 16] = [
    "unit/maker",
    "unit/model",
    "unit/serial",
    "plate/input",
    "plate/manifold_high",
    "plate/manifold_low",
    "plate/inlet_min",
    "plate/inlet_max",
    "plate/pressure_switch",
    "plate/flame_current_min",
    "plate/rise_min",
    "plate/rise_max",
    "plate/limit_max_outlet",
    "plate/orifice",
    "plate/orifice_count",
    "plate/volts",
];

/// The page.
pub fn page(see: &See<'_>, place: &Place, unit: ApplianceId) -> Markup {
    let Some(own) = see.unit(unit) else { return bits::page(see, place, &html! {}) };
    let say = see.say();
    let now = |key: &str| match own.field(key) {
        None => see.t("not known").to_owned(),
        Some(merged) if merged.contested() => see.t("two answers").to_owned(),
        Some(merged) => merged.governs().map_or_else(
            || see.t("not settled").to_owned(),
            |said| say.value(&Field::named(key), &said.value),
        ),
    };
    let gas = |name: &'static str, key: &'static str, word: &'static str| {
        let chosen = see.state.chosen(name).unwrap_or_default();
        html! {
            h2 { (see.t(word)) ": " (now(key)) }
            div class="keys k3" role="group" aria-label=(see.t(word)) {
                @for own in [Gas::Natural, Gas::Lp, Gas::Other] {
                    (bits::choice(Deed::Choose { what: Name(name.to_owned()), to: Name(own.key().to_owned()) },
                        see.t(own.says()), "", chosen == own.key()))
                }
            }
        }
    };
    let inside = html! {
        (bits::unit_head(&see.unit_no(unit), &html! { span class="t3 b" { (see.t("Plate")) } }))
        div class="pad stack grow" {
            (bits::notice(see))
            p { (see.t("Only what you read goes in. Where somebody else read otherwise, both stay.")) }
            (bits::key(Place::Photos { unit }, see.t("Photo of the plate"), see.t("read it at the truck")))
            (gas("plategas", "plate/gas", "Gas on the plate"))
            (gas("suppliedgas", "unit/supplied_gas", "Gas supplied"))
            @for key in REGISTERS {
                @let field = Field::named(key);
                @let unit = match field.def.holds { Holds::Figure(unit) => unit.symbol(), _ => "" };
                @let hint = format!("{} {}", unit, see.f("now: {}", &[&now(key)]));
                @if unit.is_empty() { (bits::line(see, key, &bits::capital(see.t(field.def.says)), hint.trim())) }
                @else { (bits::number(see, key, &bits::capital(see.t(field.def.says)), hint.trim())) }
            }
        }
        (bits::foot(&html! {
            (bits::big(Deed::SetPlate { unit }, see.t("Enter what you read"), ""))
            div class="keys k2" { (bits::back(see)) (bits::gas_smell(see)) }
        }))
    };
    bits::page(see, place, &inside)
}
