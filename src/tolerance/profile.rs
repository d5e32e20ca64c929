//! The basic profile of ISO metric screw threads (ISO 68-1), exact: its factors hold √3, so a
//! length of it is kept as whole and root part and rounded once, at the end.
//!
//! It refuses to know tolerances and tables.

use crate::quantity::{Length, Rounding};

/// Parts of a nanometre in which profile lengths are whole: every factor of the profile is so
/// many 24ths of the pitch, with or without √3.
const PARTS: i128 = 24;
/// √3 as an integer fraction with 19 decimals; at the largest pitch it is wrong by less than
/// 10^-7 nm.
const ROOT_THREE: i128 = 17_320_508_075_688_772_935;
const ROOT_THREE_UNIT: i128 = 10_000_000_000_000_000_000;
/// A micrometre, the standard's printed step of thread diameters.
const PRINTED_STEP: Length = Length::from_um(1);

/// A length `a + b √3` of a thread's profile, exact until it is rounded.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ProfileLength {
    /// The part without √3, in 24ths of a nanometre.
    whole: i128,
    /// The factor of √3, in 24ths of a nanometre.
    root: i128,
}

impl ProfileLength {
    /// So many 24ths of a length, and so many 24ths of it times √3.
    pub(super) fn parts(length: Length, whole: i128, root: i128) -> Self {
        let nm = i128::from(length.as_nm());
        Self {
            whole: nm * whole,
            root: nm * root,
        }
    }

    /// Whether it is above zero, exactly.
    pub(super) fn is_positive(self) -> bool {
        self.whole * ROOT_THREE_UNIT + self.root * ROOT_THREE > 0
    }

    /// To the nearest step, half to even (only where there is no √3 can a half occur).
    pub fn rounded_to(self, step: Length) -> Length {
        let step_nm = i128::from(step.as_nm().max(1));
        let numerator = self.whole * ROOT_THREE_UNIT + self.root * ROOT_THREE;
        let denominator = PARTS * ROOT_THREE_UNIT * step_nm;
        let steps = Rounding::HalfEven.divide(numerator, denominator);
        // Sums of three lengths of at most 10 m each.
        Length::from_nm(i64::try_from(steps * step_nm).unwrap_or(i64::MAX))
    }

    /// To the micrometre, the standard's printed step.
    pub fn printed(self) -> Length {
        self.rounded_to(PRINTED_STEP)
    }

    /// To the nanometre.
    pub fn to_nm(self) -> Length {
        self.rounded_to(Length::from_nm(1))
    }
}

impl From<Length> for ProfileLength {
    fn from(length: Length) -> Self {
        Self::parts(length, PARTS, 0)
    }
}

impl std::ops::Add for ProfileLength {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        Self {
            whole: self.whole + other.whole,
            root: self.root + other.root,
        }
    }
}

impl std::ops::Sub for ProfileLength {
    type Output = Self;

    fn sub(self, other: Self) -> Self {
        Self {
            whole: self.whole - other.whole,
            root: self.root - other.root,
        }
    }
}

/// The basic profile at a nominal diameter and a pitch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ThreadProfile {
    /// Nominal (basic major) diameter D = d.
    pub nominal: Length,
    /// Pitch P, of one start.
    pub pitch: Length,
}

impl ThreadProfile {
    fn below_nominal(&self, root: i128) -> ProfileLength {
        ProfileLength::from(self.nominal) - ProfileLength::parts(self.pitch, 0, root)
    }

    /// Height of the fundamental triangle.
    ///
    /// Formula: H = sqrt(3)/2 P
    /// Symbols: P pitch (nm, exact).
    /// Valid:   60 degree profile.
    /// Rounding: none here.
    /// Source:  ISO 68-1 (from memory).
    /// Checked: tests/logic/thread_profile.rs.
    /// Errors:  none.
    pub fn triangle_height(&self) -> ProfileLength {
        ProfileLength::parts(self.pitch, 0, 12)
    }

    /// Basic pitch diameter.
    ///
    /// Formula: D2 = d2 = d - 3/4 H = d - 3 sqrt(3)/8 P
    /// Symbols: d nominal diameter, P pitch (nm, exact), H height of the triangle.
    /// Valid:   60 degree profile.
    /// Rounding: none here.
    /// Source:  ISO 724 (from memory).
    /// Checked: tests/logic/thread_profile.rs.
    /// Errors:  none.
    pub fn pitch_diameter(&self) -> ProfileLength {
        self.below_nominal(9)
    }

    /// Basic minor diameter: the flat of the basic profile.
    ///
    /// Formula: D1 = d1 = d - 5/4 H = d - 5 sqrt(3)/8 P
    /// Symbols: d nominal diameter, P pitch (nm, exact), H height of the triangle.
    /// Valid:   60 degree profile.
    /// Rounding: none here.
    /// Source:  ISO 724 (from memory).
    /// Checked: tests/logic/thread_profile.rs.
    /// Errors:  none.
    pub fn minor_diameter(&self) -> ProfileLength {
        self.below_nominal(15)
    }

    /// Minor diameter of the external design profile, its root rounded with H/6.
    ///
    /// Formula: d3 = d - 17/12 H = d - 17 sqrt(3)/24 P
    /// Symbols: d nominal diameter, P pitch (nm, exact), H height of the triangle.
    /// Valid:   external thread, root radius H/6.
    /// Rounding: none here.
    /// Source:  Machinery's Handbook 27th ed. p.1784 and UNI 4535-64: h3 = 17/24 H.
    /// Checked: tests/logic/thread_profile.rs.
    /// Errors:  none.
    pub fn design_minor_diameter(&self) -> ProfileLength {
        self.below_nominal(17)
    }

    /// Least and largest wire with which a pitch diameter is usually measured.
    ///
    /// Formula: 0.56 P to 0.90 P
    /// Symbols: P pitch (nm, exact).
    /// Valid:   60 degree profile, three wires.
    /// Rounding: inward, to 1 nm.
    /// Source:  a rule that neme-s.org publishes.
    /// Checked: tests/tables/three_wires.csv.
    /// Errors:  none.
    pub fn usable_wires(&self) -> (Length, Length) {
        (
            (self.pitch * 56).div_ceil(100),
            (self.pitch * 90).div_floor(100),
        )
    }

    /// Root radius of the external design profile.
    ///
    /// Formula: R = H/6 = sqrt(3)/12 P
    /// Symbols: P pitch (nm, exact), H height of the triangle.
    /// Valid:   external thread.
    /// Rounding: none here.
    /// Source:  Machinery's Handbook 27th ed. p.1784.
    /// Checked: tests/logic/thread_profile.rs.
    /// Errors:  none.
    pub fn root_radius(&self) -> ProfileLength {
        ProfileLength::parts(self.pitch, 0, 2)
    }

    /// Least root radius of an external thread.
    ///
    /// Formula: R_min = P/8
    /// Symbols: P pitch (nm, exact).
    /// Valid:   external thread of property class 8.8 and above.
    /// Rounding: none here.
    /// Source:  ISO 965-1 clause 11 (from memory).
    /// Checked: tests/logic/thread_profile.rs.
    /// Errors:  none.
    pub fn least_root_radius(&self) -> ProfileLength {
        ProfileLength::parts(self.pitch, 3, 0)
    }

    /// How far below the least pitch diameter of an external thread its least minor diameter
    /// lies: the root radius `R_min` just touching the sharp root.
    ///
    /// Formula: d2 min - d3 min = H - 2 R_min = (sqrt(3)/2 - 1/4) P
    /// Symbols: H height of the triangle, R_min = P/8, P pitch (nm, exact).
    /// Valid:   external thread.
    /// Rounding: none here.
    /// Source:  Machinery's Handbook 27th ed. (ASME B1.13M-1983), 0.616025 P.
    /// Checked: tests/logic/thread_profile.rs.
    /// Errors:  none.
    pub fn least_root_drop(&self) -> ProfileLength {
        ProfileLength::parts(self.pitch, -6, 12)
    }

    /// Height of the external thread on the radius: from crest to the design root.
    ///
    /// Formula: h3 = 17/24 H = 17 sqrt(3)/48 P
    /// Symbols: H height of the triangle, P pitch (nm, exact).
    /// Valid:   external thread, root radius H/6.
    /// Rounding: none here; given on the diameter, 2 h3, which is whole in 24ths.
    /// Source:  Machinery's Handbook 27th ed. p.1784 and UNI 4535-64: 0.613435 P.
    /// Checked: tests/logic/thread_profile.rs.
    /// Errors:  none.
    pub fn external_height_on_diameter(&self) -> ProfileLength {
        ProfileLength::parts(self.pitch, 0, 17)
    }

    /// Width of the flat at the crest of the basic profile.
    ///
    /// Formula: P/8
    /// Symbols: P pitch (nm, exact).
    /// Valid:   60 degree profile.
    /// Rounding: none here.
    /// Source:  ISO 68-1 (from memory).
    /// Checked: tests/logic/thread_profile.rs.
    /// Errors:  none.
    pub fn crest_flat(&self) -> ProfileLength {
        ProfileLength::parts(self.pitch, 3, 0)
    }

    /// Width of the flat at the root of the basic profile.
    ///
    /// Formula: P/4
    /// Symbols: P pitch (nm, exact).
    /// Valid:   60 degree profile.
    /// Rounding: none here.
    /// Source:  ISO 68-1 (from memory).
    /// Checked: tests/logic/thread_profile.rs.
    /// Errors:  none.
    pub fn root_flat(&self) -> ProfileLength {
        ProfileLength::parts(self.pitch, 6, 0)
    }

    /// Height on the radius over which the two basic profiles engage, given twice, on the
    /// diameter: D - D1.
    ///
    /// Formula: 2 H1 = 5/4 H = 5 sqrt(3)/8 P
    /// Symbols: H1 = 5/8 H engaged height, H height of the triangle, P pitch (nm, exact).
    /// Valid:   60 degree profile.
    /// Rounding: none here; on the diameter, which is whole in 24ths.
    /// Source:  ISO 68-1 (from memory): H1 = 0.541266 P.
    /// Checked: tests/logic/thread_profile.rs.
    /// Errors:  none.
    pub fn engaged_height_on_diameter(&self) -> ProfileLength {
        ProfileLength::parts(self.pitch, 0, 15)
    }

    /// The wire that touches both flanks at the pitch line.
    ///
    /// Formula: W = P / sqrt(3) = 2/3 H
    /// Symbols: P pitch (nm, exact), H height of the triangle.
    /// Valid:   symmetrical 60 degree profile.
    /// Rounding: none here.
    /// Source:  geometry; Machinery's Handbook 31st ed. p.2129: 0.577350 P.
    /// Checked: tests/tables/three_wires.csv.
    /// Errors:  none.
    pub fn best_wire(&self) -> ProfileLength {
        ProfileLength::parts(self.pitch, 0, 8)
    }

    /// The wire that lies in the groove level with the crests of the basic profile: a thinner one
    /// does not stand proud of them.
    ///
    /// Formula: W = 2/3 (H/2 + 3/8 H) = 7/12 H; the wire's top is 3/2 W above the sharp root
    /// Symbols: H height of the triangle.
    /// Valid:   symmetrical 60 degree profile, crest flat P/8.
    /// Rounding: none here.
    /// Source:  geometry.
    /// Checked: tests/logic/measure_wires.rs.
    /// Errors:  none.
    pub fn crest_level_wire(&self) -> ProfileLength {
        ProfileLength::parts(self.pitch, 0, 7)
    }

    /// The wire that touches the edges of the basic profile's crests: a thicker one does not
    /// touch the flanks.
    ///
    /// Formula: W = 4/3 (H/2 + 3/8 H) = 7/6 H; the wire touches 3/4 W above the sharp root
    /// Symbols: H height of the triangle.
    /// Valid:   symmetrical 60 degree profile, crest flat P/8.
    /// Rounding: none here.
    /// Source:  geometry.
    /// Checked: tests/logic/measure_wires.rs.
    /// Errors:  none.
    pub fn crest_edge_wire(&self) -> ProfileLength {
        ProfileLength::parts(self.pitch, 0, 14)
    }
}
