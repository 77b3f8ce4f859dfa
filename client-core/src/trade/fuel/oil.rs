//! Heating oil by its elements.

use crate::trade::fuel::component::Atoms;
use crate::trade::impossible::{Impossible, Range};
use crate::trade::quantity::{Amount, Ratio, SpecificEnergy};
use crate::trade::unit::Unit;

/// Mass shares of the elements and the heating value of an oil.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OilAnalysis {
    /// Carbon by mass.
    pub carbon: Ratio,
    /// Hydrogen by mass.
    pub hydrogen: Ratio,
    /// Sulphur by mass.
    pub sulphur: Ratio,
    /// Gross heating value at 60 F.
    pub gross: SpecificEnergy,
}

/// Gross heating values that liquid fuels have.
const GROSS: Range = Range {
    what: "heating value of the oil",
    low: 20_000.0,
    high: 60_000.0,
    unit: Unit::KjKg,
    hint: "distillate oil is near 45,500 kJ/kg or 19,560 Btu/lb",
};
/// Atomic masses, g/mol. Source: IUPAC 2009 short values, as used for the F-factors.
const CARBON: f64 = 12.011;
const HYDROGEN: f64 = 1.00794;
const SULPHUR: f64 = 32.065;

impl OilAnalysis {
    pub(crate) fn check(&self) -> Result<(), Impossible> {
        GROSS.check(self.gross)?;
        let shares = [self.carbon, self.hydrogen, self.sulphur].map(Ratio::ratio);
        let sum: f64 = shares.iter().sum();
        let whole = shares.iter().all(|share| *share >= 0.0) && (0.9..=1.001).contains(&sum);
        if whole {
            Ok(())
        } else {
            Err(Impossible::MixNotWhole { sum: Amount::new(100.0 * sum, Unit::Pct) })
        }
    }

    /// Atoms in a kilogram.
    pub(crate) fn atoms(&self) -> Atoms {
        Atoms {
            carbon: 1000.0 * self.carbon.ratio() / CARBON,
            hydrogen: 1000.0 * self.hydrogen.ratio() / HYDROGEN,
            sulphur: 1000.0 * self.sulphur.ratio() / SULPHUR,
            ..Atoms::default()
        }
    }

    /// Heat capacity of the liquid, kJ/(kg K). Source: common practice for distillate oil.
    pub(crate) const HEAT_CAPACITY_KJ: f64 = 1.9;
}
