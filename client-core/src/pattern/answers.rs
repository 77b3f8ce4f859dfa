//! Whether the first answer held, who had to come back, and how long each cause takes.

use std::collections::BTreeMap;

use super::Day;
use crate::record::body::{Body, Kind};
use crate::record::code::{Confidence, VisitKind, WorkKind};
use crate::record::file::VisitFile;
use crate::trade::stats::proportion::Count;
use crate::trade::stats::words::of as of_count;

/// A call-back comes inside so many days. Common practice, no source.
pub const CALL_BACK_DAYS: i32 = 30;

/// A job with its first suspected cause and the one that was settled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Answer<'a> {
    /// The cause suspected first, if any was written down.
    pub first: Option<&'a str>,
    /// The cause settled at the end; `None` while it is open.
    pub settled: Option<&'a str>,
}

/// How often the first suspected cause held, of the jobs in which both are known. `None` without any.
pub fn first_answers(answers: &[Answer<'_>]) -> Option<Count> {
    let both = answers.iter().filter_map(|answer| Some((answer.first?, answer.settled?)));
    let (held, total) = both.fold((0, 0), |(held, total), (first, settled)| {
        (held + usize::from(first == settled), total + 1)
    });
    Count::new(held, total).ok()
}

/// A repair, and a later complaint, on one unit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Event<'a> {
    /// The unit.
    pub unit: &'a str,
    /// The repaired cause, or the complaint's symptom.
    pub what: &'a str,
    /// The day.
    pub day: Day,
}

/// Call-backs for each repaired cause: repairs followed by a complaint on the same unit inside 30 days, of
/// the repairs that are at least 30 days old on `today`. A younger repair is not yet known to have held.
pub fn call_backs<'a>(
    repairs: &[Event<'a>],
    complaints: &[Event<'_>],
    today: Day,
) -> Vec<(&'a str, Count)> {
    let mut counts: BTreeMap<&'a str, (usize, usize)> = BTreeMap::new();
    for repair in repairs {
        let back = complaints.iter().any(|complaint| {
            let days = complaint.day.since(repair.day);
            complaint.unit == repair.unit && days > 0 && days <= CALL_BACK_DAYS
        });
        if back || today.since(repair.day) >= CALL_BACK_DAYS {
            let entry = counts.entry(repair.what).or_default();
            entry.0 += usize::from(back);
            entry.1 += 1;
        }
    }
    let counted = counts.into_iter();
    counted.filter_map(|(cause, (back, all))| Some((cause, Count::new(back, all).ok()?))).collect()
}

/// Minutes that jobs of one cause took.
#[derive(Debug, Clone, PartialEq)]
pub struct Minutes<'a> {
    /// The cause.
    pub cause: &'a str,
    /// How many jobs.
    pub jobs: usize,
    /// The shortest and the longest.
    pub range: (f64, f64),
    /// The middle one; `None` under three jobs.
    pub median: Option<f64>,
}

/// Minutes by cause, by name of the cause. Times that are no numbers are left out.
pub fn minutes<'a>(jobs: &[(&'a str, f64)]) -> Vec<Minutes<'a>> {
    let mut by_cause: BTreeMap<&'a str, Vec<f64>> = BTreeMap::new();
    for &(cause, minutes) in jobs {
        if minutes.is_finite() && minutes >= 0.0 {
            by_cause.entry(cause).or_default().push(minutes);
        }
    }
    by_cause
        .into_iter()
        .map(|(cause, mut times)| {
            times.sort_by(f64::total_cmp);
            let (jobs, middle) = (times.len(), times.len() / 2);
            let median = if jobs % 2 == 1 {
                times[middle]
            } else {
                f64::midpoint(times[middle - 1], times[middle])
            };
            Minutes {
                cause,
                jobs,
                range: (times[0], times[jobs - 1]),
                median: (jobs >= 3).then_some(median),
            }
        })
        .collect()
}

/// What visits tell of jobs: suspected and proved causes, repairs, complaints, minutes.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Jobs {
    /// First suspected and proved cause of each unit and visit with a finding.
    pub answers: Vec<(Option<String>, Option<String>)>,
    /// Unit, cause, day of each repair.
    pub repairs: Vec<(String, String, Day)>,
    /// Unit, what was complained of, day.
    pub complaints: Vec<(String, String, Day)>,
    /// Cause and minutes of work.
    pub minutes: Vec<(String, f64)>,
}

impl Jobs {
    /// Adds a visit. A finding that nobody proved settles nothing; work on no finding repairs no cause.
    pub fn add(&mut self, file: &VisitFile<'_>) {
        let no_heat =
            file.head.read.named("visit/kind").and_then(|own| own.governs()).is_some_and(|said| {
                matches!(said.value, crate::record::field::FieldValue::Word(code)
                if VisitKind::from_code(code) == VisitKind::NoHeat)
            });
        for unit in &file.units {
            let Some(sheet) = &unit.sheet else { continue };
            let no = unit.unit_no();
            let day = sheet.read.entries.first().and_then(|entry| Day::of(entry.stamp.at().day()));
            let Some(day) = day else { continue };
            let mut first = None;
            let mut proved = None;
            for entry in sheet.read.counted(Kind::Finding) {
                let Body::Finding(own) = &entry.body else { continue };
                first.get_or_insert_with(|| own.cause.clone());
                if own.confidence == Some(Confidence::Proved) {
                    proved = Some(own.cause.clone());
                }
            }
            if first.is_some() {
                self.answers.push((first, proved));
            }
            for entry in sheet.read.counted(Kind::Symptom) {
                let Body::Symptom(own) = &entry.body else { continue };
                self.complaints.push((no.clone(), own.symptom.clone(), day));
            }
            if no_heat && sheet.read.counted(Kind::Finding).next().is_some() {
                self.complaints.push((no.clone(), "no heat".to_owned(), day));
            }
            for entry in sheet.read.counted(Kind::Work) {
                let Body::Work(own) = &entry.body else { continue };
                let finding = own.finding.and_then(|id| sheet.read.entry(id));
                let Some(Body::Finding(finding)) = finding.map(|entry| &entry.body) else {
                    continue;
                };
                if !matches!(own.kind, WorkKind::None | WorkKind::Advised) {
                    self.repairs.push((no.clone(), finding.cause.clone(), day));
                }
                self.minutes
                    .extend(own.minutes.map(|minutes| (finding.cause.clone(), f64::from(minutes))));
            }
        }
    }

    /// The answers in words, with their counts; a group without data says nothing.
    pub fn say(&self, today: Day, cause: &dyn Fn(&str) -> String) -> Vec<String> {
        let answers: Vec<Answer<'_>> = self
            .answers
            .iter()
            .map(|(first, settled)| Answer { first: first.as_deref(), settled: settled.as_deref() })
            .collect();
        let repairs: Vec<Event<'_>> =
            self.repairs.iter().map(|(unit, what, day)| Event { unit, what, day: *day }).collect();
        let complaints: Vec<Event<'_>> = self
            .complaints
            .iter()
            .map(|(unit, what, day)| Event { unit, what, day: *day })
            .collect();
        let times: Vec<(&str, f64)> =
            self.minutes.iter().map(|(cause, minutes)| (cause.as_str(), *minutes)).collect();
        let mut said = vec![];
        said.extend(first_answers(&answers).map(|count| {
            format!("the first suspected cause was the proved one in {} jobs", of_count(count))
        }));
        let back = call_backs(&repairs, &complaints, today);
        let (came, all) = back
            .iter()
            .fold((0, 0), |(came, all), (_, count)| (came + count.hits(), all + count.total()));
        if all > 0 {
            let which: Vec<String> = back
                .iter()
                .filter(|(_, count)| count.hits() > 0)
                .map(|(key, count)| format!("{}, {}", cause(key), of_count(*count)))
                .collect();
            let which =
                if which.is_empty() { String::new() } else { format!(": {}", which.join("; ")) };
            said.push(format!(
                "a complaint within {CALL_BACK_DAYS} days of the repair in {came} of {all} repairs{which}"
            ));
        }
        said.extend(minutes(&times).iter().map(|own| {
            let usual =
                own.median.map_or_else(String::new, |median| format!(", half under {median:.0}"));
            let jobs =
                if own.jobs == 1 { "1 job".to_owned() } else { format!("{} jobs", own.jobs) };
            format!(
                "{}: {:.0} to {:.0} minutes{usual}, {jobs}",
                cause(own.cause),
                own.range.0,
                own.range.1
            )
        }));
        said
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_open_job_counts_neither_way() {
        let answer = |first, settled| Answer { first, settled };
        let answers = [
            answer(Some("rod_dirty"), Some("rod_dirty")),
            answer(Some("rod_dirty"), Some("rod_leak")),
            answer(Some("ps_hose"), None),
            answer(None, Some("ps_hose")),
        ];
        let count = first_answers(&answers).unwrap();
        assert_eq!((count.hits(), count.total()), (1, 2));
        assert_eq!(first_answers(&[]), None);
    }

    #[test]
    fn a_young_repair_is_not_yet_proved() {
        let event = |unit, what, date| Event { unit, what, day: Day::parse(date).unwrap() };
        let repairs = [
            event("U1", "rod_dirty", "2025-01-01"),
            event("U2", "rod_dirty", "2025-01-01"),
            event("U3", "rod_dirty", "2025-03-01"),
            event("U4", "ps_hose", "2025-03-01"),
        ];
        let complaints =
            [event("U1", "lights_drops", "2025-01-20"), event("U2", "lights_drops", "2025-02-20")];
        let counts = call_backs(&repairs, &complaints, Day::parse("2025-03-10").unwrap());
        assert_eq!(counts.len(), 1);
        assert_eq!((counts[0].0, counts[0].1.hits(), counts[0].1.total()), ("rod_dirty", 1, 2));
    }

    #[test]
    fn two_jobs_have_no_median() {
        let times =
            [("a", 10.0), ("a", 30.0), ("b", 10.0), ("b", 20.0), ("b", 60.0), ("b", f64::NAN)];
        let minutes = minutes(&times);
        assert_eq!((minutes[0].jobs, minutes[0].median, minutes[0].range), (2, None, (10.0, 30.0)));
        assert_eq!((minutes[1].jobs, minutes[1].median), (3, Some(20.0)));
    }

    #[test]
    fn jobs_are_said_with_their_counts_and_nothing_without_data() {
        let day = |text: &str| Day::parse(text).unwrap();
        let own = |text: &str| text.to_owned();
        let jobs = Jobs {
            answers: vec![
                (Some(own("a")), Some(own("a"))),
                (Some(own("a")), Some(own("b"))),
                (Some(own("a")), None),
            ],
            repairs: vec![
                (own("U1"), own("a"), day("2025-01-01")),
                (own("U2"), own("a"), day("2025-01-01")),
            ],
            complaints: vec![(own("U1"), own("no heat"), day("2025-01-20"))],
            minutes: vec![(own("a"), 20.0)],
        };
        let said = jobs.say(day("2025-06-01"), &|key| key.to_uppercase());
        assert_eq!(
            said,
            [
                "the first suspected cause was the proved one in 1 of 2 jobs",
                "a complaint within 30 days of the repair in 1 of 2 repairs: A, 1 of 2",
                "A: 20 to 20 minutes, 1 job",
            ]
        );
        assert!(Jobs::default().say(day("2025-06-01"), &|key| key.to_owned()).is_empty());
    }
}
