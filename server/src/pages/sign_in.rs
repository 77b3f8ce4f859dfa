//! Signing in, and coming with a one-time code.

use maud::{Markup, html};

use super::files::address;
use super::{Chrome, page};

/// Fewest characters of a password. NIST SP 800-63B-4 (2025) asks 15 where a password stands alone, and no
/// rules about which characters.
pub const PASSWORD_MIN: usize = 15;
/// Most characters of a password.
pub const PASSWORD_MAX: usize = 256;

fn said(wrong: Option<&str>) -> Markup {
    html! { @if let Some(wrong) = wrong { p.note.now role="alert" { (wrong) } } }
}

/// Signing in. `to` is where the reader wanted to go.
pub fn sign_in(chrome: &Chrome, name: &str, to: &str, wrong: Option<&str>) -> Markup {
    let content = html! {
        h1 { "Sign in" }
        (said(wrong))
        form.narrow method="post" action="/review/sign-in" {
            input type="hidden" name="to" value=(to);
            label.typed { span { "Name to sign in with" }
                input name="name" value=(name) autocomplete="username" autocapitalize="none" required maxlength="64"; }
            label.typed { span { "Password" }
                input name="password" type="password" autocomplete="current-password" required maxlength=(PASSWORD_MAX); }
            button.btn type="submit" { "Sign in" }
        }
        form.narrow method="post" action="/review/sign-in/passkey" data-passkey="get" data-begin="/review/sign-in/passkey/begin" hidden {
            input type="hidden" name="to" value=(to);
            input type="hidden" name="answer";
            p.note.now role="alert" data-says hidden {}
            button.btn.q2 type="submit" { "Sign in with a passkey" }
        }
        p { "First time here, or the password is lost? " a href="/review/join" { "Use a one-time code" } }
        script src=(address("passkey.js")) defer {}
    };
    page(chrome, None, "Sign in", &content)
}

/// What was typed into the form of a one-time code.
#[derive(Clone, Debug, Default)]
pub struct Typed {
    /// The code.
    pub code: String,
    /// The person's name.
    pub name: String,
    /// The name to sign in with.
    pub sign_in: String,
}

/// Coming with a one-time code.
pub fn join(chrome: &Chrome, typed: &Typed, wrong: Option<&str>) -> Markup {
    let content = html! {
        h1 { "Use a one-time code" }
        p { "A supervisor gives codes on the page People, and the hub's console gives the first one. A code is good for ten minutes and one use." }
        (said(wrong))
        form.narrow method="post" action="/review/join" {
            label.typed { span { "Code" }
                input name="code" value=(typed.code) autocomplete="one-time-code" autocapitalize="none" spellcheck="false" required maxlength="64"; }
            label.typed { span { "Your name " small { "as it stands under what you sign; needed when you are new here" } }
                input name="name" value=(typed.name) autocomplete="name" maxlength="120"; }
            label.typed { span { "Name to sign in with" }
                input name="sign_in" value=(typed.sign_in) autocomplete="username" autocapitalize="none" required maxlength="64"; }
            label.typed { span { "Password " small { "at least " (PASSWORD_MIN) " characters; a sentence is fine" } }
                input name="password" type="password" autocomplete="new-password" required minlength=(PASSWORD_MIN) maxlength=(PASSWORD_MAX); }
            label.typed { span { "The same password again" }
                input name="again" type="password" autocomplete="new-password" required minlength=(PASSWORD_MIN) maxlength=(PASSWORD_MAX); }
            button.btn type="submit" { "Begin" }
        }
        p { a href="/review/sign-in" { "Sign in instead" } }
    };
    page(chrome, None, "Use a one-time code", &content)
}
