//! The table of unit conversions, which also knows the spellings of scientific unit libraries.

use crate::trade::table::{Fuels, Out, Row, RowError, Table};
use crate::trade::unit::Unit;
use crate::trade::unit::alias::spelled;

pub(super) const TABLES: &[Table] = &[Table {
    name: "unit_conversions",
    inputs: &["from_unit", "to_unit", "value_in"],
    outputs: &["value_out"],
    one: convert,
}];

/// Spellings beside the keys and the trade's own.
const LONG: &[(&str, Unit)] = &[
    ("inwc4", Unit::InWc),
    ("inwc60", Unit::InWc60f),
    ("mmwc4", Unit::MmWc),
    ("pascal", Unit::Pa),
    ("kilopascal", Unit::Kpa),
    ("millibar", Unit::Mbar),
    ("inHg", Unit::Inhg),
    ("Btu_it/hour", Unit::BtuH),
    ("kilojoule/hour", Unit::KjH),
    ("kilowatt", Unit::Kw),
    ("horsepower", Unit::Hp),
    ("foot**3/hour", Unit::Cfh),
    ("foot**3/minute", Unit::Cfm),
    ("meter**3/hour", Unit::M3H),
    ("meter**3/second", Unit::M3S),
    ("liter/minute", Unit::LMin),
    ("liter/second", Unit::LS),
    ("liter", Unit::L),
    ("pound", Unit::Lb),
    ("kilogram", Unit::Kg),
    ("millimeter", Unit::Mm),
    ("meter", Unit::M),
    ("Btu_it/foot**3", Unit::BtuFt3),
    ("megajoule/meter**3", Unit::MjM3),
    ("kilowatt_hour/meter**3", Unit::KwhM3),
    ("Btu_it/pound", Unit::BtuLb),
    ("kilojoule/kilogram", Unit::KjKg),
    ("pound/foot**3", Unit::LbFt3),
    ("kilogram/meter**3", Unit::KgM3),
    ("cm**2", Unit::Cm2),
    ("inch**2", Unit::In2),
    ("foot**2", Unit::Ft2),
    ("meter**2", Unit::M2),
    ("foot**3", Unit::Ft3),
    ("meter**3", Unit::M3),
    ("delta_degF", Unit::DeltaF),
    ("delta_degC", Unit::DeltaC),
    ("MBH", Unit::Mbh),
    ("kilowatt_hour", Unit::Kwh),
    ("megajoule", Unit::Mj),
    ("joule", Unit::J),
];

fn unit(row: &Row<'_>, column: &'static str) -> Result<Unit, RowError> {
    let cell = row.word(column)?;
    let long = LONG.iter().find(|(spelling, _)| *spelling == cell).map(|(_, unit)| *unit);
    long.or_else(|| spelled(cell)).ok_or(RowError::UnknownWord {
        column,
        cell: cell.to_owned(),
        known: "the unit keys, for example in_wc, psi, mbar, f, c, btu_h, kw",
    })
}

fn convert(row: &Row<'_>, _: &Fuels) -> Result<Out, RowError> {
    let (from, to) = (unit(row, "from_unit")?, unit(row, "to_unit")?);
    let value = row.number("value_in")?;
    let refused =
        || RowError::NoConversion { from: from.key().to_owned(), to: to.key().to_owned() };
    let converted = from.convert(value, to).filter(|value| value.is_finite());
    Ok(Out::default().with("value_out", converted.ok_or_else(refused)?))
}
