//! Pressures: above the air around, above vacuum, and between two taps.

use crate::trade::quantity::{Ratio, additive, quantity};

quantity! {
    /// Pressure above the air around. Canonical unit: pascal.
    GaugePressure Pressure {
        from_pascals pascals Pa,
        from_inches_wc inches_wc InWc,
        from_psi psi Psi,
        from_millibar millibar Mbar,
        from_kilopascals kilopascals Kpa,
    }
}

quantity! {
    /// Pressure above vacuum. Canonical unit: pascal.
    AbsolutePressure AbsolutePressure {
        from_pascals pascals Pa,
        from_psia psia Psia,
        from_inches_mercury inches_mercury Inhg,
        from_kilopascals kilopascals Kpa,
        from_millibar millibar Mbar,
    }
}

quantity! {
    /// Difference of two pressures: draft, drop, setpoint. Canonical unit: pascal.
    PressureDifference Pressure {
        from_pascals pascals Pa,
        from_inches_wc inches_wc InWc,
        from_kilopascals kilopascals Kpa,
    }
}

additive!(GaugePressure, PressureDifference);

impl AbsolutePressure {
    /// One standard atmosphere. Source: ISO 2533, exact.
    pub const STANDARD: AbsolutePressure = AbsolutePressure::from_pascals(101_325.0);

    /// This air pressure plus a gauge pressure in it.
    ///
    /// ```
    /// use client_core::trade::quantity::{AbsolutePressure, GaugePressure};
    /// let inside = AbsolutePressure::from_psia(14.27).plus(GaugePressure::from_psi(2.0));
    /// assert!((inside.psia() - 16.27).abs() < 1e-12);
    /// ```
    #[must_use]
    pub const fn plus(self, gauge: GaugePressure) -> AbsolutePressure {
        AbsolutePressure(self.0 + gauge.0)
    }

    /// Ratio of two absolute pressures.
    pub const fn over(self, other: AbsolutePressure) -> Ratio {
        Ratio::from_ratio(self.0 / other.0)
    }
}

impl GaugePressure {
    /// The difference from here to `other`.
    pub const fn drop_to(self, other: GaugePressure) -> PressureDifference {
        PressureDifference(self.0 - other.0)
    }
}
