//! A part used and the part that came out.

use client_core::record::body::{Body, Kind};
use client_core::record::code::Gas;
use client_core::record::id::ApplianceId;
use maud::{Markup, html};

use crate::bits;
use crate::see::See;
use crate::tap::{Deed, Place};

/// The page.
pub fn page(see: &See<'_>, place: &Place, unit: ApplianceId) -> Markup {
    let Some(own) = see.unit(unit) else { return bits::page(see, place, &html! {}) };
    let supplied = supplied(see, own);
    let for_gas = see.state.chosen("forgas").unwrap_or_default();
    let company = see.file.and_then(|file| file.company);
    let names: Vec<String> = company
        .into_iter()
        .flat_map(|company| company.counted(Kind::CatalogueLine))
        .filter_map(|entry| match &entry.body {
            Body::CatalogueLine(line) => Some(line.part.clone()),
            _ => None,
        })
        .collect();
    let other =
        Gas::from_key(for_gas).is_some_and(|gas| supplied.is_some_and(|own| differs(gas, own)));
    let inside = html! {
        (bits::unit_head(&see.unit_no(unit), &html! { span class="t3 b" { (see.t("Part used")) } }))
        div class="pad stack grow" {
            (bits::notice(see))
            label class="typed" { span { (see.t("Part")) }
                input name="part" list="parts" autocomplete="off" value=(see.state.form.get("part").map_or("", String::as_str)); }
            datalist id="parts" { @for name in names { option value=(name) {} } }
            div class="keys k2" {
                (bits::number(see, "count", see.t("How many"), ""))
                (bits::line(see, "number", see.t("Number"), see.t("as printed on it")))
                (bits::line(see, "rating", see.t("Rating"), see.t("setpoint, ohms, size")))
                (bits::line(see, "source", see.t("From"), see.t("truck or store")))
            }
            h2 { (see.t("For which gas")) }
            div class="keys k3" role="group" aria-label=(see.t("For which gas")) {
                @for gas in [Gas::Natural, Gas::Lp, Gas::NotKnown] {
                    (bits::choice(Deed::ForGas { gas }, see.t(gas.says()), "", for_gas == gas.key()))
                }
            }
            @if other { (wrong_gas(see, supplied)) }
            h2 { (see.t("The part that came out")) }
            div class="keys k2" {
                (bits::line(see, "oldcondition", see.t("Its condition"), ""))
                (bits::line(see, "oldrating", see.t("Its rating"), see.t("as printed")))
            }
            p class="dim t1" { (see.t("A switch, limit or orifice of another rating than the old one needs the maker's answer.")) }
        }
        (bits::foot(&html! {
            (bits::big(Deed::UsePart { unit }, see.t("Enter the part"), ""))
            div class="keys k3" {
                (bits::back(see))
                (bits::key(Place::GasParts { unit }, see.t("Gas parts"), ""))
                (bits::gas_smell(see))
            }
        }))
    };
    bits::page(see, place, &inside)
}

/// The gas supplied to the unit, where it is settled.
pub fn supplied(see: &See<'_>, own: &client_core::record::file::UnitInVisit<'_>) -> Option<Gas> {
    let word = own.word("unit/supplied_gas");
    let site = || match see.file?.site?.named("site/gas_kind")?.governs()?.value {
        client_core::record::field::FieldValue::Word(code) => Some(code),
        _ => None,
    };
    word.or_else(site).map(Gas::from_code)
}

/// Whether a part of one gas meets another.
pub const fn differs(part: Gas, supplied: Gas) -> bool {
    matches!((part, supplied), (Gas::Natural, Gas::Lp) | (Gas::Lp, Gas::Natural))
}

/// The sentence about a part of the other gas.
pub fn wrong_gas(see: &See<'_>, supplied: Option<Gas>) -> Markup {
    let gas = supplied.map_or("", |gas| see.t(gas.says()));
    html! {
        p class="note now" role="alert" {
            b { (see.f("The gas supplied is {}.", &[gas])) } br;
            (see.t("A part for another gas. Fit the listed kit of the gas supplied, all of it, and its label. Plate, maker and local code govern."))
        }
    }
}
