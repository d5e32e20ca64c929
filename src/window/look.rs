//! How it looks: colours and measures of each theme, faces, patterns. No decoration that is not
//! data: square corners, hairlines, no shadow, no gradient.

mod faces;
mod figures;
mod icon;
mod pattern;
mod sizes;
mod text;
mod tokens;

pub use faces::{BOLD, REGULAR, bold, fixed, install_faces};
pub use figures::{figures, figures_size};
pub use icon::{icon, icon_svg};
pub use pattern::{Pattern, paint_mark, paint_mark_on, paint_pattern, pattern_of};
pub use sizes::{
    ACTION_MINUTES, DIGIT_OVER_SIZE, Distance, LEAST_MINUTES, MATCH_BAR_MM, POINTS_PER_MM_USUAL,
    Sizes, VALUE_MINUTES, digit_height_mm,
};
pub use text::{Fitted, fitted_text, spoken, text_width, wrapped_text};
pub use tokens::{Theme, Tokens};

/// Colours and sizes together, as the painting functions take them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Look {
    /// Colours.
    pub tokens: Tokens,
    /// Sizes.
    pub sizes: Sizes,
}

impl Look {
    /// The look of a theme at a size.
    pub fn new(theme: Theme, sizes: Sizes) -> Self {
        Self {
            tokens: Tokens::of(theme),
            sizes,
        }
    }
}
