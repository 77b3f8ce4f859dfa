//! Every stored table, every row, every column with a tolerance.
//!
//! Reference: Cantera 3.2.0, CoolProp 8.0.0, fluids 1.3.1, scipy 1.17.1, PsychroLib 2.5.0 and pint
//! 0.25.3, as the first lines of each table say.

use client_core::trade::quantity::Amount;
use client_core::trade::table::Fuels;
use client_core::trade::uncertainty::{Uncertain, monte_carlo};
use client_core::trade::unit::Unit;
use std::collections::BTreeMap;
use tests::fixture::{Rows, Tolerance, tolerances};

/// The worst deviation of one column.
#[derive(Clone, Debug)]
pub(super) struct Worst {
    pub(super) table: String,
    pub(super) column: String,
    pub(super) rows: usize,
    /// Greatest absolute deviation.
    pub(super) absolute: f64,
    /// Greatest relative deviation.
    pub(super) relative: f64,
    /// Greatest deviation as a share of what is allowed; none where nothing is promised.
    pub(super) share: Option<f64>,
    /// The row, counted from one below the header, where that share is greatest.
    pub(super) at: usize,
    pub(super) tolerance: Option<Tolerance>,
}

/// Works out every stored table and compares it.
pub(super) fn deviations() -> Vec<Worst> {
    let fuels = Rows::golden("fuels").fuels();
    let mut found = Vec::new();
    for (table, columns) in tolerances() {
        found.extend(compare(&table, &columns, &fuels));
    }
    found
}

fn compare(table: &str, columns: &BTreeMap<String, Tolerance>, fuels: &Fuels) -> Vec<Worst> {
    let rows = Rows::golden(table);
    assert!(rows.rows.len() > 10, "{table}: hardly any rows");
    let out = rows.compute(table, fuels).unwrap_or_else(|| panic!("no table {table}"));
    assert_eq!(out.rows.len(), rows.rows.len(), "{table}");
    for (number, row) in out.rows.iter().enumerate() {
        let reason = row.last().unwrap();
        assert!(reason.is_empty(), "{table} row {}: {reason}", number + 1);
    }
    for column in columns.keys() {
        assert!(out.header.contains(&column.as_str()), "{table} lacks {column}");
    }
    let mut worst = Vec::new();
    for (place, column) in out.header.iter().enumerate() {
        let Some(stored) = rows.column(column) else { continue };
        let tolerance = columns.get(*column);
        let pairs = out.rows.iter().zip(&rows.rows).enumerate();
        let mut own = Worst {
            table: table.to_owned(),
            column: (*column).to_owned(),
            rows: 0,
            absolute: 0.0,
            relative: 0.0,
            share: tolerance.map(|_| 0.0),
            at: 0,
            tolerance: tolerance.cloned(),
        };
        for (number, (got, wanted)) in pairs {
            if counts(tolerance, &rows, number) {
                own.take(&got[place], &wanted[stored], number + 1);
            }
        }
        worst.push(own);
    }
    worst
}

/// Whether a row counts for a column.
fn counts(tolerance: Option<&Tolerance>, rows: &Rows, number: usize) -> bool {
    let Some(Tolerance::Within { only: Some((column, word)), .. }) = tolerance else { return true };
    rows.column(column).is_some_and(|place| rows.rows[number][place] == *word)
}

impl Worst {
    fn take(&mut self, got: &str, wanted: &str, number: usize) {
        let context = || format!("{} row {number} {}: {got} for {wanted}", self.table, self.column);
        if got.is_empty() || wanted.is_empty() || self.tolerance == Some(Tolerance::Same) {
            assert_eq!(got, wanted, "{}", context());
            self.rows += usize::from(!wanted.is_empty());
            return;
        }
        let (Ok(got), Ok(wanted)) = (got.parse::<f64>(), wanted.parse::<f64>()) else {
            assert_eq!(got, wanted, "{}", context());
            return;
        };
        assert!(got.is_finite(), "{}", context());
        self.rows += 1;
        let off = (got - wanted).abs();
        self.absolute = self.absolute.max(off);
        if wanted != 0.0 {
            self.relative = self.relative.max(off / wanted.abs());
        }
        if let Some(Tolerance::Within { relative, absolute, .. }) = self.tolerance {
            let allowed = absolute.max(relative * wanted.abs());
            let share = if off == 0.0 { 0.0 } else { off / allowed };
            if self.share.is_none_or(|worst| share > worst) {
                self.share = Some(share);
                self.at = number;
            }
        }
    }
}

#[test]
fn golden_tables_hold() {
    let found = deviations();
    for own in &found {
        println!(
            "{:24} {:50} {:5} rows  abs {:.2e}  rel {:.2e}  {}",
            own.table,
            own.column,
            own.rows,
            own.absolute,
            own.relative,
            own.share.map_or(String::new(), |share| format!("{:.1} % of allowed", 100.0 * share)),
        );
    }
    let broken: Vec<String> = found
        .iter()
        .filter(|own| own.share.is_some_and(|share| share > 1.0))
        .map(|own| format!("{} {} row {}: {:?}", own.table, own.column, own.at, own.share))
        .collect();
    assert!(broken.is_empty(), "beyond their tolerance: {broken:#?}");
    for own in &found {
        let counted = own.rows > 0;
        assert!(counted || own.tolerance.is_none(), "{} {} never counted", own.table, own.column);
    }
}

/// Reference: 400,000 draws with numpy, whose quantiles carry about 0.3 % of u themselves.
#[test]
fn draws_agree_with_stored_draws() {
    let rows = Rows::golden("unc_co_air_free");
    let column = |name: &str| rows.column(name).unwrap();
    let names = ["o2_dry_pct", "u_o2_pct", "co_dry_ppm", "u_co_ppm", "o2_ref_pct"].map(column);
    let [median, low, high, u] =
        ["mc_median_ppm", "mc_p2p5_ppm", "mc_p97p5_ppm", "u_first_order_ppm"].map(column);
    let mut worst: f64 = 0.0;
    for row in rows.rows.iter().step_by(9) {
        let number = |place: usize| row[place].parse::<f64>().unwrap();
        let [o2, u_o2, co, u_co, reference] = names.map(number);
        let read = |value, u| Uncertain { amount: Amount::new(value, Unit::Ratio), u };
        let free = |x: &[f64]| Some(x[1] * reference / (reference - x[0]).max(1e-3));
        let inputs = [read(o2, u_o2), read(co, u_co)];
        let drawn = monte_carlo(&inputs, &free, 200_000, 5).unwrap();
        for (got, place) in [(drawn.low, low), (drawn.high, high)] {
            let off = (got - number(place)).abs() / number(u);
            worst = worst.max(off);
            assert!(off < 0.025, "{row:?}: {got}");
        }
        let middle = f64::midpoint(drawn.low, drawn.high);
        assert!((middle - number(median)).abs() < 0.6 * number(u), "{row:?}");
    }
    println!("quantiles of draws: worst {:.2} % of u", 100.0 * worst);
}
