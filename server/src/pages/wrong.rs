//! What a page says when it cannot do what was asked.

use maud::{Markup, html};

use super::{Chrome, page};

/// One sentence, and what to do next.
pub fn wrong(chrome: &Chrome, title: &str, says: &str, back: Option<(&str, &str)>) -> Markup {
    let content = html! {
        h1 { (title) }
        p.note.now role="alert" { (says) }
        @if let Some((path, name)) = back { p { a href=(path) { (name) } } }
        p { a href="/review" { "To the queue" } }
    };
    page(chrome, None, title, &content)
}
