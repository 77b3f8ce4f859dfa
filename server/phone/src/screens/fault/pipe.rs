//! The start as a pipe: what was seen is the way through, the step that did not happen hangs below it.

use std::fmt::Write as _;

use client_core::fault::sequence::{Leads, Sequence};
use client_core::record::body::{Body, Kind};
use client_core::record::id::ApplianceId;
use maud::{Markup, PreEscaped, html};

use crate::search::{self, Standing};
use crate::see::See;

/// Width of the drawing.
const WIDTH: usize = 358;

/// The pipe of a search: steps up to the one whose failure is the symptom.
pub fn of(see: &See<'_>, unit: ApplianceId, standing: &Standing) -> Markup {
    let Some(sequence) = search::sequence_of(Some(standing.family)) else { return html! {} };
    let Some(own) = see.unit(unit) else { return html! {} };
    // Only a start that somebody has followed is drawn: its text says what was seen last.
    let last = own.sheet.iter().flat_map(|sheet| sheet.read.counted(Kind::Symptom)).last();
    let text = last.and_then(|entry| match &entry.body {
        Body::Symptom(own) => own.text.clone(),
        _ => None,
    });
    let Some(name) = text.as_deref().and_then(search::last_seen) else { return html! {} };
    let seen = sequence.steps.iter().position(|step| step.name == name);
    let Some(seen) = seen else { return html! {} };
    let leads = sequence.steps.get(seen + 1).map(|step| step.fails_to);
    if leads != Some(Leads::Symptom(standing.symptom)) {
        return html! {};
    }
    draw(see, sequence, seen)
}

/// Steps up to `seen`, and the one after it as the leg.
pub fn draw(see: &See<'_>, sequence: &Sequence, seen: usize) -> Markup {
    let count = seen + 1;
    let gap = (200 / count.max(1)).clamp(16, 42);
    let radius = if gap < 27 { (gap / 2).saturating_sub(1).max(6) } else { 13 };
    let leg = gap * count + 14;
    let missed = sequence.steps.get(count);
    let words =
        missed.map_or_else(String::new, |step| format!("{} {}", count + 1, see.t(step.name)));
    let mut inside = format!(
        "<path d=\"M0 24H{leg}\"/><path d=\"M{} 24H{WIDTH}\" stroke-dasharray=\"4 8\" stroke-width=\"3\"/>\
         <path d=\"M{leg} 24V62M{} 62H{}\"/>",
        leg + 14,
        leg.saturating_sub(16),
        leg + 16,
    );
    for step in 0..count {
        let x = 14 + gap * step;
        write!(
            inside,
            "<circle cx=\"{x}\" cy=\"24\" r=\"{radius}\" class=\"ball\"/>\
             <text x=\"{x}\" y=\"{}\" text-anchor=\"middle\" class=\"no\" font-size=\"{}\">{}</text>",
            24 + radius * 4 / 10,
            (radius * 13 / 10).clamp(8, 17),
            step + 1
        )
        .expect("writing to memory does not fail");
    }
    let label = see.f("{} steps seen, then not: {}", &[&count.to_string(), &words]);
    html! {
        figure class="pipe" {
            svg viewBox={ "0 0 " (WIDTH) " 68" } role="img" aria-label=(label) { (PreEscaped(inside)) }
            figcaption class="b" { (see.t("Not seen")) ": " (words) }
        }
    }
}
