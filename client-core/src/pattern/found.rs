//! How many units a visit found outside limits, and how complete its record is.

use crate::record::code::Phase;
use crate::record::derived::block::{Block, block};
use crate::record::file::VisitFile;
use crate::trade::stats::proportion::Count;
use crate::trade::stats::words::count_with_range;

/// One unit at one visit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AsFound {
    /// Tested, all within the limits entered.
    Within,
    /// Tested, at least one outside.
    Outside,
    /// Tested, but there was no limit or baseline to compare with.
    NoFigure,
    /// Not tested.
    NotTested,
}

/// Units of a visit as they were found, by the verdicts beside their readings. One that was merged into
/// another hangs nowhere and is left out.
pub fn of_visit(file: &VisitFile<'_>) -> Vec<AsFound> {
    let standing = file.units.iter().filter(|unit| unit.field("unit/merged_into").is_none());
    standing.map(|unit| of_block(&block(file, unit, Phase::AsFound))).collect()
}

fn of_block(block: &Block) -> AsFound {
    let any = |labels: &[&str]| block.verdicts.iter().any(|own| labels.contains(&own.label));
    if any(&["outside"]) {
        AsFound::Outside
    } else if any(&["within", "too close to call"]) {
        AsFound::Within
    } else if block.verdicts.is_empty() && block.figures.is_empty() {
        AsFound::NotTested
    } else {
        AsFound::NoFigure
    }
}

/// A visit's count: missing data is neither a pass nor a failure.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Found {
    /// Units outside, of the units that could be judged; `None` when none could.
    pub outside: Option<Count>,
    /// Tested without a figure to compare with.
    pub no_figure: usize,
    /// Not tested.
    pub not_tested: usize,
}

/// Counts a visit's units.
pub fn found(units: &[AsFound]) -> Found {
    let of = |wanted: AsFound| units.iter().filter(|unit| **unit == wanted).count();
    let (within, outside) = (of(AsFound::Within), of(AsFound::Outside));
    Found {
        outside: Count::new(outside, within + outside).ok(),
        no_figure: of(AsFound::NoFigure),
        not_tested: of(AsFound::NotTested),
    }
}

/// As-left blocks with every point taken, of all as-left blocks: the quality of the record itself. Each block
/// is given as points taken and points wanted. `None` without a block.
pub fn complete(blocks: &[(usize, usize)]) -> Option<Count> {
    let whole = blocks.iter().filter(|(taken, wanted)| taken >= wanted).count();
    Count::new(whole, blocks.len()).ok()
}

/// "4 of 14 found outside limits; 1 not tested".
pub fn say(found: &Found) -> String {
    let mut parts = vec![match found.outside {
        None => "no unit could be judged".to_owned(),
        Some(count) if count.hits() == 0 => {
            format!("found outside limits: {}", count_with_range(count))
        }
        Some(count) => format!("{} of {} found outside limits", count.hits(), count.total()),
    }];
    if found.no_figure > 0 {
        parts.push(format!("{} without a figure to compare with", found.no_figure));
    }
    if found.not_tested > 0 {
        parts.push(format!("{} not tested", found.not_tested));
    }
    parts.join("; ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_not_tested_is_no_pass() {
        let mut units = vec![AsFound::Outside; 4];
        units.extend([AsFound::Within; 10]);
        assert_eq!(say(&found(&units)), "4 of 14 found outside limits");
        units.extend([AsFound::NotTested, AsFound::NoFigure]);
        assert_eq!(
            say(&found(&units)),
            "4 of 14 found outside limits; 1 without a figure to compare with; 1 not tested"
        );
        assert_eq!(say(&found(&[AsFound::NotTested])), "no unit could be judged; 1 not tested");
        let blocks = complete(&[(9, 9), (7, 9), (9, 9)]).unwrap();
        assert_eq!((blocks.hits(), blocks.total()), (2, 3));
        assert_eq!(complete(&[]), None);
        assert!(say(&found(&[AsFound::Within; 14])).contains("none of 14; even so"));
    }
}
