//! Distributions that end at zero: runout, ovality, roundness are never below it.
//!
//! A normal distribution of the same mean and deviation puts parts below zero, where none can be,
//! and takes them from above, where they spoil: it promises too much.

use std::f64::consts::PI;

use super::StatisticsError;
use super::capability_percentile::{Quantiles, SHARES};
use super::checked::in_range;
use super::numeric::zero_near;
use super::special::{normal_cdf, normal_quantile};

/// A distribution on zero and above.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum BoundedModel {
    /// The size of a normal deviation, its sign lost: ovality, parallelism. With location 0 half
    /// of a normal distribution.
    FoldedNormal {
        /// The mean of the deviation before its sign was lost, 0 or more.
        location: f64,
        /// The standard deviation before the sign was lost.
        sigma: f64,
    },
    /// A value whose logarithm is normal.
    LogNormal {
        /// The mean of the logarithm.
        mu: f64,
        /// The standard deviation of the logarithm.
        sigma: f64,
    },
    /// The length of a deviation in two directions: eccentricity, position.
    Rayleigh {
        /// The standard deviation in each direction.
        sigma: f64,
    },
    /// A normal distribution of which only the part above zero occurs.
    TruncatedNormal {
        /// The mean before it was cut off.
        location: f64,
        /// The standard deviation before it was cut off.
        sigma: f64,
    },
}

impl BoundedModel {
    /// The model, if its parameters make a distribution.
    ///
    /// # Errors
    /// `OutOfRange` for a spread that is not above zero, a parameter that is not finite, or a
    /// location outside 0 to 1e6 spreads (folded), -30 to 1e6 spreads (truncated).
    pub fn checked(self) -> Result<Self, StatisticsError> {
        let (location, sigma) = match self {
            Self::FoldedNormal { location, sigma } | Self::TruncatedNormal { location, sigma } => {
                (location, sigma)
            }
            Self::LogNormal { mu, sigma } => (mu, sigma),
            Self::Rayleigh { sigma } => (0.0, sigma),
        };
        in_range("spread of the model", sigma, 1e-150, 1e150, "above 0")?;
        let (least, most, allowed) = match self {
            Self::LogNormal { .. } => (-300.0, 300.0, "-300 to 300"),
            Self::TruncatedNormal { .. } => (-30.0 * sigma, 1e6 * sigma, "-30 to 1e6 spreads"),
            _ => (0.0, 1e6 * sigma, "0 to 1e6 spreads"),
        };
        in_range("location of the model", location, least, most, allowed)?;
        Ok(self)
    }

    /// The share of parts below and above `x`.
    ///
    /// Formula: folded F((x - m)/s) - F((-x - m)/s); log-normal F((ln x - m)/s); Rayleigh
    ///          1 - exp(-x^2/2s^2); truncated (F((x - m)/s) - F(-m/s))/(1 - F(-m/s))
    /// Symbols: m location or mean of the logarithm; s spread; F normal distribution.
    /// Valid:   every x; parameters as `checked` allows.
    /// Rounding: none.
    /// Source:  ISO 22514-2 (distributions of amounts, first and second kind; clause from memory).
    /// Checked: tests/tables/capability.json, tests/tables/bounded.json.
    /// Errors:  none.
    pub fn shares(&self, x: f64) -> (f64, f64) {
        if x <= 0.0 {
            return (0.0, 1.0);
        }
        let above = match *self {
            Self::FoldedNormal { location, sigma } => {
                normal_cdf((location - x) / sigma) + normal_cdf((-x - location) / sigma)
            }
            Self::LogNormal { mu, sigma } => normal_cdf((mu - x.ln()) / sigma),
            Self::Rayleigh { sigma } => (-0.5 * (x / sigma) * (x / sigma)).exp(),
            Self::TruncatedNormal { location, sigma } => {
                normal_cdf((location - x) / sigma) / normal_cdf(location / sigma)
            }
        };
        let below = match *self {
            Self::LogNormal { mu, sigma } => normal_cdf((x.ln() - mu) / sigma),
            Self::Rayleigh { sigma } => -(-0.5 * (x / sigma) * (x / sigma)).exp_m1(),
            _ => 1.0 - above,
        };
        (below, above)
    }

    /// What the share `p` of parts lies below.
    ///
    /// Formula: x with `shares(x)` = p, 1 - p
    /// Symbols: p share.
    /// Valid:   0.001 <= p <= 0.999; relative error below 1e-9 (measured).
    /// Rounding: none.
    /// Source:  definition.
    /// Checked: tests/tables/capability.json, tests/tables/bounded.json.
    /// Errors:  `OutOfRange`.
    pub fn quantile(&self, p: f64) -> Result<f64, StatisticsError> {
        in_range("share", p, 0.001, 0.999, "0.001 to 0.999")?;
        self.checked()?;
        match *self {
            Self::LogNormal { mu, sigma } => Ok((mu + sigma * normal_quantile(p)?).exp()),
            Self::Rayleigh { sigma } => Ok(sigma * (-2.0 * (-p).ln_1p()).sqrt()),
            Self::FoldedNormal { location, sigma } | Self::TruncatedNormal { location, sigma } => {
                let near = (location + sigma * normal_quantile(p)?).max(0.1 * sigma * p);
                zero_near(near, 0.1 * sigma * p, 0.0, |x| {
                    let (below, above) = self.shares(x);
                    if p < 0.5 {
                        below - p
                    } else {
                        (1.0 - p) - above
                    }
                })
            }
        }
    }

    /// The quantiles that indices are made of.
    ///
    /// # Errors
    /// `OutOfRange` as `checked`.
    pub fn quantiles(&self) -> Result<Quantiles, StatisticsError> {
        Ok(Quantiles {
            low: self.quantile(SHARES[0])?,
            middle: self.quantile(SHARES[1])?,
            high: self.quantile(SHARES[2])?,
        })
    }

    /// The logarithm of the density at `x`, which is at least 0.
    pub(super) fn log_density(&self, x: f64) -> f64 {
        let root = 0.5 * (2.0 * PI).ln();
        match *self {
            Self::FoldedNormal { location, sigma } => {
                let z = (x - location) / sigma;
                // The folded part over the other: exp(-2 x m/s^2).
                let folded = (-2.0 * x * location / (sigma * sigma)).exp();
                -0.5 * z * z - root - sigma.ln() + folded.ln_1p()
            }
            Self::LogNormal { mu, sigma } => {
                let z = (x.ln() - mu) / sigma;
                -0.5 * z * z - root - sigma.ln() - x.ln()
            }
            Self::Rayleigh { sigma } => {
                let z = x / sigma;
                x.ln() - 2.0 * sigma.ln() - 0.5 * z * z
            }
            Self::TruncatedNormal { location, sigma } => {
                let z = (x - location) / sigma;
                -0.5 * z * z - root - sigma.ln() - normal_cdf(location / sigma).ln()
            }
        }
    }
}
