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

mod error;
mod special;

pub use error::StatisticsError;
pub use special::{normal_cdf, normal_quantile, student_quantile};
