//! A question to the maker, with the figures that make it half an answer already.

use client_core::record::body::{Body, Kind};
use client_core::record::id::ApplianceId;
use maud::{Markup, html};

use crate::bits;
use crate::see::See;
use crate::tap::{Deed, Place};

/// The page.
pub fn page(see: &See<'_>, place: &Place, unit: ApplianceId) -> Markup {
    let Some(own) = see.unit(unit) else { return bits::page(see, place, &html! {}) };
    let say = see.say();
    let papers = own.unit.as_ref();
    let asked = papers.into_iter().flat_map(|papers| {
        papers.read.entries.iter().filter(|entry| {
            entry.counts()
                && matches!(entry.body.kind(), Kind::Question | Kind::Answer | Kind::Target)
        })
    });
    let inside = html! {
        (bits::unit_head(&see.unit_no(unit), &html! { span class="t3 b" { (see.t("Ask maker")) } }))
        div class="pad stack grow" {
            (bits::notice(see))
            @for entry in asked {
                p class="note" {
                    (bits::capital(&say.body(&entry.body))) "."
                    @if let Body::Question(_) = &entry.body {
                        span class="dim t1" { " " (see.who(entry.person())) ", " (see.day(entry.stamp.at().day())) }
                    }
                }
            }
            (bits::lines(see, "ask", see.t("The question"), see.t("target CO2, CO limit, orifice")))
            (bits::line(see, "askwhom", see.t("To whom"), ""))
            p class="dim t1" { (see.t("Model, serial, gas, altitude and all figures go with it from the office.")) }
        }
        (bits::foot(&html! {
            (bits::big(Deed::PutQuestion { unit }, see.t("Ask"), see.t("open until it is answered")))
            div class="keys k3" {
                (bits::back(see))
                (bits::key(Place::Photos { unit }, see.t("Photo"), see.t("of the plate")))
                (bits::gas_smell(see))
            }
        }))
    };
    bits::page(see, place, &inside)
}
