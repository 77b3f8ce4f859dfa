//! `config`

use super::Outcome;
use crate::config::AllFound;

/// Prints the settings in force as a settings file that would give the same.
pub(super) fn config(all: &AllFound) -> Outcome {
    Outcome::Done(all.show().lines().map(str::to_owned).collect())
}
