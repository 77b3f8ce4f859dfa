"""The stored statistics tables against live libraries.

    python -m venv /tmp/reference && /tmp/reference/bin/pip install scipy==1.17.1 lifelines==0.30.3
    /tmp/reference/bin/python tests/reference/statistics.py

Recomputes the tables of tests/fixtures/golden/stats_*.csv with scipy and, for waiting times and wear fits,
with lifelines as a second library, and prints the largest difference of each column. The program is compared
with the same tables by tests/cases/stats.rs.
"""
import csv, math, pathlib, sys
import numpy as np
from scipy import stats
import lifelines

GOLDEN = pathlib.Path(__file__).resolve().parents[1] / "fixtures/golden"


def table(name):
    lines = (GOLDEN / f"{name}.csv").read_text().splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def numbers(text):
    return np.array([float(part) for part in text.split(";")])


worst = {}


def compare(name, row, values):
    for column, value in values.items():
        if row[column] == "":
            continue
        wanted = float(row[column])
        gap = abs(value - wanted) / max(1.0, abs(wanted))
        key = (name, column)
        worst[key] = max(worst.get(key, 0.0), gap)


for row in table("stats_proportion"):
    k, n, level = int(row["count"]), int(row["total"]), float(row["level"])
    test, tail = stats.binomtest(k, n), (1 - level) / 2
    wilson, exact = test.proportion_ci(level, "wilson"), test.proportion_ci(level, "exact")
    compare("stats_proportion (scipy)", row, {
        "wilson_lo": wilson.low, "wilson_hi": wilson.high,
        "clopper_pearson_lo": exact.low, "clopper_pearson_hi": exact.high,
        "jeffreys_lo": stats.beta.ppf(tail, k + 0.5, n - k + 0.5),
        "jeffreys_hi": stats.beta.ppf(1 - tail, k + 0.5, n - k + 0.5)})

for row in table("stats_rate"):
    k, exposure, tail = int(row["events"]), float(row["exposure_unit_years"]), (1 - float(row["level"])) / 2
    low = 0.0 if k == 0 else stats.chi2.ppf(tail, 2 * k) / 2 / exposure
    compare("stats_rate (scipy)", row, {
        "garwood_lo": low, "garwood_hi": stats.chi2.ppf(1 - tail, 2 * k + 2) / 2 / exposure})

for row in table("stats_km"):
    fit = lifelines.KaplanMeierFitter().fit(numbers(row["times_days"]), numbers(row["observed_1_censored_0"]))
    at = float(row["eval_time_days"])
    values = {"survival_km": float(fit.predict(at)), "n_at_risk": float(fit.event_table.loc[at, "at_risk"])}
    if row["ci95_loglog_lo"]:
        low, high = fit.confidence_interval_survival_function_.loc[at]
        values |= {"ci95_loglog_lo": low, "ci95_loglog_hi": high}
    if row["median_days"]:
        values["median_days"] = fit.median_survival_time_
    compare("stats_km (lifelines)", row, values)

for row in table("stats_weibull"):
    times, ended = numbers(row["times_days"]), numbers(row["observed_1_censored_0"])
    fit = lifelines.WeibullFitter().fit(times, ended)
    compare("stats_weibull (lifelines)", row, {
        "weibull_shape_mle": fit.rho_, "weibull_scale_days_mle": fit.lambda_, "loglik": fit.log_likelihood_})

for row in table("stats_trend"):
    t, y = numbers(row["t_days"]), numbers(row["y"])
    line, sen, tau = stats.linregress(t, y), stats.theilslopes(y, t, 0.95), stats.kendalltau(t, y)
    compare("stats_trend (scipy)", row, {
        "slope_per_day": line.slope, "slope_se": line.stderr, "intercept": line.intercept,
        "p_value": line.pvalue, "theil_sen_slope": sen.slope, "ts_ci95_lo": sen.low_slope,
        "ts_ci95_hi": sen.high_slope, "kendall_tau": tau.statistic, "kendall_p": tau.pvalue})

bad = False
for (name, column), gap in worst.items():
    # lifelines stops its own search early: its fits are good to about four digits.
    allowed = 1e-3 if "weibull" in name else 2e-8
    bad |= not gap <= allowed or math.isnan(gap)
    print(f"{name:26} {column:24} {gap:.1e}{'' if gap <= allowed else '  over ' + format(allowed, '.0e')}")
sys.exit(bad)
