//! The search for a fault as the phone holds it: what the record knows, what is in order today, and the start
//! that is being followed. Nothing here is evidence before it is entered.

use client_core::fault::choice::{Care, CareSet, Family, State as Does};
use client_core::fault::follow::Seen;
use client_core::fault::history::{Learnt, Place};
use client_core::fault::known::{Known, known};
use client_core::fault::lockout::{Kind, Lockout, Trip};
use client_core::fault::sequence::{self, Leads, Sequence};
pub use client_core::fault::standing::Standing;
use client_core::fault::standing::Today;
use client_core::fault::table::{SymptomId, Table, TestId};
use client_core::record::file::{UnitInVisit, VisitFile};
use client_core::record::id::{ApplianceId, SiteId, VisitId};
use client_core::record::row::UnitRow;
use client_core::record::value::Moment;

use crate::app::state::State;
use crate::see::Lists;

/// Everything that the search is made from.
#[derive(Clone, Copy, Debug)]
pub struct From<'a> {
    /// What is typed and chosen.
    pub state: &'a State,
    /// Lists.
    pub lists: &'a Lists,
    /// The site in hand.
    pub site: Option<SiteId>,
    /// The visit in hand.
    pub visit: Option<VisitId>,
    /// The wall clock.
    pub now: Moment,
}

/// What is known of the unit before any search.
pub fn knows(from: From<'_>, file: &VisitFile<'_>, own: &UnitInVisit<'_>) -> Known {
    let mut earlier = from.lists.history.iter().filter(|listed| Some(listed.id) != from.visit);
    let before = earlier.rfind(|listed| !listed.row.left.is_empty());
    known(Table::standard(), file, own, before.map(|listed| &listed.row))
}

/// The search, when a symptom is entered and the family is known.
pub fn standing(from: From<'_>, file: &VisitFile<'_>, own: &UnitInVisit<'_>) -> Option<Standing> {
    let known = knows(from, file, own);
    let job = (known.symptoms.last()?.1, known.family?);
    let learnt = learnt(from, own.appliance, job);
    let today = today(from.state, own.appliance);
    Some(Standing::of(Table::standard(), known, job, learnt, &today))
}

/// The building's findings at earlier visits.
fn learnt(from: From<'_>, unit: ApplianceId, (symptom, family): (SymptomId, Family)) -> Learnt {
    let row_of = |unit: ApplianceId| -> Option<&UnitRow> {
        from.lists.units.iter().find(|listed| listed.id == unit).map(|listed| &listed.row)
    };
    let site = from.site.map(|site| site.to_string()).unwrap_or_default();
    let place =
        Place { site: &site, row: &from.lists.site, unit: row_of(unit), today: from.now.day() };
    let past = from.lists.past.iter().filter_map(|(unit, row)| Some((row_of(*unit)?, row)));
    place.learn(Table::standard(), symptom, family, past)
}

/// What a person can meet today, as it was said on the screen.
pub fn cares(state: &State) -> CareSet {
    let said = Care::ALL.iter().filter(|care| state.is_chosen(&able(**care)));
    said.fold(CareSet::of(&[Care::Look]), |set, care| set.with(*care))
}

/// Signs that are seen and give no figure.
pub const SIGNS: [(&str, &str); 3] = [
    ("rollout", "soot, scorched paint or melted wire where flame came out"),
    ("fan", "the flame or the flue O2 moves when the circulating fan starts"),
    ("rising", "the CO in the room is rising"),
];

/// What is so today and stands in no entry.
fn today(state: &State, unit: ApplianceId) -> Today {
    let saw = |what: &str| state.is_chosen(&saw(unit, what));
    Today {
        cares: cares(state),
        trials: trials(state, unit),
        rollout_marks: saw("rollout"),
        fan_moves_flame: saw("fan"),
        ambient_co_rising: saw("rising"),
        ..Today::default()
    }
}

// --- names of what is kept on the phone ---

/// A care that can be met today.
pub fn able(care: Care) -> String {
    format!("able/{}", care.key())
}

/// What the control was found like: the name of one fact.
pub fn control_name(unit: ApplianceId, what: &str) -> String {
    format!("control/{unit}/{what}")
}

/// The control as it was found. What nobody asked stays open.
pub fn lockout(state: &State, unit: ApplianceId, on_lp: Option<bool>) -> Lockout {
    let said = |what: &str| state.chosen(&control_name(unit, what));
    Lockout {
        kind: match said("kind") {
            Some("hard") => Some(Kind::Hard),
            Some("retries") => Some(Kind::TimedRetry),
            Some("button") => Some(Kind::Manual),
            _ => None,
        },
        trials: said("trials").and_then(|text| text.parse().ok()),
        customer_resets: said("resets").and_then(|text| text.parse().ok()),
        on_lp,
        trip: match said("trip") {
            Some("rollout") => Some(Trip::Rollout),
            Some("vent") => Some(Trip::BlockedVent),
            Some("limit") => Some(Trip::ManualLimit),
            Some("water") => Some(Trip::LowWater),
            _ => None,
        },
    }
}

/// The control as found, in words for the record; none when nobody said anything.
pub fn lockout_words(lockout: Lockout) -> Option<String> {
    let kind = lockout.kind.map(|kind| match kind {
        Kind::Hard => "control locked out hard",
        Kind::TimedRetry => "control tries again by itself",
        Kind::Manual => "control waits for its button",
    });
    let trip = lockout.trip.map(|trip| format!("{} tripped", trip_words(trip)));
    let trials = lockout.trials.map(|count| format!("{count} trials before arrival"));
    let resets =
        lockout.customer_resets.map(|count| format!("reset {count} times by the customer"));
    let said: Vec<String> =
        kind.map(str::to_owned).into_iter().chain(trip).chain(trials).chain(resets).collect();
    (!said.is_empty()).then(|| said.join(", "))
}

/// A trip in words.
pub const fn trip_words(trip: Trip) -> &'static str {
    match trip {
        Trip::Rollout => "rollout switch",
        Trip::BlockedVent => "blocked-vent switch",
        Trip::ManualLimit => "limit with a hand reset",
        Trip::LowWater => "low-water cut-off",
    }
}

/// A sign that was seen at a unit.
pub fn saw(unit: ApplianceId, what: &str) -> String {
    format!("saw/{unit}/{what}")
}

/// Trials in a row at a unit.
pub fn trials_name(unit: ApplianceId) -> String {
    format!("trials/{unit}")
}

/// The moment until which the wait at a unit runs.
pub fn wait_name(unit: ApplianceId) -> String {
    format!("wait/{unit}")
}

/// The test that a person picked instead of the one that tells most.
pub fn pick_name(unit: ApplianceId) -> String {
    format!("picked/{unit}")
}

/// The start that is followed at a unit.
pub fn start_name(unit: ApplianceId) -> String {
    format!("start/{unit}")
}

/// Trials for ignition in a row.
pub fn trials(state: &State, unit: ApplianceId) -> u8 {
    state.chosen(&trials_name(unit)).and_then(|text| text.parse().ok()).unwrap_or(0)
}

/// The second at which the wait is over.
pub fn wait_until(state: &State, unit: ApplianceId) -> Option<i64> {
    state.chosen(&wait_name(unit))?.parse().ok()
}

/// The test that was picked.
pub fn picked(state: &State, unit: ApplianceId) -> Option<TestId> {
    Table::standard().test(state.chosen(&pick_name(unit))?)
}

// --- the start ---

/// The sequence that a family follows.
pub fn sequence_of(family: Option<Family>) -> Option<&'static Sequence> {
    sequence::named(family?.key())
}

/// A start that is followed.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Follow {
    /// When it began, seconds since 1970.
    pub begun: Option<i64>,
    /// Steps seen.
    pub stamps: Vec<Seen>,
}

/// The start that is followed at a unit, as its stamps tell it.
pub fn start(state: &State, unit: ApplianceId) -> Follow {
    let name = start_name(unit);
    let begun = state.chosen(&format!("{name}/begun")).and_then(|text| text.parse::<i64>().ok());
    let stamp = |step: u8| {
        let at = state.chosen(&format!("{name}/{step}"))?;
        let at_s = at.parse::<i64>().ok().zip(begun).map(|(at, begun)| at - begun);
        let at_s = at_s.and_then(|seconds| i32::try_from(seconds).ok()).map(f64::from);
        let weak = state.is_chosen(&format!("{name}/{step}/weak"));
        Some(Seen { step: usize::from(step), at_s, weak })
    };
    Follow { begun, stamps: (0..32).filter_map(stamp).collect() }
}

/// Whether a start that led here has made a trial for ignition.
pub fn was_a_trial(leads: Leads) -> bool {
    match leads {
        Leads::Symptom(symptom) => {
            let reachable = Table::standard()[symptom].reachable;
            reachable.has(Does::Trial) && !reachable.has(Does::Steady)
        }
        Leads::GasProcedure | Leads::ShutDown => false,
    }
}

/// Whether making a test with this symptom is one more trial that ends without a steady flame.
pub fn tries(symptom: SymptomId, test: TestId) -> bool {
    let table = Table::standard();
    table[test].state.fires() && !table[symptom].reachable.has(Does::Steady)
}
