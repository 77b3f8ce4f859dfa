//! Checks: one row each, one tap an answer.

use client_core::record::body::{Body, Kind};
use client_core::record::code::{CheckItem, CheckResult, Family, Phase};
use client_core::record::contradiction::governing_check;
use client_core::record::file::UnitInVisit;
use client_core::record::id::ApplianceId;
use maud::{Markup, html};

use crate::bits;
use crate::screens::entered;
use crate::see::See;
use crate::tap::{Deed, Place};

/// The checks of a family, the ones that a sign-off asks for first.
const fn items(family: Option<Family>) -> &'static [CheckItem] {
    match family {
        Some(Family::Spc) => &[
            CheckItem::PortsClosed,
            CheckItem::LeakCheck,
            CheckItem::Spill,
            CheckItem::FlameFailure,
            CheckItem::HighLimit,
            CheckItem::GuardsAndPanels,
            CheckItem::VentLook,
            CheckItem::ToolsCounted,
        ],
        Some(Family::Blr) => &[
            CheckItem::PortsClosed,
            CheckItem::LeakCheck,
            CheckItem::FlameFailure,
            CheckItem::LowWater,
            CheckItem::ReliefValve,
            CheckItem::HighLimit,
            CheckItem::Condensate,
            CheckItem::ToolsCounted,
        ],
        _ => &[
            CheckItem::PortsClosed,
            CheckItem::LeakCheck,
            CheckItem::FlameFailure,
            CheckItem::AirProving,
            CheckItem::HighLimit,
            CheckItem::Rollout,
            CheckItem::HeatExchanger,
            CheckItem::GuardsAndPanels,
            CheckItem::VentLook,
            CheckItem::Wiring,
            CheckItem::ToolsCounted,
        ],
    }
}

/// The page.
pub fn page(see: &See<'_>, place: &Place, unit: ApplianceId) -> Markup {
    let Some(own) = see.unit(unit) else { return bits::page(see, place, &html! {}) };
    let phase = if own.sheet.as_ref().is_some_and(|sheet| {
        sheet.read.counted(Kind::Reading).any(
            |entry| matches!(&entry.body, Body::Reading(reading) if reading.phase == Phase::AsLeft),
        )
    }) {
        Phase::AsLeft
    } else {
        Phase::AsFound
    };
    let family = own.word("unit/family").map(Family::from_code);
    let inside = html! {
        (bits::unit_head(&see.unit_no(unit), &html! { span class="t3 b" { (see.t("Checks")) } }))
        div class="pad stack grow" {
            (bits::notice(see))
            @for item in items(family) { (row(see, own, *item)) }
            p class="dim t1" { (see.t("No answer means not tested. A second answer of yours replaces the first; both stay readable.")) }
        }
        (bits::foot(&html! {
            (entered::ending(see, own, phase))
            div class="keys k3" {
                (bits::key(Place::Entered { unit, phase }, see.t("Figures"), ""))
                (bits::key(Place::Unit { unit }, see.t("Unit"), ""))
                (bits::gas_smell(see))
            }
        }))
    };
    bits::page(see, place, &inside)
}

fn row(see: &See<'_>, own: &UnitInVisit<'_>, item: CheckItem) -> Markup {
    let unit = own.appliance;
    let mine = own.sheet.as_ref().and_then(|sheet| {
        let entries = sheet.read.counted(Kind::Check).filter(|entry| entry.stamp.by == see.me);
        entries
            .filter_map(|entry| match &entry.body {
                Body::Check(check) if check.item == item => Some(check.result),
                _ => None,
            })
            .last()
    });
    let governs = own.sheet.as_ref().and_then(|sheet| governing_check(&sheet.read, item));
    let name = bits::capital(see.t(item.says()));
    html! {
        div class="check" role="group" aria-label=(name) {
            div class="between" {
                b { (name) }
                @match governs {
                    Some(result) => { span { (see.t(result.says())) } }
                    None => { span class="dim t1" { (see.t("not tested")) } }
                }
            }
            div class="keys k4" {
                @for (result, word) in [
                    (CheckResult::Pass, "pass"), (CheckResult::Fail, "fail"),
                    (CheckResult::NotDone, "not done"), (CheckResult::NotApplicable, "none here"),
                ] {
                    (bits::choice(Deed::Check { unit, item, result }, see.t(word), "", mine == Some(result)))
                }
            }
        }
    }
}
