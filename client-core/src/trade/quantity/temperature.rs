//! Temperatures and their differences, which are different things.

use crate::trade::quantity::{additive, quantity};

quantity! {
    /// A temperature. Canonical unit: kelvin.
    Temperature Temperature {
        from_kelvin kelvin K,
        from_celsius celsius C,
        from_fahrenheit fahrenheit F,
    }
}

quantity! {
    /// A difference of temperatures: rise, net stack. Canonical unit: kelvin.
    TemperatureDifference TemperatureDifference {
        from_kelvin kelvin DeltaC,
        from_fahrenheit fahrenheit DeltaF,
    }
}

quantity! {
    /// Days times degrees below a base temperature. Canonical unit: kelvin day.
    DegreeDays DegreeDays {
        from_kelvin_days kelvin_days DdC,
        from_fahrenheit_days fahrenheit_days DdF,
    }
}

additive!(TemperatureDifference, DegreeDays);

impl Temperature {
    /// 60 F, the usual base of gas volumes in the trade.
    pub const BASE_60F: Temperature = Temperature::from_fahrenheit(60.0);

    /// How much warmer this is than `other`.
    ///
    /// ```
    /// use client_core::trade::quantity::Temperature;
    /// let rise = Temperature::from_fahrenheit(117.0).above(Temperature::from_fahrenheit(62.0));
    /// assert!((rise.fahrenheit() - 55.0).abs() < 1e-9);
    /// ```
    pub const fn above(self, other: Temperature) -> TemperatureDifference {
        TemperatureDifference(self.0 - other.0)
    }

    /// This temperature raised by a difference.
    #[must_use]
    pub const fn plus(self, rise: TemperatureDifference) -> Temperature {
        Temperature(self.0 + rise.0)
    }
}
