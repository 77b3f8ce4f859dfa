//! A visit: what to look at in order, what holds the sign-off, signatures, questions, every sheet.

use maud::{Markup, html};

use super::part::{count, lines, sentence, signature, trail, unit_path, visit_path};
use super::report::report_path;
use super::shape::{Shape, bracket, lies, status};
use super::{Chrome, Section, page};
use crate::review::difference::{Difference, Side, Way};
use crate::review::queue::{Group, Item};
use crate::review::shared::SharedLine;
use crate::review::sheet::Sheet;
use crate::review::visit::{Holds, Query, Signature, Visit};

/// A visit's page.
pub fn visit(chrome: &Chrome, visit: &Visit, links: &[SharedLine]) -> Markup {
    let day = visit.day.as_deref().unwrap_or("no day");
    let title = format!("{}, {} of {day}", visit.site.name, visit.kind);
    let path = visit_path(&visit.site.id, &visit.id);
    let site = format!("/review/sites/{}", visit.site.id);
    let holding = visit.holds.iter().filter(|one| one.excepted.is_none()).count();
    let people: Vec<&str> = visit.people.iter().map(|one| one.name.as_str()).collect();
    let content = html! {
        (trail(&[("/review/sites", "Sites"), (&site, &visit.site.name)]))
        div.between {
            h1 { (count(visit.queue.len(), "thing to look at", "things to look at")) }
            button.btn.q2.no-print type="button" data-print hidden { "Print this list" }
        }
        p.dim {
            (visit.site.name) ", " (visit.kind) " of " (day)
            @if let Some(reference) = &visit.reference { ", " (reference) }
            ". " (count(visit.readings, "reading", "readings")) " by " (people.join(", ")) ". "
            (match holding { 0 => "Nothing holds the sign-off.".to_owned(), n => format!("{} the sign-off.", count(n, "thing holds", "things hold")) })
        }
        @if visit.released && visit.late > 0 {
            p.note.now { (count(visit.late, "entry came", "entries came")) " after the sign-off: it counts, and a second sign-off is asked for." }
        }
        @for (at, group) in Group::ALL.into_iter().enumerate() {
            (queue_group(at + 1, group, visit, &path))
        }
        (waiting(chrome, visit, &path))
        (signing(chrome, visit, &path, holding))
        (reports(chrome, visit, links, &path))
        (questions(chrome, visit, &path))
        section aria-labelledby="sheets" {
            h2 #sheets { "Everything else" }
            (settled(visit))
            @for sheet in &visit.units { (sheet_of(sheet, &visit.site.id, &visit.id)) }
            details { summary { "Entries about the visit as a whole" (minutes(visit.minutes)) }
                @if visit.head.is_empty() { p.dim { "none" } } @else { (lines(&visit.head)) } }
        }
    };
    page(chrome, Some(Section::Visits), &title, &content)
}

fn minutes(minutes: u64) -> String {
    if minutes == 0 { String::new() } else { format!(", labour {minutes} min") }
}

fn queue_group(number: usize, group: Group, visit: &Visit, path: &str) -> Markup {
    let items: Vec<&Item> = visit.queue.iter().filter(|item| item.group == group).collect();
    let id = format!("g{number}");
    html! {
        section.group aria-labelledby=(id) {
            h2 id=(id) { (number) "  " (group.says()) @if items.is_empty() { ": none" } }
            @for item in items { (row(item, path)) }
        }
    }
}

/// The shape that repeats what kind of thing it is.
fn kind(item: &Item) -> Markup {
    match (item.group, &item.difference) {
        (_, Some(difference)) if difference.sides.len() > 1 || difference.text.is_some() => {
            Shape::TwoAnswers.svg()
        }
        (Group::Safety, None) => Shape::ShutDown.svg(),
        (Group::Outside, None) => bracket(crate::review::sheet::Lies::Above),
        (Group::LeftMissing, None) => Shape::NotReached.svg(),
        _ => html! {},
    }
}

/// For whom or what a difference waits.
const fn waits_on(way: Way) -> &'static str {
    match way {
        Way::Choose | Way::Words | Way::OneOrTwo | Way::Merge => "waits on a supervisor",
        Way::Text => "waits to be read once",
        Way::SignOff => "waits for a second sign-off",
        Way::Release => "waits for a release at the unit",
    }
}

fn row(item: &Item, path: &str) -> Markup {
    html! {
        div.q .wide[item.difference.is_none()] {
            div.q-kind { (kind(item)) }
            div.q-unit {
                @if let Some(unit) = &item.unit { b { (unit.name) } } @else { span.dim { "visit" } }
            }
            div.q-what {
                p { (sentence(&item.what)) }
                @for more in &item.more { p.dim { (sentence(more)) } }
            }
            @if let Some(difference) = &item.difference {
                @if let Some(text) = &difference.text { div.q-sides.one { p.pre { (text) } } }
                @else { div.q-sides { @for side in difference.sides.iter().take(SIDES) { (short_side(side)) }
                    @if difference.sides.len() > SIDES { p.dim { "and " (difference.sides.len() - SIDES) " more" } } } }
                div.q-do { (settle_link(difference, path)) p.dim { (waits_on(difference.way)) } }
            }
        }
    }
}

/// Sides that a row shows.
const SIDES: usize = 4;

fn short_side(side: &Side) -> Markup {
    html! {
        p { b { (side.says) } br;
            span.dim { (side.person.name) ", " (side.at)
                @if let Some(instrument) = &side.instrument { ", " (instrument) }
                @for mark in &side.marks { ", " (mark) } }
            @if side.governs { " " span.inv { "governs" } }
        }
    }
}

/// Where a difference is settled.
pub fn settle_path(path: &str, difference: &Difference) -> String {
    let mut query = form_urlencoded::Serializer::new(String::new());
    query.append_pair("key", &difference.key);
    if let Some(unit) = &difference.unit {
        query.append_pair("unit", &unit.id);
    }
    format!("{path}/settle?{}", query.finish())
}

fn settle_link(difference: &Difference, path: &str) -> Markup {
    html! {
        a.btn.q2 href=(settle_path(path, difference)) {
            "Look" span.vh { " at " (difference.about) @if let Some(unit) = &difference.unit { ", " (unit.name) } }
        }
    }
}

/// Entries whose key was revoked before they came: kept, and counted when somebody answers for them.
fn waiting(chrome: &Chrome, visit: &Visit, path: &str) -> Markup {
    html! {
        @for one in &visit.waiting {
            div.note.now {
                p { b { (count(one.count, "entry waits", "entries wait")) } " of " (one.person.name) ", " (one.span)
                    ": the key that signed them was revoked before they came. They are kept and do not count." }
                @if chrome.supervises() {
                    details.no-print { summary { "Answer for them" }
                        form.narrow method="post" action={ (path) "/vouch" } {
                            (chrome.token_field())
                            input type="hidden" name="entry" value=(one.entry);
                            input type="hidden" name="offset" value=(visit.offset_min) data-offset;
                            label.typed { span { "How you know that they are " (one.person.name) "'s own work" }
                                textarea name="reason" rows="2" required maxlength="2000" {} }
                            button.btn.q2 type="submit" { "Let them count" }
                        } }
                } @else { p.dim { "A supervisor answers for them, or leaves them out." } }
            }
        }
    }
}

fn settled(visit: &Visit) -> Markup {
    html! {
        details.sheet {
            summary { b { (count(visit.settled.len(), "thing was", "things were")) " settled" } }
            @for one in &visit.settled {
                div.q {
                    div.q-kind {}
                    div.q-unit { @if let Some(unit) = &one.unit { b { (unit.name) } } @else { span.dim { "visit" } } }
                    div.q-what { p { (sentence(&one.about)) } @for answer in &one.answers { p.dim { (answer) } } }
                    div.q-sides.one { p { (one.how) } }
                    div.q-do {}
                }
            }
        }
    }
}

fn signing(chrome: &Chrome, visit: &Visit, path: &str, holding: usize) -> Markup {
    html! {
        section aria-labelledby="sign" {
            h2 #sign { "Sign-off" }
            @if visit.signatures.is_empty() { p.dim { "nobody has signed" } }
            @for signature in &visit.signatures { (signed(chrome, signature, path, visit.offset_min)) }
            @if !visit.holds.is_empty() {
                h3 { "What holds it" }
                @for one in &visit.holds { (hold(chrome, one, visit, path)) }
            }
            @if chrome.supervises() {
                @if holding > 0 {
                    p { "Settle what holds the sign-off, or except it in words above; then it can be signed." }
                } @else {
                    form.narrow method="post" action={ (path) "/sign" } {
                        (chrome.token_field())
                        input type="hidden" name="shown" value=(visit.shown);
                        input type="hidden" name="offset" value=(visit.offset_min) data-offset;
                        label.typed { span { "Statement " small { "stays in the record; may be empty" } }
                            textarea name="statement" rows="2" maxlength="2000" {} }
                        button.btn type="submit" { "Sign the visit as it is shown here" }
                    }
                }
            } @else { p.dim { "A supervisor signs." } }
        }
    }
}

fn signed(chrome: &Chrome, one: &Signature, path: &str, offset: i16) -> Markup {
    html! {
        div.note {
            p { b { (one.person.name) } ", " (one.role) ", " (one.at)
                @if let Some(statement) = &one.statement { ": " (statement) } }
            @if let Some(drawn) = &one.drawn { (signature(drawn, &one.person.name)) }
            @if let Some(reopened) = &one.reopened { p { (reopened) } }
            @else if chrome.supervises() {
                details.no-print { summary { "Open it again" }
                    form.narrow method="post" action={ (path) "/reopen" } {
                        (chrome.token_field())
                        input type="hidden" name="entry" value=(one.entry);
                        input type="hidden" name="offset" value=(offset) data-offset;
                        label.typed { span { "Reason" } textarea name="reason" rows="2" required maxlength="2000" {} }
                        button.btn.q2 type="submit" { "Open the visit again" }
                    } }
            }
        }
    }
}

fn hold(chrome: &Chrome, one: &Holds, visit: &Visit, path: &str) -> Markup {
    html! {
        div.note {
            p { (one.says) }
            @if let Some(words) = &one.excepted { p { span.inv { "excepted" } " " (words) } }
            @else if chrome.supervises() {
                details.no-print { summary { "Except it in words" }
                    form.narrow method="post" action={ (path) "/except" } {
                        (chrome.token_field())
                        input type="hidden" name="blocker" value=(one.key);
                        input type="hidden" name="offset" value=(visit.offset_min) data-offset;
                        label.typed { span { "Why it may pass" } textarea name="reason" rows="2" required maxlength="2000" {} }
                        button.btn.q2 type="submit" { "Except it" }
                    } }
            }
        }
    }
}

/// Reports of a whole visit: key and name.
const REPORTS: [(&str, &str); 4] = [
    ("customer", "Page for the customer"),
    ("visit", "Record of the visit"),
    ("restock", "Restock list"),
    ("morning", "Morning sheet"),
];
/// Rows for the office: file and name.
const ROWS: [(&str, &str); 3] = [
    ("lines.csv", "rows of the visit, CSV"),
    ("open.csv", "open advice and questions, CSV"),
    ("visit.json", "the whole visit, JSON"),
];
/// Days that a link may be good for.
const DAYS: [&str; 3] = ["7", "30", "90"];

fn reports(chrome: &Chrome, visit: &Visit, links: &[SharedLine], path: &str) -> Markup {
    html! {
        section.no-print aria-labelledby="reports" {
            h2 #reports { "Reports" }
            p.row { @for (kind, name) in REPORTS {
                a.btn.q2 href=(report_path(&visit.site.id, kind, &[("visit", &visit.id)])) { (name) }
            } }
            p { "For the office: " @for (at, (file, name)) in ROWS.into_iter().enumerate() {
                @if at > 0 { ", " } a href={ (path) "/export/" (file) } { (name) }
            } "." }
            h3 { "Links for the customer" }
            @if links.is_empty() { p.dim { "none" } } @else { (shared(chrome, links, path)) }
            @if visit.released { (new_link(chrome, path)) }
            @else { p.dim { "A link can be made when a supervisor has signed the visit." } }
        }
    }
}

fn shared(chrome: &Chrome, links: &[SharedLine], path: &str) -> Markup {
    html! {
        div.scroll { table {
            thead { tr { th scope="col" { "Made (UTC)" } th scope="col" { "By" } th scope="col" { "Language" }
                th scope="col" { "Until" } th scope="col" { span.vh { "End" } } } }
            tbody { @for one in links { tr {
                td.nowrap { (one.made) } td { (one.by.name) } td { (one.language) }
                td.nowrap { (one.until) }
                td { @if one.open {
                    form method="post" action={ (path) "/unshare" } {
                        (chrome.token_field())
                        input type="hidden" name="share" value=(one.name);
                        button.line type="submit" { "End this link" span.vh { " of " (one.made) } }
                    }
                } @else { span.dim { "ended" } } }
            } } }
        } }
    }
}

fn new_link(chrome: &Chrome, path: &str) -> Markup {
    html! {
        details { summary { "Make a link" }
            form.narrow method="post" action={ (path) "/share" } {
                (chrome.token_field())
                label.typed { span { "Language" } select name="lang" {
                    option value="en" { "English" } option value="fr" { "Français" } option value="es" { "Español" } } }
                label.typed { span { "Units" } select name="units" {
                    option value="us" { "US" } option value="si" { "SI" } } }
                label.typed { span { "Good for" } select name="days" {
                    @for days in DAYS { option value=(days) selected[days == "30"] { (days) " days" } } } }
                button.btn.q2 type="submit" { "Make a link" }
            } }
    }
}

fn questions(chrome: &Chrome, visit: &Visit, path: &str) -> Markup {
    html! {
        section aria-labelledby="asked" {
            h2 #asked { "Questions to the field" }
            @if visit.queries.is_empty() { p.dim { "none" } }
            @for query in &visit.queries { (asked(query)) }
            details.no-print { summary { "Send a question" }
                form.narrow method="post" action={ (path) "/query" } {
                    (chrome.token_field())
                    input type="hidden" name="offset" value=(visit.offset_min) data-offset;
                    label.typed { span { "About" }
                        select name="unit" { option value="" { "the visit" }
                            @for sheet in &visit.units { option value=(sheet.unit.id) { (sheet.unit.name) } } } }
                    label.typed { span { "To" }
                        select name="to" { option value="" { "whoever was there" }
                            @for one in &visit.people { option value=(one.id) { (one.name) } } } }
                    label.typed { span { "Question" } textarea name="text" rows="3" required maxlength="2000" {} }
                    button.btn type="submit" { "Send the question" }
                } }
        }
    }
}

fn asked(query: &Query) -> Markup {
    html! {
        div.note {
            p { (query.says) br; span.dim { (query.person.name) ", " (query.at) } }
            @for (text, who) in &query.replies { p { b { "Reply: " } (text) br; span.dim { (who) } } }
            @if query.replies.is_empty() { p.dim { "no reply yet" } }
        }
    }
}

/// A unit's sheet, closed until somebody opens it.
pub fn sheet_of(sheet: &Sheet, site: &str, visit: &str) -> Markup {
    let slip = |kind| report_path(site, kind, &[("visit", visit), ("unit", &sheet.unit.id)]);
    html! {
        details.sheet id={ "u-" (sheet.unit.id) } {
            summary {
                span.fl { (status(&sheet.status_key).svg()) b { (sheet.unit.name) } span { (sheet.status) ", " (sheet.outcome.as_deref().unwrap_or("open")) ", " (count(sheet.lines.len(), "entry", "entries")) } }
            }
            p.no-print {
                a href=(unit_path(site, &sheet.unit.id)) { "History of " (sheet.unit.name) }
                ", " a href=(slip("column")) { "column slip" }
                @if sheet.flue { ", " a href=(slip("flue")) { "slip of the flue test" } }
                @if sheet.tagged { ", " a href=(slip("shut_down")) { "shut-down slip" } }
            }
            @if sheet.readings.is_empty() { p.dim { "no reading" } } @else { (found_left(sheet)) }
            @if !sheet.derived.is_empty() {
                h3 { "What the readings come to" }
                div.scroll { table { tbody { @for (name, value, formula) in &sheet.derived {
                    tr { th scope="row" { (name) } td { (value) } td.dim { (formula) } }
                } } } }
            }
            @for why in &sheet.missing { p.dim { (why) } }
            @for text in &sheet.texts { div.note { p.dim { (text.subject) } p.pre { (text.text) } } }
            @if !sheet.photos.is_empty() { h3 { "Photos" } (photos(sheet, site, visit)) }
            @if !sheet.about_unit.is_empty() { h3 { "Advice, shut-downs, padlocks" } (lines(&sheet.about_unit)) }
            @if !sheet.lines.is_empty() { h3 { "Every entry" } (lines(&sheet.lines)) }
            @for problem in &sheet.problems { p.note { (Shape::Unknown.svg()) (problem) } }
        }
    }
}

/// Small pictures that lead to the whole ones. What has not come says where it is.
fn photos(sheet: &Sheet, site: &str, visit: &str) -> Markup {
    let path = |hash: &str| format!("{}/photo/{}/{hash}", visit_path(site, visit), sheet.unit.id);
    html! {
        ul.photos {
            @for one in &sheet.photos {
                @let alt = format!("photo of {} at {}", one.subject, sheet.unit.name);
                li {
                    @match (&one.small, one.small_here, one.here) {
                        (Some(small), true, true) => a href=(path(&one.hash)) { img src=(path(small)) alt=(alt) loading="lazy"; },
                        (Some(small), true, false) => img src=(path(small)) alt=(alt) loading="lazy";,
                        (_, _, true) => a href=(path(&one.hash)) { img src=(path(&one.hash)) alt=(alt) loading="lazy"; },
                        (_, _, false) => p.note { "on the phone of " (one.person.name) " still" },
                    }
                    p { (one.subject) @if let Some(phase) = &one.phase { ", " (phase) } br;
                        span.dim { (one.person.name) ", " (one.at)
                            @if let Some(out) = &one.out { ", " (out) }
                            @if one.small_here && !one.here { ", the large picture has not come yet" } } }
                }
            }
        }
    }
}

fn found_left(sheet: &Sheet) -> Markup {
    html! {
        div.scroll {
            table {
                caption.vh { "Readings of " (sheet.unit.name) ", found and left" }
                thead { tr {
                    th scope="col" { "What" } th.r.found-c scope="col" { "FOUND" } th.r.left-c scope="col" { "LEFT" }
                    th scope="col" { "Beside the limits entered" }
                } }
                tbody {
                    @for row in &sheet.readings {
                        tr {
                            th scope="row" { (row.quantity) }
                            td.r { @match &row.found { Some(value) => (value), None => span.dim { "not tested" } } }
                            td.r { @match &row.left { Some(value) => b { (value) }, None => span.dim { "not tested" } } }
                            td { span.fl.top { (bracket(row.lies)) span { @match &row.sentence { Some(sentence) => (sentence), None => (lies(row.lies)) } } } }
                        }
                    }
                }
            }
        }
    }
}
