//! Messages on the way: lost, doubled, late, cut short.

use client_core::device::{Device, DeviceError, ReplyWrong, Wish};
use client_core::exchange::frame::{self, Envelope, Reply};
use client_core::exchange::talk::{Next, Talk};
use server::hub::Turn;

use super::node::Call;
use super::{Sim, Step, words};

/// Something on the way between a device and the hub.
#[derive(Clone, Debug)]
pub(super) struct Message {
    /// Which machine.
    pub(super) node: usize,
    /// Which request it is, or answers.
    pub(super) serial: u64,
    /// The hub's, not the device's.
    pub(super) reply: bool,
    /// The bytes.
    pub(super) bytes: Vec<u8>,
}

impl Sim {
    /// A device begins an exchange.
    pub(super) fn call(&mut self, node: usize) -> Step {
        if self.nodes[node].cut || self.nodes[node].device.is_none() {
            return Ok(());
        }
        if self.nodes[node].call.take().is_some() {
            self.counts.add("call given up");
        }
        self.note(format!("{} calls", self.nodes[node].name));
        self.nodes[node].call = Some(Call { talk: Talk::new(vec![]), ..Call::default() });
        self.request(node)
    }

    /// Sends the next request of a call.
    fn request(&mut self, node: usize) -> Step {
        let clock = self.clock + self.nodes[node].ahead;
        let today = i32::try_from(clock.div_euclid(86_400)).unwrap_or_default();
        let own = &mut self.nodes[node];
        let (Some(call), Some(device)) = (own.call.as_mut(), own.device.as_mut()) else {
            return Ok(());
        };
        match device.request(&mut call.talk, Wish { clock, today }) {
            Ok(bytes) => {
                self.serial += 1;
                call.serial = self.serial;
                self.wire.push(Message { node, serial: self.serial, reply: false, bytes });
                self.after_device(node)
            }
            Err(DeviceError::Store(_)) => self.device_failed(node),
            Err(wrong) => Err(format!("{} cannot ask: {wrong}", self.nodes[node].name)),
        }
    }

    /// A message arrives, any of those on the way.
    pub(super) fn deliver(&mut self, stays: bool) -> Step {
        if self.wire.is_empty() {
            return Ok(());
        }
        let at = self.random.index(self.wire.len());
        if at > 0 {
            self.counts.add("message out of order");
        }
        let message = match stays {
            true => {
                self.counts.add("message twice");
                self.wire[at].clone()
            }
            false => self.wire.remove(at),
        };
        if self.nodes[message.node].cut {
            self.counts.add("message lost");
            return Ok(());
        }
        if message.reply {
            return self.reply_arrives(&message);
        }
        let mut together = vec![message];
        while self.random.percent(30) {
            let more = self.wire.iter().position(|one| !one.reply && !self.nodes[one.node].cut);
            let Some(more) = more else { break };
            together.push(self.wire.remove(more));
        }
        if together.len() > 1 {
            self.counts.add("requests answered together");
        }
        self.requests_arrive(&together)
    }

    /// A message is lost; a device that waited for it gives up.
    pub(super) fn lose(&mut self) {
        if !self.wire.is_empty() {
            let at = self.random.index(self.wire.len());
            let message = self.wire.remove(at);
            self.counts.add("message lost");
            self.note(format!("a message of {} is lost", self.nodes[message.node].name));
            self.give_up(&message);
        }
    }

    fn give_up(&mut self, message: &Message) {
        let call = &mut self.nodes[message.node].call;
        if call.as_ref().is_some_and(|call| call.serial == message.serial) {
            *call = None;
            self.counts.add("call given up");
        }
    }

    /// A message arrives cut short.
    pub(super) fn cut_short(&mut self) -> Step {
        if self.wire.is_empty() {
            return Ok(());
        }
        let at = self.random.index(self.wire.len());
        let mut message = self.wire.remove(at);
        let end = self.random.index(message.bytes.len());
        message.bytes.truncate(end);
        self.counts.add("message cut short");
        self.note(format!("a message of {} is cut at {end}", self.nodes[message.node].name));
        if message.reply { self.reply_arrives(&message) } else { self.requests_arrive(&[message]) }
    }

    fn requests_arrive(&mut self, messages: &[Message]) -> Step {
        let now = self.clock + self.hub.ahead;
        let bodies: Vec<&[u8]> = messages.iter().map(|message| &message.bytes[..]).collect();
        let Some(hub) = self.hub.hub.as_mut() else {
            for message in messages {
                self.give_up(message);
            }
            return Ok(());
        };
        let replies = hub.exchange(now, &bodies);
        let mut failed = None;
        for (message, reply) in messages.iter().zip(replies) {
            match reply {
                Ok(bytes) => {
                    self.nothing_for_the_revoked(message, &bytes)?;
                    let Message { node, serial, .. } = *message;
                    self.wire.push(Message { node, serial, reply: true, bytes });
                }
                Err(Turn::Unknown) => {
                    // A restored hub may have lost the certificate that it gave.
                    let device = self.nodes[message.node].device.as_mut();
                    let shown = device.map(Device::introduce).transpose();
                    self.counts.add("certificate shown again");
                    self.give_up(message);
                    if shown.is_err() {
                        self.device_failed(message.node)?;
                    }
                }
                Err(Turn::Frame(_) | Turn::Signature | Turn::Role) => self.give_up(message),
                Err(wrong) => {
                    failed = Some(words(wrong));
                    self.give_up(message);
                }
            }
        }
        match failed {
            Some(wrong) => self.hub_failed(&wrong),
            None => self.after_hub(),
        }
    }

    /// Nothing new goes down to a revoked key.
    fn nothing_for_the_revoked(&self, message: &Message, bytes: &[u8]) -> Step {
        let device = Envelope::open(&message.bytes).map(|envelope| envelope.device);
        let hub = self.hub.hub.as_ref().ok_or("no hub")?;
        let revoked = device.ok().and_then(|device| hub.access().device(device));
        if revoked.is_none_or(|enrolled| enrolled.revoked.is_none()) {
            return Ok(());
        }
        let reply: Reply = frame::decode(bytes, usize::MAX).map_err(words)?;
        let told = reply.sites.iter().flatten().any(|site| {
            site.told.is_some()
                || site.pack.is_some()
                || site.started.is_some()
                || site.docs.is_some()
                || site.rows.is_some()
        });
        match told || reply.people.is_some() {
            true => Err("a revoked device was told something new".to_owned()),
            false => Ok(()),
        }
    }

    fn reply_arrives(&mut self, message: &Message) -> Step {
        let node = message.node;
        let clock = self.clock + self.nodes[node].ahead;
        let own = &mut self.nodes[node];
        let (Some(call), Some(device)) = (own.call.as_mut(), own.device.as_mut()) else {
            return Ok(());
        };
        if call.serial != message.serial {
            // Late: most programs drop it; one that does not must not suffer.
            if !self.random.percent(30) {
                return Ok(());
            }
            self.counts.add("stale reply heard");
        }
        let next = device.hear(&mut call.talk, clock, &message.bytes, &mut call.report);
        match next {
            Ok(Next::Again) => {
                self.seen_in(node, &message.bytes);
                self.after_device(node)?;
                self.request(node)
            }
            Ok(Next::Done | Next::Stuck) => {
                self.seen_in(node, &message.bytes);
                self.counts.add("call done");
                self.nodes[node].call = None;
                self.after_device(node)
            }
            Err(ReplyWrong::Device(DeviceError::Store(_))) => self.device_failed(node),
            Err(ReplyWrong::Device(wrong)) => Err(words(wrong)),
            Err(_) => {
                self.counts.add("call given up");
                self.nodes[node].call = None;
                self.after_device(node)
            }
        }
    }

    /// Counts what a reply brought.
    pub(super) fn seen_in(&mut self, node: usize, bytes: &[u8]) {
        self.nodes[node].restores_met = self.hub.restores;
        let Ok(reply) = frame::decode::<Reply>(bytes, usize::MAX) else { return };
        for site in reply.sites.iter().flatten() {
            if site.told.is_some() && site.more == Some(true) {
                self.counts.add("several pages");
            }
            if site.common.is_some() {
                self.counts.add("ladder climbed");
            }
            if site.started.is_some() {
                self.counts.add("first exchange by rows");
            } else if site.assigned.is_some() {
                self.counts.add("first exchange by the whole log");
            }
        }
    }
}
