//! Paper becomes a PDF: every page painted, and the structure told.

use std::num::{NonZeroU16, NonZeroU32};

use krilla::Document;
use krilla::color::rgb;
use krilla::destination::XyzDestination;
use krilla::geom::{Path, PathBuilder, Point};
use krilla::num::NormalizedF32;
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::paint::{Fill, LineCap, Stroke, StrokeDash};
use krilla::surface::Surface;
use krilla::tagging::{
    Artifact, ArtifactType, ContentTag, Identifier, Node, SpanTag, TableHeaderScope, Tag, TagGroup,
    TagKind, TagTree,
};
use krilla::text::{GlyphId, KrillaGlyph};

use super::pdf::PdfError;
use super::pdf_page::{Bookmark, Ink, Op, PAGE_HEIGHT, PAGE_WIDTH, Piece, Role, Twig};
use super::pdf_text::{Faces, Line};

/// Handle of a circle's quarter as a cubic curve, over the radius: 4/3 (sqrt 2 - 1).
const QUARTER: f32 = 0.552_285;

/// Names of the content that was painted: for each page, for each piece; none for decoration.
type Painted = Vec<Vec<Option<Identifier>>>;

/// Paints the pages into the document, in their order.
pub(super) fn paint(
    document: &mut Document,
    faces: &Faces,
    pages: &[Vec<Piece>],
) -> Result<Painted, PdfError> {
    let mut painted = Painted::new();
    for pieces in pages {
        let settings = PageSettings::from_wh(PAGE_WIDTH, PAGE_HEIGHT).ok_or(PdfError::Size)?;
        let mut page = document.start_page_with(settings);
        let mut surface = page.surface();
        let mut names = Vec::with_capacity(pieces.len());
        for piece in pieces {
            let tag = if piece.is_content {
                ContentTag::Span(SpanTag::empty())
            } else {
                ContentTag::Artifact(Artifact::with_kind(ArtifactType::Layout))
            };
            let name = surface.start_tagged(tag);
            for op in &piece.ops {
                paint_op(&mut surface, faces, op);
            }
            surface.end_tagged();
            names.push(piece.is_content.then_some(name));
        }
        surface.finish();
        page.finish();
        painted.push(names);
    }
    Ok(painted)
}

fn paint_op(surface: &mut Surface<'_>, faces: &Faces, op: &Op) {
    match op {
        Op::Text { x, y, line, ink } => paint_line(surface, faces, (*x, *y), line, *ink),
        Op::Rule {
            from,
            to,
            width,
            ink,
            dash,
        } => {
            let mut path = PathBuilder::new();
            path.move_to(from.0, from.1);
            path.line_to(to.0, to.1);
            let stroke = Stroke {
                dash: dash.map(|length| StrokeDash {
                    array: vec![length, length],
                    offset: 0.0,
                }),
                ..stroke(*width, *ink)
            };
            draw(surface, path.finish(), None, Some(stroke));
        }
        Op::Shape { points, fill, edge } => {
            let mut path = PathBuilder::new();
            for (at, point) in points.iter().enumerate() {
                match at {
                    0 => path.move_to(point.0, point.1),
                    _ => path.line_to(point.0, point.1),
                }
            }
            path.close();
            let edge = edge.map(|(width, ink)| stroke(width, ink));
            draw(surface, path.finish(), fill.map(filled), edge);
        }
        Op::Pill {
            left,
            top,
            width,
            height,
            fill,
            edge,
        } => {
            let edge = edge.map(|(width, ink)| stroke(width, ink));
            let path = pill(*left, *top, *width, *height);
            draw(surface, path, Some(filled(*fill)), edge);
        }
        Op::Lines {
            pieces,
            width,
            ink,
            dashes,
            is_round,
        } => {
            let stroke = Stroke {
                line_cap: match is_round {
                    true => LineCap::Round,
                    false => LineCap::Butt,
                },
                dash: (!dashes.is_empty()).then(|| StrokeDash {
                    array: dashes.clone(),
                    offset: 0.0,
                }),
                ..stroke(*width, *ink)
            };
            draw(surface, lines(pieces), None, Some(stroke));
        }
    }
}

/// Open lines as one path.
fn lines(pieces: &[Vec<(f32, f32)>]) -> Option<Path> {
    let mut path = PathBuilder::new();
    for piece in pieces {
        let mut points = piece.iter();
        let Some(first) = points.next() else { continue };
        path.move_to(first.0, first.1);
        for point in points {
            path.line_to(point.0, point.1);
        }
    }
    path.finish()
}

fn draw(surface: &mut Surface<'_>, path: Option<Path>, fill: Option<Fill>, edge: Option<Stroke>) {
    if let Some(path) = path.filter(|_| fill.is_some() || edge.is_some()) {
        surface.set_fill(fill);
        surface.set_stroke(edge);
        surface.draw_path(&path);
    }
}

fn paint_line(surface: &mut Surface<'_>, faces: &Faces, at: (f32, f32), line: &Line, ink: Ink) {
    surface.set_fill(Some(filled(ink)));
    surface.set_stroke(None);
    let mut x = at.0;
    for run in &line.runs {
        let glyphs: Vec<KrillaGlyph> = run
            .glyphs
            .iter()
            .map(|glyph| KrillaGlyph {
                glyph_id: GlyphId::new(glyph.id),
                text_range: glyph.text.clone(),
                x_advance: glyph.advance,
                x_offset: 0.0,
                y_offset: 0.0,
                y_advance: 0.0,
                location: None,
            })
            .collect();
        let start = Point::from_xy(x, at.1);
        surface.draw_glyphs(
            start,
            &glyphs,
            faces.font(run.face),
            &run.text,
            line.size,
            false,
        );
        x += run.glyphs.iter().map(|glyph| glyph.advance).sum::<f32>() * line.size;
    }
}

fn colour(ink: Ink) -> rgb::Color {
    let (red, green, blue) = ink.rgb();
    rgb::Color::new(red, green, blue)
}

fn filled(ink: Ink) -> Fill {
    Fill {
        paint: colour(ink).into(),
        opacity: NormalizedF32::ONE,
        ..Fill::default()
    }
}

fn stroke(width: f32, ink: Ink) -> Stroke {
    Stroke {
        paint: colour(ink).into(),
        width,
        ..Stroke::default()
    }
}

fn pill(left: f32, top: f32, width: f32, height: f32) -> Option<Path> {
    let radius = height.min(width) * 0.5;
    let (right, bottom) = (left + width, top + height);
    let away = radius * (1.0 - QUARTER);
    let mut path = PathBuilder::new();
    path.move_to(left + radius, top);
    path.line_to(right - radius, top);
    path.cubic_to(right - away, top, right, top + away, right, top + radius);
    path.line_to(right, bottom - radius);
    path.cubic_to(
        right,
        bottom - away,
        right - away,
        bottom,
        right - radius,
        bottom,
    );
    path.line_to(left + radius, bottom);
    path.cubic_to(
        left + away,
        bottom,
        left,
        bottom - away,
        left,
        bottom - radius,
    );
    path.line_to(left, top + radius);
    path.cubic_to(left, top + away, left + away, top, left + radius, top);
    path.close();
    path.finish()
}

/// The structure, for whoever has it read out.
pub(super) fn tag_tree(twigs: Vec<Twig>, painted: &Painted, language: &str) -> TagTree {
    let mut tree = TagTree::new().with_lang(Some(language.to_owned()));
    for twig in twigs {
        if let Some(node) = node(twig, painted) {
            tree.push(node);
        }
    }
    tree
}

fn node(twig: Twig, painted: &Painted) -> Option<Node> {
    match twig {
        Twig::Leaf(page, piece) => {
            let name = *painted.get(page)?.get(piece)?.as_ref()?;
            Some(Node::Leaf(name))
        }
        Twig::Branch(role, twigs) => {
            let mut group = TagGroup::new(kind(role));
            for twig in twigs {
                if let Some(node) = node(twig, painted) {
                    group.push(node);
                }
            }
            Some(Node::Group(group))
        }
    }
}

fn kind(role: Role) -> TagKind {
    match role {
        Role::Section => Tag::Section.into(),
        Role::Heading(level, title) => {
            let level = NonZeroU16::new(level).unwrap_or(NonZeroU16::MIN);
            Tag::Hn(level, Some(title)).into()
        }
        Role::Paragraph => Tag::P.into(),
        Role::Table(summary) => Tag::Table.with_summary(Some(summary)).into(),
        Role::TableHead => Tag::THead.into(),
        Role::TableBody => Tag::TBody.into(),
        Role::Row => Tag::TR.into(),
        Role::HeadCell => Tag::TH(TableHeaderScope::Column).into(),
        Role::RowHead => Tag::TH(TableHeaderScope::Row).into(),
        Role::Cell(span) => {
            let span = NonZeroU32::new(span).filter(|span| span.get() > 1);
            Tag::TD.with_col_span(span).into()
        }
        Role::Figure(alt) => Tag::Figure(Some(alt)).into(),
    }
}

/// The list of contents beside the pages: headings by their level.
pub(super) fn contents(bookmarks: &[Bookmark]) -> Outline {
    let mut outline = Outline::new();
    let mut rest = bookmarks;
    while let Some((node, after)) = entry(rest) {
        outline.push_child(node);
        rest = after;
    }
    outline
}

/// The first bookmark with those below it, and what follows.
fn entry(bookmarks: &[Bookmark]) -> Option<(OutlineNode, &[Bookmark])> {
    let (first, mut rest) = bookmarks.split_first()?;
    let place = Point::from_xy(0.0, (first.y - 12.0).max(0.0));
    let place = XyzDestination::new(first.page, place);
    let mut node = OutlineNode::new(first.text.clone(), place).with_open(first.level == 1);
    while rest.first().is_some_and(|next| next.level > first.level) {
        let Some((child, after)) = entry(rest) else {
            break;
        };
        node.push_child(child);
        rest = after;
    }
    Some((node, rest))
}
