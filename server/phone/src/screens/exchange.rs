//! The exchange: what went up, what came in, what to read first.

use std::collections::BTreeMap;

use client_core::record::code::Status;
use client_core::record::id::PersonId;
use maud::{Markup, html};

use crate::app::state::Exchanging;
use crate::bits;
use crate::see::See;
use crate::tap::{Deed, Place};

/// The page.
pub fn page(see: &See<'_>, place: &Place) -> Markup {
    let report = see.report;
    let title = match &see.state.exchanging {
        Exchanging::Not => see.t("Exchange"),
        Exchanging::Runs { .. } => see.t("Exchanging"),
        Exchanging::Done => see.t("Exchange complete"),
        Exchanging::Failed(_) => see.t("No exchange"),
    };
    let last = see.set.exchanged.map(|secs| {
        let at = client_core::record::value::Moment { secs, offset_min: see.now.offset_min };
        format!("{} {}", see.day(at.day()), at.clock())
    });
    let last = match last {
        Some(last) => see.f("Last time: {}", &[&last]),
        None => see.t("Not yet exchanged").to_owned(),
    };
    let inside = html! {
        (bits::head(&last, title, &html! {}))
        div class="pad stack grow" {
            (bits::notice(see))
            (state(see))
            table {
                tr { th scope="row" { (see.t("Changes now on the hub from here")) } td class="r b t3" { (report.changes_up) } }
                @for (person, count) in from(see) {
                    tr { th scope="row" { (see.f("Entries in, by {}", &[&see.first_name(person)])) } td class="r b t3" { (count) } }
                }
                tr { th scope="row" { (see.t("Entries only on this phone")) } td class="r b t3" { (see.lists.unsent) } }
                @if see.lists.photos.up > 0 {
                    tr { th scope="row" { (see.t("Pictures only on this phone")) } td class="r b t3" { (see.lists.photos.up) } }
                }
                @if see.lists.photos.down > 0 {
                    tr { th scope="row" { (see.t("Pictures asked of the hub")) } td class="r b t3" { (see.lists.photos.down) } }
                }
                @if see.lists.quarantined > 0 {
                    tr { th scope="row" { (see.t("Changes that did not pass the gate")) } td class="r b t3" { (see.lists.quarantined) } }
                }
            }
            (read_first(see))
            (differ(see))
            (clock(see))
            p class="dim t1" data-can="sync" hidden { (see.t("With the app closed, what waits is sent when a signal comes back. The count falls when the app is opened and has heard it from the hub.")) }
            p class="dim t1" data-cannot="sync" hidden { (see.t("This browser sends nothing while the app is closed: open it where there is a signal.")) }
            @for building in see.lists.buildings.iter().filter(|building| building.unsent > 0) {
                p class="dim" {
                    (building.row.name.clone().unwrap_or_default()) ": "
                    (see.f("{} wait", &[&building.unsent.to_string()]))
                }
            }
        }
        (bits::foot(&html! {
            (bits::big(Deed::Sync {}, see.t("Exchange now"), see.t("needs a signal")))
            div class="keys k3" {
                (bits::key(Place::Hand {}, see.t("Hand over"), see.t("as a file")))
                (bits::key(Deed::Home {}, see.t("Units"), see.t("nothing is lost")))
                (bits::gas_smell(see))
            }
        }))
    };
    bits::page(see, place, &inside)
}

fn state(see: &See<'_>) -> Markup {
    html! {
        @match &see.state.exchanging {
            Exchanging::Runs { rounds } => {
                p role="status" { (see.f("Round {}. You can go on working.", &[&rounds.to_string()])) }
            }
            Exchanging::Failed(words) => {
                p class="note now" role="status" {
                    (see.language().wrong(words)) " " (see.t("Everything stays on this phone and is tried again."))
                }
            }
            _ => {}
        }
        @if let Some(why) = &see.report.revoked {
            p class="note now" role="alert" {
                b { (see.t("This phone is no longer accepted by the hub.")) } " " (why) ". "
                (see.t("What is on it stays. Tell your supervisor."))
            }
        }
        @for wrong in &see.report.wrong { p class="note" { (see.language().wrong(&wrong.to_string())) } }
    }
}

/// Entries from each person.
fn from(see: &See<'_>) -> BTreeMap<PersonId, u32> {
    let mut people = BTreeMap::new();
    for ((person, _), count) in &see.report.news.entries {
        *people.entry(*person).or_default() += *count;
    }
    people
}

/// What must be known before the next ladder: tags on units that have news.
fn read_first(see: &See<'_>) -> Markup {
    let news: Vec<_> =
        see.report.news.entries.keys().filter_map(|(_, doc)| doc.appliance()).collect();
    let shut = see.lists.units.iter().filter(|unit| {
        news.contains(&unit.id) && (unit.row.tagged || unit.row.status == Status::ShutDownTagged)
    });
    let shut: Vec<_> = shut.collect();
    html! {
        @if !shut.is_empty() {
            h2 { (see.t("Read first")) }
            div class="rows" {
                @for unit in shut {
                    button type="button" class="said two-line" data-tap={ "go " (Place::Unit { unit: unit.id }) } {
                        (bits::status_sign(Status::ShutDownTagged))
                        b { (see.f("{} is shut down, tag on", &[&unit.row.unit_no])) }
                    }
                }
            }
        }
    }
}

fn differ(see: &See<'_>) -> Markup {
    let count = see.file.map_or(0, |file| file.contradictions().len());
    html! {
        @if count > 0 {
            (bits::key_of("key row", Place::Differ {}, &see.f("Go through {}", &[&count.to_string()]),
                see.t("where two of you answered differently")))
        }
    }
}

fn clock(see: &See<'_>) -> Markup {
    let ahead =
        see.report.ahead_s.filter(|secs| secs.abs() > client_core::record::mark::CLOCK_SHOWN_S);
    html! {
        @if let Some(ahead) = ahead {
            @let minutes = (ahead.abs() / 60).to_string();
            p class="note" {
                b { (see.f(if ahead > 0 { "This phone's clock is {} min fast." } else { "This phone's clock is {} min slow." }, &[&minutes])) }
                " " (see.t("Stamps stay as you made them; the order follows what each phone had seen."))
            }
        }
    }
}
