//! Gas side: parts, setting, input.

use super::{Figures, Gas, Kind, Suspicion, near, ratio};
use crate::record::phrase::{Gap, Phrase};

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
        because: Phrase::new(
            "plate says {}, supply is {}",
            vec![Gap::word(plate.name()), Gap::word(supply.name())],
        ),
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
            because: Phrase::new(
                "{} marked \"{}\" is for {}, supply is {}",
                vec![
                    Gap::word(part.part),
                    Gap::of(part.marking),
                    Gap::word(part.for_gas.map_or("another gas", Gas::name)),
                    Gap::word(supply.name()),
                ],
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
        let told = |usual: &'static str| {
            let clocked = figures.clocked_input_btu_h.unwrap_or_default() / 1e3;
            let plate = figures.plate_input_btu_h.unwrap_or_default() / 1e3;
            let with = vec![
                Gap::As(format!("{clocked:.1}")),
                Gap::As(format!("{plate:.0}")),
                hundredths(figures.manifold_in_wc.unwrap_or_default()),
                hundredths(figures.plate_manifold_in_wc.unwrap_or_default()),
                hundredths(area),
                Phrase::plain(usual).into(),
            ];
            Phrase::new(
                "clocked input {} MBH against plate {}, manifold {} in w.c. against plate {}: the orifices \
                 pass about {} of what the plate needs, {}",
                with,
            )
        };
        if supply == Gas::Natural && LP_ON_NATURAL.contains(&area) {
            return Some(lp_on_natural(told("LP orifices on natural gas pass about 0.37 to 0.39")));
        }
        if supply == Gas::Lp && NATURAL_ON_LP.contains(&area) {
            return Some(Suspicion {
                kind: Kind::NaturalPartsOnLp,
                because: told("natural-gas orifices on LP pass about 2.6 to 2.7"),
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
        lp_on_natural(Phrase::new(
            "manifold {} in w.c. is {} times the plate's, yet O2 is {} %: more pressure with less gas points \
             to small orifices, as LP ones are",
            vec![
                hundredths(figures.manifold_in_wc.unwrap_or_default()),
                Gap::As(format!("{pressure:.1}")),
                Gap::As(format!("{o2:.1}")),
            ],
        ))
    })
}

/// A figure with two decimals.
fn hundredths(figure: f64) -> Gap {
    Gap::As(format!("{figure:.2}"))
}

fn lp_on_natural(because: Phrase) -> Suspicion {
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
                off.then(|| fire(figures, clocked, How::Both))
            } else if near(unexplained / 2.0, EXPLAINED) || near(unexplained * 2.0, EXPLAINED) {
                Some(dial(unexplained))
            } else {
                Some(orifice(unexplained))
            }
        }
        (Some(clocked), None) if !near(clocked, INPUT_BAND) => {
            Some(fire(figures, clocked, How::Clock))
        }
        (None, Some(by_root)) if manifold_off => Some(fire(figures, by_root, How::Manifold)),
        _ => None,
    }
}

/// What tells how far the input is from the plate.
#[derive(Clone, Copy)]
enum How {
    Both,
    Clock,
    Manifold,
}

fn fire(figures: &Figures<'_>, input: f64, how: How) -> Suspicion {
    let percent = (input - 1.0).abs() * 100.0;
    let over = input > 1.0;
    let kind = if over { Kind::Overfire } else { Kind::Underfire };
    let words = match (over, how) {
        (true, How::Both) => {
            "input is about {} % over the plate by clock and by square root of the manifold pressure"
        }
        (true, How::Clock) => {
            "input is about {} % over the plate by clock; the manifold pressure is not taken"
        }
        (true, How::Manifold) => {
            "input is about {} % over the plate by square root of the manifold pressure; not clocked"
        }
        (false, How::Both) => {
            "input is about {} % under the plate by clock and by square root of the manifold pressure"
        }
        (false, How::Clock) => {
            "input is about {} % under the plate by clock; the manifold pressure is not taken"
        }
        (false, How::Manifold) => {
            "input is about {} % under the plate by square root of the manifold pressure; not clocked"
        }
    };
    let input = Phrase::new(words, vec![Gap::As(format!("{percent:.0}"))]);
    Suspicion {
        kind,
        because: match (figures.manifold_in_wc, figures.plate_manifold_in_wc) {
            (Some(found), Some(plate)) => Phrase::new(
                "manifold {} in w.c., plate {}; {}",
                vec![hundredths(found), hundredths(plate), input.into()],
            ),
            _ => input,
        },
        next: "set to plate and clock the meter, then CO again; plate and local code govern",
    }
}

fn orifice(unexplained: f64) -> Suspicion {
    let words = if unexplained > 1.0 {
        "the clock gives {} times what the manifold pressure explains: the orifices pass more than the plate's, \
         or the meter served other load"
    } else {
        "the clock gives {} times what the manifold pressure explains: the orifices pass less than the plate's, \
         or the meter served other load"
    };
    Suspicion {
        kind: Kind::Orifice,
        because: Phrase::new(words, vec![hundredths(unexplained)]),
        next: "clock again with other load off; gauge the orifices against the plate",
    }
}

fn dial(unexplained: f64) -> Suspicion {
    Suspicion {
        kind: Kind::MeterDial,
        because: Phrase::new(
            "the clock gives {} times what the manifold pressure explains: that is a dial size entered wrong as \
             often as a wrong orifice",
            vec![hundredths(unexplained)],
        ),
        next: "read the dial size on the meter's face, compute both, then gauge the orifices if it stays",
    }
}
