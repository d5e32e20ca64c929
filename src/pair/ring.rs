//! Stresses in a thick ring under pressure.

/// Stresses at a radius of a ring, MPa; tension is positive.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RingStress {
    /// Along the radius.
    pub radial_mpa: f64,
    /// Along the circumference.
    pub hoop_mpa: f64,
}

impl RingStress {
    /// The stress that is compared with the yield stress by distortion energy.
    ///
    /// Formula: s = sqrt(sh^2 - sh sr + sr^2)
    /// Symbols: sh hoop stress, sr radial stress, MPa; none along the axis (open ends).
    /// Valid:   plane stress.
    /// Rounding: none.
    /// Source:  von Mises criterion, textbook (from memory).
    /// Checked: tests/tables/pair_examples.json.
    /// Errors:  none.
    pub fn von_mises_mpa(self) -> f64 {
        let (hoop, radial) = (self.hoop_mpa, self.radial_mpa);
        (hoop * hoop - hoop * radial + radial * radial)
            .max(0.0)
            .sqrt()
    }

    /// The stress that is compared with the yield stress by the largest shear.
    ///
    /// Formula: s = largest of sh, sr, 0 less the least of them
    /// Symbols: as [`RingStress::von_mises_mpa`].
    /// Valid:   plane stress.
    /// Rounding: none.
    /// Source:  Tresca criterion, textbook (from memory).
    /// Checked: tests/tables/pair_examples.json.
    /// Errors:  none.
    pub fn tresca_mpa(self) -> f64 {
        let (hoop, radial) = (self.hoop_mpa, self.radial_mpa);
        hoop.max(radial).max(0.0) - hoop.min(radial).min(0.0)
    }
}

/// Stresses at a radius of a ring with pressure inside and outside.
///
/// Formula: sr = A - B/r^2, sh = A + B/r^2, A = (pi a^2 - po b^2)/(b^2 - a^2),
///          B = (pi - po) a^2 b^2/(b^2 - a^2)
/// Symbols: a inside, b outside radius, r radius (one unit); pi pressure inside, po outside, MPa.
/// Valid:   a below b, r from a to b, elastic, open ends; a solid disc (a = 0) bears -po
///          everywhere; without an end (b infinite) A = 0 at po = 0, B = pi a^2.
/// Rounding: none.
/// Source:  Lamé; A. P. Boresi, R. J. Schmidt, Advanced Mechanics of Materials, example 11.1.
/// Checked: tests/tables/pair_examples.json.
/// Errors:  none.
pub fn ring_stress(
    (inside, outside): (f64, f64),
    (pressure_inside_mpa, pressure_outside_mpa): (f64, f64),
    radius: f64,
) -> RingStress {
    if inside <= 0.0 {
        return RingStress {
            radial_mpa: -pressure_outside_mpa,
            hoop_mpa: -pressure_outside_mpa,
        };
    }
    // Over b^2, so that a ring without an end is the limit and no exception.
    let q = inside / outside;
    let shares = 1.0 - q * q;
    let even = (pressure_inside_mpa * q * q - pressure_outside_mpa) / shares;
    let away = inside / radius;
    let falling = (pressure_inside_mpa - pressure_outside_mpa) * away * away / shares;
    RingStress {
        radial_mpa: even - falling,
        hoop_mpa: even + falling,
    }
}
