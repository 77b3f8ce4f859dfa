//! A visit for today, so that whoever opens the scenario has something to do in it.

use client_core::device::Step;
use client_core::record::code::VisitKind;
use client_core::record::deed::{self, Planned};
use client_core::record::id::{SiteId, VisitId};
use client_core::record::stamp::Stamp;
use client_core::record::value::Moment;

use super::Player;
use super::player::Who;
use crate::net::Wrong;

/// Plans a visit for today: half the units for each technician.
///
/// # Errors
/// When the supervisor's device refuses.
pub fn plan(player: &mut Player, site: SiteId, now: i64) -> Result<(), Wrong> {
    let (ilse, dov) = (player.person(Who::Ilse), player.person(Who::Dov));
    let boss = player.device(Who::Oriane);
    let units = boss.units(site)?;
    let mut units: Vec<_> =
        units.into_iter().filter(|unit| unit.row.merged_into.is_none()).collect();
    units.sort_by(|one, other| one.row.unit_no.cmp(&other.row.unit_no));
    let planned: Vec<Planned> = units
        .iter()
        .enumerate()
        .map(|(n, unit)| Planned {
            appliance: unit.id,
            person: Some(if n < units.len() / 2 { ilse } else { dov }),
            order: u32::try_from(n).unwrap_or(0),
        })
        .collect();
    let at = Moment { secs: now, offset_min: 0 };
    let visit = VisitId(boss.new_id());
    let acts = deed::plan_visit(site, visit, VisitKind::PreSeason, at.day(), vec![], &planned);
    let steps: Vec<Step> = acts.into_iter().map(|(doc, action)| Step { doc, action }).collect();
    let by = Stamp::new(boss.identity().person, at);
    boss.act(&steps, &by)?;
    Ok(())
}
