//! Bad input: what was typed is answered with a sentence, kept as a draft, and nothing is saved.

use super::bench::{Bench, flat};

#[test]
#[expect(clippy::too_many_lines, reason = "a table")]
fn bad_input_is_answered_and_changes_nothing() {
    let bench = Bench::with_visit("input", 20);
    let table: &[(&[&str], u8, &str)] = &[
        (&["found", "UH-05"], 2, "required"),
        (
            &["found", "UH-99", "manifold_high=3.5"],
            1,
            "no unit is called 'UH-99', there is RT-01 (",
        ),
        (&["found", "UH-0", "manifold_high=3.5"], 1, "'UH-0' may be 2 units: UH-05"),
        (&["found", "UH-05", "manifold_high"], 2, "not of the form key=value"),
        (&["found", "UH-05", "manifold=3.5"], 2, "did you mean manifold_high"),
        (&["found", "UH-05", "manifold_high=wet"], 2, "does not begin with a number"),
        (&["found", "UH-05", "manifold_high=3.5 F"], 2, "does not fit a field in in_wc"),
        (&["found", "UH-05", "manifold_high=3.5 smoots"], 2, "not a unit known here"),
        (&["found", "UH-05", "manifold_high=1,234"], 2, "can be read two ways"),
        (
            &["found", "UH-05", "manifold_high=35"],
            1,
            "is the point one place off (expected is about 3.5 in w.c.)?",
        ),
        (&["found", "UH-05", "ambient_co=90000"], 1, "outside what is usual here"),
        (
            &["found", "UH-05", "manifold_high=3.5", "--with", "N-Z9"],
            1,
            "no instrument is called 'N-Z9'",
        ),
        (
            &["found", "UH-05", "manifold_high=3.5", "--visit", "V-9"],
            1,
            "no visit is called 'V-9', there is V-1",
        ),
        (&["found", "UH-05", "manifold_high=3.5", "--at", "yesterday"], 2, "is not a moment"),
        (
            &["found", "UH-05", "manifold_high=3.5", "--for", "Nobody"],
            1,
            "no person is called 'Nobody'",
        ),
        (
            &["found", "UH-05", "manifold_high=3.5", "--stage", "mid"],
            2,
            "use one of off, pilot, low",
        ),
        (&["check", "UH-05", "leak_check"], 2, "not of the form"),
        (&["check", "UH-05", "leak_check=fine"], 2, "use one of pass, fail, not_done"),
        (&["check", "UH-05", "soap=pass"], 2, "use one of leak_check"),
        (&["finding", "UH-05", "rod"], 2, "did you mean"),
        (&["finding", "UH-05", "other"], 2, "needs words"),
        (&["symptom", "UH-05", "sad"], 2, "is not a symptom"),
        (&["work", "UH-05", "danced"], 2, "use one of cleaned"),
        (&["work", "UH-05", "cleaned", "--touched", "gas"], 2, "use one of gas_joint"),
        (&["adjust", "UH-05", "manifold_high"], 2, "not of the form"),
        (&["part", "UH-05", "rod", "--quantity", "many"], 2, "does not begin with a number"),
        (&["labour", "-5"], 2, "unexpected argument"),
        (&["labour", "60", "--start", "8 o'clock"], 2, "is not a day"),
        (&["close", "UH-05", "not_reached"], 1, "needs a reason"),
        (&["set", "UH-05", "plate/input=9"], 1, "outside what is usual here"),
        (&["set", "UH-05", "plate/inputs=175"], 2, "is not kept here"),
        (&["set", "UH-05", "plate/input=hot"], 1, "plate input"),
        (&["set", "UH-05", "status=fine"], 1, "'fine' is not one of in_service"),
        (&["correct", "zzzzzz.1", "3.5", "--because", "x"], 1, "no entry is called 'zzzzzz.1'"),
        (&["withdraw", "zzzzzz.1"], 1, "no entry is called"),
        (&["settle", "unit/status", "watch", "--because", "x"], 1, "no contradiction has the key"),
        (&["answer", "UH-05", "zzzzzz.1", "x"], 1, "no entry is called"),
        (&["note", "write", "job", "  "], 1, "nothing to enter"),
        (&["query", " "], 1, "nothing to enter"),
        (&["reopen", "--because", "x"], 1, "the visit is not signed"),
        (&["event", "UH-05", "changed", "x", "--day", "2025-13"], 1, "not in the calendar"),
        (&["unit", "import", "/no/such.csv"], 1, "cannot be read"),
        (&["plan", "visit", "picnic", "2025-10-09"], 2, "use one of pre_season"),
        (&["plan", "visit", "repair", "09.10.2025"], 2, "is not a day"),
        (&["instrument", "add", "N-1", "wand"], 2, "use one of flue_gas_analyser"),
        (&["instrument", "calibrated", "N-1", "2025-01-01"], 1, "no instrument is called"),
        (&["show", "site", "Nowhere"], 1, "no site is called 'Nowhere', there is Ostrel Road"),
        (&["exchange", "--whole", "nothing"], 1, "neither a visit, a unit nor a document"),
        (&["draft", "resume", "99"], 1, "there is no draft '99'"),
        (&["fly"], 2, "unrecognized subcommand"),
        (&["join", "https://hub.test", "k7029111"], 1, "enrolled as"),
        (&["join", "not a hub", "k7029111"], 1, "not an address of a hub"),
        (&["join", "https://hub.test"], 2, "give the code"),
    ];
    let before = entries(&bench);
    for (words, code, says) in table {
        let ran = bench.run("Ilse", words);
        let said = flat(&ran.err);
        assert_eq!(ran.code, *code, "{words:?}: {said}");
        assert!(said.contains(says), "{words:?}: '{said}' does not say '{says}'");
        assert_eq!(ran.out, "", "{words:?}");
    }
    assert_eq!(entries(&bench), before, "something was saved");
}

fn entries(bench: &Bench) -> u64 {
    let all = bench.json("Ilse", &["where"]);
    ["on_this_device", "offered", "on_the_hub"].iter().map(|key| all[key].as_u64().unwrap()).sum()
}

#[test]
fn what_is_refused_is_a_draft_that_can_be_gone_on_with() {
    let bench = Bench::with_visit("drafts", 21);
    let said = bench.refused("Ilse", &["found", "UH-05", "manifold_high=35", "--note", "it's odd"]);
    assert!(said.contains("kept as draft 1"), "{said}");
    assert!(bench.refused("Ilse", &["close", "UH-05", "not_reached"]).contains("kept as draft 2"));
    let list = bench.json("Ilse", &["draft", "list"]);
    assert_eq!(list.as_array().unwrap().len(), 2);
    assert_eq!(list[0]["typed"][3], "--note");
    let text = bench.says("Ilse", &["draft", "list"]);
    assert!(text.contains("dripleg found UH-05 manifold_high=35 --note 'it'\\''s odd'"), "{text}");
    // Going on without what was missing keeps the same draft.
    assert!(bench.refused("Ilse", &["draft", "resume", "1"]).contains("kept as draft 1"));
    assert_eq!(bench.json("Ilse", &["draft", "list"]).as_array().unwrap().len(), 2);
    let out = bench.done("Ilse", &["draft", "resume", "1", "--because", "gauge in other units"]);
    assert!(out.contains("unusual: gauge in other units"), "{out}");
    bench.done("Ilse", &["draft", "drop", "2"]);
    assert_eq!(bench.json("Ilse", &["draft", "list"]), serde_json::json!([]));
    assert_eq!(bench.done("Ilse", &["draft", "list"]), "");
    assert!(bench.refused("Ilse", &["draft", "drop", "2"]).contains("there is no draft '2'"));
    // A value typed again takes the place of the one that was refused.
    let ran = bench.run("Ilse", &["left", "UH-05", "manifold_high=3,,5", "inlet_flowing=7.1"]);
    assert!(ran.code == 2 && ran.err.contains("kept as draft 1"), "{ran:?}");
    let out = bench.done("Ilse", &["draft", "resume", "1", "manifold_high=3.5"]);
    assert!(out.contains("3.5") && out.contains("7.1"), "{out}");
}

#[test]
fn a_person_at_a_terminal_is_asked() {
    let mut bench = Bench::with_visit("asked", 22);
    bench.types = Some("the gauge showed it\n".to_owned());
    let ran = bench.run("Ilse", &["found", "UH-05", "manifold_high=35"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(flat(&ran.err).contains("is the point one place off?"), "{}", ran.err);
    assert!(flat(&ran.out).contains("unusual: the gauge showed it"), "{}", ran.out);
    bench.types = Some("\n".to_owned());
    let ran = bench.run("Ilse", &["left", "UH-05", "manifold_high=35"]);
    assert!(ran.code == 1 && ran.err.contains("kept as draft"), "{ran:?}");
    // With --json nobody is asked: a program reads along.
    let ran = bench.run("Ilse", &["left", "UH-05", "manifold_high=35", "--json"]);
    assert!(ran.code == 1 && ran.out.is_empty(), "{ran:?}");
}

#[test]
fn many_commands_run_in_one_go_and_stop_where_one_is_not_done() {
    let bench = Bench::with_visit("lines", 23);
    let file = bench.folder.join("day.txt");
    let text = "# the morning\n\nfound UH-05 manifold_high=3.5 'flue_o2=8.4 %'\nnote write job \"don't light\" --unit UH-05\ncheck UH-05 spill=maybe\nclaim UH-05\n";
    std::fs::write(&file, text).unwrap();
    let path = file.display().to_string();
    let ran = bench.run("Ilse", &["lines", &path]);
    assert_eq!(ran.code, 1);
    assert!(flat(&ran.err).contains("day.txt, line 5: not done"), "{}", ran.err);
    assert_eq!(ran.out.lines().count(), 3, "{}", ran.out);
    let ran = bench.run("Ilse", &["lines", &path, "--go-on"]);
    assert!(flat(&ran.err).contains("1 lines were not done"), "{}", ran.err);
    std::fs::write(&file, "claim 'UH-05\n").unwrap();
    assert!(bench.refused("Ilse", &["lines", &path]).contains("a quote is opened and not closed"));
    std::fs::write(&file, format!("lines {path}\n")).unwrap();
    assert!(bench.refused("Ilse", &["lines", &path]).contains("too deep"));
    // One session for all of them: one delivery.
    let mut bench = Bench::with_visit("session", 24);
    bench.types = Some("claim UH-05\nclaim UH-06\nclaim RT-01\n".to_owned());
    bench.done("Ilse", &["lines"]);
    bench.types = None;
    assert_eq!(bench.json("Ilse", &["exchange"])["sent_deliveries"], 1);
}

#[test]
fn nothing_is_there_before_somebody_joins() {
    let bench = Bench::new("nobody", 25);
    for words in
        [&["status"][..], &["list", "units"], &["found", "U", "manifold_high=3.5"], &["exchange"]]
    {
        let said = bench.refused("Ilse", words);
        assert!(
            said.contains("there is no store at") && said.contains("dripleg join"),
            "{words:?}: {said}"
        );
    }
    // A code that is not valid leaves a store without a device; the next try goes on from there.
    let said = bench.refused("Ilse", &["join", "https://hub.test", "k7029111", "--name", "Ilse"]);
    assert!(said.contains("not valid any more"), "{said}");
    let said = bench.refused("Ilse", &["status"]);
    assert!(said.contains("not enrolled") && said.contains("dripleg join ADDRESS CODE"), "{said}");
    bench.silent.set(true);
    assert!(
        bench.refused("Ilse", &["join", "https://hub.test", "k7029111"]).contains("did not answer")
    );
    bench.silent.set(false);
    bench.join("Ilse", client_core::record::code::Role::Technician);
    bench.done("Ilse", &["status"]);
}

#[test]
fn a_full_disk_keeps_what_was_typed_beside_the_store() {
    let bench = Bench::with_visit("full", 26);
    bench.full.set(true);
    let said = bench.refused("Ilse", &["note", "write", "job", "rod wet", "--unit", "UH-05"]);
    assert!(said.contains("the disk is full"), "{said}");
    assert!(said.contains("what was typed is kept beside it"), "{said}");
    // There is room for one; the next stays on the screen.
    let said = bench.refused("Ilse", &["claim", "UH-05"]);
    assert!(said.contains("what was typed was: dripleg claim UH-05"), "{said}");
    bench.full.set(false);
    let ran = bench.run("Ilse", &["status"]);
    assert!(
        flat(&ran.err).contains("what was typed while the disk was full is draft 1"),
        "{ran:?}"
    );
    let out = bench.done("Ilse", &["draft", "resume", "1"]);
    assert!(out.contains("note on job"), "{out}");
    assert_eq!(bench.json("Ilse", &["draft", "list"]), serde_json::json!([]));
}
