//! Gas side: parts, setting, input.

use super::{Figures, Gas, Kind, Suspicion, near, ratio};

/// Clocked input this far from the plate is over- or underfired. Common practice: within 5 %.
const INPUT_BAND: f64 = 0.05;
/// Clock and square root of the manifold pressure this close together explain each other. Trade judgement.
const EXPLAINED: f64 = 0.08;
/// Effective orifice area over the plate's with LP orifices on natural gas. Equal heat at 3.5 and 10 to
/// 11 in w.c. makes LP orifices 0.37 to 0.39 of the area; the band allows for readings.
const LP_ON_NATURAL: std::ops::RangeInclusive<f64> = 0.32..=0.46;
/// The inverse: 2.6 to 2.7.
const NATURAL_ON_LP: std::ops::RangeInclusive<f64> = 2.2..=3.1;

pub(super) fn suspicions(figures: &Figures<'_>) -> Vec<Suspicion> {
    let mut found = Vec::new();
    found.extend(plate_against_supply(figures));
    found.extend(parts_against_supply(figures));
    match kit(figures) {
        Some(kit) => found.push(kit),
        None => found.extend(setting(figures)),
    }
    found
}

fn plate_against_supply(figures: &Figures<'_>) -> Option<Suspicion> {
    let (plate, supply) = (figures.plate_gas?, figures.supplied_gas?);
    (plate != supply).then(|| Suspicion {
        kind: Kind::PlateAgainstSupply,
        because: format!("plate says {}, supply is {}", plate.name(), supply.name()),
        next: "look for a listed conversion: orifices, spring and label; without one the unit stays off; the \
               plate and local code govern",
    })
}

fn parts_against_supply(figures: &Figures<'_>) -> Vec<Suspicion> {
    let Some(supply) = figures.supplied_gas else { return Vec::new() };
    let other = |gas: Option<Gas>| gas.is_some_and(|gas| gas != supply);
    let parts = figures.parts.iter().filter(|part| other(part.for_gas));
    parts
        .map(|part| Suspicion {
            kind: Kind::PartAgainstSupply,
            because: format!(
                "{} marked \"{}\" is for {}, supply is {}",
                part.part,
                part.marking,
                part.for_gas.map_or("another gas", Gas::name),
                supply.name()
            ),
            next: "photograph it; compare every gas part with the plate; fit only the listed kit",
        })
        .collect()
}

/// Orifice area as the clock and the manifold tell it, over the plate's: flow goes with area times the
/// square root of pressure.
fn effective_area(figures: &Figures<'_>) -> Option<f64> {
    let input = ratio(figures.clocked_input_btu_h, figures.plate_input_btu_h)?;
    let pressure = ratio(figures.manifold_in_wc, figures.plate_manifold_in_wc)?;
    Some(input / pressure.sqrt())
}

fn kit(figures: &Figures<'_>) -> Option<Suspicion> {
    let supply = figures.supplied_gas?;
    if let Some(area) = effective_area(figures) {
        let told = |gas: &str, usual: &str| {
            format!(
                "clocked input {:.1} MBH against plate {:.0}, manifold {:.2} in w.c. against plate {:.2}: \
                 the orifices pass about {area:.2} of what the plate needs, {gas} about {usual}",
                figures.clocked_input_btu_h.unwrap_or_default() / 1e3,
                figures.plate_input_btu_h.unwrap_or_default() / 1e3,
                figures.manifold_in_wc.unwrap_or_default(),
                figures.plate_manifold_in_wc.unwrap_or_default(),
            )
        };
        if supply == Gas::Natural && LP_ON_NATURAL.contains(&area) {
            let told = told("LP orifices on natural gas pass", "0.37 to 0.39");
            return Some(lp_on_natural(told));
        }
        if supply == Gas::Lp && NATURAL_ON_LP.contains(&area) {
            return Some(Suspicion {
                kind: Kind::NaturalPartsOnLp,
                because: told("natural-gas orifices on LP pass", "2.6 to 2.7"),
                next: "shut the cock at once; no clocking, no flue test; look at orifice stamp, spring and \
                       label with the unit dead; a qualified person decides",
            });
        }
        return None;
    }
    // Without the clock: a manifold far over the plate with O2 far up is no overfire, which lowers O2.
    let pressure = ratio(figures.manifold_in_wc, figures.plate_manifold_in_wc)?;
    let o2 = figures.o2_pct?;
    let usual = figures.before.and_then(|before| before.o2_pct).unwrap_or(9.0);
    (supply == Gas::Natural && pressure >= 1.3 && o2 >= usual + 3.0).then(|| {
        lp_on_natural(format!(
            "manifold {:.2} in w.c. is {:.1} times the plate's, yet O2 is {o2:.1} %: more pressure with less \
             gas points to small orifices, as LP ones are",
            figures.manifold_in_wc.unwrap_or_default(),
            pressure
        ))
    })
}

fn lp_on_natural(because: String) -> Suspicion {
    Suspicion {
        kind: Kind::LpPartsOnNatural,
        because,
        next: "shut down; with the unit dead look at orifice stamp, spring, pilot orifice and label; fit the \
               listed kit, then clock and test again; the plate and a qualified person decide",
    }
}

fn setting(figures: &Figures<'_>) -> Option<Suspicion> {
    let pressure = ratio(figures.manifold_in_wc, figures.plate_manifold_in_wc);
    let clocked = ratio(figures.clocked_input_btu_h, figures.plate_input_btu_h);
    let allowed_in_wc = if figures.supplied_gas == Some(Gas::Lp) { 0.3 } else { 0.2 };
    let manifold_off = pressure.is_some_and(|ratio| {
        let plate = figures.plate_manifold_in_wc.unwrap_or_default();
        !near(ratio, 0.05) && (ratio - 1.0).abs() * plate > allowed_in_wc
    });
    let by_root = pressure.map(f64::sqrt);
    match (clocked, by_root) {
        (Some(clocked), Some(by_root)) => {
            let unexplained = clocked / by_root;
            if near(unexplained, EXPLAINED) {
                let off = manifold_off || !near(clocked, INPUT_BAND);
                off.then(|| {
                    fire(figures, clocked, "by clock and by square root of the manifold pressure")
                })
            } else if near(unexplained / 2.0, EXPLAINED) || near(unexplained * 2.0, EXPLAINED) {
                Some(dial(unexplained))
            } else {
                Some(orifice(unexplained))
            }
        }
        (Some(clocked), None) if !near(clocked, INPUT_BAND) => {
            Some(fire(figures, clocked, "by clock; the manifold pressure is not taken"))
        }
        (None, Some(by_root)) if manifold_off => {
            Some(fire(figures, by_root, "by square root of the manifold pressure; not clocked"))
        }
        _ => None,
    }
}

fn fire(figures: &Figures<'_>, input: f64, how: &str) -> Suspicion {
    let percent = (input - 1.0).abs() * 100.0;
    let (kind, side) =
        if input > 1.0 { (Kind::Overfire, "over") } else { (Kind::Underfire, "under") };
    let manifold = match (figures.manifold_in_wc, figures.plate_manifold_in_wc) {
        (Some(found), Some(plate)) => format!("manifold {found:.2} in w.c., plate {plate:.2}; "),
        _ => String::new(),
    };
    Suspicion {
        kind,
        because: format!("{manifold}input is about {percent:.0} % {side} the plate {how}"),
        next: "set to plate and clock the meter, then CO again; plate and local code govern",
    }
}

fn orifice(unexplained: f64) -> Suspicion {
    let side = if unexplained > 1.0 { "more" } else { "less" };
    Suspicion {
        kind: Kind::Orifice,
        because: format!(
            "the clock gives {unexplained:.2} times what the manifold pressure explains: the orifices pass \
             {side} than the plate's, or the meter served other load"
        ),
        next: "clock again with other load off; gauge the orifices against the plate",
    }
}

fn dial(unexplained: f64) -> Suspicion {
    Suspicion {
        kind: Kind::MeterDial,
        because: format!(
            "the clock gives {unexplained:.2} times what the manifold pressure explains: that is a dial size \
             entered wrong as often as a wrong orifice"
        ),
        next: "read the dial size on the meter's face, compute both, then gauge the orifices if it stays",
    }
}
