//! Tables of fuels and their gas properties, and of water.

use crate::trade::flue::balance::Products;
use crate::trade::fuel::factor::FlueFactors;
use crate::trade::fuel::{
    CombustionReference, Fuel, GasProperties, MeteringReference, Mix, property,
};
use crate::trade::quantity::{AbsolutePressure, GasBase, Temperature};
use crate::trade::table::fuels::{of_row, shares};
use crate::trade::table::{Fuels, Out, Row, RowError, Table};
use crate::trade::water;

pub(super) const TABLES: &[Table] = &[
    Table {
        name: "fuels",
        inputs: &[
            "fuel",
            "basis",
            "x_CH4_mol_mol",
            "x_C2H6_mol_mol",
            "x_C3H8_mol_mol",
            "x_nC4H10_mol_mol",
            "x_iC4H10_mol_mol",
            "x_nC5H12_mol_mol",
            "x_iC5H12_mol_mol",
            "x_neoC5H12_mol_mol",
            "x_nC6H14_mol_mol",
            "x_C3H6_mol_mol",
            "x_H2_mol_mol",
            "x_CO_mol_mol",
            "x_H2S_mol_mol",
            "x_N2_mol_mol",
            "x_O2_mol_mol",
            "x_CO2_mol_mol",
            "x_Ar_mol_mol",
            "oil_C_kg_kg",
            "oil_H_kg_kg",
            "oil_S_kg_kg",
        ],
        outputs: &[
            "M_g_mol",
            "Z_60F",
            "SG_real_60F",
            "SG_ideal",
            "HHV_60F_kJ_per_mol_or_kg",
            "LHV_60F_kJ_per_mol_or_kg",
            "HHV_25C_kJ_per_mol_or_kg",
            "LHV_25C_kJ_per_mol_or_kg",
            "HHV_real_60F_14p696psia_MJ_m3",
            "HHV_real_60F_14p696psia_Btu_ft3",
            "HHV_ideal_60F_14p696psia_Btu_ft3",
            "HHV_real_60F_14p73psia_Btu_ft3",
            "LHV_real_60F_14p696psia_Btu_ft3",
            "Wobbe_gross_Btu_ft3",
            "Wobbe_gross_15C15C_MJ_m3",
            "stoich_O2_mol_per_mol_or_kg",
            "stoich_dry_air_mol_per_mol_or_kg",
            "stoich_air_mass_kg_per_kg",
            "stoich_dry_flue_mol_per_mol_or_kg",
            "stoich_wet_flue_mol_per_mol_or_kg",
            "CO2max_dry_pct",
            "CO2max_dry_pct_ignoring_air_CO2",
            "H2O_stoich_wet_pct",
            "dewpoint_stoich_dryair_101325Pa_C",
            "Fd_dscf_per_MMBtu_68F",
            "Fw_wscf_per_MMBtu_68F",
            "Fc_scfCO2_per_MMBtu_68F",
            "Fo_20p9",
            "latent_loss_pct_of_HHV",
            "HHV_over_LHV",
        ],
        one: fuels,
    },
    Table {
        name: "iso6976_properties",
        inputs: &["case", "x_CH4_mol_mol", "combustion_temp_C", "metering_temp_C", "pressure_Pa"],
        outputs: &[
            "M_g_mol",
            "Z",
            "Hc_gross_kJ_mol",
            "Hc_net_kJ_mol",
            "Hv_gross_real_MJ_m3",
            "Hv_net_real_MJ_m3",
            "Hv_gross_ideal_MJ_m3",
            "density_real_kg_m3",
            "rel_density_real",
            "rel_density_ideal",
            "wobbe_gross_real_MJ_m3",
            "wobbe_net_real_MJ_m3",
            "Hv_gross_real_Btu_ft3",
            "wobbe_gross_real_Btu_ft3",
        ],
        one: iso_6976,
    },
    Table { name: "saturation", inputs: &["temp_C"], outputs: &["psat_Pa"], one: saturation },
];

fn fuels(row: &Row<'_>, fuels: &Fuels) -> Result<Out, RowError> {
    let fuel = match of_row(row) {
        Err(RowError::Missing(column)) if column.starts_with("x_") => {
            fuels.find(row.word("fuel")?)?
        }
        other => other?,
    };
    let need = fuel.stoichiometry();
    let FlueFactors { dry, wet, carbon, ratio } = fuel.f_factors();
    let kilo = |joules: f64| joules / 1000.0;
    let products = Products::of(&fuel, 0.0, 0.0, 0.0)?;
    let water_share = products.h2o / products.wet();
    let dew = water::saturated_at((101_325.0 * water_share).max(1.0)) - 273.15;
    let out = Out::default()
        .with("HHV_60F_kJ_per_mol_or_kg", kilo(fuel.gross))
        .with("LHV_60F_kJ_per_mol_or_kg", kilo(fuel.net))
        .with("stoich_O2_mol_per_mol_or_kg", need.oxygen().ratio())
        .with("stoich_dry_air_mol_per_mol_or_kg", need.air().ratio())
        .with("stoich_dry_flue_mol_per_mol_or_kg", need.dry_flue().ratio())
        .with("stoich_wet_flue_mol_per_mol_or_kg", need.wet_flue().ratio())
        .with("CO2max_dry_pct", need.co2_max().percent())
        .with("CO2max_dry_pct_ignoring_air_CO2", need.co2_max_fuel_alone().percent())
        .with("H2O_stoich_wet_pct", 100.0 * water_share)
        .maybe("dewpoint_stoich_dryair_101325Pa_C", (water_share > 0.0).then_some(dew))
        .with("Fd_dscf_per_MMBtu_68F", dry.cubic_feet_per_mmbtu())
        .with("Fw_wscf_per_MMBtu_68F", wet.cubic_feet_per_mmbtu())
        .with("Fc_scfCO2_per_MMBtu_68F", carbon.cubic_feet_per_mmbtu())
        .maybe("Fo_20p9", (carbon.cubic_feet_per_mmbtu() > 0.0).then(|| ratio.ratio()))
        .with("latent_loss_pct_of_HHV", fuel.latent_share().percent())
        .with("HHV_over_LHV", fuel.gross_over_net().ratio());
    match fuel.mix() {
        Some(mix) => gas(out, &fuel, mix),
        None => Ok(out
            .with("M_g_mol", 1000.0)
            // An oil's heating value is taken for both references; its water is not.
            .with("HHV_25C_kJ_per_mol_or_kg", kilo(fuel.gross))
            .with(
                "LHV_25C_kJ_per_mol_or_kg",
                kilo(fuel.gross) - fuel.atoms.hydrogen / 2.0 * property::LATENT_25C_KJ,
            )
            .with("stoich_air_mass_kg_per_kg", need.air().ratio() * 28.96546 / 1000.0)),
    }
}

fn gas(out: Out, fuel: &Fuel, mix: &Mix) -> Result<Out, RowError> {
    let base = fuel.at_base(GasBase::ATMOSPHERE_60F)?;
    let bill = fuel.at_base(GasBase::PSIA_14_73)?;
    let standard = AbsolutePressure::STANDARD;
    let warm =
        property::properties(mix, CombustionReference::C25, MeteringReference::F60, standard)?;
    let metric =
        property::properties(mix, CombustionReference::C15, MeteringReference::C15, standard)?;
    let grams = base.molar_mass.grams_per_mole();
    Ok(out
        .with("M_g_mol", grams)
        .with("Z_60F", base.compression.ratio())
        .with("SG_real_60F", base.relative_density.ratio())
        .with("SG_ideal", base.relative_density_ideal.ratio())
        .with("HHV_25C_kJ_per_mol_or_kg", warm.molar_gross.kilojoules_per_mole())
        .with("LHV_25C_kJ_per_mol_or_kg", warm.molar_net.kilojoules_per_mole())
        .with("HHV_real_60F_14p696psia_MJ_m3", base.gross.megajoules_per_cubic_metre())
        .with("HHV_real_60F_14p696psia_Btu_ft3", base.gross.btu_per_cubic_foot())
        .with("HHV_ideal_60F_14p696psia_Btu_ft3", base.gross_ideal.btu_per_cubic_foot())
        .with("HHV_real_60F_14p73psia_Btu_ft3", bill.gross.btu_per_cubic_foot())
        .with("LHV_real_60F_14p696psia_Btu_ft3", base.net.btu_per_cubic_foot())
        .with("Wobbe_gross_Btu_ft3", base.wobbe_gross.btu_per_cubic_foot())
        .with("Wobbe_gross_15C15C_MJ_m3", metric.wobbe_gross.megajoules_per_cubic_metre())
        .with("stoich_air_mass_kg_per_kg", fuel.stoichiometry().air().ratio() * 28.96546 / grams))
}

fn iso_6976(row: &Row<'_>, _: &Fuels) -> Result<Out, RowError> {
    let mix = Mix::new(&shares(row)?)?;
    let celsius = |column| row.number(column).map(Temperature::from_celsius);
    let found: GasProperties = property::properties(
        &mix,
        CombustionReference::at(celsius("combustion_temp_C")?)?,
        MeteringReference::at(celsius("metering_temp_C")?)?,
        AbsolutePressure::from_pascals(row.or("pressure_Pa", 101_325.0)?),
    )?;
    Ok(Out::default()
        .with("M_g_mol", found.molar_mass.grams_per_mole())
        .with("Z", found.compression.ratio())
        .with("Hc_gross_kJ_mol", found.molar_gross.kilojoules_per_mole())
        .with("Hc_net_kJ_mol", found.molar_net.kilojoules_per_mole())
        .with("Hv_gross_real_MJ_m3", found.gross.megajoules_per_cubic_metre())
        .with("Hv_net_real_MJ_m3", found.net.megajoules_per_cubic_metre())
        .with("Hv_gross_ideal_MJ_m3", found.gross_ideal.megajoules_per_cubic_metre())
        .with("density_real_kg_m3", found.density.kilograms_per_cubic_metre())
        .with("rel_density_real", found.relative_density.ratio())
        .with("rel_density_ideal", found.relative_density_ideal.ratio())
        .with("wobbe_gross_real_MJ_m3", found.wobbe_gross.megajoules_per_cubic_metre())
        .with("wobbe_net_real_MJ_m3", found.wobbe_net.megajoules_per_cubic_metre())
        .with("Hv_gross_real_Btu_ft3", found.gross.btu_per_cubic_foot())
        .with("wobbe_gross_real_Btu_ft3", found.wobbe_gross.btu_per_cubic_foot()))
}

fn saturation(row: &Row<'_>, _: &Fuels) -> Result<Out, RowError> {
    let at = Temperature::from_celsius(row.number("temp_C")?);
    Ok(Out::default().with("psat_Pa", water::saturation_pressure(at)?.pascals()))
}
