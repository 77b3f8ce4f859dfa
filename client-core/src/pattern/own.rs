//! A unit against itself: the base that it is held against, how far it has moved from it, and a control chart
//! once it has been left often enough.
//!
//! Rows say whether an as-left may serve: the turn ended as done, no check failed and nothing stood with two
//! answers. The chart's limits come from readings as left alone, because each of those follows a repair or a
//! clean; a reading as found is held against them and never widens them.

use super::Day;
use super::baseline::{Against, Band, Block, CHART_READINGS_MIN, against, baseline, chart};
use super::seen::{Seen, day, value};
use crate::record::body::Target;
use crate::record::code::{Outcome, Quantity};
use crate::record::row::{ReadingRow, SheetRow};
use crate::trade::stats::StatsError;
use crate::trade::stats::control::{Limits, Point as Walked};
use crate::trade::unit::Unit;

/// What is held against itself: the reading, the unit it is shown in, the band it may move in.
struct Watched {
    quantity: Quantity,
    unit: Unit,
    band: Option<Band>,
}

/// The bands are common practice without a source; flame current has none, its fall has a page of its own.
const WATCHED: [Watched; 3] = [
    Watched { quantity: Quantity::FlameCurrent, unit: Unit::Ua, band: None },
    Watched { quantity: Quantity::FlueO2, unit: Unit::Pct, band: Some(Band::Absolute(1.0)) },
    Watched { quantity: Quantity::StackTemp, unit: Unit::DeltaF, band: Some(Band::Share(0.10)) },
];

/// What a unit is held against.
#[derive(Debug, Clone, PartialEq)]
pub enum Base {
    /// A target that stands; it goes before the unit's own figures.
    Target(Target),
    /// The first proved reading as left.
    Left {
        /// Its day.
        day: Day,
        /// Its value.
        value: f64,
    },
    /// Nothing yet.
    Nothing,
}

/// One reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// Its day.
    pub day: Day,
    /// As left, and not as found.
    pub left: bool,
    /// Its value.
    pub value: f64,
    /// Whether the chart says that the unit has moved; never without a chart.
    pub moved: bool,
}

/// A unit against itself in one quantity.
#[derive(Debug, Clone, PartialEq)]
pub struct Own {
    /// The unit.
    pub unit_no: String,
    /// In words.
    pub name: &'static str,
    /// The unit of the figures.
    pub unit: Unit,
    /// What it is held against.
    pub base: Base,
    /// Readings, oldest first.
    pub points: Vec<Point>,
    /// The newest reading beside its own base, where the base is a figure of its own.
    pub against: Option<Against>,
    /// The chart's limits, or why there are none.
    pub limits: Result<Limits, StatsError>,
}

impl Own {
    /// Readings as found and as left.
    pub fn counts(&self) -> (usize, usize) {
        let left = self.points.iter().filter(|point| point.left).count();
        (self.points.len() - left, left)
    }

    /// Readings as found and as left that have moved.
    pub fn moved(&self) -> (usize, usize) {
        let of = |left| self.points.iter().filter(|own| own.moved && own.left == left).count();
        (of(false), of(true))
    }
}

/// A unit against itself, in what was read of it.
pub fn own(unit: &Seen) -> Vec<Own> {
    WATCHED.iter().filter_map(|watched| one(unit, watched)).collect()
}

/// The reading in the unit that is shown; the stack stands above the air that goes in.
fn figure(rows: &[ReadingRow], watched: &Watched) -> Option<f64> {
    if watched.quantity != Quantity::StackTemp {
        return value(rows, watched.quantity, watched.unit);
    }
    let of = |quantity| value(rows, quantity, Unit::F);
    Some(of(Quantity::StackTemp)? - of(Quantity::CombustionAirTemp)?)
}

fn one(unit: &Seen, watched: &Watched) -> Option<Own> {
    let mut points = vec![];
    let mut blocks = vec![];
    for row in unit.opened() {
        let Some(day) = day(row) else { continue };
        for (left, rows) in [(false, &row.found), (true, &row.left)] {
            let Some(value) = figure(rows, watched).filter(|value| value.is_finite()) else {
                continue;
            };
            if left {
                let within = within(unit, watched.quantity, value);
                blocks.push(Block { place: points.len(), day, proved: proved(row), within });
            }
            points.push(Point { day, left, value, moved: false });
        }
    }
    let last = points.last()?.value;
    let target = target(unit, watched);
    let first = baseline(&blocks).and_then(|block| points.get(block.place));
    let base = match (target, first) {
        (Some(target), _) => Base::Target(target.clone()),
        (None, Some(point)) => Base::Left { day: point.day, value: point.value },
        (None, None) => Base::Nothing,
    };
    let against = match &base {
        Base::Left { value, .. } => watched.band.and_then(|band| against(last, *value, band)),
        Base::Target(_) | Base::Nothing => None,
    };
    let limits = mark(&mut points);
    let name = match watched.quantity {
        Quantity::StackTemp => "net stack",
        quantity => quantity.says(),
    };
    let unit_no = unit.row.unit_no.clone();
    Some(Own { unit_no, name, unit: watched.unit, base, points, against, limits })
}

/// Whether an as-left may serve as base.
fn proved(row: &SheetRow) -> bool {
    row.outcome == Some(Outcome::Done) && row.failed == 0 && row.contradictions == 0
}

/// Whether a value as left was over the least of the plate, where the plate names one.
fn within(unit: &Seen, quantity: Quantity, value: f64) -> bool {
    let least = match quantity {
        Quantity::FlameCurrent => unit.row.plate_in("plate/flame_current_min", Unit::Ua),
        _ => None,
    };
    least.is_none_or(|least| value >= least)
}

/// The newest target of a quantity that has a figure in the unit shown.
fn target<'a>(unit: &'a Seen, watched: &Watched) -> Option<&'a Target> {
    let mut fits = unit.targets.iter().filter(|own| {
        let mut figures = [own.least, own.most, own.aim].into_iter().flatten();
        own.quantity == watched.quantity
            && figures.any(|figure| figure.in_unit(watched.unit).is_some())
    });
    fits.next_back()
}

/// Marks the readings that have moved, and gives the limits.
fn mark(points: &mut [Point]) -> Result<Limits, StatsError> {
    let left: Vec<f64> = points.iter().filter(|own| own.left).map(|own| own.value).collect();
    let (limits, walked) = chart(&left, CHART_READINGS_MIN)?;
    let mut moved = walked.iter().map(Walked::moved);
    for point in points {
        point.moved = if point.left {
            moved.next().unwrap_or_default()
        } else {
            point.value < limits.low() || point.value > limits.high()
        };
    }
    Ok(limits)
}

fn figures(value: f64, unit: Unit) -> String {
    let places = usize::from(unit != Unit::DeltaF);
    format!("{value:.places$} {}", unit.symbol())
}

/// What the unit is held against, in words.
pub fn say_base(own: &Own) -> String {
    match &own.base {
        Base::Target(target) => format!("target {} ({})", target.figures(), target.origin()),
        Base::Left { day, value } => {
            format!("its own first proved as-left, {} on {day}", figures(*value, own.unit))
        }
        Base::Nothing => "nothing yet: no target, and no turn that ended as done with nothing \
                          failed and nothing standing with two answers"
            .to_owned(),
    }
}

/// How far the newest reading stands from the unit's own base, in words.
pub fn say_against(own: &Own) -> Option<String> {
    let beside = own.against?;
    let more = if beside.difference < 0.0 { "lower" } else { "higher" };
    let size = match own.unit {
        Unit::Pct => format!("{:.1} points", beside.difference.abs()),
        unit => figures(beside.difference.abs(), unit),
    };
    let moved = if beside.moved { "it has moved: find out why" } else { "inside the usual" };
    Some(format!("last {}, {size} {more}: {moved}", figures(beside.value, own.unit)))
}

/// What the chart says, or why there is none, in words with the counts.
pub fn say_chart(own: &Own) -> String {
    let (found, left) = own.counts();
    let counts = format!("{left} as left, {found} as found");
    match &own.limits {
        Ok(limits) => {
            let (found_moved, left_moved) = own.moved();
            format!(
                "centre {}, limits {} to {} out of the first {CHART_READINGS_MIN} as left; {counts}, of \
                 which moved: {left_moved} as left, {found_moved} as found",
                figures(limits.mean, own.unit),
                figures(limits.low(), own.unit),
                figures(limits.high(), own.unit),
            )
        }
        Err(StatsError::TooFew { have, need, .. }) => {
            format!("no chart: {have} of {need} readings as left that its limits need ({counts})")
        }
        Err(wrong) => format!("no chart: {wrong} ({counts})"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::code::unit::UnitCode;
    use crate::record::id::ApplianceId;
    use crate::record::row::{PlateRow, UnitRow};
    use crate::record::value::{Figure, Measured};

    fn reading(quantity: Quantity, tenths: i64, unit: Unit) -> ReadingRow {
        let figure = Figure::new(tenths, 1, UnitCode::of(unit).unwrap());
        ReadingRow { quantity, value: Measured::Figure(figure) }
    }

    /// Visits a month apart, flame current in tenths of a uA as found and as left.
    fn unit(readings: &[(Option<i64>, i64)], outcome: Outcome) -> Seen {
        let row = |(month, (found, left)): (usize, &(Option<i64>, i64))| SheetRow {
            day: crate::record::value::Day::from_ymd(
                2020 + i32::try_from(month / 12).unwrap(),
                u32::try_from(month % 12).unwrap() + 1,
                15,
            ),
            outcome: Some(outcome),
            found: found
                .map(|tenths| reading(Quantity::FlameCurrent, tenths, Unit::Ua))
                .into_iter()
                .collect(),
            left: vec![reading(Quantity::FlameCurrent, *left, Unit::Ua)],
            readings: 1,
            entries: 1,
            ..SheetRow::default()
        };
        let least = Figure::new(10, 1, UnitCode::of(Unit::Ua).unwrap());
        let plate = PlateRow { key: "plate/flame_current_min".to_owned(), figure: least };
        let unit =
            UnitRow { unit_no: "UH-05".to_owned(), plate: vec![plate], ..UnitRow::default() };
        Seen::new(ApplianceId([5; 8]), unit, readings.iter().enumerate().map(row), None)
    }

    #[test]
    fn three_visits_give_a_base_and_no_chart() {
        let own = &own(&unit(&[(None, 42), (Some(9), 40), (Some(34), 39)], Outcome::Done))[0];
        assert_eq!(own.counts(), (2, 3));
        assert!(own.points.iter().all(|point| !point.moved));
        assert_eq!(say_base(own), "its own first proved as-left, 4.2 uA on 2020-01-15");
        assert_eq!(
            say_chart(own),
            "no chart: 3 of 8 readings as left that its limits need (3 as left, 2 as found)"
        );
    }

    #[test]
    fn an_as_left_under_the_plate_or_of_an_open_turn_is_no_base() {
        let under = &own(&unit(&[(None, 8), (None, 41)], Outcome::Done))[0];
        assert!(matches!(under.base, Base::Left { value, .. } if (value - 4.1).abs() < 1e-9));
        let open = &own(&unit(&[(None, 42)], Outcome::InHand))[0];
        assert_eq!(open.base, Base::Nothing);
        assert!(say_base(open).starts_with("nothing yet"));
    }

    #[test]
    fn readings_as_found_are_held_against_limits_that_they_do_not_widen() {
        let mut visits: Vec<(Option<i64>, i64)> =
            [41, 40, 42, 41, 40, 42, 41, 40].iter().map(|left| (Some(39), *left)).collect();
        visits.push((Some(20), 41));
        let own = &own(&unit(&visits, Outcome::Done))[0];
        let limits = own.limits.as_ref().unwrap();
        assert!((limits.mean - 4.0875).abs() < 1e-9, "{limits:?}");
        assert_eq!((own.counts(), own.moved()), ((9, 9), (1, 0)));
        let said = say_chart(own);
        assert!(
            said.starts_with("centre 4.1 uA, limits 3.7 uA to 4.4 uA out of the first 8"),
            "{said}"
        );
        assert!(said.ends_with("moved: 0 as left, 1 as found"), "{said}");
    }

    #[test]
    fn readings_that_never_vary_have_no_limits_and_say_so() {
        let own = &own(&unit(&[(None, 41); 9], Outcome::Done))[0];
        assert!(own.limits.is_err());
        assert!(
            say_chart(own).starts_with("no chart: all baseline values are the same"),
            "{own:?}"
        );
    }

    #[test]
    fn o2_that_left_its_band_is_said() {
        let mut seen = unit(&[(None, 42), (None, 42)], Outcome::Done);
        for (visit, tenths) in seen.visits.iter_mut().zip([87, 65]) {
            visit.left = vec![reading(Quantity::FlueO2, tenths, Unit::Pct)];
        }
        let own = &own(&seen)[0];
        assert_eq!(
            say_against(own).as_deref(),
            Some("last 6.5 %, 2.2 points lower: it has moved: find out why")
        );
    }
}
