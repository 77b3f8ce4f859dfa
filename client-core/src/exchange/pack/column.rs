//! Keys of a change, packed: the session's own half actor and the counting number are left out.
//!
//! A key column is a row of runs (a repeated key, a list of keys, or nulls). A key of evidence is written
//! as the number of its root word and the step from the last entry number; any other key in full, once.

use super::{KEYS, Names, PackWrong, Reading, Source, Streams, WORDS};
use crate::exchange::codec::{self, uleb, uleb64, zigzag};
use crate::record::id::{ActorHalf, EntryId};

/// What both sides remember about keys.
#[derive(Debug, Default)]
pub(super) struct Keys {
    words: Names<Vec<u8>>,
    last: Vec<(ActorHalf, u32)>,
}

#[derive(Debug, PartialEq)]
enum Run {
    Repeat(u64, Vec<u8>),
    List(Vec<Vec<u8>>),
    Nulls(u64),
}

const OWN: usize = 0;

impl Keys {
    /// Writes a key column; false when it is not in the one form that can be packed.
    pub(super) fn write(&mut self, data: &[u8], actor: ActorHalf, out: &mut Streams) -> bool {
        let Some(runs) = parse(data).filter(|runs| emit(runs) == data) else { return false };
        uleb(out.of(KEYS), runs.len());
        for run in runs {
            match run {
                Run::Nulls(count) => {
                    uleb64(out.of(KEYS), 0);
                    uleb64(out.of(KEYS), count);
                }
                Run::Repeat(count, key) => {
                    uleb64(out.of(KEYS), 1);
                    uleb64(out.of(KEYS), count);
                    self.key(&key, actor, out);
                }
                Run::List(keys) => {
                    uleb(out.of(KEYS), keys.len() + 1);
                    for key in keys {
                        self.key(&key, actor, out);
                    }
                }
            }
        }
        true
    }

    fn key(&mut self, key: &[u8], actor: ActorHalf, out: &mut Streams) {
        let (word, number) = match split(key, actor) {
            Some((root, n)) => (root.to_vec(), Some(n)),
            None => ([b"=", key].concat(), None),
        };
        let named = self.words.number(&word);
        uleb(out.of(KEYS), named);
        if named == OWN {
            uleb(out.of(WORDS), word.len());
            out.of(WORDS).extend_from_slice(&word);
        }
        if let Some(n) = number {
            let step = i64::from(n) - i64::from(self.expected(actor));
            uleb64(out.of(KEYS), zigzag(step));
            self.met(actor, n);
        }
    }

    /// Reads what [`Keys::write`] wrote.
    pub(super) fn read(
        &mut self,
        actor: ActorHalf,
        input: &mut Source,
    ) -> Result<Vec<u8>, PackWrong> {
        let mut runs = vec![];
        for _ in 0..input.of(KEYS).count(10_000)? {
            let run = match input.of(KEYS).count(20_000)? {
                0 => Run::Nulls(input.of(KEYS).uleb()?),
                1 => {
                    let count = input.of(KEYS).uleb()?;
                    Run::Repeat(count, self.read_key(actor, input)?)
                }
                more => {
                    let keys = (1..more).map(|_| self.read_key(actor, input));
                    Run::List(keys.collect::<Result<_, _>>()?)
                }
            };
            runs.push(run);
        }
        Ok(emit(&runs))
    }

    fn read_key(&mut self, actor: ActorHalf, input: &mut Source) -> Result<Vec<u8>, PackWrong> {
        let word = match input.of(KEYS).count(usize::MAX)? {
            OWN => {
                let words = input.of(WORDS);
                let length = words.count(8 * 1024)?;
                let word = words.take(length)?.to_vec();
                self.words.learn(word)
            }
            named => self.words.item(named)?,
        };
        if let Some(key) = word.strip_prefix(b"=") {
            return Ok(key.to_vec());
        }
        let step = input.of(KEYS).zigzag()?;
        let n = i64::from(self.expected(actor))
            .checked_add(step)
            .and_then(|n| u32::try_from(n).ok())
            .ok_or(PackWrong::Layout("an entry number is out of range"))?;
        self.met(actor, n);
        Ok(join(&word, EntryId { actor, n }))
    }

    fn expected(&self, actor: ActorHalf) -> u32 {
        let last = self.last.iter().find(|(known, _)| *known == actor);
        last.map_or(1, |(_, n)| n.saturating_add(1))
    }

    fn met(&mut self, actor: ActorHalf, n: u32) {
        match self.last.iter_mut().find(|(known, _)| *known == actor) {
            Some((_, last)) => *last = n,
            None => self.last.push((actor, n)),
        }
    }
}

/// Takes `<root>/<own half>/<n>` apart.
fn split(key: &[u8], actor: ActorHalf) -> Option<(&[u8], u32)> {
    let text = std::str::from_utf8(key).ok()?;
    let (rest, n) = text.rsplit_once('/')?;
    let (root, half) = rest.rsplit_once('/')?;
    let number: u32 = n.parse().ok()?;
    let own = half == actor.hex() && !root.is_empty() && !root.starts_with('=');
    let whole = own && join(root.as_bytes(), EntryId { actor, n: number }) == key;
    whole.then_some((root.as_bytes(), number))
}

fn join(root: &[u8], id: EntryId) -> Vec<u8> {
    [root, b"/", id.actor.hex().as_bytes(), b"/", id.n.to_string().as_bytes()].concat()
}

fn parse(data: &[u8]) -> Option<Vec<Run>> {
    let mut rest = data;
    let mut runs = vec![];
    while !rest.is_empty() {
        let (run, after) = read_sleb(rest)?;
        rest = after;
        if run == 0 {
            let (count, after) = codec::read_uleb(rest)?;
            rest = after;
            runs.push(Run::Nulls(count));
            continue;
        }
        let values = if run > 0 { 1 } else { usize::try_from(run.unsigned_abs()).ok()? };
        let mut keys = vec![];
        for _ in 0..values {
            let (length, after) = codec::read_uleb(rest)?;
            let (key, after) = after.split_at_checked(usize::try_from(length).ok()?)?;
            keys.push(key.to_vec());
            rest = after;
        }
        runs.push(if run > 0 {
            Run::Repeat(run.unsigned_abs(), keys.pop()?)
        } else {
            Run::List(keys)
        });
    }
    Some(runs)
}

fn emit(runs: &[Run]) -> Vec<u8> {
    let mut out = vec![];
    for run in runs {
        match run {
            Run::Nulls(count) => {
                sleb(&mut out, 0);
                uleb64(&mut out, *count);
            }
            Run::Repeat(count, key) => {
                sleb(&mut out, i64::try_from(*count).unwrap_or(i64::MAX));
                uleb(&mut out, key.len());
                out.extend_from_slice(key);
            }
            Run::List(keys) => {
                sleb(&mut out, -i64::try_from(keys.len()).unwrap_or(i64::MAX));
                for key in keys {
                    uleb(&mut out, key.len());
                    out.extend_from_slice(key);
                }
            }
        }
    }
    out
}

pub(super) fn sleb(out: &mut Vec<u8>, mut value: i64) {
    loop {
        let low = u8::try_from(value & 0x7f).expect("seven bits fit a byte");
        value >>= 7;
        if (value == 0 && low & 0x40 == 0) || (value == -1 && low & 0x40 != 0) {
            out.push(low);
            return;
        }
        out.push(low | 0x80);
    }
}

fn read_sleb(bytes: &[u8]) -> Option<(i64, &[u8])> {
    let mut value = 0i64;
    for (index, byte) in bytes.iter().enumerate().take(9) {
        let shift = u32::try_from(index).ok()? * 7;
        value |= i64::from(byte & 0x7f) << shift;
        if byte & 0x80 == 0 {
            if byte & 0x40 != 0 {
                value |= -1i64 << (shift + 7);
            }
            return Some((value, &bytes[index + 1..]));
        }
    }
    None
}

/// Reads a stream of a column's bytes.
pub(super) fn take(stream: &mut Reading, length: usize) -> Result<Vec<u8>, PackWrong> {
    stream.take(length).map(<[u8]>::to_vec)
}
