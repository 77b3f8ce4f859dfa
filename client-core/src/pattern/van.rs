//! Parts to carry, by how often this building used them.

use std::collections::BTreeMap;

use crate::trade::stats::real;
use crate::trade::stats::special::beta_cdf;

/// A part used at a visit; likely doubles are settled before.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Used<'a> {
    /// The part.
    pub part: &'a str,
    /// The visit.
    pub visit: &'a str,
    /// How many.
    pub quantity: f64,
    /// The cause it was used for, when known.
    pub cause: Option<&'a str>,
}

/// A part to carry.
#[derive(Debug, Clone, PartialEq)]
pub struct Carry<'a> {
    /// The part.
    pub part: &'a str,
    /// Used so many in all.
    pub used: usize,
    /// At so many visits, of those on record.
    pub visits: (usize, usize),
    /// Enough for nine visits of ten like those on record.
    pub carry: usize,
    /// Causes it was used for, by name.
    pub causes: Vec<&'a str>,
}

/// Share of visits for which the parts should do. Trade judgement: coming back costs more than carrying.
const ENOUGH: f64 = 0.9;
/// Parts in a set are counted as one line when more than this are used at once. Trade judgement.
const SET: f64 = 3.0;

/// Parts by expected use, the most first. `visits` is how many visits are on record. Use at another visit is
/// gamma-Poisson; a set (six filters for one unit) counts once and is carried whole.
pub fn carry<'a>(used: &[Used<'a>], visits: usize) -> Vec<Carry<'a>> {
    let mut parts: BTreeMap<&'a str, Vec<&Used<'a>>> = BTreeMap::new();
    for line in used.iter().filter(|line| line.quantity > 0.0 && line.quantity.is_finite()) {
        parts.entry(line.part).or_default().push(line);
    }
    let mut list: Vec<Carry<'a>> =
        parts.into_iter().map(|(part, lines)| one(part, &lines, visits)).collect();
    list.sort_by(|a, b| b.carry.cmp(&a.carry).then(b.used.cmp(&a.used)).then(a.part.cmp(b.part)));
    list
}

fn one<'a>(part: &'a str, lines: &[&Used<'a>], visits: usize) -> Carry<'a> {
    let largest = lines.iter().map(|line| line.quantity).fold(0.0, f64::max);
    let set = if largest > SET { largest } else { 1.0 };
    let events: f64 = lines.iter().map(|line| (line.quantity / set).ceil()).sum();
    let mut at: Vec<&str> = lines.iter().map(|line| line.visit).collect();
    at.sort_unstable();
    at.dedup();
    let mut causes: Vec<&'a str> = lines.iter().filter_map(|line| line.cause).collect();
    causes.sort_unstable();
    causes.dedup();
    Carry {
        part,
        used: whole(lines.iter().map(|line| line.quantity).sum()),
        visits: (at.len(), visits.max(at.len())),
        carry: whole(real(enough(events, real(visits.max(at.len())))) * set),
        causes,
    }
}

/// A part to carry, in words: "2 flame rod: used 8 at 3 of 3 visits, for flame rod coated". `cause` says a
/// cause.
pub fn say(own: &Carry<'_>, cause: &dyn Fn(&str) -> String) -> String {
    let causes: Vec<String> = own.causes.iter().map(|key| cause(key)).collect();
    let causes =
        if causes.is_empty() { String::new() } else { format!(", for {}", causes.join("; ")) };
    let (at, visits) = own.visits;
    format!("{} {}: used {} at {at} of {visits} visits{causes}", own.carry, own.part, own.used)
}

/// The least number that is enough for nine visits of ten, at least 1 for a part that was ever used.
fn enough(events: f64, visits: f64) -> usize {
    // A gamma-Poisson count at one more visit is negative binomial; its sums are incomplete beta functions.
    // Parts never used are not on the list, so no half event is added for them.
    let (shape, stay) = (events, visits / (visits + 1.0));
    (1..100).find(|carried| beta_cdf(shape, real(*carried) + 1.0, stay) >= ENOUGH).unwrap_or(100)
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "quantities of parts are small and not negative"
)]
fn whole(quantity: f64) -> usize {
    quantity.ceil().max(0.0) as usize
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The demo hall's part lines, the double flame rod already settled as one.
    #[test]
    fn parts_of_the_demo_hall() {
        let used =
            |part, visit, quantity, cause| Used { part, visit, quantity, cause: Some(cause) };
        let lines = [
            used("flame rod", "V-1", 1.0, "rod_dirty"),
            used("intake filter set", "V-1", 6.0, "air_prove"),
            used("filter", "V-1", 4.0, "airflow_block"),
            used("flame rod", "V-2", 1.0, "rod_dirty"),
            used("pressure hose, 3 ft", "V-2", 1.0, "ps_hose"),
            used("hot surface igniter", "V-2", 1.0, "hsi_open"),
            used("modulating actuator", "V-3", 1.0, "mod_valve"),
        ];
        let list = carry(&lines, 3);
        let rod = list.iter().find(|line| line.part == "flame rod").unwrap();
        assert_eq!((rod.used, rod.visits, rod.carry), (2, (2, 3), 2));
        assert_eq!(rod.causes, ["rod_dirty"]);
        let said = say(rod, &|key| key.replace('_', " "));
        assert_eq!(said, "2 flame rod: used 2 at 2 of 3 visits, for rod dirty");
        let filters = list.iter().find(|line| line.part == "intake filter set").unwrap();
        assert_eq!((filters.used, filters.carry), (6, 6));
        let hose = list.iter().find(|line| line.part.starts_with("pressure hose")).unwrap();
        assert_eq!(hose.carry, 1);
    }

    /// Reference: scipy 1.17.1 `nbinom.ppf(0.9, k, n / (n + 1))`.
    #[test]
    fn enough_for_nine_visits_of_ten() {
        for (events, visits, wanted) in
            [(2.0, 3.0, 2), (10.0, 3.0, 6), (1.0, 3.0, 1), (40.0, 10.0, 7)]
        {
            assert_eq!(enough(events, visits), wanted, "{events} in {visits}");
        }
    }

    #[test]
    fn nonsense_quantities_are_left_out() {
        let line = |quantity| Used { part: "x", visit: "V", quantity, cause: None };
        assert!(carry(&[line(0.0), line(-1.0), line(f64::NAN)], 3).is_empty());
        assert!(carry(&[], 0).is_empty());
    }
}
