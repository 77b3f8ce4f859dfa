//! Units that a gas-heat technician types or reads: one stable key each, and exact factors to SI.
//!
//! Factors are exact by definition unless the line says otherwise.
//! Sources: NIST SP 811 (2008) appendix B, and the definitions named beside each unit.

pub mod alias;
pub mod decimal;
pub mod parse;
pub mod show;

pub use decimal::Decimal;
pub use parse::{Typed, TypedWrong, parse, parse_in};
pub use show::System;

/// What a unit measures. Two units convert into each other only within one dimension.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Dimension {
    /// Gauge pressure and pressure difference, and absolute pressure where a unit serves all three.
    Pressure,
    /// Gauge pressure only, for units that say so.
    GaugePressure,
    /// Absolute pressure only, for units that say so.
    AbsolutePressure,
    /// A point on a temperature scale.
    Temperature,
    /// A difference of two temperatures.
    TemperatureDifference,
    /// Volume flow at the conditions of the place.
    Flow,
    /// Volume flow referred to a stated base.
    StandardFlow,
    /// Heat per time.
    HeatRate,
    /// Heat.
    Energy,
    /// Heat per volume of gas at a stated base.
    HeatingValue,
    /// Heat per mass.
    SpecificEnergy,
    /// Heat per amount of substance.
    MolarEnergy,
    /// Length.
    Length,
    /// Area.
    Area,
    /// Volume.
    Volume,
    /// Mass.
    Mass,
    /// Mass per time.
    MassFlow,
    /// Mass per volume.
    Density,
    /// Mass per amount of substance.
    MolarMass,
    /// Dynamic viscosity.
    Viscosity,
    /// Electric current.
    Current,
    /// Electric voltage.
    Voltage,
    /// Electric resistance.
    Resistance,
    /// Time span.
    Time,
    /// Speed.
    Speed,
    /// Turns per time.
    Rotation,
    /// A share of a whole, and any dimensionless ratio.
    Share,
    /// Share of the lower explosive limit.
    ExplosiveLimit,
    /// Mass of water per mass of dry air.
    HumidityRatio,
    /// Acidity.
    Acidity,
    /// Pieces or events.
    Count,
    /// Days times degrees below the base temperature.
    DegreeDays,
    /// Volume of flue gas per heat.
    VolumePerHeat,
    /// Money of the firm's own currency.
    Money,
    /// Money per heat.
    Price,
}

macro_rules! units {
    ($($(#[$doc:meta])* $name:ident $key:literal $symbol:literal $dimension:ident $factor:expr, $offset:expr;)*) => {
        /// A unit of measurement.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        pub enum Unit { $($(#[$doc])* $name,)* }

        impl Unit {
            /// Every unit, in the order of the dimensions.
            pub const ALL: &'static [Unit] = &[$(Unit::$name,)*];

            /// The stable lower-case key that records store.
            pub const fn key(self) -> &'static str { match self { $(Unit::$name => $key,)* } }

            /// The unit with this key.
            ///
            /// ```
            /// use client_core::trade::unit::Unit;
            /// assert_eq!(Unit::from_key("in_wc"), Some(Unit::InWc));
            /// assert_eq!(Unit::from_key("furlong"), None);
            /// ```
            pub fn from_key(key: &str) -> Option<Unit> {
                match key { $($key => Some(Unit::$name),)* _ => None }
            }

            /// The symbol as the trade prints it.
            pub const fn symbol(self) -> &'static str { match self { $(Unit::$name => $symbol,)* } }

            /// What the unit measures.
            pub const fn dimension(self) -> Dimension {
                match self { $(Unit::$name => Dimension::$dimension,)* }
            }

            /// SI value of one step of this unit.
            const fn factor(self) -> f64 { match self { $(Unit::$name => $factor,)* } }

            /// Zero of this unit above the SI zero, counted in steps of this unit.
            const fn offset(self) -> f64 { match self { $(Unit::$name => $offset,)* } }
        }
    };
}

/// One international table Btu in joules. Source: ISO 31-4 / NIST SP 811, exact.
pub(crate) const BTU: f64 = 1055.05585262;
/// One international foot in metres. Source: NIST SP 811, exact.
pub(crate) const FOOT: f64 = 0.3048;
/// One inch in metres. Source: NIST SP 811, exact.
pub(crate) const INCH: f64 = 0.0254;
/// One cubic foot in cubic metres. Source: the foot, exact.
pub(crate) const CUBIC_FOOT: f64 = 0.028316846592;
/// One pound in kilograms. Source: NIST SP 811, exact.
pub(crate) const POUND: f64 = 0.45359237;
/// Pound-force per square inch in pascals. Source: pound, standard gravity and inch, rounded at 1e-13.
pub(crate) const PSI: f64 = 6894.757293168361;
/// One US gallon in cubic metres. Source: 231 cubic inches, exact.
pub(crate) const GALLON: f64 = 0.003785411784;

units! {
    /// Inch of water column, conventional (water of 1000 kg/m3): 249.08891 Pa. The trade's default.
    InWc "in_wc" "in w.c." Pressure 249.08891, 0.0;
    /// Inch of water column at 39.2 F (4 C, real density of water): 249.082 Pa, NIST SP 811.
    InWc39f "in_wc_39f" "in w.c. (39 F)" Pressure 249.082, 0.0;
    /// Inch of water column at 60 F: 248.84 Pa, NIST SP 811.
    InWc60f "in_wc_60f" "in w.c. (60 F)" Pressure 248.84, 0.0;
    /// Millimetre of water column, conventional.
    MmWc "mm_wc" "mm w.c." Pressure 9.80665, 0.0;
    /// Pound-force per square inch.
    Psi "psi" "psi" Pressure PSI, 0.0;
    /// Ounce-force per square inch.
    OzIn2 "oz_in2" "oz/in2" Pressure PSI / 16.0, 0.0;
    /// Pascal.
    Pa "pa" "Pa" Pressure 1.0, 0.0;
    /// Millibar.
    Mbar "mbar" "mbar" Pressure 100.0, 0.0;
    /// Kilopascal.
    Kpa "kpa" "kPa" Pressure 1000.0, 0.0;
    /// Bar.
    Bar "bar" "bar" Pressure 100_000.0, 0.0;
    /// Inch of mercury at 32 F (conventional).
    Inhg "inhg" "inHg" Pressure 3386.388640341, 0.0;
    /// Millimetre of mercury (conventional).
    Mmhg "mmhg" "mmHg" Pressure 133.322387415, 0.0;
    /// Pound-force per square inch above the air around.
    Psig "psig" "psig" GaugePressure PSI, 0.0;
    /// Pound-force per square inch above vacuum.
    Psia "psia" "psia" AbsolutePressure PSI, 0.0;
    /// Degree Fahrenheit.
    F "f" "F" Temperature 5.0 / 9.0, 459.67;
    /// Degree Celsius.
    C "c" "C" Temperature 1.0, 273.15;
    /// Kelvin.
    K "k" "K" Temperature 1.0, 0.0;
    /// Fahrenheit degree of difference.
    DeltaF "delta_f" "F" TemperatureDifference 5.0 / 9.0, 0.0;
    /// Celsius degree (kelvin) of difference.
    DeltaC "delta_c" "C" TemperatureDifference 1.0, 0.0;
    /// Cubic foot per hour.
    Cfh "cfh" "cfh" Flow CUBIC_FOOT / 3600.0, 0.0;
    /// Cubic foot per minute.
    Cfm "cfm" "cfm" Flow CUBIC_FOOT / 60.0, 0.0;
    /// Cubic metre per hour.
    M3H "m3_h" "m3/h" Flow 1.0 / 3600.0, 0.0;
    /// Cubic metre per second.
    M3S "m3_s" "m3/s" Flow 1.0, 0.0;
    /// Litre per second.
    LS "l_s" "L/s" Flow 0.001, 0.0;
    /// Litre per minute.
    LMin "l_min" "L/min" Flow 0.001 / 60.0, 0.0;
    /// US gallon per minute.
    Gpm "gpm" "gpm" Flow GALLON / 60.0, 0.0;
    /// Cubic foot per hour at the stated base.
    Scfh "scfh" "scfh" StandardFlow CUBIC_FOOT / 3600.0, 0.0;
    /// Cubic foot per minute at the stated base.
    Scfm "scfm" "scfm" StandardFlow CUBIC_FOOT / 60.0, 0.0;
    /// Cubic metre per hour at the stated base.
    Sm3H "sm3_h" "sm3/h" StandardFlow 1.0 / 3600.0, 0.0;
    /// Btu (IT) per hour.
    BtuH "btu_h" "Btu/h" HeatRate BTU / 3600.0, 0.0;
    /// Thousand Btu (IT) per hour.
    Mbh "mbh" "MBH" HeatRate 1000.0 * BTU / 3600.0, 0.0;
    /// Million Btu (IT) per hour.
    MmbtuH "mmbtu_h" "MMBtu/h" HeatRate 1e6 * BTU / 3600.0, 0.0;
    /// Watt.
    W "w" "W" HeatRate 1.0, 0.0;
    /// Kilowatt.
    Kw "kw" "kW" HeatRate 1000.0, 0.0;
    /// Kilojoule per hour.
    KjH "kj_h" "kJ/h" HeatRate 1000.0 / 3600.0, 0.0;
    /// Horsepower of 550 foot pound-force per second.
    Hp "hp" "hp" HeatRate 745.6998715822702, 0.0;
    /// Boiler horsepower, 33,475 Btu/h (common practice, no source).
    BoilerHp "boiler_hp" "boiler hp" HeatRate 33_475.0 * BTU / 3600.0, 0.0;
    /// Btu (IT).
    Btu "btu" "Btu" Energy BTU, 0.0;
    /// Therm of 100,000 Btu (IT).
    Therm "therm" "therm" Energy 1e5 * BTU, 0.0;
    /// Joule.
    J "j" "J" Energy 1.0, 0.0;
    /// Megajoule.
    Mj "mj" "MJ" Energy 1e6, 0.0;
    /// Kilowatt-hour.
    Kwh "kwh" "kWh" Energy 3.6e6, 0.0;
    /// Btu (IT) per cubic foot at the stated base.
    BtuFt3 "btu_ft3" "Btu/ft3" HeatingValue BTU / CUBIC_FOOT, 0.0;
    /// Megajoule per cubic metre at the stated base.
    MjM3 "mj_m3" "MJ/m3" HeatingValue 1e6, 0.0;
    /// Kilowatt-hour per cubic metre at the stated base.
    KwhM3 "kwh_m3" "kWh/m3" HeatingValue 3.6e6, 0.0;
    /// Btu (IT) per pound.
    BtuLb "btu_lb" "Btu/lb" SpecificEnergy BTU / POUND, 0.0;
    /// Kilojoule per kilogram.
    KjKg "kj_kg" "kJ/kg" SpecificEnergy 1000.0, 0.0;
    /// Kilojoule per mole.
    KjMol "kj_mol" "kJ/mol" MolarEnergy 1000.0, 0.0;
    /// Inch.
    In "in" "in" Length INCH, 0.0;
    /// Foot.
    Ft "ft" "ft" Length FOOT, 0.0;
    /// Millimetre.
    Mm "mm" "mm" Length 0.001, 0.0;
    /// Centimetre.
    Cm "cm" "cm" Length 0.01, 0.0;
    /// Metre.
    M "m" "m" Length 1.0, 0.0;
    /// Square inch.
    In2 "in2" "in2" Area INCH * INCH, 0.0;
    /// Square foot.
    Ft2 "ft2" "ft2" Area FOOT * FOOT, 0.0;
    /// Square millimetre.
    Mm2 "mm2" "mm2" Area 1e-6, 0.0;
    /// Square centimetre.
    Cm2 "cm2" "cm2" Area 1e-4, 0.0;
    /// Square metre.
    M2 "m2" "m2" Area 1.0, 0.0;
    /// Cubic foot.
    Ft3 "ft3" "ft3" Volume CUBIC_FOOT, 0.0;
    /// Cubic metre.
    M3 "m3" "m3" Volume 1.0, 0.0;
    /// Litre.
    L "l" "L" Volume 0.001, 0.0;
    /// US gallon.
    Gal "gal" "gal" Volume GALLON, 0.0;
    /// Pound.
    Lb "lb" "lb" Mass POUND, 0.0;
    /// Kilogram.
    Kg "kg" "kg" Mass 1.0, 0.0;
    /// Pound per hour.
    LbH "lb_h" "lb/h" MassFlow POUND / 3600.0, 0.0;
    /// Kilogram per hour.
    KgH "kg_h" "kg/h" MassFlow 1.0 / 3600.0, 0.0;
    /// Kilogram per second.
    KgS "kg_s" "kg/s" MassFlow 1.0, 0.0;
    /// Pound per cubic foot.
    LbFt3 "lb_ft3" "lb/ft3" Density POUND / CUBIC_FOOT, 0.0;
    /// Kilogram per cubic metre.
    KgM3 "kg_m3" "kg/m3" Density 1.0, 0.0;
    /// Gram per mole.
    GMol "g_mol" "g/mol" MolarMass 0.001, 0.0;
    /// Centipoise.
    Cp "cp" "cP" Viscosity 0.001, 0.0;
    /// Pascal second.
    PaS "pa_s" "Pa s" Viscosity 1.0, 0.0;
    /// Microampere.
    Ua "ua" "uA" Current 1e-6, 0.0;
    /// Milliampere.
    Ma "ma" "mA" Current 0.001, 0.0;
    /// Ampere.
    A "a" "A" Current 1.0, 0.0;
    /// Millivolt.
    Mv "mv" "mV" Voltage 0.001, 0.0;
    /// Volt.
    V "v" "V" Voltage 1.0, 0.0;
    /// Ohm.
    Ohm "ohm" "ohm" Resistance 1.0, 0.0;
    /// Kilohm.
    Kohm "kohm" "kohm" Resistance 1000.0, 0.0;
    /// Megohm.
    Mohm "mohm" "Mohm" Resistance 1e6, 0.0;
    /// Second.
    S "s" "s" Time 1.0, 0.0;
    /// Minute.
    Min "min" "min" Time 60.0, 0.0;
    /// Hour.
    H "h" "h" Time 3600.0, 0.0;
    /// Day of 24 hours.
    Day "day" "d" Time 86_400.0, 0.0;
    /// Mile per hour.
    Mph "mph" "mph" Speed 0.44704, 0.0;
    /// Metre per second.
    MS "m_s" "m/s" Speed 1.0, 0.0;
    /// Kilometre per hour.
    KmH "km_h" "km/h" Speed 1.0 / 3.6, 0.0;
    /// Foot per minute.
    Fpm "fpm" "fpm" Speed FOOT / 60.0, 0.0;
    /// Revolution per minute.
    Rpm "rpm" "rpm" Rotation 1.0 / 60.0, 0.0;
    /// Percent.
    Pct "pct" "%" Share 0.01, 0.0;
    /// Part per million.
    Ppm "ppm" "ppm" Share 1e-6, 0.0;
    /// A plain ratio.
    Ratio "ratio" "" Share 1.0, 0.0;
    /// Percent of the lower explosive limit.
    PctLel "pct_lel" "% LEL" ExplosiveLimit 0.01, 0.0;
    /// Mass of water per mass of dry air.
    KgKg "kg_kg" "kg/kg" HumidityRatio 1.0, 0.0;
    /// Grains of water per pound of dry air.
    GrLb "gr_lb" "gr/lb" HumidityRatio 1.0 / 7000.0, 0.0;
    /// pH.
    Ph "ph" "pH" Acidity 1.0, 0.0;
    /// Pieces or events.
    N "n" "" Count 1.0, 0.0;
    /// Fahrenheit degree-day.
    DdF "dd_f" "F d" DegreeDays 5.0 / 9.0, 0.0;
    /// Celsius degree-day.
    DdC "dd_c" "C d" DegreeDays 1.0, 0.0;
    /// Cubic foot per million Btu (IT).
    Ft3Mmbtu "ft3_mmbtu" "ft3/MMBtu" VolumePerHeat CUBIC_FOOT / (1e6 * BTU), 0.0;
    /// Cubic metre per joule.
    M3J "m3_j" "m3/J" VolumePerHeat 1.0, 0.0;
    /// The firm's currency.
    Money "money" "" Money 1.0, 0.0;
    /// The firm's currency per therm.
    MoneyTherm "money_therm" "per therm" Price 1.0 / (1e5 * BTU), 0.0;
    /// The firm's currency per kilowatt-hour.
    MoneyKwh "money_kwh" "per kWh" Price 1.0 / 3.6e6, 0.0;
}

impl Unit {
    /// SI value of `value` of this unit.
    pub const fn to_si(self, value: f64) -> f64 {
        (value + self.offset()) * self.factor()
    }

    /// Value in this unit of an SI value.
    pub const fn from_si(self, si: f64) -> f64 {
        si / self.factor() - self.offset()
    }

    /// Whether a quantity of `dimension` may be given in this unit.
    pub const fn measures(self, dimension: Dimension) -> bool {
        use Dimension::{AbsolutePressure, GaugePressure, Pressure};
        match (self.dimension(), dimension) {
            (Pressure, AbsolutePressure | GaugePressure) | (GaugePressure, Pressure) => true,
            (own, asked) => own as u8 == asked as u8,
        }
    }

    /// `value` of this unit in `to`, or `None` where the two measure different things.
    ///
    /// ```
    /// use client_core::trade::unit::Unit;
    /// let mbar = Unit::InWc.convert(3.5, Unit::Mbar).unwrap();
    /// assert!((mbar - 8.718_111_85).abs() < 1e-9);
    /// assert_eq!(Unit::InWc.convert(3.5, Unit::F), None);
    /// ```
    pub fn convert(self, value: f64, to: Unit) -> Option<f64> {
        let same = self.measures(to.dimension()) || to.measures(self.dimension());
        if !same {
            return None;
        }
        if self == to {
            return Some(value);
        }
        Some(to.from_si(self.to_si(value)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_are_unique_lower_case_and_come_back() {
        let mut seen = std::collections::BTreeSet::new();
        for unit in Unit::ALL {
            assert!(seen.insert(unit.key()), "{} twice", unit.key());
            assert_eq!(unit.key(), unit.key().to_lowercase());
            assert_eq!(Unit::from_key(unit.key()), Some(*unit));
        }
    }

    #[test]
    fn every_unit_comes_back_through_si() {
        for unit in Unit::ALL {
            for value in [-40.0, 0.0, 0.37, 3.5, 1025.0] {
                let back = unit.from_si(unit.to_si(value));
                assert!((back - value).abs() <= 1e-10 * (1.0 + value.abs()), "{unit:?} {value}");
            }
        }
    }

    #[test]
    fn three_inches_of_water_are_three_units() {
        // Source: NIST SP 811 appendix B.8 prints all three.
        assert!((Unit::InWc.to_si(1.0) - 249.08891).abs() < 1e-9);
        assert!((Unit::InWc39f.to_si(1.0) - 249.082).abs() < 1e-9);
        assert!((Unit::InWc60f.to_si(1.0) - 248.84).abs() < 1e-9);
        let spread = Unit::InWc.to_si(1.0) / Unit::InWc60f.to_si(1.0) - 1.0;
        assert!((spread - 0.001).abs() < 1e-5, "the spread is a tenth of a percent, got {spread}");
    }

    #[test]
    fn gauge_and_absolute_do_not_mix() {
        assert_eq!(Unit::Psig.convert(1.0, Unit::Psia), None);
        assert_eq!(Unit::Psi.convert(1.0, Unit::Psig), Some(1.0));
        assert!(Unit::F.convert(1.0, Unit::DeltaF).is_none());
    }
}
