//! Bending bytes: blindly, or along the layout of a change with its checksum repaired.

use client_core::gate::scan::{CHANGE, MAGIC};
use client_core::gate::{Scan, scan};
use sha2::{Digest, Sha256};

use crate::world::Seeded;

/// Bends bytes without knowing what they are.
pub fn blind(bytes: &[u8], random: &mut Seeded) -> Vec<u8> {
    let mut bent = bytes.to_vec();
    for _ in 0..=random.below(3) {
        let at = random.index(bent.len() + 1);
        match random.below(7) {
            0 if at < bent.len() => bent[at] ^= 1 << random.below(8),
            1 if at < bent.len() => bent[at] = byte(random),
            2 => bent.truncate(at),
            3 => bent.insert(at, byte(random)),
            4 if at < bent.len() => drop(bent.remove(at)),
            5 => {
                let from = random.index(bent.len() + 1);
                let end = (from + random.index(16)).min(bent.len());
                let piece = bent[from..end].to_vec();
                bent.splice(at..at, piece);
            }
            _ => {
                let big: [u8; 9] = [0x1b, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff];
                let end = (at + big.len()).min(bent.len());
                bent[at..end].copy_from_slice(&big[..end - at]);
            }
        }
    }
    bent
}

fn byte(random: &mut Seeded) -> u8 {
    u8::try_from(random.below(256)).unwrap_or_default()
}

fn uleb(out: &mut Vec<u8>, mut value: u64) {
    while value > 0x7f {
        out.push(u8::try_from(value & 0x7f).unwrap_or_default() | 0x80);
        value >>= 7;
    }
    out.push(u8::try_from(value).unwrap_or_default());
}

fn sleb(out: &mut Vec<u8>, mut value: i64) {
    loop {
        let low = u8::try_from(value & 0x7f).unwrap_or_default();
        value >>= 7;
        if (value == 0 && low & 0x40 == 0) || (value == -1 && low & 0x40 != 0) {
            out.push(low);
            return;
        }
        out.push(low | 0x80);
    }
}

/// A change's body taken apart, free to be bent.
#[derive(Clone, Debug)]
pub struct Body {
    /// Changes it builds on.
    pub deps: Vec<[u8; 32]>,
    /// Its actor.
    pub actor: Vec<u8>,
    /// Sequence number.
    pub seq: u64,
    /// First operation number.
    pub start_op: u64,
    /// Time.
    pub time: i64,
    /// Message.
    pub message: Vec<u8>,
    /// Other actors.
    pub others: Vec<Vec<u8>>,
    /// Columns.
    pub columns: Vec<(u64, Vec<u8>)>,
    /// Bytes behind the columns.
    pub rest: Vec<u8>,
}

impl Body {
    /// Takes a right change apart.
    pub fn of(scan: &Scan<'_>) -> Body {
        Body {
            deps: scan.deps.clone(),
            actor: scan.actor.0.to_vec(),
            seq: scan.seq,
            start_op: scan.start_op,
            time: scan.time,
            message: scan.message.to_vec(),
            others: scan.other_actors.iter().map(|actor| actor.0.to_vec()).collect(),
            columns: scan
                .columns
                .iter()
                .map(|(spec, data)| (u64::from(*spec), data.to_vec()))
                .collect(),
            rest: vec![],
        }
    }

    /// Puts it together again, with length and checksum right.
    pub fn chunk(&self) -> Vec<u8> {
        let mut body = vec![];
        uleb(&mut body, self.deps.len() as u64);
        body.extend(self.deps.iter().flatten());
        uleb(&mut body, self.actor.len() as u64);
        body.extend_from_slice(&self.actor);
        uleb(&mut body, self.seq);
        uleb(&mut body, self.start_op);
        sleb(&mut body, self.time);
        uleb(&mut body, self.message.len() as u64);
        body.extend_from_slice(&self.message);
        uleb(&mut body, self.others.len() as u64);
        for other in &self.others {
            uleb(&mut body, other.len() as u64);
            body.extend_from_slice(other);
        }
        uleb(&mut body, self.columns.len() as u64);
        for (spec, data) in &self.columns {
            uleb(&mut body, *spec);
            uleb(&mut body, data.len() as u64);
        }
        for (_, data) in &self.columns {
            body.extend_from_slice(data);
        }
        body.extend_from_slice(&self.rest);
        chunk(CHANGE, &body)
    }
}

/// A chunk with this body, length and checksum right.
pub fn chunk(kind: u8, body: &[u8]) -> Vec<u8> {
    let mut rest = vec![kind];
    uleb(&mut rest, body.len() as u64);
    rest.extend_from_slice(body);
    let hash: [u8; 32] = Sha256::digest(&rest).into();
    [&MAGIC[..], &hash[..4], &rest].concat()
}

/// Bends a right change along its layout; length and checksum are right again. What is not a change is
/// bent blindly.
pub fn change(bytes: &[u8], random: &mut Seeded) -> Vec<u8> {
    let Ok(scan) = scan(bytes) else { return blind(bytes, random) };
    let mut body = Body::of(&scan);
    for _ in 0..=random.below(2) {
        bend(&mut body, random);
    }
    body.chunk()
}

fn bend(body: &mut Body, random: &mut Seeded) {
    let numbers = [0, 1, 2, 127, 128, (1 << 31) - 1, 1 << 31, u64::from(u32::MAX), u64::MAX];
    let number = numbers[random.index(numbers.len())];
    match random.below(16) {
        0 => body.seq = number,
        1 => body.seq = body.seq.wrapping_add(1),
        2 => body.start_op = number,
        3 => body.start_op = body.start_op.wrapping_add(1 + random.below(3)),
        4 => body.time = number.cast_signed(),
        5 => {
            if !body.deps.is_empty() {
                let at = random.index(body.deps.len());
                random.fill(&mut body.deps[at]);
            }
        }
        6 => body.deps.clear(),
        7 => {
            let again = body.deps.first().copied();
            body.deps.extend(again);
        }
        8 => body.others.push(vec![7; [0, 1, 16, 17][random.index(4)]]),
        9 => body.others.clear(),
        10 => body.message = vec![b'm'; [0, 1, 1_024, 1_025][random.index(4)]],
        11 if body.columns.len() > 1 => {
            let (one, other) = (random.index(body.columns.len()), random.index(body.columns.len()));
            body.columns.swap(one, other);
        }
        12 if !body.columns.is_empty() => {
            let at = random.index(body.columns.len());
            body.columns.remove(at);
        }
        13 => {
            let specs =
                [0x01, 0x02, 0x11, 0x13, 0x15, 0x21, 0x23, 0x34, 0x42, 0x56, 0x57, 0x70, 0x71];
            let spec = specs[random.index(specs.len())];
            body.columns.push((spec, vec![byte(random); 1 + random.index(4)]));
            body.columns.sort_by_key(|(spec, _)| *spec);
        }
        14 => body.rest = vec![byte(random); 1 + random.index(8)],
        _ if !body.columns.is_empty() => {
            let at = random.index(body.columns.len());
            body.columns[at].1 = blind(&body.columns[at].1, random);
        }
        _ => body.actor = vec![byte(random); 16],
    }
}
