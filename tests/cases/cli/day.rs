//! A visit from the plan to the signature, typed by three people.

use super::bench::{Bench, flat};

#[test]
#[expect(clippy::too_many_lines, reason = "one day, told in the order in which it happens")]
fn two_technicians_record_merge_settle_and_sign() {
    let bench = Bench::with_visit("day", 1);
    bench.done("Oriane", &["instrument", "add", "N-M1", "manometer", "--owner", "Ilse"]);
    bench.done("Oriane", &["instrument", "add", "N-A1", "flue-gas-analyser"]);
    bench
        .done("Oriane", &["instrument", "calibrated", "N-M1", "2024-08-12", "--due", "2025-08-12"]);
    bench
        .done("Oriane", &["instrument", "calibrated", "N-A1", "2025-08-05", "--due", "2026-08-05"]);
    bench.exchange(&["Oriane", "Ilse", "Dov"]);

    // No signal from here on.
    bench.silent.set(true);
    bench.done("Ilse", &["here", "V-1"]);
    bench.done("Ilse", &["claim", "UH-05"]);
    bench.done("Ilse", &["crew", "arrived"]);
    bench.done(
        "Ilse",
        &[
            "found",
            "uh-05",
            "manifold_high=3.07",
            "flue_o2=8.4",
            "flue_co=30",
            "stack_temp=382",
            "combustion-air-temp=60",
            "air_in=62",
            "air_out=114",
            "inlet_flowing=7.0",
            "flame_current=2.1",
            "meter_time=204.6",
            "--gas-temp",
            "45",
            "--with",
            "N-M1",
            "--with",
            "N-A1",
            "--stage",
            "high",
            "--panel",
            "on",
            "--steady",
            "6",
        ],
    );
    bench.done("Ilse", &["check", "UH-05", "spill=pass", "ambient_smell=pass"]);
    let finding = bench
        .saved("Ilse", &["finding", "UH-05", "manifold_low", "under plate", "--sure", "proved"]);
    bench.done(
        "Ilse",
        &[
            "work",
            "UH-05",
            "set",
            "manifold to plate",
            "--touched",
            "gas_setting,gas_port",
            "--finding",
            &finding,
        ],
    );
    bench.done("Ilse", &["adjust", "UH-05", "manifold_high=3.50", "--before", "3.07"]);
    bench.done(
        "Ilse",
        &[
            "left",
            "UH-05",
            "manifold_high=3.50",
            "flue_o2=7.9",
            "flue_co=32",
            "stack_temp=396",
            "combustion_air_temp=61",
            "air_in=62",
            "air_out=117",
        ],
    );
    bench.done("Ilse", &["note", "write", "job", "Locks out at shift start.", "--unit", "UH-05"]);
    bench.done("Ilse", &["part", "UH-05", "flame rod", "--old-condition", "crust"]);
    bench.done("Ilse", &["labour", "240"]);
    bench.done("Ilse", &["close", "UH-05", "done"]);
    bench.done("Dov", &["found", "UH-05", "manifold_high=3.30", "--stage", "high"]);
    bench.done("Dov", &["check", "UH-05", "spill=not_done"]);
    bench.done("Dov", &["set", "UH-05", "status=watch"]);
    bench.done("Dov", &["part", "UH-05", "flame rod"]);
    bench.done(
        "Ilse",
        &["set", "UH-05", "status=control_locked_out", "--because", "it did so twice"],
    );
    let states = bench.json("Ilse", &["where"]);
    assert!(states["on_this_device"].as_u64().unwrap() > 20, "{states}");
    assert_eq!(states["offered"], 0);
    assert!(bench.refused("Ilse", &["exchange"]).contains("exchange again where there is signal"));

    // Back at the truck. Dov's clock is 47 minutes ahead.
    bench.silent.set(false);
    let sent = bench.json("Ilse", &["exchange"]);
    assert!(sent["sent_changes"].as_u64().unwrap() >= 12, "{sent}");
    assert_eq!(sent["unsent_changes"], 0);
    bench.ahead.set(47 * 60);
    let ran = bench.run("Dov", &["exchange"]);
    assert!(flat(&ran.err).contains("47 min ahead of the hub"), "{}", ran.err);
    assert!(ran.out.contains("new from Ilse of the test"), "{}", ran.out);
    bench.ahead.set(0);
    bench.exchange(&["Oriane"]);
    assert_eq!(bench.json("Ilse", &["where"])["on_this_device"], 0);

    let queue = bench.json("Oriane", &["review", "--visit", "V-1"]);
    let groups: Vec<&str> =
        queue.as_array().unwrap().iter().filter_map(|group| group["group"].as_str()).collect();
    assert_eq!(
        groups,
        [
            "shut_down_or_unsettled",
            "two_answers",
            "outside_as_left",
            "as_left_missing",
            "instruments_overdue",
            "parts_double",
            "questions",
            "moved_since_signed"
        ]
    );
    assert!(!queue[1]["items"].as_array().unwrap().is_empty(), "{queue}");
    let act = queue[1]["items"][0]["act"].as_str().unwrap();
    assert!(act.contains("dripleg settle "), "{act}");
    for line in bench.run("Oriane", &["review", "--visit", "V-1"]).out.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
    let found = bench.json("Oriane", &["contradictions"]);
    let keys: Vec<&str> =
        found.as_array().unwrap().iter().map(|one| one["key"].as_str().unwrap()).collect();
    for key in ["unit/status", "check/spill", "reading/manifold_high/as_found", "double/", "clock/"]
    {
        assert!(keys.iter().any(|own| own.starts_with(key)), "{key}: {keys:?}");
    }
    let status = found.as_array().unwrap().iter().find(|one| one["key"] == "unit/status").unwrap();
    assert_eq!(status["sides"].as_array().unwrap().len(), 2);
    let text = bench.says("Oriane", &["contradictions", "--unit", "UH-05"]);
    assert!(text.contains("Dov of the test") && text.contains("with N-M1"), "{text}");
    assert!(text.contains("instrument overdue since 2025-08-12"), "{text}");

    // What blocks, and how it is settled.
    let said = bench.refused("Oriane", &["sign"]);
    assert!(said.contains("unsettled/unit/status") && said.contains("dripleg except"), "{said}");
    bench
        .done("Oriane", &["settle", "unit/status", "in_service", "--because", "ran all afternoon"]);
    let double = keys.iter().find(|key| key.starts_with("double/")).unwrap();
    bench.done("Oriane", &["settle", double, "--because", "one rod missing from stock"]);
    bench.done("Oriane", &["settle", "clock/", "--because", "measured at the exchange"]);
    let reading = found
        .as_array()
        .unwrap()
        .iter()
        .find(|one| one["key"] == "reading/manifold_high/as_found")
        .unwrap();
    let chosen = reading["sides"][0]["entry"].as_str().unwrap();
    bench.done(
        "Oriane",
        &["settle", "reading/manifold_high/as_found", chosen, "--because", "Dov read a cold port"],
    );
    bench.done("Dov", &["check", "UH-05", "spill=pass", "test_ports_closed=pass"]);
    let sheet = bench.json("Dov", &["show", "sheet", "UH-05"]);
    let own = |one: &&serde_json::Value| one["says"].as_str().unwrap().contains("3.30");
    let slip = sheet["entries"].as_array().unwrap().iter().find(own).unwrap();
    let slip = slip["entry"].as_str().unwrap();
    bench.done("Dov", &["correct", slip, "3.08", "--because", "read a cold port"]);
    for unit in ["UH-06", "RT-01"] {
        bench.done("Dov", &["close", unit, "not_reached", "--because", "racks in the way"]);
    }
    bench.exchange(&["Dov", "Oriane"]);
    assert_eq!(bench.done("Oriane", &["blockers"]), "nothing blocks the sign-off\n");
    assert_eq!(bench.json("Oriane", &["contradictions"]), serde_json::json!([]));
    bench.done("Oriane", &["sign", "--statement", "as read"]);
    bench.exchange(&["Oriane", "Ilse", "Dov"]);

    // Under the sign-off.
    let said = bench
        .refused("Ilse", &["withdraw", &finding, "--because", "typed twice", "--visit", "V-1"]);
    assert!(said.contains("the visit is signed") && said.contains("dripleg reopen"), "{said}");
    bench.done("Ilse", &["left", "UH-06", "manifold_high=3.5", "--visit", "V-1"]);
    bench.exchange(&["Ilse", "Oriane"]);
    let visit = bench.json("Oriane", &["show", "visit", "V-1"]);
    assert_eq!(
        (&visit["released"], &visit["after_sign_off"]),
        (&true.into(), &1.into()),
        "{visit}"
    );
    bench.done("Oriane", &["reopen", "--because", "late reading", "--visit", "V-1"]);
    assert_eq!(bench.json("Oriane", &["show", "visit", "V-1"])["released"], false);
    bench.done(
        "Oriane",
        &["query", "Was the panel on?", "--unit", "UH-06", "--to", "Ilse", "--visit", "V-1"],
    );
    bench.exchange(&["Oriane", "Ilse"]);
    let head = bench.json("Ilse", &["show", "visit", "V-1"]);
    assert!(head["head"].to_string().contains("Was the panel on?"), "{head}");
}

#[test]
fn a_sheet_shows_what_its_readings_come_to() {
    let bench = Bench::with_visit("sheet", 2);
    bench.done(
        "Ilse",
        &[
            "found",
            "UH-05",
            "manifold_high=3.07",
            "flue_o2=8.4",
            "flue_co=604",
            "stack_temp=382",
            "combustion_air_temp=60",
            "air_in=62",
            "air_out=114",
            "meter_time=204.6",
            "--gas-temp",
            "45",
            "ambient_co=12",
        ],
    );
    let sheet = bench.json("Ilse", &["show", "sheet", "UH-05"]);
    let block = &sheet["blocks"][0];
    let figure = |key: &str| {
        let all = block["figures"].as_array().unwrap();
        let own =
            all.iter().find(|one| one["key"] == key).unwrap_or_else(|| panic!("{key}: {block}"));
        own["amount"]["value"].as_f64().unwrap()
    };
    assert!((figure("net_stack") - 322.0).abs() < 1e-6);
    assert!((figure("rise") - 52.0).abs() < 1e-6);
    assert!((figure("manifold_input") - 175.0 * (3.07_f64 / 3.5).sqrt()).abs() < 1e-6);
    // 10 ft3 in 204.6 s at 2 psig, 45 F and 820 ft, 1,025 Btu/ft3: 176 cfh by the dial, times 1.106
    // for pressure, 1.030 for temperature.
    assert!((figure("clocked_input") - 205.1).abs() < 1.0, "{}", figure("clocked_input"));
    assert!((figure("excess_air") - 61.0).abs() < 3.0, "{}", figure("excess_air"));
    let text = bench.says("Ilse", &["show", "sheet", "UH-05"]);
    assert!(text.contains("manifold, high fire is under 3.30 in w.c. by 0.23 in w.c."), "{text}");
    assert!(text.contains("temperature rise is within"), "{text}");
    assert!(text.contains("Shut down and call your supervisor"), "{text}");
    assert!(text.contains("Something is adding CO"), "{text}");
    assert!(text.contains("The plate, local code and a licensed person"), "{text}");
    let si = bench.says("Ilse", &["show", "sheet", "UH-05", "--units", "si"]);
    assert!(si.contains("7.65 mbar") && !si.contains("manifold, high fire 3.07 in w.c."), "{si}");
    for word in client_core::trade::verdict::words::NEVER {
        assert!(!text.to_lowercase().contains(word), "says '{word}'");
    }
}
