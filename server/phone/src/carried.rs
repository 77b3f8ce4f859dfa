//! What is asked once a block and carried on: stage, fan, panels, other units, minutes.

use client_core::record::body::Condition;
use client_core::record::code::{Running, Stage};
use minicbor::{Decode, Encode};

/// Name of the draft.
pub const DRAFT: &str = "carried";

/// Minutes after which flue figures count as steady. Source: common practice.
pub const STEADY_MIN: u16 = 10;

/// The condition in which readings are taken.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Carried {
    /// Stage, fan, panels, others.
    #[n(0)]
    pub condition: Condition,
    /// Minutes at steady state.
    #[n(1)]
    pub steady_min: u16,
    /// Somebody has looked at it: before that it is only what is offered.
    #[n(2)]
    pub said: bool,
}

impl Default for Carried {
    fn default() -> Carried {
        Carried {
            condition: Condition {
                stage: Some(Stage::High),
                fan: Some(Running::On),
                panel: Some(Running::On),
                others: Some(Running::On),
            },
            steady_min: STEADY_MIN,
            said: false,
        }
    }
}
