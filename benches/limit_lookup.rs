//! Looking up limits of size, against two anchors measured in the same run: an array cell by
//! ready index, and an array cell behind a linear search of 13 size ranges. Judge the ratios,
//! not the times; see also the last lines that each run prints. Whole callouts and threads from
//! their text are timed against the same anchors.

#![allow(missing_docs)] // criterion_group! writes a function without a comment

use std::hint::black_box;
use std::time::Instant;

use criterion::{Criterion, criterion_group, criterion_main};
use fitledger::quantity::Length;
use fitledger::tolerance::{
    CalloutLimits, Context, Tables, ThreadCallout, ThreadClass, ThreadMember, ThreadPosition,
    ThreadTables, ThreadTolerance, ToleranceClass, limits_of as callout_limits,
};

const RANGES: [u32; 13] = [3, 6, 10, 18, 30, 50, 80, 120, 180, 250, 315, 400, 500];
const GRADES: usize = 18;
const LETTERS: usize = 28;

/// A table of stand-in integers of the size that a plain look-up would need.
struct Anchor {
    cells: Vec<i32>,
}

impl Anchor {
    fn new() -> Self {
        let cells = (0..LETTERS * GRADES * RANGES.len()).map(|at| i32::try_from(at * 7 % 251));
        Self {
            cells: cells.map(|value| value.unwrap_or(0)).collect(),
        }
    }

    fn by_index(&self, at: usize) -> i32 {
        self.cells[at]
    }

    fn by_search(&self, letter: usize, grade: usize, size_mm: u32) -> i32 {
        let range = RANGES.iter().position(|end| size_mm <= *end).unwrap_or(0);
        self.cells[(letter * GRADES + grade) * RANGES.len() + range]
    }
}

/// Sizes and classes of everyday work, taken in turn.
struct Case {
    size_mm: u32,
    nominal: Length,
    class: ToleranceClass,
    pair: &'static str,
    letter: usize,
    grade: usize,
}

fn cases() -> Vec<Case> {
    let given = [
        (6, "H7", "H7/h6", 10, 6),
        (25, "k6", "H7/k6", 13, 5),
        (40, "p6", "H7/p6", 16, 5),
        (12, "js9", "H8/js7", 11, 8),
        (80, "K7", "K7/h6", 13, 6),
        (3, "f7", "H8/f7", 7, 6),
        (160, "g6", "H7/g6", 9, 5),
        (320, "H8", "H8/f7", 10, 7),
    ];
    let case = |(size_mm, class, pair, letter, grade)| {
        Some(Case {
            size_mm,
            nominal: Length::from_mm(i64::from(size_mm)),
            class: ToleranceClass::parse(class)?,
            pair,
            letter,
            grade,
        })
    };
    given.into_iter().filter_map(case).collect()
}

fn limits_of(tables: &Tables, case: &Case) -> (Option<Length>, Option<Length>) {
    match tables.limits_of_class(case.nominal, case.class) {
        Ok(limits) => (limits.lower(), limits.upper()),
        Err(_) => (None, None),
    }
}

fn pair_of(tables: &Tables, case: &Case) -> Option<(Length, Length, Length, Length)> {
    let (hole, shaft) = ToleranceClass::parse_pair(black_box(case.pair))?;
    let hole = tables.limits_of_class(case.nominal, hole).ok()?;
    let shaft = tables.limits_of_class(case.nominal, shaft).ok()?;
    Some((hole.lower()?, hole.upper()?, shaft.lower()?, shaft.upper()?))
}

/// Callouts as they are typed: fits of everyday sizes, and threads of every form.
const FIT_TEXTS: [&str; 8] = [
    "6 H7/h6",
    "25 H7/k6",
    "40 H7/p6",
    "12 H8/js7",
    "80 K7/h6",
    "3 H8/f7",
    "160 H7/g6",
    "320 H8/f7",
];
const THREAD_TEXTS: [&str; 8] = [
    "M10-6H",
    "M8x1-6g",
    "M6x0.75-7g6g-L",
    "M16xPh3P1.5-6H",
    "M3.5-6g",
    "M64-6H",
    "M20x2-7g6g-15",
    "M1.6-6h",
];
const COMPUTED_THREAD: &str = "M10x1.1-6g";

fn from_text(text: &str) -> Option<CalloutLimits> {
    let found = callout_limits(black_box(text), &Context::standard());
    found.ok().map(|(_, limits)| limits)
}

/// Every class of one member: all grades that the standard has, one position for both diameters.
fn thread_classes() -> Vec<ThreadClass> {
    let mut classes = Vec::new();
    for (position, _) in ThreadPosition::TEXTS {
        let (pitch, crest): (&[u8], &[u8]) = match position.member() {
            ThreadMember::Internal => (&[4, 5, 6, 7, 8], &[4, 5, 6, 7, 8]),
            ThreadMember::External => (&[3, 4, 5, 6, 7, 8, 9], &[4, 6, 8]),
        };
        for (pitch, crest) in pitch
            .iter()
            .flat_map(|one| crest.iter().map(move |two| (one, two)))
        {
            let tolerance = |grade: &u8| ThreadTolerance {
                grade: *grade,
                position,
            };
            classes.push(ThreadClass {
                pitch: tolerance(pitch),
                crest: tolerance(crest),
            });
        }
    }
    classes
}

/// The limits of every pair of ISO 261 in every class; how many there are.
fn whole_iso_261(tables: &ThreadTables, classes: &[ThreadClass]) -> usize {
    let mut answered = 0;
    for size in tables.sizes() {
        for class in classes {
            let is_internal = class.member() == ThreadMember::Internal;
            let callout = ThreadCallout {
                nominal: size.nominal,
                pitch: Some(size.pitch),
                lead: None,
                internal: is_internal.then_some(*class),
                external: (!is_internal).then_some(*class),
                engagement: None,
                left_hand: false,
            };
            let found = black_box(&callout).limits(tables);
            answered += usize::from(black_box(found).is_ok());
        }
    }
    answered
}

fn look_up(criterion: &mut Criterion) {
    let (tables, anchor, cases) = (Tables::standard(), Anchor::new(), cases());
    let mut group = criterion.benchmark_group("limit_lookup");
    let mut turn = 0;
    let mut next = || {
        turn = (turn + 1) % cases.len();
        &cases[turn]
    };
    group.bench_function("anchor_array_by_index", |bench| {
        bench.iter(|| anchor.by_index(black_box(next().letter)));
    });
    group.bench_function("anchor_array_and_search", |bench| {
        bench.iter(|| {
            let case = black_box(next());
            anchor.by_search(case.letter, case.grade, case.size_mm)
        });
    });
    group.bench_function("class_to_both_limits", |bench| {
        bench.iter(|| limits_of(tables, black_box(next())));
    });
    group.bench_function("pair_text_to_all_limits", |bench| {
        bench.iter(|| pair_of(tables, black_box(next())));
    });
    let mut turn = 0;
    let mut next_text = |texts: &'static [&'static str]| {
        turn = (turn + 1) % texts.len();
        texts[turn]
    };
    group.bench_function("fit_callout_text_to_limits", |bench| {
        bench.iter(|| from_text(next_text(&FIT_TEXTS)));
    });
    group.bench_function("thread_callout_text_to_limits", |bench| {
        bench.iter(|| from_text(next_text(&THREAD_TEXTS)));
    });
    group.bench_function("computed_thread_text_to_limits", |bench| {
        bench.iter(|| from_text(COMPUTED_THREAD));
    });
    let (threads, classes) = (ThreadTables::standard(), thread_classes());
    group.sample_size(10);
    group.bench_function("whole_iso_261_in_every_class", |bench| {
        bench.iter(|| whole_iso_261(threads, &classes));
    });
    group.finish();
    println!(
        "whole ISO 261: {} classes, {} of {} defined",
        classes.len(),
        whole_iso_261(threads, &classes),
        classes.len() * threads.sizes().len()
    );
    paired_ratios(tables, &anchor, &cases);
}

/// Times the anchors and the look-ups in turn, round by round, and prints medians and the median
/// of the ratios to the array behind a search, each of one round.
fn paired_ratios(tables: &Tables, anchor: &Anchor, cases: &[Case]) {
    const ROUNDS: usize = 401;
    const REPEATS: u32 = 2_000;
    let timed = |work: &mut dyn FnMut(&Case)| {
        let start = Instant::now();
        for _ in 0..REPEATS {
            for case in cases {
                work(black_box(case));
            }
        }
        let calls = f64::from(REPEATS) * cases.len() as f64;
        start.elapsed().as_secs_f64() * 1e9 / calls
    };
    let names = [
        "array by index",
        "array and search",
        "class to limits",
        "pair text to limits",
        "fit callout text",
        "thread callout text",
    ];
    let mut columns: [Vec<f64>; 6] = Default::default();
    let from_texts = |texts: &'static [&'static str]| {
        let repeats = REPEATS / 20;
        let start = Instant::now();
        for _ in 0..repeats {
            for text in texts {
                black_box(from_text(text));
            }
        }
        start.elapsed().as_secs_f64() * 1e9 / (f64::from(repeats) * texts.len() as f64)
    };
    for _ in 0..ROUNDS {
        columns[0].push(timed(&mut |case| {
            black_box(anchor.by_index(case.letter));
        }));
        columns[1].push(timed(&mut |case| {
            black_box(anchor.by_search(case.letter, case.grade, case.size_mm));
        }));
        columns[2].push(timed(&mut |case| {
            black_box(limits_of(tables, case));
        }));
        columns[3].push(timed(&mut |case| {
            black_box(pair_of(tables, case));
        }));
        columns[4].push(from_texts(&FIT_TEXTS));
        columns[5].push(from_texts(&THREAD_TEXTS));
    }
    for (name, times) in names.iter().zip(&columns) {
        let ratios = times
            .iter()
            .zip(&columns[1])
            .map(|(time, base)| time / base);
        let [low, mid, high] = quartiles(ratios.collect());
        let [_, median, _] = quartiles(times.clone());
        println!(
            "{name:20} {median:7.2} ns, ratio to array and search {mid:6.2} ({low:.2} to {high:.2})"
        );
    }
}

fn quartiles(mut values: Vec<f64>) -> [f64; 3] {
    values.sort_by(f64::total_cmp);
    [1, 2, 3].map(|quarter| values[(values.len() - 1) * quarter / 4])
}

criterion_group!(benches, look_up);
criterion_main!(benches);
