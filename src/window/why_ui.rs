//! Why the verdict is what it is: limits, corrections, the parts of the uncertainty as bars, the
//! rule, what would settle a doubt. It shrinks to fit; what still does not fit is scrolled, and a
//! line at the foot says that there is more.

use eframe::egui::scroll_area::ScrollBarVisibility;
use eframe::egui::style::ScrollStyle;
use eframe::egui::{
    Align2, CornerRadius, Key, Rect, ScrollArea, Sense, Stroke, StrokeKind, Ui, UiBuilder, pos2,
    vec2,
};

use super::line_ui::{Line, cut_left, cut_top};
use super::look::{Look, REGULAR, bold, fitted_text, paint_mark_on, spoken};
use super::paragraph_ui::{Paragraph, cleaned, runs_height, runs_paint};
use super::press::Press;
use super::verdict_ui::frame_ui;
use super::view::{BudgetBar, WhyLine, WhyView};

const MARGIN: f32 = 8.0;
/// Height of the title, and its share of a large window.
const TITLE: f32 = 32.0;
const TITLE_SHARE: f32 = 0.09;
/// Text sizes, tried from the first; below the last it scrolls.
const SIZES: [f32; 11] = [
    24.0, 22.0, 20.0, 18.0, 17.0, 16.0, 15.0, 14.0, 13.0, 12.0, 11.0,
];
/// Above this size, text gives way to the bars.
const PLAIN: f32 = 14.5;
/// From this width on there are two columns.
const TWO_COLUMNS_FROM: f32 = 860.0;
const BETWEEN_COLUMNS: f32 = 28.0;
/// Height of the line that says there is more, in text sizes.
const SIGN: f32 = 1.6;

/// One row of a column.
enum Row<'a> {
    Heading(&'static str),
    Line(&'a WhyLine),
    Bar(&'a BudgetBar),
    Text(&'a str),
    Remedy(usize, &'a str),
}

/// Paints the reasons into `rect`, the verdict as their title; pressing that closes them.
pub fn why_ui(ui: &mut Ui, rect: Rect, view: &WhyView, look: &Look, presses: &mut Vec<Press>) {
    let rect = rect.intersect(ui.clip_rect());
    if !rect.is_positive() || !rect.is_finite() {
        return;
    }
    ui.painter_at(rect)
        .rect_filled(rect, 0.0, look.tokens.panel);
    let mut inner = rect;
    let title = cut_top(&mut inner, title_height(rect.height()));
    title_ui(ui, title, view, look, presses);
    let margin = MARGIN.min(rect.width() / 10.0).min(inner.height() / 10.0);
    let inner = inner.shrink2(vec2(margin, margin * 0.5));
    let columns = columns(view, inner.width() >= TWO_COLUMNS_FROM);
    let count = if columns.len() > 1 { 2.0 } else { 1.0 };
    // The scroll bar needs its room also while there is none, or the text would jump.
    let width = (inner.width() - 10.0 - BETWEEN_COLUMNS * (count - 1.0)) / count;
    if width <= 1.0 {
        return;
    }
    let height = |ui: &Ui, size: f32| {
        let heights = columns
            .iter()
            .map(|rows| column_height(ui, rows, width, size, look));
        heights.fold(0.0, f32::max)
    };
    let fitting = SIZES.iter().find(|size| {
        let mut all = columns.iter();
        let has_bars = all.all(|rows| bars_are_seen(ui, rows, width, **size, look));
        (has_bars || **size < PLAIN) && height(ui, **size) <= inner.height()
    });
    let size = fitting.copied().unwrap_or(SIZES[SIZES.len() - 1]);
    if !inner.is_positive() {
        return;
    }
    let paint = |ui: &mut Ui, from: Rect| {
        for (at, rows) in columns.iter().enumerate() {
            let shift = if at == 0 {
                0.0
            } else {
                width + BETWEEN_COLUMNS
            };
            let corner = from.min + vec2(shift, 0.0);
            let place = Rect::from_min_size(corner, vec2(width, from.height()));
            column_ui(ui, place, at, rows, size, look);
        }
    };
    if fitting.is_some() {
        paint(ui, inner);
    } else {
        let whole = height(ui, size);
        scrolled_ui(ui, inner, (whole, view.page), size, look, paint);
    }
}

fn columns(view: &WhyView, are_two: bool) -> Vec<Vec<Row<'_>>> {
    let section = |heading, lines: &'_ [WhyLine]| -> Vec<Row<'_>> {
        let heading = (!lines.is_empty()).then_some(Row::Heading(heading));
        heading.into_iter().collect()
    };
    let mut first = section("Limits", &view.limits);
    first.extend(view.limits.iter().map(Row::Line));
    first.extend(section("Corrections", &view.corrections));
    first.extend(view.corrections.iter().map(Row::Line));
    let mut second = Vec::new();
    if !view.budget.is_empty() || !view.total.is_empty() {
        second.push(Row::Heading("Uncertainty"));
    }
    second.extend(view.budget.iter().map(Row::Bar));
    if !view.total.is_empty() {
        second.push(Row::Text(&view.total));
    }
    second.extend(section("Rule", &view.rule));
    second.extend(view.rule.iter().map(Row::Line));
    if !view.remedies.is_empty() {
        second.push(Row::Heading("What would settle it"));
    }
    let remedies = view.remedies.iter().enumerate();
    second.extend(remedies.map(|(at, text)| Row::Remedy(at + 1, text)));
    if are_two {
        return vec![first, second];
    }
    first.extend(second);
    vec![first]
}

fn title_height(high: f32) -> f32 {
    let title = (high * TITLE_SHARE).clamp(TITLE, 2.0 * TITLE);
    title.min(high * 0.25)
}

/// The title stands on a plate of its state, as the verdict does.
fn title_ui(ui: &mut Ui, rect: Rect, view: &WhyView, look: &Look, presses: &mut Vec<Press>) {
    if !rect.is_positive() {
        return;
    }
    let response = spoken(ui, rect, "why", &cleaned(&view.title), true);
    if response.clicked() {
        presses.push(Press::Verdict);
    }
    let mut rest = frame_ui(ui, rect, view.mark, look);
    let ink = look.tokens.on_plate(view.mark);
    let side = rest.height() * 0.5;
    if rest.width() >= 6.0 * side {
        cut_left(&mut rest, MARGIN);
        let mark = cut_left(&mut rest, side);
        let mark = Rect::from_center_size(mark.center(), vec2(side, side));
        paint_mark_on(&ui.painter_at(rect), mark, view.mark, look, ink);
        cut_left(&mut rest, MARGIN);
    }
    let line = Line::bold(rest.height() * 0.62, ink);
    line.paint(ui, rest, &view.title);
}

/// Whether the keys have turned the page since the last pass, or it has just been opened. In
/// between, wheel and bar are free to move it.
fn is_turned(ui: &Ui, page: u16) -> bool {
    let pass = ui.ctx().cumulative_pass_nr();
    let id = ui.scope_id().with("why page");
    let before = ui.data_mut(|data| {
        let before = data.get_temp::<(u16, u64)>(id);
        data.insert_temp(id, (page, pass));
        before
    });
    before.is_none_or(|(before, at)| before != page || at + 1 < pass)
}

/// A part that scrolls, with a line at its foot that says so.
fn scrolled_ui(
    ui: &mut Ui,
    body: Rect,
    (whole, page): (f32, u16),
    size: f32,
    look: &Look,
    paint: impl FnOnce(&mut Ui, Rect),
) {
    let sign = (size * SIGN).min(body.height() / 3.0);
    let area = Rect::from_min_max(body.min, pos2(body.right(), body.bottom() - sign));
    let pages = ui.input(|input| {
        let times = |key| f32::from(u8::from(input.key_pressed(key)));
        times(Key::PageUp) - times(Key::PageDown)
    });
    let builder = UiBuilder::new().id_salt("why scrolled").max_rect(area);
    let mut inside = ui.new_child(builder);
    inside.set_clip_rect(area.intersect(ui.clip_rect()));
    plain_bar(&mut inside, look);
    let mut scrolled = ScrollArea::vertical().auto_shrink(false);
    if is_turned(ui, page) {
        let steps = f32::from(page) / f32::from(WhyView::PAGES);
        let most = (whole - area.height()).max(0.0);
        scrolled = scrolled.vertical_scroll_offset(most * steps.min(1.0));
    }
    let seen = scrolled
        .scroll_bar_visibility(ScrollBarVisibility::AlwaysVisible)
        .show(&mut inside, |ui| {
            let room = vec2(ui.available_width(), whole);
            let (place, _) = ui.allocate_exact_size(room, Sense::hover());
            if pages.abs() > 0.0 {
                ui.scroll_with_delta(vec2(0.0, pages * area.height() * 0.8));
            }
            paint(ui, place);
        });
    let has_more =
        seen.state.unclamped_offset().y + seen.inner_rect.height() < seen.content_size.y - 1.0;
    let text = if has_more {
        "▼ more below: Down"
    } else {
        "end; back with Up"
    };
    let place = Rect::from_min_max(pos2(body.left(), area.bottom()), body.max);
    let painter = ui.painter_at(place);
    painter.rect_filled(place, 0.0, look.tokens.ground);
    let line = place.shrink2(vec2(6.0, 0.0));
    fitted_text(
        &painter,
        line,
        Align2::RIGHT_CENTER,
        text,
        size,
        REGULAR,
        look.tokens.text,
    );
    spoken(ui, place, "why more", text, false);
}

/// A scroll bar in the theme's colours.
fn plain_bar(inside: &mut Ui, look: &Look) {
    let bar = &mut inside.spacing_mut().scroll;
    *bar = ScrollStyle::solid();
    (bar.bar_width, bar.foreground_color) = (6.0, false);
    // No gradient: the line at the foot says that there is more.
    bar.fade.strength = 0.0;
    let visuals = inside.visuals_mut();
    visuals.extreme_bg_color = look.tokens.line;
    let widgets = &mut visuals.widgets;
    for part in [
        &mut widgets.inactive,
        &mut widgets.hovered,
        &mut widgets.active,
    ] {
        part.bg_fill = look.tokens.text;
        part.corner_radius = CornerRadius::ZERO;
    }
}

/// The columns that the rows share.
#[derive(Clone, Copy)]
struct Grid {
    /// Width of the values at the right: the widest of them, within reason.
    values: f32,
    /// Where the bars begin, from the left: behind the longest of their names, within reason.
    bars: f32,
}

fn grid(ui: &Ui, rows: &[Row<'_>], width: f32, size: f32, look: &Look) -> Grid {
    let widest = |texts: &mut dyn Iterator<Item = &String>| {
        let widths = texts.map(|text| text_of(text, size, look).width(ui) + 4.0);
        widths.fold(0.0, f32::max)
    };
    let values = widest(&mut rows.iter().filter_map(|row| match row {
        Row::Line(line) => Some(&line.value),
        Row::Bar(bar) => Some(&bar.value),
        _ => None,
    }));
    let names = widest(&mut rows.iter().filter_map(|row| match row {
        Row::Bar(bar) => Some(&bar.what),
        _ => None,
    }));
    Grid {
        values: values.min(width * 0.4),
        bars: (names + 10.0).min(width * 0.6),
    }
}

fn text_of<'a>(text: &'a str, size: f32, look: &Look) -> Paragraph<'a> {
    Paragraph::regular(text, size, look.tokens.text)
}

/// What, and behind it the source, smaller and quieter; below it where both do not fit one line.
fn paragraphs_of<'a>(
    ui: &Ui,
    line: &'a WhyLine,
    width: f32,
    size: f32,
    look: &Look,
) -> Vec<Vec<Paragraph<'a>>> {
    let quiet = |text| Paragraph {
        ink: look.tokens.muted,
        ..text_of(text, size * 0.86, look)
    };
    let what = text_of(&line.what, size, look);
    if line.source.is_empty() {
        return vec![vec![what]];
    }
    let (gap, source) = (quiet("   "), quiet(&line.source));
    let together = what.width(ui) + gap.width(ui) + source.width(ui);
    if together + 2.0 <= width {
        vec![vec![what, gap, source]]
    } else {
        vec![vec![what], vec![source]]
    }
}

fn row_height(ui: &Ui, row: &Row<'_>, width: f32, grid: Grid, size: f32, look: &Look) -> f32 {
    let beside = (width - grid.values - 10.0).max(1.0);
    match row {
        Row::Heading(_) => (size * 1.4).ceil(),
        Row::Line(line) => {
            let what = paragraphs_of(ui, line, beside, size, look);
            let what: f32 = what.iter().map(|runs| runs_height(ui, runs, beside)).sum();
            let value = text_of(&line.value, size, look).height(ui, grid.values.max(1.0));
            what.max(value) + 1.0
        }
        Row::Bar(_) => (size * 1.3).ceil(),
        Row::Text(text) => text_of(text, size, look).height(ui, width) + 4.0,
        Row::Remedy(_, text) => text_of(text, size, look).height(ui, width - 2.0 * size) + 2.0,
    }
}

/// Whether the bars of a column are long enough to be compared.
fn bars_are_seen(ui: &Ui, rows: &[Row<'_>], width: f32, size: f32, look: &Look) -> bool {
    let grid = grid(ui, rows, width, size, look);
    let track = width - grid.bars - grid.values - 10.0 - 3.0 * size - 4.0;
    track >= 4.0 * size || !rows.iter().any(|row| matches!(row, Row::Bar(_)))
}

fn column_height(ui: &Ui, rows: &[Row<'_>], width: f32, size: f32, look: &Look) -> f32 {
    let grid = grid(ui, rows, width, size, look);
    let heights = rows
        .iter()
        .map(|row| row_height(ui, row, width, grid, size, look));
    heights.sum()
}

fn column_ui(ui: &mut Ui, place: Rect, column: usize, rows: &[Row<'_>], size: f32, look: &Look) {
    let grid = grid(ui, rows, place.width(), size, look);
    let mut top = place.top();
    for (at, row) in rows.iter().enumerate() {
        let height = row_height(ui, row, place.width(), grid, size, look);
        let line = Rect::from_min_size(pos2(place.left(), top), vec2(place.width(), height));
        top += height;
        let text = row_text(row);
        spoken(ui, line, &format!("why {column} {at}"), &text, false);
        // Half a line says half of what it should: it is seen once it is whole.
        let seen = ui.clip_rect();
        let is_whole = seen.expand(1.0).contains_rect(line) || line.height() > seen.height();
        if is_whole && ui.is_rect_visible(line) {
            row_ui(ui, line, row, grid, size, look);
        }
    }
}

fn row_text(row: &Row<'_>) -> String {
    let text = match row {
        Row::Heading(text) => return (*text).to_owned(),
        Row::Line(line) => {
            let said = [&line.what, &line.value, &line.source];
            let said = said.into_iter().filter(|text| !text.is_empty());
            said.map(String::as_str).collect::<Vec<_>>().join(", ")
        }
        Row::Bar(bar) => format!("{}, {}, {}", bar.what, bar.value, bar.percent()),
        Row::Text(text) => (*text).to_owned(),
        Row::Remedy(number, text) => format!("{number}. {text}"),
    };
    cleaned(&text)
}

fn row_ui(ui: &Ui, line: Rect, row: &Row<'_>, grid: Grid, size: f32, look: &Look) {
    let ink = look.tokens.text;
    match row {
        Row::Heading(text) => {
            let painter = ui.painter_at(line.intersect(ui.clip_rect()));
            let place = Rect::from_min_max(pos2(line.left(), line.top() + size * 0.2), line.max);
            let bold = bold();
            fitted_text(&painter, place, Align2::LEFT_CENTER, text, size, bold, ink);
            let y = line.bottom() - 1.0;
            let rule = Stroke::new(1.0, look.tokens.line);
            painter.line_segment([pos2(line.left(), y), pos2(line.right(), y)], rule);
        }
        Row::Line(why) => {
            let split = line.right() - grid.values;
            let what = Rect::from_min_max(line.min, pos2(split - 10.0, line.bottom()));
            let mut room = what;
            for runs in paragraphs_of(ui, why, what.width(), size, look) {
                room.min.y += runs_paint(ui, &runs, room);
            }
            let value = text_of(&why.value, size, look);
            let width = value.width(ui).min(grid.values);
            let place = Rect::from_min_max(pos2(line.right() - width - 1.0, line.top()), line.max);
            value.paint(ui, place);
        }
        Row::Bar(bar) => bar_ui(ui, line, bar, grid, size, look),
        Row::Text(text) => {
            text_of(text, size, look).paint(ui, line);
        }
        Row::Remedy(number, text) => {
            let number = format!("{number}.");
            text_of(&number, size, look).paint(ui, line);
            let rest = Rect::from_min_max(line.min + vec2(2.0 * size, 0.0), line.max);
            text_of(text, size, look).paint(ui, rest);
        }
    }
}

/// What, a bar as long as its share, the share, the value.
fn bar_ui(ui: &Ui, line: Rect, bar: &BudgetBar, grid: Grid, size: f32, look: &Look) {
    let painter = ui.painter_at(line.intersect(ui.clip_rect()));
    let ink = look.tokens.text;
    let share_width = 3.0 * size;
    let right = line.right() - grid.values - 10.0;
    let what_end = line.left() + grid.bars;
    let column = |from: f32, to: f32| {
        Rect::from_min_max(pos2(from, line.top()), pos2(to.max(from), line.bottom()))
    };
    let cell = |place: Rect, anchor, text: &str, ink| {
        if place.is_positive() {
            fitted_text(&painter, place, anchor, text, size, REGULAR, ink);
        }
    };
    cell(
        column(line.left(), what_end - 8.0),
        Align2::LEFT_CENTER,
        &bar.what,
        ink,
    );
    let share = column(right - share_width, right);
    cell(
        share,
        Align2::RIGHT_CENTER,
        &bar.percent(),
        look.tokens.muted,
    );
    cell(
        column(line.right() - grid.values, line.right()),
        Align2::RIGHT_CENTER,
        &bar.value,
        ink,
    );
    let track = column(what_end, right - share_width - 4.0);
    let track = track.shrink2(vec2(0.0, line.height() * 0.24));
    if track.is_positive() {
        let length = track.width() * bar.share.clamp(0.0, 1.0);
        let filled = Rect::from_min_size(track.min, vec2(length.max(1.0), track.height()));
        // Only an outline: in high contrast a filled track would look like a full bar.
        let edge = Stroke::new(1.0, look.tokens.line);
        painter.rect_stroke(track, 0.0, edge, StrokeKind::Inside);
        painter.rect_filled(filled, 0.0, ink);
    }
}
