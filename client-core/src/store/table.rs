//! The tables of a store. Keys and values are bytes; numbers in keys are big-endian.
//!
//! | table | key | value |
//! |---|---|---|
//! | meta | a word | depends on the word |
//! | docs | site 8, document id | [`super::DocInfo`] as CBOR |
//! | changes | document number 4, position 4 | one change, plain |
//! | snapshots | document number 4 | a whole document, saved plain |
//! | parked | document number 4, hash 32 | a change that builds on something that is not here |
//! | beside | document number 4, hash 32 | a change of a document that is not held whole |
//! | rows | kind 1, site 8, ids | a derived row as CBOR |
//! | row_only | site 8, document id | nothing: the document was begun before this device's place, and only its row came |
//! | unsent | site 8, order 8 | a change that is not sealed yet, as CBOR |
//! | entry_states | site 8, half an actor 8, n 4 | 0 here, 1 sealed; on the hub: no value |
//! | sealed | site 8, order 8 | a sealed delivery of this device, not echoed yet |
//! | places | site 8 | place in the hub's log |
//! | chain | site 8, n 8 | delivery id 32, chain hash 32 |
//! | heads | site 8, n 8 | a received delivery's signed head |
//! | head_changes | site 8, n 8 | the hashes of that delivery's changes, 32 bytes each, in its order |
//! | sessions | half an actor 8 | who signs for it, as CBOR |
//! | certificates | device 16 | certificate as signed by the hub |
//! | late | site 8, 0, delivery 32 or 1, change 32 | nothing: it arrived after its key was revoked |
//! | notes | order 8 | a note of the hub that its log has lost, to be offered again |
//! | directory | person 8 | name and contact, from the hub's directory |
//! | requests | order 8 | a directory request that waits for the hub |
//! | quarantine | site 8, hash 32 | a refused change with its reason |
//! | drafts | a word | half-typed entries |
//! | photos | state 1, large 1, hash 32 | which document names a picture beside the store, or one that is to be fetched |
//! | log | site 8, n 8 | one arrival (hub) |
//! | arrivals | site 8, delivery id 32 | n 8 (hub) |
//! | logs | site 8 | log id and end of the log (hub) |
//! | access | a word, id | codes, counters, web people (hub) |
//!
//! Large and small values live apart: in one table, rewritten large values make the file grow many times.

use redb::TableDefinition;

macro_rules! tables {
    ($($name:ident $text:literal;)*) => {
        /// A table.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        #[expect(missing_docs, reason = "the page's table says what each holds")]
        pub enum Table { $($name,)* }

        impl Table {
            /// Every table.
            pub const ALL: &'static [Table] = &[$(Table::$name,)*];

            /// The table's name in the file.
            pub const fn name(self) -> &'static str { match self { $(Table::$name => $text,)* } }
        }
    };
}

tables! {
    Meta "meta";
    Docs "docs";
    Changes "changes";
    Snapshots "snapshots";
    Parked "parked";
    Beside "beside";
    Rows "rows";
    RowOnly "row_only";
    Unsent "unsent";
    EntryStates "entry_states";
    Sealed "sealed";
    Places "places";
    Chain "chain";
    Heads "heads";
    HeadChanges "head_changes";
    Sessions "sessions";
    Certificates "certificates";
    Late "late";
    Notes "notes";
    Directory "directory";
    Requests "requests";
    Quarantine "quarantine";
    Drafts "drafts";
    Photos "photos";
    Log "log";
    Arrivals "arrivals";
    Logs "logs";
    Access "access";
}

impl Table {
    pub(super) const fn definition(self) -> TableDefinition<'static, &'static [u8], &'static [u8]> {
        TableDefinition::new(self.name())
    }
}
