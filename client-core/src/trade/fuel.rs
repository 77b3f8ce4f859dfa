//! Fuels: any mix of the ISO 6976 components, oils by their elements, and named defaults.

pub mod component;
pub mod factor;
pub mod family;
pub mod interchange;
mod iso_table;
pub mod mix;
pub mod named;
pub mod oil;
pub mod property;
pub mod stoichiometry;

pub use component::Component;
pub use family::Family;
pub use mix::Mix;
pub use oil::OilAnalysis;
pub use property::{CombustionReference, GasProperties, MeteringReference};
pub use stoichiometry::Stoichiometry;

use crate::trade::constant::{GAS_CONSTANT, LATENT_60F_KJ};
use crate::trade::fuel::component::Atoms;
use crate::trade::impossible::Impossible;
use crate::trade::species::Heat;
use std::borrow::Cow;

/// What a fuel is made of.
#[derive(Clone, Debug, PartialEq)]
pub enum Body {
    /// A gas, reckoned per mole.
    Gas(Box<Mix>),
    /// An oil, reckoned per kilogram.
    Oil(OilAnalysis),
}

/// A fuel with all that its flue gas needs worked out once.
#[derive(Clone, Debug, PartialEq)]
pub struct Fuel {
    name: Cow<'static, str>,
    body: Body,
    family: Family,
    pub(crate) atoms: Atoms,
    /// Gross heating value at 60 F, J per mole or kilogram.
    pub(crate) gross: f64,
    /// Net heating value at 60 F, J per mole or kilogram.
    pub(crate) net: f64,
    /// Heat of the fuel itself, per mole or kilogram.
    pub(crate) heat: Heat,
    pub(crate) stoichiometry: Stoichiometry,
}

impl Fuel {
    /// A gas of this mix.
    ///
    /// ```
    /// use client_core::trade::fuel::Fuel;
    /// let propane = Fuel::named("propane").unwrap();
    /// let co2_max = propane.stoichiometry().co2_max().percent();
    /// assert!((co2_max - 13.7555).abs() < 1e-4);
    /// ```
    pub fn gas(name: impl Into<Cow<'static, str>>, mix: Mix) -> Result<Fuel, Impossible> {
        let gross = 1000.0 * property::molar_gross(&mix, CombustionReference::F60);
        let (atoms, heat) = (mix.atoms(), mix.heat());
        let family = Family::of(&mix);
        Fuel::new(name.into(), Body::Gas(Box::new(mix)), family, atoms, gross, heat)
    }

    /// An oil of this analysis.
    pub fn oil(
        name: impl Into<Cow<'static, str>>,
        analysis: OilAnalysis,
    ) -> Result<Fuel, Impossible> {
        analysis.check()?;
        let gross = 1000.0 * analysis.gross.kilojoules_per_kilogram();
        let mut heat = Heat::NONE;
        heat.0[0] = 1000.0 * OilAnalysis::HEAT_CAPACITY_KJ / GAS_CONSTANT;
        let atoms = analysis.atoms();
        Fuel::new(name.into(), Body::Oil(analysis), Family::Oil, atoms, gross, heat)
    }

    fn new(
        name: Cow<'static, str>,
        body: Body,
        family: Family,
        atoms: Atoms,
        gross: f64,
        heat: Heat,
    ) -> Result<Fuel, Impossible> {
        let stoichiometry = Stoichiometry::of(&atoms);
        let net = gross - atoms.hydrogen / 2.0 * 1000.0 * LATENT_60F_KJ;
        let burns = gross > 0.0 && net > 0.0 && stoichiometry.air > 0.0;
        if !burns {
            return Err(Impossible::DoesNotBurn);
        }
        Ok(Fuel { name, body, family, atoms, gross, net, heat, stoichiometry })
    }

    /// A named default, or `None`. See [`named::NAMED`].
    pub fn named(name: &str) -> Option<Fuel> {
        named::find(name)
    }

    /// Its name.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// What it is made of.
    pub fn body(&self) -> &Body {
        &self.body
    }

    /// The mix, for a gas.
    pub fn mix(&self) -> Option<&Mix> {
        match &self.body {
            Body::Gas(mix) => Some(mix),
            Body::Oil(_) => None,
        }
    }

    /// The family, which picks the constants of rules of thumb.
    pub fn family(&self) -> Family {
        self.family
    }

    /// Air and flue gas at no excess air.
    pub fn stoichiometry(&self) -> &Stoichiometry {
        &self.stoichiometry
    }
}
