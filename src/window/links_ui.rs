//! Paints the two rows of a batch: all of them along the axis of sizes, below them those that are
//! read, a hole above its shaft, with the clearance on the link between them.
//!
//! A link inside the range is a whole line, one in doubt is dotted, one outside is dashed; each has
//! its mark and its word beside its colour.

use eframe::egui::{
    Align2, Color32, Pos2, Rangef, Rect, Shape, Stroke, StrokeKind, Ui, pos2, vec2,
};

use super::drawn::PageDrawn;
use super::line_ui::{
    Line, along, cut_bottom, cut_left, cut_right, cut_right_most, cut_top, has_area, inset, name_ui,
};
use super::lines_ui::{sentences_size, sentences_ui};
use super::links_list_ui::{list_ui, mates_ui};
use super::look::{Look, REGULAR, paint_mark, text_width};
use super::press::Press;
use super::records_sheet_ui::progress_ui;
use super::room_ui::STEP;
use super::view::{ColumnView, LinkMark, LinkRowsView, LinksPageView, LinksView, Mark};

const TITLE: f32 = 26.0;
const NAME: f32 = 15.0;
const SMALL: f32 = 12.0;
const READING: f32 = 20.0;
/// What stands left of the rows.
const LABEL: f32 = 60.0;
/// The rows to scale, where there is room; below them their ends.
const OVERVIEW: f32 = 72.0;
const ENDS: f32 = 15.0;
/// Of it each row.
const TICK: f32 = 9.0;
/// A place that is read is at least that wide, and never wider.
const COLUMN: (f32, f32) = (60.0, 112.0);
/// Size and name of a part.
const PART: f32 = 36.0;
/// From a hole to its shaft.
const LINK: f32 = 74.0;
/// The sentences have at least this much.
const LINES_MIN: f32 = 60.0;
/// In a window of this height everything is as large as said above; in larger ones larger.
const USUAL: f32 = 400.0;
const ZOOM_MAX: f32 = 1.5;
/// Above the holes and below the shafts, for the bar over those that are read.
const SEEN: f32 = 6.0;

/// Paints the page that is open.
pub(super) fn links_ui(
    ui: &mut Ui,
    place: Rect,
    view: &LinksView,
    look: &Look,
    presses: &mut Vec<Press>,
) -> PageDrawn {
    if !has_area(place) {
        return PageDrawn::default();
    }
    let mut rest = place;
    head_ui(ui, &mut rest, view, look);
    let fit = match &view.page {
        LinksPageView::Nothing => 0,
        LinksPageView::Rows(rows) => rows_ui(ui, &mut rest, rows, look),
        LinksPageView::List(lines) => return list_ui(ui, rest, (lines, &view.lines), look),
        LinksPageView::Mates(before, mates) => {
            return mates_ui(ui, rest, (*before, mates), look, presses);
        }
    };
    let size = match fit {
        0 => SMALL + 2.0,
        _ => sentences_size(ui, &view.lines, rest, look),
    };
    let said = sentences_ui(ui, rest, "links", (&view.lines, view.skipped, size), look);
    PageDrawn { fit, ..said }
}

fn head_ui(ui: &mut Ui, rest: &mut Rect, view: &LinksView, look: &Look) {
    let tokens = &look.tokens;
    let mut top = cut_top(rest, TITLE.min(rest.height() / 4.0));
    for (id, text) in [
        ("links place", &view.place),
        ("links objective", &view.objective),
    ] {
        if text.is_empty() {
            continue;
        }
        let wide = text_width(ui.painter(), text, SMALL, REGULAR);
        let place = cut_right_most(&mut top, wide, 0.4);
        let line = Line::regular(SMALL, tokens.text).at(Align2::RIGHT_CENTER);
        line.say(ui, place, id, text);
        cut_right(&mut top, 1.5 * STEP);
    }
    Line::bold(NAME, tokens.text).say(ui, top, "links title", &view.title);
    let Some(reading) = &view.reading else { return };
    let mut line = cut_top(rest, READING.min(rest.height() / 4.0));
    let wide = text_width(ui.painter(), &reading.text, SMALL, REGULAR);
    let text = cut_right_most(&mut line, wide, 0.5);
    Line::regular(SMALL, tokens.text).say(ui, text, "links reading", &reading.text);
    cut_right(&mut line, STEP);
    let bar = line.shrink2(vec2(0.0, (line.height() / 3.0).min(6.0)));
    progress_ui(ui, bar, reading.share, look);
}

/// Both rows; answers how many places of them were read.
fn rows_ui(ui: &mut Ui, rest: &mut Rect, view: &LinkRowsView, look: &Look) -> usize {
    ui.painter()
        .rect_filled(rest.expand(2.0), 0.0, look.tokens.panel);
    let zoom = (rest.height() / USUAL).clamp(1.0, ZOOM_MAX);
    let columns = (2.0 * PART + LINK) * zoom;
    let room = rest.height() - LINES_MIN;
    let wide = rest.width() - LABEL * zoom;
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // a few dozen
    let fit = (wide / (COLUMN.0 * zoom)).floor().max(1.0) as usize;
    let fit = fit.min(view.columns.len());
    let overview = OVERVIEW * zoom + ENDS;
    if room >= columns + overview + STEP {
        let overview = cut_top(rest, overview);
        overview_ui(ui, overview, (view, fit, zoom), look);
        cut_top(rest, STEP / 2.0);
    }
    let place = cut_top(rest, columns.min(rest.height()));
    cut_top(rest, STEP / 2.0);
    columns_ui(ui, place, (view, fit, zoom), look);
    fit
}

/// All parts to scale: holes above, shafts below, a line for each link; those that are read below
/// are marked.
fn overview_ui(
    ui: &mut Ui,
    place: Rect,
    (view, fit, zoom): (&LinkRowsView, usize, f32),
    look: &Look,
) {
    if !has_area(place) {
        return;
    }
    let (tokens, all) = (&look.tokens, &view.overview);
    name_ui(ui, place, "links overview", &all.spoken, false);
    let mut rest = place;
    let mut ends = cut_bottom(&mut rest, ENDS);
    let mut labels = cut_left(&mut rest, LABEL * zoom);
    cut_left(&mut ends, LABEL * zoom);
    let text = Line::regular(SMALL - 1.0, tokens.text);
    let half = labels.height() / 2.0;
    text.paint(ui, cut_top(&mut labels, half), "holes");
    text.paint(ui, labels, "shafts");
    let axis = inset(rest, 2.0).x_range();
    let upper = Rangef::new(rest.top() + SEEN, rest.top() + SEEN + TICK);
    let lower = Rangef::new(rest.bottom() - SEEN - TICK, rest.bottom() - SEEN);
    let painter = ui.painter_at(rest);
    for (hole, shaft, mark) in &all.links {
        let from = pos2(along(axis, *hole), upper.max);
        let to = pos2(along(axis, *shaft), lower.min);
        painter.extend(link_shapes([from, to], *mark, 1.0, tokens.muted, look));
    }
    let tick = Stroke::new(1.0, tokens.text);
    for (row, parts) in [(upper, &all.holes), (lower, &all.shafts)] {
        for part in parts {
            painter.vline(along(axis, *part), row, tick);
        }
    }
    if fit < view.count {
        let read = || all.columns.iter().take(fit);
        let (above, below) = (upper.min - SEEN / 2.0, lower.max + SEEN / 2.0);
        seen_ui(ui, (axis, above), read().filter_map(|one| one.0), look);
        seen_ui(ui, (axis, below), read().filter_map(|one| one.1), look);
        let (first, last) = (view.before + 1, view.before + fit);
        let said = format!("read below: {first} to {last} of {}", view.count);
        let line = Line::regular(SMALL - 1.0, tokens.text).at(Align2::CENTER_CENTER);
        let wide = text_width(ui.painter(), &said, SMALL, REGULAR) + STEP;
        let middle = Rect::from_center_size(ends.center(), vec2(wide, ends.height()));
        if wide < ends.width() * 0.5 {
            line.say(ui, middle, "links seen", &said);
        }
    }
    let quarter = ends.width() * 0.24;
    let left = cut_left(&mut ends, quarter);
    let right = cut_right(&mut ends, quarter);
    text.clone().paint(ui, left, &all.ends.0);
    let unit = format!("{} mm", all.ends.1);
    text.at(Align2::RIGHT_CENTER).paint(ui, right, &unit);
}

/// A bar from the first to the last part that is read below.
fn seen_ui(ui: &Ui, (axis, y): (Rangef, f32), parts: impl Iterator<Item = f32>, look: &Look) {
    let ends = parts.fold(None, |ends: Option<(f32, f32)>, part| match ends {
        None => Some((part, part)),
        Some((from, to)) => Some((from.min(part), to.max(part))),
    });
    if let Some((from, to)) = ends {
        let (left, right) = (along(axis, from) - 2.0, along(axis, to) + 2.0);
        let bar = Rect::from_x_y_ranges(Rangef::new(left, right), Rangef::new(y - 1.5, y + 1.5));
        ui.painter().rect_filled(bar, 0.0, look.tokens.text);
    }
}

/// A link: whole, dotted, or dashed; always a few shapes, however long it is. A whole one is the
/// usual one, and may be fainter.
fn link_shapes(
    path: [Pos2; 2],
    mark: LinkMark,
    wide: f32,
    usual: Color32,
    look: &Look,
) -> Vec<Shape> {
    let ink = look.tokens.text;
    let length = path[0].distance(path[1]).max(1.0);
    match mark {
        LinkMark::Inside => vec![Shape::line_segment(path, Stroke::new(wide, usual))],
        LinkMark::Doubt => Shape::dotted_line(&path, ink, (length / 40.0).max(4.0), 1.2 * wide),
        LinkMark::Outside => {
            let dash = (length / 25.0).max(4.0);
            Shape::dashed_line(&path, Stroke::new(2.0 * wide, ink), dash, dash)
        }
        LinkMark::Left => Vec::new(),
    }
}

fn columns_ui(
    ui: &mut Ui,
    place: Rect,
    (view, fit, zoom): (&LinkRowsView, usize, f32),
    look: &Look,
) {
    if !has_area(place) || fit == 0 {
        return;
    }
    let mut rest = place;
    let mut labels = cut_left(&mut rest, LABEL * zoom);
    let text = Line::bold(SMALL * zoom, look.tokens.text);
    let part = PART * zoom;
    let (holes, shafts) = (cut_top(&mut labels, part), cut_bottom(&mut labels, part));
    text.paint(ui, holes, "hole");
    text.paint(ui, shafts, "shaft");
    let text = Line::regular((SMALL - 1.0) * zoom, look.tokens.muted).on(2);
    text.paint(ui, labels, "clearance, mm");
    let wide = (rest.width() / fit as f32).min(COLUMN.1 * zoom);
    for (at, column) in view.columns.iter().take(fit).enumerate() {
        let place = cut_left(&mut rest, wide);
        column_ui(ui, place, (view.before + at, column, zoom), look);
    }
}

fn column_ui(ui: &mut Ui, place: Rect, (at, view, zoom): (usize, &ColumnView, f32), look: &Look) {
    if !has_area(place) {
        return;
    }
    name_ui(ui, place, &format!("link {at}"), &view.spoken, false);
    let mut rest = place.shrink2(vec2(1.5, 0.0));
    let hole = cut_top(&mut rest, PART * zoom);
    let shaft = cut_bottom(&mut rest, PART * zoom);
    part_ui(ui, hole, (view.hole.as_ref(), zoom), look);
    part_ui(ui, shaft, (view.shaft.as_ref(), zoom), look);
    let middle = rest.center().x;
    let (text, sign) = ((SMALL + 3.0) * zoom, 14.0 * zoom);
    let high = (2.0 * text + sign).min(rest.height());
    let ink = look.tokens.text;
    let mut words = Rect::from_center_size(rest.center(), vec2(rest.width(), high));
    let line = |from: f32, to: f32| [pos2(middle, from), pos2(middle, to)];
    let painter = ui.painter_at(rest);
    for path in [
        line(rest.top(), words.top() - 1.0),
        line(words.bottom() + 1.0, rest.bottom()),
    ] {
        painter.extend(link_shapes(path, view.mark, 2.0, ink, look));
    }
    let place = cut_top(&mut words, sign);
    if let Some(mark) = sign_of(view.mark) {
        let side = sign - 2.0;
        let square = Rect::from_center_size(place.center(), vec2(side, side));
        paint_mark(ui.painter(), square, mark, look);
    }
    let small = (SMALL - 1.0) * zoom;
    let centred = |size: f32| Line::regular(size, ink).at(Align2::CENTER_CENTER);
    if view.clearance.is_empty() {
        centred(small).on(2).paint(ui, words, &view.word);
        return;
    }
    let gap = cut_top(&mut words, text);
    let bold = Line::bold(SMALL * zoom, ink).at(Align2::CENTER_CENTER);
    bold.paint(ui, gap, &view.clearance);
    centred(small).paint(ui, words, &view.word);
}

/// The mark beside the word.
pub(super) fn sign_of(mark: LinkMark) -> Option<Mark> {
    match mark {
        LinkMark::Inside => Some(Mark::Go),
        LinkMark::Doubt => Some(Mark::Doubt),
        LinkMark::Outside => Some(Mark::NoGo),
        LinkMark::Left => None,
    }
}

/// A part in its row; where there is none, an empty place with a dashed edge.
fn part_ui(ui: &mut Ui, place: Rect, (part, zoom): (Option<&(String, String)>, f32), look: &Look) {
    if !has_area(place) {
        return;
    }
    let tokens = &look.tokens;
    let Some((size, name)) = part else {
        let edge = place.shrink(2.0);
        let corners = [
            edge.left_top(),
            edge.right_top(),
            edge.right_bottom(),
            edge.left_bottom(),
            edge.left_top(),
        ];
        let stroke = Stroke::new(1.0, tokens.muted);
        ui.painter_at(place)
            .extend(Shape::dashed_line(&corners, stroke, 3.0, 3.0));
        return;
    };
    ui.painter().rect_filled(place, 0.0, tokens.ground);
    let edge = Stroke::new(tokens.hairline, tokens.line);
    ui.painter()
        .rect_stroke(place, 0.0, edge, StrokeKind::Inside);
    let mut rest = place.shrink2(vec2(2.0, 2.0));
    let half = rest.height() / 2.0;
    let top = cut_top(&mut rest, half);
    let middle = Align2::CENTER_CENTER;
    let line = Line::bold(SMALL * zoom, tokens.text).at(middle);
    line.paint(ui, top, name);
    let line = Line::regular(SMALL * zoom, tokens.text).at(middle);
    line.paint(ui, rest, size);
}
