//! How a control locks out, what was done to it before, and what must not be done again.

/// How a control comes back after it has stopped.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Until power or the call is cycled.
    Hard,
    /// By itself after a time.
    TimedRetry,
    /// By a button.
    Manual,
}

/// A lockout as found. Everything is asked, nothing assumed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Lockout {
    /// Its kind.
    pub kind: Option<Kind>,
    /// Trials that the control made before anyone arrived.
    pub trials: Option<u8>,
    /// Resets by the customer: a fact for the statistics.
    pub customer_resets: Option<u8>,
    /// The unit is supplied with LP.
    pub on_lp: Option<bool>,
    /// A trip that is never just reset.
    pub trip: Option<Trip>,
}

/// A trip whose cause is found before any reset.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Trip {
    /// Flame rollout switch.
    Rollout,
    /// Blocked-vent switch.
    BlockedVent,
    /// High limit with a hand reset.
    ManualLimit,
    /// Low-water cut-off.
    LowWater,
}

/// What a lockout tells by itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Note {
    /// The kind is not recorded: ask, or look at the unit's own sheet.
    KindNotKnown,
    /// On LP the control must shut off fully and stay off after the trial: a control that retries is a
    /// finding, `conversion_mismatch`. Common practice, no source.
    RetriesOnLp,
    /// The cause of this trip comes before any reset.
    FindCauseBeforeReset(Trip),
    /// Nobody asked how often the customer pressed reset.
    AskResets,
}

impl Lockout {
    /// Notes in the order of their weight.
    pub fn notes(&self) -> Vec<Note> {
        let mut notes = Vec::new();
        notes.extend(self.trip.map(Note::FindCauseBeforeReset));
        if self.kind == Some(Kind::TimedRetry) && self.on_lp == Some(true) {
            notes.push(Note::RetriesOnLp);
        }
        if self.kind.is_none() {
            notes.push(Note::KindNotKnown);
        }
        if self.customer_resets.is_none() {
            notes.push(Note::AskResets);
        }
        notes
    }
}

/// Wait after the last trial before another, seconds, unless the unit's label asks for more.
/// Common practice, no source.
pub const WAIT_S: f64 = 300.0;

/// Trials for ignition in a row on one unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Trials(u8);

impl Trials {
    /// As found: what the control has tried since the last flame or wait.
    pub fn as_found(made: u8) -> Self {
        Self(made)
    }

    /// How many in a row.
    pub fn in_a_row(self) -> u8 {
        self.0
    }

    /// After one more trial that did not end in a steady flame.
    #[must_use]
    pub fn tried(self) -> Self {
        Self(self.0.saturating_add(1))
    }

    /// After a gas check that found nothing and a wait. A shorter wait, or a check that was not made, leaves
    /// the count as it is.
    #[must_use]
    pub fn waited(self, gas_checked: bool, wait_s: f64, label_wait_s: Option<f64>) -> Self {
        let needed = label_wait_s.unwrap_or(WAIT_S).max(WAIT_S);
        if gas_checked && wait_s >= needed { Self(0) } else { self }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_retrying_control_on_lp_is_a_finding() {
        let lockout = Lockout {
            kind: Some(Kind::TimedRetry),
            customer_resets: Some(0),
            on_lp: Some(true),
            ..Lockout::default()
        };
        assert_eq!(lockout.notes(), [Note::RetriesOnLp]);
        let natural = Lockout { on_lp: Some(false), ..lockout };
        assert!(natural.notes().is_empty());
    }

    #[test]
    fn what_was_not_asked_is_asked_and_trips_come_first() {
        let lockout = Lockout { trip: Some(Trip::Rollout), ..Lockout::default() };
        assert_eq!(
            lockout.notes(),
            [Note::FindCauseBeforeReset(Trip::Rollout), Note::KindNotKnown, Note::AskResets]
        );
    }

    #[test]
    fn only_a_gas_check_with_a_full_wait_clears_the_count() {
        let tried = Trials::as_found(1).tried();
        assert_eq!(tried.in_a_row(), 2);
        assert_eq!(tried.waited(false, 900.0, None), tried);
        assert_eq!(tried.waited(true, 299.0, None), tried);
        assert_eq!(tried.waited(true, 300.0, Some(600.0)), tried);
        assert_eq!(tried.waited(true, f64::NAN, None), tried);
        assert_eq!(tried.waited(true, 300.0, None).in_a_row(), 0);
    }
}
