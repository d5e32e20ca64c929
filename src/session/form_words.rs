//! The words of forms and positions: what is asked at the bench, and what a verdict's notes mean.

use super::form_measured::{
    ECCENTRICITY_TOO, FORM_TOO, ONE_SETTING, OTHER_SETTING, OVER_V_BLOCK, RECHUCKED, SLIDE_COPIED,
    TWO_POINT_BLIND,
};
use crate::plan::{FeatureId, Form, FormKind};

/// What to do for a form: `Turn B about A one turn under the indicator; …`.
pub fn form_request(form: &Form) -> String {
    let name = |id: &Option<FeatureId>, else_: &str| {
        let id = id.as_ref();
        id.map_or_else(|| else_.to_owned(), |id| id.as_str().to_owned())
    };
    let (of, datum) = (name(&form.of, "it"), name(&form.datum, "its axis"));
    let movement = "the full movement of the indicator counts";
    match (form.kind, form.v_block) {
        (FormKind::Runout | FormKind::Coaxiality, _) => {
            format!("turn {of} about {datum}, one turn; {movement}.")
        }
        (FormKind::TotalRunout, _) => {
            format!("turn {of} about {datum} and go along it; {movement}.")
        }
        (FormKind::Roundness, Some(degrees)) => {
            format!("turn {of} in a V of {degrees}°, one turn; {movement}.")
        }
        (FormKind::Roundness, None) => format!(
            "turn {of} about its own axis, one turn; {movement}; of two faces the largest less \
             the smallest size."
        ),
        (FormKind::Taper, _) => {
            format!("measure along {of}: the largest less the smallest diameter counts.")
        }
    }
}

/// What is asked of which feature, for a report: `runout of B about A`.
pub fn form_said(form: &Form) -> String {
    let mut said = form.kind.word().replace('_', " ");
    if let Some(of) = &form.of {
        said.push_str(&format!(" of {of}"));
    }
    if let Some(datum) = &form.datum {
        said.push_str(&format!(" about {datum}"));
    }
    if let (Some(degrees), Some(lobes)) = (form.v_block, form.lobes) {
        said.push_str(&format!(" over a V of {degrees}°, {lobes} lobes taken"));
    }
    said
}

/// What a note about a form or a setting means; none for other notes.
pub(super) fn form_note_words(note: &str) -> Option<String> {
    let words = match note {
        TWO_POINT_BLIND => "two faces are blind to an odd number of lobes: turn it in a V-block",
        FORM_TOO => "the indicator also shows the form: measure the roundness, too",
        ECCENTRICITY_TOO => "the indicator also shows how far out of centre it turns",
        SLIDE_COPIED => "an indicator on the slide that turned it follows its own way",
        OVER_V_BLOCK => "from the reading over a V-block, lobes as the plan says",
        other => {
            let named = [
                (ONE_SETTING, "turned in one setting with "),
                (OTHER_SETTING, "turned in another setting than "),
                (RECHUCKED, "clamped anew since "),
            ];
            let mut named = named.into_iter();
            return named.find_map(|(word, said)| {
                let feature = other.strip_prefix(word)?;
                Some(format!("{said}{feature}"))
            });
        }
    };
    Some(words.to_owned())
}

/// What would settle a DOUBT about a form; none for other notes.
pub fn form_advice(notes: &[String]) -> Option<&'static str> {
    notes.iter().find_map(|note| match note.as_str() {
        TWO_POINT_BLIND => Some("Turn it in a V-block under an indicator."),
        FORM_TOO => Some("Measure the roundness, too: the indicator shows both."),
        ECCENTRICITY_TOO => Some("Turn it in a V-block, or set it true first."),
        SLIDE_COPIED => Some("Measure its diameter at both ends with two faces."),
        _ => None,
    })
}

/// Why a gauge cannot prove a form, for who chooses one.
pub(super) fn hidden_words(note: &'static str) -> &'static str {
    match note {
        TWO_POINT_BLIND => "two faces are blind to an odd number of lobes",
        _ => "on the slide that turned the part it follows its own way",
    }
}
