//! Reports on every face.
