//! Random evidence of every kind.

use client_core::record::body::{
    Adjustment, Advisory, Area, Body, Bump, Calibration, CatalogueLine, Check, Claim, Closing,
    Condition, Crew, DoubleMark, Event, Exception, Finding, GasPart, Instrument, Kind, Labour,
    Lock, Member, Part, Photo, Position, Query, Reading, Reopen, Reply, Repoint, Roster, Symptom,
    Target, TextRead, Vouch, Work,
};
use client_core::record::code::unit::UnitCode;
use client_core::record::code::{
    AdvisorySeverity, CheckItem, CheckResult, Confidence, CrewEvent, Gas, GasPartKind,
    InstrumentKind, LabourKind, LockState, Phase, Quantity, Stage, System, TargetSource, WorkKind,
};
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::id::{ActorHalf, ApplianceId, EntryId, PersonId};
use client_core::record::value::{Day, Figure, Measured};

use super::Seeded;
use super::deed::{Look, ack};

const WORDS: [&str; 16] = [
    "rod",
    "salt",
    "spring",
    "rust",
    "gasket",
    "north bay",
    "soot",
    "igniter",
    "lint",
    "drip leg",
    "hood",
    "rattle",
    "dämpfer",
    "tür",
    "clean",
    "wet",
];

/// A word or two.
pub fn words(random: &mut Seeded) -> String {
    let one = WORDS[random.index(WORDS.len())];
    match random.percent(40) {
        true => format!("{one} {}", WORDS[random.index(WORDS.len())]),
        false => one.to_owned(),
    }
}

fn figure(random: &mut Seeded) -> Figure {
    let mantissa = i64::try_from(300 + random.below(100)).unwrap_or(300);
    Figure::new(mantissa, 2, UnitCode(1))
}

macro_rules! one {
    ($list:ident, $random:expr) => {
        $list::ALL[$random.index($list::ALL.len())]
    };
}

fn somebody(look: &Look, random: &mut Seeded) -> EntryId {
    let nobody = EntryId { actor: ActorHalf([9; 8]), n: 1 };
    look.any(random, &[]).unwrap_or(nobody)
}

/// A reading.
pub(super) fn reading(look: &Look, random: &mut Seeded) -> Reading {
    let value = match random.below(10) {
        0 => Measured::OverRange(UnitCode(1)),
        1 => Measured::NotTaken(words(random)),
        _ => Measured::Figure(figure(random)),
    };
    let quantity = match random.percent(60) {
        true => Quantity::ManifoldHigh,
        false => one!(Quantity, random),
    };
    let mut reading = Reading::new(quantity, value, one!(Phase, random));
    if random.percent(20) {
        reading.condition = Some(Condition { stage: Some(Stage::High), ..Condition::default() });
        reading.instrument = look.any(random, &[Kind::Instrument]);
        reading.note = Some(words(random));
    }
    reading
}

/// A target.
pub(super) fn target(random: &mut Seeded) -> Target {
    Target {
        quantity: one!(Quantity, random),
        least: Some(figure(random)),
        most: None,
        aim: None,
        stage: None,
        gas: Some(Gas::Natural),
        altitude: None,
        source: TargetSource::Booklet,
        valid_from: None,
        page: None,
        answer: None,
        air_free: None,
    }
}

/// An appliance on the roster.
pub(super) fn roster(appliance: ApplianceId) -> Body {
    Roster { appliance, unit_no: "UH".to_owned() }.into()
}

/// Evidence that belongs into this document.
pub(super) fn body(doc: DocId, look: &Look, random: &mut Seeded) -> Body {
    if random.percent(8) {
        return anywhere(look, random);
    }
    match doc.kind {
        DocKind::Company => company(look, random),
        DocKind::Site => site(look, random),
        DocKind::Appliance(_) => unit(look, random),
        DocKind::Visit(_) => visit(look, random),
        DocKind::Sheet(..) => sheet(look, random),
    }
}

fn anywhere(look: &Look, random: &mut Seeded) -> Body {
    let id = somebody(look, random);
    match random.below(5) {
        0 => TextRead { note: id, reason: None }.into(),
        1 => {
            let other = somebody(look, random);
            DoubleMark { keep: id, other, same: random.percent(50), reason: words(random) }.into()
        }
        2 => {
            let (from, to) = (ApplianceId([1; 8]), ApplianceId([2; 8]));
            Repoint { entries: vec![id], from, to, reason: words(random) }.into()
        }
        3 => Vouch { actor: ActorHalf([8; 8]), up_to: 3, reason: words(random) }.into(),
        _ => Member {
            set: "wishes".to_owned(),
            of: None,
            text: Some(words(random)),
            person: None,
            replaces: None,
        }
        .into(),
    }
}

fn company(look: &Look, random: &mut Seeded) -> Body {
    let instrument = somebody(look, random);
    match random.below(4) {
        0 => Instrument { kind: one!(InstrumentKind, random), label: words(random), serial: None }
            .into(),
        1 => {
            let (done, due) = (Day(20_300), Some(Day(20_600)));
            Calibration { instrument, done, due, by_whom: None, result: None }.into()
        }
        2 => Bump { instrument, with: words(random), result: words(random), visit: None }.into(),
        _ => CatalogueLine { part: words(random), code: None, counted_in: None }.into(),
    }
}

fn site(look: &Look, random: &mut Seeded) -> Body {
    match random.below(2) {
        0 => Area { label: words(random) }.into(),
        _ => Position { label: words(random), area: look.any(random, &[Kind::Area]) }.into(),
    }
}

fn unit(look: &Look, random: &mut Seeded) -> Body {
    match random.below(6) {
        0 => Advisory {
            severity: one!(AdvisorySeverity, random),
            text: words(random),
            due: Some(Day(20_400)),
            visit: None,
        }
        .into(),
        1 => ack(somebody(look, random), random).into(),
        2 => {
            let advisory = somebody(look, random);
            Closing { advisory, text: words(random), evidence: None }.into()
        }
        3 => Lock {
            point: words(random),
            state: one!(LockState, random),
            number: None,
            takes_off: look.any(random, &[Kind::Lock]),
            visit: None,
        }
        .into(),
        4 => target(random).into(),
        _ => Event {
            kind: "moved".to_owned(),
            text: words(random),
            day: None,
            month_only: None,
            by_whom: None,
            continues: None,
        }
        .into(),
    }
}

fn visit(look: &Look, random: &mut Seeded) -> Body {
    let id = somebody(look, random);
    let person = PersonId([3; 8]);
    match random.below(6) {
        0 | 1 => {
            let (minutes, kind) = (30, one!(LabourKind, random));
            Labour { person, minutes, start: None, kind, note: None }.into()
        }
        2 => Crew { person, event: one!(CrewEvent, random) }.into(),
        3 => Query { text: words(random), appliance: None, about: Some(id), to: None }.into(),
        4 => Reply { query: id, text: words(random) }.into(),
        _ => match random.percent(50) {
            true => Reopen { sign_off: id, reason: words(random) }.into(),
            false => Exception { blocker: words(random), reason: words(random) }.into(),
        },
    }
}

fn sheet(look: &Look, random: &mut Seeded) -> Body {
    match random.below(14) {
        0..=5 => reading(look, random).into(),
        6 | 7 => Check {
            item: one!(CheckItem, random),
            result: one!(CheckResult, random),
            note: None,
            corrects: None,
        }
        .into(),
        8 => Finding {
            cause: "dirty_flame_rod".to_owned(),
            text: Some(words(random)),
            phase: one!(Phase, random),
            confidence: Some(Confidence::Likely),
            evidence: None,
            symptom: None,
        }
        .into(),
        9 => Work {
            kind: one!(WorkKind, random),
            text: Some(words(random)),
            finding: look.any(random, &[Kind::Finding]),
            touched: vec![one!(System, random)],
            minutes: Some(20),
        }
        .into(),
        10 => {
            let (before, after) = (Some(figure(random)), figure(random));
            let quantity = Quantity::ManifoldHigh;
            Adjustment { quantity, before, after, finding: None, note: None }.into()
        }
        11 => parts(random),
        12 => Symptom { symptom: "no_heat".to_owned(), text: Some(words(random)) }.into(),
        _ => Claim { here: random.percent(50) }.into(),
    }
}

fn parts(random: &mut Seeded) -> Body {
    match random.below(3) {
        0 => GasPart {
            part: one!(GasPartKind, random),
            marking: words(random),
            count: 1,
            for_gas: one!(Gas, random),
            phase: one!(Phase, random),
            photo: None,
            note: None,
        }
        .into(),
        1 => Part {
            part: words(random),
            number: None,
            for_gas: None,
            rating: None,
            quantity: Figure::new(1, 0, UnitCode(1)),
            source: None,
            old: None,
            note: None,
        }
        .into(),
        _ => {
            let mut hash = vec![0; 32];
            random.fill(&mut hash);
            Photo { hash, subject: words(random), phase: None, size: None, of: None, small: None }
                .into()
        }
    }
}
