//! Units out of a list: the list, what is wrong in which row and field, what was entered.

use client_core::record::body::Home;
use client_core::record::field::{FIELDS, FieldDef, Holds};
use maud::{Markup, html};

use super::part::{count, trail};
use super::{Chrome, Section, page};
use crate::review::Named;
use crate::review::import::{List, Wrong};

/// What was typed.
#[derive(Clone, Debug, Default)]
pub struct Typed {
    /// The list.
    pub list: String,
    /// A reason for unusual figures.
    pub reason: String,
}

/// What came of it.
#[derive(Clone, Debug)]
pub struct Outcome {
    /// The list as read, or what is wrong with its heading.
    pub list: Result<List, String>,
    /// Units that were entered.
    pub entered: usize,
    /// It was only to be looked at.
    pub checked: bool,
}

const EXAMPLE: &str = "unit_no,area,kind,maker,model,serial,plate_gas,plate_input,plate_manifold_high\nUH-21,A1,power-vented unit heater,,,,natural,200 MBH,3.5 in w.c.";

/// The form, with what came of the last try.
pub fn import(chrome: &Chrome, site: &Named, typed: &Typed, outcome: Option<&Outcome>) -> Markup {
    let path = format!("/review/sites/{}", site.id);
    let content = html! {
        (trail(&[("/review/sites", "Sites"), (&path, &site.name)]))
        h1 { "Units out of a list" }
        p { "Paste rows as CSV; the first line names the columns. Nothing is entered before every row is read." }
        @if let Some(outcome) = outcome { (said(outcome)) }
        form method="post" action={ (path) "/import" } {
            (chrome.token_field())
            input type="hidden" name="offset" value="0" data-offset;
            p.no-print hidden data-file-key { label.typed { span { "A file of this computer " small { "is put into the field below and goes nowhere before you send it" } }
                input type="file" accept=".csv,text/csv,text/plain" data-file="list"; } }
            label.typed { span { "The list" }
                textarea.mono #list name="list" rows="12" required spellcheck="false" placeholder=(EXAMPLE) { (typed.list) } }
            label.typed { span { "Reason for unusual figures " small { "leave empty to be asked" } }
                input name="reason" value=(typed.reason) maxlength="400"; }
            label.pick { input type="checkbox" name="partial" value="yes"; span { "enter the good rows even when others are wrong" } }
            p.keys-row {
                button.btn.q2 type="submit" name="do" value="check" { "Look at it only" }
                button.btn type="submit" name="do" value="enter" { "Enter the units" }
            }
        }
        details { summary { "Names of columns" }
            p { code { "unit_no" } " is needed; " code { "area" } " and " code { "position" } " by their labels. Figures carry their unit; a figure without one is taken in the unit that stands here." }
            div.scroll { table.plainly { tbody { @for def in FIELDS.iter().filter(|def| of_unit(def)) {
                tr { th scope="row" { code { (def.key.replace('/', "_")) } } td { (def.says) } td.dim { (holds(def)) } }
            } } } }
        }
    };
    page(chrome, Some(Section::Sites), "Units out of a list", &content)
}

fn of_unit(def: &FieldDef) -> bool {
    let typed = !matches!(def.holds, Holds::Entry | Holds::Person | Holds::Appliance);
    def.home == Home::Appliance && !def.key.contains("{}") && def.key != "unit/no" && typed
}

/// What a register takes, in a few words.
pub fn holds(def: &FieldDef) -> String {
    match def.holds {
        Holds::Word(list) => list.keys().join(", "),
        Holds::Figure(unit) => unit.symbol().to_owned(),
        Holds::Day => "a day, as 2026-10-01".to_owned(),
        Holds::Flag => "yes or no".to_owned(),
        _ => "words".to_owned(),
    }
}

/// The form that sets one value of a site or a unit.
pub fn set_form(chrome: &Chrome, path: &str, home: Home) -> Markup {
    let own = |def: &&FieldDef| {
        let typed = !matches!(def.holds, Holds::Entry | Holds::Person | Holds::Appliance);
        def.home == home && !def.key.contains("{}") && typed && def.key != "unit/no"
    };
    html! {
        details.no-print { summary { "Set a value" }
            form.narrow method="post" action=(path) {
                (chrome.token_field())
                input type="hidden" name="offset" value="0" data-offset;
                label.typed { span { "What" }
                    select name="field" { @for def in FIELDS.iter().filter(own) {
                        option value=(def.key) { (def.says) " (" (holds(def)) ")" } } } }
                label.typed { span { "Value" } input name="value" required maxlength="400"; }
                label.typed { span { "Reason " small { "for an unusual figure, or to lower a safety word" } }
                    input name="reason" maxlength="400"; }
                p.dim { "What stood there stays in the record." }
                button.btn.q2 type="submit" { "Set it" }
            } }
    }
}

fn said(outcome: &Outcome) -> Markup {
    match &outcome.list {
        Err(says) => html! { p.note.now role="alert" { (super::part::sentence(says)) } },
        Ok(list) => html! {
            div.note.now role="alert" {
                p { b {
                    (count(list.good.len(), "good row", "good rows")) ", "
                    (count(list.rows_wrong(), "wrong row", "wrong rows")) ". "
                    @if outcome.entered > 0 { (count(outcome.entered, "unit was", "units were")) " entered." }
                    @else if outcome.checked { "Nothing was entered; it was only looked at." }
                    @else { "Nothing was entered." }
                } }
                @if !list.wrong.is_empty() { (wrong(&list.wrong)) }
            }
        },
    }
}

fn wrong(all: &[Wrong]) -> Markup {
    html! {
        div.scroll { table {
            thead { tr { th.r scope="col" { "Row" } th scope="col" { "Field" } th scope="col" { "Found" } th scope="col" { "What is wrong" } } }
            tbody { @for one in all { tr {
                td.r { (one.line) } td { code { (one.field) } } td { (one.found) } td { (one.says) }
            } } }
        } }
    }
}
