//! Labels to print, cut and hang on units: the unit no. large, where it hangs, and a code that a phone reads.

use maud::{Markup, html};

use super::part::{trail, unit_path};
use super::qr::qr;
use super::{Chrome, Section, page};
use crate::review::Named;
use crate::review::home::UnitLine;

/// Labels of every unit.
pub fn labels(chrome: &Chrome, site: &Named, units: &[UnitLine], origin: &str) -> Markup {
    let path = format!("/review/sites/{}", site.id);
    let content = html! {
        div.no-print {
            (trail(&[("/review/sites", "Sites"), (&path, &site.name)]))
            div.between {
                h1 { "Unit labels" }
                button.btn type="button" data-print hidden { "Print" }
            }
            p { "A phone at the unit reads the code and opens the unit; in a browser it opens the unit's page here. Print with laser or write with pencil: thermal paper blackens near a heater." }
        }
        @if units.is_empty() { p.dim { "no unit has been entered yet" } }
        ul.labels {
            @for unit in units {
                li.label {
                    (qr(&format!("{origin}{}", unit_path(&unit.site.id, &unit.unit.id))))
                    div {
                        p.label-no { (unit.unit.name) }
                        @if let Some(area) = &unit.area { p { "area " (area) } }
                        @if let Some(kind) = &unit.kind { p { (kind) } }
                        p { (site.name) }
                    }
                }
            }
        }
    };
    page(chrome, Some(Section::Sites), "Unit labels", &content)
}
