//! Units that are alike: same model, same input, about the same age. What differs between twins is the air,
//! the wall, or the work done.

/// What makes a unit like another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Card<'a> {
    /// Its tag.
    pub unit: &'a str,
    /// Maker and model, or kind and family where the plate gives none.
    pub model: &'a str,
    /// Input on the plate, MBH.
    pub input_mbh: f64,
    /// Year of installation, when known.
    pub year: Option<i32>,
    /// Its area.
    pub area: &'a str,
    /// What the area's air carries; empty is "none seen".
    pub air: &'a [&'a str],
}

/// Years between twins at most. Trade judgement.
const YEARS_APART: i32 = 3;

/// Two units that are alike.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Twins<'a> {
    /// The first by tag.
    pub first: Card<'a>,
    /// The second by tag.
    pub second: Card<'a>,
    /// They hang in the same area.
    pub same_area: bool,
    /// Their air carries the same.
    pub same_air: bool,
}

/// Every pair of twins, by tags.
pub fn twins<'a>(cards: &[Card<'a>]) -> Vec<Twins<'a>> {
    let mut sorted = cards.to_vec();
    sorted.sort_by_key(|card| card.unit);
    let mut pairs = Vec::new();
    for (place, first) in sorted.iter().enumerate() {
        let later = sorted[place + 1..].iter().filter(|second| alike(first, second));
        pairs.extend(later.map(|second| Twins {
            first: *first,
            second: *second,
            same_area: first.area == second.area,
            same_air: same_air(first.air, second.air),
        }));
    }
    pairs
}

fn alike(a: &Card<'_>, b: &Card<'_>) -> bool {
    let ages = match (a.year, b.year) {
        (Some(a), Some(b)) => (a - b).abs() <= YEARS_APART,
        // An unknown year does not make strangers of two units of one model.
        _ => true,
    };
    a.unit != b.unit && a.model == b.model && (a.input_mbh - b.input_mbh).abs() < 0.5 && ages
}

fn same_air(a: &[&str], b: &[&str]) -> bool {
    a.len() == b.len() && a.iter().all(|carried| b.contains(carried))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The demo hall: two heaters alike in the salt room, two in the clean dock hall.
    #[test]
    fn twins_are_found_with_their_air() {
        let card = |unit, model, input_mbh, area, air| Card {
            unit,
            model,
            input_mbh,
            year: None,
            area,
            air,
        };
        let cards = [
            card("UH-06", "power-vented dsi", 175.0, "A3", &["salt", "moisture"]),
            card("UH-05", "power-vented dsi", 175.0, "A3", &["moisture", "salt"]),
            card("UH-08B", "power-vented dsi", 125.0, "A5", &["battery gas"]),
            card("UH-01", "power-vented isp", 200.0, "A1", &[]),
            card("UH-02", "power-vented isp", 200.0, "A1", &[]),
        ];
        let pairs: Vec<(&str, &str, bool, bool)> = twins(&cards)
            .iter()
            .map(|pair| (pair.first.unit, pair.second.unit, pair.same_area, pair.same_air))
            .collect();
        assert_eq!(pairs, [("UH-01", "UH-02", true, true), ("UH-05", "UH-06", true, true)]);
    }

    #[test]
    fn ten_years_apart_are_no_twins() {
        let card = |unit, year| Card {
            unit,
            model: "m",
            input_mbh: 100.0,
            year: Some(year),
            area: "A",
            air: &[],
        };
        assert!(twins(&[card("a", 2010), card("b", 2020)]).is_empty());
        assert_eq!(twins(&[card("a", 2018), card("b", 2020)]).len(), 1);
    }
}
