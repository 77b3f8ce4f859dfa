//! Masses, mass flows, densities, molar masses and viscosities.

use crate::trade::quantity::{additive, quantity};

quantity! {
    /// A mass. Canonical unit: kilogram.
    Mass Mass {
        from_kilograms kilograms Kg,
        from_pounds pounds Lb,
    }
}

quantity! {
    /// Mass per time. Canonical unit: kilogram per second.
    MassFlow MassFlow {
        from_kilograms_per_second kilograms_per_second KgS,
        from_kilograms_per_hour kilograms_per_hour KgH,
        from_pounds_per_hour pounds_per_hour LbH,
    }
}

quantity! {
    /// Mass per volume. Canonical unit: kilogram per cubic metre.
    Density Density {
        from_kilograms_per_cubic_metre kilograms_per_cubic_metre KgM3,
        from_pounds_per_cubic_foot pounds_per_cubic_foot LbFt3,
    }
}

quantity! {
    /// Mass per amount of substance. Canonical unit: kilogram per mole.
    MolarMass MolarMass {
        from_grams_per_mole grams_per_mole GMol,
    }
}

quantity! {
    /// Dynamic viscosity. Canonical unit: pascal second.
    Viscosity Viscosity {
        from_pascal_seconds pascal_seconds PaS,
        from_centipoise centipoise Cp,
    }
}

additive!(Mass, MassFlow, Density, MolarMass, Viscosity);
