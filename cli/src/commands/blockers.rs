//! `blockers`: what blocks the sign-off.

use client_core::present::Names as _;
use serde_json::json;

use crate::args::At;
use crate::desk::Desk;
use crate::error::Trouble;
use crate::ui::Tone;

/// List what blocks the sign-off of a visit; nothing else does
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(flatten)]
    at: At,
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let place = desk.place(&args.at)?;
    let blockers = {
        let opened = desk.device()?.open_visit(place.site, place.visit)?;
        opened.file().blockers()
    };
    if desk.ui.manners.json {
        let list: Vec<_> = blockers
            .iter()
            .map(|own| {
                json!({
                    "key": own.key,
                    "unit": own.appliance.to_string(),
                    "unit_no": place.book.unit(own.appliance),
                    "says": own.says,
                    "excepted": own.excepted,
                })
            })
            .collect();
        return desk.ui.json(&json!(list));
    }
    if blockers.is_empty() {
        return desk.ui.line("nothing blocks the sign-off");
    }
    for own in &blockers {
        match &own.excepted {
            None => desk.ui.toned(Tone::Look, &own.says)?,
            Some(why) => desk.ui.line(&format!("{} (excepted: {why})", own.says))?,
        }
        desk.ui.toned(Tone::Dim, &format!("    {}", own.key))?;
    }
    Ok(())
}
