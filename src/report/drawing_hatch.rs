//! Hatching as lines, so that every painter draws the same and none needs patterns.

use super::drawing::{Extent, Place, at};

/// From line to line in a box, pixels.
const SPACING: f64 = 6.0;
/// From line to line in a band, which has points and lines upon it.
const BAND_SPACING: f64 = 10.0;

/// Diagonal lines in a box; those of neighbouring boxes meet.
pub(super) fn hatched_box(place: Extent) -> Vec<Vec<Place>> {
    let mut lines = Vec::new();
    let first = ((place.left + place.top) / SPACING).ceil() * SPACING;
    let mut sum = first;
    while sum < place.right + place.bottom {
        let left = place.left.max(sum - place.bottom);
        let right = place.right.min(sum - place.top);
        if right > left {
            lines.push(vec![at(left, sum - left), at(right, sum - right)]);
        }
        sum += SPACING;
    }
    lines
}

/// Upright lines between two lines that go from left to right.
pub(super) fn hatched_band(lower: &[Place], upper: &[Place]) -> Vec<Vec<Place>> {
    let (Some(first), Some(last)) = (lower.first(), lower.last()) else {
        return Vec::new();
    };
    let mut lines = Vec::new();
    let mut x = (first.x / BAND_SPACING).ceil() * BAND_SPACING;
    while x <= last.x {
        if let (Some(low), Some(high)) = (height(lower, x), height(upper, x)) {
            lines.push(vec![at(x, low), at(x, high)]);
        }
        x += BAND_SPACING;
    }
    lines
}

/// How far down a line is at a place.
fn height(line: &[Place], x: f64) -> Option<f64> {
    let pair = line
        .windows(2)
        .find(|pair| pair[0].x <= x && x <= pair[1].x)?;
    let (from, to) = (pair[0], pair[1]);
    let width = to.x - from.x;
    if width <= 0.0 {
        return Some(from.y);
    }
    Some(from.y + (to.y - from.y) * (x - from.x) / width)
}

#[cfg(test)]
mod tests {
    use super::{Extent, at, hatched_band, hatched_box};

    #[test]
    fn hatching_stays_in_its_box_and_covers_it() {
        let place = Extent {
            left: 10.0,
            top: 20.0,
            right: 31.0,
            bottom: 60.0,
        };
        let lines = hatched_box(place);
        // From corner to corner the sum of both ways is 61: a line every 6.
        assert_eq!(lines.len(), 10);
        for end in lines.iter().flatten() {
            assert!((10.0..=31.0).contains(&end.x) && (20.0..=60.0).contains(&end.y));
        }
        let flat = Extent {
            bottom: 20.0,
            ..place
        };
        assert!(hatched_box(flat).is_empty());
    }

    #[test]
    fn a_band_is_hatched_from_its_lower_to_its_upper_line() {
        let lower = [at(0.0, 40.0), at(60.0, 52.0)];
        let upper = [at(0.0, 10.0), at(60.0, 10.0)];
        let lines = hatched_band(&lower, &upper);
        assert_eq!(lines.len(), 7);
        assert_eq!(lines[3], vec![at(30.0, 46.0), at(30.0, 10.0)]);
        assert!(hatched_band(&[], &[]).is_empty());
    }
}
