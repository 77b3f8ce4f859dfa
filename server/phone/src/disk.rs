//! The store's bytes: a file of the browser's private file system, by its synchronous handle.

use std::cell::RefCell;
use std::io;

use client_core::store::Bytes;
use js_sys::{Object, Reflect};
use wasm_bindgen::prelude::*;

#[wasm_bindgen]
extern "C" {
    /// A synchronous access handle, as workers get it.
    #[derive(Clone, Debug)]
    pub type Handle;
    #[wasm_bindgen(method, catch, js_name = getSize)]
    fn get_size(this: &Handle) -> Result<f64, JsValue>;
    #[wasm_bindgen(method, catch)]
    fn read(this: &Handle, into: &mut [u8], options: &Object) -> Result<f64, JsValue>;
    #[wasm_bindgen(method, catch)]
    fn write(this: &Handle, data: &[u8], options: &Object) -> Result<f64, JsValue>;
    #[wasm_bindgen(method, catch)]
    fn truncate(this: &Handle, length: f64) -> Result<(), JsValue>;
    #[wasm_bindgen(method, catch)]
    fn flush(this: &Handle) -> Result<(), JsValue>;
    #[wasm_bindgen(method)]
    fn close(this: &Handle);
}

thread_local! {
    /// Handles in use. The store asks for bytes that may move between threads; a worker has one thread,
    /// so the handle stays here and the store holds its number.
    static HANDLES: RefCell<Vec<Handle>> = const { RefCell::new(vec![]) };
}

/// A file by its number.
#[derive(Clone, Copy, Debug)]
pub struct File(usize);

impl File {
    /// Takes a handle over.
    pub fn new(handle: Handle) -> File {
        HANDLES.with_borrow_mut(|handles| {
            handles.push(handle);
            File(handles.len() - 1)
        })
    }

    fn with<T>(self, act: impl FnOnce(&Handle) -> Result<T, JsValue>) -> io::Result<T> {
        HANDLES.with_borrow(|handles| {
            let handle = handles.get(self.0).ok_or(io::ErrorKind::NotFound)?;
            act(handle).map_err(|wrong| failed(&wrong))
        })
    }
}

/// A browser's error as the store knows it: a full phone is told apart.
fn failed(wrong: &JsValue) -> io::Error {
    let word =
        |key: &str| Reflect::get(wrong, &key.into()).ok().and_then(|value| value.as_string());
    let name = word("name").unwrap_or_default();
    let words = word("message").unwrap_or_else(|| format!("{wrong:?}"));
    let kind = match name.as_str() {
        "QuotaExceededError" => io::ErrorKind::StorageFull,
        _ => io::ErrorKind::Other,
    };
    io::Error::new(kind, format!("{name}: {words}"))
}

/// A length or place as scripts count: exact up to nine thousand terabytes.
fn number(value: u64) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "a phone's file stays far below 2^53 bytes")]
    let number = value as f64;
    number
}

fn count(value: f64) -> u64 {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a file's own length"
    )]
    let count = value as u64;
    count
}

fn options(at: u64) -> Object {
    let options = Object::new();
    // Setting a property of a fresh object does not fail.
    let set = Reflect::set(&options, &"at".into(), &number(at).into());
    debug_assert!(set.is_ok(), "a fresh object takes a property");
    options
}

impl Bytes for File {
    fn len(&self) -> io::Result<u64> {
        self.with(Handle::get_size).map(count)
    }

    fn read(&self, offset: u64, out: &mut [u8]) -> io::Result<()> {
        let mut done = 0;
        while done < out.len() {
            let at = options(offset + u64::try_from(done).unwrap_or(u64::MAX));
            let read = self.with(|handle| handle.read(&mut out[done..], &at))?;
            match usize::try_from(count(read)) {
                Ok(0) | Err(_) => return Err(io::ErrorKind::UnexpectedEof.into()),
                Ok(read) => done += read,
            }
        }
        Ok(())
    }

    fn set_len(&self, length: u64) -> io::Result<()> {
        self.with(|handle| handle.truncate(number(length)))
    }

    fn sync(&self) -> io::Result<()> {
        self.with(Handle::flush)
    }

    fn write(&self, offset: u64, data: &[u8]) -> io::Result<()> {
        let mut done = 0;
        while done < data.len() {
            let at = options(offset + u64::try_from(done).unwrap_or(u64::MAX));
            let written = self.with(|handle| handle.write(&data[done..], &at))?;
            match usize::try_from(count(written)) {
                Ok(0) | Err(_) => return Err(io::ErrorKind::StorageFull.into()),
                Ok(written) => done += written,
            }
        }
        Ok(())
    }

    fn close(&self) -> io::Result<()> {
        self.with(|handle| {
            handle.close();
            Ok(())
        })
    }
}
