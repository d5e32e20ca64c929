//! Thinning the run chart: nothing that must be seen is lost.
#![allow(clippy::unwrap_used)]

use fitledger::window::view::{ChartPoint, Mark, thinned};
use proptest::collection::vec;
use proptest::prelude::{ProptestConfig, Strategy, prop_assert, proptest};

fn is_good(mark: Mark) -> bool {
    matches!(mark, Mark::Go | Mark::Inside)
}

fn mark(at: usize) -> Mark {
    [
        Mark::Go,
        Mark::Go,
        Mark::Go,
        Mark::Inside,
        Mark::Doubt,
        Mark::NoGo,
    ][at % 6]
}

/// Points in order of x.
fn points() -> impl Strategy<Value = Vec<ChartPoint>> {
    vec((0.0_f32..1.0, 0_usize..6), 0..600).prop_map(|all| {
        let count = all.len().max(2);
        let place = |at: usize| {
            f32::from(u16::try_from(at).unwrap()) / f32::from(u16::try_from(count - 1).unwrap())
        };
        let points = all.into_iter().enumerate();
        points
            .map(|(at, (y, kind))| ChartPoint {
                x: place(at),
                y,
                mark: mark(kind),
                mean: None,
                is_signal: false,
            })
            .collect()
    })
}

/// The column as the eye has it: the nearest whole pixel below.
fn column(point: &ChartPoint, columns: u16) -> i64 {
    let at = f64::from(point.x) * f64::from(columns);
    (0..=i64::from(columns))
        .rev()
        .find(|column| at >= f64::from(i32::try_from(*column).unwrap()))
        .unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn no_extreme_is_lost_and_nothing_bad_gives_way(points in points(), columns in 1_u16..60) {
        let kept = thinned(&points, usize::from(columns));
        prop_assert!(kept.windows(2).all(|two| two[0].x <= two[1].x), "in order");
        prop_assert!(kept.len() <= (usize::from(columns) + 1) * 4);
        let placed: Vec<_> = kept.iter().map(|one| (column(one, columns), one)).collect();
        for point in &points {
            let mine = column(point, columns);
            let beside = placed.iter().filter(|(column, _)| *column == mine);
            let beside: Vec<&ChartPoint> = beside.map(|(_, other)| *other).collect();
            prop_assert!(beside.iter().any(|other| other.y >= point.y), "{point:?}");
            prop_assert!(beside.iter().any(|other| other.y <= point.y), "{point:?}");
            if !is_good(point.mark) {
                let bad = || beside.iter().filter(|other| !is_good(other.mark));
                prop_assert!(bad().any(|other| other.y >= point.y), "{point:?}");
                prop_assert!(bad().any(|other| other.y <= point.y), "{point:?}");
            }
        }
        prop_assert!(kept.iter().all(|one| points.contains(one)), "nothing is made up");
    }
}

#[test]
fn few_points_stay_as_they_are() {
    let point = |x: f32| ChartPoint {
        x,
        y: 0.5,
        mark: Mark::Go,
        mean: None,
        is_signal: false,
    };
    let points = vec![point(0.0), point(0.0001), point(1.0)];
    assert_eq!(thinned(&points, 960), points);
    assert_eq!(thinned(&[], 960), Vec::new());
}

/// As many points as a long batch has, one of them bad.
fn many(count: u32) -> Vec<ChartPoint> {
    let point = |at: u32| ChartPoint {
        x: f32::from(u16::try_from(at / 16).unwrap()) / 62_500.0,
        y: f32::from(u16::try_from(at * 37 % 1_000).unwrap()) / 1_000.0,
        mark: if at == 65_432 { Mark::NoGo } else { Mark::Go },
        mean: None,
        is_signal: false,
    };
    (0..count).map(point).collect()
}

/// Ten times as many take about ten times as long; three times that is left to what else the
/// machine does. A time that grew with the square would be a hundred times as long.
#[test]
fn of_a_million_points_no_more_stay_than_the_columns_show_and_the_bad_one_does() {
    let all = many(1_000_000);
    let kept = thinned(&all, 960);
    assert!(kept.len() <= 961 * 4);
    let bad = kept.iter().filter(|point| point.mark == Mark::NoGo);
    assert_eq!(bad.count(), 1);
}
