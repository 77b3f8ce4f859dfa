//! `site`: make a site, set its values.

use client_core::record::action::Action;
use client_core::record::deed;
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::field::FieldValue;
use client_core::record::id::SiteId;

use crate::args::Entering;
use crate::desk::Desk;
use crate::error::Trouble;
use crate::pairs;
use crate::save::save;
use crate::ui::Tone;

/// Make a site, or set its values: gas, elevation, meter, customer
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(subcommand)]
    what: What,
}

#[derive(Debug, clap::Subcommand)]
enum What {
    /// Make a site
    Add {
        /// Its name
        name: String,
        /// Values: gas_kind=natural, elevation='820 ft', customer/name='...'
        #[arg(value_name = "KEY=VALUE")]
        values: Vec<String>,
        #[command(flatten)]
        entering: Entering,
    },
    /// Set values of a site
    Set {
        /// Values: gas_kind=natural, elevation='820 ft', heating_value=1025
        #[arg(required = true, value_name = "KEY=VALUE")]
        values: Vec<String>,
        /// The site
        #[arg(long)]
        site: Option<String>,
        #[command(flatten)]
        entering: Entering,
    },
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let book = desk.book()?;
    match &args.what {
        What::Add { name, values, entering } => {
            let taken = book.sites.iter().any(|(_, row)| row.name.as_ref() == Some(name));
            if taken {
                return Err(Trouble::State(format!("there is a site called '{name}' already")));
            }
            let site = SiteId(desk.device()?.new_id());
            let mut settings =
                vec![deed::setting("site/name", FieldValue::Text(name.trim().to_owned()))];
            let reason = entering.because.as_deref();
            for typed in values {
                settings.push(pairs::setting(&book, DocKind::Site, typed, None, reason)?);
            }
            let doc = DocId::new(site, DocKind::Site);
            save(desk, &book, entering, vec![(doc, Action::Set(settings))])?;
            desk.ui.talk(Tone::Dim, &format!("site {site}"));
        }
        What::Set { values, site, entering } => {
            let site = desk.site(&book, site.as_deref())?;
            let reason = entering.because.as_deref();
            let settings = values
                .iter()
                .map(|typed| pairs::setting(&book, DocKind::Site, typed, None, reason))
                .collect::<Result<_, _>>()?;
            let doc = DocId::new(site, DocKind::Site);
            save(desk, &book, entering, vec![(doc, Action::Set(settings))])?;
        }
    }
    Ok(())
}
