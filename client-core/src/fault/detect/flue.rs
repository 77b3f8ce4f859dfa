//! Flue side: the sample, the instrument, and air that is being choked.

use super::{Figures, Kind, Suspicion, near, ratio};
use crate::record::phrase::{Gap, Phrase};

/// Oxygen of dry air as the trade's cross-check uses it, %.
const O2_AIR_PCT: f64 = 20.95;
/// CO2 this far off the line of the fuel is a mismatch, % points. Common practice, no source.
const CO2_BAND: f64 = 0.5;
/// O2 this far from the unit's own baseline has moved, % points. Common practice, no source.
const O2_BAND: f64 = 1.0;

pub(super) fn suspicions(figures: &Figures<'_>) -> Vec<Suspicion> {
    let mut found = Vec::new();
    found.extend(panel_off(figures));
    found.extend(o2_against_co2(figures));
    found.extend(leak_into_sample(figures));
    found.extend(efficiency_up_with_co(figures));
    found.extend(stack_below_air(figures));
    found
}

/// A figure with one decimal.
fn tenths(figure: f64) -> Gap {
    Gap::As(format!("{figure:.1}"))
}

fn panel_off(figures: &Figures<'_>) -> Option<Suspicion> {
    let read = figures.o2_pct.or(figures.co2_pct).or(figures.co_air_free_ppm);
    (figures.panel_on == Some(false) && read.is_some()).then(|| Suspicion {
        kind: Kind::PanelOff,
        because: Phrase::plain(
            "the flue was read with the panel off, which lets in air that it does not have in use",
        ),
        next: "panel back, ten minutes steady, read again; these figures are not final",
    })
}

/// Never says "air leak": dilution slides O2 and CO2 along the same line, and a CO2 that the instrument
/// calculated is on the line by construction.
fn o2_against_co2(figures: &Figures<'_>) -> Option<Suspicion> {
    if figures.co2_calculated {
        return None;
    }
    let (o2, co2, max) = (figures.o2_pct?, figures.co2_pct?, figures.co2_max_pct?);
    let line = |o2: f64| max * (O2_AIR_PCT - o2) / O2_AIR_PCT;
    let off = co2 - line(o2);
    if !off.is_finite() || off.abs() <= CO2_BAND {
        return None;
    }
    if (o2 - line(co2)).abs() <= CO2_BAND {
        return Some(Suspicion {
            kind: Kind::MixedUp,
            because: Phrase::new(
                "O2 {} % and CO2 {} % fit this fuel only the other way round",
                vec![tenths(o2), tenths(co2)],
            ),
            next: "look at the two figures on the instrument again",
        });
    }
    Some(Suspicion {
        kind: Kind::O2AgainstCo2,
        because: Phrase::new(
            "O2 {} % goes with CO2 {} % for this fuel, CO2 {} % was read: wrong fuel chosen in the instrument, \
             a tired cell or a slip",
            vec![tenths(o2), tenths(line(o2)), tenths(co2)],
        ),
        next: "check the fuel set in the instrument, bump it on fresh air, read again",
    })
}

/// O2 up while everything that moves with it stays.
fn leak_into_sample(figures: &Figures<'_>) -> Option<Suspicion> {
    let before = figures.before?;
    let (o2, base) = (figures.o2_pct?, before.o2_pct?);
    let manifold = ratio(figures.manifold_in_wc, before.manifold_in_wc)?;
    let stack = ratio(figures.net_stack_f(), before.net_stack_f)?;
    let clocked = ratio(figures.clocked_input_btu_h, before.clocked_input_btu_h);
    let as_before =
        near(manifold, 0.05) && near(stack, 0.10) && clocked.is_none_or(|ratio| near(ratio, 0.05));
    (o2 > base + O2_BAND && as_before).then(|| Suspicion {
        kind: Kind::LeakIntoSample,
        because: Phrase::new(
            if clocked.is_some() {
                "O2 is {} %, before {} %, while manifold, clocked input and net stack are as before: air may \
                 be getting into the sample"
            } else {
                "O2 is {} %, before {} %, while manifold and net stack are as before: air may be getting into \
                 the sample"
            },
            vec![tenths(o2), tenths(base)],
        ),
        next: "seal the hole, push the probe deeper, pinch the pump line: if O2 moves, the sample leaks",
    })
}

/// Efficiency can improve while danger grows: less air means less loss and more CO.
fn efficiency_up_with_co(figures: &Figures<'_>) -> Option<Suspicion> {
    let before = figures.before?;
    let (now, base) = (figures.efficiency_pct?, before.efficiency_pct?);
    let (co, co_base) = (figures.co_air_free_ppm?, before.co_air_free_ppm?);
    let risen = co > co_base + 20.0 && co > 1.5 * co_base;
    (now > base + 0.2 && risen).then(|| {
        let mut with = vec![tenths(base), tenths(now)];
        with.extend([co_base, co].map(|ppm| Gap::As(format!("{ppm:.0}"))));
        let because = Phrase::new(
            "efficiency {} to {} %, CO air-free {} to {} ppm: the efficiency rises because the combustion air \
             is being choked",
            with,
        );
        Suspicion {
            kind: Kind::EfficiencyUpWithCo,
            because: match (figures.o2_pct, before.o2_pct) {
                (Some(now), Some(base)) => {
                    Phrase::new("O2 {} to {} %, {}", vec![tenths(base), tenths(now), because.into()])
                }
                _ => because,
            },
            next: "look at burner inlet, venturi, vent and inducer wheel; the rise is no improvement",
        }
    })
}

fn stack_below_air(figures: &Figures<'_>) -> Option<Suspicion> {
    let (stack, air) = (figures.stack_f?, figures.combustion_air_f?);
    (stack < air).then(|| Suspicion {
        kind: Kind::MixedUp,
        because: Phrase::new(
            "flue {} F is colder than combustion air {} F",
            [stack, air].map(|figure| Gap::As(format!("{figure:.0}"))).to_vec(),
        ),
        next: "the two probes may have changed places, or the flue probe is not in the flue",
    })
}
