//! The sentence at the top: how many heaters, and in what state each was left.

use crate::text::Text;
use crate::tongue::{Tongue, say};
use crate::unit_facts::UnitFacts;
use client_core::record::code::{Outcome, Status};
use client_core::record::derived::block::{Block, Judged, Judgement};
use client_core::trade::verdict::Verdict;

/// How a unit was left. Exactly one holds for each unit; the more cautious one goes first, and nothing that
/// is missing counts as within.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum State {
    /// Shut down: a tag is in force, or the status says so.
    ShutDown,
    /// Its own control has stopped it.
    Stopped,
    /// Its status has two answers or none.
    NotSettled,
    /// It was not reached, or nothing was done there.
    NotReached,
    /// Works, and a figure as left is outside a limit entered.
    Outside,
    /// On watch, or a part is awaited.
    Watch,
    /// Works, and an instrument cannot tell on which side of a limit a figure lies.
    CannotTell,
    /// Works, and was not measured as left, or there was no limit to compare with.
    NotMeasured,
    /// Works, every figure as left that has a limit within it.
    Within,
    /// Taken down.
    Removed,
}

impl State {
    /// Every state, in the order of the sentence.
    pub const ALL: [State; 10] = [
        State::ShutDown,
        State::Stopped,
        State::NotSettled,
        State::NotReached,
        State::Outside,
        State::Watch,
        State::CannotTell,
        State::NotMeasured,
        State::Within,
        State::Removed,
    ];

    /// The state of a unit.
    pub fn of(unit: &UnitFacts) -> State {
        if unit.status == Status::Removed {
            return State::Removed;
        }
        if unit.tag.is_some() || unit.status == Status::ShutDownTagged {
            return State::ShutDown;
        }
        if unit.status == Status::ControlLockedOut {
            return State::Stopped;
        }
        if !unit.status_settled || matches!(unit.status, Status::Unknown | Status::Newer(_)) {
            return State::NotSettled;
        }
        let outcome = unit.outcome.as_ref().map(|(outcome, _)| *outcome);
        if outcome == Some(Outcome::NotReached) || !unit.opened() {
            return State::NotReached;
        }
        let left = match outcome {
            // Nothing touched it: what was found is what was left.
            Some(Outcome::LeftAsFound) if unit.left.verdicts.is_empty() => &unit.found,
            _ => &unit.left,
        };
        let judged = judged(left);
        let watch = matches!(unit.status, Status::Watch | Status::InServicePartAwaited);
        match judged {
            State::Outside => State::Outside,
            _ if watch => State::Watch,
            other => other,
        }
    }

    const fn key(self) -> &'static str {
        match self {
            State::ShutDown => "lead-shut_down",
            State::Stopped => "lead-stopped",
            State::NotSettled => "lead-not_settled",
            State::NotReached => "lead-not_reached",
            State::Outside => "lead-outside",
            State::Watch => "lead-watch",
            State::CannotTell => "lead-cannot_tell",
            State::NotMeasured => "lead-not_measured",
            State::Within => "lead-within",
            State::Removed => "lead-removed",
        }
    }
}

fn judged(block: &Block) -> State {
    let mut state = State::NotMeasured;
    for judged in &block.verdicts {
        match weigh(judged) {
            Some(State::Outside) => return State::Outside,
            Some(State::CannotTell) => state = State::CannotTell,
            Some(State::Within) if state == State::NotMeasured => state = State::Within,
            _ => {}
        }
    }
    state
}

fn weigh(judged: &Judged) -> Option<State> {
    match &judged.judgement {
        Judgement::NoTarget => None,
        Judgement::CarbonMonoxide(band) => match band.key {
            // Common practice calls these usual; they are no limit that was entered for the unit.
            "usual" | "note" => None,
            _ => Some(State::Outside),
        },
        Judgement::Against { verdict, .. } => match verdict {
            Verdict::Within { .. } => Some(State::Within),
            Verdict::OutsideBy { .. } => Some(State::Outside),
            Verdict::TooCloseToCall { .. } => Some(State::CannotTell),
            Verdict::NotTested { .. } | Verdict::NoTargetYet { .. } => None,
        },
    }
}

/// The sentence. Shut-downs are always in it: first when there are any, else as "none shut down".
pub(crate) fn sentence(tongue: Tongue, units: &[UnitFacts]) -> Text {
    let mut parts: Vec<String> = vec![];
    let states: Vec<State> = units.iter().map(State::of).collect();
    let count = |state: State| states.iter().filter(|own| **own == state).count();
    for state in State::ALL.into_iter().rev().filter(|state| *state != State::ShutDown) {
        let count = count(state);
        if count > 0 {
            parts.push(counted(tongue, state, count));
        }
    }
    match count(State::ShutDown) {
        0 => parts.push(tongue.plain("lead-none_shut_down")),
        count => parts.insert(0, counted(tongue, State::ShutDown, count)),
    }
    let heaters = say!(tongue, "lead-heaters", count = units.len());
    Text::words(say!(tongue, "lead", heaters = heaters, states = parts.join(", ")))
}

fn counted(tongue: Tongue, state: State, count: usize) -> String {
    tongue.phrase(state.key()).with("count", count).words()
}
