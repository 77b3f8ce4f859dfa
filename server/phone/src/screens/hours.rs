//! Working time: one line for each stretch.

use client_core::record::body::{Body, Kind};
use client_core::record::code::LabourKind;
use maud::{Markup, html};

use crate::bits;
use crate::see::See;
use crate::tap::{Deed, Place};

/// The page.
pub fn page(see: &See<'_>, place: &Place) -> Markup {
    let Some(file) = see.file else { return bits::page(see, place, &html! { (bits::back(see)) }) };
    let say = see.say();
    let lines: Vec<_> = file.head.read.counted(Kind::Labour).collect();
    let minutes: u32 = lines
        .iter()
        .filter_map(|entry| match &entry.body {
            Body::Labour(line) if line.person == see.me => Some(line.minutes),
            _ => None,
        })
        .sum();
    let hours = format!("{}:{:02}", minutes / 60, minutes % 60);
    let inside = html! {
        (bits::head("", see.t("Hours"), &html! { b class="t3" { (see.f("yours {}", &[&hours])) } }))
        div class="pad stack grow" {
            (bits::notice(see))
            @for entry in &lines { p class="said" { (bits::capital(&say.body(&entry.body))) } }
            (bits::line(see, "hours", see.t("Remark"), ""))
            @for kind in [LabourKind::OnSite, LabourKind::Travel] {
                h2 { (bits::capital(see.t(kind.says()))) }
                div class="keys k4" {
                    @for minutes in [15_u16, 30, 60, 120] {
                        (bits::key(Deed::Labour { kind, minutes }, &minutes.to_string(), see.t("min")))
                    }
                }
            }
        }
        (bits::foot(&html! { div class="keys k2" { (bits::back(see)) (bits::gas_smell(see)) } }))
    };
    bits::page(see, place, &inside)
}
