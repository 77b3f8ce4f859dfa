//! The slip of a flue test: pressures first, flue after, found and left beside the limit with its source.
//! Never one column of readings.

use super::LINES;
use super::column::{chosen, columns, finish, foot, head};
use super::line::{figure, fitting, legend};
use crate::book::{Book, Source};
use crate::figures::FigureLine;
use crate::kind::Kind;
use crate::layout::Report;
use crate::tongue::Tongue;
use crate::unit_facts::UnitFacts;
use crate::visit_head::VisitHead;
use client_core::record::id::ApplianceId;

/// The slip of a flue test of one unit.
#[derive(Clone, Debug, PartialEq)]
pub struct FlueSlip {
    /// The visit.
    pub head: VisitHead,
    /// The unit.
    pub unit: UnitFacts,
    /// Names.
    pub book: Book,
}

const PRESSURES: &[&str] = &["manifold_high", "draft_differential", "inlet_flowing", "vent_static"];
const FLUE: &[&str] = &["flue_o2", "co_air_free", "flue_co", "stack_temp", "flue_co2"];

impl FlueSlip {
    /// Gathers it; none when the unit is not in the visit or no flue figure was read.
    pub fn of(source: &Source<'_>, unit: ApplianceId) -> Option<FlueSlip> {
        let book = Book::of(source);
        let marker = client_core::record::mark::Marker::new(source.file);
        let unit = UnitFacts::of(source, source.file.unit(unit)?, &book, &marker);
        let read = !chosen(&unit, FLUE).is_empty();
        read.then(|| FlueSlip { head: VisitHead::of(source), unit, book })
    }

    /// The slip in a tongue.
    pub fn report(&self, tongue: Tongue) -> Report {
        // Head, columns, legend, foot.
        let room = LINES - 4;
        let mut shown: Vec<FigureLine<'_>> = chosen(&self.unit, PRESSURES);
        shown.truncate(room / 2);
        let left = room - shown.len();
        shown.extend(chosen(&self.unit, FLUE).into_iter().take(left));
        let shown = fitting(tongue, shown, room);
        let what = Some("slip-flue_test");
        let mut lines = vec![head(tongue, &self.head, &self.unit, what), columns(tongue)];
        lines.extend(shown.iter().map(|line| figure(tongue, line)));
        lines.push(legend(tongue, &shown));
        lines.push(foot(&self.head, &self.unit, &self.book));
        finish(Kind::Flue, tongue, &self.unit, &self.head, None, lines)
    }
}
