//! How counts and chances are said to people who do not do statistics.
//!
//! Counts before percentages, always with the denominator; ranges as "between about A and B"; one fixed list
//! of words; no decimal that the data cannot carry. That frequencies with small denominators are understood
//! better than bare percentages is a finding of public risk-communication research.

use super::proportion::Count;
use super::{Interval, Level};

/// The fixed word for a share: few (under 1 in 5), some (to 1 in 2), most (over 1 in 2), nearly all
/// (9 in 10 and more).
pub fn word(share: f64) -> &'static str {
    if share < 0.2 {
        "few"
    } else if share <= 0.5 {
        "some"
    } else if share < 0.9 {
        "most"
    } else {
        "nearly all"
    }
}

/// "4 of 14".
pub fn of(count: Count) -> String {
    format!("{} of {}", count.hits(), count.total())
}

/// A chance as a frequency with a small denominator: "about 3 in 10", "about 1 in 7", "under 1 in 100".
pub fn about(chance: f64) -> String {
    let (words, number) = about_with(chance);
    words.replace("{}", &number)
}

/// The same as words with one gap, or none, and what fills it.
pub fn about_with(chance: f64) -> (&'static str, String) {
    if !(0.0..=1.0).contains(&chance) {
        return ("not known", String::new());
    }
    if chance < 0.01 {
        return ("under 1 in 100", String::new());
    }
    if chance > 0.99 {
        return ("over 99 in 100", String::new());
    }
    if chance > 0.95 {
        return ("about {} in 100", format!("{:.0}", chance * 100.0));
    }
    if chance < 0.25 {
        let each = 1.0 / chance;
        let each = if each > 20.0 { (each / 10.0).round() * 10.0 } else { each };
        return ("about 1 in {}", format!("{each:.0}"));
    }
    ("about {} in 10", format!("{:.0}", chance * 10.0))
}

/// The count with its range in words: "4 of 14 (between about 1 in 9 and 5 in 10)", or for no finding
/// "none of 14; even so the true share could be up to about 1 in 5".
pub fn count_with_range(count: Count) -> String {
    if let Some(bound) = count.rule_of_three() {
        return format!(
            "none of {}; even so the true share could be up to {}",
            count.total(),
            about(bound)
        );
    }
    let range = count.wilson(Level::P95);
    let high = about(range.high);
    let high = high.strip_prefix("about ").unwrap_or(&high);
    format!("{} (between {} and {})", of(count), about(range.low), high)
}

/// "between about 1 and 9": whole numbers, for counts expected in another such period.
pub fn between_whole(range: Interval) -> String {
    format!("between about {:.0} and {:.0}", range.low.max(0.0), range.high)
}

/// Shares as dots, ten in all, that never hide a candidate by rounding twice: the largest remainders get
/// the dots left over, ties to the earlier one. Shares need not sum to 1; an empty list gives no dots.
pub fn ten_dots(shares: &[f64]) -> Vec<u8> {
    let total: f64 = shares.iter().filter(|share| share.is_finite() && **share > 0.0).sum();
    if total <= 0.0 {
        return vec![0; shares.len()];
    }
    let exact: Vec<f64> = shares
        .iter()
        .map(|share| if share.is_finite() { share.max(0.0) / total * 10.0 } else { 0.0 })
        .collect();
    let mut dots: Vec<u8> = exact.iter().map(|share| floor_dot(*share)).collect();
    let mut order: Vec<usize> = (0..exact.len()).collect();
    order.sort_by(|&a, &b| {
        let rest = |i: usize| exact[i] - f64::from(dots[i]);
        rest(b).total_cmp(&rest(a)).then(a.cmp(&b))
    });
    let given: u8 = dots.iter().sum();
    for &index in order.iter().take(usize::from(10_u8.saturating_sub(given))) {
        dots[index] += 1;
    }
    dots
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a share of ten lies between 0 and 10"
)]
fn floor_dot(share: f64) -> u8 {
    // A whole dot that arithmetic left one part in 1e12 short is still a whole dot.
    (share + 1e-12).floor().clamp(0.0, 10.0) as u8
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_are_said_as_counts() {
        assert_eq!(about(0.143), "about 1 in 7");
        assert_eq!(about(0.62), "about 6 in 10");
        assert_eq!(about(0.005), "under 1 in 100");
        assert_eq!(about(0.998), "over 99 in 100");
        assert_eq!(about(0.97), "about 97 in 100");
        assert_eq!(about(f64::NAN), "not known");
        let count = Count::new(4, 14).unwrap();
        assert_eq!(count_with_range(count), "4 of 14 (between about 1 in 9 and 5 in 10)");
        let none = Count::new(0, 14).unwrap();
        assert_eq!(
            count_with_range(none),
            "none of 14; even so the true share could be up to about 1 in 5"
        );
    }

    #[test]
    fn words_follow_the_fixed_list() {
        for (share, wanted) in [
            (0.0, "few"),
            (0.19, "few"),
            (0.2, "some"),
            (0.5, "some"),
            (0.51, "most"),
            (0.9, "nearly all"),
        ] {
            assert_eq!(word(share), wanted, "{share}");
        }
    }

    #[test]
    fn there_are_always_ten_dots() {
        assert_eq!(ten_dots(&[0.491, 0.1743, 0.1121, 0.2226]), [5, 2, 1, 2]);
        assert_eq!(ten_dots(&[1.0 / 3.0; 3]), [4, 3, 3]);
        assert_eq!(ten_dots(&[0.05; 20]).iter().sum::<u8>(), 10);
        assert_eq!(ten_dots(&[]), [] as [u8; 0]);
        assert_eq!(ten_dots(&[0.0, 0.0]), [0, 0]);
    }

    #[test]
    fn a_range_of_counts_is_said_in_whole_numbers() {
        assert_eq!(between_whole(Interval { low: 0.62, high: 8.77 }), "between about 1 and 9");
        assert_eq!(between_whole(Interval { low: 0.0, high: 3.69 }), "between about 0 and 4");
    }
}
