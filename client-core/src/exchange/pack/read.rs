//! Reading a pack: rebuilding every change, its hash, and the heads.

use sha2::{Digest, Sha256};

use super::column::{Keys, sleb, take};
use super::write::KEY_COLUMN;
use super::{CHANGES, COLUMNS, DocState, HEADS, Names, PackWrong, Source};
use crate::exchange::codec::{uleb, uleb64};
use crate::exchange::delivery::{CHANGES_MAX, DOCS_MAX, Delivery, DocChanges, PERSONS_MAX};
use crate::gate::limit;
use crate::gate::scan::{self, scan};
use crate::record::doc::{first_change, session_actor};
use crate::record::doc_id::DocId;
use crate::record::id::{Actor, DeviceId, HubId, PersonId, SiteId};

/// Most deliveries of one pack.
const DELIVERIES_MAX: usize = 10_000;

struct Unpacker<'a> {
    input: Source,
    hub: HubId,
    site: SiteId,
    key: &'a dyn Fn(DeviceId) -> Option<[u8; 32]>,
    devices: Names<DeviceId>,
    nonces: Names<[u8; 16]>,
    persons: Names<PersonId>,
    ids: Names<[u8; 8]>,
    docs: Names<DocId>,
    states: Vec<DocState>,
    actors: Names<[u8; 16]>,
    sets: Names<Vec<u32>>,
    columns: Names<u32>,
    keys: Keys,
    last: Vec<([u8; 16], u32, [u8; 32])>,
    bytes: usize,
}

/// Reads a pack of deliveries of one hub and one site.
///
/// `key` gives the public key of a device: the actor of a session follows from it. Signatures are not
/// checked here; [`Delivery::check`] does that.
pub fn unpack(
    bytes: &[u8],
    hub: HubId,
    site: SiteId,
    key: &dyn Fn(DeviceId) -> Option<[u8; 32]>,
) -> Result<Vec<Delivery>, PackWrong> {
    let mut unpacker = Unpacker {
        input: Source::open(bytes)?,
        hub,
        site,
        key,
        devices: Names::default(),
        nonces: Names::default(),
        persons: Names::default(),
        ids: Names::default(),
        docs: Names::default(),
        states: vec![],
        actors: Names::default(),
        sets: Names::default(),
        columns: Names::default(),
        keys: Keys::default(),
        last: vec![],
        bytes: 0,
    };
    let deliveries = unpacker.input.of(HEADS).count(DELIVERIES_MAX)?;
    let deliveries = (0..deliveries).map(|_| unpacker.delivery()).collect::<Result<_, _>>()?;
    unpacker.input.close()?;
    Ok(deliveries)
}

impl Unpacker<'_> {
    fn delivery(&mut self) -> Result<Delivery, PackWrong> {
        let device = match self.input.of(HEADS).count(usize::MAX)? {
            0 => self.devices.learn(DeviceId(self.input.raw.array()?)),
            named => self.devices.item(named)?,
        };
        let nonce = match self.input.of(HEADS).count(usize::MAX)? {
            0 => self.nonces.learn(self.input.raw.array()?),
            named => self.nonces.item(named)?,
        };
        let last = self.last.iter().find(|(known, _, _)| *known == nonce).copied();
        let (last, id) = last.map_or((0, [0; 32]), |(_, seq, id)| (seq, id));
        let seq = i64::from(last)
            .checked_add(1)
            .and_then(|seq| seq.checked_add(self.input.of(HEADS).zigzag().ok()?))
            .and_then(|seq| u32::try_from(seq).ok())
            .ok_or(PackWrong::Layout("a sequence number is out of range"))?;
        let previous = match self.input.of(HEADS).byte()? {
            0 => id,
            1 => self.input.raw.array()?,
            _ => return Err(PackWrong::Layout("an unknown mark")),
        };
        let mut persons = vec![];
        for _ in 0..self.input.of(HEADS).count(PERSONS_MAX)? {
            persons.push(match self.input.of(HEADS).count(usize::MAX)? {
                0 => self.persons.learn(PersonId(self.input.raw.array()?)),
                named => self.persons.item(named)?,
            });
        }
        let public = (self.key)(device).ok_or(PackWrong::Layout("a device nobody knows"))?;
        let actor = session_actor(&public, &nonce);
        let docs = self.docs(actor)?;
        let session = (device, nonce);
        let head =
            Delivery::head_of(self.hub, self.site, session, (seq, previous), persons, &docs)?;
        let signature = self.input.raw.array()?;
        self.last.retain(|(known, _, _)| *known != nonce);
        self.last.push((nonce, seq, head.id()));
        Ok(Delivery { head, signature, docs })
    }

    fn docs(&mut self, actor: Actor) -> Result<Vec<DocChanges>, PackWrong> {
        let mut docs = vec![];
        for _ in 0..self.input.of(HEADS).count(DOCS_MAX)? {
            let (at, doc) = self.doc()?;
            let count = self.input.of(HEADS).count(CHANGES_MAX)?;
            let changes =
                (0..count).map(|_| self.change(at, actor)).collect::<Result<Vec<_>, _>>()?;
            docs.push(DocChanges { doc, changes });
        }
        Ok(docs)
    }

    fn doc(&mut self) -> Result<(usize, DocId), PackWrong> {
        let named = self.input.of(HEADS).count(usize::MAX)?;
        if named > 0 {
            let doc = self.docs.item(named)?;
            return Ok((self.docs.known.len() - named, doc));
        }
        let tag = self.input.of(HEADS).byte()?;
        let part = self.input.of(HEADS).uleb()?;
        let mut bytes = vec![tag];
        let ids = match tag {
            0 | 1 => 0,
            2 | 3 => 1,
            4 => 2,
            _ => return Err(PackWrong::Layout("an unknown kind of document")),
        };
        for _ in 0..ids {
            let id = match self.input.of(HEADS).count(usize::MAX)? {
                0 => self.ids.learn(self.input.raw.array()?),
                named => self.ids.item(named)?,
            };
            bytes.extend_from_slice(&id);
        }
        let part = u16::try_from(part.saturating_add(1))
            .map_err(|_| PackWrong::Layout("a document has too many parts"))?;
        let doc = DocId::from_bytes(self.site, &bytes)
            .map_err(|_| PackWrong::Layout("not a document"))?
            .with_part(part);
        self.docs.learn(doc);
        let mut state = DocState::default();
        let first = first_change(doc);
        state.add(first.hash().0, first.max_op() + 1, [0; 16], 1);
        self.states.push(state);
        Ok((self.states.len() - 1, doc))
    }

    fn change(&mut self, at: usize, actor: Actor) -> Result<Vec<u8>, PackWrong> {
        let deps = self.deps(at)?;
        let state = &self.states[at];
        let expected = deps.iter().filter_map(|dep| state.next_op(dep)).max().unwrap_or_default();
        let base_seq = state.seq(actor.0);
        let header = self.input.of(CHANGES);
        let seq = counter(base_seq, header.zigzag()?)?;
        let start_op = counter(expected, header.zigzag()?)?;
        let time = header.zigzag()?;
        let length = header.count(PLAIN_MESSAGE)?;
        let message = take(header, length)?;
        let mut others = vec![];
        for _ in 0..header.count(PLAIN_ACTORS)? {
            others.push(match self.input.of(CHANGES).count(usize::MAX)? {
                0 => self.actors.learn(self.input.raw.array()?),
                named => self.actors.item(named)?,
            });
        }
        let columns = self.columns(actor)?;
        let body = Body { deps, actor, seq, start_op, time, message, others, columns };
        let bytes = body.chunk();
        self.bytes += bytes.len();
        if self.bytes > super::PLAIN_BYTES_MAX {
            return Err(PackWrong::Layout("more changes than a pack may hold"));
        }
        let scanned = scan(&bytes).map_err(|_| PackWrong::Layout("a change is malformed"))?;
        let next = scanned.start_op + scanned.ops;
        self.states[at].add(scanned.hash, next, actor.0, seq);
        Ok(bytes)
    }

    fn deps(&mut self, at: usize) -> Result<Vec<[u8; 32]>, PackWrong> {
        let changes = &self.states[at].changes;
        let wrong = PackWrong::Layout("a change builds on nothing");
        match self.input.of(CHANGES).count(PLAIN_DEPS + 1)? {
            0 => Ok(vec![changes.last().map(|(hash, _)| *hash).ok_or(wrong)?]),
            more => {
                let mut deps = vec![];
                for _ in 1..more {
                    let named = self.input.of(CHANGES).count(usize::MAX)?;
                    let known = changes.len().checked_sub(named).and_then(|at| changes.get(at));
                    deps.push(match (named, known) {
                        (0, _) => self.input.raw.array()?,
                        (_, Some((hash, _))) => *hash,
                        (_, None) => return Err(PackWrong::Layout("it names nothing")),
                    });
                }
                Ok(deps)
            }
        }
    }

    fn columns(&mut self, actor: Actor) -> Result<Vec<(u32, Vec<u8>)>, PackWrong> {
        let set = match self.input.of(CHANGES).count(usize::MAX)? {
            0 => {
                let header = self.input.of(CHANGES);
                let length = header.count(PLAIN_COLUMNS)?;
                let spec = |header: &mut super::Reading| {
                    u32::try_from(header.uleb()?)
                        .map_err(|_| PackWrong::Layout("a column number is too large"))
                };
                let set = (0..length).map(|_| spec(header)).collect::<Result<Vec<_>, _>>()?;
                self.sets.learn(set)
            }
            named => self.sets.item(named)?,
        };
        let mut columns = vec![];
        for spec in set {
            if spec == KEY_COLUMN && self.input.of(CHANGES).byte()? == 0 {
                columns.push((spec, self.keys.read(actor.half(), &mut self.input)?));
                continue;
            }
            if !self.columns.known.contains(&spec) {
                self.columns.known.push(spec);
            }
            let at = self.columns.known.iter().position(|known| *known == spec);
            let at = u32::try_from(at.unwrap_or_default())
                .map_err(|_| PackWrong::Layout("too many kinds of columns"))?;
            let stream = self.input.of(COLUMNS + at);
            let length = stream.count(limit::CHANGE_BYTES_MAX)?;
            columns.push((spec, take(stream, length)?));
        }
        Ok(columns)
    }
}

const PLAIN_MESSAGE: usize = 1_024;
const PLAIN_ACTORS: usize = 1_024;
const PLAIN_DEPS: usize = 1_024;
const PLAIN_COLUMNS: usize = 32;

fn counter(base: u64, step: i64) -> Result<u64, PackWrong> {
    base.checked_add_signed(step)
        .filter(|value| *value <= limit::COUNTER_MAX)
        .ok_or(PackWrong::Layout("a counter is out of range"))
}

struct Body {
    deps: Vec<[u8; 32]>,
    actor: Actor,
    seq: u64,
    start_op: u64,
    time: i64,
    message: Vec<u8>,
    others: Vec<[u8; 16]>,
    columns: Vec<(u32, Vec<u8>)>,
}

impl Body {
    /// The change's chunk, as [`crate::gate::scan`] describes it.
    fn chunk(&self) -> Vec<u8> {
        let mut body = vec![];
        uleb(&mut body, self.deps.len());
        body.extend(self.deps.iter().flatten());
        uleb(&mut body, 16);
        body.extend_from_slice(&self.actor.0);
        uleb64(&mut body, self.seq);
        uleb64(&mut body, self.start_op);
        sleb(&mut body, self.time);
        uleb(&mut body, self.message.len());
        body.extend_from_slice(&self.message);
        uleb(&mut body, self.others.len());
        for other in &self.others {
            uleb(&mut body, 16);
            body.extend_from_slice(other);
        }
        uleb(&mut body, self.columns.len());
        for (spec, data) in &self.columns {
            uleb64(&mut body, u64::from(*spec));
            uleb(&mut body, data.len());
        }
        for (_, data) in &self.columns {
            body.extend_from_slice(data);
        }
        let mut rest = vec![scan::CHANGE];
        uleb(&mut rest, body.len());
        rest.extend_from_slice(&body);
        let hash: [u8; 32] = Sha256::digest(&rest).into();
        [&scan::MAGIC[..], &hash[..4], &rest].concat()
    }
}
