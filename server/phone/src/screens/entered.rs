//! Everything read in a phase, what it comes to, and how the unit's turn ends.

use client_core::record::body::{Body, Kind, Reading};
use client_core::record::code::{Family, Phase, Quantity, System};
use client_core::record::derived::block::block;
use client_core::record::file::UnitInVisit;
use client_core::record::id::ApplianceId;
use client_core::record::mark::{Mark, Marker, is_work};
use client_core::record::read::Entry;
use maud::{Markup, html};

use crate::bits;
use crate::screens::{fault, stop};
use crate::see::See;
use crate::stop::round;
use crate::tap::{Deed, Place};

/// The page.
pub fn page(see: &See<'_>, place: &Place, unit: ApplianceId, phase: Phase) -> Markup {
    let (Some(own), Some(file)) = (see.unit(unit), see.file) else {
        return bits::page(see, place, &html! {});
    };
    let inside = html! {
        (bits::unit_head(&see.unit_no(unit), &bits::plate(see, phase)))
        div class="pad stack grow" {
            (bits::notice(see))
            (readings(see, own, phase))
            (not_tested(see, own, phase))
            (stop::table(see, &block(file, own, phase)))
            (fault::contradict(see, file, own, phase))
            p class="dim t1" { (see.t("Readings beside the limits entered. The plate, local code and a licensed person decide.")) }
        }
        (bits::foot(&foot(see, own, phase)))
    };
    bits::framed(see, place, phase, &inside)
}

fn readings(see: &See<'_>, own: &UnitInVisit<'_>, phase: Phase) -> Markup {
    let (Some(sheet), Some(file)) = (&own.sheet, see.file) else { return html! {} };
    let marker = Marker::new(file);
    let say = see.say();
    let rows: Vec<(&Entry, &Reading, Vec<Mark>)> = sheet
        .read
        .counted(Kind::Reading)
        .filter_map(|entry| match &entry.body {
            Body::Reading(reading) if reading.phase == phase => {
                Some((entry, reading, marker.marks(sheet, entry)))
            }
            _ => None,
        })
        .collect();
    // What holds for every figure is said once.
    let all: Vec<Mark> = match rows.as_slice() {
        [(_, _, first), _, ..] => {
            let holds = |mark: &&Mark| rows.iter().all(|(_, _, marks)| marks.contains(mark));
            first.iter().filter(holds).cloned().collect()
        }
        _ => vec![],
    };
    html! {
        @for mark in &all { p class="note t1" { (bits::capital(&see.phrase(&mark.phrase()))) "." } }
        @for (entry, reading, marks) in &rows {
            button type="button" class="said" data-tap={ "go " (Place::Entry { unit: own.appliance, entry: entry.id }) } {
                span class="between" {
                    span { (bits::capital(see.t(reading.quantity.says()))) }
                    b { (say.measured(&reading.value)) }
                }
                span class="dim t1" {
                    (see.who(entry.person())) " " (entry.stamp.at().clock())
                    @for mark in marks.iter().filter(|mark| !all.contains(mark)) { ", " (see.phrase(&mark.phrase())) }
                }
            }
        }
    }
}

/// What of the round has no figure: nothing missing looks finished.
fn not_tested(see: &See<'_>, own: &UnitInVisit<'_>, phase: Phase) -> Markup {
    if phase == Phase::InWork {
        return html! {};
    }
    let stops = round(own.word("unit/family").map(Family::from_code));
    let missing: Vec<(usize, Quantity)> = stops
        .iter()
        .enumerate()
        .flat_map(|(n, stop)| stop.fields.iter().map(move |quantity| (n, *quantity)))
        .filter(|(_, quantity)| own.last(*quantity, phase).is_none())
        .collect();
    html! {
        @for (n, quantity) in missing {
            @let n = u8::try_from(n).unwrap_or(0);
            @let to = if stops[usize::from(n)].fields.len() > 1 {
                Place::Pad { unit: own.appliance, phase, n, quantity }
            } else {
                Place::Stop { unit: own.appliance, phase, n }
            };
            button type="button" class="said" data-tap={ "go " (to) } {
                span class="between" {
                    span { (bits::capital(see.t(quantity.says()))) }
                    span class="fl" { (bits::Bracket::NotTested.draw()) (see.t("not tested")) }
                }
            }
        }
    }
}

/// Whether gas, air or ignition was touched: then the found block is not also the left one.
fn touched(own: &UnitInVisit<'_>) -> bool {
    own.sheet.as_ref().is_some_and(|sheet| {
        sheet.read.entries.iter().filter(|entry| entry.counts() && is_work(entry)).any(|entry| {
            match &entry.body {
                Body::Work(work) => work.touched.iter().any(|system| *system != System::Outside),
                _ => true,
            }
        })
    })
}

fn foot(see: &See<'_>, own: &UnitInVisit<'_>, phase: Phase) -> Markup {
    let unit = own.appliance;
    html! {
        div class="keys k3" {
            (bits::key(Place::Found { unit }, see.t("Finding"), see.t("and work")))
            (bits::key(Place::Unit { unit }, see.t("Unit"), ""))
            (bits::gas_smell(see))
        }
        (bits::big(Place::Checks { unit }, see.t("Checks"), see.t("then how it ends")))
        (ending(see, own, phase))
    }
}

/// The key that ends the unit's turn.
pub fn ending(see: &See<'_>, own: &UnitInVisit<'_>, phase: Phase) -> Markup {
    let unit = own.appliance;
    html! {
        @if own.tag_in_force().is_some() || phase == Phase::AsLeft {
            (bits::key_of("key row", Deed::Done { unit }, see.t("Done"), see.t("closes this unit")))
        } @else if !touched(own) {
            (bits::key_of("key row", Deed::LeftAsFound { unit }, see.t("Left as found"),
                see.t("nothing of gas, air or ignition was touched")))
        } @else {
            (bits::key_of("key row", Place::Turn { unit, phase: Phase::AsLeft }, see.t("Take LEFT"),
                see.t("work is recorded, so the unit is read again")))
        }
    }
}

/// Figures that are not on the round.
pub fn extra(see: &See<'_>, place: &Place, unit: ApplianceId, phase: Phase) -> Markup {
    let Some(own) = see.unit(unit) else { return bits::page(see, place, &html! {}) };
    let stops = round(own.word("unit/family").map(Family::from_code));
    let on_round = |quantity: &Quantity| stops.iter().any(|stop| stop.fields.contains(quantity));
    let phases = [Phase::AsFound, Phase::InWork, Phase::AsLeft];
    let inside = html! {
        (bits::unit_head(&see.unit_no(unit), &bits::plate(see, phase)))
        div class="pad stack grow" {
            div class="keys k3" role="group" aria-label=(see.t("When")) {
                @for own in phases {
                    (bits::choice(Place::Extra { unit, phase: own }, see.t(crate::see::phase_word(own)), "", own == phase))
                }
            }
            div class="keys k2" {
                @for quantity in Quantity::ALL.iter().filter(|quantity| !on_round(quantity)) {
                    (bits::key(Place::One { unit, phase, quantity: *quantity }, &bits::capital(see.t(quantity.says())), ""))
                }
            }
        }
        (bits::foot(&html! { div class="keys k2" { (bits::back(see)) (bits::gas_smell(see)) } }))
    };
    bits::framed(see, place, phase, &inside)
}
