//! A unit through its visits: what is known of it, readings by day beside the figures they are held
//! against, advisories, shut-downs, questions, what was settled.

use client_core::device::Listed;
use client_core::pattern::own::own;
use client_core::pattern::seen::Seen;
use client_core::present::{Names as _, Say};
use client_core::record::body::{Body, Kind, Target};
use client_core::record::code::Quantity;
use client_core::record::contradiction::in_papers;
use client_core::record::file::{Papers, UnitInVisit, amount};
use client_core::record::id::{ApplianceId, VisitId};
use client_core::record::row::{ReadingRow, SheetRow, UnitRow};
use client_core::record::value::{Day, Figure};
use client_core::trade::uncertainty::Calibration;
use serde::Serialize;
use utoipa::ToSchema;

use super::building::{ItselfLine, itself};
use super::difference::{Difference, in_document};
use super::home::{UnitLine, unit_line};
use super::question::{Asked, asked};
use super::sheet::{Line, line};
use super::{Book, Named};

/// A reading of a series.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct Point {
    /// Day, counted from 1970-01-01.
    pub day: i32,
    /// As left, and not as found.
    pub left: bool,
    /// The figure in the unit of the series.
    pub value: f64,
    /// Standard uncertainty by the usual accuracy of such an instrument, in that unit.
    pub u: f64,
    /// As it was typed.
    pub shown: String,
    /// Whether a control chart says that the unit has moved.
    pub moved: bool,
}

/// A figure that a series is held against.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct Held {
    /// Least, or the figure itself.
    pub low: Option<f64>,
    /// Most.
    pub high: Option<f64>,
    /// From which day on, counted from 1970-01-01.
    pub from: Option<i32>,
    /// The figure, or the band.
    pub figure: String,
    /// Where it comes from.
    pub source: String,
}

/// Readings of one quantity by day.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct Series {
    /// What was measured.
    pub quantity: String,
    /// In which unit.
    pub unit: String,
    /// Readings, oldest first.
    pub points: Vec<Point>,
    /// What they are held against.
    pub held: Vec<Held>,
}

/// A visit of the unit.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct Turn {
    /// The visit.
    pub visit: String,
    /// The day.
    pub day: Option<String>,
    /// How the turn ended.
    pub outcome: Option<String>,
    /// Who entered something.
    pub people: Vec<String>,
    /// Causes found.
    pub causes: Vec<String>,
    /// Readings, entries that are work, parts.
    pub counts: (u32, u32, u32),
    /// Things with two answers.
    pub contradictions: u32,
}

/// A register with its value and who said it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct Value {
    /// What it is.
    pub says: String,
    /// The value that governs.
    pub value: String,
    /// Who said it, and when.
    pub by: String,
}

/// A unit through its visits.
#[derive(Clone, Debug, PartialEq, Serialize, ToSchema)]
pub struct History {
    /// The unit as lists show it.
    pub unit: UnitLine,
    /// Visits, newest first.
    pub turns: Vec<Turn>,
    /// Readings by day.
    pub series: Vec<Series>,
    /// The unit against itself.
    pub itself: Vec<ItselfLine>,
    /// Plate and other registers.
    pub values: Vec<Value>,
    /// Two answers in the unit's own document.
    pub differences: Vec<Difference>,
    /// Questions to the manufacturer.
    pub questions: Vec<Asked>,
    /// Every entry of the unit's own document, newest first.
    pub lines: Vec<Line>,
    /// Units alike.
    pub twins: Vec<Twin>,
    /// The day on which the unit was left last.
    pub left_on: Option<String>,
    /// What the unit and its twins were left at last.
    pub beside: Vec<Beside>,
}

/// A unit like this one.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct Twin {
    /// The unit.
    pub unit: Named,
    /// Where it hangs.
    pub area: Option<String>,
    /// The day on which it was left last.
    pub day: Option<String>,
}

/// A quantity of the unit and its twins, in the order of the twins, the unit first.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct Beside {
    /// What was measured.
    pub quantity: String,
    /// As typed, with the unit; none where it was not tested.
    pub figures: Vec<Option<String>>,
}

/// Twins that are shown beside a unit.
pub const TWINS_MAX: usize = 6;

/// Whether two units are alike, as far as rows tell: the same kind, family and input on the plate.
pub fn alike(one: &UnitRow, other: &UnitRow) -> bool {
    let input = |row: &UnitRow| {
        let plate = row.plate.iter().find(|plate| plate.key == "plate/input");
        plate.and_then(|plate| amount(plate.figure)).map(|amount| amount.value)
    };
    one.kind.is_some()
        && one.kind == other.kind
        && one.family == other.family
        && other.merged_into.is_none()
        && matches!((input(one), input(other)), (Some(own), Some(twin)) if (own - twin).abs() < 0.5)
}

/// Lays the unit beside its twins: what each was left at when it was left last.
pub fn beside(
    found: &mut History,
    own: Option<&SheetRow>,
    twins: &[(Listed<ApplianceId, UnitRow>, Option<SheetRow>)],
    book: &Book,
) {
    let day = |row: Option<&SheetRow>| row.and_then(|row| row.day).map(|day| day.to_string());
    found.left_on = day(own);
    let rows: Vec<Option<&SheetRow>> =
        std::iter::once(own).chain(twins.iter().map(|(_, row)| row.as_ref())).collect();
    for quantity in TRENDS {
        let figure = |row: Option<&SheetRow>| {
            let read = row?.left.iter().find(|read| read.quantity == quantity)?;
            read.value.figure().map(|figure| figure.to_string())
        };
        let figures: Vec<Option<String>> = rows.iter().copied().map(figure).collect();
        if figures.iter().any(Option::is_some) {
            found.beside.push(Beside { quantity: quantity.says().to_owned(), figures });
        }
    }
    found.twins = twins
        .iter()
        .map(|(unit, row)| Twin {
            unit: book.named_unit(unit.id),
            area: unit.row.area.and_then(|area| book.entry(area)),
            day: day(row.as_ref()),
        })
        .collect();
}

/// Quantities in the order in which their trends are looked at.
const TRENDS: [Quantity; 10] = [
    Quantity::FlameCurrent,
    Quantity::FlueO2,
    Quantity::FlueCo,
    Quantity::ManifoldHigh,
    Quantity::InletFlowing,
    Quantity::StackTemp,
    Quantity::AmbientCo,
    Quantity::DraftDifferential,
    Quantity::PilotPressure,
    Quantity::ManifoldLow,
];

/// Lays a unit's history out. `papers` is the unit's own document, where there is one.
pub fn history(
    site: &Named,
    row: &Listed<ApplianceId, UnitRow>,
    visits: &[Listed<VisitId, SheetRow>],
    papers: Option<Papers<'_>>,
    book: &Book,
) -> History {
    let targets = papers.as_ref().map(targets).unwrap_or_default();
    let rows = visits.iter().map(|visit| visit.row.clone());
    let seen = Seen::new(row.id, row.row.clone(), rows, papers.as_ref().map(|own| &own.read));
    let series = TRENDS.iter().filter_map(|one| series(*one, row, visits, &targets));
    let series = series.collect();
    let mut turns: Vec<Turn> = visits.iter().map(|visit| turn(visit, book)).collect();
    turns.reverse();
    let mut found = History {
        unit: unit_line(site, row, book),
        turns,
        series,
        itself: own(&seen).iter().map(itself).collect(),
        values: vec![],
        differences: vec![],
        questions: vec![],
        lines: vec![],
        twins: vec![],
        left_on: None,
        beside: vec![],
    };
    if let Some(papers) = papers {
        found.values = values(&papers, book);
        found.differences =
            in_papers(&papers).iter().map(|one| in_document(&papers, one, book)).collect();
        found.questions = asked(&papers, book);
        let entries = papers.read.entries.iter().rev();
        found.lines = entries.map(|entry| line(entry, vec![], book)).collect();
        let unit =
            UnitInVisit { appliance: row.id, sheet: None, unit: Some(papers), governing: vec![] };
        unit.status().says().clone_into(&mut found.unit.status);
    }
    found
}

fn turn(visit: &Listed<VisitId, SheetRow>, book: &Book) -> Turn {
    let row = &visit.row;
    Turn {
        visit: visit.id.to_string(),
        day: row.day.map(|day| day.to_string()),
        outcome: row.outcome.map(|outcome| outcome.says().to_owned()),
        people: row.persons.iter().map(|person| book.person(*person)).collect(),
        causes: row.causes.iter().map(|cause| cause.replace('_', " ")).collect(),
        counts: (row.readings, row.work, row.parts),
        contradictions: row.contradictions,
    }
}

fn targets(papers: &Papers<'_>) -> Vec<Target> {
    let entries = papers.read.counted(Kind::Target);
    entries
        .filter_map(|entry| match &entry.body {
            Body::Target(target) => Some(target.clone()),
            _ => None,
        })
        .collect()
}

fn series(
    quantity: Quantity,
    row: &Listed<ApplianceId, UnitRow>,
    visits: &[Listed<VisitId, SheetRow>],
    targets: &[Target],
) -> Option<Series> {
    let of = |rows: &[ReadingRow]| {
        rows.iter().find(|row| row.quantity == quantity).and_then(|row| row.value.figure())
    };
    let mut points = vec![];
    let mut unit = None;
    for visit in visits {
        let Some(day) = visit.row.day else { continue };
        for (left, rows) in [(false, &visit.row.found), (true, &visit.row.left)] {
            let Some(figure) = of(rows) else { continue };
            let Some(read) = amount(figure) else { continue };
            let own = *unit.get_or_insert(read.unit);
            let Some(read) = read.to(own) else { continue };
            let doubt =
                quantity.kind().and_then(|kind| kind.uncertain(read, None, Calibration::Current));
            let u = doubt.and_then(|doubt| doubt.amount.to(own).map(|_| doubt.u)).unwrap_or(0.0);
            points.push(Point {
                day: day.0,
                left,
                value: read.value,
                u,
                shown: figure.digits.to_string(),
                moved: false,
            });
        }
    }
    let unit = unit?;
    let within = |figure: Figure| amount(figure)?.to(unit).map(|own| own.value);
    let mut held: Vec<Held> = plate_key(quantity)
        .and_then(|key| row.row.plate.iter().find(|plate| plate.key == key))
        .and_then(|plate| {
            let low = within(plate.figure)?;
            let figure = plate.figure.to_string();
            Some(Held {
                low: Some(low),
                high: None,
                from: None,
                figure,
                source: "plate".to_owned(),
            })
        })
        .into_iter()
        .collect();
    for target in targets.iter().filter(|target| target.quantity == quantity) {
        let low = target.least.or(target.aim).and_then(within);
        let high = target.most.and_then(within);
        let from = target.valid_from.map(|day| day.0);
        if low.is_some() || high.is_some() {
            held.push(Held { low, high, from, figure: target.figures(), source: target.origin() });
        }
    }
    Some(Series {
        quantity: quantity.says().to_owned(),
        unit: unit.symbol().to_owned(),
        points,
        held,
    })
}

/// The figure of the plate that a reading is compared with.
const fn plate_key(quantity: Quantity) -> Option<&'static str> {
    match quantity {
        Quantity::ManifoldHigh => Some("plate/manifold_high"),
        Quantity::ManifoldLow => Some("plate/manifold_low"),
        Quantity::InletFlowing => Some("plate/inlet_min"),
        Quantity::FlameCurrent => Some("plate/flame_current_min"),
        Quantity::PilotPressure => Some("plate/pilot_pressure"),
        _ => None,
    }
}

fn values(papers: &Papers<'_>, book: &Book) -> Vec<Value> {
    let say = Say { names: book, system: None };
    let fields = papers.read.fields.iter().filter(|(field, _)| field.of.is_none());
    fields
        .map(|(field, merged)| {
            let governs = merged.governs();
            let value = governs.map_or("two answers, none governs".to_owned(), |said| {
                say.value(field, &said.value)
            });
            let by = governs.map_or(String::new(), |said| {
                format!("{}, {}", book.person(said.stamp.person()), said.stamp.at().day())
            });
            Value { says: field.def.says.to_owned(), value, by }
        })
        .collect()
}

/// A day as a word.
pub fn day_word(day: i32) -> String {
    Day(day).to_string()
}
