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
                thead { tr { th scope="col" { "Site" } th scope="col" { "Document" } th scope="col" { "Why" } th scope="col" { "From" } th scope="col" { "Word on it" } } }
                tbody { @for one in all { tr {
                    td { a href={ "/review/sites/" (one.site.id) } { (one.site.name) } }
                    td { @match &one.path { Some(path) => a href=(path) { (one.what) }, None => (one.what) } }
                    td { (one.words) br; span.dim { (one.reason) } }
                    td { @match &one.person { Some(person) => (person.name), None => span.dim { "not known" } }
                        br; code { (one.change.chars().take(10).collect::<String>()) } }
                    td { (word(chrome, one)) }
                } } }
            } }
        }
    };
    page(chrome, Some(Section::People), "Quarantine", &content)
}

fn word(chrome: &Chrome, one: &Refused) -> Markup {
    html! {
        @match &one.word {
            Some((says, who, at)) => { (says) br; span.dim { (who.name) ", " (at) } }
            None if chrome.supervises() => {
                details.no-print { summary { "Say what became of it" }
                    form method="post" action="/review/quarantine/word" {
                        (chrome.token_field())
                        input type="hidden" name="site" value=(one.site.id);
                        input type="hidden" name="change" value=(one.change);
                        label.typed { span { "In words " small { "for example: entered again on the phone, or nothing is missing" } }
                            input name="reason" required maxlength="400"; }
                        button.btn.q2 type="submit" { "Put it down" }
                    } }
            }
            None => span.dim { "none yet" },
        }
    }
}
