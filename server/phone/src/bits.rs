//! Pieces that every screen is made of: keys, signs, frames.

use client_core::record::body::drawn::{self, Drawn};
use client_core::record::code::{Phase, Status};
use client_core::record::derived::block::Judged;
use maud::{Markup, PreEscaped, html};

use crate::app::state::drawn_name;
use crate::see::{See, phase_class, phase_word};
use crate::tap::{Deed, Name, Place, Tap};

/// A key with a word and, below it, a smaller one.
pub fn key(tap: impl Into<Tap>, word: &str, small: &str) -> Markup {
    key_of("key", tap, word, small)
}

/// The next thing: one on a screen.
pub fn big(tap: impl Into<Tap>, word: &str, small: &str) -> Markup {
    key_of("key big row", tap, word, small)
}

/// A key of a class.
pub fn key_of(class: &str, tap: impl Into<Tap>, word: &str, small: &str) -> Markup {
    let tap = tap.into();
    html! {
        button type="button" class=(class) data-tap=(tap) {
            span { (word) @if !small.is_empty() { small { (small) } } }
        }
    }
}

/// A key that shows whether it is chosen.
pub fn choice(tap: impl Into<Tap>, word: &str, small: &str, chosen: bool) -> Markup {
    let tap = tap.into();
    html! {
        button type="button" class="key pick" aria-pressed=(chosen) data-tap=(tap) {
            span { (word) @if !small.is_empty() { small { (small) } } }
        }
    }
}

/// The octagon: it opens a screen that works without this program.
pub fn gas_smell(see: &See<'_>) -> Markup {
    html! {
        a class="key stop" href="#gas" { span { (see.t("Gas smell")) small { (see.t("or CO alarm")) } } }
    }
}

/// The key one screen back.
pub fn back(see: &See<'_>) -> Markup {
    key(Deed::Back {}, see.t("Back"), "")
}

/// A row of keys at the foot.
pub fn foot(inside: &Markup) -> Markup {
    html! { div class="foot keys" { (inside) } }
}

/// The head of a screen with a title.
pub fn head(above: &str, title: &str, beside: &Markup) -> Markup {
    html! {
        div class="head" {
            div { @if !above.is_empty() { div class="dim t1" { (above) } } h1 tabindex="-1" { (title) } }
            div class="r" { (beside) }
        }
    }
}

/// The head of a unit's screen.
pub fn unit_head(no: &str, beside: &Markup) -> Markup {
    html! { div class="head mid" { h1 class="un" tabindex="-1" { (no) } (beside) } }
}

/// A sentence that says what just happened, where something did.
pub fn notice(see: &See<'_>) -> Markup {
    html! {
        @if let Some(notice) = &see.state.notice {
            p class="note now" role="status" { (notice) }
        }
    }
}

/// A screen without a frame.
pub fn page(see: &See<'_>, place: &Place, inside: &Markup) -> Markup {
    html! {
        main class="phone" data-place=(place) data-busy[see.state.exchanging.runs()] {
            (inside) (strip(see))
        }
    }
}

/// A screen in the frame of a phase.
pub fn framed(see: &See<'_>, place: &Place, phase: Phase, inside: &Markup) -> Markup {
    let class = phase_class(phase);
    html! {
        main class={ "phone phase " (class) } data-place=(place) data-busy[see.state.exchanging.runs()] {
            @if phase == Phase::AsFound { div class="lid" {} }
            div class="rail a" {} div class="rail z" {}
            (inside)
            (strip(see))
            @if phase == Phase::AsLeft { div class="base" {} }
        }
    }
}

/// What waits to be sent, on every screen.
fn strip(see: &See<'_>) -> Markup {
    let unsent = see.lists.unsent;
    let hours = see.set.unsent_since.map_or(0, |since| (see.now.secs - since).max(0) / 3_600);
    html! {
        div class="strip1 t1" {
            @if unsent == 0 { span { (see.t("Nothing waits on this phone")) } }
            @else if hours >= 24 {
                span class="inv" {
                    (see.f("{} entries only on this phone, for {} h: exchange, or write a hand-over file",
                        &[&unsent.to_string(), &hours.to_string()]))
                }
            }
            @else if unsent == 1 { span { (see.t("1 entry only on this phone")) } }
            @else { span { (see.f("{} entries only on this phone", &[&unsent.to_string()])) } }
            @if see.lists.photos.up > 0 { span { (see.f("{} pictures wait", &[&see.lists.photos.up.to_string()])) } }
            @for timer in see.state.timers.iter().filter(|timer| timer.until > see.now.secs) {
                @let left = timer.until - see.now.secs;
                span class="clock" { (timer.unit) " " (see.t(&timer.what)) " "
                    b data-until=(timer.until) { (format!("{}:{:02}", left / 60, left % 60)) } }
            }
        }
    }
}

/// The word plate of a phase.
pub fn plate(see: &See<'_>, phase: Phase) -> Markup {
    html! {
        span class={ "ph " (phase_class(phase)) } { (phase_sign(phase)) (see.t(phase_word(phase))) }
    }
}

/// The small word plate over a column.
pub fn plate_small(see: &See<'_>, phase: Phase) -> Markup {
    html! { span class={ "ph sm " (phase_class(phase)) } { (see.t(phase_word(phase))) } }
}

fn sign(class: &str, inside: &str) -> Markup {
    PreEscaped(format!(
        "<svg class=\"{class}\" viewBox=\"0 0 {} 24\" aria-hidden=\"true\">{inside}</svg>",
        if class.starts_with('g') { 46 } else { 24 }
    ))
}

/// Open diamond, plus, solid square.
pub fn phase_sign(phase: Phase) -> Markup {
    let inside = match phase {
        Phase::AsFound => "<path d=\"M12 2L22 12L12 22L2 12Z\"/>",
        Phase::AsLeft => "<rect x=\"4\" y=\"4\" width=\"16\" height=\"16\" fill=\"currentColor\"/>",
        _ => "<path d=\"M12 3V21M3 12H21\"/>",
    };
    sign("st", inside)
}

/// The sign of a status.
pub fn status_sign(status: Status) -> Markup {
    let ring = "<circle cx=\"12\" cy=\"12\" r=\"8\"/>";
    let inside = match status {
        Status::InService => {
            "<circle cx=\"12\" cy=\"12\" r=\"8\" fill=\"currentColor\"/>".to_owned()
        }
        Status::InServicePartAwaited => {
            format!(
                "{ring}<circle cx=\"12\" cy=\"12\" r=\"2.8\" fill=\"currentColor\" stroke=\"none\"/>"
            )
        }
        Status::Watch => format!("{ring}<path d=\"M12 4a8 8 0 0 1 0 16z\" fill=\"currentColor\"/>"),
        Status::ShutDownTagged | Status::ControlLockedOut => {
            "<path d=\"M2 3H15L22 12L15 21H2Z\" fill=\"currentColor\"/>\
             <path class=\"cut\" d=\"M6 8L13 16M13 8L6 16\"/>"
                .to_owned()
        }
        Status::Removed => "<path d=\"M4 12H20\"/>".to_owned(),
        Status::Unknown | Status::Newer(_) => ring.to_owned(),
    };
    sign("st", &inside)
}

/// The sign of a unit that was not reached.
pub fn not_reached_sign() -> Markup {
    sign("st", "<circle cx=\"12\" cy=\"12\" r=\"8\" stroke-dasharray=\"4 4\"/>")
}

/// Two brackets back to back.
pub fn two_sign() -> Markup {
    sign("st two-c", "<path d=\"M3 4H10V20H3M21 4H14V20H21\"/>")
}

/// A bracket is the limits, the dot is the reading.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Bracket {
    /// Within.
    Within,
    /// At the edge.
    Edge,
    /// Above.
    Above,
    /// Below.
    Below,
    /// No figure to compare.
    None,
    /// Not tested.
    NotTested,
}

impl Bracket {
    /// The bracket of a verdict.
    pub const fn of(judged: &Judged) -> Bracket {
        crate::verdict::bracket(judged)
    }

    /// Drawn.
    pub fn draw(self) -> Markup {
        let dot = |x: u8, r: &str| {
            format!(
                "<circle cx=\"{x}\" cy=\"12\" r=\"{r}\" fill=\"currentColor\" stroke=\"none\"/>"
            )
        };
        let inside = match self {
            Bracket::Within => format!("<path d=\"M8 3H4V21H8M38 3H42V21H38\"/>{}", dot(23, "5")),
            Bracket::Edge => {
                format!("<path d=\"M6 3H2V21H6M30 3H34V21H30M25 12H46\"/>{}", dot(34, "5"))
            }
            Bracket::Above => format!("<path d=\"M6 3H2V21H6M24 3H28V21H24\"/>{}", dot(39, "6.5")),
            Bracket::Below => {
                format!("<path d=\"M22 3H18V21H22M40 3H44V21H40\"/>{}", dot(7, "6.5"))
            }
            Bracket::None => {
                format!("<path d=\"M4 3V21M42 3V21\" stroke-dasharray=\"3 4\"/>{}", dot(23, "5"))
            }
            Bracket::NotTested => "<path d=\"M8 3H4V21H8M38 3H42V21H38M16 12H30\"/>".to_owned(),
        };
        sign("g", &inside)
    }
}

/// A sentence begins with a capital and ends with one stop, also behind "in w.c.".
pub fn sentence(text: &str) -> String {
    let text = capital(text);
    if text.ends_with(['.', '?', ':']) { text } else { text + "." }
}

/// A sentence begins with a capital.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// A line of text to type, kept while the screen is drawn again.
pub fn line(see: &See<'_>, name: &str, label: &str, hint: &str) -> Markup {
    let value = see.state.form.get(name).map_or("", String::as_str);
    html! {
        label class="typed" { span { (label) @if !hint.is_empty() { small { (hint) } } }
            input name=(name) value=(value) autocomplete="off" autocapitalize="sentences"; }
    }
}

/// Several lines of text to type.
pub fn lines(see: &See<'_>, name: &str, label: &str, hint: &str) -> Markup {
    let value = see.state.form.get(name).map_or("", String::as_str);
    html! {
        label class="typed" { span { (label) @if !hint.is_empty() { small { (hint) } } }
            textarea name=(name) rows="3" autocapitalize="sentences" { (value) } }
    }
}

/// A pad to sign on with a finger, a pen or a mouse. Nothing needs it: a name and words do as well.
pub fn sign_here(see: &See<'_>, of: impl std::fmt::Display) -> Markup {
    let name = drawn_name(of);
    let text = see.state.form.get(&name).map_or("", String::as_str);
    let path = Drawn::read(text).map(|drawn| drawn.path()).unwrap_or_default();
    html! {
        div class="stack" role="group" aria-label=(see.t("Signature")) {
            p class="b" { (see.t("Signature")) small class="dim" { " " (see.t("drawn here, or on paper; not needed")) } }
            svg class="sign" viewBox={ "0 0 " (drawn::ACROSS) " " (drawn::DOWN) } data-draw=(name) aria-hidden="true" {
                path d=(path) {}
            }
            input type="hidden" name=(name) value=(text);
            @if !path.is_empty() {
                (key_of("key row", Deed::Undraw { what: Name(name.clone()) }, see.t("Wipe the drawing"), ""))
            }
        }
    }
}

/// A signature as it was drawn.
pub fn signature(see: &See<'_>, drawn: &Drawn) -> Markup {
    html! {
        svg class="sign done" viewBox={ "0 0 " (drawn::ACROSS) " " (drawn::DOWN) } role="img"
            aria-label=(see.t("Signature, drawn")) { path d=(drawn.path()) {} }
    }
}

/// A number to type with the phone's own digits.
pub fn number(see: &See<'_>, name: &str, label: &str, unit: &str) -> Markup {
    let value = see.state.form.get(name).map_or("", String::as_str);
    html! {
        label class="typed" { span { (label) @if !unit.is_empty() { small { (unit) } } }
            input name=(name) value=(value) inputmode="decimal" autocomplete="off"; }
    }
}
