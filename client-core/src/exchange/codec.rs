//! Squeezing bytes for the wire.
//!
//! Layout: one byte naming the codec, the plain length as unsigned LEB128, then the codec's bytes.
//! ```text
//! 0 plain | 1 PPMd variant H (order 5, 1 MiB model)
//! ```
//! PPMd was chosen by measurement (docs/decisions/0005): on packed deliveries it beats deflate, LZMA and
//! zstd at its slowest setting, is pure Rust, and takes a fixed amount of memory whatever it reads.

use std::io::{Read, Write};

use ppmd_rust::{Ppmd7Decoder, Ppmd7Encoder};

const PLAIN: u8 = 0;
const PPMD: u8 = 1;
const ORDER: u32 = 5;
const MODEL_BYTES: u32 = 1 << 20;

/// Why squeezed bytes cannot be read.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum CodecWrong {
    /// An unknown codec.
    #[error("packing {0} is not known to this program")]
    Unknown(u8),
    /// More than the caller takes.
    #[error("{found} bytes would come out, at most {most} are taken")]
    Large {
        /// Bytes announced.
        found: u64,
        /// Bytes allowed.
        most: usize,
    },
    /// Damaged.
    #[error("the packed bytes are damaged")]
    Damaged,
}

/// Squeezes bytes; what does not get smaller stays plain.
pub fn squeeze(plain: &[u8]) -> Vec<u8> {
    let mut out = vec![PPMD];
    uleb(&mut out, plain.len());
    let begin = out.len();
    let squeezed = Ppmd7Encoder::new(&mut out, ORDER, MODEL_BYTES)
        .ok()
        .and_then(|mut encoder| encoder.write_all(plain).ok().map(|()| encoder))
        .and_then(|encoder| encoder.finish(false).ok().map(|_| ()))
        .is_some();
    if squeezed && out.len() - begin < plain.len() {
        return out;
    }
    let mut out = vec![PLAIN];
    uleb(&mut out, plain.len());
    out.extend_from_slice(plain);
    out
}

/// Gives the plain bytes back, at most `most` of them.
pub fn expand(squeezed: &[u8], most: usize) -> Result<Vec<u8>, CodecWrong> {
    let (codec, rest) = squeezed.split_first().ok_or(CodecWrong::Damaged)?;
    let (found, rest) = read_uleb(rest).ok_or(CodecWrong::Damaged)?;
    let length = usize::try_from(found).ok().filter(|length| *length <= most);
    let length = length.ok_or(CodecWrong::Large { found, most })?;
    match *codec {
        PLAIN if rest.len() == length => Ok(rest.to_vec()),
        PLAIN => Err(CodecWrong::Damaged),
        PPMD => {
            let mut plain = vec![0; length];
            let mut decoder =
                Ppmd7Decoder::new(rest, ORDER, MODEL_BYTES).map_err(|_| CodecWrong::Damaged)?;
            decoder.read_exact(&mut plain).map_err(|_| CodecWrong::Damaged)?;
            Ok(plain)
        }
        other => Err(CodecWrong::Unknown(other)),
    }
}

/// Bytes that would come out, as squeezed bytes announce it. Nothing is expanded.
pub fn announced(squeezed: &[u8]) -> Option<u64> {
    let (_, rest) = squeezed.split_first()?;
    read_uleb(rest).map(|(length, _)| length)
}

pub(super) fn uleb(out: &mut Vec<u8>, value: usize) {
    uleb64(out, u64::try_from(value).expect("a length in memory fits 64 bits"));
}

pub(super) fn uleb64(out: &mut Vec<u8>, mut value: u64) {
    loop {
        let low = u8::try_from(value & 0x7f).expect("seven bits fit a byte");
        value >>= 7;
        if value == 0 {
            out.push(low);
            return;
        }
        out.push(low | 0x80);
    }
}

pub(super) fn read_uleb(bytes: &[u8]) -> Option<(u64, &[u8])> {
    let mut value = 0u64;
    for (index, byte) in bytes.iter().enumerate().take(10) {
        let shift = u32::try_from(index).ok()? * 7;
        let bits = u64::from(byte & 0x7f);
        if shift == 63 && bits > 1 {
            return None;
        }
        value |= bits << shift;
        if byte & 0x80 == 0 {
            return Some((value, &bytes[index + 1..]));
        }
    }
    None
}

/// Signed numbers near zero as small unsigned ones.
pub(super) const fn zigzag(value: i64) -> u64 {
    ((value << 1) ^ (value >> 63)).cast_unsigned()
}

/// The other way.
pub(super) const fn unzigzag(value: u64) -> i64 {
    (value >> 1).cast_signed() ^ -((value & 1).cast_signed())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bytes_come_back() {
        let text = "manifold 3.50 in w.c. ".repeat(40).into_bytes();
        let noise: Vec<u8> =
            (0..400u32).map(|n| (n.wrapping_mul(2_654_435_761) >> 24) as u8).collect();
        for plain in [vec![], vec![7], text, noise] {
            let squeezed = squeeze(&plain);
            assert_eq!(expand(&squeezed, plain.len()), Ok(plain.clone()));
            assert!(squeezed.len() <= plain.len() + 4);
            assert_eq!(announced(&squeezed), u64::try_from(plain.len()).ok());
            if !plain.is_empty() {
                assert!(matches!(
                    expand(&squeezed, plain.len() - 1),
                    Err(CodecWrong::Large { .. })
                ));
            }
        }
        assert_eq!(expand(&[9, 0], 10), Err(CodecWrong::Unknown(9)));
    }

    #[test]
    fn zigzag_goes_there_and_back() {
        for value in [0, 1, -1, 63, -64, i64::MAX, i64::MIN] {
            assert_eq!(unzigzag(zigzag(value)), value);
        }
        assert_eq!(zigzag(-1), 1);
    }
}
