//! Remarks beside entries, and what blocks a sign-off.

use crate::tongue::{Tongue, field_key, say};
use client_core::record::blocker::Blocker;
use client_core::record::code::{CheckItem, GasPartKind};
use client_core::record::field::FIELDS;
use client_core::record::mark::Mark;

impl Tongue {
    /// A remark beside an entry.
    pub fn mark(self, mark: &Mark) -> String {
        match mark {
            Mark::FoundAfterWork => self.plain("mark-found_after_work"),
            Mark::WorkBegunElsewhere => self.plain("mark-work_begun_elsewhere"),
            Mark::InstrumentOverdue(due) => {
                say!(self, "mark-instrument_overdue", day = self.day(*due))
            }
            Mark::Early => self.plain("mark-early"),
            Mark::Unexplained => self.plain("mark-unexplained"),
            Mark::AfterSignOff => self.plain("mark-after_sign_off"),
            Mark::ClockAhead(secs) => {
                let minutes = usize::try_from(secs.unsigned_abs().div_ceil(60));
                let minutes = minutes.unwrap_or(usize::MAX);
                match *secs < 0 {
                    true => say!(self, "mark-clock_behind", minutes = minutes),
                    false => say!(self, "mark-clock_ahead", minutes = minutes),
                }
            }
            Mark::LicenceExpired(day) => say!(self, "mark-licence_expired", day = self.day(*day)),
            Mark::EnteredForAnother => self.plain("mark-entered_for_another"),
            Mark::AnothersKey => self.plain("mark-anothers_key"),
            Mark::UnknownKey => self.plain("mark-unknown_key"),
            Mark::Vouched => self.plain("mark-vouched"),
        }
    }

    /// What blocks a sign-off, without the unit. The figures stand in the unit's table.
    pub fn blocker(self, blocker: &Blocker) -> String {
        let parts: Vec<&str> = blocker.key.split('/').collect();
        let kind = parts.first().copied().unwrap_or_default();
        let middle = parts.get(1..parts.len().saturating_sub(1)).unwrap_or_default();
        let about = match kind {
            "unsettled" => {
                let key = middle.join("/");
                let def = FIELDS.iter().find(|def| def.key == key);
                def.map(|def| self.plain(&format!("field-{}", field_key(def.key))))
            }
            "check_differs" | "check_failed" => {
                middle.first().and_then(|key| CheckItem::from_key(key)).map(|item| self.word(item))
            }
            "gas_part" => middle
                .first()
                .and_then(|key| GasPartKind::from_key(key))
                .map(|part| self.word(part)),
            _ => None,
        };
        let message = format!("blocker-{kind}");
        match about {
            Some(about) if self.knows(&message) => {
                say!(self, "blocker-about", what = self.plain(&message), about = about)
            }
            _ if self.knows(&message) => self.plain(&message),
            _ => self.plain("blocker-other"),
        }
    }
}

/// Kinds of blocking items that the language files name.
pub const fn blocker_kinds() -> &'static [&'static str] {
    &[
        "unsettled",
        "not_told",
        "not_isolated",
        "lock_on",
        "check_differs",
        "check_failed",
        "leak_check",
        "ports_closed",
        "as_left_missing",
        "left_as_found",
        "ambient_co",
        "gas_part",
        "manifold",
        "inlet",
        "clocked",
        "co_air_free",
        "co_rising",
    ]
}
