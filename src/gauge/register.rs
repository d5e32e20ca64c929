//! The gauge register: which gauges there are, and what each is worth.
//!
//! Refuses to know today's date (asked for where it matters) and how bytes come from a port.

use std::fmt;

use super::assumed::{Assumed, error_limit, resolution};
use super::build::gauges;
use super::capability::{Calibration, GaugeError};
use super::date::{Date, Due};
use super::findings::{Findings, document};
use super::kind::{Faces, GaugeKind};
use super::method::Method;
use super::pointed::{Pointed, SourceText};
use super::problem::RegisterProblem;
use super::reading::{CheckEnd, GaugeId};
use crate::quantity::{Angle, Length, LengthUnit};

/// A problem of a register with its place in the file.
pub type RegisterError = Pointed<RegisterProblem>;

/// The gauges of a workshop, each id once.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Register {
    gauges: Vec<Gauge>,
}

/// One gauge as the register states it.
#[derive(Debug, Clone, PartialEq)]
pub struct Gauge {
    /// Its name in readings and records.
    pub id: GaugeId,
    /// What it is.
    pub kind: GaugeKind,
    /// Lower and upper end of what it measures; both the same for a standard of one size.
    pub range: Option<(Length, Length)>,
    /// The smallest step it shows, if stated.
    pub resolution: Option<Length>,
    /// The error it may have, if stated.
    pub error: StatedError,
    /// Range, step and error of a protractor.
    pub angular: Angular,
    /// What its value means.
    pub reads: GaugeReads,
    /// Repeatability standard deviation s_r from a study.
    pub repeatability: Option<Length>,
    /// How many readings that study had; none when not stated.
    pub repeatability_readings: Option<u32>,
    /// The day of that study; none when not stated.
    pub repeatability_on: Option<Date>,
    /// The maker's serial number, to tell its certificate by.
    pub serial: Option<String>,
    /// Name of the material of its scale, as the materials table has it; none when not stated.
    pub made_of: Option<String>,
    /// The day of its last calibration.
    pub calibrated: Option<Date>,
    /// Number of that calibration's certificate.
    pub certificate: Option<String>,
    /// When and on what its zero is to be checked.
    pub zero_check: Option<ZeroCheck>,
    /// The gauge that reads it, where it only carries a size.
    pub read_by: Option<GaugeId>,
    /// The callout that a limit gauge is made for (`M10-6H`, `20 H7`).
    pub callout: Option<String>,
    /// Which end a limit gauge has; none: both, or not stated.
    pub end: Option<CheckEnd>,
    /// The way in which it measures, if stated; see [`Gauge::way_of_measuring`].
    pub method: Option<Method>,
    /// Last day on which its calibration holds.
    pub due: Option<Date>,
    /// Where its readings come from.
    pub port: Option<Port>,
    /// The unit it shows.
    pub unit: LengthUnit,
}

/// The error of a gauge as the register states it.
#[derive(Debug, Clone, PartialEq)]
pub enum StatedError {
    /// Nothing is stated; an assumption by kind may stand in.
    NotStated,
    /// Maximum permissible error, a half-width.
    Mpe(Length),
    /// From its calibration certificate.
    Calibration(Calibration),
}

/// What a protractor's register entry states.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Angular {
    /// Lower and upper end.
    pub range: Option<(Angle, Angle)>,
    /// The smallest step it shows.
    pub resolution: Option<Angle>,
    /// Maximum permissible error, a half-width.
    pub mpe: Option<Angle>,
}

/// What the register asks of a gauge's zero.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ZeroCheck {
    /// A check holds for so many hours; none: no check is asked for.
    pub every_hours: Option<u32>,
    /// An offset within plus or minus this is applied, a larger one refused; none: see
    /// [`Gauge::zero_bound`].
    pub bound: Option<Length>,
    /// The setting standard; none: the gauge's own zero (of a comparator: what it is set on).
    pub on: Option<GaugeId>,
}

/// What the value of a gauge means.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum GaugeReads {
    /// The size.
    Size,
    /// The deviation from the size of a standard of the register.
    Deviation {
        /// The standard.
        set_on: GaugeId,
        /// Its size.
        set_size: Length,
    },
}

/// Where the readings of a gauge come from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Port {
    /// How the port is found again.
    pub place: PortPlace,
    /// The name of its adapter description; the program's default when not stated.
    pub adapter: Option<String>,
    /// The gauge's id inside frames that carry one.
    pub frame_id: Option<String>,
}

/// How a port is found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PortPlace {
    /// By its USB identity, under whatever name it appears.
    Usb {
        /// Vendor number.
        vendor: u16,
        /// Product number.
        product: u16,
        /// Serial number; without one, any device of that vendor and product.
        serial: Option<String>,
    },
    /// By its name in the system.
    Path(String),
}

/// A number that counts for a gauge: stated, or assumed by its kind.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Known {
    /// The register says so.
    Stated(Length),
    /// The register is silent; a table stands in.
    Assumed(Assumed),
}

impl Known {
    /// The number.
    pub fn value(&self) -> Length {
        match self {
            Self::Stated(value) => *value,
            Self::Assumed(assumed) => assumed.value,
        }
    }

    /// Whether it is assumed.
    pub fn is_assumed(&self) -> bool {
        matches!(self, Self::Assumed(_))
    }
}

impl Register {
    /// Reads a register file; `label` is the name under which errors speak of it.
    ///
    /// Errors: every problem of the file that can be found in one pass, in the file's order.
    pub fn parse(text: &str, label: &str) -> Result<Self, Vec<RegisterError>> {
        let mut findings = Findings::new(SourceText::new(label, text));
        let gauges = match document(&mut findings) {
            Some(table) => gauges(&mut findings, &table),
            None => Vec::new(),
        };
        match findings.is_empty() {
            true => Ok(Self { gauges }),
            false => Err(findings.into_pointed()),
        }
    }

    /// The text of [`Register::demo`], to begin a register of one's own from.
    pub const DEMO_TEXT: &'static str = include_str!("demo.toml");

    /// The built-in register of the demonstration: the gauges of the pump shaft's plan.
    #[allow(clippy::expect_used)] // the text is part of the program and read by its tests
    pub fn demo() -> Self {
        Self::parse(Self::DEMO_TEXT, "the built-in gauge register")
            .expect("the built-in gauge register is sound")
    }

    /// Every gauge, in the file's order.
    pub fn gauges(&self) -> &[Gauge] {
        &self.gauges
    }

    /// What is known of the error of a size that was got with that gauge: its own, that of the
    /// standard it was set on, and of both gauges where one only carries the size to another.
    ///
    /// A carried size is read between outside faces, whatever faces took it over. `None` when the
    /// error of a gauge in the chain is not known: the uncertainty is then not considered. A
    /// carrier's is known also by its repeatability, as from a study of its feel; a standard
    /// without a known error adds nothing, and is told by [`Register::standing`].
    pub fn error_of(&self, gauge: &Gauge, size: Length, faces: Faces) -> Option<GaugeError> {
        if let Some(reader) = self.reader_of(gauge) {
            let carried = gauge.error_at(size, faces).or_else(|| {
                gauge.repeatability.map(|_| GaugeError {
                    resolution: None,
                    ..gauge.error_unstated()
                })
            })?;
            let mut error = self.error_of_reader(reader, size, Faces::Outside)?;
            error.transfer = Some(Box::new(carried));
            return Some(error);
        }
        match gauge.is_carrier() {
            true => None,
            false => self.error_of_reader(gauge, size, faces),
        }
    }

    /// A gauge that shows sizes, with the standard that it or its zero was set on.
    fn error_of_reader(&self, gauge: &Gauge, size: Length, faces: Faces) -> Option<GaugeError> {
        let mut error = gauge.error_at(size, faces)?;
        let standard = self.standard_of(gauge);
        let of_standard = standard.and_then(|standard| {
            let size = standard.fixed_size().unwrap_or(size);
            standard.error_at(size, Faces::Outside)
        });
        error.standard = of_standard.map(Box::new);
        Some(error)
    }

    /// The gauge that reads this one, where it only carries a size.
    pub fn reader_of(&self, gauge: &Gauge) -> Option<&Gauge> {
        self.gauge(gauge.read_by.as_ref()?)
    }

    /// The standard that a gauge is set on: of a comparator its master, of any other the one on
    /// which its zero is checked.
    pub fn standard_of(&self, gauge: &Gauge) -> Option<&Gauge> {
        let of_zero = || gauge.zero_check.as_ref()?.on.as_ref();
        let id = match &gauge.reads {
            GaugeReads::Deviation { set_on, .. } => Some(set_on),
            GaugeReads::Size => of_zero(),
        };
        self.gauge(id?)
    }

    /// The gauge of that id.
    pub fn gauge(&self, id: &GaugeId) -> Option<&Gauge> {
        self.gauges.iter().find(|gauge| gauge.id == *id)
    }
}

impl Gauge {
    /// The one size of a standard.
    pub fn fixed_size(&self) -> Option<Length> {
        self.range
            .filter(|(lower, upper)| lower == upper)
            .map(|(size, _)| size)
    }

    /// Whether it has a screw read by eye when it sends nothing (see
    /// [`GaugeKind::is_thimble`]); with a typed reading, one turn too many is the likely slip.
    pub fn is_thimble(&self) -> bool {
        self.kind.is_thimble()
    }

    /// Whether a value that it shows is within its range (of a comparator: the deviation); a
    /// gauge without a stated range takes any.
    pub fn covers(&self, shown: Length) -> bool {
        self.range
            .is_none_or(|(lower, upper)| (lower..=upper).contains(&shown))
    }

    /// The smallest step it shows, stated or assumed by its kind.
    pub fn step(&self) -> Option<Known> {
        let stated = self.resolution.map(Known::Stated);
        stated.or_else(|| resolution(self.kind).map(Known::Assumed))
    }

    /// Its permissible error at a size with those faces, stated or assumed by its kind; `None`
    /// when it is calibrated instead, or when nothing is known.
    ///
    /// The assumed row goes by the upper end of its range for a screw (DIN 863-1 grades the
    /// instrument) and by the measured size for a slide (DIN 862 grades the length); without a
    /// range always by the size. Stated numbers count for all faces alike.
    pub fn permissible_error(&self, size: Length, faces: Faces) -> Option<Known> {
        match self.error {
            StatedError::Mpe(mpe) => return Some(Known::Stated(mpe)),
            StatedError::Calibration(_) => return None,
            StatedError::NotStated => {}
        }
        let step = self.step()?.value();
        let length = match self.range {
            Some((_, upper)) if self.is_thimble() => upper,
            _ => size,
        };
        error_limit(self.kind, step, length, faces).map(Known::Assumed)
    }

    /// What the gauge adds to the uncertainty of a size measured with those faces; `None` when
    /// neither a calibration nor an error is known: the uncertainty is then not considered.
    pub fn error_at(&self, size: Length, faces: Faces) -> Option<GaugeError> {
        let calibration = match &self.error {
            StatedError::Calibration(calibration) => Some(calibration.clone()),
            _ => None,
        };
        let mpe = self.permissible_error(size, faces);
        (calibration.is_some() || mpe.is_some()).then(|| GaugeError {
            mpe: mpe.map(|known| known.value()),
            calibration,
            ..self.error_unstated()
        })
    }

    /// What is known beside the error itself: its step and its repeatability.
    fn error_unstated(&self) -> GaugeError {
        let freedom = self.repeatability_readings;
        GaugeError {
            resolution: self.step().map(|known| known.value()),
            repeatability: self.repeatability,
            repeatability_freedom: freedom.map(|readings| readings.saturating_sub(1)),
            ..GaugeError::default()
        }
    }

    /// Whether it only carries a size that another gauge reads.
    pub fn is_carrier(&self) -> bool {
        self.read_by.is_some() || self.kind == GaugeKind::SmallHoleGauge
    }

    /// The largest zero offset that is applied: the register's bound, else the permissible error
    /// at `size`, else one step; an offset beyond it means that the gauge is to be set anew.
    pub fn zero_bound(&self, size: Length) -> Option<Length> {
        let stated = self.zero_check.as_ref().and_then(|check| check.bound);
        let known = || self.permissible_error(size, Faces::Outside);
        stated
            .or_else(|| known().map(|known| known.value()))
            .or_else(|| self.step().map(|step| step.value()))
    }

    /// Whether its calibration holds on the day `today`.
    pub fn due_on(&self, today: Date) -> Due {
        Due::on(self.due, today)
    }

    /// The size that its value stands for: the value itself, or the standard's size and the
    /// deviation from it.
    pub fn size_of(&self, value: Length) -> Length {
        match self.reads {
            GaugeReads::Size => value,
            GaugeReads::Deviation { set_size, .. } => set_size + value,
        }
    }
}

/// `mic-25 (outside_micrometer)`.
impl fmt::Display for Gauge {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} ({})", self.id, self.kind.word())
    }
}
