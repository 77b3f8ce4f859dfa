use ed25519_dalek::{Signer, SigningKey};

use super::*;
use crate::exchange::delivery::{Delivery, DocChanges, device_id};
use crate::record::action::{Action, Setting};
use crate::record::apply::{Pen, apply};
use crate::record::body::{Body, Check, Reading as Measure};
use crate::record::code::unit::UnitCode;
use crate::record::code::{CheckItem, CheckResult, Phase, Quantity, Role};
use crate::record::doc::{Doc, Presence, session_actor};
use crate::record::doc_id::{DocId, DocKind};
use crate::record::field::Field;
use crate::record::id::{ApplianceId, HubId, PersonId, SiteId, VisitId};
use crate::record::stamp::Stamp;
use crate::record::value::{Figure, Measured, Moment};

const HUB: HubId = HubId([7; 8]);
const SITE: SiteId = SiteId([8; 8]);

fn deliveries(count: u32) -> (SigningKey, Vec<Delivery>) {
    let key = SigningKey::from_bytes(&[3; 32]);
    let public = key.verifying_key().to_bytes();
    let nonce = [4; 16];
    let mut pen = Pen::new(session_actor(&public, &nonce), Role::Technician);
    let sheet = DocId::new(SITE, DocKind::Sheet(VisitId([1; 8]), ApplianceId([2; 8])));
    let unit = DocId::new(SITE, DocKind::Appliance(ApplianceId([2; 8])));
    let mut docs = [Doc::begin(sheet, Presence::Whole), Doc::begin(unit, Presence::Whole)];
    let stamp = Stamp::new(PersonId([5; 8]), Moment { secs: 1_700_000_000, offset_min: -300 });
    let mut previous = [0; 32];
    let mut out = vec![];
    for seq in 1..=count {
        let value = Measured::Figure(Figure::new(350 + i64::from(seq), 2, UnitCode(1)));
        let reading = Measure::new(Quantity::ManifoldHigh, value, Phase::AsFound);
        let check =
            Check { item: CheckItem::Spill, result: CheckResult::Pass, note: None, corrects: None };
        let block = Action::Enter(vec![Body::Reading(reading), Body::Check(check)]);
        let plate = Setting {
            field: Field::named("unit/model"),
            value: Field::named("unit/model").parse(&format!("model {seq}")).unwrap(),
            reason: None,
        };
        let note = Action::Write { subject: "job".into(), about: None, text: "salt on rod".into() };
        let first = [block, note]
            .map(|action| apply(&mut docs[0], &[], &action, &stamp, &mut pen).unwrap());
        let second = apply(&mut docs[1], &[], &Action::Set(vec![plate]), &stamp, &mut pen).unwrap();
        let parts = vec![
            DocChanges { doc: sheet, changes: first.map(|delta| delta.bytes).to_vec() },
            DocChanges { doc: unit, changes: vec![second.bytes] },
        ];
        let session = (device_id(&public), nonce);
        let head =
            Delivery::head_of(HUB, SITE, session, (seq, previous), vec![PersonId([5; 8])], &parts)
                .unwrap();
        previous = head.id();
        let signature = key.sign(&head.to_sign()).to_bytes();
        out.push(Delivery { head, signature, docs: parts });
    }
    (key, out)
}

#[test]
fn a_pack_announces_what_it_takes_expanded() {
    let (_, deliveries) = deliveries(3);
    let deliveries: Vec<&Delivery> = deliveries.iter().collect();
    let packed = pack(SITE, &deliveries).unwrap();
    let length = usize::try_from(announced(&packed).unwrap()).unwrap();
    assert!(length > 0 && length < PLAIN_BYTES_MAX, "{length}");
    let plain = pack_plain(&deliveries);
    assert_eq!(announced(&plain), u64::try_from(plain.len()).ok());
    assert_eq!(announced(&[]), None);
}

#[test]
fn deliveries_come_back_to_the_byte() {
    let (key, sent) = deliveries(5);
    let public = key.verifying_key().to_bytes();
    let bytes = pack(SITE, &sent.iter().collect::<Vec<_>>()).unwrap();
    let got = unpack(&bytes, HUB, SITE, &|_| Some(public)).unwrap();
    assert_eq!(got, sent);
    for delivery in &got {
        delivery.check(&public).unwrap();
        assert_eq!(
            crate::exchange::delivery::Head::from_bytes(&delivery.head.to_bytes()).unwrap(),
            delivery.head
        );
    }
    // A part of them, as a later exchange would send it.
    let later = pack(SITE, &[&sent[3]]).unwrap();
    assert_eq!(unpack(&later, HUB, SITE, &|_| Some(public)).unwrap(), sent[3..4]);
    assert!(bytes.len() < 900, "{} bytes for five deliveries of three changes", bytes.len());
}

#[test]
fn an_altered_pack_never_passes() {
    let (key, sent) = deliveries(2);
    let public = key.verifying_key().to_bytes();
    let bytes = pack(SITE, &sent.iter().collect::<Vec<_>>()).unwrap();
    let mut passed = 0;
    for bit in 0..bytes.len() * 8 {
        let mut altered = bytes.clone();
        altered[bit / 8] ^= 1 << (bit % 8);
        let Ok(got) = unpack(&altered, HUB, SITE, &|_| Some(public)) else { continue };
        let whole = got.iter().all(|delivery| delivery.check(&public).is_ok());
        passed += usize::from(whole && got != sent);
    }
    assert_eq!(passed, 0);
    for end in 0..bytes.len() {
        let got = unpack(&bytes[..end], HUB, SITE, &|_| Some(public));
        assert!(got.is_err(), "cut at {end}");
    }
}

#[test]
fn another_key_or_hub_or_site_is_not_taken() {
    let (key, sent) = deliveries(1);
    let public = key.verifying_key().to_bytes();
    let other = SigningKey::from_bytes(&[9; 32]).verifying_key().to_bytes();
    assert!(sent[0].check(&public).is_ok());
    assert!(sent[0].check(&other).is_err());
    let bytes = pack(SITE, &[&sent[0]]).unwrap();
    let elsewhere = unpack(&bytes, HubId([1; 8]), SITE, &|_| Some(public)).unwrap();
    assert!(elsewhere[0].check(&public).is_err());
}
