//! A building at a glance: a strip by area with one dot a unit, what keeps coming back and where, what would
//! change it. Dots and words say the same; every share stands with its count.

use maud::{Markup, html};

use super::part::{sentence, trail, unit_path};
use super::shape::{Shape, status};
use super::{Chrome, Section, page};
use crate::review::building::{AreaStrip, BuildingPage, CauseTable, WaitStep};

/// Causes with a table of their own; the others fold.
const OPEN: usize = 1;

/// The page.
pub fn building(chrome: &Chrome, found: &BuildingPage) -> Markup {
    let site = format!("/review/sites/{}", found.site.id);
    let content = html! {
        (trail(&[("/review/sites", "Sites"), (&site, &found.site.name)]))
        h1 { (found.site.name) }
        p.t3 { (found.sentence) @if let Some(day) = &found.last_day { " " span.dim { "Last work " (day) "." } } }
        (strips(&found.site.id, &found.areas))
        (legend())
        @if found.causes.is_empty() {
            section aria-labelledby="causes" { h2 #causes { "What keeps coming back" } p.dim { "No finding has been entered yet." } }
        }
        @for cause in found.causes.iter().take(OPEN) {
            section aria-labelledby="causes" { (head(found, cause)) (table(cause)) }
        }
        @if found.causes.len() > OPEN {
            details { summary { "Every other cause, " (found.causes.len() - OPEN) }
                @for cause in &found.causes[OPEN..] { h3 { (cause.cause) ", " (cause.findings) " of " (found.findings) " findings" } (table(cause)) }
            }
        }
        div.cols {
            (list("Came back to the same unit", "inside 400 days or 1,500 firing hours; common practice, no source", &found.came_back,
                "Nothing came back to the same unit."))
            (list("How the newest visits went", "as found by the limits entered, before any work; what was not tested is neither pass nor failure; nothing here names a person", &found.as_found,
                "No visit has readings yet."))
            (list("What changed it", "one unit changed, its like not; a hint is no proof", &found.changed,
                "No change is recorded beside a like unit that was not changed."))
            (list("What falls", "loss of flame current from one visit to the next, by firing hours", &found.falling,
                "No unit has a flame current as left and as next found, both with firing hours."))
            (list("Next visit, proposed", "the usual interval is one full visit before the season; the supervisor settles", &found.proposals,
                "Nothing speaks against the usual interval."))
        }
        (waiting(found))
        @if !found.twins.is_empty() {
            details { summary { "Like units to compare" } ul { @for pair in &found.twins { li { (pair) } } } }
        }
        p.dim { "Counts of units that were opened. Few units say little; nothing here ranks people or promises anything." }
    };
    page(chrome, Some(Section::Sites), &found.site.name, &content)
}

fn strips(site: &str, areas: &[AreaStrip]) -> Markup {
    html! {
        div.areas {
            @for area in areas {
                section aria-label={ "Area " (area.label) } {
                    h2 { (area.label) @if let Some(name) = &area.name { " " span { (name) } } }
                    p.dim.t1 { "air: " @if area.air.is_empty() { "none seen" } @else { (area.air.join(", ")) } }
                    ul.plain {
                        @for unit in &area.units {
                            li { a href=(unit_path(site, &unit.unit.id)) {
                                (status(&unit.status_key).svg()) b { (unit.unit.name) } span.vh { ", " (unit.status) }
                            } }
                        }
                    }
                }
            }
        }
    }
}

fn legend() -> Markup {
    html! {
        p.legend {
            @for (shape, word) in [
                (Shape::InService, "in service"), (Shape::Watch, "watch"), (Shape::PartAwaited, "in service, part awaited"),
                (Shape::ShutDown, "shut down"), (Shape::LockedOut, "control locked out"), (Shape::Unknown, "not known"),
                (Shape::Removed, "removed"),
            ] { span.fl { (shape.svg()) (word) } }
        }
    }
}

fn head(found: &BuildingPage, cause: &CauseTable) -> Markup {
    let name = cause.cause.split(" (").next().unwrap_or_default().to_lowercase();
    html! {
        h2 #causes { "What keeps coming back: " (name) ", " (cause.findings) " of " (found.findings) " findings on "
            (found.days) @if found.days == 1 { " day" } @else { " days" } " of work" }
    }
}

fn table(cause: &CauseTable) -> Markup {
    html! {
        div.scroll { table.stack {
            thead { tr { th scope="col" { "Area" } th scope="col" { "One dot a unit opened, filled if it happened" }
                th scope="col" { "Units" } th scope="col" { "In words" } } }
            tbody {
                @for row in &cause.rows {
                    tr {
                        th scope="row" { (row.area) }
                        td { (dots(&row.units)) }
                        td.nowrap data-l="Units" { b { (row.count.0) " of " (row.count.1) } }
                        td { (sentence_or_none(&row.words)) }
                    }
                }
            }
        } }
    }
}

fn sentence_or_none(words: &str) -> Markup {
    html! { @if words.is_empty() { span.dim { "Nothing else was found there." } } @else { (sentence(words)) } }
}

fn dots(units: &[(String, usize)]) -> Markup {
    let said: Vec<String> = units
        .iter()
        .filter(|(_, times)| *times > 0)
        .map(
            |(unit, times)| {
                if *times == 1 { unit.clone() } else { format!("{unit} {times} times") }
            },
        )
        .collect();
    html! {
        span.unit-dots {
            @for (unit, times) in units {
                i.on[*times > 0] title=(unit) {}
            }
        }
        @if !said.is_empty() { " " span.t1 { (said.join(", ")) } }
    }
}

fn list(title: &str, small: &str, lines: &[String], none: &str) -> Markup {
    html! {
        section.note {
            h2 { (title) }
            @if lines.is_empty() { p.dim { (none) } }
            @else { ul.plain { @for line in lines { li { (sentence(line)) } } } }
            p.dim.t1 { (small) "." }
        }
    }
}

// --- the wait ---

const WIDTH: f64 = 900.0;
const HEIGHT: f64 = 200.0;
const LEFT: f64 = 60.0;
const RIGHT: f64 = 30.0;
const TOP: f64 = 12.0;
const FOOT: f64 = 40.0;

/// The share of stretches that are still without a finding, by firing hours.
fn waiting(found: &BuildingPage) -> Markup {
    let Some(says) = &found.waiting_says else { return html! {} };
    html! {
        section aria-labelledby="wait" {
            h2 #wait { "From one visit to the next finding" }
            p { (sentence(says)) }
            @if !found.waiting.is_empty() { (curve(&found.waiting, found.waiting_most)) }
        }
    }
}

fn curve(steps: &[WaitStep], most: f64) -> Markup {
    let most = most.max(1.0) * 1.05;
    let x = |hours: f64| LEFT + hours / most * (WIDTH - LEFT - RIGHT);
    let y = |share: f64| TOP + (1.0 - share) * (HEIGHT - TOP - FOOT);
    let mut path = format!("M{:.1} {:.1}", x(0.0), y(1.0));
    for step in steps {
        path.push_str(&format_step(x(step.hours), y(step.share)));
    }
    path.push('H');
    path.push_str(&px(x(most)));
    html! {
        figure.chart {
            figcaption { b { "Share of stretches still without a finding, by firing hours" } }
            svg viewBox={ "0 0 " (WIDTH) " " (HEIGHT) } role="img" aria-label="Survival curve; the table below says the same" {
                @for share in [0.0, 0.5, 1.0] {
                    path.grid d={ "M" (LEFT) " " (px(y(share))) "H" (WIDTH - RIGHT) } {}
                    text.end x=(LEFT - 8.0) y=(px(y(share) + 4.0)) { @if share > 0.9 { "all" } @else if share > 0.4 { "half" } @else { "none" } }
                }
                path.thin d=(path) {}
                @for step in steps { text.mid x=(px(x(step.hours))) y=(HEIGHT - 22.0) { (format!("{:.0}", step.hours)) } }
                text.mid x=(px(x(most / 2.0))) y=(HEIGHT - 4.0) { "firing hours" }
            }
            details { summary { "The same as a table" }
                table { thead { tr { th scope="col" { "Firing hours" } th scope="col" { "Had lasted so long" } th scope="col" { "Still without" } } }
                    tbody { @for step in steps { tr {
                        td { (format!("{:.0}", step.hours)) } td { (step.at_risk) }
                        td { (client_core::trade::stats::words::about(step.share)) }
                    } } } }
            }
        }
    }
}

fn format_step(x: f64, y: f64) -> String {
    format!("H{x:.1}V{y:.1}")
}

fn px(at: f64) -> String {
    format!("{at:.1}")
}
