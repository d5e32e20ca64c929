//! Paints what pressing a pair together takes: what is typed, the force over the way in, what is
//! said of it, and the cautions, which always stand.

use eframe::egui::{Align2, Rangef, Rect, Shape, Stroke, StrokeKind, Ui, pos2, vec2};

use super::drawn::PageDrawn;
use super::line_ui::{
    Line, cut_bottom, cut_left, cut_left_most, cut_right, cut_top, has_area, name_ui,
};
use super::lines_ui::sentences_ui;
use super::look::{Look, REGULAR, text_width};
use super::paragraph_ui::Paragraph;
use super::press::Press;
use super::room_ui::STEP;
use super::view::{ForceView, PressFieldView, PressView};

const TITLE: f32 = 24.0;
const NAME: f32 = 15.0;
const TEXT: f32 = 12.0;
const CAUTION: f32 = 11.0;
/// Height of a field, of the line that says which of them are seen, and the most that all have of
/// what is left.
const FIELD: f32 = 22.0;
const COUNT: f32 = 15.0;
const TOP_SHARE: f32 = 0.47;
/// Fields have this share of the width; the curve has the rest.
const FIELDS_SHARE: f32 = 0.58;
const LABEL: f32 = 182.0;
/// The sign of a field that the first sentence is about.
const SIGN: f32 = 12.0;

/// Paints the page.
pub(super) fn press_ui(
    ui: &mut Ui,
    place: Rect,
    view: &PressView,
    look: &Look,
    presses: &mut Vec<Press>,
) -> PageDrawn {
    if !has_area(place) {
        return PageDrawn::default();
    }
    let tokens = &look.tokens;
    ui.painter().rect_filled(place, 0.0, tokens.panel);
    let mut rest = place.shrink2(vec2(
        STEP.min(place.width() / 10.0),
        (STEP / 4.0).min(place.height() / 10.0),
    ));
    let title = cut_top(&mut rest, TITLE.min(place.height() / 4.0));
    Line::bold(NAME, tokens.text).say(ui, title, "press title", &view.title);
    cautions_ui(ui, &mut rest, view, look);
    let high = (view.fields.len() as f32 * FIELD).min(rest.height() * TOP_SHARE);
    let mut top = cut_top(&mut rest, high);
    let wide = top.width() * FIELDS_SHARE;
    let fields = cut_left(&mut top, wide);
    fields_ui(ui, fields, view, look, presses);
    cut_left(&mut top, 2.0 * STEP);
    if let Some(curve) = &view.curve {
        curve_ui(ui, top, curve, look);
    }
    cut_top(&mut rest, STEP / 2.0);
    if !has_area(rest) {
        return PageDrawn::default();
    }
    sentences_ui(ui, rest, "press", (&view.lines, view.skipped, TEXT), look)
}

/// At the bottom, as high as they are; never more than half of the page.
fn cautions_ui(ui: &mut Ui, rest: &mut Rect, view: &PressView, look: &Look) {
    let ink = look.tokens.text;
    let paragraph = |text| Paragraph::regular(text, CAUTION, ink);
    let wide = rest.width();
    let heights = view
        .cautions
        .iter()
        .map(|one| paragraph(one).height(ui, wide));
    let high: f32 = heights.sum::<f32>() + STEP / 2.0;
    let mut place = cut_bottom(rest, high.min(rest.height() * 0.5));
    let edge = Stroke::new(look.tokens.hairline, look.tokens.line);
    ui.painter().hline(place.x_range(), place.top(), edge);
    cut_top(&mut place, STEP / 2.0);
    for (at, caution) in view.cautions.iter().enumerate() {
        let text = paragraph(caution);
        let row = text.height(ui, wide);
        let row = cut_top(&mut place, row);
        if has_area(row) {
            name_ui(ui, row, &format!("caution {at}"), caution, false);
            text.paint(ui, row);
        }
    }
}

/// As many as there is room for, the one that is typed into among them, with one after it.
fn fields_ui(ui: &mut Ui, place: Rect, view: &PressView, look: &Look, presses: &mut Vec<Press>) {
    let mut rest = place;
    let of = view.fields.len();
    let fit = |high: f32| {
        let fits = |rows: &usize| *rows as f32 * FIELD <= high + 0.5;
        (1..=of).take_while(fits).count().max(1)
    };
    let mut rows = fit(place.height());
    if rows < of {
        rows = fit(place.height() - COUNT);
        let count = cut_bottom(&mut rest, COUNT.min(place.height() / 4.0));
        let first = first_field(view, rows);
        let text = format!(
            "fields {} to {} of {of}; Enter goes on",
            first + 1,
            first + rows
        );
        Line::regular(CAUTION, look.tokens.muted).say(ui, count, "press fields", &text);
    }
    let high = FIELD.min(rest.height() / rows.max(1) as f32);
    let first = first_field(view, rows);
    let seen = view.fields.iter().enumerate().skip(first).take(rows);
    for (at, field) in seen {
        field_ui(ui, cut_top(&mut rest, high), (at, field), look, presses);
    }
}

fn first_field(view: &PressView, rows: usize) -> usize {
    let at = view.fields.iter().position(|field| field.is_at);
    let last = view.fields.len().saturating_sub(rows);
    (at.unwrap_or(0) + 2).saturating_sub(rows).min(last)
}

fn field_ui(
    ui: &mut Ui,
    place: Rect,
    (at, view): (usize, &PressFieldView),
    look: &Look,
    presses: &mut Vec<Press>,
) {
    if !has_area(place) {
        return;
    }
    let tokens = &look.tokens;
    let here = if view.is_at { ", typed into" } else { "" };
    let fault = if view.is_faulty {
        ", see the first sentence"
    } else {
        ""
    };
    let said = format!("{}: {}{here}{fault}", view.label, view.text);
    if name_ui(ui, place, &format!("press field {at}"), &said, true).clicked() {
        presses.push(Press::Choose(at));
    }
    let mut rest = place;
    let mut label = cut_left_most(&mut rest, LABEL + SIGN, 0.55);
    let sign = cut_left(&mut label, SIGN.min(place.width() / 8.0));
    if view.is_faulty && has_area(sign) {
        let (left, right) = (sign.left(), sign.right() - 4.0);
        let y = sign.center().y;
        let corners = vec![pos2(left, y - 5.0), pos2(right, y), pos2(left, y + 5.0)];
        let sign = Shape::convex_polygon(corners, tokens.text, Stroke::NONE);
        ui.painter().add(sign);
    }
    let named = match view.is_faulty {
        true => Line::bold(TEXT, tokens.text),
        false => Line::regular(TEXT, tokens.text),
    };
    named.paint(ui, label, &view.label);
    let entry = rest.shrink2(vec2(0.0, 1.0));
    let edge = match view.is_at {
        true => Stroke::new(2.0, tokens.text),
        false => Stroke::new(tokens.hairline, tokens.line),
    };
    ui.painter()
        .rect_stroke(entry, 0.0, edge, StrokeKind::Inside);
    let inner = entry.shrink2(vec2(6.0_f32.min(entry.width() / 8.0), 1.0));
    let line = match view.is_usual {
        true => Line::regular(TEXT, tokens.muted),
        false => Line::bold(TEXT, tokens.text),
    };
    line.paint(ui, inner, &view.text);
}

/// From nothing to the two forces; between the two lines lies what pressing in may take.
fn curve_ui(ui: &mut Ui, place: Rect, view: &ForceView, look: &Look) {
    if !has_area(place) || place.width() < 60.0 || place.height() < 40.0 {
        return;
    }
    let tokens = &look.tokens;
    name_ui(ui, place, "press curve", &view.spoken, false);
    let mut rest = place;
    let mut below = cut_bottom(&mut rest, 16.0);
    let (low, high) = (&view.forces.0, &view.forces.1);
    let wide = |text: &str| text_width(ui.painter(), text, TEXT, REGULAR) + 4.0;
    let side = cut_right(&mut rest, wide(low).max(wide(high)));
    let travel = cut_right(&mut below, wide(&view.travel) + side.width());
    let line = Line::regular(TEXT, tokens.text);
    let centred = Rect::from_x_y_ranges(
        Rangef::new(travel.left(), travel.right() - side.width()),
        travel.y_range(),
    );
    line.clone()
        .at(Align2::RIGHT_CENTER)
        .paint(ui, centred, &view.travel);
    Line::regular(TEXT, tokens.muted).paint(ui, below, "force over the way in");
    let chart = Rect::from_min_max(pos2(rest.left(), rest.top() + 6.0), rest.max);
    let at = |(way, force): &(f32, f32)| {
        let x = chart.left() + way * chart.width();
        pos2(x, chart.bottom() - force * chart.height())
    };
    let painter = ui.painter_at(chart.expand(2.0));
    let (lower, upper): (Vec<_>, Vec<_>) = (
        view.low.iter().map(at).collect(),
        view.high.iter().map(at).collect(),
    );
    if let (Some(least), Some(most), Some(from)) = (lower.last(), upper.last(), lower.first()) {
        let between = vec![*from, *most, *least];
        painter.add(Shape::convex_polygon(between, tokens.bars, Stroke::NONE));
        let apart = (least.y - most.y).max(TEXT + 2.0);
        for (y, text) in [(most.y, high), (most.y + apart, low)] {
            let y = Rangef::new(y - TEXT / 2.0, y + TEXT / 2.0);
            let x = Rangef::new(side.left() + 4.0, side.right());
            line.paint(ui, Rect::from_x_y_ranges(x, y), text);
        }
    }
    let stroke = Stroke::new(1.5, tokens.text);
    painter.line(lower, stroke);
    painter.line(upper, stroke);
    let axis = Stroke::new(tokens.hairline, tokens.muted);
    painter.hline(chart.x_range(), chart.bottom(), axis);
    painter.vline(chart.left(), chart.y_range(), axis);
}
