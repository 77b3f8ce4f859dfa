//! The edge to the scripts: bytes and words in, bytes and words out. The only file that names them.

use std::collections::BTreeMap;

use client_core::device::{Device, PhotoHeard, Random};
use client_core::exchange::photo::PhotoName;
use client_core::record::value::Moment;
use client_core::store::{Bytes as _, Manner, Store, StoreError};
use wasm_bindgen::prelude::*;

use crate::app::App;
use crate::disk::{File, Handle};
use crate::join::{Joining, Stage, page};
use crate::words::Language;

/// As a technician's device, but the file is not read through when it is opened: each value carries its own
/// checksum, and the whole is checked after a crash and in idle time.
const MANNER: Manner = Manner { check_up_to_bytes: 0, ..Manner::DEVICE };
/// The same with a check of the whole file.
const CHECKED: Manner = Manner { check_up_to_bytes: u64::MAX, ..Manner::DEVICE };

fn random() -> Random {
    Box::new(|out: &mut [u8]| {
        getrandom::fill(out).expect("every browser that runs wasm has random bytes");
    })
}

fn moment(secs: f64, offset_min: i32) -> Moment {
    #[expect(clippy::cast_possible_truncation, reason = "a clock's seconds")]
    let secs = secs as i64;
    Moment { secs, offset_min: i16::try_from(offset_min).unwrap_or(0) }
}

/// A count as scripts have it.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a file's size, never below nothing"
)]
fn whole(count: f64) -> u64 {
    count as u64
}

/// Names and values in turn, as the scripts send the lines of a screen.
fn form(pairs: Vec<String>) -> BTreeMap<String, String> {
    let mut pairs = pairs.into_iter();
    std::iter::from_fn(|| Some((pairs.next()?, pairs.next()?))).collect()
}

fn words(wrong: impl std::fmt::Display) -> JsError {
    JsError::new(&wrong.to_string())
}

/// A failure of the store, with a first word that the scripts tell apart.
fn store_words(wrong: &StoreError) -> JsError {
    let kind = match wrong {
        StoreError::Damaged { .. }
        | StoreError::Unreadable { .. }
        | StoreError::Corrupted(_)
        | StoreError::Foreign
        | StoreError::Missing(_) => "damaged",
        StoreError::Full => "full",
        StoreError::Newer { .. } => "newer",
        StoreError::Busy | StoreError::Exists(_) | StoreError::Io(_) => "failed",
    };
    JsError::new(&format!("{kind} {wrong}"))
}

fn device_of(handle: Handle, manner: Manner) -> Result<Device, JsError> {
    let store = Store::open(File::new(handle), manner).map_err(|wrong| store_words(&wrong))?;
    Device::open(store, random()).map_err(|wrong| device_words(&wrong))
}

/// What is only in memory while the store is opened again.
#[wasm_bindgen]
#[derive(Debug)]
pub struct Left {
    carry: crate::app::Carry,
}

/// A piece of a picture from the hub.
#[wasm_bindgen]
#[derive(Debug)]
pub struct Piece {
    at: u64,
    piece: Vec<u8>,
    last: bool,
}

#[wasm_bindgen]
impl Piece {
    /// Bytes before it.
    #[expect(clippy::cast_precision_loss, reason = "a picture has a few million bytes at most")]
    pub fn at(&self) -> f64 {
        self.at as f64
    }

    /// Its bytes.
    pub fn bytes(&self) -> Vec<u8> {
        self.piece.clone()
    }

    /// Whether the picture ends with it.
    pub fn last(&self) -> bool {
        self.last
    }
}

/// A picture that the hub has lost.
#[wasm_bindgen]
#[derive(Debug)]
pub struct LookedFor {
    name: PhotoName,
}

#[wasm_bindgen]
impl LookedFor {
    /// The name of its file.
    pub fn file(&self) -> String {
        crate::app::photo_name(&self.name.hash)
    }
}

/// The program on one store.
#[wasm_bindgen]
#[derive(Debug)]
pub struct Phone {
    app: App,
}

#[wasm_bindgen]
impl Phone {
    /// Opens the program over the store's file. `check` reads the whole file first.
    pub fn open(handle: Handle, check: bool, secs: f64, offset_min: i32) -> Result<Phone, JsError> {
        let device = device_of(handle, if check { CHECKED } else { MANNER })?;
        let app =
            App::open(device, moment(secs, offset_min)).map_err(|wrong| device_words(&wrong))?;
        Ok(Phone { app })
    }

    /// The screen as HTML.
    pub fn page(&mut self) -> String {
        self.app.page()
    }

    /// Carries a tap out; the scripts then ask for the page and the effects.
    pub fn tap(&mut self, tap: &str, pairs: Vec<String>, secs: f64, offset_min: i32) {
        self.app.tap(tap, form(pairs), moment(secs, offset_min));
    }

    /// Keeps what is typed into the lines of the screen.
    pub fn typed(&mut self, pairs: Vec<String>) {
        self.app.typed(form(pairs));
    }

    /// What the scripts have to do.
    pub fn effects(&mut self) -> Vec<String> {
        self.app.take_effects().iter().map(crate::app::Effect::words).collect()
    }

    /// Two letters of the language whose words the screen lacks; empty when it has them.
    pub fn lacks_words(&self) -> String {
        let language = self.app.settings().language();
        if language.is_here() { String::new() } else { language.key().to_owned() }
    }

    /// A sentence for the screen.
    pub fn say(&mut self, words: &str) {
        self.app.say(words);
    }

    /// The name under which a picture is kept.
    pub fn photo_name(&self, picture: &[u8]) -> String {
        crate::app::photo_name(&crate::app::hash_of(picture))
    }

    /// A picture lies beside the store, with a small one of the same: enters it.
    pub fn photo_taken(
        &mut self,
        picture: &[u8],
        small: &[u8],
        subject: &str,
        secs: f64,
        offset_min: i32,
    ) {
        self.app.photo_taken(picture, small, subject, moment(secs, offset_min));
    }

    /// Begins to move pictures.
    pub fn photos_begin(&mut self) {
        self.app.photos_begin();
    }

    /// The next piece to be moved: "up" or "down", the picture's name, where the piece begins, and how long
    /// it is at most. Undefined when nothing is left.
    pub fn photo_next(&mut self) -> Result<Option<String>, JsError> {
        let next = self.app.photo_next().map_err(words)?;
        Ok(next.map(|next| {
            let way = if next.up { "up" } else { "down" };
            format!("{way} {} {} {}", crate::app::photo_name(&next.hash), next.at, next.most)
        }))
    }

    /// So many bytes of it came before.
    pub fn photo_begun(&mut self, bytes: f64) {
        self.app.photo_begun(whole(bytes));
    }

    /// The request for that piece; empty when there is none.
    pub fn photo_request(
        &mut self,
        piece: &[u8],
        size: f64,
        secs: f64,
        offset_min: i32,
    ) -> Vec<u8> {
        let now = moment(secs, offset_min);
        self.app.photo_request(piece, whole(size), now).unwrap_or_default()
    }

    /// Takes a reply in: a piece to be written, where one came.
    pub fn photo_reply(&mut self, bytes: &[u8]) -> Result<Option<Piece>, JsError> {
        Ok(match self.app.photo_reply(bytes).map_err(words)? {
            PhotoHeard::On => None,
            PhotoHeard::Piece { at, piece, last } => Some(Piece { at, piece, last }),
        })
    }

    /// What came is the picture, and has its name.
    pub fn photo_over(&mut self) -> Result<(), JsError> {
        self.app.photo_over().map_err(|wrong| store_words(&wrong))
    }

    /// What came is not the picture.
    pub fn photo_bent(&mut self) {
        self.app.photo_bent();
    }

    /// The picture does not lie beside the store any more.
    pub fn photo_lost(&mut self) -> Result<(), JsError> {
        self.app.photo_lost().map_err(|wrong| store_words(&wrong))
    }

    /// Pictures that the hub has lost and that may lie here.
    pub fn photos_looked_for(&mut self) -> Vec<LookedFor> {
        self.app.photos_looked_for().into_iter().map(|name| LookedFor { name }).collect()
    }

    /// One of them does.
    pub fn photo_found(&mut self, found: &LookedFor, size: f64) -> Result<(), JsError> {
        self.app.photo_found(&found.name, whole(size)).map_err(words)
    }

    /// A newer program waits.
    pub fn newer_waits(&mut self) {
        self.app.newer_waits();
    }

    /// Entries that the hub does not have yet.
    pub fn unsent(&mut self) -> Result<f64, JsError> {
        let count = self.app.unsent().map_err(words)?;
        Ok(f64::from(u32::try_from(count).unwrap_or(u32::MAX)))
    }

    /// The next request of an exchange.
    pub fn exchange_request(&mut self, secs: f64, offset_min: i32) -> Result<Vec<u8>, JsError> {
        self.app.exchange_request(moment(secs, offset_min)).map_err(words)
    }

    /// A request with what waits, for later; empty when nothing waits.
    pub fn prepared_request(&mut self, secs: f64, offset_min: i32) -> Result<Vec<u8>, JsError> {
        self.app.prepared_request(moment(secs, offset_min)).map_err(words)
    }

    /// A copy of what is typed and not entered.
    pub fn typed_copy(&self) -> Result<Vec<u8>, JsError> {
        self.app.typed_copy().map_err(words)
    }

    /// Another number whenever the last copy of what is typed has become old.
    pub fn typed_changed(&self) -> u32 {
        self.app.typed_changed()
    }

    /// Takes back what was typed, out of a copy; false when the copy is not whole.
    pub fn take_typed(&mut self, copy: &[u8]) -> Result<bool, JsError> {
        self.app.take_typed(copy).map_err(words)
    }

    /// Takes a reply in; true asks for another request.
    pub fn exchange_reply(
        &mut self,
        bytes: &[u8],
        secs: f64,
        offset_min: i32,
    ) -> Result<bool, JsError> {
        self.app.exchange_reply(moment(secs, offset_min), bytes).map_err(words)
    }

    /// The exchange did not go through.
    pub fn exchange_failed(&mut self, words: &str) {
        self.app.exchange_failed(words);
    }

    /// Takes another phone's hand-over file in; false when nothing of it was.
    pub fn take_in(&mut self, bytes: &[u8], secs: f64, offset_min: i32) -> bool {
        self.app.take_in(moment(secs, offset_min), bytes)
    }

    /// A copy of what only this phone has; empty when the hub has everything.
    pub fn rescue(&self) -> Result<Vec<u8>, JsError> {
        self.app.rescue().map_err(words)
    }

    /// Another number whenever the last copy has become old.
    pub fn changed(&self) -> u32 {
        self.app.changed()
    }

    /// The file that an effect names; empty when there is none.
    pub fn file(&mut self) -> Vec<u8> {
        self.app.take_file().unwrap_or_default()
    }

    /// A signed request for the bell.
    pub fn bell_request(&mut self, secs: f64, offset_min: i32) -> Vec<u8> {
        self.app.bell_request(moment(secs, offset_min))
    }

    /// Whether a write failed, so that the store must be opened again.
    pub fn stuck(&self) -> bool {
        self.app.stuck()
    }

    /// Closes the store and gives back what is only in memory.
    pub fn leave(self) -> Left {
        let left = Left { carry: self.app.carry_over() };
        self.close();
        left
    }

    /// Opens the program again with what was only in memory.
    pub fn again(
        handle: Handle,
        left: &Left,
        secs: f64,
        offset_min: i32,
    ) -> Result<Phone, JsError> {
        let device = device_of(handle, MANNER)?;
        let app = App::open_again(device, moment(secs, offset_min), left.carry.clone());
        Ok(Phone { app: app.map_err(|wrong| device_words(&wrong))? })
    }

    /// Closes the store; the file may then be opened by another window.
    pub fn close(self) {
        drop(self.app.close().close());
    }
}

fn device_words(wrong: &client_core::device::DeviceError) -> JsError {
    match wrong {
        client_core::device::DeviceError::Store(wrong) => store_words(wrong),
        client_core::device::DeviceError::NotEnrolled => {
            JsError::new("damaged the store belongs to nobody")
        }
        other => JsError::new(&format!("failed {other}")),
    }
}

/// Begins a joining: the bytes to keep beside the store before anything is sent.
#[wasm_bindgen]
pub fn join_begin(code: &str, name: &str, address: &str) -> Vec<u8> {
    let mut secret = [0; 32];
    random()(&mut secret);
    Joining::new(secret, code, name, address).to_bytes()
}

/// The request of a joining that was kept; empty when the bytes are none.
#[wasm_bindgen]
pub fn join_request(kept: &[u8]) -> Vec<u8> {
    Joining::from_bytes(kept).map(|joining| joining.request()).unwrap_or_default()
}

/// Makes the store of a joining that the hub has answered. The handle is closed when this returns; the
/// scripts then give the file its name.
#[wasm_bindgen]
pub fn join_store(handle: Handle, kept: &[u8], reply: &[u8]) -> Result<String, JsError> {
    let joining =
        Joining::from_bytes(kept).ok_or_else(|| JsError::new("what was kept does not read"))?;
    let (identity, number) = joining.reply(reply).map_err(words)?;
    let file = File::new(handle);
    file.set_len(0).map_err(words)?;
    let store = Store::create(file, MANNER).map_err(|wrong| store_words(&wrong))?;
    let device = Device::enrol(store, &identity, random()).map_err(|wrong| device_words(&wrong))?;
    drop(device.close());
    Ok(number)
}

/// The hand-over file of a copy that lay beside a store which is gone.
#[wasm_bindgen]
pub fn hand_over_of(copy: &[u8]) -> Result<Vec<u8>, JsError> {
    client_core::device::hand_over_of(copy, random()).map_err(words)
}

/// Whether a copy of what was typed is whole.
#[wasm_bindgen]
pub fn typed_is_whole(copy: &[u8]) -> bool {
    crate::app::typed_is_whole(copy)
}

/// Takes the file of words of a language.
#[wasm_bindgen]
pub fn take_words(language: &str, file: String) {
    if let Some(language) = Language::from_key(language) {
        language.take(file);
    }
}

/// A screen from before there is a device.
#[wasm_bindgen]
pub fn early_page(stage: &str, language: &str, code: &str, name: &str, wrong: &str) -> String {
    let language = Language::from_key(language).unwrap_or_default();
    let stage = match stage {
        "nostorage" => Stage::NoStorage,
        "elsewhere" => Stage::Elsewhere,
        "damaged" => Stage::Damaged { wrong },
        "stopped" => Stage::Stopped { wrong },
        _ => Stage::Code { code, name, wrong },
    };
    page(language, &stage).into_string()
}
