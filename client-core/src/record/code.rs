//! Closed word lists that the record stores as small numbers.
//!
//! Layout: each word has a number that never changes meaning, a lower-case key for commands, files
//! and JSON, and the words a person reads. A number that this version does not know is kept as
//! `Newer` and shown as such, so that a record written by a newer version survives an older one.

pub mod people;
pub mod quantity;
pub mod unit;
pub mod work;

pub use people::{Channel, Decision, LabourKind, Role, Training};
pub use quantity::Quantity;
pub use work::{
    AdvisorySeverity, CheckItem, CheckResult, Confidence, CrewEvent, Family, Gas, GasPartKind,
    InstrumentKind, LockState, Method, Mount, Outcome, Phase, QuestionState, Root, Running, Stage,
    Status, System, TargetSource, VentCategory, VisitKind, WorkKind,
};

macro_rules! vocabulary {
    ($(
        $(#[$doc:meta])*
        $name:ident { $($(#[$word_doc:meta])* $word:ident = $code:literal $key:literal $says:literal,)* }
    )*) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum $name {
            $($(#[$word_doc])* #[doc = concat!("In words: ", $says, ".")] $word,)*
            /// A word of a newer version, kept as its number.
            Newer(u16),
        }

        impl $name {
            /// Every word of this list that this version knows.
            pub const ALL: &'static [$name] = &[$($name::$word,)*];

            /// The number that documents store.
            pub const fn code(self) -> u16 {
                match self { $($name::$word => $code,)* $name::Newer(code) => code }
            }

            /// The word with this number; an unknown number is kept.
            pub const fn from_code(code: u16) -> $name {
                match code { $($code => $name::$word,)* other => $name::Newer(other) }
            }

            /// The lower-case key that commands, files and JSON use.
            pub const fn key(self) -> &'static str {
                match self { $($name::$word => $key,)* $name::Newer(_) => "unknown_to_this_version" }
            }

            /// The word with this key.
            pub fn from_key(key: &str) -> Option<$name> {
                match key { $($key => Some($name::$word),)* _ => None }
            }

            /// What a person reads.
            pub const fn says(self) -> &'static str {
                match self { $($name::$word => $says,)* $name::Newer(_) => "a word of a newer version" }
            }
        }

        impl<C> minicbor::Encode<C> for $name {
            fn encode<W: minicbor::encode::Write>(
                &self,
                out: &mut minicbor::Encoder<W>,
                _: &mut C,
            ) -> Result<(), minicbor::encode::Error<W::Error>> {
                out.u16(self.code())?.ok()
            }
        }

        impl<'b, C> minicbor::Decode<'b, C> for $name {
            fn decode(
                input: &mut minicbor::Decoder<'b>,
                _: &mut C,
            ) -> Result<Self, minicbor::decode::Error> {
                Ok($name::from_code(input.u16()?))
            }
        }
    )*};
}
pub(crate) use vocabulary;

#[cfg(test)]
mod tests {
    use super::*;

    macro_rules! every_word {
        ($($name:ident)*) => {$(
            let mut seen = std::collections::BTreeSet::new();
            for word in $name::ALL {
                assert_eq!($name::from_code(word.code()), *word);
                assert_eq!($name::from_key(word.key()), Some(*word));
                assert!(seen.insert(word.key()), "{} twice", word.key());
            }
            assert_eq!($name::from_code(60_000), $name::Newer(60_000));
            assert_eq!($name::Newer(60_000).code(), 60_000);
        )*};
    }

    #[test]
    fn numbers_and_keys_name_one_word_each() {
        every_word!(
            Channel Decision LabourKind Role Training AdvisorySeverity CheckItem CheckResult
            Confidence CrewEvent Family Gas GasPartKind InstrumentKind LockState Method Mount
            Outcome Phase QuestionState Root Running Stage Status System TargetSource VentCategory
            VisitKind WorkKind
        );
    }
}
