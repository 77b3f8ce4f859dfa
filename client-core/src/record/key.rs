//! The only place where document keys are put together or taken apart.

use crate::record::body::Kind;
use crate::record::id::{ActorHalf, EntryId};

/// Key of the scalar that the fixed first change holds.
pub const FIRST: &str = "dripleg";

/// Key of the record version, an ordinary register of one unsigned integer.
pub const SCHEMA: &str = "schema";

/// Root of the automerge texts that belong to notes.
pub const TEXTS: &str = "texts";

/// Key of an entry.
pub fn entry(kind: Kind, id: EntryId) -> String {
    format!("{}/{}/{}", kind.root(), id.actor.hex(), id.n)
}

/// Key of the text of a note.
pub fn text(note: EntryId) -> String {
    format!("{TEXTS}/{}/{}", note.actor.hex(), note.n)
}

/// What a document key is for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Key {
    /// The scalar of the first change.
    First,
    /// The record version.
    Schema,
    /// An entry.
    Entry(Kind, EntryId),
    /// The text of a note.
    Text(EntryId),
    /// Anything else: a register, or something of a newer version.
    Other,
}

impl Key {
    /// Takes a document key apart.
    pub fn of(key: &str) -> Key {
        match key {
            FIRST => return Key::First,
            SCHEMA => return Key::Schema,
            _ => {}
        }
        let Some((root, id)) =
            key.split_once('/').and_then(|(root, id)| Some((root, entry_id(id)?)))
        else {
            return Key::Other;
        };
        match Kind::from_root(root) {
            Some(kind) => Key::Entry(kind, id),
            None if root == TEXTS => Key::Text(id),
            None => Key::Other,
        }
    }
}

/// Reads `<16 hex digits>/<number without leading zeros>`.
fn entry_id(text: &str) -> Option<EntryId> {
    let (actor, n) = text.split_once('/')?;
    let number: u32 = n.parse().ok()?;
    let id = EntryId { actor: ActorHalf::from_hex(actor)?, n: number };
    (number > 0 && number.to_string() == n).then_some(id)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_go_there_and_back() {
        let id = EntryId { actor: ActorHalf([0xab; 8]), n: 12 };
        for kind in Kind::ALL {
            assert_eq!(Key::of(&entry(*kind, id)), Key::Entry(*kind, id));
        }
        assert_eq!(entry(Kind::Reading, id), "readings/abababababababab/12");
        assert_eq!(Key::of(&text(id)), Key::Text(id));
        assert_eq!(Key::of("plate/input"), Key::Other);
    }

    #[test]
    fn an_entry_has_one_key_only() {
        for key in [
            "readings/abababababababab/0",
            "readings/abababababababab/012",
            "readings/ABABABABABABABAB/12",
            "readings/abababababababab/+1",
            "readings/ab/1",
            "readings",
            "",
        ] {
            assert_eq!(Key::of(key), Key::Other, "{key}");
        }
    }
}
