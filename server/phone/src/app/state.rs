//! What is typed and chosen and not entered yet. Kept as drafts, so that a killed program loses nothing.

use std::collections::BTreeMap;
use std::fmt::Display;

use client_core::record::body::Drawn;
use client_core::record::code::{Phase, Quantity};
use client_core::record::doubt::Doubt;
use client_core::record::id::{ApplianceId, EntryId};
use minicbor::{Decode, Encode};

use crate::carried::Carried;
use crate::pad::Typed;
use crate::tap::Place;

/// Figures typed for one unit in one phase.
#[derive(Clone, Debug, Default, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Typing {
    /// By the number of their quantity.
    #[n(0)]
    pub figures: BTreeMap<u16, Typed>,
}

impl Typing {
    /// What is typed for a quantity.
    pub fn of(&self, quantity: Quantity) -> Option<&Typed> {
        self.figures.get(&quantity.code()).filter(|typed| !typed.is_empty())
    }
}

/// A timer that runs.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Timer {
    /// Unit no., or empty.
    #[n(0)]
    pub unit: String,
    /// What for.
    #[n(1)]
    pub what: String,
    /// When it is over, seconds since 1970.
    #[n(2)]
    pub until: i64,
}

/// What must be answered before the pad goes on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Question {
    /// The figures look like a slip.
    Doubt(Vec<Doubt>),
    /// There is a figure of this phase already.
    Again {
        /// Own reading that stands.
        stands: EntryId,
        /// As it reads.
        reads: String,
    },
}

/// How an exchange stands.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum Exchanging {
    /// None has run since the program was opened.
    #[default]
    Not,
    /// It runs.
    Runs {
        /// Round trips so far.
        rounds: u32,
    },
    /// It went through.
    Done,
    /// It did not; why.
    Failed(String),
}

impl Exchanging {
    /// Whether one runs now.
    pub const fn runs(&self) -> bool {
        matches!(self, Exchanging::Runs { .. })
    }
}

/// Everything that is typed, chosen or asked.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct State {
    /// Screens, the one that shows last.
    pub stack: Vec<Place>,
    /// The unit and phase that `typing` belongs to.
    pub typing_of: Option<(ApplianceId, Phase)>,
    /// Figures typed.
    pub typing: Typing,
    /// What must be answered first.
    pub question: Option<Question>,
    /// What just happened, in a sentence.
    pub notice: Option<String>,
    /// Texts typed, by the name of their line.
    pub form: BTreeMap<String, String>,
    /// Keys chosen on the screen.
    pub chosen: BTreeMap<String, String>,
    /// Condition, carried.
    pub carried: Carried,
    /// Timers.
    pub timers: Vec<Timer>,
    /// The exchange.
    pub exchanging: Exchanging,
    /// The column slip or another text to copy.
    pub copied: bool,
    /// A newer program waits until unsent work is on the hub.
    pub newer: bool,
}

impl State {
    /// The screen that shows.
    pub fn place(&self) -> Place {
        self.stack.last().cloned().unwrap_or(Place::Units {})
    }

    /// What is chosen under a name.
    pub fn chosen(&self, name: &str) -> Option<&str> {
        self.chosen.get(name).map(String::as_str)
    }

    /// Whether a key of several is chosen.
    pub fn is_chosen(&self, name: &str) -> bool {
        self.chosen.contains_key(name)
    }

    /// Chooses a key of several, or takes it back.
    pub fn toggle(&mut self, name: &str) {
        if self.chosen.remove(name).is_none() {
            self.chosen.insert(name.to_owned(), String::new());
        }
    }

    /// A text typed; empty ones are none.
    pub fn text(&self, name: &str) -> Option<String> {
        let text = self.form.get(name)?.trim();
        (!text.is_empty()).then(|| text.to_owned())
    }

    /// The signature that is drawn for something and not entered yet.
    pub fn drawn(&self, of: impl Display) -> Option<Drawn> {
        Drawn::read(self.form.get(&drawn_name(of))?)
    }
}

/// The line that holds a drawing. It names what is signed: a signature for one advisory must never be found
/// under another.
pub fn drawn_name(of: impl Display) -> String {
    format!("drawn/{of}")
}

/// A text as the drafts keep it.
#[derive(Clone, Debug, Default, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Kept {
    /// The screens, as words.
    #[n(0)]
    pub stack: Vec<String>,
    /// Texts typed.
    #[n(1)]
    pub form: BTreeMap<String, String>,
    /// Keys chosen.
    #[n(2)]
    pub chosen: BTreeMap<String, String>,
    /// Timers.
    #[n(3)]
    pub timers: Vec<Timer>,
}
