//! Flue gas: from what the instrument shows to excess air, losses, efficiency and dew point.
//!
//! Exact for the fuel given: atom balance, real enthalpies, IAPWS saturation.

pub mod air_free;
pub mod balance;
pub mod condensate;
pub mod cross_check;
pub mod dew_point;
pub mod excess;
pub mod sheet;
pub mod siegert;
pub mod steady;

pub use air_free::AirFreeShown;
pub use excess::Dilution;

use crate::trade::atmosphere::AIR_PRESSURE_RANGE;
use crate::trade::constant::{CO_HEAT_60F_KJ, FRESH_AIR_O2_PERCENT, KELVIN_60F, LATENT_60F_KJ};
use crate::trade::flue::balance::Products;
use crate::trade::fuel::Fuel;
use crate::trade::impossible::{Impossible, Range, finite};
use crate::trade::quantity::{
    AbsolutePressure, Concentration, Density, MolarMass, Quantity, Ratio, RelativeHumidity,
    Temperature,
};
use crate::trade::species::{AIR, H2O};
use crate::trade::unit::Unit;
use crate::trade::water;

/// What was read in the flue and around it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FlueReading {
    /// How thinned the flue gas is: oxygen, carbon dioxide, or excess air if known.
    pub dilution: Dilution,
    /// Carbon monoxide, dry.
    pub co: Concentration,
    /// Flue gas temperature.
    pub flue: Temperature,
    /// Combustion air temperature; the fuel is taken to be as warm.
    pub air: Temperature,
    /// Humidity of the combustion air.
    pub humidity: RelativeHumidity,
    /// Air pressure at the site.
    pub pressure: AbsolutePressure,
    /// What the same instrument shows in fresh air; oxygen is scaled by it.
    pub fresh_air: Concentration,
}

impl FlueReading {
    /// A reading of oxygen and two temperatures; dry air, sea level, no carbon monoxide.
    pub const fn of_oxygen(o2: Concentration, flue: Temperature, air: Temperature) -> FlueReading {
        FlueReading {
            dilution: Dilution::Oxygen(o2),
            co: Concentration::from_ppm(0.0),
            flue,
            air,
            humidity: RelativeHumidity::from_percent(0.0),
            pressure: AbsolutePressure::STANDARD,
            fresh_air: FRESH_AIR,
        }
    }
}

/// Oxygen of fresh dry air. Source: CIPM-2007.
pub const FRESH_AIR: Concentration = Concentration::from_percent(FRESH_AIR_O2_PERCENT);

/// Flue temperatures worked out; proved from 20 to 600 C.
pub const FLUE_RANGE: Range = Range {
    what: "flue temperature",
    low: -20.0,
    high: 720.0,
    unit: Unit::C,
    hint: "check the figure and whether it is F or C",
};
/// Combustion air temperatures worked out; proved from -25 to 45 C.
pub const AIR_RANGE: Range = Range {
    what: "combustion air temperature",
    low: -45.0,
    high: 70.0,
    unit: Unit::C,
    hint: "check the figure and whether it is F or C",
};
/// Relative humidities.
pub const HUMIDITY_RANGE: Range = Range {
    what: "relative humidity",
    low: 0.0,
    high: 100.0,
    unit: Unit::Pct,
    hint: "give it in percent",
};
/// Carbon monoxide taken.
pub const CO_RANGE: Range = Range {
    what: "flue co",
    low: 0.0,
    high: 100_000.0,
    unit: Unit::Ppm,
    hint: "zero the instrument in fresh air, or check ppm against percent",
};

/// Everything that one flue reading says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FlueAnalysis {
    /// Air supplied above what complete burning needs.
    pub excess_air: Ratio,
    /// Oxygen, dry.
    pub o2: Concentration,
    /// Carbon dioxide, dry.
    pub co2: Concentration,
    /// Carbon monoxide, dry.
    pub co: Concentration,
    /// Most carbon dioxide that the fuel can make, dry.
    pub co2_max: Concentration,
    /// Oxygen in the wet gas.
    pub o2_wet: Concentration,
    /// Water vapour in the wet gas.
    pub h2o_wet: Concentration,
    /// Carbon monoxide referred to no excess air.
    pub co_air_free: Concentration,
    /// Whether the air-free figure may be judged.
    pub air_free: AirFreeShown,
    /// Temperature at which water begins to drip; none in a gas without water.
    pub dew_point: Option<Temperature>,
    /// Share of the water from the fuel that condenses at the flue temperature.
    pub condensed: Ratio,
    /// Heat carried off by dry gas, of the gross heating value.
    pub dry_loss: Ratio,
    /// Heat carried off by warm water vapour, without its latent part, of the gross heating value.
    pub vapour_loss: Ratio,
    /// Latent heat of the water from the fuel, of the gross heating value.
    pub latent_loss: Ratio,
    /// Heat left in carbon monoxide, of the gross heating value.
    pub co_loss: Ratio,
    /// Efficiency on the gross value if all water left as vapour.
    pub gross_without_condensing: Ratio,
    /// Efficiency on the gross value.
    pub gross: Ratio,
    /// Efficiency on the net value if all water left as vapour.
    pub net_without_condensing: Ratio,
    /// Efficiency on the net value.
    pub net: Ratio,
    /// Molar mass of the wet gas.
    pub molar_mass: MolarMass,
    /// Density of the wet gas at flue temperature and site pressure.
    pub density: Density,
    /// Whether all inputs lie where the sums were proved.
    pub proved: bool,
}

/// Works out a flue reading. Takes no memory, for fleets.
///
/// Efficiency counts the flue loss alone: no jacket, cycling or draft-hood loss.
///
/// ```
/// use client_core::trade::flue::{analyse, FlueReading};
/// use client_core::trade::fuel::Fuel;
/// use client_core::trade::quantity::{Concentration, Temperature};
/// let gas = Fuel::named("natural_gas").unwrap();
/// let reading = FlueReading::of_oxygen(
///     Concentration::from_percent(8.0),
///     Temperature::from_fahrenheit(360.0),
///     Temperature::from_fahrenheit(60.0),
/// );
/// let found = analyse(&gas, &reading).unwrap();
/// assert!((found.gross.percent() - 81.1).abs() < 0.1);
/// assert!((found.excess_air.percent() - 56.0).abs() < 1.0);
/// ```
pub fn analyse(fuel: &Fuel, reading: &FlueReading) -> Result<FlueAnalysis, Impossible> {
    FLUE_RANGE.check(reading.flue)?;
    AIR_RANGE.check(reading.air)?;
    HUMIDITY_RANGE.check(reading.humidity)?;
    AIR_PRESSURE_RANGE.check(reading.pressure)?;
    CO_RANGE.check(reading.co)?;
    let (hot, cold) = (reading.flue.kelvin(), reading.air.kelvin());
    if hot < cold {
        return Err(Impossible::FlueColderThanAir {
            flue: reading.flue.amount(Unit::F),
            air: reading.air.amount(Unit::F),
        });
    }
    let excess = excess::solve(fuel, reading.dilution, reading.co, reading.fresh_air)?;
    let pressure = reading.pressure.pascals();
    let vapour = reading.humidity.fraction() * water::saturation(cold);
    let moisture = vapour / (pressure - vapour);
    let products = Products::of(fuel, excess, reading.co.fraction(), moisture)?;
    let heat = Heats::of(fuel, &products, hot, cold, pressure);
    let (dry, wet) = (products.dry, products.wet());
    let molar_mass = products.molar_mass();
    let share = Ratio::from_ratio;
    let part = |moles: f64, of: f64| Concentration::from_fraction(moles / of);
    let o2 = part(products.o2, dry);
    finite("flue analysis", heat.gross + heat.net + excess)?;
    Ok(FlueAnalysis {
        excess_air: share(excess),
        o2,
        co2: part(products.co2, dry),
        co: part(products.co, dry),
        co2_max: fuel.stoichiometry.co2_max(),
        o2_wet: part(products.o2, wet),
        h2o_wet: part(products.h2o, wet),
        co_air_free: part(products.co, fuel.stoichiometry.dry_flue),
        air_free: AirFreeShown::at(o2),
        dew_point: heat.dew_point.map(Temperature::from_kelvin),
        condensed: share(heat.condensed),
        dry_loss: share(heat.dry),
        vapour_loss: share(heat.vapour),
        latent_loss: share(heat.latent),
        co_loss: share(heat.co),
        gross_without_condensing: share(heat.gross_dry),
        gross: share(heat.gross),
        net_without_condensing: share(heat.gross_dry * fuel.gross / fuel.net),
        net: share(heat.net),
        molar_mass: MolarMass::from_grams_per_mole(1000.0 * molar_mass),
        density: products.density(hot, pressure),
        proved: proved(reading, excess),
    })
}

/// Where the tables behind this room were proved.
fn proved(reading: &FlueReading, excess: f64) -> bool {
    (20.0..=600.0).contains(&reading.flue.celsius())
        && (-25.0..=45.0).contains(&reading.air.celsius())
        && (65.0..=105.0).contains(&reading.pressure.kilopascals())
        && (-1e-9..=9.0).contains(&excess)
}

/// Heat flows of the flue gas, as shares of the gross heating value.
struct Heats {
    dry: f64,
    vapour: f64,
    latent: f64,
    co: f64,
    dew_point: Option<f64>,
    condensed: f64,
    gross_dry: f64,
    gross: f64,
    net: f64,
}

impl Heats {
    fn of(fuel: &Fuel, products: &Products, hot: f64, cold: f64, pressure: f64) -> Heats {
        let hydrogen = fuel.atoms.hydrogen / 2.0;
        let latent = hydrogen * LATENT_60F_KJ * 1000.0;
        let co = products.co * CO_HEAT_60F_KJ * 1000.0;
        let dry_gas = products.dry_heat();
        let dry = dry_gas.between(cold, hot);
        let vapour = products.h2o * H2O.between(cold, hot);
        // What the fuel and the air bring above 60 F, less what leaves above 60 F.
        let brought = products.air * AIR.between(KELVIN_60F, cold)
            + products.air_moisture * H2O.between(KELVIN_60F, cold)
            + fuel.heat.between(KELVIN_60F, cold);
        let left = dry_gas.between(KELVIN_60F, hot) + products.h2o * H2O.between(KELVIN_60F, hot);
        let useful = fuel.gross + brought - left - latent - co;
        let partial = pressure * products.h2o / products.wet();
        let dew_point = (partial > 0.1).then(|| water::saturated_at(partial));
        let mut condensed = 0.0;
        let mut won = 0.0;
        if dew_point.is_some_and(|dew| hot < dew) {
            let saturated = water::saturation(hot) / pressure;
            let stays = products.dry * saturated / (1.0 - saturated);
            condensed = (products.h2o - stays).max(0.0);
            won = condensed * water::condensing_heat(hot);
        }
        let of_gross = |joules: f64| joules / fuel.gross;
        Heats {
            dry: of_gross(dry),
            vapour: of_gross(vapour),
            latent: of_gross(latent),
            co: of_gross(co),
            dew_point,
            condensed: if hydrogen > 0.0 { condensed / hydrogen } else { 0.0 },
            gross_dry: of_gross(useful),
            gross: of_gross(useful + won),
            net: (useful + won) / fuel.net,
        }
    }
}
