//! Writing a pack.

use super::column::Keys;
use super::{CHANGES, COLUMNS, DocState, HEADS, Names, PackWrong, Streams};
use crate::exchange::codec::{uleb, uleb64, zigzag};
use crate::exchange::delivery::{Delivery, DeliveryWrong};
use crate::gate::{self, Scan};
use crate::record::doc::first_change;
use crate::record::doc_id::DocId;
use crate::record::id::{DeviceId, PersonId, SiteId};

/// Column of keys: id 1, text.
pub(super) const KEY_COLUMN: u32 = 0x15;

#[derive(Debug, Default)]
struct Packer {
    out: Streams,
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
    /// Session, sequence number and id of the last delivery of each session.
    last: Vec<([u8; 16], u32, [u8; 32])>,
}

/// Packs deliveries of one hub and one site.
pub fn pack(site: SiteId, deliveries: &[&Delivery]) -> Result<Vec<u8>, PackWrong> {
    let mut packer = Packer::default();
    uleb(packer.out.of(HEADS), deliveries.len());
    for delivery in deliveries {
        if delivery.head.site != site || delivery.head.hub != deliveries[0].head.hub {
            return Err(DeliveryWrong::Elsewhere.into());
        }
        packer.delivery(delivery)?;
    }
    Ok(packer.out.finish())
}

impl Packer {
    fn delivery(&mut self, delivery: &Delivery) -> Result<(), PackWrong> {
        let head = &delivery.head;
        let named = self.devices.number(&head.device);
        self.named(HEADS, named, &head.device.0);
        let named = self.nonces.number(&head.nonce);
        self.named(HEADS, named, &head.nonce);
        let last = self.last.iter().find(|(nonce, _, _)| *nonce == head.nonce).copied();
        let (seq, id) = last.map_or((0, [0; 32]), |(_, seq, id)| (seq, id));
        uleb64(self.out.of(HEADS), zigzag(i64::from(head.seq) - i64::from(seq) - 1));
        let known = head.previous == id;
        self.out.of(HEADS).push(u8::from(!known));
        if !known {
            self.out.raw.extend_from_slice(&head.previous);
        }
        uleb(self.out.of(HEADS), head.persons.len());
        for person in &head.persons {
            let named = self.persons.number(person);
            self.named(HEADS, named, &person.0);
        }
        if delivery.docs.len() != head.docs.len() {
            return Err(DeliveryWrong::Mixed.into());
        }
        uleb(self.out.of(HEADS), delivery.docs.len());
        for part in &delivery.docs {
            let at = self.doc(part.doc);
            uleb(self.out.of(HEADS), part.changes.len());
            for (index, change) in part.changes.iter().enumerate() {
                let scan = gate::scan(change).map_err(|turned| DeliveryWrong::Turned {
                    doc: part.doc,
                    position: index + 1,
                    turned,
                })?;
                self.change(at, part.doc, &scan);
            }
        }
        self.out.raw.extend_from_slice(&delivery.signature);
        self.last.retain(|(nonce, _, _)| *nonce != head.nonce);
        self.last.push((head.nonce, head.seq, head.id()));
        Ok(())
    }

    fn named(&mut self, stream: u32, named: usize, raw: &[u8]) {
        uleb(self.out.of(stream), named);
        if named == 0 {
            self.out.raw.extend_from_slice(raw);
        }
    }

    /// Names a document; gives its place among the states.
    fn doc(&mut self, doc: DocId) -> usize {
        let named = self.docs.number(&doc);
        uleb(self.out.of(HEADS), named);
        if named > 0 {
            return self.states.len() - named;
        }
        let bytes = doc.to_bytes();
        let ids = (bytes.len() - 1) / 8;
        self.out.of(HEADS).push(bytes[0]);
        uleb64(self.out.of(HEADS), u64::from(doc.part) - 1);
        for id in bytes[1..=ids * 8].chunks_exact(8) {
            let id = <[u8; 8]>::try_from(id).expect("a chunk of eight");
            let named = self.ids.number(&id);
            self.named(HEADS, named, &id);
        }
        let mut state = DocState::default();
        let first = first_change(doc);
        state.add(first.hash().0, first.max_op() + 1, [0; 16], 1);
        self.states.push(state);
        self.states.len() - 1
    }

    fn change(&mut self, at: usize, doc: DocId, scan: &Scan<'_>) {
        let state = &self.states[at];
        let known: Vec<u64> = scan.deps.iter().filter_map(|dep| state.next_op(dep)).collect();
        let expected = known.iter().copied().max().unwrap_or_default();
        let seq = state.seq(scan.actor.0);
        self.deps(at, &scan.deps);
        let header = self.out.of(CHANGES);
        uleb64(header, zigzag(signed(scan.seq) - signed(seq)));
        uleb64(header, zigzag(signed(scan.start_op) - signed(expected)));
        uleb64(header, zigzag(scan.time));
        uleb(header, scan.message.len());
        header.extend_from_slice(scan.message);
        uleb(header, scan.other_actors.len());
        for actor in &scan.other_actors {
            let named = self.actors.number(&actor.0);
            self.named(CHANGES, named, &actor.0);
        }
        self.columns(scan);
        debug_assert_eq!(doc, self.docs.known[at], "states and documents run in step");
        let next = scan.start_op + scan.ops;
        self.states[at].add(scan.hash, next, scan.actor.0, scan.seq);
    }

    /// 0: the change before it in this document; n > 0: n - 1 dependencies, each named by its distance
    /// or in full.
    fn deps(&mut self, at: usize, deps: &[[u8; 32]]) {
        let changes: Vec<[u8; 32]> =
            self.states[at].changes.iter().map(|(hash, _)| *hash).collect();
        if deps.len() == 1 && changes.last() == deps.first() {
            self.out.of(CHANGES).push(0);
            return;
        }
        uleb(self.out.of(CHANGES), deps.len() + 1);
        for dep in deps {
            let named = changes.iter().rposition(|hash| hash == dep);
            let named = named.map_or(0, |index| changes.len() - index);
            self.named(CHANGES, named, dep);
        }
    }

    fn columns(&mut self, scan: &Scan<'_>) {
        let set: Vec<u32> = scan.columns.iter().map(|(spec, _)| *spec).collect();
        let named = self.sets.number(&set);
        uleb(self.out.of(CHANGES), named);
        if named == 0 {
            uleb(self.out.of(CHANGES), set.len());
            for spec in &set {
                uleb64(self.out.of(CHANGES), u64::from(*spec));
            }
        }
        let actor = scan.actor.half();
        for (spec, data) in &scan.columns {
            if *spec == KEY_COLUMN {
                let mut trial = Streams::default();
                std::mem::swap(&mut trial, &mut self.out);
                let packed = self.keys.write(data, actor, &mut trial);
                std::mem::swap(&mut trial, &mut self.out);
                // Keys that cannot be packed follow in full behind a mark that no count of runs has.
                self.out.of(CHANGES).push(u8::from(!packed));
                if packed {
                    continue;
                }
            }
            let stream = self.column(*spec);
            uleb(self.out.of(stream), data.len());
            self.out.of(stream).extend_from_slice(data);
        }
    }

    fn column(&mut self, spec: u32) -> u32 {
        if !self.columns.known.contains(&spec) {
            self.columns.known.push(spec);
        }
        let at = self.columns.known.iter().position(|known| *known == spec).unwrap_or_default();
        COLUMNS + u32::try_from(at).expect("a pack has few kinds of columns")
    }
}

fn signed(value: u64) -> i64 {
    i64::try_from(value).expect("counters that passed the scan fit 32 bits")
}
