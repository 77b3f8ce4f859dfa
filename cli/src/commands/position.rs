//! `position`: places where units hang.

use client_core::record::action::{Action, Setting};
use client_core::record::body::{Kind, Position};
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::field::{Field, FieldValue, Of};

use crate::args::Entering;
use crate::book::read_or_empty;
use crate::desk::Desk;
use crate::error::Trouble;
use crate::save::save;

/// Add a place where a unit hangs; the label on the column belongs to it
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Unit no. on the column
    label: String,
    /// The area
    #[arg(long)]
    area: Option<String>,
    /// Column mark
    #[arg(long)]
    column: Option<String>,
    /// The site
    #[arg(long)]
    site: Option<String>,
    #[command(flatten)]
    entering: Entering,
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let book = desk.book()?;
    let site = desk.site(&book, args.site.as_deref())?;
    let doc = DocId::new(site, DocKind::Site);
    let row = book.sites.iter().find(|(id, _)| *id == site).map(|(_, row)| row);
    let area = match (&args.area, row) {
        (Some(typed), Some(row)) => Some(super::area::find(row, typed)?),
        _ => None,
    };
    let label = args.label.trim().to_owned();
    let read = read_or_empty(desk.device()?, doc)?;
    let taken = read.counted(Kind::Position).any(|entry| {
        matches!(&entry.body, client_core::record::body::Body::Position(own) if own.label == label)
    });
    if taken {
        return Err(Trouble::State(format!("there is a position '{label}' already")));
    }
    let next = desk.device()?.next_entry();
    let mut deed = vec![(doc, Action::Enter(vec![Position { label, area }.into()]))];
    if let Some(column) = &args.column {
        let setting = Setting {
            field: Field::named("position/{}/column").about(Of::Entry(next)),
            value: FieldValue::Text(column.clone()),
            reason: None,
        };
        deed.push((doc, Action::Set(vec![setting])));
    }
    save(desk, &book, &args.entering, deed)?;
    Ok(())
}
