//! One unit: what hangs there, how it was left, what is open, and what to do next.

use client_core::present::words::joined;
use client_core::record::body::{Body, Kind};
use client_core::record::code::{Family, Outcome, Phase, Quantity};
use client_core::record::file::UnitInVisit;
use client_core::record::id::{ApplianceId, PersonId};
use client_core::record::mark::is_work;
use maud::{Markup, html};

use crate::bits;
use crate::screens::{hazard, two};
use crate::see::See;
use crate::stop;
use crate::tap::{Deed, Name, Place};

mod last;

/// The page.
pub fn page(see: &See<'_>, place: &Place, unit: ApplianceId) -> Markup {
    let Some(own) = see.unit(unit) else { return bits::page(see, place, &html! {}) };
    let status = own.status();
    let beside = html! {
        span class="t3 b fl" { (bits::status_sign(status)) span { (see.t(status.says())) } }
    };
    let inside = html! {
        (bits::unit_head(&see.unit_no(unit), &beside))
        div class="pad stack grow" {
            (bits::notice(see))
            (claims(see, own))
            p class="dim" { (bits::capital(&about(see, own))) }
            (open(see, own))
            (two::short(see, own))
            (last::table(see, own))
            (last::trend(see, own))
            (so_far(see, own))
        }
        (keys(see, unit, own))
    };
    bits::page(see, place, &inside)
}

/// Kind, area, family, input, gas.
fn about(see: &See<'_>, own: &UnitInVisit<'_>) -> String {
    let text = |key: &str| match own.field(key)?.governs()?.value.clone() {
        client_core::record::field::FieldValue::Text(text) => Some(text),
        _ => None,
    };
    let area = see.unit_row(own.appliance).and_then(|row| row.area);
    let area = area.and_then(|area| see.lists.site.areas.iter().find(|row| row.id == area));
    let area = area.map(|row| row.name.clone().unwrap_or_else(|| row.label.clone()));
    let family = own.word("unit/family").map(Family::from_code);
    let height = own.figure("unit/mount_height").map(|figure| see.figure(figure));
    let input = own.figure("plate/input").map(|figure| see.figure(figure));
    let gas = own.word("plate/gas").map(client_core::record::code::Gas::from_code);
    joined([
        text("unit/kind"),
        area,
        height.map(|height| see.f("{} up", &[&height])),
        family.map(|family| see.t(family.says()).to_owned()),
        input,
        gas.map(|gas| see.t(gas.says()).to_owned()),
        text("unit/maker"),
        text("unit/model"),
    ])
}

/// Who says that they work here.
fn claims(see: &See<'_>, own: &UnitInVisit<'_>) -> Markup {
    let others: Vec<PersonId> =
        people_here(own).into_iter().filter(|person| *person != see.me).collect();
    html! {
        @for person in others {
            p class="note" { b { (see.f("{} is working on this unit", &[&see.first_name(person)])) } }
        }
    }
}

fn people_here(own: &UnitInVisit<'_>) -> Vec<PersonId> {
    let Some(sheet) = &own.sheet else { return vec![] };
    let mut here: Vec<PersonId> = vec![];
    for entry in sheet.read.counted(Kind::Claim) {
        let Body::Claim(claim) = &entry.body else { continue };
        here.retain(|person| *person != entry.person());
        if claim.here {
            here.push(entry.person());
        }
    }
    here
}

/// Whether a person says that they work here.
pub fn claimed(own: &UnitInVisit<'_>, person: PersonId) -> bool {
    people_here(own).contains(&person)
}

/// Tag, advisories, questions.
fn open(see: &See<'_>, own: &UnitInVisit<'_>) -> Markup {
    let questions = see.unit_row(own.appliance).map_or(0, |row| row.questions);
    html! {
        @if let Some(tag) = own.tag_in_force() {
            p class="note now" {
                b class="inv" { (see.t("DO NOT USE")) } " "
                (see.say().body(&tag.body)) ". "
                (see.f("{}, {}", &[&see.who(tag.person()), &see.day(tag.stamp.at().day())])) "."
            }
            (hazard::answers(see, own.appliance, tag.id))
        }
        @for (entry, severity) in own.open_advisories() {
            @if let Body::Advisory(advisory) = &entry.body {
                @let days = (see.today().0 - entry.stamp.at().day().0).max(0).to_string();
                p class="note" {
                    b { (bits::capital(see.t(severity.says()))) ", " (see.f("open {} days", &[&days])) }
                    br; (advisory.text)
                }
                (hazard::answers(see, own.appliance, entry.id))
                (bits::key_of("key row", Place::Told { unit: own.appliance, entry: entry.id },
                    see.t("Who was told"), see.t("and what they answered")))
            }
        }
        @if questions > 0 {
            p class="note" { (see.f("{} questions to the maker are open", &[&questions.to_string()])) }
        }
    }
}

/// What was entered in this visit.
fn so_far(see: &See<'_>, own: &UnitInVisit<'_>) -> Markup {
    let Some(sheet) = &own.sheet else { return html! {} };
    let say = see.say();
    let entries = sheet.read.entries.iter().filter(|entry| entry.counts());
    let shown: Vec<_> = entries
        .filter(|entry| {
            matches!(
                entry.body.kind(),
                Kind::Finding
                    | Kind::Work
                    | Kind::Adjustment
                    | Kind::Part
                    | Kind::GasPart
                    | Kind::Photo
            )
        })
        .collect();
    let count = |phase: Phase| {
        sheet
            .read
            .counted(Kind::Reading)
            .filter(|entry| matches!(&entry.body, Body::Reading(reading) if reading.phase == phase))
            .count()
    };
    html! {
        @if !sheet.read.entries.is_empty() {
            h2 { (see.t("This visit")) }
            p class="fl wrap" {
                @for phase in [Phase::AsFound, Phase::InWork, Phase::AsLeft] {
                    @let number = count(phase);
                    @if number > 0 {
                        (bits::plate_small(see, phase)) span {
                            @if number == 1 { (see.t("1 figure")) }
                            @else { (see.f("{} figures", &[&number.to_string()])) }
                        }
                    }
                }
            }
            @for entry in shown {
                button type="button" class="said" data-tap={ "go " (Place::Entry { unit: own.appliance, entry: entry.id }) } {
                    (bits::capital(&say.body(&entry.body)))
                    span class="dim t1" { " " (see.who(entry.person())) " " (entry.stamp.at().clock()) }
                }
            }
        }
    }
}

/// The next thing: the key that is inverse.
fn next(see: &See<'_>, unit: ApplianceId, own: &UnitInVisit<'_>) -> Markup {
    let round = stop::round(own.word("unit/family").map(Family::from_code));
    let stops = round.len().to_string();
    let has = |phase: Phase| {
        own.sheet.as_ref().is_some_and(|sheet| {
            sheet.read.counted(Kind::Reading).any(
                |entry| matches!(&entry.body, Body::Reading(reading) if reading.phase == phase),
            )
        })
    };
    let work = own.sheet.as_ref().is_some_and(|sheet| {
        sheet.read.entries.iter().any(|entry| entry.counts() && is_work(entry))
    });
    let big = |place: Place, word: &str, small: String, phase: Phase| {
        html! {
            button type="button" class="key big row" data-tap={ "go " (place) } {
                span { (see.t(word)) small { (small) } } (bits::phase_sign(phase))
            }
        }
    };
    let stop = |phase| Place::Stop { unit, phase, n: 0 };
    if own.tag_in_force().is_some() {
        let small = see.t("nothing is lit while the tag is on").to_owned();
        return big(
            Place::Entered { unit, phase: Phase::InWork },
            "Shut down",
            small,
            Phase::InWork,
        );
    }
    if !has(Phase::AsFound) && !work {
        let small = see.f("{} stops, before anything is touched", &[&stops]);
        return big(stop(Phase::AsFound), "Take FOUND", small, Phase::AsFound);
    }
    if work && !has(Phase::AsLeft) {
        let small = see.f("{} stops, panels on, unit steady", &[&stops]);
        return big(Place::Turn { unit, phase: Phase::AsLeft }, "Take LEFT", small, Phase::AsLeft);
    }
    let phase = if has(Phase::AsLeft) { Phase::AsLeft } else { Phase::AsFound };
    // A round that was left in the middle goes on where the hands were.
    let open = round
        .iter()
        .position(|stop| stop.fields.iter().any(|quantity| own.last(*quantity, phase).is_none()));
    if let Some(n) = open.and_then(|n| u8::try_from(n).ok()).filter(|_| has(phase)) {
        let small = see.f("stop {} of {}", &[&(n + 1).to_string(), &stops]);
        return big(Place::Stop { unit, phase, n }, "Go on", small, phase);
    }
    let small = see.t("figures, checks, and how it ends").to_owned();
    big(Place::Entered { unit, phase }, "Go on", small, phase)
}

fn keys(see: &See<'_>, unit: ApplianceId, own: &UnitInVisit<'_>) -> Markup {
    bits::foot(&html! {
        (next(see, unit, own))
        div class="keys k3" {
            (bits::key(Place::Found { unit }, see.t("Finding"), see.t("and work")))
            (bits::key(Place::NotReached { unit }, see.t("Not reached"), see.t("say why")))
            (bits::key(Place::ShutDown { unit }, see.t("Shut down"), see.t("isolate, tag, tell")))
            (bits::back(see))
            (bits::key(Place::More { unit }, see.t("More"), see.t("checks, parts, photo")))
            (bits::gas_smell(see))
        }
    })
}

/// Everything else that can be done at a unit.
pub fn more(see: &See<'_>, place: &Place, unit: ApplianceId) -> Markup {
    let here = see.unit(unit).is_some_and(|own| claimed(own, see.me));
    let claim = if here { "I am leaving" } else { "I am working here" };
    let go = |place: Place, word: &str, small: &str| bits::key(place, see.t(word), see.t(small));
    let foot = html! {
        div class="keys k2" { (bits::back(see)) (bits::gas_smell(see)) }
    };
    let inside = html! {
        (bits::unit_head(&see.unit_no(unit), &html! {}))
        div class="pad stack grow" {
            (bits::notice(see))
            div class="keys k2" {
                (bits::key(Deed::Here { unit }, see.t(claim), see.t("others see it")))
                (go(Place::Checks { unit }, "Checks", "leak, ports, spill"))
                (go(Place::Fault { unit }, "Fault", "find the cause"))
                (go(Place::Found { unit }, "Finding", "the cause"))
                (go(Place::Work { unit }, "Work", "what was done"))
                (go(Place::Setting { unit }, "Setting", "before and after"))
                (go(Place::Parts { unit }, "Part used", "and what came out"))
                (go(Place::GasParts { unit }, "Gas parts", "orifice, spring, label"))
                (go(Place::Photos { unit }, "Photo", "plate, part, printout"))
                (go(Place::Notes { unit }, "Note", "both may edit"))
                (go(Place::Extra { unit, phase: Phase::InWork }, "Another figure", "off the round"))
                (go(Place::Plate { unit }, "Plate", "read the nameplate"))
                (go(Place::AskMaker { unit }, "Ask maker", "a question"))
                (go(Place::Advise { unit }, "Advise", "tell the customer"))
                (go(Place::ShutDown { unit }, "Shut down", "isolate, tag, tell"))
                (go(Place::Locks { unit }, "Padlocks", "on and off"))
                (go(Place::Timers {}, "Timer", "purge, soak, steady"))
                (go(Place::Slip { unit }, "Column slip", "copy or print"))
                (bits::key(Deed::Lamp {}, see.t("Lamp"), see.t("on or off")))
            }
        }
        (bits::foot(&foot))
    };
    bits::page(see, place, &inside)
}

/// Why a unit was not reached: two taps close it.
pub fn not_reached(see: &See<'_>, place: &Place, unit: ApplianceId) -> Markup {
    const WHYS: [&str; 6] =
        ["blocked", "locked", "no lift", "no time", "area in use", "customer did not want it"];
    let closed = see.unit(unit).and_then(|own| own.word("sheet/outcome")).map(Outcome::from_code);
    let foot = html! {
        (bits::big(Deed::NotReachedFor { unit, why: Name("typed".to_owned()) }, see.t("Not reached"),
            see.t("for the reason typed")))
        div class="keys k2" { (bits::back(see)) (bits::gas_smell(see)) }
    };
    let inside = html! {
        (bits::unit_head(&see.unit_no(unit), &bits::not_reached_sign()))
        div class="pad stack grow" {
            (bits::notice(see))
            h2 { (see.t("Not reached: why")) }
            @if let Some(outcome) = closed { p class="dim" { (see.f("now: {}", &[see.t(outcome.says())])) } }
            div class="keys k2" {
                @for why in WHYS {
                    (bits::key(Deed::NotReachedFor { unit, why: Name(why.replace(' ', "_")) }, see.t(why), ""))
                }
            }
            (bits::line(see, "why", see.t("Another reason"), ""))
            p class="dim t1" { (see.t("The customer reads it under not tested.")) }
        }
        (bits::foot(&foot))
    };
    bits::page(see, place, &inside)
}

/// The last reading of a quantity in a phase, in words.
pub fn last_said(
    see: &See<'_>,
    own: &UnitInVisit<'_>,
    quantity: Quantity,
    phase: Phase,
) -> Option<String> {
    match &own.last(quantity, phase)?.body {
        Body::Reading(reading) => Some(see.say().measured(&reading.value)),
        _ => None,
    }
}
