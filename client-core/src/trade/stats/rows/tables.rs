//! Names and columns of the statistical tables.

/// A table by its name, with the columns that it reads and writes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Table {
    /// Name of the table.
    pub name: &'static str,
    /// Columns read, found by name; others are ignored.
    pub inputs: &'static [&'static str],
    /// Columns written, `error` always last.
    pub outputs: &'static [&'static str],
}

/// Every table of this room.
pub const TABLES: &[Table] = &[
    Table {
        name: "stats_proportion",
        inputs: &["count", "total", "level"],
        outputs: &[
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
            "error",
        ],
    },
    Table {
        name: "stats_dirichlet",
        inputs: &["counts", "prior_alpha_each", "category_index", "level"],
        outputs: &["posterior_mean", "posterior_lo", "posterior_hi", "prob_is_largest_mc", "error"],
    },
    Table {
        name: "stats_rate",
        inputs: &["events", "exposure_unit_years", "level", "prior_a", "prior_b"],
        outputs: &[
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
            "error",
        ],
    },
    Table {
        name: "stats_km",
        inputs: &["times_days", "observed_1_censored_0", "eval_time_days"],
        outputs: &[
            "survival_km",
            "greenwood_se",
            "ci95_loglog_lo",
            "ci95_loglog_hi",
            "n_at_risk",
            "median_days",
            "rmst_to_last_event_days",
            "error",
        ],
    },
    Table {
        name: "stats_weibull",
        inputs: &["times_days", "observed_1_censored_0"],
        outputs: &[
            "weibull_shape_mle",
            "weibull_scale_days_mle",
            "mean_days",
            "median_days",
            "loglik",
            "exponential_scale_days_mle",
            "exp_loglik",
            "lr_statistic_shape_eq_1",
            "lr_pvalue",
            "error",
        ],
    },
    Table {
        name: "stats_control_chart",
        inputs: &["case", "index", "value", "baseline_n"],
        outputs: &[
            "moving_range",
            "mean",
            "sigma_mr",
            "ucl_x",
            "lcl_x",
            "ucl_mr",
            "beyond_3sigma",
            "run8_same_side",
            "ewma_lambda0p2",
            "ewma_ucl_L2p7",
            "ewma_lcl_L2p7",
            "ewma_signal",
            "cusum_hi_k0p5",
            "cusum_lo_k0p5",
            "cusum_signal_h5",
            "error",
        ],
    },
    Table {
        name: "stats_trend",
        inputs: &["t_days", "y", "limit"],
        outputs: &[
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
            "error",
        ],
    },
];

/// The table of this name.
pub fn table(name: &str) -> Option<&'static Table> {
    TABLES.iter().find(|table| table.name == name)
}
