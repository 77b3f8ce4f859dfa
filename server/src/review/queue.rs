//! What a supervisor looks at in a visit, in order: what is shut down or unsettled first, everything that
//! is in order last.

use client_core::present::Names as _;
use client_core::record::body::{Body, Kind};
use client_core::record::code::{Phase, Quantity};
use client_core::record::contradiction::Contradiction;
use client_core::record::derived::block::{Judgement, block};
use client_core::record::derived::signed::since_last;
use client_core::record::file::{UnitInVisit, VisitFile};
use client_core::record::id::ApplianceId;
use client_core::record::instrument::calibration_on;
use client_core::record::mark::is_work;
use client_core::trade::uncertainty::Calibration;
use client_core::trade::verdict::Verdict;
use serde::Serialize;
use utoipa::ToSchema;

use super::difference::{Difference, in_visit};
use super::{Book, Named};

/// The groups, in the order in which they are looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum Group {
    /// Shut down, or a safety word with two answers.
    Safety,
    /// Flags of the join.
    Join,
    /// Left outside the limits entered.
    Outside,
    /// The left block is missing.
    LeftMissing,
    /// Instruments past their date.
    Instruments,
    /// Lines perhaps entered twice.
    Doubles,
    /// Questions to manufacturers.
    Questions,
    /// Changes since the last sign-off.
    SinceSigned,
}

impl Group {
    /// All groups, in order.
    pub const ALL: [Group; 8] = [
        Group::Safety,
        Group::Join,
        Group::Outside,
        Group::LeftMissing,
        Group::Instruments,
        Group::Doubles,
        Group::Questions,
        Group::SinceSigned,
    ];

    /// What the group is called.
    pub const fn says(self) -> &'static str {
        match self {
            Group::Safety => "Shut down, or a safety word with two answers",
            Group::Join => "Two answers from joining the devices, oldest first",
            Group::Outside => "Left outside the limits entered",
            Group::LeftMissing => "Left block missing",
            Group::Instruments => "Instruments past their date",
            Group::Doubles => "Lines perhaps entered twice",
            Group::Questions => "Questions to manufacturers",
            Group::SinceSigned => "Changes since the last sign-off",
        }
    }
}

/// One thing to look at.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct Item {
    /// Its group.
    pub group: Group,
    /// The unit.
    pub unit: Option<Named>,
    /// What it is.
    pub what: String,
    /// More words: the limit with its source, the reason.
    pub more: Vec<String>,
    /// Two answers, where that is what it is.
    pub difference: Option<Difference>,
}

/// Everything to look at, in order.
pub fn queue(file: &VisitFile<'_>, book: &Book) -> Vec<Item> {
    let mut items = vec![];
    for unit in &file.units {
        shut_down(unit, book, &mut items);
    }
    for one in file.contradictions() {
        let difference = in_visit(file, &one, book);
        let group = match &one {
            Contradiction::Double { .. } => Group::Doubles,
            Contradiction::Late { .. } => Group::SinceSigned,
            _ if difference.cautious => Group::Safety,
            _ => Group::Join,
        };
        items.push(Item {
            group,
            unit: difference.unit.clone(),
            what: difference.about.clone(),
            more: vec![difference.governs.clone()],
            difference: Some(difference),
        });
    }
    for unit in &file.units {
        outside(file, unit, book, &mut items);
        left_missing(unit, book, &mut items);
        questions(unit, book, &mut items);
    }
    instruments(file, book, &mut items);
    moved(file, book, &mut items);
    items.sort_by_key(|item| item.group);
    items
}

/// A unit that was taken off the roster although there is evidence for it.
pub fn removed(difference: Difference) -> Item {
    Item {
        group: Group::Join,
        unit: difference.unit.clone(),
        what: difference.about.clone(),
        more: vec![difference.governs.clone()],
        difference: Some(difference),
    }
}

fn item(group: Group, unit: Option<ApplianceId>, what: String, book: &Book) -> Item {
    let unit = unit.map(|unit| book.named_unit(unit));
    Item { group, unit, what, more: vec![], difference: None }
}

fn shut_down(unit: &UnitInVisit<'_>, book: &Book, items: &mut Vec<Item>) {
    let Some(tag) = unit.tag_in_force() else { return };
    let Body::Tag(record) = &tag.body else { return };
    let told = match &record.customer_told {
        Some(told) => format!("told {told}"),
        None => "nobody at the customer's told in this record".to_owned(),
    };
    let mut one = item(Group::Safety, Some(unit.appliance), "shut down".to_owned(), book);
    one.more = vec![record.reason.clone(), told];
    one.more.extend(record.release_when.as_ref().map(|when| format!("release when {when}")));
    items.push(one);
}

fn outside(file: &VisitFile<'_>, unit: &UnitInVisit<'_>, book: &Book, items: &mut Vec<Item>) {
    let block = block(file, unit, Phase::AsLeft);
    for judged in &block.verdicts {
        let outside = match &judged.judgement {
            Judgement::Against { verdict, .. } => {
                matches!(verdict, Verdict::OutsideBy { .. } | Verdict::TooCloseToCall { .. })
            }
            Judgement::CarbonMonoxide(_) | Judgement::NoTarget => false,
        };
        if outside {
            let says = judged.sentence.clone();
            items.push(item(Group::Outside, Some(unit.appliance), says, book));
        }
    }
}

fn left_missing(unit: &UnitInVisit<'_>, book: &Book, items: &mut Vec<Item>) {
    let Some(sheet) = &unit.sheet else { return };
    let phase = |wanted: Phase| {
        sheet
            .read
            .counted(Kind::Reading)
            .any(|entry| matches!(&entry.body, Body::Reading(reading) if reading.phase == wanted))
    };
    let worked = sheet.read.entries.iter().any(|entry| entry.counts() && is_work(entry));
    if (phase(Phase::AsFound) || worked) && !phase(Phase::AsLeft) {
        let why = if unit.tag_in_force().is_some() {
            "no reading as left; the unit is shut down"
        } else if worked {
            "work was entered and no reading as left"
        } else {
            "found was read and nothing as left"
        };
        items.push(item(Group::LeftMissing, Some(unit.appliance), why.to_owned(), book));
    }
}

fn questions(unit: &UnitInVisit<'_>, book: &Book, items: &mut Vec<Item>) {
    let Some(own) = &unit.unit else { return };
    for entry in own.read.counted(Kind::Question) {
        let Body::Question(question) = &entry.body else { continue };
        let answered = own.read.counted(Kind::Answer).any(
            |other| matches!(&other.body, Body::Answer(answer) if answer.question == entry.id),
        );
        let state = if answered { "answered" } else { "open" };
        let mut one = item(
            Group::Questions,
            Some(unit.appliance),
            format!("{state}: {}", question.asked),
            book,
        );
        one.more.extend(question.to.as_ref().map(|to| format!("to {to}")));
        items.push(one);
    }
}

fn instruments(file: &VisitFile<'_>, book: &Book, items: &mut Vec<Item>) {
    let Some(company) = file.company else { return };
    let mut late: std::collections::BTreeMap<_, (client_core::record::value::Day, usize)> =
        std::collections::BTreeMap::new();
    let sheets = file.units.iter().filter_map(|unit| unit.sheet.as_ref());
    for entry in sheets.flat_map(|sheet| sheet.read.counted(Kind::Reading)) {
        let Body::Reading(reading) = &entry.body else { continue };
        let Some(instrument) = reading.instrument else { continue };
        let on = entry.stamp.at().day();
        if let (Calibration::Overdue, Some(due)) = calibration_on(company, instrument, on) {
            late.entry(instrument).or_insert((due, 0)).1 += 1;
        }
    }
    for (instrument, (due, readings)) in late {
        let name = book.entry(instrument).unwrap_or_else(|| instrument.to_string());
        let says =
            format!("{name} was due {due}; {readings} readings of this visit were taken with it");
        items.push(item(Group::Instruments, None, says, book));
    }
}

fn moved(file: &VisitFile<'_>, book: &Book, items: &mut Vec<Item>) {
    let Some((_, moved)) = since_last(file) else { return };
    for one in moved {
        let figure =
            |figure: &client_core::record::body::signed::SignedFigure| figure.figure.to_string();
        let now = one.now.as_ref().map_or("not worked out any more".to_owned(), figure);
        let why = if one.by_formula() { " (another formula)" } else { "" };
        let name = one.signed.key.replace('_', " ");
        let quantity =
            Quantity::from_key(&one.signed.key).map_or(name, |own| own.says().to_owned());
        let says = format!(
            "{quantity}, {}: {} when signed, now {now}{why}",
            one.signed.phase.says(),
            figure(&one.signed)
        );
        items.push(item(Group::SinceSigned, Some(one.signed.appliance), says, book));
    }
}
