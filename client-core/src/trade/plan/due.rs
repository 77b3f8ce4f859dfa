//! The next visit's date from the last one, an interval and a season.

use crate::trade::impossible::{Impossible, Range};
use crate::trade::quantity::{Quantity, TimeSpan};
use crate::trade::unit::Unit;
use crate::trade::worked::{Formula, Sheet, Worked};

/// Formula of the due date.
pub const DUE: Formula = Formula {
    id: "plan.due",
    version: 1,
    name: "due date",
    expression: "last + interval, not later than the start of the heating season that follows",
    source: "the firm's interval and season",
    range: "intervals of a day to ten years",
    function: "plan::due::Due::solve",
    test: "due_dates_come_before_the_season",
};

/// A day of the Gregorian calendar, counted from 1970-01-01.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Day(i32);

impl Day {
    /// The day of a date, or `None` where there is no such date.
    ///
    /// ```
    /// use client_core::trade::plan::due::Day;
    /// let day = Day::of(2024, 10, 8).unwrap();
    /// assert_eq!(day.date(), (2024, 10, 8));
    /// assert_eq!(Day::of(2023, 2, 29), None);
    /// ```
    pub fn of(year: i32, month: u8, day: u8) -> Option<Day> {
        if !(1600..=9999).contains(&year) || !(1..=12).contains(&month) || day == 0 {
            return None;
        }
        let length =
            if month == 12 { 31 } else { days_before(year, month + 1) - days_before(year, month) };
        (i32::from(day) <= length).then(|| Day(days_before(year, month) + i32::from(day) - 1))
    }

    /// Year, month and day.
    pub fn date(self) -> (i32, u8, u8) {
        // A year too early at most, on either side of 1970; the loop walks up to it.
        let mut year = 1970 + self.0.div_euclid(if self.0 < 0 { 365 } else { 366 });
        while days_before(year + 1, 1) <= self.0 {
            year += 1;
        }
        let month =
            (1..=12_u8).rev().find(|month| days_before(year, *month) <= self.0).unwrap_or(1);
        let day = u8::try_from(self.0 - days_before(year, month) + 1).unwrap_or(1);
        (year, month, day)
    }

    /// Days since 1970-01-01.
    pub const fn number(self) -> i32 {
        self.0
    }
}

/// Days from 1970-01-01 to the first of a month. Source: Gregorian calendar.
fn days_before(year: i32, month: u8) -> i32 {
    const BEFORE: [i32; 12] = [0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334];
    let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    let leaps = |year: i32| year.div_euclid(4) - year.div_euclid(100) + year.div_euclid(400);
    let past = 365 * (year - 1970) + leaps(year - 1) - leaps(1969);
    past + BEFORE[usize::from(month.clamp(1, 12)) - 1] + i32::from(leap && month > 2)
}

/// A last visit with the rule for the next.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Due {
    /// Last visit that proved the unit.
    pub last: Day,
    /// Interval of the firm or of the unit's own drift.
    pub interval: TimeSpan,
    /// Month and day when heating begins, where the unit is seasonal.
    pub season_starts: Option<(u8, u8)>,
}

impl Due {
    /// The day when it is due.
    pub fn solve(&self) -> Result<Day, Impossible> {
        const INTERVAL: Range = Range {
            what: "interval",
            low: 1.0,
            high: 3660.0,
            unit: Unit::Day,
            hint: "give days or months of the firm's rule",
        };
        let days = INTERVAL.check(self.interval)?.days().round();
        let mut due = self.last;
        // The range above keeps this a small whole number.
        due.0 += (0..3660).find(|day| f64::from(*day) >= days).unwrap_or(3660);
        let Some((month, day)) = self.season_starts else { return Ok(due) };
        let (year, ..) = due.date();
        let starts = |year| {
            Day::of(year, month, day).ok_or(Impossible::NoFigure { what: "start of the season" })
        };
        // The season start that falls into the later half of the interval wins: earlier than that
        // the unit has only just been proved.
        let half = f64::from(due.0 - self.last.0) / 2.0;
        for year in [year, year - 1] {
            let start = starts(year)?;
            if start < due && f64::from(start.0 - self.last.0) >= half {
                return Ok(start);
            }
        }
        Ok(due)
    }

    /// The day when it is due, with the sheet.
    pub fn worked(&self) -> Result<Worked<Day>, Impossible> {
        let value = self.solve()?;
        let (year, month, day) = value.date();
        let sheet = Sheet::new(&DUE)
            .input("interval", "interval", self.interval, Unit::Day)
            .result(
                "in_days",
                "days after the last visit",
                TimeSpan::from_days(f64::from(value.0 - self.last.0)),
                Unit::Day,
            )
            .finding(format!("due {year:04}-{month:02}-{day:02}"));
        Ok(Worked { value, sheet })
    }
}

/// The interval as days with a unit, for callers that hold a number of days.
pub fn days(count: u16) -> TimeSpan {
    TimeSpan::from_si(f64::from(count) * 86_400.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_day_of_four_centuries_comes_back() {
        for number in -135_000..11_000 {
            let (year, month, day) = Day(number).date();
            assert_eq!(Day::of(year, month, day), Some(Day(number)), "{number}");
        }
        assert_eq!(Day::of(1970, 1, 1), Some(Day(0)));
        assert_eq!(Day::of(2000, 3, 1).map(Day::number), Some(11_017));
    }

    #[test]
    fn due_dates_come_before_the_season() {
        let due = |season| {
            let due = Due {
                last: Day::of(2024, 12, 10).unwrap(),
                interval: days(365),
                season_starts: season,
            };
            due.solve().unwrap().date()
        };
        assert_eq!(due(None), (2025, 12, 10));
        assert_eq!(due(Some((10, 1))), (2025, 10, 1));
        assert_eq!(due(Some((12, 20))), (2025, 12, 10), "last year's start lies in the interval");
    }
}
