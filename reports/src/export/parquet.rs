//! A table as Parquet, for analysts: one row group, plain encoding, no compression, so that any reader opens
//! it. Text columns are UTF-8, figures are doubles with the digits as typed beside them, days are dates; what
//! is not known is null and never zero.
//!
//! Source: the format's own description (Apache Parquet, `parquet.thrift` and "File Format"); the footer is
//! Thrift's compact protocol.

use client_core::record::value::Day;

use super::table::{Cell, Table};

const MAGIC: &[u8; 4] = b"PAR1";

/// What the values of a column are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    /// UTF-8.
    Text,
    /// IEEE double.
    Double,
    /// Days since 1970.
    Date,
}

impl Kind {
    /// The number of the physical type.
    const fn physical(self) -> i64 {
        match self {
            Kind::Text => 6,
            Kind::Double => 5,
            Kind::Date => 1,
        }
    }
}

/// One value; `None` is null.
#[derive(Clone, Debug, PartialEq)]
enum Value {
    Text(String),
    Double(f64),
    Date(i32),
}

struct Column {
    name: String,
    kind: Kind,
    values: Vec<Option<Value>>,
}

/// The table as the bytes of a Parquet file. The same table gives the same bytes.
pub fn parquet(table: &Table) -> Vec<u8> {
    let columns = columns(table);
    let mut out = MAGIC.to_vec();
    let mut chunks = vec![];
    for column in &columns {
        let offset = out.len();
        page(&mut out, column);
        chunks.push((offset, out.len() - offset));
    }
    let footer = footer(&columns, &chunks, table.rows.len());
    out.extend_from_slice(&footer);
    out.extend_from_slice(&count(footer.len()).to_le_bytes());
    out.extend_from_slice(MAGIC);
    out
}

fn count(number: usize) -> u32 {
    u32::try_from(number).expect("a table of one visit is far below four gigabytes")
}

fn long(number: usize) -> i64 {
    i64::from(count(number))
}

/// The columns of a table. One with figures gets a second one beside it that holds the digits as typed; one in
/// which every text is a day holds dates.
fn columns(table: &Table) -> Vec<Column> {
    let mut columns = vec![];
    for (at, name) in table.columns.iter().enumerate() {
        let cells: Vec<&Cell> = table.rows.iter().filter_map(|row| row.get(at)).collect();
        let figures = cells.iter().any(|cell| matches!(cell, Cell::Number(_)));
        let text = |cell: &&Cell| match cell {
            Cell::Text(text) | Cell::Number(text) if !text.is_empty() => {
                Some(Value::Text(text.clone()))
            }
            _ => None,
        };
        if figures {
            let double = |cell: &&Cell| match cell {
                Cell::Number(digits) => digits.parse().ok().map(Value::Double),
                _ => None,
            };
            let values = cells.iter().map(double).collect();
            columns.push(Column { name: (*name).to_owned(), kind: Kind::Double, values });
            let values = cells.iter().map(text).collect();
            let name = format!("{name}_as_typed");
            columns.push(Column { name, kind: Kind::Text, values });
            continue;
        }
        let day = |cell: &&Cell| match cell {
            Cell::Text(text) => Day::parse(text).ok().filter(|day| day.to_string() == *text),
            _ => None,
        };
        let filled = cells.iter().filter(|cell| text(cell).is_some()).count();
        let days: Vec<Option<Day>> = cells.iter().map(day).collect();
        let all_days = filled > 0 && days.iter().flatten().count() == filled;
        let (kind, values) = if all_days {
            (Kind::Date, days.into_iter().map(|day| day.map(|day| Value::Date(day.0))).collect())
        } else {
            (Kind::Text, cells.iter().map(text).collect())
        };
        columns.push(Column { name: (*name).to_owned(), kind, values });
    }
    columns
}

/// A data page of version 1: its header, the definition levels, the values that are not null.
fn page(out: &mut Vec<u8>, column: &Column) {
    let levels = levels(&column.values);
    let mut data = count(levels.len()).to_le_bytes().to_vec();
    data.extend_from_slice(&levels);
    for value in column.values.iter().flatten() {
        match value {
            Value::Text(text) => {
                data.extend_from_slice(&count(text.len()).to_le_bytes());
                data.extend_from_slice(text.as_bytes());
            }
            Value::Double(double) => data.extend_from_slice(&double.to_le_bytes()),
            Value::Date(day) => data.extend_from_slice(&day.to_le_bytes()),
        }
    }
    let mut header = Thrift::default();
    header.number(1, 5, 0);
    header.number(2, 5, long(data.len()));
    header.number(3, 5, long(data.len()));
    header.field(5, 12);
    header.nested(|page| {
        page.number(1, 5, long(column.values.len()));
        page.number(2, 5, PLAIN);
        page.number(3, 5, RLE);
        page.number(4, 5, RLE);
    });
    out.extend_from_slice(&header.end());
    out.extend_from_slice(&data);
}

const PLAIN: i64 = 0;
const RLE: i64 = 3;
const OPTIONAL: i64 = 1;

/// Definition levels as runs: 1 where there is a value.
fn levels(values: &[Option<Value>]) -> Vec<u8> {
    let mut out = vec![];
    for run in values.chunk_by(|one, other| one.is_some() == other.is_some()) {
        varint(&mut out, u64::from(count(run.len())) << 1);
        out.push(u8::from(run[0].is_some()));
    }
    out
}

fn footer(columns: &[Column], chunks: &[(usize, usize)], rows: usize) -> Vec<u8> {
    let mut file = Thrift::default();
    file.number(1, 5, 1);
    file.list(2, 12, columns.len() + 1);
    file.nested(|root| {
        root.text(4, "rows");
        root.number(5, 5, long(columns.len()));
    });
    for column in columns {
        file.nested(|own| {
            own.number(1, 5, column.kind.physical());
            own.number(3, 5, OPTIONAL);
            own.text(4, &column.name);
            // The older and the newer word for what the bytes mean.
            let (converted, logical) = match column.kind {
                Kind::Text => (0, 1),
                Kind::Date => (6, 6),
                Kind::Double => return,
            };
            own.number(6, 5, converted);
            own.field(10, 12);
            own.nested(|union| {
                union.field(logical, 12);
                union.nested(|_| {});
            });
        });
    }
    file.number(3, 6, long(rows));
    file.list(4, 12, 1);
    file.nested(|group| {
        group.list(1, 12, columns.len());
        for (column, (offset, size)) in columns.iter().zip(chunks) {
            group.nested(|chunk| {
                chunk.number(2, 6, long(*offset));
                chunk.field(3, 12);
                chunk.nested(|own| meta(own, column, *offset, *size));
            });
        }
        group.number(2, 6, long(chunks.iter().map(|(_, size)| size).sum()));
        group.number(3, 6, long(rows));
    });
    file.text(6, "dripleg");
    file.end()
}

fn meta(own: &mut Thrift, column: &Column, offset: usize, size: usize) {
    own.number(1, 5, column.kind.physical());
    own.list(2, 5, 2);
    own.bare(PLAIN);
    own.bare(RLE);
    own.list(3, 8, 1);
    own.bare_text(&column.name);
    own.number(4, 5, 0);
    own.number(5, 6, long(column.values.len()));
    own.number(6, 6, long(size));
    own.number(7, 6, long(size));
    own.number(9, 6, long(offset));
}

/// A structure in Thrift's compact protocol: fields in rising order, closed by a zero byte.
#[derive(Default)]
struct Thrift {
    bytes: Vec<u8>,
    last: u8,
}

impl Thrift {
    /// The head of a field.
    fn field(&mut self, id: u8, kind: u8) {
        debug_assert!(id > self.last && id - self.last < 16, "fields rise by less than 16");
        self.bytes.push((id - self.last) << 4 | kind);
        self.last = id;
    }

    /// A field that holds a whole number of this type.
    fn number(&mut self, id: u8, kind: u8, value: i64) {
        self.field(id, kind);
        self.bare(value);
    }

    fn text(&mut self, id: u8, text: &str) {
        self.field(id, 8);
        self.bare_text(text);
    }

    fn list(&mut self, id: u8, kind: u8, length: usize) {
        self.field(id, 9);
        match u8::try_from(length) {
            Ok(length) if length < 15 => self.bytes.push(length << 4 | kind),
            _ => {
                self.bytes.push(0xf0 | kind);
                varint(&mut self.bytes, u64::from(count(length)));
            }
        }
    }

    /// A structure, as a field's value or a list's member.
    fn nested(&mut self, fill: impl FnOnce(&mut Thrift)) {
        let mut own = Thrift::default();
        fill(&mut own);
        self.bytes.extend_from_slice(&own.end());
    }

    fn bare(&mut self, value: i64) {
        // Zigzag: small numbers of either sign stay short.
        varint(&mut self.bytes, ((value << 1) ^ (value >> 63)).cast_unsigned());
    }

    fn bare_text(&mut self, text: &str) {
        varint(&mut self.bytes, u64::from(count(text.len())));
        self.bytes.extend_from_slice(text.as_bytes());
    }

    fn end(mut self) -> Vec<u8> {
        self.bytes.push(0);
        self.bytes
    }
}

fn varint(out: &mut Vec<u8>, mut value: u64) {
    loop {
        let [low, ..] = value.to_le_bytes();
        value >>= 7;
        if value == 0 {
            out.push(low);
            return;
        }
        out.push(low | 0x80);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn table() -> Table {
        let text = |text: &str| Cell::Text(text.to_owned());
        Table {
            columns: &["id", "date", "quantity"],
            rows: vec![
                vec![text("=1"), text("2025-10-14"), Cell::Number("3.50".to_owned())],
                vec![text("b"), text(""), Cell::Empty],
            ],
        }
    }

    #[test]
    fn figures_keep_their_digits_days_are_dates_and_what_is_missing_is_null() {
        let columns = columns(&table());
        let shape: Vec<(&str, Kind)> =
            columns.iter().map(|column| (column.name.as_str(), column.kind)).collect();
        assert_eq!(
            shape,
            [
                ("id", Kind::Text),
                ("date", Kind::Date),
                ("quantity", Kind::Double),
                ("quantity_as_typed", Kind::Text)
            ]
        );
        assert_eq!(columns[1].values, [Some(Value::Date(20_375)), None]);
        assert_eq!(columns[2].values, [Some(Value::Double(3.5)), None]);
        assert_eq!(columns[3].values[0], Some(Value::Text("3.50".to_owned())));
        // A formula is no danger here: the column is text for every reader.
        assert_eq!(columns[0].values[0], Some(Value::Text("=1".to_owned())));
    }

    #[test]
    fn the_file_is_framed_and_the_footer_is_where_its_length_says() {
        let bytes = parquet(&table());
        assert!(bytes.starts_with(MAGIC) && bytes.ends_with(MAGIC));
        let at = bytes.len() - 8;
        let length = u32::from_le_bytes(bytes[at..at + 4].try_into().unwrap());
        let footer = &bytes[at - usize::try_from(length).unwrap()..at];
        // Version 1 in field 1, then the schema of five elements in field 2.
        assert_eq!(footer[..4], [0x15, 0x02, 0x19, 0x5c]);
        assert_eq!(bytes, parquet(&table()));
    }

    #[test]
    fn numbers_are_short_and_an_empty_table_is_a_table() {
        let mut out = vec![];
        for value in [0, 1, 127, 128, 300] {
            varint(&mut out, value);
        }
        assert_eq!(out, [0, 1, 127, 0x80, 1, 0xac, 2]);
        let empty = Table { columns: &["id"], rows: vec![] };
        assert!(parquet(&empty).len() > 12);
    }
}
