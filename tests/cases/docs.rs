//! Generated parts of the documents, kept true: renew them with `UPDATE_FIXTURES=1`.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use client_core::record::body::Kind;
use client_core::record::code;
use client_core::record::field::{FIELDS, Holds, Merge};

fn top() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap().to_path_buf()
}

/// One document at a time: several tests renew parts of the same one.
static ONE: std::sync::Mutex<()> = std::sync::Mutex::new(());

/// Puts a generated part between its marks, or fails when what stands there is not true.
fn keep(document: &str, mark: &str, generated: &str) {
    let _one = ONE.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
    let path = top().join(document);
    let text = std::fs::read_to_string(&path).unwrap();
    let (begin, end) = (format!("<!-- {mark} -->\n"), format!("<!-- end {mark} -->"));
    let from =
        text.find(&begin).unwrap_or_else(|| panic!("{document} lacks {begin}")) + begin.len();
    let to = text.find(&end).unwrap_or_else(|| panic!("{document} lacks {end}"));
    let renewed = format!("{}{generated}{}", &text[..from], &text[to..]);
    if renewed == text {
        return;
    }
    if std::env::var_os("UPDATE_FIXTURES").is_some() {
        std::fs::write(&path, renewed).unwrap();
    } else {
        panic!("{document} is out of date at '{mark}'; run with UPDATE_FIXTURES=1 and look at it");
    }
}

#[test]
fn the_table_of_evidence_is_true() {
    let mut out = String::from("| root | document | on a partly held document |\n|---|---|---|\n");
    for kind in Kind::ALL {
        let home = format!("{:?}", kind.home()).to_lowercase();
        let partial = if kind.on_partial() { "yes" } else { "no" };
        writeln!(out, "| `{}` | {home} | {partial} |", kind.root()).unwrap();
    }
    keep("docs/records.md", "evidence", &out);
}

/// A field of a body: its number, name, type and what it says.
struct Member {
    number: String,
    name: String,
    kind: String,
    says: String,
}

/// Structures of a source file whose fields carry numbers.
fn structures(source: &str) -> Vec<(String, Vec<Member>)> {
    let mut found = vec![];
    let mut name: Option<String> = None;
    let (mut says, mut number) = (String::new(), None);
    let mut members = vec![];
    for line in source.lines().map(str::trim) {
        let own = line.strip_prefix("pub ").unwrap_or(line);
        if let Some(rest) = own.strip_prefix("struct ") {
            name = rest.strip_suffix(" {").map(str::to_owned);
            members = vec![];
            says.clear();
        } else if line == "}" {
            if let Some(name) = name.take().filter(|_| !members.is_empty()) {
                found.push((name, std::mem::take(&mut members)));
            }
        } else if let Some(rest) = line.strip_prefix("/// ") {
            if !says.is_empty() {
                says.push(' ');
            }
            says.push_str(rest);
        } else if let Some(rest) = line.strip_prefix("#[n(") {
            number = rest.strip_suffix(")]").map(str::to_owned);
        } else if name.is_some() && number.is_some() && !line.starts_with("#[") {
            if let (Some((field, kind)), Some(number)) = (own.split_once(": "), number.take()) {
                let kind = kind.trim_end_matches(',').replace("Option<", "").replace('>', "");
                let kind = kind.replace("Vec<", "list of ");
                let says = std::mem::take(&mut says);
                members.push(Member { number, name: field.to_owned(), kind, says });
            }
            says.clear();
        } else if !line.starts_with("#[") {
            says.clear();
        }
    }
    found
}

#[test]
fn the_tables_of_entry_fields_are_true() {
    let mut out = String::new();
    for file in [
        "stamp",
        "body/unit_work",
        "body/visit",
        "body/signed",
        "body/hazard",
        "body/building",
        "body/meta",
    ] {
        let path = top().join(format!("client-core/src/record/{file}.rs"));
        for (name, members) in structures(&std::fs::read_to_string(path).unwrap()) {
            writeln!(out, "\n### {name}\n\n| key | field | holds | says |\n|---|---|---|---|")
                .unwrap();
            for Member { number, name, kind, says } in members {
                let says = says.replace("[`crate::record::doc_id::DocId::to_bytes`]", "`DocId`");
                writeln!(out, "| {number} | {name} | {kind} | {says} |").unwrap();
            }
        }
    }
    out.push('\n');
    keep("docs/records.md", "fields of entries", &out);
}

#[test]
fn the_table_of_registers_is_true() {
    let mut out =
        String::from("| key | document | holds | join | plausible |\n|---|---|---|---|---|\n");
    for def in FIELDS {
        let holds = match def.holds {
            Holds::Figure(unit) => format!("figure, {}", unit.key()),
            Holds::Word(list) => format!("word of {list:?}"),
            other => format!("{other:?}").to_lowercase(),
        };
        let join = match def.merge {
            Merge::Plain => "both shown",
            Merge::Careful(_) => "the more careful word governs",
            Merge::Smaller => "the smaller figure governs",
            Merge::Larger => "the larger figure governs",
            Merge::Farther => "the figure farther from zero governs",
            Merge::Undecided => "nothing governs until settled",
        };
        let range =
            def.range.map_or_else(String::new, |(least, most)| format!("{least} to {most}"));
        let home = format!("{:?}", def.home).to_lowercase();
        writeln!(out, "| `{}` | {home} | {holds} | {join} | {range} |", def.key).unwrap();
    }
    keep("docs/records.md", "registers", &out);
}

macro_rules! words {
    ($out:ident: $($list:ident)*) => {$(
        let words: Vec<String> =
            code::$list::ALL.iter().map(|word| format!("{} `{}`", word.code(), word.key())).collect();
        writeln!($out, "| {} | {} |", stringify!($list), words.join(", ")).unwrap();
    )*};
}

#[test]
fn the_word_lists_are_true() {
    let mut out = String::from("| list | words |\n|---|---|\n");
    words!(
        out: Phase Stage Running Method Status AdvisorySeverity Gas GasPartKind CheckItem CheckResult
        Confidence Root WorkKind System Outcome VisitKind Family VentCategory Mount TargetSource
        QuestionState LockState CrewEvent InstrumentKind Role Training Channel Decision LabourKind
        Quantity
    );
    keep("docs/records.md", "words", &out);
}
