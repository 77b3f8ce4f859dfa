//! Values as people enter them: digits and unit exactly as typed, days, and moments.

use std::fmt;

use minicbor::data::Tag;
use minicbor::{Decode, Decoder, Encode, Encoder, decode, encode};

use crate::record::code::unit::UnitCode;
use crate::trade::unit::{Decimal, Unit};

/// A number with its unit, digits exactly as typed. Only the sums turn it into a quantity.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Figure {
    /// The digits.
    pub digits: Decimal,
    /// The unit.
    pub unit: UnitCode,
}

impl Figure {
    /// A figure of `mantissa` with `places` digits behind the point.
    pub const fn new(mantissa: i64, places: u8, unit: UnitCode) -> Figure {
        Figure { digits: Decimal::new(mantissa, places), unit }
    }

    /// The figure in another unit of the same kind, for comparing; never stored.
    pub fn in_unit(self, unit: Unit) -> Option<f64> {
        let own = self.unit.unit()?;
        own.convert(self.digits.to_f64(), unit)
    }
}

impl fmt::Display for Figure {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{} {}", self.digits, self.unit.symbol())
    }
}

/// RFC 8949 section 3.4.4, decimal fraction: tag 4, exponent and mantissa.
const DECIMAL_FRACTION: Tag = Tag::new(4);

impl<C> Encode<C> for Figure {
    fn encode<W: encode::Write>(
        &self,
        out: &mut Encoder<W>,
        ctx: &mut C,
    ) -> Result<(), encode::Error<W::Error>> {
        out.array(2)?;
        encode_decimal(self.digits, out)?;
        self.unit.encode(out, ctx)
    }
}

impl<'b, C> Decode<'b, C> for Figure {
    fn decode(input: &mut Decoder<'b>, ctx: &mut C) -> Result<Self, decode::Error> {
        if input.array()? != Some(2) {
            return Err(decode::Error::message("not a figure"));
        }
        Ok(Figure { digits: decode_decimal(input)?, unit: UnitCode::decode(input, ctx)? })
    }
}

fn encode_decimal<W: encode::Write>(
    digits: Decimal,
    out: &mut Encoder<W>,
) -> Result<(), encode::Error<W::Error>> {
    let exponent = -i8::try_from(digits.places()).expect("a decimal has at most nine places");
    out.tag(DECIMAL_FRACTION)?.array(2)?.i8(exponent)?.i64(digits.mantissa())?.ok()
}

fn decode_decimal(input: &mut Decoder<'_>) -> Result<Decimal, decode::Error> {
    let wrong = || decode::Error::message("not a decimal fraction");
    if input.tag()? != DECIMAL_FRACTION || input.array()? != Some(2) {
        return Err(wrong());
    }
    let exponent = input.i8()?;
    let mantissa = input.i64()?;
    let places = u8::try_from(i16::from(exponent).checked_neg().ok_or_else(wrong)?);
    match places {
        Ok(places) if places <= 9 => Ok(Decimal::new(mantissa, places)),
        _ => Err(wrong()),
    }
}

/// What a reading holds.
#[derive(Clone, Debug, PartialEq)]
pub enum Measured {
    /// A figure as the instrument showed it.
    Figure(Figure),
    /// The instrument showed "over range": a fault for one quantity, the wanted answer for another.
    OverRange(UnitCode),
    /// The point could not be reached or the reading could not be taken; why.
    NotTaken(String),
}

impl Measured {
    /// The figure, if there is one.
    pub fn figure(&self) -> Option<Figure> {
        match self {
            Measured::Figure(figure) => Some(*figure),
            Measured::OverRange(_) | Measured::NotTaken(_) => None,
        }
    }
}

impl fmt::Display for Measured {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Measured::Figure(figure) => figure.fmt(out),
            Measured::OverRange(unit) => write!(out, "over range ({})", unit.symbol()),
            Measured::NotTaken(why) => write!(out, "could not take: {why}"),
        }
    }
}

impl<C> Encode<C> for Measured {
    fn encode<W: encode::Write>(
        &self,
        out: &mut Encoder<W>,
        ctx: &mut C,
    ) -> Result<(), encode::Error<W::Error>> {
        match self {
            Measured::Figure(figure) => figure.encode(out, ctx),
            Measured::OverRange(unit) => out.array(1)?.u16(unit.0)?.ok(),
            Measured::NotTaken(why) => out.str(why)?.ok(),
        }
    }
}

impl<'b, C> Decode<'b, C> for Measured {
    fn decode(input: &mut Decoder<'b>, _: &mut C) -> Result<Self, decode::Error> {
        if input.datatype()? == minicbor::data::Type::String {
            return Ok(Measured::NotTaken(input.str()?.to_owned()));
        }
        match input.array()? {
            Some(2) => Ok(Measured::Figure(Figure {
                digits: decode_decimal(input)?,
                unit: UnitCode(input.u16()?),
            })),
            Some(1) => Ok(Measured::OverRange(UnitCode(input.u16()?))),
            _ => Err(decode::Error::message("not a measured value")),
        }
    }
}

/// A day in the proleptic Gregorian calendar, counted from 1970-01-01.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Day(pub i32);

/// Julian day number of 1970-01-01.
const JULIAN_DAY_OF_1970: i32 = 2_440_588;
/// 0000-01-01 and 9999-12-31, so that every stored day prints in ten characters.
const DAY_MIN: i32 = -719_528;
const DAY_MAX: i32 = 2_932_896;

/// Why a text is not a day or a moment.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum DayWrong {
    /// Not of the form year-month-day.
    #[error("'{0}' is not a day: write it as 2025-10-14")]
    Form(String),
    /// No such day in the calendar.
    #[error("'{0}' is not in the calendar")]
    NoSuchDay(String),
    /// Not of the form day, T, time, offset.
    #[error("'{0}' is not a moment: write it as 2025-10-14T10:20:00-05:00")]
    Moment(String),
}

impl Day {
    /// The day with this year (0 to 9999), month and day of the month.
    pub fn from_ymd(year: i32, month: u32, day: u32) -> Option<Day> {
        if !(0..=9999).contains(&year) {
            return None;
        }
        let month = time::Month::try_from(u8::try_from(month).ok()?).ok()?;
        let date = time::Date::from_calendar_date(year, month, u8::try_from(day).ok()?).ok()?;
        Some(Day(date.to_julian_day() - JULIAN_DAY_OF_1970))
    }

    /// Year, month and day of the month; a day outside the years 0 to 9999 gives its nearest end.
    pub fn ymd(self) -> (i32, u32, u32) {
        let julian = self.0.clamp(DAY_MIN, DAY_MAX) + JULIAN_DAY_OF_1970;
        let date = time::Date::from_julian_day(julian).expect("the years 0 to 9999 are in range");
        (date.year(), u32::from(u8::from(date.month())), u32::from(date.day()))
    }

    /// Reads `2025-10-14`.
    pub fn parse(text: &str) -> Result<Day, DayWrong> {
        let form = || DayWrong::Form(text.chars().take(40).collect());
        let parts: Vec<&str> = text.split('-').collect();
        let [year, month, day] = parts.as_slice() else { return Err(form()) };
        if year.len() != 4 || month.len() != 2 || day.len() != 2 {
            return Err(form());
        }
        if !parts.iter().all(|part| part.bytes().all(|letter| letter.is_ascii_digit())) {
            return Err(form());
        }
        let number = |part: &str| part.parse::<u32>().map_err(|_| form());
        let year = i32::try_from(number(year)?).map_err(|_| form())?;
        Day::from_ymd(year, number(month)?, number(day)?)
            .ok_or_else(|| DayWrong::NoSuchDay(text.to_owned()))
    }
}

impl fmt::Display for Day {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (year, month, day) = self.ymd();
        write!(out, "{year:04}-{month:02}-{day:02}")
    }
}

impl<C> Encode<C> for Day {
    fn encode<W: encode::Write>(
        &self,
        out: &mut Encoder<W>,
        _: &mut C,
    ) -> Result<(), encode::Error<W::Error>> {
        out.i32(self.0)?.ok()
    }
}

impl<'b, C> Decode<'b, C> for Day {
    fn decode(input: &mut Decoder<'b>, _: &mut C) -> Result<Self, decode::Error> {
        let days = input.i32()?;
        if (DAY_MIN..=DAY_MAX).contains(&days) {
            Ok(Day(days))
        } else {
            Err(decode::Error::message("a day outside the years 0 to 9999"))
        }
    }
}

/// A wall-clock moment: shown, never obeyed. Seconds since 1970-01-01 UTC and the offset shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Moment {
    /// Seconds since 1970-01-01T00:00:00Z.
    pub secs: i64,
    /// Minutes that the local clock is ahead of UTC, -1,440 to 1,440.
    pub offset_min: i16,
}

impl Moment {
    /// The local day and second of the day; moments outside the years 0 to 9999 have none.
    pub fn local(self) -> Option<(Day, u32)> {
        let local = self.secs.checked_add(i64::from(self.offset_min) * 60)?;
        let day = i32::try_from(local.div_euclid(86_400)).ok()?;
        if !(DAY_MIN..=DAY_MAX).contains(&day) {
            return None;
        }
        let second = u32::try_from(local.rem_euclid(86_400)).ok()?;
        Some((Day(day), second))
    }

    /// The local day, or the first day of the calendar when the moment lies outside it.
    pub fn day(self) -> Day {
        self.local().map_or(Day(DAY_MIN), |(day, _)| day)
    }

    /// Reads `2025-10-14T10:20:00-05:00` (seconds may be left out, `Z` may stand for +00:00).
    pub fn parse(text: &str) -> Result<Moment, DayWrong> {
        let form = || DayWrong::Moment(text.chars().take(40).collect());
        let (day, rest) = text.split_once(['T', ' ']).ok_or_else(form)?;
        let day = Day::parse(day)?;
        let (clock, offset_min) = if let Some(clock) = rest.strip_suffix('Z') {
            (clock, 0)
        } else {
            let at = rest.rfind(['+', '-']).ok_or_else(form)?;
            let (clock, offset) = rest.split_at(at);
            let sign = if offset.starts_with('-') { -1 } else { 1 };
            let (hours, minutes) = offset[1..].split_once(':').ok_or_else(form)?;
            let hours = two_digits(hours, 14).ok_or_else(form)?;
            let minutes = two_digits(minutes, 59).ok_or_else(form)?;
            (clock, sign * (hours * 60 + minutes))
        };
        let mut parts = clock.split(':');
        let mut next = |most| parts.next().map(|part| two_digits(part, most).ok_or_else(form));
        let hours = next(23).ok_or_else(form)??;
        let minutes = next(59).ok_or_else(form)??;
        let seconds = next(59).transpose()?.unwrap_or(0);
        if parts.next().is_some() {
            return Err(form());
        }
        let of_day = i64::from(hours) * 3_600 + i64::from(minutes) * 60 + i64::from(seconds);
        let secs = i64::from(day.0) * 86_400 + of_day - i64::from(offset_min) * 60;
        Ok(Moment { secs, offset_min })
    }

    /// `10:20`, on the clock of the one who entered it.
    pub fn clock(self) -> String {
        let second = self.local().map_or(0, |(_, second)| second);
        format!("{:02}:{:02}", second / 3_600, second / 60 % 60)
    }
}

fn two_digits(text: &str, most: i16) -> Option<i16> {
    let digits = text.len() == 2 && text.bytes().all(|letter| letter.is_ascii_digit());
    let value: i16 = if digits { text.parse().ok()? } else { return None };
    (value <= most).then_some(value)
}

impl fmt::Display for Moment {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Some((day, second)) = self.local() else {
            return write!(out, "{} s from 1970", self.secs);
        };
        let (sign, ahead) =
            if self.offset_min < 0 { ('-', -self.offset_min) } else { ('+', self.offset_min) };
        let (hours, minutes) = (second / 3_600, second / 60 % 60);
        write!(
            out,
            "{day}T{hours:02}:{minutes:02}:{:02}{sign}{:02}:{:02}",
            second % 60,
            ahead / 60,
            ahead % 60
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_agree_with_the_calendar() {
        // Julian-day anchors: 1970-01-01 is day 0, 2000-03-01 is day 11,017 (from memory, checked by
        // counting leap years).
        for (text, days) in [
            ("1970-01-01", 0),
            ("1969-12-31", -1),
            ("2000-02-29", 11_016),
            ("2000-03-01", 11_017),
            ("2024-10-08", 20_004),
            ("9999-12-31", 2_932_896),
            ("0000-01-01", -719_528),
        ] {
            let day = Day::parse(text).unwrap();
            assert_eq!((day, day.to_string().as_str()), (Day(days), text));
        }
        for days in (-719_528..2_932_896).step_by(997) {
            let (year, month, day) = Day(days).ymd();
            assert_eq!(Day::from_ymd(year, month, day), Some(Day(days)));
        }
    }

    #[test]
    fn wrong_days_are_told_apart() {
        for text in ["2025-13-01", "2025-02-29", "2025-00-10"] {
            assert_eq!(Day::parse(text), Err(DayWrong::NoSuchDay(text.to_owned())), "{text}");
        }
        for text in ["", "14/10/2025", "2025-1-1", "20251014", "２０２５-10-14"] {
            assert!(matches!(Day::parse(text), Err(DayWrong::Form(_))), "{text}");
        }
    }

    #[test]
    fn moments_print_as_entered() {
        for text in
            ["2024-10-08T08:50:00-05:00", "2025-01-22T00:00:59+14:00", "1969-12-31T23:59:59-12:30"]
        {
            let moment = Moment::parse(text).unwrap();
            assert_eq!(moment.to_string(), text);
        }
        assert_eq!(
            Moment::parse("2025-10-14T10:20Z").unwrap().to_string(),
            "2025-10-14T10:20:00+00:00"
        );
        for text in
            ["2025-10-14", "2025-10-14T25:00Z", "2025-10-14T10:20", "2025-10-14T10:20:00:00Z", "é"]
        {
            assert!(Moment::parse(text).is_err(), "{text}");
        }
        let far = Moment { secs: i64::MAX, offset_min: 1 };
        assert!(far.to_string().contains("from 1970"));
    }

    #[test]
    fn figures_keep_their_digits() {
        let figure = Figure::new(350, 2, UnitCode(1));
        let bytes = minicbor::to_vec(figure).unwrap();
        let back: Figure = Decoder::new(&bytes).decode().unwrap();
        assert_eq!(back, figure);
        assert_eq!(figure.to_string(), "3.50 in w.c.");
        for value in [
            Measured::Figure(figure),
            Measured::OverRange(UnitCode(55)),
            Measured::NotTaken("port seized".to_owned()),
        ] {
            let bytes = minicbor::to_vec(&value).unwrap();
            let back: Measured = Decoder::new(&bytes).decode().unwrap();
            assert_eq!(back, value);
        }
    }
}
