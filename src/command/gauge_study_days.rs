//! Whether a gauge reads the same thing alike on several days: for machines and for people.

use super::output_study::{DayBody, DaysBody};
use super::screen::{Screen, paragraph};
use crate::report::shown;
use crate::session::{StudyDays, digits};

/// The days as JSON has them; `unit` is that of the readings, such as ` mm`, or empty.
pub(super) fn days_body(found: &StudyDays, unit: &'static str) -> DaysBody {
    let stability = found.stability.as_ref();
    let drift = stability.and_then(|found| found.drift.as_ref());
    let day = |(day, n, mean): &(crate::gauge::Date, usize, f64)| DayBody {
        day: day.to_string(),
        n: *n,
        mean: *mean,
    };
    DaysBody {
        part: found.part.clone(),
        reference: found.reference_mm,
        days: found.days.iter().map(day).collect(),
        within_sd: stability.map(|found| found.days.within_sd),
        between_sd: stability.map(|found| found.days.between_sd),
        sd: stability.map(|found| found.sd),
        p: stability.map(|found| found.days.p),
        drift: drift.map(|line| line.slope),
        drift_p: drift.map(|line| line.slope_p),
        sentence: found.told(unit),
        unit,
    }
}

/// The days as text.
pub(super) fn days_text(found: &DaysBody, screen: Screen) -> String {
    let unit = match found.unit.trim() {
        "" => String::new(),
        unit => format!(", {unit}"),
    };
    let less = match found.reference {
        Some(size) => format!("mean less {size}"),
        None => "mean".to_owned(),
    };
    let mut text = format!("\nOver days: part {}, {less}{unit}\n", shown(&found.part));
    for day in &found.days {
        let (day, n, mean) = (&day.day, day.n, digits(day.mean));
        text += &format!("{day}  {n:>4} readings  {mean}\n");
    }
    text + &paragraph(&found.sentence, ("", 0), screen)
}
