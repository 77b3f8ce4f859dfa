//! Texts that a terminal must not obey, JSON that is JSON, and documents that are true.

use std::path::Path;

use super::bench::Bench;

const HOSTILE: &[&str] = &[
    "\u{1b}[2J\u{1b}]0;owned\u{7}",
    "\u{9b}31mred",
    "a\u{202e}gpj.exe",
    "\u{2066}x\u{2069}\u{200b}\u{feff}",
    "line\none\r\ttwo",
    "\u{0}\u{8}\u{7f}",
    "{\"json\": \"no\"}",
    "'; rm -rf / #",
    "𝔘𝔫𝔦\u{e0041}\u{301}\u{301}\u{301}",
    "%s%n {} \\x1b",
];

#[test]
fn hostile_text_reaches_no_terminal_and_breaks_nothing() {
    let bench = Bench::with_visit("hostile", 30);
    for text in HOSTILE {
        let words = [text];
        bench.done("Ilse", &["note", "write", text, words[0], "--unit", "UH-05"]);
        bench.done("Ilse", &["part", "UH-05", text, "--number", text, "--source", text]);
        bench.done("Ilse", &["advise", "raise", "UH-05", "note", text]);
        bench.done("Ilse", &["set", "UH-05", &format!("maker={text}"), "--because", text]);
        bench.done("Ilse", &["wish", text]);
        bench.done("Ilse", &["lock", "UH-05", text]);
        // Refused, listed and named: the sentences carry what was typed.
        for words in [
            &["found", text, "manifold_high=3.5"][..],
            &["found", "UH-05", &format!("{text}=3.5")],
            &["found", "UH-05", &format!("manifold_high={text}")],
            &["show", "visit", text],
            &["withdraw", text, "--because", text],
            &["settle", text, text, "--because", text],
            &["except", text, "--because", text],
            &["draft", "resume", text],
            &["calc", text],
            &["calc", "output", &format!("{text}=1")],
            &["fault", "steps", text],
            &["exchange", "--whole", text],
            &["join", text, text],
            &[text],
        ] {
            let ran = bench.run("Ilse", words);
            assert!(matches!(ran.code, 1 | 2), "{words:?}: {ran:?}");
        }
    }
    bench.done("Oriane", &["unit", "add", HOSTILE[0], &format!("model={}", HOSTILE[2])]);
    bench.exchange(&["Ilse", "Oriane", "Ilse"]);
    for words in [
        &["show", "sheet", "UH-05"][..],
        &["show", "unit", "UH-05"],
        &["show", "visit"],
        &["show", "site"],
        &["list", "units"],
        &["draft", "list"],
        &["history", "UH-05"],
        &["contradictions"],
        &["blockers"],
        &["where"],
        &["status"],
    ] {
        let human = bench.done("Ilse", words);
        assert!(
            !human.contains(['\u{202e}', '\u{2066}', '\u{200b}', '\u{feff}', '\u{e0041}']),
            "{words:?}"
        );
        let value = bench.json("Ilse", words);
        if words.contains(&"sheet") {
            let text = value["texts"].as_array().unwrap();
            assert!(
                text.iter().any(|own| own["text"] == HOSTILE[0]),
                "JSON keeps the text: {value}"
            );
        }
    }
}

#[test]
fn every_command_has_help_that_fits() {
    let bench = Bench::new("help", 31);
    let mut all = vec![];
    names(&cli::args::command(), &mut vec![], &mut all);
    assert!(all.len() > 70, "{}", all.len());
    for path in all {
        let words: Vec<&str> = path.iter().map(String::as_str).chain(["--help"]).collect();
        let help = bench.done("nobody", &words);
        assert!(help.contains("Usage: dripleg"), "{words:?}");
        let first = help.lines().next().unwrap();
        assert!(!first.trim().is_empty() && !first.starts_with("Usage"), "{words:?} has no words");
    }
    assert!(bench.done("nobody", &["--version"]).starts_with("dripleg "));
    assert_eq!(bench.run("nobody", &[]).code, 2);
}

/// Every command with a path to it.
fn names(command: &clap::Command, path: &mut Vec<String>, all: &mut Vec<Vec<String>>) {
    for sub in command.get_subcommands() {
        path.push(sub.get_name().to_owned());
        all.push(path.clone());
        names(sub, path, all);
        path.pop();
    }
}

#[test]
fn completions_and_manual_pages_are_made() {
    let bench = Bench::new("made", 32);
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let text = bench.done("nobody", &["completions", shell]);
        assert!(text.contains("dripleg") && text.contains("shut-down"), "{shell}");
    }
    let page = bench.done("nobody", &["man"]);
    assert!(page.contains(".TH dripleg 1"), "{page}");
    assert!(bench.done("nobody", &["man", "unit", "import"]).contains("CSV"));
    assert_eq!(bench.run("nobody", &["man", "fly"]).code, 2);
}

/// `docs/cli.md` says what the program says. `UPDATE_FIXTURES=1` writes it anew.
#[test]
fn the_reference_is_true() {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("../docs/cli.md");
    let made = cli::commands::man::markdown();
    if std::env::var_os("UPDATE_FIXTURES").is_some() {
        std::fs::write(&file, &made).unwrap();
    }
    let kept = std::fs::read_to_string(&file).unwrap();
    assert!(
        made == kept,
        "docs/cli.md is not what `dripleg man --markdown` prints: run with UPDATE_FIXTURES=1"
    );
}

/// Every command of the technician's guide is carried out as it stands there, but for those that need the
/// guide's own hub and entries.
#[test]
fn the_guide_is_true() {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("../docs/guides/technician.md");
    let text = std::fs::read_to_string(file).unwrap();
    let bench = Bench::with_visit("guide", 36);
    let mut carried_out = 0;
    for line in text.lines() {
        let Some(line) = line.strip_prefix("$ dripleg ") else { continue };
        let words: Vec<String> = shlex::split(line).unwrap();
        let words: Vec<&str> = words.iter().map(String::as_str).collect();
        if matches!(words[0], "join" | "exchange" | "settle" | "here") {
            continue;
        }
        let ran = bench.run("Ilse", &words);
        assert!(ran.code == 0, "{line}: {}", ran.err);
        carried_out += 1;
    }
    assert!(carried_out > 12, "{carried_out}");
}

#[test]
fn lists_of_words_are_printed() {
    let bench = Bench::new("words", 33);
    for list in ["quantities", "checks", "causes", "symptoms", "values"] {
        assert!(bench.json("nobody", &["words", list]).as_array().unwrap().len() > 10, "{list}");
        assert!(bench.done("nobody", &["words", list]).lines().count() > 10, "{list}");
    }
    assert!(bench.done("nobody", &["words", "quantities"]).contains("manifold_high"));
}

#[test]
fn colours_stand_only_where_they_are_wanted() {
    let bench = Bench::with_visit("colour", 34);
    bench.done("Ilse", &["shut-down", "UH-05", "soot"]);
    assert!(!bench.done("Ilse", &["show", "unit", "UH-05"]).contains('\u{1b}'));
    let words = ["show", "unit", "UH-05", "--color", "always"];
    let coloured = bench.coloured("Ilse", &words);
    assert!(coloured.contains("\u{1b}["), "{coloured}");
    assert!(coloured.contains("SHUT DOWN"), "the word says it without the colour");
    let never = bench.done("Ilse", &["show", "unit", "UH-05", "--color", "never"]);
    assert!(never.contains("SHUT DOWN") && !never.contains('\u{1b}'));
}

/// Every command that does something stands in a case here.
#[test]
fn every_command_has_a_case() {
    let sources = [
        include_str!("bench.rs"),
        include_str!("day.rs"),
        include_str!("input.rs"),
        include_str!("office.rs"),
        include_str!("paper.rs"),
        include_str!("pictures.rs"),
        include_str!("process.rs"),
        include_str!("sums.rs"),
        include_str!("text.rs"),
    ];
    let sources: String =
        sources.iter().flat_map(|text| text.chars()).filter(|own| !own.is_whitespace()).collect();
    let mut all = vec![];
    names(&cli::args::command(), &mut vec![], &mut all);
    let begins = |longer: &Vec<String>, path: &Vec<String>| {
        longer.len() > path.len() && longer.starts_with(path)
    };
    let leaves = all.iter().filter(|path| !all.iter().any(|longer| begins(longer, path)));
    let missing: Vec<&Vec<String>> = leaves
        .filter(|path| {
            let quoted: Vec<String> = path.iter().map(|word| format!("\"{word}\"")).collect();
            !sources.contains(&quoted.join(","))
        })
        .collect();
    assert!(missing.is_empty(), "{missing:?}");
}

#[test]
fn documents_are_fetched_whole_when_they_are_named() {
    let bench = Bench::with_visit("whole", 35);
    bench.done("Ilse", &["found", "UH-05", "manifold_high=3.5"]);
    bench.exchange(&["Ilse", "Oriane"]);
    let sheet = bench.json("Oriane", &["show", "sheet", "UH-05"]);
    let doc = format!(
        "{}/sheet/{}/{}",
        bench.json("Oriane", &["list", "sites"])[0]["site"].as_str().unwrap(),
        sheet["visit"].as_str().unwrap(),
        sheet["unit"].as_str().unwrap()
    );
    for name in ["V-1", "UH-05", &doc] {
        let got = bench.json("Oriane", &["exchange", "--whole", name]);
        assert_eq!(got["not_here"], serde_json::json!([]), "{name}: {got}");
        // What is here whole already is not taken twice; that the hub sent it shows in the bytes.
        assert!(got["bytes_down"].as_u64().unwrap() > 150, "{name}: {got}");
    }
}
