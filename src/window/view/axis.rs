//! One axis for bar and chart: to scale around the limits, compressed far from them, so that any
//! value has a place and no two change their order.

/// Sizes (or angles) in smallest steps along 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Axis {
    /// A size, and where it stands.
    at: (f64, f64),
    /// Fractions a step.
    scale: f64,
    /// To scale from here.
    from: f64,
    /// To scale until here.
    until: f64,
    /// 1: larger to the right; -1: smaller to the right.
    sign: i64,
}

/// Where limits stand on an axis, and which part of it is to scale.
#[derive(Debug, Clone, Copy)]
pub(super) struct Layout {
    /// The left limit.
    pub(super) left: f64,
    /// The right limit.
    pub(super) right: f64,
    /// To scale from here.
    pub(super) from: f64,
    /// To scale until here.
    pub(super) until: f64,
}

/// A limit alone gives no width: then this share of it counts as one (chosen), at least ten steps.
const WIDTH_SHARE: i64 = 1_000;
const WIDTH_MIN: i64 = 10;

impl Axis {
    /// The axis on which these limits stand as the layout says; `doubt` is how far beyond a limit
    /// doubt reaches, for the width of limits that have none. None without a limit.
    pub(super) fn of(
        lower: Option<i64>,
        upper: Option<i64>,
        sign: i64,
        doubt: i64,
        layout: Layout,
    ) -> Option<Self> {
        let known = lower.zip(upper).map(|(lower, upper)| upper - lower);
        let any = lower.or(upper)?;
        let substitute = (doubt * 6).max((any / WIDTH_SHARE).abs()).max(WIDTH_MIN);
        let width = known.filter(|width| *width > 0).unwrap_or(substitute);
        let (left, right) = if sign > 0 {
            (lower, upper)
        } else {
            (upper, lower)
        };
        let at = match (left, right) {
            (Some(left), _) => (steps(left * sign), layout.left),
            (None, Some(right)) => (steps(right * sign), layout.right),
            (None, None) => return None,
        };
        Some(Self {
            at,
            scale: (layout.right - layout.left) / steps(width),
            from: layout.from,
            until: layout.until,
            sign,
        })
    }

    /// Where a value stands, above 0 and below 1, and whether that is no longer to scale.
    pub(super) fn place(&self, units: i64) -> (f64, bool) {
        let (size, at) = self.at;
        let straight = at + (steps(units * self.sign) - size) * self.scale;
        let (over, under) = (straight - self.until, self.from - straight);
        if over > 0.0 {
            (self.until + compressed(over, 1.0 - self.until), true)
        } else if under > 0.0 {
            (self.from - compressed(under, self.from), true)
        } else {
            (straight, false)
        }
    }

    /// The same for the screen.
    pub(super) fn fraction(&self, units: i64) -> f32 {
        fraction(self.place(units).0)
    }
}

/// Any distance within `room`: begins to scale and never comes to the end.
fn compressed(distance: f64, room: f64) -> f64 {
    room * distance / (distance + room)
}

/// Smallest steps as a float: exact within the range of lengths and angles.
fn steps(units: i64) -> f64 {
    crate::quantity::Length::from_nm(units).as_nm_f64()
}

/// A place for the screen; a pixel is far more than what is lost.
#[allow(clippy::cast_possible_truncation)]
pub(super) fn fraction(place: f64) -> f32 {
    place as f32
}
