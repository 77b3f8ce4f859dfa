//! Readings of one block: the arguments and the saving that `found`, `left` and `read` share.

use client_core::record::action::Action;
use client_core::record::body::{Body, Condition, Kind, Reading};
use client_core::record::code::{InstrumentKind, Method, Phase, Quantity, Running, Stage};
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::id::EntryId;
use client_core::trade::unit::Unit;

use crate::args::{At, Entering};
use crate::book::{Book, read_or_empty};
use crate::desk::Desk;
use crate::entries;
use crate::error::Trouble;
use crate::pairs;
use crate::save::save;
use crate::ui::Tone;

/// Readings of one unit, all with one stamp.
#[derive(Debug, clap::Args)]
pub struct Readings {
    /// The unit, by its number on the column
    unit: String,
    /// Readings as QUANTITY=VALUE, with a unit if it is not the usual one: manifold_high=3.52,
    /// stack_temp='204 C'; =over for over range, =not:WHY where it could not be taken; @INSTRUMENT
    /// behind the value names the instrument of that one reading
    #[arg(required = true, value_name = "QUANTITY=VALUE")]
    values: Vec<String>,
    /// An instrument: it stands with the readings that its kind takes
    #[arg(long, value_name = "INSTRUMENT")]
    with: Vec<String>,
    /// Firing stage
    #[arg(long, value_parser = pairs::stage)]
    stage: Option<Stage>,
    /// Circulating fan: on, off
    #[arg(long, value_parser = pairs::running)]
    fan: Option<Running>,
    /// Panels: on, off
    #[arg(long, value_parser = pairs::running)]
    panel: Option<Running>,
    /// Other units on the same supply: on, off, some_on
    #[arg(long, value_parser = pairs::running)]
    others: Option<Running>,
    /// Minutes at steady state
    #[arg(long, value_name = "MINUTES")]
    steady: Option<u16>,
    /// Read before steady state
    #[arg(long)]
    early: bool,
    /// Test point, if not the usual one
    #[arg(long)]
    point: Option<String>,
    /// Where the figures come from, if not simply measured
    #[arg(long, value_parser = pairs::method)]
    method: Option<Method>,
    /// Fuel chosen in the instrument
    #[arg(long, value_name = "FUEL")]
    fuel_set: Option<String>,
    /// Remark
    #[arg(long)]
    note: Option<String>,
    /// Meter dial, for meter_time
    #[arg(long, value_name = "VOLUME")]
    dial: Option<String>,
    /// Metering pressure, for meter_time
    #[arg(long, value_name = "PRESSURE")]
    meter_pressure: Option<String>,
    /// Gas temperature, for meter_time
    #[arg(long, value_name = "TEMPERATURE")]
    gas_temp: Option<String>,
    /// Revolutions timed, for meter_time
    #[arg(long, value_name = "N")]
    revolutions: Option<u16>,
    #[command(flatten)]
    at: At,
    #[command(flatten)]
    entering: Entering,
}

/// Quantities that an instrument of a kind takes.
fn takes(kind: InstrumentKind, quantity: Quantity) -> bool {
    use client_core::trade::unit::Dimension;
    let dimension = quantity.kind().map(|known| known.unit.dimension());
    let is = |wanted: &[Dimension]| dimension.is_some_and(|own| wanted.contains(&own));
    match kind {
        InstrumentKind::FlueGasAnalyser => matches!(
            quantity,
            Quantity::FlueO2
                | Quantity::FlueCo2
                | Quantity::FlueCo
                | Quantity::StackTemp
                | Quantity::CombustionAirTemp
                | Quantity::CoDischargeAdded
        ),
        InstrumentKind::Manometer => {
            is(&[Dimension::Pressure, Dimension::GaugePressure]) && quantity != Quantity::Baro
        }
        InstrumentKind::Multimeter => {
            is(&[Dimension::Current, Dimension::Voltage, Dimension::Resistance])
                && !matches!(quantity, Quantity::FanAmps | Quantity::IgniterAmps)
        }
        InstrumentKind::ClampMeter => {
            matches!(quantity, Quantity::FanAmps | Quantity::IgniterAmps)
        }
        InstrumentKind::AirProbe => matches!(
            quantity,
            Quantity::AirIn | Quantity::AirOut | Quantity::SpaceTemp | Quantity::OutdoorTemp
        ),
        InstrumentKind::GasDetector => quantity == Quantity::AmbientLel,
        InstrumentKind::CoMonitor => quantity == Quantity::AmbientCo,
        InstrumentKind::InfraredThermometer => quantity == Quantity::TubeSurface,
        InstrumentKind::Clock => is(&[Dimension::Time]) && quantity != Quantity::BurnerHours,
        InstrumentKind::PhMeter => quantity == Quantity::CondensatePh,
        InstrumentKind::PinGauge => quantity == Quantity::OrificeBore,
        InstrumentKind::Tachometer => quantity == Quantity::FanRpm,
        InstrumentKind::Newer(_) => false,
    }
}

/// Enters readings of a phase.
pub(super) fn enter(args: &Readings, phase: Phase, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let (place, _, doc) = entries::sheet(desk, &args.at, &args.unit)?;
    let instruments = instruments(desk, &place.book, &args.with)?;
    let mut bodies: Vec<Body> = vec![];
    let mut without: Vec<&str> = vec![];
    for typed in &args.values {
        let (pair, own) = match typed.split_once('@') {
            Some((pair, own)) => (pair, Some(place.book.find_instrument(own)?)),
            None => (typed.as_str(), None),
        };
        let (quantity, value) = pairs::reading(pair)?;
        let suits = instruments.iter().find(|(kind, _)| takes(*kind, quantity));
        let instrument = own.or_else(|| suits.map(|(_, id)| *id));
        if instrument.is_none() && !instruments.is_empty() {
            without.push(quantity.says());
        }
        let mut reading = Reading::new(quantity, value, phase);
        reading.instrument = instrument;
        fill(args, quantity, &mut reading)?;
        bodies.push(reading.into());
    }
    save(desk, &place.book, &args.entering, vec![(doc, Action::Enter(bodies))])?;
    if !without.is_empty() {
        let says =
            format!("without an instrument, because none named takes it: {}", without.join(", "));
        desk.ui.talk(Tone::Look, &says);
    }
    if phase == Phase::AsFound && work_begun(desk, doc)? {
        let says =
            "work on this unit is recorded already: these stand as entered after work had begun";
        desk.ui.talk(Tone::Look, says);
    }
    Ok(())
}

fn fill(args: &Readings, quantity: Quantity, reading: &mut Reading) -> Result<(), Trouble> {
    let condition =
        Condition { stage: args.stage, fan: args.fan, panel: args.panel, others: args.others };
    reading.condition = (condition != Condition::default()).then_some(condition);
    reading.steady_min = args.steady;
    reading.early = args.early.then_some(true);
    reading.point.clone_from(&args.point);
    reading.method = args.method;
    let flue = matches!(
        quantity,
        Quantity::FlueO2 | Quantity::FlueCo2 | Quantity::FlueCo | Quantity::StackTemp
    );
    if flue {
        reading.fuel_set.clone_from(&args.fuel_set);
    }
    reading.note.clone_from(&args.note);
    if quantity == Quantity::MeterTime {
        let figure = |what, typed: &Option<String>, unit| {
            typed.as_deref().map(|text| pairs::figure(what, text, unit)).transpose()
        };
        reading.dial = figure("dial", &args.dial, Unit::Ft3)?;
        reading.meter_pressure = figure("metering pressure", &args.meter_pressure, Unit::Psig)?;
        reading.gas_temp = figure("gas temperature", &args.gas_temp, Unit::F)?;
        reading.revolutions = args.revolutions;
    }
    Ok(())
}

fn instruments(
    desk: &mut Desk<'_>,
    book: &Book,
    typed: &[String],
) -> Result<Vec<(InstrumentKind, EntryId)>, Trouble> {
    if typed.is_empty() {
        return Ok(vec![]);
    }
    let device = desk.device()?;
    let company = DocId::new(device.identity().company(), DocKind::Company);
    let read = read_or_empty(device, company)?;
    typed
        .iter()
        .map(|typed| {
            let id = book.find_instrument(typed)?;
            let kind = read.entry(id).and_then(|entry| match &entry.body {
                Body::Instrument(instrument) => Some(instrument.kind),
                _ => None,
            });
            Ok((kind.unwrap_or(InstrumentKind::Newer(0)), id))
        })
        .collect()
}

/// Whether work on the sheet was recorded before.
fn work_begun(desk: &mut Desk<'_>, doc: DocId) -> Result<bool, Trouble> {
    let read = read_or_empty(desk.device()?, doc)?;
    let work = [Kind::Work, Kind::Adjustment];
    Ok(work.iter().any(|kind| read.counted(*kind).any(client_core::record::mark::is_work)))
}
