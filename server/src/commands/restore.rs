//! `restore DIR`

use std::path::Path;

use client_core::record::id::LogId;

use super::Outcome;
use crate::backup::{About, restore as bring_back};
use crate::folder::Folder;
use crate::serve::console::checked_line;
use crate::serve::{system_random, wall_clock};

/// Brings a backup back.
pub(super) fn restore(folder: &Folder, from: &Path) -> Outcome {
    let mut id = [0; 8];
    system_random(&mut id);
    let now = wall_clock();
    match bring_back(from, folder, LogId(id), now) {
        Ok((checked, about)) => {
            let mut lines = vec![checked_line(&checked)];
            lines.extend(about.map(|about| age(&about, now)));
            lines.push(
                "devices offer again what the backup does not hold, as soon as they exchange"
                    .to_owned(),
            );
            lines.push(
                "what it cannot know: who joined, who was revoked and whose rights changed since; look \
                 at the list of devices, revoke again, and give those who joined since a new code"
                    .to_owned(),
            );
            Outcome::Done(lines)
        }
        Err(wrong) => wrong.into(),
    }
}

fn age(about: &About, now: i64) -> String {
    let hours = now.saturating_sub(about.taken_at).max(0) / 3_600;
    match hours {
        0 => "the backup was taken less than an hour ago".to_owned(),
        1..=47 => format!("the backup was taken {hours} hours ago"),
        _ => format!("the backup was taken {} days ago", hours / 24),
    }
}
