//! Figures that block a sign-off. The sums themselves are the trade's.

use crate::record::body::{Body, Kind};
use crate::record::code::{Gas, Phase, Quantity};
use crate::record::file::{Papers, UnitInVisit, amount};
use crate::record::phrase::{Gap, Phrase};
use crate::record::read::Read;
use crate::record::value::Figure;
use crate::trade::flue::{FRESH_AIR, air_free, air_free::AirFreeShown};
use crate::trade::gas::band::{self, BandGas};
use crate::trade::quantity::{Amount, Concentration, Quantity as _};
use crate::trade::unit::Unit;
use crate::trade::verdict::Limit;

/// The last room CO reading of 10 ppm or more that no later reading answers.
pub(super) fn ambient_open(sheet: &Papers<'_>) -> Option<Figure> {
    let last = sheet.read.counted(Kind::Reading).filter_map(|entry| match &entry.body {
        Body::Reading(reading) if reading.quantity == Quantity::AmbientCo => reading.value.figure(),
        _ => None,
    });
    last.last().filter(|figure| {
        amount(*figure).and_then(|own| own.to(Unit::Ppm)).is_some_and(|own| own.value >= 10.0)
    })
}

/// Items and words for every figure as left that is outside.
pub(super) fn outside(unit: &UnitInVisit<'_>, site: Option<&Read>) -> Vec<(&'static str, Phrase)> {
    let mut found = vec![];
    found.extend(manifold(unit).map(|says| ("manifold", says)));
    found.extend(inlet(unit).map(|says| ("inlet", says)));
    found.extend(site.and_then(|site| clocked(unit, site)).map(|says| ("clocked", says)));
    found.extend(carbon_monoxide(unit));
    found
}

fn plate(unit: &UnitInVisit<'_>, key: &str) -> Option<Amount> {
    unit.figure(key).and_then(amount)
}

fn manifold(unit: &UnitInVisit<'_>) -> Option<Phrase> {
    let left = unit.last_amount(Quantity::ManifoldHigh, Phase::AsLeft)?;
    let gas = unit.word("plate/gas").map(Gas::from_code);
    let gas = if gas == Some(Gas::Lp) { BandGas::Lp } else { BandGas::Natural };
    let plate = plate(unit, "plate/manifold_high")?;
    let limit = band::manifold(plate, gas)?;
    beyond(left, &limit).then(|| {
        let with = vec![Gap::of(left), band_of("plate manifold {}, band common practice", plate)];
        let says = "manifold as left {} is outside its band ({}); plate and local code govern";
        Phrase::new(says, with)
    })
}

fn inlet(unit: &UnitInVisit<'_>) -> Option<Phrase> {
    let quantities =
        [Quantity::InletFlowing, Quantity::InletAllOn, Quantity::InletStatic, Quantity::Lockup];
    let most = [plate(unit, "plate/valve_max_inlet"), plate(unit, "plate/inlet_max")];
    let most = most.into_iter().flatten().filter_map(|own| own.to(Unit::InWc));
    let most = most.min_by(|one, other| one.value.total_cmp(&other.value))?;
    let limit = Limit::at_most(most, "plate or valve");
    quantities
        .into_iter()
        .flat_map(|quantity| [Phase::AsLeft, Phase::AsFound].map(|phase| (quantity, phase)))
        .filter_map(|(quantity, phase)| Some((quantity, unit.last_amount(quantity, phase)?)))
        .find(|(_, read)| beyond(*read, &limit))
        .map(|(quantity, read)| {
            let with = vec![Gap::word(quantity.says()), Gap::of(read), Gap::of(most)];
            Phrase::new("{} {} is over the {} of valve or plate; isolate and refer", with)
        })
}

/// The band round a figure of the plate, in words.
fn band_of(words: &'static str, plate: Amount) -> Gap {
    Phrase::new(words, vec![Gap::of(plate.show(2))]).into()
}

/// Whether a figure lies beyond a limit. No guard band: what blocks is what the figure says.
fn beyond(read: Amount, limit: &Limit) -> bool {
    let side = |end: Option<Amount>, over: bool| {
        end.and_then(|end| Some((read.to(end.unit)?.value, end.value)))
            .is_some_and(|(read, end)| if over { read > end } else { read < end })
    };
    side(limit.high, true) || side(limit.low, false)
}

fn clocked(unit: &UnitInVisit<'_>, site: &Read) -> Option<Phrase> {
    let Body::Reading(reading) = &unit.last(Quantity::MeterTime, Phase::AsLeft)?.body else {
        return None;
    };
    let clocked = crate::record::derived::clocked(site, reading)?;
    let plate = plate(unit, "plate/input")?;
    let limit = band::input(plate)?;
    beyond(clocked, &limit).then(|| {
        let band = band_of("plate input {}, band common practice", plate);
        let with = vec![Gap::of(clocked.show(1)), band];
        Phrase::new("clocked input as left {} is outside its band ({})", with)
    })
}

/// Air-free CO over the plate's figure or the shut-down line, or still rising, as left.
fn carbon_monoxide(unit: &UnitInVisit<'_>) -> Option<(&'static str, Phrase)> {
    let tests = crate::record::derived::flue_tests(unit, Phase::AsLeft);
    let free = |(o2, co): &(Concentration, Concentration)| {
        let judged = AirFreeShown::at(*o2) == AirFreeShown::Judged;
        judged.then(|| air_free::exact(*o2, *co, FRESH_AIR).ok()).flatten()
    };
    let last = free(tests.last()?)?;
    let own = plate(unit, "plate/co_air_free_max").and_then(|own| own.to(Unit::Ppm));
    let line = own
        .map_or_else(|| Concentration::from_ppm(400.0), |own| Concentration::from_ppm(own.value));
    let source = if own.is_some() { "plate" } else { "ANSI Z21/Z83 design-test figure" };
    let shown = last.amount(Unit::Ppm).show(0);
    if last > line {
        let line = line.amount(Unit::Ppm).show(0);
        let with = vec![Gap::As(shown), Gap::As(line), Gap::word(source)];
        let says = "CO air-free {} as left is over {} ({}); shut down and call";
        return Some(("co_air_free", Phrase::new(says, with)));
    }
    let before = tests.len().checked_sub(2).and_then(|at| free(&tests[at]))?;
    let rising = last.ppm() > before.ppm() * 1.05 + 5.0;
    rising.then(|| {
        let before = before.amount(Unit::Ppm).show(0);
        let says = "CO air-free was {}, then {} as left: still rising";
        ("co_rising", Phrase::new(says, vec![Gap::As(before), Gap::As(shown)]))
    })
}
