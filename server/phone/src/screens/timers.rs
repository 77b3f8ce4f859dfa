//! Timers that buzz in the pocket, named by unit.

use maud::{Markup, html};

use crate::bits;
use crate::see::See;
use crate::tap::{Deed, Name, Place};

/// Name, seconds, and the hint on the key.
const OFFERED: [(&str, u32, &str); 6] = [
    ("purge", 60, "1 min"),
    ("soak", 300, "5 min"),
    ("steady", 600, "10 min"),
    ("stable", 120, "2 min"),
    ("meter", 30, "30 s"),
    ("warm_up", 900, "15 min"),
];

/// The page.
pub fn page(see: &See<'_>, place: &Place) -> Markup {
    let inside = html! {
        (bits::head("", see.t("Timers"), &html! {}))
        div class="pad stack grow" {
            (bits::notice(see))
            @for (n, timer) in see.state.timers.iter().enumerate() {
                @let left = (timer.until - see.now.secs).max(0);
                div class="timer" {
                    span { b { (timer.unit) } " " (see.t(&timer.what)) }
                    b class="t4" data-until=(timer.until) { (format!("{}:{:02}", left / 60, left % 60)) }
                    (bits::key(Deed::TimerOff { n: u8::try_from(n).unwrap_or(u8::MAX) }, see.t("Off"), ""))
                }
            }
            p class="dim t1" data-can="wake" hidden { (see.t("While a timer runs the screen stays on: a dark one cannot buzz.")) }
            p class="note" data-cannot="wake" hidden { (see.t("This browser lets the screen go dark, and a dark one cannot buzz. Look at the time yourself.")) }
            h2 { (see.t("Start")) }
            div class="keys k3" {
                @for (what, seconds, small) in OFFERED {
                    (bits::key(Deed::Timer { what: Name(what.to_owned()), seconds }, &bits::capital(see.t(&what.replace('_', " "))), small))
                }
            }
        }
        (bits::foot(&html! { div class="keys k2" { (bits::back(see)) (bits::gas_smell(see)) } }))
    };
    bits::page(see, place, &inside)
}
