//! What was done on the pages and with rights.

use maud::{Markup, html};

use super::{Chrome, page};

/// A line of the audit: when (UTC), who, what, to what.
pub type Row = (String, String, String, String);

/// The audit, and whether its chain holds.
pub fn audit(chrome: &Chrome, rows: &[Row], whole: bool) -> Markup {
    let content = html! {
        h1 { "What was done here" }
        p { @if whole { "Every line is chained to the one before; the chain holds." }
            @else { b { "The chain is broken: lines were altered or taken out of the store." } } }
        @if rows.is_empty() { p.dim { "nothing yet" } } @else {
            div.scroll { table {
                thead { tr { th scope="col" { "When (UTC)" } th scope="col" { "Who" } th scope="col" { "What" } th scope="col" { "To what, from where" } } }
                tbody { @for (when, who, what, to) in rows {
                    tr { td.nowrap { (when) } td { (who) } td { (what) } td { (to) } }
                } }
            } }
        }
    };
    page(chrome, None, "What was done here", &content)
}
