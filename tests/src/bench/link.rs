//! A link between a device and the hub: a proxy on loopback that counts what crosses it and may be as
//! slow as a phone at the edge of its signal.

use std::io::{Read, Write};
use std::net::{Ipv4Addr, Shutdown, SocketAddr, TcpListener, TcpStream};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, channel};
use std::thread;
use std::time::{Duration, Instant};

/// How a link behaves.
#[derive(Clone, Copy, Debug, Default)]
pub struct Pace {
    /// Time that each byte takes, one way.
    pub delay: Duration,
    /// Bits a second, each way; none: as fast as the machine.
    pub bits_per_second: Option<u32>,
}

#[expect(clippy::cast_precision_loss, reason = "counts of bytes on a link are far below 2^52")]
impl Pace {
    /// Nothing added.
    pub const LOOPBACK: Pace = Pace { delay: Duration::ZERO, bits_per_second: None };
    /// The edge of a signal: 150 ms each way, 1 Mbit/s.
    pub const EDGE: Pace =
        Pace { delay: Duration::from_millis(150), bits_per_second: Some(1_000_000) };

    /// Seconds that so many round trips and bytes take at least.
    pub fn least_seconds(self, round_trips: u32, bytes: u64) -> f64 {
        let rate = self.bits_per_second.map_or(f64::INFINITY, f64::from);
        f64::from(round_trips) * 2.0 * self.delay.as_secs_f64() + bytes as f64 * 8.0 / rate
    }

    fn take(self, bytes: usize) -> Duration {
        match self.bits_per_second {
            None => Duration::ZERO,
            Some(rate) => Duration::from_secs_f64(bytes as f64 * 8.0 / f64::from(rate)),
        }
    }
}

/// A link that runs until it is dropped with its process.
#[derive(Clone, Debug)]
pub struct Link {
    /// Where a device connects.
    pub address: SocketAddr,
    counts: Arc<Counts>,
}

#[derive(Debug, Default)]
struct Counts {
    up: AtomicU64,
    down: AtomicU64,
    connections: AtomicU64,
}

impl Link {
    /// A link to a hub.
    ///
    /// # Errors
    /// When no loopback port can be had.
    pub fn to(hub: SocketAddr, pace: Pace) -> std::io::Result<Link> {
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, 0))?;
        let link = Link { address: listener.local_addr()?, counts: Arc::default() };
        let counts = Arc::clone(&link.counts);
        thread::spawn(move || {
            for near in listener.incoming().map_while(Result::ok) {
                counts.connections.fetch_add(1, Ordering::Relaxed);
                let Ok(far) = TcpStream::connect(hub) else { continue };
                let counts = Arc::clone(&counts);
                // A connection that cannot be joined is closed; the device sees a cut link.
                drop(join(near, far, pace, counts));
            }
        });
        Ok(link)
    }

    /// Bytes from the device so far, headers of HTTP and all.
    pub fn up(&self) -> u64 {
        self.counts.up.load(Ordering::Relaxed)
    }

    /// Bytes to the device so far.
    pub fn down(&self) -> u64 {
        self.counts.down.load(Ordering::Relaxed)
    }

    /// Connections made so far.
    pub fn connections(&self) -> u64 {
        self.counts.connections.load(Ordering::Relaxed)
    }
}

fn join(near: TcpStream, far: TcpStream, pace: Pace, counts: Arc<Counts>) -> std::io::Result<()> {
    near.set_nodelay(true)?;
    far.set_nodelay(true)?;
    let (near_in, far_in) = (near.try_clone()?, far.try_clone()?);
    let up = Arc::clone(&counts);
    one_way(near_in, far, pace, move |bytes| {
        up.up.fetch_add(bytes, Ordering::Relaxed);
    });
    one_way(far_in, near, pace, move |bytes| {
        counts.down.fetch_add(bytes, Ordering::Relaxed);
    });
    Ok(())
}

/// Carries bytes one way: each piece leaves when the line is free and arrives after the delay.
fn one_way(mut from: TcpStream, to: TcpStream, pace: Pace, count: impl Fn(u64) + Send + 'static) {
    let (sender, receiver) = channel::<(Instant, Vec<u8>)>();
    thread::spawn(move || arrive(to, &receiver));
    thread::spawn(move || {
        let mut free = Instant::now();
        let mut room = [0; 1_400];
        while let Ok(got) = from.read(&mut room) {
            if got == 0 {
                break;
            }
            count(got as u64);
            free = free.max(Instant::now()) + pace.take(got);
            if sender.send((free + pace.delay, room[..got].to_vec())).is_err() {
                break;
            }
        }
    });
}

fn arrive(mut to: TcpStream, receiver: &Receiver<(Instant, Vec<u8>)>) {
    for (due, bytes) in receiver {
        thread::sleep(due.saturating_duration_since(Instant::now()));
        if to.write_all(&bytes).is_err() {
            break;
        }
    }
    // Both ends see that no more comes; the other direction may go on.
    drop(to.shutdown(Shutdown::Write));
}
