//! Building lines of a fixed width.

use super::COLUMNS;
use crate::figures::{FigureLine, Value};
use crate::text::{Span, Text};
use crate::tongue::Tongue;
use client_core::record::code::TargetSource;
use client_core::record::derived::block::{Judged, Judgement, LimitFrom};
use client_core::record::value::{Day, Measured};
use client_core::trade::quantity::Amount;
use client_core::trade::unit::Unit;
use client_core::trade::verdict::Limit;

/// How many characters a text takes.
pub(super) fn width(text: &Text) -> usize {
    text.joined().chars().count()
}

/// The text cut to so many characters; a point stands where it was cut.
pub(super) fn cut(text: Text, most: usize) -> Text {
    if width(&text) <= most {
        return text;
    }
    if most == 0 {
        return Text(vec![]);
    }
    let mut left = most.saturating_sub(1);
    let mut spans = vec![];
    for span in text.0 {
        let letters: String = span.letters().chars().take(left).collect();
        left -= letters.chars().count();
        if !letters.is_empty() {
            spans.push(match span {
                Span::Words(_) => Span::Words(letters),
                Span::Strong(_) => Span::Strong(letters),
                Span::Name(_) => Span::Name(letters),
                Span::Typed(_) => Span::Typed(letters),
            });
        }
    }
    Text(spans).and(Text::words("."))
}

/// The text cut behind a word, where a word ends in its second half; half a word tells less than none.
pub(super) fn cut_words(text: Text, most: usize) -> Text {
    if width(&text) <= most {
        return text;
    }
    let letters: Vec<char> = text.joined().chars().collect();
    let blank = |at: &usize| letters[*at] == ' ';
    let mut end = (most / 2..most).rev().find(blank);
    // A short last word is one that leads on: and, of, to.
    while let Some(at) = end {
        let before = (most / 2..at).rev().find(blank);
        match before {
            Some(before) if at - before <= 4 => end = Some(before),
            _ => break,
        }
    }
    let Some(mut end) = end else { return cut(text, most) };
    while end > 0 && matches!(letters[end - 1], ' ' | ',' | ';' | ':' | '.') {
        end -= 1;
    }
    cut(text, end + 1)
}

/// A text to the left and one to the right edge. The right one is never cut.
pub(super) fn ends(left: Text, right: Text) -> Text {
    let right = cut(right, COLUMNS);
    let room = COLUMNS.saturating_sub(width(&right) + 1);
    let left = cut(left, room);
    let blanks = COLUMNS - width(&left) - width(&right);
    left.and(Text::words(" ".repeat(blanks))).and(right)
}

/// Words of two lines, broken at blanks, the second one cut.
pub(super) fn two_lines(text: &Text) -> Vec<Text> {
    let whole = text.joined();
    let typed = matches!(text.0.first(), Some(Span::Typed(_)));
    let make = |letters: &str| match typed {
        true => Text::typed(letters),
        false => Text::words(letters),
    };
    if whole.chars().count() <= COLUMNS {
        return vec![make(&whole)];
    }
    let mut first = String::new();
    let mut rest: Vec<&str> = vec![];
    for word in whole.split(' ') {
        let fits = first.chars().count() + word.chars().count() < COLUMNS;
        if rest.is_empty() && (fits || first.is_empty()) {
            if !first.is_empty() {
                first.push(' ');
            }
            first.push_str(word);
        } else {
            rest.push(word);
        }
    }
    vec![cut(make(&first), COLUMNS), cut(make(&rest.join(" ")), COLUMNS)]
}

/// A day in nine characters: 14OCT2025.
pub(super) fn day(tongue: Tongue, day: Day) -> String {
    let (year, month, of_month) = day.ymd();
    format!("{of_month:02}{}{year}", tongue.plain(&format!("slip_month-{month}")))
}

/// A name's first letters.
pub(super) fn initials(name: &str) -> String {
    name.split(' ').filter_map(|part| part.chars().next()).collect()
}

/// Widths of name, found, left and limit.
const NAME: usize = 9;
const VALUE: usize = 7;
const LIMIT: usize = 9;

/// A line of the small table.
pub(super) fn figure(tongue: Tongue, line: &FigureLine<'_>) -> Text {
    let name = tongue.plain(&format!("slip_figure-{}", line.key));
    let unit = unit_of(tongue, line).map(|unit| tongue.plain(&format!("slip_unit-{}", unit.key())));
    let name = match unit
        .filter(|unit| tongue.knows(&format!("slip_with_unit-{}", line.key)) && !unit.is_empty())
    {
        Some(unit) => format!("{name} {unit}"),
        None => name,
    };
    let (limit, _) = limit(tongue, line.judged.map(|(_, judged)| judged));
    table_line(&name, &value(tongue, line.found), &value(tongue, line.left), &limit)
}

/// Four cells of a line: a name to the left, three figures to the right edge of their cells.
pub(super) fn table_line(name: &str, found: &str, left: &str, limit: &str) -> Text {
    let name: String = name.chars().take(NAME).collect();
    Text::words(format!("{name:<NAME$}{found:>VALUE$}{left:>VALUE$}{limit:>LIMIT$}"))
}

/// The unit in which a line is shown.
fn unit_of(tongue: Tongue, line: &FigureLine<'_>) -> Option<Unit> {
    [line.left, line.found].into_iter().flatten().find_map(|value| match value {
        Value::Worked(amount) => Some(tongue.system.unit_for(amount.unit)),
        Value::Read(reading) => match reading.value {
            Measured::Figure(figure) => tongue.shown_unit(figure.unit),
            _ => None,
        },
    })
}

fn plain_minus(digits: &str) -> String {
    digits.replace('\u{2212}', "-").replace('\u{a0}', "")
}

/// A value in seven characters. One that is longer is not shortened: it points to the record.
fn value(tongue: Tongue, value: Option<Value<'_>>) -> String {
    let digits = match value {
        None => return tongue.plain("slip-not_tested"),
        Some(Value::Worked(amount)) => tongue.amount_digits(amount),
        Some(Value::Read(reading)) => match &reading.value {
            Measured::Figure(figure) => tongue.digits(*figure).0,
            Measured::OverRange(_) => return tongue.plain("slip-over_range"),
            Measured::NotTaken(_) => return tongue.plain("slip-not_taken"),
        },
    };
    let digits = plain_minus(&digits);
    if digits.chars().count() < VALUE { digits } else { tongue.plain("slip-see_record") }
}

/// A limit with the letter of its source in nine characters, and the letter.
pub(super) fn limit(tongue: Tongue, judged: Option<&Judged>) -> (String, Option<char>) {
    match judged.map(|judged| &judged.judgement) {
        None | Some(Judgement::NoTarget) => (tongue.plain("slip-no_limit"), None),
        Some(Judgement::CarbonMonoxide(_)) => ("<400A".to_owned(), Some('A')),
        Some(Judgement::Against { limit, from, .. }) => {
            let letter = letter(from);
            let texts = limit_texts(tongue, limit, from);
            let fits = texts.into_iter().find(|text| text.chars().count() < LIMIT);
            let text = fits.unwrap_or_else(|| tongue.plain("slip-see_record"));
            (format!("{text}{letter}"), Some(letter))
        }
    }
}

/// The limit from the fullest form to the shortest.
fn limit_texts(tongue: Tongue, limit: &Limit, from: &LimitFrom) -> Vec<String> {
    let digits = |amount: Amount| short(tongue, amount);
    let mut texts = match (limit.low, limit.high) {
        (Some(low), Some(high)) if low == high => vec![digits(low)],
        (Some(low), Some(high)) => vec![format!("{}-{}", digits(low), digits(high))],
        (Some(low), None) => vec![format!(">{}", digits(low))],
        (None, Some(high)) => vec![format!("<{}", digits(high))],
        (None, None) => vec![],
    };
    if let LimitFrom::PlateBand(plate) = from {
        texts.push(digits(*plate));
    }
    texts
}

/// Digits without zeros at the end that say nothing here.
fn short(tongue: Tongue, amount: Amount) -> String {
    let digits = plain_minus(&tongue.amount_digits(amount));
    match digits.contains(['.', ',']) {
        true => digits.trim_end_matches('0').trim_end_matches(['.', ',']).to_owned(),
        false => digits,
    }
}

const fn letter(from: &LimitFrom) -> char {
    match from {
        LimitFrom::PlateBand(_)
        | LimitFrom::Plate
        | LimitFrom::ValveOrPlate
        | LimitFrom::PlateOrControl => 'P',
        LimitFrom::SwitchSetpoint => 'S',
        LimitFrom::Target(source, _) => match source {
            TargetSource::Plate => 'P',
            TargetSource::Firm => 'F',
            TargetSource::Baseline => 'B',
            _ => 'M',
        },
    }
}

/// As many of these lines as fit, and whose letters can all be explained on one line: a limit is never
/// without its source.
pub(super) fn fitting(
    tongue: Tongue,
    mut lines: Vec<FigureLine<'_>>,
    room: usize,
) -> Vec<FigureLine<'_>> {
    lines.truncate(room);
    while width(&legend(tongue, &lines)) > COLUMNS {
        lines.pop();
    }
    lines
}

/// What the letters on a slip stand for; only those that were used.
pub(super) fn legend(tongue: Tongue, lines: &[FigureLine<'_>]) -> Text {
    let mut letters: Vec<char> = vec![];
    for line in lines {
        if let (_, Some(letter)) = limit(tongue, line.judged.map(|(_, judged)| judged))
            && !letters.contains(&letter)
        {
            letters.push(letter);
        }
    }
    letters.sort_unstable();
    let words = letters.iter().map(|letter| {
        let key = format!("slip_source-{}", letter.to_ascii_lowercase());
        format!("{letter} {}", tongue.plain(&key))
    });
    Text::words(words.collect::<Vec<_>>().join(" "))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_are_as_wide_as_the_paper() {
        let line =
            ends(Text::typed("a very long area name that has no end"), Text::words("14OCT2025"));
        assert_eq!(width(&line), COLUMNS);
        assert!(line.joined().ends_with(". 14OCT2025"), "{}", line.joined());
        assert_eq!(width(&table_line("MANIFOLD", "3.51", "3.49", "3.5P")), COLUMNS);
        for line in two_lines(&Text::typed(
            "suspected heat exchanger breach and raised room CO at the seam below the fan",
        )) {
            assert!(width(&line) <= COLUMNS);
        }
        let long = "x".repeat(80);
        assert!(two_lines(&Text::typed(&long)).iter().all(|line| width(line) <= COLUMNS));
    }

    #[test]
    fn words_are_not_halved_where_a_word_can_end() {
        let cut = |text: &str, most| cut_words(Text::typed(text), most).joined();
        assert_eq!(cut("DID rod, venturi and wheel washed", 27), "DID rod, venturi and wheel.");
        assert_eq!(cut("DID rod, venturi and wheel washed", 25), "DID rod, venturi.");
        assert_eq!(cut("gas cock, closed and tagged", 24), "gas cock, closed.");
        assert_eq!(cut("xxxxxxxxxxxxxxxxxxxxxxxx", 10), "xxxxxxxxx.");
        assert_eq!(cut("short", 10), "short");
    }

    #[test]
    fn initials_are_letters_of_the_name() {
        assert_eq!(initials("Dov Kestering"), "DK");
        assert_eq!(initials(""), "");
    }
}
