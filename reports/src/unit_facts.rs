//! What one visit holds of one unit, gathered once and owned: every report of the unit reads from here.

use crate::book::{Book, Source, text};
use crate::doubt::{Doubts, doubts};
use client_core::record::body::{Ack, Advisory, Body, Finding, Kind, Reading, Tag, Work};
use client_core::record::code::{
    AdvisorySeverity, CheckItem, CheckResult, Decision, Gas, Outcome, Phase, Quantity, Status,
};
use client_core::record::contradiction::{chosen_reading, counted_twice, governing_check};
use client_core::record::derived::block::{Block, block};
use client_core::record::field::{Field, FieldValue, Of};
use client_core::record::file::{Papers, UnitInVisit};
use client_core::record::id::{ApplianceId, EntryId, PersonId};
use client_core::record::mark::{Mark, Marker};
use client_core::record::merged::Merged;
use client_core::record::read::{Entry, NoteText};
use client_core::record::value::{Day, Moment};

/// One entry as a report tells it.
#[derive(Clone, Debug, PartialEq)]
pub struct Told {
    /// Its number.
    pub id: EntryId,
    /// What it says.
    pub body: Body,
    /// Whose work it is.
    pub person: PersonId,
    /// Who entered it, when that is somebody else.
    pub entered_by: Option<PersonId>,
    /// By the clock of the device.
    pub at: Moment,
    /// Remarks beside it.
    pub marks: Vec<Mark>,
    /// Whether it counts.
    pub counts: bool,
    /// The entry that took it out of the count.
    pub voided_by: Option<EntryId>,
    /// The entry that corrects it.
    pub corrected_by: Option<EntryId>,
    /// A line that was entered twice and does not count in sums.
    pub double: bool,
}

impl Told {
    /// An entry with its remarks.
    pub fn of(entry: &Entry, marks: Vec<Mark>) -> Told {
        let person = entry.person();
        Told {
            id: entry.id,
            body: entry.body.clone(),
            person,
            entered_by: (entry.stamp.by != person).then_some(entry.stamp.by),
            at: entry.stamp.at(),
            marks,
            counts: entry.counts(),
            voided_by: entry.voided_by,
            corrected_by: entry.corrected_by,
            double: false,
        }
    }

    /// The reading, if it is one.
    pub fn reading(&self) -> Option<&Reading> {
        match &self.body {
            Body::Reading(reading) => Some(reading),
            _ => None,
        }
    }
}

/// A shut-down record in force.
#[derive(Clone, Debug, PartialEq)]
pub struct TagFacts {
    /// What it says.
    pub tag: Tag,
    /// Who tagged, and when.
    pub told: Told,
    /// Locks that are on: the entries.
    pub locks: Vec<Told>,
}

/// An advisory with what became of it.
#[derive(Clone, Debug, PartialEq)]
pub struct AdvisoryFacts {
    /// The entry.
    pub told: Told,
    /// What it says.
    pub advisory: Advisory,
    /// The severity that governs.
    pub severity: AdvisorySeverity,
    /// By when.
    pub due: Option<Day>,
    /// The customer's decision, where one stands.
    pub decision: Option<Decision>,
    /// Who was told, and what they answered.
    pub acks: Vec<(Told, Ack)>,
    /// What closed it.
    pub closing: Option<Told>,
}

/// One unit in one visit.
#[derive(Clone, Debug, PartialEq)]
pub struct UnitFacts {
    /// The appliance.
    pub appliance: ApplianceId,
    /// Readings that govern others of the same thing until somebody settles it.
    pub governing: Vec<EntryId>,
    /// Its number on the column.
    pub no: String,
    /// Its area.
    pub area: Option<String>,
    /// Registers of its own document.
    pub registers: Vec<(Field, Merged)>,
    /// Status that governs.
    pub status: Status,
    /// Whether the status has one answer.
    pub status_settled: bool,
    /// Gas supplied, when settled.
    pub supplied: Option<Gas>,
    /// The unit it was merged into.
    pub merged_into: Option<ApplianceId>,
    /// The shut-down record in force.
    pub tag: Option<TagFacts>,
    /// How its turn ended, and why.
    pub outcome: Option<(Outcome, Option<String>)>,
    /// What the found readings come to.
    pub found: Block,
    /// What the left readings come to.
    pub left: Block,
    /// Doubts of the figures as found.
    pub found_doubts: Doubts,
    /// Doubts of the figures as left.
    pub left_doubts: Doubts,
    /// Everything on its sheet, in order.
    pub entries: Vec<Told>,
    /// Everything in its own document, in order.
    pub own: Vec<Told>,
    /// Entries that belong here although they were entered for another unit.
    pub repointed: Vec<(ApplianceId, Told)>,
    /// Advisories, open and closed.
    pub advisories: Vec<AdvisoryFacts>,
    /// The governing answer of each check that anybody answered.
    pub checks: Vec<(CheckItem, CheckResult)>,
    /// Texts of the sheet and of the unit's own document.
    pub notes: Vec<NoteText>,
    /// Parts of the sheet and of the unit's own document that cannot be read.
    pub problems: Vec<String>,
}

impl UnitFacts {
    /// Gathers a unit of a visit.
    pub fn of(
        source: &Source<'_>,
        unit: &UnitInVisit<'_>,
        book: &Book,
        marker: &Marker<'_>,
    ) -> UnitFacts {
        let file = source.file;
        let entries = unit.sheet.as_ref().map(|sheet| sheet_entries(sheet, marker));
        let read = unit.unit.as_ref().map(|own| &own.read);
        let own = read.map(|read| read.entries.iter().filter(|entry| entry.shown()));
        let own = own.map(|own| own.map(|entry| Told::of(entry, signature_marks(source, entry))));
        let papers = || unit.sheet.iter().chain(unit.unit.iter());
        UnitFacts {
            appliance: unit.appliance,
            governing: unit.governing.clone(),
            no: unit.unit_no(),
            area: area(unit, book),
            registers: read.map(|read| read.fields.clone()).unwrap_or_default(),
            status: unit.status(),
            status_settled: !unit.field("unit/status").is_some_and(Merged::contested),
            supplied: supplied(source, unit),
            merged_into: match unit.field("unit/merged_into").and_then(Merged::governs) {
                Some(said) => match said.value {
                    FieldValue::Appliance(other) => Some(other),
                    _ => None,
                },
                None => None,
            },
            tag: tag(source, unit),
            outcome: outcome(unit),
            found: block(file, unit, Phase::AsFound),
            left: block(file, unit, Phase::AsLeft),
            found_doubts: doubts(file, unit, Phase::AsFound, supplied(source, unit)),
            left_doubts: doubts(file, unit, Phase::AsLeft, supplied(source, unit)),
            entries: entries.unwrap_or_default(),
            own: own.map(Iterator::collect).unwrap_or_default(),
            repointed: repointed(source, unit, marker),
            advisories: advisories(source, unit),
            checks: checks(unit),
            notes: papers().flat_map(|papers| papers.read.texts.clone()).collect(),
            problems: papers()
                .flat_map(|papers| &papers.read.problems)
                .map(ToString::to_string)
                .collect(),
        }
    }

    /// Every unit of a visit, by number.
    pub fn all(source: &Source<'_>, book: &Book) -> Vec<UnitFacts> {
        let marker = Marker::new(source.file);
        let units = source.file.units.iter();
        let mut all: Vec<UnitFacts> =
            units.map(|unit| UnitFacts::of(source, unit, book, &marker)).collect();
        all.sort_by(|one, other| one.no.cmp(&other.no));
        all
    }

    /// The register with this key.
    pub fn register(&self, key: &str) -> Option<&Merged> {
        self.registers.iter().find(|(field, _)| field.def.key == key).map(|(_, merged)| merged)
    }

    /// A text register.
    pub fn words(&self, key: &str) -> Option<String> {
        text(self.register(key))
    }

    /// Entries of the sheet that count.
    pub fn counted(&self) -> impl Iterator<Item = &Told> {
        self.entries.iter().filter(|told| told.counts)
    }

    /// Findings that count.
    pub fn findings(&self) -> impl Iterator<Item = (&Told, &Finding)> {
        self.counted().filter_map(|told| match &told.body {
            Body::Finding(finding) => Some((told, finding)),
            _ => None,
        })
    }

    /// Work that counts.
    pub fn work(&self) -> impl Iterator<Item = (&Told, &Work)> {
        self.counted().filter_map(|told| match &told.body {
            Body::Work(work) => Some((told, work)),
            _ => None,
        })
    }

    /// The reading of a quantity in a phase that is reckoned with: of two people's the one that a settlement
    /// chose, else the one that governs, else the last.
    pub fn last(&self, quantity: Quantity, phase: Phase) -> Option<(&Told, &Reading)> {
        let fits = |told: &&Told| {
            told.reading().is_some_and(|own| own.quantity == quantity && own.phase == phase)
        };
        let last = self.counted().filter(fits).last()?;
        let bodies = self.counted().map(|told| &told.body);
        let chosen = chosen_reading(bodies, (quantity, phase), last.id);
        let chosen = self.counted().find(|told| Some(told.id) == chosen);
        let governs = || {
            let governs = |told: &&Told| self.governing.contains(&told.id);
            self.counted().filter(fits).filter(governs).last()
        };
        let told = chosen.or_else(governs).unwrap_or(last);
        told.reading().map(|reading| (told, reading))
    }

    /// Whether anything was read in a phase.
    pub fn read_in(&self, phase: Phase) -> bool {
        self.counted().any(|told| told.reading().is_some_and(|own| own.phase == phase))
    }

    /// Whether the unit was opened in this visit: somebody read or did something.
    pub fn opened(&self) -> bool {
        self.counted().any(|told| {
            matches!(
                told.body,
                Body::Reading(_) | Body::Work(_) | Body::Finding(_) | Body::Adjustment(_)
            )
        })
    }

    /// Whether the unit hangs there and is judged: not merged into another, not removed.
    pub fn stands(&self) -> bool {
        self.merged_into.is_none()
    }

    /// Open advisories that this visit knew.
    pub fn open_advisories(&self) -> impl Iterator<Item = &AdvisoryFacts> {
        self.advisories.iter().filter(|advisory| advisory.closing.is_none())
    }

    /// The last day on which somebody entered something here.
    pub fn last_person(&self) -> Option<PersonId> {
        let mut counts: Vec<(PersonId, usize)> = vec![];
        for told in self.counted().filter(|told| told.reading().is_some()) {
            match counts.iter_mut().find(|(person, _)| *person == told.person) {
                Some((_, count)) => *count += 1,
                None => counts.push((told.person, 1)),
            }
        }
        counts.into_iter().max_by_key(|(_, count)| *count).map(|(person, _)| person)
    }
}

fn sheet_entries(sheet: &Papers<'_>, marker: &Marker<'_>) -> Vec<Told> {
    let doubles = counted_twice(&sheet.read);
    let shown = sheet.read.entries.iter().filter(|entry| entry.shown());
    shown
        .map(|entry| Told {
            double: doubles.contains(&entry.id),
            ..Told::of(entry, marker.marks(sheet, entry))
        })
        .collect()
}

fn signature_marks(source: &Source<'_>, entry: &Entry) -> Vec<Mark> {
    client_core::record::mark::on_signature(source.file.signers, entry)
}

fn area(unit: &UnitInVisit<'_>, book: &Book) -> Option<String> {
    match unit.field("unit/area").and_then(Merged::governs)?.value {
        FieldValue::Entry(area) => book.area(area).map(str::to_owned),
        _ => None,
    }
}

fn supplied(source: &Source<'_>, unit: &UnitInVisit<'_>) -> Option<Gas> {
    let own = unit.field("unit/supplied_gas");
    let merged = own.or_else(|| source.file.site?.named("site/gas_kind"))?;
    match merged.governs()?.value {
        FieldValue::Word(code) => Some(Gas::from_code(code)),
        _ => None,
    }
}

fn tag(source: &Source<'_>, unit: &UnitInVisit<'_>) -> Option<TagFacts> {
    let entry = unit.tag_in_force()?;
    let Body::Tag(tag) = &entry.body else { return None };
    let told = |entry: &Entry| Told::of(entry, signature_marks(source, entry));
    let locks = unit.locks_on().into_iter().map(told).collect();
    Some(TagFacts { tag: tag.clone(), told: told(entry), locks })
}

fn outcome(unit: &UnitInVisit<'_>) -> Option<(Outcome, Option<String>)> {
    let read = &unit.sheet.as_ref()?.read;
    let said = read.named("sheet/outcome")?.governs()?;
    let FieldValue::Word(code) = said.value else { return None };
    let reason = said.reason.clone().or_else(|| text(read.named("sheet/outcome_reason")));
    Some((Outcome::from_code(code), reason))
}

fn repointed(
    source: &Source<'_>,
    unit: &UnitInVisit<'_>,
    marker: &Marker<'_>,
) -> Vec<(ApplianceId, Told)> {
    let mut found = vec![];
    // Where a unit was made twice the unit's own document says so; where one visit's entries stand under a
    // wrong number, the sheet may.
    let papers = unit.sheet.iter().chain(&unit.unit);
    for entry in papers.flat_map(|papers| papers.read.counted(Kind::Repoint)) {
        let Body::Repoint(repoint) = &entry.body else { continue };
        let from = source.file.unit(repoint.from).and_then(|from| from.sheet.as_ref());
        let Some(from) = from.filter(|_| repoint.to == unit.appliance) else { continue };
        let named = |entry: &&Entry| {
            entry.shown() && (repoint.entries.is_empty() || repoint.entries.contains(&entry.id))
        };
        let entries = from.read.entries.iter().filter(named);
        found.extend(
            entries.map(|entry| (repoint.from, Told::of(entry, marker.marks(from, entry)))),
        );
    }
    found
}

fn advisories(source: &Source<'_>, unit: &UnitInVisit<'_>) -> Vec<AdvisoryFacts> {
    let Some(own) = &unit.unit else { return vec![] };
    let read = &own.read;
    let told = |entry: &Entry| Told::of(entry, signature_marks(source, entry));
    let governs = |key: &str, id: EntryId| {
        let field = Field::named(key).about(Of::Entry(id));
        read.field(&field).and_then(Merged::governs).map(|said| said.value.clone())
    };
    let mut found = vec![];
    for entry in read.counted(Kind::Advisory) {
        let Body::Advisory(advisory) = &entry.body else { continue };
        if !known_in(source, entry, advisory) {
            continue;
        }
        let acks = read.counted(Kind::Ack).filter_map(|ack| match &ack.body {
            Body::Ack(body) if body.of == entry.id => Some((told(ack), body.clone())),
            _ => None,
        });
        let acks: Vec<(Told, Ack)> = acks.collect();
        let closing = read.counted(Kind::Closing).find(
            |closing| matches!(&closing.body, Body::Closing(body) if body.advisory == entry.id),
        );
        found.push(AdvisoryFacts {
            told: told(entry),
            advisory: advisory.clone(),
            severity: match governs("advisory/{}/severity", entry.id) {
                Some(FieldValue::Word(code)) => AdvisorySeverity::from_code(code),
                _ => advisory.severity,
            },
            due: match governs("advisory/{}/due", entry.id) {
                Some(FieldValue::Day(day)) => Some(day),
                _ => advisory.due,
            },
            decision: match governs("advisory/{}/decision", entry.id) {
                Some(FieldValue::Word(code)) => Some(Decision::from_code(code)),
                _ => acks.iter().rev().find_map(|(_, ack)| ack.decision),
            },
            acks,
            closing: closing.map(told),
        });
    }
    found
}

/// An advisory of a later visit is no part of this one: its own visit tells it.
fn known_in(source: &Source<'_>, entry: &Entry, advisory: &Advisory) -> bool {
    let file = source.file;
    let last = match file.head.read.named("visit/last_day").and_then(Merged::governs) {
        Some(said) => match said.value {
            FieldValue::Day(day) => Some(day),
            _ => None,
        },
        None => None,
    };
    let own = advisory.visit == Some(file.visit);
    own || last.or(file.day()).is_none_or(|day| entry.stamp.at().day() <= day)
}

fn checks(unit: &UnitInVisit<'_>) -> Vec<(CheckItem, CheckResult)> {
    let Some(sheet) = &unit.sheet else { return vec![] };
    let answered = |item: &CheckItem| Some((*item, governing_check(&sheet.read, *item)?));
    CheckItem::ALL.iter().filter_map(answered).collect()
}
