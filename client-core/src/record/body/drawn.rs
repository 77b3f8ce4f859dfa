//! A signature as it was drawn: lines of points on a small grid, part of the entry that it belongs to.
//!
//! It is no picture beside the record: it travels with the entry, is covered by the same key, and cannot be
//! lost by itself. A drawing proves little; who was told, how, and what they said stand in words beside it.

use std::fmt::Write as _;

use minicbor::{Decode, Encode};

/// Points across.
pub const ACROSS: u8 = 240;
/// Points down.
pub const DOWN: u8 = 80;
/// Most bytes of a drawing: some nine hundred points, far more than a name needs.
pub const DRAWN_BYTES_MAX: usize = 1_800;

/// Lines, one after the other: how many points, then each point's two numbers.
#[derive(Clone, Debug, Default, PartialEq, Eq, Encode, Decode)]
#[cbor(transparent)]
pub struct Drawn(#[cbor(with = "minicbor::bytes")] Vec<u8>);

impl Drawn {
    /// Reads lines as a screen writes them: points `x,y` with blanks between, lines with semicolons. What
    /// lies beside the grid is moved to its edge. A drawing with too many points keeps every second one,
    /// until it fits. None when there is no point.
    ///
    /// ```
    /// use client_core::record::body::drawn::Drawn;
    /// let drawn = Drawn::read("10,40 12,38 20,44;30,30").unwrap();
    /// assert_eq!(drawn.path(), "M10 40L12 38L20 44M30 30h0");
    /// assert_eq!(Drawn::read("nothing"), None);
    /// ```
    pub fn read(text: &str) -> Option<Drawn> {
        let number = |text: &str, most: u8| {
            let number = text.trim().parse::<f32>().ok().filter(|number| number.is_finite())?;
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
            Some(number.round().clamp(0.0, f32::from(most)) as u8)
        };
        let point = |text: &str| {
            let (x, y) = text.split_once(',')?;
            Some((number(x, ACROSS)?, number(y, DOWN)?))
        };
        let line = |text: &str| {
            let mut points: Vec<(u8, u8)> = text.split(' ').filter_map(point).collect();
            points.dedup();
            points
        };
        let mut lines: Vec<Vec<(u8, u8)>> = text.split(';').map(line).collect();
        lines.retain(|points| !points.is_empty());
        if lines.is_empty() {
            return None;
        }
        loop {
            let bytes = packed(&lines);
            if bytes.len() <= DRAWN_BYTES_MAX {
                return Some(Drawn(bytes));
            }
            if lines.iter().all(|points| points.len() < 3) {
                lines.truncate(lines.len() / 2);
            }
            for points in &mut lines {
                let last = points.last().copied();
                let mut n = 0_usize;
                points.retain(|_| {
                    n += 1;
                    !n.is_multiple_of(2)
                });
                points.extend(last.filter(|_| n.is_multiple_of(2)));
            }
        }
    }

    /// The lines. Bytes that end early end the last line.
    pub fn lines(&self) -> Vec<Vec<(u8, u8)>> {
        let mut bytes = self.0.iter().copied();
        let mut lines = vec![];
        while let Some(count) = bytes.next() {
            let mut points = vec![];
            for _ in 0..count {
                let (Some(x), Some(y)) = (bytes.next(), bytes.next()) else { break };
                points.push((x.min(ACROSS), y.min(DOWN)));
            }
            lines.extend((!points.is_empty()).then_some(points));
        }
        lines
    }

    /// The drawing as a path of SVG on a grid of [`ACROSS`] times [`DOWN`].
    pub fn path(&self) -> String {
        let mut path = String::new();
        for points in self.lines() {
            for (n, (x, y)) in points.iter().enumerate() {
                let word = if n == 0 { 'M' } else { 'L' };
                write!(path, "{word}{x} {y}").expect("writing to memory does not fail");
            }
            if points.len() == 1 {
                path.push_str("h0");
            }
        }
        path
    }
}

fn packed(lines: &[Vec<(u8, u8)>]) -> Vec<u8> {
    let mut bytes = vec![];
    for points in lines.iter().flat_map(|points| points.chunks(usize::from(u8::MAX))) {
        bytes.push(u8::try_from(points.len()).unwrap_or(u8::MAX));
        bytes.extend(points.iter().flat_map(|(x, y)| [*x, *y]));
    }
    bytes
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_drawing_comes_back_as_it_was_made_and_a_long_one_is_thinned() {
        let drawn = Drawn::read("0,0 240,80;3,4 3,4 5,6").unwrap();
        assert_eq!(drawn.lines(), [vec![(0, 0), (240, 80)], vec![(3, 4), (5, 6)]]);
        let bytes = minicbor::to_vec(&drawn).unwrap();
        assert_eq!(minicbor::decode::<Drawn>(&bytes).unwrap(), drawn);
        let long: Vec<String> = (0..9_000).map(|n| format!("{},{}", n % 240, n % 79)).collect();
        let drawn = Drawn::read(&long.join(" ")).unwrap();
        assert!(drawn.0.len() <= DRAWN_BYTES_MAX && drawn.0.len() > DRAWN_BYTES_MAX / 3);
        assert_eq!(drawn.lines()[0][0], (0, 0));
        let dots: Vec<String> = (0..4_000).map(|n| format!("{},9", n % 200)).collect();
        assert!(Drawn::read(&dots.join(";")).unwrap().0.len() <= DRAWN_BYTES_MAX);
    }

    #[test]
    fn foreign_bytes_and_foreign_texts_are_no_trouble() {
        for bytes in [vec![], vec![255], vec![3, 1], vec![0, 0, 1, 250, 250], vec![7; 40]] {
            let drawn = Drawn(bytes);
            assert!(drawn.lines().iter().flatten().all(|(x, y)| *x <= ACROSS && *y <= DOWN));
            assert!(!drawn.path().contains('<'));
        }
        for text in ["", ";;", "a,b", "1", "NaN,inf", "<script>,1"] {
            assert_eq!(Drawn::read(text), None, "{text}");
        }
        assert_eq!(Drawn::read("-5,900 1e9,-1").unwrap().lines(), [[(0, 80), (240, 0)]]);
    }
}
