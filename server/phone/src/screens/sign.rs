//! The visit as a whole: what blocks a sign-off, what is not tested, the signature.

use client_core::record::body::Body;
use client_core::record::code::{Outcome, Role};
use client_core::record::file::VisitFile;
use maud::{Markup, html};

use crate::bits;
use crate::see::See;
use crate::tap::{Deed, Place};

/// The page.
pub fn page(see: &See<'_>, place: &Place) -> Markup {
    let Some(file) = see.file else { return bits::page(see, place, &html! { (bits::back(see)) }) };
    let blockers: Vec<_> =
        file.blockers().into_iter().filter(|one| one.excepted.is_none()).collect();
    let two = file.contradictions().len();
    let inside = html! {
        (bits::head(&see.lists.site.name.clone().unwrap_or_default(), see.t("The visit"), &html! {}))
        div class="pad stack grow" {
            (bits::notice(see))
            (counts(see))
            (signatures(see, file))
            @if blockers.is_empty() { p class="note" { (see.t("Nothing blocks the signature on this phone.")) } }
            @else { h2 {
                @if blockers.len() == 1 { (see.t("1 item blocks the signature")) }
                @else { (see.f("{} items block the signature", &[&blockers.len().to_string()])) }
            } }
            div class="rows" {
                @for blocker in &blockers {
                    button type="button" class="said" data-tap={ "go " (Place::Unit { unit: blocker.appliance }) } {
                        (see.unit_no(blocker.appliance)) ": " (see.phrase(&blocker.phrase)) "."
                    }
                }
            }
            @if two > 0 {
                (bits::key_of("key row", Place::Differ {}, &see.f("{} with two answers", &[&two.to_string()]),
                    see.t("who settles them")))
            }
            (bits::line(see, "statement", see.t("Statement"), see.t("if you want one")))
            @if let (true, Some(visit)) = (blockers.is_empty(), see.visit) { (bits::sign_here(see, visit)) }
        }
        (bits::foot(&html! {
            @if blockers.is_empty() {
                (bits::big(Deed::SignIt {}, &see.f("Sign as {}", &[&see.first_name(see.me)]),
                    see.t("exactly what is on this phone now")))
            }
            div class="keys k3" {
                (bits::key(Place::Hours {}, see.t("Hours"), ""))
                (bits::key(Deed::Home {}, see.t("Units"), ""))
                (bits::gas_smell(see))
            }
        }))
    };
    bits::page(see, place, &inside)
}

fn counts(see: &See<'_>) -> Markup {
    let of = |outcome: Outcome| {
        see.lists.sheets.iter().filter(|sheet| sheet.row.outcome == Some(outcome)).count()
    };
    let closed = see.lists.sheets.iter().filter(|sheet| sheet.row.outcome.is_some()).count();
    let open = see.lists.units.len().saturating_sub(closed);
    html! {
        table {
            @for outcome in [Outcome::Done, Outcome::LeftAsFound, Outcome::NotReached] {
                tr { th scope="row" { (bits::capital(see.t(outcome.says()))) } td class="r b t3" { (of(outcome)) } }
            }
            tr { th scope="row" { (see.t("Not tested in this visit")) } td class="r b t3" { (open) } }
        }
    }
}

fn signatures(see: &See<'_>, file: &VisitFile<'_>) -> Markup {
    let signed = file.signed();
    let late = file.late().len();
    html! {
        @for (entry, person, role) in &signed.sign_offs {
            div class="note" {
                (see.f("Signed by {}", &[&see.name(*person)])) ", " (see.t(role.says()))
                @if *role == Role::Supervisor { ". " (see.t("The visit is released.")) }
                @if let Some(Body::SignOff(own)) = file.head.read.entry(*entry).map(|entry| &entry.body)
                    && let Some(drawn) = &own.drawn { (bits::signature(see, drawn)) }
            }
        }
        @if late > 0 {
            p class="note" { (see.f("{} entries came after a signature: they count, and ask for a second one.", &[&late.to_string()])) }
        }
    }
}
