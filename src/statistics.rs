//! Lists of floats become numbers with intervals.
//!
//! This room refuses to know lengths, units, gauges and files: what a number means is its
//! caller's business.
//!
//! ```
//! use fitledger::statistics::{normal_cdf, student_quantile};
//! // 1.96 standard deviations each way hold 95 %.
//! assert!((normal_cdf(1.96) - normal_cdf(-1.96) - 0.95).abs() < 1e-4);
//! // Coverage factor for 95 % with 16 degrees of freedom (JCGM 100, table G.2: 2.12).
//! assert!((student_quantile(0.975, 16.0)? - 2.12).abs() < 0.005);
//! # Ok::<(), fitledger::statistics::StatisticsError>(())
//! ```

mod acceptance;
mod anderson_darling;
mod bounded;
mod bounded_fit;
mod capability;
mod capability_percentile;
mod chart_constants;
mod checked;
mod chi_square;
mod control;
mod error;
mod fisher;
mod gauge_study;
mod gauge_study_alone;
mod gauge_study_factors;
mod gauge_study_interval;
mod gauge_study_variance;
mod histogram;
mod line_sums;
mod median_interval;
mod noncentral;
mod normality;
mod numeric;
mod ordered;
mod quantile;
mod running;
mod sequence;
mod shapiro_wilk;
mod signals;
mod special;
mod summary;
mod tolerance_interval;
mod trend;
mod variance;
mod within;

pub use acceptance::{AcceptancePlan, InspectionLevel, QualityLimit, acceptance_plan};
pub use anderson_darling::{AndersonDarling, anderson_darling};
pub use bounded::BoundedModel;
pub use bounded_fit::{BoundedCapability, bounded_capability, fit_bounded};
pub use capability::{
    Capability, Index, Limits, capability, capability_with, capability_within, cp_interval,
    cpk_interval_approximate, cpk_lower_bound, cpk_upper_bound,
};
pub use capability_percentile::{
    KnownIndices, PercentilePerformance, Quantiles, known_indices, percentile_performance,
};
pub use chart_constants::{ChartConstants, SUBGROUP_SIZE_MAX};
pub use chi_square::{chi_square_cdf, chi_square_quantile, unbiasing_factor};
pub use control::{
    ChartLimits, ControlChart, ControlLimits, individuals_chart, individuals_limits,
    mean_and_deviation_chart, mean_and_deviation_limits, mean_and_range_chart,
    mean_and_range_limits,
};
pub use error::StatisticsError;
pub use fisher::{fisher_upper_tail, student_cdf, student_two_tails};
pub use gauge_study::{
    AverageAndRange, CATEGORIES_WANTED, Components, Crossed, OF_TOLERANCE, SHARE_ACCEPTABLE,
    SHARE_GOOD, ShareJudged, average_and_range, share_of_tolerance,
};
pub use gauge_study_alone::{
    Bias, Linearity, Repeatability, Stability, bias, linearity, repeatability, stability,
};
pub use gauge_study_factors::{RangeFactors, range_factors};
pub use gauge_study_interval::{StudyIntervals, study_intervals};
pub use gauge_study_variance::{Pooling, Source, VarianceStudy, variance_study};
pub use histogram::{Histogram, histogram, number_of_bins};
pub use line_sums::LineSums;
pub use median_interval::median_interval;
pub use noncentral::{noncentral_t_cdf, noncentral_t_quantile};
pub use normality::{Resolution, resolution};
pub use quantile::{quantile, quantiles};
pub use running::{Series, Sums};
pub use sequence::{lag1_autocorrelation, mean_moving_range};
pub use shapiro_wilk::{ShapiroWilk, shapiro_wilk};
pub use signals::{RunLengths, Share, Signal, SignalTest, Signals, TestSet, Watch, signals};
pub use special::{normal_cdf, normal_quantile, student_quantile};
pub use summary::{Summary, summary};
pub use tolerance_interval::{
    Sides, ToleranceInterval, tolerance_factor_approximate, tolerance_factor_one_sided,
    tolerance_factor_two_sided, tolerance_interval,
};
pub use trend::{Crossing, Line, Prediction, fit_line, trend};
pub use variance::{OneWay, one_way};
pub use within::{
    Sigma, SigmaMethod, overall_sigma, sigma_by_deviation, sigma_by_moving_range, sigma_by_range,
    sigma_pooled,
};
