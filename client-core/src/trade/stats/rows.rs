//! The statistics as tables: named columns in, named columns out, one row out for each row in.
//!
//! A row that cannot be computed carries the reason in the last column, `error`, and leaves the others
//! empty. An empty cell without an error is an answer that does not exist (a median never reached).

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;

use super::control::{Limits, Point};
use super::proportion::Count;
use super::rate::{Prior, Rate};
use super::shares::Shares;
use super::survival::{Curve, Lifetime};
use super::trend::Trend;
use super::weibull::Weibull;
use super::{Interval, Level, StatsError};

mod tables;

pub use tables::{TABLES, Table, table};

/// Why a row has no answer.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum RowError {
    /// The header lacks a column.
    #[error("there is no column `{0}`")]
    NoColumn(&'static str),
    /// A cell that should hold a number does not.
    #[error("`{column}` is `{cell}`, a number is needed")]
    NotANumber {
        /// The column.
        column: &'static str,
        /// The cell as it stands.
        cell: String,
    },
    /// A cell that should hold a count does not.
    #[error("`{column}` is `{cell}`, a whole number from 0 up is needed")]
    NotACount {
        /// The column.
        column: &'static str,
        /// The cell as it stands.
        cell: String,
    },
    /// A mark that says neither that the event came nor that the unit is still fine.
    #[error("`{0}` is no mark, 1 says that the event came and 0 that the unit was still fine")]
    NotAMark(String),
    /// A category that the counts do not have.
    #[error("category {index} does not exist, the counts have {categories} (the first is 0)")]
    NoCategory {
        /// The category asked for.
        index: usize,
        /// How many there are.
        categories: usize,
    },
    /// Another row of the same chart cannot be read, so the chart has a hole.
    #[error("row {row} of the same case cannot be read: {reason}")]
    Chart {
        /// Which row of the case, counted from 1.
        row: usize,
        /// Why.
        reason: String,
    },
    /// The statistic itself refuses.
    #[error(transparent)]
    Stats(#[from] StatsError),
}

/// Computes a table of this room: the cells of [`Table::outputs`] for each row, in order. `None` when there
/// is no such table.
pub fn compute(name: &str, header: &[&str], rows: &[Vec<String>]) -> Option<Vec<Vec<String>>> {
    let table = table(name)?;
    let answers = match name {
        "stats_control_chart" => control_charts(header, rows),
        _ => rows.iter().map(|row| one_row(name, &Cells { header, row })).collect(),
    };
    let width = table.outputs.len();
    Some(answers.into_iter().map(|answer| finish(answer, width)).collect())
}

type Answer = Result<Vec<String>, RowError>;

fn one_row(name: &str, cells: &Cells<'_>) -> Answer {
    match name {
        "stats_proportion" => proportion(cells),
        "stats_dirichlet" => dirichlet(cells),
        "stats_rate" => rate(cells),
        "stats_km" => survival(cells),
        "stats_weibull" => weibull(cells),
        _ => trend(cells),
    }
}

fn finish(answer: Answer, width: usize) -> Vec<String> {
    match answer {
        Ok(mut cells) => {
            cells.push(String::new());
            cells
        }
        Err(error) => {
            let mut cells = vec![String::new(); width - 1];
            cells.push(error.to_string());
            cells
        }
    }
}

fn proportion(cells: &Cells<'_>) -> Answer {
    let count = Count::new(cells.count("count")?, cells.count("total")?)?;
    let level = Level::new(cells.number("level")?)?;
    let mut out = vec![number(count.share())];
    for interval in [
        count.wilson(level),
        count.wilson_corrected(level),
        count.jeffreys_open(level),
        count.jeffreys(level),
        count.exact(level),
    ] {
        out.extend(ends(interval));
    }
    Ok(out)
}

fn dirichlet(cells: &Cells<'_>) -> Answer {
    let shares =
        Shares::with_equal_prior(&cells.numbers("counts")?, cells.number("prior_alpha_each")?)?;
    let level = Level::new(cells.number("level")?)?;
    let index = cells.count("category_index")?;
    if index >= shares.categories() {
        return Err(RowError::NoCategory { index, categories: shares.categories() });
    }
    let mut out = vec![number(shares.mean(index))];
    out.extend(ends(shares.interval(index, level)));
    out.push(number(shares.chance_largest(index)));
    Ok(out)
}

fn rate(cells: &Cells<'_>) -> Answer {
    let rate = Rate::new(cells.count("events")?, cells.number("exposure_unit_years")?)?;
    let level = Level::new(cells.number("level")?)?;
    let jeffreys = rate.posterior(Prior::JEFFREYS);
    let post = rate.posterior(Prior::new(cells.number("prior_a")?, cells.number("prior_b")?)?);
    let mut out = vec![number(rate.each())];
    out.extend(ends(rate.exact(level)));
    out.extend(ends(jeffreys.interval(level)));
    out.push(number(jeffreys.mean()));
    out.push(number(post.mean()));
    out.extend(ends(post.interval(level)));
    out.push(number(post.chance_of_one(1.0)));
    Ok(out)
}

fn lifetimes(cells: &Cells<'_>) -> Result<Vec<Lifetime>, RowError> {
    let times = cells.numbers("times_days")?;
    let marks: Vec<&str> = cells.text("observed_1_censored_0")?.split(';').map(str::trim).collect();
    if times.len() != marks.len() {
        return Err(StatsError::Unpaired {
            left: "times_days",
            left_len: times.len(),
            right: "observed_1_censored_0",
            right_len: marks.len(),
        }
        .into());
    }
    let ended = |mark: &str| match mark {
        "1" | "1.0" => Ok(true),
        "0" | "0.0" => Ok(false),
        other => Err(RowError::NotAMark(other.to_owned())),
    };
    let pairs = times.into_iter().zip(marks);
    pairs.map(|(time, mark)| Ok(Lifetime { time, ended: ended(mark)? })).collect()
}

fn survival(cells: &Cells<'_>) -> Answer {
    let curve = Curve::new(lifetimes(cells)?)?;
    let at = super::finite("evaluation time", cells.number("eval_time_days")?)?;
    let step = curve.at(at);
    let interval = step.and_then(super::survival::Step::interval);
    Ok(vec![
        number(curve.survival(at)),
        step.map_or_else(|| Some(0.0), super::survival::Step::standard_error)
            .map(number)
            .unwrap_or_default(),
        interval.map(|i| number(i.low)).unwrap_or_default(),
        interval.map(|i| number(i.high)).unwrap_or_default(),
        curve.at_risk(at).to_string(),
        curve.median().map(number).unwrap_or_default(),
        number(curve.mean_to_last_event()),
    ])
}

fn weibull(cells: &Cells<'_>) -> Answer {
    let fit = Weibull::fit(&lifetimes(cells)?)?;
    let answers = [
        fit.shape,
        fit.scale,
        fit.mean(),
        fit.median(),
        fit.log_likelihood,
        fit.random_scale,
        fit.random_log_likelihood,
        fit.ratio_statistic(),
        fit.chance_if_random(),
    ];
    Ok(answers.map(number).to_vec())
}

fn trend(cells: &Cells<'_>) -> Answer {
    let trend = Trend::new(&cells.numbers("t_days")?, &cells.numbers("y")?)?;
    let limit = super::finite("limit", cells.number("limit")?)?;
    let (slope, robust) = (trend.slope_interval(), trend.robust_slope_interval());
    let optional = |value: Option<f64>| value.map(number).unwrap_or_default();
    Ok(vec![
        trend.readings().to_string(),
        number(trend.slope()),
        number(trend.slope_error()),
        number(slope.low),
        number(slope.high),
        number(trend.intercept()),
        number(trend.chance_if_level()),
        number(trend.robust_slope()),
        number(robust.low),
        number(robust.high),
        optional(trend.kendall_tau()),
        optional(trend.kendall_chance()),
        optional(trend.time_to(limit)),
    ])
}

/// Rows of one `case` are one chart, ordered by `index`; the answers go back to the rows they came from.
fn control_charts(header: &[&str], rows: &[Vec<String>]) -> Vec<Answer> {
    let mut charts: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for (place, row) in rows.iter().enumerate() {
        let case = Cells { header, row }.text("case").unwrap_or_default().to_owned();
        charts.entry(case).or_default().push(place);
    }
    let mut answers: Vec<Answer> = vec![Ok(Vec::new()); rows.len()];
    for places in charts.values() {
        match control_chart(header, rows, places) {
            Ok(points) => {
                for (place, cells) in points {
                    answers[place] = Ok(cells);
                }
            }
            Err(error) => {
                for &place in places {
                    answers[place] = Err(error.clone());
                }
            }
        }
    }
    answers
}

fn control_chart(
    header: &[&str],
    rows: &[Vec<String>],
    places: &[usize],
) -> Result<Vec<(usize, Vec<String>)>, RowError> {
    let mut entries = Vec::with_capacity(places.len());
    for (order, &place) in places.iter().enumerate() {
        let cells = Cells { header, row: &rows[place] };
        let read = || -> Result<(f64, f64, usize), RowError> {
            Ok((cells.number("index")?, cells.number("value")?, cells.count("baseline_n")?))
        };
        let (index, value, baseline) = read().map_err(|error| match error {
            missing @ RowError::NoColumn(_) => missing,
            other => RowError::Chart { row: order + 1, reason: other.to_string() },
        })?;
        entries.push((index, place, value, baseline));
    }
    entries.sort_by(|a, b| a.0.total_cmp(&b.0));
    let values: Vec<f64> = entries.iter().map(|entry| entry.2).collect();
    let mut out = Vec::with_capacity(entries.len());
    let mut walked: BTreeMap<usize, (Limits, Vec<Point>)> = BTreeMap::new();
    for (order, &(_, place, _, baseline)) in entries.iter().enumerate() {
        let (limits, points) = match walked.entry(baseline) {
            Entry::Occupied(chart) => chart.into_mut(),
            Entry::Vacant(place) => {
                let limits = Limits::from_baseline(&values[..baseline.min(values.len())])?;
                place.insert((limits, limits.walk(&values)?))
            }
        };
        out.push((place, chart_cells(limits, &points[order])));
    }
    Ok(out)
}

fn chart_cells(limits: &Limits, point: &Point) -> Vec<String> {
    let mark = |signal: bool| u8::from(signal).to_string();
    vec![
        point.moving_range.map(number).unwrap_or_default(),
        number(limits.mean),
        number(limits.sigma),
        number(limits.high()),
        number(limits.low()),
        number(limits.range_high()),
        mark(point.beyond),
        mark(point.run_signal()),
        number(point.ewma),
        number(limits.mean + point.ewma_half),
        number(limits.mean - point.ewma_half),
        mark(point.ewma_signal),
        number(point.cusum_high),
        number(point.cusum_low),
        mark(point.cusum_signal()),
    ]
}

/// One row with its header.
struct Cells<'a> {
    header: &'a [&'a str],
    row: &'a [String],
}

impl Cells<'_> {
    fn text(&self, column: &'static str) -> Result<&str, RowError> {
        let place = self.header.iter().position(|name| *name == column);
        let place = place.ok_or(RowError::NoColumn(column))?;
        Ok(self.row.get(place).map_or("", |cell| cell.trim()))
    }

    fn number(&self, column: &'static str) -> Result<f64, RowError> {
        let cell = self.text(column)?;
        parse(column, cell)
    }

    fn count(&self, column: &'static str) -> Result<usize, RowError> {
        let cell = self.text(column)?;
        cell.parse().map_err(|_| RowError::NotACount { column, cell: cell.to_owned() })
    }

    /// Numbers separated by semicolons.
    fn numbers(&self, column: &'static str) -> Result<Vec<f64>, RowError> {
        self.text(column)?.split(';').map(|cell| parse(column, cell.trim())).collect()
    }
}

fn parse(column: &'static str, cell: &str) -> Result<f64, RowError> {
    match cell.parse::<f64>() {
        Ok(value) if value.is_finite() => Ok(value),
        _ => Err(RowError::NotANumber { column, cell: cell.to_owned() }),
    }
}

/// Full precision; an answer that does not exist is an empty cell.
fn number(value: f64) -> String {
    if value.is_finite() { value.to_string() } else { String::new() }
}

fn ends(interval: Interval) -> [String; 2] {
    [number(interval.low), number(interval.high)]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn run(name: &str, header: &[&str], rows: &[&[&str]]) -> Vec<Vec<String>> {
        let rows: Vec<Vec<String>> =
            rows.iter().map(|row| row.iter().map(|cell| (*cell).to_owned()).collect()).collect();
        compute(name, header, &rows).unwrap()
    }

    #[test]
    fn columns_are_found_by_name_and_others_ignored() {
        let out = run(
            "stats_proportion",
            &["note", "total", "level", "count"],
            &[&["x", "14", "0.95", "4"]],
        );
        assert_eq!(out[0].len(), table("stats_proportion").unwrap().outputs.len());
        assert!(out[0][0].starts_with("0.285714285714285"));
        assert_eq!(out[0].last().unwrap(), "");
    }

    #[test]
    fn a_row_that_cannot_be_computed_says_why_and_the_others_stay() {
        let out = run(
            "stats_proportion",
            &["count", "total", "level"],
            &[&["4", "14", "0.95"], &["15", "14", "0.95"], &["four", "14", "0.95"], &["4"]],
        );
        assert_eq!(out[0].last().unwrap(), "");
        assert_eq!(
            out[1].last().unwrap(),
            "count is 15, it must be no more than the total it is counted from"
        );
        assert_eq!(out[2].last().unwrap(), "`count` is `four`, a whole number from 0 up is needed");
        assert_eq!(out[3].last().unwrap(), "`total` is ``, a whole number from 0 up is needed");
        assert!(out[1..].iter().all(|row| row[..row.len() - 1].iter().all(String::is_empty)));
    }

    #[test]
    fn an_unknown_table_and_a_missing_column_are_told_apart() {
        assert_eq!(compute("stats_astrology", &[], &[]), None);
        let out = run("stats_trend", &["t_days"], &[&["1;2;3"]]);
        assert_eq!(out[0].last().unwrap(), "there is no column `y`");
    }

    #[test]
    fn a_hole_in_a_chart_is_told_to_every_row_of_it() {
        let header = ["case", "index", "value", "baseline_n"];
        let out = run(
            "stats_control_chart",
            &header,
            &[
                &["a", "0", "4.0", "2"],
                &["b", "0", "4.0", "2"],
                &["b", "1", "?", "2"],
                &["a", "1", "4.1", "2"],
            ],
        );
        assert_eq!(out[0].last().unwrap(), "");
        assert_eq!(out[3].last().unwrap(), "");
        assert_eq!(
            out[1].last().unwrap(),
            "row 2 of the same case cannot be read: `value` is `?`, a number is needed"
        );
        assert_eq!(out[1].last(), out[2].last());
    }
}
