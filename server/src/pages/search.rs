//! Searching.

use maud::{Markup, html};

use super::part::{units, visits};
use super::{Chrome, Section, page};
use crate::review::search::Found;

/// The question and what was found.
pub fn search(chrome: &Chrome, question: &str, found: &Found) -> Markup {
    let nothing = *found == Found::default();
    let content = html! {
        h1 { "Search" }
        form.narrow method="get" action="/review/search" role="search" data-live="/api/1/search" {
            label.typed { span { "Site, unit, visit, person" }
                input type="search" name="q" value=(question) maxlength="200"; }
            button.btn type="submit" { "Search" }
        }
        p #count role="status" { @if !question.trim().is_empty() && nothing { "Nothing among your sites has all of these words." } }
        div #found {
        @if !found.sites.is_empty() { section { h2 { "Sites" } ul { @for site in &found.sites {
            li { a href={ "/review/sites/" (site.id) } { (site.name) } } } } } }
        @if !found.units.is_empty() { section { h2 { "Units" } (units(&found.units, true)) } }
        @if !found.visits.is_empty() { section { h2 { "Visits" } (visits(&found.visits, true)) } }
        @if !found.people.is_empty() { section { h2 { "People" } ul { @for one in &found.people {
            li { a href={ "/review/people#p-" (one.id) } { (one.name) } } } } } }
        }
    };
    page(chrome, Some(Section::Search), "Search", &content)
}
