//! One difference, its sides beside each other, and the form that settles it.

use maud::{Markup, html};

use super::part::{count, sentence, trail, visit_path};
use super::{Chrome, Section, page};
use crate::review::difference::{Difference, Side, Way};
use crate::review::sheet::{Line, Sheet};
use crate::review::visit::Visit;

/// A difference of a visit.
pub fn settle(chrome: &Chrome, visit: &Visit, one: &Difference, wrong: Option<&str>) -> Markup {
    let path = visit_path(&visit.site.id, &visit.id);
    let site = format!("/review/sites/{}", visit.site.id);
    let unit = one.unit.as_ref().map(|unit| format!("{}, ", unit.name)).unwrap_or_default();
    let title = format!("{unit}{}", one.about);
    let name = format!("{} of {}", visit.kind, visit.day.as_deref().unwrap_or("no day"));
    let evidence = one.unit.as_ref();
    let sheet = evidence.and_then(|unit| visit.units.iter().find(|own| own.unit == *unit));
    let content = html! {
        (trail(&[("/review/sites", "Sites"), (&site, &visit.site.name), (&path, &name)]))
        h1 { (title) }
        p { (sentence(&one.governs)) " " (sentence(&one.next)) }
        @if let Some(wrong) = wrong { p.note.now role="alert" { (wrong) } }
        div.two.sides[one.sides.len() > 1] { @for side in &one.sides { (beside(side)) } }
        @if let Some(text) = &one.text { h2 { "The text as it reads now" } p.note.pre { (text) } }
        div.cols {
            section aria-labelledby="settle" {
                @if chrome.supervises() { (form(chrome, visit, one, &path)) }
                @else { h2 #settle { "Settling" } p { "A supervisor settles this." } }
                (question(chrome, visit, one, &path))
            }
            section aria-labelledby="evidence" {
                h2 #evidence { "Evidence of this visit" @if let Some(unit) = evidence { " on " (unit.name) } }
                @let lines: Vec<&Line> = sheet.map(newest_first).unwrap_or_default();
                @let (first, rest) = lines.split_at(lines.len().min(SHOWN));
                @if first.is_empty() { p.dim { "nothing else was entered for it in this visit" } }
                @else { (evidence_of(first)) }
                @if !rest.is_empty() { details { summary { (count(rest.len(), "earlier entry", "earlier entries")) } (evidence_of(rest)) } }
            }
        }
    };
    page(chrome, Some(Section::Visits), &title, &content)
}

/// Entries that are shown beside a difference before somebody asks for more.
const SHOWN: usize = 10;

/// What was entered for a unit in a visit, shut-downs and padlocks among it, the newest by the clocks first.
fn newest_first(sheet: &Sheet) -> Vec<&Line> {
    let mut lines: Vec<&Line> = sheet.lines.iter().chain(&sheet.about_unit).collect();
    lines.sort_by(|one, other| other.at.cmp(&one.at));
    lines
}

fn evidence_of(lines: &[&Line]) -> Markup {
    html! {
        div.scroll { table.plainly { tbody { @for line in lines {
            tr .out[line.out.is_some()] {
                td.nowrap.dim { (line.at) }
                td { (line.says) br; span.dim { (line.person.name)
                    @if let Some(instrument) = &line.instrument { ", " (instrument) }
                    @for mark in &line.marks { ", " (mark) } } }
            }
        } } } }
    }
}

fn beside(side: &Side) -> Markup {
    html! {
        div {
            p.dim { (side.person.name) ", " (side.at) @if let Some(instrument) = &side.instrument { ", " (instrument) } }
            p.v { (side.says) }
            @if side.governs { p { span.inv { "governs now" } } } @else { p.dim { "kept" } }
            @for mark in &side.marks { p { span.mark { (mark) } } }
            @if !side.knew.is_empty() {
                h2.knew { "What " (side.person.name) "'s device knew then" }
                ul { @for one in &side.knew { li { (one) } } }
            }
        }
    }
}

fn hidden(chrome: &Chrome, visit: &Visit, one: &Difference) -> Markup {
    html! {
        (chrome.token_field())
        input type="hidden" name="key" value=(one.key);
        input type="hidden" name="unit" value=(one.unit.as_ref().map_or("", |unit| unit.id.as_str()));
        input type="hidden" name="table" value=(one.table);
        input type="hidden" name="offset" value=(visit.offset_min) data-offset;
    }
}

fn form(chrome: &Chrome, visit: &Visit, one: &Difference, path: &str) -> Markup {
    let who = chrome.who.as_ref().map_or("", |(name, _)| name.as_str());
    html! {
        @match one.way {
            Way::SignOff => {
                h2 #settle { "Settling" }
                p { "A second sign-off that shows these entries settles it." }
                p { a.btn href={ (path) "#sign" } { "To the sign-off" } }
            }
            Way::Release => {
                h2 #settle { "Settling" }
                p { "The unit stays shut down. It is proved again and released again at the unit, by whoever does it." }
            }
            Way::Choose | Way::Words | Way::OneOrTwo | Way::Text | Way::Merge => {
                form method="post" action={ (path) "/settle" } {
                    (hidden(chrome, visit, one))
                    @if one.way == Way::Merge { (merge(visit, one)) } @else { (choice(one)) }
                    label.typed { span { "Reason, stays in the record" }
                        textarea name="reason" rows="3" required maxlength="2000" {} }
                    @if one.sides.iter().any(|side| side.lowers) {
                        p.dim { "To lower caution: your name, the reason, and the proof of a re-test." }
                    }
                    button.btn type="submit" { "Settle as " (who) }
                }
            }
        }
    }
}

fn merge(visit: &Visit, one: &Difference) -> Markup {
    html! {
        fieldset {
            legend { h2 #settle { "What the entries belong to" } }
            label.pick { input type="radio" name="chosen" value="into" checked;
                span { b { "to another unit, under a wrong number" } br;
                    span.dim { "Every entry is pointed there; nothing is moved or taken out." } } }
            label.typed { span { "That unit" }
                select name="into" { option value="" { "choose" }
                    @for unit in visit.others.iter().filter(|unit| one.unit.as_ref() != Some(unit)) {
                        option value=(unit.id) { (unit.name) } } } }
            label.pick { input type="radio" name="chosen" value="alone";
                span { b { "to this unit; it stays as a record of its own" } } }
        }
    }
}

fn choice(one: &Difference) -> Markup {
    let legend = match one.way {
        Way::Choose => "Settle as",
        Way::OneOrTwo => "These are",
        Way::Text => "The text",
        _ => "What governs",
    };
    html! {
        fieldset {
            legend { h2 #settle { (legend) } }
            @match one.way {
                Way::OneOrTwo => {
                    @for side in &one.sides {
                        (radio(&side.entry, &format!("one event; this entry counts: {}", side.says), side))
                    }
                    label.pick { input type="radio" name="chosen" value="two" required; span { "two events; both count" } }
                }
                Way::Text => p { "Both edits stand in it. Settling says that it was read once and reads well; to change it, edit it on a device." },
                Way::Words => {
                    label.pick { input type="radio" name="chosen" value="" checked; span { "settled in words; no side is chosen" } }
                    @for side in &one.sides { (radio(&side.entry, &side.says, side)) }
                }
                _ => @for side in &one.sides { (radio(&side.entry, &side.says, side)) },
            }
        }
    }
}

fn radio(value: &str, says: &str, side: &Side) -> Markup {
    html! {
        label.pick {
            input type="radio" name="chosen" value=(value) required;
            span { b { (says) } br; span.dim { (side.person.name) ", " (side.at)
                @if side.lowers { "; less careful than the other answer" } } }
        }
    }
}

fn question(chrome: &Chrome, visit: &Visit, one: &Difference, path: &str) -> Markup {
    html! {
        details.no-print { summary { "Send back with a question" }
            form method="post" action={ (path) "/query" } {
                (hidden(chrome, visit, one))
                label.typed { span { "To" }
                    select name="to" { option value="" { "whoever was there" }
                        @for person in &visit.people { option value=(person.id) { (person.name) } } } }
                label.typed { span { "Question" } textarea name="text" rows="3" required maxlength="2000" {} }
                button.btn.q2 type="submit" { "Send the question" }
            } }
    }
}
