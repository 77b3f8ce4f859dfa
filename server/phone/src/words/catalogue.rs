//! Every text of the screens in every language.

use super::Line;

/// English, French, Spanish.
pub const CATALOGUE: &[Line] = &[Line("found", "trouv\u{e9}", "hallado")];
