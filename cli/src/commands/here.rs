//! `here`: the visit that you work on.

use serde_json::json;

use crate::args::At;
use crate::book;
use crate::desk::Desk;
use crate::error::Trouble;
use crate::ui::Tone;

/// Say which visit you work on, so that commands need not name it
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The visit, by reference, day or id
    visit: Option<String>,
    /// The site
    #[arg(long)]
    site: Option<String>,
    /// Forget it
    #[arg(long, conflicts_with = "visit")]
    none: bool,
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    if args.none {
        desk.set_here(None)?;
        desk.ui.talk(Tone::Dim, "no visit is worked on");
        return Ok(());
    }
    if args.visit.is_some() {
        let at = At { site: args.site.clone(), visit: args.visit.clone() };
        let place = desk.place(&at)?;
        desk.set_here(Some((place.site, place.visit)))?;
    }
    let here = desk.here();
    let Some((site, visit)) = here else {
        return Err(Trouble::State("no visit is worked on; name one: dripleg here VISIT".to_owned()));
    };
    let book = desk.book()?;
    let shown = book::visits(desk.device()?, &book, Some(site))?;
    let shown = shown.iter().find(|one| one.id == (site, visit)).map(|one| one.shown.clone());
    let shown = shown.unwrap_or_else(|| visit.short());
    if desk.ui.manners.json {
        return desk.ui.json(&json!({ "site": site.to_string(), "visit": visit.to_string() }));
    }
    desk.ui.line(&format!("{shown} at {}", book.site(site)))
}
