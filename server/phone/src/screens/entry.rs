//! One entry: who, when, where it is, and how to take it out of the count.

use client_core::device::EntryState;
use client_core::record::body::Body;
use client_core::record::id::{ApplianceId, EntryId};
use maud::{Markup, html};

use crate::bits;
use crate::see::See;
use crate::tap::{Deed, Place};

/// The page.
pub fn page(see: &See<'_>, place: &Place, unit: ApplianceId, id: EntryId) -> Markup {
    let found = see.unit(unit).and_then(|own| {
        let papers = own.sheet.iter().chain(own.unit.iter());
        papers.into_iter().find_map(|papers| papers.read.entry(id))
    });
    let Some(entry) = found else { return bits::page(see, place, &html! { (bits::back(see)) }) };
    let own = entry.stamp.by == see.me;
    let again = match &entry.body {
        Body::Reading(reading) => {
            Some(Place::One { unit, phase: reading.phase, quantity: reading.quantity })
        }
        _ => None,
    };
    let inside = html! {
        (bits::unit_head(&see.unit_no(unit), &html! {}))
        div class="pad stack grow" {
            (bits::notice(see))
            h2 { (bits::capital(&see.say().body(&entry.body))) }
            p class="dim" {
                (bits::capital(&see.who(entry.person()))) ", " (see.day(entry.stamp.at().day())) " "
                (entry.stamp.at().clock())
            }
            @if let Body::Ack(ack) = &entry.body && let Some(drawn) = &ack.drawn { (bits::signature(see, drawn)) }
            @if let Some(state) = see.lists.state {
                p { (see.t(match state {
                    EntryState::OnHub => "It is on the hub.",
                    EntryState::Here | EntryState::Sealed => "It is only on this phone.",
                })) }
            }
            @if own {
                (bits::line(see, "void", see.t("Why it does not count"), see.t("it stays readable")))
                (bits::key(Deed::Void { unit, entry: id }, see.t("Take it out of the count"), ""))
            } @else {
                p class="note" { (see.t("Somebody else's entry. Enter what you read yourself; both stay.")) }
            }
        }
        (bits::foot(&html! {
            @if let Some(again) = again { (bits::big(again, see.t("Read it again"), "")) }
            div class="keys k2" { (bits::back(see)) (bits::gas_smell(see)) }
        }))
    };
    bits::page(see, place, &inside)
}
