//! The office's commands: sites, units, people, devices, plans; and dangers, questions, putting right.

use client_core::record::code::Role;

use super::bench::{Bench, flat};

#[test]
fn units_come_out_of_a_file_or_not_at_all() {
    let bench = Bench::with_visit("import", 3);
    let file = bench.folder.join("units.csv");
    let bad = "unit_no,family,plate/input,plate_manifold_high,maker,area\n\
               UH-10,isp,175,3.5,Gorsefield,A3\n\
               UH-11,xyz,175,3.5,Gorsefield,A3\n\
               UH-05,isp,1750000,3.5,,\n\
               ,isp,175,3.5,,\n\
               UH-12,isp,175,35 psi,,A9\n\
               UH-10,isp,175,3.5,,\n\
               UH-13,isp\n";
    std::fs::write(&file, bad).unwrap();
    let path = file.display().to_string();
    let ran = bench.run("Oriane", &["unit", "import", &path]);
    let said = flat(&ran.err);
    assert_eq!(ran.code, 1);
    for part in [
        "units.csv, row 3, family: 'xyz': sequence family: 'xyz' is not one of isp, dsi",
        "row 4, unit_no: 'UH-05': there is a unit of this number already",
        "row 4, plate/input: '1750000': this is outside what is usual here",
        "row 5, unit_no: '': a unit needs a number",
        "row 6, plate_manifold_high: '35 psi'",
        "row 6, area: 'A9': no area is called 'A9', there is A3",
        "row 7, unit_no: 'UH-10': stands in the file twice",
        "row 8, row: '': has 2 fields, the heading has 6",
        "nothing was imported",
    ] {
        assert!(said.contains(part), "{part}: {said}");
    }
    assert_eq!(bench.json("Oriane", &["list", "units"]).as_array().unwrap().len(), 3);
    let part = bench.json("Oriane", &["unit", "import", &path, "--partial"]);
    assert_eq!(
        (&part["imported"], part["wrong"].as_array().unwrap().len()),
        (&1.into(), 8),
        "{part}"
    );
    std::fs::write(&file, "unit_no,family\nUH-20,isp\nUH-21,dsi\n").unwrap();
    assert_eq!(
        bench.done("Oriane", &["unit", "import", &path, "--check"]),
        "0 units imported, 2 good rows, 0 wrong\n"
    );
    assert_eq!(
        bench.done("Oriane", &["unit", "import", &path]),
        "2 units imported, 2 good rows, 0 wrong\n"
    );
    assert_eq!(bench.json("Oriane", &["list", "units"]).as_array().unwrap().len(), 6);
    std::fs::write(&file, "family\nisp\n").unwrap();
    let ran = bench.run("Oriane", &["unit", "import", &path]);
    assert!(
        ran.code == 2 && flat(&ran.err).contains("heading: there is no column `unit_no`"),
        "{ran:?}"
    );
    std::fs::write(&file, "unit_no,colour\nU,red\n").unwrap();
    let ran = bench.run("Oriane", &["unit", "import", &path]);
    assert!(
        ran.code == 2 && flat(&ran.err).contains("column 'colour' is no value of a unit"),
        "{ran:?}"
    );
    std::fs::write(&file, b"unit_no\n\xff\xfe\n").unwrap();
    let ran = bench.run("Oriane", &["unit", "import", &path]);
    assert!(ran.code == 1 && flat(&ran.err).contains("row 2"), "{ran:?}");
}

#[test]
fn a_unit_with_evidence_is_never_deleted_but_merged() {
    let bench = Bench::with_visit("merge", 4);
    bench.done("Dov", &["unit", "add", "UH-11", "status=in_service"]);
    bench.exchange(&["Dov", "Ilse"]);
    bench.done("Ilse", &["read", "UH-11", "manifold_high=3.49"]);
    bench.done("Dov", &["unit", "remove", "UH-11", "--because", "made by mistake for UH-05"]);
    bench.exchange(&["Ilse", "Dov", "Oriane"]);
    let found = bench.json("Oriane", &["contradictions"]);
    assert!(found[0]["key"].as_str().unwrap().starts_with("removed/"), "{found}");
    bench.done("Oriane", &["unit", "restore", "UH-11"]);
    let said = bench.refused("Oriane", &["unit", "remove", "UH-11", "--because", "again"]);
    assert!(said.contains("UH-11 has 1 entries and is never deleted"), "{said}");
    assert!(said.contains("dripleg unit merge"), "{said}");
    bench.done("Oriane", &["unit", "merge", "UH-11", "--into", "UH-05", "--because", "one heater"]);
    let units = bench.json("Oriane", &["list", "units"]);
    let merged = units.as_array().unwrap().iter().find(|unit| unit["unit_no"] == "UH-11").unwrap();
    assert!(merged["merged_into"].is_string(), "{merged}");
    assert!(bench.done("Oriane", &["list", "units"]).contains("merged into UH-05"));
    bench.done("Oriane", &["settle", "removed/", "--because", "merged into UH-05"]);
    assert_eq!(bench.json("Oriane", &["contradictions"]), serde_json::json!([]));
    assert_eq!(
        bench.run("Oriane", &["unit", "merge", "UH-05", "--into", "UH-05", "--because", "x"]).code,
        2
    );
}

#[test]
fn devices_are_made_changed_and_taken_away() {
    let bench = Bench::with_visit("devices", 5);
    let refused = bench.refused("Ilse", &["device", "code", "technician"]);
    assert!(refused.contains("this device's role may not order that"), "{refused}");
    let code = bench.json("Oriane", &["device", "code", "technician", "--site", "Ostrel Road"]);
    let link = code["link"].as_str().unwrap().to_owned();
    let text = bench.done("Oriane", &["device", "code", "office", "--person", "Ilse"]);
    assert!(text.starts_with("code  ") && text.contains("link  https://hub.test/join#"), "{text}");
    let joined = bench.json("Ina", &["join", &link, "--name", "Ina", "--label", "pad"]);
    assert_eq!(joined["role"], "technician");
    let number = joined["check_number"].as_str().unwrap();
    assert!(number.len() == 7 && number.replace(' ', "").chars().all(|own| own.is_ascii_digit()));
    let again = bench.run("Else", &["join", &link, "--name", "Else"]);
    assert!(again.code == 1 && flat(&again.err).contains("not valid any more"), "{again:?}");
    let twice = bench.refused("Ina", &["join", &link]);
    assert!(twice.contains("enrolled as"), "{twice}");
    let list = bench.json("Oriane", &["device", "list"]);
    assert_eq!(list.as_array().unwrap().len(), 4);
    assert!(bench.says("Oriane", &["device", "list"]).contains("pad"));
    bench.done("Oriane", &["device", "grant", "pad", "--role", "supervisor"]);
    bench.exchange(&["Ina"]);
    bench.done("Oriane", &["device", "revoke", "pad", "--because", "lost"]);
    bench.done("Ina", &["read", "UH-05", "ambient_co=3"]);
    let ran = bench.run("Ina", &["exchange"]);
    assert!(flat(&ran.err).contains("this device may not write any more: lost"), "{ran:?}");
    bench.exchange(&["Oriane"]);
    let visit = bench.says("Oriane", &["show", "visit"]);
    assert!(
        visit.contains("waiting for a supervisor") && visit.contains("room CO 3 ppm"),
        "{visit}"
    );
    let waiting = visit.split("waiting for a supervisor: ").nth(1).unwrap();
    let entry = waiting.split_whitespace().next().unwrap();
    let said = bench.refused("Oriane", &["vouch", entry]);
    assert!(said.contains("needs a reason"), "{said}");
    bench.done("Oriane", &["vouch", entry, "--because", "the pad was found, Ina typed it"]);
    assert_eq!(bench.json("Oriane", &["show", "visit"])["waiting"], 0);
    assert_eq!(bench.run("Oriane", &["device", "revoke", "nobody", "--because", "x"]).code, 1);
}

#[test]
fn people_are_kept_in_the_directory_and_can_be_erased() {
    let bench = Bench::with_visit("people", 6);
    let person = bench.json(
        "Oriane",
        &["person", "add", "Ansel Brook", "--contact", "gate 2", "--licence", "TF-1"],
    );
    assert_eq!(person["name"], "Ansel Brook");
    bench.done("Oriane", &["person", "licence", "Ilse", "gas heat", "--expires", "2025-01-31"]);
    bench.done("Oriane", &["person", "change", "Ansel", "--contact", "gate 3"]);
    bench.exchange(&["Oriane", "Ilse"]);
    let people = bench.says("Ilse", &["list", "people"]);
    assert!(people.contains("Ansel Brook") && people.contains("gate 3"), "{people}");
    bench.done("Ilse", &["found", "UH-05", "manifold_high=3.5"]);
    let sheet = bench.says("Ilse", &["show", "sheet", "UH-05"]);
    assert!(sheet.contains("license expired 2025-01-31"), "{sheet}");
    bench.done("Oriane", &["person", "erase", "Ansel"]);
    bench.exchange(&["Ilse"]);
    assert!(!bench.done("Ilse", &["list", "people"]).contains("Ansel"));
    assert!(
        bench
            .says("Oriane", &["catalogue", "flame rod", "--code", "R-1", "--counted-in", "n"])
            .contains("flame rod")
    );
    assert!(bench.says("Oriane", &["list", "catalogue"]).contains("R-1"));
    bench.done("Oriane", &["instrument", "add", "N-C1", "co_monitor", "--accuracy", "5 ppm"]);
    bench.done("Oriane", &["instrument", "tried", "N-C1", "test gas 100 ppm", "shows 98"]);
    bench.done("Oriane", &["instrument", "retire", "N-C1", "--because", "dropped"]);
    assert!(bench.says("Oriane", &["list", "instruments"]).contains("out of use"));
    assert_eq!(bench.json("Oriane", &["list", "sites"])[0]["name"], "Ostrel Road");
    assert!(bench.says("Oriane", &["list", "areas"]).contains("salt, moisture"));
    assert!(bench.says("Oriane", &["show", "site"]).contains("elevation: 820 ft"));
    bench.done("Oriane", &["position", "UH-05", "--area", "A3", "--column", "C7"]);
    bench.done("Oriane", &["note", "write", "access", "lift in bay 2", "--of-site"]);
    bench.done("Oriane", &["wish", "longer ladder"]);
    bench.done("Oriane", &["wish", "flame rod", "--unit", "UH-05", "--spare"]);
    bench.done(
        "Oriane",
        &["event", "UH-05", "changed", "outside air duct", "--day", "2025-03", "--by", "the mill"],
    );
    let site = bench.json("Oriane", &["show", "site"]);
    assert!(
        site.to_string().contains("lift in bay 2") && site.to_string().contains("longer ladder")
    );
    assert!(bench.says("Oriane", &["show", "unit", "UH-05"]).contains("outside air duct"));
}

#[test]
fn a_plan_is_split_and_split_again() {
    let bench = Bench::with_visit("plan", 7);
    let visit = bench.json("Oriane", &["show", "visit"]);
    let who: Vec<&str> = visit["units"]
        .as_array()
        .unwrap()
        .iter()
        .map(|unit| unit["assigned"].as_str().unwrap())
        .collect();
    assert_eq!(who, ["Ilse of the test", "Ilse of the test", "Dov of the test"]);
    bench.done(
        "Oriane",
        &["plan", "visit", "no_heat", "2025-10-20", "--assign", "Dov=all", "outdoor_temp=11"],
    );
    let said = bench.refused("Ilse", &["show", "visit", "2025-10-21"]);
    assert!(said.contains("no visit is called '2025-10-21', there is V-1 of 2025-10-09"), "{said}");
    bench.exchange(&["Oriane", "Ilse"]);
    let said = bench.refused("Ilse", &["show", "visit"]);
    assert!(said.contains("name the visit, one of"), "{said}");
    bench.done("Oriane", &["plan", "assign", "Ilse=UH-05", "--visit", "2025-10-20"]);
    let row = bench.says("Oriane", &["show", "visit", "2025-10-20"]);
    assert!(row.contains("outdoor temperature: 11 F"), "{row}");
    bench.done("Ilse", &["here", "2025-10-20"]);
    assert!(bench.says("Ilse", &["here"]).contains("2025-10-20"));
    bench.done("Ilse", &["here", "--none"]);
    assert!(bench.refused("Ilse", &["here"]).contains("no visit is worked on"));
    assert_eq!(bench.json("Ilse", &["list", "visits"]).as_array().unwrap().len(), 2);
    assert!(bench.says("Ilse", &["list", "visits"]).contains("no-heat call"));
    bench.done("Ilse", &["set", "visit", "weather=rain", "--visit", "V-1"]);
}

#[test]
fn a_unit_is_shut_down_told_locked_and_released() {
    let bench = Bench::with_visit("danger", 8);
    let ran =
        bench.run("Dov", &["shut-down", "RT-01", "soot at the seam", "--advise", "exchanger open"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(flat(&ran.err).contains("nobody at the customer's is noted as told"), "{}", ran.err);
    let unit = bench.json("Dov", &["show", "unit", "RT-01"]);
    assert_eq!((&unit["able_to_fire"], &unit["locks_on"]), (&false.into(), &0.into()));
    let blockers = bench.json("Dov", &["blockers"]);
    let keys: Vec<&str> =
        blockers.as_array().unwrap().iter().map(|own| own["key"].as_str().unwrap()).collect();
    assert!(keys.iter().any(|key| key.starts_with("not_told/")), "{keys:?}");
    assert!(keys.iter().any(|key| key.starts_with("not_isolated/")), "{keys:?}");
    let tag = unit["tag_in_force"].as_str().unwrap().to_owned();
    bench.done(
        "Dov",
        &[
            "told",
            "RT-01",
            &tag,
            "shift lead",
            "--how",
            "in_person_and_writing",
            "--decision",
            "accepted",
        ],
    );
    bench.done("Dov", &["lock", "RT-01", "service switch", "--number", "7"]);
    assert_eq!(bench.json("Dov", &["blockers"]), serde_json::json!([]));
    bench.exchange(&["Dov", "Ilse"]);
    let ran = bench.run("Ilse", &["unlock", "RT-01"]);
    assert!(flat(&ran.err).contains("this lock is another person's"), "{ran:?}");
    bench.exchange(&["Ilse", "Dov"]);
    let found = bench.json("Dov", &["contradictions"]);
    assert!(found.to_string().contains("lock/"), "{found}");
    assert!(bench.refused("Dov", &["unlock", "RT-01"]).contains("no lock of RT-01"));
    let lowered = bench.refused("Ilse", &["set", "RT-01", "status=in_service"]);
    assert!(lowered.contains("needs a reason"), "{lowered}");
    let refused = bench.refused("Ilse", &["release", "UH-05", "dry"]);
    assert!(refused.contains("no shut-down record in force"), "{refused}");
    bench.done(
        "Dov",
        &[
            "release",
            "RT-01",
            "exchanger replaced, leak test held",
            "--status",
            "watch",
            "--licence",
            "TF-2",
        ],
    );
    let unit = bench.json("Dov", &["show", "unit", "RT-01"]);
    assert_eq!(
        (&unit["able_to_fire"], &unit["tag_in_force"]),
        (&true.into(), &serde_json::Value::Null)
    );
    let advisory = bench.saved(
        "Dov",
        &["advise", "raise", "RT-01", "urgent", "watch the seam", "--due", "2025-12-01"],
    );
    assert!(
        bench
            .refused("Dov", &["advise", "weigh", "RT-01", &advisory, "note"])
            .contains("needs a reason")
    );
    bench.done(
        "Dov",
        &["advise", "weigh", "RT-01", &advisory, "advise", "--because", "new exchanger"],
    );
    bench.done("Dov", &["advise", "close", "RT-01", &advisory, "looked at after a week, dry"]);
    assert_eq!(bench.run("Dov", &["advise", "close", "RT-01", &tag, "x"]).code, 2);
}

#[test]
fn a_manufacturers_answer_becomes_targets_for_several_units() {
    let bench = Bench::with_visit("answer", 9);
    let question = bench.saved(
        "Ilse",
        &[
            "ask",
            "UH-05",
            "target CO2 at this altitude?",
            "--to",
            "technical desk",
            "--about",
            "flue_co2,flame_current",
        ],
    );
    assert_eq!(
        bench
            .json("Ilse", &["list", "units"])
            .as_array()
            .unwrap()
            .iter()
            .map(|unit| unit["questions"].as_u64().unwrap())
            .sum::<u64>(),
        1
    );
    bench.done(
        "Ilse",
        &[
            "answer",
            "UH-05",
            &question,
            "CO2 6.6-7.4 % at high fire",
            "--day",
            "2024-11-04",
            "--target",
            "flue_co2=6.6..7.4",
            "--target",
            "flue_o2=7.9..9.3",
            "--also",
            "UH-06",
            "--stage",
            "high",
            "--gas",
            "natural",
        ],
    );
    let other = bench.says("Ilse", &["show", "unit", "UH-06"]);
    assert!(other.contains("target flue CO2 6.6 % to 7.4 %"), "{other}");
    assert!(other.contains("maker's written answer"), "{other}");
    bench.done("Ilse", &["found", "UH-06", "flue_o2=10.4", "--stage", "high"]);
    let sheet = bench.says("Ilse", &["show", "sheet", "UH-06"]);
    assert!(
        sheet.contains("flue O2 is over 9.3 % by 1.1 % (maker's written answer of 2024-11-04)"),
        "{sheet}"
    );
    bench.done(
        "Ilse",
        &["target", "RT-01", "draft_differential=..-0.7", "--source", "booklet", "--page", "12"],
    );
    assert!(bench.run("Ilse", &["target", "RT-01", "flue_o2=..", "--source", "booklet"]).code == 2);
    assert_eq!(
        bench.run("Ilse", &["answer", "UH-05", &question, "x", "--source", "rumour"]).code,
        2
    );
}

#[test]
fn entries_are_corrected_and_withdrawn_and_stay_readable() {
    let bench = Bench::with_visit("right", 10);
    let slip = bench
        .saved("Ilse", &["found", "UH-06", "manifold_high=35", "--because", "as the gauge showed"]);
    bench.exchange(&["Ilse", "Dov", "Oriane"]);
    let said = bench.refused("Dov", &["correct", &slip, "3.5", "--because", "point"]);
    assert!(said.contains("was entered by another person"), "{said}");
    assert!(bench.refused("Ilse", &["correct", &slip, "3.5"]).contains("needs a reason"));
    bench.done("Ilse", &["correct", &slip, "3.5", "--because", "point one place off"]);
    let sheet = bench.says("Ilse", &["show", "sheet", "UH-06"]);
    assert!(sheet.contains("35 in w.c.") && sheet.contains("CORRECTED"), "{sheet}");
    let check = bench.saved("Ilse", &["check", "UH-06", "leak_check=pass"]);
    bench.done("Ilse", &["correct", &check, "fail"]);
    let work = bench.saved("Ilse", &["work", "UH-06", "cleaned"]);
    assert!(
        bench.refused("Ilse", &["correct", &work, "x"]).contains("are not corrected: withdraw")
    );
    bench.done("Ilse", &["withdraw", &work, "--because", "it was UH-05"]);
    let photo = bench.folder.join("plate.jpg");
    std::fs::write(&photo, b"not really a picture").unwrap();
    let photo = photo.display().to_string();
    bench.done("Ilse", &["photo", "UH-06", &photo, "--subject", "plate"]);
    assert!(bench.refused("Ilse", &["photo", "UH-06", "/no/such/file"]).contains("cannot be read"));
    bench.done("Ilse", &["symptom", "UH-06", "other", "smells of salt"]);
    bench.done(
        "Ilse",
        &["gas-part", "UH-06", "main_orifice", "42", "--gas", "natural", "--count", "7"],
    );
    let note = bench.saved("Ilse", &["note", "write", "job", "Locks out.", "--unit", "UH-06"]);
    bench.exchange(&["Ilse", "Dov"]);
    bench.done("Dov", &["note", "edit", &note, "Locks out. Crust on rod."]);
    bench.done("Ilse", &["note", "edit", &note, "Locks out, twice on Monday."]);
    bench.exchange(&["Ilse", "Dov", "Ilse"]);
    let found = bench.json("Ilse", &["contradictions"]);
    assert!(found.to_string().contains("two people edited this text"), "{found}");
    bench.done("Ilse", &["note", "seen", &note, "--because", "reads well"]);
    assert_eq!(bench.json("Ilse", &["contradictions"]), serde_json::json!([]));
    let history = bench.json("Ilse", &["history", "UH-06"]);
    assert_eq!(history[0]["found"][0]["value"]["value"], "3.5", "{history}");
    assert!(
        bench
            .says("Ilse", &["history", "UH-06", "--quantity", "manifold_high"])
            .contains("3.5 in w.c.")
    );
    let query = bench.saved("Oriane", &["query", "panel on?", "--unit", "UH-06"]);
    bench.exchange(&["Oriane", "Ilse"]);
    bench.done("Ilse", &["reply", &query, "on"]);
    assert_eq!(bench.run("Ilse", &["reply", &note, "on"]).code, 2);
}

#[test]
fn an_exception_lets_an_item_pass_when_a_supervisor_says_so() {
    let bench = Bench::with_visit("except", 11);
    bench.done("Ilse", &["work", "UH-05", "repaired", "--touched", "gas_joint"]);
    let said = bench.refused("Ilse", &["sign"]);
    assert!(said.contains("a gas joint was opened and no leak check passed"), "{said}");
    assert!(
        bench
            .refused("Ilse", &["except", "nothing", "--because", "x"])
            .contains("blocks nothing here")
    );
    assert!(bench.refused("Ilse", &["except", "leak_check"]).contains("needs a reason"));
    let ran = bench.run("Ilse", &["except", "leak_check", "--because", "shut off"]);
    assert!(ran.code == 0 && flat(&ran.err).contains("only a supervisor's"), "{ran:?}");
    assert_eq!(bench.run("Ilse", &["sign"]).code, 1);
    bench.exchange(&["Ilse", "Oriane"]);
    let blockers = bench.json("Oriane", &["blockers"]);
    for own in blockers.as_array().unwrap() {
        let key = own["key"].as_str().unwrap();
        bench.done("Oriane", &["except", key, "--because", "cock closed, Dov comes tomorrow"]);
    }
    assert!(bench.says("Oriane", &["blockers"]).contains("excepted: cock closed"));
    bench.done("Oriane", &["sign"]);
    assert_eq!(bench.json("Oriane", &["show", "visit"])["released"], true);
}

#[test]
fn roles_without_a_name_are_asked_for_one() {
    let bench = Bench::new("nameless", 12);
    let code = bench.code(Role::Technician, None);
    let said = bench.refused("Ilse", &["join", "https://hub.test", &code]);
    assert!(said.contains("give a name"), "{said}");
    bench.done("Ilse", &["join", "https://hub.test", &code, "--name", "Ilse"]);
    bench.exchange(&["Ilse"]);
    assert!(bench.says("Ilse", &["status"]).contains("Ilse, technician"));
    assert_eq!(bench.json("Ilse", &["status"])["role"], "technician");
    assert_eq!(bench.json("Ilse", &["quarantine"]), serde_json::json!([]));
    assert_eq!(bench.done("Ilse", &["quarantine"]), "nothing is in quarantine\n");
}
