//! Saving a deed: questions about odd values first, then all of it or none, then a line for each entry.

use client_core::present::Say;
use client_core::present::say::short;
use client_core::record::action::{Action, Setting};
use client_core::record::apply::Delta;
use client_core::record::body::Body;
use client_core::record::code::Quantity;
use client_core::record::deed::Deed;
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::doubt::{Doubt, doubts};
use client_core::record::id::EntryId;
use client_core::record::value::Figure;
use serde_json::json;

use crate::args::Entering;
use crate::book::Book;
use crate::desk::Desk;
use crate::error::Trouble;
use crate::ui::Tone;

/// Saves a deed and says what was saved. Answers the entries made, in order.
pub fn save(
    desk: &mut Desk<'_>,
    book: &Book,
    entering: &Entering,
    deed: Deed,
) -> Result<Vec<EntryId>, Trouble> {
    let deed = asked_about(desk, book, entering, deed)?;
    let stamp = desk.stamp(book, entering)?;
    let words = words(book, desk, &deed);
    let deltas = desk.device()?.carry_out(deed, &stamp)?;
    say_saved(desk, &deltas, &words)?;
    Ok(deltas.into_iter().flat_map(|delta| delta.entries).collect())
}

fn say_saved(desk: &mut Desk<'_>, deltas: &[Delta], words: &[String]) -> Result<(), Trouble> {
    let entries = deltas.iter().flat_map(|delta| delta.entries.iter().map(|id| (delta.doc, *id)));
    let mut words = words.iter();
    let mut saved = vec![];
    for (doc, entry) in entries {
        let says = words.next().map_or("", |own| own);
        if desk.ui.manners.json {
            saved.push(json!({ "entry": entry.to_string(), "doc": doc.to_string(), "says": says }));
        } else {
            desk.ui.line(&format!("{}  {says}", short(entry)))?;
        }
    }
    if desk.ui.manners.json {
        desk.ui.json(&json!({ "saved": saved, "state": "on_this_device" }))
    } else {
        desk.ui.talk(Tone::Dim, "saved on this device");
        Ok(())
    }
}

/// What each entry of a deed will say, in the order in which entries get their numbers.
fn words(book: &Book, desk: &Desk<'_>, deed: &Deed) -> Vec<String> {
    let say = Say { names: book, system: desk.system };
    let set = |setting: &Setting| {
        format!("{}: {}", setting.field.def.says, say.value(&setting.field, &setting.value))
    };
    let mut words = vec![];
    for (_, action) in deed {
        match action {
            Action::Enter(bodies) => words.extend(bodies.iter().map(|body| say.body(body))),
            Action::Set(settings) => words.extend(settings.iter().map(set)),
            Action::Settle { field, value, reason, .. } => {
                words.push(format!("settled {}: {reason}", field.def.says));
                words.push(format!("{}: {}", field.def.says, say.value(field, value)));
            }
            Action::SettleOther(own) => words.push(say.body(&own.clone().into())),
            Action::Write { subject, .. } => words.push(format!("note on {subject}")),
            Action::Edit { .. } => {}
            Action::ShutDown { tag, locks } => {
                words.push(say.body(&tag.clone().into()));
                words.extend(locks.iter().map(|lock| say.body(&lock.clone().into())));
                words.push("status: shut down, tagged".to_owned());
            }
            Action::Release { release, status } => {
                words.push(say.body(&release.clone().into()));
                let field = client_core::record::field::Field::named("unit/status");
                words.push(format!("status: {}", field.show(status)));
            }
            Action::Ask(own) => {
                words.push(say.body(&own.clone().into()));
                words.push("state of the question: open".to_owned());
            }
            Action::Answer { answer, targets } => {
                words.push(say.body(&answer.clone().into()));
                words.extend(targets.iter().map(|target| say.target(target)));
                words.push("state of the question: answered".to_owned());
            }
            Action::Close { outcome, .. } => words.push(format!("closed: {}", outcome.says())),
            Action::Void { entry, reason } => {
                words.push(format!("withdrew {}: {reason}", short(*entry)));
            }
            Action::SignOff(own) => words.push(say.body(&own.clone().into())),
        }
    }
    words
}

/// Asks about values that look like slips. An answer keeps the value with its reason.
fn asked_about(
    desk: &mut Desk<'_>,
    book: &Book,
    entering: &Entering,
    mut deed: Deed,
) -> Result<Deed, Trouble> {
    let mut left: Vec<Doubt> = vec![];
    for (doc, action) in &mut deed {
        let doc = *doc;
        let last = last_readings(desk, doc)?;
        let expected = |quantity: Quantity| expected(book, doc, &last, quantity);
        match action {
            Action::Enter(bodies) => {
                for body in bodies {
                    let one = Action::Enter(vec![body.clone()]);
                    let Some(doubt) = doubts(&one, &expected).pop() else { continue };
                    let why = answer(desk, entering, &doubt);
                    match (why, body) {
                        (Some(why), Body::Reading(reading)) => reading.why_unusual = Some(why),
                        _ => left.push(doubt),
                    }
                }
            }
            Action::Set(settings) => {
                for setting in settings {
                    let one = Action::Set(vec![setting.clone()]);
                    let Some(doubt) = doubts(&one, &expected).pop() else { continue };
                    match answer(desk, entering, &doubt) {
                        Some(why) => setting.reason = Some(why),
                        None => left.push(doubt),
                    }
                }
            }
            _ => {}
        }
    }
    if left.is_empty() { Ok(deed) } else { Err(Trouble::Doubts(left)) }
}

fn answer(desk: &mut Desk<'_>, entering: &Entering, doubt: &Doubt) -> Option<String> {
    if let Some(because) = &entering.because {
        return Some(because.clone());
    }
    if !desk.ui.asks() {
        return None;
    }
    let question = format!(
        "{} {}: {}? ({}) Type why to keep it as typed, nothing to leave it:",
        doubt.about, doubt.typed, doubt.asks, doubt.usual
    );
    desk.ui.ask(&question)
}

/// What the unit's last visit left of each quantity.
fn last_readings(desk: &mut Desk<'_>, doc: DocId) -> Result<Vec<(Quantity, Figure)>, Trouble> {
    let DocKind::Sheet(visit, appliance) = doc.kind else { return Ok(vec![]) };
    let history = desk.device()?.history(doc.site, appliance)?;
    let mut found = vec![];
    for listed in history.iter().filter(|listed| listed.id != visit) {
        for row in listed.row.found.iter().chain(&listed.row.left) {
            found.extend(row.value.figure().map(|figure| (row.quantity, figure)));
        }
    }
    Ok(found)
}

/// Quantities that stay about the same from visit to visit, whatever the weather and the hour: for the
/// others the last reading would only raise idle questions.
fn steady(quantity: Quantity) -> bool {
    use client_core::trade::unit::Dimension;
    let dimension = quantity.kind().map(|kind| kind.unit.dimension());
    let pressure = matches!(dimension, Some(Dimension::Pressure | Dimension::GaugePressure));
    (pressure && !matches!(quantity, Quantity::BuildingDp | Quantity::Baro))
        || matches!(quantity, Quantity::FlueO2 | Quantity::FlueCo2 | Quantity::FlameCurrent)
}

/// What a reading is expected to be about: the plate's figure, or the last one.
fn expected(
    book: &Book,
    doc: DocId,
    last: &[(Quantity, Figure)],
    quantity: Quantity,
) -> Option<Figure> {
    let plate = match quantity {
        Quantity::ManifoldHigh => Some("plate/manifold_high"),
        Quantity::ManifoldLow => Some("plate/manifold_low"),
        Quantity::PilotPressure => Some("plate/pilot_pressure"),
        _ => None,
    };
    let row = doc.appliance().and_then(|appliance| book.units.get(&appliance));
    let plate = plate.zip(row).and_then(|(key, (_, row))| {
        row.plate.iter().find(|own| own.key == key).map(|own| own.figure)
    });
    let before = || last.iter().rev().find(|(own, _)| *own == quantity).map(|(_, figure)| *figure);
    plate.or_else(|| if steady(quantity) { before() } else { None })
}
