//! `words`: the closed lists that commands take their words from.

use client_core::fault::table::Table;
use client_core::record::body::Home;
use client_core::record::code::{CheckItem, Quantity};
use client_core::record::field::{FIELDS, Holds};
use serde_json::json;

use crate::desk::Desk;
use crate::error::Trouble;

/// List the words that commands take
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Which list
    #[arg(value_enum)]
    list: List,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
enum List {
    /// What can be measured, with unit and usual range
    Quantities,
    /// What can be checked
    Checks,
    /// Causes of faults
    Causes,
    /// Symptoms
    Symptoms,
    /// Values that can be set, of units, sites and visits
    Values,
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let rows = rows(args.list);
    if desk.ui.manners.json {
        let list: Vec<_> = rows
            .iter()
            .map(|row| json!({ "key": row[0], "says": row[1], "more": row.get(2) }))
            .collect();
        return desk.ui.json(&json!(list));
    }
    let heads: &[&str] = match args.list {
        List::Quantities => &["key", "in words", "unit, usual range"],
        List::Values => &["key", "in words", "holds"],
        _ => &["key", "in words"],
    };
    desk.ui.table(heads, &rows)
}

fn rows(list: List) -> Vec<Vec<String>> {
    let table = Table::standard();
    let pair = |key: &str, says: &str| vec![key.to_owned(), says.to_owned()];
    match list {
        List::Quantities => Quantity::ALL
            .iter()
            .map(|quantity| {
                let kind = quantity.kind();
                let range = kind.map_or_else(String::new, |kind| {
                    format!("{}, {} to {}", kind.unit.key(), kind.low, kind.high)
                });
                vec![quantity.key().to_owned(), quantity.says().to_owned(), range]
            })
            .collect(),
        List::Checks => CheckItem::ALL.iter().map(|item| pair(item.key(), item.says())).collect(),
        List::Causes => table
            .cause_ids()
            .map(|cause| pair(table[cause].key, table[cause].name))
            .chain([pair("other", "in words")])
            .collect(),
        List::Symptoms => table
            .symptom_ids()
            .map(|symptom| pair(table[symptom].key, table[symptom].text))
            .chain([pair("other", "in words")])
            .collect(),
        List::Values => FIELDS
            .iter()
            .filter(|def| matches!(def.home, Home::Appliance | Home::Site | Home::Visit))
            .map(|def| {
                let holds = match def.holds {
                    Holds::Text => "words".to_owned(),
                    Holds::Figure(unit) => format!("a figure in {}", unit.key()),
                    Holds::Word(list) => list.keys().join(", "),
                    Holds::Day => "a day".to_owned(),
                    Holds::Person => "a person".to_owned(),
                    Holds::Entry => "an entry".to_owned(),
                    Holds::Appliance => "a unit".to_owned(),
                    Holds::Flag => "yes, no".to_owned(),
                };
                vec![def.key.replace("/{}/", "/"), def.says.to_owned(), holds]
            })
            .collect(),
    }
}
