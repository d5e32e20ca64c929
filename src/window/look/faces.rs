//! The faces: B612 Regular and Bold, made for reading instruments at a glance.
//!
//! Their digits have equal advances, so figures stand in columns. They have no `⌀`, `▲` and `✗`:
//! these are drawn as shapes. Behind them stand egui's own faces, for names in other scripts.

use std::sync::Arc;

use eframe::egui::{Context, FontData, FontDefinitions, FontFamily};

/// Name of the regular family.
pub const REGULAR: FontFamily = FontFamily::Proportional;
/// Name of the bold family, as [`FontFamily::Name`]; see [`bold`].
pub const BOLD: &str = "bold";

const REGULAR_FILE: &[u8] = include_bytes!("../../report/faces/B612-Regular.otf");
const BOLD_FILE: &[u8] = include_bytes!("../../report/faces/B612-Bold.otf");

/// Name of the family whose letters are all equally wide.
const FIXED: &str = "fixed";

/// The family whose letters are all equally wide, for texts in columns.
pub fn fixed() -> FontFamily {
    FontFamily::Name(FIXED.into())
}

/// The bold family.
pub fn bold() -> FontFamily {
    FontFamily::Name(BOLD.into())
}

/// Puts the faces into the context, with fallbacks behind them.
pub fn install_faces(context: &Context) {
    let mut fonts = FontDefinitions::default();
    let faces = [("B612", REGULAR_FILE), ("B612 Bold", BOLD_FILE)];
    for (name, file) in faces {
        let data = Arc::new(FontData::from_static(file));
        fonts.font_data.insert(name.to_owned(), data);
    }
    let equal = fonts.families.get(&FontFamily::Monospace).cloned();
    fonts.families.insert(fixed(), equal.unwrap_or_default());
    let behind = fonts.families.get(&REGULAR).cloned().unwrap_or_default();
    for (family, name) in [
        (REGULAR, "B612"),
        (FontFamily::Monospace, "B612"),
        (bold(), "B612 Bold"),
    ] {
        let mut chain = vec![name.to_owned()];
        let after = fonts.families.get(&family).unwrap_or(&behind);
        chain.extend(after.iter().cloned());
        fonts.families.insert(family, chain);
    }
    context.set_fonts(fonts);
}
