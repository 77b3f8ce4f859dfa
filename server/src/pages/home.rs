//! What waits, over all sites.

use maud::{Markup, html};

use super::part::{count, units, visits};
use super::{Chrome, Section, page};
use crate::review::home::{Home, SiteLine, VisitLine};

/// The queue.
pub fn home(chrome: &Chrome, home: &Home) -> Markup {
    let title = match home.safety.len() + home.open.len() + home.open_more {
        0 => "Nothing waits".to_owned(),
        n => count(n, "thing to look at", "things to look at"),
    };
    let content = html! {
        h1 { (title) }
        @if home.sites == 0 {
            p.note { "No site has arrived yet. A device enrolled here brings its sites with its first exchange. "
                a href="/review/people" { "Enrol a device" } }
        }
        section aria-labelledby="safety" {
            h2 #safety { "Shut down, or a status with two answers" }
            @if home.safety.is_empty() { p.dim { "none" } } @else { (units(&home.safety, true)) }
        }
        section aria-labelledby="open" {
            h2 #open { "Visits that no supervisor has signed" }
            @if home.open.is_empty() { p.dim { "none" } } @else { (visits(&home.open, true)) }
            @if home.open_more > 0 { p { "and " (home.open_more) " more: " a href="/review/visits" { "all visits" } } }
        }
        section aria-labelledby="asked" {
            h2 #asked { "Questions to manufacturers" }
            p { a href="/review/questions" { (count(home.questions as usize, "open question", "open questions")) } }
        }
        section aria-labelledby="signed" {
            h2 #signed { "Signed last" }
            @if home.signed.is_empty() { p.dim { "none" } } @else { (visits(&home.signed, true)) }
        }
    };
    page(chrome, Some(Section::Queue), &title, &content)
}

/// Every visit.
pub fn all_visits(chrome: &Chrome, lines: &[VisitLine], more: Option<usize>) -> Markup {
    let content = html! {
        h1 { "Visits" }
        @if lines.is_empty() { p.note { "No visit has arrived yet." } } @else { (visits(lines, true)) }
        @if let Some(next) = more { p { a rel="next" href={ "/review/visits?from=" (next) } { "Earlier visits" } } }
    };
    page(chrome, Some(Section::Visits), "Visits", &content)
}

/// Every site.
pub fn sites(chrome: &Chrome, lines: &[SiteLine]) -> Markup {
    let content = html! {
        h1 { "Sites" }
        @if lines.is_empty() { p.note { "No site has arrived yet." } } @else {
            div.scroll { table {
                thead { tr {
                    th scope="col" { "Site" } th scope="col" { "Town" } th scope="col" { "Customer" }
                    th.r scope="col" { "Units" } th.r scope="col" { "Shut down" }
                    th.r scope="col" { "Visits not signed" } th scope="col" { "Last visit" }
                } }
                tbody { @for line in lines { tr {
                    th scope="row" { a href={ "/review/sites/" (line.site.id) } { (line.site.name) } }
                    td { (line.town.as_deref().unwrap_or("")) }
                    td { (line.customer.as_deref().unwrap_or("")) }
                    td.r { (line.units) }
                    td.r { @if line.shut_down == 0 { span.dim { "none" } } @else { b { (line.shut_down) } } }
                    td.r { @if line.open_visits == 0 { span.dim { "none" } } @else { (line.open_visits) } }
                    td.nowrap { (line.last_day.as_deref().unwrap_or("no day")) }
                } } }
            } }
        }
    };
    let content = html! {
        (content)
        details.no-print { summary { "Begin a site" }
            form.narrow method="post" action="/review/sites/new" {
                (chrome.token_field())
                input type="hidden" name="offset" value="0" data-offset;
                label.typed { span { "Name" } input name="name" required maxlength="200"; }
                label.typed { span { "Town" } input name="town" maxlength="200"; }
                label.typed { span { "Customer" } input name="customer" maxlength="200"; }
                button.btn.q2 type="submit" { "Begin it" }
            } }
    };
    page(chrome, Some(Section::Sites), "Sites", &content)
}
