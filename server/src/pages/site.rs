//! One site: its units and visits.

use maud::{Markup, html};

use super::part::{trail, units, visits};
use super::{Chrome, Section, page};
use crate::review::home::{SiteLine, UnitLine, VisitLine};

/// A site, out of rows.
pub fn site(
    chrome: &Chrome,
    line: &SiteLine,
    of_units: &[UnitLine],
    of_visits: &[VisitLine],
) -> Markup {
    let name = &line.site.name;
    let content = html! {
        (trail(&[("/review/sites", "Sites")]))
        h1 { (name) }
        p.dim {
            @if let Some(customer) = &line.customer { (customer) }
            @if let Some(town) = &line.town { ", " (town) }
        }
        p.no-print { a href={ "/review/sites/" (line.site.id) "/building" } { "What keeps failing here, where, and what would change it" } }
        section aria-labelledby="units" {
            h2 #units { "Units" }
            @if of_units.is_empty() { p.dim { "no unit has been entered yet" } } @else { (units(of_units, false)) }
        }
        section aria-labelledby="visits" {
            h2 #visits { "Visits" }
            @if of_visits.is_empty() { p.dim { "no visit has arrived yet" } } @else { (visits(of_visits, false)) }
        }
    };
    page(chrome, Some(Section::Sites), name, &content)
}
