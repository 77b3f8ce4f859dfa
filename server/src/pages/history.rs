//! A unit through its visits.

use client_core::record::body::Home;
use maud::{Markup, html};

use super::building::itself;
use super::chart::chart;
use super::import::set_form;
use super::part::{lines, sentence, trail, unit_path, visit_path};
use super::question::asked;
use super::report::report_path;
use super::shape::{Shape, status};
use super::{Chrome, Section, page};
use crate::review::history::{History, Turn};

/// A unit's page.
pub fn history(chrome: &Chrome, found: &History) -> Markup {
    let unit = &found.unit;
    let site = format!("/review/sites/{}", unit.site.id);
    let content = html! {
        (trail(&[("/review/sites", "Sites"), (&site, &unit.site.name)]))
        div.between {
            h1 { span.fl { (unit.unit.name) " " (status(&unit.status_key).svg()) span.v-word { (unit.status) } } }
            p.legend {
                span.fl { svg.st.found-c viewBox="0 0 24 24" aria-hidden="true" { path d="M12 4L20 12L12 20L4 12Z" {} } "found, open diamond" }
                span.fl { svg.st.left-c viewBox="0 0 24 24" aria-hidden="true" { rect.solid x="5" y="5" width="14" height="14" {} } "left, solid square" }
            }
        }
        p.no-print.keys-row { a.btn.q2 href=(report_path(&unit.site.id, "unit", &[("unit", &unit.unit.id)])) { "Dossier of " (unit.unit.name) } }
        p.dim { (unit.kind.as_deref().unwrap_or("")) @if let Some(area) = &unit.area { ", area " (area) }
            @if let Some(into) = &unit.merged_into { ", merged into " (into.name) } }
        @for (severity, text) in &unit.advisories { div.note { p { b { (sentence(severity)) } " " (text) } } }
        @for one in &found.differences {
            div.note { p { span.fl { (Shape::TwoAnswers.svg()) b { (one.about) " has two answers" } } }
                @for side in &one.sides { p { (side.says) ", " (side.person.name) ", " (side.at) @if side.governs { " " span.inv { "governs" } } } }
                p.dim { "It is settled on the page of a visit." } }
        }
        section aria-labelledby="trend" {
            h2 #trend { "Readings by day" }
            @if found.series.is_empty() { p.dim { "no reading as found or left in any visit" } }
            @for series in &found.series { (chart(series)) }
        }
        (itself(&found.itself, true))
        @if !found.twins.is_empty() { (twins(found)) }
        section aria-labelledby="turns" {
            h2 #turns { "Visits" }
            @if found.turns.is_empty() { p.dim { "no visit has opened it yet" } } @else { (turns(&unit.site.id, &found.turns)) }
        }
        section aria-labelledby="asked" {
            h2 #asked { "Questions to the manufacturer" }
            @if found.questions.is_empty() { p.dim { "none" } }
            @for one in &found.questions { (asked(chrome, &unit.site.id, &unit.unit.id, one)) }
        }
        (set_form(chrome, &format!("{}/set", unit_path(&unit.site.id, &unit.unit.id)), Home::Appliance))
        details { summary { "Plate and other values" }
            div.scroll { table { tbody { @for value in &found.values {
                tr { th scope="row" { (value.says) } td { (value.value) } td.dim { (value.by) } }
            } } } } }
        details { summary { "Every entry about the unit itself" }
            @if found.lines.is_empty() { p.dim { "none" } } @else { (lines(&found.lines)) } }
    };
    let title = format!("{}, {}", unit.unit.name, unit.site.name);
    page(chrome, Some(Section::Sites), &title, &content)
}

/// Units alike beside each other, with what each was last left at.
fn twins(found: &History) -> Markup {
    html! {
        section aria-labelledby="twins" {
            h2 #twins { "Beside its twins, as left last" }
            p.dim { "Same kind and same input on the plate at this site. A figure that lies apart is a place to look, not a verdict." }
            div.scroll tabindex="0" role="group" aria-label="Beside its twins" { table.broad {
                thead { tr { th scope="col" { "What" } th.r scope="col" { (found.unit.unit.name) }
                    @for twin in &found.twins { th.r scope="col" {
                        a href=(unit_path(&found.unit.site.id, &twin.unit.id)) { (twin.unit.name) }
                        @if let Some(area) = &twin.area { br; "area " (area) }
                    } } } }
                tbody {
                    tr { th scope="row" { "day" } td.r.nowrap { (found.left_on.as_deref().unwrap_or("not tested")) }
                        @for twin in &found.twins { td.r.nowrap { (twin.day.as_deref().unwrap_or("not tested")) } } }
                    @for row in &found.beside { tr {
                        th scope="row" { (row.quantity) }
                        @for (at, figure) in row.figures.iter().enumerate() { td.r .b[at == 0] {
                            @match figure { Some(figure) => (figure), None => span.dim { "not tested" } }
                        } }
                    } }
                }
            } }
        }
    }
}

fn turns(site: &str, all: &[Turn]) -> Markup {
    html! {
        div.scroll { table {
            thead { tr { th scope="col" { "Day" } th scope="col" { "Outcome" } th scope="col" { "Who" }
                th scope="col" { "Causes found" } th.r scope="col" { "Readings" } th.r scope="col" { "Work" }
                th.r scope="col" { "Parts" } th scope="col" { "To look at" } } }
            tbody { @for turn in all { tr {
                th.nowrap scope="row" { a href=(visit_path(site, &turn.visit)) { (turn.day.as_deref().unwrap_or("no day")) } }
                td { (turn.outcome.as_deref().unwrap_or("open")) }
                td { (turn.people.join(", ")) }
                td { (turn.causes.join(", ")) }
                td.r { (turn.counts.0) } td.r { (turn.counts.1) } td.r { (turn.counts.2) }
                td { @if turn.contradictions > 0 { (turn.contradictions) " with two answers" } }
            } } }
        } }
    }
}
