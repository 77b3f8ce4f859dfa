//! What devices add to the directory.

use client_core::exchange::frame::PersonRow;
use client_core::record::code::Role;

use super::{Hub, Turn};
use crate::access::Enrolled;

/// Most characters of a name.
const NAME_MAX: usize = 120;
/// Most characters of a contact or a license.
const WORDS_MAX: usize = 400;

impl Hub {
    /// Takes additions to the directory: the office writes what it likes, everybody else new persons and
    /// themselves. Who was erased stays erased. What was not taken is told again as it stands, so that the
    /// device that tried does not show something else.
    pub(super) fn add_people(&mut self, by: &Enrolled, people: &[PersonRow]) -> Result<(), Turn> {
        let office = matches!(by.certificate.role, Role::Supervisor | Role::Office);
        let mut rows = vec![];
        for asked in people {
            let known = self.access.person(asked.person)?;
            let row = match known {
                Some(known) if !office && known.name.is_none() => known,
                Some(known) if !office && asked.person != by.certificate.person => known,
                Some(known) if known == tidied(asked) => continue,
                Some(_) | None => tidied(asked),
            };
            rows.push(row);
        }
        Ok(self.access.put_people(&rows)?)
    }
}

/// A row with its words cut to what the directory keeps.
fn tidied(row: &PersonRow) -> PersonRow {
    PersonRow {
        person: row.person,
        name: row.name.as_deref().and_then(name),
        contact: words(row.contact.as_deref()),
        licence: words(row.licence.as_deref()),
    }
}

/// A name, cut to what the directory keeps; none when it is empty.
pub(super) fn name(text: &str) -> Option<String> {
    cut(text, NAME_MAX)
}

fn words(text: Option<&str>) -> Option<String> {
    cut(text?, WORDS_MAX)
}

fn cut(text: &str, most: usize) -> Option<String> {
    let text: String = text.trim().chars().take(most).collect();
    if text.is_empty() { None } else { Some(text) }
}
