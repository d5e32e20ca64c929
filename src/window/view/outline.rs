//! The part as its plan describes it, for drawing: half section, states, the current feature.

use super::Mark;

/// The drawn part, in millimetres; x along the axis from the left, y the radius.
#[derive(Debug, Clone, PartialEq)]
pub struct OutlineView {
    /// Left end.
    pub left: f32,
    /// Right end.
    pub right: f32,
    /// Largest radius.
    pub radius: f32,
    /// What to draw, outside first, then bores.
    pub shapes: Vec<OutlineShape>,
    /// The part in words.
    pub spoken: String,
}

/// One feature: a cylinder of the outside or a bore.
#[derive(Debug, Clone, PartialEq)]
pub struct OutlineShape {
    /// Its first characteristic in measuring order, to choose it; none for plain metal.
    pub target: Option<usize>,
    /// `A`; empty for plain metal between features.
    pub id: String,
    /// What stands in its balloon: the numbers of its characteristics in measuring order, `1`,
    /// `3-5`; as empty as the name.
    pub balloon: String,
    /// From here.
    pub from: f32,
    /// To here.
    pub to: f32,
    /// Radius at `from`.
    pub radius_from: f32,
    /// Radius at `to`; the same unless it is a taper.
    pub radius_to: f32,
    /// The radius of a thread's root, a thin line: outside below the surface, inside in the metal
    /// around the bore.
    pub thread_root: Option<f32>,
    /// A bore, drawn as a void in the section.
    pub is_bore: bool,
    /// A length over shoulders: drawn as a dimension line, not as metal.
    pub is_length: bool,
    /// Its state.
    pub mark: Mark,
    /// The current one: it has a leader and this callout.
    pub leader: Option<String>,
}
