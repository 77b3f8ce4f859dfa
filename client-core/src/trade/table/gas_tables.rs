//! Tables of the gas side.

use crate::trade::atmosphere::standard_pressure;
use crate::trade::gas::BurnerGas;
use crate::trade::gas::altitude::Altitude;
use crate::trade::gas::clock::Clocking;
use crate::trade::gas::conversion::Conversion;
use crate::trade::gas::drill::Drill;
use crate::trade::gas::metering_plate::{MeteringPlate, Taps};
use crate::trade::gas::orifice::Orifice;
use crate::trade::gas::pipe::PipeRun;
use crate::trade::quantity::{
    AbsolutePressure, Count, GasBase, GaugePressure, HeatRate, HeatingValue, Length,
    PressureDifference, Ratio, StandardFlow, Temperature, TimeSpan, Viscosity, Volume,
};
use crate::trade::table::{Fuels, Out, Row, RowError, Table};

pub(super) const TABLES: &[Table] = &[
    Table {
        name: "meter_clocking",
        inputs: &[
            "dial_ft3_per_rev",
            "revs",
            "seconds",
            "meter_gauge_inwc",
            "altitude_ft | baro_Pa",
            "gas_temp_F",
            "hhv_Btu_per_scf",
            "hhv_base_psia",
            "hhv_base_F",
        ],
        outputs: &[
            "baro_Pa",
            "actual_cfh",
            "pressure_factor",
            "temperature_factor",
            "std_cfh_at_base",
            "heat_input_Btu_h",
            "heat_input_uncorrected_Btu_h",
            "heat_input_kW",
        ],
        one: clocking,
    },
    Table {
        name: "orifice_flow",
        inputs: &[
            "diameter_in | drill_number",
            "manifold_gauge_inwc",
            "sg_air1",
            "gamma",
            "cd",
            "baro_Pa",
            "gas_temp_F",
            "hhv_Btu_per_scf_60F_14p696",
        ],
        outputs: &[
            "expansibility",
            "mass_flow_kg_h",
            "std_cfh_60F_14p696psia",
            "heat_Btu_h",
            "std_cfh_incompressible",
            "trade_cfh_1658p5",
            "trade_error_pct",
        ],
        one: orifice,
    },
    Table {
        name: "orifice_conversion",
        inputs: &[
            "input_Btu_h_per_orifice",
            "gas1_hhv_Btu_scf",
            "gas1_sg",
            "gas1_gamma",
            "gas1_pressure_inwc",
            "gas2_hhv_Btu_scf",
            "gas2_sg",
            "gas2_gamma",
            "gas2_pressure_inwc",
            "cd",
            "baro_Pa",
            "gas_temp_F",
        ],
        outputs: &[
            "gas1_diameter_in",
            "gas2_diameter_in",
            "gas2_over_gas1_diameter",
            "diameter_ratio_trade_formula",
            "gas2_nearest_drill_not_larger",
            "gas2_drill_diameter_in",
            "gas2_input_with_drill_Btu_h",
            "gas2_input_error_pct",
        ],
        one: conversion,
    },
    Table {
        name: "altitude",
        inputs: &["altitude_ft", "mean_air_temp_F", "manifold_inwc"],
        outputs: &[
            "baro_std_Pa",
            "baro_std_inHg",
            "density_ratio_same_temp",
            "rule_4pct_from_sea_level_factor",
            "rule_4pct_above_2000ft_only_factor",
            "fixed_orifice_fixed_gauge_input_factor_exact",
            "sqrt_density_ratio",
            "same_excess_air_input_factor_at_constant_air_volume",
            "orifice_diameter_factor_for_4pct_rule",
        ],
        one: altitude,
    },
    Table {
        name: "pipe_drop",
        inputs: &[
            "id_in",
            "length_ft",
            "flow_scfh_60F_14p696",
            "sg_air1",
            "viscosity_cP",
            "inlet_gauge_inwc",
            "baro_Pa",
            "gas_temp_F",
            "roughness_ft",
        ],
        outputs: &[
            "velocity_in_ft_s",
            "reynolds",
            "drop_exact_isothermal_inwc",
            "drop_ifgc_lowpressure_inwc",
            "regime",
        ],
        one: pipe,
    },
    Table {
        name: "iso5167_plate",
        inputs: &[
            "pipe_id_mm",
            "bore_mm",
            "p1_kPa_abs",
            "dp_kPa",
            "temp_C",
            "sg_air1",
            "gamma",
            "viscosity_Pa_s",
            "taps",
        ],
        outputs: &[
            "beta",
            "discharge_coefficient_RHG",
            "expansibility_ISO5167_2",
            "mass_flow_kg_s",
            "reynolds_D",
        ],
        one: plate,
    },
];

/// The air pressure that a row gives, by elevation or as read.
pub(super) fn barometer(row: &Row<'_>) -> Result<AbsolutePressure, RowError> {
    match row.maybe("altitude_ft")? {
        Some(feet) => Ok(standard_pressure(Length::from_feet(feet))?),
        None => Ok(AbsolutePressure::from_pascals(row.or("baro_Pa", 101_325.0)?)),
    }
}

fn clocking(row: &Row<'_>, _: &Fuels) -> Result<Out, RowError> {
    let barometer = barometer(row)?;
    let clocked = Clocking {
        dial: Volume::from_cubic_feet(row.number("dial_ft3_per_rev")?),
        revolutions: Count::from_number(row.number("revs")?),
        time: TimeSpan::from_seconds(row.number("seconds")?),
        gauge: GaugePressure::from_inches_wc(row.number("meter_gauge_inwc")?),
        barometer,
        gas: row.maybe("gas_temp_F")?.map(Temperature::from_fahrenheit),
        heating_value: HeatingValue::from_btu_per_cubic_foot(row.number("hhv_Btu_per_scf")?),
        base: GasBase {
            pressure: AbsolutePressure::from_psia(row.or("hhv_base_psia", 14.73)?),
            temperature: Temperature::from_fahrenheit(row.or("hhv_base_F", 60.0)?),
        },
    };
    let found = clocked.solve()?;
    Ok(Out::default()
        .with("baro_Pa", barometer.pascals())
        .with("actual_cfh", found.metered.cfh())
        .with("pressure_factor", found.pressure_factor.ratio())
        .with("temperature_factor", found.temperature_factor.ratio())
        .with("std_cfh_at_base", found.flow.scfh())
        .with("heat_input_Btu_h", found.input.btu_per_hour())
        .with("heat_input_uncorrected_Btu_h", found.uncorrected.btu_per_hour())
        .with("heat_input_kW", found.input.kilowatts()))
}

fn orifice(row: &Row<'_>, _: &Fuels) -> Result<Out, RowError> {
    let bore = match (row.maybe("diameter_in")?, row.text("drill_number")) {
        (Some(inches), _) => Length::from_inches(inches),
        (None, Some(name)) => Drill::named(name)
            .ok_or(RowError::UnknownWord {
                column: "drill_number",
                cell: name.to_owned(),
                known: "1 to 80, A to Z, a fraction, or millimetres",
            })?
            .bore(),
        (None, None) => return Err(RowError::Missing("diameter_in | drill_number".to_owned())),
    };
    let orifice = Orifice {
        bore,
        pressure: GaugePressure::from_inches_wc(row.number("manifold_gauge_inwc")?),
        gas: BurnerGas {
            gravity: Ratio::from_ratio(row.number("sg_air1")?),
            isentropic: Ratio::from_ratio(row.number("gamma")?),
            heating_value: HeatingValue::from_btu_per_cubic_foot(
                row.number("hhv_Btu_per_scf_60F_14p696")?,
            ),
        },
        discharge: Ratio::from_ratio(row.number("cd")?),
        barometer: AbsolutePressure::from_pascals(row.or("baro_Pa", 101_325.0)?),
        temperature: Temperature::from_fahrenheit(row.or("gas_temp_F", 60.0)?),
    };
    let found = orifice.solve()?;
    let flow = found.flow.scfh();
    Ok(Out::default()
        .with("expansibility", found.expansibility.ratio())
        .with("mass_flow_kg_h", found.mass.kilograms_per_hour())
        .with("std_cfh_60F_14p696psia", flow)
        .with("heat_Btu_h", found.heat.btu_per_hour())
        .with("std_cfh_incompressible", flow / found.expansibility.ratio())
        .with("trade_cfh_1658p5", found.trade.scfh())
        .maybe("trade_error_pct", (flow > 0.0).then(|| 100.0 * (found.trade.scfh() / flow - 1.0))))
}

fn conversion(row: &Row<'_>, _: &Fuels) -> Result<Out, RowError> {
    let gas = |at: &str| -> Result<(BurnerGas, GaugePressure), RowError> {
        let number = |name: &str| row.number(&format!("gas{at}_{name}"));
        let gas = BurnerGas {
            gravity: Ratio::from_ratio(number("sg")?),
            isentropic: Ratio::from_ratio(number("gamma")?),
            heating_value: HeatingValue::from_btu_per_cubic_foot(number("hhv_Btu_scf")?),
        };
        Ok((gas, GaugePressure::from_inches_wc(number("pressure_inwc")?)))
    };
    let ((from, from_pressure), (to, to_pressure)) = (gas("1")?, gas("2")?);
    let heat = HeatRate::from_btu_per_hour(row.number("input_Btu_h_per_orifice")?);
    let found = Conversion {
        heat,
        from,
        from_pressure,
        to,
        to_pressure,
        discharge: Ratio::from_ratio(row.or("cd", 0.9)?),
        barometer: AbsolutePressure::from_pascals(row.or("baro_Pa", 101_325.0)?),
        temperature: Temperature::from_fahrenheit(row.or("gas_temp_F", 60.0)?),
    }
    .solve()?;
    let out = Out::default()
        .with("gas1_diameter_in", found.from_bore.inches())
        .with("gas2_diameter_in", found.to_bore.inches())
        .with("gas2_over_gas1_diameter", found.ratio.ratio())
        .with("diameter_ratio_trade_formula", found.rule.ratio());
    let Some((drill, passes)) = found.drill else { return Ok(out) };
    let number = drill.number().map(|number| number.to_string()).unwrap_or_default();
    Ok(out
        .word("gas2_nearest_drill_not_larger", number)
        .with("gas2_drill_diameter_in", drill.bore().inches())
        .with("gas2_input_with_drill_Btu_h", passes.btu_per_hour())
        .with("gas2_input_error_pct", 100.0 * ((passes / heat).ratio() - 1.0)))
}

fn altitude(row: &Row<'_>, _: &Fuels) -> Result<Out, RowError> {
    let found = Altitude {
        elevation: Length::from_feet(row.number("altitude_ft")?),
        manifold: GaugePressure::from_inches_wc(row.or("manifold_inwc", 3.5)?),
        temperature: Temperature::from_fahrenheit(row.or("mean_air_temp_F", 60.0)?),
        gas: BurnerGas::NATURAL,
    }
    .solve()?;
    let density = found.density.ratio();
    Ok(Out::default()
        .with("baro_std_Pa", found.barometer.pascals())
        .with("baro_std_inHg", found.barometer.inches_mercury())
        .with("density_ratio_same_temp", density)
        .with("rule_4pct_from_sea_level_factor", found.rule_from_sea_level.ratio())
        .with("rule_4pct_above_2000ft_only_factor", found.rule_above_2000_ft.ratio())
        .with("fixed_orifice_fixed_gauge_input_factor_exact", found.same_orifice.ratio())
        .with("sqrt_density_ratio", density.sqrt())
        .with("same_excess_air_input_factor_at_constant_air_volume", found.same_excess_air.ratio())
        .with("orifice_diameter_factor_for_4pct_rule", found.bore_for_rule.ratio()))
}

fn pipe(row: &Row<'_>, _: &Fuels) -> Result<Out, RowError> {
    let found = PipeRun {
        bore: Length::from_inches(row.number("id_in")?),
        length: Length::from_feet(row.number("length_ft")?),
        flow: StandardFlow::from_scfh(row.number("flow_scfh_60F_14p696")?),
        gravity: Ratio::from_ratio(row.number("sg_air1")?),
        viscosity: Viscosity::from_centipoise(row.number("viscosity_cP")?),
        inlet: GaugePressure::from_inches_wc(row.number("inlet_gauge_inwc")?),
        barometer: AbsolutePressure::from_pascals(row.or("baro_Pa", 101_325.0)?),
        temperature: Temperature::from_fahrenheit(row.or("gas_temp_F", 60.0)?),
        roughness: Length::from_feet(row.or("roughness_ft", 0.00015)?),
    }
    .solve()?;
    Ok(Out::default()
        .with("velocity_in_ft_s", found.speed.feet_per_minute() / 60.0)
        .with("reynolds", found.reynolds.ratio())
        .with("drop_exact_isothermal_inwc", found.exact.inches_wc())
        .with("drop_ifgc_lowpressure_inwc", found.code.inches_wc())
        .word("regime", found.regime.name()))
}

fn plate(row: &Row<'_>, _: &Fuels) -> Result<Out, RowError> {
    let cell = row.word("taps")?;
    let taps = match cell {
        "corner" => Taps::Corner,
        "flange" => Taps::Flange,
        "D" | "D/2" | "D and D/2" => Taps::DAndHalfD,
        _ => {
            return Err(RowError::UnknownWord {
                column: "taps",
                cell: cell.to_owned(),
                known: "corner, flange, D",
            });
        }
    };
    let plate = MeteringPlate {
        pipe: Length::from_millimetres(row.number("pipe_id_mm")?),
        bore: Length::from_millimetres(row.number("bore_mm")?),
        inlet: AbsolutePressure::from_kilopascals(row.number("p1_kPa_abs")?),
        difference: PressureDifference::from_kilopascals(row.number("dp_kPa")?),
        temperature: Temperature::from_celsius(row.number("temp_C")?),
        gravity: Ratio::from_ratio(row.number("sg_air1")?),
        isentropic: Ratio::from_ratio(row.number("gamma")?),
        viscosity: Viscosity::from_pascal_seconds(row.number("viscosity_Pa_s")?),
        taps,
    };
    let found = plate.solve()?;
    Ok(Out::default()
        .with("beta", (plate.bore / plate.pipe).ratio())
        .with("discharge_coefficient_RHG", found.discharge.ratio())
        .with("expansibility_ISO5167_2", found.expansibility.ratio())
        .with("mass_flow_kg_s", found.mass.kilograms_per_second())
        .with("reynolds_D", found.reynolds.ratio()))
}
