//! `fault`: finding the fault, step by step.

use client_core::fault::advise::{Advice, Search, Step};
use client_core::fault::belief::TestResult;
use client_core::fault::choice::{Care, CareSet, Family};
use client_core::fault::permit::GasSmell;
use client_core::fault::say;
use client_core::fault::sequence::{self, Leads, Sequence};
use client_core::fault::standing::{Standing, Today};
use client_core::fault::table::Table;
use serde_json::{Value, json};

use crate::args::At;
use crate::desk::Desk;
use crate::error::Trouble;
use crate::pairs;
use crate::ui::Tone;

mod enter;
mod unit;

/// Find a fault: the steps of a start, and which test next
///
/// It informs a licensed person and decides nothing. On gas smell it says the gas procedure and nothing
/// else.
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(subcommand)]
    what: What,
}

#[derive(Debug, clap::Subcommand)]
enum What {
    /// Show the steps of a family's start, with what the failure of each leads to
    Steps {
        /// isp, dsi, hsi, spc, pvs, irt, mua, two, blr
        family: String,
    },
    /// Say which test comes next, from a symptom and the results so far
    Next(Next),
    /// Enter how far a start came; the step that did not happen gives the symptom
    Start(enter::Start),
    /// Enter what tests gave that give no figure
    Result(enter::Result_),
}

#[derive(Debug, clap::Args)]
struct Next {
    /// The symptom; `dripleg words symptoms` lists them
    symptom: String,
    /// Results so far, as TEST=RESULT with the result as it was listed
    #[arg(value_name = "TEST=RESULT")]
    results: Vec<String>,
    /// Family: isp, dsi, hsi, spc, irt, mua, two, blr
    #[arg(long, required_unless_present = "unit")]
    family: Option<String>,
    /// The unit: family, tag and readings come from the record where they stand there
    #[arg(long)]
    unit: Option<String>,
    /// Gas smell: none or present; not said is not checked
    #[arg(long, value_parser = ["none", "present"])]
    smell: Option<String>,
    /// CO in the room air, ppm
    #[arg(long, value_name = "PPM")]
    ambient_co: Option<f64>,
    /// Cares that you can meet today: look, live, locked, port, firing, height, roof
    #[arg(long, value_delimiter = ',', value_name = "CARE")]
    care: Vec<String>,
    /// Trials for ignition in a row since the last gas check and wait
    #[arg(long, default_value_t = 0)]
    trials: u8,
    /// A shut-down tag hangs on the unit
    #[arg(long)]
    tagged: bool,
    #[command(flatten)]
    at: At,
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    match &args.what {
        What::Steps { family } => steps(desk, family),
        What::Next(next) => next.run(desk),
        What::Start(start) => enter::start(start, desk),
        What::Result(result) => enter::result(result, desk),
    }
}

fn leads(table: &Table, of: Leads) -> &'static str {
    match of {
        Leads::Symptom(symptom) => table[symptom].key,
        Leads::GasProcedure => "gas procedure",
        Leads::ShutDown => "shut down",
    }
}

fn steps(desk: &mut Desk<'_>, family: &str) -> Result<(), Trouble> {
    let family = family.to_lowercase();
    let found: &Sequence = sequence::named(&family).ok_or_else(|| {
        let all: Vec<&str> = sequence::standard().iter().map(|own| own.key).collect();
        Trouble::Usage(format!("'{family}' is not a family; use one of {}", all.join(", ")))
    })?;
    let table = Table::standard();
    if desk.ui.manners.json {
        let steps: Vec<_> = found
            .steps
            .iter()
            .map(|step| {
                json!({
                    "name": step.name,
                    "expect": step.expect,
                    "window_s": [step.window_s.0, step.window_s.1],
                    "place": step.place,
                    "usual": step.usual,
                    "fails_to": leads(table, step.fails_to),
                })
            })
            .collect();
        return desk.ui.json(&json!({
            "family": found.key,
            "title": found.title,
            "note": found.note,
            "lockout": found.lockout,
            "steps": steps,
        }));
    }
    desk.ui.toned(Tone::Head, found.title)?;
    desk.ui.line(found.note)?;
    desk.ui.line(found.lockout)?;
    let rows: Vec<Vec<String>> = found
        .steps
        .iter()
        .enumerate()
        .map(|(at, step)| {
            let window = format!("{:.0}-{:.0} s", step.window_s.0, step.window_s.1);
            let usual = format!("{}; {}: {}", step.expect, step.place, step.usual);
            let fails = leads(table, step.fails_to).to_owned();
            vec![format!("{} {}", at + 1, step.name), window, fails, usual]
        })
        .collect();
    desk.ui.table(&["step", "window", "fails to", "expected; where: usual"], &rows)?;
    desk.ui.toned(Tone::Dim, "windows are common practice; the unit's own sheet overrides")
}

impl Next {
    fn run(&self, desk: &mut Desk<'_>) -> Result<(), Trouble> {
        let table = Table::standard();
        let own = match &self.unit {
            Some(unit) => unit::of(desk, &self.at, unit)?,
            None => unit::OfUnit::default(),
        };
        let symptom_key = self.symptom.to_lowercase().replace('-', "_");
        let symptom = table.symptom(&symptom_key).ok_or_else(|| {
            let all: Vec<&str> = table.symptom_ids().map(|own| table[own].key).collect();
            Trouble::Usage(format!("'{symptom_key}' is not a symptom; use one of {}", all.join(", ")))
        })?;
        let family_key = self.family.clone();
        let family_key = family_key.or_else(|| own.known.family.map(|own| own.key().to_owned()));
        let family_key = family_key.unwrap_or_default().to_lowercase();
        let family = Family::from_key(&family_key).ok_or_else(|| {
            let all: Vec<&str> = Family::ALL.iter().map(|own| own.key()).collect();
            let found = if family_key.is_empty() { "not known".to_owned() } else { format!("'{family_key}'") };
            Trouble::Usage(format!("family is {found}; name one with --family: {}", all.join(", ")))
        })?;
        let mut cares = CareSet::of(&[Care::Look]);
        for word in &self.care {
            let care = Care::from_key(&word.to_lowercase()).ok_or_else(|| {
                let all: Vec<&str> = Care::ALL.iter().map(|own| own.key()).collect();
                Trouble::Usage(format!("'{word}' is not a care; use {}", all.join(", ")))
            })?;
            cares = cares.with(care);
        }
        let today = Today {
            cares,
            trials: self.trials,
            tagged: self.tagged,
            gas_smell: match self.smell.as_deref() {
                Some("none") => Some(GasSmell::None),
                Some(_) => Some(GasSmell::Present),
                None => None,
            },
            ambient_co_ppm: self.ambient_co,
            results: results(table, &self.results)?,
            ..Today::default()
        };
        let learnt = own.learnt(table, symptom, family);
        let standing = Standing::of(table, own.known, (symptom, family), learnt, &today);
        match &standing.advice {
            Err(wrong) => Err(Trouble::Usage(wrong.to_string())),
            Ok(Advice::GasProcedure) => gas_procedure(desk),
            Ok(Advice::Search(search)) => tell(desk, table, search, &standing),
        }
    }
}

/// Results as they were typed.
fn results(table: &Table, typed: &[String]) -> Result<Vec<TestResult>, Trouble> {
    let mut results = vec![];
    for typed in typed {
        let (key, words) = pairs::split(typed)?;
        let key = key.to_lowercase().replace('-', "_");
        let test = table
            .test(&key)
            .ok_or_else(|| Trouble::Usage(format!("'{key}' is not a test of the tables")))?;
        let outcomes = &table[test].outcomes;
        let same = |own: &&str| own.eq_ignore_ascii_case(words);
        let begins = |own: &&str| own.to_lowercase().starts_with(&words.to_lowercase());
        let at = outcomes.iter().position(same).or_else(|| {
            let mut fit = outcomes.iter().enumerate().filter(|(_, own)| begins(own));
            fit.next().filter(|_| fit.next().is_none()).map(|(at, _)| at)
        });
        let outcome = at.ok_or_else(|| {
            let all: Vec<String> = outcomes.iter().map(|own| format!("'{own}'")).collect();
            Trouble::Usage(format!("{key}: '{words}' is not a result; use {}", all.join(", ")))
        })?;
        results.push(TestResult { test, outcome });
    }
    Ok(results)
}

const GAS_PROCEDURE: &[&str] = &[
    "GAS SMELL: stop. No switches, no phone, no flames in the area.",
    "Get people out. Close the outside or area valve only if it is on the way out.",
    "Call the gas utility and the emergency number from outside, at a distance.",
    "Nobody goes back until the gas company or the fire service says so. Record afterwards.",
    "Put this program away now.",
];

fn gas_procedure(desk: &mut Desk<'_>) -> Result<(), Trouble> {
    if desk.ui.manners.json {
        return desk.ui.json(&json!({ "gas_procedure": GAS_PROCEDURE }));
    }
    for line in GAS_PROCEDURE {
        desk.ui.toned(Tone::Stop, line)?;
    }
    Ok(())
}

fn tell(
    desk: &mut Desk<'_>,
    table: &Table,
    search: &Search,
    from: &Standing,
) -> Result<(), Trouble> {
    let results = &from.results;
    let standing = say::standing(table, search).to_string();
    let next = say::next(table, search, results);
    let leader = search.ranked.first().and_then(|(candidate, _)| *candidate);
    let job = (from.symptom, from.family);
    let moved = leader.and_then(|cause| Some((cause, from.learnt.shift(table, job, cause)?)));
    if desk.ui.manners.json {
        let mut value = as_json(table, search, &standing, &next);
        value["here"] = json!(moved.map(|(_, shift)| json!({
            "findings": shift.count.0,
            "of": shift.count.1,
            "in_general": shift.general,
            "before_any_test": shift.now,
            "age": shift.without_age.map(|(age, _)| age.words()),
            "without_age": shift.without_age.map(|(_, share)| share),
        })));
        let figures = from.known.suspicions.iter();
        value["figures"] =
            figures.map(|own| json!({ "because": own.because.to_string(), "next": own.next })).collect();
        return desk.ui.json(&value);
    }
    for own in &from.known.suspicions {
        desk.ui.toned(Tone::Look, &format!("{}; {}", own.because, own.next))?;
    }
    desk.ui.line(&standing)?;
    if let Some((cause, shift)) = moved {
        desk.ui.toned(Tone::Dim, &format!("  {}", say::shift(table, cause, &shift)))?;
    }
    let tone = if search.dangers.is_empty() { Tone::Head } else { Tone::Stop };
    desk.ui.toned(tone, &format!("next: {next}"))?;
    if let Step::Test(offer) = &search.step {
        let test = &table[offer.test];
        let outcomes: Vec<String> = test.outcomes.iter().map(|own| format!("'{own}'")).collect();
        desk.ui.line(&format!("  enter it as {}=RESULT, one of {}", test.key, outcomes.join(", ")))?;
        for care in offer.permit.cares.members() {
            desk.ui.line(&format!("  care: {}", care.words()))?;
        }
    }
    for (test, refusal) in search.held_back.iter().take(5) {
        let words = say::refusal(table, *refusal);
        desk.ui.toned(Tone::Dim, &format!("  held back: {}: {words}", table[*test].name))?;
    }
    for (_, why) in &search.set_aside {
        desk.ui.toned(Tone::Look, &say::set_aside(table, results, *why).to_string())?;
    }
    Ok(())
}

fn as_json(table: &Table, search: &Search, standing: &str, next: &str) -> Value {
    let ranked: Vec<_> = search
        .ranked
        .iter()
        .map(|(candidate, p)| {
            json!({
                "cause": candidate.map(|cause| table[cause].key),
                "name": say::name(table, *candidate),
                "probability": p,
            })
        })
        .collect();
    let offers: Vec<_> = search
        .offers
        .iter()
        .map(|offer| {
            json!({
                "test": table[offer.test].key,
                "name": table[offer.test].name,
                "minutes": offer.minutes,
                "outcomes": table[offer.test].outcomes,
                "cares": offer.permit.cares.members().map(Care::key).collect::<Vec<_>>(),
            })
        })
        .collect();
    let held: Vec<_> = search
        .held_back
        .iter()
        .map(|(test, refusal)| {
            json!({ "test": table[*test].key, "why": say::refusal(table, *refusal).to_string() })
        })
        .collect();
    let dangers: Vec<_> =
        search.dangers.iter().map(|danger| say::danger(table, search, danger).to_string()).collect();
    json!({
        "standing": standing,
        "next": next,
        "ranked": ranked,
        "offers": offers,
        "held_back": held,
        "dangers": dangers,
    })
}
