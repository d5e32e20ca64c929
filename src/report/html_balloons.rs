//! Where numbered balloons stand beside a drawn part: in the order of what they point at, as near
//! to it as they can, and never on one another. Whole hundredths of a millimetre on paper.

/// Radius of a balloon.
pub(super) const RADIUS: i64 = 300;
/// Least distance between the middles of two balloons.
pub(super) const PITCH: i64 = 2 * RADIUS + 80;
/// Columns beside one side of a part; what comes after them is listed in words.
pub(super) const COLUMNS_MAX: usize = 200;

/// Where a column of balloons stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Stand {
    /// Middle of the column.
    pub(super) x: i64,
    /// Row of columns, 0 the nearest to the part.
    pub(super) tier: usize,
}

/// Places a column for each anchor between `left` and `right`; anchors are in ascending order, and
/// the columns keep it, so that leaders do not cross. Where one row is too short, several rows
/// share the columns in turn, and the leaders of the far rows pass between the near ones.
pub(super) fn stands(anchors: &[i64], left: i64, right: i64) -> Vec<Stand> {
    let gaps = i64::try_from(anchors.len()).unwrap_or(0).saturating_sub(1);
    let room = (right - left).max(0);
    // Rounded up: columns of one row are a whole pitch apart.
    let step_of = |tiers: i64| (PITCH + tiers - 1) / tiers;
    let mut tiers = 1;
    while gaps * step_of(tiers) > room && tiers < PITCH {
        tiers += 1;
    }
    let step = step_of(tiers);
    let last_first = (right - gaps * step).max(left);
    let wanted = anchors
        .iter()
        .zip(0..)
        .map(|(anchor, at)| anchor - at * step);
    let settled = in_order(wanted);
    let placed = settled.into_iter().zip(0..).map(|(first, at)| Stand {
        x: first.clamp(left, last_first) + at * step,
        tier: usize::try_from(at % tiers).unwrap_or(0),
    });
    placed.collect()
}

/// The never falling values that are nearest to the wanted ones (least squares, by pooling
/// neighbours that are in the wrong order).
fn in_order(wanted: impl Iterator<Item = i64>) -> Vec<i64> {
    // Sum and count of each pool.
    let mut pools: Vec<(i64, i64)> = Vec::new();
    for one in wanted {
        let mut pool = (one, 1);
        while let Some(&(sum, count)) = pools.last() {
            if sum * pool.1 <= pool.0 * count {
                break;
            }
            pools.pop();
            pool = (pool.0 + sum, pool.1 + count);
        }
        pools.push(pool);
    }
    let spread = pools.into_iter().flat_map(|(sum, count)| {
        let each = sum.div_euclid(count);
        (0..count).map(move |_| each)
    });
    spread.collect()
}

/// A dimension and what stands on it, from left to right.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Span {
    /// Left end of the line with what stands beside it.
    pub(super) from: i64,
    /// Right end.
    pub(super) to: i64,
}

/// The lane for each span, 0 the nearest to the part: the first where nothing is in the way.
pub(super) fn lanes(spans: &[Span], gap: i64) -> Vec<usize> {
    let mut lanes: Vec<Vec<Span>> = Vec::new();
    let mut chosen = Vec::with_capacity(spans.len());
    for span in spans {
        let is_free = |lane: &Vec<Span>| {
            let mut others = lane.iter();
            others.all(|other| span.to + gap <= other.from || other.to + gap <= span.from)
        };
        let lane = lanes.iter().position(is_free).unwrap_or(lanes.len());
        match lanes.get_mut(lane) {
            Some(taken) => taken.push(*span),
            None => lanes.push(vec![*span]),
        }
        chosen.push(lane);
    }
    chosen
}
