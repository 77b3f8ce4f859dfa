//! Outside, after a gas smell or an alarm: the numbers, then what to record.

use client_core::record::field::FieldValue;
use maud::{Markup, html};

use crate::bits;
use crate::see::See;
use crate::tap::{Deed, Place};

/// The page.
pub fn page(see: &See<'_>, place: &Place) -> Markup {
    let site = see.file.and_then(|file| file.site);
    let said = |key: &str| -> Vec<String> {
        let merged = site.and_then(|site| site.named(key));
        let sides = merged.map(client_core::record::merged::Merged::sides).unwrap_or_default();
        sides
            .iter()
            .filter_map(|side| match &side.value {
                FieldValue::Text(text) => Some(text.clone()),
                _ => None,
            })
            .collect()
    };
    let numbers = said("site/emergency");
    let muster = said("site/muster");
    let inside = html! {
        (bits::head("", see.t("Outside"), &html! {}))
        div class="pad stack grow" {
            (bits::notice(see))
            h2 { (see.t("Emergency numbers of this site")) }
            @if numbers.is_empty() { p { (see.t("None is recorded. Call the emergency number of your country.")) } }
            @for number in numbers { p class="t4 b" { (number) } }
            h2 { (see.t("Muster point")) }
            @if muster.is_empty() { p { (see.t("None is recorded.")) } }
            @for point in muster { p class="b" { (point) } }
            p { (see.t("Nobody goes back until the fire service or gas company says so.")) }
            (bits::lines(see, "emergency", see.t("What was noticed, where, who was called"), ""))
        }
        (bits::foot(&html! {
            (bits::big(Deed::PutEmergency {}, see.t("Record it"), ""))
            div class="keys k2" { (bits::key(Deed::Home {}, see.t("Later"), "")) (bits::gas_smell(see)) }
        }))
    };
    bits::page(see, place, &inside)
}
