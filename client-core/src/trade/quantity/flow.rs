//! Volume flows: as they are in the pipe, and referred to a stated base.

use crate::trade::quantity::{AbsolutePressure, Temperature, additive, quantity};

quantity! {
    /// Volume flow at the conditions of the place. Canonical unit: cubic metre per second.
    ActualFlow Flow {
        from_cubic_metres_per_second cubic_metres_per_second M3S,
        from_cfh cfh Cfh,
        from_cfm cfm Cfm,
    }
}

quantity! {
    /// Volume flow of gas or air referred to a base, which the result beside it names.
    /// Canonical unit: cubic metre per second.
    StandardFlow StandardFlow {
        from_standard_cubic_metres_per_hour standard_cubic_metres_per_hour Sm3H,
        from_scfh scfh Scfh,
        from_scfm scfm Scfm,
    }
}

quantity! {
    /// Volume flow of a liquid. Canonical unit: cubic metre per second.
    WaterFlow Flow {
        from_cubic_metres_per_second cubic_metres_per_second M3S,
        from_gpm gpm Gpm,
        from_litres_per_second litres_per_second LS,
    }
}

additive!(ActualFlow, StandardFlow, WaterFlow);

/// Pressure and temperature to which a gas volume or a heating value is referred.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GasBase {
    /// Absolute pressure of the base.
    pub pressure: AbsolutePressure,
    /// Temperature of the base.
    pub temperature: Temperature,
}

impl GasBase {
    /// 14.73 psia and 60 F. Source: the base of most gas bills in North America (common practice).
    pub const PSIA_14_73: GasBase = GasBase::at_60f(14.73);
    /// One standard atmosphere and 60 F.
    pub const ATMOSPHERE_60F: GasBase =
        GasBase { pressure: AbsolutePressure::STANDARD, temperature: Temperature::BASE_60F };

    /// So many psia and 60 F.
    pub const fn at_60f(psia: f64) -> GasBase {
        let pressure = AbsolutePressure::from_psia(psia);
        GasBase { pressure, temperature: Temperature::BASE_60F }
    }
}
