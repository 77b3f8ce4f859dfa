//! Store files of every format there has been, opened for ever: what was saved then is read now.
//!
//! A new format gets a file of its own, made once with `UPDATE_FIXTURES=1` by the program that first wrote
//! it; files that are there are never made anew.

use client_core::device::{Device, EntryState, Step};
use client_core::record::action::Action;
use client_core::record::code::{Phase, Role};
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::id::{ApplianceId, VisitId};
use client_core::store::{FORMAT, Manner, MemoryBytes, Store, StoreError, Table};
use server::folder::FolderWrong;
use tests::fixture;
use tests::world::hub::{MANNER, store_on};
use tests::world::{Seeded, exchange, hub_on};

use crate::hub_rules::{SITE, Yard, begin, enter, meet};
use crate::thread::{NOW, Three, load_site, manifold, stamp, three};

const UNIT: ApplianceId = ApplianceId([1; 8]);
const VISIT: VisitId = VisitId([2; 8]);

/// The bytes of a stored file; where there is none for this format yet, those that are made are stored.
fn golden(name: &str, make: impl FnOnce() -> Vec<u8>) -> Vec<u8> {
    let path = fixture::path(&format!("store/v{FORMAT}")).join(name);
    if !path.exists() && std::env::var_os("UPDATE_FIXTURES").is_some() {
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(&path, zstd::encode_all(make().as_slice(), 19).unwrap()).unwrap();
    }
    let stored = std::fs::read(&path).unwrap_or_else(|wrong| {
        panic!("{}: {wrong}; make it once with UPDATE_FIXTURES=1", path.display())
    });
    zstd::decode_all(stored.as_slice()).unwrap()
}

/// A technician's day in the middle: a site fetched, one entry saved and not sent, one half typed.
fn day() -> Vec<u8> {
    let Three { mut hub, mut boss, ilse, site, .. } = three(4);
    load_site(&mut boss, site);
    exchange(&mut boss, &mut hub, NOW, NOW, vec![]).unwrap();
    let bytes = MemoryBytes::default();
    let mut phone = Device::enrol(store_on(bytes.clone(), MANNER).unwrap(), ilse.identity(), {
        Seeded::new(44).source()
    })
    .unwrap();
    drop(ilse);
    exchange(&mut phone, &mut hub, NOW, NOW, vec![]).unwrap();
    let sheet = DocId::new(site, DocKind::Sheet(VISIT, UNIT));
    let by = stamp(&phone, NOW + 60);
    phone
        .act(&[Step::new(sheet, Action::Enter(vec![manifold(348, Phase::AsFound)]))], &by)
        .unwrap();
    phone.put_draft("block", b"3.4").unwrap();
    drop(phone.close());
    bytes.content()
}

/// A hub that one device joined and brought two deliveries.
fn yard() -> Vec<u8> {
    let mut yard = Yard::new(4);
    let mut boss = yard.join("Oriane", Role::Supervisor, None);
    begin(&mut boss, SITE);
    meet(&mut boss, &mut yard.hub);
    enter(&mut boss, SITE, 350);
    meet(&mut boss, &mut yard.hub);
    yard.disk.log.content()
}

#[test]
fn a_devices_store_of_every_format_opens() {
    let bytes = golden("device.redb.zst", day);
    let store = Store::open(MemoryBytes::with(bytes), Manner::DEVICE).unwrap();
    let mut phone = Device::open(store, Seeded::new(9).source()).unwrap();
    let sites = phone.sites().unwrap();
    let site = sites.iter().find(|(_, _, row)| row.is_some()).unwrap().0;
    assert_eq!(phone.units(site).unwrap()[0].row.unit_no, "UH-05");
    assert_eq!(phone.draft("block").unwrap().as_deref(), Some(&b"3.4"[..]));
    assert_eq!(phone.unsent_entries(site).unwrap(), 1);
    let opened = phone.open_visit(site, VISIT).unwrap();
    let file = opened.file();
    let entry = file.units[0].sheet.as_ref().unwrap().read.entries[0].id;
    let sheet = DocId::new(site, DocKind::Sheet(VISIT, UNIT));
    assert_eq!(phone.state_of(sheet, entry).unwrap(), EntryState::Here);
    // It is not only read: the next entry stands beside the old one.
    let by = stamp(&phone, NOW + 120);
    phone.act(&[Step::new(sheet, Action::Enter(vec![manifold(350, Phase::AsLeft)]))], &by).unwrap();
    assert_eq!(phone.unsent_entries(site).unwrap(), 2);
}

#[test]
fn a_hubs_log_of_every_format_opens() {
    let bytes = golden("log.redb.zst", yard);
    let mut random = Seeded::new(9);
    let log = MemoryBytes::with(bytes);
    let hub = hub_on(log.clone(), MemoryBytes::default(), &mut random).unwrap();
    let ends = hub.log().sites().unwrap();
    assert_eq!(ends.len(), 2, "the company's and one site's");
    for (site, end) in ends {
        let all = hub.log().after(site, 0, usize::MAX).unwrap();
        assert_eq!(all.last().unwrap().chain, end.chain);
    }
    assert_eq!(hub.log().end(SITE).unwrap().n, 2);
}

#[test]
fn a_store_of_a_newer_program_says_both_versions() {
    let bytes = MemoryBytes::default();
    let store = store_on(bytes.clone(), MANNER).unwrap();
    let write = store.write().unwrap();
    write.put(Table::Meta, b"format", &(FORMAT + 8).to_be_bytes()).unwrap();
    write.commit().unwrap();
    drop(store);
    let wrong = Store::open(bytes, MANNER).unwrap_err();
    let StoreError::Newer { found, known } = wrong else { panic!("{wrong}") };
    assert_eq!((found, known), (FORMAT + 8, FORMAT));
    let words = StoreError::Newer { found, known }.to_string();
    assert!(words.contains(&found.to_string()) && words.contains(&known.to_string()), "{words}");
    let path = std::path::PathBuf::from("log.redb");
    let words = FolderWrong::Newer { path, found, known }.to_string();
    assert!(words.contains(&found.to_string()) && words.contains("log.redb"), "{words}");
}

#[test]
fn a_bent_file_is_a_damaged_store_and_no_panic() {
    let bytes = MemoryBytes::default();
    drop(store_on(bytes.clone(), MANNER).unwrap());
    let whole = bytes.content();
    // Not read through when it is opened, as a store too large for that is not.
    let manner = Manner { check_up_to_bytes: 0, ..Manner::DEVICE };
    let mut refused = 0;
    for at in 0..512 {
        for bit in [0, 3, 7] {
            let mut bent = whole.clone();
            bent[at] ^= 1 << bit;
            refused += u32::from(Store::open(MemoryBytes::with(bent), manner).is_err());
        }
    }
    assert!(refused > 50, "only {refused} of the bent headers were noticed");
    for length in (0..whole.len()).step_by(977) {
        let cut = MemoryBytes::with(whole[..length].to_vec());
        assert!(Store::open(cut, manner).is_err(), "cut to {length} bytes");
    }
}
