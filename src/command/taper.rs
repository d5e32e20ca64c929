//! `fitledger taper`: a cone from what is known of it, its angles, diameters and how it is turned.

use std::io;

use super::arguments_taper::TaperArguments;
use super::lines::ItemLines;
use super::output::{Output, Stopped};
use super::output_taper::{NearestBody, TaperAsked, TaperLine, taper_of_json, taper_of_toml};
use super::problem::Problem;
use super::question_file::question_text;
use super::taper_asked::{Cone, Fields, cone};
use super::taper_told::told;
use crate::pair::{MeasuredMm, TaperError, nearest_named};
use crate::report::{fixed, shown};

/// Travel of the top slide that an indicator is told for when none is asked for, mm.
const SLIDE_TRAVEL_MM: f64 = 100.0;
/// Above that a tailstock is not set over, degrees of half the angle (common practice, no source).
const SETOVER_HALF_DEGREES: f64 = 8.0;
/// What errors of an empty line name.
const INPUT: &str = "taper";

/// Answers each cone.
pub(super) fn run(arguments: &TaperArguments, out: &mut Output) -> Result<(), Stopped> {
    if let Some(path) = &arguments.from {
        let name = path.display().to_string();
        let asked = question_text(path, "a cone");
        let asked = asked.and_then(|text| taper_of_toml(&text).map_err(not_asked));
        return tell(&name, asked, arguments.json, out);
    }
    for line in ItemLines::new(io::stdin().lock()) {
        match line {
            Ok(text) => {
                let asked = taper_of_json(&text).map_err(not_asked);
                tell(&text, asked, arguments.json, out)?;
            }
            Err(bad) => tell(&bad.input, Err(bad.problem), arguments.json, out)?,
        }
    }
    Ok(())
}

fn not_asked(why: String) -> Problem {
    let why = why.lines().next().unwrap_or_default().to_owned();
    let why = shown(why.trim_end_matches('.')).into_owned();
    let message = format!("This describes no cone: {why}.");
    let hint = Some("See fitledger taper --help for the names.");
    Problem::bad("not_a_taper", message, hint)
}

fn tell(
    name: &str,
    asked: Result<TaperAsked, Problem>,
    is_json: bool,
    out: &mut Output,
) -> Result<(), Stopped> {
    match asked.and_then(|asked| line_of(&asked)) {
        Ok(line) if is_json => out.json(&line),
        Ok(line) => out.text(&told(&line, out.screen())),
        Err(problem) => out.refuse(
            is_json,
            if name.is_empty() { INPUT } else { name },
            &problem,
        ),
    }
}

fn mm(value: f64) -> String {
    fixed(value, 6)
}

fn degrees(value: f64) -> String {
    fixed(value, 8)
}

/// A standard uncertainty; none where nothing unsure was given.
fn unsure(standard: f64, decimals: usize) -> Option<String> {
    (standard > 0.0).then(|| fixed(standard, decimals))
}

/// A number without the zeros at its end.
fn trimmed(value: f64) -> String {
    let text = fixed(value, 6);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

fn line_of(asked: &TaperAsked) -> Result<TaperLine, Problem> {
    let fields = Fields::new(asked);
    let cone = cone(&fields)?;
    let (found, taper) = (&cone.found, &cone.found.taper);
    let travel = fields.number("slide_travel_mm")?;
    let travel = travel.unwrap_or(SLIDE_TRAVEL_MM);
    if travel <= 0.0 {
        let message = format!("slide_travel_mm is {travel}; it must be more than 0.");
        return Err(Problem::bad("out_of_range", message, None));
    }
    let mut line = TaperLine {
        kind: cone.kind,
        name: cone.row.map(|row| row.name.clone()),
        source: cone.row.map(|row| row.source.clone()),
        included_angle_deg: degrees(taper.angle_degrees()),
        included_angle_u_deg: unsure(2.0 * found.half_standard_degrees, 8),
        half_angle_deg: degrees(taper.half_angle_degrees()),
        half_angle_u_deg: unsure(found.half_standard_degrees, 8),
        ratio: format!("1:{}", trimmed(taper.ratio())),
        x: taper.ratio(),
        taper_per_mm: taper.per_mm(),
        taper_per_mm_u: Some(found.per_mm_standard()).filter(|standard| *standard > 0.0),
        top_slide_deg: degrees(taper.half_angle_degrees()),
        top_slide_from_cross_deg: degrees(90.0 - taper.half_angle_degrees()),
        slide_travel_mm: mm(travel),
        indicator_change_mm: mm(taper.indicator_over_travel_mm(travel)),
        nearest: nearest(&cone),
        notes: cone.notes.iter().map(|note| (*note).to_owned()).collect(),
        ..TaperLine::default()
    };
    diameters(&mut line, &cone)?;
    turning(&mut line, &cone, &fields)?;
    moves(&mut line, &cone, &fields)?;
    fields.end(cone.kind)?;
    Ok(line)
}

/// Large and small diameter, as far as they are known.
fn diameters(line: &mut TaperLine, cone: &Cone) -> Result<(), Problem> {
    let stands_on_small = cone.kind == "rollers";
    let other = match cone.length {
        None => None,
        Some(length) if stands_on_small => cone.found.diameter_at(MeasuredMm {
            value_mm: -length.value_mm,
            ..length
        }),
        Some(length) => cone.found.diameter_at(length),
    };
    let (large, small) = match stands_on_small {
        true => (other, cone.found.diameter),
        false => (cone.found.diameter, other),
    };
    if let (Some(large), Some(small), Some(length)) = (large, small, cone.length)
        && small.value_mm < -1e-9
    {
        return Err(TaperError::BeyondPoint {
            point_mm: large.value_mm * cone.found.taper.ratio(),
            length_mm: length.value_mm,
        }
        .into());
    }
    line.large_mm = large.map(|one| mm(one.value_mm));
    line.large_u_mm = large.and_then(|one| unsure(one.standard_mm, 6));
    line.small_mm = small.map(|one| mm(one.value_mm));
    line.small_u_mm = small.and_then(|one| unsure(one.standard_mm, 6));
    line.length_mm = cone.length.map(|one| mm(one.value_mm));
    Ok(())
}

/// Tailstock and sine bar.
fn turning(line: &mut TaperLine, cone: &Cone, fields: &Fields<'_>) -> Result<(), Problem> {
    let taper = &cone.found.taper;
    if let Some(between) = fields.number("between_centres_mm")? {
        let long = cone.length.map_or(0.0, |length| length.value_mm);
        if between <= 0.0 || between < long - 1e-9 {
            let message = format!(
                "between_centres_mm is {between}; it must be more than 0, and the cone of {} mm \
                 must have room.",
                trimmed(long)
            );
            return Err(Problem::bad("out_of_range", message, None));
        }
        line.between_centres_mm = Some(mm(between));
        line.tailstock_setover_mm = Some(mm(taper.tailstock_offset_mm(between)));
        if taper.half_angle_degrees() > SETOVER_HALF_DEGREES {
            let note = "So steep a cone is not turned with the tailstock set over: the centres \
                        sit askew (common practice, no source).";
            line.notes.push(note.to_owned());
        }
    }
    if let Some(bar) = fields.number("set_on_bar_mm")? {
        line.set_on_bar_mm = Some(mm(bar));
        line.sine_bar_height_mm = Some(mm(taper.sine_bar_height_mm(bar)?));
    }
    let note = "The tool must stand on centre height, else the cone becomes hollow (common \
                practice, no source).";
    line.notes.push(note.to_owned());
    Ok(())
}

/// What a move along the axis and a change of the diameter have to do with each other.
fn moves(line: &mut TaperLine, cone: &Cone, fields: &Fields<'_>) -> Result<(), Problem> {
    let axial = fields.length(["axial_move_mm", "axial_move_u_mm"])?;
    let diameter = fields.length(["diameter_change_mm", "diameter_change_u_mm"])?;
    let (axial, diameter) = match (axial, diameter) {
        (None, None) => return Ok(()),
        (Some(axial), None) => (axial, cone.found.diameter_change(axial)),
        (None, Some(diameter)) => (cone.found.axial_move(diameter), diameter),
        (Some(_), Some(_)) => {
            let message = "axial_move_mm and diameter_change_mm ask the same from both ends.";
            let hint = Some("Leave one of them out.");
            return Err(Problem::bad("said_twice", message.to_owned(), hint));
        }
    };
    line.axial_move_mm = Some(mm(axial.value_mm));
    line.axial_move_u_mm = unsure(axial.standard_mm, 6);
    line.diameter_change_mm = Some(mm(diameter.value_mm));
    line.diameter_change_u_mm = unsure(diameter.standard_mm, 6);
    Ok(())
}

/// Of a cone that was measured: which one with a name it may be.
fn nearest(cone: &Cone) -> Option<NearestBody> {
    if cone.kind == "ratio" {
        return None;
    }
    let near = nearest_named(&cone.found.taper)?;
    let away = cone.found.taper.half_angle_degrees() - near.taper.half_angle_degrees();
    let standard = cone.found.half_standard_degrees;
    Some(NearestBody {
        name: near.row.name.clone(),
        half_angle_deg: degrees(near.taper.half_angle_degrees()),
        half_angle_difference_deg: degrees(away),
        agrees: (standard > 0.0).then_some(away.abs() <= 2.0 * standard),
        source: near.row.source.clone(),
    })
}
