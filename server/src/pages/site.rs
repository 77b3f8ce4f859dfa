//! One site: its units and visits.

use client_core::record::body::Home;
use maud::{Markup, html};

use super::import::set_form;
use super::part::{trail, units, visits};
use super::report::report_path;
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
        p.no-print.row {
            a.btn.q2 href=(report_path(&line.site.id, "differences", &[])) { "Register of two answers" }
            a.btn.q2 href={ "/review/sites/" (line.site.id) "/import" } { "Units out of a list" }
            a.btn.q2 href={ "/review/sites/" (line.site.id) "/labels" } { "Unit labels" }
        }
        p.no-print { a href={ "/review/sites/" (line.site.id) "/building" } { "What keeps failing here, where, and what would change it" } }
        section aria-labelledby="units" {
            h2 #units { "Units" }
            @if of_units.is_empty() { p.dim { "no unit has been entered yet" } } @else { (units(of_units, false)) }
        }
        section.no-print aria-labelledby="edit" {
            h2 #edit { "What the office keeps" }
            (set_form(chrome, &format!("/review/sites/{}/set", line.site.id), Home::Site))
            details { summary { "Add an area" }
                form.narrow method="post" action={ "/review/sites/" (line.site.id) "/area" } {
                    (chrome.token_field())
                    input type="hidden" name="offset" value="0" data-offset;
                    label.typed { span { "Short label" } input name="label" required maxlength="60"; }
                    button.btn.q2 type="submit" { "Add it" }
                } }
        }
        section aria-labelledby="visits" {
            h2 #visits { "Visits" }
            @if of_visits.is_empty() { p.dim { "no visit has arrived yet" } } @else { (visits(of_visits, false)) }
        }
    };
    page(chrome, Some(Section::Sites), name, &content)
}
