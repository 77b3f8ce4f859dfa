//! Changes that did not pass the gate, and what is known of them.

use maud::{Markup, html};

use super::{Chrome, Section, page};
use crate::review::people::Refused;

/// Everything in quarantine.
pub fn quarantine(chrome: &Chrome, all: &[Refused]) -> Markup {
    let content = html! {
        h1 { "Quarantine" }
        p { "A change that is malformed, too large or out of its order is kept apart with its reason and stops nothing else. Its device tells its person and can enter the same again. Entries whose key was revoked stand on the page of their visit, where a supervisor answers for them." }
        @if all.is_empty() { p.dim { "nothing" } } @else {
            div.scroll { table {
                thead { tr { th scope="col" { "Site" } th scope="col" { "Document" } th scope="col" { "Why" } th scope="col" { "Change" } } }
                tbody { @for one in all { tr {
                    td { a href={ "/review/sites/" (one.site.id) } { (one.site.name) } }
                    td { @match &one.path { Some(path) => a href=(path) { (one.what) }, None => (one.what) } }
                    td { (one.words) br; span.dim { (one.reason) } }
                    td { code { (one.change) } }
                } } }
            } }
        }
    };
    page(chrome, Some(Section::People), "Quarantine", &content)
}
