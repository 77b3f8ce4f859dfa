//! Test vectors of the exchange, for whoever implements it in another language: `tests/fixtures/frame/v1.json`,
//! renewed with `UPDATE_FIXTURES=1`. A vector that changes is a protocol that changes.

use client_core::exchange::codec::{expand, squeeze};
use client_core::exchange::delivery::{Delivery, DocChanges, Head, device_id, doc_digest};
use client_core::exchange::enrol;
use client_core::exchange::frame::{
    self, Ask, Envelope, Ladder, PATH, Reply, SitePack, SitePlace, SiteReply, Step, Told, Verdict,
};
use client_core::exchange::note::{Certificate, Note, Says};
use client_core::exchange::pack::{pack, pack_plain, unpack};
use client_core::exchange::photo::{self, PhotoAnswer, PhotoAsk, PhotoName, PhotoReply, PhotoStep};
use client_core::exchange::place::{self, Place};
use client_core::gate::scan;
use client_core::record::action::Action;
use client_core::record::apply::{Pen, apply};
use client_core::record::code::{CheckItem, CheckResult, Phase, Role};
use client_core::record::doc::{Doc, Presence, first_change, session_actor};
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::id::{ApplianceId, DeviceId, HubId, LogId, PersonId, SiteId, VisitId};
use client_core::record::stamp::Stamp;
use client_core::record::value::Moment;
use ed25519_dalek::{Signer, SigningKey};
use serde_json::{Map, Value, json};
use tests::fixture;

use crate::thread::{check, manifold, set};

const HUB: HubId = HubId([7; 8]);
const SITE: SiteId = SiteId([8; 8]);
const PERSON: PersonId = PersonId([5; 8]);
const NONCE: [u8; 16] = [4; 16];

fn hex(bytes: &[u8]) -> String {
    use std::fmt::Write as _;
    bytes.iter().fold(String::new(), |mut out, byte| {
        write!(out, "{byte:02x}").unwrap();
        out
    })
}

fn device_key() -> SigningKey {
    SigningKey::from_bytes(&[3; 32])
}

fn hub_key() -> SigningKey {
    SigningKey::from_bytes(&[6; 32])
}

/// Three deliveries of one session, each with changes of a sheet and of an appliance.
fn deliveries() -> Vec<Delivery> {
    let key = device_key();
    let public = key.verifying_key().to_bytes();
    let mut pen = Pen::new(session_actor(&public, &NONCE), Role::Technician);
    let unit = ApplianceId([2; 8]);
    let ids = [
        DocId::new(SITE, DocKind::Sheet(VisitId([1; 8]), unit)),
        DocId::new(SITE, DocKind::Appliance(unit)),
    ];
    let mut docs = ids.map(|id| Doc::begin(id, Presence::Whole));
    let stamp = Stamp::new(PERSON, Moment { secs: 1_760_000_000, offset_min: -300 });
    let mut previous = [0; 32];
    let mut out = vec![];
    for seq in 1..=3 {
        let block = Action::Enter(vec![
            manifold(350 + i64::from(seq), Phase::AsFound),
            check(CheckItem::Spill, CheckResult::Pass),
        ]);
        let note = Action::Write { subject: "job".into(), about: None, text: "salt on rod".into() };
        let plate = Action::Set(vec![set("unit/model", &format!("model {seq}"))]);
        let mut change = |at: usize, action: &Action| {
            apply(&mut docs[at], &[], action, &stamp, &mut pen).unwrap().bytes
        };
        let parts = vec![
            DocChanges { doc: ids[0], changes: vec![change(0, &block), change(0, &note)] },
            DocChanges { doc: ids[1], changes: vec![change(1, &plate)] },
        ];
        let session = (device_id(&public), NONCE);
        let head = Delivery::head_of(HUB, SITE, session, (seq, previous), vec![PERSON], &parts);
        let head = head.unwrap();
        previous = head.id();
        let signature = key.sign(&head.to_sign()).to_bytes();
        out.push(Delivery { head, signature, docs: parts });
    }
    out
}

fn of_delivery(delivery: &Delivery) -> Value {
    let docs: Vec<Value> = delivery
        .docs
        .iter()
        .map(|part| {
            let hashes: Vec<[u8; 32]> =
                part.changes.iter().map(|change| scan(change).unwrap().hash).collect();
            json!({
                "document": hex(&part.doc.to_bytes()),
                "first_change_hash": hex(&first_change(part.doc).hash().0),
                "changes": part.changes.iter().map(|change| hex(change)).collect::<Vec<_>>(),
                "hashes": hashes.iter().map(|hash| hex(hash)).collect::<Vec<_>>(),
                "digest": hex(&doc_digest(part.doc, &hashes)),
            })
        })
        .collect();
    json!({
        "head": hex(&delivery.head.to_bytes()),
        "id": hex(&delivery.id()),
        "signature": hex(&delivery.signature),
        "documents": docs,
    })
}

fn ids_and_chain(all: &[Delivery]) -> Value {
    let mut place = Place::begin(LogId([1; 8]), SITE);
    let begin = place;
    let chain: Vec<Value> = all
        .iter()
        .map(|delivery| {
            place = place.after(&delivery.id());
            json!({ "arrival": hex(&delivery.id()), "n": place.n, "chain": hex(&place.chain) })
        })
        .collect();
    let other = (SiteId([9; 8]), Place::begin(LogId([1; 8]), SiteId([9; 8])));
    json!({
        "empty": hex(&begin.chain),
        "after": chain,
        "place_as_signed": hex(&place::to_sign(SITE, &place)),
        "digest_of_places": {
            "sites": [hex(&SITE.0), hex(&other.0.0)],
            "directory": 3,
            "digest": hex(&place::digest(&[other, (SITE, place)], 3)),
        },
        "ladder_from_10": place::ladder(10),
    })
}

fn of_note() -> Value {
    let certificate = Certificate {
        key: device_key().verifying_key().to_bytes(),
        person: PERSON,
        role: Role::Technician,
        sites: Some(vec![SITE]),
        label: "phone".to_owned(),
        given: 1_760_000_000,
    };
    let bytes = Note::encode(&Says::Certificate(certificate), 1);
    let signature = hub_key().sign(&Note::to_sign(SITE, &bytes)).to_bytes();
    let note = Note { bytes, signature };
    assert!(note.signed_by(&hub_key().verifying_key().to_bytes(), SITE));
    json!({
        "what": "a certificate",
        "note": hex(&note.bytes),
        "as_signed": hex(&Note::to_sign(SITE, &note.bytes)),
        "id": hex(&note.id(SITE)),
        "signature": hex(&note.signature),
    })
}

fn of_request(all: &[Delivery]) -> Value {
    let key = device_key();
    let device = device_id(&key.verifying_key().to_bytes());
    let place = Place::begin(LogId([1; 8]), SITE);
    let ask = Ask {
        clock: 1_760_000_060,
        places: Some(vec![SitePlace { site: SITE, place }]),
        packs: Some(vec![SitePack { site: SITE, pack: pack(SITE, &[&all[0]]).unwrap().into() }]),
        ladders: Some(vec![Ladder {
            site: SITE,
            steps: vec![Step { n: 0, chain: place::begin(SITE) }],
        }]),
        directory: Some(0),
        ..Ask::default()
    };
    let ask = frame::encode(&ask);
    let counter = 1_760_000_060_000;
    let as_signed = frame::to_sign(HUB, PATH, counter, &ask);
    let request = frame::envelope(device, counter, &key.sign(&as_signed).to_bytes(), &ask);
    let opened = Envelope::open(&request).unwrap();
    assert!(opened.signed_by(&key.verifying_key().to_bytes(), HUB, PATH));
    let read: Ask = frame::decode(opened.ask, frame::REQUEST_BYTES_MAX).unwrap();
    assert_eq!(frame::encode(&read), ask, "a frame is written as it was read");
    json!({
        "path": PATH,
        "counter": counter,
        "ask": hex(&ask),
        "as_signed": hex(&as_signed),
        "request": hex(&request),
    })
}

fn of_reply(all: &[Delivery]) -> Value {
    let own = all[0].id();
    let mut short = [0; 8];
    short.copy_from_slice(&own[..8]);
    let place = Place::begin(LogId([1; 8]), SITE).after(&own).after(&all[1].id());
    let mut check = [0; 8];
    check.copy_from_slice(&place.chain[..8]);
    let mut site = SiteReply::new(SITE);
    site.verdicts = Some(vec![Verdict { id: short, answer: 1, words: None, at: Some(1) }]);
    site.told = Some(vec![Told::Own(own), Told::Packed]);
    site.pack = Some(pack(SITE, &[&all[1]]).unwrap().into());
    site.check = Some(check);
    let reply = Reply { clock: 1_760_000_061, sites: Some(vec![site]), ..Reply::default() };
    let bytes = frame::encode(&reply);
    let read: Reply = frame::decode(&bytes, frame::REPLY_BYTES_MAX).unwrap();
    assert_eq!(read, reply);
    json!({ "what": "the device's own first delivery, then a second one", "reply": hex(&bytes) })
}

fn of_packs(all: &[Delivery]) -> Value {
    let key = device_key().verifying_key().to_bytes();
    let keys = |_: DeviceId| Some(key);
    let refs: Vec<&Delivery> = all.iter().collect();
    let (packed, plain) = (pack(SITE, &refs).unwrap(), pack_plain(&refs));
    for bytes in [&packed, &plain] {
        assert_eq!(unpack(bytes, HUB, SITE, &keys).unwrap(), all);
    }
    let text = "salt on rod, salt on rod, salt on rod, salt on rod";
    let squeezed = squeeze(text.as_bytes());
    assert_eq!(expand(&squeezed, 1_000).unwrap(), text.as_bytes());
    json!({
        "packed": hex(&packed),
        "plain": hex(&plain),
        "squeezed": { "text": text, "bytes": hex(&squeezed) },
    })
}

fn of_pictures() -> Value {
    let picture = b"a picture in two pieces";
    let hash = *blake3::hash(picture).as_bytes();
    let sheet = DocKind::Sheet(VisitId([2; 8]), ApplianceId([1; 8]));
    let name = PhotoName::new(DocId::new(SITE, sheet), hash);
    let size = u64::try_from(picture.len()).unwrap();
    let asks = [
        PhotoStep::Put { size, at: 0, piece: picture[..10].to_vec().into() },
        PhotoStep::Get { at: 10 },
    ];
    let replies = [
        PhotoAnswer::Has { bytes: 10, whole: false },
        PhotoAnswer::Piece { size, at: 10, piece: picture[10..].to_vec().into() },
        PhotoAnswer::Lacks,
        PhotoAnswer::NotNamed,
        PhotoAnswer::Refused("too large".to_owned()),
    ];
    let reply = |answer| {
        let missing = Some(vec![name.clone()]);
        hex(&frame::encode(&PhotoReply { counter: None, answer: Some(answer), missing }))
    };
    json!({
        "path": photo::PATH,
        "picture": hex(picture),
        "hash": hex(&hash),
        "asks": asks.map(|step| hex(&frame::encode(&PhotoAsk { name: name.clone(), step }))),
        "replies": replies.map(reply),
    })
}

fn of_joining() -> Value {
    let device = device_key().verifying_key().to_bytes();
    let hub = hub_key().verifying_key().to_bytes();
    json!({
        "typed": "K7o2-9iL1",
        "code": enrol::tidy("K7o2-9iL1"),
        "as_signed": hex(&enrol::to_sign("K7o2-9iL1", &device)),
        "check_number": enrol::check_number(&hub, &device),
    })
}

fn vectors() -> Value {
    let all = deliveries();
    let device = device_key();
    let public = device.verifying_key().to_bytes();
    let session = session_actor(&public, &NONCE);
    let mut out = Map::new();
    out.insert("protocol".into(), json!(1));
    let given = json!({
        "hub": hex(&HUB.0),
        "site": hex(&SITE.0),
        "log": hex(&[1; 8]),
        "person": hex(&PERSON.0),
        "device_secret": hex(&device.to_bytes()),
        "device_public": hex(&public),
        "device": hex(&device_id(&public).0),
        "hub_secret": hex(&hub_key().to_bytes()),
        "hub_public": hex(&hub_key().verifying_key().to_bytes()),
        "nonce": hex(&NONCE),
        "session_actor": hex(&session.0),
    });
    out.insert("given".into(), given);
    out.insert("deliveries".into(), all.iter().map(of_delivery).collect());
    out.insert("packs".into(), of_packs(&all));
    out.insert("chain".into(), ids_and_chain(&all));
    out.insert("note".into(), of_note());
    out.insert("request".into(), of_request(&all));
    out.insert("reply".into(), of_reply(&all));
    out.insert("pictures".into(), of_pictures());
    out.insert("joining".into(), of_joining());
    Value::Object(out)
}

#[test]
fn the_exchange_speaks_as_its_vectors_say() {
    let made = format!("{:#}\n", vectors());
    let path = fixture::path("frame/v1.json");
    if std::env::var_os("UPDATE_FIXTURES").is_some() {
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(&path, &made).unwrap();
    }
    let kept = std::fs::read_to_string(&path).unwrap_or_default();
    if kept == made {
        return;
    }
    let line = kept.lines().zip(made.lines()).position(|(one, other)| one != other);
    panic!(
        "{} says otherwise from line {} on; a changed vector is a changed protocol, which gets a new version \
         (before there is a release: UPDATE_FIXTURES=1)",
        path.display(),
        line.map_or(1, |line| line + 1)
    );
}

#[test]
fn a_head_is_read_as_it_was_written() {
    for delivery in deliveries() {
        let bytes = delivery.head.to_bytes();
        assert_eq!(Head::from_bytes(&bytes).unwrap(), delivery.head);
        for length in 0..bytes.len() {
            assert!(Head::from_bytes(&bytes[..length]).is_err(), "cut to {length} bytes");
        }
    }
}
