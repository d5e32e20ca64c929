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
