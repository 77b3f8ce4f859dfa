//! Identifiers: random, compared whole, shown short.
//!
//! Text form: Crockford base 32 in lower case, most significant bits first, without padding.
//! Letters that are mistaken for digits are read as those digits (o as 0, i and l as 1).

use std::fmt;
use std::str::FromStr;

const ALPHABET: &[u8; 32] = b"0123456789abcdefghjkmnpqrstvwxyz";

/// Why a text is not an identifier.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum IdWrong {
    /// The text has another length than this kind of identifier.
    #[error("'{text}' has {found} characters, {kind} has {wanted}")]
    Length {
        /// The text as given, cut to 80 characters.
        text: String,
        /// What was expected, for example "a site id".
        kind: &'static str,
        /// Characters found.
        found: usize,
        /// Characters wanted.
        wanted: usize,
    },
    /// A character that the alphabet does not have.
    #[error("'{text}' holds '{letter}', which {kind} never holds")]
    Letter {
        /// The text as given.
        text: String,
        /// What was expected.
        kind: &'static str,
        /// The character.
        letter: char,
    },
}

/// Characters of the text form of `bytes` bytes.
pub(crate) const fn text_len(bytes: usize) -> usize {
    (bytes * 8).div_ceil(5)
}

/// Writes bytes in Crockford base 32.
pub fn encode(bytes: &[u8]) -> String {
    let mut out = String::with_capacity(text_len(bytes.len()));
    let (mut held, mut bits) = (0u32, 0u32);
    for byte in bytes {
        held = (held << 8) | u32::from(*byte);
        bits += 8;
        while bits >= 5 {
            bits -= 5;
            out.push(letter(held >> bits));
        }
    }
    if bits > 0 {
        out.push(letter(held << (5 - bits)));
    }
    out
}

fn letter(value: u32) -> char {
    char::from(ALPHABET[(value & 31) as usize])
}

/// Reads Crockford base 32 into exactly `N` bytes.
pub fn decode<const N: usize>(text: &str, kind: &'static str) -> Result<[u8; N], IdWrong> {
    let wanted = text_len(N);
    let found = text.chars().count();
    let shown = || text.chars().take(80).collect::<String>();
    if found != wanted {
        return Err(IdWrong::Length { text: shown(), kind, found, wanted });
    }
    let mut out = [0u8; N];
    let (mut held, mut bits, mut at) = (0u32, 0u32, 0usize);
    for letter in text.chars() {
        let value =
            value_of(letter).ok_or_else(|| IdWrong::Letter { text: shown(), kind, letter })?;
        held = (held << 5) | value;
        bits += 5;
        if bits >= 8 && at < N {
            bits -= 8;
            out[at] = ((held >> bits) & 255) as u8;
            at += 1;
        }
    }
    Ok(out)
}

fn value_of(letter: char) -> Option<u32> {
    let lower = match letter.to_ascii_lowercase() {
        'o' => '0',
        'i' | 'l' => '1',
        other => other,
    };
    ALPHABET
        .iter()
        .position(|known| char::from(*known) == lower)
        .and_then(|at| u32::try_from(at).ok())
}

macro_rules! ids {
    ($($(#[$doc:meta])* $name:ident, $bytes:literal, $kind:literal;)*) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(pub [u8; $bytes]);

        impl $name {
            /// Bytes of this identifier.
            pub const LEN: usize = $bytes;

            /// The identifier in these bytes, if there are exactly enough.
            pub fn from_slice(bytes: &[u8]) -> Option<Self> {
                <[u8; $bytes]>::try_from(bytes).ok().map(Self)
            }

            /// The first six characters, enough to tell a handful apart on a screen.
            pub fn short(self) -> String {
                self.to_string().chars().take(6).collect()
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
                out.write_str(&encode(&self.0))
            }
        }

        impl fmt::Debug for $name {
            fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
                write!(out, concat!(stringify!($name), "({})"), encode(&self.0))
            }
        }

        impl FromStr for $name {
            type Err = IdWrong;

            fn from_str(text: &str) -> Result<Self, IdWrong> {
                decode(text, $kind).map(Self)
            }
        }

        impl<C> minicbor::Encode<C> for $name {
            fn encode<W: minicbor::encode::Write>(
                &self,
                out: &mut minicbor::Encoder<W>,
                _: &mut C,
            ) -> Result<(), minicbor::encode::Error<W::Error>> {
                out.bytes(&self.0)?.ok()
            }
        }

        impl<'b, C> minicbor::Decode<'b, C> for $name {
            fn decode(
                input: &mut minicbor::Decoder<'b>,
                _: &mut C,
            ) -> Result<Self, minicbor::decode::Error> {
                Self::from_slice(input.bytes()?)
                    .ok_or_else(|| minicbor::decode::Error::message(concat!("not ", $kind)))
            }
        }
    )*};
}

ids! {
    /// One installation of a hub. Its company log has the same number as a site would.
    HubId, 8, "a hub id";
    /// One building or yard with one log. The company's own log is filed under a site id too.
    SiteId, 8, "a site id";
    /// One heater, from its first day to its last, wherever it hangs.
    ApplianceId, 8, "an appliance id";
    /// One call at one site.
    VisitId, 8, "a visit id";
    /// One person. Names and contacts are kept elsewhere, under this number.
    PersonId, 8, "a person id";
    /// One installation on one phone, laptop or hub: the first half of SHA-256 over its public key.
    DeviceId, 16, "a device id";
    /// One log of one site on one hub; a restored or relayed log is another one.
    LogId, 8, "a log id";
    /// Who wrote a change, in one document, in one session of one device.
    Actor, 16, "an actor";
}

impl Actor {
    /// The half that stands in keys and entry ids.
    pub fn half(self) -> ActorHalf {
        let mut half = [0; 8];
        half.copy_from_slice(&self.0[..8]);
        ActorHalf(half)
    }
}

ids! {
    /// The first half of an actor, as it stands in keys.
    ActorHalf, 8, "half an actor";
}

impl ActorHalf {
    /// Sixteen lower-case hexadecimal digits, the form that keys use.
    pub fn hex(self) -> String {
        self.0.iter().fold(String::with_capacity(16), |mut out, byte| {
            out.push(char::from(b"0123456789abcdef"[usize::from(byte >> 4)]));
            out.push(char::from(b"0123456789abcdef"[usize::from(byte & 15)]));
            out
        })
    }

    /// Reads exactly sixteen lower-case hexadecimal digits.
    pub fn from_hex(text: &str) -> Option<Self> {
        let digits = text.as_bytes();
        if digits.len() != 16 {
            return None;
        }
        let mut out = [0u8; 8];
        for (slot, pair) in out.iter_mut().zip(digits.chunks_exact(2)) {
            *slot = (hex_digit(pair[0])? << 4) | hex_digit(pair[1])?;
        }
        Some(Self(out))
    }
}

fn hex_digit(letter: u8) -> Option<u8> {
    match letter {
        b'0'..=b'9' => Some(letter - b'0'),
        b'a'..=b'f' => Some(letter - b'a' + 10),
        _ => None,
    }
}

/// One entry, anywhere: who wrote it and the how-many-th of that session it was.
///
/// Text form: the half actor, a full stop, the number: `9k3m…7q.12`.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct EntryId {
    /// Half of the actor that wrote it.
    pub actor: ActorHalf,
    /// Counts within the actor, from 1.
    pub n: u32,
}

impl fmt::Display for EntryId {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{}.{}", self.actor, self.n)
    }
}

impl fmt::Debug for EntryId {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "EntryId({self})")
    }
}

impl FromStr for EntryId {
    type Err = IdWrong;

    fn from_str(text: &str) -> Result<Self, IdWrong> {
        let kind = "an entry id";
        let wrong = || IdWrong::Length {
            text: text.chars().take(80).collect(),
            kind,
            found: text.chars().count(),
            wanted: text_len(8) + 2,
        };
        let (actor, n) = text.split_once('.').ok_or_else(wrong)?;
        let n = n.parse().map_err(|_| wrong())?;
        Ok(Self { actor: actor.parse()?, n })
    }
}

impl<C> minicbor::Encode<C> for EntryId {
    fn encode<W: minicbor::encode::Write>(
        &self,
        out: &mut minicbor::Encoder<W>,
        ctx: &mut C,
    ) -> Result<(), minicbor::encode::Error<W::Error>> {
        out.array(2)?.encode_with(self.actor, ctx)?.u32(self.n)?.ok()
    }
}

impl<'b, C> minicbor::Decode<'b, C> for EntryId {
    fn decode(
        input: &mut minicbor::Decoder<'b>,
        ctx: &mut C,
    ) -> Result<Self, minicbor::decode::Error> {
        if input.array()? != Some(2) {
            return Err(minicbor::decode::Error::message("not an entry id"));
        }
        Ok(Self { actor: input.decode_with(ctx)?, n: input.u32()? })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_form_goes_there_and_back() {
        for seed in 0..=255u8 {
            let id = SiteId([seed, 1, 2, 3, 4, 5, 6, seed ^ 0xff]);
            assert_eq!(id.to_string().parse(), Ok(id));
            assert_eq!(id.to_string().to_uppercase().parse(), Ok(id));
        }
    }

    #[test]
    fn letters_that_look_like_digits_are_read_as_digits() {
        let id = SiteId([0; 8]);
        assert_eq!("OoO0000000000".parse(), Ok(id));
    }

    #[test]
    fn a_wrong_text_says_what_is_wrong() {
        let short = "abc".parse::<SiteId>().unwrap_err();
        assert_eq!(short.to_string(), "'abc' has 3 characters, a site id has 13");
        let bad = "u000000000000".parse::<SiteId>().unwrap_err();
        assert!(bad.to_string().contains("'u'"), "{bad}");
    }

    #[test]
    fn entry_ids_go_there_and_back() {
        let id = EntryId { actor: ActorHalf([7; 8]), n: 4_000_000_000 };
        assert_eq!(id.to_string().parse(), Ok(id));
        assert_eq!(ActorHalf::from_hex(&id.actor.hex()), Some(id.actor));
        assert_eq!(ActorHalf::from_hex("0F"), None);
    }
}
