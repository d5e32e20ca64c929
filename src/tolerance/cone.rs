//! Cones with a name: the series of ISO 1119 and Morse tapers, as tabled.

use std::sync::LazyLock;

use super::csv::{Sheet, TableError};
use crate::quantity::{Decimal, Length};

/// Names and texts of the embedded tables. No limit rests on them, so they are no part of the
/// digest that a record keeps.
pub const CONE_TEXTS: [(&str, &str); 2] = [
    (
        "cones/iso1119.csv",
        include_str!("../../tolerances/cones/iso1119.csv"),
    ),
    (
        "cones/morse.csv",
        include_str!("../../tolerances/cones/morse.csv"),
    ),
];

/// What a cone's row says of its shape.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ConeShape {
    /// The x of its ratio 1:x: length over difference of diameters.
    Ratio(Decimal),
    /// Its whole angle, degrees.
    Angle(Decimal),
}

/// A cone that has a name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NamedCone {
    /// Its name: `1:12`, `30°`, `Morse 2`.
    pub name: String,
    /// Its shape.
    pub shape: ConeShape,
    /// Diameter at its gauge plane, the large end; of Morse tapers alone.
    pub gauge_diameter: Option<Length>,
    /// The number of a Morse taper.
    pub morse: Option<u32>,
    /// Where the row comes from.
    pub source: String,
}

#[allow(clippy::expect_used)]
static CONES: LazyLock<Vec<NamedCone>> = LazyLock::new(|| {
    // The texts are part of the program; a test reads every row of them.
    let [(series_name, series), (morse_name, morse)] = CONE_TEXTS;
    let mut all = series_rows(series, series_name).expect("the embedded table is sound");
    all.extend(morse_rows(morse, morse_name).expect("the embedded table is sound"));
    all
});

fn series_rows(text: &str, origin: &str) -> Result<Vec<NamedCone>, TableError> {
    let sheet = Sheet::read(text, origin)?;
    let mut rows = Vec::with_capacity(sheet.rows.len());
    for fields in &sheet.rows {
        let [name, by, value, _series, source] = fields.as_slice() else {
            continue; // the sheet has checked the width against the header
        };
        let number = sheet.number(value, "a number above 0")?;
        let shape = match by.text.as_str() {
            "ratio" => ConeShape::Ratio(number),
            "angle" => ConeShape::Angle(number),
            _ => return Err(sheet.fault(by, "ratio or angle")),
        };
        rows.push(NamedCone {
            name: name.text.clone(),
            shape,
            gauge_diameter: None,
            morse: None,
            source: sheet.source(source, false)?,
        });
    }
    Ok(rows)
}

fn morse_rows(text: &str, origin: &str) -> Result<Vec<NamedCone>, TableError> {
    let sheet = Sheet::read(text, origin)?;
    let mut rows = Vec::with_capacity(sheet.rows.len());
    for fields in &sheet.rows {
        let [number, diameter, x, source] = fields.as_slice() else {
            continue; // as above
        };
        let morse = number.text.parse::<u32>();
        let morse = morse.map_err(|_| sheet.fault(number, "a whole number"))?;
        rows.push(NamedCone {
            name: format!("Morse {morse}"),
            shape: ConeShape::Ratio(sheet.number(x, "a number above 0")?),
            gauge_diameter: Some(sheet.size(diameter)?),
            morse: Some(morse),
            source: sheet.source(source, false)?,
        });
    }
    Ok(rows)
}

/// Every cone with a name: ratios of ISO 1119, its angles, then Morse tapers.
pub fn named_cones() -> &'static [NamedCone] {
    &CONES
}

/// The Morse taper of that number, 0 to 6.
pub fn morse_cone(number: u32) -> Option<&'static NamedCone> {
    CONES.iter().find(|cone| cone.morse == Some(number))
}
