//! `target`: a figure to aim at, with its source.

use client_core::record::action::Action;
use client_core::record::body::Target;
use client_core::record::code::{Gas, Quantity, Stage, TargetSource};
use client_core::record::value::Day;
use client_core::trade::unit::Unit;

use crate::args::{At, Entering};
use crate::desk::Desk;
use crate::entries;
use crate::error::Trouble;
use crate::pairs;
use crate::save::save;

/// Enter figures to aim at for a unit, with their source
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The unit
    unit: String,
    /// QUANTITY=LEAST..MOST, with one end left out where there is none: flue_co2=6.6..7.4,
    /// flame_current=1.0.., flue_co=..100; a single figure is the aim
    #[arg(required = true, value_name = "QUANTITY=BAND")]
    bands: Vec<String>,
    /// Source: plate, written_answer, booklet, phone_call, firm, baseline
    #[arg(long, value_parser = pairs::target_source)]
    source: TargetSource,
    #[command(flatten)]
    holds: HoldsFor,
    /// Page or paragraph
    #[arg(long)]
    page: Option<String>,
    #[command(flatten)]
    at: At,
    #[command(flatten)]
    entering: Entering,
}

/// What targets hold for.
#[derive(Debug, clap::Args)]
pub struct HoldsFor {
    /// Firing stage that the targets hold for
    #[arg(long, value_parser = pairs::stage)]
    stage: Option<Stage>,
    /// Gas that the targets hold for
    #[arg(long, value_parser = pairs::gas)]
    gas: Option<Gas>,
    /// Altitude that the targets hold for
    #[arg(long)]
    altitude: Option<String>,
    /// CO figures are air-free
    #[arg(long)]
    air_free: bool,
}

/// A target as typed.
pub(super) fn target(
    typed: &str,
    holds: &HoldsFor,
    source: TargetSource,
    day: Option<Day>,
    page: Option<&str>,
) -> Result<Target, Trouble> {
    let (key, band) = pairs::split(typed)?;
    let quantity = pairs::quantity(key)?;
    let unit = quantity.kind().map_or(Unit::N, |kind| kind.unit);
    let figure = |text: &str| match text.trim() {
        "" => Ok(None),
        text => pairs::figure(quantity.says(), text, unit).map(Some),
    };
    let (least, most, aim) = match band.split_once("..") {
        Some((least, most)) => (figure(least)?, figure(most)?, None),
        None => (None, None, figure(band)?),
    };
    if least.is_none() && most.is_none() && aim.is_none() {
        return Err(Trouble::Usage(format!("'{typed}' names no figure")));
    }
    let altitude = holds.altitude.as_deref();
    let altitude = altitude.map(|text| pairs::figure("altitude", text, Unit::Ft)).transpose()?;
    let co = matches!(quantity, Quantity::FlueCo | Quantity::CoDischargeAdded);
    Ok(Target {
        quantity,
        least,
        most,
        aim,
        stage: holds.stage,
        gas: holds.gas,
        altitude,
        source,
        valid_from: day,
        page: page.map(str::to_owned),
        answer: None,
        air_free: (holds.air_free && co).then_some(true),
    })
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let (book, _, _, doc) = entries::appliance(desk, &args.at, &args.unit)?;
    let day = Some(desk.now().day());
    let mut bodies = vec![];
    for typed in &args.bands {
        let page = args.page.as_deref();
        bodies.push(target(typed, &args.holds, args.source, day, page)?.into());
    }
    save(desk, &book, &args.entering, vec![(doc, Action::Enter(bodies))])?;
    Ok(())
}
