//! Workloads made of real records: what a season leaves behind, and what a day adds.

pub mod build;
pub mod child;
pub mod commit;
pub mod measure;

use client_core::device::Step;
use client_core::record::action::Action;
use client_core::record::body::{Body, Check, Claim, Condition, Finding, Part, Reading, Work};
use client_core::record::code::unit::UnitCode;
use client_core::record::code::{
    CheckItem, CheckResult, Outcome, Phase, Quantity, Running, Stage, System, WorkKind,
};
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::id::{ActorHalf, ApplianceId, EntryId, SiteId, VisitId};
use client_core::record::value::{Figure, Measured};
use client_core::trade::unit::Decimal;

use crate::world::Seeded;

/// Units of the site. Every visit sees all of them.
pub const UNITS: u64 = 20;

/// The unit of a number below [`UNITS`].
pub fn unit(number: u64) -> ApplianceId {
    ApplianceId(spread(number, 0x9e37_79b9))
}

/// The visit of a number, in order of days.
pub fn visit(number: u64) -> VisitId {
    VisitId(spread(number, 0x85eb_ca6b))
}

/// The sheet of a number: one document for each unit of each visit.
pub fn sheet(site: SiteId, number: u64) -> DocId {
    DocId::new(site, DocKind::Sheet(visit(number / UNITS), unit(number % UNITS)))
}

/// Ids are random in real life; these only have to be spread, and the same each time.
fn spread(number: u64, salt: u64) -> [u8; 8] {
    let mut id = [0; 8];
    Seeded::new(number.wrapping_add(1).wrapping_mul(salt)).fill(&mut id);
    id
}

const READ: &[(Quantity, i64, u8, i64, u16)] = &[
    (Quantity::InletFlowing, 700, 2, 20, 1),
    (Quantity::ManifoldHigh, 350, 2, 12, 1),
    (Quantity::FlameCurrent, 40, 1, 12, 48),
    (Quantity::DraftDifferential, -92, 2, 12, 1),
    (Quantity::FlueO2, 84, 1, 10, 65),
    (Quantity::FlueCo, 24, 0, 30, 66),
    (Quantity::StackTemp, 404, 0, 40, 15),
    (Quantity::CombustionAirTemp, 62, 0, 8, 15),
    (Quantity::AirIn, 61, 0, 8, 15),
    (Quantity::AirOut, 116, 0, 12, 15),
    (Quantity::AmbientCo, 1, 0, 2, 66),
];

/// One small entry, as a technician makes them: mostly readings, then checks, findings, work, parts.
pub fn entry(random: &mut Seeded, instrument: EntryId) -> Action {
    match random.below(20) {
        0..=13 => {
            let (quantity, base, places, spread, unit) = READ[random.index(READ.len())];
            let wide = u64::try_from(spread * 2 + 1).unwrap_or(1);
            let step = i64::try_from(random.below(wide)).unwrap_or_default() - spread;
            let digits = Decimal::new(base + step, places);
            let value = Measured::Figure(Figure { digits, unit: UnitCode(unit) });
            let phase = if random.percent(50) { Phase::AsFound } else { Phase::AsLeft };
            let mut reading = Reading::new(quantity, value, phase);
            reading.instrument = Some(instrument);
            reading.steady_min = Some(if random.percent(50) { 10 } else { 12 });
            reading.condition = Some(Condition {
                stage: Some(Stage::High),
                fan: Some(Running::On),
                panel: Some(Running::On),
                others: Some(Running::SomeOn),
            });
            Action::Enter(vec![reading.into()])
        }
        14..=16 => {
            let item = CheckItem::ALL[random.index(8)];
            let result = CheckResult::Pass;
            Action::Enter(vec![Check { item, result, note: None, corrects: None }.into()])
        }
        17 => Action::Enter(vec![Body::Finding(Finding {
            cause: ["rod_dirty", "burner_dirty", "airflow_block"][random.index(3)].to_owned(),
            text: Some("white crust that wipes off wet".to_owned()),
            phase: Phase::AsFound,
            confidence: None,
            evidence: None,
            symptom: None,
        })]),
        18 => Action::Enter(vec![Body::Work(Work {
            kind: WorkKind::Cleaned,
            text: Some("rod and venturi washed and dried".to_owned()),
            finding: None,
            touched: vec![System::Ignition, System::Combustion],
            minutes: Some(20),
        })]),
        _ => Action::Enter(vec![Body::Part(Part {
            part: "flame rod".to_owned(),
            number: None,
            for_gas: None,
            rating: None,
            quantity: Figure::new(1, 0, UnitCode(70)),
            source: None,
            old: None,
            note: None,
        })]),
    }
}

/// What a season left in one sheet: about 147 changes, a note among them.
pub fn season(doc: DocId, random: &mut Seeded) -> Vec<Step> {
    let instrument = instrument(random);
    let mut steps = vec![
        Step::new(doc, Action::Enter(vec![Claim { here: true }.into()])),
        Step::new(
            doc,
            Action::Write {
                subject: "job".to_owned(),
                about: None,
                text: "Locks out at shift start. Crust on rod is salt, wipes off wet.".to_owned(),
            },
        ),
    ];
    steps.extend((0..144).map(|_| Step::new(doc, entry(random, instrument))));
    steps.push(Step::new(doc, Action::Close { outcome: Outcome::Done, reason: None }));
    steps
}

/// One of a few instruments.
pub fn instrument(random: &mut Seeded) -> EntryId {
    EntryId {
        actor: ActorHalf([0xc1; 8]),
        n: 1 + u32::try_from(random.below(4)).unwrap_or_default(),
    }
}
