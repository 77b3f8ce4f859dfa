//! Who sends: the address that is counted, and how many requests it has under way.

use std::collections::BTreeMap;
use std::net::{IpAddr, SocketAddr};
use std::sync::{Arc, Mutex, PoisonError};

use axum::extract::ConnectInfo;
use axum::http::HeaderMap;

use super::refusal::Refusal;
use super::{App, Peer};

const FORWARDED_FOR: &str = "x-forwarded-for";

/// An address as it is counted: one for IPv4; the network of 64 bits for IPv6, for whoever has one such
/// address has all of them.
pub(super) fn counted(address: IpAddr) -> String {
    match address.to_canonical() {
        IpAddr::V4(address) => address.to_string(),
        IpAddr::V6(address) => {
            let [a, b, c, d, ..] = address.segments();
            format!("{a:x}:{b:x}:{c:x}:{d:x}::/64")
        }
    }
}

/// The address that a request comes from.
pub(super) fn address(app: &App, peer: &Peer, headers: &HeaderMap) -> Option<IpAddr> {
    let direct = peer.as_ref().map(|peer| {
        let ConnectInfo(address): ConnectInfo<SocketAddr> = peer.0;
        address.ip()
    });
    if !app.rules.behind_proxy {
        return direct;
    }
    // The last address is the one that our own proxy saw; those before it are what it was told.
    let told = headers.get_all(FORWARDED_FOR).iter().next_back();
    let told = told.and_then(|told| told.to_str().ok()?.rsplit(',').next()?.trim().parse().ok());
    told.or(direct)
}

/// Whether a request comes from this machine, with no proxy between.
pub(super) fn is_local(peer: &Peer, headers: &HeaderMap) -> bool {
    let direct = peer.as_ref().is_some_and(|peer| {
        let ConnectInfo(address): ConnectInfo<SocketAddr> = peer.0;
        address.ip().to_canonical().is_loopback()
    });
    let between = [FORWARDED_FOR, "forwarded", "via", "x-real-ip"];
    direct && !between.iter().any(|name| headers.contains_key(*name))
}

/// Requests under way.
#[derive(Debug)]
pub(super) struct InFlight {
    all: usize,
    each: usize,
    now: Arc<Mutex<Now>>,
}

#[derive(Debug, Default)]
struct Now {
    all: usize,
    each: BTreeMap<String, usize>,
}

/// One request under way; it ends when this is dropped.
#[derive(Debug)]
pub(super) struct Slot {
    sender: String,
    now: Arc<Mutex<Now>>,
}

impl InFlight {
    pub(super) fn new(all: usize, each: usize) -> InFlight {
        InFlight { all, each, now: Arc::default() }
    }

    /// Lets a request in, unless too many are under way.
    pub(super) fn enter(&self, sender: &str) -> Result<Slot, Refusal> {
        let mut now = self.now.lock().unwrap_or_else(PoisonError::into_inner);
        let own = now.each.get(sender).copied().unwrap_or_default();
        if now.all >= self.all || own >= self.each {
            return Err(Refusal::Busy);
        }
        now.all += 1;
        now.each.insert(sender.to_owned(), own + 1);
        Ok(Slot { sender: sender.to_owned(), now: Arc::clone(&self.now) })
    }
}

impl Drop for Slot {
    fn drop(&mut self) {
        let mut now = self.now.lock().unwrap_or_else(PoisonError::into_inner);
        now.all = now.all.saturating_sub(1);
        match now.each.get_mut(&self.sender) {
            Some(own) if *own > 1 => *own -= 1,
            _ => drop(now.each.remove(&self.sender)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_network_of_ipv6_counts_as_one_sender() {
        let counted = |text: &str| counted(text.parse().unwrap());
        assert_eq!(counted("192.0.2.7"), "192.0.2.7");
        assert_eq!(counted("::ffff:192.0.2.7"), "192.0.2.7");
        assert_eq!(counted("2001:db8:1:2:3::4"), counted("2001:db8:1:2:ffff::1"));
        assert_ne!(counted("2001:db8:1:2::1"), counted("2001:db8:1:3::1"));
    }

    #[test]
    fn one_sender_does_not_take_all_the_room() {
        let room = InFlight::new(3, 2);
        let first = [room.enter("a").unwrap(), room.enter("a").unwrap()];
        assert!(room.enter("a").is_err());
        let other = room.enter("b").unwrap();
        assert!(room.enter("c").is_err(), "all are taken");
        drop(first);
        assert!(room.enter("a").is_ok() && room.enter("c").is_ok());
        drop(other);
        assert_eq!(room.now.lock().unwrap().each.len(), 0, "nobody is remembered");
    }
}
