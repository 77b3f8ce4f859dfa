//! The table of flue analyses, and of the heat of its species.

use crate::trade::constant::KELVIN_60F;
use crate::trade::flue::balance::Products;
use crate::trade::flue::{Dilution, FRESH_AIR, FlueReading, analyse};
use crate::trade::impossible::Range;
use crate::trade::quantity::{
    AbsolutePressure, Concentration, Ratio, RelativeHumidity, Temperature,
};
use crate::trade::species::{AR, CO, CO2, H2O, Heat, N2, O2, SO2};
use crate::trade::table::{Fuels, Out, Row, RowError, Table};
use crate::trade::unit::Unit;
use crate::trade::water;

pub(super) const TABLES: &[Table] = &[
    Table {
        name: "combustion",
        inputs: &[
            "fuel",
            "excess_air_pct | o2_dry_pct",
            "flue_temp_C",
            "air_temp_C",
            "air_rh_pct",
            "pressure_Pa",
            "co_dry_ppm",
        ],
        outputs: &[
            "excess_air_pct",
            "o2_dry_pct",
            "co2_dry_pct",
            "n2_plus_ar_dry_pct",
            "o2_wet_pct",
            "h2o_wet_pct",
            "dry_flue_mol_per_mol_or_kg",
            "wet_flue_mol_per_mol_or_kg",
            "dry_air_mol_per_mol_or_kg",
            "air_water_mol_per_mol_or_kg",
            "co_air_free_exact_ppm",
            "co2max_dry_pct",
            "dewpoint_C",
            "condensed_frac_of_combustion_water",
            "loss_dry_sensible_pct_HHV",
            "loss_water_vapour_sensible_pct_HHV",
            "loss_latent_pct_HHV",
            "loss_CO_pct_HHV",
            "loss_datum_remainder_pct_HHV",
            "eff_gross_nocond_pct",
            "eff_gross_pct",
            "eff_net_nocond_pct",
            "eff_net_pct",
            "flue_M_wet_g_mol",
            "flue_density_kg_m3",
        ],
        one: combustion,
    },
    Table {
        name: "species_enthalpy",
        inputs: &["species", "temp_C"],
        outputs: &["cp_J_mol_K", "h_minus_h60F_kJ_mol", "h_minus_h25C_kJ_mol"],
        one: species,
    },
];

fn combustion(row: &Row<'_>, fuels: &Fuels) -> Result<Out, RowError> {
    let fuel = fuels.find(row.word("fuel")?)?;
    let dilution = match row.maybe("excess_air_pct")? {
        Some(excess) => Dilution::ExcessAir(Ratio::from_percent(excess)),
        None => match row.maybe("o2_dry_pct")? {
            Some(o2) => Dilution::Oxygen(Concentration::from_percent(o2)),
            None => return Err(RowError::Missing("excess_air_pct | o2_dry_pct".to_owned())),
        },
    };
    let reading = FlueReading {
        dilution,
        co: Concentration::from_ppm(row.or("co_dry_ppm", 0.0)?),
        flue: Temperature::from_celsius(row.number("flue_temp_C")?),
        air: Temperature::from_celsius(row.number("air_temp_C")?),
        humidity: RelativeHumidity::from_percent(row.or("air_rh_pct", 0.0)?),
        pressure: AbsolutePressure::from_pascals(row.or("pressure_Pa", 101_325.0)?),
        fresh_air: FRESH_AIR,
    };
    let found = analyse(&fuel, &reading)?;
    let pressure = reading.pressure.pascals();
    let vapour = reading.humidity.fraction() * water::saturation(reading.air.kelvin());
    let moisture = vapour / (pressure - vapour);
    let products = Products::of(&fuel, found.excess_air.ratio(), reading.co.fraction(), moisture)?;
    let losses = [found.dry_loss, found.vapour_loss, found.latent_loss, found.co_loss];
    let counted: f64 = losses.iter().map(|loss| loss.percent()).sum();
    let remainder = 100.0 - found.gross_without_condensing.percent() - counted;
    Ok(Out::default()
        .with("excess_air_pct", found.excess_air.percent())
        .with("o2_dry_pct", found.o2.percent())
        .with("co2_dry_pct", found.co2.percent())
        .with("n2_plus_ar_dry_pct", 100.0 * (products.n2 + products.argon) / products.dry)
        .with("o2_wet_pct", found.o2_wet.percent())
        .with("h2o_wet_pct", found.h2o_wet.percent())
        .with("dry_flue_mol_per_mol_or_kg", products.dry)
        .with("wet_flue_mol_per_mol_or_kg", products.wet())
        .with("dry_air_mol_per_mol_or_kg", products.air)
        .with("air_water_mol_per_mol_or_kg", products.air_moisture)
        .with("co_air_free_exact_ppm", found.co_air_free.ppm())
        .with("co2max_dry_pct", found.co2_max.percent())
        .maybe("dewpoint_C", found.dew_point.map(Temperature::celsius))
        .with("condensed_frac_of_combustion_water", found.condensed.ratio())
        .with("loss_dry_sensible_pct_HHV", found.dry_loss.percent())
        .with("loss_water_vapour_sensible_pct_HHV", found.vapour_loss.percent())
        .with("loss_latent_pct_HHV", found.latent_loss.percent())
        .with("loss_CO_pct_HHV", found.co_loss.percent())
        .with("loss_datum_remainder_pct_HHV", remainder)
        .with("eff_gross_nocond_pct", found.gross_without_condensing.percent())
        .with("eff_gross_pct", found.gross.percent())
        .with("eff_net_nocond_pct", found.net_without_condensing.percent())
        .with("eff_net_pct", found.net.percent())
        .with("flue_M_wet_g_mol", found.molar_mass.grams_per_mole())
        .with("flue_density_kg_m3", found.density.kilograms_per_cubic_metre()))
}

fn species(row: &Row<'_>, _: &Fuels) -> Result<Out, RowError> {
    const RANGE: Range = Range {
        what: "temperature",
        low: -73.0,
        high: 726.0,
        unit: Unit::C,
        hint: "the polynomials hold from 200 to 1000 K",
    };
    let cell = row.word("species")?;
    let heat: Heat = match cell {
        "CO2" => CO2,
        "H2O" => H2O,
        "N2" => N2,
        "O2" => O2,
        "AR" | "Ar" => AR,
        "CO" => CO,
        "SO2" => SO2,
        other => match crate::trade::fuel::Component::from_key(other) {
            Some(component) => component.row().heat,
            None => {
                return Err(RowError::UnknownWord {
                    column: "species",
                    cell: cell.to_owned(),
                    known: "CO2, H2O, N2, O2, Ar, CO, SO2 or a fuel component",
                });
            }
        },
    };
    let at = RANGE.check(Temperature::from_celsius(row.number("temp_C")?))?.kelvin();
    Ok(Out::default()
        .with("cp_J_mol_K", heat.capacity(at))
        .with("h_minus_h60F_kJ_mol", heat.between(KELVIN_60F, at) / 1000.0)
        .with("h_minus_h25C_kJ_mol", heat.between(298.15, at) / 1000.0))
}
