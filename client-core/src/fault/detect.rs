//! Readings that contradict each other: wrong gas parts, wrong setting, a leak in the sample, probes mixed up.
//!
//! The detectors read plain figures in the units of the field's name; a figure that was not taken is `None`
//! and starts nothing. Each suspicion says observation, comparison, meaning and next step; the plate, local
//! code and the licensed person decide. Thresholds without a source are trade judgement.

use crate::record::phrase::Phrase;

mod air;
mod flue;
mod gas;

/// Kind of fuel gas.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Gas {
    /// Natural gas.
    Natural,
    /// LP gas.
    Lp,
}

impl Gas {
    fn name(self) -> &'static str {
        match self {
            Self::Natural => "natural gas",
            Self::Lp => "LP",
        }
    }
}

/// A gas part that was seen, and the gas it is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PartSeen<'a> {
    /// The part: main orifice, regulator spring, conversion label.
    pub part: &'a str,
    /// Its marking as read.
    pub marking: &'a str,
    /// The gas it is for; `None` is not known, or both.
    pub for_gas: Option<Gas>,
}

/// Figures of one unit at one time, with its plate and its own baseline.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Figures<'a> {
    /// Gas on the plate.
    pub plate_gas: Option<Gas>,
    /// Gas supplied.
    pub supplied_gas: Option<Gas>,
    /// Gas parts seen.
    pub parts: &'a [PartSeen<'a>],
    /// Manifold pressure on the plate for the supplied gas at this fire stage, in w.c.
    pub plate_manifold_in_wc: Option<f64>,
    /// Manifold pressure, in w.c.
    pub manifold_in_wc: Option<f64>,
    /// Pressure at the valve inlet while firing, in w.c.
    pub inlet_in_wc: Option<f64>,
    /// Input on the plate at this fire stage, Btu/h.
    pub plate_input_btu_h: Option<f64>,
    /// Input by the meter, Btu/h.
    pub clocked_input_btu_h: Option<f64>,
    /// Flue oxygen, % dry.
    pub o2_pct: Option<f64>,
    /// Flue carbon dioxide, % dry.
    pub co2_pct: Option<f64>,
    /// The instrument calculated the CO2 from the O2: it is no second witness.
    pub co2_calculated: bool,
    /// Highest CO2 of the fuel, % dry.
    pub co2_max_pct: Option<f64>,
    /// Flue CO, air-free, ppm.
    pub co_air_free_ppm: Option<f64>,
    /// Combustion efficiency, %, on the same basis as the baseline's.
    pub efficiency_pct: Option<f64>,
    /// Flue temperature, F.
    pub stack_f: Option<f64>,
    /// Combustion air temperature, F.
    pub combustion_air_f: Option<f64>,
    /// Air entering the unit, F.
    pub air_in_f: Option<f64>,
    /// Air leaving the unit, F.
    pub air_out_f: Option<f64>,
    /// Highest rise on the plate, F.
    pub rise_max_f: Option<f64>,
    /// Supply water, F.
    pub water_supply_f: Option<f64>,
    /// Return water, F.
    pub water_return_f: Option<f64>,
    /// Panel on while the flue was read.
    pub panel_on: Option<bool>,
    /// The unit's own baseline, or its last figures as left.
    pub before: Option<Before>,
}

/// Figures to compare with: same unit, same fire stage, same gas.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Before {
    /// Manifold pressure, in w.c.
    pub manifold_in_wc: Option<f64>,
    /// Input by the meter, Btu/h.
    pub clocked_input_btu_h: Option<f64>,
    /// Flue oxygen, % dry.
    pub o2_pct: Option<f64>,
    /// Flue CO, air-free, ppm.
    pub co_air_free_ppm: Option<f64>,
    /// Combustion efficiency, %.
    pub efficiency_pct: Option<f64>,
    /// Flue temperature less combustion air temperature, F.
    pub net_stack_f: Option<f64>,
}

/// What the figures suggest.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Plate and supply name different gases.
    PlateAgainstSupply,
    /// A part seen is for another gas than the one supplied.
    PartAgainstSupply,
    /// The orifices pass what LP orifices pass on natural gas: about half input, high O2.
    LpPartsOnNatural,
    /// The orifices pass what natural-gas orifices pass on LP: about 2.6 times the input.
    NaturalPartsOnLp,
    /// More input than the plate.
    Overfire,
    /// Less input than the plate.
    Underfire,
    /// The orifice passes more or less than its manifold pressure explains.
    Orifice,
    /// The meter's dial size may be entered wrong: the clock is twice or half what the manifold explains.
    MeterDial,
    /// Air gets into the sample.
    LeakIntoSample,
    /// Two probes, hoses or figures may have changed places.
    MixedUp,
    /// O2 and CO2 do not lie on one line for this fuel.
    O2AgainstCo2,
    /// Figures taken with the panel off.
    PanelOff,
    /// Efficiency rises while CO rises: the air is being choked.
    EfficiencyUpWithCo,
    /// Too little air over the exchanger.
    LowAirflow,
}

impl Kind {
    /// Whether it proposes shut-down for a qualified decision.
    pub fn proposes_shut_down(self) -> bool {
        matches!(self, Self::PartAgainstSupply | Self::LpPartsOnNatural | Self::NaturalPartsOnLp)
    }
}

/// One suspicion, in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Suspicion {
    /// What it is.
    pub kind: Kind,
    /// What was read, what it is compared with and what that suggests.
    pub because: Phrase,
    /// What to do next.
    pub next: &'static str,
}

/// Every suspicion that the figures raise: gas first, then flue, then air.
pub fn detect(figures: &Figures<'_>) -> Vec<Suspicion> {
    let mut found = gas::suspicions(figures);
    found.extend(flue::suspicions(figures));
    found.extend(air::suspicions(figures));
    found
}

/// A figure over another, both above 0.
fn ratio(figure: Option<f64>, base: Option<f64>) -> Option<f64> {
    match (figure, base) {
        (Some(figure), Some(base)) if figure > 0.0 && base > 0.0 => {
            let ratio = figure / base;
            ratio.is_finite().then_some(ratio)
        }
        _ => None,
    }
}

/// Whether a ratio lies within `share` of 1.
fn near(ratio: f64, share: f64) -> bool {
    (ratio - 1.0).abs() <= share
}

impl Figures<'_> {
    fn net_stack_f(&self) -> Option<f64> {
        Some(self.stack_f? - self.combustion_air_f?)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kinds(figures: &Figures<'_>) -> Vec<Kind> {
        detect(figures).into_iter().map(|suspicion| suspicion.kind).collect()
    }

    fn at_plate() -> Figures<'static> {
        Figures {
            plate_gas: Some(Gas::Natural),
            supplied_gas: Some(Gas::Natural),
            plate_manifold_in_wc: Some(3.5),
            manifold_in_wc: Some(3.5),
            inlet_in_wc: Some(6.98),
            plate_input_btu_h: Some(175e3),
            clocked_input_btu_h: Some(175e3),
            o2_pct: Some(8.7),
            co2_pct: Some(6.9),
            co2_max_pct: Some(11.87),
            co_air_free_ppm: Some(41.0),
            efficiency_pct: Some(79.4),
            stack_f: Some(402.0),
            combustion_air_f: Some(62.0),
            air_in_f: Some(62.0),
            air_out_f: Some(117.0),
            rise_max_f: Some(67.0),
            panel_on: Some(true),
            before: Some(Before {
                manifold_in_wc: Some(3.5),
                clocked_input_btu_h: Some(175e3),
                o2_pct: Some(8.7),
                co_air_free_ppm: Some(41.0),
                efficiency_pct: Some(79.4),
                net_stack_f: Some(340.0),
            }),
            ..Figures::default()
        }
    }

    #[test]
    fn figures_that_agree_raise_nothing_and_missing_ones_start_nothing() {
        assert_eq!(detect(&at_plate()), []);
        assert_eq!(detect(&Figures::default()), []);
    }

    /// The demo hall's heater on the wrong kit: half its input, manifold nearly twice the plate.
    #[test]
    fn lp_parts_on_natural_gas_are_told_from_clock_and_manifold() {
        let figures = Figures {
            manifold_in_wc: Some(6.8),
            inlet_in_wc: Some(6.96),
            plate_input_btu_h: Some(125e3),
            clocked_input_btu_h: Some(66.8e3),
            o2_pct: Some(14.6),
            co2_pct: Some(3.6),
            before: None,
            ..at_plate()
        };
        assert_eq!(kinds(&figures), [Kind::LpPartsOnNatural]);
        let said = detect(&figures)[0].because.to_string();
        assert!(said.contains("66.8 MBH against plate 125") && said.contains("0.38"), "{said}");
        assert!(Kind::LpPartsOnNatural.proposes_shut_down());
        // Without the clock the manifold against O2 says the same.
        let unclocked = Figures { clocked_input_btu_h: None, ..figures };
        assert_eq!(kinds(&unclocked), [Kind::LpPartsOnNatural]);
        let parts = [PartSeen { part: "main orifice", marking: "54", for_gas: Some(Gas::Lp) }];
        let seen = Figures { parts: &parts, ..figures };
        assert_eq!(kinds(&seen), [Kind::PartAgainstSupply, Kind::LpPartsOnNatural]);
    }

    #[test]
    fn natural_parts_on_lp_shut_the_cock_at_once() {
        let figures = Figures {
            plate_gas: Some(Gas::Lp),
            supplied_gas: Some(Gas::Lp),
            plate_manifold_in_wc: Some(10.0),
            manifold_in_wc: Some(10.0),
            inlet_in_wc: Some(11.5),
            plate_input_btu_h: Some(24.8e3),
            clocked_input_btu_h: Some(65.7e3),
            co2_max_pct: Some(13.72),
            co2_pct: None,
            ..at_plate()
        };
        assert_eq!(kinds(&figures), [Kind::NaturalPartsOnLp]);
        assert!(detect(&figures)[0].next.starts_with("shut the cock at once"));
    }

    /// The demo hall: manifold 4.13 against 3.5, and 3.07 with the clock 6.6 % low.
    #[test]
    fn over_and_underfire_are_told_with_how_far() {
        let over = Figures {
            manifold_in_wc: Some(4.13),
            clocked_input_btu_h: Some(189.5e3),
            ..at_plate()
        };
        assert_eq!(kinds(&over), [Kind::Overfire]);
        assert!(detect(&over)[0].because.to_string().contains("about 8 % over"));
        let under = Figures {
            manifold_in_wc: Some(3.07),
            clocked_input_btu_h: Some(163.4e3),
            ..at_plate()
        };
        assert_eq!(kinds(&under), [Kind::Underfire]);
        assert!(detect(&under)[0].because.to_string().contains("about 7 % under"));
        let unclocked =
            Figures { manifold_in_wc: Some(4.13), clocked_input_btu_h: None, ..at_plate() };
        assert_eq!(kinds(&unclocked), [Kind::Overfire]);
    }

    #[test]
    fn a_clock_that_the_manifold_does_not_explain_points_to_orifice_or_dial() {
        let orifice = Figures { clocked_input_btu_h: Some(140e3), ..at_plate() };
        assert_eq!(kinds(&orifice), [Kind::Orifice]);
        let dial = Figures { clocked_input_btu_h: Some(350e3), ..at_plate() };
        assert_eq!(kinds(&dial), [Kind::MeterDial]);
    }

    #[test]
    fn a_leak_into_the_sample_is_told_from_manifold_clock_and_stack_alone() {
        let leak = Figures { o2_pct: Some(11.0), co2_pct: Some(5.6), ..at_plate() };
        assert_eq!(kinds(&leak), [Kind::LeakIntoSample]);
        // The same O2 with a lower manifold is no leak.
        let lean =
            Figures { manifold_in_wc: Some(2.8), clocked_input_btu_h: Some(156.5e3), ..leak };
        assert_eq!(kinds(&lean), [Kind::Underfire]);
        // O2 and CO2 off their line are never called a leak.
        let off = Figures { co2_pct: Some(8.5), ..at_plate() };
        assert_eq!(kinds(&off), [Kind::O2AgainstCo2]);
        let calculated = Figures { co2_calculated: true, ..off };
        assert_eq!(kinds(&calculated), []);
    }

    #[test]
    fn figures_that_changed_places_are_told() {
        let swapped = Figures { o2_pct: Some(6.9), co2_pct: Some(8.7), ..at_plate() };
        assert_eq!(kinds(&swapped), [Kind::MixedUp]);
        let air = Figures { air_in_f: Some(117.0), air_out_f: Some(62.0), ..at_plate() };
        assert_eq!(kinds(&air), [Kind::MixedUp]);
        let hoses = Figures { inlet_in_wc: Some(3.5), manifold_in_wc: Some(3.6), ..at_plate() };
        assert_eq!(kinds(&hoses), [Kind::MixedUp]);
        let probes = Figures { stack_f: Some(62.0), combustion_air_f: Some(402.0), ..at_plate() };
        assert_eq!(kinds(&probes), [Kind::MixedUp]);
    }

    /// The demo hall's heater in the salt room: one point more efficiency, six times the CO.
    #[test]
    fn efficiency_that_rises_with_co_is_no_improvement() {
        let choked = Figures {
            o2_pct: Some(6.5),
            co2_pct: Some(8.2),
            co_air_free_ppm: Some(244.0),
            efficiency_pct: Some(80.4),
            stack_f: Some(410.0),
            combustion_air_f: Some(55.0),
            ..at_plate()
        };
        assert_eq!(kinds(&choked), [Kind::EfficiencyUpWithCo]);
        let said = detect(&choked)[0].because.to_string();
        assert!(said.contains("79.4 to 80.4") && said.contains("41 to 244"), "{said}");
        let off = Figures { panel_on: Some(false), ..at_plate() };
        assert_eq!(kinds(&off), [Kind::PanelOff]);
    }

    /// The demo hall's duct furnace: rise 74 F against 67 with the manifold at the plate.
    #[test]
    fn a_rise_over_the_plate_at_the_right_input_is_airflow() {
        let figures = Figures {
            plate_input_btu_h: Some(300e3),
            clocked_input_btu_h: None,
            manifold_in_wc: Some(3.51),
            stack_f: Some(498.0),
            air_out_f: Some(136.0),
            before: Some(Before { net_stack_f: Some(351.0), ..Before::default() }),
            o2_pct: Some(8.3),
            co2_pct: Some(7.2),
            ..at_plate()
        };
        assert_eq!(kinds(&figures), [Kind::LowAirflow]);
        assert!(detect(&figures)[0].because.to_string().contains("rise 74 F, plate at most 67 F"));
    }
}
