//! What shows when a screen cannot be made: what is wrong, and what to do next.

use maud::{Markup, html};

use crate::bits;
use crate::screens::face;
use crate::settings::Settings;
use crate::tap::Deed;

/// The page.
pub fn page(set: &Settings, words: &str) -> Markup {
    let language = set.language();
    let inside = html! {
        main class="phone" data-place="wrong" {
            (bits::head("", language.say("This screen cannot be shown"), &html! {}))
            div class="pad stack" {
                p { (language.wrong(words)) }
                p { (language.say("Nothing that was saved is lost.")) }
            }
            div class="spacer" {}
            div class="foot keys" {
                (bits::key(Deed::Back {}, language.say("Back"), ""))
                (bits::big(Deed::Home {}, language.say("Units"), ""))
            }
        }
    };
    face(set, language.key(), &inside)
}
