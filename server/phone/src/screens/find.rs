//! Finding a unit: by its number, its area or what hangs there, by how it stands, in which order.

use client_core::record::code::{Outcome, Status};
use maud::{Markup, html};

use crate::bits;
use crate::screens::units::{self, Unit};
use crate::see::See;
use crate::tap::{Deed, Name, Place};

/// Which units are listed, and the word on the key.
const SHOWN: [(&str, &str); 7] = [
    ("all", "all"),
    ("mine", "mine"),
    ("open", "still open"),
    ("two", "two answers"),
    ("watch", "watch"),
    ("shut", "shut down"),
    ("missed", "not reached"),
];

/// The page.
pub fn page(see: &See<'_>, place: &Place) -> Markup {
    let now = see.set.show.as_deref().unwrap_or("all");
    let words = see.state.text("find").unwrap_or_default();
    let found: Vec<&Unit> =
        units::in_order(see).into_iter().filter(|unit| meets(see, unit, &words)).collect();
    let value = see.state.form.get("find").map_or("", String::as_str);
    let count = found.len().to_string();
    let inside = html! {
        (bits::head("", see.t("Find a unit"), &html! { b class="t3" { (see.f("{} units", &[&count])) } }))
        div class="pad stack grow" {
            (bits::notice(see))
            label class="typed" { span { (see.t("Unit no., area or kind")) }
                input name="find" value=(value) inputmode="search" autocomplete="off" autocapitalize="none"
                    spellcheck="false" data-live=""; }
            div class="keys k3" role="group" aria-label=(see.t("Which units")) {
                @for (key, word) in SHOWN {
                    (bits::choice(Deed::Show { what: Name(key.to_owned()) }, see.t(word), "", now == key))
                }
                (bits::key(Deed::Order {}, see.t("Order"),
                    see.t(if units::walk(see) { "walk order" } else { "by area" })))
            }
            @if found.is_empty() { p { (see.t("No unit is like this.")) } }
            div class="keys k2" { @for unit in found { (units::tile(see, unit)) } }
        }
        (bits::foot(&html! {
            div class="keys k3" {
                (bits::back(see))
                (bits::key(Deed::Label {}, see.t("Scan"), see.t("unit label")))
                (bits::gas_smell(see))
            }
        }))
    };
    bits::page(see, place, &inside)
}

/// Whether a unit stands as the list wants it.
pub fn stands(see: &See<'_>, unit: &Unit) -> bool {
    let sheet = see.sheet_row(unit.id);
    let outcome = sheet.and_then(|row| row.outcome);
    match see.set.show.as_deref() {
        Some("mine") => units::taker(see, unit.id) == Some(see.me),
        Some("open") => outcome.is_none(),
        Some("two") => units::two_answers(unit, sheet),
        Some("watch") => {
            matches!(unit.row.status, Status::Watch | Status::InServicePartAwaited)
        }
        Some("shut") => unit.row.tagged || unit.row.status == Status::ShutDownTagged,
        Some("missed") => outcome == Some(Outcome::NotReached),
        _ => true,
    }
}

/// Whether every word that was typed stands somewhere in what names the unit.
fn meets(see: &See<'_>, unit: &Unit, words: &str) -> bool {
    let area =
        unit.row.area.and_then(|area| see.lists.site.areas.iter().find(|row| row.id == area));
    let area = area.map(|row| format!("{} {}", row.label, row.name.clone().unwrap_or_default()));
    let family = unit.row.family.map_or("", |family| family.says());
    let said = format!("{} {} {family}", unit.row.unit_no, area.unwrap_or_default()).to_lowercase();
    let close = bare(&said);
    words
        .to_lowercase()
        .split_whitespace()
        .all(|word| said.contains(word) || close.contains(&bare(word)))
}

/// Letters and digits alone, numbers without the zeros in front: "uh6" finds UH-06.
fn bare(text: &str) -> String {
    let mut out = String::new();
    for letter in text.chars().filter(|letter| letter.is_alphanumeric()) {
        if letter != '0' || out.ends_with(|before: char| before.is_ascii_digit()) {
            out.push(letter);
        }
    }
    out
}
