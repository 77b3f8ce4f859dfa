//! Shares: concentrations in flue gas and air, ratios, humidity, explosive limit, acidity, counts.

use crate::trade::quantity::{additive, quantity};

quantity! {
    /// A volume share of a gas; dry unless a name says wet. Canonical unit: one.
    Concentration Share {
        from_percent percent Pct,
        from_ppm ppm Ppm,
        from_fraction fraction Ratio,
    }
}

quantity! {
    /// A dimensionless ratio: a factor, an efficiency, an excess. Canonical unit: one.
    Ratio Share {
        from_ratio ratio Ratio,
        from_percent percent Pct,
    }
}

quantity! {
    /// Humidity relative to saturation over water, over ice below 0.01 C. Canonical unit: one.
    RelativeHumidity Share {
        from_percent percent Pct,
        from_fraction fraction Ratio,
    }
}

quantity! {
    /// Share of the lower explosive limit. Canonical unit: one.
    ExplosiveShare ExplosiveLimit {
        from_percent_lel percent_lel PctLel,
    }
}

quantity! {
    /// Mass of water per mass of dry air. Canonical unit: one.
    HumidityRatio HumidityRatio {
        from_kg_per_kg kg_per_kg KgKg,
        from_grains_per_pound grains_per_pound GrLb,
    }
}

quantity! {
    /// Volume of flue gas at 68 F and one atmosphere per heat. Canonical unit: cubic metre per joule.
    FlueVolume VolumePerHeat {
        from_cubic_feet_per_mmbtu cubic_feet_per_mmbtu Ft3Mmbtu,
        from_cubic_metres_per_joule cubic_metres_per_joule M3J,
    }
}

quantity! {
    /// Acidity of a liquid. Canonical unit: pH.
    Acidity Acidity {
        from_ph ph Ph,
    }
}

quantity! {
    /// Pieces or events. Canonical unit: one.
    Count Count {
        from_number number N,
    }
}

additive!(Concentration, RelativeHumidity, ExplosiveShare, HumidityRatio, Count);

impl std::ops::Add for Ratio {
    type Output = Ratio;
    fn add(self, other: Ratio) -> Ratio {
        Ratio(self.0 + other.0)
    }
}

impl std::ops::Sub for Ratio {
    type Output = Ratio;
    fn sub(self, other: Ratio) -> Ratio {
        Ratio(self.0 - other.0)
    }
}

impl std::ops::Mul for Ratio {
    type Output = Ratio;
    fn mul(self, other: Ratio) -> Ratio {
        Ratio(self.0 * other.0)
    }
}
