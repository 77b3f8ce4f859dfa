//! Buildings and their visits.

use client_core::record::code::{Role, VisitKind};
use client_core::record::row::VisitRow;
use maud::{Markup, html};

use crate::bits;
use crate::see::{Building, See};
use crate::tap::{Deed, Place};

/// Visits of one building that are listed.
const VISITS_SHOWN: usize = 6;

/// The page.
pub fn page(see: &See<'_>, place: &Place) -> Markup {
    let foot = html! {
        div class="keys k3" {
            (bits::key(Place::Settings {}, see.t("Settings"), ""))
            (bits::key(Place::Exchange {}, see.t("Exchange"), ""))
            (bits::gas_smell(see))
        }
    };
    let inside = html! {
        (bits::head("", see.t("Buildings"), &html! {}))
        div class="pad stack grow" {
            (bits::notice(see))
            @if see.state.exchanging.runs() {
                p class="note" role="status" { (see.t("Exchanging with the hub: today's visits come first.")) }
            }
            @if see.lists.buildings.is_empty() {
                p { (see.t("No building is on this phone yet. Exchange once with a signal.")) }
                (bits::big(Deed::Sync {}, see.t("Exchange now"), ""))
            }
            @for building in &see.lists.buildings { (one(see, building)) }
        }
        (bits::foot(&foot))
    };
    bits::page(see, place, &inside)
}

fn one(see: &See<'_>, building: &Building) -> Markup {
    let name = building.row.name.clone().unwrap_or_else(|| building.id.short());
    let town = building.row.town.clone().unwrap_or_default();
    let mut visits: Vec<_> = building.visits.iter().collect();
    visits.sort_by_key(|visit| std::cmp::Reverse(visit.row.day));
    html! {
        section {
            div class="area" { h2 { (name) } span class="dim t1" { (town) } }
            @if building.coming { p class="dim t1" { (see.t("Older visits are still coming.")) } }
            div class="keys" {
                @for visit in visits.iter().take(VISITS_SHOWN) {
                    @let deed = Deed::Visit { site: building.id, visit: visit.id };
                    @let chosen = see.visit == Some(visit.id);
                    (bits::key_of(if chosen { "key row here" } else { "key row" }, deed,
                        &title(see, &visit.row), &state(see, &visit.row)))
                }
                @for kind in [VisitKind::NoHeat, VisitKind::PreSeason] {
                    @let word = see.f("Begin: {}", &[see.t(kind.says())]);
                    (bits::key_of("key row", Deed::Begin { site: building.id, kind }, &word,
                        see.t("a visit that nobody planned")))
                }
            }
        }
    }
}

fn title(see: &See<'_>, row: &VisitRow) -> String {
    let day = row.day.map(|day| see.day(day)).unwrap_or_default();
    let kind =
        row.kind.map_or_else(|| see.t("visit").to_owned(), |kind| see.t(kind.says()).to_owned());
    format!("{day} {kind}").trim().to_owned()
}

fn state(see: &See<'_>, row: &VisitRow) -> String {
    if row.signed.iter().any(|signed| signed.role == Role::Supervisor) {
        return see.t("signed by the supervisor").to_owned();
    }
    let done = row.done.to_string();
    let units = row.units.to_string();
    see.f("{} done of {} begun", &[&done, &units])
}
