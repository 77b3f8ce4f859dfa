//! A unit's sheet of a visit: found and left with what they come to, checks, findings, work, parts.

use client_core::present::Say;
use client_core::record::derived::block::{Block, block};
use client_core::present::say::amount;
use client_core::record::body::{Body, Kind};
use client_core::record::code::Phase;
use client_core::record::file::{UnitInVisit, VisitFile};
use client_core::record::id::ApplianceId;
use client_core::record::mark::Marker;
use client_core::trade::unit::System;
use client_core::trade::verdict::words::AUTHORITY;
use serde_json::{Value, json};

use super::{entry_json, entry_line, state};
use crate::args::At;
use crate::book::Book;
use crate::desk::Desk;
use crate::entries;
use crate::error::Trouble;
use crate::json;
use crate::ui::{Tone, counted};

/// An entry with its remarks, ready to be printed.
struct Line {
    kind: Kind,
    phase: Option<Phase>,
    entry: client_core::record::read::Entry,
    marks: Vec<String>,
    words: String,
}

struct Shown {
    lines: Vec<Line>,
    blocks: Vec<(Phase, Block)>,
    texts: Vec<(String, String, String, bool)>,
    outcome: Option<String>,
    waiting: usize,
    problems: Vec<String>,
}

pub(super) fn show(desk: &mut Desk<'_>, at: &At, typed: &str) -> Result<(), Trouble> {
    let (place, appliance) = entries::unit(desk, at, typed)?;
    let system = desk.system;
    let shown = {
        let opened = desk.device()?.open_visit(place.site, place.visit)?;
        let file = opened.file();
        lay_out(&file, appliance, &place.book, system)
    };
    let Some(shown) = shown else {
        return Err(Trouble::State(format!("nothing of {typed} is entered in this visit")));
    };
    let say = Say { names: &place.book, system };
    if desk.ui.manners.json {
        let mut list = vec![];
        for line in &shown.lines {
            let state = state(desk.device()?, &line.entry)?;
            list.push(entry_json(&say, &line.entry, &line.marks, state));
        }
        return desk.ui.json(&json!({
            "unit": appliance.to_string(),
            "visit": place.visit.to_string(),
            "outcome": shown.outcome,
            "entries": list,
            "blocks": shown.blocks.iter().map(|(phase, block)| block_json(*phase, block)).collect::<Vec<_>>(),
            "texts": shown.texts.iter().map(|(note, subject, text, read)| json!({
                "note": note, "subject": subject, "text": text, "read": read,
            })).collect::<Vec<_>>(),
            "waiting": shown.waiting,
            "problems": shown.problems,
            "authority": AUTHORITY,
        }));
    }
    print(desk, typed, &shown, system)
}

fn lay_out(
    file: &VisitFile<'_>,
    appliance: ApplianceId,
    book: &Book,
    system: Option<System>,
) -> Option<Shown> {
    let unit: &UnitInVisit<'_> = file.unit(appliance)?;
    let sheet = unit.sheet.as_ref()?;
    let say = Say { names: book, system };
    let marker = Marker::new(file);
    let lines = sheet.read.entries.iter().filter(|entry| entry.shown()).map(|entry| {
        let marks: Vec<String> =
            marker.marks(sheet, entry).iter().map(client_core::record::mark::Mark::says).collect();
        let phase = match &entry.body {
            Body::Reading(reading) => Some(reading.phase),
            _ => None,
        };
        let words = entry_line(&say, entry, &marks);
        Line { kind: entry.body.kind(), phase, entry: entry.clone(), marks, words }
    });
    let phases = [Phase::AsFound, Phase::InWork, Phase::AsLeft, Phase::Baseline, Phase::Spot];
    let blocks = phases.map(|phase| (phase, block(file, unit, phase)));
    let filled = |(_, block): &(Phase, Block)| *block != Block::default();
    let outcome = sheet.read.named("sheet/outcome").map(|merged| {
        let field = client_core::record::field::Field::named("sheet/outcome");
        super::field_words(&say, &field, merged)
    });
    Some(Shown {
        lines: lines.collect(),
        blocks: blocks.into_iter().filter(filled).collect(),
        texts: sheet
            .read
            .texts
            .iter()
            .map(|text| (text.note.to_string(), text.subject.clone(), text.text.clone(), text.read))
            .collect(),
        outcome,
        waiting: sheet.read.entries.iter().filter(|entry| !entry.shown()).count(),
        problems: sheet.read.problems.iter().map(ToString::to_string).collect(),
    })
}

fn print(
    desk: &mut Desk<'_>,
    typed: &str,
    shown: &Shown,
    system: Option<System>,
) -> Result<(), Trouble> {
    let outcome = shown.outcome.clone().unwrap_or_else(|| "open".to_owned());
    desk.ui.toned(Tone::Head, &format!("{typed}, {outcome}"))?;
    for (title, kinds) in [
        ("symptoms", &[Kind::Symptom][..]),
        ("tests", &[Kind::Tested][..]),
        ("parts of one gas", &[Kind::GasPart][..]),
    ] {
        list(desk, title, shown, |line| kinds.contains(&line.kind))?;
    }
    for phase in [Phase::AsFound, Phase::InWork, Phase::AsLeft, Phase::Baseline, Phase::Spot] {
        list(desk, phase.says(), shown, |line| line.phase == Some(phase))?;
        if let Some((_, block)) = shown.blocks.iter().find(|(of, _)| *of == phase) {
            print_block(desk, block, system)?;
        }
    }
    for (title, kinds) in [
        ("findings", &[Kind::Finding][..]),
        ("work", &[Kind::Work, Kind::Adjustment][..]),
        ("parts", &[Kind::Part][..]),
        ("checks", &[Kind::Check][..]),
        ("photos", &[Kind::Photo][..]),
        ("claims", &[Kind::Claim][..]),
        (
            "put right",
            &[Kind::Void, Kind::Settlement, Kind::DoubleMark, Kind::TextRead, Kind::Vouch][..],
        ),
    ] {
        list(desk, title, shown, |line| kinds.contains(&line.kind))?;
    }
    for (_, subject, text, read) in &shown.texts {
        desk.ui.toned(Tone::Head, &format!("note on {subject}"))?;
        desk.ui.line(&format!("  {text}"))?;
        if *read {
            desk.ui.toned(Tone::Dim, "  (read)")?;
        }
    }
    if shown.waiting > 0 {
        let says = format!("{} for a supervisor", counted(shown.waiting, "entry waits", "entries wait"));
        desk.ui.toned(Tone::Look, &says)?;
    }
    for problem in &shown.problems {
        desk.ui.talk(Tone::Look, problem);
    }
    desk.ui.toned(Tone::Dim, AUTHORITY)
}

fn list(
    desk: &mut Desk<'_>,
    title: &str,
    shown: &Shown,
    fits: impl Fn(&Line) -> bool,
) -> Result<(), Trouble> {
    let mut own = shown.lines.iter().filter(|line| fits(line)).peekable();
    if own.peek().is_none() {
        return Ok(());
    }
    desk.ui.toned(Tone::Head, title)?;
    for line in own {
        let tone = if line.marks.is_empty() { Tone::Plain } else { Tone::Look };
        desk.ui.toned(tone, &line.words)?;
    }
    Ok(())
}

fn print_block(
    desk: &mut Desk<'_>,
    block: &Block,
    system: Option<System>,
) -> Result<(), Trouble> {
    for shown in &block.figures {
        let words = format!("    = {} {} ({})", shown.name, amount(shown.amount, system), shown.formula);
        desk.ui.line(&words)?;
    }
    for judged in &block.verdicts {
        let tone = match judged.label {
            "within" => Tone::Plain,
            "outside" => Tone::Stop,
            _ => Tone::Look,
        };
        desk.ui.toned(tone, &format!("    {}", judged.sentence))?;
    }
    for missing in &block.missing {
        desk.ui.toned(Tone::Dim, &format!("    not worked out: {missing}"))?;
    }
    Ok(())
}

fn block_json(phase: Phase, block: &Block) -> Value {
    let figures: Vec<_> = block
        .figures
        .iter()
        .map(|shown| {
            json!({
                "key": shown.key,
                "name": shown.name,
                "amount": json::amount(shown.amount),
                "formula": shown.formula,
            })
        })
        .collect();
    let verdicts: Vec<_> = block
        .verdicts
        .iter()
        .map(|own| json!({ "key": own.key, "label": own.label, "sentence": own.sentence }))
        .collect();
    json!({ "phase": phase.key(), "figures": figures, "verdicts": verdicts, "missing": block.missing })
}
