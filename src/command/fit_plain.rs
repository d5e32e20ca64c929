//! `fitledger fit` for plain sizes: what two measured parts do together, what the other part must
//! become to suit the one that is measured, and what a working temperature makes of it.

use crate::material::Material;
use crate::measure::{AsIntended, JudgeError, MeasuredPitch};
use crate::pair::{
    Between, MakeToSuit, Measured, Meeting, MeetingKind, Member, guard_of, make_to_suit,
};
use crate::quantity::{Celsius, Length};
use crate::tolerance::{FitKind, FitLimits, SizeLimits};

use super::fit_thread::MeasuredPair;
use super::judge_why::{NOT_CONSIDERED, Shown};
use super::output_fit::{BothLine, WarmLine};
use super::problem::Problem;

/// A measured size farther than this share of the nominal size from it is a slip (chosen: parts
/// are bored out and bushed, but not by a tenth).
const FAR_SHARE: i64 = 10;
/// Of small sizes at least this (chosen).
const FAR_LEAST: Length = Length::from_um(500);

/// One half as it is asked for.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Half {
    /// Its measured size.
    pub(super) size: Option<Length>,
    /// Standard uncertainty of it, or of the measurement that is to come, nm.
    pub(super) standard_nm: Option<f64>,
}

/// A working temperature and the materials of the two halves.
#[derive(Debug, Clone)]
pub(super) struct Warm {
    pub(super) celsius: Celsius,
    pub(super) hole: Material,
    pub(super) shaft: Material,
}

/// What is asked beside the fit.
#[derive(Debug, Clone, Default)]
pub(super) struct FitAsked {
    pub(super) hole: Half,
    pub(super) shaft: Half,
    pub(super) warm: Option<Warm>,
}

impl FitAsked {
    /// What of it concerns threads.
    ///
    /// # Errors
    /// A working temperature, or an uncertainty without its size.
    pub(super) fn of_threads(&self, callout: &str) -> Result<MeasuredPair, Problem> {
        if self.warm.is_some() {
            let message = format!("{callout} is a thread; its play is told at 20 °C only.");
            let hint = Some("Leave the working temperature out.");
            return Err(Problem::bad("temperature_of_thread", message, hint));
        }
        let member = |name: &str, half: Half| match (half.size, half.standard_nm) {
            (Some(diameter), standard_nm) => Ok(Some(MeasuredPitch {
                diameter,
                standard_nm,
            })),
            (None, Some(_)) => Err(size_missing(name)),
            (None, None) => Ok(None),
        };
        Ok(MeasuredPair {
            hole: member("hole", self.hole)?,
            shaft: member("shaft", self.shaft)?,
        })
    }
}

fn size_missing(name: &str) -> Problem {
    let message =
        format!("There is an uncertainty of the {name}, and no measured size that it is of.");
    let hint = format!("Give --{name} with the size, or leave --{name}-u out.");
    Problem::bad("missing_value", message, Some(&hint))
}

/// What follows for a fit from measured sizes and a working temperature.
#[derive(Default)]
pub(super) struct Together {
    /// What two measured halves do.
    pub(super) both: Option<Both>,
    /// What the other half must become.
    pub(super) make: Option<Make>,
    /// What a working temperature makes of it.
    pub(super) warm: Option<Warmed>,
    /// How it came about.
    pub(super) why: Vec<String>,
}

/// Two measured halves.
pub(super) struct Both {
    pub(super) line: BothLine,
    pub(super) intended: AsIntended,
    pub(super) intended_fit: FitKind,
}

/// One measured half, and what the other must become.
pub(super) struct Make {
    pub(super) measured: Measured,
    pub(super) suits: MakeToSuit,
    pub(super) own: Between,
    pub(super) guard: Option<Length>,
}

/// The pair at a working temperature.
pub(super) struct Warmed {
    pub(super) line: WarmLine,
    pub(super) intended: FitKind,
}

impl Together {
    /// From what was asked; nothing where nothing was.
    ///
    /// # Errors
    /// A size or an uncertainty that is none, guard bands that leave nothing, a temperature out
    /// of range.
    pub(super) fn new(fit: &FitLimits, asked: &FitAsked) -> Result<Self, Problem> {
        let halves = [
            ("hole", asked.hole, fit.hole()),
            ("shaft", asked.shaft, fit.shaft()),
        ];
        for (name, half, limits) in halves {
            plausible(name, half, limits)?;
            if half.size.is_none() && half.standard_nm.is_some() {
                let other = if name == "hole" {
                    asked.shaft
                } else {
                    asked.hole
                };
                other.size.map(|_| ()).ok_or_else(|| size_missing(name))?;
            }
        }
        let range = (fit.min_clearance(), fit.max_clearance());
        let mut found = Self::default();
        match (asked.hole.size, asked.shaft.size) {
            (Some(hole), Some(shaft)) => {
                let members = (member(hole, asked.hole), member(shaft, asked.shaft));
                found.measured_both(fit, members, range)?;
            }
            (Some(hole), None) => {
                found.measured_one(fit, (Measured::Hole, hole), asked, range)?;
            }
            (None, Some(shaft)) => {
                found.measured_one(fit, (Measured::Shaft, shaft), asked, range)?;
            }
            (None, None) => {}
        }
        if let Some(warm) = &asked.warm {
            found.warmed(fit, asked, warm, range)?;
        }
        Ok(found)
    }

    fn measured_both(
        &mut self,
        fit: &FitLimits,
        (hole, shaft): (Member, Member),
        range: (Length, Length),
    ) -> Result<(), Problem> {
        let meeting = Meeting::of(hole, shaft);
        let intended = meeting.as_intended(range)?;
        self.why.push(format!(
            "clearance: {} - {} = {} mm, intended {} to {} mm",
            hole.size.to_mm(),
            shaft.size.to_mm(),
            Length::steps_text(meeting.clearance_nm()),
            range.0.to_mm(),
            range.1.to_mm()
        ));
        self.why.push(match meeting.standard_nm() {
            Some(u) => format!(
                "u(c) = √(u(hole)² + u(shaft)²) = {} mm; probabilities of a normal distribution; \
                 ISO 14253-1 at 95 %",
                Length::steps_text(u)
            ),
            None => format!("{NOT_CONSIDERED}: that of both is needed"),
        });
        self.both = Some(Both {
            line: both_line(&meeting, range, intended),
            intended,
            intended_fit: fit.kind(),
        });
        Ok(())
    }

    fn measured_one(
        &mut self,
        fit: &FitLimits,
        (measured, size): (Measured, Length),
        asked: &FitAsked,
        range: (Length, Length),
    ) -> Result<(), Problem> {
        let (of_measured, of_other, other) = match measured {
            Measured::Hole => (asked.hole, asked.shaft, fit.shaft()),
            Measured::Shaft => (asked.shaft, asked.hole, fit.hole()),
        };
        let guard = of_measured
            .standard_nm
            .map(|u| guard_of(u.hypot(of_other.standard_nm.unwrap_or(0.0))));
        let Some((lower, upper)) = other.limits.lower().zip(other.limits.upper()) else {
            return Ok(()); // a fit has all four limits
        };
        let own = Between { lower, upper };
        let suits = make_to_suit((measured, size), range, guard.unwrap_or(Length::ZERO), own)?;
        if suits.guarded.lower <= Length::ZERO {
            let message = format!(
                "To suit {} mm the other part would have to be {} mm.",
                size.to_mm(),
                suits.guarded.lower.to_mm()
            );
            let hint = Some("Check the measured size and its unit.");
            return Err(Problem::bad("diameter_out_of_range", message, hint));
        }
        let (name, sum) = match measured {
            Measured::Hole => ("shaft", "less the intended clearance"),
            Measured::Shaft => ("hole", "and the intended clearance"),
        };
        self.why.push(format!(
            "{name}: {} {sum}, {} to {} mm, is {} to {} mm",
            size.to_mm(),
            range.0.to_mm(),
            range.1.to_mm(),
            suits.whole.lower.to_mm(),
            suits.whole.upper.to_mm()
        ));
        self.why.push(match guard {
            Some(guard) => format!(
                "guard band at each end, 2 u of what is measured: {} mm (ISO 14253-1, k = 2)",
                guard.to_mm()
            ),
            None => format!("{NOT_CONSIDERED}: that of the measured size is needed"),
        });
        self.make = Some(Make {
            measured,
            suits,
            own,
            guard,
        });
        Ok(())
    }

    /// What a working temperature makes of two measured halves, else of the tightest and the
    /// loosest pair that there can be.
    fn warmed(
        &mut self,
        fit: &FitLimits,
        asked: &FitAsked,
        warm: &Warm,
        range: (Length, Length),
    ) -> Result<(), Problem> {
        let at = |hole: Member, shaft: Member| {
            let (hole, shaft) = (
                (hole, warm.hole.expansion()),
                (shaft, warm.shaft.expansion()),
            );
            Meeting::at(hole, shaft, warm.celsius)
        };
        let intended = fit.kind();
        let mut line = warm_line(warm);
        if let (Some(hole), Some(shaft)) = (asked.hole.size, asked.shaft.size) {
            let meeting = at(member(hole, asked.hole), member(shaft, asked.shaft))?;
            let standing = meeting.as_intended(range)?;
            line.fit = meeting.kind().code();
            line.kind_kept = match intended {
                FitKind::Clearance => meeting.kind() == MeetingKind::Clearance,
                FitKind::Interference => meeting.kind() == MeetingKind::Interference,
                FitKind::Transition => true,
            };
            line.measured = Some(both_line(&meeting, range, standing));
        } else if let Some(((hole_min, hole_max), (shaft_min, shaft_max))) = self.ends(fit, asked) {
            let tight = at(bare(hole_min), bare(shaft_max))?.clearance_nm();
            let loose = at(bare(hole_max), bare(shaft_min))?.clearance_nm();
            line.min_clearance = Some(Length::steps_text(tight));
            line.max_clearance = Some(Length::steps_text(loose));
            let kind = match (tight >= 0.0, loose <= 0.0) {
                (true, _) => FitKind::Clearance,
                (false, true) => FitKind::Interference,
                (false, false) => FitKind::Transition,
            };
            line.fit = kind.word();
            line.kind_kept = intended == FitKind::Transition || kind == intended;
        }
        for (name, one) in [("hole", &warm.hole), ("shaft", &warm.shaft)] {
            self.why.push(format!(
                "{name} of {}: {}e-6/K ({}), half-width 10 % of it, at least 1e-6/K",
                one.designation, one.expansion_um_per_m_k, one.expansion_source
            ));
        }
        self.why.push(format!(
            "at {} °C: C + (H·α(hole) - S·α(shaft))·{} K",
            warm.celsius,
            warm.celsius.above_reference_k()
        ));
        self.warm = Some(Warmed { line, intended });
        Ok(())
    }

    /// Least and greatest sizes of hole and shaft: measured, made to suit, or of their classes.
    fn ends(
        &self,
        fit: &FitLimits,
        asked: &FitAsked,
    ) -> Option<((Length, Length), (Length, Length))> {
        let suited = |measured: Measured| {
            let make = self
                .make
                .as_ref()
                .filter(|make| make.measured == measured)?;
            Some((make.suits.guarded.lower, make.suits.guarded.upper))
        };
        let class = |size: &SizeLimits| size.limits.lower().zip(size.limits.upper());
        let one = |half: Half| half.size.map(|size| (size, size));
        let hole = one(asked.hole).or_else(|| suited(Measured::Shaft));
        let shaft = one(asked.shaft).or_else(|| suited(Measured::Hole));
        Some((
            hole.or_else(|| class(fit.hole()))?,
            shaft.or_else(|| class(fit.shaft()))?,
        ))
    }
}

fn member(size: Length, half: Half) -> Member {
    Member {
        size,
        standard_nm: half.standard_nm,
    }
}

fn bare(size: Length) -> Member {
    Member {
        size,
        standard_nm: None,
    }
}

/// Refuses what is no size of this fit, and no uncertainty.
fn plausible(name: &str, half: Half, limits: &SizeLimits) -> Result<(), Problem> {
    if let Some(found) = half.standard_nm
        && found < 0.0
    {
        return Err(JudgeError::UncertaintyOutOfRange { found }.into());
    }
    let (Some(size), Some(nominal)) = (half.size, limits.nominal) else {
        return Ok(());
    };
    let away = (size - nominal).abs();
    if away <= nominal.div_floor(FAR_SHARE).max(FAR_LEAST) {
        return Ok(());
    }
    let message = format!(
        "The measured {name}, {} mm, lies {} mm from the nominal size of {} mm.",
        size.to_mm(),
        away.to_mm(),
        nominal.to_mm()
    );
    let hint =
        "Check its digits and its unit (in stands behind inches), or name the fit of that size.";
    Err(Problem::bad("far_from_nominal", message, Some(hint)))
}

fn both_line(meeting: &Meeting, range: (Length, Length), intended: AsIntended) -> BothLine {
    let clearance = meeting.clearance_nm();
    let is_inside = (range.0.as_nm_f64()..=range.1.as_nm_f64()).contains(&clearance);
    BothLine {
        clearance: Length::steps_text(clearance),
        clearance_uncertainty: meeting.standard_nm().map(Length::steps_text),
        as_intended: is_inside,
        intended: intended.word(),
        interference_probability: meeting.interference_probability(),
        inside_probability: meeting.inside_probability(range),
        fit: meeting.kind().code(),
    }
}

fn warm_line(warm: &Warm) -> WarmLine {
    WarmLine {
        celsius: warm.celsius.to_string(),
        hole_material: warm.hole.designation.to_string(),
        shaft_material: warm.shaft.designation.to_string(),
        hole_expansion_per_k: warm.hole.expansion().per_kelvin,
        shaft_expansion_per_k: warm.shaft.expansion().per_kelvin,
        max_clearance: None,
        min_clearance: None,
        measured: None,
        fit: FitKind::Transition.word(),
        kind_kept: true,
    }
}
