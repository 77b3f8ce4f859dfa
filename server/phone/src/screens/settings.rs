//! Settings of this phone.

use maud::{Markup, html};

use crate::bits;
use crate::see::See;
use crate::tap::{Deed, Name, Place};
use crate::words::Language;

fn set(what: &str, to: &str) -> Deed {
    Deed::Set { what: Name(what.to_owned()), to: Name(to.to_owned()) }
}

fn group(see: &See<'_>, name: &str, what: &str, now: &str, choices: &[(&str, &str)]) -> Markup {
    html! {
        h2 { (see.t(name)) }
        div class="keys k3" role="group" aria-label=(see.t(name)) {
            @for (key, word) in choices { (bits::choice(set(what, key), see.t(word), "", now == *key)) }
        }
    }
}

/// The page.
pub fn page(see: &See<'_>, place: &Place) -> Markup {
    let size = see.set.size();
    let theme = see.set.theme.as_deref().unwrap_or("dark");
    let units = if see.set.metric == Some(true) { "metric" } else { "us" };
    let language = see.language().key();
    let inside = html! {
        (bits::head(&see.name(see.me), see.t("Settings"), &html! {}))
        div class="pad stack grow" {
            (bits::notice(see))
            div class="keys k2" {
                (bits::key(Place::Sites {}, see.t("Buildings"), see.t("and visits")))
                (bits::key(Place::Instruments {}, see.t("Instruments"), ""))
                (bits::key(Place::Timers {}, see.t("Timers"), ""))
                (bits::key(Place::Hand {}, see.t("Hand over"), see.t("files")))
                (bits::key(Place::Exchange {}, see.t("Exchange"), ""))
                (bits::key(Deed::Lamp {}, see.t("Lamp"), see.t("on or off")))
            }
            @if see.state.newer {
                p class="note now" { (see.t("A newer version waits. It is used once nothing waits to be sent.")) }
                (bits::key(set("renew", "now"), see.t("Use it now"), ""))
            }
            (group(see, "Target size", "size", size, &[("bare", "bare hands"), ("glove", "glove"), ("thick", "thick glove")]))
            (group(see, "Colors", "theme", theme, &[("dark", "dark"), ("light", "light"), ("contrast", "more contrast"), ("contrast-light", "light, more contrast")]))
            (group(see, "Units", "units", units, &[("us", "in w.c., F"), ("metric", "mbar, C")]))
            h2 { (see.t("Language")) }
            div class="keys k3" role="group" aria-label=(see.t("Language")) {
                @for own in Language::ALL {
                    (bits::choice(set("language", own.key()), own.name(), "", language == own.key()))
                }
            }
            @if !see.language().is_here() {
                p class="note" { (see.t("The words of this language come with the next signal. Until then the screens are in English.")) }
            }
            p class="dim t1" id="storage" data-storage="" { (see.t("Stored on this phone.")) }
        }
        (bits::foot(&html! { div class="keys k2" { (bits::back(see)) (bits::gas_smell(see)) } }))
    };
    bits::page(see, place, &inside)
}
