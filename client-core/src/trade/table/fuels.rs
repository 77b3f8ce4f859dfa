//! The fuels of a run: rows of a fuel table, else the named defaults.

use crate::trade::fuel::named::OIL2_GROSS;
use crate::trade::fuel::{Component, Fuel, Mix, OilAnalysis};
use crate::trade::quantity::{Concentration, Ratio, SpecificEnergy};
use crate::trade::table::row::{Row, RowError};
use std::collections::BTreeMap;

/// Fuels by name.
#[derive(Clone, Debug, Default)]
pub struct Fuels {
    own: BTreeMap<String, Result<Fuel, RowError>>,
}

impl Fuels {
    /// Reads a fuel table: a column `fuel`, mole shares in `x_<component>_mol_mol`, or an oil in
    /// `oil_C_kg_kg`, `oil_H_kg_kg`, `oil_S_kg_kg` with `HHV_60F_kJ_per_mol_or_kg`.
    pub fn read(header: &[&str], rows: &[Vec<String>]) -> Fuels {
        let mut own = BTreeMap::new();
        for cells in rows {
            let row = Row { header, cells };
            if let Some(name) = row.text("fuel") {
                own.insert(name.to_owned(), of_row(&row));
            }
        }
        Fuels { own }
    }

    /// The fuel of a name.
    pub fn find(&self, name: &str) -> Result<Fuel, RowError> {
        match self.own.get(name) {
            Some(Ok(fuel)) => Ok(fuel.clone()),
            Some(Err(reason)) => {
                Err(RowError::BadFuel { name: name.to_owned(), reason: reason.to_string() })
            }
            None => Fuel::named(name).ok_or_else(|| RowError::UnknownFuel(name.to_owned())),
        }
    }
}

/// Component shares that a row gives, in any `x_<component>_mol_mol` column.
pub(super) fn shares(row: &Row<'_>) -> Result<Vec<(Component, Concentration)>, RowError> {
    let mut shares = Vec::new();
    for component in Component::all() {
        let column = format!("x_{}_mol_mol", component.key());
        if let Some(share) = row.maybe(&column)?.filter(|share| *share != 0.0) {
            shares.push((component, Concentration::from_fraction(share)));
        }
    }
    Ok(shares)
}

/// The fuel that a row describes by its composition, or names.
pub(super) fn of_row(row: &Row<'_>) -> Result<Fuel, RowError> {
    let name = row.text("fuel").unwrap_or("fuel").to_owned();
    let shares = shares(row)?;
    if !shares.is_empty() {
        return Ok(Fuel::gas(name, Mix::new(&shares)?)?);
    }
    let carbon = row.or("oil_C_kg_kg", 0.0)?;
    if carbon == 0.0 {
        return Fuel::named(&name).ok_or(RowError::Missing("x_..._mol_mol".to_owned()));
    }
    let analysis = |gross| -> Result<OilAnalysis, RowError> {
        Ok(OilAnalysis {
            carbon: Ratio::from_ratio(carbon),
            hydrogen: Ratio::from_ratio(row.or("oil_H_kg_kg", 0.0)?),
            sulphur: Ratio::from_ratio(row.or("oil_S_kg_kg", 0.0)?),
            gross,
        })
    };
    let column = "HHV_60F_kJ_per_mol_or_kg";
    let gross = match row.maybe(column)? {
        Some(gross) => SpecificEnergy::from_kilojoules_per_kilogram(gross),
        // No. 2 oil as assumed here may leave its heating value out; another oil may not.
        None if Fuel::named("oil2").is_some_and(|oil| {
            analysis(OIL2_GROSS).is_ok_and(|own| *oil.body() == crate::trade::fuel::Body::Oil(own))
        }) =>
        {
            OIL2_GROSS
        }
        None => return Err(RowError::Missing(column.to_owned())),
    };
    Ok(Fuel::oil(name, analysis(gross)?)?)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cells(texts: &[&str]) -> Vec<String> {
        texts.iter().map(|text| (*text).to_owned()).collect()
    }

    #[test]
    fn rows_go_before_defaults_and_bad_rows_say_why() {
        let header = ["fuel", "x_CH4_mol_mol", "x_H2_mol_mol"];
        let rows = [cells(&["propane", "0.8", "0.2"]), cells(&["broken", "0.4", ""])];
        let fuels = Fuels::read(&header, &rows);
        let own = fuels.find("propane").unwrap();
        assert!(own.mix().is_some_and(|mix| mix.parts().count() == 2));
        assert!(fuels.find("broken").unwrap_err().to_string().contains("100 %"));
        assert!(fuels.find("methane").is_ok());
        assert!(matches!(fuels.find("coal"), Err(RowError::UnknownFuel(_))));
    }

    #[test]
    fn an_oil_needs_its_heating_value_unless_it_is_the_default() {
        let header = ["fuel", "oil_C_kg_kg", "oil_H_kg_kg", "oil_S_kg_kg"];
        let fuels = Fuels::read(
            &header,
            &[
                cells(&["oil", "0.868", "0.131", "0.001"]),
                cells(&["heavy", "0.88", "0.11", "0.01"]),
            ],
        );
        assert!(fuels.find("oil").is_ok());
        assert!(fuels.find("heavy").unwrap_err().to_string().contains("HHV_60F"));
    }
}
