//! `review`: what a supervisor has to look at, in the order in which it has to be looked at.

use client_core::present::Names as _;
use client_core::present::say::short;
use client_core::record::body::Body;
use client_core::record::code::{Role, Status};
use client_core::record::contradiction::Contradiction;
use client_core::record::derived::block::Judged;
use reports::Firm;
use reports::difference::Difference;
use reports::gather::Gatherer;
use reports::unit_facts::UnitFacts;
use reports::visit::VisitRecord;
use serde_json::json;

use crate::args::At;
use crate::book::Book;
use crate::desk::Desk;
use crate::error::Trouble;
use crate::ui::Tone;

/// Show what waits for a supervisor: visits to sign, or one visit with --visit
///
/// One visit stands in the order of its weight: shut down or unsettled; two answers, the oldest first;
/// figures outside as left; figures as left that are missing; instruments past due; parts that may be
/// entered twice; questions; what moved since the last sign-off. Each item says the command that acts on
/// it. `dripleg report visit` has the whole record.
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(flatten)]
    at: At,
}

/// A group of the queue: what it is, and its items with the command that acts on each.
struct Group {
    key: &'static str,
    title: &'static str,
    items: Vec<(String, String)>,
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    if args.at.visit.is_none() && args.at.site.is_none() && desk.here().is_none() {
        return waiting(desk);
    }
    let place = desk.place(&args.at)?;
    let mut gatherer = Gatherer::new(desk.device()?, Firm::default())?;
    let record = gatherer.record(place.site, place.visit)?;
    let groups = groups(&place.book, &record);
    if desk.ui.manners.json {
        let list: Vec<_> = groups
            .iter()
            .map(|group| {
                let items = group.items.iter();
                json!({
                    "group": group.key,
                    "items": items.map(|(says, act)| json!({ "says": says, "act": act })).collect::<Vec<_>>(),
                })
            })
            .collect();
        return desk.ui.json(&json!(list));
    }
    if groups.iter().all(|group| group.items.is_empty()) {
        return desk.ui.line("nothing waits; sign it with `dripleg sign`");
    }
    for group in groups.iter().filter(|group| !group.items.is_empty()) {
        desk.ui.toned(Tone::Head, &format!("{}, {}", group.title, group.items.len()))?;
        for (says, act) in &group.items {
            desk.ui.line(&format!("  {says}"))?;
            if !act.is_empty() {
                desk.ui.toned(Tone::Dim, &format!("      {act}"))?;
            }
        }
    }
    Ok(())
}

/// Visits that no supervisor has signed, newest first.
fn waiting(desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let book = desk.book()?;
    let mut found = vec![];
    for (site, _) in &book.sites {
        for listed in desk.device()?.visits(*site)? {
            let signed = listed.row.signed.iter().any(|own| own.role == Role::Supervisor);
            if !signed && listed.row.entries > 0 {
                found.push((*site, listed));
            }
        }
    }
    found.sort_by_key(|(_, listed)| std::cmp::Reverse(listed.row.day));
    if desk.ui.manners.json {
        let list: Vec<_> = found
            .iter()
            .map(|(site, listed)| {
                json!({
                    "site": book.site(*site),
                    "visit": listed.id.to_string(),
                    "day": listed.row.day.map(|day| day.to_string()),
                    "units": listed.row.units,
                    "done": listed.row.done,
                    "contradictions": listed.row.contradictions,
                })
            })
            .collect();
        return desk.ui.json(&json!(list));
    }
    if found.is_empty() {
        return desk.ui.line("no visit waits for a supervisor's signature");
    }
    let rows: Vec<Vec<String>> = found
        .iter()
        .map(|(site, listed)| {
            let row = &listed.row;
            let day = row.day.map_or_else(|| "no day".to_owned(), |day| day.to_string());
            let two = match row.contradictions {
                0 => "-".to_owned(),
                count => count.to_string(),
            };
            vec![day, format!("{} of {}", row.done, row.units), two, book.site(*site)]
        })
        .collect();
    desk.ui.table(&["day", "units done", "two answers", "site"], &rows)?;
    desk.ui.toned(Tone::Dim, "one of them: dripleg review --visit DAY")
}

fn groups(book: &Book, record: &VisitRecord) -> Vec<Group> {
    let open = || record.differences.iter().filter(|own| own.settled.is_none());
    let double = |own: &&Difference| matches!(own.about, Contradiction::Double { .. });
    let units = || record.units.iter().filter(|unit| unit.stands());
    vec![
        Group {
            key: "shut_down_or_unsettled",
            title: "shut down or unsettled",
            items: units().filter_map(shut_down).chain(record.blockers.iter().map(|own| {
                let act = match &own.excepted {
                    Some(reason) => format!("excepted: {reason}"),
                    None => format!("dripleg except {} --because REASON", own.key),
                };
                (own.says.clone(), act)
            })).collect(),
        },
        Group {
            key: "two_answers",
            title: "two answers",
            items: open().filter(|own| !double(own)).map(|own| differs(book, own)).collect(),
        },
        Group {
            key: "outside_as_left",
            title: "outside or too close to tell, as left",
            items: units().flat_map(|unit| unit.left.verdicts.iter().filter_map(|one| outside(unit, one))).collect(),
        },
        Group {
            key: "as_left_missing",
            title: "not measured as left, or not opened",
            items: units().filter_map(missing).collect(),
        },
        Group {
            key: "instruments_overdue",
            title: "instruments past due on the day",
            items: record
                .overdue
                .iter()
                .map(|own| {
                    let name = book.entry(own.instrument).unwrap_or_else(|| short(own.instrument));
                    let says = format!("{name}, due {}: {} readings", own.since, own.readings);
                    (says, "its readings stand with their wider doubt".to_owned())
                })
                .collect(),
        },
        Group {
            key: "parts_double",
            title: "parts that may be entered twice",
            items: open().filter(double).map(|own| differs(book, own)).collect(),
        },
        Group {
            key: "questions",
            title: "questions to manufacturers, open",
            items: units().flat_map(|unit| questions(book, unit)).collect(),
        },
        Group {
            key: "moved_since_signed",
            title: "moved since the last sign-off",
            items: record
                .moved
                .iter()
                .flatten()
                .map(|own| {
                    let why = if own.by_formula() { ", by another formula" } else { "" };
                    (format!("{} {}{why}", book.unit(own.signed.appliance), own.signed.key), String::new())
                })
                .collect(),
        },
    ]
}

fn shut_down(unit: &UnitFacts) -> Option<(String, String)> {
    let tag = unit.tag.as_ref();
    let shut = tag.is_some() || matches!(unit.status, Status::ShutDownTagged);
    let act = || format!("dripleg show unit {}; released with `dripleg release`", unit.no);
    let why = tag.map_or("no tag stands", |own| own.tag.reason.as_str());
    if shut {
        return Some((format!("{}: shut down, {why}", unit.no), act()));
    }
    (!unit.status_settled).then(|| {
        (format!("{}: status not settled", unit.no), format!("dripleg settle unit/status VALUE --unit {}", unit.no))
    })
}

fn differs(book: &Book, own: &Difference) -> (String, String) {
    let unit = own.unit.map(|unit| book.unit(unit));
    let people: Vec<String> =
        own.sides.iter().filter_map(|side| side.person).map(|person| book.person(person)).collect();
    let says = format!(
        "{}{}: {}",
        unit.as_ref().map(|unit| format!("{unit} ")).unwrap_or_default(),
        own.key,
        people.join(" and ")
    );
    let unit = unit.map(|unit| format!(" --unit {unit}")).unwrap_or_default();
    (says, format!("dripleg contradictions; dripleg settle {} VALUE{unit} --because REASON", own.key))
}

fn outside(unit: &UnitFacts, judged: &Judged) -> Option<(String, String)> {
    let look = matches!(judged.label, "outside" | "too close to call");
    look.then(|| (format!("{}: {}", unit.no, judged.sentence), String::new()))
}

fn missing(unit: &UnitFacts) -> Option<(String, String)> {
    let worked = unit.work().next().is_some();
    if worked && !unit.read_in(client_core::record::code::Phase::AsLeft) {
        let act = format!("dripleg query \"{}: as left?\" --unit {}", unit.no, unit.no);
        return Some((format!("{}: worked on, nothing measured as left", unit.no), act));
    }
    (!unit.opened()).then(|| (format!("{}: not opened", unit.no), String::new()))
}

fn questions(book: &Book, unit: &UnitFacts) -> Vec<(String, String)> {
    let answered = |asked| {
        unit.own.iter().any(|told| {
            told.counts && matches!(&told.body, Body::Answer(answer) if answer.question == asked)
        })
    };
    let asked = unit.own.iter().filter(|told| told.counts && !answered(told.id));
    asked
        .filter_map(|told| match &told.body {
            Body::Question(question) => Some((
                format!("{}: {} ({})", unit.no, question.asked, book.person(told.person)),
                format!("dripleg answer {} {} TEXT", unit.no, short(told.id)),
            )),
            _ => None,
        })
        .collect()
}
