//! The thread from a tap to a merged, signed record: two technicians, no signal, one hub.

use client_core::device::{Device, EntryState, Step};
use client_core::record::action::{Action, Setting};
use client_core::record::body::{Body, Check, Reading, Roster, SignOff};
use client_core::record::code::unit::UnitCode;
use client_core::record::code::{CheckItem, CheckResult, Phase, Quantity, Role, Status};
use client_core::record::contradiction::Contradiction;
use client_core::record::derived::signed::{since_last, to_sign};
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::field::{Field, FieldValue};
use client_core::record::id::{ApplianceId, SiteId, VisitId};
use client_core::record::stamp::Stamp;
use client_core::record::value::{Figure, Measured, Moment};
use server::hub::Hub;
use tests::world::hub::store_on;
use tests::world::{HubDisk, Joined, Seeded, enrol, exchange, hub_on};

pub(crate) const NOW: i64 = 1_760_000_000;

pub(crate) struct Three {
    pub(crate) hub: Hub,
    pub(crate) boss: Device,
    pub(crate) ilse: Device,
    pub(crate) dov: Device,
    pub(crate) site: SiteId,
}

pub(crate) fn three(seed: u64) -> Three {
    let mut random = Seeded::new(seed);
    let disk = HubDisk::default();
    let mut hub = hub_on(disk.log, disk.view, &mut random).unwrap();
    let site = SiteId([7; 8]);
    let mut join = |name: &str, role| {
        let sites = (role == Role::Technician).then(|| vec![site]);
        let who = Joined { name: name.to_owned(), person: None, role, sites };
        let store = store_on(client_core::store::MemoryBytes::default(), tests::world::hub::MANNER);
        enrol(&mut hub, store.unwrap(), &who, NOW, &mut random).unwrap()
    };
    let boss = join("Oriane", Role::Supervisor);
    let ilse = join("Ilse", Role::Technician);
    let dov = join("Dov", Role::Technician);
    Three { hub, boss, ilse, dov, site }
}

pub(crate) fn stamp(device: &Device, secs: i64) -> Stamp {
    Stamp::new(device.identity().person, Moment { secs, offset_min: -300 })
}

pub(crate) fn set(key: &str, text: &str) -> Setting {
    let field = Field::named(key);
    Setting { field, value: field.parse(text).unwrap(), reason: None }
}

pub(crate) fn manifold(hundredths: i64, phase: Phase) -> Body {
    let value = Measured::Figure(Figure::new(hundredths, 2, UnitCode(1)));
    Reading::new(Quantity::ManifoldHigh, value, phase).into()
}

pub(crate) fn check(item: CheckItem, result: CheckResult) -> Body {
    Check { item, result, note: None, corrects: None }.into()
}

const UNIT: ApplianceId = ApplianceId([1; 8]);
const VISIT: VisitId = VisitId([2; 8]);

fn docs(site: SiteId) -> (DocId, DocId, DocId, DocId) {
    (
        DocId::new(site, DocKind::Site),
        DocId::new(site, DocKind::Appliance(UNIT)),
        DocId::new(site, DocKind::Visit(VISIT)),
        DocId::new(site, DocKind::Sheet(VISIT, UNIT)),
    )
}

pub(crate) fn load_site(boss: &mut Device, site: SiteId) {
    let (site_doc, unit, head, _) = docs(site);
    let roster = Roster { appliance: UNIT, unit_no: "UH-05".to_owned() };
    let steps = [
        Step::new(
            site_doc,
            Action::Set(vec![set("site/name", "Ostrel Road"), set("site/gas_kind", "natural")]),
        ),
        Step::new(site_doc, Action::Enter(vec![roster.into()])),
        Step::new(
            unit,
            Action::Set(vec![
                set("unit/no", "UH-05"),
                set("unit/status", "in_service"),
                set("plate/input", "175"),
                set("plate/manifold_high", "3.5"),
            ]),
        ),
        Step::new(
            head,
            Action::Set(vec![set("visit/kind", "pre_season"), set("visit/day", "2025-10-09")]),
        ),
    ];
    let stamp = stamp(boss, NOW);
    boss.act(&steps, &stamp).unwrap();
}

/// The supervisor settles the status, Dov tests again, and the visit is signed.
fn settle_and_sign(hub: &mut Hub, boss: &mut Device, dov: &mut Device, site: SiteId) {
    let (_, unit, head, sheet) = docs(site);
    let settle = Action::Settle {
        field: Field::named("unit/status"),
        value: FieldValue::Word(Status::InService.code()),
        reason: "Dov looked after Ilse and found the rod dry".to_owned(),
        evidence: vec![],
    };
    let by = stamp(boss, NOW + 300);
    boss.act(&[Step::new(unit, settle)], &by).unwrap();
    let by = stamp(dov, NOW + 310);
    let retest = vec![
        check(CheckItem::Spill, CheckResult::Pass),
        check(CheckItem::PortsClosed, CheckResult::Pass),
        manifold(351, Phase::AsFound),
    ];
    dov.act(&[Step::new(sheet, Action::Enter(retest))], &by).unwrap();
    exchange(dov, hub, NOW + 320, NOW + 320, vec![]).unwrap();
    exchange(boss, hub, NOW + 330, NOW + 330, vec![]).unwrap();
    let (docs, shown) = {
        let opened = boss.open_visit(site, VISIT).unwrap();
        let file = opened.file();
        assert_eq!(file.contradictions(), []);
        let blockers: Vec<String> = file.blockers().into_iter().map(|one| one.key).collect();
        assert_eq!(blockers, Vec::<String>::new());
        (file.to_sign(), to_sign(&file))
    };
    let by = stamp(boss, NOW + 340);
    let sign = SignOff { role: Role::Supervisor, docs, statement: None, shown, drawn: None };
    boss.act(&[Step::new(head, Action::SignOff(sign))], &by).unwrap();
    exchange(boss, hub, NOW + 350, NOW + 350, vec![]).unwrap();
}

#[test]
fn two_halves_join_and_are_signed() {
    let Three { mut hub, mut boss, mut ilse, mut dov, site } = three(1);
    load_site(&mut boss, site);
    let (_, unit, _, sheet) = docs(site);
    let up = exchange(&mut boss, &mut hub, NOW, NOW, vec![]).unwrap();
    assert_eq!((up.report.echoed, up.report.wrong.len()), (1, 0), "{:?}", up.report);
    for device in [&mut ilse, &mut dov] {
        let trip = exchange(device, &mut hub, NOW, NOW, vec![]).unwrap();
        assert!(trip.report.wrong.is_empty() && !trip.stuck, "{:?}", trip.report);
        assert_eq!(device.units(site).unwrap()[0].row.unit_no, "UH-05");
    }

    // No signal: each works on the same unit without the other.
    let found = Action::Enter(vec![
        manifold(350, Phase::AsFound),
        check(CheckItem::Spill, CheckResult::Pass),
    ]);
    let by = stamp(&ilse, NOW + 100);
    let saved = ilse.act(&[Step::new(sheet, found)], &by).unwrap();
    assert_eq!(ilse.state_of(sheet, saved[0].entries[0]).unwrap(), EntryState::Here);
    let by = stamp(&dov, NOW + 130);
    let other = Action::Enter(vec![
        manifold(368, Phase::AsFound),
        check(CheckItem::Spill, CheckResult::NotDone),
    ]);
    let watch = Action::Set(vec![set("unit/status", "watch")]);
    dov.act(&[Step::new(sheet, other), Step::new(unit, watch)], &by).unwrap();
    let by = stamp(&ilse, NOW + 150);
    let shut = Action::Set(vec![set("unit/status", "shut_down_tagged")]);
    ilse.act(&[Step::new(unit, shut)], &by).unwrap();

    // Back at the truck.
    let first = exchange(&mut ilse, &mut hub, NOW + 200, NOW + 200, vec![]).unwrap();
    assert_eq!((first.rounds, first.report.echoed), (1, 1), "{:?}", first.report);
    assert_eq!(ilse.state_of(sheet, saved[0].entries[0]).unwrap(), EntryState::OnHub);
    let second = exchange(&mut dov, &mut hub, NOW + 210, NOW + 210, vec![]).unwrap();
    assert_eq!(second.rounds, 1, "{:?}", second.report);
    assert_eq!(second.report.news.entries.len(), 2, "sheet and unit: {:?}", second.report.news);
    exchange(&mut ilse, &mut hub, NOW + 220, NOW + 220, vec![]).unwrap();
    exchange(&mut boss, &mut hub, NOW + 220, NOW + 220, vec![]).unwrap();

    for device in [&mut boss, &mut ilse, &mut dov] {
        let opened = device.open_visit(site, VISIT).unwrap();
        let file = opened.file();
        let keys: Vec<String> = file.contradictions().iter().map(Contradiction::key).collect();
        assert_eq!(keys, ["unit/status", "check/spill", "reading/manifold_high/as_found"]);
        assert_eq!(file.units[0].status(), Status::ShutDownTagged, "the more careful one governs");
        let visits = device.visits(site).unwrap();
        assert_eq!(visits[0].row.contradictions, 2, "a list counts those of head and sheets");
    }

    settle_and_sign(&mut hub, &mut boss, &mut dov, site);
    exchange(&mut ilse, &mut hub, NOW + 360, NOW + 360, vec![]).unwrap();
    let opened = ilse.open_visit(site, VISIT).unwrap();
    assert!(opened.file().signed().released);
    let file = opened.file();
    assert!(file.late().is_empty());
    // The sum for the heat input by the manifold was signed with its formula, and is the same here.
    let (sign_off, moved) = since_last(&file).unwrap();
    assert_eq!(moved, []);
    let Some(Body::SignOff(kept)) = file.head.read.entry(sign_off).map(|entry| &entry.body) else {
        panic!("the sign-off is an entry of the visit's head");
    };
    let kept = kept.shown.as_ref().unwrap().figures();
    let input = kept.iter().find(|one| one.key == "manifold_input").unwrap();
    assert_eq!(input.formula, "gas.square_root_input/1");
}

#[test]
fn an_idle_exchange_is_one_small_round_trip() {
    let Three { mut hub, mut boss, site, .. } = three(2);
    load_site(&mut boss, site);
    exchange(&mut boss, &mut hub, NOW, NOW, vec![]).unwrap();
    exchange(&mut boss, &mut hub, NOW, NOW, vec![]).unwrap();
    let idle = exchange(&mut boss, &mut hub, NOW + 60, NOW + 60, vec![]).unwrap();
    assert_eq!(idle.rounds, 1);
    assert!(idle.up <= 130 && idle.down <= 20, "{} up, {} down", idle.up, idle.down);
}
