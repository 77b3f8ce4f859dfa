//! The stored site of the workloads: a hub, an office that filled it, and two technicians who hold it.

use std::path::Path;
use std::time::Instant;

use client_core::device::Device;
use client_core::record::code::Role;
use client_core::record::id::SiteId;
use client_core::record::stamp::Stamp;
use client_core::record::value::Moment;
use client_core::store::{Manner, Store};
use server::hub::Hub;

use super::{season, sheet};
use crate::world::{Joined, Seeded, enrol, exchange};

/// The moment at which the season ended.
pub const SEASON_END: i64 = 1_760_000_000;
/// The site.
pub const SITE: SiteId = SiteId([0x51, 0x7e, 0x0a, 0x33, 0x90, 0x11, 0xc4, 0x08]);

/// Fills a hub with so many sheets, and two technicians with copies of it.
///
/// # Errors
/// When a store fails.
pub fn build(
    hub: &mut Hub,
    folder: &Path,
    sheets: u64,
    random: &mut Seeded,
    progress: &mut dyn FnMut(&str),
) -> Result<(), Box<dyn std::error::Error>> {
    let begin = Instant::now();
    let mut join = |hub: &mut Hub, name: &str, role, random: &mut Seeded| {
        let store = Store::create_file(&folder.join(format!("{name}.redb")), Manner::DEVICE)?;
        let sites = (role == Role::Technician).then(|| vec![SITE]);
        let who = Joined { name: name.to_owned(), person: None, role, sites };
        enrol(hub, store, &who, SEASON_END, random)
    };
    let mut office = join(hub, "office", Role::Office, random)?;
    let mut one = join(hub, "one", Role::Technician, random)?;
    let mut two = join(hub, "two", Role::Technician, random)?;
    for number in 0..sheets {
        let secs = SEASON_END - 86_400 * 200 + i64::try_from(number)? * 3_600;
        let stamp = Stamp::new(office.identity().person, Moment { secs, offset_min: -300 });
        office.act(&season(sheet(SITE, number), random), &stamp)?;
        if number % 100 == 99 {
            progress(&format!("{} sheets, {} s", number + 1, begin.elapsed().as_secs()));
        }
    }
    settle(&mut office, hub, progress, "office")?;
    one.follow(SITE)?;
    two.follow(SITE)?;
    settle(&mut one, hub, progress, "one")?;
    settle(&mut two, hub, progress, "two")?;
    hub.fold()?;
    progress(&format!("built in {} s", begin.elapsed().as_secs()));
    Ok(())
}

fn settle(
    device: &mut Device,
    hub: &mut Hub,
    progress: &mut dyn FnMut(&str),
    name: &str,
) -> Result<(), Box<dyn std::error::Error>> {
    // The second exchange finds nothing: places are told, the digest is known.
    for _ in 0..2 {
        let trip = exchange(device, hub, SEASON_END, SEASON_END, vec![])?;
        if let Some(wrong) = trip.report.wrong.into_iter().next() {
            return Err(wrong.to_string().into());
        }
        progress(&format!(
            "{name}: {} up, {} down, {} round trips",
            trip.up, trip.down, trip.rounds
        ));
    }
    Ok(())
}
