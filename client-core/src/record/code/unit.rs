//! Units as documents store them: a number for each unit that the sums know.

use std::fmt;

use crate::trade::unit::{Dimension, Unit};

/// A unit as stored. A number that this version does not know prints as `unit 999` and is kept.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct UnitCode(pub u16);

/// Number and unit. Numbers are never reused; a new unit goes to the end.
const TABLE: &[(u16, &str)] = &[
    (1, "in_wc"),
    (2, "in_wc_39f"),
    (3, "in_wc_60f"),
    (4, "mm_wc"),
    (5, "psi"),
    (6, "oz_in2"),
    (7, "pa"),
    (8, "mbar"),
    (9, "kpa"),
    (10, "bar"),
    (11, "inhg"),
    (12, "mmhg"),
    (13, "psig"),
    (14, "psia"),
    (15, "f"),
    (16, "c"),
    (17, "k"),
    (19, "delta_f"),
    (20, "delta_c"),
    (21, "cfh"),
    (22, "cfm"),
    (23, "m3_h"),
    (24, "l_s"),
    (25, "gpm"),
    (26, "scfh"),
    (27, "btu_h"),
    (28, "mbh"),
    (29, "kw"),
    (30, "btu"),
    (31, "therm"),
    (32, "mj"),
    (33, "kwh"),
    (34, "btu_ft3"),
    (35, "mj_m3"),
    (36, "in"),
    (37, "ft"),
    (38, "mm"),
    (39, "cm"),
    (40, "m"),
    (41, "ft2"),
    (42, "m2"),
    (43, "ft3"),
    (44, "m3"),
    (45, "gal"),
    (46, "lb"),
    (47, "kg"),
    (48, "ua"),
    (49, "ma"),
    (50, "a"),
    (51, "mv"),
    (52, "v"),
    (53, "ohm"),
    (54, "kohm"),
    (55, "mohm"),
    (56, "s"),
    (57, "min"),
    (58, "h"),
    (59, "day"),
    (60, "mph"),
    (61, "m_s"),
    (62, "km_h"),
    (63, "fpm"),
    (64, "rpm"),
    (65, "pct"),
    (66, "ppm"),
    (67, "pct_lel"),
    (68, "ph"),
    (69, "ratio"),
    (70, "n"),
    (71, "kwh_m3"),
];

impl UnitCode {
    /// The stored number of a unit, if records store that unit.
    pub fn of(unit: Unit) -> Option<UnitCode> {
        Self::from_key(unit.key())
    }

    /// The stored number of the unit with this key.
    pub fn from_key(key: &str) -> Option<UnitCode> {
        TABLE.iter().find(|(_, known)| *known == key).map(|(code, _)| UnitCode(*code))
    }

    /// The unit, if this version knows it.
    pub fn unit(self) -> Option<Unit> {
        TABLE.iter().find(|(code, _)| *code == self.0).and_then(|(_, key)| Unit::from_key(key))
    }

    /// The lower-case key, or `unit_999` for a number of a newer version.
    pub fn key(self) -> String {
        self.unit().map_or_else(|| format!("unit_{}", self.0), |unit| unit.key().to_owned())
    }

    /// The symbol a person reads.
    pub fn symbol(self) -> String {
        self.unit().map_or_else(|| format!("unit {}", self.0), |unit| unit.symbol().to_owned())
    }

    /// What the unit measures, if this version knows it.
    pub fn dimension(self) -> Option<Dimension> {
        self.unit().map(Unit::dimension)
    }
}

impl fmt::Debug for UnitCode {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "UnitCode({})", self.key())
    }
}

impl<C> minicbor::Encode<C> for UnitCode {
    fn encode<W: minicbor::encode::Write>(
        &self,
        out: &mut minicbor::Encoder<W>,
        _: &mut C,
    ) -> Result<(), minicbor::encode::Error<W::Error>> {
        out.u16(self.0)?.ok()
    }
}

impl<'b, C> minicbor::Decode<'b, C> for UnitCode {
    fn decode(
        input: &mut minicbor::Decoder<'b>,
        _: &mut C,
    ) -> Result<Self, minicbor::decode::Error> {
        input.u16().map(UnitCode)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_stored_unit_is_one_that_the_sums_know() {
        let mut seen = std::collections::BTreeSet::new();
        for (code, key) in TABLE {
            assert!(Unit::from_key(key).is_some(), "{key}");
            assert!(
                seen.insert(*code) && UnitCode::from_key(key) == Some(UnitCode(*code)),
                "{key}"
            );
        }
        assert_eq!(UnitCode(999).symbol(), "unit 999");
    }
}
