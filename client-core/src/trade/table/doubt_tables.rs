//! Tables of uncertainty and of guarded decisions.

use crate::trade::flue::{Dilution, FlueReading, air_free, analyse};
use crate::trade::quantity::{Concentration, Ratio, Temperature};
use crate::trade::table::row::bare;
use crate::trade::table::{Fuels, Out, Row, RowError, Table};
use crate::trade::uncertainty::{Uncertain, first_order};
use crate::trade::verdict::guard::decide;
use crate::trade::verdict::{FourWay, Guard, Limit};

pub(super) const TABLES: &[Table] = &[
    Table {
        name: "unc_guardband",
        inputs: &[
            "measured",
            "u_standard",
            "limit_low",
            "limit_high",
            "guard_multiplier_of_U",
            "k_coverage",
        ],
        outputs: &[
            "expanded_U",
            "guard_w",
            "accept_low",
            "accept_high",
            "prob_conform",
            "verdict_simple",
            "verdict_guarded",
            "verdict_four_way",
        ],
        one: guard_band,
    },
    Table {
        name: "unc_co_air_free",
        inputs: &["o2_dry_pct", "u_o2_pct", "co_dry_ppm", "u_co_ppm", "o2_ref_pct"],
        outputs: &["co_air_free_ppm", "u_first_order_ppm"],
        one: co_air_free,
    },
    Table {
        name: "unc_efficiency",
        inputs: &[
            "fuel",
            "o2_dry_pct",
            "u_o2_pct",
            "flue_temp_C",
            "u_flue_temp_C",
            "air_temp_C",
            "u_air_temp_C",
        ],
        outputs: &[
            "excess_air_pct",
            "u_excess_air_first_order_pct",
            "eff_gross_pct",
            "u_eff_first_order_pct",
        ],
        one: efficiency,
    },
];

fn guard_band(row: &Row<'_>, _: &Fuels) -> Result<Out, RowError> {
    let read = Uncertain { amount: bare(row.number("measured")?), u: row.number("u_standard")? };
    let (low, high) = (row.maybe("limit_low")?, row.maybe("limit_high")?);
    if low.is_none() && high.is_none() {
        return Err(RowError::Missing("limit_low | limit_high".to_owned()));
    }
    let limit = Limit { low: low.map(bare), high: high.map(bare), source: "the table".to_owned() };
    let guard = Guard {
        multiplier: Ratio::from_ratio(row.or("guard_multiplier_of_U", 1.0)?),
        coverage: Ratio::from_ratio(row.or("k_coverage", 2.0)?),
    };
    let found = decide(read, &limit, guard)?;
    let (guarded, four) = match found.four {
        FourWay::Pass => ("accept", "pass"),
        FourWay::ConditionalPass => ("not_accepted", "conditional_pass"),
        FourWay::ConditionalFail => ("not_accepted", "conditional_fail"),
        FourWay::Fail => ("not_accepted", "fail"),
        FourWay::Undecidable => ("undecidable", "undecidable"),
    };
    Ok(Out::default()
        .with("expanded_U", found.expanded)
        .with("guard_w", found.band)
        .maybe("accept_low", low.map(|low| low + found.band))
        .maybe("accept_high", high.map(|high| high - found.band))
        .with("prob_conform", found.chance.ratio())
        .word("verdict_simple", if found.inside { "pass" } else { "fail" })
        .word("verdict_guarded", guarded)
        .word("verdict_four_way", four))
}

fn co_air_free(row: &Row<'_>, _: &Fuels) -> Result<Out, RowError> {
    let reference = Concentration::from_percent(row.or("o2_ref_pct", 20.9)?);
    let by_rule = |o2: f64, co: f64| {
        let (o2, co) = (Concentration::from_percent(o2), Concentration::from_ppm(co));
        air_free::by_rule(o2, co, reference)
    };
    let (o2, co) = (row.number("o2_dry_pct")?, row.number("co_dry_ppm")?);
    let free = by_rule(o2, co)?;
    let read = |value: f64, u: f64| Uncertain { amount: bare(value), u };
    let inputs = [read(o2, row.number("u_o2_pct")?), read(co, row.number("u_co_ppm")?)];
    let found = first_order(&inputs, |x| by_rule(x[0], x[1]).ok().map(Concentration::ppm));
    Ok(Out::default()
        .with("co_air_free_ppm", free.ppm())
        .maybe("u_first_order_ppm", found.map(|found| found.u)))
}

fn efficiency(row: &Row<'_>, fuels: &Fuels) -> Result<Out, RowError> {
    let fuel = fuels.find(row.word("fuel")?)?;
    let reading = |o2: f64, flue: f64, air: f64| FlueReading {
        dilution: Dilution::Oxygen(Concentration::from_percent(o2)),
        ..FlueReading::of_oxygen(
            Concentration::from_percent(o2),
            Temperature::from_celsius(flue),
            Temperature::from_celsius(air),
        )
    };
    let names = ["o2_dry_pct", "flue_temp_C", "air_temp_C"];
    let doubts = ["u_o2_pct", "u_flue_temp_C", "u_air_temp_C"];
    let mut inputs = Vec::new();
    for (name, doubt) in names.into_iter().zip(doubts) {
        inputs.push(Uncertain { amount: bare(row.number(name)?), u: row.or(doubt, 0.0)? });
    }
    let at = |x: &[f64]| analyse(&fuel, &reading(x[0], x[1], x[2]));
    let read: Vec<f64> = inputs.iter().map(|input| input.amount.value).collect();
    let found = at(&read)?;
    // The table takes water as vapour throughout, so that its slopes have no kink at the dew point.
    let gross = |x: &[f64]| at(x).ok().map(|found| found.gross_without_condensing.percent());
    let excess = |x: &[f64]| at(x).ok().map(|found| found.excess_air.percent());
    Ok(Out::default()
        .with("excess_air_pct", found.excess_air.percent())
        .maybe("u_excess_air_first_order_pct", first_order(&inputs, excess).map(|own| own.u))
        .with("eff_gross_pct", found.gross_without_condensing.percent())
        .maybe("u_eff_first_order_pct", first_order(&inputs, gross).map(|own| own.u)))
}
