//! `fitledger chart`: a list of values as a picture, in a file.

use std::path::Path;

use super::arguments_report::Decimal;
use super::arguments_statistics::{ChartArguments, ChartName};
use super::chart_record::{Charted, charts_of_record};
use super::exit::Exit;
use super::list_study::{Asked, CONFIDENCE, Controlled, ListStudy};
use super::number_list::NumberList;
use super::output::{Output, Stopped};
use super::output_statistics::ChartLine;
use super::problem::Problem;
use super::statistics::read;
use super::write_whole::{Whole, write_whole};
use crate::report::{
    Chart, ChartError, ChartOptions, ChartSize, Control, ControlRow, Controlled as Shows, Counted,
    Curve, DecimalMark, ENGLISH_CHARTS, IndexRow, RunPoint, Subject, Trend, capability_chart,
    chart_png, chart_svg, control_chart, histogram_chart, run_chart, shown, trend_chart,
};
use crate::session::Workspace;
use crate::statistics::{Limits, Signal, SignalTest, histogram, normal_cdf, number_of_bins};

const DAMAGED: &str = "The record is damaged: the chart shows what could be read. Check it with \
                       verify.";
/// A histogram has at most so many bars.
const BARS_MAX: usize = 60;

/// The form of a chart.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Form {
    Svg,
    Png,
}

/// Writes the chart, or says why not.
pub(super) fn run(
    arguments: &ChartArguments,
    workspace: &Workspace,
    out: &mut Output,
) -> Result<(), Stopped> {
    let name = arguments.out.display().to_string();
    let form = match form_of(&arguments.out).and_then(|form| Ok((form, size_of(arguments)?))) {
        Ok(form) => form,
        Err(problem) => return out.refuse(arguments.json, &name, &problem),
    };
    let charted = match &arguments.journal {
        Some(journal) => charts_of_record(arguments, journal, workspace, mark_of(arguments)),
        None => {
            let Some((list, asked)) = read(&arguments.asked, &name, arguments.json, out)? else {
                return Ok(());
            };
            let study = ListStudy::of(&list.values, &asked).map_err(Problem::from);
            study.map(|study| Charted {
                charts: charts(arguments, &list, &asked, &study),
                count: list.values.len(),
                is_damaged: false,
            })
        }
    };
    let written = charted.and_then(|charted| {
        write(arguments, form, &charted.charts)?;
        Ok(charted)
    });
    match written {
        Ok(charted) => done(arguments, &charted, out),
        Err(problem) => out.refuse(arguments.json, &name, &problem),
    }
}

fn form_of(path: &Path) -> Result<Form, Problem> {
    let ending = path.extension().unwrap_or_default().to_string_lossy();
    match ending.to_ascii_lowercase().as_str() {
        "svg" => Ok(Form::Svg),
        "png" => Ok(Form::Png),
        _ => {
            let name = path.display().to_string();
            let message = format!("The name {} says no form that a chart has.", shown(&name));
            let hint = Some("Let it end with .svg or .png.");
            Err(Problem::bad("form_unknown", message, hint))
        }
    }
}

fn size_of(arguments: &ChartArguments) -> Result<ChartSize, Problem> {
    let usual = match arguments.kind {
        // Two charts, one below the other, with the signals by name.
        ChartName::Control => "900x760",
        _ => "900x540",
    };
    let text = arguments.size.as_deref().unwrap_or(usual);
    let sides = text.split_once(['x', 'X', '×']);
    let side = |text: &str| text.trim().parse::<f64>().ok();
    let size = sides.and_then(|(width, height)| ChartSize::new(side(width)?, side(height)?));
    let size = size.ok_or_else(|| {
        let message = format!("The size “{}” is none that a chart has.", shown(text));
        let hint = Some("Give width and height from 120 to 8000, such as 900x540.");
        Problem::bad("out_of_range", message, hint)
    })?;
    if !(0.5..=4.0).contains(&arguments.scale) {
        let message = format!("The scale {} is outside 0.5 to 4.", arguments.scale);
        return Err(Problem::bad("out_of_range", message, None));
    }
    Ok(size)
}

fn mark_of(arguments: &ChartArguments) -> DecimalMark {
    match arguments.decimal {
        Decimal::Comma => DecimalMark::Comma,
        Decimal::Point => DecimalMark::Point,
    }
}

fn charts(
    arguments: &ChartArguments,
    list: &NumberList,
    asked: &Asked,
    study: &ListStudy,
) -> Vec<Chart> {
    let subject = Subject {
        title: arguments.title.as_deref().unwrap_or_default(),
        unit: arguments.unit.as_deref().unwrap_or_default(),
        decimals: list.decimals,
        decimal_mark: mark_of(arguments),
        counted: match (arguments.kind, asked.subgroup) {
            (ChartName::Control, Some(_)) => Counted::Subgroups,
            _ => Counted::Values,
        },
        words: &ENGLISH_CHARTS,
    };
    let limits = asked.limits.as_ref();
    let numbered = list.values.iter().zip(1_u32..);
    let points: Vec<RunPoint> = numbered
        .map(|(value, place)| RunPoint {
            place: f64::from(place),
            value: *value,
            is_in_doubt: false,
        })
        .collect();
    match arguments.kind {
        ChartName::Run => vec![run_chart(&subject, &points, limits, &[])],
        ChartName::Control => control(&subject, list, asked, study),
        ChartName::Histogram => vec![spread(&subject, list, asked, study)],
        ChartName::Capability => vec![indices(&subject, asked, study)],
        ChartName::Trend => {
            let trend = Trend {
                line: study.trend.as_ref(),
                confidence: CONFIDENCE,
                limits,
                // A list says nothing of its gauge.
                guard: 0.0,
                is_told: true,
            };
            vec![trend_chart(&subject, &points, &trend, &[])]
        }
    }
}

/// The chart of location and the chart of spread.
fn control(
    subject: &Subject<'_>,
    list: &NumberList,
    asked: &Asked,
    study: &ListStudy,
) -> Vec<Chart> {
    let places = |count: usize, first: usize| -> Vec<f64> {
        (first..first + count).map(|place| place as f64).collect()
    };
    let none = Control {
        shows: Shows::Values,
        places: &places(list.values.len(), 1),
        values: &list.values,
        rows: &[],
        is_provisional: false,
        in_doubt: &[],
        signals: &[],
        tests: None,
        breaks: &[],
    };
    let Some(found) = &study.control else {
        return vec![control_chart(subject, &none)];
    };
    let chart = &found.chart;
    let (location, deviation) = shows(found);
    let row = |limits| [ControlRow { from: 0.5, limits }];
    let above = Control {
        shows: location,
        places: &places(chart.locations.len(), 1),
        values: &chart.locations,
        rows: &row(chart.limits.location),
        signals: &found.signals,
        tests: Some(asked.lengths),
        ..none
    };
    let beyond = found.spread_beyond.iter().map(|point| Signal {
        test: SignalTest::Beyond,
        point: *point,
    });
    let first = 1 + chart.locations.len() - chart.spreads.len();
    let below = Control {
        shows: deviation,
        places: &places(chart.spreads.len(), first),
        values: &chart.spreads,
        rows: &row(chart.limits.spread),
        signals: &beyond.collect::<Vec<Signal>>(),
        ..none
    };
    vec![
        control_chart(subject, &above),
        control_chart(subject, &below),
    ]
}

fn shows(found: &Controlled) -> (Shows, Shows) {
    use super::list_study::ChartKind;
    match found.kind {
        ChartKind::Individuals => (Shows::Values, Shows::MovingRanges),
        ChartKind::MeanAndRange => (Shows::Means, Shows::Ranges),
        ChartKind::MeanAndDeviation => (Shows::Means, Shows::Deviations),
    }
}

fn spread(subject: &Subject<'_>, list: &NumberList, asked: &Asked, study: &ListStudy) -> Chart {
    let bins = number_of_bins(&list.values).unwrap_or(1).min(BARS_MAX);
    let found = histogram(&list.values, asked.step, bins).ok();
    let (mean, sd) = (study.summary.mean, study.summary.standard_deviation);
    let normal = |x: f64| normal_cdf((x - mean) / sd.unwrap_or(1.0));
    let bounded = study.bounded.map(|bounded| bounded.model);
    let amount = |x: f64| bounded.map_or(0.0, |model| model.shares(x).0);
    let curve = match (asked.is_bounded, bounded, sd) {
        (true, Some(_), _) => Some(Curve {
            share_below: &amount,
            is_bounded: true,
        }),
        (false, _, Some(sd)) if sd > 0.0 => Some(Curve {
            share_below: &normal,
            is_bounded: false,
        }),
        _ => None,
    };
    let limits = asked.limits.as_ref();
    let beyond = |value: &f64| {
        let below = limits.and_then(Limits::lower).is_some_and(|l| *value < l);
        below || limits.and_then(Limits::upper).is_some_and(|u| *value > u)
    };
    let beyond: Vec<f64> = list.values.iter().copied().filter(beyond).collect();
    histogram_chart(subject, found.as_ref(), (limits, &beyond), curve)
}

fn indices(subject: &Subject<'_>, asked: &Asked, study: &ListStudy) -> Chart {
    let (within, overall) = (study.within, study.overall);
    let row = |name, index| IndexRow { name, index };
    let ppk = match study.bounded {
        Some(bounded) => Some(bounded.worst),
        None => overall.map(|one| one.worst),
    };
    let mut rows = Vec::new();
    let has_two = asked.limits.is_some_and(|limits| limits.width().is_some());
    if !asked.is_bounded {
        if has_two {
            rows.push(row("Cp", within.and_then(|one| one.spread)));
        }
        rows.push(row("Cpk", within.map(|one| one.worst)));
        if has_two {
            rows.push(row("Pp", overall.and_then(|one| one.spread)));
        }
    }
    rows.push(row("Ppk", ppk));
    let mut chart = capability_chart(subject, &rows, study.summary.count, CONFIDENCE);
    // Why there is none.
    if rows.iter().all(|row| row.index.is_none()) {
        chart.notes.extend(study.notes.iter().cloned());
    }
    chart
}

fn write(
    arguments: &ChartArguments,
    (form, size): (Form, ChartSize),
    charts: &[Chart],
) -> Result<(), Problem> {
    let options = ChartOptions {
        is_black_and_white: arguments.black_and_white,
        decimal_mark: mark_of(arguments),
    };
    let bytes = match form {
        Form::Svg => chart_svg(charts, size, options)
            .map(String::into_bytes)
            .map_err(ChartError::from),
        Form::Png => chart_png(charts, size, arguments.scale, options),
    };
    let bytes = bytes.map_err(|error| {
        let hint = Some("Write .svg, or a smaller picture.");
        Problem::bad("chart_not_made", error.to_string(), hint)
    })?;
    let file = Whole {
        path: &arguments.out,
        bytes: &bytes,
    };
    // It is done at once: there is nothing to be stopped.
    write_whole(&[file], arguments.replace, &|| Ok(()))
}

fn done(arguments: &ChartArguments, charted: &Charted, out: &mut Output) -> Result<(), Stopped> {
    let name = arguments.out.display().to_string();
    let mut notes: Vec<String> = Vec::new();
    if charted.is_damaged {
        out.note(Exit::NotGood);
        notes.push(DAMAGED.to_owned());
    }
    let said = charted.charts.iter().flat_map(|chart| &chart.notes);
    notes.extend(said.cloned());
    if arguments.json {
        return out.json(&ChartLine {
            chart: &name,
            kind: word(arguments.kind),
            n: charted.count,
            notes,
        });
    }
    let mut text = format!("{}\n", shown(&name));
    for note in notes {
        text += &format!("  {note}\n");
    }
    out.text(&text)
}

fn word(kind: ChartName) -> &'static str {
    match kind {
        ChartName::Run => "run",
        ChartName::Control => "control",
        ChartName::Histogram => "histogram",
        ChartName::Capability => "capability",
        ChartName::Trend => "trend",
    }
}
