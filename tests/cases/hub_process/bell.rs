//! The bell over a real socket.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::time::{Duration, Instant};

use client_core::exchange::bell::{self, BellAsk};
use client_core::exchange::frame;
use client_core::exchange::office::Order;
use client_core::record::id::SiteId;
use server::config::Settings;
use server::serve::{Parts, Server};
use server::worker::NewCode;
use tests::net::{Guest, TempFolder};
use tests::world::Seeded;

use super::{now, technician};
use crate::hub_rules::{SITE, begin, enter};

/// A connection on which a device hears the bell.
struct Listening(BufReader<TcpStream>);

impl Listening {
    fn hang(server: &Server, guest: &mut Guest) -> Listening {
        let ask = frame::encode(&BellAsk { clock: now() });
        let body = guest.device.signed_request(bell::PATH, now(), &ask);
        let mut stream = TcpStream::connect(server.address()).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(10))).unwrap();
        let head = format!(
            "POST {} HTTP/1.1\r\nhost: hub\r\ncontent-length: {}\r\n\r\n",
            bell::PATH,
            body.len()
        );
        stream.write_all(head.as_bytes()).unwrap();
        stream.write_all(&body).unwrap();
        let mut listening = Listening(BufReader::new(stream));
        let status = listening.line();
        assert!(status.starts_with("HTTP/1.1 200"), "{status}");
        let head: Vec<String> =
            (0..30).map(|_| listening.line()).take_while(|line| !line.is_empty()).collect();
        assert!(head.iter().any(|line| line == "content-type: text/event-stream"), "{head:?}");
        assert_eq!(listening.next("event: "), bell::HERE);
        listening
    }

    fn line(&mut self) -> String {
        let mut line = String::new();
        self.0.read_line(&mut line).unwrap();
        line.trim_end().to_owned()
    }

    /// The rest of the next line that begins so.
    fn next(&mut self, begin: &str) -> String {
        loop {
            let mut line = String::new();
            assert!(self.0.read_line(&mut line).unwrap() > 0, "the bell ended before '{begin}'");
            if let Some(rest) = line.trim_end().strip_prefix(begin) {
                return rest.to_owned();
            }
        }
    }

    fn ring(&mut self) -> Vec<SiteId> {
        while self.next("event: ") != bell::RING {}
        bell::sites(&self.next("data: "))
    }

    /// Reads to the end of the answer, or of the connection; says how long that took.
    fn ends(mut self) -> Duration {
        let began = Instant::now();
        let mut line = String::new();
        // The last chunk has no bytes.
        while self.0.read_line(&mut line).unwrap() > 0 && line.trim_end() != "0" {
            line.clear();
        }
        began.elapsed()
    }
}

#[test]
fn the_bell_rings_for_news_keeps_alive_and_ends_with_the_right_to_hear_it() {
    let place = TempFolder::new("bell");
    let mut settings = Settings::in_folder(place.join("hub"));
    settings.waits.bell_quiet = Duration::from_millis(200);
    let server = Server::start(&settings, Parts::default()).unwrap();
    let url = server.url().to_owned();
    let NewCode::Code { code, .. } = server.supervisors_code(false).unwrap() else {
        panic!("no code")
    };
    let mut random = Seeded::new(75);
    let mut boss = Guest::join(&url, &code, "Oriane", &mut random).unwrap();
    begin(&mut boss.device, SITE);
    boss.exchange(&url, now()).unwrap();
    let mut ilse = technician(&url, &mut boss, "Ilse", &mut random);
    let mut dov = technician(&url, &mut boss, "Dov", &mut random);
    let mut hers = Listening::hang(&server, &mut ilse);
    let mut his = Listening::hang(&server, &mut dov);
    hers.next(": ");

    enter(&mut dov.device, SITE, 350);
    assert_eq!(dov.exchange(&url, now()).unwrap().echoed, 1);
    assert_eq!(hers.ring(), [SITE]);
    assert_eq!(ilse.exchange(&url, now()).unwrap().taken, 1);
    // A site that is not theirs does not ring, nor what a device brought itself: the next ring that he
    // hears is of what she brings.
    begin(&mut boss.device, SiteId([9; 8]));
    boss.exchange(&url, now()).unwrap();
    enter(&mut ilse.device, SITE, 351);
    ilse.exchange(&url, now()).unwrap();
    assert_eq!(his.ring(), [SITE]);
    assert_eq!(server.shown().bells, 2);

    let device = ilse.device.identity().device();
    let revoke = Order::Revoke { device, reason: "lost".to_owned() };
    boss.order(&url, now(), &revoke).unwrap();
    assert!(hers.ends() < Duration::from_secs(1), "who was revoked hears nothing more");
    // Stopping does not wait for those who listen.
    let began = Instant::now();
    let ending = std::thread::spawn(move || his.ends());
    server.stop();
    assert!(began.elapsed() < Duration::from_secs(5), "{:?}", began.elapsed());
    ending.join().unwrap();

    // The same folder, once more: everything is there.
    let server = Server::start(&settings, Parts::default()).unwrap();
    assert!(!server.first_start());
    assert_eq!(server.supervisors_code(false).unwrap(), NewCode::NotNeeded);
    boss.exchange(server.url(), now()).unwrap();
    dov.exchange(server.url(), now()).unwrap();
    assert_eq!(super::entries(&mut boss, SITE), 2);
    server.stop();
}

#[test]
fn a_head_that_does_not_come_is_not_waited_for() {
    let place = TempFolder::new("slow");
    let mut settings = Settings::in_folder(place.join("hub"));
    settings.waits.header = Duration::from_millis(200);
    settings.waits.idle = Duration::from_millis(400);
    settings.limits.connections = 4;
    let server = Server::start(&settings, Parts::default()).unwrap();
    let connect = || {
        let stream = TcpStream::connect(server.address()).unwrap();
        stream.set_read_timeout(Some(Duration::from_secs(5))).unwrap();
        stream
    };
    let mut slow = connect();
    slow.write_all(b"POST /exchange/1 HTT").unwrap();
    assert!(Listening(BufReader::new(slow)).ends() < Duration::from_secs(2));
    let mut second = connect();
    second.write_all(b"GET /healthz HTTP/1.1\r\nhost: hub\r\n\r\nGET /heal").unwrap();
    assert!(Listening(BufReader::new(second)).ends() < Duration::from_secs(2));
    // A fifth connection is closed at once.
    let open: Vec<TcpStream> = (0..4).map(|_| connect()).collect();
    std::thread::sleep(Duration::from_millis(50));
    let mut fifth = connect();
    drop(fifth.write_all(b"GET /healthz HTTP/1.1\r\nhost: hub\r\n\r\n"));
    let mut rest = vec![];
    drop(fifth.read_to_end(&mut rest));
    assert_eq!(rest, b"", "{}", String::from_utf8_lossy(&rest));
    drop(open);
    server.stop();
}
