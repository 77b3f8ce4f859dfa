//! The statistics against stored reference tables and against examples printed elsewhere.
#![expect(
    clippy::print_stdout,
    reason = "the worst deviation of every column is this case's second product"
)]

use std::collections::BTreeMap;
use std::path::Path;

use client_core::trade::stats::rows;
use client_core::trade::stats::survival::{Curve, Lifetime};

/// How far a column may be from its reference: the larger of a relative and an absolute part.
struct Tolerance {
    relative: f64,
    absolute: f64,
}

const fn abs(absolute: f64) -> Tolerance {
    Tolerance { relative: 0.0, absolute }
}

const fn rel(relative: f64, absolute: f64) -> Tolerance {
    Tolerance { relative, absolute }
}

/// Reference: scipy 1.17.1 and numpy 2.4.6, as the first lines of each file say.
fn golden(name: &str) -> (Vec<String>, Vec<Vec<String>>) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("fixtures/golden/{name}.csv"));
    let text = std::fs::read_to_string(path).unwrap();
    let mut lines = text.lines().filter(|line| !line.starts_with('#'));
    let split = |line: &str| line.split(',').map(str::to_owned).collect::<Vec<String>>();
    let header = split(lines.next().unwrap());
    (header, lines.map(split).collect())
}

/// Compares every column that both sides have, prints the worst of each, and returns how many were compared.
fn check(name: &str, tolerances: &[(&str, Tolerance)]) {
    let (header, rows) = golden(name);
    let names: Vec<&str> = header.iter().map(String::as_str).collect();
    let out = rows::compute(name, &names, &rows).unwrap();
    assert_eq!(out.len(), rows.len());
    let outputs = rows::table(name).unwrap().outputs;
    let mut worst: BTreeMap<&str, f64> = BTreeMap::new();
    for (column, place) in outputs.iter().enumerate().map(|(place, column)| (*column, place)) {
        if column == "error" {
            assert!(out.iter().all(|row| row[place].is_empty()), "{name}: a row has an error");
            continue;
        }
        let source = names.iter().position(|name| *name == column).unwrap();
        let tolerance = tolerances.iter().find(|(name, _)| *name == column).map(|(_, t)| t);
        let tolerance = tolerance.unwrap_or_else(|| panic!("{name}: no tolerance for {column}"));
        for (number, (got, wanted)) in out.iter().zip(&rows).enumerate() {
            let (got, wanted) = (&got[place], &wanted[source]);
            if got.is_empty() || wanted.is_empty() {
                assert_eq!(got, wanted, "{name} row {number} {column}");
                continue;
            }
            let (got, wanted): (f64, f64) = (got.parse().unwrap(), wanted.parse().unwrap());
            let off = (got - wanted).abs();
            let allowed = tolerance.absolute.max(tolerance.relative * wanted.abs());
            assert!(off <= allowed, "{name} row {number} {column}: {got} is not {wanted}");
            let share = if tolerance.relative > 0.0 { off / wanted.abs().max(1e-300) } else { off };
            let entry = worst.entry(column).or_insert(0.0);
            *entry = entry.max(share);
        }
    }
    for (column, off) in worst {
        println!("{name:20} {column:38} worst {off:.1e}");
    }
}

#[test]
fn shares_of_a_count_agree_with_the_reference() {
    let columns = [
        "share",
        "wilson_lo",
        "wilson_hi",
        "wilson_cc_lo",
        "wilson_cc_hi",
        "jeffreys_lo",
        "jeffreys_hi",
        "jeffreys_lo_boundary_fixed",
        "jeffreys_hi_boundary_fixed",
        "clopper_pearson_lo",
        "clopper_pearson_hi",
    ];
    check("stats_proportion", &columns.map(|column| (column, abs(1e-8))));
}

#[test]
fn shares_of_several_causes_agree_with_the_reference() {
    check(
        "stats_dirichlet",
        &[
            ("posterior_mean", abs(1e-9)),
            ("posterior_lo", abs(1e-8)),
            ("posterior_hi", abs(1e-8)),
            // The reference drew 400,000 times: four of its standard errors.
            ("prob_is_largest_mc", abs(0.0032)),
        ],
    );
}

#[test]
fn rates_agree_with_the_reference() {
    let columns = [
        "rate_per_unit_year",
        "garwood_lo",
        "garwood_hi",
        "jeffreys_gamma_lo",
        "jeffreys_gamma_hi",
        "gamma_post_mean_prior_a0p5_b0",
        "post_mean",
        "post_lo",
        "post_hi",
        "prob_at_least_one_next_year_postpred",
    ];
    check("stats_rate", &columns.map(|column| (column, rel(1e-8, 1e-12))));
}

#[test]
fn waiting_times_agree_with_the_reference() {
    check(
        "stats_km",
        &[
            ("survival_km", abs(1e-9)),
            ("greenwood_se", abs(1e-8)),
            ("ci95_loglog_lo", abs(1e-8)),
            ("ci95_loglog_hi", abs(1e-8)),
            ("n_at_risk", abs(0.0)),
            ("median_days", abs(0.0)),
            ("rmst_to_last_event_days", rel(1e-8, 0.0)),
        ],
    );
}

#[test]
fn wear_fits_agree_with_the_reference() {
    let columns = [
        ("weibull_shape_mle", 1e-8),
        ("weibull_scale_days_mle", 1e-8),
        ("mean_days", 1e-8),
        ("median_days", 1e-8),
        ("loglik", 1e-8),
        ("exponential_scale_days_mle", 1e-8),
        ("exp_loglik", 1e-8),
        ("lr_statistic_shape_eq_1", 1e-6),
        ("lr_pvalue", 1e-6),
    ];
    check("stats_weibull", &columns.map(|(column, relative)| (column, rel(relative, 1e-10))));
}

#[test]
fn charts_agree_with_the_reference() {
    let marks = ["beyond_3sigma", "run8_same_side", "ewma_signal", "cusum_signal_h5"];
    let columns = [
        "moving_range",
        "mean",
        "sigma_mr",
        "ucl_x",
        "lcl_x",
        "ucl_mr",
        "ewma_lambda0p2",
        "ewma_ucl_L2p7",
        "ewma_lcl_L2p7",
        "cusum_hi_k0p5",
        "cusum_lo_k0p5",
    ];
    let mut tolerances: Vec<(&str, Tolerance)> = marks.map(|mark| (mark, abs(0.0))).into();
    tolerances.extend(columns.map(|column| (column, rel(1e-8, 1e-9))));
    check("stats_control_chart", &tolerances);
}

#[test]
fn trends_agree_with_the_reference() {
    let columns = [
        "n",
        "slope_per_day",
        "slope_se",
        "slope_ci95_lo",
        "slope_ci95_hi",
        "intercept",
        "p_value",
        "theil_sen_slope",
        "ts_ci95_lo",
        "ts_ci95_hi",
        "kendall_tau",
        "kendall_p",
        "predicted_days_to_limit",
    ];
    check("stats_trend", &columns.map(|column| (column, rel(1e-7, 1e-12))));
}

/// Source: NIST/SEMATECH e-Handbook of Statistical Methods 8.2.1.5, 20 units, six failures.
#[test]
fn waiting_times_of_the_public_handbook_example() {
    let failed = [10.0, 32.0, 56.0, 98.0, 122.0, 181.0];
    let removed = [50.0, 100.0, 125.0, 150.0];
    let mut units: Vec<Lifetime> =
        failed.iter().map(|time| Lifetime { time: *time, ended: true }).collect();
    units.extend(removed.iter().map(|time| Lifetime { time: *time, ended: false }));
    // Ten units ran to the end of the test at 200 hours.
    units.extend([Lifetime { time: 200.0, ended: false }; 10]);
    let curve = Curve::new(units).unwrap();
    for (time, printed) in
        [(10.0, 0.95), (32.0, 0.90), (56.0, 0.847), (98.0, 0.794), (122.0, 0.737), (181.0, 0.670)]
    {
        assert!((curve.survival(time) - printed).abs() < 6e-4, "{time}: {}", curve.survival(time));
    }
    assert_eq!(curve.median(), None);
}

/// Source: Freireich and others 1963, remission times in weeks under 6-MP; the survival values are those
/// that survival-analysis textbooks print (from memory).
#[test]
fn waiting_times_of_the_textbook_remission_data() {
    let ended = [6.0, 6.0, 6.0, 7.0, 10.0, 13.0, 16.0, 22.0, 23.0];
    let going = [6.0, 9.0, 10.0, 11.0, 17.0, 19.0, 20.0, 25.0, 32.0, 32.0, 34.0, 35.0];
    let mut units: Vec<Lifetime> =
        ended.iter().map(|time| Lifetime { time: *time, ended: true }).collect();
    units.extend(going.iter().map(|time| Lifetime { time: *time, ended: false }));
    let curve = Curve::new(units).unwrap();
    let printed = [0.857, 0.807, 0.753, 0.690, 0.627, 0.538, 0.448];
    assert_eq!(curve.steps().len(), printed.len());
    for (step, printed) in curve.steps().iter().zip(printed) {
        assert!((step.survival - printed).abs() < 5.1e-4, "{step:?}");
    }
    assert_eq!(curve.median(), Some(23.0));
}

/// Every table gives its own reason for nonsense and never panics.
#[test]
fn nonsense_rows_carry_a_reason() {
    for table in rows::TABLES {
        for cell in ["", "abc", "-1", "1e999", "NaN", "0", ";", "1;2", "-3;x"] {
            let row = vec![cell.to_owned(); table.inputs.len()];
            let out = rows::compute(table.name, table.inputs, std::slice::from_ref(&row)).unwrap();
            let reason = out[0].last().unwrap();
            assert!(!reason.is_empty(), "{} took `{cell}`", table.name);
        }
    }
}
