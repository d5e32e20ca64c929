//! `fitledger taper` for people: sentences about one cone.

use super::output_taper::{NearestBody, TaperLine};
use super::screen::{Screen, paragraph};
use crate::report::fixed;

/// ` ± U` with k = 2, where there is a standard uncertainty.
fn plus_minus(standard: Option<&String>, decimals: usize, unit: &str) -> String {
    let standard = standard.and_then(|text| text.parse::<f64>().ok());
    standard.map_or_else(String::new, |standard| {
        format!(" ± {}{unit} (k = 2)", fixed(2.0 * standard, decimals))
    })
}

/// Four decimals are enough for people.
fn short(text: &str) -> String {
    match text.parse::<f64>() {
        Ok(value) => fixed(value, 4),
        Err(_) => text.to_owned(),
    }
}

/// The cone, how it is turned, what it does, then what must be said beside it.
pub(super) fn told(line: &TaperLine, screen: Screen) -> String {
    let mut facts = vec![format!(
        "Cone {}{}: half angle {}°{}, whole angle {}°.",
        line.ratio,
        line.name
            .as_ref()
            .map_or_else(String::new, |name| format!(" ({name})")),
        short(&line.half_angle_deg),
        plus_minus(line.half_angle_u_deg.as_ref(), 4, "°"),
        short(&line.included_angle_deg),
    )];
    let ends = [
        ("Large", &line.large_mm, &line.large_u_mm),
        ("Small", &line.small_mm, &line.small_u_mm),
    ];
    for (end, diameter, unsure) in ends {
        if let Some(diameter) = diameter {
            let unsure = plus_minus(unsure.as_ref(), 4, " mm");
            facts.push(format!("{end} diameter {} mm{unsure}.", short(diameter)));
        }
    }
    turned(line, &mut facts);
    facts.extend(line.nearest.as_ref().map(nearest));
    facts.extend(
        line.source
            .iter()
            .map(|source| format!("Source: {source}.")),
    );
    facts.extend(line.notes.iter().cloned());
    let told = facts
        .iter()
        .map(|sentence| paragraph(sentence, ("", 2), screen));
    told.collect()
}

fn turned(line: &TaperLine, facts: &mut Vec<String>) {
    facts.push(format!(
        "Top slide at {}° from the axis; a dial marked from the cross direction reads {}°. An \
         indicator moves {} mm over {} mm of its travel.",
        short(&line.top_slide_deg),
        short(&line.top_slide_from_cross_deg),
        short(&line.indicator_change_mm),
        short(&line.slide_travel_mm)
    ));
    if let (Some(over), Some(between)) = (&line.tailstock_setover_mm, &line.between_centres_mm) {
        let (over, between) = (short(over), short(between));
        facts.push(format!(
            "Tailstock set over by {over} mm, for {between} mm between centres."
        ));
    }
    if let (Some(axial), Some(diameter)) = (&line.axial_move_mm, &line.diameter_change_mm) {
        facts.push(format!(
            "{} mm along the axis{} are {} mm on the diameter{}.",
            short(axial),
            plus_minus(line.axial_move_u_mm.as_ref(), 4, " mm"),
            short(diameter),
            plus_minus(line.diameter_change_u_mm.as_ref(), 4, " mm"),
        ));
    }
    if let (Some(height), Some(bar)) = (&line.sine_bar_height_mm, &line.set_on_bar_mm) {
        let (height, bar) = (short(height), short(bar));
        facts.push(format!(
            "Blocks of {height} mm under a sine bar of {bar} mm."
        ));
    }
}

fn nearest(near: &NearestBody) -> String {
    let whether = match near.agrees {
        Some(true) => ", within what the measurement can tell",
        Some(false) => ", more than the measurement leaves open",
        None => "",
    };
    format!(
        "Nearest cone with a name: {}; the half angle differs by {}°{whether}.",
        near.name,
        short(&near.half_angle_difference_deg)
    )
}
