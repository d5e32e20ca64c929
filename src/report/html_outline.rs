//! The outline in the HTML form, and what is not in it.

use super::html::Page;
use super::html_markup::Markup;
use super::outline_svg::outline_svg;
use super::safe;
use super::sheet::Asked;

/// The picture with its numbers; the characteristics without a place in it are listed.
pub(super) fn outline(page: &Page<'_>, m: &mut Markup) {
    let (w, asked) = (page.words, &page.sheet.asked);
    m.element("h2", w.heading_outline);
    let Some(outline) = &page.sheet.outline else {
        m.element("p", w.no_outline);
        return;
    };
    let numbers: Vec<(usize, &str)> = asked
        .iter()
        .map(|one| (one.number, one.feature.as_str()))
        .collect();
    let title = format!("{} {}", w.outline_note, w.half_section);
    let drawing = outline_svg(outline, &numbers, &safe::html(&title));
    m.raw(&drawing.svg);
    m.element("p class=\"small\"", &title);
    if drawing.is_distorted {
        m.element("p class=\"small\"", w.not_to_scale);
    }
    let is_left = |one: &&Asked| !drawing.numbers.contains(&one.number);
    let left: Vec<String> = asked
        .iter()
        .filter(is_left)
        .map(|one| format!("{} {}", one.number, called(one)))
        .collect();
    if !left.is_empty() {
        m.element(
            "p class=\"small\"",
            &format!("{}: {}", w.not_in_outline, left.join("; ")),
        );
    }
}

fn called(one: &Asked) -> String {
    let name = if one.name.is_empty() {
        &one.feature
    } else {
        &one.name
    };
    format!("{name} ({})", one.callout)
}
