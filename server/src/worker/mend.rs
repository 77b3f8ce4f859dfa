//! What is done about a failure.

use client_core::store::StoreError;

use crate::hub::Turn;
use crate::log::LogError;
use crate::view::ViewError;

/// What is done about a failure.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Remedy {
    /// Open the stores again.
    Reopen,
    /// And make the view anew.
    NewView,
}

pub(super) fn remedy_of(turn: &Turn) -> Option<Remedy> {
    match turn {
        Turn::View(ViewError::Store(wrong)) if damaged(wrong) => Some(Remedy::NewView),
        Turn::Store(_) | Turn::Log(LogError::Store(_)) | Turn::View(_) => Some(Remedy::Reopen),
        Turn::Frame(_)
        | Turn::Unknown
        | Turn::Signature
        | Turn::Revoked
        | Turn::Role
        | Turn::Stale { .. }
        | Turn::Quota { .. }
        | Turn::Full
        | Turn::NotStored
        | Turn::Photo(_)
        | Turn::Log(LogError::Damaged { .. } | LogError::Gap { .. }) => None,
    }
}

/// Whether a store's content is at fault, and not the disk below it.
const fn damaged(wrong: &StoreError) -> bool {
    matches!(
        wrong,
        StoreError::Damaged { .. } | StoreError::Unreadable { .. } | StoreError::Corrupted(_)
    )
}
