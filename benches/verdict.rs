//! Time of one verdict with the metal still to come off, and proof that it allocates nothing.
#![allow(missing_docs)] // the benchmark macros make public functions

use std::alloc::{GlobalAlloc, Layout, System};
use std::hint::black_box;
use std::sync::atomic::{AtomicU64, Ordering};

use criterion::{Criterion, criterion_group, criterion_main};
use fitledger::measure::{
    Aim, CutSetting, Judgement, RemainingError, RemainingMetal, Rule, guard_band, judge,
    remaining_metal,
};
use fitledger::quantity::Length;
use fitledger::tolerance::{Derivation, Limits, Surface};

/// The system's allocator, counting what is asked of it.
struct Counting;

static ALLOCATIONS: AtomicU64 = AtomicU64::new(0);

#[allow(unsafe_code)] // an allocator is unsafe by its trait; every call goes to the system's
unsafe impl GlobalAlloc for Counting {
    unsafe fn alloc(&self, layout: Layout) -> *mut u8 {
        ALLOCATIONS.fetch_add(1, Ordering::Relaxed);
        unsafe { System.alloc(layout) }
    }

    unsafe fn dealloc(&self, pointer: *mut u8, layout: Layout) {
        unsafe { System.dealloc(pointer, layout) }
    }
}

#[global_allocator]
static ALLOCATOR: Counting = Counting;

type Answer = (
    Option<Judgement>,
    Option<Result<RemainingMetal, RemainingError>>,
);

/// What the bench shows for one reading: verdict, guard zone, metal still to come off.
fn verdict(value: Length, limits: &Limits, u_nm: f64) -> Answer {
    let rule = Rule::PROBABILITY;
    let judged = judge(value, limits, Surface::Outside, Some(u_nm), Some(rule)).ok();
    let guard = guard_band(limits, Some(u_nm), rule).ok().flatten();
    let metal = guard.map(|guard| {
        let setting = CutSetting {
            aim: Aim::Middle,
            guard,
            leave: Length::ZERO,
            least_cut: Length::from_um(10),
            dial: None,
        };
        remaining_metal(value, limits, Surface::Outside, &setting)
    });
    (judged, metal)
}

fn shaft() -> Limits {
    let (low, high) = (Length::from_um(20_002), Length::from_um(20_015));
    #[allow(clippy::expect_used)] // 20.002 is below 20.015
    Limits::new(Some(low), Some(high), Derivation::Stated).expect("limits in order")
}

/// Ends the run when a verdict asks for memory, over readings on both sides of both limits.
fn verdicts_allocate_nothing() {
    let limits = shaft();
    let before = ALLOCATIONS.load(Ordering::Relaxed);
    for um in 19_900..20_100 {
        for u_nm in [0.0, 500.0, 2_000.0, 3_300.0, 50_000.0] {
            black_box(verdict(black_box(Length::from_um(um)), &limits, u_nm));
        }
    }
    let asked = ALLOCATIONS.load(Ordering::Relaxed) - before;
    assert_eq!(asked, 0, "a verdict asked for memory");
}

fn bench(criterion: &mut Criterion) {
    verdicts_allocate_nothing();
    let limits = shaft();
    let value = Length::from_um(20_046);
    criterion.bench_function("judge", |bencher| {
        bencher.iter(|| {
            judge(
                black_box(value),
                &limits,
                Surface::Outside,
                Some(2_000.0),
                None,
            )
        });
    });
    criterion.bench_function("verdict with remaining metal, wide tolerance", |bencher| {
        bencher.iter(|| verdict(black_box(value), &limits, black_box(1_000.0)));
    });
    criterion.bench_function(
        "verdict with remaining metal, narrow tolerance",
        |bencher| {
            bencher.iter(|| verdict(black_box(value), &limits, black_box(3_200.0)));
        },
    );
}

criterion_group!(benches, bench);
criterion_main!(benches);
