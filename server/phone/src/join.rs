//! Joining a hub from the installed app: a code makes this phone's key a person's.

use client_core::device::identity::Identity;
use client_core::exchange::enrol::{EnrolAsk, EnrolReply, check_number, to_sign};
use client_core::exchange::frame;
use ed25519_dalek::{Signer as _, SigningKey};
use maud::{Markup, html};
use minicbor::{Decode, Encode};

use crate::screens::face;
use crate::settings::Settings;
use crate::words::Language;

/// Most bytes of the hub's reply.
const REPLY_BYTES_MAX: usize = 64 * 1024;

/// A joining that has begun. It is kept beside the store before it is sent: when the answer is lost, the
/// same key may ask again with the same code.
#[derive(Clone, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct Joining {
    /// The key.
    #[n(0)]
    #[cbor(with = "minicbor::bytes")]
    secret: [u8; 32],
    /// The code.
    #[n(1)]
    code: String,
    /// The person's name, where the code is bound to nobody yet.
    #[n(2)]
    name: String,
    /// Where the hub is.
    #[n(3)]
    address: String,
}

impl std::fmt::Debug for Joining {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(out, "Joining({})", self.address)
    }
}

/// Why a joining did not end well.
#[derive(Debug, thiserror::Error)]
#[error("the hub's answer cannot be read: {0}")]
pub struct JoinWrong(String);

impl Joining {
    /// Begins one.
    pub fn new(secret: [u8; 32], code: &str, name: &str, address: &str) -> Joining {
        let (code, name) = (code.trim().to_owned(), name.trim().to_owned());
        Joining { secret, code, name, address: address.to_owned() }
    }

    /// Reads one that was kept.
    pub fn from_bytes(bytes: &[u8]) -> Option<Joining> {
        minicbor::decode(bytes).ok()
    }

    /// As it is kept.
    pub fn to_bytes(&self) -> Vec<u8> {
        minicbor::to_vec(self).expect("writing to memory does not fail")
    }

    fn label(&self) -> String {
        if self.name.is_empty() { "phone".to_owned() } else { format!("{} phone", self.name) }
    }

    /// The request as it travels.
    pub fn request(&self) -> Vec<u8> {
        let key = SigningKey::from_bytes(&self.secret);
        let public = key.verifying_key().to_bytes();
        let ask = EnrolAsk {
            code: self.code.clone(),
            key: public,
            label: self.label(),
            name: (!self.name.is_empty()).then(|| self.name.clone()),
            signature: key.sign(&to_sign(&self.code, &public)).to_bytes(),
        };
        frame::encode(&ask)
    }

    /// The identity that the hub's reply makes of it, and the number that both screens show.
    pub fn reply(&self, bytes: &[u8]) -> Result<(Identity, String), JoinWrong> {
        let reply: EnrolReply =
            frame::decode(bytes, REPLY_BYTES_MAX).map_err(|wrong| JoinWrong(wrong.to_string()))?;
        let identity = Identity {
            secret: self.secret,
            hub: reply.hub,
            hub_key: reply.hub_key,
            person: reply.person,
            role: reply.role,
            address: self.address.clone(),
            label: self.label(),
        };
        let number = check_number(&reply.hub_key, &identity.public());
        Ok((identity, number))
    }
}

/// How the joining screen stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Stage<'a> {
    /// Waits for a code; the sentence says what went wrong before, or is empty.
    Code {
        /// The code out of the link.
        code: &'a str,
        /// The name typed.
        name: &'a str,
        /// What went wrong.
        wrong: &'a str,
    },
    /// The browser cannot keep data: a private window, or storage refused.
    NoStorage,
    /// Another tab holds the store and was asked for it.
    Elsewhere,
    /// The store is damaged.
    Damaged {
        /// What is wrong.
        wrong: &'a str,
    },
    /// The program stopped several times in a row.
    Stopped {
        /// What is wrong.
        wrong: &'a str,
    },
}

/// The screens before there is a device.
pub fn page(language: Language, stage: &Stage<'_>) -> Markup {
    let t = |english: &'static str| language.say(english);
    let set = Settings { language: Some(language.key().to_owned()), ..Settings::default() };
    let inside = match stage {
        Stage::Code { code, name, wrong } => html! {
            div class="head" { h1 tabindex="-1" { (t("Join your company's hub")) } }
            div class="pad stack grow" {
                @if !wrong.is_empty() { p class="note now" role="alert" { (language.wrong(wrong)) } }
                p { (t("Install this page on the home screen first, then join from there: what is kept in a tab may not be there in the installed app.")) }
                button type="button" class="key" data-say="install" hidden { span { (t("Install on this phone")) } }
                label class="typed" { span { (t("Code")) small { (t("from your supervisor")) } }
                    input name="code" value=(code) autocomplete="off" autocapitalize="none" spellcheck="false"; }
                label class="typed" { span { (t("Your name")) small { (t("when the code asks for it")) } }
                    input name="name" value=(name) autocomplete="name"; }
            }
            div class="foot keys" {
                button type="button" class="key big row" data-say="join" { span { (t("Join")) small { (t("needs a signal, once")) } } }
                a class="key stop" href="#gas" { span { (t("Gas smell")) small { (t("or CO alarm")) } } }
            }
        },
        Stage::NoStorage => html! {
            div class="head" { h1 tabindex="-1" { (t("This window keeps nothing")) } }
            div class="pad stack grow" {
                p { (t("The browser does not let this page keep data here: a private window, or storage is switched off. Nothing would be saved, so nothing can be entered.")) }
                p { (t("Open the page in an ordinary window and install it on the home screen.")) }
            }
            div class="foot keys" { a class="key stop" href="#gas" { span { (t("Gas smell")) small { (t("or CO alarm")) } } } }
        },
        Stage::Elsewhere => html! {
            div class="head" { h1 tabindex="-1" { (t("Open in another window")) } }
            div class="pad stack grow" {
                p { (t("The record is in use in another window of this phone. Everything there is saved.")) }
            }
            div class="foot keys" {
                button type="button" class="key big row" data-say="take" { span { (t("Use it here")) small { (t("the other window lets go")) } } }
                a class="key stop" href="#gas" { span { (t("Gas smell")) small { (t("or CO alarm")) } } }
            }
        },
        Stage::Damaged { wrong } => html! {
            div class="head" { h1 tabindex="-1" { (t("The record on this phone is damaged")) } }
            div class="pad stack grow" {
                p class="note" { (language.wrong(wrong)) }
                p { (t("It can be made anew: what is on the hub comes back from there, and what only this phone had comes from the copy it keeps of unsent work. The damaged file is kept beside it.")) }
            }
            div class="foot keys" {
                button type="button" class="key big row" data-say="mend" { span { (t("Make it anew")) small { (t("nothing is thrown away")) } } }
                button type="button" class="key row" data-say="rescue" { span { (t("Write the file")) small { (t("unsent work, for another phone")) } } }
                a class="key stop" href="#gas" { span { (t("Gas smell")) small { (t("or CO alarm")) } } }
            }
        },
        Stage::Stopped { wrong } => html! {
            div class="head" { h1 tabindex="-1" { (t("The program stopped")) } }
            div class="pad stack grow" {
                p class="note" { (language.wrong(wrong)) }
                p { (t("What was saved is safe in its file. What was being taken in from outside is set aside and the program starts without it.")) }
            }
            div class="foot keys" {
                button type="button" class="key big row" data-say="again" { span { (t("Start again")) } }
                a class="key stop" href="#gas" { span { (t("Gas smell")) small { (t("or CO alarm")) } } }
            }
        },
    };
    let place = match stage {
        Stage::Code { .. } => "join",
        Stage::NoStorage => "nostorage",
        Stage::Elsewhere => "elsewhere",
        Stage::Damaged { .. } => "damaged",
        Stage::Stopped { .. } => "stopped",
    };
    let main = html! { main class="phone" data-place=(place) { (inside) } };
    face(&set, language.key(), &main)
}
