//! Units out of a list in CSV: every row is read before anything is entered, and what is wrong says in
//! which row and which field.

use std::collections::{BTreeMap, BTreeSet};

use client_core::record::action::{Action, Setting};
use client_core::record::body::{Body, Home, Kind};
use client_core::record::deed;
use client_core::record::doubt::doubts;
use client_core::record::field::{FIELDS, Field, FieldDef, FieldValue, Holds};
use client_core::record::id::EntryId;
use client_core::record::read::Read;
use client_core::record::row::SiteRow;

/// Rows that one list may have.
pub const ROWS_MAX: usize = 2_000;

/// What a row may name.
#[derive(Clone, Debug, Default)]
pub struct Places {
    areas: BTreeMap<String, EntryId>,
    positions: BTreeMap<String, EntryId>,
    units: BTreeSet<String>,
}

/// A unit to enter.
#[derive(Clone, Debug, PartialEq)]
pub struct Good {
    /// Its number.
    pub unit_no: String,
    /// Everything else.
    pub settings: Vec<Setting>,
}

/// Something wrong in a row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wrong {
    /// Line of the list, the heading being the first.
    pub line: u64,
    /// The field, by the name of its column.
    pub field: String,
    /// What stands there.
    pub found: String,
    /// What is wrong with it, and what is taken.
    pub says: String,
}

/// A list that was read.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct List {
    /// Rows that can be entered.
    pub good: Vec<Good>,
    /// What is wrong in the others.
    pub wrong: Vec<Wrong>,
}

impl List {
    /// How many rows have something wrong.
    pub fn rows_wrong(&self) -> usize {
        self.wrong.iter().map(|one| one.line).collect::<BTreeSet<_>>().len()
    }
}

impl Places {
    /// The places and units of a site.
    pub fn of(
        row: &SiteRow,
        units: impl IntoIterator<Item = String>,
        read: Option<&Read>,
    ) -> Places {
        let mut places = Places::default();
        let tidy = |text: &str| text.trim().to_lowercase();
        for area in &row.areas {
            places.areas.insert(tidy(&area.label), area.id);
            places.areas.extend(area.name.as_deref().map(|name| (tidy(name), area.id)));
        }
        for entry in read.into_iter().flat_map(|read| read.counted(Kind::Position)) {
            if let Body::Position(position) = &entry.body {
                places.positions.insert(tidy(&position.label), entry.id);
            }
        }
        places.units = row.roster.iter().map(|unit| unit.unit_no.clone()).chain(units).collect();
        places
    }
}

/// What a column holds.
enum Column {
    UnitNo,
    Area,
    Position,
    Value(Field),
}

/// A register of a unit by the name of a column: `plate_input`, `plate/input`, `maker`.
pub fn register(name: &str) -> Option<Field> {
    let of_unit = |def: &&FieldDef| def.home == Home::Appliance && !def.key.contains("{}");
    let own = FIELDS.iter().filter(of_unit);
    let named = own.clone().find(|def| def.key == name || def.key.replace('/', "_") == name);
    let short = || own.clone().find(|def| def.key.strip_prefix("unit/") == Some(name));
    named.or_else(short).map(|def| Field::named(def.key))
}

/// A value as somebody typed it; words of closed lists in capitals or with blanks are read as well.
pub fn value(field: Field, typed: &str) -> Result<FieldValue, String> {
    let typed = match field.def.holds {
        Holds::Word(_) => typed.trim().to_lowercase().replace(['-', ' '], "_"),
        _ => typed.to_owned(),
    };
    field.parse(&typed).map_err(|wrong| wrong.to_string())
}

/// A setting; an unusual figure needs a reason.
pub fn setting(field: Field, typed: &str, reason: Option<&str>) -> Result<Setting, String> {
    let value = value(field, typed)?;
    let setting = Setting { field, value, reason: reason.map(str::to_owned) };
    let asked = doubts(&Action::Set(vec![setting.clone()]), &|_| None);
    match asked.first() {
        Some(doubt) if reason.is_none() => {
            Err(format!("{}; {}; if it is so, give a reason", doubt.asks, doubt.usual))
        }
        _ => Ok(setting),
    }
}

/// Reads a list. What is wrong with the heading is wrong with the whole list.
pub fn read(text: &str, places: &Places, reason: Option<&str>) -> Result<List, String> {
    // A byte-order mark that spreadsheets put in front is no part of the first name.
    let text = text.trim_start_matches('\u{feff}');
    // Forms send every line end as two characters, at which lines would be counted late.
    let text = text.replace("\r\n", "\n");
    let mut reader =
        csv::ReaderBuilder::new().flexible(true).trim(csv::Trim::All).from_reader(text.as_bytes());
    let heading = reader.headers().map_err(|wrong| wrong.to_string())?.clone();
    let columns = columns(&heading)?;
    let mut list = List::default();
    let mut seen = BTreeSet::new();
    for (at, record) in reader.records().enumerate() {
        if at >= ROWS_MAX {
            return Err(format!("the list has more than {ROWS_MAX} rows; enter it in parts"));
        }
        let record = record.map_err(|wrong| wrong.to_string())?;
        let line = record.position().map_or(0, csv::Position::line);
        let before = list.wrong.len();
        let row = Row { heading: &heading, columns: &columns, record: &record, line };
        let good = row.read(places, reason, &mut list.wrong);
        if list.wrong.len() > before {
            continue;
        }
        if seen.insert(good.unit_no.clone()) {
            list.good.push(good);
        } else {
            let says = "stands in the list twice".to_owned();
            list.wrong.push(Wrong { line, field: "unit_no".to_owned(), found: good.unit_no, says });
        }
    }
    Ok(list)
}

fn columns(heading: &csv::StringRecord) -> Result<Vec<Column>, String> {
    let mut columns = vec![];
    for name in heading {
        let tidy = name.trim().to_lowercase().replace([' ', '-'], "_");
        columns.push(match tidy.as_str() {
            "unit_no" | "unit/no" => Column::UnitNo,
            "area" => Column::Area,
            "position" => Column::Position,
            other => Column::Value(register(other).ok_or_else(|| {
                format!("heading: column '{name}' is no value of a unit; the names that are taken stand below")
            })?),
        });
    }
    if columns.iter().any(|column| matches!(column, Column::UnitNo)) {
        return Ok(columns);
    }
    Err("heading: there is no column unit_no; the first line of the list names the columns"
        .to_owned())
}

struct Row<'r> {
    heading: &'r csv::StringRecord,
    columns: &'r [Column],
    record: &'r csv::StringRecord,
    line: u64,
}

impl Row<'_> {
    fn read(&self, places: &Places, reason: Option<&str>, wrong: &mut Vec<Wrong>) -> Good {
        let mut good = Good { unit_no: String::new(), settings: vec![] };
        let cut = |text: &str| text.chars().take(60).collect::<String>();
        let mut bad = |field: &str, found: &str, says: String| {
            wrong.push(Wrong { line: self.line, field: cut(field), found: cut(found), says });
        };
        if self.record.len() != self.heading.len() {
            let (own, all) = (self.record.len(), self.heading.len());
            bad("row", "", format!("it has {own} fields, the heading has {all}"));
            return good;
        }
        for ((name, column), cell) in self.heading.iter().zip(self.columns).zip(self.record) {
            let outcome = match column {
                Column::UnitNo => {
                    cell.clone_into(&mut good.unit_no);
                    unit_no(cell, places).map(|()| None)
                }
                _ if cell.is_empty() => Ok(None),
                Column::Area => place("unit/area", cell, &places.areas, "area").map(Some),
                Column::Position => {
                    place("unit/position", cell, &places.positions, "position").map(Some)
                }
                Column::Value(field) => setting(*field, cell, reason).map(Some),
            };
            match outcome {
                Ok(setting) => good.settings.extend(setting),
                Err(says) => bad(name, cell, says),
            }
        }
        good
    }
}

fn unit_no(cell: &str, places: &Places) -> Result<(), String> {
    if cell.is_empty() {
        return Err("a unit needs a number".to_owned());
    }
    if places.units.contains(cell) {
        return Err("there is a unit of this number already".to_owned());
    }
    Ok(())
}

fn place(
    key: &str,
    cell: &str,
    known: &BTreeMap<String, EntryId>,
    what: &str,
) -> Result<Setting, String> {
    let found = known.get(&cell.to_lowercase());
    found.map(|id| deed::setting(key, FieldValue::Entry(*id))).ok_or_else(|| {
        let names: Vec<&str> = known.keys().map(String::as_str).take(20).collect();
        match names.as_slice() {
            [] => format!("the site has no {what} yet"),
            names => format!("the site has no such {what}; it has {}", names.join(", ")),
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn places() -> Places {
        let entry = EntryId { actor: client_core::record::id::ActorHalf([1; 8]), n: 4 };
        Places {
            areas: [("a1".to_owned(), entry)].into(),
            positions: BTreeMap::new(),
            units: ["UH-01".to_owned()].into(),
        }
    }

    #[test]
    fn a_good_list_is_read_whole() {
        let text = "\u{feff}Unit no,area,maker,plate_input,plate/gas\nUH-02,A1,Quarrel,200 MBH,Natural\nUH-03,,,,\n";
        let list = read(text, &places(), None).unwrap();
        assert_eq!((list.good.len(), list.wrong.as_slice()), (2, &[][..]));
        assert_eq!(list.good[0].settings.len(), 4);
        assert_eq!(list.good[1].settings, []);
    }

    #[test]
    fn what_is_wrong_says_in_which_row_and_field() {
        let text = "unit_no,area,plate_input\nUH-01,A9,200\nUH-04,A1,many\nUH-05,A1\nUH-06,,9000\nUH-07,,\nUH-07,,\n,,\n";
        let list = read(text, &places(), None).unwrap();
        let found: Vec<(u64, &str)> =
            list.wrong.iter().map(|one| (one.line, one.field.as_str())).collect();
        assert_eq!(
            found,
            [
                (2, "unit_no"),
                (2, "area"),
                (3, "plate_input"),
                (4, "row"),
                (5, "plate_input"),
                (7, "unit_no"),
                (8, "unit_no")
            ]
        );
        assert!(list.wrong[1].says.contains("it has a1"), "{:?}", list.wrong[1]);
        assert_eq!((list.good.len(), list.rows_wrong()), (1, 6));
        let sent = read(&text.replace('\n', "\r\n"), &places(), None).unwrap();
        assert_eq!(sent, list, "as a form sends it");
        let with = read("unit_no,plate_input\nUH-06,9000\n", &places(), Some("seen")).unwrap();
        assert_eq!(with.wrong, [], "a reason lets an unusual figure pass");
    }

    #[test]
    fn a_heading_that_cannot_be_read_is_wrong_with_the_whole_list() {
        assert!(read("", &places(), None).is_err());
        assert!(read("area\nA1\n", &places(), None).unwrap_err().contains("unit_no"));
        assert!(read("unit_no,colour\n", &places(), None).unwrap_err().contains("'colour'"));
    }
}
