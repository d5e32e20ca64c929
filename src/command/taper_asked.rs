//! What `taper` is asked: the fields of each kind, and the cone that they say.

use std::cell::RefCell;
use std::collections::BTreeSet;

use super::output_taper::{Given, TaperAsked};
use super::problem::Problem;
use crate::pair::{
    Balls, MeasuredMm, MeasuredTaper, Rollers, Taper, TaperError, taper_by_name, taper_known,
    taper_of_diameters, taper_on_sine_bar, taper_over_rollers, taper_with_balls,
};
use crate::report::shown;
use crate::tolerance::{NamedCone, morse_cone, named_cones};

/// Every kind by its word.
const KINDS: [&str; 5] = ["diameters", "rollers", "balls", "sine_bar", "ratio"];

/// Larger numbers are none of a bench (chosen; mm, degrees, or the x of a ratio).
const NUMBER_MAX: f64 = 1e6;

impl From<TaperError> for Problem {
    fn from(error: TaperError) -> Self {
        Self::bad(error.code(), error.to_string(), error.hint())
    }
}

/// A cone as it was asked for.
pub(super) struct Cone {
    pub(super) kind: &'static str,
    pub(super) found: MeasuredTaper,
    /// The row of the tables that was asked for.
    pub(super) row: Option<&'static NamedCone>,
    /// From the method's place towards the small end, as far as the cone is asked about; of a plug
    /// on a plate towards the large one.
    pub(super) length: Option<MeasuredMm>,
    /// What was taken because nothing was said.
    pub(super) notes: Vec<&'static str>,
}

/// The fields of a question, and which of them were looked at.
pub(super) struct Fields<'a> {
    all: &'a TaperAsked,
    seen: RefCell<BTreeSet<&'static str>>,
}

impl<'a> Fields<'a> {
    pub(super) fn new(all: &'a TaperAsked) -> Self {
        Self {
            all,
            seen: RefCell::default(),
        }
    }

    fn given(&self, name: &'static str) -> Option<&Given> {
        self.seen.borrow_mut().insert(name);
        self.all.get(name)
    }

    /// A number, if it is there; a text that is one counts.
    pub(super) fn number(&self, name: &'static str) -> Result<Option<f64>, Problem> {
        let (number, found) = match self.given(name) {
            None => return Ok(None),
            Some(Given::Number(number)) => (Some(*number), number.to_string()),
            Some(Given::Text(text)) => (text.trim().parse().ok(), format!("“{}”", shown(text))),
            Some(Given::Other(what)) => (None, (*what).to_owned()),
        };
        match number.filter(|number: &f64| number.is_finite()) {
            Some(number) if number.abs() > NUMBER_MAX => {
                let message = format!("{name} is {found}; it must be within ±{NUMBER_MAX}.");
                Err(Problem::bad("out_of_range", message, None))
            }
            Some(number) => Ok(Some(number)),
            None => {
                let message = format!("{name} is {found}, which is no number.");
                let hint = Some("Give a plain number, such as 24.5.");
                Err(Problem::bad("not_a_number", message, hint))
            }
        }
    }

    /// A length with the standard uncertainty beside it, if it is there.
    pub(super) fn length(
        &self,
        [name, unsure]: [&'static str; 2],
    ) -> Result<Option<MeasuredMm>, Problem> {
        let (value, standard) = (self.number(name)?, self.number(unsure)?);
        match (value, standard) {
            (Some(value_mm), standard) => {
                let standard_mm = standard.unwrap_or(0.0);
                if standard_mm < 0.0 {
                    let message = format!("{unsure} is {standard_mm}; it must be 0 or more.");
                    return Err(Problem::bad("out_of_range", message, None));
                }
                Ok(Some(MeasuredMm {
                    value_mm,
                    standard_mm,
                }))
            }
            (None, None) => Ok(None),
            (None, Some(_)) => {
                let message = format!("{unsure} stands there without {name}.");
                Err(Problem::bad("missing_field", message, None))
            }
        }
    }

    fn needed(&self, names: [&'static str; 2], kind: &str) -> Result<MeasuredMm, Problem> {
        self.length(names)?
            .ok_or_else(|| missing(&format!("{} of kind {kind}", names[0])))
    }

    /// Refuses what nobody has looked at: it belongs to another kind, or is mistyped.
    pub(super) fn end(&self, kind: &str) -> Result<(), Problem> {
        let seen = self.seen.borrow();
        let other = self.all.keys().find(|name| !seen.contains(name.as_str()));
        let Some(other) = other else { return Ok(()) };
        let known: Vec<&str> = seen.iter().copied().collect();
        let message = format!(
            "{} is no field of kind {kind}; these are: {}.",
            shown(other),
            known.join(", ")
        );
        let hint = Some("See fitledger taper --help for the names.");
        Err(Problem::bad("unknown_field", message, hint))
    }
}

fn missing(what: &str) -> Problem {
    let message = format!("{what} is missing.");
    let hint = Some("See fitledger taper --help for the names.");
    Problem::bad("missing_field", message, hint)
}

const LARGE: [&str; 2] = ["large_mm", "large_u_mm"];
const SMALL: [&str; 2] = ["small_mm", "small_u_mm"];
const LENGTH: [&str; 2] = ["length_mm", "length_u_mm"];

/// The cone that the fields say.
///
/// # Errors
/// No kind or an unknown one, a field that is missing, no number or of another kind, and what makes
/// no cone.
pub(super) fn cone(fields: &Fields<'_>) -> Result<Cone, Problem> {
    let kind = match fields.given("kind") {
        None => return Err(missing("kind")),
        Some(Given::Text(text)) => KINDS.into_iter().find(|kind| kind == text),
        Some(_) => None,
    };
    let Some(kind) = kind else {
        let message = format!("The kind is none of these: {}.", KINDS.join(", "));
        return Err(Problem::bad("unknown_kind", message, None));
    };
    match kind {
        "diameters" => of_diameters(fields, kind),
        "rollers" => over_rollers(fields, kind),
        "balls" => with_balls(fields, kind),
        "sine_bar" => on_sine_bar(fields, kind),
        _ => of_ratio(fields, kind),
    }
}

fn of_diameters(fields: &Fields<'_>, kind: &'static str) -> Result<Cone, Problem> {
    let (large, small, length) = (
        fields.needed(LARGE, kind)?,
        fields.needed(SMALL, kind)?,
        fields.needed(LENGTH, kind)?,
    );
    Ok(Cone {
        kind,
        found: taper_of_diameters(large, small, length)?,
        row: None,
        length: Some(length),
        notes: Vec::new(),
    })
}

fn over_rollers(fields: &Fields<'_>, kind: &'static str) -> Result<Cone, Problem> {
    let needed = |names| fields.needed(names, kind);
    let over = Rollers {
        roller: needed(["roller_diameter_mm", "roller_diameter_u_mm"])?,
        low: needed(["h1_mm", "h1_u_mm"])?,
        over_low: needed(["M1_mm", "M1_u_mm"])?,
        high: needed(["h2_mm", "h2_u_mm"])?,
        over_high: needed(["M2_mm", "M2_u_mm"])?,
    };
    let height = fields.length(["plug_height_mm", "plug_height_u_mm"])?;
    Ok(Cone {
        kind,
        found: taper_over_rollers(&over)?,
        row: None,
        length: height
            .map(|height| positive(height, "plug_height_mm"))
            .transpose()?,
        notes: vec!["The plug stands on the plate with its small end."],
    })
}

fn with_balls(fields: &Fields<'_>, kind: &'static str) -> Result<Cone, Problem> {
    let needed = |names| fields.needed(names, kind);
    let balls = Balls {
        small: needed(["small_ball_mm", "small_ball_u_mm"])?,
        small_depth: needed(["small_top_below_face_mm", "small_top_below_face_u_mm"])?,
        large: needed(["large_ball_mm", "large_ball_u_mm"])?,
        large_depth: needed(["large_top_below_face_mm", "large_top_below_face_u_mm"])?,
    };
    Ok(Cone {
        kind,
        found: taper_with_balls(&balls)?,
        row: None,
        length: cone_length(fields)?,
        notes: vec!["The large diameter is that of the mouth, at the face."],
    })
}

fn on_sine_bar(fields: &Fields<'_>, kind: &'static str) -> Result<Cone, Problem> {
    let height = fields.needed(["height_mm", "height_u_mm"], kind)?;
    let bar = fields.needed(["bar_mm", "bar_u_mm"], kind)?;
    let (large, length) = (fields.length(LARGE)?, cone_length(fields)?);
    Ok(Cone {
        kind,
        found: taper_on_sine_bar(height, bar, large)?,
        row: None,
        length,
        notes: vec!["The cone lies level on the bar: the bar is set to the whole angle."],
    })
}

/// How long the cone is, if it is said.
fn cone_length(fields: &Fields<'_>) -> Result<Option<MeasuredMm>, Problem> {
    let length = fields.length(LENGTH)?;
    length.map(|length| positive(length, LENGTH[0])).transpose()
}

fn positive(length: MeasuredMm, name: &str) -> Result<MeasuredMm, Problem> {
    if length.value_mm > 0.0 {
        return Ok(length);
    }
    let message = format!("{name} is {}; it must be more than 0.", length.value_mm);
    Err(Problem::bad("out_of_range", message, None))
}

fn of_ratio(fields: &Fields<'_>, kind: &'static str) -> Result<Cone, Problem> {
    let (taper, row) = shape(fields)?;
    let (mut large, small, mut length) = (
        fields.length(LARGE)?,
        fields.length(SMALL)?,
        cone_length(fields)?,
    );
    let gauge = row.and_then(|row| row.gauge_diameter);
    let mut notes = Vec::new();
    match (large, small, length) {
        (Some(_), Some(_), Some(_)) => {
            let message = "large_mm, small_mm, length_mm and the ratio say the same twice.";
            let hint = Some("Leave one of them out, or take kind diameters.");
            return Err(Problem::bad("said_twice", message.to_owned(), hint));
        }
        (None, Some(small), Some(long)) => {
            // Back from the small end: as unsure as the small diameter and the length.
            let from_small = taper_known(taper, Some(small))?;
            let back = MeasuredMm {
                value_mm: -long.value_mm,
                ..long
            };
            large = from_small.diameter_at(back);
        }
        (Some(big), Some(small), None) => {
            if small.value_mm >= big.value_mm {
                let why = "the large diameter must be larger than the small one";
                return Err(TaperError::NotACone { why }.into());
            }
            let away = MeasuredMm {
                value_mm: big.value_mm - small.value_mm,
                standard_mm: big.standard_mm.hypot(small.standard_mm),
            };
            length = Some(taper_known(taper, None)?.axial_move(away));
        }
        (None, Some(_), None) => return Err(missing("length_mm beside small_mm")),
        (None, None, _) => {
            let mm = |length: crate::quantity::Length| length.as_nm_f64() / 1e6;
            large = gauge.map(|gauge| MeasuredMm::exact(mm(gauge)));
            if large.is_some() {
                notes.push("The large diameter is that of the table, at the gauge plane.");
            }
        }
        (Some(_), None, _) => {}
    }
    Ok(Cone {
        kind,
        found: taper_known(taper, large)?,
        row,
        length,
        notes,
    })
}

/// The one thing that says the shape of the cone.
fn shape(fields: &Fields<'_>) -> Result<(Taper, Option<&'static NamedCone>), Problem> {
    let named = fields.given("taper").cloned();
    let (x, morse) = (fields.number("x")?, fields.number("morse")?);
    let whole = fields.number("included_angle_deg")?;
    let half = fields.number("half_angle_deg")?;
    match (named, x, morse, whole, half) {
        (Some(Given::Text(name)), None, None, None, None) => by_text(&name),
        (None, Some(x), None, None, None) => Ok((Taper::of_ratio(x)?, None)),
        (None, None, Some(number), None, None) => {
            let row = (0..=6_u32).find(|one| (f64::from(*one) - number).abs() < 1e-9);
            let row = row.and_then(morse_cone).ok_or_else(|| {
                let message = format!("There is no Morse taper {number} in the table.");
                Problem::bad("unknown_taper", message, Some("They are 0 to 6."))
            })?;
            Ok((taper_by_name(row)?.taper, Some(row)))
        }
        (None, None, None, Some(whole), None) => Ok((Taper::of_angle(whole)?, None)),
        (None, None, None, None, Some(half)) => Ok((Taper::of_angle(2.0 * half)?, None)),
        _ => {
            let message = "The shape is to be said once: by taper (a text such as \"1:12\"), x, \
                           morse, included_angle_deg or half_angle_deg.";
            Err(Problem::bad("shape_missing", message.to_owned(), None))
        }
    }
}

/// `1:12`, `30°` of the whole angle, or `Morse 2`; a row of the tables where there is one.
fn by_text(text: &str) -> Result<(Taper, Option<&'static NamedCone>), Problem> {
    let squeezed: String = text.chars().filter(|c| !c.is_whitespace()).collect();
    let same = |name: &str| {
        let name: String = name.chars().filter(|c| !c.is_whitespace()).collect();
        name.eq_ignore_ascii_case(&squeezed)
    };
    if let Some(row) = named_cones().iter().find(|row| same(&row.name)) {
        return Ok((taper_by_name(row)?.taper, Some(row)));
    }
    let number = |text: &str| text.replace(',', ".").parse::<f64>().ok();
    let ratio = squeezed.strip_prefix("1:").and_then(number);
    let degrees = squeezed.strip_suffix('°').and_then(number);
    match (ratio, degrees) {
        (Some(x), _) => Ok((Taper::of_ratio(x)?, None)),
        (None, Some(degrees)) => Ok((Taper::of_angle(degrees)?, None)),
        (None, None) => {
            let message = format!("“{}” names no cone.", shown(text));
            let hint = Some("Write 1:12, 30° (the whole angle) or Morse 2.");
            Err(Problem::bad("unknown_taper", message, hint))
        }
    }
}
