//! What is refused, and which sides a register write replaces.
//!
//! Out-of-range values are no reason to refuse: they are questions.

use automerge::{ROOT, ReadDoc};

use super::{BLOCK_MAX, Pen, Replaced, TEXT_BYTES_MAX, alone, held};
use crate::record::action::{Action, Setting};
use crate::record::body::{Body, Kind};
use crate::record::code::Role;
use crate::record::doc::Doc;
use crate::record::doc_id::DocId;
use crate::record::field::{Field, FieldValue, Of, Said};
use crate::record::id::EntryId;
use crate::record::key;
use crate::record::merged::{self, Merged};
use crate::record::refused::Refused;
use crate::record::stamp::Stamp;

/// Refuses what must not be carried out.
pub(super) fn check(
    parts: &[&Doc],
    action: &Action,
    stamp: &Stamp,
    pen: &Pen,
) -> Result<(), Refused> {
    held(parts, action)?;
    match action {
        Action::Enter(bodies) => enter(parts, bodies, stamp, pen),
        Action::Set(settings) => {
            if settings.is_empty() {
                return Err(Refused::Nothing);
            }
            settings.iter().try_for_each(|setting| set(parts, setting))
        }
        Action::Settle { field, value, reason, .. } => {
            fits(parts, *field, value)?;
            needs_reason(reason, || format!("settling {}", field.def.says))?;
            settle(parts, *field, value)
        }
        Action::SettleOther(settlement) => {
            needs_reason(&settlement.reason, || "settling".to_owned())?;
            // A settlement names the sides that were on the table. Only a clock has none: it is no entry.
            let sides = !settlement.sides.is_empty() || settlement.what.starts_with("clock/");
            if sides { Ok(()) } else { Err(Refused::Nothing) }
        }
        Action::Write { text, .. } | Action::Edit { text, .. } => {
            if text.len() > TEXT_BYTES_MAX {
                let what = "the text".to_owned();
                return Err(Refused::TooLong { what, found: text.len(), most: TEXT_BYTES_MAX });
            }
            match action {
                Action::Edit { note, .. } => exists(parts, *note),
                _ if text.trim().is_empty() => Err(Refused::Nothing),
                _ => Ok(()),
            }
        }
        Action::ShutDown { tag, .. } => {
            at_home(parts, Kind::Tag)?;
            needs_reason(&tag.reason, || "shutting a unit down".to_owned())
        }
        Action::Release { release, status } => {
            at_home(parts, Kind::Release)?;
            needs_reason(&release.proof, || "releasing a tag".to_owned())?;
            fits(parts, Field::named("unit/status"), status)?;
            in_force(parts, release.tag)
        }
        Action::Ask(question) => {
            at_home(parts, Kind::Question)?;
            if question.asked.trim().is_empty() { Err(Refused::Nothing) } else { Ok(()) }
        }
        Action::Answer { answer, .. } => {
            at_home(parts, Kind::Answer)?;
            exists(parts, answer.question)
        }
        Action::Close { reason, outcome } => {
            let field = Field::named("sheet/outcome");
            let value = FieldValue::Word(outcome.code());
            fits(parts, field, &value)?;
            let asks = *outcome == crate::record::code::Outcome::NotReached;
            if asks {
                let reason = reason.as_deref().unwrap_or_default();
                needs_reason(reason, || "closing a unit as not reached".to_owned())?;
            }
            Ok(())
        }
        Action::Void { entry, reason } => {
            needs_reason(reason, || "taking an entry out of the count".to_owned())?;
            own_or_supervisor(parts, *entry, stamp, pen)
        }
        Action::SignOff(_) => at_home(parts, Kind::SignOff),
    }
}

/// Which sides each register write of this action replaces, as this device knows them.
pub(super) fn replaced(parts: &[&Doc], action: &Action) -> Replaced {
    let fields = match action {
        Action::Set(settings) => settings.iter().map(|setting| setting.field).collect(),
        Action::Settle { field, .. } => vec![*field],
        Action::ShutDown { .. } | Action::Release { .. } => vec![Field::named("unit/status")],
        Action::Close { .. } => vec![Field::named("sheet/outcome")],
        Action::Answer { answer, .. } => {
            vec![Field::named("question/{}/state").about(Of::Entry(answer.question))]
        }
        _ => vec![],
    };
    let sides = |field: &Field| {
        let said = merged::sides(parts, field);
        let only_one = said.len() == 1 && !field.def.merge.cautious();
        // One plain value is replaced by the change graph alone; naming it would only cost bytes.
        (!said.is_empty() && !only_one)
            .then(|| (field.key(), said.iter().map(|side| side.id).collect()))
    };
    fields.iter().filter_map(sides).collect()
}

fn enter(parts: &[&Doc], bodies: &[Body], stamp: &Stamp, pen: &Pen) -> Result<(), Refused> {
    if bodies.is_empty() {
        return Err(Refused::Nothing);
    }
    if bodies.len() > BLOCK_MAX {
        return Err(Refused::TooMany { found: bodies.len(), most: BLOCK_MAX });
    }
    for body in bodies {
        alone(body.kind())?;
        at_home(parts, body.kind())?;
        if let Some(corrected) = corrected(body) {
            own_or_supervisor(parts, corrected, stamp, pen)?;
        }
    }
    Ok(())
}

fn corrected(body: &Body) -> Option<EntryId> {
    match body {
        Body::Reading(reading) => reading.corrects,
        Body::Check(check) => check.corrects,
        _ => None,
    }
}

/// The document's own id.
fn own(parts: &[&Doc]) -> DocId {
    parts.last().map(|part| part.id()).expect("an action is carried out on at least one part")
}

fn at_home(parts: &[&Doc], kind: Kind) -> Result<(), Refused> {
    if kind.home().takes(own(parts).kind) {
        return Ok(());
    }
    Err(Refused::WrongDocument { doc: own(parts), what: kind.root().to_owned() })
}

fn fits(parts: &[&Doc], field: Field, value: &FieldValue) -> Result<(), Refused> {
    if !field.def.home.takes(own(parts).kind) || field.def.key.contains("{}") != field.of.is_some()
    {
        return Err(Refused::WrongDocument { doc: own(parts), what: field.key() });
    }
    if field.fits(value) {
        return Ok(());
    }
    Err(Refused::WrongValue { field: field.def.says, value: value.clone() })
}

fn set(parts: &[&Doc], setting: &Setting) -> Result<(), Refused> {
    let Setting { field, value, reason } = setting;
    fits(parts, *field, value)?;
    let current = merged::read(parts, field);
    match current {
        None => Ok(()),
        Some(Merged::Contested { sides, .. }) => {
            Err(Refused::Contested { field: field.def.says, sides })
        }
        Some(Merged::Settled(said)) => lowers(*field, &said, value, reason.as_deref()),
    }
}

/// A safety word may be raised by anyone and is lowered only with a reason.
fn lowers(
    field: Field,
    said: &Said,
    value: &FieldValue,
    reason: Option<&str>,
) -> Result<(), Refused> {
    if field.def.merge.cautious() && merged::less_careful(&field, value, &said.value) {
        let what =
            format!("{} from {} to {}", field.def.says, field.show(&said.value), field.show(value));
        return needs_reason(reason.unwrap_or_default(), || what);
    }
    Ok(())
}

fn settle(parts: &[&Doc], field: Field, value: &FieldValue) -> Result<(), Refused> {
    match merged::read(parts, &field) {
        Some(Merged::Contested { .. }) => Ok(()),
        Some(Merged::Settled(said)) if merged::less_careful(&field, value, &said.value) => Ok(()),
        _ => Err(Refused::NotContested { field: field.def.says }),
    }
}

fn needs_reason(reason: &str, what: impl FnOnce() -> String) -> Result<(), Refused> {
    if reason.trim().is_empty() { Err(Refused::NeedsReason { what: what() }) } else { Ok(()) }
}

/// Whether a tag stands here and no release of it does.
fn in_force(parts: &[&Doc], tag: EntryId) -> Result<(), Refused> {
    if !stands(parts, &key::entry(Kind::Tag, tag)) {
        return Err(Refused::NotTagged { tag });
    }
    Ok(())
}

fn stands(parts: &[&Doc], key: &str) -> bool {
    let holds = |part: &&Doc| part.automerge().get(ROOT, key).is_ok_and(|value| value.is_some());
    parts.iter().any(holds)
}

fn exists(parts: &[&Doc], entry: EntryId) -> Result<(), Refused> {
    find(parts, entry).map(drop)
}

/// The kind and key of an entry of this document.
fn find(parts: &[&Doc], entry: EntryId) -> Result<Kind, Refused> {
    let found = Kind::ALL.iter().copied().find(|kind| stands(parts, &key::entry(*kind, entry)));
    found.ok_or(Refused::NoSuchEntry { entry, doc: own(parts) })
}

/// Another person's evidence is corrected or taken out of the count by a supervisor only.
fn own_or_supervisor(
    parts: &[&Doc],
    entry: EntryId,
    stamp: &Stamp,
    pen: &Pen,
) -> Result<(), Refused> {
    let kind = find(parts, entry)?;
    let written = parts.iter().find_map(|part| crate::record::read::entry(part, kind, entry));
    let own = written.is_some_and(|(by, _)| by.by == stamp.by || by.person() == stamp.person());
    if own || pen.role == Role::Supervisor { Ok(()) } else { Err(Refused::AnothersEntry { entry }) }
}
