//! One request's misfortune is its own: a panic, a disk that fails, a queue that is full.

use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};
use std::sync::{Arc, Condvar, Mutex};

use axum::http::Method;
use client_core::exchange::frame;
use client_core::exchange::place::Place;
use client_core::record::id::{LogId, SiteId};
use client_core::store::StoreError;
use server::config::Settings;
use server::log::{Arrival, HubLog, LogError, Stored};
use tests::net::Hall;
use tests::net::hall::ask;

use super::{AT, boss, exchange, idle, technician};
use crate::hub_rules::{SITE, begin, enter};
use crate::thread::NOW;

/// What happens at an append.
#[derive(Debug, Default)]
struct Mishap {
    /// Appends for this site panic.
    panics_at: Mutex<Option<SiteId>>,
    /// So many appends fail.
    failures: AtomicU32,
    full: AtomicBool,
    /// Appends wait until they may go on.
    held: Mutex<bool>,
    /// An append waits.
    waits: AtomicBool,
    go: Condvar,
}

#[derive(Debug)]
struct Behind {
    mishap: Arc<Mishap>,
}

struct Trap {
    log: Box<dyn HubLog>,
    mishap: Arc<Mishap>,
}

impl HubLog for Trap {
    fn id(&self) -> LogId {
        self.log.id()
    }

    fn sites(&self) -> Result<Vec<(SiteId, Place)>, LogError> {
        self.log.sites()
    }

    fn end(&self, site: SiteId) -> Result<Place, LogError> {
        self.log.end(site)
    }

    fn append(&mut self, batch: &[(SiteId, Arrival)]) -> Result<(), LogError> {
        let mut held = self.mishap.held.lock().unwrap();
        while *held {
            self.mishap.waits.store(true, Ordering::Release);
            held = self.mishap.go.wait(held).unwrap();
        }
        drop(held);
        let panics_at = *self.mishap.panics_at.lock().unwrap();
        assert!(!batch.iter().any(|(site, _)| Some(*site) == panics_at), "a planned panic");
        let failures = self.mishap.failures.load(Ordering::Relaxed);
        if failures > 0 {
            self.mishap.failures.store(failures - 1, Ordering::Relaxed);
            let wrong = match self.mishap.full.load(Ordering::Relaxed) {
                true => StoreError::Full,
                false => client_core::store::io_error(std::io::Error::other("a planned failure")),
            };
            return Err(wrong.into());
        }
        self.log.append(batch)
    }

    fn after(&self, site: SiteId, n: u64, most: usize) -> Result<Vec<Stored>, LogError> {
        self.log.after(site, n, most)
    }

    fn number(&self, site: SiteId, id: &[u8; 32]) -> Result<Option<u64>, LogError> {
        self.log.number(site, id)
    }

    fn chain_at(&self, site: SiteId, n: u64) -> Result<Option<[u8; 32]>, LogError> {
        self.log.chain_at(site, n)
    }

    fn backed_up(&self, site: SiteId) -> Result<u64, LogError> {
        self.log.backed_up(site)
    }
}

fn trapped(seed: u64, settings: &Settings) -> (Hall, Arc<Mishap>) {
    let mishap = Arc::new(Mishap::default());
    let behind = Behind { mishap: Arc::clone(&mishap) };
    let before = move |log| -> Box<dyn HubLog> {
        Box::new(Trap { log, mishap: Arc::clone(&behind.mishap) })
    };
    (Hall::new(seed, NOW, settings, Some(Arc::new(before))), mishap)
}

const OTHER: SiteId = SiteId([8; 8]);

#[test]
fn a_request_that_panics_is_answered_alone_and_the_hub_goes_on() {
    let (hall, mishap) = trapped(60, &Settings::in_folder(""));
    let mut boss = boss(&hall);
    begin(&mut boss, SITE);
    begin(&mut boss, OTHER);
    exchange(&hall, &mut boss).unwrap();
    let mut ilse = technician(&hall, &mut boss, "Ilse", Some(vec![SITE]));
    let mut dov = technician(&hall, &mut boss, "Dov", Some(vec![OTHER]));
    for device in [&mut ilse, &mut dov] {
        exchange(&hall, device).unwrap();
    }
    enter(&mut ilse, SITE, 350);
    enter(&mut dov, OTHER, 350);
    *mishap.panics_at.lock().unwrap() = Some(SITE);
    // Both are held until both wait, so that they are answered together.
    *mishap.held.lock().unwrap() = true;
    begin(&mut boss, SiteId([9; 8]));
    let bodies = [idle(&mut boss), idle(&mut ilse), idle(&mut dov)];
    let answers: Vec<(u16, String)> = std::thread::scope(|scope| {
        let asks: Vec<_> = bodies
            .iter()
            .map(|body| {
                let (router, body) = (hall.router.clone(), body.clone());
                let ask = scope.spawn(move || {
                    let runtime =
                        tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
                    let asked = ask(router, AT, &Method::POST, frame::PATH, &[], body);
                    let answer = runtime.block_on(asked);
                    (answer.status, String::from_utf8_lossy(&answer.body).into_owned())
                });
                // The first one is being answered before the others come.
                while !mishap.waits.load(Ordering::Acquire) {
                    std::thread::yield_now();
                }
                ask
            })
            .collect();
        std::thread::sleep(std::time::Duration::from_millis(50));
        *mishap.held.lock().unwrap() = false;
        mishap.go.notify_all();
        asks.into_iter().map(|ask| ask.join().unwrap()).collect()
    });
    let statuses: Vec<u16> = answers.iter().map(|(status, _)| *status).collect();
    // After the hub was opened again the counters made before are not fresh: they are answered with the
    // counter to use, and what they brought comes with the next request.
    assert_eq!(statuses[0], 200);
    assert!(statuses[1..].iter().all(|status| [200, 500].contains(status)), "{answers:?}");
    // The worker shows itself after it has answered.
    while hall.shown().panics == 0 {
        std::thread::yield_now();
    }
    let said = exchange(&hall, &mut ilse).unwrap_err();
    let words = "the hub could not work this request out; nothing was taken";
    assert_eq!((said.status, String::from_utf8(said.body).unwrap().as_str()), (500, words));
    assert_eq!(exchange(&hall, &mut dov).unwrap().wrong.len(), 0);
    assert_eq!(dov.unsent(OTHER).unwrap(), client_core::device::Unsent::default());
    *mishap.panics_at.lock().unwrap() = None;
    exchange(&hall, &mut ilse).unwrap();
    exchange(&hall, &mut boss).unwrap();
    let opened = hall.stopped();
    assert_eq!(opened.hub.log().end(SITE).unwrap().n, 2, "nothing was lost, nothing came twice");
    assert_eq!(opened.hub.log().end(OTHER).unwrap().n, 2);
    server::log::check::check(&opened.store.read().unwrap()).unwrap();
}

#[test]
fn what_could_not_be_stored_is_said_and_taken_the_next_time() {
    let (hall, mishap) = trapped(61, &Settings::in_folder(""));
    let mut boss = boss(&hall);
    begin(&mut boss, SITE);
    for (full, status, words) in [
        (false, 500, "the hub could not store it; nothing was taken, try again"),
        (true, 507, "the hub's disk is full; nothing was taken, tell whoever runs the hub"),
    ] {
        mishap.full.store(full, Ordering::Relaxed);
        mishap.failures.store(1, Ordering::Relaxed);
        hall.clock.fetch_add(10, Ordering::Relaxed);
        let said = exchange(&hall, &mut boss).unwrap_err();
        assert_eq!((said.status, String::from_utf8(said.body).unwrap().as_str()), (status, words));
        assert_eq!(boss.unsent(SITE).unwrap().deliveries, 1, "it is kept where it was made");
    }
    hall.clock.fetch_add(10, Ordering::Relaxed);
    assert_eq!(exchange(&hall, &mut boss).unwrap().echoed, 1);
    assert_eq!(hall.shown().reopened, 2, "a store that failed once is opened again");
}

#[test]
fn a_full_queue_turns_away_and_empties_again() {
    let mut settings = Settings::in_folder("");
    settings.limits.queue = 1;
    let (hall, mishap) = trapped(62, &settings);
    let mut boss = boss(&hall);
    begin(&mut boss, SITE);
    let first = idle(&mut boss);
    let others = [idle(&mut boss), idle(&mut boss)];
    *mishap.held.lock().unwrap() = true;
    hall.block_on(async {
        let ask = |body: Vec<u8>| {
            let router = hall.router.clone();
            Box::pin(async move { ask(router, AT, &Method::POST, frame::PATH, &[], body).await })
        };
        let soon = std::time::Duration::from_millis(50);
        let mut pushing = ask(first);
        assert!(tokio::time::timeout(soon, &mut pushing).await.is_err(), "the worker is held");
        let mut waiting = ask(others[0].clone());
        assert!(tokio::time::timeout(soon, &mut waiting).await.is_err(), "one waits");
        let answer = ask(others[1].clone()).await;
        assert_eq!(answer.status, 503);
        let ready =
            tests::net::hall::ask(hall.router.clone(), AT, &Method::GET, "/readyz", &[], vec![])
                .await;
        assert_eq!(ready.status, 503, "not ready while the queue is full");
        *mishap.held.lock().unwrap() = false;
        mishap.go.notify_all();
        assert_eq!((pushing.await.status, waiting.await.status), (200, 200));
        let answer = ask(others[1].clone()).await;
        assert_eq!(answer.status, 200);
    });
}
