//! Parts that belong to one gas, as seen, against the gas supplied.

use std::collections::BTreeMap;

use client_core::record::body::{Body, Kind};
use client_core::record::code::{Gas, GasPartKind, Phase, Quantity};
use client_core::record::file::{UnitInVisit, amount};
use client_core::record::id::ApplianceId;
use client_core::trade::gas::kit::{Kit, KitAnswer, KitCheck};
use client_core::trade::quantity::{Concentration, GaugePressure, HeatRate, Quantity as _};
use maud::{Markup, html};

use crate::bits;
use crate::screens::parts::{differs, supplied, wrong_gas};
use crate::see::See;
use crate::tap::{Deed, Place};

/// The page.
pub fn page(see: &See<'_>, place: &Place, unit: ApplianceId) -> Markup {
    let Some(own) = see.unit(unit) else { return bits::page(see, place, &html! {}) };
    let gas = supplied(see, own);
    let kind = see.state.chosen("partkind").unwrap_or_default();
    let for_gas = see.state.chosen("forgas").unwrap_or_default();
    let inside = html! {
        (bits::unit_head(&see.unit_no(unit), &html! { span class="t3 b" { (see.t("Gas parts")) } }))
        div class="pad stack grow" {
            (bits::notice(see))
            (seen(see, own, gas))
            (suggests(see, own, gas))
            h2 { (see.t("Which part")) }
            div class="keys k2" role="group" aria-label=(see.t("Which part")) {
                @for own in GasPartKind::ALL {
                    (bits::choice(Deed::PartKind { kind: *own }, see.t(own.says()), "", kind == own.key()))
                }
            }
            h2 { (see.t("For which gas")) }
            div class="keys k2" role="group" aria-label=(see.t("For which gas")) {
                @for own in [Gas::Natural, Gas::Lp, Gas::Both, Gas::NotKnown] {
                    (bits::choice(Deed::ForGas { gas: own }, see.t(own.says()), "", for_gas == own.key()))
                }
            }
            div class="keys k2" {
                (bits::line(see, "marking", see.t("Marking"), see.t("as read")))
                (bits::number(see, "partcount", see.t("How many"), ""))
            }
        }
        (bits::foot(&html! {
            (bits::big(Deed::Seen { unit }, see.t("Enter what you saw"), ""))
            div class="keys k2" { (bits::back(see)) (bits::gas_smell(see)) }
        }))
    };
    bits::page(see, place, &inside)
}

/// The last sight of each part, against the gas supplied.
fn seen(see: &See<'_>, own: &UnitInVisit<'_>, gas: Option<Gas>) -> Markup {
    let mut last: BTreeMap<GasPartKind, (String, Gas)> = BTreeMap::new();
    for entry in own.sheet.iter().flat_map(|sheet| sheet.read.counted(Kind::GasPart)) {
        if let Body::GasPart(part) = &entry.body {
            last.insert(part.part, (part.marking.clone(), part.for_gas));
        }
    }
    let wrong = last.values().any(|(_, part)| gas.is_some_and(|gas| differs(*part, gas)));
    html! {
        p {
            b { (see.t("Gas supplied")) ": " }
            @match gas { Some(gas) => { (see.t(gas.says())) } None => { (see.t("not settled")) } }
        }
        @for (kind, (marking, part)) in &last {
            div class="say" {
                (if gas.is_some_and(|gas| differs(*part, gas)) { bits::Bracket::Above } else { bits::Bracket::None }.draw())
                span { (bits::capital(see.t(kind.says()))) " \u{2018}" (marking) "\u{2019}, " (see.t(part.says())) }
            }
        }
        @if wrong { (wrong_gas(see, gas)) }
    }
}

/// What pressure, clock and oxygen suggest about the kit. Figures, never a part number.
fn suggests(see: &See<'_>, own: &UnitInVisit<'_>, gas: Option<Gas>) -> Markup {
    let kit = match gas {
        Some(Gas::Natural) => Kit::Natural,
        Some(Gas::Lp) => Kit::Propane,
        _ => return html! {},
    };
    let phase = Phase::AsFound;
    let manifold =
        own.last_amount(Quantity::ManifoldHigh, phase).and_then(GaugePressure::from_amount);
    let input = own.figure("plate/input").and_then(amount).and_then(HeatRate::from_amount);
    let (Some(manifold), Some(plate_input)) = (manifold, input) else { return html! {} };
    let inches = |value| {
        GaugePressure::from_amount(client_core::trade::quantity::Amount::new(
            value,
            client_core::trade::unit::Unit::InWc,
        ))
    };
    let (Some(natural), Some(propane)) = (inches(3.5), inches(10.0)) else { return html! {} };
    let check = KitCheck {
        supplied: kit,
        plate_input,
        natural_manifold: natural,
        propane_manifold: propane,
        manifold,
        clocked: None,
        o2: own.last_amount(Quantity::FlueO2, phase).and_then(Concentration::from_amount),
        o2_right: None,
    };
    let Ok(found) = check.solve() else { return html! {} };
    html! {
        @match found.answer {
            KitAnswer::Other(other) => {
                p class="note now" {
                    b { (see.f("Manifold and O2 suggest the kit of {}.", &[see.t(other.name())])) } br;
                    (see.t("Look at orifice, spring, air shutter and label before anything is lit again."))
                }
            }
            KitAnswer::Supplied => {
                p class="dim" { (see.t("Manifold and O2 fit the gas supplied. Look at the parts all the same.")) }
            }
            KitAnswer::Unclear => {
                p class="dim" { (see.t("Manifold and O2 do not tell which kit is fitted.")) }
            }
        }
    }
}
