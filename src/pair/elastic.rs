//! How a material gives, and what it bears.

use super::press_error::PressError;
use crate::material::Material;

/// How a material gives and grows.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Elastic {
    young_mpa: f64,
    poisson: f64,
    expansion_per_kelvin: f64,
}

/// What a material bears before it gives for good.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Strength {
    /// It yields at this stress, MPa.
    Yields(f64),
    /// It cracks at this tensile stress, MPa, with no warning: grey iron, hardened steel.
    Cracks(f64),
    /// Not known.
    Unknown,
}

impl Strength {
    /// That of a material: its yield, or the tension at which a brittle one cracks.
    pub fn of(material: &Material) -> Self {
        Self::said(material.yield_mpa, Some(material))
    }

    /// The stress that is said, else the material's; whether it yields or cracks there, the
    /// material says.
    pub fn said(bears_mpa: Option<f64>, material: Option<&Material>) -> Self {
        let is_brittle = material.is_some_and(|row| row.yield_kind.contains("brittle"));
        let bears = bears_mpa.or_else(|| material.and_then(|row| row.yield_mpa));
        match bears {
            Some(bears) if is_brittle => Self::Cracks(bears),
            Some(bears) => Self::Yields(bears),
            None => Self::Unknown,
        }
    }
}

impl Elastic {
    /// Young's modulus (MPa), Poisson's ratio and linear expansion (1/K).
    ///
    /// # Errors
    /// `OutOfRange`: a modulus outside 1 to 1 200 000 MPa, a ratio outside 0 to below 0.5, an
    /// expansion outside 1e-8 to 250e-6 per kelvin.
    pub fn new(
        young_mpa: f64,
        poisson: f64,
        expansion_per_kelvin: f64,
    ) -> Result<Self, PressError> {
        let modulus = (1.0, 1_200_000.0);
        PressError::within("elastic modulus", young_mpa, modulus, "1 to 1 200 000 MPa")?;
        // At 0.5 nothing is squeezed together, and rubber is no press fit.
        let ratio = (0.0, 0.499);
        PressError::within("Poisson ratio", poisson, ratio, "0 to below 0.5")?;
        // What never grows is joined at no temperature.
        let growth = (1e-8, 250e-6);
        PressError::within(
            "expansion coefficient",
            expansion_per_kelvin,
            growth,
            "0.00000001 to 0.000250 per kelvin",
        )?;
        Ok(Self {
            young_mpa,
            poisson,
            expansion_per_kelvin,
        })
    }

    /// That of a material of the table.
    ///
    /// # Errors
    /// As [`Elastic::new`], for a row that is none.
    pub fn of(material: &Material) -> Result<Self, PressError> {
        Self::new(
            material.youngs_modulus_gpa * 1_000.0,
            material.poisson_ratio,
            material.expansion_um_per_m_k * 1e-6,
        )
    }

    /// Young's modulus, MPa.
    pub fn young_mpa(&self) -> f64 {
        self.young_mpa
    }

    /// Poisson's ratio.
    pub fn poisson(&self) -> f64 {
        self.poisson
    }

    /// Linear expansion, 1/K.
    pub fn expansion_per_kelvin(&self) -> f64 {
        self.expansion_per_kelvin
    }
}
