//! Air and water side, and hoses.

use super::{Figures, Kind, Suspicion, near, ratio};
use crate::record::phrase::{Gap, Phrase};

pub(super) fn suspicions(figures: &Figures<'_>) -> Vec<Suspicion> {
    let mut found = Vec::new();
    let pairs = [
        ("air out", figures.air_out_f, "air in", figures.air_in_f, " F", "the two air probes"),
        (
            "supply water",
            figures.water_supply_f,
            "return water",
            figures.water_return_f,
            " F",
            "the two pipe probes",
        ),
        (
            "inlet pressure",
            figures.inlet_in_wc,
            "manifold",
            figures.manifold_in_wc,
            " in w.c.",
            "the two hoses",
        ),
    ];
    for (high_name, high, low_name, low, unit, what) in pairs {
        if let (Some(high), Some(low)) = (high, low)
            && high < low
        {
            found.push(Suspicion {
                kind: Kind::MixedUp,
                because: Phrase::new(
                    "{} {} is under {} {}: {} may have changed places",
                    vec![
                        Gap::word(high_name),
                        Gap::As(format!("{high:.1}{unit}")),
                        Gap::word(low_name),
                        Gap::As(format!("{low:.1}{unit}")),
                        Gap::word(what),
                    ],
                ),
                next: "look at where each is, and read again",
            });
        }
    }
    found.extend(low_airflow(figures));
    found
}

/// A rise over the plate with the input at the plate leaves the air.
fn low_airflow(figures: &Figures<'_>) -> Option<Suspicion> {
    let rise = figures.air_out_f? - figures.air_in_f?;
    let max = figures.rise_max_f?;
    let input = ratio(figures.clocked_input_btu_h, figures.plate_input_btu_h);
    let pressure = ratio(figures.manifold_in_wc, figures.plate_manifold_in_wc);
    let at_plate = input.or(pressure.map(f64::sqrt)).is_some_and(|ratio| near(ratio, 0.05));
    (rise > max && at_plate).then(|| {
        let stack = ratio(figures.net_stack_f(), figures.before.and_then(|before| before.net_stack_f));
        let hot = stack.is_some_and(|ratio| ratio > 1.1);
        Suspicion {
            kind: Kind::LowAirflow,
            because: Phrase::new(
                if hot {
                    "rise {} F, plate at most {} F, input at the plate, stack hotter than before: too little \
                     air over the exchanger"
                } else {
                    "rise {} F, plate at most {} F, input at the plate: too little air over the exchanger"
                },
                vec![Gap::As(format!("{rise:.0}")), Gap::As(format!("{max:.0}"))],
            ),
            next: "look at filter, louvres, belt, blade and goods in front, then fan current and rotation",
        }
    })
}
