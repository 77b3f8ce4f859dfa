//! The tables' text form.

use super::super::choice::{Care, CareSet, Family, FamilySet, Need, NeedSet, State, StateSet};
use super::{Cause, Gate, Setup, SetupId, Symptom, SymptomId, Table, Test};

/// Why a table cannot be read: the file, its line, and what is wrong there.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{file} line {line}: {reason}")]
pub struct TableError {
    /// Which of the three texts.
    pub file: &'static str,
    /// Line, counted from 1.
    pub line: usize,
    /// What is wrong.
    pub reason: String,
}

type Lines = Vec<(usize, &'static str)>;
type Reason<T> = Result<T, String>;

impl Table {
    /// Reads the three texts; every key that one names must exist in the others.
    pub fn parse(
        symptoms: &'static str,
        causes: &'static str,
        tests: &'static str,
    ) -> Result<Self, TableError> {
        let mut table = Self {
            symptoms: Vec::new(),
            causes: Vec::new(),
            tests: Vec::new(),
            setups: Vec::new(),
        };
        let symptom_lines = lines(symptoms);
        each("symptoms", &symptom_lines, |line| {
            let symptom = symptom(line)?;
            fresh(symptom.key, table.symptoms.iter().map(|known| known.key))?;
            table.symptoms.push(symptom);
            Ok(())
        })?;
        each("causes", &lines(causes), |line| {
            let cause = cause(line, &table.symptoms)?;
            fresh(cause.key, table.causes.iter().map(|known| known.key))?;
            table.causes.push(cause);
            Ok(())
        })?;
        let test_lines = lines(tests);
        each("tests", &test_lines, |line| test_line(line, &mut table))?;
        let last = test_lines.last().map_or(0, |(line, _)| *line);
        finished(&table).map_err(|reason| TableError { file: "tests", line: last, reason })?;
        let mut place = 0;
        each("symptoms", &symptom_lines, |line| {
            let gates = gates(line, &table)?;
            table.symptoms[place].gates = gates;
            place += 1;
            Ok(())
        })?;
        Ok(table)
    }
}

fn lines(text: &'static str) -> Lines {
    let all = text.lines().enumerate().map(|(place, line)| (place + 1, line));
    all.filter(|(_, line)| !line.trim().is_empty() && !line.starts_with('#')).collect()
}

fn each(
    file: &'static str,
    lines: &Lines,
    mut take: impl FnMut(&'static str) -> Reason<()>,
) -> Result<(), TableError> {
    for &(line, text) in lines {
        take(text).map_err(|reason| TableError { file, line, reason })?;
    }
    Ok(())
}

fn columns(line: &'static str, wanted: usize) -> Reason<Vec<&'static str>> {
    let columns: Vec<&str> = line.split('|').map(str::trim).collect();
    if columns.len() == wanted {
        Ok(columns)
    } else {
        Err(format!("{} columns, {wanted} are needed", columns.len()))
    }
}

fn fresh(key: &str, mut known: impl Iterator<Item = &'static str>) -> Reason<()> {
    if known.any(|other| other == key) {
        return Err(format!("`{key}` is there twice"));
    }
    Ok(())
}

fn amount(word: &str) -> Reason<f64> {
    match word.parse::<f64>() {
        Ok(value) if value.is_finite() && value >= 0.0 => Ok(value),
        _ => Err(format!("`{word}` is no amount")),
    }
}

fn families(words: &str) -> Reason<FamilySet> {
    if words == "all" {
        return Ok(FamilySet::all());
    }
    words.split_whitespace().try_fold(FamilySet::NONE, |set, word| {
        let family = Family::from_key(word).ok_or_else(|| format!("no family `{word}`"))?;
        Ok(set.with(family))
    })
}

fn symptom(line: &'static str) -> Reason<Symptom> {
    let columns = columns(line, 5)?;
    let reachable = columns[2].split_whitespace().try_fold(StateSet::NONE, |set, word| {
        let state = State::from_key(word).ok_or_else(|| format!("no state `{word}`"))?;
        Ok::<_, String>(set.with(state))
    })?;
    Ok(Symptom {
        key: columns[0],
        text: columns[1],
        reachable,
        families: families(columns[3])?,
        gates: Vec::new(),
    })
}

fn gates(line: &'static str, table: &Table) -> Reason<Vec<Gate>> {
    let parts = columns(line, 5)?[4].split(';').map(str::trim).filter(|part| !part.is_empty());
    parts
        .map(|part| {
            let (test, wanted) = part.split_once('=').ok_or("a gate is `test = result`")?;
            let test = table.test(test.trim()).ok_or_else(|| format!("no test `{test}`"))?;
            let wanted = table[test].outcome(wanted.trim());
            let wanted = wanted.ok_or_else(|| format!("no such result in `{part}`"))?;
            Ok(Gate { test, wanted })
        })
        .collect()
}

fn cause(line: &'static str, symptoms: &[Symptom]) -> Reason<Cause> {
    let columns = columns(line, 7)?;
    let weights = columns[3]
        .split(',')
        .map(|part| {
            let (key, weight) =
                part.trim().split_once(' ').ok_or("a weight is `symptom amount`")?;
            let place = symptoms.iter().position(|symptom| symptom.key == key);
            let place = place.ok_or_else(|| format!("no symptom `{key}`"))?;
            Ok((SymptomId(place), amount(weight.trim())?))
        })
        .collect::<Reason<Vec<_>>>()?;
    let hazard = columns[6].parse().ok().filter(|hazard| *hazard <= 3);
    Ok(Cause {
        key: columns[0],
        name: columns[1],
        families: families(columns[2])?,
        weights,
        repair: columns[4],
        repair_min: amount(columns[5])?,
        hazard: hazard.ok_or("hazard is 0 to 3")?,
    })
}

fn test_line(line: &'static str, table: &mut Table) -> Reason<()> {
    if let Some(rest) = line.strip_prefix("setup ") {
        let (key, minutes) = rest.trim().split_once(' ').ok_or("a set-up is `key minutes`")?;
        table.setups.push(Setup { key, minutes: amount(minutes)? });
        return Ok(());
    }
    if let Some(rest) = line.strip_prefix('=') {
        let test = table.tests.last_mut().ok_or("results before any test")?;
        for part in rest.split('|') {
            let (outcome, chance) =
                part.trim().rsplit_once(' ').ok_or("a result is `words chance`")?;
            test.outcomes.push(outcome.trim());
            test.otherwise.push(amount(chance)?);
        }
        return distribution(&test.otherwise);
    }
    if line.starts_with(' ') {
        for part in line.split(';') {
            given(part, table)?;
        }
        return Ok(());
    }
    finished(table)?;
    let test = test(line, table)?;
    fresh(test.key, table.tests.iter().map(|known| known.key))?;
    table.tests.push(test);
    Ok(())
}

fn test(line: &'static str, table: &Table) -> Reason<Test> {
    let columns = columns(line, 9)?;
    let (minutes, setup) = match columns[3].split_once('+') {
        None => (columns[3], None),
        Some((minutes, key)) => {
            let place = table.setups.iter().position(|setup| setup.key == key);
            (minutes, Some(SetupId(place.ok_or_else(|| format!("no set-up `{key}`"))?)))
        }
    };
    let cares = columns[4].split_whitespace().try_fold(CareSet::NONE, |set, word| {
        let care = Care::from_key(word).ok_or_else(|| format!("no care `{word}`"))?;
        Ok::<_, String>(set.with(care))
    })?;
    let needs = columns[6].split_whitespace().try_fold(NeedSet::NONE, |set, word| {
        let need = Need::from_key(word).ok_or_else(|| format!("no need `{word}`"))?;
        Ok::<_, String>(set.with(need))
    })?;
    let state = State::from_key(columns[5]).ok_or_else(|| format!("no state `{}`", columns[5]))?;
    if state.fires() && !(cares.has(Care::Firing) && needs.has(Need::Flame)) {
        return Err("a state that lights something needs the firing care and a flame".to_owned());
    }
    Ok(Test {
        key: columns[0],
        name: columns[1],
        place: columns[2],
        outcomes: Vec::new(),
        otherwise: Vec::new(),
        given: vec![None; table.causes.len()],
        minutes: amount(minutes)?,
        setup,
        cares,
        state,
        needs,
        families: families(columns[7])?,
        group: if columns[8].is_empty() { columns[0] } else { columns[8] },
    })
}

fn given(part: &str, table: &mut Table) -> Reason<()> {
    let mut words = part.split_whitespace();
    let key = words.next().ok_or("an empty entry")?;
    let cause = table.cause(key).ok_or_else(|| format!("no cause `{key}`"))?;
    let chances = words.map(amount).collect::<Reason<Vec<f64>>>()?;
    let test = table.tests.last_mut().ok_or("chances before any test")?;
    if chances.len() != test.outcomes.len() {
        return Err(format!(
            "`{key}` has {} chances for {} results",
            chances.len(),
            test.outcomes.len()
        ));
    }
    distribution(&chances).map_err(|reason| format!("`{key}`: {reason}"))?;
    if test.given[cause.0].replace(chances).is_some() {
        return Err(format!("`{key}` is there twice"));
    }
    Ok(())
}

/// Chances sum to 1 and none is 0: no single result may rule a cause out for good.
fn distribution(chances: &[f64]) -> Reason<()> {
    let sum: f64 = chances.iter().sum();
    if chances.len() < 2 || chances.iter().any(|chance| *chance <= 0.0) || (sum - 1.0).abs() > 1e-9
    {
        return Err("chances are above 0 and sum to 1".to_owned());
    }
    Ok(())
}

fn finished(table: &Table) -> Reason<()> {
    match table.tests.last() {
        Some(test) if test.outcomes.is_empty() => Err(format!("`{}` has no results", test.key)),
        _ => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::super::TestId;
    use super::*;

    const SYMPTOMS: &str = "cold | no heat | off trial | all | look = fine";
    const CAUSES: &str = "door | door open | all | cold 3 | shut it | 1 | 0\nfan | fan dead | isp | cold 1 | mend it | 9 | 1";
    const TESTS: &str =
        "look | look | door | 1 | look | off | | all |\n= fine .9 | open .1\n  door .2 .8";

    #[test]
    fn a_small_table_is_read() {
        let table = Table::parse(SYMPTOMS, CAUSES, TESTS).unwrap();
        let gate = table.symptoms[0].gates[0];
        assert_eq!((gate.test, gate.wanted), (TestId(0), 0));
        assert_eq!(table.tests[0].chances(table.cause("door").unwrap()), [0.2, 0.8]);
        assert_eq!(table.tests[0].chances(table.cause("fan").unwrap()), [0.9, 0.1]);
        assert!(table.tests[0].on_dead_unit());
    }

    #[test]
    fn slips_in_a_table_name_their_line() {
        let line = |symptoms, causes, tests| {
            let error = Table::parse(symptoms, causes, tests).unwrap_err();
            (error.file, error.line, error.reason)
        };
        let told = line(SYMPTOMS, "door | door open | all | cold 3 | shut it | 1", TESTS);
        assert_eq!(told, ("causes", 1, "6 columns, 7 are needed".to_owned()));
        let told = line(SYMPTOMS, "door | door open | all | hot 3 | shut it | 1 | 0", TESTS);
        assert_eq!(told, ("causes", 1, "no symptom `hot`".to_owned()));
        let tests = "look | look | door | 1 | look | off | | all |\n= fine .9 | open .2";
        assert_eq!(line(SYMPTOMS, CAUSES, tests).2, "chances are above 0 and sum to 1");
        let tests =
            "look | look | door | 1 | look | off | | all |\n= fine .9 | open .1\n  dor .2 .8";
        assert_eq!(line(SYMPTOMS, CAUSES, tests), ("tests", 3, "no cause `dor`".to_owned()));
        let tests = "look | look | door | 1 | look | trial | | all |\n= fine .9 | open .1";
        assert!(line(SYMPTOMS, CAUSES, tests).2.contains("firing care"));
        let symptoms = "cold | no heat | off | all | look = shut";
        assert_eq!(line(symptoms, CAUSES, TESTS).0, "symptoms");
    }
}
