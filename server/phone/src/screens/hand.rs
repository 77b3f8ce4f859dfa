//! Hand-over: what waits, as a file; a file of somebody else, taken in.

use maud::{Markup, html};

use crate::bits;
use crate::see::See;
use crate::tap::{Deed, Place};

/// The page.
pub fn page(see: &See<'_>, place: &Place) -> Markup {
    let inside = html! {
        (bits::head("", see.t("Hand over"), &html! {}))
        div class="pad stack grow" {
            (bits::notice(see))
            p { (see.t("For two phones without a signal. The file holds what waits here, signed; the other phone checks it as if it came from the hub.")) }
            p { (see.t("Both phones still exchange with the hub later. Nothing counts as on the hub before that.")) }
            table {
                @for building in &see.lists.buildings {
                    tr {
                        th scope="row" { (building.row.name.clone().unwrap_or_default()) }
                        td class="r b t3" { (building.unsent) }
                    }
                }
            }
        }
        (bits::foot(&html! {
            (bits::big(Deed::Export {}, see.t("Write the file"), see.t("everything that waits here")))
            (bits::key_of("key row", Deed::TakeIn {}, see.t("Take a file in"), see.t("from another phone")))
            div class="keys k2" { (bits::back(see)) (bits::gas_smell(see)) }
        }))
    };
    bits::page(see, place, &inside)
}
