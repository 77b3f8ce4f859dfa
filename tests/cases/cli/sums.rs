//! Sums, faults: the same answers on the command line as in the core.

use tests::fixture::{Rows, path, text};

use super::bench::{Bench, flat};

#[test]
fn every_calculation_says_what_it_takes() {
    let bench = Bench::new("calc", 40);
    let list = bench.json("nobody", &["calc", "--list"]);
    let calculations = list["calculations"].as_array().unwrap();
    assert!(calculations.len() > 40, "{}", calculations.len());
    for one in calculations {
        let name = one["name"].as_str().unwrap();
        let needs = one["takes"].as_array().unwrap().iter().any(|own| own["needed"] == true);
        if needs {
            let about = bench.says("nobody", &["calc", name]);
            assert!(about.contains("needed"), "{name}: {about}");
        }
    }
    let text = bench.done("nobody", &["calc", "--list"]);
    for one in calculations {
        assert!(text.contains(one["name"].as_str().unwrap()));
    }
}

#[test]
fn a_calculation_is_worked_out_with_steps_and_source() {
    let bench = Bench::new("worked", 41);
    let words =
        ["calc", "square-root-input", "plate-input=250 MBH", "plate=3.5", "measured=4.12 ± 0.05"];
    let said = bench.says("nobody", &words);
    for part in [
        "271241 Btu/h",
        "give or take",
        "formula:",
        "source: orifice law",
        "holds for:",
        "sqrt(4.12 / 3.50)",
    ] {
        assert!(said.contains(part), "{part}: {said}");
    }
    let value = bench.json("nobody", &words);
    let input =
        value["results"].as_array().unwrap().iter().find(|own| own["key"] == "input").unwrap();
    assert!((input["amount"]["value"].as_f64().unwrap() - 271_240.0).abs() < 10.0, "{value}");
    assert_eq!(value["formula"]["stamp"], "gas.square_root_input/1");
    assert!(value["uncertainty"].as_array().unwrap().len() == 1, "{value}");
    let si = bench.says(
        "nobody",
        &[
            "calc",
            "square-root-input",
            "plate_input=250 MBH",
            "plate=3.5",
            "measured=4.12",
            "--units",
            "si",
        ],
    );
    assert!(si.contains("kW") && si.contains("mbar") && !si.contains("Btu/h "), "{si}");
    for (words, code, says) in [
        (&["calc"][..], 2, "name a calculation"),
        (&["calc", "fly"], 1, "there is no calculation `fly`"),
        (&["calc", "output", "input=200 MBH"], 1, "`efficiency` is missing"),
        (&["calc", "output", "input=200 MBH", "efficiency=x"], 1, "does not begin with a number"),
        (
            &["calc", "output", "input=200 MBH", "efficiency=80", "colour=1"],
            1,
            "`colour` is none of",
        ),
        (&["calc", "output", "input=1 MBH", "input=2 MBH", "efficiency=80"], 1, "given twice"),
        (&["calc", "fly", "--rows", "x.csv"], 2, "there is no table 'fly'"),
        (&["calc", "draft", "--rows", "/no/such.csv"], 1, "cannot be read"),
    ] {
        let ran = bench.run("nobody", words);
        assert!(ran.code == code && flat(&ran.err).contains(says), "{words:?}: {ran:?}");
    }
}

/// The command computes what the core computes, row for row, in full precision.
#[test]
fn tables_come_out_as_the_core_computes_them() {
    let bench = Bench::new("rows", 42);
    let fuels_file = path("golden/fuels.csv").display().to_string();
    let fuels = Rows::parse(&text("golden/fuels.csv")).unwrap().fuels();
    let mut compared = 0;
    for table in client_core::trade::table::names() {
        let file = path(&format!("golden/{table}.csv"));
        if !file.exists() {
            continue;
        }
        let rows = Rows::parse(&text(&format!("golden/{table}.csv"))).unwrap();
        let expected = rows.compute(table, &fuels).unwrap();
        let file = file.display().to_string();
        let out = bench.done("nobody", &["calc", table, "--rows", &file, "--fuels", &fuels_file]);
        let got = Rows::parse(&out).unwrap();
        assert_eq!(got.header, expected.header, "{table}");
        assert_eq!(got.header.last().map(String::as_str), Some("error"), "{table}");
        assert_eq!(got.rows.len(), rows.rows.len(), "{table}: one row out for each row in");
        assert_eq!(got.rows, expected.rows, "{table}");
        compared += 1;
    }
    assert!(compared > 15, "{compared}");
}

#[test]
fn a_row_that_cannot_be_computed_carries_its_reason() {
    let mut bench = Bench::new("reason", 43);
    bench.types = Some(
        "from_unit,to_unit,value_in,other\nin_wc,pa,2,x\npsi,degC,1,\n,,,\nin_wc,pa\n".to_owned(),
    );
    let out = bench.done("nobody", &["calc", "unit_conversions", "--rows", "-"]);
    let rows = Rows::parse(&out).unwrap();
    assert_eq!(rows.header, ["value_out", "error"]);
    assert_eq!(rows.rows[0], ["498.17782", ""]);
    assert_eq!(rows.rows.len(), 4);
    for row in &rows.rows[1..] {
        assert!(row[0].is_empty() && !row[1].is_empty(), "{row:?}");
    }
    let list = bench.json("nobody", &["calc", "unit_conversions", "--rows", "-"]);
    assert_eq!(list[0]["value_out"], "498.17782");
}

#[test]
fn a_fault_is_searched_step_by_step() {
    let bench = Bench::with_visit("fault", 44);
    let steps = bench.json("nobody", &["fault", "steps", "isp"]);
    assert_eq!(steps["steps"].as_array().unwrap().len(), 13);
    assert!(
        bench.says("nobody", &["fault", "steps", "isp"]).contains("the unit's own sheet overrides")
    );
    let smell = bench.says(
        "nobody",
        &["fault", "next", "try_no_light", "--family", "isp", "--smell", "present"],
    );
    assert!(smell.contains("GAS SMELL: stop") && !smell.contains("next:"), "{smell}");
    // Nothing is lit before ambient CO is read and gas smell checked.
    let unread = bench.json(
        "nobody",
        &["fault", "next", "lights_drops", "--family", "isp", "--care", "live,locked,port,firing"],
    );
    assert!(unread["held_back"].to_string().contains("gas smell is not checked"), "{unread}");
    let words = [
        "fault",
        "next",
        "lights_drops",
        "--family",
        "isp",
        "--smell",
        "none",
        "--ambient-co",
        "2",
        "--care",
        "live,locked,port,firing",
    ];
    let advice = bench.json("nobody", &words);
    let offers = advice["offers"].as_array().unwrap();
    assert!(!offers.is_empty(), "{advice}");
    let test = offers[0]["test"].as_str().unwrap();
    let outcome = offers[0]["outcomes"][0].as_str().unwrap();
    let result = format!("{test}={outcome}");
    let next = bench.json("nobody", &[&words[..], &[&result]].concat());
    assert_ne!(next["ranked"], advice["ranked"]);
    // From the record: family and tag.
    bench.done("Ilse", &["shut-down", "UH-05", "soot", "--isolated", "gas cock"]);
    let tagged = bench.json(
        "Ilse",
        &[
            "fault",
            "next",
            "lights_drops",
            "--unit",
            "UH-05",
            "--smell",
            "none",
            "--ambient-co",
            "2",
        ],
    );
    assert!(tagged["held_back"].to_string().contains("tag"), "{tagged}");
    for (words, says) in [
        (&["fault", "next", "sad", "--family", "isp"][..], "is not a symptom"),
        (&["fault", "next", "lights_drops", "--family", "xyz"], "family is 'xyz'"),
        (&["fault", "next", "lights_drops", "--family", "isp", "x=y"], "is not a test"),
        (&["fault", "next", "lights_drops", "--family", "isp", "--care", "luck"], "is not a care"),
        (&["fault", "steps", "xyz"], "is not a family"),
    ] {
        let ran = bench.run("Ilse", words);
        assert!(ran.code == 2 && flat(&ran.err).contains(says), "{words:?}: {ran:?}");
    }
}

#[test]
fn what_a_start_showed_and_tests_gave_stands_in_the_record() {
    let bench = Bench::with_visit("fault_entered", 46);
    // How far a start came gives the symptom; what a test gave stands in the record and is not typed again.
    bench.done("Ilse", &["set", "UH-06", "unit/family=dsi"]);
    let text = bench.says("Ilse", &["fault", "start", "UH-06", "4"]);
    assert!(text.contains("not seen: Flame proved") && text.contains("lights_drops"), "{text}");
    bench.done("Ilse", &["fault", "result", "UH-06", "polarity=correct", "rod_insul=open"]);
    let search = ["fault", "next", "lights_drops", "--unit", "UH-06"];
    let known = bench.json("Ilse", &search);
    assert!(!known["offers"].to_string().contains("rod_insul"), "{known}");
    let sheet = bench.says("Ilse", &["show", "sheet", "UH-06"]);
    assert!(sheet.contains("Rod-to-ground resistance, leads off, dry: open"), "{sheet}");
    for line in bench.run("Ilse", &search).out.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
    for (words, says) in [
        (&["fault", "start", "UH-06", "99"][..], "is not among the 9 steps"),
        (&["fault", "result", "UH-06", "rod_insul=maybe"], "is not a result"),
    ] {
        let ran = bench.run("Ilse", words);
        assert!(ran.code == 2 && flat(&ran.err).contains(says), "{words:?}: {ran:?}");
    }
}

/// A rod that comes back: the figures of the invented hall's salt room, by command.
#[test]
fn patterns_are_read_out_of_the_record() {
    let bench = Bench::with_visit("pattern", 45);
    assert!(bench.refused("Ilse", &["pattern", "drift", "UH-05"]).contains("no stretch yet"));
    for (visit, day, hours, found, left) in [
        ("S-1", "2024-10-08", "0", "", "4.2"),
        ("S-2", "2025-01-22", "520", "0.9", "4.0"),
        ("S-3", "2025-10-14", "1135", "3.4", "3.9"),
    ] {
        bench.done("Oriane", &["plan", "visit", "pre_season", day, "--reference", visit]);
        let at = format!("{day}T09:00:00-05:00");
        let place = ["--visit", visit, "--at", &at];
        let hours = format!("burner_hours={hours}");
        let (found, left) = (format!("flame_current={found}"), format!("flame_current={left}"));
        let mut words = vec!["found", "UH-05", &hours, "--because", "as counted"];
        if !found.ends_with('=') {
            words.push(&found);
        }
        bench.done("Oriane", &[&words[..], &place].concat());
        bench.done("Oriane", &[&["finding", "UH-05", "rod_dirty"][..], &place].concat());
        bench.done("Oriane", &[&["left", "UH-05", &left][..], &place].concat());
    }
    let drift = bench.json("Oriane", &["pattern", "drift", "UH-05"]);
    let said: Vec<String> = drift["losses"]
        .as_array()
        .unwrap()
        .iter()
        .map(|loss| format!("{:.1}", loss["per_1000_h"].as_f64().unwrap()))
        .collect();
    assert_eq!(said, ["6.3", "1.0"]);
    let text = bench.says("Oriane", &["pattern", "drift", "UH-05"]);
    assert!(text.contains("uA per 1,000 h over 2 stretches, 1135 h"), "{text}");
    assert!(text.contains("twice the minimum of the plate: about 20"), "{text}");
    // The unit against itself: a base of its own, no chart out of three readings, and why.
    let own = &drift["against_itself"][0];
    assert_eq!((&own["as_left"], &own["chart"]), (&3.into(), &serde_json::Value::Null), "{own}");
    assert!(text.contains("no chart: 3 of 8 readings as left"), "{text}");
    let plan = bench.json("Oriane", &["pattern", "morning", "--people", "2"]);
    assert_eq!(plan.as_array().map(Vec::len), Some(2), "{plan}");
    assert!(plan.to_string().contains("UH-05"), "{plan}");
    assert!(bench.says("Oriane", &["pattern", "morning"]).contains("person 1"));
    assert!(bench.says("Oriane", &["pattern", "van"]).contains("no part is entered"));
    let causes = bench.says("Oriane", &["pattern", "causes"]);
    assert!(causes.contains("1 of 1 in A3, 3 findings"), "{causes}");
    let repeats = bench.json("Oriane", &["pattern", "repeats"]);
    assert_eq!(
        (&repeats[0]["unit_no"], repeats[0]["days"].as_array().unwrap().len()),
        (&"UH-05".into(), 3)
    );
    assert!(bench.says("Oriane", &["pattern", "repeats"]).contains("3 times: 2024-10-08"));
    assert_eq!(bench.json("Oriane", &["pattern", "causes"])[0]["opened"], 1);
    // What was found here moves the weights, and how far is said; so does the age of the plate.
    bench.done("Oriane", &["set", "UH-05", "unit/family=dsi", "plate/year=2009"]);
    let next = ["fault", "next", "lights_drops", "--unit", "UH-05"];
    let here = &bench.json("Oriane", &next)["here"];
    assert_eq!((&here["findings"], &here["of"]), (&3.into(), &3.into()), "{here}");
    assert!(here["before_any_test"].as_f64() > here["in_general"].as_f64(), "{here}");
    let text = flat(&bench.says("Oriane", &next));
    assert!(
        text.contains("3 of 3 findings in this building; with this symptom in general"),
        "{text}"
    );
    let whole = bench.json("Oriane", &["pattern", "building"]);
    assert_eq!(
        (&whole["findings"], &whole["causes"][0]["cause"]),
        (&3.into(), &"rod_dirty".into())
    );
    assert_eq!(whole["falling"][0]["stretches"], 2);
    let text = bench.says("Oriane", &["pattern", "building"]);
    assert!(text.contains("# 1 of 1: UH-05 3") && text.contains("sooner"), "{text}");
    for line in bench.run("Oriane", &["pattern", "building"]).out.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
}
