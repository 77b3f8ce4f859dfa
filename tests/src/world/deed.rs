//! Honest people at work: random actions of every kind, made from what the device shows.

use client_core::device::{Device, DeviceError, Step};
use client_core::record::action::{Action, Setting};
use client_core::record::body::{
    Ack, Answer, Body, Kind, Lock, Question, Reading, Release, Settlement, SignOff, Tag, Target,
};
use client_core::record::code::{
    AdvisorySeverity, Decision, Family, Gas, LockState, Mount, Outcome, QuestionState, Role, Root,
    Status, TargetSource, VentCategory, VisitKind,
};
use client_core::record::derived::signed;
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::field::{FIELDS, Field, FieldValue, Holds, Of, WordList};
use client_core::record::id::{ApplianceId, EntryId, PersonId, SiteId, VisitId};
use client_core::record::merged::Merged;
use client_core::record::stamp::Stamp;
use client_core::record::value::{Day, Moment};

use super::Seeded;
use super::evidence::{self, words};

/// What there is to work on.
#[derive(Clone, Debug)]
pub struct Place {
    /// The site.
    pub site: SiteId,
    /// Its appliances.
    pub units: Vec<ApplianceId>,
    /// Its visits.
    pub visits: Vec<VisitId>,
    /// The site of the company's own log.
    pub company: SiteId,
}

impl Place {
    /// Any document of the place, sheets the most often.
    pub fn doc(&self, random: &mut Seeded) -> DocId {
        let unit = self.units[random.index(self.units.len())];
        let visit = self.visits[random.index(self.visits.len())];
        match random.below(20) {
            0 => DocId::new(self.company, DocKind::Company),
            1 => DocId::new(self.site, DocKind::Site),
            2..=6 => DocId::new(self.site, DocKind::Appliance(unit)),
            7..=9 => DocId::new(self.site, DocKind::Visit(visit)),
            _ => DocId::new(self.site, DocKind::Sheet(visit, unit)),
        }
    }
}

/// What a person sees of a document before they act.
#[derive(Debug, Default)]
pub(super) struct Look {
    entries: Vec<(EntryId, Kind, PersonId)>,
    contested: Vec<(Field, Vec<FieldValue>)>,
    texts: Vec<(EntryId, String)>,
}

impl Look {
    fn at(device: &mut Device, doc: DocId) -> Result<Look, DeviceError> {
        let papers = match device.read_doc(doc) {
            Ok(papers) => papers,
            Err(DeviceError::NotHere(_)) => return Ok(Look::default()),
            Err(wrong) => return Err(wrong),
        };
        let read = &papers.read;
        let entries = read.entries.iter().filter(|entry| entry.counts());
        let entries = entries.map(|entry| (entry.id, entry.body.kind(), entry.person())).collect();
        let contested = read.fields.iter().filter(|(_, merged)| Merged::contested(merged));
        let sides =
            |merged: &Merged| merged.sides().iter().map(|side| side.value.clone()).collect();
        let contested = contested.map(|(field, merged)| (*field, sides(merged))).collect();
        let texts = read.texts.iter().map(|text| (text.note, text.text.clone())).collect();
        Ok(Look { entries, contested, texts })
    }

    /// An entry of one of these kinds.
    pub(super) fn any(&self, random: &mut Seeded, kinds: &[Kind]) -> Option<EntryId> {
        let found: Vec<EntryId> = self
            .entries
            .iter()
            .filter(|(_, kind, _)| kinds.is_empty() || kinds.contains(kind))
            .map(|(id, _, _)| *id)
            .collect();
        (!found.is_empty()).then(|| found[random.index(found.len())])
    }

    fn own(&self, random: &mut Seeded, person: PersonId, kinds: &[Kind]) -> Option<EntryId> {
        let found: Vec<EntryId> = self
            .entries
            .iter()
            .filter(|(_, kind, by)| *by == person && (kinds.is_empty() || kinds.contains(kind)))
            .map(|(id, _, _)| *id)
            .collect();
        (!found.is_empty()).then(|| found[random.index(found.len())])
    }
}

/// A stamp of the device's person at this clock.
pub fn stamp(device: &Device, clock: i64) -> Stamp {
    Stamp::new(device.identity().person, Moment { secs: clock, offset_min: -300 })
}

/// What the device's person does next to a document; more than one step now and then.
///
/// # Errors
/// When the device's store fails.
pub fn deed(
    device: &mut Device,
    place: &Place,
    doc: DocId,
    random: &mut Seeded,
) -> Result<Vec<Step>, DeviceError> {
    let look = Look::at(device, doc)?;
    let person = device.identity().person;
    let action = match random.below(100) {
        0..=44 => Some(enter(doc, place, &look, random)),
        45..=64 => set(doc, place, &look, random),
        65..=72 => settle(&look, random),
        73..=77 => Some(write(&look, random)),
        78..=82 => edit(&look, random),
        83..=88 => correct(&look, person, random),
        89..=91 => void(&look, person, random),
        _ => special(device, doc, &look, random)?,
    };
    let action = action.unwrap_or_else(|| Action::Enter(vec![evidence::body(doc, &look, random)]));
    let mut steps = vec![Step::new(doc, action)];
    if random.percent(8) {
        let other = place.doc(random);
        let look = Look::at(device, other)?;
        steps.push(Step::new(other, Action::Enter(vec![evidence::body(other, &look, random)])));
    }
    Ok(steps)
}

fn enter(doc: DocId, place: &Place, look: &Look, random: &mut Seeded) -> Action {
    let count = 1 + random.index(4);
    let mut bodies: Vec<Body> = (0..count).map(|_| evidence::body(doc, look, random)).collect();
    if doc.kind == DocKind::Site && random.percent(40) {
        bodies.push(evidence::roster(place.units[random.index(place.units.len())]));
    }
    Action::Enter(bodies)
}

fn set(doc: DocId, place: &Place, look: &Look, random: &mut Seeded) -> Option<Action> {
    let own: Vec<_> = FIELDS.iter().filter(|def| def.home.takes(doc.kind)).collect();
    // Few registers, so that people meet on them.
    let few = if random.percent(70) { own.len().min(3) } else { own.len() };
    let def = own[random.index(few)];
    let mut field = Field { def, of: None };
    if def.key.contains("{}") {
        let entry = |random: &mut Seeded| look.any(random, &[]).map(Of::Entry);
        field = field.about(match def.key.split('/').next() {
            Some("person") => Of::Person(PersonId([1; 8])),
            Some("assign") => Of::Appliance(place.units[random.index(place.units.len())]),
            _ => entry(random)?,
        });
    }
    let value = value(&field, place, look, random)?;
    let reason = random.percent(70).then(|| words(random));
    Some(Action::Set(vec![Setting { field, value, reason }]))
}

fn value(field: &Field, place: &Place, look: &Look, random: &mut Seeded) -> Option<FieldValue> {
    let code = |codes: Vec<u16>, random: &mut Seeded| codes[random.index(codes.len())];
    macro_rules! one_of {
        ($list:ident) => {
            code($list::ALL.iter().map(|word| word.code()).collect(), random)
        };
    }
    Some(match field.def.holds {
        Holds::Text => FieldValue::Text(words(random)),
        Holds::Figure(_) => {
            let text = ["3.5", "3.50", "7", "125", "175"][random.index(5)];
            field.parse(text).ok()?
        }
        Holds::Word(list) => FieldValue::Word(match list {
            WordList::Status => one_of!(Status),
            WordList::Gas => one_of!(Gas),
            WordList::Family => one_of!(Family),
            WordList::Severity => one_of!(AdvisorySeverity),
            WordList::Vent => one_of!(VentCategory),
            WordList::Mount => one_of!(Mount),
            WordList::Outcome => one_of!(Outcome),
            WordList::VisitKind => one_of!(VisitKind),
            WordList::QuestionState => one_of!(QuestionState),
            WordList::Role => one_of!(Role),
            WordList::Root => one_of!(Root),
            WordList::Decision => one_of!(Decision),
        }),
        Holds::Day => FieldValue::Day(Day(20_300 + i32::try_from(random.below(40)).ok()?)),
        Holds::Person => FieldValue::Person(PersonId([2; 8])),
        Holds::Entry => FieldValue::Entry(look.any(random, &[])?),
        Holds::Appliance => FieldValue::Appliance(place.units[random.index(place.units.len())]),
        Holds::Flag => FieldValue::Flag(random.percent(50)),
    })
}

fn settle(look: &Look, random: &mut Seeded) -> Option<Action> {
    if !look.contested.is_empty() && random.percent(80) {
        let (field, sides) = &look.contested[random.index(look.contested.len())];
        let value = sides[random.index(sides.len())].clone();
        return Some(Action::Settle {
            field: *field,
            value,
            reason: words(random),
            evidence: vec![],
        });
    }
    let side = look.any(random, &[Kind::Reading, Kind::Check])?;
    let settlement = Settlement {
        what: "reading/manifold_high/as_found".to_owned(),
        chosen: Some(side),
        sides: vec![side],
        reason: words(random),
        evidence: None,
    };
    Some(Action::SettleOther(settlement))
}

fn write(look: &Look, random: &mut Seeded) -> Action {
    let long = if random.percent(4) { 300 } else { 1 + random.index(4) };
    let text = (0..long).map(|_| words(random)).collect::<Vec<_>>().join(" ");
    Action::Write { subject: "job".to_owned(), about: look.any(random, &[]), text }
}

fn edit(look: &Look, random: &mut Seeded) -> Option<Action> {
    if look.texts.is_empty() {
        return None;
    }
    let (note, text) = &look.texts[random.index(look.texts.len())];
    let mut letters: Vec<char> = text.chars().collect();
    let at = random.index(letters.len() + 1);
    if random.percent(30) {
        letters.truncate(at);
    }
    letters.splice(at..at, words(random).chars());
    Some(Action::Edit { note: *note, text: letters.into_iter().collect() })
}

fn correct(look: &Look, person: PersonId, random: &mut Seeded) -> Option<Action> {
    let corrects = look.own(random, person, &[Kind::Reading])?;
    let new = evidence::reading(look, random);
    let corrected =
        Reading { corrects: Some(corrects), why_corrected: Some("mistyped".to_owned()), ..new };
    Some(Action::Enter(vec![corrected.into()]))
}

fn void(look: &Look, person: PersonId, random: &mut Seeded) -> Option<Action> {
    let entry = match random.percent(80) {
        true => look.own(random, person, &[])?,
        false => look.any(random, &[])?,
    };
    Some(Action::Void { entry, reason: words(random) })
}

/// What only some documents have: tags, questions, outcomes, sign-offs.
fn special(
    device: &mut Device,
    doc: DocId,
    look: &Look,
    random: &mut Seeded,
) -> Result<Option<Action>, DeviceError> {
    Ok(match doc.kind {
        DocKind::Appliance(_) => appliance(look, random),
        DocKind::Sheet(..) => {
            let outcome = Outcome::ALL[random.index(Outcome::ALL.len())];
            Some(Action::Close { outcome, reason: random.percent(70).then(|| words(random)) })
        }
        DocKind::Visit(visit) => {
            let role = device.identity().role;
            let (docs, shown) = match device.open_visit(doc.site, visit) {
                Ok(opened) => (opened.file().to_sign(), signed::to_sign(&opened.file())),
                Err(DeviceError::NotHere(_)) => return Ok(None),
                Err(wrong) => return Err(wrong),
            };
            Some(Action::SignOff(SignOff { role, docs, statement: None, shown, drawn: None }))
        }
        DocKind::Company | DocKind::Site => None,
    })
}

fn appliance(look: &Look, random: &mut Seeded) -> Option<Action> {
    match random.below(4) {
        0 => {
            let tag = Tag {
                reason: words(random),
                isolations: vec!["valve closed".to_owned()],
                customer_told: None,
                told_person: None,
                utility_told: None,
                release_when: None,
                advisory: look.any(random, &[Kind::Advisory]),
                visit: None,
            };
            let lock = Lock {
                point: "gas cock".to_owned(),
                state: LockState::On,
                number: None,
                takes_off: None,
                visit: None,
            };
            Some(Action::ShutDown { tag, locks: vec![lock] })
        }
        1 => {
            let tag = look.any(random, &[Kind::Tag])?;
            let release = Release { tag, proof: words(random), evidence: None, licence: None };
            let status = FieldValue::Word(Status::InService.code());
            Some(Action::Release { release, status })
        }
        2 => {
            let about = None;
            Some(Action::Ask(Question { asked: words(random), to: None, visit: None, about }))
        }
        _ => {
            let question = look.any(random, &[Kind::Question])?;
            let source = TargetSource::WrittenAnswer;
            let answer = Answer { question, text: words(random), source, day: None, from: None };
            let target: Target = evidence::target(random);
            Some(Action::Answer { answer, targets: vec![target] })
        }
    }
}

/// An acknowledgement of an advisory.
pub(super) fn ack(of: EntryId, random: &mut Seeded) -> Ack {
    Ack {
        of,
        told: words(random),
        how: client_core::record::code::Channel::InPerson,
        acknowledged: random.percent(50),
        told_person: None,
        decided_person: None,
        decision: None,
        decided_by: None,
        deferred_to: None,
        text: None,
        drawn: None,
    }
}
