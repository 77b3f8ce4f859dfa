//! Lengths, areas and volumes.

use crate::trade::quantity::{additive, quantity};

quantity! {
    /// A length. Canonical unit: metre.
    Length Length {
        from_metres metres M,
        from_feet feet Ft,
        from_inches inches In,
        from_millimetres millimetres Mm,
    }
}

quantity! {
    /// An area. Canonical unit: square metre.
    Area Area {
        from_square_metres square_metres M2,
        from_square_inches square_inches In2,
        from_square_feet square_feet Ft2,
    }
}

quantity! {
    /// A volume. Canonical unit: cubic metre.
    Volume Volume {
        from_cubic_metres cubic_metres M3,
        from_cubic_feet cubic_feet Ft3,
        from_gallons gallons Gal,
        from_litres litres L,
    }
}

additive!(Length, Area, Volume);

impl Length {
    /// Area of a circle of this diameter.
    pub const fn circle(self) -> Area {
        Area(std::f64::consts::FRAC_PI_4 * self.0 * self.0)
    }
}
