//! `report`: what the record says to people who were not at the unit, on paper, on a page, as text.

use std::path::{Path, PathBuf};

use client_core::present::say::short;
use client_core::record::body::{Body, Kind};
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::id::{ApplianceId, EntryId, SiteId};
use client_core::record::value::Day;
use client_core::trade::unit::System;
use reports::gather::{Gatherer, Wanted};
use reports::{Firm, Language, Report, Tongue, face};

use crate::args::At;
use crate::desk::{Desk, write_whole};
use crate::entries;
use crate::error::Trouble;
use crate::find::{Candidate, only, pick};
use crate::pairs;
use crate::ui::Tone;

/// Make a report: for the customer, the supervisor, the next technician, a manufacturer
///
/// A report says what is in the record and nothing else: what was not tested says so, every limit has its
/// source, and what two people said differently stands side by side. The plate, the local code and the
/// licensed person decide.
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(subcommand)]
    what: What,
    #[command(flatten)]
    how: How,
}

#[derive(Debug, clap::Subcommand)]
enum What {
    /// One page for the customer: decisions first, what was done, what was not tested and why
    Customer {
        #[command(flatten)]
        at: At,
    },
    /// The supervisor's record of a visit: everything, what has to be looked at first
    Visit {
        #[command(flatten)]
        at: At,
    },
    /// Everything on record of one unit, with charts over its visits
    Unit {
        /// The unit
        unit: String,
        #[command(flatten)]
        at: At,
    },
    /// A question to a manufacturer, with plate, gas, altitude and figures
    Question {
        /// The unit
        unit: String,
        /// The question, by its number [default: the only one]
        question: Option<String>,
        #[command(flatten)]
        at: At,
    },
    /// The plan of a day: who goes where first and why
    Morning {
        #[command(flatten)]
        at: At,
    },
    /// Parts used, and parts worth carrying
    Restock {
        #[command(flatten)]
        at: At,
    },
    /// Everything that two people said differently at a site, open first
    Differences {
        /// The site
        #[arg(long)]
        site: Option<String>,
    },
    /// The slip on the column: at most 8 lines of 32 characters
    Column {
        /// The unit
        unit: String,
        /// When somebody should come again, as 2026-10-01
        #[arg(long, value_parser = pairs::day)]
        next: Option<Day>,
        #[command(flatten)]
        at: At,
    },
    /// The slip of a unit that is shut down
    ShutDown {
        /// The unit
        unit: String,
        #[command(flatten)]
        at: At,
    },
    /// The slip of a flue test: found, left and limit beside each other
    Flue {
        /// The unit
        unit: String,
        #[command(flatten)]
        at: At,
    },
}

/// How a report is made.
#[derive(Debug, clap::Args)]
struct How {
    /// The language: en, fr, es
    #[arg(long, global = true, default_value = "en", value_parser = language)]
    lang: Language,
    /// The face
    #[arg(long, global = true, value_enum, default_value_t)]
    format: Format,
    /// Write to a file, not to standard output
    #[arg(long, global = true, value_name = "FILE")]
    out: Option<PathBuf>,
    /// What a PDF is printed on [default: letter; a slip: roll58]
    #[arg(long, global = true, value_enum)]
    paper: Option<Sheet>,
    /// Name of the firm that hands the report out; kept for the next report
    #[arg(long, global = true, value_name = "NAME")]
    firm: Option<String>,
    /// The firm's number to call; kept for the next report
    #[arg(long, global = true, value_name = "NUMBER")]
    firm_phone: Option<String>,
}

/// A face of a report.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, clap::ValueEnum)]
enum Format {
    /// Text of 80 columns.
    #[default]
    Text,
    /// A web page in one file.
    Html,
    /// PDF, tagged for readers that speak; goes to a file.
    Pdf,
}

/// What a PDF is printed on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
enum Sheet {
    /// ISO A4.
    A4,
    /// Letter.
    Letter,
    /// A roll of 58 mm, for slips.
    Roll58,
    /// A roll of 80 mm, for slips.
    Roll80,
}

/// Name of the file that keeps the firm's name and number in a store's folder.
const FIRM_FILE: &str = "firm";

/// A language as typed. For the argument reader.
pub(crate) fn language(typed: &str) -> Result<Language, String> {
    Language::from_key(typed).ok_or_else(|| {
        let keys = Language::ALL.map(Language::key).join(", ");
        format!("'{typed}' is not one of {keys}")
    })
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let firm = firm(args, desk)?;
    if firm.name.is_empty() {
        desk.ui.talk(Tone::Dim, "no firm on the report; name it once with --firm NAME");
    }
    let (site, wanted) = wanted(&args.what, desk)?;
    let model = Gatherer::new(desk.device()?, firm)?.model(site, wanted)?;
    let tongue = Tongue::new(args.how.lang, desk.system.unwrap_or(System::Us));
    let report = model.report(tongue);
    let text = match args.how.format {
        Format::Text => face::terminal::text(&report),
        Format::Html => face::page::document(&report),
        Format::Pdf => {
            let Some(file) = &args.how.out else {
                let words = "a PDF goes to a file; name it with --out FILE";
                return Err(Trouble::Usage(words.to_owned()));
            };
            return write(desk, file, &pdf(&report, args.how.paper)?);
        }
    };
    match &args.how.out {
        Some(file) => write(desk, file, text.as_bytes()),
        None => desk.ui.raw(&text),
    }
}

fn write(desk: &mut Desk<'_>, file: &Path, bytes: &[u8]) -> Result<(), Trouble> {
    write_whole(file, bytes)?;
    desk.ui.talk(Tone::Dim, &format!("{} written", file.display()));
    Ok(())
}

#[cfg(feature = "pdf")]
fn pdf(report: &Report, sheet: Option<Sheet>) -> Result<Vec<u8>, Trouble> {
    use reports::face::paper::{self, Paper};
    let paper = match sheet {
        Some(Sheet::A4) => Paper::A4,
        Some(Sheet::Letter) => Paper::Letter,
        Some(Sheet::Roll58) => Paper::Roll58,
        Some(Sheet::Roll80) => Paper::Roll80,
        None if report.kind.narrow() => Paper::Roll58,
        None => Paper::Letter,
    };
    paper::pdf(report, paper).map_err(|wrong| Trouble::State(wrong.to_string()))
}

#[cfg(not(feature = "pdf"))]
fn pdf(_report: &Report, _sheet: Option<Sheet>) -> Result<Vec<u8>, Trouble> {
    let words = "this program was built without the typesetter: take --format html and print that, \
                 or build it with the feature pdf";
    Err(Trouble::State(words.to_owned()))
}

/// Which report of which site is meant.
fn wanted(what: &What, desk: &mut Desk<'_>) -> Result<(SiteId, Wanted), Trouble> {
    let visit = |desk: &mut Desk<'_>, at: &At| {
        desk.place(at).map(|place| (place.site, place.visit))
    };
    let unit = |desk: &mut Desk<'_>, at: &At, typed: &str| {
        entries::unit(desk, at, typed).map(|(place, unit)| (place.site, place.visit, unit))
    };
    Ok(match what {
        What::Customer { at } => visit(desk, at).map(|(site, own)| (site, Wanted::Customer(own)))?,
        What::Visit { at } => visit(desk, at).map(|(site, own)| (site, Wanted::Visit(own)))?,
        What::Morning { at } => visit(desk, at).map(|(site, own)| (site, Wanted::Morning(own)))?,
        What::Restock { at } => visit(desk, at).map(|(site, own)| (site, Wanted::Restock(own)))?,
        What::Differences { site } => {
            let book = desk.book()?;
            (desk.site(&book, site.as_deref())?, Wanted::Differences)
        }
        What::Unit { unit, at } => {
            let (_, site, unit, _) = entries::appliance(desk, at, unit)?;
            (site, Wanted::Unit(unit))
        }
        What::Question { unit, question, at } => {
            let (_, site, unit, _) = entries::appliance(desk, at, unit)?;
            (site, Wanted::Question(unit, asked(desk, site, unit, question.as_deref())?))
        }
        What::Column { unit: typed, next, at } => {
            let (site, visit, unit) = unit(desk, at, typed)?;
            (site, Wanted::Column(visit, unit, *next))
        }
        What::ShutDown { unit: typed, at } => {
            let (site, visit, unit) = unit(desk, at, typed)?;
            (site, Wanted::ShutDown(visit, unit))
        }
        What::Flue { unit: typed, at } => {
            let (site, visit, unit) = unit(desk, at, typed)?;
            (site, Wanted::Flue(visit, unit))
        }
    })
}

/// The question that is meant: as typed, or the only one of the unit.
fn asked(
    desk: &mut Desk<'_>,
    site: SiteId,
    unit: ApplianceId,
    typed: Option<&str>,
) -> Result<EntryId, Trouble> {
    let papers = desk.device()?.read_doc(DocId::new(site, DocKind::Appliance(unit)))?;
    let questions = papers.read.counted(Kind::Question);
    let candidates: Vec<Candidate<EntryId>> = questions
        .filter_map(|entry| match &entry.body {
            Body::Question(question) => Some(Candidate {
                id: entry.id,
                whole: entry.id.to_string(),
                names: vec![short(entry.id)],
                shown: format!("{} ({})", short(entry.id), question.asked),
            }),
            _ => None,
        })
        .collect();
    Ok(match typed {
        Some(typed) => pick("question", typed, &candidates)?,
        None => only("question", &candidates)?,
    })
}

/// The firm as typed now, else as typed at an earlier report.
fn firm(args: &Args, desk: &Desk<'_>) -> Result<Firm, Trouble> {
    let file = desk.file(FIRM_FILE)?;
    let kept = std::fs::read_to_string(&file).unwrap_or_default();
    let mut lines = kept.lines().map(str::to_owned);
    let (name, phone) = (lines.next().unwrap_or_default(), lines.next());
    let firm = Firm {
        name: args.how.firm.clone().unwrap_or(name),
        phone: args.how.firm_phone.clone().or(phone).filter(|phone| !phone.is_empty()),
    };
    if args.how.firm.is_some() || args.how.firm_phone.is_some() {
        let phone = firm.phone.clone().unwrap_or_default();
        let one = |text: &str| text.replace(['\n', '\r'], " ");
        write_whole(&file, format!("{}\n{}\n", one(&firm.name), one(&phone)).as_bytes())?;
    }
    Ok(firm)
}
