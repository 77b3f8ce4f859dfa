//! What was done on the pages and with rights.

use maud::{Markup, html};

use super::part::{count, sentence};
use super::{Chrome, page};

/// A line of the audit: when (UTC), who, what, to what.
pub type Row = (String, String, String, String);

fn whole_number(n: u64) -> usize {
    usize::try_from(n).unwrap_or(usize::MAX)
}

/// What a check of the hub's log came to: sites, deliveries and devices, or the first fault.
pub type Verified = Result<(u64, u64, u64), String>;

/// The audit, whether its chain holds, and what a check of the log came to.
pub fn audit(chrome: &Chrome, rows: &[Row], whole: bool, verified: Option<&Verified>) -> Markup {
    let content = html! {
        h1 { "What was done here" }
        p { @if whole { "Every line is chained to the one before; the chain holds." }
            @else { b { "The chain is broken: lines were altered or taken out of the store." } } }
        section aria-labelledby="signatures" {
            h2 #signatures { "Signatures" }
            @match verified {
                None => p { a.btn.q2 href="/review/audit?verify=yes" { "Check every signature in the log" } },
                Some(Ok((sites, deliveries, devices))) => p.note.now role="status" {
                    "Every one of " (count(whole_number(*deliveries), "delivery", "deliveries")) " at "
                    (count(whole_number(*sites), "site", "sites")) " is as its device signed it, in an unbroken chain, and each of "
                    (count(whole_number(*devices), "key", "keys")) " was enrolled here."
                },
                Some(Err(fault)) => p.note.now role="alert" { b { (sentence(fault)) } " Keep the hub's folder as it is and look at its last backup." },
            }
        }
        h2 { "Lines" }
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
