//! The scenario's story told right, out of the record: what repeats and where, the change to outside air
//! against the unit that was left, the wrong kit, efficiency that rises with CO, too little air.

use client_core::fault::choice::Family;
use client_core::fault::detect::Kind as Suspects;
use client_core::fault::history::{Past, learn};
use client_core::fault::known::{Known, known};
use client_core::fault::signs::{Danger, seen};
use client_core::fault::table::Table;
use client_core::fault::weights::{Here, Season};
use client_core::pattern::Day;
use client_core::pattern::building::{Building, Seen, building, say_falling, say_proposal};
use client_core::record::body::{Body, Kind};
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::id::ApplianceId;
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

/// A unit with its visits and changes.
type Owned = (ApplianceId, UnitRow, Vec<SheetRow>, Vec<(String, Day)>);

/// The building, out of rows and the units' own events.
fn hall(player: &mut Player) -> Building {
    let site = player.site;
    let device = player.device(Who::Oriane);
    let sites = device.sites().unwrap();
    let row = sites.into_iter().find(|(id, ..)| *id == site).and_then(|(_, _, row)| row).unwrap();
    let units = device.units(site).unwrap();
    let mut found: Vec<Owned> = vec![];
    for listed in units {
        let history = device.history(site, listed.id).unwrap();
        let papers = device.read_doc(DocId::new(site, DocKind::Appliance(listed.id))).unwrap();
        let changed = |body: &Body| match body {
            Body::Event(event) if event.kind == "changed" => {
                let (year, month, day) = event.day?.ymd();
                Some((event.text.clone(), Day::new(year, month, day)?))
            }
            _ => None,
        };
        let changes =
            papers.read.counted(Kind::Event).filter_map(|entry| changed(&entry.body)).collect();
        let rows = history.into_iter().map(|own| own.row).collect();
        found.push((listed.id, listed.row, rows, changes));
    }
    let seen: Vec<Seen<'_>> = found
        .iter()
        .map(|(id, row, visits, changes)| Seen {
            id: *id,
            row,
            visits: visits.iter().collect(),
            changes: changes.clone(),
        })
        .collect();
    building(&row, &seen)
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
    let mut rows: Vec<(Vec<&'static str>, Family, SheetRow)> = vec![];
    for listed in device.units(site).unwrap() {
        let family = listed.row.family.and_then(|family| Family::from_key(family.key()));
        let air = match listed.row.unit_no.as_str() {
            "UH-05" | "UH-06" | "MU-01" => vec!["salt", "moisture"],
            "UH-07" => vec!["silicone"],
            "UH-08" | "UH-08B" => vec!["battery gas"],
            _ => vec![],
        };
        for own in device.history(site, listed.id).unwrap() {
            rows.extend(family.map(|family| (air.clone(), family, own.row)));
        }
    }
    let pasts: Vec<Past<'_>> = rows
        .iter()
        .map(|(air, family, row)| Past { site: "hall", air, family: *family, row })
        .collect();
    let symptom = table.symptom("lights_drops").unwrap();
    let share = |air: &[&str], pasts: &[Past<'_>]| {
        let here = Here {
            symptom,
            family: Family::Dsi,
            site: "hall",
            air,
            season: Season::DeepCold,
            age_years: None,
        };
        let learnt = learn(table, symptom, Family::Dsi, &here, pasts);
        let rod = table.cause("rod_dirty").unwrap();
        let all = learnt.weights.of(table, symptom, Family::Dsi);
        let total: f64 = all.iter().map(|(_, weight)| weight).sum();
        let own = all.iter().find(|(id, _)| *id == rod).unwrap().1 / total;
        (own, learnt.count(rod))
    };
    let (general, _) = share(&[], &[]);
    let (salt, count) = share(&["salt"], &pasts);
    let (clean, _) = share(&[], &pasts);
    assert_eq!(count, (8, 22));
    assert!(salt > clean && clean > general, "{general} {clean} {salt}");
}
