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
mod chart_constants;
mod control;
mod error;
mod histogram;
mod list;
mod quantile;
mod running;
mod sequence;
mod signals;
mod special;
mod summary;

pub use acceptance::{AcceptancePlan, InspectionLevel, QualityLimit, acceptance_plan};
pub use chart_constants::{ChartConstants, SUBGROUP_SIZE_MAX, c4, gauge_study_d2};
pub use control::{
    ChartLimits, ControlChart, ControlLimits, individuals_chart, individuals_limits,
    mean_and_deviation_chart, mean_and_deviation_limits, mean_and_range_chart,
    mean_and_range_limits,
};
pub use error::StatisticsError;
pub use histogram::{Histogram, histogram, usual_number_of_bins};
pub use quantile::{quantile, quantiles};
pub use running::Series;
pub use sequence::{lag1_autocorrelation, mean_moving_range};
pub use signals::{RunLengths, Share, Signal, SignalTest, Signals, TestSet, Watch, signals};
pub use special::{normal_cdf, normal_quantile, student_quantile};
pub use summary::{Summary, summary};
