//! `docs/trade.md` says what the sums do and how far they are off: its tables are made from the code and
//! the stored references, and this case keeps them true. `UPDATE_FIXTURES=1` writes them anew.

use super::golden::{Worst, deviations};
use client_core::trade::calc::all;
use client_core::trade::calc::argument::Default;
use client_core::trade::formula::FORMULAS;
use std::fmt::Write;
use std::path::{Path, PathBuf};
use tests::fixture::Tolerance;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// The formulas, one a row.
fn formulas() -> String {
    let mut text = String::from(
        "| formula | works out | how | source | where it holds | function | test |\n\
         |---|---|---|---|---|---|---|\n",
    );
    for formula in FORMULAS {
        writeln!(
            text,
            "| `{}` | {} | {} | {} | {} | `{}` | `{}` |",
            formula.stamp(),
            formula.name,
            formula.expression.replace('|', "\\|"),
            formula.source,
            formula.range,
            formula.function,
            formula.test,
        )
        .unwrap();
    }
    text
}

/// The calculations by name, one a row.
fn calculations() -> String {
    let mut text = String::from("| name | answers | takes |\n|---|---|---|\n");
    for calculation in all() {
        let takes: Vec<String> = calculation
            .parameters
            .iter()
            .map(|parameter| {
                let unit = parameter.unit.map_or(String::new(), |unit| format!(" {}", unit.key()));
                match parameter.default {
                    Default::Required => format!("`{}`{unit}", parameter.key),
                    Default::Optional => format!("`{}`{unit} (or none)", parameter.key),
                    Default::Text(text) => format!("`{}`{unit} ({text})", parameter.key),
                }
            })
            .collect();
        let takes = takes.join(", ");
        writeln!(text, "| `{}` | {} | {takes} |", calculation.name, calculation.about).unwrap();
    }
    text
}

/// The worst deviations, one column of a stored table a row.
fn worst() -> String {
    let mut text = String::from(
        "| table | column | rows | worst deviation | allowed | share of it |\n\
         |---|---|---|---|---|---|\n",
    );
    for own in deviations().iter().filter(|own| own.tolerance.is_some()) {
        let (off, allowed) = told(own);
        let share = own.share.map_or(String::new(), |share| match share {
            share if share < 0.001 => "under 0.1 %".to_owned(),
            share => format!("{:.1} %", 100.0 * share),
        });
        writeln!(
            text,
            "| `{}` | `{}` | {} | {off} | {allowed} | {share} |",
            own.table, own.column, own.rows
        )
        .unwrap();
    }
    text
}

fn told(own: &Worst) -> (String, String) {
    // A figure at the last digit stored is noise of the reference: it is not printed digit by digit.
    let size = |figure: f64, floor: f64, kind: &str| {
        if figure < floor {
            format!("under {floor:.0e} {kind}")
        } else {
            format!("{figure:.1e} {kind}")
        }
    };
    match &own.tolerance {
        Some(Tolerance::Within { relative, absolute, only }) => {
            let off = if *relative > 0.0 && *absolute == 0.0 {
                size(own.relative, 1e-8, "relative")
            } else {
                size(own.absolute, 1e-7, "absolute")
            };
            let mut allowed = match (*relative > 0.0, *absolute > 0.0) {
                (true, true) => format!("{relative:e} relative or {absolute:e} absolute"),
                (true, false) => format!("{relative:e} relative"),
                (false, _) => format!("{absolute:e} absolute"),
            };
            if let Some((_, word)) = only {
                write!(allowed, ", {word} rows").unwrap();
            }
            (off, allowed)
        }
        _ => ("none".to_owned(), "the same".to_owned()),
    }
}

/// The text with the block between two marks made anew.
fn with_block(text: &str, name: &str, block: &str) -> String {
    let (open, close) = (format!("<!-- {name} -->\n"), format!("<!-- end of {name} -->"));
    let start = text.find(&open).unwrap_or_else(|| panic!("no mark {open}")) + open.len();
    let end = text.find(&close).unwrap_or_else(|| panic!("no mark {close}"));
    [&text[..start], block, &text[end..]].concat()
}

#[test]
fn document_of_the_sums_is_current() {
    let path = root().join("docs/trade.md");
    let text = std::fs::read_to_string(&path).unwrap();
    let blocks =
        [("calculations", calculations()), ("formulas", formulas()), ("deviations", worst())];
    let fresh =
        blocks.iter().fold(text.clone(), |text, (name, block)| with_block(&text, name, block));
    if std::env::var("UPDATE_FIXTURES").is_ok() {
        std::fs::write(&path, &fresh).unwrap();
        return;
    }
    assert!(text == fresh, "docs/trade.md is stale: run the cases with UPDATE_FIXTURES=1");
}

/// Every line of code under a folder.
fn code(folder: &Path, into: &mut String) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            code(&path, into);
        } else if path.extension().is_some_and(|own| own == "rs") {
            into.push_str(&std::fs::read_to_string(&path).unwrap());
        }
    }
}

#[test]
fn every_formula_names_a_function_and_a_test_that_exist() {
    let mut all = String::new();
    code(&root().join("client-core/src/trade"), &mut all);
    let mut cases = all.clone();
    code(&root().join("tests/cases"), &mut cases);
    for formula in FORMULAS {
        let name = formula.function.rsplit("::").next().unwrap();
        let public = format!("pub fn {name}(");
        assert!(all.contains(&public), "{}: no `{public}`", formula.id);
        let test = format!("fn {}(", formula.test);
        assert!(cases.contains(&test), "{}: no test `{test}`", formula.id);
    }
}
