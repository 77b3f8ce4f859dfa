//! A report on paper: PDF by Typst as a library, tagged for readers that speak.
//!
//! The template is fixed. What a report says goes to it as data ([`data`]), so that a text that looks like
//! markup is set as it stands. The same report gives the same bytes: no clock, no random number.

mod data;
mod world;

use typst::diag::SourceDiagnostic;
use typst::foundations::Smart;
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards};

use crate::kind::Kind;
use crate::layout::Report;
use world::Sheets;

/// What a report is printed on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Paper {
    /// ISO 216 A4.
    A4,
    /// ANSI letter.
    #[default]
    Letter,
    /// A roll of 58 mm, for slips.
    Roll58,
    /// A roll of 80 mm, for slips.
    Roll80,
}

impl Paper {
    const fn key(self) -> &'static str {
        match self {
            Paper::A4 => "a4",
            Paper::Letter => "letter",
            Paper::Roll58 => "slip58",
            Paper::Roll80 => "slip80",
        }
    }

    /// Whether a report of this kind fits it: slips go on rolls, everything else on sheets.
    pub const fn fits(self, narrow: bool) -> bool {
        matches!(self, Paper::Roll58 | Paper::Roll80) == narrow
    }
}

/// Why there is no paper.
#[derive(Debug, thiserror::Error)]
pub enum PaperWrong {
    /// A slip on a sheet, or a sheet on a roll.
    #[error("a slip goes on a roll of 58 or 80 mm, every other report on a4 or letter")]
    Fits,
    /// The typesetter refused.
    #[error("the report cannot be set: {0}")]
    Set(String),
}

fn wrong<'d>(list: impl IntoIterator<Item = &'d SourceDiagnostic>) -> PaperWrong {
    let words: Vec<String> = list.into_iter().map(|one| one.message.to_string()).collect();
    PaperWrong::Set(words.join("; "))
}

/// The report as PDF 1.7 by the rules of PDF/UA-1. Where somebody typed letters that no face here has, a box
/// stands for each, and the document is tagged without the claim to follow those rules.
pub fn pdf(report: &Report, paper: Paper) -> Result<Vec<u8>, PaperWrong> {
    if !paper.fits(report.kind.narrow()) {
        return Err(PaperWrong::Fits);
    }
    let mut document = set(report, paper, Lines::Wide)?;
    if report.kind == Kind::Customer && document.pages().len() > 1 {
        // The customer gets one page where it can be one: closer lines, and only when that does it.
        for lines in [Lines::Close, Lines::Closest] {
            let closer = set(report, paper, lines)?;
            if closer.pages().len() == 1 {
                document = closer;
                break;
            }
        }
    }
    let for_all = written(report, &document, &[PdfStandard::V_1_7, PdfStandard::Ua_1]);
    let bytes = for_all.or_else(|_| written(report, &document, &[PdfStandard::V_1_7]));
    // What the typesetter remembers of this report is of no use to the next one.
    typst::comemo::evict(0);
    bytes
}

/// How close the lines of a report stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Lines {
    /// As they read best.
    Wide = 0,
    /// Closer.
    Close = 1,
    /// As close as they still read.
    Closest = 2,
}

fn set(report: &Report, paper: Paper, lines: Lines) -> Result<PagedDocument, PaperWrong> {
    let sheets = Sheets::of(report, paper, lines);
    let set = typst::compile::<PagedDocument>(&sheets).output;
    set.map_err(|list| wrong(list.iter()))
}

fn written(
    report: &Report,
    document: &PagedDocument,
    standards: &[PdfStandard],
) -> Result<Vec<u8>, PaperWrong> {
    let standards = PdfStandards::new(standards);
    let options = PdfOptions {
        ident: Smart::Custom(format!("dripleg {} {}", report.kind.key(), report.title)),
        standards: standards.map_err(|own| PaperWrong::Set(own.message().to_string()))?,
        ..PdfOptions::default()
    };
    typst_pdf::pdf(document, &options).map_err(|list| wrong(list.iter()))
}
