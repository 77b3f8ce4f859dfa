//! A device whose program is not ours: enrolled, rightly signed, and up to no good.

use automerge::transaction::{CommitOptions, Transactable};
use automerge::{ActorId, Automerge, ObjType, ROOT, ReadDoc, ScalarValue};
use client_core::device::identity::Identity;
use client_core::exchange::codec::expand;
use client_core::exchange::delivery::{Delivery, DocChanges, device_id};
use client_core::exchange::enrol::{EnrolAsk, to_sign};
use client_core::exchange::frame::{self, Ask, PATH, SitePack, encode, envelope};
use client_core::exchange::office::{self, Order, OrderReply};
use client_core::exchange::pack::pack_plain;
use client_core::record::code::Role;
use client_core::record::doc::{first_change, session_actor};
use client_core::record::doc_id::DocId;
use client_core::record::id::{HubId, PersonId, SiteId};
use ed25519_dalek::{Signer, SigningKey};
use server::hub::Hub;

use super::plan::Event;
use super::{Sim, Step, words};
use crate::hostile::mutate;
use crate::world::Seeded;

/// A key and what it signs.
#[derive(Debug)]
pub(super) struct Hostile {
    key: SigningKey,
    hub: HubId,
    person: PersonId,
    counter: u64,
}

impl Hostile {
    /// A new key.
    pub(super) fn new(random: &mut Seeded) -> Hostile {
        let mut secret = [0; 32];
        random.fill(&mut secret);
        let key = SigningKey::from_bytes(&secret);
        Hostile { key, hub: HubId([0; 8]), person: PersonId([0; 8]), counter: 1 << 60 }
    }

    /// The key of a device.
    pub(super) fn of(identity: &Identity) -> Hostile {
        let key = SigningKey::from_bytes(&identity.secret);
        Hostile { key, hub: identity.hub, person: identity.person, counter: 1 << 60 }
    }

    fn public(&self) -> [u8; 32] {
        self.key.verifying_key().to_bytes()
    }

    /// Enrols the key.
    pub(super) fn join(
        &mut self,
        hub: &mut Hub,
        role: Role,
        sites: Option<Vec<SiteId>>,
        now: i64,
    ) -> Step {
        self.join_as(hub, None, role, sites, now)
    }

    /// Enrols the key for a person.
    pub(super) fn join_as(
        &mut self,
        hub: &mut Hub,
        person: Option<PersonId>,
        role: Role,
        sites: Option<Vec<SiteId>>,
        now: i64,
    ) -> Step {
        let key = self.public();
        let mut random = [0; 24];
        random.copy_from_slice(&key[..24]);
        let (code, _) = hub.access().new_code(now, person, role, sites, &random).map_err(words)?;
        let signature = self.key.sign(&to_sign(&code, &key)).to_bytes();
        let (label, name) = ("a program of its own".to_owned(), Some("Nobody".to_owned()));
        let ask = EnrolAsk { code, key, label, name, signature };
        let reply = hub.enrol(now, "there", &ask).map_err(words)?;
        (self.hub, self.person) = (reply.hub, reply.person);
        Ok(())
    }

    fn body(&mut self, path: &str, ask: &[u8]) -> Vec<u8> {
        self.counter += 1;
        let bytes = frame::to_sign(self.hub, path, self.counter, ask);
        let signature = self.key.sign(&bytes).to_bytes();
        envelope(device_id(&self.public()), self.counter, &signature, ask)
    }

    /// Gives an order of the office.
    pub(super) fn order(&mut self, hub: &mut Hub, order: &Order, now: i64) -> Step {
        let body = self.body(office::PATH, &encode(order));
        match hub.order(now, &body).map_err(words)? {
            OrderReply::Refused(why) => Err(why),
            _ => Ok(()),
        }
    }

    /// A signed delivery of changes of one document.
    fn delivery(&self, site: SiteId, nonce: [u8; 16], docs: Vec<DocChanges>) -> Option<Delivery> {
        let session = (device_id(&self.public()), nonce);
        let persons = vec![self.person];
        let head = Delivery::head_of(self.hub, site, session, (1, [0; 32]), persons, &docs).ok()?;
        let signature = self.key.sign(&head.to_sign()).to_bytes();
        Some(Delivery { head, signature, docs })
    }
}

impl Sim {
    /// The hostile device sends something that is rightly signed and wrong inside.
    pub(super) fn attack(&mut self) -> Step {
        let place = self.places[self.random.index(self.places.len())].clone();
        let mut doc = place.doc(&mut self.random);
        if doc.site == place.company {
            doc = DocId::new(place.site, client_core::record::doc_id::DocKind::Site);
        }
        let Some(mut hostile) = self.hostile.take() else { return Ok(()) };
        let outcome = self.attack_by(&mut hostile, doc);
        self.hostile = Some(hostile);
        outcome
    }

    fn attack_by(&mut self, hostile: &mut Hostile, doc: DocId) -> Step {
        let mut nonce = [0; 16];
        self.random.fill(&mut nonce);
        let actor = session_actor(&hostile.public(), &nonce);
        self.oracle.hostile.insert(actor);
        let Some(hub) = self.hub.hub.as_mut() else { return Ok(()) };
        if let Err(wrong) = hub.fold() {
            return self.hub_failed(&words(wrong));
        }
        let known = match known(hub, doc) {
            Ok(known) => known,
            Err(wrong) => return self.hub_failed(&wrong),
        };
        let kind = self.random.below(8);
        let Some(changes) = craft(&known, ActorId::from(&actor.0[..]), kind, &mut self.random)
        else {
            return Ok(());
        };
        let parts = vec![DocChanges { doc, changes }];
        let Some(delivery) = hostile.delivery(doc.site, nonce, parts) else { return Ok(()) };
        self.note(format!("hostile {kind} on {doc}"));
        self.counts.add("hostile delivery");
        self.oracle.spoilt.insert(doc);
        let pack = SitePack { site: doc.site, pack: pack_plain(&[&delivery]).into() };
        let ask = Ask { clock: self.clock, packs: Some(vec![pack]), ..Ask::default() };
        let body = hostile.body(PATH, &encode(&ask));
        let now = self.clock + self.hub.ahead;
        let Some(hub) = self.hub.hub.as_mut() else { return Ok(()) };
        if let Some(Err(wrong)) = hub.exchange(now, &[&body]).pop() {
            return self.hub_failed(&words(wrong));
        }
        self.after_hub()?;
        if self.oracle.log.contains_key(&delivery.id()) {
            self.counts.add("hostile delivery taken into the log");
        }
        debug_assert!(self.plan.has(Event::Hostile), "only such a world has a hostile device");
        Ok(())
    }
}

/// A document as the hub holds it.
fn known(hub: &mut Hub, doc: DocId) -> Step<Automerge> {
    let wholes = hub.view_mut().wholes(doc).map_err(words)?;
    match wholes.first() {
        Some(whole) => {
            let saved = expand(&whole.saved, usize::MAX).map_err(words)?;
            Automerge::load(&saved).map_err(words)
        }
        None => {
            let mut document = Automerge::new();
            document.apply_changes([first_change(doc)]).map_err(words)?;
            Ok(document)
        }
    }
}

/// Changes of some kind of mischief.
fn craft(
    known: &Automerge,
    actor: ActorId,
    kind: u64,
    random: &mut Seeded,
) -> Option<Vec<Vec<u8>>> {
    let mut document = known.clone().with_actor(actor);
    let keys: Vec<String> = document.keys(ROOT).collect();
    let mut change = |random: &mut Seeded, kind: u64| {
        let mut draft = document.transaction();
        let any = keys.get(random.index(keys.len())).cloned().unwrap_or_default();
        let bytes = ScalarValue::Bytes(vec![1, 0x82, u8::try_from(random.below(256)).unwrap_or(0)]);
        match kind {
            // Nonsense under a key of somebody else's.
            0 => draft.put(ROOT, any, bytes).ok()?,
            // What stands is taken away.
            1 => draft.delete(ROOT, any).ok()?,
            // An object where a value belongs.
            2 => drop(draft.put_object(ROOT, any, ObjType::Map).ok()?),
            // Somebody's next entries, before they are written.
            3 => {
                for n in 1..20 {
                    if let Some((root, _)) = any.rsplit_once('/') {
                        draft.put(ROOT, format!("{root}/{n}"), bytes.clone()).ok()?;
                    }
                }
                draft.put(ROOT, "nonsense", bytes).ok()?;
            }
            // Deep nesting.
            4 => {
                let mut object = ROOT;
                for _ in 0..4 + random.index(20) {
                    object = draft.put_object(object, "deeper", ObjType::Map).ok()?;
                }
            }
            _ => {
                draft.put(ROOT, "plate/none_such", bytes).ok()?;
                let list = draft.put_object(ROOT, "list", ObjType::List).ok()?;
                draft.insert(&list, 0, 1).ok()?;
            }
        }
        draft.commit_with(CommitOptions::default().with_time(0));
        Some(document.get_last_local_change()?.raw_bytes().to_vec())
    };
    match kind {
        // A right change, bent.
        5..=6 => {
            let pick = random.below(5);
            let whole = change(random, pick)?;
            Some(vec![mutate::change(&whole, random)])
        }
        // Several, the first of them missing.
        7 => {
            let all: Option<Vec<Vec<u8>>> = (0..4).map(|_| change(random, 0)).collect();
            all.map(|mut all| {
                all.remove(0);
                all
            })
        }
        kind => change(random, kind).map(|change| vec![change]),
    }
}
