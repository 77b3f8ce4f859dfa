//! The slip on the column: unit, gas, day, a few figures found and left beside their limit, what was done.

use super::line::{cut_words, day, ends, figure, fitting, initials, legend, table_line, width};
use super::{COLUMNS, LINES, Slip};
use crate::book::{Book, Source};
use crate::figures::{FigureLine, lines};
use crate::kind::Kind;
use crate::layout::{Block, Report};
use crate::text::Text;
use crate::tongue::{Tongue, say};
use crate::unit_facts::UnitFacts;
use crate::visit_head::VisitHead;
use client_core::present::say::Names as _;
use client_core::record::code::{Gas, Status};
use client_core::record::id::ApplianceId;
use client_core::record::value::Day;
use client_core::trade::unit::System;

/// The slip on the column of one unit.
#[derive(Clone, Debug, PartialEq)]
pub struct ColumnSlip {
    /// The visit.
    pub head: VisitHead,
    /// The unit.
    pub unit: UnitFacts,
    /// When somebody should come again, where that is known.
    pub next: Option<Day>,
    /// Names.
    pub book: Book,
}

/// Figures in the order of their worth on a column.
const WORTH: &[&str] = &[
    "manifold_high",
    "flame_current",
    "thermocouple_loaded",
    "co_air_free",
    "rise",
    "flue_o2",
    "draft_differential",
    "profile_differential",
];

impl ColumnSlip {
    /// Gathers it; none when the unit is not in the visit.
    pub fn of(source: &Source<'_>, unit: ApplianceId, next: Option<Day>) -> Option<ColumnSlip> {
        let book = Book::of(source);
        let marker = client_core::record::mark::Marker::new(source.file);
        let unit = UnitFacts::of(source, source.file.unit(unit)?, &book, &marker);
        Some(ColumnSlip { head: VisitHead::of(source), unit, next, book })
    }

    /// The slip in a tongue.
    pub fn report(&self, tongue: Tongue) -> Report {
        let shown = chosen(&self.unit, WORTH);
        let next = self.next.map(|next| say!(tongue, "slip-next", month = month(tongue, next)));
        // Head, columns, what was done, legend, foot; and the next visit where it is known.
        let room = LINES - 5 - usize::from(next.is_some());
        let shown: Vec<FigureLine<'_>> = fitting(tongue, shown, room);
        let mut lines = vec![head(tongue, &self.head, &self.unit, None), columns(tongue)];
        lines.extend(shown.iter().map(|line| figure(tongue, line)));
        lines.push(self.done(tongue));
        lines.extend(next.map(Text::words));
        lines.push(legend(tongue, &shown));
        lines.push(foot(&self.head, &self.unit, &self.book));
        finish(Kind::Column, tongue, &self.unit, &self.head, None, lines)
    }

    fn done(&self, tongue: Tongue) -> Text {
        let work = self.unit.work().map(|(_, work)| match &work.text {
            Some(text) => Text::typed(text),
            None => Text::words(tongue.word(work.kind)),
        });
        let work = Text::join(work, ", ");
        let work = match work.is_empty() {
            true => Text::words(tongue.plain("slip-nothing_done")),
            false => Text::words(tongue.plain("slip-did")).then(work),
        };
        match self.unit.status {
            Status::Watch => {
                let watch = Text::words(tongue.plain("slip-watch"));
                let room = COLUMNS.saturating_sub(width(&watch) + 1);
                ends(cut_words(work, room), watch)
            }
            _ => cut_words(work, COLUMNS),
        }
    }
}

/// Lines of a unit that are on a list and were read, in the order of the list.
pub(super) fn chosen<'f>(unit: &'f UnitFacts, list: &[&str]) -> Vec<FigureLine<'f>> {
    let all = lines(unit);
    list.iter().filter_map(|key| all.iter().find(|line| line.key == *key).cloned()).collect()
}

/// Unit, gas, area and day.
pub(super) fn head(
    tongue: Tongue,
    visit: &VisitHead,
    unit: &UnitFacts,
    what: Option<&str>,
) -> Text {
    let gas = match unit.supplied {
        Some(Gas::Natural) => tongue.plain("slip_gas-natural"),
        Some(Gas::Lp) => tongue.plain("slip_gas-lp"),
        _ => tongue.plain("slip_gas-unknown"),
    };
    let place = match (what, &unit.area) {
        (Some(what), _) => Text::words(tongue.plain(what)),
        (None, Some(area)) => Text::name(area.to_uppercase()),
        (None, None) => Text::default(),
    };
    let left = Text::name(&unit.no).and(Text::words(format!(" {gas}"))).then(place);
    let date = visit.last_day().map(|own| day(tongue, own));
    ends(left, Text::words(date.unwrap_or_else(|| tongue.plain("slip-no_day"))))
}

/// Heads of the columns; the unit of pressure stands in the corner.
pub(super) fn columns(tongue: Tongue) -> Text {
    let corner = match tongue.system {
        System::Us => tongue.plain("slip_unit-in_wc"),
        System::Si => tongue.plain("slip_unit-mbar"),
    };
    table_line(
        &corner,
        &tongue.plain("slip-found"),
        &tongue.plain("slip-left"),
        &tongue.plain("slip-limit"),
    )
}

/// The firm, who read most, and the reference that finds the record. The reference is never cut.
pub(super) fn foot(visit: &VisitHead, unit: &UnitFacts, book: &Book) -> Text {
    let person = unit.last_person().map(|person| initials(&book.person(person)));
    let right = Text::name(person.unwrap_or_default()).then(Text::name(&visit.reference));
    ends(Text::name(visit.firm.name.to_uppercase()), right)
}

fn month(tongue: Tongue, next: Day) -> String {
    let (year, month, _) = next.ymd();
    format!("{} {year}", tongue.plain(&format!("slip_month-{month}")))
}

/// The report round a slip.
pub(super) fn finish(
    kind: Kind,
    tongue: Tongue,
    unit: &UnitFacts,
    head: &VisitHead,
    banner: Option<Text>,
    lines: Vec<Text>,
) -> Report {
    debug_assert!(lines.iter().all(|line| width(line) <= COLUMNS), "a line is too wide");
    debug_assert!(lines.len() + usize::from(banner.is_some()) <= LINES, "too many lines");
    let when = head.when(tongue);
    let title =
        tongue.phrase("slip-title").with("unit", unit.no.as_str()).with("when", when).words();
    Report {
        kind,
        tongue,
        title,
        blocks: vec![Block::Slip(Slip { banner, lines })],
        foot: head.foot(tongue),
    }
}
