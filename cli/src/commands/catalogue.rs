//! `catalogue`: parts as the company names them.

use client_core::record::action::Action;
use client_core::record::body::CatalogueLine;
use client_core::record::doc_id::{DocId, DocKind};
use client_core::trade::unit::Unit;

use crate::args::Entering;
use crate::desk::Desk;
use crate::error::Trouble;
use crate::save::save;

/// Add a part to the company's catalogue
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The part in words
    part: String,
    /// The office's own code
    #[arg(long)]
    code: Option<String>,
    /// Unit in which it is counted: n, ft, m, ...
    #[arg(long, value_name = "UNIT")]
    counted_in: Option<String>,
    #[command(flatten)]
    entering: Entering,
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    if let Some(unit) = &args.counted_in
        && Unit::from_key(unit).is_none()
    {
        return Err(Trouble::Usage(format!("'{unit}' is not a unit known here; try n, ft, m, in")));
    }
    let book = desk.book()?;
    let company = DocId::new(desk.device()?.identity().company(), DocKind::Company);
    let line = CatalogueLine {
        part: args.part.clone(),
        code: args.code.clone(),
        counted_in: args.counted_in.clone(),
    };
    save(desk, &book, &args.entering, vec![(company, Action::Enter(vec![line.into()]))])?;
    Ok(())
}
