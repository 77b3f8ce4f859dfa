//! Currents, voltages and resistances.

use crate::trade::quantity::{additive, quantity};

quantity! {
    /// An electric current. Canonical unit: ampere.
    Current Current {
        from_microamperes microamperes Ua,
        from_milliamperes milliamperes Ma,
        from_amperes amperes A,
    }
}

quantity! {
    /// An electric voltage. Canonical unit: volt.
    Voltage Voltage {
        from_millivolts millivolts Mv,
        from_volts volts V,
    }
}

quantity! {
    /// An electric resistance. Canonical unit: ohm.
    Resistance Resistance {
        from_ohms ohms Ohm,
        from_megohms megohms Mohm,
    }
}

additive!(Current, Voltage, Resistance);
