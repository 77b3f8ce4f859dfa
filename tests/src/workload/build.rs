//! The stored site of the workloads: a hub, an office that filled it over a season, and two technicians
//! who hold all of it.

use std::path::Path;
use std::time::Instant;

use client_core::device::{Device, Step};
use client_core::record::action::Action;
use client_core::record::code::unit::UnitCode;
use client_core::record::code::{Role, VisitKind};
use client_core::record::deed::{Deed, Planned, new_appliance, plan_visit, setting};
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::field::FieldValue;
use client_core::record::id::SiteId;
use client_core::record::stamp::Stamp;
use client_core::record::value::{Day, Figure, Moment};
use client_core::store::{Manner, Store};
use client_core::trade::unit::Unit;
use server::config::Settings;
use server::quota::Quota;
use server::serve::{Parts, Server};
use server::worker::NewCode;

use super::{UNITS, season, sheet, unit, visit};
use crate::net::{Line, Wrong};
use crate::world::Seeded;

/// The moment at which the day of the workload begins.
pub const TODAY: i64 = 1_760_000_000;
/// The site.
pub const SITE: SiteId = SiteId([0x51, 0x7e, 0x0a, 0x33, 0x90, 0x11, 0xc4, 0x08]);
/// The device of the office and those of the two technicians.
pub const NAMES: [&str; 3] = ["office", "one", "two"];

/// Settings of a hub that counts nobody's requests: what is measured is not its patience.
pub fn settings(folder: &Path) -> Settings {
    let usual = Settings::in_folder(folder.join("hub"));
    let quota = Quota { requests_per_s: 0, bytes_per_hour: 0, ..usual.quota };
    Settings { quota, ..usual }
}

/// A hub on a folder, whose clock stands at the day of the workload.
///
/// # Errors
/// When the hub does not start.
pub fn hub(folder: &Path) -> Result<Server, Wrong> {
    let parts = Parts { clock: std::sync::Arc::new(|| TODAY), ..Parts::default() };
    Ok(Server::start(&settings(folder), parts)?)
}

/// The file of a device's store.
pub fn store_file(folder: &Path, name: &str) -> std::path::PathBuf {
    folder.join(format!("{name}.redb"))
}

/// Fills a folder: a hub with so many sheets, and two technicians with copies of it.
///
/// # Errors
/// When the hub or a store fails.
pub fn build(folder: &Path, sheets: u64, progress: &mut dyn FnMut(&str)) -> Result<(), Wrong> {
    let begin = Instant::now();
    let server = hub(folder)?;
    let mut random = Seeded::new(7);
    let mut line = Line::to(server.url())?;
    let NewCode::Code { code, .. } = server.supervisors_code(false)? else {
        return Err("the new hub gave no code for its first supervisor".into());
    };
    let store = |name: &str| Store::create_file(&store_file(folder, name), Manner::DEVICE);
    let mut office = line.join(store(NAMES[0])?, NAMES[0], &code, &mut random)?;
    begin_site(&mut office, sheets)?;
    for number in 0..sheets {
        let secs = day_of(number / UNITS, sheets) + i64::try_from(number % UNITS)? * 1_200;
        office.act(&season(sheet(SITE, number), &mut random), &stamp(&office, secs))?;
        if number % 200 == 199 {
            let took = begin.elapsed().as_secs();
            progress(&format!("{} of {sheets} sheets, {took} s", number + 1));
        }
    }
    settle(&mut line, &mut office, progress)?;
    for name in &NAMES[1..] {
        let code = line.code(&mut office, Role::Technician, Some(vec![SITE]))?;
        let mut device = line.join(store(name)?, name, &code, &mut random)?;
        device.follow(SITE)?;
        settle(&mut line, &mut device, progress)?;
    }
    while server.shown().lag > 0 {
        std::thread::sleep(std::time::Duration::from_millis(100));
    }
    server.stop();
    progress(&format!("built in {} s", begin.elapsed().as_secs()));
    Ok(())
}

/// The day of a visit: one every week, the last one today.
fn day_of(number: u64, sheets: u64) -> i64 {
    let last = (sheets.max(1) - 1) / UNITS;
    let weeks = i64::try_from(last.saturating_sub(number)).unwrap_or_default();
    TODAY - weeks * 7 * 86_400
}

fn stamp(device: &Device, secs: i64) -> Stamp {
    Stamp::new(device.identity().person, Moment { secs, offset_min: -300 })
}

/// The site, its units with their plates, and its visits with their plans.
fn begin_site(office: &mut Device, sheets: u64) -> Result<(), Wrong> {
    let text = |text: &str| FieldValue::Text(text.to_owned());
    let figure = |mantissa, places, unit| {
        let unit = UnitCode::of(unit).expect("plates are stored in these units");
        FieldValue::Figure(Figure::new(mantissa, places, unit))
    };
    let site = Action::Set(vec![setting("site/name", text("Measured Hall"))]);
    let mut deeds: Vec<Deed> = vec![vec![(DocId::new(SITE, DocKind::Site), site)]];
    for number in 0..UNITS {
        let plate = vec![
            setting("plate/input", figure(175, 0, Unit::Mbh)),
            setting("plate/manifold_high", figure(350, 2, Unit::InWc)),
            setting("plate/inlet_min", figure(500, 2, Unit::InWc)),
            setting("plate/rise_min", figure(40, 0, Unit::DeltaF)),
            setting("plate/rise_max", figure(70, 0, Unit::DeltaF)),
        ];
        deeds.push(new_appliance(SITE, unit(number), &format!("UH-{:02}", number + 1), plate));
    }
    let planned: Vec<Planned> = (0..UNITS)
        .map(|number| Planned {
            appliance: unit(number),
            person: None,
            order: u32::try_from(number).unwrap_or_default() + 1,
        })
        .collect();
    for number in 0..sheets.div_ceil(UNITS) {
        let day = Day(i32::try_from(day_of(number, sheets).div_euclid(86_400))?);
        deeds.push(plan_visit(SITE, visit(number), VisitKind::PreSeason, day, vec![], &planned));
    }
    for deed in deeds {
        let steps: Vec<Step> =
            deed.into_iter().map(|(doc, action)| Step::new(doc, action)).collect();
        office.act(&steps, &stamp(office, TODAY - 400 * 86_400))?;
    }
    Ok(())
}

fn settle(
    line: &mut Line,
    device: &mut Device,
    progress: &mut dyn FnMut(&str),
) -> Result<(), Wrong> {
    // The second exchange finds nothing: places are told, the digest is known.
    for _ in 0..2 {
        let trip = line.exchange(device, TODAY)?;
        if let Some(wrong) = trip.report.wrong.into_iter().next() {
            return Err(wrong.to_string().into());
        }
        let label = &device.identity().label;
        progress(&format!(
            "{label}: {} B up, {} B down, {} round trips",
            trip.up, trip.down, trip.rounds
        ));
    }
    Ok(())
}
