//! Limits of GO and NO-GO screw plug and ring gauges (ISO 1502) for a metric thread.
//!
//! Half micrometres occur and the basic diameters are irrational, so every limit is rounded once,
//! to 0.1 µm. What no public source confirms says so: [`GaugeStanding`], [`GaugeNote`].

use std::fmt;

use super::gauge_rows::{Row, gauge_rows};
use super::profile::{ProfileLength, ThreadProfile};
use super::thread::ThreadMember;
use crate::quantity::Length;

/// The standard.
pub const GAUGE_STANDARD: &str = "ISO 1502";
/// The printed step of gauge limits.
const PRINTED_STEP: Length = Length::from_nm(100);

/// The thread that is to be gauged.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct GaugedThread {
    /// Nominal diameter and pitch.
    pub profile: ThreadProfile,
    /// External or internal.
    pub member: ThreadMember,
    /// Fundamental deviation: EI inside, es (zero or negative) outside.
    pub deviation: Length,
    /// Tolerance of the pitch diameter: TD2 inside, Td2 outside.
    pub tolerance: Length,
}

/// How well a value is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum GaugeStanding {
    /// Formula and numbers agree with public sources.
    Established,
    /// Formula or numbers are from memory of the standard.
    FromMemory,
    /// Its formula is not resolved between two sources.
    Unresolved,
}

/// The limits of one diameter of a gauge; a side that is missing is not limited.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct GaugeZone {
    /// Lower limit of the new gauge.
    pub lower: Option<Length>,
    /// Upper limit of the new gauge.
    pub upper: Option<Length>,
    /// The size at which the gauge is worn out.
    pub worn: Option<Length>,
    /// How well it is known.
    pub standing: GaugeStanding,
    /// The rule in symbols.
    pub rule: &'static str,
}

/// One screw gauge.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ScrewGauge {
    /// Pitch diameter, with its worn limit.
    pub pitch: GaugeZone,
    /// Major diameter.
    pub major: GaugeZone,
    /// Minor diameter.
    pub minor: GaugeZone,
}

/// Pitch diameters of the plugs that check a GO ring.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CheckPlugs {
    /// Must screw into the new GO ring.
    pub go: GaugeZone,
    /// Must not screw into the new GO ring.
    pub no_go: GaugeZone,
    /// Must not screw into a used GO ring: it would be worn out.
    pub wear: GaugeZone,
}

/// The limits of the gauges for a thread.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ScrewGaugeLimits {
    /// Internal threads are gauged by plugs, external ones by rings.
    pub member: ThreadMember,
    /// The GO gauge.
    pub go: ScrewGauge,
    /// The NO-GO gauge.
    pub no_go: ScrewGauge,
    /// The check plugs; only for rings.
    pub check_plugs: Option<CheckPlugs>,
    /// The row used is for tolerances over this,
    pub row_over: Length,
    /// up to and including this.
    pub row_up_to: Length,
    /// Where the row's numbers come from.
    pub row_source: &'static str,
}

/// What is and what is not established of gauge limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum GaugeNote {
    /// Plug formulas and this row's numbers agree with public sources.
    PlugEstablished,
    /// Plug formulas agree with a public source; this row's numbers are from memory.
    PlugNumbersFromMemory,
    /// Everything about rings and check plugs is from memory.
    RingFromMemory,
    /// F1 is H/8 here; it may be 0.1 P.
    TruncationUnresolved,
    /// What this program does not know about the gauges.
    NotCovered,
}

/// Why there are no gauge limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ScrewGaugeError {
    /// No row for that tolerance of the pitch diameter.
    ToleranceNotTabled {
        /// The tolerance.
        found: Length,
        /// The rows begin above this.
        over: Length,
        /// The rows end with this.
        up_to: Length,
    },
    /// Nominal diameter and pitch leave no thread.
    NoThread {
        /// The nominal diameter.
        nominal: Length,
        /// The pitch.
        pitch: Length,
    },
}

/// The limits of the GO and NO-GO gauges for a thread, new and worn.
///
/// Formula: plugs: GO pitch D2 + EI + Z_PL, +/- T_PL/2, worn - W_GO; NO-GO pitch D2 + EI + TD2
///          + T_PL/2, +/- T_PL/2, worn - W_NG. Rings: GO pitch d2 + es - Z_R, +/- T_R/2, worn
///          + W_GO; NO-GO pitch d2 + es - Td2 - T_R/2, +/- T_R/2, worn + W_NG. Every zone carries
///          its rule; wear is counted from the middle of the new gauge's zone.
/// Symbols: D2, d2 basic pitch diameter, unrounded; EI, es fundamental deviation; TD2, Td2
///          tolerance of the pitch diameter; T_PL, T_R, Z_PL, Z_R, W the row's numbers; H height
///          of the triangle; F1 = H/8.
/// Valid:   tolerances of the pitch diameter over 24 to 670 µm.
/// Rounding: once, half to even, to 0.1 µm.
/// Source:  plugs: GOST 24997-81 table 11; numbers and rings: the table's rows and
///          tolerances/README.md; rings from memory of ISO 1502.
/// Checked: tests/tables/screw_gauges.csv.
/// Errors:  ToleranceNotTabled, NoThread.
pub fn screw_gauge_limits(thread: &GaugedThread) -> Result<ScrewGaugeLimits, ScrewGaugeError> {
    let ThreadProfile { nominal, pitch } = thread.profile;
    let basic_minor = thread.profile.minor_diameter().to_nm();
    if pitch <= Length::ZERO || nominal > Length::MAX || basic_minor <= Length::ZERO {
        return Err(ScrewGaugeError::NoThread { nominal, pitch });
    }
    let mut all = gauge_rows().iter();
    let row = all.find(|row| row.over < thread.tolerance && thread.tolerance <= row.up_to);
    let Some(row) = row else {
        let ends = |end: fn(&Row) -> Length| gauge_rows().iter().map(end);
        return Err(ScrewGaugeError::ToleranceNotTabled {
            found: thread.tolerance,
            over: ends(|row| row.over).min().unwrap_or_default(),
            up_to: ends(|row| row.up_to).max().unwrap_or_default(),
        });
    };
    let (go, no_go, check_plugs) = match thread.member {
        ThreadMember::Internal => {
            let (go, no_go) = plugs(thread, row);
            (go, no_go, None)
        }
        ThreadMember::External => {
            let (go, no_go) = rings(thread, row);
            (go, no_go, Some(check_plugs(thread, row)))
        }
    };
    Ok(ScrewGaugeLimits {
        member: thread.member,
        go,
        no_go,
        check_plugs,
        row_over: row.over,
        row_up_to: row.up_to,
        row_source: &row.source,
    })
}

/// GO and NO-GO plug.
fn plugs(thread: &GaugedThread, row: &Row) -> (ScrewGauge, ScrewGauge) {
    let numbers = row.plug_standing();
    let least = ProfileLength::from(thread.deviation);
    let pitch = thread.profile.pitch_diameter() + least;
    let go_pitch = pitch + row.z_plug.into();
    // T_PL/2 is half a micrometre or a whole one.
    let no_go_pitch = pitch + (thread.tolerance + row.t_plug.div_half_even(2)).into();
    let major = ProfileLength::from(thread.profile.nominal) + least;
    let minor = GaugeZone {
        lower: None,
        upper: Some(printed(
            thread.profile.minor_diameter() + least - part_of_height(thread, 2),
        )),
        worn: None,
        standing: GaugeStanding::Established,
        rule: "at most D1 + EI - H/6, groove or radius",
    };
    let go = ScrewGauge {
        pitch: zone(
            go_pitch,
            row.t_plug.div_half_even(2),
            "D2 + EI + Z_PL, ± T_PL/2; worn at D2 + EI + Z_PL - W_GO",
        )
        .worn_at(go_pitch, -row.wear_go_plug)
        .known(numbers),
        major: zone(
            major + row.z_plug.into(),
            row.t_plug,
            "D + EI + Z_PL, ± T_PL",
        )
        .known(numbers),
        minor,
    };
    let no_go = ScrewGauge {
        pitch: zone(
            no_go_pitch,
            row.t_plug.div_half_even(2),
            "D2 + EI + TD2 + T_PL/2, ± T_PL/2; worn at D2 + EI + TD2 + T_PL/2 - W_NG",
        )
        .worn_at(no_go_pitch, -row.wear_no_go_plug)
        .known(numbers),
        major: zone(
            no_go_pitch + part_of_height(thread, 3),
            row.t_plug,
            "D2 + EI + TD2 + T_PL/2 + 2 F1, ± T_PL, F1 = H/8",
        )
        .known(GaugeStanding::Unresolved),
        minor,
    };
    (go, no_go)
}

/// GO and NO-GO ring; all of it from memory of the standard.
fn rings(thread: &GaugedThread, row: &Row) -> (ScrewGauge, ScrewGauge) {
    let largest = ProfileLength::from(thread.deviation);
    let pitch = thread.profile.pitch_diameter() + largest;
    let half = row.t_ring.div_half_even(2);
    let go_pitch = pitch - row.z_ring.into();
    let no_go_pitch = pitch - (thread.tolerance + half).into();
    let clearance = ProfileLength::from(thread.profile.nominal + row.t_plug) + largest;
    let major = GaugeZone {
        lower: Some(printed(clearance + part_of_height(thread, 1))),
        upper: None,
        worn: None,
        standing: GaugeStanding::FromMemory,
        rule: "at least d + es + T_PL + H/12",
    };
    let go = ScrewGauge {
        pitch: zone(
            go_pitch,
            half,
            "d2 + es - Z_R, ± T_R/2; worn at d2 + es - Z_R + W_GO",
        )
        .worn_at(go_pitch, row.wear_go_ring),
        major,
        minor: zone(
            thread.profile.minor_diameter() + largest,
            half,
            "d1 + es, ± T_R/2",
        ),
    };
    let no_go = ScrewGauge {
        pitch: zone(
            no_go_pitch,
            half,
            "d2 + es - Td2 - T_R/2, ± T_R/2; worn at d2 + es - Td2 - T_R/2 + W_NG",
        )
        .worn_at(no_go_pitch, row.wear_no_go_ring),
        major,
        minor: zone(
            no_go_pitch - part_of_height(thread, 3),
            row.t_ring,
            "d2 + es - Td2 - T_R/2 - 2 F1, ± T_R, F1 = H/8",
        )
        .known(GaugeStanding::Unresolved),
    };
    (go, no_go)
}

/// The plugs that check a GO ring; all of it from memory of the standard.
fn check_plugs(thread: &GaugedThread, row: &Row) -> CheckPlugs {
    let ring = thread.profile.pitch_diameter() + (thread.deviation - row.z_ring).into();
    let half = row.t_check.div_half_even(2);
    CheckPlugs {
        go: zone(ring - row.m.into(), half, "d2 + es - Z_R - m, ± T_CP/2"),
        no_go: zone(
            ring + row.t_ring.div_half_even(2).into(),
            half,
            "d2 + es - Z_R + T_R/2, ± T_CP/2",
        ),
        wear: zone(
            ring + row.wear_go_ring.into(),
            half,
            "d2 + es - Z_R + W_GO, ± T_CP/2",
        ),
    }
}

/// So many twelfths of the height of the triangle, H = 12/24 sqrt(3) P.
fn part_of_height(thread: &GaugedThread, twelfths: i128) -> ProfileLength {
    ProfileLength::parts(thread.profile.pitch, 0, twelfths)
}

fn printed(length: ProfileLength) -> Length {
    length.rounded_to(PRINTED_STEP)
}

/// A zone about its middle; from memory until something else is said.
fn zone(middle: ProfileLength, half: Length, rule: &'static str) -> GaugeZone {
    GaugeZone {
        lower: Some(printed(middle - half.into())),
        upper: Some(printed(middle + half.into())),
        worn: None,
        standing: GaugeStanding::FromMemory,
        rule,
    }
}

impl GaugeZone {
    fn worn_at(self, middle: ProfileLength, wear: Length) -> Self {
        Self {
            worn: Some(printed(middle + wear.into())),
            ..self
        }
    }

    fn known(self, standing: GaugeStanding) -> Self {
        Self { standing, ..self }
    }
}

impl GaugeStanding {
    /// `established`, `from memory` or `unresolved`.
    pub fn word(self) -> &'static str {
        match self {
            Self::Established => "established",
            Self::FromMemory => "from memory",
            Self::Unresolved => "unresolved",
        }
    }
}

impl ScrewGaugeLimits {
    /// What is established of these limits and what is not.
    pub fn notes(&self) -> Vec<GaugeNote> {
        let first = match (self.member, self.go.pitch.standing) {
            (ThreadMember::External, _) => GaugeNote::RingFromMemory,
            (ThreadMember::Internal, GaugeStanding::Established) => GaugeNote::PlugEstablished,
            (ThreadMember::Internal, _) => GaugeNote::PlugNumbersFromMemory,
        };
        vec![
            first,
            GaugeNote::TruncationUnresolved,
            GaugeNote::NotCovered,
        ]
    }
}

/// How the gauges are used, and what they do not prove; each sentence with its source. The gauge
/// maker's rule is that of johs-boss.de, use of thread gauges.
pub fn acceptance_rules(member: ThreadMember) -> [&'static str; 5] {
    [
        "GO must screw on by hand, without appreciable force, over the whole thread (a gauge \
         maker's published rule of use).",
        "NO-GO may enter at most two turns from either end, counted while unscrewing, by hand \
         without appreciable force (a gauge maker's published rule of use).",
        "On a thread of three turns or fewer NO-GO must not pass right through (from memory of \
         ISO 1502).",
        match member {
            ThreadMember::Internal => {
                "Neither gauge checks the minor diameter, which a plain plug or measuring proves \
                 (from memory of ISO 1502)."
            }
            ThreadMember::External => {
                "Neither gauge checks the major diameter, which a gap gauge or measuring proves \
                 (from memory of ISO 1502)."
            }
        },
        "Near a limit two right gauges of the same standard may decide differently, since their \
         limits and those of the work overlap by the gauge's tolerance (from memory of ISO 1502).",
    ]
}

impl fmt::Display for GaugeNote {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::PlugEstablished => {
                "Established: the plug formulas (GOST 24997-81 table 11) and this row's numbers (a \
                 public sheet of plug gauges)."
            }
            Self::PlugNumbersFromMemory => {
                "Established: the plug formulas (GOST 24997-81 table 11). Not established: this \
                 row's numbers, from memory of ISO 1502."
            }
            Self::RingFromMemory => {
                "Not established: rings and their check plugs, formulas and numbers, from memory \
                 of ISO 1502."
            }
            Self::TruncationUnresolved => {
                "Not resolved: the flank height F1 of the NO-GO gauge, H/8 here (a public sheet \
                 of plug gauges) or 0.1 P (from memory); its crest would differ by 0.0165 P, the \
                 pitch diameter not at all."
            }
            Self::NotCovered => {
                "Not established here: tolerances of plain gauges, of flank angle and pitch, and \
                 gauge lengths."
            }
        })
    }
}

impl ScrewGaugeError {
    /// The error's word in JSON.
    pub fn code(&self) -> &'static str {
        match self {
            Self::ToleranceNotTabled { .. } => "gauge_tolerance_not_tabled",
            Self::NoThread { .. } => "no_thread",
        }
    }

    /// What to do next.
    pub fn hint(&self) -> Option<&'static str> {
        Some(match self {
            Self::ToleranceNotTabled { .. } => {
                "Measure the pitch diameter instead, or ask the gauge's maker for its limits."
            }
            Self::NoThread { .. } => "Give a pitch that leaves a minor diameter.",
        })
    }
}

impl fmt::Display for ScrewGaugeError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::ToleranceNotTabled { found, over, up_to } => write!(
                f,
                "{GAUGE_STANDARD} has no gauge for a pitch-diameter tolerance of {found} mm: its \
                 rows go from over {over} to {up_to} mm."
            ),
            Self::NoThread { nominal, pitch } => write!(
                f,
                "A nominal diameter of {nominal} mm with a pitch of {pitch} mm is no thread."
            ),
        }
    }
}

impl std::error::Error for ScrewGaugeError {}
