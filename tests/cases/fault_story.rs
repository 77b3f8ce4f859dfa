//! The scenario's story told right, out of the record: what repeats and where, the change to outside air
//! against the unit that was left, the wrong kit, efficiency that rises with CO, too little air.

use client_core::fault::choice::Family;
use client_core::fault::detect::Kind as Suspects;
use client_core::fault::history::Place;
use client_core::fault::known::{Known, known};
use client_core::fault::signs::{Danger, seen};
use client_core::fault::table::Table;
use client_core::pattern::building::{Building, building, say_falling, say_proposal};
use client_core::pattern::helps::would_change;
use client_core::pattern::seen::Seen;
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::row::{SheetRow, UnitRow};
use tests::story::Player;
use tests::story::player::Who;

/// What the record knows of a unit at a visit of the scenario.
fn knows(player: &mut Player, visit: &str, tag: &str) -> Known {
    let (site, visit, unit) =
        (player.site, player.visit(visit).unwrap(), player.unit(tag).unwrap());
    let device = player.device(Who::Oriane);
    let history = device.history(site, unit).unwrap();
    let before = history.iter().take_while(|listed| listed.id != visit);
    let before = before.filter(|listed| !listed.row.left.is_empty()).last();
    let opened = device.open_visit(site, visit).unwrap();
    let file = opened.file();
    let own = file.unit(unit).unwrap();
    known(Table::standard(), &file, own, before.map(|listed| &listed.row))
}

fn suspects(known: &Known) -> Vec<Suspects> {
    known.suspicions.iter().map(|own| own.kind).collect()
}

/// The results as "test: outcome".
fn told(known: &Known) -> Vec<String> {
    let table = Table::standard();
    let said = |(_, result): &(_, client_core::fault::belief::TestResult)| {
        format!("{}: {}", table[result.test].key, table[result.test].outcomes[result.outcome])
    };
    known.results.iter().map(said).collect()
}

/// The building, out of rows and the units' own documents.
fn hall(player: &mut Player) -> Building {
    let site = player.site;
    let device = player.device(Who::Oriane);
    let sites = device.sites().unwrap();
    let row = sites.into_iter().find(|(id, ..)| *id == site).and_then(|(_, _, row)| row).unwrap();
    let mut all = vec![];
    for listed in device.units(site).unwrap() {
        let visits = device.history(site, listed.id).unwrap().into_iter().map(|own| own.row);
        let papers = device.read_doc(DocId::new(site, DocKind::Appliance(listed.id))).unwrap();
        all.push(Seen::new(listed.id, listed.row, visits, Some(&papers.read)));
    }
    building(&row, &all)
}

#[test]
fn the_rod_comes_back_in_the_salt_room_and_at_the_silicone_bench_and_nowhere_else() {
    let (mut player, ..) = crate::story::played();
    let found = hall(&mut player);
    assert_eq!(found.findings, 22);
    let rod = &found.causes[0];
    assert_eq!((rod.key.as_str(), rod.findings), ("rod_dirty", 8));
    let of = |area: &str| {
        let row = rod.rows.iter().find(|row| row.area == area).unwrap();
        (row.count(), row.units.iter().map(|(_, times)| *times).sum::<usize>())
    };
    assert_eq!(of("A3"), ((2, 3), 5));
    assert_eq!(of("A4"), ((1, 1), 3));
    for area in ["A1", "A2", "A5", "A6"] {
        assert_eq!(of(area).0.0, 0, "{area}");
    }
    let came: Vec<(&str, usize)> =
        found.repeats.iter().map(|own| (own.unit.as_str(), own.days.len())).collect();
    assert_eq!(came, [("UH-06", 3), ("UH-07", 3), ("UH-05", 2)]);
}

#[test]
fn the_change_to_outside_air_stands_against_the_unit_that_was_left() {
    let (mut player, ..) = crate::story::played();
    let found = hall(&mut player);
    assert_eq!(found.experiments.len(), 1, "{:?}", found.experiments);
    let said = &found.experiments[0];
    assert!(said.contains("UH-05 6.3 to 1.0") && said.contains("UH-06 5.6 to 5.4"), "{said}");
    assert!(said.contains("one pair") && said.contains("strong hint, not proof"), "{said}");
    let fall = found.falling.iter().find(|own| own.unit == "UH-06").unwrap();
    let said = say_falling(fall);
    assert!(said.contains("5.6, then 5.4") && said.contains("one more season"), "{said}");
    assert!(found.twins.contains(&("UH-05".to_owned(), "UH-06".to_owned(), true)));
    let would = would_change(&found);
    assert_eq!(would.len(), 2, "{would:?}");
    assert!(would[0].starts_with("A3, salt and moisture: outside combustion air"), "{would:?}");
    assert!(would[0].contains("found again at the newest visit on UH-06;"), "{would:?}");
    assert!(would[1].starts_with("A4, silicone: another release product"), "{would:?}");
    let proposed: Vec<String> = found.proposals.iter().map(say_proposal).collect();
    for unit in ["UH-06", "UH-07"] {
        let own = proposed.iter().find(|words| words.starts_with(unit));
        assert!(own.is_some_and(|words| words.contains("sooner")), "{proposed:?}");
    }
    assert!(found.waiting.is_some_and(|own| own.curve.units() > 10));
}

#[test]
fn the_wrong_kit_is_told_from_clock_manifold_and_stamp() {
    let (mut player, ..) = crate::story::played();
    let known = knows(&mut player, "V-3", "UH-08B");
    let found = suspects(&known);
    assert!(found.contains(&Suspects::PartAgainstSupply), "{found:?}");
    assert!(found.contains(&Suspects::LpPartsOnNatural), "{found:?}");
    assert!(known.suspicions.iter().any(|own| own.because.to_string().contains("54")), "{known:?}");
    assert!(told(&known).contains(&"clocked: low".to_owned()), "{:?}", told(&known));
}

#[test]
fn efficiency_that_rises_while_co_rises_is_no_improvement() {
    let (mut player, ..) = crate::story::played();
    let known = knows(&mut player, "V-2", "UH-05");
    let found = suspects(&known);
    assert!(found.contains(&Suspects::EfficiencyUpWithCo), "{found:?}");
    let own = known.suspicions.iter().find(|own| own.kind == Suspects::EfficiencyUpWithCo);
    assert!(own.unwrap().because.to_string().contains("79.4 to 80."), "{own:?}");
    assert!(told(&known).contains(&"flame_ua: below minimum".to_owned()), "{:?}", told(&known));
}

#[test]
fn a_rise_over_the_plate_at_the_right_input_is_airflow() {
    let (mut player, ..) = crate::story::played();
    let known = knows(&mut player, "V-1", "DF-01");
    assert!(suspects(&known).contains(&Suspects::LowAirflow), "{:?}", known.suspicions);
    assert!(told(&known).contains(&"temp_rise: high".to_owned()), "{:?}", told(&known));
}

#[test]
fn the_breached_exchanger_is_a_danger_before_any_search() {
    let (mut player, ..) = crate::story::played();
    let known = knows(&mut player, "V-2", "UH-08");
    assert!(known.tagged);
    let dangers = seen(Table::standard(), &known.signs, &known.results());
    let named = |danger: &Danger| matches!(danger, Danger::AmbientCo(ppm) if *ppm >= 35.0);
    assert!(dangers.iter().any(named), "{dangers:?} {:?}", known.signs);
}

#[test]
fn the_rooms_own_findings_move_the_weights_there_and_less_elsewhere() {
    let (mut player, ..) = crate::story::played();
    let table = Table::standard();
    let site = player.site;
    let device = player.device(Who::Oriane);
    let sites = device.sites().unwrap();
    let row = sites.into_iter().find(|(id, ..)| *id == site).and_then(|(_, _, row)| row).unwrap();
    let units: Vec<(UnitRow, Vec<SheetRow>)> = device
        .units(site)
        .unwrap()
        .into_iter()
        .map(|listed| {
            let history = device.history(site, listed.id).unwrap();
            (listed.row, history.into_iter().map(|own| own.row).collect())
        })
        .collect();
    let past = || units.iter().flat_map(|(unit, rows)| rows.iter().map(move |visit| (unit, visit)));
    let job = (table.symptom("lights_drops").unwrap(), Family::Dsi);
    let rod = table.cause("rod_dirty").unwrap();
    let at = |tag: &str| {
        let unit = units.iter().map(|(unit, _)| unit).find(|unit| unit.unit_no == tag);
        let today = client_core::record::value::Day::parse("2026-01-12").unwrap();
        let place = Place { site: "hall", row: &row, unit, today };
        place.learn(table, job.0, job.1, past()).shift(table, job, rod).unwrap()
    };
    let (salt, clean) = (at("UH-06"), at("UH-01"));
    assert_eq!(salt.count, (8, 22));
    assert!(salt.now > clean.now && clean.now > clean.general, "{salt:?} {clean:?}");
    // Nobody has entered a plate year in the scenario: no age is held against any.
    assert_eq!(salt.without_age, None);
}
