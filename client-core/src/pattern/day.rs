//! A civil day.

use std::fmt;

/// Days since 1970-01-01 in the proleptic Gregorian calendar. A visit has a day; hours live in its readings.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Day(i32);

/// Years that a record can speak of.
const YEARS: std::ops::RangeInclusive<i32> = 1900..=2200;

impl Day {
    /// A day by its date; `None` when there is no such day, or not in 1900 to 2200.
    pub fn new(year: i32, month: u32, day: u32) -> Option<Self> {
        if !YEARS.contains(&year) || !(1..=12).contains(&month) {
            return None;
        }
        if day == 0 || day > month_length(year, month) {
            return None;
        }
        let years = (*YEARS.start()..year).map(year_length).sum::<i32>();
        let months = (1..month).map(|month| month_length(year, month)).sum::<u32>();
        let within = i32::try_from(months + day - 1).ok()?;
        Some(Self(years - before_1970() + within))
    }

    /// A day of the record; `None` outside 1900 to 2200.
    pub fn of(day: crate::record::value::Day) -> Option<Self> {
        let (year, month, day) = day.ymd();
        Self::new(year, month, day)
    }

    /// The day of a text that begins with `YYYY-MM-DD`.
    pub fn parse(text: &str) -> Option<Self> {
        let mut parts = text.get(..10)?.split('-');
        let (year, month, day) = (parts.next()?, parts.next()?, parts.next()?);
        Self::new(year.parse().ok()?, month.parse().ok()?, day.parse().ok()?)
    }

    /// Year, month and day.
    pub fn date(self) -> (i32, u32, u32) {
        let mut left = self.0 + before_1970();
        let mut year = *YEARS.start();
        while left >= year_length(year) {
            left -= year_length(year);
            year += 1;
        }
        let mut left = u32::try_from(left).unwrap_or(0);
        let mut month = 1;
        while left >= month_length(year, month) {
            left -= month_length(year, month);
            month += 1;
        }
        (year, month, left + 1)
    }

    /// Days from `earlier` to this day; negative when it is the later one.
    pub fn since(self, earlier: Self) -> i32 {
        self.0 - earlier.0
    }

    /// The day so many days later, kept inside the years that a record can speak of.
    #[must_use]
    pub fn plus(self, days: i32) -> Self {
        let first = Self::new(*YEARS.start(), 1, 1).map_or(self.0, |day| day.0);
        let last = Self::new(*YEARS.end(), 12, 31).map_or(self.0, |day| day.0);
        Self(self.0.saturating_add(days).clamp(first, last))
    }
}

impl fmt::Display for Day {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (year, month, day) = self.date();
        write!(out, "{year:04}-{month:02}-{day:02}")
    }
}

/// Days from the first year to 1970.
fn before_1970() -> i32 {
    (*YEARS.start()..1970).map(year_length).sum()
}

fn leap(year: i32) -> bool {
    year % 4 == 0 && (year % 100 != 0 || year % 400 == 0)
}

fn year_length(year: i32) -> i32 {
    365 + i32::from(leap(year))
}

fn month_length(year: i32, month: u32) -> u32 {
    match month {
        2 => 28 + u32::from(leap(year)),
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_and_dates_undo_each_other() {
        for text in
            ["1970-01-01", "2024-02-29", "2024-10-08", "2025-10-14", "1900-01-01", "2200-12-31"]
        {
            let day = Day::parse(text).unwrap();
            assert_eq!(day.to_string(), text);
        }
        assert_eq!(Day::parse("1970-01-01").unwrap().since(Day::parse("1970-01-01").unwrap()), 0);
        assert_eq!(
            Day::parse("2000-03-01").unwrap().since(Day::parse("1970-01-01").unwrap()),
            11_017
        );
        let (a, b) = (Day::parse("2024-10-08").unwrap(), Day::parse("2025-01-22").unwrap());
        assert_eq!(b.since(a), 106);
        assert_eq!(a.plus(106), b);
        assert_eq!(a.plus(i32::MAX).to_string(), "2200-12-31");
    }

    #[test]
    fn what_is_no_day_is_refused() {
        for text in [
            "2025-02-29",
            "2025-13-01",
            "2025-00-10",
            "2025-01-32",
            "1899-12-31",
            "today",
            "2025-1-1",
        ] {
            assert_eq!(Day::parse(text), None, "{text}");
        }
    }
}
