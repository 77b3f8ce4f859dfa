//! Time spans, speeds and turning speeds. Times of the clock are arguments of other rooms.

use crate::trade::quantity::{additive, quantity};

quantity! {
    /// A span of time. Canonical unit: second.
    TimeSpan Time {
        from_seconds seconds S,
        from_minutes minutes Min,
        from_hours hours H,
        from_days days Day,
    }
}

quantity! {
    /// A speed. Canonical unit: metre per second.
    Speed Speed {
        from_metres_per_second metres_per_second MS,
        from_mph mph Mph,
        from_feet_per_minute feet_per_minute Fpm,
    }
}

quantity! {
    /// Turns per time. Canonical unit: turn per second.
    RotationSpeed Rotation {
        from_rpm rpm Rpm,
    }
}

additive!(TimeSpan, Speed, RotationSpeed);
