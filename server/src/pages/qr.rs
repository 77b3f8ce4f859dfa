//! A QR code as a drawing: dark modules on light, whatever the look of the page.

use std::fmt::Write as _;

use maud::{Markup, html};
use qrcode::types::Color;
use qrcode::{EcLevel, QrCode};

/// Light modules round the code that scanners need: ISO/IEC 18004 asks four.
const QUIET: usize = 4;

/// A QR code, or the words alone where they are too long for one.
pub fn qr(words: &str) -> Markup {
    let Ok(code) = QrCode::with_error_correction_level(words, EcLevel::M) else {
        return html! { p { (words) } };
    };
    let width = code.width();
    let mut path = String::new();
    for (at, color) in code.to_colors().iter().enumerate() {
        if *color == Color::Dark {
            let (x, y) = (at % width + QUIET, at / width + QUIET);
            write!(path, "M{x} {y}h1v1h-1z").expect("a String takes it");
        }
    }
    let side = width + 2 * QUIET;
    html! {
        svg.qr viewBox={ "0 0 " (side) " " (side) } role="img" aria-label="QR code of a link" {
            rect.paper width=(side) height=(side) {}
            path.ink d=(path) {}
        }
    }
}
