//! What somebody chose for this phone. Kept among the drafts of the store.

use std::collections::BTreeMap;

use client_core::record::id::{EntryId, SiteId, VisitId};
use client_core::trade::unit::show::System;
use minicbor::{Decode, Encode};

use crate::words::Language;

/// Name of the draft.
pub const DRAFT: &str = "settings";

/// Choices of one phone.
#[derive(Clone, Debug, Default, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Settings {
    /// Language, as its two letters.
    #[n(0)]
    pub language: Option<String>,
    /// `dark`, `light`, `contrast`, `contrast-light`.
    #[n(1)]
    pub theme: Option<String>,
    /// `bare`, `glove`, `thick`.
    #[n(2)]
    pub size: Option<String>,
    /// True: metric units.
    #[n(3)]
    pub metric: Option<bool>,
    /// The building in hand.
    #[n(4)]
    pub site: Option<SiteId>,
    /// The visit in hand.
    #[n(5)]
    pub visit: Option<VisitId>,
    /// True: units in walk order, else by area.
    #[n(6)]
    pub walk: Option<bool>,
    /// Which units are shown.
    #[n(7)]
    pub show: Option<String>,
    /// Instruments in use, by the number of their kind.
    #[n(8)]
    pub instruments: BTreeMap<u16, EntryId>,
    /// Since when something waits to be sent, seconds since 1970.
    #[n(9)]
    pub unsent_since: Option<i64>,
    /// When an exchange last went through, seconds since 1970.
    #[n(10)]
    pub exchanged: Option<i64>,
    /// How far this phone's clock was ahead of the hub's then, in seconds.
    #[n(11)]
    pub ahead_s: Option<i64>,
}

impl Settings {
    /// The language of the screens.
    pub fn language(&self) -> Language {
        self.language.as_deref().and_then(Language::from_key).unwrap_or_default()
    }

    /// The theme's class.
    pub fn theme(&self) -> &str {
        match self.theme.as_deref() {
            Some("light") => "light",
            Some("contrast") => "dark contrast",
            Some("contrast-light") => "light contrast",
            _ => "dark",
        }
    }

    /// The class of the target size.
    pub fn size(&self) -> &str {
        match self.size.as_deref() {
            Some("bare") => "bare",
            Some("thick") => "thick",
            _ => "glove",
        }
    }

    /// The units in which this person types and reads.
    pub fn system(&self) -> System {
        if self.metric == Some(true) { System::Si } else { System::Us }
    }
}
