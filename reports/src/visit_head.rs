//! The head of a visit: what, when, where, who came, who signed.

use crate::book::{Book, Firm, Source, text};
use crate::layout::Masthead;
use crate::text::Text;
use crate::tongue::{Tongue, say};
use client_core::present::say::Names as _;
use client_core::record::body::{Body, Kind};
use client_core::record::code::{Role, VisitKind};
use client_core::record::field::FieldValue;
use client_core::record::file::VisitFile;
use client_core::record::id::{PersonId, VisitId};
use client_core::record::merged::Merged;
use client_core::record::read::Read;
use client_core::record::value::{Day, Figure, Moment};

/// A sign-off that counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Signature {
    /// Who.
    pub person: PersonId,
    /// In which role, by the certificate.
    pub role: Role,
    /// When, by the clock of that device.
    pub at: Moment,
}

/// The head of a visit.
#[derive(Clone, Debug, PartialEq)]
pub struct VisitHead {
    /// The visit.
    pub visit: VisitId,
    /// The firm.
    pub firm: Firm,
    /// Site.
    pub site: Option<String>,
    /// Customer.
    pub customer: Option<String>,
    /// Why somebody came.
    pub kind: Option<VisitKind>,
    /// First and last day.
    pub days: Option<(Day, Option<Day>)>,
    /// The reference that finds the record.
    pub reference: String,
    /// Temperature outdoors.
    pub outdoor: Option<Figure>,
    /// Who worked.
    pub crew: Vec<PersonId>,
    /// Sign-offs that count, in order.
    pub signed: Vec<Signature>,
    /// Whether a supervisor released it.
    pub released: bool,
}

impl VisitHead {
    /// Gathers it.
    pub fn of(source: &Source<'_>) -> VisitHead {
        let file = source.file;
        let head = &file.head.read;
        let site = |key: &str| file.site.and_then(|site| text(site.named(key)));
        let day = |key: &str| match head.named(key).and_then(Merged::governs)?.value {
            FieldValue::Day(day) => Some(day),
            _ => None,
        };
        let signed = file.signed();
        VisitHead {
            visit: file.visit,
            firm: source.firm.clone(),
            site: site("site/name"),
            customer: site("customer/name"),
            kind: match head.named("visit/kind").and_then(Merged::governs).map(|said| &said.value) {
                Some(FieldValue::Word(code)) => Some(VisitKind::from_code(*code)),
                _ => None,
            },
            days: day("visit/day").map(|first| (first, day("visit/last_day"))),
            reference: text(head.named("visit/reference")).unwrap_or_else(|| file.visit.short()),
            outdoor: match head.named("visit/outdoor_temp").and_then(Merged::governs) {
                Some(said) => match said.value {
                    FieldValue::Figure(figure) => Some(figure),
                    _ => None,
                },
                None => None,
            },
            crew: crew(file),
            signed: signed
                .sign_offs
                .iter()
                .filter_map(|(id, person, role)| {
                    let at = head.entry(*id)?.stamp.at();
                    Some(Signature { person: *person, role: *role, at })
                })
                .collect(),
            released: signed.released,
        }
    }

    /// The last day of the visit.
    pub fn last_day(&self) -> Option<Day> {
        self.days.map(|(first, last)| last.unwrap_or(first))
    }

    /// The days in words.
    pub fn when(&self, tongue: Tongue) -> String {
        match self.days {
            Some((first, last)) => tongue.days(first, last),
            None => tongue.plain("visit-no_day"),
        }
    }

    /// What kind of visit, and when.
    pub fn what(&self, tongue: Tongue) -> Text {
        let kind = match self.kind {
            Some(kind) => tongue.word(kind),
            None => tongue.plain("visit-no_kind"),
        };
        Text::words(say!(tongue, "visit-what", kind = kind, when = self.when(tongue))).capital()
    }

    /// The head of the first sheet.
    pub fn masthead(&self, tongue: Tongue, book: &Book) -> Masthead {
        let names: Vec<Text> =
            self.crew.iter().map(|person| Text::name(book.person(*person))).collect();
        let crew = match names.is_empty() {
            true => Text::words(tongue.plain("visit-no_crew")),
            false => tongue.phrase("visit-crew").text("names", Text::join(names, ", ")).said(),
        };
        let or = |known: &Option<String>, missing| match known {
            Some(name) => Text::name(name),
            None => Text::words(tongue.plain(missing)),
        };
        Masthead {
            firm: Text::name(&self.firm.name),
            what: self.what(tongue),
            aside: vec![
                or(&self.site, "visit-no_site"),
                or(&self.customer, "visit-no_customer"),
                crew,
            ],
        }
    }

    /// How it stands with the signatures, in a sentence.
    pub fn signatures(&self, tongue: Tongue, book: &Book) -> Text {
        if self.signed.is_empty() {
            return Text::words(tongue.plain("visit-unsigned"));
        }
        let one = |signature: &Signature| {
            tongue
                .phrase("visit-signed")
                .name("person", &book.person(signature.person))
                .with("role", tongue.word(signature.role))
                .with("at", tongue.moment(signature.at))
                .said()
        };
        let all = Text::join(self.signed.iter().map(one), "; ");
        match self.released {
            true => all,
            false => {
                all.and(Text::words("; ")).and(Text::words(tongue.plain("visit-not_released")))
            }
        }
    }

    /// The foot of each sheet: the reference, and who decides.
    pub fn foot(&self, tongue: Tongue) -> Text {
        tongue.phrase("foot-reference").name("reference", &self.reference).said()
    }
}

/// Everybody who read or did something, or whose time is noted, in the order of their names' first entry.
fn crew(file: &VisitFile<'_>) -> Vec<PersonId> {
    let mut found: Vec<PersonId> = vec![];
    let mut add = |person: PersonId| {
        if !found.contains(&person) {
            found.push(person);
        }
    };
    for entry in file.head.read.counted(Kind::Labour) {
        if let Body::Labour(labour) = &entry.body {
            add(labour.person);
        }
    }
    let sheets = file.units.iter().filter_map(|unit| unit.sheet.as_ref());
    for read in sheets.map(|sheet| &sheet.read) {
        worked(read).for_each(&mut add);
    }
    found
}

fn worked(read: &Read) -> impl Iterator<Item = PersonId> + '_ {
    let work = |entry: &&client_core::record::read::Entry| {
        entry.counts()
            && matches!(entry.body, Body::Reading(_) | Body::Work(_) | Body::Adjustment(_))
    };
    read.entries.iter().filter(work).map(client_core::record::read::Entry::person)
}
