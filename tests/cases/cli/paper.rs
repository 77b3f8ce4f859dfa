//! Reports and exports from the command line.

use serde_json::Value;

use super::bench::Bench;

fn bench(name: &str) -> Bench {
    let bench = Bench::with_visit(name, 37);
    bench.done("Ilse", &["found", "UH-05", "manifold_high=3.6", "flue_o2=8.4", "flue_co=30"]);
    bench.done("Ilse", &["part", "UH-05", "=flame rod", "--number=-1"]);
    bench.done("Ilse", &["ask", "UH-05", "target CO2 at this altitude?"]);
    let shut = bench
        .run("Ilse", &["shut-down", "RT-01", "soot at the seam", "--advise", "exchanger open"]);
    assert_eq!(shut.code, 0, "{}", shut.err);
    bench
}

/// Output for files, which is wider than a terminal.
fn wide(bench: &Bench, words: &[&str]) -> String {
    let ran = bench.run("Ilse", words);
    assert_eq!(ran.code, 0, "{words:?}: {}", ran.err);
    ran.out
}

#[test]
fn every_report_comes_as_text_and_as_a_page() {
    let bench = bench("paper-reports");
    for words in [
        &["report", "customer"][..],
        &["report", "visit"],
        &["report", "unit", "UH-05"],
        &["report", "question", "UH-05"],
        &["report", "morning"],
        &["report", "restock"],
        &["report", "differences"],
        &["report", "column", "UH-05", "--next", "2026-10-01"],
        &["report", "shut-down", "RT-01"],
        &["report", "flue", "UH-05"],
    ] {
        let text = bench.done("Ilse", words);
        assert!(text.lines().all(|line| line.chars().count() <= 80), "{words:?}: {text}");
        for lang in ["fr", "es"] {
            let own = bench.done("Ilse", &[words, &["--lang", lang][..]].concat());
            assert_ne!(own, text, "{words:?}");
        }
        let page = wide(&bench, &[words, &["--format", "html", "--units", "si"][..]].concat());
        assert!(page.starts_with("<!DOCTYPE html>"), "{words:?}");
    }
}

#[test]
fn a_firm_is_named_once_and_a_report_that_cannot_be_says_why() {
    let bench = bench("paper-firm");
    bench.done("Ilse", &["report", "customer", "--firm", "Quillhatch", "--firm-phone", "555 0100"]);
    let slip = bench.done("Ilse", &["report", "shut-down", "RT-01"]);
    assert!(slip.contains("DO NOT USE") && slip.contains("CALL 555 0100"), "{slip}");
    for (words, says) in [
        (&["report", "shut-down", "UH-05"][..], "no shut-down record"),
        (&["report", "flue", "RT-01"], "no flue figure"),
        (&["report", "question", "RT-01"], "question"),
        (&["report", "customer", "--lang", "tlh"], "en, fr, es"),
        (&["report", "customer", "--format", "pdf"], "--out FILE"),
    ] {
        let ran = bench.run("Ilse", words);
        assert!(ran.code > 0 && ran.err.contains(says), "{words:?}: {ran:?}");
    }
}

#[test]
fn exports_are_rows_and_json_with_their_schema() {
    let bench = bench("paper-exports");
    let csv = wide(&bench, &["export", "lines"]);
    assert!(csv.starts_with("id,state,site,visit,unit,kind,"), "{csv}");
    // A spreadsheet must not work out what somebody typed.
    assert!(!csv.contains(",=") && csv.contains(",'-1,"), "{csv}");
    let lines: Value =
        serde_json::from_str(&wide(&bench, &["export", "lines", "--format", "json"])).unwrap();
    assert_eq!(lines["lines"].as_array().unwrap().len(), csv.lines().count() - 1);
    let open = wide(&bench, &["export", "open", "--on", "2026-01-01"]);
    for kind in ["question", "shut_down", "advice"] {
        assert!(open.contains(kind), "{open}");
    }
    let visit: Value = serde_json::from_str(&wide(&bench, &["export", "visit"])).unwrap();
    assert_eq!(visit["format"], "dripleg.visit/1");
    for of in ["lines", "open", "visit"] {
        let schema: Value = serde_json::from_str(&wide(&bench, &["export", "schema", of])).unwrap();
        assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
    }
    let file = bench.folder.join("visit.json");
    wide(&bench, &["export", "visit", "--out", &file.display().to_string()]);
    assert_eq!(
        serde_json::from_str::<Value>(&std::fs::read_to_string(file).unwrap()).unwrap(),
        visit
    );
}
