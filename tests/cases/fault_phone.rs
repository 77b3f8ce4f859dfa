//! Finding the fault on the phone: from what the unit does to the finding, one tap a result, nothing typed
//! twice; and on every screen on the way nothing that the rules forbid.

use std::collections::BTreeMap;

use client_core::fault::table::{Table, TestId};
use client_core::record::body::{Body, Kind};
use client_core::record::code::{Quantity, VisitKind};
use client_core::record::id::{ApplianceId, SiteId};
use client_core::record::value::Moment;
use phone::app::App;
use phone::search;
use phone::tap::{Deed, Name, Place, Tap};
use tests::story::Player;
use tests::story::player::Who;

const SITE: SiteId = SiteId([0x0a; 8]);
/// A cold morning after the scenario.
const MORNING: i64 = 1_768_903_200;

/// A phone after the scenario, with a visit of its own begun.
struct Hand {
    app: App,
    now: i64,
    units: BTreeMap<String, ApplianceId>,
}

impl Hand {
    fn new(mut player: Player) -> Hand {
        let units = player.units.clone();
        let device = player.devices.remove(&Who::Ilse).unwrap();
        let app = App::open(device, Moment { secs: MORNING, offset_min: 0 }).unwrap();
        let mut hand = Hand { app, now: MORNING, units };
        hand.does(Deed::Begin { site: SITE, kind: VisitKind::NoHeat });
        hand
    }

    fn unit(&self, no: &str) -> ApplianceId {
        self.units[no]
    }

    fn tap(&mut self, tap: impl Into<Tap>) -> String {
        let now = Moment { secs: self.now, offset_min: 0 };
        // What a screen shows is what a finger taps: the words go round through text.
        self.app.tap(&tap.into().to_string(), BTreeMap::new(), now);
        let page = self.app.page();
        assert_eq!(self.app.state().notice, None, "{page}");
        page
    }

    fn does(&mut self, deed: Deed) -> String {
        self.tap(deed)
    }

    fn go(&mut self, place: Place) -> String {
        self.tap(place)
    }

    /// Everything in order: nothing smelled, no CO, every care met.
    fn in_order(&mut self, unit: ApplianceId) {
        self.go(Place::InOrder { unit });
        for care in ["live", "locked", "port", "firing", "height", "roof"] {
            self.does(Deed::Able { care: Name(care.to_owned()) });
        }
        self.does(Deed::NoSmell { unit });
        self.type_in(unit, Quantity::AmbientCo, "0");
    }

    fn type_in(&mut self, unit: ApplianceId, quantity: Quantity, digits: &str) -> String {
        let phase = client_core::record::code::Phase::InWork;
        self.go(Place::One { unit, phase, quantity });
        for digit in digits.bytes() {
            self.does(Deed::Digit { digit: digit - b'0' });
        }
        self.does(Deed::Next {})
    }

    /// Bodies of the unit's sheet in this visit.
    fn sheet(&mut self, unit: ApplianceId) -> Vec<(client_core::record::id::EntryId, Body)> {
        let visit = self.app.settings().visit.unwrap();
        let doc = client_core::record::doc_id::DocId::new(
            SITE,
            client_core::record::doc_id::DocKind::Sheet(visit, unit),
        );
        let papers = self.app.device_mut().read_doc(doc).unwrap();
        papers.read.entries.iter().map(|entry| (entry.id, entry.body.clone())).collect()
    }
}

/// The deeds that a screen offers with this first word.
fn offered(page: &str, word: &str) -> Vec<Deed> {
    page.split("data-tap=\"")
        .skip(1)
        .filter_map(|rest| rest.split('"').next()?.parse::<Deed>().ok())
        .filter(|deed| deed.to_string().split(' ').next() == Some(word))
        .collect()
}

/// The result that a cause shows most often.
fn shows(table: &Table, test: TestId, cause: &str) -> usize {
    let chances = table[test].chances(table.cause(cause).unwrap());
    (0..chances.len()).max_by(|one, other| chances[*one].total_cmp(&chances[*other])).unwrap()
}

/// Taps the results that a cause shows, until a finding is offered; answers how many tests it took.
fn search_for(hand: &mut Hand, unit: ApplianceId, cause: &str) -> usize {
    let table = Table::standard();
    let mut page = hand.go(Place::Fault { unit });
    for made in 0..25 {
        let results = offered(&page, "gave");
        if let Some(Deed::Gave { test, .. }) = results.first() {
            let id = table.test(&test.0).unwrap();
            let outcome = u8::try_from(shows(table, id, cause)).unwrap();
            let deed = Deed::Gave { unit, test: test.clone(), outcome };
            assert!(results.contains(&deed), "a key for every result of {}", test.0);
            page = hand.does(deed);
            continue;
        }
        if let Some(deed) = offered(&page, "gaschecked").pop() {
            page = hand.does(deed);
            // Before the time is over nothing changes.
            let words = Deed::Waited { unit }.to_string();
            let now = Moment { secs: hand.now + 60, offset_min: 0 };
            hand.app.tap(&words, BTreeMap::new(), now);
            assert!(hand.app.state().notice.is_some() && offered(&page, "gave").is_empty());
            hand.now += 301;
            page = hand.does(Deed::Waited { unit });
            continue;
        }
        let settles = offered(&page, "itis");
        assert!(!settles.is_empty(), "neither a test nor an end:\n{page}");
        assert!(
            settles
                .iter()
                .any(|deed| matches!(deed, Deed::ItIs { cause: own, .. } if own.0 == cause)),
            "{cause} is not among {settles:?}"
        );
        return made;
    }
    panic!("no end after 25 steps:\n{page}");
}

#[test]
fn from_a_start_that_does_not_light_to_the_finding_with_its_evidence() {
    let (player, ..) = crate::story::played();
    let mut hand = Hand::new(player);
    let unit = hand.unit("UH-01");
    hand.go(Place::Unit { unit });
    let page = hand.go(Place::Fault { unit });
    assert!(page.contains("What does it do?"), "{page}");
    hand.in_order(unit);
    hand.go(Place::Start { unit });
    let mut page = hand.does(Deed::StartNow { unit });
    // One key a step, until the spark with no pilot behind it.
    while !page.contains("Pilot proved") || offered(&page, "stamp").is_empty() {
        let Some(stamp) = offered(&page, "stamp").pop() else { break };
        let Deed::Stamp { step, .. } = stamp.clone() else { unreachable!("a stamp") };
        let sequence = search::sequence_of(Some(client_core::fault::choice::Family::Isp)).unwrap();
        if table_symptom(sequence.steps[usize::from(step)].fails_to) == Some("try_no_light") {
            break;
        }
        hand.now += 3;
        page = hand.does(stamp);
    }
    assert!(page.contains("after 3 s") || page.contains("sooner than usual"), "{page}");
    let stop = offered(&page, "stopafter").pop().unwrap();
    let page = hand.does(stop);
    assert!(page.contains("Tries but does not light") && page.contains("Not seen"), "{page}");
    assert!(page.contains("<caption") && page.contains("none of these"), "{page}");
    let tests = search_for(&mut hand, unit, "hv_lead");
    assert!((1..=10).contains(&tests), "{tests} tests");
    let page = hand.does(Deed::ItIs { unit, cause: Name("hv_lead".to_owned()) });
    assert!(page.contains("What was done"), "{page}");
    let sheet = hand.sheet(unit);
    let finding = sheet.iter().find_map(|(_, body)| match body {
        Body::Finding(finding) => Some(finding.clone()),
        _ => None,
    });
    let finding = finding.unwrap();
    assert_eq!(
        (finding.cause.as_str(), finding.symptom.as_deref()),
        ("hv_lead", Some("try_no_light"))
    );
    let evidence = finding.evidence.unwrap();
    let tested = sheet.iter().filter(|(_, body)| body.kind() == Kind::Tested);
    let ids: Vec<_> = tested.map(|(id, _)| *id).collect();
    assert_eq!(ids.len(), tests, "{sheet:?}");
    assert!(!evidence.is_empty() && evidence.iter().all(|id| ids.contains(id)));
}

fn table_symptom(leads: client_core::fault::sequence::Leads) -> Option<&'static str> {
    match leads {
        client_core::fault::sequence::Leads::Symptom(symptom) => {
            Some(Table::standard()[symptom].key)
        }
        _ => None,
    }
}

#[test]
fn from_a_weak_flame_to_the_wrong_kit() {
    let (player, ..) = crate::story::played();
    let mut hand = Hand::new(player);
    let unit = hand.unit("UH-08B");
    hand.go(Place::Unit { unit });
    hand.in_order(unit);
    hand.go(Place::DoesWhat { unit });
    let page = hand.does(Deed::ItDoes { unit, symptom: Name("weak_flame".to_owned()) });
    // This building has had the wrong kit before, and says so with its count.
    let tests = search_for(&mut hand, unit, "conversion_mismatch");
    assert!((1..=6).contains(&tests), "{tests} tests");
    assert!(page.contains("Stays on weak flame"), "{page}");
    let page = hand.does(Deed::ItIs { unit, cause: Name("conversion_mismatch".to_owned()) });
    assert!(page.contains("What was done"), "{page}");
}

#[test]
fn a_figure_that_is_typed_is_the_result() {
    let (player, ..) = crate::story::played();
    let mut hand = Hand::new(player);
    let unit = hand.unit("UH-06");
    hand.go(Place::Unit { unit });
    hand.in_order(unit);
    hand.go(Place::DoesWhat { unit });
    let page = hand.does(Deed::ItDoes { unit, symptom: Name("lights_drops".to_owned()) });
    // The room's own findings stand beside the general weights.
    assert!(page.contains("findings in this building; in general"), "{page}");
    let page = hand.does(Deed::PickTest { unit, test: Name("flame_ua".to_owned()) });
    assert!(page.contains("Type the figure"), "{page}");
    let page = hand.type_in(unit, Quantity::FlameCurrent, "07");
    assert!(page.contains("data-place=\"fault "), "the pad leads back to the search: {page}");
    assert!(page.contains("flame current 0.7 uA"), "{page}");
    let offers: Vec<Deed> = offered(&page, "gave");
    let again =
        offers.iter().any(|deed| matches!(deed, Deed::Gave { test, .. } if test.0 == "flame_ua"));
    assert!(!again, "a figure that stands is not asked for again");
    assert!(hand.sheet(unit).iter().all(|(_, body)| body.kind() != Kind::Tested));
}

#[test]
fn nothing_is_lit_on_a_tag_or_before_smell_and_room_are_known() {
    let (player, ..) = crate::story::played();
    let mut hand = Hand::new(player);
    let table = Table::standard();
    let unit = hand.unit("UH-01");
    hand.go(Place::Unit { unit });
    hand.go(Place::DoesWhat { unit });
    let mut page = hand.does(Deed::ItDoes { unit, symptom: Name("lights_drops".to_owned()) });
    for _ in 0..6 {
        for deed in offered(&page, "gave") {
            let Deed::Gave { test, .. } = deed else { unreachable!("results only") };
            let test = &table[table.test(&test.0).unwrap()];
            assert!(!test.state.fires(), "{} before smell and CO are known", test.key);
        }
        let Some(deed) = offered(&page, "gave").into_iter().next() else { break };
        page = hand.does(deed);
    }
    // A tag: no start, and only tests on a dead unit.
    hand.in_order(unit);
    hand.go(Place::ShutDown { unit });
    let isolation = phone::app::ISOLATIONS[0].replace(' ', "_");
    hand.does(Deed::Isolate { what: Name(isolation) });
    hand.app.tap(
        &Deed::PutShutDown { unit }.to_string(),
        [("reason".to_owned(), "flue CO over 400 ppm".to_owned())].into(),
        Moment { secs: hand.now, offset_min: 0 },
    );
    let tagged = hand.sheet_tagged(unit);
    assert!(tagged, "{:?}", hand.app.state().notice);
    let page = hand.go(Place::Start { unit });
    assert!(page.contains("nothing is started") && offered(&page, "startnow").is_empty(), "{page}");
    let page = hand.go(Place::Tests { unit });
    for deed in offered(&page, "picktest") {
        let Deed::PickTest { test, .. } = deed else { unreachable!("tests only") };
        let test = &table[table.test(&test.0).unwrap()];
        assert!(test.on_dead_unit(), "{} on a tagged unit", test.key);
    }
    assert!(page.contains("the unit is tagged"), "{page}");
}

#[test]
fn the_control_as_found_counts_its_trials_and_goes_into_the_record() {
    let (player, ..) = crate::story::played();
    let mut hand = Hand::new(player);
    let unit = hand.unit("UH-01");
    hand.go(Place::Unit { unit });
    hand.in_order(unit);
    let say = |what: &str, to: &str| Deed::Control {
        unit,
        what: Name(what.to_owned()),
        to: Name(to.to_owned()),
    };
    hand.go(Place::InOrder { unit });
    hand.does(say("kind", "retries"));
    hand.does(say("trials", "2"));
    let page = hand.does(say("trip", "rollout"));
    assert!(page.contains("its cause comes before any reset"), "{page}");
    hand.go(Place::DoesWhat { unit });
    let page = hand.does(Deed::ItDoes { unit, symptom: Name("lights_drops".to_owned()) });
    // Two trials were made before anybody came: no third one without a gas check and a wait.
    let table = Table::standard();
    for deed in offered(&page, "gave") {
        let Deed::Gave { test, .. } = deed else { unreachable!("results only") };
        assert!(!table[table.test(&test.0).unwrap()].state.fires(), "{}", test.0);
    }
    let said = hand.sheet(unit).into_iter().find_map(|(_, body)| match body {
        Body::Symptom(symptom) => symptom.text,
        _ => None,
    });
    let said = said.unwrap();
    assert!(said.contains("tries again by itself") && said.contains("2 trials"), "{said}");
}

impl Hand {
    fn sheet_tagged(&mut self, unit: ApplianceId) -> bool {
        let rows = self.app.device_mut().units(SITE).unwrap();
        rows.iter().any(|row| row.id == unit && row.row.tagged)
    }
}
