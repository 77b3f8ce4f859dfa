//! The exchange, step by step: the scripts carry the bytes.

use client_core::device::{DeviceError, Wish};
use client_core::exchange::bell::{BellAsk, PATH as BELL};
use client_core::exchange::frame;
use client_core::exchange::talk::{Next, Talk};
use client_core::record::mark::CLOCK_SHOWN_S;
use client_core::record::value::Moment;

use super::state::Exchanging;
use super::{App, Effect};

/// Something in an exchange went wrong; in words.
#[derive(Debug, thiserror::Error)]
pub enum ExchangeFailed {
    /// The device failed.
    #[error(transparent)]
    Device(#[from] DeviceError),
    /// The hub's reply does not read.
    #[error("{0}")]
    Reply(String),
}

impl App {
    /// The next request of an exchange, as it travels. Begins one where none runs.
    pub fn exchange_request(&mut self, now: Moment) -> Result<Vec<u8>, DeviceError> {
        self.now = now;
        if self.talk.is_none() {
            self.report = client_core::device::Report::default();
        }
        let mut talk = self.talk.take().unwrap_or_else(|| Talk::new(vec![]));
        let wish = Wish { clock: now.secs, today: now.day().0 };
        let request = self.device.request(&mut talk, wish);
        self.state.exchanging = Exchanging::Runs { rounds: talk.rounds() };
        self.talk = Some(talk);
        request
    }

    /// A request with what waits, for the browser to send when a signal comes back though the program is
    /// closed; empty when nothing waits. Not where the clock is known to be wrong: the hub could not tell
    /// that from a request which has waited.
    pub fn prepared_request(&mut self, now: Moment) -> Result<Vec<u8>, DeviceError> {
        if self.talk.is_some() || self.set.ahead_s.is_some_and(|ahead| ahead.abs() > CLOCK_SHOWN_S)
        {
            return Ok(vec![]);
        }
        let wish = Wish { clock: now.secs, today: now.day().0 };
        Ok(self.device.prepared_request(wish)?.unwrap_or_default())
    }

    /// Takes a reply in. True: ask again.
    pub fn exchange_reply(&mut self, now: Moment, bytes: &[u8]) -> Result<bool, ExchangeFailed> {
        self.now = now;
        let Some(mut talk) = self.talk.take() else { return Ok(false) };
        let heard = self.device.hear(&mut talk, now.secs, bytes, &mut self.report);
        match heard {
            Ok(Next::Again) => {
                self.talk = Some(talk);
                Ok(true)
            }
            Ok(next) => {
                self.after_exchange(next == Next::Stuck)?;
                Ok(false)
            }
            Err(wrong) => {
                let words = wrong.to_string();
                self.exchange_failed(&words);
                Err(ExchangeFailed::Reply(words))
            }
        }
    }

    fn after_exchange(&mut self, stuck: bool) -> Result<(), DeviceError> {
        self.state.exchanging = if stuck {
            let words = "something waits that the hub does not take yet; it is tried again";
            Exchanging::Failed(self.set.language().say(words).to_owned())
        } else {
            Exchanging::Done
        };
        self.set.exchanged = Some(self.now.secs);
        self.set.ahead_s = self.report.ahead_s.or(self.set.ahead_s);
        self.changed += 1;
        if self.unsent()? == 0 {
            self.set.unsent_since = None;
        }
        self.keep_settings()?;
        self.choose_visit()?;
        self.device.want_photos_of(&self.report)?;
        if self.report.revoked.is_some() || !self.report.news.entries.is_empty() {
            self.effects.push(Effect::Buzz(2));
        }
        Ok(())
    }

    /// The exchange did not go through. Nothing is lost; it is tried again.
    pub fn exchange_failed(&mut self, words: &str) {
        self.talk = None;
        self.state.exchanging = Exchanging::Failed(words.to_owned());
    }

    /// Another phone's hand-over file. False: nothing of it was taken in, and the screen says why.
    pub fn take_in(&mut self, now: Moment, bytes: &[u8]) -> bool {
        self.now = now;
        self.changed += 1;
        let language = self.set.language();
        let outcome = self.device.take_hand_over(bytes);
        let taken = outcome.is_ok();
        self.state.notice = Some(match outcome {
            Ok(report) if report.taken == 0 => {
                language.say("Everything in this file is here already.").to_owned()
            }
            Ok(report) => {
                let entries: u32 = report.news.entries.values().sum();
                self.effects.push(Effect::Buzz(1));
                self.report = report;
                if self.set.unsent_since.is_none() {
                    self.set.unsent_since = Some(self.now.secs);
                }
                language.fill(
                    "{} entries taken in. They count as on the hub when the hub says so.",
                    &[&entries.to_string()],
                )
            }
            Err(wrong) => {
                self.effects.push(Effect::Buzz(2));
                language.wrong(&wrong.to_string())
            }
        });
        if let Err(wrong) = self.keep_settings() {
            self.fail(&wrong);
        }
        taken
    }

    /// A signed request to hear the bell.
    pub fn bell_request(&mut self, now: Moment) -> Vec<u8> {
        let ask = frame::encode(&BellAsk { clock: now.secs });
        self.device.signed_request(BELL, now.secs, &ask)
    }
}
