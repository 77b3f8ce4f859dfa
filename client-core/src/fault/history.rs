//! The building's earlier findings as counts for the weights.

use super::belief::Candidate;
use super::choice::Family;
use super::table::{CauseId, SymptomId, Table};
use super::weights::{Case, Here, Season, Weights};
use crate::record::row::SheetRow;

/// One unit at one earlier visit.
#[derive(Debug, Clone, Copy)]
pub struct Past<'a> {
    /// The site's identifier.
    pub site: &'a str,
    /// What the air of its area carries.
    pub air: &'a [&'a str],
    /// Its family.
    pub family: Family,
    /// What was entered.
    pub row: &'a SheetRow,
}

/// Weights of a job, with the counts behind them.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Learnt {
    /// The weights.
    pub weights: Weights,
    /// Findings of each cause of the tables at this site, whatever the symptom; the most first.
    pub findings: Vec<(CauseId, usize)>,
    /// Findings at this site in all, those on no list among them.
    pub total: usize,
}

impl Learnt {
    /// How often a cause was found here, of all findings here: "9 of 22".
    pub fn count(&self, cause: CauseId) -> (usize, usize) {
        let found = self.findings.iter().find(|(own, _)| *own == cause);
        (found.map_or(0, |(_, count)| *count), self.total)
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
        let month = past.row.day.map_or(0, |day| u8::try_from(day.ymd().1).unwrap_or(0));
        let symptoms: Vec<SymptomId> =
            past.row.symptoms.iter().filter_map(|key| table.symptom(key)).collect();
        for key in &past.row.causes {
            let cause: Candidate = table.cause(key);
            let circumstances = Here {
                symptom,
                family: past.family,
                site: past.site,
                air: past.air,
                season: Season::of_month(month),
                age_years: None,
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
    learnt.weights = Weights::learnt(table, &here, &said).with_unsaid(table, &here, &unsaid);
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
            age_years: None,
        }
    }

    fn row(causes: &[&str], symptoms: &[&str]) -> SheetRow {
        let words = |list: &[&str]| list.iter().map(|word| (*word).to_owned()).collect();
        SheetRow { causes: words(causes), symptoms: words(symptoms), ..SheetRow::default() }
    }

    fn share(table: &Table, learnt: &Learnt, cause: &str) -> f64 {
        let own = here(table);
        let all = learnt.weights.of(table, own.symptom, own.family);
        let total: f64 = all.iter().map(|(_, weight)| weight).sum();
        let cause = table.cause(cause).unwrap();
        all.iter().find(|(id, _)| *id == cause).unwrap().1 / total
    }

    fn learnt(table: &Table, rows: &[SheetRow]) -> Learnt {
        let pasts: Vec<Past<'_>> = rows
            .iter()
            .map(|row| Past { site: "hall", air: &["salt"], family: Family::Dsi, row })
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
}
