//! Making to suit as it is asked for: the measured half with its size, typed or out of a record,
//! becomes the limits of its mate in the plan.

use std::collections::BTreeMap;
use std::path::Path;

use super::begin::file_name;
use super::begin_error::BeginError;
use super::opening::{OpeningError, session_parts};
use super::record::SessionRecord;
use super::record_folders::RecordFolders;
use super::replay::{Check, Retold};
use super::setup::plan_of;
use super::state::State;
use super::workspace::Workspace;
use crate::journal::{Event, SessionOpened, Suit};
use crate::pair::Measured;
use crate::plan::{Pair, PairEnd, Plan};
use crate::quantity::{Length, LengthUnit, parse_entry};
use crate::tolerance::{Context, Tables};

/// The source of a size that was typed.
const TYPED: &str = "typed";
const RECORD_ENDING: &str = ".jsonl";
const HINT: &str = "Write FEATURE=SIZE, FEATURE=SIZE±u or FEATURE=RECORD.jsonl#PART, and the \
                    feature as a pair of the plan names it.";

/// A measured size.
struct Mate {
    size: Length,
    u: Option<Length>,
    form: Length,
    source: String,
}

/// What is to be made to suit in a session, from `FEATURE=SIZE[±u]` or
/// `FEATURE=RECORD.jsonl[#PART]`.
///
/// # Errors
/// A text that says neither, a feature that no pair of the plan has, a pair without a fit, a record
/// that did not measure it.
pub(super) fn suits_asked(
    texts: &[String],
    keep_class: bool,
    (opened, tables): (&SessionOpened, &Tables),
    workspace: &Workspace,
) -> Result<Vec<Suit>, BeginError> {
    if texts.is_empty() {
        return Ok(Vec::new());
    }
    let plan = plan_of(opened, tables).map_err(OpeningError::Setup)?;
    let mut suits = Vec::new();
    for text in texts {
        let (name, value) = split(text)?;
        let mates = mates_of(&plan, name)?;
        let mate = match value.contains(RECORD_ENDING) {
            true => recorded(name, value, workspace)?,
            false => typed(value)?,
        };
        for (pair, measured, made) in mates {
            let (fit, least, most) = intended(&plan, pair, tables)?;
            suits.push(Suit {
                feature: made.feature.as_str().to_owned(),
                mate: name.to_owned(),
                measured,
                fit,
                least,
                most,
                size: mate.size,
                u: mate.u,
                form: mate.form,
                source: mate.source.clone(),
                keep_class,
            });
        }
    }
    Ok(suits)
}

fn split(text: &str) -> Result<(&str, &str), BeginError> {
    let halves = text
        .split_once('=')
        .map(|(name, value)| (name.trim(), value.trim()));
    halves
        .filter(|(name, value)| !name.is_empty() && !value.is_empty())
        .ok_or_else(|| {
            let message = format!("“{}” says not what is measured.", text.escape_debug());
            BeginError::bad("suit_unreadable", message, Some(HINT))
        })
}

fn typed(value: &str) -> Result<Mate, BeginError> {
    let (size, u) = typed_size(value)?;
    Ok(Mate {
        size,
        u,
        form: Length::ZERO,
        source: TYPED.to_owned(),
    })
}

/// A typed size, and its standard uncertainty where that is typed too.
pub(super) fn typed_size(value: &str) -> Result<(Length, Option<Length>), BeginError> {
    let length = |text: &str| {
        let found = parse_entry(text.trim(), LengthUnit::Millimetre);
        found.map(|entry| entry.value).map_err(|error| {
            BeginError::bad(error.code(), error.to_string(), error.hint().or(Some(HINT)))
        })
    };
    let halves = value.split_once('±').or_else(|| value.split_once("+-"));
    let (size, u) = match halves {
        Some((size, u)) => (length(size)?, Some(length(u)?)),
        None => (length(value)?, None),
    };
    if u.is_some_and(Length::is_negative) {
        let message = "The uncertainty of the measured size is negative.";
        return Err(BeginError::bad(
            "uncertainty_out_of_range",
            message,
            Some(HINT),
        ));
    }
    Ok((size, u))
}

/// The text by which a pair names its end.
pub(super) fn told(end: &PairEnd) -> String {
    match &end.plan {
        Some(plan) => format!("{plan}#{}", end.feature.as_str()),
        None => end.feature.as_str().to_owned(),
    }
}

/// The pairs of the plan with that measured end and a mate in this plan, and which end it is.
fn mates_of<'p>(
    plan: &'p Plan,
    name: &str,
) -> Result<Vec<(&'p Pair, Measured, &'p PairEnd)>, BeginError> {
    let mut mates = Vec::new();
    let mut elsewhere = None;
    for pair in &plan.pairs {
        let (measured, made) = match name {
            name if told(&pair.hole) == name => (Measured::Hole, &pair.shaft),
            name if told(&pair.shaft) == name => (Measured::Shaft, &pair.hole),
            _ => continue,
        };
        match &made.plan {
            None => mates.push((pair, measured, made)),
            Some(plan) => elsewhere = Some(plan),
        }
    }
    if !mates.is_empty() {
        return Ok(mates);
    }
    let name = name.escape_debug();
    if let Some(other) = elsewhere {
        let message = format!("The mate of {name} is made by the plan {other}, not by this one.");
        let hint = format!("Inspect {other}; its pair has to name this plan's feature.");
        return Err(BeginError::bad("mate_in_other_plan", message, Some(&hint)));
    }
    let ends = plan.pairs.iter().flat_map(|pair| [&pair.hole, &pair.shaft]);
    let mut known: Vec<String> = ends.map(told).collect();
    known.sort();
    known.dedup();
    let (message, hint) = match known.is_empty() {
        true => (
            "This plan has no pair, so nothing in it goes together.".to_owned(),
            "Add a [[pair]] with hole, shaft and intended to the plan.".to_owned(),
        ),
        false => (
            format!("No pair of the plan has {name}."),
            format!("Its pairs have {}.", known.join(", ")),
        ),
    };
    Err(BeginError::bad("unknown_mate", message, Some(&hint)))
}

/// The intended fit in words, with its least and largest clearance.
fn intended(
    plan: &Plan,
    pair: &Pair,
    tables: &Tables,
) -> Result<(String, Length, Length), BeginError> {
    if let Some(fit) = &pair.intended {
        let limits = fit.limits(&Context::with_tables(tables)).map_err(|error| {
            BeginError::bad(error.code(), error.to_string(), error.hint().as_deref())
        })?;
        let (least, most) = (limits.min_clearance(), limits.max_clearance());
        return Ok((fit.to_string(), least, most));
    }
    let (hole, shaft) = (pair.hole.limits_in(plan), pair.shaft.limits_in(plan));
    let Some((hole, shaft)) = hole.zip(shaft) else {
        let message = format!(
            "The pair of {} and {} states no fit, and not both have limits in this plan.",
            told(&pair.hole),
            told(&pair.shaft)
        );
        let hint = Some("Write intended = \"25 H7/g6\", or the fit that is meant, into the pair.");
        return Err(BeginError::bad("fit_not_stated", message, hint));
    };
    Ok((String::new(), hole.0 - shaft.1, hole.1 - shaft.0))
}

/// The size of a feature as a record has it.
fn recorded(mate: &str, value: &str, workspace: &Workspace) -> Result<Mate, BeginError> {
    let (file, part) = match value.rsplit_once('#') {
        Some((file, part)) if file.ends_with(RECORD_ENDING) => (file, Some(part)),
        _ => (value, None),
    };
    let wanted = part.map(|part| {
        part.trim().parse::<u32>().map_err(|_| {
            let message = format!("“{}” is no number of a part.", part.escape_debug());
            BeginError::bad("suit_unreadable", message, Some(HINT))
        })
    });
    let wanted = wanted.transpose()?;
    let mut standard: BTreeMap<u64, Option<i64>> = BTreeMap::new();
    let mut read = |path: &Path| {
        state_of(path, workspace, |event| {
            if let Event::VerdictGiven(verdict) = event {
                standard.insert(verdict.reading, verdict.u);
            }
        })
    };
    let path = Path::new(file);
    // A name alone, as the window tells it, may be that of one of the workspace's records.
    let is_name = path
        .parent()
        .is_some_and(|folder| folder.as_os_str().is_empty());
    let state = match read(path) {
        Err(error) if is_name => read(&workspace.sessions_path().join(file)).map_err(|_| error)?,
        found => found?,
    };
    let feature = mate.rsplit_once('#').map_or(mate, |(_, feature)| feature);
    let not_there = |message: String, hint| BeginError::bad("mate_not_measured", message, hint);
    let numbers = || state.parts().iter().map(|part| part.number);
    let number = match (wanted, numbers().count()) {
        (Some(number), _) => number,
        (None, 1) => numbers().next().unwrap_or(1),
        (None, count) => {
            let message = format!("{file} has {count} parts, and it is not said which one it is.");
            let hint = Some("Write its number behind the record: RECORD.jsonl#3.");
            return Err(not_there(message, hint));
        }
    };
    let (size, form, readings) = measured_in(&state, number, feature).map_err(|why| {
        let message = format!("{file}, part {number}: {why}");
        not_there(
            message,
            Some("Name a part on which the size is measured whole."),
        )
    })?;
    // What is not known of one point is not known of the size.
    let all = readings
        .iter()
        .map(|reading| standard.get(reading).copied().flatten());
    let u = all
        .collect::<Option<Vec<i64>>>()
        .and_then(|all| all.into_iter().max());
    Ok(Mate {
        size,
        u: u.map(Length::from_nm),
        form,
        source: format!("{} part {number}", file_name(Path::new(file))),
    })
}

/// Middle and half range of the points of a feature's size on a part, with their readings.
fn measured_in(
    state: &State,
    number: u32,
    feature: &str,
) -> Result<(Length, Length, Vec<u64>), String> {
    let setup = state.setup();
    let at = setup.targets.iter().position(|target| {
        target.feature == feature && target.element == super::suited::SIZE && !target.is_angle()
    });
    let at = at.ok_or_else(|| format!("{} has no size there.", feature.escape_debug()))?;
    let is_early = |target| setup.is_before_last_stage(target);
    if setup.targets.get(at).is_some_and(is_early) {
        return Err(format!(
            "{} is measured before its last stage, and is not yet what the mate meets.",
            feature.escape_debug()
        ));
    }
    let part = state.part(number).ok_or("there is no such part.")?;
    let one = part.characteristics.get(at).ok_or("it is not measured.")?;
    let mut sizes = Vec::new();
    let mut readings = Vec::new();
    for point in &one.points {
        if point.is_in_doubt {
            return Err("the gauge of it was found wrong afterwards.".to_owned());
        }
        if point.outcome.is_none() {
            return Err(format!(
                "{} is not measured on all its points.",
                feature.escape_debug()
            ));
        }
        sizes.push(point.value_at_20);
        readings.push(point.reading());
    }
    let least = sizes.iter().min().copied().ok_or("it is not measured.")?;
    let most = sizes.iter().max().copied().unwrap_or(least);
    let (least, most) = (Length::from_nm(least), Length::from_nm(most));
    let half = (most - least).div_ceil(2);
    Ok((least + half, half, readings))
}

/// The state at the end of a record; `heard` of each event.
fn state_of(
    journal: &Path,
    workspace: &Workspace,
    mut heard: impl FnMut(&Event),
) -> Result<State, BeginError> {
    let (folder, name) = RecordFolders::of_journal(journal, workspace);
    let files = match session_parts(&folder, &name) {
        Err(OpeningError::ContinuedIn { newest, .. }) => session_parts(&folder, &newest)?,
        found => found?,
    };
    let told = |retold: &Retold<'_>| heard(retold.event);
    let record = SessionRecord::read_with(&folder, files, Check::State, told)?;
    record.replayed.state.ok_or_else(|| {
        let message = format!("{} begins no session.", name.escape_debug());
        BeginError::bad("session_missing", message, Some("Check it with verify."))
    })
}
