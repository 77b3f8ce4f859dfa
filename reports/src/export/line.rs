//! Rows of a visit for the office: one a line item, each with the number of its entry, so that an import
//! done twice doubles nothing. No prices: the record has none.

use client_core::present::say::Names as _;
use client_core::record::body::Body;
use client_core::record::id::EntryId;
use client_core::record::value::{Figure, Measured};
use serde_json::{Value, json};

use super::table::{Cell, Table};
use crate::saying::Sayer;
use crate::tongue::Tongue;
use crate::unit_facts::Told;
use crate::visit::VisitRecord;

/// Columns, in their order.
pub const COLUMNS: &[&str] = &[
    "id",
    "state",
    "site",
    "visit",
    "unit",
    "kind",
    "code",
    "words",
    "quantity",
    "unit_of_quantity",
    "person",
    "date",
    "sign_off",
];

/// One row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line {
    /// The entry.
    pub id: EntryId,
    /// Whether it counts: `counts`, `withdrawn`, `corrected`, `double`.
    pub state: &'static str,
    /// Site.
    pub site: String,
    /// Reference of the visit.
    pub visit: String,
    /// Unit no.; empty for what belongs to the visit as a whole.
    pub unit: String,
    /// `labour`, `part`, `gas_part`, `advice`, `test`, `check`, `finding`, `work`.
    pub kind: &'static str,
    /// Key of the closed list it is of; a part's number.
    pub code: String,
    /// In words.
    pub words: String,
    /// A figure as typed.
    pub quantity: Option<Figure>,
    /// Whose work.
    pub person: String,
    /// ISO 8601 day.
    pub date: String,
    /// The first sign-off that came after it by the clocks shown; empty while there is none.
    pub sign_off: String,
}

/// Every row of a visit, the visit's own first, then unit by unit.
pub fn lines(record: &VisitRecord, tongue: Tongue) -> Vec<Line> {
    let sayer = Sayer::new(tongue, &record.book);
    let of = Maker { record, sayer };
    let mut found: Vec<Line> = record.entries.iter().filter_map(|told| of.line("", told)).collect();
    for unit in &record.units {
        found.extend(unit.entries.iter().filter_map(|told| of.line(&unit.no, told)));
        let advice = unit.advisories.iter().map(|advisory| &advisory.told);
        found.extend(advice.filter_map(|told| of.line(&unit.no, told)));
    }
    found
}

struct Maker<'r> {
    record: &'r VisitRecord,
    sayer: Sayer<'r>,
}

impl Maker<'_> {
    fn line(&self, unit: &str, told: &Told) -> Option<Line> {
        let (kind, code, quantity) = kind(&told.body)?;
        let head = &self.record.head;
        let signed = self.record.signed.iter().find(|signed| signed.at.secs >= told.at.secs);
        Some(Line {
            id: told.id,
            state: state(told),
            site: head.site.clone().unwrap_or_default(),
            visit: head.reference.clone(),
            unit: unit.to_owned(),
            kind,
            code,
            words: self.sayer.body(&told.body).joined(),
            quantity,
            person: self.record.book.person(told.person),
            date: told.at.day().to_string(),
            sign_off: signed.map(|signed| signed.entry.to_string()).unwrap_or_default(),
        })
    }
}

/// Whether an entry counts, in one word.
pub fn state(told: &Told) -> &'static str {
    match told {
        Told { voided_by: Some(_), .. } => "withdrawn",
        Told { corrected_by: Some(_), .. } => "corrected",
        Told { double: true, .. } => "double",
        _ => "counts",
    }
}

/// Kind, code and figure of an entry that is a line item.
fn kind(body: &Body) -> Option<(&'static str, String, Option<Figure>)> {
    use client_core::record::code::unit::UnitCode;
    use client_core::trade::unit::{Decimal, Unit};
    let whole = |count: u32, unit: Unit| {
        let unit = UnitCode::of(unit)?;
        Some(Figure { digits: Decimal::new(i64::from(count), 0), unit })
    };
    Some(match body {
        Body::Labour(of) => ("labour", of.kind.key().to_owned(), whole(of.minutes, Unit::Min)),
        Body::Part(of) => ("part", of.number.clone().unwrap_or_default(), Some(of.quantity)),
        Body::GasPart(of) => {
            ("gas_part", of.part.key().to_owned(), whole(u32::from(of.count), Unit::N))
        }
        Body::Advisory(of) => ("advice", of.severity.key().to_owned(), None),
        Body::Reading(of) => {
            let figure = match &of.value {
                Measured::Figure(figure) => Some(*figure),
                Measured::OverRange(_) | Measured::NotTaken(_) => None,
            };
            ("test", format!("{}/{}", of.quantity.key(), of.phase.key()), figure)
        }
        Body::Check(of) => ("check", format!("{}/{}", of.item.key(), of.result.key()), None),
        Body::Finding(of) => ("finding", of.cause.clone(), None),
        Body::Work(of) => ("work", of.kind.key().to_owned(), None),
        _ => return None,
    })
}

/// Rows as a table for spreadsheets.
pub fn table(lines: &[Line]) -> Table {
    let row = |line: &Line| {
        let text = |text: &str| Cell::Text(text.to_owned());
        vec![
            Cell::Text(line.id.to_string()),
            text(line.state),
            text(&line.site),
            text(&line.visit),
            text(&line.unit),
            text(line.kind),
            text(&line.code),
            text(&line.words),
            line.quantity.map_or(Cell::Empty, |own| Cell::Number(own.digits.to_string())),
            line.quantity.map_or(Cell::Empty, |own| Cell::Text(own.unit.key())),
            text(&line.person),
            text(&line.date),
            text(&line.sign_off),
        ]
    };
    Table { columns: COLUMNS, rows: lines.iter().map(row).collect() }
}

/// Rows as JSON.
pub fn json(lines: &[Line]) -> Value {
    let row = |line: &Line| {
        json!({
            "id": line.id.to_string(),
            "state": line.state,
            "site": line.site,
            "visit": line.visit,
            "unit": line.unit,
            "kind": line.kind,
            "code": line.code,
            "words": line.words,
            "quantity": line.quantity.map(|own| own.digits.to_string()),
            "unit_of_quantity": line.quantity.map(|own| own.unit.key()),
            "person": line.person,
            "date": line.date,
            "sign_off": line.sign_off,
        })
    };
    json!({ "format": "dripleg.lines/1", "lines": lines.iter().map(row).collect::<Vec<_>>() })
}
