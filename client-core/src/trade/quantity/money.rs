//! Money of the firm's own currency, for the cost of lost efficiency.

use crate::trade::quantity::{Energy, additive, quantity};

quantity! {
    /// An amount of the firm's currency. Canonical unit: one.
    Money Money {
        from_units units Money,
    }
}

quantity! {
    /// Money per heat. Canonical unit: currency per joule.
    Price Price {
        from_per_therm per_therm MoneyTherm,
        from_per_kilowatt_hour per_kilowatt_hour MoneyKwh,
    }
}

additive!(Money, Price);

impl Price {
    /// What an amount of heat costs.
    pub const fn times(self, heat: Energy) -> Money {
        Money(self.0 * heat.joules())
    }
}
