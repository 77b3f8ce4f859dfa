//! People, their devices, one-time codes, revoking.

use client_core::exchange::enrol;
use maud::{Markup, html};

use super::part::{options, trail};
use super::qr::qr;
use super::report::firm_form;
use super::{Chrome, Section, page};
use crate::review::people::{DeviceLine, People, PersonLine};

/// Everybody.
pub fn people(chrome: &Chrome, all: &People, wrong: Option<&str>) -> Markup {
    let content = html! {
        h1 { "People and devices" }
        @if let Some(wrong) = wrong { p.note.now role="alert" { (wrong) } }
        @for one in &all.people { (person(chrome, one)) }
        (new_code(chrome, all))
        section aria-labelledby="instruments" {
            h2 #instruments { "Instruments" }
            @if all.instruments.is_empty() { p.dim { "none is entered" } } @else {
                div.scroll { table {
                    thead { tr { th scope="col" { "Label" } th scope="col" { "Kind" } th scope="col" { "Calibrated" } th scope="col" { "Due" } th scope="col" { "To look at" } } }
                    tbody { @for one in &all.instruments { tr {
                        th scope="row" { (one.label) } td { (one.kind) }
                        td.nowrap { (one.done.as_deref().unwrap_or("not entered")) }
                        td.nowrap { (one.due.as_deref().unwrap_or("not entered")) }
                        td { @if one.overdue { b { "past its date" } } @else if one.due.is_none() { span.dim { "not known whether it is in date" } } }
                    } } }
                } }
            }
        }
        section aria-labelledby="apart" {
            h2 #apart { "Kept apart" }
            p { a href="/review/quarantine" { "Changes that did not pass the gate" } ", " a href="/review/audit" { "what was done here" } }
        }
        section.no-print aria-labelledby="firm" {
            h2 #firm { "The firm on reports" }
            (firm_form(chrome, &all.firm.0, &all.firm.1))
        }
    };
    page(chrome, Some(Section::People), "People and devices", &content)
}

fn person(chrome: &Chrome, one: &PersonLine) -> Markup {
    let id = format!("p-{}", one.person.id);
    html! {
        section aria-labelledby=(id) {
            h2 id=(id) { (one.person.name) @if one.erased { span.dim { " (name erased)" } } }
            @if one.contact.is_some() || one.licence.is_some() {
                p.dim { (one.contact.as_deref().unwrap_or("")) @if let Some(licence) = &one.licence { " license " (licence) } }
            }
            @if one.devices.is_empty() { p.dim { "no device" } } @else {
                div.scroll { table {
                    thead { tr { th scope="col" { "Device" } th scope="col" { "Role" } th scope="col" { "Sites" }
                        th scope="col" { "Since (UTC)" } th scope="col" { "Last exchange (UTC)" } th scope="col" { span.vh { "Rights" } } } }
                    tbody { @for device in &one.devices { (device_row(chrome, device)) } }
                } }
            }
        }
    }
}

fn device_row(chrome: &Chrome, device: &DeviceLine) -> Markup {
    html! {
        tr {
            th scope="row" { (device.label) br; span.dim { (device.id.chars().take(6).collect::<String>()) } }
            td { (device.role) }
            td { @match &device.sites {
                None => "every site",
                Some(sites) => (sites.iter().map(|site| site.name.clone()).collect::<Vec<_>>().join(", ")),
            } }
            td.nowrap { (device.since) }
            td { @match &device.seen { Some(seen) => (seen), None => span.dim { "not heard yet" } }
                @if let Some(clock) = &device.clock { br; span.mark { "clock " (clock) } }
                @if let Some(quiet) = &device.quiet { br; span.mark { (quiet) } } }
            td {
                @if let Some(reason) = &device.revoked { b { "revoked" } ": " (reason) }
                @else if chrome.supervises() {
                    details.no-print { summary { "Revoke" }
                        form method="post" action="/review/people/revoke" {
                            (chrome.token_field())
                            input type="hidden" name="device" value=(device.id);
                            p.dim { "What it sends later is kept and waits for a supervisor. Nothing on a lost device can be called back." }
                            label.typed { span { "Reason" } input name="reason" required maxlength="400"; }
                            button.btn.q2 type="submit" { "Revoke " (device.label) }
                        } }
                }
            }
        }
    }
}

fn new_code(chrome: &Chrome, all: &People) -> Markup {
    let named: Vec<_> =
        all.people.iter().filter(|one| !one.erased).map(|one| one.person.clone()).collect();
    html! {
        section.no-print aria-labelledby="code" {
            h2 #code { "Give a one-time code" }
            p { "It enrols one phone, computer, or browser for these pages. Good for ten minutes and one use." }
            form.narrow method="post" action="/review/people/code" {
                (chrome.token_field())
                label.typed { span { "For" }
                    select name="person" { option value="" { "somebody new, who gives a name when joining" } (options(&named, None)) } }
                label.typed { span { "Role" }
                    select name="role" {
                        option value="technician" { "technician" }
                        option value="office" { "office" }
                        @if chrome.supervises() { option value="supervisor" { "supervisor" } }
                    } }
                fieldset {
                    legend { "Sites" }
                    label.pick { input type="checkbox" name="every" value="yes"; span { "every site" } }
                    @for site in &all.sites {
                        label.pick { input type="checkbox" name="site" value=(site.id); span { (site.name) } }
                    }
                }
                button.btn type="submit" { "Give a code" }
            }
        }
    }
}

/// A code, once.
pub fn code(chrome: &Chrome, code: &str, link: &str, until: &str) -> Markup {
    let content = html! {
        (trail(&[("/review/people", "People and devices")]))
        h1 { "One-time code" }
        p.v.big-code { (enrol::show(code)) }
        p { "Until " (until) " UTC, once. It is shown here only." }
        h2 { "On a phone" }
        p { "Scan this with the phone, or open the link on it." }
        (qr(link))
        p.pre { (link) }
        h2 { "In a browser, for these pages" }
        p { "Open " a href="/review/join" { "Use a one-time code" } " there and type the code. Technicians join on a phone." }
    };
    page(chrome, Some(Section::People), "One-time code", &content)
}
