//! A site's register of differences: everything that two people ever said differently, open ones first,
//! visit by visit.

use client_core::record::contradiction::Contradiction;

use crate::book::{Book, Source};
use crate::difference::Difference;
use crate::kind::Kind;
use crate::layout::{Block, Masthead, Report};
use crate::saying::Sayer;
use crate::text::Text;
use crate::tongue::{Tongue, say};
use crate::visit::two;
use crate::visit_head::VisitHead;

/// Differences of one visit, gathered while that visit is at hand.
#[derive(Clone, Debug, PartialEq)]
pub struct VisitDifferences {
    /// The visit.
    pub head: VisitHead,
    /// Its differences, open first.
    pub differences: Vec<Difference>,
    /// Names.
    pub book: Book,
}

impl VisitDifferences {
    /// Gathers them.
    pub fn of(source: &Source<'_>) -> VisitDifferences {
        VisitDifferences {
            head: VisitHead::of(source),
            differences: Difference::all(source.file),
            book: Book::of(source),
        }
    }
}

/// A site's register of differences.
#[derive(Clone, Debug, PartialEq)]
pub struct DifferencesRegister {
    /// Visits with their differences, newest first; at least one.
    pub visits: Vec<VisitDifferences>,
    /// Names of all visits.
    pub book: Book,
}

impl DifferencesRegister {
    /// Puts visits together; none without a visit. A register outlives visits: its difference is told with
    /// the newest visit that knows it.
    pub fn of(mut visits: Vec<VisitDifferences>) -> Option<DifferencesRegister> {
        visits.sort_by_key(|visit| std::cmp::Reverse(visit.head.days));
        let mut book = Book::default();
        let mut known: Vec<String> = vec![];
        for visit in &mut visits {
            book.add(&visit.book);
            visit.differences.retain(|own| {
                let register = matches!(own.about, Contradiction::Field { .. });
                let told = register && known.contains(&own.key);
                known.push(own.key.clone());
                !told
            });
        }
        (!visits.is_empty()).then_some(DifferencesRegister { visits, book })
    }

    /// The register in a tongue.
    pub fn report(&self, tongue: Tongue) -> Report {
        let sayer = Sayer::new(tongue, &self.book);
        let all = || self.visits.iter().flat_map(|visit| &visit.differences);
        let open = all().filter(|own| own.settled.is_none()).count();
        let settled = all().count() - open;
        let mut blocks = vec![
            Block::Masthead(self.masthead(tongue)),
            Block::Lead(Text::words(say!(tongue, "register-lead", open = open, settled = settled))),
        ];
        for visit in self.visits.iter().filter(|visit| !visit.differences.is_empty()) {
            let reference = Text::name(&visit.head.reference);
            let head = visit.head.what(tongue).and(Text::words(", ")).and(reference);
            blocks.push(Block::Heading(2, head));
            for difference in &visit.differences {
                blocks.extend(two::one(&sayer, difference));
            }
        }
        blocks.push(Block::Small(Text::words(tongue.plain("authority"))));
        Report {
            kind: Kind::Differences,
            tongue,
            title: tongue.plain("register-title"),
            blocks,
            foot: Text::words(tongue.plain("register-foot")),
        }
    }

    fn masthead(&self, tongue: Tongue) -> Masthead {
        let head = self.visits.first().map(|visit| visit.head.masthead(tongue, &visit.book));
        let head = head.unwrap_or(Masthead {
            firm: Text::default(),
            what: Text::default(),
            aside: vec![],
        });
        // Who came is told with each visit.
        let aside = head.aside.into_iter().take(2).collect();
        Masthead { firm: head.firm, what: Text::words(tongue.plain("register-title")), aside }
    }
}
