//! One page for the customer: decisions first, what was done, how the site is trending, what was not tested
//! and why. No codes, no abbreviations without a word, counts and never shares.

mod decide;
mod done;
mod lead;
mod untested;

use std::collections::BTreeMap;

use crate::book::{Book, Source};
use crate::kind::Kind;
use crate::layout::{Block, Cell, Column, Dot, Report, Row, Table};
use crate::text::Text;
use crate::tongue::{Tongue, say};
use crate::trend::{PastVisit, Strip, Trend};
use crate::unit_facts::UnitFacts;
use crate::visit_head::VisitHead;
use client_core::present::say::Names as _;
use client_core::record::code::Role;
use client_core::record::derived::block::{Judged, Judgement};
use client_core::record::id::{ApplianceId, PersonId};

pub use lead::State;
pub(crate) use lead::sentence as lead_sentence;

/// The customer's page of a visit.
#[derive(Clone, Debug, PartialEq)]
pub struct CustomerPage {
    /// The visit.
    pub head: VisitHead,
    /// Its units, by number.
    pub units: Vec<UnitFacts>,
    /// What came back over the visits, where something did.
    pub trend: Option<Trend>,
    /// How many visits the trend looks at.
    pub visits: usize,
    /// Names.
    pub book: Book,
}

impl CustomerPage {
    /// Gathers it. `past` are the visits of the site up to this one, this one last; `areas` says where each
    /// unit of the site hangs.
    pub fn of(
        source: &Source<'_>,
        past: &[PastVisit],
        areas: &BTreeMap<ApplianceId, String>,
    ) -> CustomerPage {
        let book = Book::of(source);
        let units = UnitFacts::all(source, &book);
        let units = units.into_iter().filter(UnitFacts::stands).collect();
        CustomerPage {
            head: VisitHead::of(source),
            units,
            trend: Trend::of(past, areas),
            visits: past.len(),
            book,
        }
    }

    /// The page in a tongue.
    pub fn report(&self, tongue: Tongue) -> Report {
        let mut blocks = vec![
            Block::Masthead(self.head.masthead(tongue, &self.book)),
            Block::Lead(lead::sentence(tongue, &self.units)),
        ];
        blocks.extend(decide::blocks(self, tongue));
        blocks.extend(done::blocks(self, tongue));
        blocks.push(Block::Heading(2, Text::words(tongue.plain("customer-trend"))));
        blocks.extend(self.trend(tongue));
        blocks.push(Block::Heading(2, Text::words(tongue.plain("customer-untested"))));
        blocks.push(Block::Items(untested::lines(self, tongue)));
        blocks.extend(self.closing(tongue));
        let when = self.head.when(tongue);
        Report {
            kind: Kind::Customer,
            tongue,
            title: say!(tongue, "customer-title", when = when),
            blocks,
            foot: self.head.foot(tongue),
        }
    }

    fn trend(&self, tongue: Tongue) -> Vec<Block> {
        let Some(trend) = &self.trend else {
            let words = match self.visits {
                0 | 1 => tongue.plain("trend-first"),
                visits => say!(tongue, "trend-none", visits = visits),
            };
            return vec![Block::Paragraph(Text::words(words))];
        };
        let intro = tongue
            .phrase("trend-intro")
            .text("cause", tongue.plain_cause(&trend.cause))
            .with("visits", trend.days.len())
            .said();
        let mut columns = vec![Column::words(tongue.plain("column-area"), 24)];
        columns.extend(trend.days.iter().map(|day| Column::words(tongue.month(*day), 14)));
        let mut rows: Vec<Row> = trend.strips.iter().map(|strip| row(tongue, strip)).collect();
        let elsewhere = &trend.elsewhere;
        if elsewhere.visits.iter().any(|dots| !dots.is_empty()) {
            rows.push(row(tongue, elsewhere));
        }
        vec![
            Block::Paragraph(intro),
            Block::Table(Table {
                caption: Text::words(tongue.plain("trend-caption")),
                columns,
                rows,
                dense: false,
            }),
            Block::Small(Text::words(tongue.plain("trend-dotted"))),
        ]
    }

    fn closing(&self, tongue: Tongue) -> Vec<Block> {
        let sources = self.sources(tongue);
        let limits = match sources.is_empty() {
            true => tongue.plain("customer-no_limits"),
            false => say!(tongue, "customer-limits", sources = sources.join("; ")),
        };
        let mut foot = Text::words(limits).then(Text::words(tongue.plain("authority")));
        foot = foot.then(self.head.signatures(tongue, &self.book).capital().and(Text::words(".")));
        let licences: Vec<Text> = self.licences().into_iter().map(Text::name).collect();
        if !licences.is_empty() {
            let licences = Text::join(licences, ", ");
            foot = foot.then(tongue.phrase("customer-licences").text("licences", licences).said());
        }
        foot = foot
            .then(tongue.phrase("customer-record").name("reference", &self.head.reference).said());
        vec![Block::Small(foot), Block::Signatures(self.signatures(tongue))]
    }

    /// Where the limits on the page come from, each named once.
    fn sources(&self, tongue: Tongue) -> Vec<String> {
        let mut found: Vec<String> = vec![];
        let blocks = self.units.iter().flat_map(|unit| [&unit.found, &unit.left]);
        for judged in blocks.flat_map(|block| &block.verdicts) {
            let source = source(tongue, judged);
            if let Some(source) = source.filter(|source| !found.contains(source)) {
                found.push(source);
            }
        }
        found.sort();
        found
    }

    fn licences(&self) -> Vec<String> {
        let people = self.head.signed.iter().map(|one| one.person).chain(self.head.crew.clone());
        let mut found: Vec<String> = vec![];
        for licence in people.filter_map(|person| self.book.licence(person)) {
            if !found.iter().any(|known| known == licence) {
                found.push(licence.to_owned());
            }
        }
        found
    }

    fn signatures(&self, tongue: Tongue) -> Vec<Text> {
        let supervisor = self.head.signed.iter().rev().find(|one| one.role == Role::Supervisor);
        let ours = match supervisor {
            Some(signature) => Text::name(self.book.person(signature.person)),
            None => Text::words(tongue.plain("signature-supervisor")),
        };
        let firm = &self.head.firm.name;
        let ours = match firm.is_empty() {
            true => ours,
            false => ours.and(Text::words(", ")).and(Text::name(firm)),
        };
        let theirs = match self.told() {
            Some(person) => Text::name(self.book.person(person)),
            None => Text::words(tongue.plain("signature-customer")),
        };
        let seen = Text::words(tongue.plain("signature-seen"));
        vec![ours, theirs.and(Text::words(", ")).and(seen)]
    }

    /// The person at the customer's who was told last.
    fn told(&self) -> Option<PersonId> {
        let acks = self.units.iter().flat_map(UnitFacts::open_advisories);
        let acks = acks.flat_map(|advisory| &advisory.acks);
        acks.filter_map(|(_, ack)| ack.told_person).last()
    }
}

fn row(tongue: Tongue, strip: &Strip) -> Row {
    let members = strip.visits.first().map_or(0, Vec::len);
    let place = match &strip.area {
        Some(area) => Text::name(area),
        None => Text::words(tongue.plain("trend-elsewhere")),
    };
    let place = place.and(Text::words(format!(" ({})", tongue.count(members))));
    let mut cells = vec![Cell::from(place)];
    for dots in &strip.visits {
        let of = |wanted: Dot| dots.iter().filter(|dot| **dot == wanted).count();
        let (hits, opened) = (of(Dot::Happened), dots.len() - of(Dot::NotOpened));
        let words = match opened {
            0 => tongue.plain("trend-not_opened"),
            opened => {
                say!(tongue, "count-of", hits = tongue.count(hits), of = tongue.count(opened))
            }
        };
        cells.push(Cell { shape: None, text: Text::words(words), dots: dots.clone() });
    }
    Row(cells)
}

fn source(tongue: Tongue, judged: &Judged) -> Option<String> {
    use client_core::record::derived::block::LimitFrom;
    match &judged.judgement {
        Judgement::NoTarget => None,
        Judgement::CarbonMonoxide(band) => Some(tongue.plain(&format!("co_source-{}", band.key))),
        // The figure of each plate would make a list of its own here.
        Judgement::Against { from: LimitFrom::PlateBand(_), .. } => {
            Some(tongue.plain("source-plate_bands"))
        }
        Judgement::Against { from, .. } => Some(tongue.limit_source(from)),
    }
}
