//! What stops a fold, and what one request may cost.

use client_core::exchange::codec::squeeze;
use client_core::exchange::frame::{self, Ask, PATH, Reply, SitePack};
use client_core::exchange::note::Says;
use client_core::record::code::Role;
use client_core::record::id::SiteId;
use client_core::store::{MemoryBytes, Store, Table};
use server::log::Arrival;
use tests::world::hub::MANNER;

use crate::hub_rules::{SITE, Yard, begin, enter, meet};
use crate::thread::NOW;

/// The mark of a program that stopped while it folded: site, first arrival of the page, how many times
/// alone, and up to where it goes on carefully.
fn stopped(yard: &mut Yard, n: u64, alone: u32, careful_to: u64) {
    let mut bytes = vec![];
    let mut out = minicbor::Encoder::new(&mut bytes);
    out.map(4).unwrap().u8(0).unwrap().bytes(&SITE.0).unwrap().u8(1).unwrap().u64(n).unwrap();
    out.u8(2).unwrap().u32(alone).unwrap().u8(3).unwrap().u64(careful_to).unwrap();
    let view = MemoryBytes::with(yard.disk.view.content());
    let store = Store::open(view.clone(), MANNER).unwrap();
    let write = store.write().unwrap();
    write.put(Table::Meta, b"about to fold", &bytes).unwrap();
    write.commit().unwrap();
    drop(store);
    yard.restart(yard.disk.log.content(), Some(view.content()));
}

fn refusals(yard: &Yard) -> usize {
    let log = yard.hub.log().after(SITE, 0, usize::MAX).unwrap();
    let refusal = |arrival: &Arrival| match arrival {
        Arrival::Note(note) => matches!(note.says(), Ok(Says::Refusal(_))),
        Arrival::Delivery(_) => false,
    };
    log.iter().filter(|stored| refusal(&stored.arrival)).count()
}

fn five_arrivals(seed: u64) -> Yard {
    let mut yard = Yard::new(seed);
    let mut boss = yard.join("Oriane", Role::Supervisor, None);
    begin(&mut boss, SITE);
    meet(&mut boss, &mut yard.hub);
    for hundredths in 0..4 {
        enter(&mut boss, SITE, 350 + hundredths);
        meet(&mut boss, &mut yard.hub);
    }
    // A view that is there and has folded nothing of the site.
    let fresh = Yard::new(seed);
    yard.restart(yard.disk.log.content(), Some(fresh.disk.view.content()));
    yard
}

#[test]
fn a_kill_in_the_middle_of_a_fold_makes_nobody_guilty() {
    for alone in 0..=2 {
        let mut yard = five_arrivals(30);
        stopped(&mut yard, 1, alone, if alone == 0 { 0 } else { 5 });
        yard.hub.fold().unwrap();
        assert_eq!(yard.hub.view_mut().place(SITE).unwrap().unwrap().n, 5);
        assert_eq!(
            (refusals(&yard), yard.hub.lag().unwrap()),
            (0, 0),
            "stopped {alone} times alone"
        );
    }
}

#[test]
fn an_arrival_that_keeps_stopping_the_program_is_passed_over_and_noted_once() {
    let mut yard = five_arrivals(31);
    stopped(&mut yard, 3, 3, 5);
    let place = |yard: &mut Yard| yard.hub.view_mut().place(SITE).unwrap().unwrap().n;
    yard.hub.fold().unwrap();
    assert_eq!(refusals(&yard), 0, "the fold begins at 1: the mark names another arrival");

    let mut yard = five_arrivals(32);
    stopped(&mut yard, 1, 3, 5);
    yard.hub.fold().unwrap();
    let told = refusals(&yard);
    assert!(told > 0);
    assert_eq!(place(&mut yard), 5 + u64::try_from(told).unwrap());
    assert_eq!(yard.hub.totals().refused, u64::try_from(told).unwrap());
    // A view made anew meets the note, and does not write it a second time.
    for _ in 0..2 {
        yard.restart(yard.disk.log.content(), None);
        yard.hub.fold().unwrap();
        assert_eq!(refusals(&yard), told);
    }
}

#[test]
fn many_small_packs_that_expand_to_much_are_left_for_another_time() {
    let mut yard = Yard::new(33);
    let mut boss = yard.join("Oriane", Role::Supervisor, None);
    let squeezed = squeeze(&vec![0; 4 * 1024 * 1024]);
    let mut bomb = vec![];
    let mut length = squeezed.len();
    while length > 0x7f {
        bomb.push(u8::try_from(length & 0x7f).unwrap() | 0x80);
        length >>= 7;
    }
    bomb.push(u8::try_from(length).unwrap());
    bomb.extend_from_slice(&squeezed);
    let packs: Vec<SitePack> =
        (0..200u8).map(|n| SitePack { site: SiteId([n; 8]), pack: bomb.clone().into() }).collect();
    let ask = Ask { clock: NOW, packs: Some(packs), ..Ask::default() };
    let body = boss.signed_request(PATH, NOW, &frame::encode(&ask));
    assert!(body.len() < frame::REQUEST_BYTES_MAX, "{}", body.len());
    let reply = yard.hub.exchange(NOW, &[&body]).pop().unwrap().unwrap();
    let reply: Reply = frame::decode(&reply, frame::REPLY_BYTES_MAX).unwrap();
    let verdicts = reply.sites.unwrap().iter().filter(|site| site.verdicts.is_some()).count();
    assert_eq!(verdicts, 1, "one pack was read, the others were not expanded");
}
