//! `exchange`: send what is unsent, take in what is new.

use client_core::device::{Report, Wish};
use client_core::exchange::frame::PATH;
use client_core::exchange::talk::{Next, Talk};
use client_core::present::Names as _;
use client_core::record::doc::Presence;
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::mark::CLOCK_SHOWN_S;
use serde_json::json;

use crate::book::{self, Book};
use crate::carry::{Moved, carry};
use crate::desk::Desk;
use crate::error::Trouble;
use crate::ui::{Tone, counted};
use crate::wire::{Answer, Wire};

/// Exchange with the hub: what is unsent goes up, what is new comes down
///
/// Stopped in the middle, it goes on where it was the next time.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// Also fetch this whole: a visit, a unit with its history, or a document's id
    #[arg(long, value_name = "DOC/VISIT/UNIT")]
    whole: Vec<String>,
}

/// What an exchange took.
#[derive(Clone, Copy, Debug, Default)]
struct Trip {
    rounds: u32,
    up: usize,
    down: usize,
    stuck: bool,
    pictures: Moved,
}

/// The body of an answer that is one.
pub(crate) fn body(answer: Answer) -> Result<Vec<u8>, Trouble> {
    if answer.status == 200 {
        return Ok(answer.body);
    }
    let words: String = String::from_utf8_lossy(&answer.body).chars().take(400).collect();
    let words = words.trim();
    let words = match (words.is_empty(), answer.status) {
        (false, _) => words.to_owned(),
        (true, 404) => "there is no hub at this address".to_owned(),
        (true, status) => format!("it answered with status {status} and no words"),
    };
    Err(Trouble::Hub { status: answer.status, words })
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let mut wanted = wanted(desk, &args.whole)?;
    let address = desk.device()?.identity().address.clone();
    let mut wire = desk.wire(&address)?;
    let mut report = Report::default();
    let mut trip = Trip::default();
    loop {
        talk(desk, wire.as_mut(), wanted.clone(), &mut report, &mut trip)?;
        // The hub answers as many whole documents as a page holds; the rest is asked for again.
        let before = wanted.len();
        wanted = missing(desk, wanted)?;
        if wanted.is_empty() || wanted.len() == before || trip.stuck {
            break;
        }
    }
    desk.device()?.want_photos_of(&report)?;
    match carry(desk, wire.as_mut()) {
        Ok(moved) => trip.pictures = moved,
        Err(Trouble::Pipe) => return Err(Trouble::Pipe),
        // The record is through; pictures are tried again with the next exchange.
        Err(wrong) => {
            let says = format!("pictures did not all go: {wrong}; they are tried again");
            desk.ui.talk(Tone::Look, &says);
        }
    }
    say(desk, &report, trip, &wanted)?;
    match (trip.stuck, report.wrong.first()) {
        (false, None) => Ok(()),
        (true, None) => Err(Trouble::State(
            "nothing moved any more; what is left is tried at the next exchange".to_owned(),
        )),
        (_, Some(_)) => Err(Trouble::State(
            "part of the answer was not taken; the rest was, and it is asked for again".to_owned(),
        )),
    }
}

fn talk(
    desk: &mut Desk<'_>,
    wire: &mut dyn Wire,
    wanted: Vec<DocId>,
    report: &mut Report,
    trip: &mut Trip,
) -> Result<(), Trouble> {
    let mut talk = Talk::new(wanted);
    loop {
        let now = desk.now();
        let wish = Wish { clock: now.secs, today: now.day().0 };
        let request = desk.device()?.request(&mut talk, wish)?;
        trip.up += request.len();
        let reply = body(wire.post(PATH, &request)?)?;
        trip.down += reply.len();
        trip.rounds += 1;
        let clock = desk.now().secs;
        let echoed = report.echoed;
        let next = desk.device()?.hear(&mut talk, clock, &reply, report)?;
        let left = if report.left > 0 { format!(", about {} to come", report.left) } else { String::new() };
        let come = format!(
            "round {}: {} sent, {} taken in, {} rows, {} whole{left}",
            trip.rounds, report.changes_up, report.changes_down, report.rows, report.wholes
        );
        desk.ui.progress(&come);
        match next {
            // A device that was revoked is told nothing more: there is nothing to wait for.
            Next::Again if report.revoked.is_some() && report.echoed == echoed => return Ok(()),
            Next::Again => {}
            Next::Done => return Ok(()),
            Next::Stuck => {
                trip.stuck = true;
                return Ok(());
            }
        }
    }
}

/// Documents that were asked for whole and are not here whole.
fn missing(desk: &mut Desk<'_>, wanted: Vec<DocId>) -> Result<Vec<DocId>, Trouble> {
    let mut left = vec![];
    for doc in wanted {
        if desk.device()?.presence(doc)? != Some(Presence::Whole) {
            left.push(doc);
        }
    }
    Ok(left)
}

/// Documents behind what was named.
fn wanted(desk: &mut Desk<'_>, typed: &[String]) -> Result<Vec<DocId>, Trouble> {
    let mut docs: Vec<DocId> = vec![];
    if typed.is_empty() {
        return Ok(docs);
    }
    let book = desk.book()?;
    for name in typed {
        if let Ok(doc) = name.parse::<DocId>() {
            docs.push(doc);
            continue;
        }
        let device = desk.device()?;
        if let Ok((site, visit)) = book::find_visit(device, &book, None, name) {
            docs.push(DocId::new(site, DocKind::Visit(visit)));
            for sheet in device.sheets(site, visit)? {
                docs.push(DocId::new(site, DocKind::Sheet(visit, sheet.id)));
                docs.push(DocId::new(site, DocKind::Appliance(sheet.id)));
            }
        } else {
            let (site, unit) = book.find_unit(None, name).map_err(|_| {
                Trouble::State(format!("neither a visit, a unit nor a document is called '{name}'"))
            })?;
            docs.push(DocId::new(site, DocKind::Appliance(unit)));
            for listed in device.history(site, unit)? {
                docs.push(DocId::new(site, DocKind::Sheet(listed.id, unit)));
            }
        }
    }
    docs.sort();
    docs.dedup();
    Ok(docs)
}

fn say(
    desk: &mut Desk<'_>,
    report: &Report,
    trip: Trip,
    missing: &[DocId],
) -> Result<(), Trouble> {
    let book = desk.book()?;
    let news = news(&book, report);
    let mut unsent = (0, 0);
    for (site, _) in &book.sites {
        let own = desk.device()?.unsent(*site)?;
        unsent = (unsent.0 + own.changes, unsent.1 + own.deliveries);
    }
    let quarantined = desk.device()?.quarantine()?.len();
    if desk.ui.manners.json {
        let news: Vec<_> = news
            .iter()
            .map(|(name, entries, docs)| json!({ "person": name, "entries": entries, "documents": docs }))
            .collect();
        let value = json!({
            "round_trips": trip.rounds,
            "bytes_up": trip.up,
            "bytes_down": trip.down,
            "sent_changes": report.changes_up,
            "sent_deliveries": report.echoed,
            "taken_changes": report.changes_down,
            "taken_deliveries": report.taken,
            "pictures_sent": trip.pictures.up,
            "pictures_taken": trip.pictures.down,
            "rows": report.rows,
            "whole_documents": report.wholes,
            "refused": report.refused,
            "news": news,
            "unsent_changes": unsent.0,
            "unsent_deliveries": unsent.1,
            "quarantined": quarantined,
            "clock_ahead_s": report.ahead_s,
            "revoked": report.revoked,
            "sites_gone": report.gone.iter().map(ToString::to_string).collect::<Vec<_>>(),
            "not_here": missing.iter().map(ToString::to_string).collect::<Vec<_>>(),
            "wrong": report.wrong.iter().map(ToString::to_string).collect::<Vec<_>>(),
        });
        return desk.ui.json(&value);
    }
    let trips = if trip.rounds == 1 { "round trip" } else { "round trips" };
    desk.ui.line(&format!(
        "sent {} entries of the hand, took in {}; {} {trips}, {} bytes up, {} bytes down",
        report.changes_up, report.changes_down, trip.rounds, trip.up, trip.down
    ))?;
    if report.rows + u64::from(report.wholes) > 0 {
        let says = format!("{} rows and {} whole documents", report.rows, report.wholes);
        desk.ui.line(&says)?;
    }
    if trip.pictures != Moved::default() {
        let says = format!("pictures: {} sent, {} taken", trip.pictures.up, trip.pictures.down);
        desk.ui.line(&says)?;
    }
    for (name, entries, docs) in &news {
        desk.ui.line(&format!("new from {name}: {} in {}", counted(entries, "entry", "entries"), counted(docs, "document", "documents")))?;
    }
    if unsent.0 + unsent.1 > 0 {
        let says = format!("unsent: {}, {}", counted(unsent.0, "change", "changes"), counted(unsent.1, "delivery", "deliveries"));
        desk.ui.toned(Tone::Look, &says)?;
    }
    warnings(desk, report, quarantined, missing);
    Ok(())
}

fn news(book: &Book, report: &Report) -> Vec<(String, u32, usize)> {
    let mut people: std::collections::BTreeMap<_, (u32, usize)> = std::collections::BTreeMap::new();
    for ((person, _), entries) in &report.news.entries {
        let own = people.entry(*person).or_default();
        own.0 += entries;
        own.1 += 1;
    }
    people.into_iter().map(|(person, (entries, docs))| (book.person(person), entries, docs)).collect()
}

fn warnings(desk: &mut Desk<'_>, report: &Report, quarantined: usize, missing: &[DocId]) {
    if let Some(ahead) = report.ahead_s.filter(|ahead| ahead.abs() > CLOCK_SHOWN_S) {
        let way = if ahead < 0 { "behind" } else { "ahead of" };
        let minutes = ahead.unsigned_abs().div_ceil(60);
        let says = format!(
            "this device's clock is {minutes} min {way} the hub's; entries keep the clock they were made \
             by, set it right for the next ones"
        );
        desk.ui.talk(Tone::Look, &says);
    }
    if quarantined > 0 {
        let says = format!("in quarantine: {}; see dripleg quarantine", counted(quarantined, "change", "changes"));
        desk.ui.talk(Tone::Look, &says);
    }
    if let Some(why) = &report.revoked {
        let says = format!(
            "this device may not write any more: {why}; what it sends waits for a supervisor"
        );
        desk.ui.talk(Tone::Stop, &says);
    }
    for site in &report.gone {
        let says = format!("site {} is not this device's any more", site.short());
        desk.ui.talk(Tone::Look, &says);
    }
    for doc in missing {
        desk.ui.talk(Tone::Look, &format!("the hub has no {doc}, or does not give it to this device"));
    }
    for wrong in &report.wrong {
        desk.ui.talk(Tone::Stop, &wrong.to_string());
    }
}
