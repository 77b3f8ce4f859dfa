//! Questions to manufacturers: what is open, and the answer entered with the targets that follow from it.

use client_core::record::code::{Quantity, TargetSource};
use maud::{Markup, html};

use super::part::{count, unit_path};
use super::report::report_path;
use super::{Chrome, Section, page};
use crate::review::question::{Asked, UnitAsked};

/// Targets that one answer may bring on a page.
pub const TARGETS: usize = 3;

/// Every question, those without an answer first.
pub fn questions(chrome: &Chrome, units: &[UnitAsked]) -> Markup {
    let open = units.iter().flat_map(|unit| &unit.questions).filter(|one| one.answers.is_empty());
    let title = count(open.count(), "open question", "open questions");
    let content = html! {
        h1 { (title) }
        @if units.is_empty() { p.note { "Nobody has asked a manufacturer anything yet. Questions are asked at a unit, on a device." } }
        @for unit in units {
            section {
                h2 { a href=(unit_path(&unit.site.id, &unit.unit.id)) { (unit.unit.name) } ", " (unit.site.name) }
                @for one in &unit.questions { (asked(chrome, &unit.site.id, &unit.unit.id, one)) }
            }
        }
    };
    page(chrome, Some(Section::Questions), &title, &content)
}

/// One question with its answers, and the form for the next.
pub fn asked(chrome: &Chrome, site: &str, unit: &str, one: &Asked) -> Markup {
    html! {
        div.note {
            p { b { (one.asked) } @if let Some(to) = &one.to { " To " (to) "." } br;
                span.dim { (one.person.name) ", " (one.at) } }
            @for (text, who) in &one.answers { p { b { "Answer: " } (text) br; span.dim { (who) } } }
            @for target in &one.targets { p { "Target: " (target) } }
            @if one.answers.is_empty() { p.dim { "no answer yet" } }
            p.no-print { a href=(report_path(site, "question", &[("unit", unit), ("question", &one.entry)])) { "Sheet to send to the manufacturer" } }
            details.no-print { summary { @if one.answers.is_empty() { "Enter the answer" } @else { "Enter a further answer" } }
                (form(chrome, site, unit, one)) }
        }
    }
}

fn form(chrome: &Chrome, site: &str, unit: &str, one: &Asked) -> Markup {
    html! {
        form.narrow method="post" action={ (unit_path(site, unit)) "/answer" } {
            (chrome.token_field())
            input type="hidden" name="question" value=(one.entry);
            input type="hidden" name="offset" value="0" data-offset;
            label.typed { span { "The answer, as it was received" }
                textarea name="text" rows="3" required maxlength="4000" {} }
            label.typed { span { "How it came" }
                select name="source" {
                    @for source in [TargetSource::WrittenAnswer, TargetSource::Booklet, TargetSource::PhoneCall] {
                        option value=(source.key()) { (source.says()) }
                    } } }
            label.typed { span { "Day on it" } input type="date" name="day"; }
            label.typed { span { "From whom" } input name="from" maxlength="200"; }
            @for at in 0..TARGETS { (target(one, at)) }
            p.dim { "Figures as the manufacturer gives them, with their unit: 6.6 %, 1.2 uA, 3.5 in w.c. A row without figures is left out." }
            button.btn type="submit" { "Enter the answer" }
        }
    }
}

fn target(one: &Asked, at: usize) -> Markup {
    let wanted = one.about.get(at).map(|(key, _)| key.as_str());
    html! {
        fieldset.target {
            legend { "Target " (at + 1) }
            label.typed { span { "For" }
                select name={ "quantity" (at) } {
                    @for quantity in Quantity::ALL {
                        option value=(quantity.key()) selected[wanted == Some(quantity.key())] { (quantity.says()) }
                    } } }
            label.typed { span { "Least" } input name={ "least" (at) } maxlength="40"; }
            label.typed { span { "Most" } input name={ "most" (at) } maxlength="40"; }
        }
    }
}
