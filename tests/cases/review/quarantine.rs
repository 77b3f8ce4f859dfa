//! Changes that did not pass the gate: what their page says, and a supervisor's word on one.

use automerge::transaction::Transactable;
use client_core::device::{Device, Step};
use client_core::exchange::delivery::{Delivery, DocChanges};
use client_core::exchange::frame::{self, Ask, SitePack};
use client_core::exchange::pack::pack_plain;
use client_core::record::action::Action;
use client_core::record::code::{Phase, Role};
use client_core::record::doc::{first_change, session_actor};
use client_core::record::doc_id::{DocId, DocKind};
use tests::net::Desk;
use tests::net::desk::value_of;

use super::{AT, Firm, SITE, UNIT, VISIT, code_for, exchange, firm, visit_path};
use crate::thread::{NOW, manifold, stamp};

/// A delivery of a person's own device, rightly signed, with a change in it that is none: it ends inside an
/// object that nobody made.
fn broken(device: &Device, sheet: DocId) -> Delivery {
    let identity = device.identity();
    let nonce = [5; 16];
    let actor = session_actor(&identity.public(), &nonce);
    let mut document = automerge::Automerge::new();
    document.apply_changes([first_change(sheet)]).unwrap();
    let mut document = document.with_actor(automerge::ActorId::from(&actor.0[..]));
    let mut draft = document.transaction();
    let mut object = automerge::ROOT;
    for _ in 0..40 {
        object = draft.put_object(&object, "deeper", automerge::ObjType::Map).unwrap();
    }
    draft.commit_with(automerge::transaction::CommitOptions::default().with_time(0));
    let change = document.get_last_local_change().unwrap().raw_bytes().to_vec();
    let docs = vec![DocChanges { doc: sheet, changes: vec![change] }];
    let session = (identity.device(), nonce);
    let persons = vec![identity.person];
    let head =
        Delivery::head_of(identity.hub, sheet.site, session, (1, [0; 32]), persons, &docs).unwrap();
    let key = ed25519_dalek::SigningKey::from_bytes(&identity.secret);
    let signature = ed25519_dalek::Signer::sign(&key, &head.to_sign()).to_bytes();
    Delivery { head, signature, docs }
}

#[test]
fn quarantine_says_what_was_refused_and_why_and_keeps_a_supervisors_word() {
    let Firm { hall, mut boss, mut ilse, mut desk } = firm(124);
    let page = desk.page(&hall, "/review/quarantine");
    assert!(page.contains("Quarantine") && page.contains("nothing"), "{page}");
    let sheet = DocId::new(SITE, DocKind::Sheet(VISIT, UNIT));
    let delivery = broken(&ilse, sheet);
    let pack = SitePack { site: SITE, pack: pack_plain(&[&delivery]).into() };
    let ask = frame::encode(&Ask { clock: NOW, packs: Some(vec![pack]), ..Ask::default() });
    let body = ilse.signed_request(frame::PATH, NOW, &ask);
    let answer = hall.post(AT, frame::PATH, &body);
    assert_eq!(answer.status, 200, "{}", answer.text());
    // It stops nothing else: her other work goes on and is shown.
    let by = stamp(&ilse, NOW);
    let good = Action::Enter(vec![manifold(346, Phase::AsLeft)]);
    ilse.act(&[Step::new(sheet, good)], &by).unwrap();
    exchange(&hall, &mut ilse);
    assert!(desk.page(&hall, &visit_path()).contains("3.46"));

    let page = desk.page(&hall, "/review/quarantine");
    for words in ["Ostrel Road", "a visit", "Ilse", "Say what became of it"] {
        assert!(page.contains(words), "{words}: {page}");
    }
    let change = value_of(&page, "change").unwrap();
    let site = SITE.to_string();
    let mut fields = vec![("site", site.as_str()), ("change", &change), ("reason", "")];
    let post = "/review/quarantine/word";
    assert_eq!(desk.post(&hall, post, &fields).status, 422, "a word is words");
    fields[2].1 = "entered again on her phone, 9 October";
    let code = code_for(&hall, &mut boss, None, Role::Office, None);
    let mut office = Desk::joined(&hall, "192.0.2.31", &code, "Second");
    let page = office.page(&hall, "/review/quarantine");
    assert!(page.contains("none yet") && !page.contains("Say what became"), "{page}");
    assert_eq!(office.post(&hall, post, &fields).status, 403);
    assert_eq!(desk.post(&hall, post, &fields).status, 303);
    let page = desk.page(&hall, "/review/quarantine");
    assert!(page.contains("entered again on her phone, 9 October") && page.contains("Oriane"));
    assert!(!page.contains("Say what became of it"), "one word is enough: {page}");
    assert_eq!(desk.post(&hall, post, &fields).status, 409);
    assert!(desk.page(&hall, "/review/audit").contains("said what became of a refused change"));
    // The change itself stays out, on the pages and on the devices.
    exchange(&hall, &mut boss);
    let papers = boss.read_doc(sheet).unwrap();
    assert!(
        papers
            .read
            .entries
            .iter()
            .all(|entry| entry.id.actor
                != session_actor(&ilse.identity().public(), &[5; 16],).half())
    );
}
