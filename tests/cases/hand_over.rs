//! Two devices hand over without the hub: a file, the same gate, and the hub gets everything once.

use client_core::device::{Device, EntryState, HandWrong, RescueWrong, Step, hand_over_of};
use client_core::record::action::Action;
use client_core::record::code::Phase;
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::id::{ApplianceId, EntryId, SiteId, VisitId};
use server::hub::Hub;
use tests::world::exchange;

use crate::thread::{NOW, Three, load_site, manifold, stamp, three};

fn sheet(site: SiteId) -> DocId {
    DocId::new(site, DocKind::Sheet(VisitId([2; 8]), ApplianceId([1; 8])))
}

/// Everybody has the site.
fn begun(seed: u64) -> Three {
    let mut all = three(seed);
    load_site(&mut all.boss, all.site);
    for device in [&mut all.boss, &mut all.ilse, &mut all.dov] {
        meet(device, &mut all.hub);
    }
    all
}

fn meet(device: &mut Device, hub: &mut Hub) {
    exchange(device, hub, NOW, NOW, vec![]).unwrap();
}

fn read(device: &mut Device, site: SiteId, hundredths: i64) -> EntryId {
    let step = Step::new(sheet(site), Action::Enter(vec![manifold(hundredths, Phase::AsFound)]));
    let by = stamp(device, NOW + 60);
    device.act(&[step], &by).unwrap()[0].entries[0]
}

fn has(device: &mut Device, site: SiteId, entry: EntryId) -> bool {
    device.read_doc(sheet(site)).is_ok_and(|papers| papers.read.entry(entry).is_some())
}

#[test]
fn a_file_brings_the_work_and_whoever_meets_the_hub_brings_it_on() {
    let mut all = begun(1);
    let site = all.site;
    let entry = read(&mut all.ilse, site, 351);
    let file = all.ilse.hand_over().unwrap();
    let report = all.dov.take_hand_over(&file).unwrap();
    assert_eq!((report.taken, report.refused), (1, 0));
    assert_eq!(report.news.entries.values().sum::<u32>(), 1);
    assert!(has(&mut all.dov, site, entry));
    // It is not on the hub, and Dov's phone says so.
    assert_eq!(all.dov.state_of(sheet(site), entry).unwrap(), EntryState::Sealed);
    assert_eq!(all.dov.take_hand_over(&file).unwrap().taken, 0, "taken in twice");
    // Dov builds on it; he reaches the hub first and carries her work there.
    let built = read(&mut all.dov, site, 352);
    meet(&mut all.dov, &mut all.hub);
    assert_eq!(all.dov.state_of(sheet(site), entry).unwrap(), EntryState::OnHub);
    assert_eq!(all.dov.unsent(site).unwrap(), client_core::device::Unsent::default());
    // Ilse comes later: her own is echoed, his is new.
    meet(&mut all.ilse, &mut all.hub);
    assert_eq!(all.ilse.state_of(sheet(site), entry).unwrap(), EntryState::OnHub);
    assert!(has(&mut all.ilse, site, built));
    meet(&mut all.boss, &mut all.hub);
    assert!(has(&mut all.boss, site, entry) && has(&mut all.boss, site, built));
}

#[test]
fn the_writer_may_meet_the_hub_first_and_files_may_go_in_circles() {
    let mut all = begun(2);
    let site = all.site;
    let hers = read(&mut all.ilse, site, 351);
    let file = all.ilse.hand_over().unwrap();
    all.dov.take_hand_over(&file).unwrap();
    let his = read(&mut all.dov, site, 340);
    // The answer holds both: she has hers already.
    let back = all.dov.hand_over().unwrap();
    assert_eq!(all.ilse.take_hand_over(&back).unwrap().taken, 1);
    assert!(has(&mut all.ilse, site, his));
    meet(&mut all.ilse, &mut all.hub);
    meet(&mut all.dov, &mut all.hub);
    for device in [&mut all.ilse, &mut all.dov] {
        assert_eq!(device.unsent(site).unwrap(), client_core::device::Unsent::default());
        assert!(has(device, site, hers) && has(device, site, his));
    }
    // What the hub told already is not taken again.
    assert_eq!(all.dov.take_hand_over(&file).unwrap().taken, 0);
}

#[test]
fn a_damaged_or_foreign_file_changes_nothing() {
    let mut all = begun(3);
    let site = all.site;
    let entry = read(&mut all.ilse, site, 351);
    let file = all.ilse.hand_over().unwrap();
    for at in 0..file.len() {
        for bit in [0, 3, 7] {
            let mut bent = file.clone();
            bent[at] ^= 1 << bit;
            let outcome = all.dov.take_hand_over(&bent);
            // A bit that nobody reads may pass; a bent entry may not.
            let taken = outcome.is_ok_and(|report| report.taken > 0);
            assert!(!taken, "byte {at}, bit {bit}: taken in");
            assert!(!has(&mut all.dov, site, entry), "byte {at}, bit {bit}");
        }
    }
    for length in [0, 7, 8, file.len() / 2, file.len() - 1] {
        assert!(all.dov.take_hand_over(&file[..length]).is_err(), "{length} bytes");
    }
    let mut others = begun(4);
    let outcome = others.dov.take_hand_over(&file);
    assert!(matches!(outcome, Err(HandWrong::OtherHub)), "{outcome:?}");
    assert_eq!(all.dov.take_hand_over(&file).unwrap().taken, 1, "the whole file still passes");
}

/// A phone's store is gone; the copy that it wrote beside it is not.
#[test]
fn what_only_a_lost_store_had_comes_back_out_of_its_copy() {
    let mut all = begun(5);
    let site = all.site;
    assert!(all.ilse.rescue().unwrap().is_empty(), "the hub has everything");
    // One entry is sealed and was never answered, one is not sealed yet.
    let sealed = read(&mut all.ilse, site, 351);
    all.ilse.seal(site).unwrap();
    let fresh = read(&mut all.ilse, site, 352);
    let copy = all.ilse.rescue().unwrap();
    drop(all.ilse.close());
    let random = || -> client_core::device::Random {
        let mut own = tests::world::Seeded::new(9);
        Box::new(move |out: &mut [u8]| own.fill(out))
    };
    let file = hand_over_of(&copy, random()).unwrap();
    assert_eq!(all.dov.take_hand_over(&file).unwrap().taken, 2);
    assert!(has(&mut all.dov, site, sealed) && has(&mut all.dov, site, fresh));
    meet(&mut all.dov, &mut all.hub);
    meet(&mut all.boss, &mut all.hub);
    assert!(has(&mut all.boss, site, sealed) && has(&mut all.boss, site, fresh));
    // A copy that was being written when the phone died is told apart from a whole one.
    for length in [0, 8, 40, copy.len() / 2, copy.len() - 1] {
        let outcome = hand_over_of(&copy[..length], random());
        assert!(matches!(outcome, Err(RescueWrong::NotWhole)), "{length} bytes: {outcome:?}");
    }
}
