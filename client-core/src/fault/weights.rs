//! How common each cause is here: the general weights, moved by settled findings.
//!
//! A Dirichlet prior of stated strength: the general table counts as 30 jobs, and each settled finding of
//! the same symptom adds one, less when it comes from another site, air, family, season or age. Discounting
//! what is less alike is the power prior (Ibrahim and Chen 2000); the factors are trade judgement.

use super::choice::Family;
use super::table::{CauseId, SymptomId, Table};

/// How many jobs the general table is worth against counted ones. Trade judgement.
pub const TABLE_JOBS: f64 = 30.0;

/// Weights of the causes for one symptom: general, or moved by counts.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Weights {
    /// Discounted count of each cause, in table order; empty is none.
    counts: Vec<f64>,
    unlisted: f64,
}

impl Weights {
    /// The general table alone.
    pub fn general() -> Self {
        Self::default()
    }

    /// Weights moved by settled findings.
    pub fn learnt(table: &Table, here: &Here<'_>, cases: &[Case<'_>]) -> Self {
        let mut weights = Self { counts: vec![0.0; table.causes.len()], unlisted: 0.0 };
        for case in cases {
            let likeness = here.likeness(case);
            match case.cause {
                Some(cause) => weights.counts[cause.0] += likeness,
                None => weights.unlisted += likeness,
            }
        }
        weights
    }

    /// Adds findings to which nobody wrote the symptom. Each counts for the symptoms that its cause can show, in
    /// the general table's proportion; the symptom of its circumstances says nothing. A cause on no list is
    /// left out, because it could have shown anything.
    #[must_use]
    pub fn with_unsaid(mut self, table: &Table, here: &Here<'_>, cases: &[Case<'_>]) -> Self {
        self.counts.resize(table.causes.len(), 0.0);
        for case in cases {
            let Some(cause) = case.cause else { continue };
            let all: f64 = table[cause].weights.iter().map(|(_, weight)| weight).sum();
            if all > 0.0 {
                let same = Case { here: Here { symptom: here.symptom, ..case.here }, ..*case };
                let share = table[cause].weight(here.symptom) / all;
                self.counts[cause.0] += share * here.likeness(&same);
            }
        }
        self
    }

    /// Weight of each cause that fits symptom and family, in table order. The general part sums to
    /// [`TABLE_JOBS`].
    pub fn of(&self, table: &Table, symptom: SymptomId, family: Family) -> Vec<(CauseId, f64)> {
        let fits = |cause: &CauseId| table[*cause].families.has(family);
        let general: f64 =
            table.cause_ids().filter(fits).map(|cause| table[cause].weight(symptom)).sum();
        table
            .cause_ids()
            .filter(fits)
            .filter_map(|cause| {
                let weight = table[cause].weight(symptom);
                let judged = if weight > 0.0 { TABLE_JOBS * weight / general } else { 0.0 };
                let counted = self.counts.get(cause.0).copied().unwrap_or(0.0);
                (judged + counted > 0.0).then_some((cause, judged + counted))
            })
            .collect()
    }

    /// Discounted count of findings whose cause is on no list.
    pub fn unlisted(&self) -> f64 {
        self.unlisted
    }
}

/// Season of the year, as far as faults care.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Season {
    /// First starts: dirt, rust, spiders, open limits.
    FirstStart,
    /// Deep cold: gas pressure at peak, ice, frozen condensate, doors shut with exhaust on.
    DeepCold,
    /// The rest of the heating season.
    Heating,
    /// Spring and summer.
    Off,
}

impl Season {
    /// The season of a month (1 to 12) in the northern heating year. Common practice, no source.
    pub fn of_month(month: u8) -> Self {
        match month {
            9 | 10 => Self::FirstStart,
            12 | 1 | 2 => Self::DeepCold,
            11 | 3 => Self::Heating,
            _ => Self::Off,
        }
    }
}

/// The job at hand, as far as it bears on which cases are alike.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Here<'a> {
    /// The symptom; only cases of the same symptom count.
    pub symptom: SymptomId,
    /// The unit's family.
    pub family: Family,
    /// The site's identifier.
    pub site: &'a str,
    /// What the air of the area carries, in the record's words; empty is "none seen".
    pub air: &'a [&'a str],
    /// Season of the job.
    pub season: Season,
    /// How old the unit was, when its plate year is known.
    pub age: Option<Age>,
}

/// Age of a unit, as far as faults care. Bands and not years: a year more or less says nothing, and few
/// findings spread over many years would say less. Trade judgement.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Age {
    /// Set-up and parts of the first years.
    Young,
    /// Wear and dirt.
    Middle,
    /// Rust, cracks, parts at their end.
    Old,
}

impl Age {
    /// The band in a year, for a unit whose plate names a year of make. None for a year after it.
    pub fn of(plate_year: i32, year: i32) -> Option<Age> {
        match year.checked_sub(plate_year)? {
            // A unit is often made in the year before it is hung, and its plate may be read a year late.
            -1..=4 => Some(Age::Young),
            5..=14 => Some(Age::Middle),
            15.. => Some(Age::Old),
            _ => None,
        }
    }

    /// The band in words.
    pub const fn words(self) -> &'static str {
        match self {
            Age::Young => "under 5 years",
            Age::Middle => "5 to 14 years",
            Age::Old => "15 years and more",
        }
    }
}

/// What a finding counts when it comes from another site. Trade judgement, as the four below.
const OTHER_SITE: f64 = 0.4;
/// From air that carries something else.
const OTHER_AIR: f64 = 0.3;
/// From another family.
const OTHER_FAMILY: f64 = 0.6;
/// From another season.
const OTHER_SEASON: f64 = 0.8;
/// From a unit of another age. Where one of the two ages is not known it counts in full.
pub const OTHER_AGE: f64 = 0.8;

/// A settled finding of an earlier job.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Case<'a> {
    /// The cause that was proved; `None` when it is on no list.
    pub cause: Option<CauseId>,
    /// The circumstances of that job.
    pub here: Here<'a>,
}

impl Here<'_> {
    /// How much a case counts here, 0 to 1. Trade judgement.
    fn likeness(&self, case: &Case<'_>) -> f64 {
        let other = &case.here;
        if other.symptom != self.symptom {
            return 0.0;
        }
        let ages = (self.age, other.age);
        let unlike = [
            (other.site != self.site, OTHER_SITE),
            (!same_air(self.air, other.air), OTHER_AIR),
            (other.family != self.family, OTHER_FAMILY),
            (other.season != self.season, OTHER_SEASON),
            (matches!(ages, (Some(mine), Some(theirs)) if mine != theirs), OTHER_AGE),
        ];
        unlike.iter().filter(|(unlike, _)| *unlike).map(|(_, factor)| factor).product()
    }
}

/// Air is alike when both carry something in common, or both carry nothing.
fn same_air(mine: &[&str], theirs: &[&str]) -> bool {
    (mine.is_empty() && theirs.is_empty()) || mine.iter().any(|carried| theirs.contains(carried))
}

/// Share of a cause before any test, 0 to 1, among the listed causes of a symptom in a family.
pub fn share(
    weights: &Weights,
    table: &Table,
    (symptom, family): (SymptomId, Family),
    cause: CauseId,
) -> f64 {
    let all = weights.of(table, symptom, family);
    let total: f64 = all.iter().map(|(_, weight)| weight).sum();
    let own = all.iter().find(|(known, _)| *known == cause).map_or(0.0, |(_, weight)| *weight);
    if total > 0.0 { own / total } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_general_table_counts_as_thirty_jobs() {
        let table = Table::standard();
        let symptom = table.symptom("lights_drops").unwrap();
        let weights = Weights::general().of(table, symptom, Family::Dsi);
        let total: f64 = weights.iter().map(|(_, weight)| weight).sum();
        assert!((total - TABLE_JOBS).abs() < 1e-9);
        assert_eq!(weights.len(), 16);
    }

    #[test]
    fn findings_here_move_the_weights_and_say_how_far() {
        let table = Table::standard();
        let rod = table.cause("rod_dirty").unwrap();
        let other = table.cause("low_inlet").unwrap();
        let here = Here {
            symptom: table.symptom("lights_drops").unwrap(),
            family: Family::Dsi,
            site: "hall",
            air: &["salt"],
            season: Season::DeepCold,
            age: None,
        };
        let case = |cause, site| Case { cause: Some(cause), here: Here { site, ..here } };
        let mut cases = vec![case(rod, "hall"); 9];
        cases.extend(vec![case(other, "hall"); 13]);
        cases.extend(vec![case(other, "elsewhere"); 2]);
        let with = |weights: &Weights| share(weights, table, (here.symptom, here.family), rod);
        let general = with(&Weights::general());
        assert!((general - 34.0 / 110.0).abs() < 0.05, "{general}");
        let now = with(&Weights::learnt(table, &here, &cases));
        let expected = (30.0 * general + 9.0) / (30.0 + 22.0 + 2.0 * 0.4);
        assert!((now - expected).abs() < 1e-12, "{now} {expected}");
    }

    #[test]
    fn findings_on_units_of_another_age_count_eight_tenths_and_of_an_unknown_age_in_full() {
        let table = Table::standard();
        let rod = table.cause("rod_dirty").unwrap();
        let here = Here {
            symptom: table.symptom("lights_drops").unwrap(),
            family: Family::Dsi,
            site: "hall",
            air: &[],
            season: Season::Heating,
            age: Some(Age::Old),
        };
        let with = |age| {
            let case = Case { cause: Some(rod), here: Here { age, ..here } };
            let weights = Weights::learnt(table, &here, &[case; 10]);
            share(&weights, table, (here.symptom, here.family), rod)
        };
        let general = share(&Weights::general(), table, (here.symptom, here.family), rod);
        let counted = |found: f64| (30.0 * general + found) / (30.0 + found);
        for (age, found) in
            [(Some(Age::Old), 10.0), (None, 10.0), (Some(Age::Young), 10.0 * OTHER_AGE)]
        {
            assert!((with(age) - counted(found)).abs() < 1e-12, "{age:?}");
        }
    }

    #[test]
    fn an_age_is_a_band_of_years_since_the_plate() {
        let of = |plate| Age::of(plate, 2025);
        assert_eq!((of(2026), of(2025), of(2021)), (Some(Age::Young), of(2022), of(2025)));
        assert_eq!((of(2020), of(2011)), (Some(Age::Middle), Some(Age::Middle)));
        assert_eq!((of(2010), of(1960)), (Some(Age::Old), Some(Age::Old)));
        assert_eq!((of(2030), Age::of(i32::MIN, i32::MAX)), (None, None));
    }

    #[test]
    fn another_symptom_teaches_nothing_and_an_unlisted_cause_raises_none_of_these() {
        let table = Table::standard();
        let here = Here {
            symptom: table.symptom("lights_drops").unwrap(),
            family: Family::Dsi,
            site: "hall",
            air: &[],
            season: Season::Heating,
            age: Some(Age::Young),
        };
        let dead = Here { symptom: table.symptom("dead").unwrap(), ..here };
        let rod = table.cause("rod_dirty");
        let weights = Weights::learnt(table, &here, &[Case { cause: rod, here: dead }]);
        let general = Weights::general();
        assert_eq!(
            weights.of(table, here.symptom, here.family),
            general.of(table, here.symptom, here.family)
        );
        let weights = Weights::learnt(table, &here, &[Case { cause: None, here }]);
        assert!((weights.unlisted() - 1.0).abs() < 1e-12);
    }
}
