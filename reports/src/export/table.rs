//! A table as CSV by RFC 4180, which a spreadsheet may open: no cell that a person typed is a formula there.

/// A cell.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Cell {
    /// Nothing.
    Empty,
    /// A text.
    Text(String),
    /// Digits with a point, as the record holds them.
    Number(String),
}

/// A table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Table {
    /// Heads of the columns.
    pub columns: &'static [&'static str],
    /// Rows, each as wide as the heads.
    pub rows: Vec<Vec<Cell>>,
}

/// What a spreadsheet takes for the beginning of a formula.
const FORMULA: &[char] = &['=', '+', '-', '@', '\t', '\r', '\n', '|', '%'];

/// A text that no spreadsheet works out: an apostrophe stands before what looks like a formula.
///
/// ```
/// use reports::export::table::tame;
/// assert_eq!(tame("=1+1"), "'=1+1");
/// assert_eq!(tame("  @sum"), "'  @sum");
/// assert_eq!(tame("gas cock"), "gas cock");
/// ```
pub fn tame(text: &str) -> String {
    let wide = text.trim_start().chars().next().or_else(|| text.chars().next());
    // The wide signs of East Asian writing are taken for the narrow ones.
    let looks = |letter| FORMULA.contains(&letter) || ('\u{ff01}'..='\u{ff5e}').contains(&letter);
    let first = text.chars().next();
    if wide.is_some_and(looks) || first.is_some_and(looks) || text.starts_with('\'') {
        format!("'{text}")
    } else {
        text.to_owned()
    }
}

/// The table as CSV: a head, then rows, lines ended by CR LF.
pub fn csv(table: &Table) -> String {
    let mut out = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(vec![]);
    let wrote = |wrote: Result<(), csv::Error>| wrote.expect("writing to memory does not fail");
    wrote(out.write_record(table.columns));
    for row in &table.rows {
        wrote(out.write_record(row.iter().map(|cell| match cell {
            Cell::Empty => String::new(),
            Cell::Text(text) => tame(text),
            Cell::Number(digits) => digits.clone(),
        })));
    }
    let bytes = out.into_inner().expect("writing to memory does not fail");
    String::from_utf8(bytes).expect("every cell is text")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_cell_is_a_formula_and_numbers_stay_numbers() {
        let table = Table {
            columns: &["words", "quantity"],
            rows: vec![
                vec![Cell::Text("=cmd|' /C calc'!A0".to_owned()), Cell::Number("-0.92".to_owned())],
                vec![Cell::Text("a \"b\"\r\n,c".to_owned()), Cell::Empty],
                vec![Cell::Text("\u{ff1d}1".to_owned()), Cell::Empty],
            ],
        };
        let text = csv(&table);
        assert_eq!(
            text,
            "words,quantity\r\n'=cmd|' /C calc'!A0,-0.92\r\n\"a \"\"b\"\"\r\n,c\",\r\n'\u{ff1d}1,\r\n"
        );
    }
}
