//! The colours of each theme, all of them here.
//!
//! States are fills with black text on them, never small coloured text. Their palette is that of
//! Okabe and Ito (2002, 2008), which is told apart without red-green vision. Black on its green
//! and vermillion stays below 7:1, which a verdict asks for: verdict word and value stand on a
//! plate of the same hue, lit until black reaches it, framed by the palette's colour and pattern.

use eframe::egui::Color32;

use crate::report::Tone;
use crate::window::view::Mark;

/// Light and contrast of the window.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Theme {
    /// Dark ground.
    #[default]
    Night,
    /// Light ground.
    Day,
    /// Black on white with heavy lines, for sunlight.
    HighContrast,
}

/// The colours of a theme.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tokens {
    /// Behind everything.
    pub ground: Color32,
    /// Behind a group.
    pub panel: Color32,
    /// Hairlines.
    pub line: Color32,
    /// Text.
    pub text: Color32,
    /// Text that may be overlooked.
    pub muted: Color32,
    /// Behind the chosen row; its text has the colour of the ground.
    pub chosen: Color32,
    /// Text on a state's fill.
    pub on_fill: Color32,
    /// GO.
    pub go: Color32,
    /// NO-GO, metal gone, NOT RECORDED.
    pub no_go: Color32,
    /// CUTTING, metal on.
    pub cutting: Color32,
    /// DOUBT, guard zones.
    pub doubt: Color32,
    /// The plate under a verdict has the state's lit colour; else that of a panel.
    pub is_lit: bool,
    /// Marks whose fill is too faint for the ground have an edge.
    pub has_edges: bool,
    /// Width of hairlines, points.
    pub hairline: f32,
    /// Lines behind a chart.
    pub grid: Color32,
    /// Bars of a chart.
    pub bars: Color32,
    /// Beyond a limit of size on a chart, where a cross or a hatch says so too.
    pub beyond: Color32,
    /// Control limits and signals, dashed and boxed.
    pub signal: Color32,
    /// What was fitted and predicted.
    pub fitted: Color32,
}

/// The four state colours lit by about a tenth: their hues, and what sets them apart, stay.
const GO_LIT: Color32 = Color32::from_rgb(0x00, 0xB4, 0x82);
const NO_GO_LIT: Color32 = Color32::from_rgb(0xF8, 0x6C, 0x00);
const CUTTING_LIT: Color32 = Color32::from_rgb(0xFF, 0xB8, 0x14);
const DOUBT_LIT: Color32 = Color32::from_rgb(0x6C, 0xCA, 0xFF);
const GO: Color32 = Color32::from_rgb(0x00, 0x9E, 0x73);
const NO_GO: Color32 = Color32::from_rgb(0xD5, 0x5E, 0x00);
const CUTTING: Color32 = Color32::from_rgb(0xE6, 0x9F, 0x00);
const DOUBT: Color32 = Color32::from_rgb(0x56, 0xB4, 0xE9);

impl Tokens {
    /// Night.
    pub const NIGHT: Self = Self {
        ground: Color32::from_rgb(0x14, 0x17, 0x1A),
        panel: Color32::from_rgb(0x1D, 0x22, 0x27),
        line: Color32::from_rgb(0x3B, 0x44, 0x4D),
        text: Color32::from_rgb(0xEE, 0xF1, 0xF4),
        muted: Color32::from_rgb(0x9B, 0xA7, 0xB2),
        chosen: Color32::from_rgb(0xEE, 0xF1, 0xF4),
        on_fill: Color32::BLACK,
        go: GO,
        no_go: NO_GO,
        cutting: CUTTING,
        doubt: DOUBT,
        is_lit: true,
        has_edges: false,
        hairline: 1.0,
        grid: Color32::from_rgb(0x2E, 0x35, 0x3C),
        bars: Color32::from_rgb(0x4A, 0x55, 0x60),
        beyond: NO_GO_LIT,
        signal: DOUBT_LIT,
        fitted: GO_LIT,
    };
    /// Day.
    pub const DAY: Self = Self {
        ground: Color32::from_rgb(0xF4, 0xF2, 0xEC),
        panel: Color32::WHITE,
        line: Color32::from_rgb(0xB9, 0xB4, 0xA6),
        text: Color32::from_rgb(0x15, 0x18, 0x1B),
        muted: Color32::from_rgb(0x5B, 0x61, 0x68),
        chosen: Color32::from_rgb(0x15, 0x18, 0x1B),
        grid: Color32::from_rgb(0xE2, 0xDF, 0xD6),
        bars: Color32::from_rgb(0xC9, 0xD0, 0xD6),
        beyond: NO_GO,
        signal: Color32::from_rgb(0x00, 0x72, 0xB2),
        fitted: Color32::from_rgb(0x00, 0x7A, 0x5A),
        has_edges: true,
        ..Self::NIGHT
    };
    /// High contrast.
    pub const HIGH_CONTRAST: Self = Self {
        ground: Color32::WHITE,
        panel: Color32::WHITE,
        line: Color32::BLACK,
        text: Color32::BLACK,
        muted: Color32::BLACK,
        chosen: Color32::BLACK,
        is_lit: false,
        hairline: 2.0,
        ..Self::DAY
    };

    /// The colour of what is drawn on a chart.
    pub fn ink(&self, tone: Tone) -> Color32 {
        match tone {
            Tone::Black => self.text,
            Tone::Muted => self.muted,
            Tone::Faint => self.grid,
            Tone::Filled => self.bars,
            Tone::White => self.panel,
            Tone::Beyond => self.beyond,
            Tone::Signal => self.signal,
            Tone::Fitted => self.fitted,
        }
    }

    /// The ground of a row of a list or of a tab, its text, and its quieter text.
    pub fn row(&self, is_chosen: bool) -> (Color32, Color32, Color32) {
        match is_chosen {
            true => (self.chosen, self.ground, self.ground),
            false => (self.panel, self.text, self.muted),
        }
    }

    /// The colours of a theme.
    pub fn of(theme: Theme) -> Self {
        match theme {
            Theme::Night => Self::NIGHT,
            Theme::Day => Self::DAY,
            Theme::HighContrast => Self::HIGH_CONTRAST,
        }
    }

    /// The fill of a state; none where the ground shows through.
    pub fn fill(&self, mark: Mark) -> Option<Color32> {
        match mark {
            Mark::Open | Mark::Inside | Mark::Noted | Mark::NotSelected => None,
            Mark::Go => Some(self.go),
            Mark::NoGo | Mark::NotRecorded => Some(self.no_go),
            Mark::Doubt | Mark::Held => Some(self.doubt),
            Mark::Cutting => Some(self.cutting),
        }
    }

    /// What a verdict's word and value stand on: at least 7:1 against [`Tokens::on_plate`].
    pub fn plate(&self, mark: Mark) -> Color32 {
        match mark {
            _ if !self.is_lit => self.panel,
            Mark::Open | Mark::Inside | Mark::Noted | Mark::NotSelected => self.panel,
            Mark::Go => GO_LIT,
            Mark::NoGo | Mark::NotRecorded => NO_GO_LIT,
            Mark::Doubt | Mark::Held => DOUBT_LIT,
            Mark::Cutting => CUTTING_LIT,
        }
    }

    /// Text on a verdict's plate.
    pub fn on_plate(&self, mark: Mark) -> Color32 {
        if self.fill(mark).is_some() && self.is_lit {
            self.on_fill
        } else {
            self.text
        }
    }
}

impl Theme {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Night, Self::Day, Self::HighContrast];
}
