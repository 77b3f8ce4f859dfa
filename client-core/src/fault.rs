//! Finding the fault: which step of the start failed, which test next, what each result says.
//!
//! The content is data ([`table`], [`sequence`]); the sums are exact Bayesian updates over the causes that
//! fit the symptom and the family ([`belief`]), and the choice of the next test weighs what it would tell
//! against its minutes ([`next`]) after the safety filters ([`permit`], [`signs`]). [`advise`] puts them
//! together. Every weight and every chance in the data is trade judgement, to be replaced by counts
//! ([`weights`]); the proof is the repair with a clean as-left, never the percentage.
//!
//! What it never does: propose a test whose gate is not met, a bypass, or a light-off on a tagged unit; name
//! a cause without its runner-up; leave out "none of these"; order a part to be replaced.

pub mod advise;
pub mod belief;
pub mod choice;
pub mod detect;
pub mod follow;
pub mod history;
pub mod known;
pub mod lockout;
pub mod next;
pub mod pairs;
pub mod permit;
pub mod reading;
pub mod say;
pub mod sequence;
pub mod signs;
pub mod standing;
pub mod table;
pub mod weights;
