//! The cheap stage: a change's chunk taken apart without expanding anything.
//!
//! Layout of a plain change chunk (automerge storage format, change chunks):
//! ```text
//! 85 6f 4a 83 | checksum (4) | 1 | length (uleb) | body
//! body: deps (count, 32 each) | actor (length, bytes) | seq | start op | time (sleb) | message (length,
//! bytes) | other actors (count, (length, bytes) each) | columns (count, (spec, length) each) | column
//! data | nothing
//! ```

use sha2::{Digest, Sha256};

use super::{Turned, limit};
use crate::record::id::Actor;

/// First four bytes of every chunk.
pub const MAGIC: [u8; 4] = [0x85, 0x6f, 0x4a, 0x83];
/// Chunk type of a plain change.
pub const CHANGE: u8 = 1;

/// A change's header and columns, borrowed from its bytes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Scan<'a> {
    /// SHA-256 over type, length and body: the change's name.
    pub hash: [u8; 32],
    /// Changes it builds on, in stored order.
    pub deps: Vec<[u8; 32]>,
    /// Who made it.
    pub actor: Actor,
    /// How-many-th change of the actor in this document.
    pub seq: u64,
    /// Number of its first operation.
    pub start_op: u64,
    /// Seconds since 1970, or zero.
    pub time: i64,
    /// Message.
    pub message: &'a [u8],
    /// Other actors that its operations name.
    pub other_actors: Vec<Actor>,
    /// Column specification and data, in stored order.
    pub columns: Vec<(u32, &'a [u8])>,
    /// How many operations it has.
    pub ops: u64,
}

/// Takes a change apart and checks every bound that can be checked without expanding it.
pub fn scan(bytes: &[u8]) -> Result<Scan<'_>, Turned> {
    let (hash, body) = chunk(bytes, CHANGE, limit::CHANGE_BYTES_MAX)?;
    let mut input = Input(body);
    let deps = bound("number of changes it builds on", input.uleb()?, limit::DEPS_MAX)?;
    let deps = (0..deps).map(|_| input.array()).collect::<Result<Vec<[u8; 32]>, _>>()?;
    let actor = input.actor()?;
    let seq = bound("sequence number", input.uleb()?, limit::COUNTER_MAX)?;
    let start_op = bound("operation number", input.uleb()?, limit::COUNTER_MAX)?;
    if seq == 0 || start_op == 0 {
        return Err(Turned::Form("numbers begin at one"));
    }
    let time = input.sleb()?;
    let message = bound("message", input.uleb()?, limit::MESSAGE_BYTES_MAX)?;
    let message = input.take(message)?;
    let others = bound("number of other actors", input.uleb()?, limit::OTHER_ACTORS_MAX)?;
    let other_actors = (0..others).map(|_| input.actor()).collect::<Result<_, _>>()?;
    let columns = columns(&mut input)?;
    if !input.0.is_empty() {
        return Err(Turned::Form("bytes are left over"));
    }
    let ops = count(&columns, limit::OPS_MAX)?;
    if ops == 0 {
        return Err(Turned::Form("it has no operation"));
    }
    bound("last operation number", start_op + ops, limit::COUNTER_MAX)?;
    Ok(Scan { hash, deps, actor, seq, start_op, time, message, other_actors, columns, ops })
}

/// Opens a chunk: size, magic, checksum, type, length. Gives its hash and body.
pub(super) fn chunk(bytes: &[u8], kind: u8, most: usize) -> Result<([u8; 32], &[u8]), Turned> {
    if bytes.len() > most {
        return Err(Turned::Large { found: bytes.len(), most });
    }
    let rest = bytes.strip_prefix(&MAGIC).ok_or(Turned::Form("it does not begin as one"))?;
    let (checksum, rest) = rest.split_at_checked(4).ok_or(Turned::Form("it ends early"))?;
    let mut input = Input(rest);
    if input.take(1)? != [kind] {
        return Err(Turned::Form("it is of another kind"));
    }
    let length = input.uleb()?;
    let body = input.0;
    if u64::try_from(body.len()).ok() != Some(length) {
        return Err(Turned::Form("its length is not the one it names"));
    }
    let hash: [u8; 32] = Sha256::digest(rest).into();
    if checksum == &hash[..4] { Ok((hash, body)) } else { Err(Turned::Checksum) }
}

/// Reads column headers and cuts the data behind them.
fn columns<'a>(input: &mut Input<'a>) -> Result<Vec<(u32, &'a [u8])>, Turned> {
    let found = bound("number of columns", input.uleb()?, limit::COLUMNS_MAX)?;
    let mut headers = Vec::new();
    let mut last = None;
    for _ in 0..found {
        let spec = u32::try_from(input.uleb()?)
            .map_err(|_| Turned::Form("a column number is too large"))?;
        if spec & DEFLATED != 0 {
            return Err(Turned::Form("a column is deflated"));
        }
        if last.is_some_and(|last| spec <= last) {
            return Err(Turned::Form("columns are out of order"));
        }
        last = Some(spec);
        headers.push((spec, input.uleb()?));
    }
    headers.into_iter().map(|(spec, length)| Ok((spec, input.take(length)?))).collect()
}

/// Bit of a column specification that says its data is deflated.
const DEFLATED: u32 = 0b1000;

/// Counts the items of every column without expanding a run; gives the largest count.
pub(super) fn count(columns: &[(u32, &[u8])], most: u64) -> Result<u64, Turned> {
    let mut ops = 0;
    for (spec, data) in columns {
        let id = spec >> 4;
        let kind = Kind::of(*spec);
        let (items, sum) = items(kind, data, most)?;
        // Grouped columns (predecessors) hold one item for each member, not for each operation.
        let grouped = kind != Kind::Group
            && columns.iter().any(|(other, _)| other >> 4 == id && Kind::of(*other) == Kind::Group);
        if kind == Kind::Group {
            bound("number of grouped items", sum, most)?;
        }
        if kind != Kind::Raw && !grouped {
            ops = ops.max(items);
        }
    }
    Ok(ops)
}

/// What a column holds, by the lowest three bits of its specification.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    Group,
    Unsigned,
    Delta,
    Boolean,
    Text,
    Raw,
}

impl Kind {
    const fn of(spec: u32) -> Kind {
        match spec & 7 {
            0 => Kind::Group,
            3 => Kind::Delta,
            4 => Kind::Boolean,
            5 => Kind::Text,
            7 => Kind::Raw,
            // Actor, integer and value metadata are all unsigned.
            _ => Kind::Unsigned,
        }
    }
}

/// Items of a column, and for a group column the sum of its values.
fn items(kind: Kind, data: &[u8], most: u64) -> Result<(u64, u64), Turned> {
    let mut input = Input(data);
    let (mut items, mut sum) = (0u64, 0u64);
    let over = |found| bound("number of items in a column", found, most);
    match kind {
        Kind::Raw => {}
        Kind::Boolean => {
            while !input.0.is_empty() {
                items = over(items.saturating_add(input.uleb()?))?;
            }
        }
        Kind::Group | Kind::Unsigned | Kind::Delta | Kind::Text => {
            while !input.0.is_empty() {
                let run = input.sleb()?;
                if run == 0 {
                    items = over(items.saturating_add(input.uleb()?))?;
                    continue;
                }
                let length = run.unsigned_abs();
                items = over(items.saturating_add(length))?;
                // A positive run holds its value once, a negative one holds each value.
                let (values, times) = if run > 0 { (1, length) } else { (length, 1) };
                for _ in 0..values {
                    let value = value(kind, &mut input)?;
                    sum = sum.saturating_add(value.saturating_mul(times));
                }
            }
        }
    }
    Ok((items, sum))
}

fn value(kind: Kind, input: &mut Input<'_>) -> Result<u64, Turned> {
    match kind {
        Kind::Delta => input.sleb().map(|_| 0),
        Kind::Text => {
            let length = bound("key", input.uleb()?, limit::KEY_BYTES_MAX)?;
            input.take(length).map(|_| 0)
        }
        _ => input.uleb(),
    }
}

pub(super) fn bound(what: &'static str, found: u64, most: u64) -> Result<u64, Turned> {
    if found > most { Err(Turned::Bound { what, found, most }) } else { Ok(found) }
}

/// Bytes not read yet.
pub(super) struct Input<'a>(pub(super) &'a [u8]);

const EARLY: Turned = Turned::Form("it ends early");

impl<'a> Input<'a> {
    pub(super) fn take(&mut self, length: u64) -> Result<&'a [u8], Turned> {
        let length = usize::try_from(length).map_err(|_| EARLY)?;
        let (taken, rest) = self.0.split_at_checked(length).ok_or(EARLY)?;
        self.0 = rest;
        Ok(taken)
    }

    fn array<const N: usize>(&mut self) -> Result<[u8; N], Turned> {
        let (taken, rest) = self.0.split_first_chunk::<N>().ok_or(EARLY)?;
        self.0 = rest;
        Ok(*taken)
    }

    fn actor(&mut self) -> Result<Actor, Turned> {
        match self.uleb()? {
            16 => self.array().map(Actor),
            _ => Err(Turned::Form("an actor is not 16 bytes long")),
        }
    }

    /// Unsigned LEB128 in its shortest form.
    pub(super) fn uleb(&mut self) -> Result<u64, Turned> {
        let mut value = 0u64;
        for (index, byte) in self.0.iter().enumerate().take(10) {
            let bits = u64::from(byte & 0x7f);
            let shift = u32::try_from(index * 7).map_err(|_| EARLY)?;
            if shift == 63 && bits > 1 {
                break;
            }
            value |= bits << shift;
            if byte & 0x80 == 0 {
                if *byte == 0 && index > 0 {
                    return Err(Turned::Form("a number is not in its shortest form"));
                }
                self.0 = &self.0[index + 1..];
                return Ok(value);
            }
        }
        Err(Turned::Form("a number does not end"))
    }

    /// Signed LEB128 in its shortest form.
    pub(super) fn sleb(&mut self) -> Result<i64, Turned> {
        let mut value = 0i64;
        let mut last = 0u8;
        for (index, byte) in self.0.iter().enumerate().take(10) {
            let shift = u32::try_from(index * 7).map_err(|_| EARLY)?;
            if shift == 63 && !matches!(byte, 0 | 0x7f) {
                break;
            }
            value |= i64::from(byte & 0x7f) << shift;
            if byte & 0x80 == 0 {
                let sign = byte & 0x40 != 0;
                let padded = index > 0
                    && ((*byte == 0 && last & 0x40 == 0) || (*byte == 0x7f && last & 0x40 != 0));
                if padded {
                    return Err(Turned::Form("a number is not in its shortest form"));
                }
                if sign && shift + 7 < 64 {
                    value |= -1i64 << (shift + 7);
                }
                self.0 = &self.0[index + 1..];
                return Ok(value);
            }
            last = *byte;
        }
        Err(Turned::Form("a number does not end"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::doc::first_change;
    use crate::record::doc_id::{DocId, DocKind};
    use crate::record::id::SiteId;

    fn change() -> Vec<u8> {
        first_change(DocId::new(SiteId([1; 8]), DocKind::Site)).raw_bytes().to_vec()
    }

    /// Repairs length and checksum after a test has changed the body.
    pub(crate) fn rebuild(body: &[u8]) -> Vec<u8> {
        let mut rest = vec![CHANGE];
        leb128_unsigned(&mut rest, body.len() as u64);
        rest.extend_from_slice(body);
        let hash: [u8; 32] = Sha256::digest(&rest).into();
        [&MAGIC[..], &hash[..4], &rest].concat()
    }

    fn leb128_unsigned(out: &mut Vec<u8>, mut value: u64) {
        while value > 0x7f {
            out.push(u8::try_from(value & 0x7f).unwrap() | 0x80);
            value >>= 7;
        }
        out.push(u8::try_from(value).unwrap());
    }

    #[test]
    fn a_scan_agrees_with_automerge() {
        let bytes = change();
        let change = automerge::Change::from_bytes(bytes.clone()).unwrap();
        let scan = scan(&bytes).unwrap();
        assert_eq!(scan.hash, change.hash().0);
        assert_eq!(scan.seq, change.seq());
        assert_eq!(scan.start_op, change.start_op().get());
        assert_eq!(usize::try_from(scan.ops).unwrap(), change.len());
        assert!(scan.deps.is_empty() && scan.time == 0 && scan.message.is_empty());
    }

    #[test]
    fn every_single_bit_flip_is_found() {
        let bytes = change();
        for bit in 0..bytes.len() * 8 {
            let mut flipped = bytes.clone();
            flipped[bit / 8] ^= 1 << (bit % 8);
            assert!(scan(&flipped).is_err(), "bit {bit}");
        }
    }

    #[test]
    fn every_truncation_is_found() {
        let bytes = change();
        for end in 0..bytes.len() {
            assert!(scan(&bytes[..end]).is_err(), "{end}");
        }
    }

    #[test]
    fn numbers_have_one_form() {
        for (bytes, value) in [(&[0x00][..], 0), (&[0x7f], 127), (&[0x80, 0x01], 128)] {
            assert_eq!(Input(bytes).uleb(), Ok(value));
        }
        assert_eq!(
            Input(&[0xff; 9].iter().chain(&[0x01]).copied().collect::<Vec<_>>()).uleb(),
            Ok(u64::MAX)
        );
        for (bytes, value) in
            [(&[0x3f][..], 63), (&[0x40], -64), (&[0xc0, 0x00], 64), (&[0x7f], -1)]
        {
            assert_eq!(Input(bytes).sleb(), Ok(value), "{bytes:?}");
        }
        let least = [0x80; 9].iter().chain(&[0x7f]).copied().collect::<Vec<_>>();
        assert_eq!(Input(&least).sleb(), Ok(i64::MIN));
        for bytes in [&[0x80, 0x00][..], &[0xff, 0x00], &[0x80], &[0x80; 11]] {
            assert!(Input(bytes).uleb().is_err(), "{bytes:?}");
        }
        for bytes in [&[0xff, 0x7f][..], &[0x80, 0x00], &[0x80], &[0x80; 11]] {
            assert!(Input(bytes).sleb().is_err(), "{bytes:?}");
        }
    }

    #[test]
    fn a_run_of_millions_is_counted_not_expanded() {
        // One key column with a run of 200,000,000 nulls, in a rebuilt header.
        let bytes = change();
        let body = chunk(&bytes, CHANGE, usize::MAX).unwrap().1;
        let columns_at = body.len() - {
            let scan = scan(&bytes).unwrap();
            let data: usize = scan.columns.iter().map(|(_, data)| data.len()).sum();
            let headers = 1 + scan.columns.len() * 2;
            data + headers
        };
        let mut bomb = body[..columns_at].to_vec();
        bomb.extend_from_slice(&[1, 0x15, 6, 0x00]);
        leb128_unsigned(&mut bomb, 200_000_000_u64);
        bomb.push(0);
        let turned = scan(&rebuild(&bomb)).unwrap_err();
        assert!(matches!(turned, Turned::Bound { .. } | Turned::Form(_)), "{turned}");
    }
}
