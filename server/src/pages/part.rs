//! Parts that several pages share.

use client_core::record::body::drawn;
use maud::{Markup, html};

use super::shape::{Shape, status};
use crate::review::Named;
use crate::review::home::{UnitLine, VisitLine};
use crate::review::sheet::Line;

/// Where a visit's page is.
pub fn visit_path(site: &str, visit: &str) -> String {
    format!("/review/sites/{site}/visits/{visit}")
}

/// Where a unit's page is.
pub fn unit_path(site: &str, unit: &str) -> String {
    format!("/review/sites/{site}/units/{unit}")
}

/// A way back: links from the top down to here.
pub fn trail(steps: &[(&str, &str)]) -> Markup {
    html! {
        nav.trail aria-label="Where you are" {
            @for (at, (path, name)) in steps.iter().enumerate() {
                @if at > 0 { " / " }
                a href=(path) { (name) }
            }
        }
    }
}

/// Words as a sentence of a page: a capital first, a full stop last.
pub fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    let first = letters.next().map(|letter| letter.to_uppercase().to_string());
    let stop = if words.ends_with(['.', '?', '!']) { "" } else { "." };
    format!("{}{}{stop}", first.unwrap_or_default(), letters.as_str())
}

/// A count with its noun.
pub fn count(n: usize, one: &str, many: &str) -> String {
    match n {
        0 => format!("no {many}"),
        1 => format!("1 {one}"),
        n => format!("{n} {many}"),
    }
}

/// Visits in a table.
pub fn visits(lines: &[VisitLine], with_site: bool) -> Markup {
    html! {
        div.scroll {
            table.stack {
                thead { tr {
                    th scope="col" { "Day" }
                    @if with_site { th scope="col" { "Site" } }
                    th scope="col" { "Visit" }
                    th scope="col" { "Who" }
                    th.r scope="col" { "Units done" }
                    th.r scope="col" { "Readings" }
                    th scope="col" { "To look at" }
                    th scope="col" { "Signed" }
                } }
                tbody {
                    @for line in lines {
                        tr {
                            td.nowrap data-l="Day" { (line.day.as_deref().unwrap_or("no day")) }
                            @if with_site { td data-l="Site" { a href={ "/review/sites/" (line.site.id) } { (line.site.name) } } }
                            th scope="row" {
                                a href=(visit_path(&line.site.id, &line.id)) {
                                    (line.kind)
                                    @if let Some(reference) = &line.reference { ", " (reference) }
                                }
                            }
                            td data-l="Who" { (line.people.join(", ")) }
                            td.r data-l="Units done" { (line.units.1) " of " (line.units.0)
                                @if line.units.2 > 0 { br; span.dim { (line.units.2) " not reached" } } }
                            td.r data-l="Readings" { (line.readings) }
                            td {
                                @if line.contradictions > 0 {
                                    span.fl { (Shape::TwoAnswers.svg()) (count(line.contradictions as usize, "thing with two answers", "things with two answers")) }
                                } @else { span.dim { "nothing with two answers" } }
                            }
                            td { @if line.signed.is_empty() { span.dim { "not signed" } } @else { (line.signed.join("; ")) } }
                        }
                    }
                }
            }
        }
    }
}

/// Units in a table.
pub fn units(lines: &[UnitLine], with_site: bool) -> Markup {
    html! {
        div.scroll {
            table.stack {
                thead { tr {
                    th scope="col" { "Unit" }
                    @if with_site { th scope="col" { "Site" } }
                    th scope="col" { "Kind" }
                    th scope="col" { "Area" }
                    th scope="col" { "Status" }
                    th scope="col" { "To look at" }
                } }
                tbody {
                    @for line in lines {
                        tr {
                            th.nowrap scope="row" { a.b href=(unit_path(&line.site.id, &line.unit.id)) { (line.unit.name) } }
                            @if with_site { td data-l="Site" { a href={ "/review/sites/" (line.site.id) } { (line.site.name) } } }
                            td data-l="Kind" { (line.kind.as_deref().unwrap_or("")) }
                            td data-l="Area" { (line.area.as_deref().unwrap_or("")) }
                            td data-l="Status" { span.fl { (status(&line.status_key).svg()) span { (line.status) } } }
                            td { (look_at(line)) }
                        }
                    }
                }
            }
        }
    }
}

fn look_at(line: &UnitLine) -> Markup {
    html! {
        ul.plain {
            @if let Some(into) = &line.merged_into { li { "merged into " (into.name) } }
            @if line.tagged { li.b { "shut down, tag on" } }
            @for key in &line.contested { li { span.fl { (Shape::TwoAnswers.svg()) (register(key)) " has two answers" } } }
            @for (severity, text) in &line.advisories { li { span.b { (severity) } ": " (text) } }
            @if line.questions > 0 { li { (count(line.questions as usize, "open question to the manufacturer", "open questions to the manufacturer")) } }
        }
    }
}

/// A register in the words that people read.
fn register(key: &str) -> String {
    use client_core::record::field::Field;
    Field::from_key(key).map_or_else(|| key.to_owned(), |field| field.def.says.to_owned())
}

/// Entries in a table: what, who, when, with what.
pub fn lines(lines: &[Line]) -> Markup {
    html! {
        div.scroll {
            table {
                thead { tr {
                    th scope="col" { "When" }
                    th scope="col" { "Who" }
                    th scope="col" { "What" }
                    th scope="col" { "Instrument" }
                } }
                tbody {
                    @for line in lines {
                        tr #{ "e-" (line.entry) } .out[line.out.is_some()] {
                            td.nowrap { (line.at) }
                            td { (line.person.name) }
                            td {
                                (line.says)
                                @for mark in &line.marks { " " span.mark { (mark) } }
                                @if let Some(out) = &line.out { " " span.mark { (out) } }
                                @if let Some(drawn) = &line.drawn { (signature(drawn, &line.person.name)) }
                            }
                            td { (line.instrument.as_deref().unwrap_or("")) }
                        }
                    }
                }
            }
        }
    }
}

/// A drawn signature.
pub fn signature(path: &str, of: &str) -> Markup {
    html! {
        svg class="sign done" viewBox={ "0 0 " (drawn::ACROSS) " " (drawn::DOWN) } role="img"
            aria-label={ "signature, drawn, entered by " (of) } { path d=(path) {} }
    }
}

/// A named thing as an option of a list.
pub fn options(all: &[Named], chosen: Option<&str>) -> Markup {
    html! {
        @for one in all {
            option value=(one.id) selected[chosen == Some(one.id.as_str())] { (one.name) }
        }
    }
}
