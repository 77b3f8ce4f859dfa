//! Whether flue figures may be taken yet, or no longer.

use crate::trade::flue::air_free;
use crate::trade::impossible::{Impossible, Range};
use crate::trade::quantity::{Concentration, Temperature, TemperatureDifference, TimeSpan};
use crate::trade::unit::Unit;
use crate::trade::worked::Formula;

/// Formula of the steady state.
pub const STEADY: Formula = Formula {
    id: "flue.steady",
    version: 1,
    name: "steady state",
    expression: "10 min after light-off; O2 moved under 0.2 % and stack under 2 F in 2 min",
    source: "common practice, no source; the minute after shut-down by trade press",
    range: "forced and natural draft heaters",
    function: "flue::steady::phase",
    test: "steadiness_has_four_answers",
};

/// A set of figures of one instant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sample {
    /// Since light-off.
    pub since_light_off: TimeSpan,
    /// Oxygen, dry.
    pub o2: Concentration,
    /// Carbon monoxide, dry.
    pub co: Concentration,
    /// Stack temperature.
    pub stack: Temperature,
}

/// What the course of the samples allows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Phase {
    /// The last sample may be kept.
    Steady,
    /// Too soon after light-off: label it early.
    Early,
    /// Still moving: label it early.
    Moving,
    /// The burner has stopped, or air floods the sample: drop the last minute.
    ShutDown,
}

impl Phase {
    /// What to say.
    pub const fn words(self) -> &'static str {
        match self {
            Phase::Steady => "steady",
            Phase::Early => "early: less than 10 minutes after light-off",
            Phase::Moving => "early: O2 or stack still moves",
            Phase::ShutDown => {
                "the burner stopped or air floods the sample: CO and O2 cells answer at different \
                 speed, drop the readings of the last minute"
            }
        }
    }
}

/// Least time after light-off. Source: common practice.
const WARM: TimeSpan = TimeSpan::from_minutes(10.0);
/// How long the figures must have stood.
const STOOD: TimeSpan = TimeSpan::from_minutes(2.0);
/// How much oxygen may move meanwhile.
const O2_MOVES: Concentration = Concentration::from_percent(0.2);
/// How much the stack may move meanwhile.
const STACK_MOVES: TemperatureDifference = TemperatureDifference::from_fahrenheit(2.0);
/// A jump of oxygen within a minute that only a stopped burner or a leak makes (our setting).
const O2_JUMP: Concentration = Concentration::from_percent(1.5);
const MINUTE: TimeSpan = TimeSpan::from_minutes(1.0);

/// Judges samples in the order of time.
pub fn phase(samples: &[Sample]) -> Result<Phase, Impossible> {
    const TIME: Range = Range {
        what: "time since light-off",
        low: 0.0,
        high: 1e6,
        unit: Unit::Min,
        hint: "count from the last light-off",
    };
    let Some(last) = samples.last() else {
        return Err(Impossible::TooFew { what: "steady state", need: 1, got: 0 });
    };
    for sample in samples {
        TIME.check(sample.since_light_off)?;
    }
    if flooded(samples, last) {
        return Ok(Phase::ShutDown);
    }
    if last.since_light_off < WARM {
        return Ok(Phase::Early);
    }
    let from = last.since_light_off - STOOD;
    // The last sample at or before the window's start tells where the figures stood then.
    let before = samples.iter().rposition(|sample| sample.since_light_off <= from);
    let window = samples[before.unwrap_or(0)..].iter();
    let span = |figure: fn(&Sample) -> f64| {
        let figures = window.clone().map(figure);
        let (low, high) = figures.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), one| {
            (low.min(one), high.max(one))
        });
        high - low
    };
    let still = span(|sample| sample.o2.percent()) < O2_MOVES.percent()
        && span(|sample| sample.stack.fahrenheit()) < STACK_MOVES.fahrenheit();
    Ok(if before.is_some() && still { Phase::Steady } else { Phase::Moving })
}

/// Oxygen leapt up within the last minute while the air-free figure climbed.
fn flooded(samples: &[Sample], last: &Sample) -> bool {
    let from = last.since_light_off - MINUTE;
    let free = |sample: &Sample| {
        let reference = Concentration::from_percent(20.95);
        air_free::by_rule(sample.o2, sample.co, reference).map_or(f64::INFINITY, Concentration::ppm)
    };
    samples
        .iter()
        .filter(|sample| sample.since_light_off >= from)
        .any(|before| last.o2 - before.o2 > O2_JUMP && free(last) >= free(before))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sample(minutes: f64, o2: f64, co: f64, stack: f64) -> Sample {
        Sample {
            since_light_off: TimeSpan::from_minutes(minutes),
            o2: Concentration::from_percent(o2),
            co: Concentration::from_ppm(co),
            stack: Temperature::from_fahrenheit(stack),
        }
    }

    #[test]
    fn steadiness_has_four_answers() {
        let lone = [sample(12.0, 8.4, 22.0, 401.0)];
        assert_eq!(phase(&lone), Ok(Phase::Moving), "no sample two minutes back");
        let slow = [sample(9.0, 8.8, 22.0, 396.0), sample(12.0, 8.4, 22.0, 401.0)];
        assert_eq!(phase(&slow), Ok(Phase::Moving));
        let steady = [sample(10.0, 8.4, 22.0, 400.5), sample(12.0, 8.4, 22.0, 401.0)];
        assert_eq!(phase(&steady), Ok(Phase::Steady));
        assert_eq!(phase(&[sample(4.0, 8.4, 22.0, 401.0)]), Ok(Phase::Early));
        let moving = [sample(10.0, 8.0, 22.0, 390.0), sample(12.0, 8.4, 22.0, 401.0)];
        assert_eq!(phase(&moving), Ok(Phase::Moving));
        let off = [sample(20.0, 8.4, 22.0, 401.0), sample(20.5, 15.0, 20.0, 390.0)];
        assert_eq!(phase(&off), Ok(Phase::ShutDown));
        assert!(phase(&[]).is_err());
    }
}
