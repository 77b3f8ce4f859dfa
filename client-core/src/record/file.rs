//! A visit laid out: its head, the sheets of its units, and what is known of each unit.

use crate::record::body::{Body, Kind};
use crate::record::code::{AdvisorySeverity, LockState, Phase, Quantity, Role, Status};
use crate::record::contradiction::chosen_reading;
use crate::record::doc::Doc;
use crate::record::doc_id::{DocId, DocKind};
use crate::record::field::{Field, FieldValue, Of};
use crate::record::id::{ApplianceId, EntryId, PersonId, VisitId};
use crate::record::merged::Merged;
use crate::record::read::{self, Entry, Read};
use crate::record::signer::Signers;
use crate::record::value::{Day, Figure};
use crate::trade::quantity::Amount;

/// All parts of one document, read.
#[derive(Debug)]
pub struct Papers<'a> {
    /// The parts, first first.
    pub parts: Vec<&'a Doc>,
    /// What they say.
    pub read: Read,
}

impl<'a> Papers<'a> {
    /// Reads the parts of a document.
    pub fn of(parts: Vec<&'a Doc>, signers: &Signers) -> Papers<'a> {
        let read = read::read(&parts, signers);
        Papers { parts, read }
    }

    /// The document's id (its first part).
    pub fn id(&self) -> Option<DocId> {
        self.parts.first().map(|document| document.id().with_part(1))
    }
}

/// One unit in a visit.
#[derive(Debug)]
pub struct UnitInVisit<'a> {
    /// The appliance.
    pub appliance: ApplianceId,
    /// Its sheet, when anything was entered.
    pub sheet: Option<Papers<'a>>,
    /// Its own document.
    pub unit: Option<Papers<'a>>,
    /// Readings that govern others of the same thing until somebody settles it.
    pub governing: Vec<EntryId>,
}

/// A visit with everything that belongs to it.
#[derive(Debug)]
pub struct VisitFile<'a> {
    /// The visit.
    pub visit: VisitId,
    /// Its head.
    pub head: Papers<'a>,
    /// Its units.
    pub units: Vec<UnitInVisit<'a>>,
    /// The site document: gas, elevation, meter.
    pub site: Option<&'a Read>,
    /// The company document: instruments and licenses.
    pub company: Option<&'a Read>,
    /// Who signs for which session.
    pub signers: &'a Signers,
}

impl UnitInVisit<'_> {
    /// A register of the appliance, if it is known.
    pub fn field(&self, key: &str) -> Option<&Merged> {
        self.unit.as_ref()?.read.named(key)
    }

    /// The figure of a register, when one governs.
    pub fn figure(&self, key: &str) -> Option<Figure> {
        match self.field(key)?.governs()?.value {
            FieldValue::Figure(figure) => Some(figure),
            _ => None,
        }
    }

    /// The number of a word register, when one governs.
    pub fn word(&self, key: &str) -> Option<u16> {
        match self.field(key)?.governs()?.value {
            FieldValue::Word(code) => Some(code),
            _ => None,
        }
    }

    /// The unit no., or the short id when none is known.
    pub fn unit_no(&self) -> String {
        match self.field("unit/no").and_then(Merged::governs).map(|said| &said.value) {
            Some(FieldValue::Text(text)) => text.clone(),
            _ => self.appliance.short(),
        }
    }

    /// The status that governs; unknown when none was ever set.
    pub fn status(&self) -> Status {
        self.word("unit/status").map_or(Status::Unknown, Status::from_code)
    }

    /// Whether the unit can fire as it was left.
    pub fn able_to_fire(&self) -> bool {
        let shut = matches!(self.status(), Status::ShutDownTagged | Status::Removed);
        !shut && self.tag_in_force().is_none()
    }

    /// The shut-down record in force, if any: tagged, and no release has taken effect.
    pub fn tag_in_force(&self) -> Option<&Entry> {
        let unit = self.unit.as_ref()?;
        unit.read.counted(Kind::Tag).filter(|tag| self.release_of(tag.id).is_none()).last()
    }

    /// The release of a tag that took effect.
    ///
    /// A release takes effect when its signer may release, and when its author had seen every failing
    /// reading of the unit that stands now.
    pub fn release_of(&self, tag: EntryId) -> Option<&Entry> {
        let unit = self.unit.as_ref()?;
        unit.read.counted(Kind::Release).find(|entry| {
            matches!(&entry.body, Body::Release(release) if release.tag == tag)
                && self.unseen_failures(entry).is_empty()
        })
    }

    /// Failing checks and readings of the sheet that the author of a release had not seen.
    pub fn unseen_failures(&self, release: &Entry) -> Vec<EntryId> {
        let Some(sheet) = &self.sheet else { return vec![] };
        let heads = seen_heads(release, &sheet.parts);
        let failing = |entry: &&Entry| match &entry.body {
            Body::Check(check) => check.result == crate::record::code::CheckResult::Fail,
            Body::Reading(reading) => failing_reading(reading),
            _ => false,
        };
        let unseen = |entry: &&Entry| {
            let document = sheet.parts.iter().find(|document| document.id() == entry.doc);
            let heads = heads.iter().find(|(doc, _)| *doc == entry.doc);
            match (document, heads) {
                (Some(document), Some((_, heads))) => !document.stood_at(&entry.key(), heads),
                // Nothing named for this sheet: an entry of this very visit was not seen.
                _ => true,
            }
        };
        let entries = sheet.read.entries.iter().filter(|entry| entry.counts());
        entries.filter(failing).filter(unseen).map(|entry| entry.id).collect()
    }

    /// Locks that are on: the newest entry of each point says so.
    pub fn locks_on(&self) -> Vec<&Entry> {
        let Some(unit) = &self.unit else { return vec![] };
        let mut on: Vec<&Entry> = vec![];
        for entry in unit.read.counted(Kind::Lock) {
            let Body::Lock(lock) = &entry.body else { continue };
            on.retain(|known| match &known.body {
                Body::Lock(other) => other.point != lock.point && Some(known.id) != lock.takes_off,
                _ => true,
            });
            if lock.state == LockState::On {
                on.push(entry);
            }
        }
        on
    }

    /// Open advisories with the severity that governs.
    pub fn open_advisories(&self) -> Vec<(&Entry, AdvisorySeverity)> {
        let Some(unit) = &self.unit else { return vec![] };
        let closed = |advisory: EntryId| {
            unit.read.counted(Kind::Closing).any(
                |entry| matches!(&entry.body, Body::Closing(closing) if closing.advisory == advisory),
            )
        };
        let severity = |entry: &Entry, raised: AdvisorySeverity| {
            let field = Field::named("advisory/{}/severity").about(Of::Entry(entry.id));
            match unit.read.field(&field).and_then(Merged::governs).map(|said| &said.value) {
                Some(FieldValue::Word(code)) => AdvisorySeverity::from_code(*code),
                _ => raised,
            }
        };
        unit.read
            .counted(Kind::Advisory)
            .filter(|entry| !closed(entry.id))
            .filter_map(|entry| match &entry.body {
                Body::Advisory(advisory) => Some((entry, severity(entry, advisory.severity))),
                _ => None,
            })
            .collect()
    }

    /// The reading of a quantity in a phase that is reckoned with: of two people's the one that a settlement
    /// chose, else the one that governs, else the last.
    pub fn last(&self, quantity: Quantity, phase: Phase) -> Option<&Entry> {
        let sheet = self.sheet.as_ref()?;
        let fits = |entry: &&Entry| {
            matches!(&entry.body, Body::Reading(reading)
            if reading.quantity == quantity && reading.phase == phase)
        };
        let last = sheet.read.counted(Kind::Reading).filter(fits).last()?;
        let settlements = sheet.read.counted(Kind::Settlement).map(|entry| &entry.body);
        let chosen = chosen_reading(settlements, (quantity, phase), last.id);
        let chosen = chosen.and_then(|chosen| sheet.read.entry(chosen));
        let governs = || {
            let governs = |entry: &&Entry| self.governing.contains(&entry.id);
            sheet.read.counted(Kind::Reading).filter(fits).filter(governs).last()
        };
        Some(chosen.filter(|entry| entry.counts()).or_else(governs).unwrap_or(last))
    }

    /// The amount of the last counted reading of a quantity in a phase.
    pub fn last_amount(&self, quantity: Quantity, phase: Phase) -> Option<Amount> {
        match &self.last(quantity, phase)?.body {
            Body::Reading(reading) => amount(reading.value.figure()?),
            _ => None,
        }
    }
}

/// A figure as the sums take it.
pub fn amount(figure: Figure) -> Option<Amount> {
    Some(Amount::new(figure.digits.to_f64(), figure.unit.unit()?))
}

/// A reading that speaks against releasing a unit, whatever its limits: CO in the room from 10 ppm.
fn failing_reading(reading: &crate::record::body::Reading) -> bool {
    let ambient = reading.quantity == Quantity::AmbientCo;
    let ppm = reading.value.figure().and_then(amount);
    let ppm = ppm.and_then(|own| own.to(crate::trade::unit::Unit::Ppm));
    ambient && ppm.is_some_and(|own| own.value >= 10.0)
}

/// Heads that an entry names for documents of this list.
pub fn seen_heads(entry: &Entry, parts: &[&Doc]) -> Vec<(DocId, Vec<automerge::ChangeHash>)> {
    let Some(seen) = &entry.stamp.seen else { return vec![] };
    seen.iter()
        .filter_map(|seen| {
            let id = parts.iter().map(|document| document.id());
            let id = id.into_iter().find(|id| id.to_bytes() == seen.doc)?;
            Some((id, hashes(&seen.heads)))
        })
        .collect()
}

/// Heads stored one after the other.
pub fn hashes(bytes: &[u8]) -> Vec<automerge::ChangeHash> {
    bytes.chunks_exact(32).filter_map(|hash| automerge::ChangeHash::try_from(hash).ok()).collect()
}

/// How a visit stands with its signatures.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Signed {
    /// Sign-offs that count, in order: entry, person, role of the signer.
    pub sign_offs: Vec<(EntryId, PersonId, Role)>,
    /// Whether a supervisor's is among them and nothing has opened the visit again since.
    pub released: bool,
}

impl VisitFile<'_> {
    /// Sign-offs that count. One by a person whose certificate is not a supervisor's is a technician's.
    pub fn signed(&self) -> Signed {
        let read = &self.head.read;
        let reopened = |id: EntryId| {
            read.counted(Kind::Reopen)
                .any(|entry| matches!(&entry.body, Body::Reopen(open) if open.sign_off == id))
        };
        let mut sign_offs = vec![];
        for entry in read.counted(Kind::SignOff).filter(|entry| !reopened(entry.id)) {
            let role =
                self.signers.get(entry.id.actor).map_or(Role::Technician, |signer| signer.role);
            sign_offs.push((entry.id, entry.stamp.by, role));
        }
        let released = sign_offs.iter().any(|(_, _, role)| *role == Role::Supervisor);
        Signed { sign_offs, released }
    }

    /// Documents of this visit: head, sheets, and the appliances' own.
    pub fn papers(&self) -> impl Iterator<Item = &Papers<'_>> {
        let units = self.units.iter();
        let units = units.flat_map(|unit| unit.sheet.iter().chain(unit.unit.iter()));
        std::iter::once(&self.head).chain(units)
    }

    /// Evidence of the visit that no sign-off covers although one exists. Heads decide, not clocks.
    pub fn late(&self) -> Vec<&Entry> {
        let signed: Vec<EntryId> = self.signed().sign_offs.iter().map(|(id, _, _)| *id).collect();
        self.not_in(&signed)
    }

    /// Evidence of the visit that none of these sign-offs covers; nothing when there is no sign-off.
    pub fn not_in(&self, sign_offs: &[EntryId]) -> Vec<&Entry> {
        if sign_offs.is_empty() {
            return vec![];
        }
        let mut covered: Vec<(DocId, Vec<automerge::ChangeHash>)> = vec![];
        for id in sign_offs {
            let Some(Body::SignOff(sign_off)) = self.head.read.entry(*id).map(|entry| &entry.body)
            else {
                continue;
            };
            for part in &sign_off.docs {
                let site = self.head.parts.first().map(|document| document.id().site);
                let doc = site.and_then(|site| DocId::from_bytes(site, &part.doc).ok());
                covered.extend(doc.map(|doc| (doc, hashes(&part.heads))));
            }
        }
        let late = |parts: &[&Doc], entry: &Entry| {
            let Some(document) = parts.iter().find(|document| document.id() == entry.doc) else {
                return false;
            };
            let mut named = covered.iter().filter(|(doc, _)| *doc == entry.doc);
            !named.any(|(_, heads)| document.stood_at(&entry.key(), heads))
        };
        let sheets = self.units.iter().filter_map(|unit| unit.sheet.as_ref());
        let evidence = |kind: Kind| {
            !matches!(
                kind,
                Kind::Settlement | Kind::TextRead | Kind::DoubleMark | Kind::Repoint | Kind::Vouch
            )
        };
        sheets
            .flat_map(|sheet| sheet.read.entries.iter().map(move |entry| (sheet, entry)))
            .filter(|(_, entry)| entry.shown() && evidence(entry.body.kind()))
            .filter(|(sheet, entry)| late(&sheet.parts, entry))
            .map(|(_, entry)| entry)
            .collect()
    }

    /// Everything that must be named in a sign-off now: each document with its heads.
    pub fn to_sign(&self) -> Vec<crate::record::body::SignedDoc> {
        let mut docs = vec![];
        for papers in self.papers() {
            for document in &papers.parts {
                let heads = document.heads().iter().flat_map(|head| head.0).collect();
                docs.push(crate::record::body::SignedDoc { doc: document.id().to_bytes(), heads });
            }
        }
        docs
    }

    /// The day of the visit, where one is set.
    pub fn day(&self) -> Option<Day> {
        match self.head.read.named("visit/day")?.governs()?.value {
            FieldValue::Day(day) => Some(day),
            _ => None,
        }
    }

    /// A unit of the visit.
    pub fn unit(&self, appliance: ApplianceId) -> Option<&UnitInVisit<'_>> {
        self.units.iter().find(|unit| unit.appliance == appliance)
    }
}

/// Units that belong to a visit: those with a sheet and those in the plan.
pub fn appliances(head: &Read, sheets: &[DocId], visit: VisitId) -> Vec<ApplianceId> {
    let mut found: Vec<ApplianceId> = vec![];
    let sheet = |doc: &DocId| match doc.kind {
        DocKind::Sheet(of, appliance) if of == visit => Some(appliance),
        _ => None,
    };
    let planned = head.fields.iter().filter_map(|(field, _)| match field.of {
        Some(Of::Appliance(appliance)) => Some(appliance),
        _ => None,
    });
    for appliance in sheets.iter().filter_map(sheet).chain(planned) {
        if !found.contains(&appliance) {
            found.push(appliance);
        }
    }
    found
}
