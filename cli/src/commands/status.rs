//! `status`: who this device is and how it stands.

use client_core::present::Names as _;
use serde_json::json;

use crate::desk::Desk;
use crate::error::Trouble;
use crate::ui::{Tone, counted};

/// Show who this device is, what is unsent, in drafts and in quarantine
#[derive(Debug, clap::Args)]
pub struct Args {}

pub(crate) fn run(_: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let book = desk.book()?;
    let here = desk.here();
    let device = desk.device()?;
    let identity = device.identity().clone();
    let drafts = device.drafts()?;
    let quarantined = device.quarantine()?.len();
    let mut sites = vec![];
    for (site, following, row) in device.sites()? {
        let unsent = device.unsent(site)?;
        let name = row.and_then(|row| row.name).unwrap_or_else(|| site.short());
        sites.push((site, name, following, unsent));
    }
    if desk.ui.manners.json {
        let sites: Vec<_> = sites
            .iter()
            .map(|(site, name, following, unsent)| {
                json!({
                    "site": site.to_string(),
                    "name": name,
                    "place": following.place.n,
                    "whole": following.cursor.is_none(),
                    "gone": following.gone,
                    "unsent_changes": unsent.changes,
                    "unsent_deliveries": unsent.deliveries,
                })
            })
            .collect();
        return desk.ui.json(&json!({
            "device": identity.device().to_string(),
            "label": identity.label,
            "person": identity.person.to_string(),
            "name": book.person(identity.person),
            "role": identity.role.key(),
            "hub": identity.hub.to_string(),
            "address": identity.address,
            "sites": sites,
            "drafts": drafts.len(),
            "quarantined": quarantined,
            "here": here.map(|(_, visit)| visit.to_string()),
        }));
    }
    let name = book.person(identity.person);
    desk.ui.line(&format!("{name}, {}", identity.role.says()))?;
    desk.ui.line(&format!("device {} ({})", identity.device().short(), identity.label))?;
    desk.ui.line(&format!("hub {} at {}", identity.hub.short(), identity.address))?;
    let rows: Vec<Vec<String>> = sites
        .iter()
        .map(|(_, name, following, unsent)| {
            let state = match (following.gone, following.met, following.cursor.is_some()) {
                (true, _, _) => "not this device's any more",
                (_, false, _) => "not on the hub yet",
                (_, _, true) => "first exchange not done",
                _ => "here",
            };
            vec![
                name.clone(),
                following.place.n.to_string(),
                format!("{} + {}", unsent.changes, unsent.deliveries),
                state.to_owned(),
            ]
        })
        .collect();
    desk.ui.table(&["site", "arrivals", "unsent", "state"], &rows)?;
    if !drafts.is_empty() {
        desk.ui.toned(Tone::Look, &format!("{}: dripleg draft list", counted(drafts.len(), "draft", "drafts")))?;
    }
    if quarantined > 0 {
        let says = format!("{} in quarantine: dripleg quarantine", counted(quarantined, "change", "changes"));
        desk.ui.toned(Tone::Look, &says)?;
    }
    Ok(())
}
