//! How it looks: colours and measures of each theme, faces, patterns. No decoration that is not
//! data: square corners, hairlines, no shadow, no gradient.

mod faces;
mod pattern;
mod sizes;
mod text;
mod tokens;

pub use faces::{BOLD, REGULAR, install_faces};
pub use pattern::{Pattern, paint_mark, paint_pattern, pattern_of};
pub use sizes::{Distance, Sizes};
pub use text::{Fitted, fitted_text, spoken};
pub use tokens::{Theme, Tokens};

/// Colours and sizes together, as the painting functions take them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Look {
    /// Colours.
    pub tokens: Tokens,
    /// Sizes.
    pub sizes: Sizes,
}
