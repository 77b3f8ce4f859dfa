//! Shapes that repeat a word: status, brackets of a verdict, two answers. Never without the word.

use maud::{Markup, PreEscaped, html};

use crate::review::sheet::Lies;

/// A shape.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shape {
    /// In service: a disc.
    InService,
    /// Watch: half a disc.
    Watch,
    /// In service, part awaited: a ring with a point.
    PartAwaited,
    /// Shut down: a notched tag with a cross.
    ShutDown,
    /// Locked out by its control: a ring with a bar.
    LockedOut,
    /// Removed: a dash.
    Removed,
    /// Not known: a ring.
    Unknown,
    /// Two answers: two brackets back to back.
    TwoAnswers,
    /// Nothing was entered: a dashed ring.
    NotReached,
}

impl Shape {
    const fn paths(self) -> &'static str {
        match self {
            Shape::InService => r#"<circle cx="12" cy="12" r="8" class="solid"/>"#,
            Shape::Watch => {
                r#"<circle cx="12" cy="12" r="8"/><path d="M12 4a8 8 0 0 0 0 16z" class="solid"/>"#
            }
            Shape::PartAwaited => {
                r#"<circle cx="12" cy="12" r="8"/><circle cx="12" cy="12" r="2.4" class="solid"/>"#
            }
            Shape::ShutDown => {
                r#"<path d="M2 3H15L22 12L15 21H2Z" class="solid"/><path d="M6 8L13 16M13 8L6 16" class="cut"/>"#
            }
            Shape::LockedOut => r#"<circle cx="12" cy="12" r="8"/><path d="M5 12H19"/>"#,
            Shape::Removed => r#"<path d="M4 12H20"/>"#,
            Shape::Unknown => r#"<circle cx="12" cy="12" r="8"/>"#,
            Shape::TwoAnswers => r#"<path d="M3 4H10V20H3M21 4H14V20H21"/>"#,
            Shape::NotReached => r#"<circle cx="12" cy="12" r="8" stroke-dasharray="4 4"/>"#,
        }
    }

    /// The drawing; a word stands beside it, so it is hidden from readers aloud.
    pub fn svg(self) -> Markup {
        html! { svg.st viewBox="0 0 24 24" aria-hidden="true" { (PreEscaped(self.paths())) } }
    }
}

/// The shape of a status key.
pub fn status(key: &str) -> Shape {
    match key {
        "in_service" => Shape::InService,
        "watch" => Shape::Watch,
        "in_service_part_awaited" => Shape::PartAwaited,
        "shut_down_tagged" => Shape::ShutDown,
        "control_locked_out" => Shape::LockedOut,
        "removed" => Shape::Removed,
        _ => Shape::Unknown,
    }
}

/// A bracket for the limits and a dot for the reading.
pub fn bracket(lies: Lies) -> Markup {
    let paths = match lies {
        Lies::Within => {
            r#"<path d="M10 4H6V20H10M36 4H40V20H36"/><circle cx="23" cy="12" r="3" class="solid"/>"#
        }
        Lies::Edge => {
            r#"<path d="M10 4H6V20H10M36 4H40V20H36"/><circle cx="34" cy="12" r="3" class="solid"/><path d="M27 12H45" class="thin"/>"#
        }
        Lies::Above => {
            r#"<path d="M8 4H4V20H8M26 4H30V20H26"/><circle cx="40" cy="12" r="3" class="solid"/>"#
        }
        Lies::Below => {
            r#"<path d="M20 4H16V20H20M38 4H42V20H38"/><circle cx="6" cy="12" r="3" class="solid"/>"#
        }
        Lies::NoLimit => {
            r#"<path d="M8 5V8M8 11V14M8 17V20M38 5V8M38 11V14M38 17V20"/><circle cx="23" cy="12" r="3" class="solid"/>"#
        }
        Lies::NotTested => r#"<path d="M10 4H6V20H10M36 4H40V20H36M19 12H27"/>"#,
    };
    html! { svg.g viewBox="0 0 46 24" aria-hidden="true" { (PreEscaped(paths)) } }
}

/// What the bracket says, in two or three words.
pub const fn lies(lies: Lies) -> &'static str {
    match lies {
        Lies::Within => "within the limits entered",
        Lies::Edge => "cannot tell apart from the limit",
        Lies::Above => "above",
        Lies::Below => "below",
        Lies::NoLimit => "no figure to compare",
        Lies::NotTested => "not tested",
    }
}
