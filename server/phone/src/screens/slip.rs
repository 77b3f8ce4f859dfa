//! The column slip: at most eight lines of thirty-two characters, to copy out or print.

use client_core::record::body::{Body, Kind};
use client_core::record::code::{Gas, Phase, Quantity};
use client_core::record::file::UnitInVisit;
use client_core::record::id::ApplianceId;
use client_core::trade::flue::{FRESH_AIR, air_free};
use client_core::trade::quantity::{Concentration, Quantity as _};
use maud::{Markup, html};

use crate::bits;
use crate::see::See;
use crate::tap::{Deed, Name, Place};

/// Characters of a line.
const WIDTH: usize = 32;
/// Lines of a slip.
const LINES: usize = 8;

/// The slip as text.
pub fn text(see: &See<'_>, own: &UnitInVisit<'_>) -> String {
    let mut lines = match own.tag_in_force() {
        Some(tag) => shut(see, own, tag),
        None => plain(see, own),
    };
    lines.truncate(LINES);
    lines
        .iter()
        .map(|line| line.chars().take(WIDTH).collect::<String>())
        .collect::<Vec<_>>()
        .join("\n")
}

fn digits(own: &UnitInVisit<'_>, quantity: Quantity, phase: Phase) -> Option<String> {
    match &own.last(quantity, phase)?.body {
        Body::Reading(reading) => reading.value.figure().map(|figure| figure.digits.to_string()),
        _ => None,
    }
}

fn air_free_of(own: &UnitInVisit<'_>, phase: Phase) -> Option<String> {
    let o2 = Concentration::from_amount(own.last_amount(Quantity::FlueO2, phase)?)?;
    let co = Concentration::from_amount(own.last_amount(Quantity::FlueCo, phase)?)?;
    air_free::exact(o2, co, FRESH_AIR).ok().map(|own| format!("{:.0}", own.ppm()))
}

fn phase_line(see: &See<'_>, word: &str, own: &UnitInVisit<'_>, phase: Phase) -> Option<String> {
    let part =
        |name: &str, text: Option<String>| text.map(|text| format!(" {} {text}", see.t(name)));
    let word = see.t(word);
    let parts: String = [
        part("MANI", digits(own, Quantity::ManifoldHigh, phase)),
        part("O2", digits(own, Quantity::FlueO2, phase)),
        part("CO-AF", air_free_of(own, phase)),
    ]
    .into_iter()
    .flatten()
    .collect();
    (!parts.is_empty()).then(|| format!("{word:<5}{parts}"))
}

fn plain(see: &See<'_>, own: &UnitInVisit<'_>) -> Vec<String> {
    let gas = match own.word("plate/gas").map(Gas::from_code) {
        Some(Gas::Natural) => see.t("NAT"),
        Some(Gas::Lp) => see.t("LP"),
        _ => see.t("GAS ?"),
    };
    let area = see.unit_row(own.appliance).and_then(|row| row.area);
    let area = area.and_then(|area| see.book.entries.get(&area).cloned()).unwrap_or_default();
    let mut lines = vec![format!("{} {gas} {area} {}", see.unit_no(own.appliance), see.today())];
    lines.push(who(see));
    lines.extend(phase_line(see, "FOUND", own, Phase::AsFound));
    lines.extend(phase_line(see, "LEFT", own, Phase::AsLeft));
    let left = |quantity| {
        digits(own, quantity, Phase::AsLeft).or_else(|| digits(own, quantity, Phase::AsFound))
    };
    let flame = left(Quantity::FlameCurrent).map(|own| see.f("FLAME {}uA", &[&own]));
    let rise = own
        .last_amount(Quantity::AirOut, Phase::AsLeft)
        .zip(own.last_amount(Quantity::AirIn, Phase::AsLeft))
        .map(|(out, inlet)| see.f("RISE {}F", &[&format!("{:.0}", out.value - inlet.value)]));
    let both: Vec<String> = flame.into_iter().chain(rise).collect();
    if !both.is_empty() {
        lines.push(both.join(" "));
    }
    let done = own.sheet.iter().flat_map(|sheet| sheet.read.counted(Kind::Work)).last();
    lines.extend(done.and_then(|entry| match &entry.body {
        Body::Work(work) => {
            let done = work.text.clone().unwrap_or_else(|| see.t(work.kind.says()).to_owned());
            Some(see.f("DID {}", &[&done]))
        }
        _ => None,
    }));
    lines.push(reference(see));
    lines
}

fn shut(
    see: &See<'_>,
    own: &UnitInVisit<'_>,
    tag: &client_core::record::read::Entry,
) -> Vec<String> {
    let reason = match &tag.body {
        Body::Tag(tag) => tag.reason.clone(),
        _ => String::new(),
    };
    vec![
        see.t("*** DO NOT USE ***").to_owned(),
        format!("{} {}", see.unit_no(own.appliance), tag.stamp.at().day()),
        who(see),
        reason,
        see.t("Licensed release only").to_owned(),
        reference(see),
    ]
}

fn who(see: &See<'_>) -> String {
    let name = see.name(see.me);
    let initials: String = name.split(' ').filter_map(|word| word.chars().next()).collect();
    see.f("BY {}", &[format!("{name} {initials}").trim()])
}

fn reference(see: &See<'_>) -> String {
    let short = see.visit.map(client_core::record::id::VisitId::short).unwrap_or_default();
    see.f("REF {}", &[&see.lists.visit.reference.clone().unwrap_or(short)])
}

/// The page.
pub fn page(see: &See<'_>, place: &Place, unit: ApplianceId) -> Markup {
    let Some(own) = see.unit(unit) else { return bits::page(see, place, &html! {}) };
    let slip = text(see, own);
    let shut = own.tag_in_force().is_some();
    let inside = html! {
        (bits::unit_head(&see.unit_no(unit), &html! { span class="t3 b" { (see.t("Column slip")) } }))
        div class="pad stack grow" {
            (bits::notice(see))
            pre class=(if shut { "slip tag" } else { "slip" }) { (slip) }
            p class="dim t1" { (see.t("Copy it by hand in pencil, or print it. No thermal paper near heat.")) }
            textarea name="slip" hidden readonly { (slip) }
        }
        (bits::foot(&html! {
            (bits::big(Deed::Copy { what: Name("slip".to_owned()) }, see.t("Copy the text"),
                see.t(if see.state.copied { "copied" } else { "to print or send" })))
            div class="keys k2" { (bits::back(see)) (bits::gas_smell(see)) }
        }))
    };
    bits::page(see, place, &inside)
}
