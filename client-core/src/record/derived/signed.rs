//! What was worked out when somebody signed, and what has moved since.

use crate::record::body::signed::SignedFigure;
use crate::record::body::{Body, SignedFigures};
use crate::record::code::Phase;
use crate::record::code::unit::UnitCode;
use crate::record::derived::block::{Block, block};
use crate::record::file::VisitFile;
use crate::record::id::EntryId;
use crate::record::value::Figure;
use crate::trade::quantity::Amount;
use crate::trade::unit::Decimal;
use crate::trade::unit::show::places;

/// A figure that is not what it was when it was signed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Moved {
    /// As signed.
    pub signed: SignedFigure,
    /// As worked out now; none when it cannot be worked out any more.
    pub now: Option<SignedFigure>,
}

impl Moved {
    /// Whether another formula or version gave the figure now: nothing that was read has changed then, only
    /// the sum.
    pub fn by_formula(&self) -> bool {
        self.now.as_ref().is_some_and(|now| now.formula != self.signed.formula)
    }
}

/// Every figure that follows from the readings of a visit, as it is shown.
pub fn figures(file: &VisitFile<'_>) -> Vec<SignedFigure> {
    let mut all = vec![];
    for unit in &file.units {
        for phase in Phase::ALL {
            let block = block(file, unit, *phase);
            all.extend(block.figures.iter().filter_map(|shown| {
                Some(SignedFigure {
                    appliance: unit.appliance,
                    phase: *phase,
                    key: shown.key.to_owned(),
                    figure: as_shown(shown.amount)?,
                    formula: shown.formula.clone(),
                    verdict: verdict(&block, shown.key),
                })
            }));
        }
    }
    all
}

/// The copy that goes into a sign-off; none where nothing was worked out.
pub fn to_sign(file: &VisitFile<'_>) -> Option<SignedFigures> {
    let all = figures(file);
    (!all.is_empty()).then(|| SignedFigures::pack(&all))
}

/// What differs now from what was signed.
pub fn moved(file: &VisitFile<'_>, signed: &SignedFigures) -> Vec<Moved> {
    let now = figures(file);
    let mut moved = vec![];
    for old in signed.figures() {
        let same = |one: &&SignedFigure| {
            (one.appliance, one.phase, one.key.as_str())
                == (old.appliance, old.phase, old.key.as_str())
        };
        let found = now.iter().find(same);
        if found.map(|one| one.figure) != Some(old.figure) {
            moved.push(Moved { signed: old, now: found.cloned() });
        }
    }
    moved
}

/// What differs now from the last sign-off that counts and holds figures; none where there is no such.
pub fn since_last(file: &VisitFile<'_>) -> Option<(EntryId, Vec<Moved>)> {
    let signed = file.signed();
    signed.sign_offs.iter().rev().find_map(|(id, _, _)| match &file.head.read.entry(*id)?.body {
        Body::SignOff(sign_off) => Some((*id, moved(file, sign_off.shown.as_ref()?))),
        _ => None,
    })
}

/// An amount to the digits that faces show.
pub fn as_shown(amount: Amount) -> Option<Figure> {
    let digits = Decimal::rounded(amount.value, places(amount.unit))?;
    Some(Figure { digits, unit: UnitCode::of(amount.unit)? })
}

fn verdict(block: &Block, key: &str) -> Option<String> {
    let found = block.verdicts.iter().find(|judged| judged.key == key);
    found.map(|judged| judged.label.to_owned())
}
