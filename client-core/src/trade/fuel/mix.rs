//! A gas mix by mole: shares of components that make a whole.

use crate::trade::fuel::component::{Atoms, COMPONENTS, Component};
use crate::trade::impossible::Impossible;
use crate::trade::quantity::{Amount, Concentration};
use crate::trade::species::Heat;
use crate::trade::unit::Unit;

/// Mole shares of the ISO 6976 components, summing to one.
#[derive(Clone, Debug, PartialEq)]
pub struct Mix {
    shares: [f64; COMPONENTS],
}

/// How far a typed analysis may miss 100 %: rounding of a gas bill to two decimals.
const WHOLE_WITHIN: f64 = 0.002;

impl Mix {
    /// A mix of these shares. A sum within 0.2 % of a whole is brought to a whole.
    ///
    /// ```
    /// use client_core::trade::{fuel::{Component, Mix}, quantity::Concentration};
    /// let share = |key, pct| (Component::from_key(key).unwrap(), Concentration::from_percent(pct));
    /// let mix = Mix::new(&[share("CH4", 95.0), share("N2", 5.0)]).unwrap();
    /// assert!(Mix::new(&[share("CH4", 90.0)]).is_err());
    /// # let _ = mix;
    /// ```
    pub fn new(parts: &[(Component, Concentration)]) -> Result<Mix, Impossible> {
        let mut shares = [0.0; COMPONENTS];
        for (component, share) in parts {
            let share = share.fraction();
            if !share.is_finite() {
                return Err(Impossible::NoFigure { what: "share of the mix" });
            }
            if share < 0.0 {
                return Err(Impossible::Under {
                    what: "share of the mix",
                    value: Amount::new(100.0 * share, Unit::Pct),
                    low: Amount::new(0.0, Unit::Pct),
                    hint: "check the analysis",
                });
            }
            shares[component.index()] += share;
        }
        let sum: f64 = shares.iter().sum();
        if (sum - 1.0).abs() > WHOLE_WITHIN {
            return Err(Impossible::MixNotWhole { sum: Amount::new(100.0 * sum, Unit::Pct) });
        }
        for share in &mut shares {
            *share /= sum;
        }
        Ok(Mix { shares })
    }

    /// Share of one component.
    pub fn share(&self, component: Component) -> Concentration {
        Concentration::from_fraction(self.shares[component.index()])
    }

    /// The components that are there, with their shares.
    pub fn parts(&self) -> impl Iterator<Item = (Component, Concentration)> + '_ {
        Component::all()
            .map(|component| (component, self.share(component)))
            .filter(|(_, share)| share.fraction() > 0.0)
    }

    /// This mix with another let in, so that the other is `share` of the whole by volume.
    pub fn blended(&self, other: &Mix, share: Concentration) -> Result<Mix, Impossible> {
        let share = share.fraction();
        if !(0.0..=1.0).contains(&share) {
            return Err(Impossible::MixNotWhole { sum: Amount::new(100.0 * share, Unit::Pct) });
        }
        let mut shares = self.shares;
        for (own, theirs) in shares.iter_mut().zip(other.shares) {
            *own = (1.0 - share) * *own + share * theirs;
        }
        Ok(Mix { shares })
    }

    /// Sum over the components of share times a figure of each.
    pub(crate) fn weighed(&self, figure: impl Fn(Component) -> f64) -> f64 {
        self.parts().map(|(component, share)| share.fraction() * figure(component)).sum()
    }

    pub(crate) fn atoms(&self) -> Atoms {
        let mut atoms = Atoms::default();
        for (component, share) in self.parts() {
            atoms.add(share.fraction(), &component.row().atoms);
        }
        atoms
    }

    /// Heat of one mole of the mix.
    pub(crate) fn heat(&self) -> Heat {
        let mut heat = Heat::NONE;
        for (component, share) in self.parts() {
            heat.add(share.fraction() * component.row().heat_times, &component.row().heat);
        }
        heat
    }
}
