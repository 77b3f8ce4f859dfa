//! Derived rows: what lists, per-appliance histories and the pad's "last time" need, without loading a
//! document. They are recomputed from documents and may be deleted at any time.
//!
//! Layout of keys: kind (1), site (8), ids. Values are CBOR maps with small integer keys.
//! ```text
//! 1 site | 2 unit: appliance | 3 visit: visit | 4 sheet: visit, appliance | 5 history: appliance, visit
//! ```

use std::collections::BTreeSet;

use minicbor::{Decode, Encode};

use crate::record::body::{Body, Kind};
use crate::record::code::{
    AdvisorySeverity, CheckResult, Family, Gas, Outcome, Phase, Quantity, Role, Status, VisitKind,
};
use crate::record::contradiction::{governing_check, in_papers, in_sheet};
use crate::record::field::{FieldValue, Of};
use crate::record::file::{Papers, UnitInVisit};
use crate::record::id::{ApplianceId, EntryId, PersonId, SiteId, VisitId};
use crate::record::mark::is_work;
use crate::record::merged::Merged;
use crate::record::read::Read;
use crate::record::value::{Day, Figure, Measured};
use crate::trade::unit::Unit;

/// A site in a list.
#[derive(Clone, Debug, Default, PartialEq, Encode, Decode)]
#[cbor(map)]
pub struct SiteRow {
    /// Its name.
    #[n(0)]
    pub name: Option<String>,
    /// Town.
    #[n(1)]
    pub town: Option<String>,
    /// Customer.
    #[n(2)]
    pub customer: Option<String>,
    /// Areas: entry, label, name.
    #[n(3)]
    pub areas: Vec<AreaRow>,
    /// Gas that governs, if one does.
    #[n(4)]
    pub gas: Option<Gas>,
    /// Registers with two answers.
    #[n(5)]
    pub contested: u32,
    /// Appliances on the roster, in the order of entry; those taken off are left out.
    #[n(6)]
    pub roster: Vec<RosterRow>,
}

/// An area of a site.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct AreaRow {
    /// Its entry.
    #[n(0)]
    pub id: EntryId,
    /// Short label.
    #[n(1)]
    pub label: String,
    /// Name, when one is set.
    #[n(2)]
    pub name: Option<String>,
    /// What its air carries.
    #[n(3)]
    pub contaminants: Vec<String>,
}

/// An appliance of a site.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct RosterRow {
    /// The appliance.
    #[n(0)]
    pub appliance: ApplianceId,
    /// Unit no. at the time of entry.
    #[n(1)]
    pub unit_no: String,
}

/// An appliance in a list.
#[derive(Clone, Debug, PartialEq, Encode, Decode)]
#[cbor(map)]
pub struct UnitRow {
    /// Unit no.
    #[n(0)]
    pub unit_no: String,
    /// Status that governs.
    #[n(1)]
    pub status: Status,
    /// Kind in words.
    #[n(2)]
    pub kind: Option<String>,
    /// Sequence family.
    #[n(3)]
    pub family: Option<Family>,
    /// Area.
    #[n(4)]
    pub area: Option<EntryId>,
    /// Keys of registers with two answers.
    #[n(5)]
    pub contested: Vec<String>,
    /// Whether a shut-down record is in force.
    #[n(6)]
    pub tagged: bool,
    /// Open advisories: severity and the words.
    #[n(7)]
    pub advisories: Vec<AdvisoryRow>,
    /// Open questions to the manufacturer.
    #[n(8)]
    pub questions: u32,
    /// Plate figures that govern: register key and figure.
    #[n(9)]
    pub plate: Vec<PlateRow>,
    /// Gas supplied, when it is settled.
    #[n(10)]
    pub supplied_gas: Option<Gas>,
    /// The appliance it was merged into.
    #[n(11)]
    pub merged_into: Option<ApplianceId>,
    /// Targets that stand.
    #[n(12)]
    pub targets: u32,
    /// Open contradictions of the document.
    #[n(13)]
    pub contradictions: u32,
}

impl Default for UnitRow {
    /// A unit of which nothing is known.
    fn default() -> UnitRow {
        UnitRow {
            unit_no: String::new(),
            status: Status::Unknown,
            kind: None,
            family: None,
            area: None,
            contested: vec![],
            tagged: false,
            advisories: vec![],
            questions: 0,
            plate: vec![],
            supplied_gas: None,
            merged_into: None,
            targets: 0,
            contradictions: 0,
        }
    }
}

impl UnitRow {
    /// A figure of the plate in a unit of the sums.
    pub fn plate_in(&self, key: &str, unit: Unit) -> Option<f64> {
        self.plate.iter().find(|own| own.key == key)?.figure.in_unit(unit)
    }

    /// The year of make on the plate.
    pub fn plate_year(&self) -> Option<i32> {
        let year = self.plate_in("plate/year", Unit::N)?;
        let whole = year.fract().abs() < 1e-9 && (1.0..=9_999.0).contains(&year);
        #[expect(clippy::cast_possible_truncation, reason = "a whole number of this range")]
        whole.then_some(year as i32)
    }
}

impl SiteRow {
    /// The area in which a unit hangs.
    pub fn area_of(&self, unit: &UnitRow) -> Option<&AreaRow> {
        let area = unit.area?;
        self.areas.iter().find(|own| own.id == area)
    }

    /// What the air round a unit carries, in the record's words; empty is "none seen", or not known.
    pub fn air_of(&self, unit: &UnitRow) -> Vec<&str> {
        self.area_of(unit).map(|area| area.carries().collect()).unwrap_or_default()
    }
}

impl AreaRow {
    /// What its air carries; nothing where "none seen" was entered.
    pub fn carries(&self) -> impl Iterator<Item = &str> {
        self.contaminants.iter().map(String::as_str).filter(|word| *word != "none seen")
    }
}

/// An open advisory.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct AdvisoryRow {
    /// Its entry.
    #[n(0)]
    pub id: EntryId,
    /// Severity that governs.
    #[n(1)]
    pub severity: AdvisorySeverity,
    /// The first 120 characters.
    #[n(2)]
    pub text: String,
    /// By when.
    #[n(3)]
    pub due: Option<Day>,
}

/// A plate figure.
#[derive(Clone, Debug, PartialEq, Encode, Decode)]
#[cbor(map)]
pub struct PlateRow {
    /// Register key.
    #[n(0)]
    pub key: String,
    /// The figure.
    #[n(1)]
    pub figure: Figure,
}

/// One reading in a row.
#[derive(Clone, Debug, PartialEq, Encode, Decode)]
#[cbor(map)]
pub struct ReadingRow {
    /// The quantity.
    #[n(0)]
    pub quantity: Quantity,
    /// The value.
    #[n(1)]
    pub value: Measured,
}

/// One unit in one visit.
#[derive(Clone, Debug, Default, PartialEq, Encode, Decode)]
#[cbor(map)]
pub struct SheetRow {
    /// Day of the first entry, by its author's clock.
    #[n(0)]
    pub day: Option<Day>,
    /// Outcome that governs.
    #[n(1)]
    pub outcome: Option<Outcome>,
    /// Last counted reading of each quantity as found, and of each counter.
    #[n(2)]
    pub found: Vec<ReadingRow>,
    /// Last counted reading of each quantity as left.
    #[n(3)]
    pub left: Vec<ReadingRow>,
    /// Readings entered.
    #[n(4)]
    pub readings: u32,
    /// Entries that are work.
    #[n(5)]
    pub work: u32,
    /// Causes found.
    #[n(6)]
    pub causes: Vec<String>,
    /// Checks that failed.
    #[n(7)]
    pub failed: u32,
    /// Open contradictions.
    #[n(8)]
    pub contradictions: u32,
    /// Who entered something.
    #[n(9)]
    pub persons: Vec<PersonId>,
    /// Entries in all.
    #[n(10)]
    pub entries: u32,
    /// Parts used, doubles left out.
    #[n(11)]
    pub parts: u32,
    /// Symptoms entered.
    #[cbor(n(12), default)]
    pub symptoms: Vec<String>,
}

/// A visit in a list.
#[derive(Clone, Debug, Default, PartialEq, Encode, Decode)]
#[cbor(map)]
pub struct VisitRow {
    /// Why somebody came.
    #[n(0)]
    pub kind: Option<VisitKind>,
    /// The day.
    #[n(1)]
    pub day: Option<Day>,
    /// Units planned or with a sheet.
    #[n(2)]
    pub units: u32,
    /// Units done or left as found.
    #[n(3)]
    pub done: u32,
    /// Units not reached.
    #[n(4)]
    pub not_reached: u32,
    /// Sign-offs: entry, person, role.
    #[n(5)]
    pub signed: Vec<SignedRow>,
    /// Open contradictions of head and sheets.
    #[n(6)]
    pub contradictions: u32,
    /// Entries in all sheets.
    #[n(7)]
    pub entries: u32,
    /// Readings in all sheets.
    #[n(8)]
    pub readings: u32,
    /// Who entered something.
    #[n(9)]
    pub persons: Vec<PersonId>,
    /// Persons to whom units are assigned.
    #[n(10)]
    pub assigned: Vec<PersonId>,
    /// Reference.
    #[n(11)]
    pub reference: Option<String>,
    /// Open contradictions of the head alone.
    #[n(12)]
    pub head_contradictions: u32,
    /// Units planned: with somebody or with a place in the walk.
    #[cbor(n(13), default)]
    pub planned: Vec<ApplianceId>,
}

impl VisitRow {
    /// Whether a supervisor has released it.
    pub fn released(&self) -> bool {
        self.signed.iter().any(|signed| signed.role == Role::Supervisor)
    }
}

/// One sign-off in a row.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct SignedRow {
    /// The entry.
    #[n(0)]
    pub id: EntryId,
    /// Who.
    #[n(1)]
    pub person: PersonId,
    /// Role in which it was signed.
    #[n(2)]
    pub role: Role,
}

/// Key of a site's row.
pub fn site_key(site: SiteId) -> Vec<u8> {
    [&[1][..], &site.0].concat()
}

/// Key of a unit's row; without an appliance the prefix of all of the site.
pub fn unit_key(site: SiteId, appliance: Option<ApplianceId>) -> Vec<u8> {
    [&[2][..], &site.0, appliance.as_ref().map_or(&[][..], |id| &id.0)].concat()
}

/// Key of a visit's row; without a visit the prefix of all of the site.
pub fn visit_key(site: SiteId, visit: Option<VisitId>) -> Vec<u8> {
    [&[3][..], &site.0, visit.as_ref().map_or(&[][..], |id| &id.0)].concat()
}

/// Key of a sheet's row; without an appliance the prefix of all of the visit.
pub fn sheet_key(site: SiteId, visit: VisitId, appliance: Option<ApplianceId>) -> Vec<u8> {
    [&[4][..], &site.0, &visit.0, appliance.as_ref().map_or(&[][..], |id| &id.0)].concat()
}

/// Key that leads from an appliance to a visit; without a visit the prefix of its whole history.
pub fn history_key(site: SiteId, appliance: ApplianceId, visit: Option<VisitId>) -> Vec<u8> {
    [&[5][..], &site.0, &appliance.0, visit.as_ref().map_or(&[][..], |id| &id.0)].concat()
}

/// Writes a row.
pub fn encode<T: Encode<()>>(row: &T) -> Vec<u8> {
    minicbor::to_vec(row).expect("writing to memory does not fail")
}

/// Reads a row; a row of another version is as good as none, it will be made anew.
pub fn decode<'b, T: Decode<'b, ()>>(bytes: &'b [u8]) -> Option<T> {
    minicbor::decode(bytes).ok()
}

fn count(number: usize) -> u32 {
    u32::try_from(number).unwrap_or(u32::MAX)
}

fn text(read: &Read, key: &str) -> Option<String> {
    match &read.named(key)?.governs()?.value {
        FieldValue::Text(text) => Some(text.clone()),
        _ => None,
    }
}

fn word(read: &Read, key: &str) -> Option<u16> {
    match read.named(key)?.governs()?.value {
        FieldValue::Word(code) => Some(code),
        _ => None,
    }
}

fn entry(read: &Read, key: &str) -> Option<EntryId> {
    match read.named(key)?.governs()?.value {
        FieldValue::Entry(id) => Some(id),
        _ => None,
    }
}

fn day(read: &Read, key: &str) -> Option<Day> {
    match read.named(key)?.governs()?.value {
        FieldValue::Day(day) => Some(day),
        _ => None,
    }
}

/// The row of a site.
pub fn site(papers: &Papers<'_>) -> SiteRow {
    use crate::record::field::{Field, Of};
    let read = &papers.read;
    let contaminants = |area: EntryId| {
        read.counted(Kind::Member)
            .filter_map(|entry| match &entry.body {
                Body::Member(member) if member.set == "contaminant" && member.of == Some(area) => {
                    member.text.clone()
                }
                _ => None,
            })
            .collect()
    };
    let name = |area: EntryId| {
        let field = Field::named("area/{}/name").about(Of::Entry(area));
        match &read.field(&field)?.governs()?.value {
            FieldValue::Text(text) => Some(text.clone()),
            _ => None,
        }
    };
    SiteRow {
        name: text(read, "site/name"),
        town: text(read, "site/town"),
        customer: text(read, "customer/name"),
        areas: read
            .counted(Kind::Area)
            .filter_map(|entry| match &entry.body {
                Body::Area(area) => Some(AreaRow {
                    id: entry.id,
                    label: area.label.clone(),
                    name: name(entry.id),
                    contaminants: contaminants(entry.id),
                }),
                _ => None,
            })
            .collect(),
        gas: word(read, "site/gas_kind").map(Gas::from_code),
        contested: count(read.fields.iter().filter(|(_, merged)| merged.contested()).count()),
        roster: read
            .counted(Kind::Roster)
            .filter_map(|entry| match &entry.body {
                Body::Roster(roster) => {
                    Some(RosterRow { appliance: roster.appliance, unit_no: roster.unit_no.clone() })
                }
                _ => None,
            })
            .collect(),
    }
}

/// The row of a unit.
pub fn unit(appliance: ApplianceId, papers: Papers<'_>) -> UnitRow {
    let contradictions = count(in_papers(&papers).len());
    let unit = UnitInVisit { appliance, sheet: None, unit: Some(papers), governing: vec![] };
    let Some(papers) = &unit.unit else { unreachable!("the papers were just put there") };
    let read = &papers.read;
    let plate = read.fields.iter().filter(|(field, _)| field.def.key.starts_with("plate/"));
    UnitRow {
        unit_no: unit.unit_no(),
        status: unit.status(),
        kind: text(read, "unit/kind"),
        family: word(read, "unit/family").map(Family::from_code),
        area: entry(read, "unit/area"),
        contested: read
            .fields
            .iter()
            .filter(|(_, merged)| merged.contested())
            .map(|(field, _)| field.key())
            .collect(),
        tagged: unit.tag_in_force().is_some(),
        advisories: unit
            .open_advisories()
            .into_iter()
            .filter_map(|(entry, severity)| match &entry.body {
                Body::Advisory(advisory) => Some(AdvisoryRow {
                    id: entry.id,
                    severity,
                    text: advisory.text.chars().take(120).collect(),
                    due: advisory.due,
                }),
                _ => None,
            })
            .collect(),
        questions: questions(read),
        plate: plate
            .filter_map(|(field, merged)| match merged.governs()?.value {
                FieldValue::Figure(figure) => Some(PlateRow { key: field.key(), figure }),
                _ => None,
            })
            .collect(),
        supplied_gas: word(read, "unit/supplied_gas").map(Gas::from_code),
        merged_into: match read.named("unit/merged_into").and_then(Merged::governs) {
            Some(said) => match said.value {
                FieldValue::Appliance(appliance) => Some(appliance),
                _ => None,
            },
            None => None,
        },
        targets: count(read.counted(Kind::Target).count()),
        contradictions,
    }
}

fn questions(read: &Read) -> u32 {
    let answered = |id: EntryId| {
        read.counted(Kind::Answer)
            .any(|entry| matches!(&entry.body, Body::Answer(answer) if answer.question == id))
    };
    count(read.counted(Kind::Question).filter(|entry| !answered(entry.id)).count())
}

/// The row of a sheet.
pub fn sheet(papers: &Papers<'_>) -> SheetRow {
    let read = &papers.read;
    let mut row = SheetRow {
        outcome: word(read, "sheet/outcome").map(Outcome::from_code),
        contradictions: count(in_sheet(papers, None).len()),
        ..SheetRow::default()
    };
    let doubles = crate::record::contradiction::counted_twice(read);
    for entry in read.entries.iter().filter(|entry| entry.shown()) {
        row.entries += 1;
        row.day.get_or_insert(entry.stamp.at().day());
        if !row.persons.contains(&entry.person()) {
            row.persons.push(entry.person());
        }
        if !entry.counts() {
            continue;
        }
        row.work += u32::from(is_work(entry));
        match &entry.body {
            Body::Reading(reading) => {
                row.readings += 1;
                // A counter stands as it stood on arrival, whoever read it at whatever moment of the turn.
                let counter = matches!(
                    reading.quantity,
                    Quantity::BurnerHours | Quantity::Cycles | Quantity::LockoutCount
                );
                let list = match reading.phase {
                    Phase::AsFound => &mut row.found,
                    Phase::InWork | Phase::Spot if counter => &mut row.found,
                    Phase::AsLeft => &mut row.left,
                    _ => continue,
                };
                list.retain(|known| known.quantity != reading.quantity);
                let value = reading.value.clone();
                list.push(ReadingRow { quantity: reading.quantity, value });
            }
            Body::Symptom(own) if !row.symptoms.contains(&own.symptom) => {
                row.symptoms.push(own.symptom.clone());
            }
            Body::Finding(finding) if !row.causes.contains(&finding.cause) => {
                row.causes.push(finding.cause.clone());
            }
            Body::Part(_) if !doubles.contains(&entry.id) => row.parts += 1,
            _ => {}
        }
    }
    let failed = crate::record::code::CheckItem::ALL
        .iter()
        .filter(|item| governing_check(read, **item) == Some(CheckResult::Fail));
    row.failed = count(failed.count());
    row
}

/// The row of a visit: its head, and the rows of its sheets.
pub fn visit(head: &Papers<'_>, sheets: &[(ApplianceId, SheetRow)]) -> VisitRow {
    let read = &head.read;
    let signed = read.counted(Kind::SignOff).filter_map(|entry| match &entry.body {
        Body::SignOff(sign_off) => {
            Some(SignedRow { id: entry.id, person: entry.stamp.by, role: sign_off.role })
        }
        _ => None,
    });
    let mut assigned: Vec<PersonId> = vec![];
    for (field, merged) in &read.fields {
        if field.def.key == "assign/{}/person"
            && let Some(FieldValue::Person(person)) = merged.governs().map(|said| &said.value)
            && !assigned.contains(person)
        {
            assigned.push(*person);
        }
    }
    let planned: BTreeSet<ApplianceId> = read
        .fields
        .iter()
        .filter(|(field, _)| field.def.key.starts_with("assign/"))
        .filter_map(|(field, _)| match field.of {
            Some(Of::Appliance(appliance)) => Some(appliance),
            _ => None,
        })
        .collect();
    let head_contradictions = count(in_papers(head).len());
    let row = VisitRow {
        kind: word(read, "visit/kind").map(VisitKind::from_code),
        day: day(read, "visit/day"),
        signed: signed.collect(),
        assigned,
        reference: text(read, "visit/reference"),
        head_contradictions,
        planned: planned.into_iter().collect(),
        ..VisitRow::default()
    };
    with_sheets(row, sheets)
}

/// The same visit with the rows of its sheets as they stand now.
#[must_use]
pub fn with_sheets(row: VisitRow, sheets: &[(ApplianceId, SheetRow)]) -> VisitRow {
    let with_sheet = sheets.iter().map(|(appliance, _)| *appliance);
    let units: BTreeSet<ApplianceId> = row.planned.iter().copied().chain(with_sheet).collect();
    let mut row = VisitRow {
        units: count(units.len()),
        done: 0,
        not_reached: 0,
        contradictions: row.head_contradictions,
        entries: 0,
        readings: 0,
        persons: vec![],
        ..row
    };
    for (_, sheet) in sheets {
        row.done += u32::from(matches!(sheet.outcome, Some(Outcome::Done | Outcome::LeftAsFound)));
        row.not_reached += u32::from(sheet.outcome == Some(Outcome::NotReached));
        row.contradictions += sheet.contradictions;
        row.entries += sheet.entries;
        row.readings += sheet.readings;
        for person in &sheet.persons {
            if !row.persons.contains(person) {
                row.persons.push(*person);
            }
        }
    }
    row
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_row_of_an_earlier_version_is_read() {
        let row = VisitRow { units: 3, ..VisitRow::default() };
        let mut bytes = encode(&row);
        let planned = [13, 0x80];
        assert!(bytes.ends_with(&planned), "{bytes:?}");
        bytes.truncate(bytes.len() - planned.len());
        bytes[0] -= 1;
        assert_eq!(decode::<VisitRow>(&bytes), Some(row));
    }
}
