//! A person's own page: how they sign in, what they may see, their passkeys.

use maud::{Markup, html};

use super::files::address;
use super::sign_in::PASSWORD_MAX;
use super::{Chrome, page};

/// A passkey.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PasskeyLine {
    /// What it is named by in forms.
    pub name: String,
    /// What its owner calls it.
    pub label: String,
    /// When it was added.
    pub made: String,
    /// When it was used last.
    pub used: Option<String>,
}

/// A person, to themselves.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Me {
    /// The name to sign in with.
    pub sign_in: String,
    /// Sites; none means every site.
    pub sites: Option<Vec<String>>,
    /// Passkeys.
    pub passkeys: Vec<PasskeyLine>,
    /// Whether another one may be added.
    pub room: bool,
}

/// A person's own page.
pub fn me(chrome: &Chrome, me: &Me) -> Markup {
    let (name, role) = chrome.who.clone().unwrap_or_default();
    let content = html! {
        h1 { (name) }
        p { "You sign in as " b { (me.sign_in) } ", " (role) " for "
            @match &me.sites { None => "every site", Some(sites) => (sites.join(", ")) } "." }
        section aria-labelledby="passkeys" {
            h2 #passkeys { "Passkeys" }
            p { "A passkey lives on your phone, your computer or a key on a ring, and opens these pages there without the password. The password goes on working. A new password, by a one-time code, ends every passkey." }
            @if me.passkeys.is_empty() { p.dim { "none" } } @else {
                div.scroll { table {
                    thead { tr { th scope="col" { "Passkey" } th scope="col" { "Added (UTC)" } th scope="col" { "Last used (UTC)" } th scope="col" { span.vh { "Remove" } } } }
                    tbody { @for one in &me.passkeys { tr {
                        th scope="row" { (one.label) }
                        td.nowrap { (one.made) }
                        td.nowrap { (one.used.as_deref().unwrap_or("not used yet")) }
                        td { form method="post" action="/review/me/passkey/remove" {
                            (chrome.token_field())
                            input type="hidden" name="passkey" value=(one.name);
                            button.btn.q2 type="submit" aria-label={ "Remove " (one.label) } { "Remove" }
                        } }
                    } } }
                } }
            }
            @if me.room { (add(chrome)) } @else { p.dim { "There is room for no more; remove one first." } }
        }
        script src=(address("passkey.js")) defer {}
    };
    page(chrome, None, &name, &content)
}

/// Shown by the script where the browser can: without scripts there are no passkeys.
fn add(chrome: &Chrome) -> Markup {
    html! {
        p.dim data-passkey-not { "This browser, with scripts as they are set here, offers no passkeys." }
        form.narrow method="post" action="/review/me/passkey" data-passkey="create" data-begin="/review/me/passkey/begin" hidden {
            (chrome.token_field())
            input type="hidden" name="answer";
            p.note.now role="alert" data-says hidden {}
            label.typed { span { "What you call it " small { "for example the device it lives on" } }
                input name="label" maxlength="60" required; }
            label.typed { span { "Your password, once more" }
                input name="password" type="password" autocomplete="current-password" required maxlength=(PASSWORD_MAX); }
            button.btn type="submit" { "Add a passkey" }
        }
    }
}
