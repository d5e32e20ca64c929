//! What the window asks of the processor: a frame of the Bench at 800 x 480, a snapshot of a long
//! session, and the chart of a long batch. Each against an anchor in the same run.
//!
//! - Frame: painting and tessellating the Bench, against a page of plain egui labels with the same
//!   texts and as many plain rectangles as the Bench has shapes besides.
//! - Snapshot: a copy of a session with 1,000,000 readings, against a copy of the readings alone.
//! - Chart: thinning 1,000,000 points to 800 columns, against one pass that adds up the same slice;
//!   and the same with painting and tessellating, against that pass and 800 plain rectangles.
//! - Chart of the Batch room: a frame of 1,000,000 points that were laid out before, against a frame
//!   with nothing on it; and laying them out, against one pass over them.
//!
//! Besides criterion's tables it prints the paired ratio, timed in turns (A B A B), because a ratio
//! of two separate runs is no evidence. Goal: what happens in one frame is done well within 16.7 ms.

use std::hint::black_box;
use std::sync::Arc;
use std::time::Instant;

use criterion::Criterion;
use eframe::egui::epaint::{ClippedShape, Shape};
use eframe::egui::{Color32, Context, Label, Pos2, RawInput, Rect, RichText, Ui, pos2, vec2};
use fitledger::gauge::{GaugeId, GaugeStatus, Observed, Origin, Reading, Register, Shown};
use fitledger::journal::{Event, GaugeSource, Place, SessionOpened};
use fitledger::plan::Plan;
use fitledger::quantity::{Length, LengthUnit};
use fitledger::report::{Axis, Chart, Layer, Point, Scale, Shape as PointShape, Stroke};
use fitledger::session::{Setup, Snapshot, State};
use fitledger::window::bench_ui::bench_ui;
use fitledger::window::chart_paint_ui::{LaidChart, chart_paint_ui};
use fitledger::window::chart_ui::chart_ui;
use fitledger::window::desk::Desk;
use fitledger::window::look::{Look, Sizes, Theme, install_faces};
use fitledger::window::view::{BenchView, ChartPoint, ChartView, Mark, bench_view, thinned};

const READINGS: u64 = 1_000_000;
const POINTS: usize = 1_000_000;
const COLUMNS: usize = 800;
const SCREEN: Rect = Rect {
    min: Pos2::ZERO,
    max: pos2(800.0, 480.0),
};
/// A frame of a screen that shows 60 a second.
const FRAME_MS: f64 = 1000.0 / 60.0;

type Failure = Box<dyn std::error::Error>;

/// A session of the demonstration's plan with so many readings of its first part, taken while
/// cutting.
fn session(readings: u64) -> Result<Snapshot, Failure> {
    let source = GaugeSource {
        gauge: "mic-25".to_owned(),
        source: "typed".to_owned(),
        adapter: String::new(),
        repeat_ms: 0,
    };
    let opened = SessionOpened {
        plan_name: "pump-shaft.toml".to_owned(),
        plan: Some(Plan::DEMO_TEXT.to_owned()),
        gauges: Register::DEMO_TEXT.to_owned(),
        operator: "night shift".to_owned(),
        sources: vec![source],
        parts: Some(12),
        ..SessionOpened::default()
    };
    let mut state = State::new(Arc::new(Setup::of(&opened)?));
    state.apply(2, 0, &Event::PartStarted { part: 1 })?;
    state.apply(3, 0, &Event::CuttingSwitched { on: true })?;
    for at in 0..readings {
        let (sequence, at_ms) = (4 + 2 * at, at);
        let value = Length::from_um(20_412 - i64::try_from(at % 390)?);
        state.apply(sequence, at_ms, &Event::ReadingReceived(reading(value)))?;
        let noted = Event::CuttingNoted {
            reading: sequence,
            place: Place {
                part: 1,
                feature: "A".to_owned(),
                element: "size".to_owned(),
                point: 1,
            },
            value_at_20: value,
            left: Length::from_um(20),
            depth: Some(Length::from_um(10)),
            dial: None,
        };
        state.apply(sequence + 1, at_ms, &noted)?;
    }
    Ok(Snapshot {
        ended: None,
        batch: Arc::default(),
        state,
        journal: "pump-shaft.jsonl".to_owned(),
        path: "/sessions/pump-shaft.jsonl".to_owned(),
        head: 4 + 2 * readings,
        unrecorded: None,
        message: None,
        is_playing: None,
        taps: Vec::new(),
        now_ms: readings,
    })
}

fn reading(value: Length) -> Reading {
    let text = value.to_text(LengthUnit::Millimetre, 3);
    Reading {
        gauge: GaugeId::new("mic-25"),
        observed: Observed::Length(value),
        shown: Shown {
            unit: LengthUnit::Millimetre,
            decimals: 3,
            minus: false,
        },
        status: GaugeStatus::Ok,
        origin: Origin::Typed,
        raw: text.into_bytes(),
        rounded: false,
    }
}

/// A batch of many parts, mostly GO.
fn points() -> Vec<ChartPoint> {
    let mut state = 12_345_u64;
    let mut random = || {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1);
        u16::try_from(state >> 48).map_or(0.0, f32::from) / f32::from(u16::MAX)
    };
    let along = |at: usize| at as f32 / (POINTS - 1) as f32;
    (0..POINTS)
        .map(|at| ChartPoint {
            x: along(at),
            y: random(),
            mark: if at % 997 == 0 { Mark::NoGo } else { Mark::Go },
            mean: None,
            is_signal: false,
        })
        .collect()
}

fn ms(work: &mut dyn FnMut()) -> f64 {
    let start = Instant::now();
    work();
    start.elapsed().as_secs_f64() * 1000.0
}

/// Times anchor and project in turns and prints medians and the paired ratio's quartiles.
fn paired(name: &str, rounds: usize, anchor: &mut dyn FnMut(), project: &mut dyn FnMut()) {
    let (mut ours, mut theirs, mut ratios) = (Vec::new(), Vec::new(), Vec::new());
    for _ in 0..rounds {
        let one = ms(anchor);
        let other = ms(project);
        theirs.push(one);
        ours.push(other);
        ratios.push(other / one);
    }
    for list in [&mut ours, &mut theirs, &mut ratios] {
        list.sort_by(f64::total_cmp);
    }
    println!(
        "{name}: anchor {:.3} ms, project {:.3} ms, at best {:.3} ms ({:.3} frames, p99 {:.3} ms); \
         paired ratio {:.2} (quartiles {:.2} to {:.2}), {rounds} rounds",
        theirs[rounds / 2],
        ours[rounds / 2],
        ours[0],
        ours[rounds / 2] / FRAME_MS,
        ours[rounds * 99 / 100],
        ratios[rounds / 2],
        ratios[rounds / 4],
        ratios[rounds * 3 / 4],
    );
}

/// A window without a display, with the faces of the program.
fn screen() -> Context {
    let context = Context::default();
    install_faces(&context);
    context
}

/// One frame: what `paint` paints, as shapes.
fn shapes(context: &Context, paint: &mut dyn FnMut(&mut Ui)) -> Vec<ClippedShape> {
    let input = RawInput {
        screen_rect: Some(SCREEN),
        ..RawInput::default()
    };
    let mut output = context.run_ui(input, |ui| paint(ui));
    // Nobody uploads the pictures of the glyphs.
    output.textures_delta.clear();
    output.shapes
}

/// One frame as far as the processor goes: laid out, painted and cut into triangles.
fn frame(context: &Context, paint: &mut dyn FnMut(&mut Ui)) {
    let shapes = shapes(context, paint);
    drop(black_box(context.tessellate(shapes, 1.0)));
}

/// What a frame consists of: its texts with place and size, and the places of everything else.
#[derive(Default)]
struct Page {
    texts: Vec<(Rect, String, f32)>,
    rects: Vec<Rect>,
}

impl Page {
    fn of(shapes: &[ClippedShape]) -> Self {
        let mut page = Self::default();
        for clipped in shapes {
            page.gather(&clipped.shape);
        }
        page
    }

    fn gather(&mut self, shape: &Shape) {
        match shape {
            Shape::Noop => {}
            Shape::Vec(shapes) => shapes.iter().for_each(|shape| self.gather(shape)),
            Shape::Text(text) => {
                let job = &text.galley.job;
                let size = job.sections.first();
                let size = size.map_or(13.0, |section| section.format.font_id.size);
                let rect = Rect::from_min_size(text.pos, text.galley.size());
                self.texts.push((rect, job.text.clone(), size));
            }
            other => self.rects.push(other.visual_bounding_rect()),
        }
    }

    /// The same with egui's own labels and plain rectangles.
    fn paint(&self, ui: &mut Ui) {
        for rect in &self.rects {
            ui.painter().rect_filled(*rect, 0.0, Color32::DARK_GRAY);
        }
        for (rect, text, size) in &self.texts {
            ui.put(*rect, Label::new(RichText::new(text).size(*size)).extend());
        }
    }
}

/// The frame of the Bench: first as it stands, then with a digit that changes from frame to frame.
fn frames(view: &BenchView) {
    let look = Look::new(Theme::Night, Sizes::default());
    let (ours, theirs) = (screen(), screen());
    let paint = |ui: &mut Ui, view: &BenchView| bench_ui(ui, view, &look, &mut Vec::new());
    let mut page = Page::default();
    // The first frames make the glyphs' pictures.
    for _ in 0..8 {
        page = Page::of(&shapes(&ours, &mut |ui| paint(ui, view)));
        frame(&theirs, &mut |ui| page.paint(ui));
    }
    let counts = (page.texts.len(), page.rects.len());
    println!(
        "frame of the Bench: {} texts, {} other shapes",
        counts.0, counts.1
    );
    paired(
        "frame of the Bench, 800 x 480 (anchor: plain labels and rectangles)",
        401,
        &mut || frame(&theirs, &mut |ui| page.paint(ui)),
        &mut || frame(&ours, &mut |ui| paint(ui, view)),
    );
    let mut turn = 0_u32;
    let mut changing = view.clone();
    paired(
        "the same, another value in each frame",
        401,
        &mut || frame(&theirs, &mut |ui| page.paint(ui)),
        &mut || {
            turn += 1;
            changing.verdict.value = format!("20.{:03}", turn * 37 % 1000);
            frame(&ours, &mut |ui| paint(ui, &changing));
        },
    );
}

/// A chart of many points from the batch to triangles.
fn charts(points: &[ChartPoint]) {
    let look = Look::new(Theme::Night, Sizes::default());
    let (ours, theirs) = (screen(), screen());
    let chart = || ChartView {
        upper: Some((0.2, "20.015".to_owned())),
        lower: Some((0.8, "20.002".to_owned())),
        middle: Some(0.5),
        control: None,
        points: thinned(black_box(points), COLUMNS),
        is_outcomes: false,
        span: "parts 1 to 1000000".to_owned(),
        note: String::new(),
        spoken: String::new(),
    };
    let column = |at: u16| Rect::from_min_size(pos2(f32::from(at), 20.0), vec2(1.0, 400.0));
    paired(
        "chart of 1,000,000 points thinned and painted (anchor: the pass, and 800 rectangles)",
        41,
        &mut || {
            black_box(sum(black_box(points)));
            frame(&theirs, &mut |ui| {
                for at in 0..800 {
                    ui.painter()
                        .rect_filled(column(at), 0.0, Color32::DARK_GRAY);
                }
            });
        },
        &mut || {
            let view = chart();
            frame(&ours, &mut |ui| chart_ui(ui, SCREEN, &view, &look));
        },
    );
}

/// The same batch as the Batch room draws it.
fn long_chart(points: &[ChartPoint]) -> Arc<Chart> {
    let all = points.iter().zip(0_u32..).map(|(point, at)| Point {
        x: f64::from(at),
        y: f64::from(point.y),
    });
    let all: Vec<Point> = all.collect();
    let axis = |to, scale| Axis {
        title: String::new(),
        from: 0.0,
        to,
        scale,
    };
    Arc::new(Chart {
        title: "run of values".to_owned(),
        x: axis(POINTS as f64, Scale::Whole),
        y: axis(1.0, Scale::Numbers),
        layers: vec![
            Layer::Line {
                at: all.clone(),
                stroke: Stroke::Course,
            },
            Layer::Points {
                at: all,
                shape: PointShape::Disc,
            },
        ],
        notes: Vec::new(),
    })
}

/// A frame of the Batch room's chart.
fn batch_charts(points: &[ChartPoint]) {
    let look = Look::new(Theme::Night, Sizes::default());
    let (ours, theirs) = (screen(), screen());
    let chart = long_chart(points);
    let mut laid = LaidChart::default();
    frame(&ours, &mut |ui| {
        chart_paint_ui(ui, SCREEN, (&chart, '.'), &look, &mut laid);
    });
    paired(
        "frame of the Batch room's chart, 1,000,000 points (anchor: a frame with nothing on it)",
        401,
        &mut || frame(&theirs, &mut |_| {}),
        &mut || {
            frame(&ours, &mut |ui| {
                chart_paint_ui(ui, SCREEN, (&chart, '.'), &look, &mut laid);
            });
        },
    );
    paired(
        "the same, laid out anew (anchor: one pass that adds them up)",
        41,
        &mut || {
            black_box(sum(black_box(points)));
        },
        &mut || {
            let mut fresh = LaidChart::default();
            frame(&ours, &mut |ui| {
                chart_paint_ui(ui, SCREEN, (&chart, '.'), &look, &mut fresh);
            });
        },
    );
}

fn sum(points: &[ChartPoint]) -> f32 {
    points.iter().map(|point| point.y).sum()
}

fn main() -> Result<(), Failure> {
    let long = session(READINGS)?;
    let copied = long.state.readings();
    paired(
        "snapshot with 1,000,000 readings (anchor: their copy)",
        41,
        &mut || drop(black_box(black_box(copied).iter().collect::<Vec<_>>())),
        &mut || drop(black_box(black_box(&long).clone())),
    );
    let desk = Desk::default();
    let view = |snapshot: &Snapshot| bench_view(black_box(snapshot), &desk, snapshot.now_ms);
    let short = session(30)?;
    paired(
        "view of a session with 1,000,000 readings (anchor: with 30)",
        41,
        &mut || drop(black_box(view(&short))),
        &mut || drop(black_box(view(&long))),
    );
    let points = points();
    paired(
        "chart of 1,000,000 points thinned (anchor: one pass that adds them up)",
        41,
        &mut || {
            black_box(sum(black_box(&points)));
        },
        &mut || drop(black_box(thinned(black_box(&points), COLUMNS))),
    );
    charts(&points);
    batch_charts(&points);
    frames(&view(&short));
    let mut criterion = Criterion::default().configure_from_args();
    let mut group = criterion.benchmark_group("window_frame");
    group.bench_function("view", |b| b.iter(|| view(&short)));
    let (context, shown) = (screen(), view(&short));
    let look = Look::new(Theme::Night, Sizes::default());
    group.bench_function("frame", |b| {
        b.iter(|| {
            frame(&context, &mut |ui| {
                bench_ui(ui, &shown, &look, &mut Vec::new());
            });
        });
    });
    group.bench_function("snapshot, 1,000,000 readings", |b| b.iter(|| long.clone()));
    group.bench_function("chart thinned, 1,000,000 points", |b| {
        b.iter(|| thinned(black_box(&points), COLUMNS));
    });
    group.finish();
    criterion.final_summary();
    Ok(())
}
