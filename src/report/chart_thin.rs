//! Many points where there are few pixels: each column keeps its first, least, largest and last
//! point, so that no extreme is ever lost and a line goes the same way.

use super::chart::Point;

/// What a column keeps, by place in the list.
#[derive(Clone, Copy)]
struct Kept {
    first: usize,
    least: usize,
    largest: usize,
    last: usize,
}

/// Points from `from` to `to`, at most four for each of so many columns, in their order. Few
/// points all stay. Points whose value is no number are left out.
pub(super) fn thinned(points: &[Point], from: f64, to: f64, columns: usize) -> Vec<Point> {
    let shows = |point: &Point| point.y.is_finite() && (from..=to).contains(&point.x);
    let columns = columns.max(1);
    if points.len() <= 4 * columns {
        return points
            .iter()
            .filter(|point| shows(point))
            .copied()
            .collect();
    }
    let mut kept: Vec<Option<Kept>> = vec![None; columns];
    let scale = columns as f64 / (to - from);
    for (place, point) in points.iter().enumerate() {
        if !shows(point) {
            continue;
        }
        // From 0 to `columns`: the conversion keeps the number.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let column = (((point.x - from) * scale) as usize).min(columns - 1);
        let Some(one) = kept.get_mut(column) else {
            continue;
        };
        match one {
            None => {
                *one = Some(Kept {
                    first: place,
                    least: place,
                    largest: place,
                    last: place,
                });
            }
            Some(one) => {
                let height = |at: usize| points.get(at).map_or(point.y, |other| other.y);
                if point.y < height(one.least) {
                    one.least = place;
                }
                if point.y > height(one.largest) {
                    one.largest = place;
                }
                one.last = place;
            }
        }
    }
    let mut places: Vec<usize> = kept
        .into_iter()
        .flatten()
        .flat_map(|one| [one.first, one.least, one.largest, one.last])
        .collect();
    places.sort_unstable();
    places.dedup();
    places
        .into_iter()
        .filter_map(|place| points.get(place).copied())
        .collect()
}

#[cfg(test)]
mod tests {
    use super::{Point, thinned};

    fn wave(count: u32) -> Vec<Point> {
        let at = (0..count).map(|place| {
            let x = f64::from(place);
            let spike = if place % 997 == 5 { 9.0 } else { 0.0 };
            Point {
                x,
                y: (x * 0.37).sin() + (x * 0.011).cos() + spike,
            }
        });
        at.collect()
    }

    #[test]
    fn each_column_keeps_its_first_least_largest_and_last_in_order() {
        let points = wave(100_000);
        let kept = thinned(&points, 0.0, 100_000.0, 250);
        assert!(kept.len() <= 1000 && kept.len() > 700);
        assert!(kept.windows(2).all(|pair| pair[0].x < pair[1].x));
        for column in points.chunks(400) {
            let own: Vec<&Point> = kept.iter().filter(|at| column.contains(at)).collect();
            let height = |at: &&Point| at.y;
            let least = |heights: Vec<f64>| heights.into_iter().fold(f64::INFINITY, f64::min);
            let most = |heights: Vec<f64>| heights.into_iter().fold(-9.0, f64::max);
            let of_all: Vec<f64> = column.iter().map(|at| at.y).collect();
            let of_kept: Vec<f64> = own.iter().map(height).collect();
            assert_eq!(
                least(of_kept.clone()).to_bits(),
                least(of_all.clone()).to_bits()
            );
            assert_eq!(most(of_kept).to_bits(), most(of_all).to_bits());
            assert_eq!(own.first().copied(), column.first());
            assert_eq!(own.last().copied(), column.last());
        }
    }

    #[test]
    fn few_points_all_stay_and_what_cannot_be_shown_is_left_out() {
        let points = wave(40);
        assert_eq!(thinned(&points, 0.0, 39.0, 10), points);
        assert_eq!(thinned(&points, 10.0, 19.0, 100), points[10..20]);
        let mut holes = wave(4000);
        holes[7].y = f64::NAN;
        holes[9].y = f64::INFINITY;
        let kept = thinned(&holes, 0.0, 4000.0, 10);
        assert!(kept.iter().all(|at| at.y.is_finite()) && kept.len() <= 40);
        assert!(thinned(&[], 0.0, 1.0, 10).is_empty());
    }
}
