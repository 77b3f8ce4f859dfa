//! Sequences of operation: a gas appliance is a chain of permissions, and each step names what its failure
//! looks like.

use std::sync::LazyLock;

use super::table::{SymptomId, Table};

/// A sequence: the steps from the call for heat to the stop.
#[derive(Debug, Clone, PartialEq)]
pub struct Sequence {
    /// Key: a family's, or `pvs` for the air-proving part on its own.
    pub key: &'static str,
    /// What it is.
    pub title: &'static str,
    /// What to know about it.
    pub note: &'static str,
    /// How its control locks out, commonly.
    pub lockout: &'static str,
    /// Its steps in order.
    pub steps: Vec<Step>,
}

/// One step.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// What should happen.
    pub name: &'static str,
    /// The signal that shows it.
    pub expect: &'static str,
    /// Earliest and latest seconds after the step before. Common practice; the unit's own sheet overrides.
    pub window_s: (f64, f64),
    /// Where to look or measure.
    pub place: &'static str,
    /// What is usual there.
    pub usual: &'static str,
    /// Where its failure leads.
    pub fails_to: Leads,
    /// Where it leads when the thing happens, but weakly.
    pub weak: Option<SymptomId>,
}

/// Where a failed step leads.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Leads {
    /// To the search for the cause of this symptom.
    Symptom(SymptomId),
    /// To the gas procedure and nothing else.
    GasProcedure,
    /// To shut-down; no test is offered.
    ShutDown,
}

/// Why a sequence cannot be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("sequences line {line}: {reason}")]
pub struct SequenceError {
    /// Line, counted from 1.
    pub line: usize,
    /// What is wrong.
    pub reason: String,
}

static STANDARD: LazyLock<Vec<Sequence>> = LazyLock::new(|| {
    parse(include_str!("data/sequences.txt"), Table::standard())
        .expect("the shipped sequences are parsed by the tests of this file")
});

/// The sequences that come with the program.
pub fn standard() -> &'static [Sequence] {
    &STANDARD
}

/// The sequence with this key.
pub fn named(key: &str) -> Option<&'static Sequence> {
    standard().iter().find(|sequence| sequence.key == key)
}

/// Reads sequences; symptoms are those of `table`.
pub fn parse(text: &'static str, table: &Table) -> Result<Vec<Sequence>, SequenceError> {
    let mut sequences = Vec::new();
    for (place, line) in text.lines().enumerate() {
        if line.trim().is_empty() || line.starts_with('#') {
            continue;
        }
        let told = |reason| SequenceError { line: place + 1, reason };
        one_line(line, table, &mut sequences).map_err(told)?;
    }
    Ok(sequences)
}

fn one_line(line: &'static str, table: &Table, all: &mut Vec<Sequence>) -> Result<(), String> {
    if let Some(head) = line.strip_prefix("sequence ") {
        let (key, title) = head.split_once('|').ok_or("a sequence is `key | title`")?;
        all.push(Sequence {
            key: key.trim(),
            title: title.trim(),
            note: "",
            lockout: "",
            steps: Vec::new(),
        });
        return Ok(());
    }
    let sequence = all.last_mut().ok_or("a line before any sequence")?;
    if let Some(note) = line.strip_prefix("note ") {
        sequence.note = note;
    } else if let Some(lockout) = line.strip_prefix("lockout ") {
        sequence.lockout = lockout;
    } else {
        let number = sequence.steps.len() + 1;
        sequence.steps.push(step(line, table, number)?);
    }
    Ok(())
}

fn step(line: &'static str, table: &Table, number: usize) -> Result<Step, String> {
    let columns: Vec<&str> = line.split('|').map(str::trim).collect();
    let [given, name, expect, window, place, usual, fails] = columns[..] else {
        return Err(format!("{} columns, 7 are needed", columns.len()));
    };
    if given != number.to_string() {
        return Err(format!("step {given} stands where {number} should"));
    }
    let (from, to) = window.split_once(' ').ok_or("a window is `earliest latest`")?;
    let seconds = |word: &str| word.parse::<f64>().map_err(|_| format!("`{word}` is no time"));
    let window_s = (seconds(from)?, seconds(to)?);
    if !(0.0 <= window_s.0 && window_s.0 <= window_s.1) {
        return Err("a window runs from its earliest to its latest".to_owned());
    }
    let symptom = |key: &str| table.symptom(key).ok_or_else(|| format!("no symptom `{key}`"));
    let (fails, weak) = match fails.split_once("; weak: ") {
        Some((fails, weak)) => (fails, Some(symptom(weak)?)),
        None => (fails, None),
    };
    let fails_to = match fails {
        "gas_procedure" => Leads::GasProcedure,
        "shut_down" => Leads::ShutDown,
        key => Leads::Symptom(symptom(key)?),
    };
    Ok(Step { name, expect, window_s, place, usual, fails_to, weak })
}

#[cfg(test)]
mod tests {
    use super::super::choice::Family;
    use super::*;

    #[test]
    fn nine_sequences_with_their_steps() {
        let steps: Vec<(&str, usize)> =
            standard().iter().map(|sequence| (sequence.key, sequence.steps.len())).collect();
        let wanted = [
            ("isp", 13),
            ("dsi", 9),
            ("hsi", 8),
            ("spc", 8),
            ("pvs", 6),
            ("irt", 8),
            ("mua", 12),
            ("two", 9),
            ("blr", 10),
        ];
        assert_eq!(steps, wanted);
        assert!(standard().iter().all(|one| !one.note.is_empty() && !one.lockout.is_empty()));
    }

    #[test]
    fn every_failing_step_leads_to_a_symptom_of_its_family() {
        let table = Table::standard();
        for sequence in standard() {
            let Some(family) = Family::from_key(sequence.key) else { continue };
            for step in &sequence.steps {
                let symptom = match step.fails_to {
                    Leads::Symptom(symptom) => Some(symptom),
                    Leads::GasProcedure | Leads::ShutDown => None,
                };
                for symptom in symptom.into_iter().chain(step.weak) {
                    let known = &table[symptom];
                    assert!(known.families.has(family), "{} {}", sequence.key, known.key);
                }
            }
        }
    }

    #[test]
    fn a_slip_names_its_line() {
        let table = Table::standard();
        let error = |text| parse(text, table).unwrap_err().to_string();
        assert_eq!(
            error("1 | a | b | 0 1 | c | d | dead"),
            "sequences line 1: a line before any sequence"
        );
        assert_eq!(
            error("sequence x | y\n2 | a | b | 0 1 | c | d | dead"),
            "sequences line 2: step 2 stands where 1 should"
        );
        assert_eq!(
            error("sequence x | y\n1 | a | b | 3 1 | c | d | dead"),
            "sequences line 2: a window runs from its earliest to its latest"
        );
        assert_eq!(
            error("sequence x | y\n1 | a | b | 0 1 | c | d | asleep"),
            "sequences line 2: no symptom `asleep`"
        );
    }
}
