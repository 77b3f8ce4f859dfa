//! The program: taps in, screens out.
//!
//! Everything that somebody enters goes through `App::act`: when it returns, the entry is durable. What is
//! only typed so far is a draft in the same store.

mod entry;
mod exchange;
mod fault;
mod hazard;
mod lists;
mod phone;
mod photo;
pub mod state;
mod typed;
mod unit;
mod visit;

pub use entry::OFF_THE_ROUND;
pub use exchange::ExchangeFailed;
pub use fault::NOTHING;
pub use hazard::ISOLATIONS;
pub use photo::{LARGE, hash_of, photo_name};
pub use typed::is_whole as typed_is_whole;

use std::collections::BTreeMap;

use client_core::device::{Device, DeviceError, PhotoTalk, Report};
use client_core::exchange::talk::Talk;
use client_core::record::apply::Delta;
use client_core::record::deed::Deed as Acts;
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::id::{ApplianceId, SiteId, VisitId};
use client_core::record::refused::Refused;
use client_core::record::stamp::Stamp;
use client_core::record::value::Moment;
use client_core::store::StoreError;

use crate::app::state::{Kept, State};
use crate::carried::{self, Carried};
use crate::screens;
use crate::see::{Book, Lists, See};
use crate::settings::{self, Settings};
use crate::tap::{Deed, Place, Tap};

const PLACE: &str = "place";

/// Something that the scripts around do for the program.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Effect {
    /// One buzz: saved. Two: look at the screen.
    Buzz(u8),
    /// Begin an exchange.
    Exchange,
    /// Move pictures.
    Photos,
    /// Put a text on the clipboard.
    Copy(String),
    /// Share or download what [`App::take_file`] gives, under this name.
    File(String),
    /// Ask for a hand-over file.
    Pick,
    /// Turn the lamp on or off.
    Lamp,
    /// Look at a unit label with the camera.
    Scan,
    /// Stop everything that makes a sound, a light or a radio wave.
    Hush,
    /// Use the newer program.
    Renew,
}

impl Effect {
    /// As the scripts read it: a word, then the rest.
    pub fn words(&self) -> String {
        match self {
            Effect::Buzz(times) => format!("buzz {times}"),
            Effect::Exchange => "exchange".to_owned(),
            Effect::Photos => "photos".to_owned(),
            Effect::Copy(text) => format!("copy {text}"),
            Effect::File(name) => format!("file {name}"),
            Effect::Pick => "pick".to_owned(),
            Effect::Lamp => "lamp".to_owned(),
            Effect::Scan => "scan".to_owned(),
            Effect::Hush => "hush".to_owned(),
            Effect::Renew => "renew".to_owned(),
        }
    }
}

/// The program on one device.
#[derive(Debug)]
pub struct App {
    device: Device,
    set: Settings,
    state: State,
    now: Moment,
    effects: Vec<Effect>,
    talk: Option<Talk>,
    photos: PhotoTalk,
    report: Report,
    file: Option<Vec<u8>>,
    stuck: bool,
    changed: u32,
    typed: u32,
}

/// What is only in memory, carried over while the store is opened again.
#[derive(Clone, Debug)]
pub struct Carry {
    state: State,
    set: Settings,
}

impl App {
    /// Opens the program where it was left.
    pub fn open(device: Device, now: Moment) -> Result<App, DeviceError> {
        let kept: Kept = draft(&device, PLACE)?.unwrap_or_default();
        let set: Settings = draft(&device, settings::DRAFT)?.unwrap_or_default();
        let carried: Option<Carried> = draft(&device, carried::DRAFT)?;
        let state = State {
            stack: kept.stack.iter().filter_map(|place| place.parse().ok()).collect(),
            form: kept.form,
            chosen: kept.chosen,
            timers: kept.timers,
            carried: carried.unwrap_or_default(),
            ..State::default()
        };
        let report = Report::default();
        let mut app = App {
            device,
            set,
            state,
            now,
            effects: vec![],
            talk: None,
            photos: PhotoTalk::default(),
            report,
            file: None,
            stuck: false,
            changed: 0,
            typed: 0,
        };
        app.choose_visit()?;
        if app.state.stack.is_empty() {
            app.state.stack.push(app.first_place());
        }
        app.load_typing()?;
        Ok(app)
    }

    /// Entries of every building that the hub does not have yet.
    pub fn unsent(&self) -> Result<u64, DeviceError> {
        let mut unsent = self.device.unsent_entries(self.device.identity().company())?;
        for (site, _, _) in self.device.sites()? {
            unsent += self.device.unsent_entries(site)?;
        }
        Ok(unsent)
    }

    /// The device.
    pub const fn device(&self) -> &Device {
        &self.device
    }

    /// The device, to read documents from.
    pub const fn device_mut(&mut self) -> &mut Device {
        &mut self.device
    }

    /// What is typed and chosen.
    pub const fn state(&self) -> &State {
        &self.state
    }

    /// Choices of this phone.
    pub const fn settings(&self) -> &Settings {
        &self.set
    }

    /// A copy of what only this phone has, to lie beside the store; empty when the hub has everything.
    pub fn rescue(&self) -> Result<Vec<u8>, DeviceError> {
        self.device.rescue()
    }

    /// Counts whatever makes such a copy old.
    pub const fn changed(&self) -> u32 {
        self.changed
    }

    /// A write failed: the store takes nothing more before it is opened again.
    pub const fn stuck(&self) -> bool {
        self.stuck
    }

    /// What is only in memory: where somebody is, what is typed, what the screen says.
    pub fn carry_over(&self) -> Carry {
        Carry { state: self.state.clone(), set: self.set.clone() }
    }

    /// Opens the program over a store that was closed because a write had failed.
    pub fn open_again(device: Device, now: Moment, carry: Carry) -> Result<App, DeviceError> {
        let mut app = App::open(device, now)?;
        app.state = carry.state;
        app.set = carry.set;
        app.state.question = None;
        Ok(app)
    }

    /// Gives the device back.
    pub fn close(self) -> Device {
        self.device
    }

    /// What the scripts have to do, taken once.
    pub fn take_effects(&mut self) -> Vec<Effect> {
        std::mem::take(&mut self.effects)
    }

    /// The file that [`Effect::File`] names, taken once.
    pub fn take_file(&mut self) -> Option<Vec<u8>> {
        self.file.take()
    }

    /// Carries a tap out. `form` holds the texts of the screen's lines.
    pub fn tap(&mut self, words: &str, form: BTreeMap<String, String>, now: Moment) {
        self.now = now;
        self.state.notice = None;
        self.state.form.extend(form);
        let outcome = match words.parse() {
            Ok(Tap::Go(place)) => self.go(place),
            Ok(Tap::Do(deed)) => self.carry(deed),
            Err(()) => Ok(()),
        };
        if let Err(wrong) = outcome.and_then(|()| self.keep()) {
            self.fail(&wrong);
        }
    }

    /// Texts of the screen's lines, kept while they are typed.
    pub fn typed(&mut self, form: BTreeMap<String, String>) {
        self.state.form.extend(form);
        if let Err(wrong) = self.keep() {
            self.fail(&wrong);
        }
    }

    /// Something else than a tap happened: shows a sentence.
    pub fn say(&mut self, words: &str) {
        self.state.notice = Some(self.set.language().say(words).to_owned());
    }

    /// Shows a failure. Nothing was saved, and what was typed is still there.
    fn fail(&mut self, wrong: &DeviceError) {
        self.stuck |= matches!(wrong, DeviceError::Store(StoreError::Full | StoreError::Io(_)));
        let language = self.set.language();
        let words = match wrong {
            DeviceError::Store(StoreError::Full) => language
                .say("The phone is full: not saved. What was typed is still here. Make room and try again.")
                .to_owned(),
            DeviceError::Refused(Refused::NeedsReason { .. }) => {
                language.say("A reason is needed.").to_owned()
            }
            other => language.wrong(&other.to_string()),
        };
        self.state.notice = Some(words);
        self.effects.push(Effect::Buzz(2));
    }

    fn carry(&mut self, deed: Deed) -> Result<(), DeviceError> {
        match deed {
            Deed::Back {} => self.back(),
            Deed::Home {} => {
                self.state.stack = vec![Place::Units {}];
                self.arrive()
            }
            Deed::Digit { .. }
            | Deed::Wipe {}
            | Deed::Minus {}
            | Deed::Same {}
            | Deed::Next {}
            | Deed::SoItIs { .. }
            | Deed::Again {}
            | Deed::Correct {}
            | Deed::Over {}
            | Deed::Why { .. }
            | Deed::WhyTyped {}
            | Deed::Fire { .. }
            | Deed::Fan { .. }
            | Deed::Panel { .. }
            | Deed::Others { .. }
            | Deed::Steady { .. }
            | Deed::Phase { .. } => self.at_the_pad(deed),
            Deed::Visit { .. }
            | Deed::Begin { .. }
            | Deed::Here { .. }
            | Deed::NotReachedFor { .. }
            | Deed::LeftAsFound { .. }
            | Deed::Done { .. }
            | Deed::Labour { .. }
            | Deed::SignIt {} => self.at_the_visit(deed),
            Deed::Severity { .. }
            | Deed::PutAdvice { .. }
            | Deed::PutTold { .. }
            | Deed::Isolate { .. }
            | Deed::PutShutDown { .. }
            | Deed::LockOn { .. }
            | Deed::LockOff { .. }
            | Deed::PutEmergency {}
            | Deed::Outside {} => self.at_a_hazard(deed),
            Deed::Check { .. }
            | Deed::Cause { .. }
            | Deed::FoundIt { .. }
            | Deed::Kind { .. }
            | Deed::Touch { .. }
            | Deed::DidIt { .. }
            | Deed::SetIt { .. }
            | Deed::UsePart { .. }
            | Deed::Seen { .. }
            | Deed::PartKind { .. }
            | Deed::ForGas { .. }
            | Deed::PutNote { .. }
            | Deed::EditNote { .. }
            | Deed::PutQuestion { .. }
            | Deed::SetPlate { .. }
            | Deed::Settle { .. }
            | Deed::Doubles { .. }
            | Deed::ReadText { .. }
            | Deed::Void { .. } => self.at_the_unit(deed),
            Deed::Large { unit, photo } => self.large_photo(unit, photo.0),
            Deed::Undraw { what } => {
                self.clear(&[&what.0]);
                Ok(())
            }
            Deed::Choose { what, to } => {
                match to.0.as_str() {
                    "none" => self.state.chosen.remove(&what.0),
                    _ => self.state.chosen.insert(what.0, to.0),
                };
                Ok(())
            }
            other => self.at_the_fault(other),
        }
    }

    // --- going about ---

    fn first_place(&self) -> Place {
        if self.set.visit.is_some() { Place::Units {} } else { Place::Sites {} }
    }

    /// Screens on which the hands go round: one replaces the other, so that Back leads to the unit.
    const fn on_the_round(place: &Place) -> bool {
        matches!(
            place,
            Place::Stop { .. }
                | Place::Pad { .. }
                | Place::One { .. }
                | Place::Cannot { .. }
                | Place::Condition { .. }
                | Place::Entered { .. }
                | Place::Turn { .. }
        )
    }

    fn go(&mut self, place: Place) -> Result<(), DeviceError> {
        self.state.question = None;
        let here = self.state.place();
        let place = self.instead(place);
        if here == place {
            return self.arrive();
        }
        // A reason or a condition is given on top of the stop that it is about, and leads back to it.
        let on_top = matches!(place, Place::Cannot { .. } | Place::Condition { .. });
        if !on_top && Self::on_the_round(&place) {
            while self.state.stack.last().is_some_and(Self::on_the_round) {
                self.state.stack.pop();
            }
        }
        // A screen that is open further down is gone back to, not opened twice.
        if let Some(at) = self.state.stack.iter().position(|open| *open == place) {
            self.state.stack.truncate(at);
        }
        self.state.stack.push(place);
        self.arrive()
    }

    fn back(&mut self) -> Result<(), DeviceError> {
        self.state.question = None;
        self.state.stack.pop();
        if self.state.stack.is_empty() {
            self.state.stack.push(self.first_place());
        }
        self.arrive()
    }

    /// What opens with a screen.
    fn arrive(&mut self) -> Result<(), DeviceError> {
        self.state.copied = false;
        if matches!(self.state.place(), Place::Note { .. }) {
            self.state.form.remove("edited");
        }
        self.load_typing()
    }

    /// Keeps where somebody is and what is typed.
    fn keep(&mut self) -> Result<(), DeviceError> {
        let kept = Kept {
            stack: self.state.stack.iter().map(ToString::to_string).collect(),
            form: self.state.form.clone(),
            chosen: self.state.chosen.clone(),
            timers: self.state.timers.clone(),
        };
        let bytes = minicbor::to_vec(&kept).expect("writing to memory does not fail");
        if self.device.draft(PLACE)?.as_deref() == Some(&bytes) {
            return Ok(());
        }
        self.typed += 1;
        self.device.put_draft(PLACE, &bytes)
    }

    fn keep_settings(&mut self) -> Result<(), DeviceError> {
        let bytes = minicbor::to_vec(&self.set).expect("writing to memory does not fail");
        self.device.put_draft(settings::DRAFT, &bytes)
    }

    // --- entering ---

    fn stamp(&self) -> Stamp {
        Stamp::new(self.device.identity().person, self.now)
    }

    /// Carries out a deed. When this returns it is durable: one buzz.
    fn act(&mut self, acts: Acts) -> Result<Vec<Delta>, DeviceError> {
        let stamp = self.stamp();
        let deltas = self.device.carry_out(acts, &stamp)?;
        self.effects.push(Effect::Buzz(1));
        self.changed += 1;
        if self.set.unsent_since.is_none() {
            self.set.unsent_since = Some(self.now.secs);
            self.keep_settings()?;
        }
        Ok(deltas)
    }

    /// The site in hand.
    fn site(&self) -> Result<SiteId, DeviceError> {
        self.set.site.ok_or(DeviceError::NoSite(self.device.identity().company()))
    }

    /// The visit in hand.
    fn visit(&self) -> Result<VisitId, DeviceError> {
        let site = self.site()?;
        self.set.visit.ok_or(DeviceError::NotHere(DocId::new(site, DocKind::Site)))
    }

    fn sheet(&self, unit: ApplianceId) -> Result<DocId, DeviceError> {
        Ok(DocId::new(self.site()?, DocKind::Sheet(self.visit()?, unit)))
    }

    fn unit_doc(&self, unit: ApplianceId) -> Result<DocId, DeviceError> {
        Ok(DocId::new(self.site()?, DocKind::Appliance(unit)))
    }

    fn head(&self) -> Result<DocId, DeviceError> {
        Ok(DocId::new(self.site()?, DocKind::Visit(self.visit()?)))
    }

    /// Takes texts and choices of a screen away, once they are entered.
    fn clear(&mut self, names: &[&str]) {
        let under = |key: &String| {
            names.iter().any(|name| key == name || key.starts_with(&format!("{name}/")))
        };
        self.state.form.retain(|key, _| !under(key));
        self.state.chosen.retain(|key, _| !under(key));
    }

    // --- showing ---

    /// The screen, as HTML.
    pub fn page(&mut self) -> String {
        let place = self.state.place();
        let shown = self.lists(&place).and_then(|lists| {
            let book = self.book(&lists)?;
            self.draw(&place, &lists, &book)
        });
        match shown {
            Ok(page) => page,
            Err(wrong) => screens::wrong::page(&self.set, &wrong.to_string()).into_string(),
        }
    }

    fn draw(&mut self, place: &Place, lists: &Lists, book: &Book) -> Result<String, DeviceError> {
        let identity = self.device.identity();
        let (me, role) = (identity.person, identity.role);
        let (site, visit) = (self.set.site, self.set.visit);
        let opened = match (site, visit) {
            (Some(site), Some(visit)) if screens::needs_documents(place) => {
                Some(match place.unit() {
                    Some(unit) => self.device.open_unit(site, visit, unit)?,
                    None => self.device.open_visit(site, visit)?,
                })
            }
            _ => None,
        };
        let file = opened.as_ref().map(client_core::device::Opened::file);
        let see = See {
            set: &self.set,
            state: &self.state,
            now: self.now,
            me,
            role,
            site,
            visit,
            lists,
            book,
            file: file.as_ref(),
            report: &self.report,
        };
        Ok(screens::draw(&see, place).into_string())
    }
}

/// A draft of a device, read.
fn draft<T>(device: &Device, name: &str) -> Result<Option<T>, DeviceError>
where
    T: for<'b> minicbor::Decode<'b, ()>,
{
    // A draft of another version is as good as none.
    Ok(device.draft(name)?.and_then(|bytes| minicbor::decode(&bytes).ok()))
}
