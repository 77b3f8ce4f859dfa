//! Tables of the air side.

use crate::trade::air::draft::Draft;
use crate::trade::air::moist::MoistAir;
use crate::trade::air::opening::CombustionAir;
use crate::trade::air::rise::RiseAirflow;
use crate::trade::quantity::{
    AbsolutePressure, HeatRate, Length, Ratio, RelativeHumidity, Temperature, Volume,
};
use crate::trade::table::gas_tables::barometer;
use crate::trade::table::{Fuels, Out, Row, RowError, Table};
use crate::trade::water;

pub(super) const TABLES: &[Table] = &[
    Table {
        name: "temp_rise_airflow",
        inputs: &[
            "heat_output_Btu_h",
            "inlet_F",
            "outlet_F",
            "inlet_rh_pct",
            "altitude_ft | baro_Pa",
        ],
        outputs: &[
            "baro_Pa",
            "humidity_ratio_kg_kg",
            "inlet_density_kg_m3",
            "outlet_density_kg_m3",
            "dry_air_mass_flow_kg_s",
            "cfm_at_inlet",
            "cfm_at_outlet",
            "scfm_0p075_lb_ft3",
            "cfm_rule_1p08",
            "rule_error_vs_inlet_pct",
            "rule_error_vs_outlet_pct",
            "rule_error_vs_scfm_pct",
        ],
        one: airflow,
    },
    Table {
        name: "psychrometrics",
        inputs: &["dry_bulb_C", "rh_pct", "pressure_Pa"],
        outputs: &[
            "psat_iapws_Pa",
            "humidity_ratio_ashrae_kg_kg",
            "dew_point_C",
            "wet_bulb_C_ashrae",
            "enthalpy_kJ_kg_dryair_ashrae",
            "density_kg_m3_ashrae",
        ],
        one: moist,
    },
    Table {
        name: "draft",
        inputs: &[
            "fuel",
            "excess_air_pct",
            "height_ft",
            "mean_flue_F",
            "outdoor_F",
            "outdoor_rh_pct",
            "altitude_ft | baro_Pa",
        ],
        outputs: &[
            "baro_Pa",
            "outdoor_air_density_kg_m3",
            "flue_density_kg_m3",
            "theoretical_draft_inwc",
            "theoretical_draft_Pa",
            "trade_draft_inwc_0p2554",
        ],
        one: draft,
    },
    Table {
        name: "combustion_air_openings",
        inputs: &[
            "total_input_Btu_h",
            "fan_assisted_input_Btu_h",
            "other_input_Btu_h",
            "known_ach",
            "room_volume_ft3",
        ],
        outputs: &[
            "required_volume_standard_50_ft3",
            "required_volume_KAIR_ft3",
            "volume_ok_standard",
            "indoor_two_openings_same_story_in2_each",
            "indoor_openings_different_story_in2_total",
            "outdoor_two_direct_or_vertical_in2_each",
            "outdoor_two_horizontal_ducts_in2_each",
            "outdoor_single_opening_in2",
            "gross_area_metal_louver_75pct_in2_each_direct",
            "gross_area_wood_louver_25pct_in2_each_direct",
            "mech_makeup_cfm",
        ],
        one: openings,
    },
];

fn airflow(row: &Row<'_>, _: &Fuels) -> Result<Out, RowError> {
    let pressure = barometer(row)?;
    let found = RiseAirflow {
        heat: HeatRate::from_btu_per_hour(row.number("heat_output_Btu_h")?),
        inlet: Temperature::from_fahrenheit(row.number("inlet_F")?),
        outlet: Temperature::from_fahrenheit(row.number("outlet_F")?),
        humidity: RelativeHumidity::from_percent(row.or("inlet_rh_pct", 0.0)?),
        pressure,
    }
    .solve()?;
    let rule = found.rule.scfm();
    let over = |exact: f64| 100.0 * (rule / exact - 1.0);
    Ok(Out::default()
        .with("baro_Pa", pressure.pascals())
        .with("humidity_ratio_kg_kg", found.humidity_ratio.kg_per_kg())
        .with("inlet_density_kg_m3", found.inlet_density.kilograms_per_cubic_metre())
        .with("outlet_density_kg_m3", found.outlet_density.kilograms_per_cubic_metre())
        .with("dry_air_mass_flow_kg_s", found.dry_air.kilograms_per_second())
        .with("cfm_at_inlet", found.inlet.cfm())
        .with("cfm_at_outlet", found.outlet.cfm())
        .with("scfm_0p075_lb_ft3", found.standard.scfm())
        .with("cfm_rule_1p08", rule)
        .with("rule_error_vs_inlet_pct", over(found.inlet.cfm()))
        .with("rule_error_vs_outlet_pct", over(found.outlet.cfm()))
        .with("rule_error_vs_scfm_pct", over(found.standard.scfm())))
}

fn moist(row: &Row<'_>, _: &Fuels) -> Result<Out, RowError> {
    let dry_bulb = Temperature::from_celsius(row.number("dry_bulb_C")?);
    let found = MoistAir {
        dry_bulb,
        humidity: RelativeHumidity::from_percent(row.number("rh_pct")?),
        pressure: AbsolutePressure::from_pascals(row.or("pressure_Pa", 101_325.0)?),
    }
    .solve()?;
    Ok(Out::default()
        .with("psat_iapws_Pa", water::saturation_pressure(dry_bulb)?.pascals())
        .with("humidity_ratio_ashrae_kg_kg", found.humidity_ratio.kg_per_kg())
        .maybe("dew_point_C", found.dew_point.map(Temperature::celsius))
        .with("wet_bulb_C_ashrae", found.wet_bulb.celsius())
        .with("enthalpy_kJ_kg_dryair_ashrae", found.enthalpy.kilojoules_per_kilogram())
        .with("density_kg_m3_ashrae", found.density.kilograms_per_cubic_metre()))
}

fn draft(row: &Row<'_>, fuels: &Fuels) -> Result<Out, RowError> {
    let fuel = fuels.find(row.word("fuel")?)?;
    let pressure = barometer(row)?;
    let found = Draft {
        fuel: &fuel,
        excess_air: Ratio::from_percent(row.number("excess_air_pct")?),
        height: Length::from_feet(row.number("height_ft")?),
        flue: Temperature::from_fahrenheit(row.number("mean_flue_F")?),
        outdoor: Temperature::from_fahrenheit(row.number("outdoor_F")?),
        humidity: RelativeHumidity::from_percent(row.or("outdoor_rh_pct", 0.0)?),
        pressure,
    }
    .solve()?;
    Ok(Out::default()
        .with("baro_Pa", pressure.pascals())
        .with("outdoor_air_density_kg_m3", found.outdoor_density.kilograms_per_cubic_metre())
        .with("flue_density_kg_m3", found.flue_density.kilograms_per_cubic_metre())
        .with("theoretical_draft_inwc", found.draft.inches_wc())
        .with("theoretical_draft_Pa", found.draft.pascals())
        .with("trade_draft_inwc_0p2554", found.trade.inches_wc()))
}

fn openings(row: &Row<'_>, _: &Fuels) -> Result<Out, RowError> {
    let (fan, other) =
        match (row.maybe("fan_assisted_input_Btu_h")?, row.maybe("other_input_Btu_h")?) {
            (None, None) => (0.0, row.number("total_input_Btu_h")?),
            (fan, other) => (fan.unwrap_or(0.0), other.unwrap_or(0.0)),
        };
    let found = CombustionAir {
        fan_assisted: HeatRate::from_btu_per_hour(fan),
        other: HeatRate::from_btu_per_hour(other),
        air_changes: row.maybe("known_ach")?.map(Ratio::from_ratio),
        room: row.maybe("room_volume_ft3")?.map(Volume::from_cubic_feet),
    }
    .solve()?;
    Ok(Out::default()
        .with("required_volume_standard_50_ft3", found.standard_volume.cubic_feet())
        .maybe("required_volume_KAIR_ft3", found.known_volume.map(Volume::cubic_feet))
        .maybe("volume_ok_standard", found.room_suffices.map(|yes| f64::from(u8::from(yes))))
        .with("indoor_two_openings_same_story_in2_each", found.indoor_each.square_inches())
        .with("indoor_openings_different_story_in2_total", found.other_storey.square_inches())
        .with(
            "outdoor_two_direct_or_vertical_in2_each",
            found.outdoor_vertical_each.square_inches(),
        )
        .with(
            "outdoor_two_horizontal_ducts_in2_each",
            found.outdoor_horizontal_each.square_inches(),
        )
        .with("outdoor_single_opening_in2", found.outdoor_single.square_inches())
        .with("gross_area_metal_louver_75pct_in2_each_direct", found.metal_louver.square_inches())
        .with("gross_area_wood_louver_25pct_in2_each_direct", found.wood_louver.square_inches())
        .with("mech_makeup_cfm", found.mechanical.cfm()))
}
