//! The units of the visit: by area or in walk order, all, mine or still open.

use client_core::device::Listed;
use client_core::record::code::{Outcome, Phase};
use client_core::record::id::{ApplianceId, EntryId};
use client_core::record::row::{SheetRow, UnitRow};
use maud::{Markup, html};

use crate::bits;
use crate::screens::find;
use crate::see::See;
use crate::tap::{Deed, Name, Place};

/// A unit of the list.
pub type Unit = Listed<ApplianceId, UnitRow>;

/// The page.
pub fn page(see: &See<'_>, place: &Place) -> Markup {
    let done = see.lists.sheets.iter().filter(|sheet| sheet.row.outcome.is_some()).count();
    let mine = see.lists.units.iter().filter(|unit| taker(see, unit.id) == Some(see.me)).count();
    let site = see.lists.site.name.clone().unwrap_or_default();
    let day = see.lists.visit.day.map(|day| see.day(day)).unwrap_or_default();
    let count = see.lists.units.len().to_string();
    let beside = html! {
        b class="t3" { (see.f("{} done", &[&done.to_string()])) } br;
        span class="dim t1" { (see.f("{} yours", &[&mine.to_string()])) }
    };
    let foot = html! {
        div class="keys k3" {
            (bits::key(Deed::Label {}, see.t("Scan"), see.t("unit label")))
            (bits::key(Place::Sign {}, see.t("Visit"), see.t("hours, sign-off")))
            (bits::gas_smell(see))
        }
        div class="keys k3" {
            (bits::key(Place::Find {}, see.t("Find"), see.t("number, state, order")))
            (bits::key(Place::Exchange {}, see.t("Exchange"), &waiting(see)))
            (bits::key(Place::Settings {}, see.t("More"), see.t("settings, files")))
        }
    };
    let inside = html! {
        (bits::head(&format!("{site}, {day}"), &see.f("{} units", &[&count]), &beside))
        div class="pad grow" {
            (bits::notice(see))
            (legend(see))
            (filter(see))
            @if see.lists.units.is_empty() {
                p { (see.t("No unit of this building is here yet. Exchange once with a signal.")) }
            }
            @if walk(see) { div class="keys k2 gap" { @for unit in in_order(see) { (tile(see, unit)) } } }
            @else { (areas(see)) }
        }
        (bits::foot(&foot))
    };
    bits::page(see, place, &inside)
}

/// Whether the list goes in walk order.
pub fn walk(see: &See<'_>) -> bool {
    see.set.walk == Some(true)
}

fn waiting(see: &See<'_>) -> String {
    match see.lists.unsent {
        0 => see.t("nothing waits").to_owned(),
        count => see.f("{} wait", &[&count.to_string()]),
    }
}

fn legend(see: &See<'_>) -> Markup {
    html! {
        div class="t1 row" {
            span class="fl found-c" { (bits::phase_sign(Phase::AsFound)) span { (see.t("found")) } }
            span class="fl left-c" { (bits::phase_sign(Phase::AsLeft)) span { (see.t("left")) } }
            span class="dim" { (see.t("dotted: somebody else's")) }
        }
    }
}

fn filter(see: &See<'_>) -> Markup {
    let now = see.set.show.as_deref().unwrap_or("all");
    html! {
        div class="keys k3 gap" role="group" aria-label=(see.t("Which units")) {
            @for (key, word) in [("all", "all"), ("mine", "mine"), ("open", "still open")] {
                (bits::choice(Deed::Show { what: Name(key.to_owned()) }, see.t(word), "", now == key))
            }
        }
    }
}

/// Who takes a unit, by the plan.
pub fn taker(see: &See<'_>, unit: ApplianceId) -> Option<client_core::record::id::PersonId> {
    see.lists.plan.get(&unit).and_then(|(person, _)| *person)
}

fn shown<'a>(see: &'a See<'_>) -> impl Iterator<Item = &'a Unit> {
    see.lists.units.iter().filter(|unit| find::stands(see, unit))
}

/// The units that are shown, in walk order.
pub fn in_order<'a>(see: &'a See<'_>) -> Vec<&'a Unit> {
    let mut units: Vec<&Unit> = shown(see).collect();
    units.sort_by(|one, other| {
        let place = |unit: &Unit| see.lists.plan.get(&unit.id).and_then(|(_, order)| *order);
        (place(one).is_none(), place(one), &one.row.unit_no).cmp(&(
            place(other).is_none(),
            place(other),
            &other.row.unit_no,
        ))
    });
    units
}

fn areas(see: &See<'_>) -> Markup {
    let areas: Vec<Option<EntryId>> = see
        .lists
        .site
        .areas
        .iter()
        .map(|area| Some(area.id))
        .chain(std::iter::once(None))
        .collect();
    let known = |area: Option<EntryId>| {
        area.filter(|own| see.lists.site.areas.iter().any(|one| one.id == *own))
    };
    html! {
        @for area in areas {
            @let mut units: Vec<&Unit> = shown(see).filter(|unit| known(unit.row.area) == area).collect();
            @let () = units.sort_by(|one, other| one.row.unit_no.cmp(&other.row.unit_no));
            @if !units.is_empty() {
                (area_head(see, area))
                div class="keys k2" { @for unit in units { (tile(see, unit)) } }
            }
        }
    }
}

fn area_head(see: &See<'_>, area: Option<EntryId>) -> Markup {
    let row = area.and_then(|area| see.lists.site.areas.iter().find(|row| row.id == area));
    let Some(row) = row else {
        return html! { div class="area" { h2 { (see.t("No area")) } } };
    };
    let name = row.name.clone().unwrap_or_default();
    let air = match row.contaminants.as_slice() {
        [] => see.t("none seen").to_owned(),
        list => list.join(", "),
    };
    html! {
        div class="area" { h2 { (row.label) " " (name) } span class="dim t1" { (air) } }
    }
}

/// A unit's key.
pub fn tile(see: &See<'_>, unit: &Unit) -> Markup {
    let sheet = see.sheet_row(unit.id);
    let other = taker(see, unit.id).is_some_and(|person| person != see.me);
    let class = if other { "tile them" } else { "tile" };
    let not_reached = sheet.and_then(|row| row.outcome) == Some(Outcome::NotReached);
    html! {
        button type="button" class=(class) data-tap={ "go " (Place::Unit { unit: unit.id }) } {
            span class="n" { (unit.row.unit_no) }
            @if not_reached { (bits::not_reached_sign()) } @else { (bits::status_sign(unit.row.status)) }
            span class="w" { (words(see, unit, sheet)) }
            span class="fl" { (marks(see, unit, sheet)) }
        }
    }
}

fn words(see: &See<'_>, unit: &Unit, sheet: Option<&SheetRow>) -> Markup {
    let outcome = sheet.and_then(|row| row.outcome);
    let persons = sheet.map(|row| row.persons.clone()).unwrap_or_default();
    html! {
        (see.t(unit.row.status.says()))
        @if let Some(outcome) = outcome { br; b { (see.t(outcome.says())) } }
        @else if let Some(person) = persons.first() { br; b { (see.who(*person)) } }
    }
}

fn marks(see: &See<'_>, unit: &Unit, sheet: Option<&SheetRow>) -> Markup {
    let some = |empty: bool| !empty;
    let found = sheet.is_some_and(|row| some(row.found.is_empty()));
    let left = sheet
        .is_some_and(|row| some(row.left.is_empty()) || row.outcome == Some(Outcome::LeftAsFound));
    let two = two_answers(unit, sheet);
    html! {
        @if two { (bits::two_sign()) span class="vh" { (see.t("two answers")) } }
        @if found { span class="found-c" { (bits::phase_sign(Phase::AsFound)) } span class="vh" { (see.t("found")) } }
        @else { i class="nyet" {} }
        @if left { span class="left-c" { (bits::phase_sign(Phase::AsLeft)) } span class="vh" { (see.t("left")) } }
        @else { i class="nyet" {} }
    }
}

/// Whether something of a unit has two answers.
pub fn two_answers(unit: &Unit, sheet: Option<&SheetRow>) -> bool {
    unit.row.contradictions > 0
        || !unit.row.contested.is_empty()
        || sheet.is_some_and(|row| row.contradictions > 0)
}
