//! The wrong kit for the gas, from what the readings say together.
//!
//! A heater with the orifices and spring of another gas burns at another input, and a fan that moves
//! the same air then thins the flue gas more. Efficiency does not show it.

use crate::trade::gas::{BurnerGas, INPUT_RANGE, MANIFOLD_RANGE};
use crate::trade::impossible::{Impossible, Range};
use crate::trade::quantity::{Concentration, GaugePressure, HeatRate, Quantity, Ratio};
use crate::trade::unit::Unit;
use crate::trade::worked::{Formula, Sheet, Worked};

/// Formula of the kit check.
pub const KIT: Formula = Formula {
    id: "gas.kit_check",
    version: 1,
    name: "does the kit fit the gas",
    expression: "input = plate x W gas / W kit x sqrt(manifold / kit's manifold); air stays as set",
    source: "orifice law; the weights of the fit are our setting",
    range: "fan-forced burners; clocked input or O2 known",
    function: "gas::kit::KitCheck::solve",
    test: "kit_check_names_the_other_kit",
};

/// For which gas a set of orifices and spring is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kit {
    /// Natural gas.
    Natural,
    /// LP gas.
    Propane,
}

impl Kit {
    /// Name in words of the trade.
    pub const fn name(self) -> &'static str {
        match self {
            Kit::Natural => "natural gas",
            Kit::Propane => "LP gas",
        }
    }

    const fn gas(self) -> BurnerGas {
        match self {
            Kit::Natural => BurnerGas::NATURAL,
            Kit::Propane => BurnerGas::PROPANE,
        }
    }
}

/// What is known of a heater that may hold another kit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KitCheck {
    /// Gas that comes to it.
    pub supplied: Kit,
    /// Input of the plate.
    pub plate_input: HeatRate,
    /// Manifold of a natural-gas kit. 3.5 in w.c. where the plate says nothing.
    pub natural_manifold: GaugePressure,
    /// Manifold of an LP kit. 10 in w.c. where the plate says nothing.
    pub propane_manifold: GaugePressure,
    /// Manifold measured.
    pub manifold: GaugePressure,
    /// Input by the clock.
    pub clocked: Option<HeatRate>,
    /// Oxygen measured.
    pub o2: Option<Concentration>,
    /// Oxygen when it was last proved right; about 8.5 % where nobody knows.
    pub o2_right: Option<Concentration>,
}

/// How well one kit fits.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KitFit {
    /// Which kit.
    pub kit: Kit,
    /// Input that it would make at the manifold measured.
    pub input: HeatRate,
    /// Oxygen that it would make.
    pub o2: Concentration,
    /// Squared distance of the readings from it, in their own doubt.
    pub misfit: Ratio,
}

/// What the readings suggest.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum KitAnswer {
    /// The kit of the gas supplied.
    Supplied,
    /// The kit of the other gas.
    Other(Kit),
    /// Neither fits, or both do.
    Unclear,
}

/// Both fits and the answer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KitChecked {
    /// The kit of the gas supplied.
    pub own: KitFit,
    /// The other kit.
    pub other: KitFit,
    /// What they suggest.
    pub answer: KitAnswer,
}

/// Oxygen of a power-vented heater where no baseline is known. Source: common practice, 7 to 10 %.
const O2_USUAL: f64 = 8.5;
/// Doubt of a clocked input against its plate, of its own size (our setting).
const INPUT_DOUBT: f64 = 0.06;

impl KitCheck {
    /// Compares both kits with the readings.
    pub fn solve(&self) -> Result<KitChecked, Impossible> {
        const O2: Range = Range {
            what: "flue o2",
            low: 0.0,
            high: 20.8,
            unit: Unit::Pct,
            hint: "zero the instrument in fresh air",
        };
        INPUT_RANGE.check(self.plate_input)?;
        for pressure in [self.natural_manifold, self.propane_manifold, self.manifold] {
            MANIFOLD_RANGE.check(pressure)?;
        }
        for o2 in [self.o2, self.o2_right].into_iter().flatten() {
            O2.check(o2)?;
        }
        if let Some(clocked) = self.clocked {
            INPUT_RANGE.check(clocked)?;
        }
        if self.clocked.is_none() && self.o2.is_none() {
            return Err(Impossible::TooFew { what: "the kit check", need: 1, got: 0 });
        }
        let other = match self.supplied {
            Kit::Natural => Kit::Propane,
            Kit::Propane => Kit::Natural,
        };
        let (own, other) = (self.fit(self.supplied), self.fit(other));
        let fits = |fit: &KitFit| fit.misfit.ratio() < 6.0;
        let answer = match (fits(&own), fits(&other)) {
            (true, false) => KitAnswer::Supplied,
            (false, true) => KitAnswer::Other(other.kit),
            _ => KitAnswer::Unclear,
        };
        Ok(KitChecked { own, other, answer })
    }

    fn fit(&self, kit: Kit) -> KitFit {
        let wobbe =
            |gas: BurnerGas| gas.heating_value.btu_per_cubic_foot() / gas.gravity.ratio().sqrt();
        let made_at = match kit {
            Kit::Natural => self.natural_manifold,
            Kit::Propane => self.propane_manifold,
        };
        let pressure = (self.manifold.pascals() / made_at.pascals().max(1e-9)).max(0.0).sqrt();
        let factor = wobbe(self.supplied.gas()) / wobbe(kit.gas()) * pressure;
        let input = self.plate_input * Ratio::from_ratio(factor);
        // The air stays; what burns of it follows the input. Both gases need alike air per heat.
        let right = self.o2_right.map_or(O2_USUAL, Concentration::percent);
        let o2 = (20.94 - (20.94 - right) * factor).clamp(0.0, 20.94);
        let doubt = if self.o2_right.is_some() { 1.0 } else { 2.0 };
        let mut misfit = 0.0;
        if let Some(clocked) = self.clocked {
            misfit += ((clocked.watts() / input.watts().max(1e-9) - 1.0) / INPUT_DOUBT).powi(2);
        }
        if let Some(read) = self.o2 {
            misfit += ((read.percent() - o2) / doubt).powi(2);
        }
        KitFit {
            kit,
            input,
            o2: Concentration::from_percent(o2),
            misfit: Ratio::from_ratio(misfit.min(1e6)),
        }
    }

    /// Compares both kits, with the sheet.
    pub fn worked(&self) -> Result<Worked<KitChecked>, Impossible> {
        let value = self.solve()?;
        let mut sheet = Sheet::new(&KIT)
            .input("plate_input", "plate input", self.plate_input, Unit::BtuH)
            .input("manifold", "manifold measured", self.manifold, Unit::InWc);
        if let Some(clocked) = self.clocked {
            sheet = sheet.input("clocked", "clocked input", clocked, Unit::BtuH);
        }
        if let Some(o2) = self.o2 {
            sheet = sheet.input("o2", "flue O2, dry", o2, Unit::Pct);
        }
        let words = match value.answer {
            KitAnswer::Supplied => {
                format!(
                    "the readings suggest the kit of the gas supplied, {}",
                    self.supplied.name()
                )
            }
            KitAnswer::Other(kit) => format!(
                "the readings suggest the kit for {} on {}: shut down, look at orifices, spring and \
                 label, ask the maker for the listed kit",
                kit.name(),
                self.supplied.name()
            ),
            KitAnswer::Unclear => {
                "the readings fit neither kit alone: look at orifices, spring and label".to_owned()
            }
        };
        let sheet = sheet
            .result("own_input", "input if the kit fits", value.own.input, Unit::BtuH)
            .result("own_o2", "O2 if the kit fits", value.own.o2, Unit::Pct)
            .result("other_input", "input with the other kit", value.other.input, Unit::BtuH)
            .result("other_o2", "O2 with the other kit", value.other.o2, Unit::Pct)
            .step("own_misfit", "misfit of the own kit", value.own.misfit.amount(Unit::Ratio), "")
            .step("other_misfit", "misfit of the other", value.other.misfit.amount(Unit::Ratio), "")
            .finding(words)
            .caution("efficiency cannot show a wrong kit: little heat leaves a cool stack")
            .caution("the marking on the part decides, not this sum");
        Ok(Worked { value, sheet })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(manifold: f64, clocked: Option<f64>, o2: Option<f64>) -> KitAnswer {
        let inches = GaugePressure::from_inches_wc;
        let check = KitCheck {
            supplied: Kit::Natural,
            plate_input: HeatRate::from_mbh(125.0),
            natural_manifold: inches(3.5),
            propane_manifold: inches(10.0),
            manifold: inches(manifold),
            clocked: clocked.map(HeatRate::from_mbh),
            o2: o2.map(Concentration::from_percent),
            o2_right: None,
        };
        check.solve().unwrap().answer
    }

    #[test]
    fn kit_check_names_the_other_kit() {
        assert_eq!(check(6.7, Some(66.8), Some(14.6)), KitAnswer::Other(Kit::Propane));
        assert_eq!(check(6.7, None, Some(14.6)), KitAnswer::Other(Kit::Propane));
        assert_eq!(check(3.5, Some(125.2), Some(8.6)), KitAnswer::Supplied);
        assert_eq!(check(3.06, Some(116.8), Some(9.1)), KitAnswer::Supplied);
        assert_eq!(check(3.5, Some(66.0), Some(8.6)), KitAnswer::Unclear);
    }
}
