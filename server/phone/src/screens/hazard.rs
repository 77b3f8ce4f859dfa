//! Dangers: an advisory, who was told, a shut-down, padlocks.

use client_core::record::body::{Body, Kind};
use client_core::record::code::{AdvisorySeverity, Channel, Decision, Phase};
use client_core::record::id::{ApplianceId, EntryId};
use maud::{Markup, html};

use crate::app::ISOLATIONS;
use crate::bits;
use crate::see::See;
use crate::tap::{Deed, Name, Place};

/// An advisory.
pub fn advise(see: &See<'_>, place: &Place, unit: ApplianceId) -> Markup {
    let chosen = see.state.chosen("severity").unwrap_or_default();
    let severities = [
        (AdvisorySeverity::Note, "no risk now"),
        (AdvisorySeverity::Advise, "works, will not stay so"),
        (AdvisorySeverity::Urgent, "only with a stated limit and date"),
    ];
    let inside = html! {
        (bits::unit_head(&see.unit_no(unit), &html! { span class="t3 b" { (see.t("Advise")) } }))
        div class="pad stack grow" {
            (bits::notice(see))
            (bits::lines(see, "advice", see.t("What, and why"), see.t("the customer reads it")))
            div class="keys" role="group" aria-label=(see.t("How serious")) {
                @for (severity, small) in severities {
                    (bits::choice(Deed::Severity { severity }, &bits::capital(see.t(severity.says())), see.t(small),
                        chosen == severity.key()))
                }
            }
            (bits::line(see, "due", see.t("By when"), "2026-01-31"))
            p class="dim t1" { (see.t("An immediate hazard is no advisory: shut the unit down.")) }
        }
        (bits::foot(&html! {
            (bits::big(Deed::PutAdvice { unit }, see.t("Enter the advisory"), see.t("then who was told")))
            div class="keys k3" {
                (bits::back(see))
                (bits::key(Place::ShutDown { unit }, see.t("Shut down"), ""))
                (bits::gas_smell(see))
            }
        }))
    };
    bits::page(see, place, &inside)
}

fn toggle(name: &str) -> Deed {
    Deed::Isolate { what: Name(name.to_owned()) }
}

/// Who was told, how, and what they answered.
pub fn told(see: &See<'_>, place: &Place, unit: ApplianceId, entry: EntryId) -> Markup {
    let about = see.unit(unit).and_then(|own| own.unit.as_ref()?.read.entry(entry));
    let about = about.map(|entry| see.say().body(&entry.body)).unwrap_or_default();
    let how = see.state.chosen("how").unwrap_or(Channel::InPerson.key());
    let decision = see.state.chosen("decision").unwrap_or_default();
    let set = |what: &str, to: &str| Deed::Choose {
        what: Name(what.to_owned()),
        to: Name(to.to_owned()),
    };
    let refused = see.state.is_chosen("refused");
    let inside = html! {
        (bits::unit_head(&see.unit_no(unit), &html! { span class="t3 b" { (see.t("Who was told")) } }))
        div class="pad stack grow" {
            (bits::notice(see))
            p class="note" { (bits::capital(&about)) }
            (answers(see, unit, entry))
            (bits::line(see, "told", see.t("Who"), see.t("customer contact, shift lead")))
            div class="keys k2" role="group" aria-label=(see.t("How")) {
                @for own in [Channel::InPerson, Channel::InPersonAndWriting, Channel::ByPhone, Channel::InWriting] {
                    (bits::choice(set("how", own.key()), see.t(own.says()), "", how == own.key()))
                }
            }
            div class="keys k2" role="group" aria-label=(see.t("The answer")) {
                (bits::choice(set("refused", "none"), see.t("acknowledged"), "", !refused))
                (bits::choice(set("refused", "yes"), see.t("refused to acknowledge"), "", refused))
            }
            div class="keys k3" role="group" aria-label=(see.t("Decision")) {
                @for own in [Decision::Accepted, Decision::Declined, Decision::Deferred] {
                    (bits::choice(set("decision", own.key()), see.t(own.says()), "", decision == own.key()))
                }
            }
            (bits::line(see, "toldwords", see.t("In their words"), see.t("stands in place of a signature")))
            (bits::sign_here(see, entry))
        }
        (bits::foot(&html! {
            (bits::big(Deed::PutTold { unit, entry }, see.t("Enter it"), ""))
            div class="keys k3" {
                (bits::key(Place::Unit { unit }, see.t("Later"), see.t("nobody told yet")))
                (bits::key(Place::Photos { unit }, see.t("Photo"), see.t("of the signed tag")))
                (bits::gas_smell(see))
            }
        }))
    };
    bits::page(see, place, &inside)
}

/// Who was told of an advisory or a tag, what they answered, and their signature where they drew one.
pub fn answers(see: &See<'_>, unit: ApplianceId, of: EntryId) -> Markup {
    let papers = see.unit(unit).and_then(|own| own.unit.as_ref());
    let acks = papers.into_iter().flat_map(|papers| papers.read.counted(Kind::Ack));
    html! {
        @for entry in acks {
            @if let Body::Ack(ack) = &entry.body && ack.of == of {
                div class="note" {
                    (bits::capital(&see.say().body(&entry.body)))
                    span class="dim t1" { " " (see.who(entry.person())) ", " (see.day(entry.stamp.at().day())) }
                    @if let Some(drawn) = &ack.drawn { (bits::signature(see, drawn)) }
                }
            }
        }
    }
}

/// Shut a unit down: isolate, lock, tag, tell.
pub fn shut_down(see: &See<'_>, place: &Place, unit: ApplianceId) -> Markup {
    let inside = html! {
        (bits::unit_head(&see.unit_no(unit), &bits::plate(see, Phase::InWork)))
        div class="pad stack grow" {
            (bits::notice(see))
            h2 { (see.t("Shut down")) }
            (bits::lines(see, "reason", see.t("What was seen"), ""))
            h2 { (see.t("Isolations made")) }
            div class="keys k2" role="group" aria-label=(see.t("Isolations made")) {
                @for words in ISOLATIONS {
                    @let name = words.replace(' ', "_");
                    @let on = see.state.is_chosen(&format!("isolate/{name}"));
                    (bits::choice(toggle(&name), see.t(words), "", on))
                }
            }
            (bits::line(see, "lock", see.t("Padlock"), see.t("its number, yours alone")))
            (bits::line(see, "told", see.t("Who at the customer's was told"), ""))
            (bits::line(see, "utility", see.t("Gas utility or inspector"), see.t("when told, whom")))
            (bits::line(see, "release", see.t("What must be true before release"), ""))
            p class="dim t1" { (see.t("A licensed person releases it after proof; the inspector or utility where local rule says so.")) }
        }
        (bits::foot(&html! {
            (bits::big(Deed::PutShutDown { unit }, see.t("Shut it down"), see.t("tag, padlock, status in one entry")))
            div class="keys k2" { (bits::back(see)) (bits::gas_smell(see)) }
        }))
    };
    bits::page(see, place, &inside)
}

/// Padlocks on the unit.
pub fn locks(see: &See<'_>, place: &Place, unit: ApplianceId) -> Markup {
    let Some(own) = see.unit(unit) else { return bits::page(see, place, &html! {}) };
    let inside = html! {
        (bits::unit_head(&see.unit_no(unit), &html! { span class="t3 b" { (see.t("Padlocks")) } }))
        div class="pad stack grow" {
            (bits::notice(see))
            @for entry in own.locks_on() {
                @if let Body::Lock(lock) = &entry.body {
                    div class="note" {
                        b { (lock.point) } " " (lock.number.clone().unwrap_or_default()) br;
                        (see.who(entry.person())) ", " (entry.stamp.at().clock())
                        @if entry.stamp.by == see.me {
                            (bits::key(Deed::LockOff { unit, entry: entry.id }, see.t("My padlock is off"), ""))
                        } @else {
                            p class="t1" { (see.t("Only its owner takes it off.")) }
                        }
                    }
                }
            }
            @if own.locks_on().is_empty() { p { (see.t("No padlock is recorded.")) } }
            (bits::line(see, "point", see.t("Point"), see.t("disconnect, gas cock")))
            (bits::line(see, "lock", see.t("Number"), ""))
        }
        (bits::foot(&html! {
            (bits::big(Deed::LockOn { unit }, see.t("Padlock on"), see.t("lock it, try it")))
            div class="keys k2" { (bits::back(see)) (bits::gas_smell(see)) }
        }))
    };
    bits::page(see, place, &inside)
}
