//! Instruments: which one is in hand, and whether its calibration is in date.

use client_core::record::code::InstrumentKind;
use client_core::record::instrument::{InstrumentShown, calibration_on, instruments};
use client_core::trade::uncertainty::Calibration;
use maud::{Markup, html};

use crate::bits;
use crate::see::See;
use crate::tap::{Deed, Place};

/// The page.
pub fn page(see: &See<'_>, place: &Place) -> Markup {
    let company = see.file.and_then(|file| file.company);
    let all: Vec<InstrumentShown> = company.map(instruments).unwrap_or_default();
    let kinds = InstrumentKind::ALL.iter().filter(|kind| all.iter().any(|own| own.kind == **kind));
    let inside = html! {
        (bits::head("", see.t("Instruments"), &html! {}))
        div class="pad stack grow" {
            (bits::notice(see))
            @if all.is_empty() { p { (see.t("No instrument is on this phone yet. Exchange once with a signal.")) } }
            @for kind in kinds {
                h2 { (bits::capital(see.t(kind.says()))) }
                div class="keys k2" {
                    @for own in all.iter().filter(|own| own.kind == *kind) { (one(see, own)) }
                }
            }
        }
        (bits::foot(&html! { div class="keys k2" { (bits::back(see)) (bits::gas_smell(see)) } }))
    };
    bits::page(see, place, &inside)
}

fn one(see: &See<'_>, own: &InstrumentShown) -> Markup {
    let company = see.file.and_then(|file| file.company);
    let state = company.map(|company| calibration_on(company, own.id, see.today()));
    let words = match state {
        Some((Calibration::Overdue, Some(due))) => see.f("overdue since {}", &[&see.day(due)]),
        Some((Calibration::Current, Some(due))) => see.f("in date until {}", &[&see.day(due)]),
        _ => see.t("calibration not known").to_owned(),
    };
    let chosen = see.set.instruments.get(&own.kind.code()) == Some(&own.id);
    html! {
        div class="stack" {
            (bits::choice(Deed::Use { kind: own.kind, entry: own.id }, &own.label, &words, chosen))
            @if chosen { (bits::key(Deed::Zero { entry: own.id }, see.t("Zeroed"), see.t("in clean air, at no pressure"))) }
        }
    }
}
