//! Carrying out an action on one document: one action becomes one automerge change.

mod again;
mod rules;

use automerge::transaction::{CommitOptions, Transactable, Transaction};
use automerge::{ChangeHash, ObjType, ROOT, ReadDoc, ScalarValue};

use crate::record::action::{Action, Setting, has_own_action};
use crate::record::body::{self, Body, Kind, Note, Settlement, Void};
use crate::record::code::{QuestionState, Role, Status};
use crate::record::doc::{self, Doc, Presence, SCHEMA_VERSION};
use crate::record::doc_id::DocId;
use crate::record::field::{self, Field, FieldValue, Of, Said};
use crate::record::id::{Actor, EntryId};
use crate::record::key;
use crate::record::refused::Refused;
use crate::record::stamp::Stamp;

pub use again::enter_again;

/// Most entries of one action.
pub const BLOCK_MAX: usize = 64;

/// Most bytes of one entry. Far under what the gate lets through.
pub const ENTRY_BYTES_MAX: usize = 16 * 1024;

/// Most bytes of a sign-off: the heads of about two hundred units and what was worked out for them. A
/// change holds 64 KiB at most.
pub const SIGN_OFF_BYTES_MAX: usize = 56 * 1024;

/// Most bytes of one text: every character is one operation, and the gate lets 10,000 through.
pub const TEXT_BYTES_MAX: usize = 8_000;

/// The pen of one session: under which actor it writes and how many entries it has made.
#[derive(Clone, Debug)]
pub struct Pen {
    /// The session's actor.
    pub actor: Actor,
    /// Number of the next entry.
    pub next: u32,
    /// Role of the person. It decides what is offered here; what counts is judged when read.
    pub role: Role,
}

impl Pen {
    /// A pen that has written nothing.
    pub const fn new(actor: Actor, role: Role) -> Pen {
        Pen { actor, next: 1, role }
    }

    pub(super) fn take(&mut self) -> Result<EntryId, Refused> {
        let n = self.next;
        self.next = n.checked_add(1).ok_or(Refused::SessionFull)?;
        Ok(EntryId { actor: self.actor.half(), n })
    }
}

/// One automerge change, opaque from here on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Delta {
    /// The document.
    pub doc: DocId,
    /// SHA-256 of the change as automerge computes it.
    pub hash: [u8; 32],
    /// The change, not deflated.
    pub bytes: Vec<u8>,
    /// Entries that it made, in order.
    pub entries: Vec<EntryId>,
}

/// Carries out an action. On a refusal the document is as it was.
///
/// `earlier` are the earlier parts of the document, first first; they are read, never written.
pub fn apply(
    document: &mut Doc,
    earlier: &[&Doc],
    action: &Action,
    stamp: &Stamp,
    pen: &mut Pen,
) -> Result<Delta, Refused> {
    let parts = || earlier.iter().copied().chain(std::iter::once(&*document)).collect::<Vec<_>>();
    rules::check(&parts(), action, stamp, pen)?;
    let replaced = rules::replaced(&parts(), action);
    let mut draft = pen.clone();
    let (hash, entries) = commit(document, action, stamp, &mut draft, &replaced)?;
    let change = hash.and_then(|hash| document.automerge().get_change_by_hash(&hash));
    let change = change.ok_or(Refused::Nothing)?;
    *pen = draft;
    let bytes = change.raw_bytes().to_vec();
    Ok(Delta { doc: document.id(), hash: change.hash().0, bytes, entries })
}

fn commit(
    document: &mut Doc,
    action: &Action,
    stamp: &Stamp,
    pen: &mut Pen,
    replaced: &Replaced,
) -> Result<(Option<ChangeHash>, Vec<EntryId>), Refused> {
    let automerge = document.automerge_mut();
    automerge.set_actor(doc::actor(pen.actor));
    let mut writer = Writer { stamp, pen, transaction: automerge.transaction(), entries: vec![] };
    let outcome = writer.schema().and_then(|()| writer.write(action, replaced));
    let Writer { transaction, entries, .. } = writer;
    match outcome {
        Ok(()) => {
            let (hash, _) = transaction.commit_with(CommitOptions::default().with_time(0));
            Ok((hash, entries))
        }
        Err(refused) => {
            transaction.rollback();
            Err(refused)
        }
    }
}

/// Sides of registers that an action replaces, as this device knows them.
type Replaced = Vec<(String, Vec<EntryId>)>;

struct Writer<'a> {
    stamp: &'a Stamp,
    pen: &'a mut Pen,
    transaction: Transaction<'a>,
    entries: Vec<EntryId>,
}

impl Writer<'_> {
    /// The first writer of a document notes the record version; never part of the first change.
    fn schema(&mut self) -> Result<(), Refused> {
        if self.transaction.get(ROOT, key::SCHEMA).ok().flatten().is_some() {
            return Ok(());
        }
        let version = ScalarValue::Uint(SCHEMA_VERSION);
        self.transaction.put(ROOT, key::SCHEMA, version).map_err(refused)
    }

    fn write(&mut self, action: &Action, replaced: &Replaced) -> Result<(), Refused> {
        match action {
            Action::Enter(bodies) => {
                for body in bodies {
                    self.enter(body)?;
                }
                Ok(())
            }
            Action::Set(settings) => {
                for Setting { field, value, reason } in settings {
                    self.set(*field, value, reason.clone(), replaced, false)?;
                }
                Ok(())
            }
            Action::Settle { field, value, reason, evidence } => {
                self.settle(*field, value, reason, evidence, replaced)
            }
            Action::SettleOther(settlement) => self.enter(&settlement.clone().into()).map(drop),
            Action::Write { subject, about, text } => self.note(subject, *about, text),
            Action::Edit { note, text } => self.edit(*note, text),
            Action::ShutDown { tag, locks } => {
                self.enter(&tag.clone().into())?;
                for lock in locks {
                    self.enter(&lock.clone().into())?;
                }
                let status = FieldValue::Word(Status::ShutDownTagged.code());
                let reason = Some(tag.reason.clone());
                self.set(Field::named("unit/status"), &status, reason, replaced, false)
            }
            Action::Release { release, status } => {
                self.enter(&release.clone().into())?;
                let reason = Some(release.proof.clone());
                self.set(Field::named("unit/status"), status, reason, replaced, true)
            }
            Action::Ask(question) => {
                let id = self.enter(&question.clone().into())?;
                self.question_state(id, QuestionState::Open, replaced)
            }
            Action::Answer { answer, targets } => {
                let id = self.enter(&answer.clone().into())?;
                for target in targets {
                    let target = body::Target { answer: Some(id), ..target.clone() };
                    self.enter(&target.into())?;
                }
                self.question_state(answer.question, QuestionState::Answered, replaced)
            }
            Action::Close { outcome, reason } => {
                let value = FieldValue::Word(outcome.code());
                let field = Field::named("sheet/outcome");
                self.set(field, &value, reason.clone(), replaced, false)
            }
            Action::Void { entry, reason } => {
                let void = Void { entry: *entry, reason: reason.clone() };
                self.enter(&void.into()).map(drop)
            }
            Action::SignOff(sign_off) => self.enter(&sign_off.clone().into()).map(drop),
        }
    }

    fn enter(&mut self, body: &Body) -> Result<EntryId, Refused> {
        let id = self.pen.take()?;
        let bytes = body::encode(self.stamp, body);
        let most = match body {
            Body::SignOff(_) => SIGN_OFF_BYTES_MAX,
            _ => ENTRY_BYTES_MAX,
        };
        if bytes.len() > most {
            let what = body.kind().root().to_owned();
            return Err(Refused::TooLong { what, found: bytes.len(), most });
        }
        self.put(&key::entry(body.kind(), id), bytes)?;
        self.entries.push(id);
        Ok(id)
    }

    fn set(
        &mut self,
        field: Field,
        value: &FieldValue,
        reason: Option<String>,
        replaced: &Replaced,
        settles: bool,
    ) -> Result<(), Refused> {
        let id = self.pen.take()?;
        let key = field.key();
        let over = replaced.iter().find(|(known, _)| *known == key);
        let said = Said {
            stamp: self.stamp.clone(),
            id,
            value: value.clone(),
            reason,
            over: over.map(|(_, sides)| sides.clone()).unwrap_or_default(),
            settles,
        };
        self.put(&key, field::encode(&said))?;
        self.entries.push(id);
        Ok(())
    }

    fn settle(
        &mut self,
        field: Field,
        value: &FieldValue,
        reason: &str,
        evidence: &[EntryId],
        replaced: &Replaced,
    ) -> Result<(), Refused> {
        let key = field.key();
        let sides = replaced.iter().find(|(known, _)| *known == key);
        let sides = sides.map(|(_, sides)| sides.clone()).unwrap_or_default();
        let settlement = Settlement {
            what: key,
            chosen: None,
            sides,
            reason: reason.to_owned(),
            evidence: (!evidence.is_empty()).then(|| evidence.to_vec()),
        };
        self.enter(&settlement.into())?;
        self.set(field, value, Some(reason.to_owned()), replaced, true)
    }

    fn question_state(
        &mut self,
        question: EntryId,
        state: QuestionState,
        replaced: &Replaced,
    ) -> Result<(), Refused> {
        let field = Field::named("question/{}/state").about(Of::Entry(question));
        self.set(field, &FieldValue::Word(state.code()), None, replaced, false)
    }

    fn note(&mut self, subject: &str, about: Option<EntryId>, text: &str) -> Result<(), Refused> {
        let id = self.enter(&Note { subject: subject.to_owned(), about }.into())?;
        let object =
            self.transaction.put_object(ROOT, key::text(id), ObjType::Text).map_err(refused)?;
        self.transaction.splice_text(&object, 0, 0, text).map_err(refused)
    }

    fn edit(&mut self, note: EntryId, text: &str) -> Result<(), Refused> {
        let found = self.transaction.get(ROOT, key::text(note)).map_err(refused)?;
        let Some((value, object)) = found else {
            return Err(Refused::Document(format!("note {note} has no text")));
        };
        if !value.is_object() {
            return Err(Refused::Document(format!("note {note} is not a text")));
        }
        self.transaction.update_text(&object, text).map_err(refused)
    }

    fn put(&mut self, key: &str, bytes: Vec<u8>) -> Result<(), Refused> {
        self.transaction.put(ROOT, key, ScalarValue::Bytes(bytes)).map_err(refused)
    }
}

fn refused(wrong: automerge::AutomergeError) -> Refused {
    Refused::Document(wrong.to_string())
}

/// Whether an action needs the whole document, and what to call it.
pub(crate) fn needs_whole(action: &Action) -> Option<&'static str> {
    match action {
        Action::Enter(bodies) => {
            bodies.iter().find(|body| !body.kind().on_partial()).map(|body| body.kind().root())
        }
        Action::Set(_) => Some("setting a value"),
        Action::Settle { .. } | Action::SettleOther(_) => Some("settling"),
        Action::Edit { .. } => Some("editing a text"),
        Action::Release { .. } => Some("releasing a tag"),
        Action::Answer { .. } => Some("entering an answer"),
        // A danger, a question and an outcome are noted whatever is held. Their registers are put beside
        // what stands there unseen, never over it, and the more careful word governs.
        Action::Write { .. } | Action::ShutDown { .. } | Action::Ask(_) | Action::Close { .. } => {
            None
        }
        Action::Void { .. } => Some("taking an entry out of the count"),
        Action::SignOff(_) => Some("signing"),
    }
}

/// Whether every part is held as needed.
pub(crate) fn held(parts: &[&Doc], action: &Action) -> Result<(), Refused> {
    let partial = parts.iter().find(|document| document.presence() == Presence::Partial);
    match (partial, needs_whole(action)) {
        (Some(document), Some(what)) => Err(Refused::NeedsWhole { doc: document.id(), what }),
        _ => Ok(()),
    }
}

/// Kinds that may not be entered by [`Action::Enter`].
pub(crate) fn alone(kind: Kind) -> Result<(), Refused> {
    if has_own_action(kind) { Err(Refused::OwnAction { kind }) } else { Ok(()) }
}
