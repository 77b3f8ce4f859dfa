//! The building's earlier findings as counts for the weights.

use super::belief::Candidate;
use super::choice::Family;
use super::table::{CauseId, SymptomId, Table};
use super::weights::{Age, Case, Here, Season, Weights, share};
use crate::record::row::{SheetRow, SiteRow, UnitRow};
use crate::record::value::Day;

/// Where and when the search is made, for what is alike.
#[derive(Debug, Clone, Copy)]
pub struct Place<'a> {
    /// The site's identifier.
    pub site: &'a str,
    /// Its row: what the air of its areas carries.
    pub row: &'a SiteRow,
    /// The unit, where it is known.
    pub unit: Option<&'a UnitRow>,
    /// The day.
    pub today: Day,
}

impl Place<'_> {
    /// Learns from earlier visits to units of the building. A unit whose family nobody entered teaches nothing.
    pub fn learn<'p>(
        &self,
        table: &Table,
        symptom: SymptomId,
        family: Family,
        past: impl Iterator<Item = (&'p UnitRow, &'p SheetRow)>,
    ) -> Learnt {
        let known: Vec<_> = past
            .filter_map(|(unit, row)| {
                let family = Family::from_key(unit.family?.key())?;
                Some((self.row.air_of(unit), family, unit.plate_year(), row))
            })
            .collect();
        let pasts: Vec<Past<'_>> = known
            .iter()
            .map(|(air, family, plate_year, row)| Past {
                site: self.site,
                air,
                family: *family,
                plate_year: *plate_year,
                row,
            })
            .collect();
        let air = self.unit.map(|unit| self.row.air_of(unit)).unwrap_or_default();
        let (year, month, _) = self.today.ymd();
        let here = Here {
            symptom,
            family,
            site: self.site,
            air: &air,
            season: season(month),
            age: self.unit.and_then(UnitRow::plate_year).and_then(|plate| Age::of(plate, year)),
        };
        learn(table, symptom, family, &here, &pasts)
    }
}

fn season(month: u32) -> Season {
    Season::of_month(u8::try_from(month).unwrap_or(0))
}

/// One unit at one earlier visit.
#[derive(Debug, Clone, Copy)]
pub struct Past<'a> {
    /// The site's identifier.
    pub site: &'a str,
    /// What the air of its area carries.
    pub air: &'a [&'a str],
    /// Its family.
    pub family: Family,
    /// The year of make on its plate, where it was entered.
    pub plate_year: Option<i32>,
    /// What was entered.
    pub row: &'a SheetRow,
}

/// Weights of a job, with the counts behind them.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Learnt {
    /// The weights.
    pub weights: Weights,
    /// The unit's age where it is known, and the weights as they would be without it.
    pub by_age: Option<(Age, Weights)>,
    /// Findings of each cause of the tables at this site, whatever the symptom; the most first.
    pub findings: Vec<(CauseId, usize)>,
    /// Findings at this site in all, those on no list among them.
    pub total: usize,
}

/// How far the building has moved a cause before any test.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shift {
    /// Findings of this cause at this site, of all findings there.
    pub count: (usize, usize),
    /// Share of the cause in the general table, 0 to 1.
    pub general: f64,
    /// Share once the counts are in, 0 to 1.
    pub now: f64,
    /// The unit's age, with the share as it would be if ages were not held apart; none where the age moves it
    /// by less than a hundredth.
    pub without_age: Option<(Age, f64)>,
}

impl Learnt {
    /// How often a cause was found here, of all findings here: "9 of 22".
    pub fn count(&self, cause: CauseId) -> (usize, usize) {
        let found = self.findings.iter().find(|(own, _)| *own == cause);
        (found.map_or(0, |(_, count)| *count), self.total)
    }

    /// How far the building has moved a cause; none while it has no finding at all.
    pub fn shift(&self, table: &Table, job: (SymptomId, Family), cause: CauseId) -> Option<Shift> {
        let count = self.count(cause);
        let of = |weights: &Weights| share(weights, table, job, cause);
        let now = of(&self.weights);
        let ageless = self.by_age.as_ref().map(|(age, weights)| (*age, of(weights)));
        (count.1 > 0).then(|| Shift {
            count,
            general: of(&Weights::general()),
            now,
            without_age: ageless.filter(|(_, share)| (share - now).abs() >= 0.01),
        })
    }
}

/// Learns from earlier visits. A finding counts once for each symptom entered beside it; where none was, it is
/// spread over the symptoms that its cause can show.
pub fn learn(
    table: &Table,
    symptom: SymptomId,
    family: Family,
    here: &Here<'_>,
    pasts: &[Past<'_>],
) -> Learnt {
    let here = Here { symptom, family, ..*here };
    let (mut said, mut unsaid): (Vec<Case<'_>>, Vec<Case<'_>>) = (vec![], vec![]);
    let mut learnt = Learnt::default();
    for past in pasts {
        let (year, month, _) = past.row.day.map_or((0, 0, 0), Day::ymd);
        let symptoms: Vec<SymptomId> =
            past.row.symptoms.iter().filter_map(|key| table.symptom(key)).collect();
        for key in &past.row.causes {
            let cause: Candidate = table.cause(key);
            let circumstances = Here {
                symptom,
                family: past.family,
                site: past.site,
                air: past.air,
                season: season(month),
                age: past.plate_year.and_then(|plate| Age::of(plate, year)),
            };
            if symptoms.is_empty() {
                unsaid.push(Case { cause, here: circumstances });
            }
            said.extend(
                symptoms.iter().map(|symptom| Case {
                    cause,
                    here: Here { symptom: *symptom, ..circumstances },
                }),
            );
            if past.site == here.site {
                learnt.total += 1;
                if let Some(cause) = cause {
                    match learnt.findings.iter_mut().find(|(own, _)| *own == cause) {
                        Some((_, count)) => *count += 1,
                        None => learnt.findings.push((cause, 1)),
                    }
                }
            }
        }
    }
    learnt.findings.sort_by(|one, other| other.1.cmp(&one.1).then(one.0.cmp(&other.0)));
    let weights =
        |here: &Here<'_>| Weights::learnt(table, here, &said).with_unsaid(table, here, &unsaid);
    learnt.weights = weights(&here);
    learnt.by_age = here.age.map(|age| (age, weights(&Here { age: None, ..here })));
    learnt
}

#[cfg(test)]
mod tests {
    use super::*;

    fn here(table: &Table) -> Here<'static> {
        Here {
            symptom: table.symptom("lights_drops").unwrap(),
            family: Family::Dsi,
            site: "hall",
            air: &["salt"],
            season: Season::FirstStart,
            age: None,
        }
    }

    fn row(causes: &[&str], symptoms: &[&str]) -> SheetRow {
        let words = |list: &[&str]| list.iter().map(|word| (*word).to_owned()).collect();
        SheetRow { causes: words(causes), symptoms: words(symptoms), ..SheetRow::default() }
    }

    fn share(table: &Table, learnt: &Learnt, cause: &str) -> f64 {
        let own = here(table);
        let cause = table.cause(cause).unwrap();
        super::share(&learnt.weights, table, (own.symptom, own.family), cause)
    }

    fn learnt(table: &Table, rows: &[SheetRow]) -> Learnt {
        let pasts: Vec<Past<'_>> = rows
            .iter()
            .map(|row| Past {
                site: "hall",
                air: &["salt"],
                family: Family::Dsi,
                plate_year: None,
                row,
            })
            .collect();
        let own = here(table);
        learn(table, own.symptom, own.family, &own, &pasts)
    }

    #[test]
    fn findings_here_move_the_weights_and_keep_their_counts() {
        let table = Table::standard();
        let general = share(table, &learnt(table, &[]), "rod_dirty");
        let rows = vec![row(&["rod_dirty"], &["lights_drops"]); 9];
        let counted = learnt(table, &rows);
        assert_eq!(counted.count(table.cause("rod_dirty").unwrap()), (9, 9));
        let said = share(table, &counted, "rod_dirty");
        assert!(said > general + 0.1, "{general} {said}");
        // A finding without its symptom counts for less, but it counts.
        let unsaid = share(table, &learnt(table, &vec![row(&["rod_dirty"], &[]); 9]), "rod_dirty");
        assert!(unsaid > general && unsaid < said, "{general} {unsaid} {said}");
    }

    #[test]
    fn what_cannot_show_this_symptom_moves_nothing_and_what_is_on_no_list_is_only_counted() {
        let table = Table::standard();
        let rows = [row(&["tc_weak", "eaten by mice"], &[])];
        let own = learnt(table, &rows);
        assert_eq!((own.total, own.findings.len()), (2, 1));
        let general = share(table, &learnt(table, &[]), "rod_dirty");
        assert!((share(table, &own, "rod_dirty") - general).abs() < 1e-12);
    }
    /// A building with two units in the same air, one made in 2005 and one in 2023, and the same finding on
    /// each at the same season.
    fn by_age(old_year: Option<i64>, today: &str) -> Shift {
        use crate::record::code::unit::UnitCode;
        use crate::record::row::PlateRow;
        use crate::record::value::Figure;
        use crate::trade::unit::Unit;
        let table = Table::standard();
        let made = |year: Option<i64>| UnitRow {
            family: Some(crate::record::code::Family::Dsi),
            plate: year
                .map(|year| PlateRow {
                    key: "plate/year".to_owned(),
                    figure: Figure::new(year, 0, UnitCode::of(Unit::N).unwrap()),
                })
                .into_iter()
                .collect(),
            ..UnitRow::default()
        };
        let (old, young) = (made(old_year), made(Some(2023)));
        let found = |cause: &str| SheetRow {
            day: Day::parse("2025-10-14").ok(),
            ..row(&[cause], &["lights_drops"])
        };
        let (rod, board) = (vec![found("rod_dirty"); 6], vec![found("low_inlet"); 6]);
        let past = rod.iter().map(|row| (&old, row)).chain(board.iter().map(|row| (&young, row)));
        let site = SiteRow::default();
        let today = Day::parse(today).unwrap();
        let place = Place { site: "hall", row: &site, unit: Some(&old), today };
        let job = (table.symptom("lights_drops").unwrap(), Family::Dsi);
        let learnt = place.learn(table, job.0, job.1, past);
        learnt.shift(table, job, table.cause("rod_dirty").unwrap()).unwrap()
    }

    #[test]
    fn what_was_found_on_units_as_old_counts_more_and_how_far_is_known() {
        let shift = by_age(Some(2005), "2026-10-03");
        assert_eq!(shift.count, (6, 12));
        // The table's 30 jobs, six findings here in full, six on the young unit at eight tenths.
        let expected =
            (30.0 * shift.general + 6.0) / (30.0 + 6.0 + 6.0 * super::super::weights::OTHER_AGE);
        assert!((shift.now - expected).abs() < 1e-12, "{shift:?} {expected}");
        let (age, without) = shift.without_age.unwrap();
        assert_eq!(age, Age::Old);
        assert!((without - (30.0 * shift.general + 6.0) / 42.0).abs() < 1e-12, "{shift:?}");
    }

    #[test]
    fn a_unit_without_a_plate_year_is_judged_without_its_age() {
        let shift = by_age(None, "2026-10-03");
        assert_eq!(shift.without_age, None);
        assert!((shift.now - (30.0 * shift.general + 6.0) / 42.0).abs() < 1e-12, "{shift:?}");
    }
}
