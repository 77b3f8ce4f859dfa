//! Units out of a CSV file: every row is read before anything is saved.

use client_core::record::action::Setting;
use client_core::record::deed::{self, Deed};
use client_core::record::doubt::doubts;
use client_core::record::field::{Field, FieldValue, Holds};
use client_core::record::id::{ApplianceId, SiteId};
use serde_json::json;

use super::{Places, column_field};
use crate::args::Entering;
use crate::book::Book;
use crate::desk::{Desk, file_wrong};
use crate::error::Trouble;
use crate::pairs;
use crate::ui::Tone;

/// Units to import.
#[derive(Debug, clap::Args)]
pub(super) struct Import {
    /// The file
    file: std::path::PathBuf,
    /// Import the good rows even when others are not
    #[arg(long)]
    partial: bool,
    /// Read and say what is wrong, save nothing
    #[arg(long)]
    check: bool,
    /// The site
    #[arg(long)]
    site: Option<String>,
    #[command(flatten)]
    entering: Entering,
}

/// Units of one deed: the rest follows in the next, each durable by itself.
const UNITS_PER_DEED: usize = 100;

/// Something wrong in a row.
struct Wrong {
    line: u64,
    field: String,
    found: String,
    says: String,
}

/// What a column holds.
enum Column {
    UnitNo,
    Area,
    Position,
    Value(Field),
}

struct Good {
    unit_no: String,
    settings: Vec<Setting>,
}

impl Import {
    pub(super) fn run(&self, desk: &mut Desk<'_>) -> Result<(), Trouble> {
        let book = desk.book()?;
        let site = desk.site(&book, self.site.as_deref())?;
        let places = Places::of(desk, &book, site)?;
        let name = self.file.display().to_string();
        let bytes = std::fs::read(&self.file).map_err(|wrong| file_wrong(&self.file, "read", &wrong))?;
        let reading = Reading { file: &name, book: &book, places: &places, site, entering: &self.entering };
        let (good, wrong) = reading.rows(&bytes)?;
        for one in &wrong {
            let says = format!("{name}, row {}, {}: '{}': {}", one.line, one.field, one.found, one.says);
            desk.ui.talk(Tone::Stop, &says);
        }
        let save = !self.check && (wrong.is_empty() || self.partial);
        if save {
            self.save(desk, &book, site, &good)?;
        }
        let imported = if save { good.len() } else { 0 };
        self.report(desk, imported, good.len(), &wrong)?;
        if wrong.is_empty() || (self.partial && !good.is_empty()) {
            Ok(())
        } else {
            Err(Trouble::State(format!(
                "{} of {} rows are wrong; nothing was imported",
                rows_wrong(&wrong),
                good.len() + rows_wrong(&wrong)
            )))
        }
    }

    fn save(
        &self,
        desk: &mut Desk<'_>,
        book: &Book,
        site: SiteId,
        good: &[Good],
    ) -> Result<(), Trouble> {
        let stamp = desk.stamp(book, &self.entering)?;
        for (at, part) in good.chunks(UNITS_PER_DEED).enumerate() {
            let mut deed: Deed = vec![];
            for row in part {
                let appliance = ApplianceId(desk.device()?.new_id());
                deed.extend(deed::new_appliance(
                    site,
                    appliance,
                    &row.unit_no,
                    row.settings.clone(),
                ));
            }
            desk.device()?.carry_out(deed, &stamp)?;
            let so_far = (at * UNITS_PER_DEED + part.len()).min(good.len());
            desk.ui.progress(&format!("{so_far} of {} units saved", good.len()));
        }
        Ok(())
    }

    fn report(
        &self,
        desk: &mut Desk<'_>,
        imported: usize,
        good: usize,
        wrong: &[Wrong],
    ) -> Result<(), Trouble> {
        if desk.ui.manners.json {
            let wrong: Vec<_> = wrong
                .iter()
                .map(|one| {
                    json!({
                        "file": self.file.display().to_string(),
                        "row": one.line,
                        "field": one.field,
                        "found": one.found,
                        "says": one.says,
                    })
                })
                .collect();
            return desk.ui.json(&json!({ "imported": imported, "good": good, "wrong": wrong }));
        }
        desk.ui.line(&format!("{imported} units imported, {good} good rows, {} wrong", rows_wrong(wrong)))
    }
}

fn rows_wrong(wrong: &[Wrong]) -> usize {
    let mut lines: Vec<u64> = wrong.iter().map(|one| one.line).collect();
    lines.dedup();
    lines.len()
}

struct Reading<'r> {
    file: &'r str,
    book: &'r Book,
    places: &'r Places,
    site: SiteId,
    entering: &'r Entering,
}

impl Reading<'_> {
    fn rows(&self, bytes: &[u8]) -> Result<(Vec<Good>, Vec<Wrong>), Trouble> {
        let unreadable = |what: String| Trouble::File {
            file: self.file.to_owned(),
            what: "read as CSV",
            wrong: what,
        };
        // A byte-order mark that spreadsheets put in front is no part of the first name.
        let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
        let mut reader = csv::ReaderBuilder::new().flexible(true).trim(csv::Trim::All).from_reader(bytes);
        let header = reader.headers().map_err(|wrong| unreadable(wrong.to_string()))?.clone();
        let columns = self.columns(&header)?;
        let (mut good, mut wrong) = (vec![], vec![]);
        let mut seen: Vec<String> = vec![];
        for record in reader.records() {
            let record = match record {
                Ok(record) => record,
                Err(cause) => {
                    let line = cause.position().map_or(0, csv::Position::line);
                    let says = cause.to_string();
                    wrong.push(Wrong { line, field: "row".to_owned(), found: String::new(), says });
                    continue;
                }
            };
            let line = record.position().map_or(0, csv::Position::line);
            let before = wrong.len();
            let row = self.row(&header, &columns, &record, line, &mut wrong);
            if wrong.len() > before {
                continue;
            }
            if seen.contains(&row.unit_no) {
                let says = "stands in the file twice".to_owned();
                wrong.push(Wrong { line, field: "unit_no".to_owned(), found: row.unit_no, says });
                continue;
            }
            seen.push(row.unit_no.clone());
            good.push(row);
        }
        Ok((good, wrong))
    }

    fn columns(&self, header: &csv::StringRecord) -> Result<Vec<Column>, Trouble> {
        let mut columns = vec![];
        for name in header {
            let tidy = name.trim().to_lowercase().replace([' ', '-'], "_");
            columns.push(match tidy.as_str() {
                "unit_no" | "unit/no" => Column::UnitNo,
                "area" => Column::Area,
                "position" => Column::Position,
                other => Column::Value(column_field(other).ok_or_else(|| {
                    let words = "is no value of a unit; `dripleg words values` lists them";
                    Trouble::Usage(format!("{}, heading: column '{name}' {words}", self.file))
                })?),
            });
        }
        if !columns.iter().any(|column| matches!(column, Column::UnitNo)) {
            let words = format!("{}, heading: there is no column `unit_no`", self.file);
            return Err(Trouble::Usage(words));
        }
        Ok(columns)
    }

    fn row(
        &self,
        header: &csv::StringRecord,
        columns: &[Column],
        record: &csv::StringRecord,
        line: u64,
        wrong: &mut Vec<Wrong>,
    ) -> Good {
        let mut good = Good { unit_no: String::new(), settings: vec![] };
        let mut bad = |field: &str, found: &str, says: String| {
            let cut = |text: &str| text.chars().take(60).collect();
            wrong.push(Wrong { line, field: cut(field), found: cut(found), says });
        };
        if record.len() != header.len() {
            let says = format!("has {} fields, the heading has {}", record.len(), header.len());
            bad("row", "", says);
            return good;
        }
        for ((name, column), cell) in header.iter().zip(columns).zip(record) {
            let outcome = match column {
                Column::UnitNo => {
                    cell.clone_into(&mut good.unit_no);
                    self.unit_no(cell).map(|()| None)
                }
                _ if cell.is_empty() => Ok(None),
                Column::Area => self.places.area(cell).map(|area| {
                    Some(deed::setting("unit/area", FieldValue::Entry(area)))
                }),
                Column::Position => self.places.position(cell).map(|position| {
                    Some(deed::setting("unit/position", FieldValue::Entry(position)))
                }),
                Column::Value(field) => self.value(field, cell).map(Some),
            };
            match outcome {
                Ok(setting) => good.settings.extend(setting),
                Err(cause) => bad(name, cell, cause.to_string()),
            }
        }
        good
    }

    fn unit_no(&self, cell: &str) -> Result<(), Trouble> {
        if cell.is_empty() {
            return Err(Trouble::State("a unit needs a number".to_owned()));
        }
        let mut units = self.book.units.values().filter(|(site, _)| *site == self.site);
        if units.any(|(_, row)| row.unit_no == cell) {
            return Err(Trouble::State("there is a unit of this number already".to_owned()));
        }
        Ok(())
    }

    /// A value, with the question about an unusual one asked here: a file cannot answer it later.
    fn value(&self, field: &Field, cell: &str) -> Result<Setting, Trouble> {
        let value = pairs::value_of(self.book, field, cell)?;
        let reason = self.entering.because.clone();
        let setting = Setting { field: *field, value, reason };
        let asked = doubts(
            &client_core::record::action::Action::Set(vec![setting.clone()]),
            &|_| None,
        );
        match (asked.first(), field.def.holds) {
            (Some(doubt), Holds::Figure(_)) => Err(Trouble::State(format!(
                "{}; {}; if it is so, import with --because \"...\"",
                doubt.asks, doubt.usual
            ))),
            _ => Ok(setting),
        }
    }
}
