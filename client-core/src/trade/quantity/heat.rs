//! Heat: rates, amounts, and heating values by volume, mass and mole.

use crate::trade::quantity::{ActualFlow, StandardFlow, TimeSpan, additive, quantity};

quantity! {
    /// Heat per time. Canonical unit: watt.
    HeatRate HeatRate {
        from_watts watts W,
        from_kilowatts kilowatts Kw,
        from_btu_per_hour btu_per_hour BtuH,
        from_mbh mbh Mbh,
    }
}

quantity! {
    /// Heat. Canonical unit: joule.
    Energy Energy {
        from_joules joules J,
        from_btu btu Btu,
        from_therms therms Therm,
        from_kilowatt_hours kilowatt_hours Kwh,
    }
}

quantity! {
    /// Heat per volume of gas, at the base that stands beside it. Canonical unit: joule per cubic metre.
    HeatingValue HeatingValue {
        from_btu_per_cubic_foot btu_per_cubic_foot BtuFt3,
        from_megajoules_per_cubic_metre megajoules_per_cubic_metre MjM3,
    }
}

quantity! {
    /// Heat per mass. Canonical unit: joule per kilogram.
    SpecificEnergy SpecificEnergy {
        from_kilojoules_per_kilogram kilojoules_per_kilogram KjKg,
        from_btu_per_pound btu_per_pound BtuLb,
    }
}

quantity! {
    /// Heat per amount of substance. Canonical unit: joule per mole.
    MolarEnergy MolarEnergy {
        from_kilojoules_per_mole kilojoules_per_mole KjMol,
    }
}

additive!(HeatRate, Energy, HeatingValue, SpecificEnergy, MolarEnergy);

impl HeatingValue {
    /// Heat carried by a flow at the same base.
    ///
    /// ```
    /// use client_core::trade::quantity::{HeatingValue, StandardFlow};
    /// let gas = HeatingValue::from_btu_per_cubic_foot(1025.0);
    /// assert!((gas.times(StandardFlow::from_scfh(80.0)).mbh() - 82.0).abs() < 1e-9);
    /// ```
    pub const fn times(self, flow: StandardFlow) -> HeatRate {
        HeatRate::from_btu_per_hour(self.btu_per_cubic_foot() * flow.scfh())
    }

    /// Heat of a flow as metered, as if it were at the base already: the uncorrected rule.
    pub const fn times_uncorrected(self, flow: ActualFlow) -> HeatRate {
        HeatRate::from_btu_per_hour(self.btu_per_cubic_foot() * flow.cfh())
    }
}

impl HeatRate {
    /// Heat over a time.
    pub const fn over(self, time: TimeSpan) -> Energy {
        Energy(self.0 * time.seconds())
    }
}
