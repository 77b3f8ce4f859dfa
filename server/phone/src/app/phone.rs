//! The phone itself: settings, timers, instruments, what is shown, the lamp, the clipboard, files.

use client_core::device::DeviceError;
use client_core::record::action::Action;
use client_core::record::body::Bump;
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::id::EntryId;

use super::state::Timer;
use super::{App, Effect};
use crate::tap::{Deed, Place};

/// More timers than a pocket can tell apart.
const TIMERS_MAX: usize = 8;

impl App {
    pub(super) fn at_the_phone(&mut self, deed: Deed) -> Result<(), DeviceError> {
        match deed {
            Deed::Order {} => {
                self.set.walk = Some(self.set.walk != Some(true));
                self.keep_settings()
            }
            Deed::Show { what } => {
                self.set.show = Some(what.0);
                self.keep_settings()
            }
            Deed::Label {} => self.scanned(),
            Deed::Sync {} => {
                self.effects.push(Effect::Exchange);
                Ok(())
            }
            Deed::Export {} => {
                self.file = Some(self.device.hand_over()?);
                let day = self.now.day();
                self.effects.push(Effect::File(format!("hand-over-{day}.dripleg")));
                Ok(())
            }
            Deed::TakeIn {} => {
                self.effects.push(Effect::Pick);
                Ok(())
            }
            Deed::Use { kind, entry } => {
                self.set.instruments.insert(kind.code(), entry);
                self.keep_settings()
            }
            Deed::Zero { entry } => self.zero(entry),
            Deed::Timer { what, seconds } => {
                let unit = self.state.stack.iter().rev().find_map(Place::unit);
                let unit = match (unit, self.set.site) {
                    (Some(unit), Some(site)) => self
                        .device
                        .units(site)?
                        .into_iter()
                        .find(|listed| listed.id == unit)
                        .map(|listed| listed.row.unit_no),
                    _ => None,
                };
                self.state.timers.truncate(TIMERS_MAX - 1);
                let what = what.0.replace('_', " ");
                let until = self.now.secs + i64::from(seconds);
                self.state.timers.push(Timer { unit: unit.unwrap_or_default(), what, until });
                Ok(())
            }
            Deed::TimerOff { n } => {
                if usize::from(n) < self.state.timers.len() {
                    self.state.timers.remove(usize::from(n));
                }
                Ok(())
            }
            Deed::Set { what, to } => self.set_to(&what.0, to.0),
            Deed::Copy { what } => {
                if let Some(text) = self.state.form.get(&what.0) {
                    self.effects.push(Effect::Copy(text.clone()));
                    self.state.copied = true;
                }
                Ok(())
            }
            Deed::Lamp {} => {
                self.effects.push(Effect::Lamp);
                Ok(())
            }
            Deed::Open {} => self.choose_visit(),
            _ => Ok(()),
        }
    }

    fn set_to(&mut self, what: &str, to: String) -> Result<(), DeviceError> {
        match what {
            "language" => self.set.language = Some(to),
            "theme" => self.set.theme = Some(to),
            "size" => self.set.size = Some(to),
            "units" => self.set.metric = Some(to == "metric"),
            "renew" => self.effects.push(Effect::Renew),
            _ => return Ok(()),
        }
        self.keep_settings()
    }

    /// A unit label: the unit no., or a link that ends with the appliance's id.
    fn scanned(&mut self) -> Result<(), DeviceError> {
        let Some(text) = self.state.form.remove("label") else {
            self.effects.push(Effect::Scan);
            return Ok(());
        };
        let site = self.site()?;
        let last = text.rsplit(['/', '#', '=']).next().unwrap_or_default().trim().to_owned();
        let found = self.device.units(site)?.into_iter().find(|listed| {
            listed.id.to_string() == last || listed.row.unit_no.eq_ignore_ascii_case(&last)
        });
        match found {
            Some(listed) => self.go(Place::Unit { unit: listed.id }),
            None => {
                let words = self
                    .set
                    .language()
                    .fill("No unit of this building has the label {}.", &[&last]);
                self.state.notice = Some(words);
                Ok(())
            }
        }
    }

    fn zero(&mut self, instrument: EntryId) -> Result<(), DeviceError> {
        let company = DocId::new(self.device.identity().company(), DocKind::Company);
        let bump = Bump {
            instrument,
            with: "clean air, no pressure".to_owned(),
            result: "zeroed".to_owned(),
            visit: self.set.visit,
        };
        self.act(vec![(company, Action::Enter(vec![bump.into()]))])?;
        self.state.notice = Some(self.set.language().say("Zeroed, and noted.").to_owned());
        Ok(())
    }

    /// What was in a scanned label, a picked file's name, or another line that a script fills.
    pub fn fill_line(&mut self, name: &str, text: String) {
        self.state.form.insert(name.to_owned(), text);
    }

    /// Tells the program that a newer one waits.
    pub const fn newer_waits(&mut self) {
        self.state.newer = true;
    }
}
