//! `fitledger gauges`: the register as it stands on a day, and the confirming of what is assumed.

use std::collections::BTreeMap;

use jiff::{SignedDuration, Timestamp};

use super::GaugesArguments;
use super::exit::Exit;
use super::judge_gauge::today;
use super::output::{Output, Stopped};
use super::output_gauges::{
    AssumedBody, ConfirmedLine, ErrorBody, GaugeLine, PortBody, RemarkBody, RepeatabilityBody,
    ZeroBody,
};
use super::problem::Problem;
use super::table::{Column, Row, Style, cell, laid_out, words};
use crate::gauge::{
    AssumedNumber, Date, Due, EditError, Faces, Gauge, GaugeId, GaugeReads, Known, Port, PortPlace,
    Register, Remark, Standing, StatedError, with_confirmed,
};
use crate::session::{GaugeStory, RecordFolders, Workspace, trusted_register};

const COLUMNS: &[Column] = &[
    words("gauge"),
    words("kind"),
    words("range"),
    words("error, mm"),
    words("state"),
    words("port"),
    words("remarks"),
];

/// Lists them; a gauge that is overdue, or rests on one, is exit 1.
pub(super) fn run(
    arguments: &GaugesArguments,
    workspace: &Workspace,
    out: &mut Output,
) -> Result<(), Stopped> {
    let answered = answer(arguments, workspace, out);
    match answered {
        Ok(done) => done,
        Err(problem) => out.refuse(arguments.json, "gauges", &problem),
    }
}

fn answer(
    arguments: &GaugesArguments,
    workspace: &Workspace,
    out: &mut Output,
) -> Result<Result<(), Stopped>, Problem> {
    let on = match &arguments.on {
        Some(text) => day(text)?,
        None => today().ok_or_else(no_day)?,
    };
    let (path, text) = register_text(workspace)?;
    let register = Register::parse(&text, &path).map_err(|errors| Problem::register(&errors))?;
    if let Some(id) = &arguments.confirm {
        return confirm(
            arguments,
            workspace,
            (&text, &register),
            &GaugeId::new(id),
            out,
        );
    }
    // What a session would leave out of it.
    let left_out = studies_in_doubt(&register, &text, workspace);
    let checked = match register.gauges().iter().any(asks_for_checks) {
        true => last_good_checks(workspace, out),
        false => BTreeMap::new(),
    };
    let mut rows = Vec::new();
    for gauge in register.gauges() {
        let mut standing = register.standing(gauge, on);
        if left_out.contains(&gauge.id) {
            standing.remarks.push(Remark::StudyInDoubt);
        }
        if !standing.is_in_date() {
            out.note(Exit::NotGood);
        }
        let zero = zero_of(gauge, &checked);
        match arguments.json {
            true => {
                if let Err(stopped) = out.json(&line(&register, gauge, &standing, zero, on)) {
                    return Ok(Err(stopped));
                }
            }
            false => rows.push(row(&register, gauge, &standing, zero.as_ref())),
        }
    }
    Ok(match (arguments.json, rows.is_empty()) {
        (true, _) => Ok(()),
        (false, true) => {
            out.message("The register has no gauge.");
            Ok(())
        }
        (false, false) => out.text(&laid_out(COLUMNS, &rows, out.screen())),
    })
}

/// The gauges whose study is in doubt: no session takes their repeatability.
fn studies_in_doubt(register: &Register, text: &str, workspace: &Workspace) -> Vec<GaugeId> {
    let (trusted, _) = trusted_register(text.to_owned(), workspace);
    let Ok(trusted) = Register::parse(&trusted, "gauges.toml") else {
        return Vec::new();
    };
    let is_left_out = |gauge: &&Gauge| {
        let kept = trusted.gauge(&gauge.id);
        gauge.repeatability.is_some() && kept.is_some_and(|kept| kept.repeatability.is_none())
    };
    let gauges = register.gauges().iter().filter(is_left_out);
    gauges.map(|gauge| gauge.id.clone()).collect()
}

fn no_day() -> Problem {
    let message = "The system's clock shows no date.".to_owned();
    Problem::outside(
        "no_date",
        message,
        Some("Give the day with --on 2026-11-25."),
    )
}

/// A day as `--on` and `--due` take it.
pub(super) fn day(text: &str) -> Result<Date, Problem> {
    Date::parse(text.trim()).ok_or_else(|| {
        let message = format!("“{}” is no day.", text.escape_debug());
        Problem::bad("bad_date", message, Some("Write it as 2026-11-25."))
    })
}

/// Path and text of the workspace's register.
pub(super) fn register_text(workspace: &Workspace) -> Result<(String, String), Problem> {
    workspace.gauges()?.ok_or_else(|| {
        let folder = workspace.root().display();
        let message = format!("There is no gauges.toml in “{folder}”.");
        let hint = "Write one, or name the workspace with --workspace.";
        Problem::bad("no_gauge_register", message, Some(hint))
    })
}

impl From<EditError> for Problem {
    fn from(error: EditError) -> Self {
        Self::bad(error.code(), error.to_string(), Some(error.hint()))
    }
}

/// Writes what is assumed of a gauge, after the person has said so by its name.
fn confirm(
    arguments: &GaugesArguments,
    workspace: &Workspace,
    (text, register): (&str, &Register),
    id: &GaugeId,
    out: &mut Output,
) -> Result<Result<(), Stopped>, Problem> {
    let numbers = register.gauge(id).map(Gauge::assumed_numbers);
    let today = today().ok_or_else(no_day)?;
    if let Some(gauge) = register.gauge(id).filter(|gauge| gauge.range.is_none()) {
        let message = format!(
            "{} states no range, by which its error is assumed.",
            gauge.id
        );
        return Err(Problem::bad(
            "range_missing",
            message,
            Some("Add its range first."),
        ));
    }
    let numbers = numbers.unwrap_or_default();
    let changed = with_confirmed(text, id, &numbers, today)?;
    let file = workspace.replace_gauges(text, &changed)?;
    let file = file.display().to_string();
    if arguments.json {
        return Ok(out.json(&ConfirmedLine {
            gauge: id.as_str().to_owned(),
            confirmed: numbers.iter().map(assumed).collect(),
            file,
        }));
    }
    let written = numbers.iter().map(|one| {
        let (key, value) = (one.key, one.assumed.value);
        format!("{id}: {key} = {value} ({}) written.\n", one.assumed.source)
    });
    Ok(out.text(&written.collect::<String>()))
}

fn asks_for_checks(gauge: &Gauge) -> bool {
    let zero = gauge.zero_check.as_ref();
    zero.is_some_and(|zero| zero.every_hours.is_some())
}

/// When each gauge's zero was last found good, by the workspace's sessions.
fn last_good_checks(workspace: &Workspace, out: &mut Output) -> BTreeMap<GaugeId, Timestamp> {
    let mut last = BTreeMap::new();
    match GaugeStory::read(&RecordFolders::of_workspace(workspace), |_, _| true) {
        Ok(story) => {
            // The oldest first: a later one takes its place, and a bad one takes it away.
            for check in story.checks {
                match check.zero.good {
                    true => last.insert(check.gauge, check.time),
                    false => last.remove(&check.gauge),
                };
            }
        }
        Err(error) => out.message(&format!(
            "The sessions could not be read, so that no zero check is known: {error}."
        )),
    }
    last
}

fn zero_of(gauge: &Gauge, checked: &BTreeMap<GaugeId, Timestamp>) -> Option<ZeroBody> {
    let zero = gauge.zero_check.as_ref()?;
    let last = checked.get(&gauge.id);
    let is_recent = |hours: u32| {
        let since = last.map(|last| Timestamp::now().duration_since(*last));
        since.is_some_and(|since| since <= SignedDuration::from_hours(i64::from(hours)))
    };
    Some(ZeroBody {
        every_hours: zero.every_hours,
        bound: zero.bound.map(|bound| bound.to_mm()),
        on: zero.on.as_ref().map(ToString::to_string),
        last_good: last.map(ToString::to_string),
        required: zero.every_hours.is_some_and(|hours| !is_recent(hours)),
    })
}

fn assumed(number: &AssumedNumber) -> AssumedBody {
    AssumedBody {
        key: number.key,
        value: number.assumed.value.to_mm(),
        basis: number.assumed.basis.word(),
        source: number.assumed.source.clone(),
    }
}

/// The state's word, and the days that go with it.
fn state(due: Due) -> (&'static str, Option<i64>) {
    match due {
        Due::NotStated => ("no_due_date", None),
        Due::Ok => ("ok", None),
        Due::Soon { days_left } => ("due_soon", Some(days_left)),
        Due::Overdue { days_over } => ("overdue", Some(days_over)),
    }
}

/// The error that counts; of an assumed one the largest over its range.
fn error(gauge: &Gauge) -> Option<ErrorBody> {
    if let StatedError::Calibration(calibration) = &gauge.error {
        return Some(ErrorBody {
            basis: "calibration",
            value: calibration.expanded_uncertainty().to_mm(),
            k: Some(calibration.coverage_factor()),
            source: None,
        });
    }
    let size = gauge.range.map(|(_, upper)| upper)?;
    let (basis, value, source) = match gauge.permissible_error(size, Faces::Outside)? {
        Known::Stated(value) => ("stated", value, None),
        Known::Assumed(assumed) => ("assumed", assumed.value, Some(assumed.source)),
    };
    Some(ErrorBody {
        basis,
        value: value.to_mm(),
        k: None,
        source,
    })
}

fn line(
    register: &Register,
    gauge: &Gauge,
    standing: &Standing,
    zero_check: Option<ZeroBody>,
    on: Date,
) -> GaugeLine {
    let (state, days) = state(standing.due);
    let id = |id: &Option<GaugeId>| id.as_ref().map(ToString::to_string);
    let repeatability = gauge.repeatability.map(|s| RepeatabilityBody {
        s: s.to_mm(),
        n: gauge.repeatability_readings,
        on: gauge.repeatability_on.map(|day| day.to_string()),
    });
    let remarks = standing.remarks.iter().map(|one| RemarkBody {
        code: one.code(),
        message: one.to_string(),
    });
    GaugeLine {
        gauge: gauge.id.to_string(),
        kind: gauge.kind.word(),
        on: on.to_string(),
        state,
        days,
        due: gauge.due.map(|day| day.to_string()),
        calibrated: gauge.calibrated.map(|day| day.to_string()),
        certificate: gauge.certificate.clone(),
        serial: gauge.serial.clone(),
        range: gauge
            .range
            .map(|(lower, upper)| [lower.to_mm(), upper.to_mm()]),
        unit: gauge.unit.symbol(),
        resolution: gauge.step().map(|step| step.value().to_mm()),
        error: error(gauge),
        repeatability,
        reads: match gauge.reads {
            GaugeReads::Size => "size",
            GaugeReads::Deviation { .. } => "deviation",
        },
        set_on: register.standard_of(gauge).map(|one| one.id.to_string()),
        read_by: id(&gauge.read_by),
        callout: gauge.callout.clone(),
        end: gauge.end.map(|end| end.word()),
        made_of: gauge.made_of.clone(),
        zero_check,
        port: gauge.port.as_ref().map(port),
        assumed: standing.assumed.iter().map(assumed).collect(),
        remarks: remarks.collect(),
    }
}

fn port(port: &Port) -> PortBody {
    let (usb, path) = match &port.place {
        PortPlace::Usb {
            vendor,
            product,
            serial,
        } => {
            let serial = serial.as_ref().map(|serial| format!(":{serial}"));
            let serial = serial.unwrap_or_default();
            (Some(format!("{vendor:04x}:{product:04x}{serial}")), None)
        }
        PortPlace::Path(path) => (None, Some(path.clone())),
    };
    PortBody {
        usb,
        path,
        adapter: port.adapter.clone(),
        id: port.frame_id.clone(),
    }
}

fn row(register: &Register, gauge: &Gauge, standing: &Standing, zero: Option<&ZeroBody>) -> Row {
    let range = match gauge.range {
        Some((lower, upper)) if lower == upper => lower.to_mm(),
        Some((lower, upper)) => format!("{} to {}", lower.to_mm(), upper.to_mm()),
        None => gauge.callout.clone().unwrap_or_default(),
    };
    let error = error(gauge).map(|error| match (error.basis, error.k) {
        (_, Some(k)) => format!("U {} (k {k})", error.value),
        ("assumed", _) => format!("±{} assumed", error.value),
        _ => format!("±{}", error.value),
    });
    let (state, style) = match standing.due {
        Due::NotStated => ("no date".to_owned(), Style::Plain),
        Due::Ok => (format!("due {}", due_text(gauge)), Style::Plain),
        Due::Soon { days_left } => (
            format!("due in {days_left} days, {}", due_text(gauge)),
            Style::Cutting,
        ),
        Due::Overdue { .. } => (format!("overdue since {}", due_text(gauge)), Style::NoGo),
    };
    let mut state = cell(state);
    state.style = style;
    vec![
        cell(gauge.id.to_string()),
        cell(gauge.kind.word()),
        cell(range),
        cell(error.unwrap_or_default()),
        state,
        cell(gauge.port.as_ref().map(port_text).unwrap_or_default()),
        cell(remarks(register, gauge, standing, zero)),
    ]
}

fn due_text(gauge: &Gauge) -> String {
    gauge.due.map(|day| day.to_string()).unwrap_or_default()
}

/// The port, its adapter and the gauge's id inside frames.
fn port_text(from: &Port) -> String {
    let port = port(from);
    let place = port.usb.or(port.path).unwrap_or_default();
    let adapter = port.adapter.map(|name| format!(" @{name}"));
    let id = port.id.map(|id| format!(" id {id}"));
    [Some(place), adapter, id].into_iter().flatten().collect()
}

fn remarks(
    register: &Register,
    gauge: &Gauge,
    standing: &Standing,
    zero: Option<&ZeroBody>,
) -> String {
    let mut told: Vec<String> = standing.remarks.iter().map(ToString::to_string).collect();
    if let Some(zero) = zero {
        let on = zero.on.as_ref().map(|on| format!(" on {on}"));
        let on = on.unwrap_or_default();
        if let Some(hours) = zero.every_hours {
            told.push(match zero.required {
                true => format!("zero check required{on} (every {hours} h)"),
                false => format!("zero checked within {hours} h{on}"),
            });
        }
    }
    if let Some(reader) = register.reader_of(gauge) {
        told.push(format!("read by {}", reader.id));
    }
    if let GaugeReads::Deviation { set_on, .. } = &gauge.reads {
        told.push(format!("set on {set_on}"));
    }
    if let Some(end) = gauge.end {
        told.push(format!(
            "{} end only",
            end.word().replace('_', "-").to_uppercase()
        ));
    }
    told.extend(standing.assumed.iter().map(|one| {
        let (key, value) = (one.key, one.assumed.value);
        let basis = one.assumed.basis.word();
        format!("{key} {value} assumed ({basis}: {})", one.assumed.source)
    }));
    told.join("; ")
}
