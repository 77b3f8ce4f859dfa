//! Two answers: both sides the same size, with person, instrument and time; which governs; who settles.

use client_core::present::both::{Both, of_papers, of_visit};
use client_core::record::body::Body;
use client_core::record::code::Role;
use client_core::record::contradiction::{Contradiction, in_papers, in_sheet};
use client_core::record::file::UnitInVisit;
use client_core::record::id::{ApplianceId, EntryId};
use maud::{Markup, html};

use crate::bits;
use crate::see::See;
use crate::tap::{Deed, Name, Place};

/// Contradictions of a unit, laid out.
fn of_unit(see: &See<'_>, own: &UnitInVisit<'_>) -> Vec<(Contradiction, Both)> {
    let say = see.say();
    let company = see.file.and_then(|file| file.company);
    let mut found = vec![];
    if let Some(papers) = &own.sheet {
        found.extend(in_sheet(papers, company).into_iter().map(|one| (papers, one)));
    }
    if let Some(papers) = &own.unit {
        found.extend(in_papers(papers).into_iter().map(|one| (papers, one)));
    }
    found
        .into_iter()
        .map(|(papers, one)| {
            let both = of_papers(papers, &one, &say);
            (one, both)
        })
        .collect()
}

/// A line for each on the unit's own screen, where it stands.
pub fn short(see: &See<'_>, own: &UnitInVisit<'_>) -> Markup {
    let found = of_unit(see, own);
    html! {
        @for (_, both) in &found {
            button type="button" class="said two-line" data-tap={ "go " (Place::Two { unit: own.appliance }) } {
                (bits::two_sign())
                span { b { (see.t("Two answers")) ": " (bits::capital(&both.about)) } br;
                    span class="t1" { (sides_in_words(see, both)) } }
            }
        }
    }
}

fn sides_in_words(see: &See<'_>, both: &Both) -> String {
    let sides: Vec<String> =
        both.sides.iter().map(|side| format!("{}: {}", see.who(side.person), side.says)).collect();
    sides.join("; ")
}

/// The page of one unit.
pub fn page(see: &See<'_>, place: &Place, unit: ApplianceId) -> Markup {
    let Some(own) = see.unit(unit) else { return bits::page(see, place, &html! {}) };
    let found = of_unit(see, own);
    let inside = html! {
        (bits::unit_head(&see.unit_no(unit), &html! { span class="lil t3" { (bits::two_sign()) (see.t("two answers")) } }))
        div class="pad stack grow" {
            (bits::notice(see))
            @if found.is_empty() { p { (see.t("Nothing here has two answers.")) } }
            @for (one, both) in &found { (laid_out(see, unit, one, both)) }
            @if !found.is_empty() { (bits::line(see, "settle", see.t("Why"), see.t("needed to settle"))) }
        }
        (bits::foot(&html! {
            (bits::big(Deed::Back {}, see.t("Leave it"), see.t("sign-off waits for it, your work does not")))
            div class="keys k2" {
                (bits::key(Place::Photos { unit }, see.t("Photo"), see.t("of the plate")))
                (bits::gas_smell(see))
            }
        }))
    };
    bits::page(see, place, &inside)
}

fn laid_out(see: &See<'_>, unit: ApplianceId, one: &Contradiction, both: &Both) -> Markup {
    let key = Name(both.key.clone());
    let may = see.role == Role::Supervisor
        || !matches!(one, Contradiction::Field { field, .. } if field.def.merge.cautious());
    html! {
        section class="stack" {
            h2 { (bits::capital(&both.about)) }
            div class="two" {
                @for side in &both.sides {
                    div {
                        div class="dim" { (bits::capital(&see.who(side.person))) }
                        @match figure(see, unit, side.entry) {
                            Some(figure) => { div class="v" { (figure) } p class="t1" { (side.says) } }
                            None => { div class="v" { (side.says) } }
                        }
                        p class="t1 dim" {
                            (see.day(side.at.day())) " " (side.at.clock())
                            @if let Some(instrument) = &side.instrument { ", " (instrument) }
                            @for mark in &side.marks { ", " (mark) }
                        }
                        @if side.governs { b { (see.t("governs")) } }
                        @if may && matches!(one, Contradiction::Field { .. } | Contradiction::Readings { .. }) {
                            (bits::key(Deed::Settle { unit, key: key.clone(), entry: side.entry }, see.t("Settle"), see.t("this one")))
                        }
                    }
                }
            }
            p { (bits::sentence(&both.governs)) " " (bits::sentence(&both.next)) }
            @match one {
                Contradiction::Double { .. } => {
                    div class="keys k2" {
                        (bits::key(Deed::Doubles { unit, key: key.clone(), same: 1 }, see.t("One event"), see.t("entered twice")))
                        (bits::key(Deed::Doubles { unit, key: key.clone(), same: 0 }, see.t("Two events"), see.t("both count")))
                    }
                }
                Contradiction::Text { .. } => {
                    (bits::key(Deed::ReadText { unit, key: key.clone() }, see.t("It reads well"), ""))
                }
                Contradiction::Check { .. } => {
                    (bits::key(Place::Checks { unit }, see.t("Test again"), ""))
                }
                _ => {}
            }
        }
    }
}

/// The figure of a side that is a reading: what must be read first.
fn figure(see: &See<'_>, unit: ApplianceId, entry: EntryId) -> Option<String> {
    match &see.unit(unit)?.sheet.as_ref()?.read.entry(entry)?.body {
        Body::Reading(reading) => Some(see.say().measured(&reading.value)),
        _ => None,
    }
}

/// Everything of the visit that has two answers.
pub fn all(see: &See<'_>, place: &Place) -> Markup {
    let Some(file) = see.file else { return bits::page(see, place, &html! { (bits::back(see)) }) };
    let say = see.say();
    let found: Vec<Both> =
        file.contradictions().iter().map(|one| of_visit(file, one, &say)).collect();
    let count = found.len().to_string();
    let inside = html! {
        (bits::head(see.t("Where the record differs"), &see.f("{} with two answers", &[&count]), &html! {}))
        div class="pad grow rows" {
            @for both in &found {
                @let inner = html! {
                    (bits::two_sign())
                    span {
                        b { @if let Some(unit) = both.unit { (see.unit_no(unit)) " " } (both.about) } br;
                        (sides_in_words(see, both)) br;
                        span class="dim t1" { (bits::capital(&both.governs)) "." }
                    }
                };
                @match both.unit {
                    Some(unit) => {
                        button type="button" class="said two-line" data-tap={ "go " (Place::Two { unit }) } { (inner) }
                    }
                    None => { div class="said two-line" { (inner) } }
                }
            }
        }
        (bits::foot(&html! { div class="keys k2" { (bits::back(see)) (bits::gas_smell(see)) } }))
    };
    bits::page(see, place, &inside)
}
