//! A building at a glance: a strip by area with one dot a unit, what keeps coming back and where, what would
//! change it. Dots and words say the same; every share stands with its count.

use maud::{Markup, html};

use super::chart::chart;
use super::part::{sentence, trail, unit_path};
use super::shape::{Shape, status};
use super::{Chrome, Section, page};
use crate::review::building::{
    AreaStrip, BuildingPage, CauseTable, ItselfLine, ShareLine, WaitStep,
};

/// Causes with a table of their own; the others fold.
const OPEN: usize = 1;

/// The page.
pub fn building(chrome: &Chrome, found: &BuildingPage) -> Markup {
    let site = format!("/review/sites/{}", found.site.id);
    let content = html! {
        (trail(&[("/review/sites", "Sites"), (&site, &found.site.name)]))
        h1 { (found.site.name) }
        p.t3 { (found.sentence) @if let Some(day) = &found.last_day { " " span.dim { "Last work " (day) "." } } }
        (answer(found))
        (strips(&found.site.id, &found.areas))
        (legend())
        @if found.causes.is_empty() {
            section aria-labelledby="causes" { h2 #causes { "What keeps coming back" } p.dim { "No finding has been entered yet." } }
        }
        @for cause in found.causes.iter().take(OPEN) {
            section aria-labelledby="causes" { (head(found, cause)) (table(cause)) }
        }
        div.cols {
            (list("changed", "What changed it", "one unit changed, its like not; a hint is no proof", &found.changed,
                "No change is recorded beside a like unit that was not changed."))
            (list("back", "Came back to the same unit", "inside 400 days or 1,500 firing hours; common practice, no source", &found.came_back,
                "Nothing came back to the same unit."))
            (list("proposed", "Next visit, proposed", "the usual interval is one full visit before the season; the supervisor settles", &found.proposals,
                "Nothing speaks against the usual interval."))
            (list("falls", "What falls", "loss of flame current from one visit to the next, by firing hours", &found.falling,
                "No unit has a flame current as left and as next found, both with firing hours."))
            (list("went", "How the newest visits went", "as found by the limits entered, before any work; what was not tested is neither pass nor failure; nothing here names a person", &found.as_found,
                "No visit has readings yet."))
            (list("carry", "Parts to carry", "enough for nine visits of ten like the newest ones; few visits say little", &found.carry,
                "No part is entered at the newest visits."))
        }
        @if found.causes.len() > OPEN {
            details { summary { "Every other cause, " (found.causes.len() - OPEN) }
                @for cause in &found.causes[OPEN..] { h3 { (cause.cause) ", " (cause.findings) " of " (found.findings) " findings" } (table(cause)) }
            }
        }
        (morning(&site, &found.morning))
        (itself(&found.itself, false))
        (waiting(found))
        @if !found.twins.is_empty() {
            details { summary { "Like units to compare" } ul { @for pair in &found.twins { li { (pair) } } } }
        }
        p.dim { "Counts of units that were opened. Few units say little; nothing here ranks people or promises anything." }
    };
    page(chrome, Some(Section::Sites), &found.site.name, &content)
}

/// What keeps failing, where, and what would change it, before anything else: who reads no further has read that.
fn answer(found: &BuildingPage) -> Markup {
    let Some(cause) = found.causes.first().filter(|cause| cause.findings > 1) else {
        return html! {};
    };
    let name = |label: &str| {
        let area = found.areas.iter().find(|area| area.label == label);
        area.and_then(|area| area.name.as_deref()).map_or(String::new(), |name| format!(" {name}"))
    };
    let places: Vec<String> = cause
        .rows
        .iter()
        .filter(|row| row.count.0 > 0)
        .map(|row| {
            format!("{}{}, {} of {} units", row.area, name(&row.area), row.count.0, row.count.1)
        })
        .collect();
    html! {
        section.answer aria-labelledby="answer" {
            h2.vh #answer { "In short" }
            dl {
                div { dt { "Keeps coming back" } dd { b { (short(cause)) } ", " (cause.findings) " of " (found.findings) " findings" } }
                div { dt { "Where" } dd { (places.join("; ")) } }
                div { dt { "What would change it" } dd {
                    @for (place, line) in found.would_change.iter().enumerate() { @if place > 0 { br; } (sentence(line)) }
                } }
            }
            p.dim.t1 { "By what the air carries: common practice, no source; the people on site decide." }
        }
    }
}

fn short(cause: &CauseTable) -> String {
    cause.cause.split(" (").next().unwrap_or_default().to_lowercase()
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
    html! {
        h2 #causes { "What keeps coming back: " (short(cause)) ", " (cause.findings) " of " (found.findings) " findings on "
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

fn list(id: &str, title: &str, small: &str, lines: &[String], none: &str) -> Markup {
    html! {
        section.note aria-labelledby=(id) {
            h2 id=(id) { (title) }
            @if lines.is_empty() { p.dim { (none) } }
            @else { ul.plain { @for line in lines { li { (sentence(line)) } } } }
            p.dim.t1 { (small) "." }
        }
    }
}

/// The plan for the next morning: a table a person, areas kept whole.
fn morning(site: &str, shares: &[ShareLine]) -> Markup {
    html! {
        section.plan aria-labelledby="morning" {
            h2 #morning { "Tomorrow morning, proposed" }
            p.no-print { "For "
                @for people in 1..=PEOPLE_ASKED {
                    @if people == shares.len() { b { (people) } } @else { a.btn.q2 href={ (site) "/building?people=" (people) "#morning" } { (people) } }
                    " "
                }
                "people" }
            div.cols {
                @for (place, share) in shares.iter().enumerate() {
                    div { h3 { "Person " (place + 1) ": " (share.areas.join(", ")) }
                        @if share.units.is_empty() { p.dim { "No unit is left for this one." } }
                        @else { div.scroll { table {
                            thead { tr { th scope="col" { "Unit" } th scope="col" { "Area" } th scope="col" { "Why it stands here" } } }
                            tbody { @for (area, unit, why) in &share.units {
                                tr { th scope="row" { (unit) } td { (area) } td { (sentence(why)) } }
                            } }
                        } }
                        p.dim.t1 { "About " (share.minutes / 60) " h " (share.minutes % 60) " min, 45 minutes a full visit; common practice, no source." } }
                    }
                }
            }
            p.dim.t1 { "Urgent first, then what is not settled, no heat, watch, falling, repeats. A tagged unit comes last: only work on a dead unit until a licensed person has released it." }
        }
    }
}

/// People that the plan may be asked for by one tap.
const PEOPLE_ASKED: usize = 4;

/// Units against themselves: the charts that there are, and what each is held against; of one unit on its own
/// page nothing folds.
pub(super) fn itself(all: &[ItselfLine], one: bool) -> Markup {
    let charts: Vec<&ItselfLine> = all.iter().filter(|own| own.chart.is_some()).collect();
    html! {
        @if !all.is_empty() {
            section aria-labelledby="itself" {
                h2 #itself { @if one { "Against itself" } @else { "Each unit against itself" } }
                @if charts.is_empty() && !one { p { "No control chart yet: its limits need 8 readings as left of one unit. What each unit is held against stands below." } }
                @if !charts.is_empty() { (legend_of_charts()) }
                @for own in &charts {
                    @if let Some(series) = &own.chart { (chart(series)) }
                    p { (sentence(&own.says)) }
                }
                @if one { (held_against(all)) }
                @else { details { summary { "What each is held against, " (all.len()) } (held_against(all)) } }
            }
        }
    }
}

fn held_against(all: &[ItselfLine]) -> Markup {
    html! {
        div.scroll { table {
            thead { tr { th scope="col" { "Unit" } th scope="col" { "What" } th scope="col" { "Held against" }
                th scope="col" { "The newest reading" } th scope="col" { "Control chart" } } }
            tbody { @for own in all { tr {
                th.nowrap scope="row" { (own.unit) } td { (own.quantity) } td { (sentence(&own.base)) }
                td { @match &own.beside { Some(beside) => (sentence(beside)), None => span.dim { "No band to hold it against." } } }
                td { (sentence(&own.says)) }
            } } }
        } }
    }
}

fn legend_of_charts() -> Markup {
    html! {
        p.legend {
            span.fl { svg.st.found-c viewBox="0 0 24 24" aria-hidden="true" { path d="M12 4L20 12L12 20L4 12Z" {} } "found, open diamond" }
            span.fl { svg.st.left-c viewBox="0 0 24 24" aria-hidden="true" { rect.solid x="5" y="5" width="14" height="14" {} } "left, solid square" }
            span.fl { svg.st viewBox="0 0 24 24" aria-hidden="true" { circle.ring cx="12" cy="12" r="9" {} } "moved, ringed" }
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
/// Room that a number under the axis needs.
const LABEL_APART: f64 = 44.0;

/// The share of stretches that are still without a finding, by firing hours.
fn waiting(found: &BuildingPage) -> Markup {
    let Some(says) = &found.waiting_says else { return html! {} };
    html! {
        section aria-labelledby="wait" {
            h2 #wait { "From one visit to the next " (found.waiting_ends_in) }
            p { (sentence(says)) }
            @if !found.waiting.is_empty() { (curve(&found.waiting, found.waiting_most, &found.waiting_ends_in)) }
        }
    }
}

fn curve(steps: &[WaitStep], most: f64, ends_in: &str) -> Markup {
    let most = most.max(1.0) * 1.05;
    let x = |hours: f64| LEFT + hours / most * (WIDTH - LEFT - RIGHT);
    let y = |share: f64| TOP + (1.0 - share) * (HEIGHT - TOP - FOOT);
    let mut path = format!("M{:.1} {:.1}", x(0.0), y(1.0));
    for step in steps {
        path.push_str(&format_step(x(step.hours), y(step.share)));
    }
    path.push('H');
    path.push_str(&px(x(most)));
    // Hours that would lie on each other are left to the table.
    let mut labels: Vec<(f64, f64)> = vec![];
    for step in steps {
        let at = x(step.hours);
        if labels.last().is_none_or(|(last, _)| at - last > LABEL_APART) {
            labels.push((at, step.hours));
        }
    }
    html! {
        figure.chart {
            figcaption { b { "Share of stretches still without a " (ends_in) ", by firing hours" } }
            svg viewBox={ "0 0 " (WIDTH) " " (HEIGHT) } role="img" aria-label="Survival curve; the table below says the same" {
                @for share in [0.0, 0.5, 1.0] {
                    path.grid d={ "M" (LEFT) " " (px(y(share))) "H" (WIDTH - RIGHT) } {}
                    text.end x=(LEFT - 8.0) y=(px(y(share) + 4.0)) { @if share > 0.9 { "all" } @else if share > 0.4 { "half" } @else { "none" } }
                }
                path.thin d=(path) {}
                @for (at, hours) in labels { text.mid x=(px(at)) y=(HEIGHT - 22.0) { (format!("{hours:.0}")) } }
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

#[cfg(test)]
mod tests {
    use client_core::pattern::Day;
    use client_core::pattern::baseline::chart as limits_of;
    use client_core::pattern::own::{Base, Own, Point};
    use client_core::trade::unit::Unit;

    use super::*;
    use crate::review::Named;
    use crate::review::building::{Beside, page as lay_out};

    /// A unit that was left eight times about 4.1 uA and found once at 2.0.
    fn unit() -> Own {
        let left = [4.1, 4.0, 4.2, 4.1, 4.0, 4.2, 4.1, 4.0];
        let day = |date| Day::parse(date).unwrap();
        let mut points: Vec<Point> = left
            .iter()
            .zip(1..)
            .map(|(value, month)| Point {
                day: Day::new(2024, month, 15).unwrap(),
                left: true,
                value: *value,
                moved: false,
            })
            .collect();
        points.push(Point { day: day("2025-01-20"), left: false, value: 2.0, moved: true });
        let limits = limits_of(&left, 8).map(|(limits, _)| limits);
        Own {
            unit_no: "UH-05".to_owned(),
            name: "flame current",
            unit: Unit::Ua,
            base: Base::Left { day: day("2024-01-15"), value: 4.1 },
            points,
            against: None,
            limits,
        }
    }

    #[test]
    fn a_chart_tells_found_from_left_and_moved_by_shape_and_says_its_counts() {
        let site = Named::new("s", "Hall".to_owned());
        let beside = Beside { itself: vec![unit()], ..Beside::default() };
        let found = lay_out(site, &client_core::pattern::building::Building::default(), beside);
        let page = itself(&found.itself, false).into_string();
        assert_eq!(page.matches("class=\"open\"").count(), 1, "{page}");
        assert_eq!(page.matches("class=\"solid\"").count(), 8 + 1, "{page}");
        assert_eq!(page.matches("class=\"ring\"").count(), 1 + 1, "{page}");
        for says in ["3.7 to 4.4", "limits, first 8 as left", "centre", "8 as left, 1 as found"] {
            assert!(page.contains(says), "{says:?} is not in {page}");
        }
        assert!(!page.contains("No control chart yet"));
    }
}
