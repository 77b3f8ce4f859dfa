//! Notes: each its author's, and others may edit it.

use client_core::record::body::{Body, Kind};
use client_core::record::id::{ApplianceId, EntryId};
use maud::{Markup, html};

use crate::bits;
use crate::see::See;
use crate::tap::{Deed, Place};

fn text_of(see: &See<'_>, unit: ApplianceId, note: EntryId) -> Option<String> {
    let sheet = see.unit(unit)?.sheet.as_ref()?;
    sheet.read.texts.iter().find(|text| text.note == note).map(|text| text.text.clone())
}

/// The page.
pub fn page(see: &See<'_>, place: &Place, unit: ApplianceId) -> Markup {
    let Some(own) = see.unit(unit) else { return bits::page(see, place, &html! {}) };
    let inside = html! {
        (bits::unit_head(&see.unit_no(unit), &html! { span class="t3 b" { (see.t("Notes")) } }))
        div class="pad stack grow" {
            (bits::notice(see))
            @for entry in own.sheet.iter().flat_map(|sheet| sheet.read.counted(Kind::Note)) {
                @if let Body::Note(_) = &entry.body {
                    button type="button" class="said" data-tap={ "go " (Place::Note { unit, entry: entry.id }) } {
                        (text_of(see, unit, entry.id).unwrap_or_default())
                        span class="dim t1" { " " (see.who(entry.person())) " " (entry.stamp.at().clock()) }
                    }
                }
            }
            (bits::lines(see, "note", see.t("New note"), ""))
        }
        (bits::foot(&html! {
            (bits::big(Deed::PutNote { unit }, see.t("Enter the note"), ""))
            div class="keys k2" { (bits::back(see)) (bits::gas_smell(see)) }
        }))
    };
    bits::page(see, place, &inside)
}

/// One note to edit.
pub fn one(see: &See<'_>, place: &Place, unit: ApplianceId, entry: EntryId) -> Markup {
    let text = text_of(see, unit, entry).unwrap_or_default();
    let value = see.state.form.get("edited").cloned().unwrap_or(text);
    let inside = html! {
        (bits::unit_head(&see.unit_no(unit), &html! { span class="t3 b" { (see.t("Note")) } }))
        div class="pad stack grow" {
            (bits::notice(see))
            label class="typed" { span { (see.t("The note")) }
                textarea name="edited" rows="8" { (value) } }
            p class="dim t1" { (see.t("If somebody else edits it too, both edits are kept and the note is marked until it was read.")) }
        }
        (bits::foot(&html! {
            (bits::big(Deed::EditNote { unit, entry }, see.t("Keep the edit"), ""))
            div class="keys k2" { (bits::back(see)) (bits::gas_smell(see)) }
        }))
    };
    bits::page(see, place, &inside)
}
