//! Where everything of the Bench stands: in a rhythm of 8 points, the least important parts
//! leaving first when there is no room.

use eframe::egui::{Rect, pos2};

use super::line_ui::{cut_bottom, cut_left, cut_top, has_area, inset};

/// The rhythm.
pub(super) const STEP: f32 = 8.0;
/// The left column, however large the window.
const LEFT_COLUMN: f32 = 240.0;
/// A window below this width has no left column.
const TWO_COLUMNS_FROM: f32 = 600.0;
const HEADER: f32 = 36.0;
const OUTLINE: f32 = 128.0;
const MESSAGE: f32 = 26.0;
const SUBJECT: f32 = 28.0;
const POINTS: f32 = 26.0;
const BAR: f32 = 66.0;
const WIRES: f32 = 76.0;
const ACTION: f32 = 36.0;
/// The chart below which nothing is seen, and the one that it gets before anything else grows.
const CHART_LEAST: f32 = 44.0;
const CHART: f32 = 84.0;
/// The verdict's block takes at least this share of the window's height.
const BLOCK_SHARE: f32 = 0.25;

/// What there is to place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Wants {
    pub(super) has_outline: bool,
    pub(super) has_list: bool,
    pub(super) has_points: bool,
    pub(super) has_bar: bool,
    pub(super) has_wires: bool,
    pub(super) has_chart: bool,
    pub(super) has_message: bool,
    /// Height of the journal's line when it cries: it is never left out.
    pub(super) alarm: f32,
    /// Height of the lines at the foot.
    pub(super) foot: f32,
    /// Height of the block at which the value has the size that the distance asks for.
    pub(super) block: f32,
    /// Height of the action at that size.
    pub(super) action: f32,
}

/// Where it stands; what has no area is left out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Places {
    pub(super) header: Rect,
    pub(super) outline: Rect,
    pub(super) list: Rect,
    pub(super) subject: Rect,
    pub(super) block: Rect,
    /// The bar with its pointer and its numbers.
    pub(super) bar: Rect,
    pub(super) points: Rect,
    pub(super) wires: Rect,
    pub(super) action: Rect,
    pub(super) chart: Rect,
    /// All below the block but the action: for a question while the action must be seen.
    pub(super) cover: Rect,
    /// All below the block: for a list of choices.
    pub(super) below: Rect,
    /// The whole column, block and all: for the reasons.
    pub(super) column: Rect,
    pub(super) message: Rect,
    pub(super) alarm: Rect,
    pub(super) foot: Rect,
}

/// Places everything in a window.
pub(super) fn places(window: Rect, wants: Wants) -> Places {
    let mut rest = window;
    let high = window.height();
    let alarm = cut_bottom(&mut rest, wants.alarm.min(high * 0.4));
    let foot = if high >= 300.0 { wants.foot } else { 0.0 };
    let foot = cut_bottom(&mut rest, foot);
    let header = if high >= 260.0 { HEADER } else { 0.0 };
    let header = cut_top(&mut rest, header);
    let message = match wants.has_message && high >= 160.0 {
        true => MESSAGE,
        false => 0.0,
    };
    let message = cut_bottom(&mut rest, message);
    let margin = if high >= 200.0 { STEP } else { 2.0 };
    let mut rest = inset(rest, margin);
    let nothing = Rect::from_min_size(rest.min, eframe::egui::Vec2::ZERO);
    let (mut outline, mut list) = (nothing, nothing);
    let has_left = wants.has_list || wants.has_outline;
    if window.width() >= TWO_COLUMNS_FROM && has_left {
        let mut left = cut_left(&mut rest, LEFT_COLUMN);
        cut_left(&mut rest, 1.5 * STEP);
        if wants.has_outline && left.height() >= 1.6 * OUTLINE {
            let more = ((left.height() - 400.0) * 0.2).clamp(0.0, 56.0);
            outline = cut_top(&mut left, OUTLINE + more);
            cut_top(&mut left, STEP);
        }
        list = left;
    }
    let column = rest;
    let subject = if rest.height() >= 180.0 { SUBJECT } else { 0.0 };
    let subject = cut_top(&mut rest, subject);
    let right = right_column(rest, high, wants);
    Places {
        header,
        outline,
        list,
        subject,
        message,
        alarm,
        foot,
        column,
        ..right
    }
}

/// Height and share of what is left, of the parts below the block.
struct Part {
    height: f32,
    most: f32,
    share: f32,
}

/// Block, bar, points, wires, action, chart from the top down.
fn right_column(column: Rect, window_high: f32, wants: Wants) -> Places {
    let high = column.height();
    let action_least = ACTION.min(high * 0.3);
    let least = (window_high * BLOCK_SHARE)
        .max(104.0)
        .min(high - action_least - 4.0);
    let mut spare = high - least - action_least - STEP;
    let part = |spare: &mut f32, wanted: bool, height: f32, most: f32, share: f32| {
        let fits = wanted && *spare >= height + STEP;
        let height = if fits { height } else { 0.0 };
        if fits {
            *spare -= height + STEP;
        }
        Part {
            height,
            most: if fits { most } else { 0.0 },
            share,
        }
    };
    let bar = part(&mut spare, wants.has_bar, BAR, 132.0, 0.15);
    let points = part(&mut spare, wants.has_points, POINTS, 40.0, 0.04);
    let wires = part(&mut spare, wants.has_wires, WIRES, 150.0, 0.14);
    let chart = (spare - STEP).clamp(CHART_LEAST, CHART);
    let chart = part(&mut spare, wants.has_chart, chart, 260.0, 0.28);
    let spare = spare.max(0.0);
    let grown = |part: &Part| (part.height + spare * part.share).min(part.most);
    let heights = [grown(&bar), grown(&points), grown(&wires), grown(&chart)];
    let action_most = wants.action.max(ACTION * 1.6);
    let action = (action_least + spare * 0.14).min(action_most.max(action_least));
    let below: f32 = heights
        .iter()
        .filter(|one| **one > 0.0)
        .map(|one| one + STEP)
        .sum();
    // What the others do not take is the block's, but not more than its text can use.
    let most = (0.26 * column.width()).max(wants.block).max(least);
    let most = most.min(0.6 * high).max(least);
    let block = (high - below - action - STEP).clamp(0.0, most);
    let [bar, points, wires, chart] = heights;
    stacked(column, [block, bar, points, wires, action, chart])
}

fn stacked(column: Rect, heights: [f32; 6]) -> Places {
    let mut rest = column;
    // The bar has its own air above it, for the pointer.
    let gaps = [STEP / 2.0, STEP, STEP, STEP, STEP, 0.0];
    let mut gaps = gaps.into_iter();
    let strips = heights.map(|height| {
        let strip = cut_top(&mut rest, height);
        let gap = gaps.next().unwrap_or(STEP);
        if has_area(strip) {
            cut_top(&mut rest, gap.min(column.height() * 0.02));
        }
        strip
    });
    let [block, bar, points, wires, action, chart] = strips;
    // A chart takes what is left; without one the rest stays empty.
    let chart = match has_area(chart) {
        true => Rect::from_min_max(chart.min, pos2(chart.right(), column.bottom())),
        false => chart,
    };
    let below = Rect::from_min_max(pos2(column.left(), block.bottom() + STEP), column.max);
    let mut cover = below;
    cut_bottom(&mut cover, action.height() + STEP / 2.0);
    Places {
        header: block,
        outline: block,
        list: block,
        subject: block,
        message: block,
        alarm: block,
        foot: block,
        block,
        bar,
        points,
        wires,
        action,
        chart,
        cover,
        below,
        column,
    }
}
