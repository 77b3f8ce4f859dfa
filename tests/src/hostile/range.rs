//! A hub and devices to shoot at, with right bytes of every kind to bend.

use std::collections::BTreeMap;

use client_core::device::{Device, PhotoTalk, Report, Step, Wish};
use client_core::exchange::bell::BellAsk;
use client_core::exchange::codec;
use client_core::exchange::delivery::{Delivery, DocChanges};
use client_core::exchange::enrol::{self, EnrolAsk};
use client_core::exchange::frame::{self, Envelope, PATH, REQUEST_BYTES_MAX, Reply};
use client_core::exchange::note::Note;
use client_core::exchange::office;
use client_core::exchange::pack::{pack, unpack};
use client_core::exchange::photo::{self, PhotoAnswer, PhotoAsk, PhotoName, PhotoReply, PhotoStep};
use client_core::exchange::talk::Talk;
use client_core::gate::{Ground, admit, snapshot};
use client_core::record::action::Action;
use client_core::record::body::Photo;
use client_core::record::code::Role;
use client_core::record::doc::{Doc, Presence};
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::id::{ApplianceId, DeviceId, SiteId, VisitId};
use client_core::store::pictures::Pictures;
use client_core::store::{Manner, MemoryBytes};
use ed25519_dalek::{Signer, SigningKey};
use server::hub::Hub;
use server::log::Arrival;

use super::mutate;
use crate::net::TempFolder;
use crate::net::guest::joining;
use crate::story::day::AHEAD_S;
use crate::story::player::Who;
use crate::story::{Player, tell};
use crate::world::deed::stamp;
use crate::world::hub::{MANNER, store_on};
use crate::world::{HubDisk, Joined, Seeded, enrol, exchange, hub_on};

/// What went wrong.
pub type Wrong = Box<dyn std::error::Error>;

/// The bytes of a picture.
const PICTURE: &[u8] = b"forty bytes of a picture, more or less..";

/// Most bytes of memory that one shot may take above what was taken before it. A reply's rows may expand to
/// 16 MiB and a document to 8, each held twice while it is read; the cache of a store is 1 MiB here.
pub const MEMORY_MAX: usize = 64 * 1024 * 1024;

/// Everything that foreign bytes reach.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// A change at the gate of its document.
    Change,
    /// A whole document.
    Document,
    /// A request as it travels.
    Request,
    /// The inside of a request, rightly signed.
    Ask,
    /// A change inside a delivery, rightly signed, at the hub and with the other devices.
    Delivery,
    /// A hub's reply at a device.
    Reply,
    /// A joining request.
    Enrol,
    /// An order of the office, rightly signed by somebody who may give none.
    Order,
    /// A request to hear the bell.
    Bell,
    /// What is asked about a picture, rightly signed.
    Photo,
    /// A hub's reply about a picture at a device.
    PhotoReply,
    /// Squeezed deliveries.
    Pack,
    /// A note of the hub.
    Note,
    /// A file that one phone hands to another.
    HandOver,
    /// The file of a device's store.
    Store,
}

impl Kind {
    /// All of them.
    pub const ALL: &[Kind] = &[
        Kind::Change,
        Kind::Document,
        Kind::Request,
        Kind::Ask,
        Kind::Delivery,
        Kind::Reply,
        Kind::Enrol,
        Kind::Order,
        Kind::Bell,
        Kind::Photo,
        Kind::PhotoReply,
        Kind::Pack,
        Kind::Note,
        Kind::HandOver,
        Kind::Store,
    ];
}

/// What became of a shot.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// It was refused with a reason, in whole or in part.
    Refused,
    /// It passed: what was bent was not harmful, or nothing was bent.
    Passed,
}

/// A hub and devices to shoot at.
#[derive(Debug)]
pub struct Range {
    hub: Hub,
    player: Player,
    now: i64,
    counter: u64,
    docs: Vec<(DocId, Vec<Vec<u8>>)>,
    saved: Vec<(Vec<u8>, Vec<[u8; 32]>)>,
    request: Vec<u8>,
    order: Vec<u8>,
    replies: Vec<Vec<u8>>,
    packs: Vec<Vec<u8>>,
    notes: Vec<Vec<u8>>,
    enrol: Vec<u8>,
    bell: Vec<u8>,
    photo: Vec<u8>,
    photo_reply: Vec<u8>,
    hand_over: Vec<u8>,
    store: Vec<u8>,
    keys: BTreeMap<DeviceId, [u8; 32]>,
    sequence: u32,
    _folder: TempFolder,
}

impl Range {
    /// Plays the invented scenario, and gathers right bytes of every kind from it.
    ///
    /// # Errors
    /// When the scenario cannot be played.
    pub fn new(seed: u64) -> Result<Range, Wrong> {
        let mut random = Seeded::new(seed);
        let disk = HubDisk::default();
        let mut hub = hub_on(disk.log, disk.view, &mut random)?;
        let site = SiteId([0x0a; 8]);
        let mut devices = BTreeMap::new();
        let file = MemoryBytes::default();
        for who in Who::ALL {
            let technician = who != Who::Oriane;
            let joined = Joined {
                name: who.name().to_owned(),
                person: None,
                role: if technician { Role::Technician } else { Role::Supervisor },
                sites: technician.then(|| vec![site]),
            };
            let bytes = if who == Who::Dov { file.clone() } else { MemoryBytes::default() };
            let store = store_on(bytes, MANNER)?;
            devices.insert(who, enrol(&mut hub, store, &joined, 1_727_000_000, &mut random)?);
        }
        let mut player = Player::new(devices, site, random.fork());
        let mut replies = vec![];
        let mut link = |device: &mut Device, clock: i64| {
            // On one day one phone's clock is wrong; the hub's is right.
            let wrong = (1_737_500_000..1_737_600_000).contains(&clock)
                && device.identity().label.starts_with("Dov");
            let right = if wrong { clock - AHEAD_S } else { clock };
            crate::world::talk(device, clock, vec![], &mut |request| {
                let reply = hub.exchange(right, &[request]).pop().ok_or("no reply")??;
                replies.push(reply.clone());
                Ok(reply)
            })
        };
        tell::tell(&mut player, &mut link, &|| 0, &mut vec![])
            .map_err(|wrong| wrong.to_string())?;
        hub.fold()?;
        let folder = TempFolder::new("range");
        hub.keep_photos(Pictures::new(folder.join("photos")));
        let now = 1_800_000_000;
        let mut range = Range {
            hub,
            player,
            now,
            counter: u64::try_from(now)?.saturating_mul(1_000_000),
            docs: vec![],
            saved: vec![],
            request: vec![],
            order: vec![],
            replies,
            packs: vec![],
            notes: vec![],
            enrol: vec![],
            bell: vec![],
            photo: vec![],
            photo_reply: vec![],
            hand_over: vec![],
            store: file.content(),
            keys: BTreeMap::new(),
            sequence: 0,
            _folder: folder,
        };
        range.take_photo()?;
        range.gather(&mut random)?;
        Ok(range)
    }

    /// A photo that a document at the hub names, and whose picture is on its way.
    fn take_photo(&mut self) -> Result<(), Wrong> {
        let kind = DocKind::Sheet(VisitId([0x0b; 8]), ApplianceId([0x0c; 8]));
        let (doc, hash) = (DocId::new(self.player.site, kind), *blake3::hash(PICTURE).as_bytes());
        let photo = Photo {
            hash: hash.to_vec(),
            subject: "plate".to_owned(),
            phase: None,
            size: None,
            of: None,
            small: None,
        };
        let ilse = self.player.device(Who::Ilse);
        let by = stamp(ilse, self.now);
        ilse.act(&[Step::new(doc, Action::Enter(vec![photo.into()]))], &by)?;
        ilse.photo_wanted(doc, hash, true)?;
        exchange(ilse, &mut self.hub, self.now, self.now, vec![])?;
        let name = PhotoName::new(doc, hash);
        let size = u64::try_from(PICTURE.len())?;
        let step = PhotoStep::Put { size, at: 0, piece: PICTURE[..20].to_vec().into() };
        self.photo = frame::encode(&PhotoAsk { name: name.clone(), step });
        let answer = PhotoAnswer::Piece { size, at: 0, piece: PICTURE.to_vec().into() };
        let missing = Some(vec![name]);
        let reply = PhotoReply { counter: None, answer: Some(answer), missing };
        self.photo_reply = frame::encode(&reply);
        Ok(())
    }

    fn gather(&mut self, random: &mut Seeded) -> Result<(), Wrong> {
        let mut docs: BTreeMap<DocId, Vec<Vec<u8>>> = BTreeMap::new();
        for site in [self.player.site, self.hub.identity().company()] {
            for stored in self.hub.log().after(site, 0, usize::MAX)? {
                match stored.arrival {
                    Arrival::Delivery(delivery) => {
                        self.packs.push(pack(site, &[&delivery])?);
                        for part in delivery.docs {
                            docs.entry(part.doc).or_default().extend(part.changes);
                        }
                    }
                    Arrival::Note(note) => self.notes.push(note.bytes),
                }
            }
        }
        for (id, changes) in &docs {
            let mut doc = Doc::begin(*id, Presence::Whole);
            admit(&mut doc, changes, Ground::OPEN);
            let heads = doc.automerge().get_heads().iter().map(|head| head.0).collect();
            self.saved.push((doc.automerge().save_nocompress(), heads));
        }
        self.docs = docs.into_iter().collect();
        for who in Who::ALL {
            let identity = self.player.device(who).identity();
            self.keys.insert(identity.device(), identity.public());
        }
        let ilse = self.player.device(Who::Ilse);
        let today = i32::try_from(self.now / 86_400)?;
        self.request = ilse.request(&mut Talk::default(), Wish { clock: self.now, today })?;
        self.order = frame::encode(&office::Order::Devices);
        self.hand_over = ilse.hand_over()?;
        let mut secret = [0; 32];
        random.fill(&mut secret);
        let key = SigningKey::from_bytes(&secret);
        self.enrol = frame::encode(&joining(&key, "abcd1234", "Nobody"));
        self.bell = frame::encode(&BellAsk { clock: self.now });
        Ok(())
    }

    /// Shoots once.
    ///
    /// # Errors
    /// When something is not as it was before, or the shot could not be made.
    pub fn shoot(&mut self, kind: Kind, random: &mut Seeded) -> Result<Outcome, Wrong> {
        match kind {
            Kind::Change => self.change(random),
            Kind::Document => Ok(self.document(random)),
            Kind::Request => {
                let bent = mutate::blind(&self.request, random);
                Ok(self.at_hub(&bent))
            }
            Kind::Ask => {
                let ask = Envelope::open(&self.request)?.ask.to_vec();
                let body = self.signed(PATH, &mutate::blind(&ask, random));
                Ok(self.at_hub(&body))
            }
            Kind::Delivery => self.delivery(random),
            Kind::Reply => self.reply(random),
            Kind::Enrol => {
                let bent = mutate::blind(&self.enrol, random);
                self.sequence += 1;
                let from = format!("address {}", self.sequence);
                Ok(match frame::decode::<EnrolAsk>(&bent, enrol::REQUEST_BYTES_MAX) {
                    Ok(ask) => outcome(self.hub.enrol(self.now, &from, &ask).is_ok()),
                    Err(_) => Outcome::Refused,
                })
            }
            Kind::Order => {
                let body = self.signed(office::PATH, &mutate::blind(&self.order, random));
                Ok(outcome(self.hub.order(self.now, &body).is_ok()))
            }
            Kind::Bell => {
                let bent = mutate::blind(&self.bell, random);
                Ok(outcome(frame::decode::<BellAsk>(&bent, REQUEST_BYTES_MAX).is_ok()))
            }
            Kind::Photo => {
                let body = self.signed(photo::PATH, &mutate::blind(&self.photo, random));
                let reply = self.hub.photo(self.now, &body);
                Ok(outcome(matches!(
                    reply.map(|reply| reply.answer),
                    Ok(Some(PhotoAnswer::Has { .. } | PhotoAnswer::Piece { .. }))
                )))
            }
            Kind::PhotoReply => {
                let bent = mutate::blind(&self.photo_reply, random);
                let ilse = self.player.device(Who::Ilse);
                let mut talk = PhotoTalk::default();
                ilse.photo_next(&mut talk)?;
                Ok(outcome(ilse.photo_reply(&mut talk, &bent).is_ok()))
            }
            Kind::Pack => {
                let at = random.index(self.packs.len());
                let bent = mutate::blind(&self.packs[at], random);
                drop(codec::expand(&bent, REQUEST_BYTES_MAX));
                let keys = &self.keys;
                let key = |device: DeviceId| keys.get(&device).copied();
                let hub = self.hub.identity().hub;
                Ok(outcome(unpack(&bent, hub, self.player.site, &key).is_ok()))
            }
            Kind::Note => {
                let at = random.index(self.notes.len());
                let bytes = mutate::blind(&self.notes[at], random);
                Ok(outcome(Note { bytes, signature: [0; 64] }.says().is_ok()))
            }
            Kind::HandOver => {
                let bent = mutate::blind(&self.hand_over, random);
                Ok(outcome(self.player.device(Who::Dov).take_hand_over(&bent).is_ok()))
            }
            Kind::Store => Ok(self.file(random)),
        }
    }

    /// A bent change among right ones: the document afterwards is what the right ones make, or a little
    /// more, and loads.
    fn change(&self, random: &mut Seeded) -> Result<Outcome, Wrong> {
        let (id, changes) = &self.docs[random.index(self.docs.len())];
        let at = random.index(changes.len());
        let mut batch: Vec<Vec<u8>> = changes.iter().take(at + 1).cloned().collect();
        batch[at] = mutate::change(&changes[at], random);
        let mut doc = Doc::begin(*id, Presence::Whole);
        let admission = admit(&mut doc, &batch, Ground::OPEN);
        let right = admit(&mut doc, changes, Ground::OPEN);
        if let Some((_, turned)) = right.refused.first() {
            // A bent change that passed may stand in the way of the right one of the same number.
            let known = admission.refused.is_empty() && admission.parked.is_empty();
            if !known {
                return Err(
                    format!("{id}: a right change is refused after a bent one: {turned}").into()
                );
            }
        }
        let saved = doc.automerge().save_nocompress();
        let heads: Vec<[u8; 32]> = doc.automerge().get_heads().iter().map(|head| head.0).collect();
        snapshot::load(&saved, &heads).map_err(|turned| format!("{id} does not load: {turned}"))?;
        Ok(outcome(admission.refused.is_empty()))
    }

    fn document(&self, random: &mut Seeded) -> Outcome {
        let (saved, heads) = &self.saved[random.index(self.saved.len())];
        outcome(snapshot::load(&mutate::blind(saved, random), heads).is_ok())
    }

    fn at_hub(&mut self, body: &[u8]) -> Outcome {
        let reply = self.hub.exchange(self.now, &[body]).pop();
        outcome(
            matches!(reply, Some(Ok(bytes)) if frame::decode::<Reply>(&bytes, usize::MAX).is_ok()),
        )
    }

    /// A body that Ilse's device signed.
    fn signed(&mut self, path: &str, inside: &[u8]) -> Vec<u8> {
        self.counter += 1;
        let hub = self.hub.identity().hub;
        let identity = self.player.device(Who::Ilse).identity();
        let key = SigningKey::from_bytes(&identity.secret);
        let signature = key.sign(&frame::to_sign(hub, path, self.counter, inside)).to_bytes();
        frame::envelope(identity.device(), self.counter, &signature, inside)
    }

    /// Bent changes in a delivery with everything around them right: the hub logs it, its view takes what
    /// passes, and so does every device.
    fn delivery(&mut self, random: &mut Seeded) -> Result<Outcome, Wrong> {
        let site = self.player.site;
        let (id, changes) = &self.docs[random.index(self.docs.len())];
        if id.site != site {
            return Ok(Outcome::Passed);
        }
        let bent = mutate::change(&changes[random.index(changes.len())], random);
        let parts = vec![DocChanges { doc: *id, changes: vec![bent] }];
        let mut nonce = [0; 16];
        random.fill(&mut nonce);
        let hub = self.hub.identity().hub;
        let identity = self.player.device(Who::Ilse).identity();
        let (key, device, person) =
            (SigningKey::from_bytes(&identity.secret), identity.device(), identity.person);
        let Ok(head) =
            Delivery::head_of(hub, site, (device, nonce), (1, [0; 32]), vec![person], &parts)
        else {
            return Ok(Outcome::Refused);
        };
        let signature = key.sign(&head.to_sign()).to_bytes();
        let delivery = Delivery { head, signature, docs: parts };
        let mut ask: frame::Ask =
            frame::decode(Envelope::open(&self.request)?.ask, REQUEST_BYTES_MAX)?;
        let packed = pack(site, &[&delivery])?.into();
        ask.packs = Some(vec![frame::SitePack { site, pack: packed }]);
        let body = self.signed(PATH, &frame::encode(&ask));
        let taken = self.at_hub(&body);
        self.hub.fold()?;
        Ok(taken)
    }

    fn reply(&mut self, random: &mut Seeded) -> Result<Outcome, Wrong> {
        let at = random.index(self.replies.len());
        let bent = mutate::blind(&self.replies[at], random);
        let today = i32::try_from(self.now / 86_400)?;
        let device = self.player.device(Who::Ilse);
        let mut talk = Talk::default();
        device.request(&mut talk, Wish { clock: self.now, today })?;
        let mut report = Report::default();
        let heard = device.hear(&mut talk, self.now, &bent, &mut report);
        Ok(outcome(heard.is_ok() && report.wrong.is_empty()))
    }

    /// A store whose file was bent is refused, or opens and answers.
    fn file(&self, random: &mut Seeded) -> Outcome {
        let bent = mutate::blind(&self.store, random);
        let opened = store_on(MemoryBytes::with(bent), Manner::DEVICE)
            .ok()
            .and_then(|store| Device::open(store, random.fork().source()).ok());
        let Some(mut device) = opened else { return Outcome::Refused };
        let site = self.player.site;
        let visits = device.visits(site).unwrap_or_default();
        let all = visits.iter().all(|visit| device.open_visit(site, visit.id).is_ok());
        outcome(all && !visits.is_empty())
    }

    /// Whether everybody still works: every device exchanges until nothing is left, shows every visit,
    /// and the log holds together.
    ///
    /// # Errors
    /// What does not work any more.
    pub fn still_whole(&mut self) -> Result<(), Wrong> {
        self.now += 60;
        let site = self.player.site;
        let visits: Vec<_> = self.player.visits.values().copied().collect();
        for who in Who::ALL {
            for round in 0.. {
                let device = self.player.device(who);
                let trip = exchange(device, &mut self.hub, self.now, self.now, vec![])?;
                if let Some(wrong) = trip.report.wrong.first() {
                    return Err(format!("{}: {wrong}", who.name()).into());
                }
                if trip.stuck {
                    return Err(format!("{} is stuck: {:?}", who.name(), trip.report).into());
                }
                if trip.report.taken == 0 {
                    break;
                }
                if round > 50 {
                    return Err(format!("{} does not come to an end", who.name()).into());
                }
            }
            for visit in &visits {
                self.player.device(who).open_visit(site, *visit)?;
            }
        }
        Ok(())
    }
}

const fn outcome(passed: bool) -> Outcome {
    if passed { Outcome::Passed } else { Outcome::Refused }
}
