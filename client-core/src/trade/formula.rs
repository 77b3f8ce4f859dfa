//! The list of every formula, for the documentation and for whoever looks one up by its stamp.

use crate::trade::worked::Formula;
use crate::trade::{air, flue, fuel, gas, heat, plan, signal, uncertainty, verdict};

/// Every formula, in the order of the documentation.
pub const FORMULAS: &[&Formula] = &[
    &fuel::property::GAS_PROPERTIES,
    &fuel::factor::F_FACTORS,
    &fuel::interchange::INTERCHANGE,
    &flue::sheet::FLUE_ANALYSIS,
    &flue::excess::EXCESS_AIR,
    &flue::excess::CO2_FROM_O2,
    &flue::air_free::CO_AIR_FREE,
    &flue::cross_check::CROSS_CHECK,
    &flue::siegert::SIEGERT,
    &flue::dew_point::DEW_POINT,
    &flue::condensate::CONDENSATE,
    &flue::steady::STEADY,
    &gas::clock::CLOCKED_INPUT,
    &gas::clock::PRESSURE_FACTOR,
    &gas::manifold::SQUARE_ROOT_INPUT,
    &gas::orifice::ORIFICE_FLOW,
    &gas::orifice::ORIFICE_SIZE,
    &gas::conversion::CONVERSION,
    &gas::kit::KIT,
    &gas::pilot::PILOT,
    &gas::altitude::ALTITUDE,
    &gas::pipe::PIPE_DROP,
    &gas::sizing::PIPE_SIZING,
    &gas::sag::INLET_SAG,
    &gas::vapour::VAPORISATION,
    &gas::metering_plate::METERING_PLATE,
    &air::rise::RISE,
    &air::rise::AIRFLOW,
    &air::moist::MOIST_AIR,
    &air::draft::DRAFT,
    &air::opening::COMBUSTION_AIR,
    &air::exhaust::EXHAUST_BALANCE,
    &air::static_pressure::STATIC_PRESSURE,
    &heat::output::OUTPUT,
    &heat::boiler::BOILER_FLOW,
    &heat::cost::LOST_EFFICIENCY,
    &heat::degree_day::DEGREE_DAY,
    &signal::flame::FLAME_MARGIN,
    &signal::flame::FOULING,
    &signal::proving::DRAFT_MARGIN,
    &signal::thermocouple::THERMOCOUPLE,
    &signal::staging::STAGING,
    &uncertainty::PROPAGATION,
    &verdict::VERDICT,
    &verdict::agreement::AGREEMENT,
    &plan::due::DUE,
    &plan::priority::PRIORITY,
];

/// The formula of an identifier.
pub fn find(id: &str) -> Option<&'static Formula> {
    FORMULAS.iter().copied().find(|formula| formula.id == id)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn identifiers_are_unique_and_every_field_says_something() {
        let mut seen = std::collections::BTreeSet::new();
        for formula in FORMULAS {
            assert!(seen.insert(formula.id), "{} twice", formula.id);
            let fields = [formula.name, formula.expression, formula.source, formula.range];
            assert!(fields.iter().all(|field| !field.is_empty()), "{}", formula.id);
            assert!(formula.version >= 1);
            assert_eq!(find(formula.id).map(|found| found.id), Some(formula.id));
        }
    }
}
