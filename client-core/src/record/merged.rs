//! A contested value is a value: settled by one answer, or contested with every side kept.

use automerge::{ROOT, ReadDoc, ScalarValue, Value};

use crate::record::doc::{self, Doc};
use crate::record::field::{self, Field, FieldValue, Merge, Said};
use crate::record::id::EntryId;

/// What a register says after the join.
#[derive(Clone, Debug, PartialEq)]
pub enum Merged {
    /// One answer, or several people's same answer (the first stands, the others are in `over`).
    Settled(Said),
    /// Two or more answers.
    Contested {
        /// The side that governs until it is settled; none where nothing may govern.
        shown: Option<Said>,
        /// Every side, the one with the highest operation counter first.
        sides: Vec<Said>,
    },
}

impl Merged {
    /// The value that governs, if one does.
    pub fn governs(&self) -> Option<&Said> {
        match self {
            Merged::Settled(said) => Some(said),
            Merged::Contested { shown, .. } => shown.as_ref(),
        }
    }

    /// Whether there is more than one answer.
    pub const fn contested(&self) -> bool {
        matches!(self, Merged::Contested { .. })
    }

    /// Every side.
    pub fn sides(&self) -> &[Said] {
        match self {
            Merged::Settled(said) => std::slice::from_ref(said),
            Merged::Contested { sides, .. } => sides,
        }
    }
}

/// Reads a register over all parts of a document. None: never set, or nothing readable.
pub fn read(parts: &[&Doc], field: &Field) -> Option<Merged> {
    join(field, sides(parts, field))
}

/// Every side of a register that stands, newest operation first; unreadable ones are left out.
pub fn sides(parts: &[&Doc], field: &Field) -> Vec<Said> {
    let mut sides = Sides::default();
    for (part, document) in parts.iter().enumerate() {
        sides.add_current(part, document, field);
    }
    sides.standing()
}

/// Sides of a register, gathered over the parts of a document.
#[derive(Debug, Default)]
pub(crate) struct Sides(Vec<(usize, u64, Said)>);

impl Sides {
    /// Adds sides of one part, each with its operation number.
    pub(crate) fn add(&mut self, part: usize, sides: Vec<(u64, Said)>) {
        self.0.extend(sides.into_iter().map(|(counter, said)| (part, counter, said)));
    }

    /// Adds the values that a part shows now.
    pub(crate) fn add_current(&mut self, part: usize, document: &Doc, field: &Field) {
        let values = document.automerge().get_all(ROOT, field.key()).unwrap_or_default();
        for (value, object) in values {
            if let (Value::Scalar(scalar), automerge::ObjId::Id(counter, actor, _)) =
                (&value, &object)
                && let ScalarValue::Bytes(bytes) = scalar.as_ref()
                && let Ok(said) = field::decode(bytes)
                && said.id.actor == doc::actor_of(actor).half()
                && field.fits(&said.value)
            {
                self.0.push((part, *counter, said));
            }
        }
    }

    /// Those that stand, newest operation first. A later part cannot replace a value of an earlier one by
    /// the change graph: it names it instead.
    pub(crate) fn standing(self) -> Vec<Said> {
        let mut sides = self.0;
        let over: Vec<EntryId> = sides.iter().flat_map(|(_, _, said)| said.over.clone()).collect();
        sides.retain(|(_, _, said)| !over.contains(&said.id));
        sides.sort_by_key(|(part, counter, said)| (*part, *counter, said.id.actor));
        sides.reverse();
        sides.into_iter().map(|(_, _, said)| said).collect()
    }
}

/// Every answer that ever stood in a register, oldest first: those that stand, and those that somebody
/// replaced or settled, found by going back through the change graph.
pub fn answers(parts: &[&Doc], field: &Field) -> Vec<Said> {
    let key = field.key();
    let mut found: Vec<(usize, u64, Said)> = vec![];
    for (part, document) in parts.iter().enumerate() {
        let automerge = document.automerge();
        let mut open = automerge.get_all(ROOT, key.as_str()).unwrap_or_default();
        while let Some((value, object)) = open.pop() {
            let (Value::Scalar(scalar), automerge::ObjId::Id(counter, actor, _)) =
                (&value, &object)
            else {
                continue;
            };
            let ScalarValue::Bytes(bytes) = scalar.as_ref() else { continue };
            let Ok(said) = field::decode(bytes) else { continue };
            let own = said.id.actor == doc::actor_of(actor).half() && field.fits(&said.value);
            if !own || found.iter().any(|(_, _, known)| known.id == said.id) {
                continue;
            }
            found.push((part, *counter, said));
            let change = automerge.hash_for_opid(&object);
            let change = change.and_then(|hash| automerge.get_change_by_hash(&hash));
            if let Some(change) = change {
                open.extend(
                    automerge.get_all_at(ROOT, key.as_str(), change.deps()).unwrap_or_default(),
                );
            }
        }
    }
    found.sort_by_key(|(part, counter, said)| (*part, *counter, said.id.actor));
    found.into_iter().map(|(_, _, said)| said).collect()
}

/// Joins the sides of a register.
pub fn join(field: &Field, mut sides: Vec<Said>) -> Option<Merged> {
    let first = sides.first()?.clone();
    if sides.iter().all(|side| same_answer(&side.value, &first.value)) {
        let others = sides.split_off(1).into_iter().map(|side| side.id);
        let mut settled = first;
        settled.over.extend(others);
        return Some(Merged::Settled(settled));
    }
    let shown = governing(field, &sides);
    Some(Merged::Contested { shown, sides })
}

/// Equal answers from two people read as settled by both: same word, or same digits in the same unit.
fn same_answer(one: &FieldValue, other: &FieldValue) -> bool {
    match (one, other) {
        (FieldValue::Text(one), FieldValue::Text(other)) => one.trim() == other.trim(),
        (FieldValue::Figure(one), FieldValue::Figure(other)) => {
            one.unit == other.unit && same_digits(one.digits, other.digits)
        }
        _ => one == other,
    }
}

/// 3.5 and 3.50 are the same answer; the digits of each stay as typed.
fn same_digits(one: crate::trade::unit::Decimal, other: crate::trade::unit::Decimal) -> bool {
    let scale = |digits: crate::trade::unit::Decimal| {
        let power = 10_i128.pow(9 - u32::from(digits.places()));
        i128::from(digits.mantissa()) * power
    };
    scale(one) == scale(other)
}

fn governing(field: &Field, sides: &[Said]) -> Option<Said> {
    match field.def.merge {
        Merge::Undecided => None,
        Merge::Plain => sides.first().cloned(),
        _ => {
            let mut best = sides.first()?;
            for side in sides {
                if less_careful(field, &best.value, &side.value) {
                    best = side;
                }
            }
            Some(best.clone())
        }
    }
}

/// Whether `one` is less careful than `other` in this register's order.
pub fn less_careful(field: &Field, one: &FieldValue, other: &FieldValue) -> bool {
    match (field.def.merge, one, other) {
        (Merge::Careful(order), FieldValue::Word(one), FieldValue::Word(other)) => {
            // A word of a newer version is taken as the most careful: nothing is known about it.
            let rank = |word: u16| order.iter().position(|known| *known == word);
            rank(*one) > rank(*other)
        }
        (merge, FieldValue::Figure(one), FieldValue::Figure(other)) => {
            let Some(unit) = other.unit.unit() else { return false };
            let (Some(one), Some(other)) = (one.in_unit(unit), other.in_unit(unit)) else {
                return false;
            };
            match merge {
                Merge::Smaller => one > other,
                Merge::Larger => one < other,
                Merge::Farther => one.abs() < other.abs(),
                Merge::Plain | Merge::Careful(_) | Merge::Undecided => false,
            }
        }
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::code::Status;
    use crate::record::code::unit::UnitCode;
    use crate::record::id::{ActorHalf, PersonId};
    use crate::record::stamp::Stamp;
    use crate::record::value::Figure;

    fn said(n: u32, value: FieldValue) -> Said {
        let stamp =
            Stamp { by: PersonId([1; 8]), secs: 0, offset_min: 0, entered_for: None, seen: None };
        let id = EntryId { actor: ActorHalf([1; 8]), n };
        Said { stamp, id, value, reason: None, over: vec![], settles: false }
    }

    fn status(word: Status) -> FieldValue {
        FieldValue::Word(word.code())
    }

    #[test]
    fn the_more_careful_status_governs_whatever_the_order() {
        let field = Field::named("unit/status");
        let shut = said(1, status(Status::ShutDownTagged));
        let runs = said(2, status(Status::InServicePartAwaited));
        for sides in [vec![shut.clone(), runs.clone()], vec![runs, shut.clone()]] {
            let merged = join(&field, sides).unwrap();
            assert!(merged.contested());
            assert_eq!(merged.governs(), Some(&shut));
        }
    }

    #[test]
    fn a_word_of_a_newer_version_is_the_most_careful() {
        let field = Field::named("unit/status");
        assert!(less_careful(&field, &status(Status::ShutDownTagged), &FieldValue::Word(900)));
        assert!(!less_careful(&field, &FieldValue::Word(900), &status(Status::InService)));
    }

    #[test]
    fn an_undecided_plate_figure_governs_nothing() {
        let field = Field::named("plate/input");
        let figure = |mantissa| FieldValue::Figure(Figure::new(mantissa, 0, UnitCode(28)));
        let merged = join(&field, vec![said(1, figure(175)), said(2, figure(125))]).unwrap();
        assert_eq!((merged.governs(), merged.sides().len()), (None, 2));
    }

    #[test]
    fn same_answers_are_settled_by_both() {
        let field = Field::named("plate/manifold_high");
        let one = FieldValue::Figure(Figure::new(35, 1, UnitCode(1)));
        let two = FieldValue::Figure(Figure::new(350, 2, UnitCode(1)));
        let merged = join(&field, vec![said(1, one), said(2, two)]).unwrap();
        let Merged::Settled(settled) = merged else { panic!("contested") };
        assert_eq!(settled.over.len(), 1);
    }

    #[test]
    fn limits_take_the_safer_side() {
        let figure = |mantissa| FieldValue::Figure(Figure::new(mantissa, 1, UnitCode(1)));
        for (key, safer, other) in [
            ("plate/valve_max_inlet", 140, 280),
            ("plate/inlet_min", 60, 50),
            ("plate/pressure_switch", -8, -6),
        ] {
            let field = Field::named(key);
            assert!(less_careful(&field, &figure(other), &figure(safer)), "{key}");
            assert!(!less_careful(&field, &figure(safer), &figure(other)), "{key}");
        }
    }
}
