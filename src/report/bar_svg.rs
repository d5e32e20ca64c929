//! Where a value lies between its limits, as a small picture beside the numbers: the zone between
//! two wide strokes, the value as a mark, its uncertainty as a whisker. A value outside is at the
//! edge with an arrow that points on. Hundredths of a millimetre on paper; black on white alone.

use super::outline_svg::mm;
use super::sheet::Bar;

const WIDTH: i64 = 3_000;
const HEIGHT: i64 = 600;
/// Where the lower limit stands; the upper one stands as far from the other edge.
const LOWER: i64 = 700;
/// The outermost place of a mark.
const EDGE: i64 = 150;
const MIDDLE: i64 = HEIGHT / 2;

/// The picture; `title` is read aloud in its place and must be escaped.
pub(super) fn bar_svg(bar: Bar, verdict: &str, title: &str) -> String {
    let upper = WIDTH - LOWER;
    let mut body = format!(
        "<path d=\"M{l},{m}L{u},{m}\" stroke-width=\"0.2\" />\
         <path d=\"M{l},0.60L{l},5.40M{u},0.60L{u},5.40\" stroke-width=\"0.5\" />\
         <path d=\"M{c},2.00L{c},4.00\" stroke-width=\"0.2\" />",
        l = mm(LOWER),
        u = mm(upper),
        m = mm(MIDDLE),
        c = mm(WIDTH / 2),
    );
    let half = i64::from(bar.half_width).abs();
    if half > 0 {
        let (from, to) = (
            placed(i64::from(bar.at) - half),
            placed(i64::from(bar.at) + half),
        );
        body += &whisker(from, to);
    }
    body += &mark(i64::from(bar.at), verdict);
    format!(
        "<svg class=\"bar\" role=\"img\" \
         viewBox=\"0 0 {} {}\" fill=\"none\" stroke=\"#000\"><title>{title}</title>{body}</svg>",
        mm(WIDTH),
        mm(HEIGHT)
    )
}

/// Where thousandths of the zone lie, at most at the edge.
fn placed(thousandths: i64) -> i64 {
    let zone = WIDTH - 2 * LOWER;
    (LOWER + thousandths * zone / 1000).clamp(EDGE, WIDTH - EDGE)
}

/// The whisker has an end cap where it ends, and none where it is cut off at the edge.
fn whisker(from: i64, to: i64) -> String {
    let y = MIDDLE;
    let mut path = format!("M{},{}L{},{}", mm(from), mm(y), mm(to), mm(y));
    for x in [from, to] {
        if x > EDGE && x < WIDTH - EDGE {
            path += &format!("M{},{}L{},{}", mm(x), mm(y - 70), mm(x), mm(y + 70));
        }
    }
    format!("<path class=\"whisker\" d=\"{path}\" stroke-width=\"0.35\" />")
}

/// GO a full disc, DOUBT an open one, NO-GO a cross, anything else a small open square; beyond the
/// edge an arrow.
fn mark(thousandths: i64, verdict: &str) -> String {
    let x = placed(thousandths);
    let y = MIDDLE;
    if x == EDGE || x == WIDTH - EDGE {
        let back = if x == EDGE { 240 } else { -240 };
        return format!(
            "<polygon class=\"mark beyond\" points=\"{},{} {},{} {},{}\" fill=\"#000\" />",
            mm(x),
            mm(y),
            mm(x + back),
            mm(y - 130),
            mm(x + back),
            mm(y + 130)
        );
    }
    let disc = |fill: &str| {
        format!(
            "<circle class=\"mark\" cx=\"{}\" cy=\"{}\" r=\"1.1\" fill=\"{fill}\" \
             stroke-width=\"0.35\" />",
            mm(x),
            mm(y)
        )
    };
    match verdict {
        "GO" => disc("#000"),
        "DOUBT" => disc("#fff"),
        "NO-GO" => format!(
            "<path class=\"mark\" d=\"M{l},{t}L{r},{b}M{l},{b}L{r},{t}\" stroke-width=\"0.55\" />",
            l = mm(x - 110),
            r = mm(x + 110),
            t = mm(y - 110),
            b = mm(y + 110)
        ),
        _ => format!(
            "<path class=\"mark\" d=\"M{l},{t}L{r},{t}L{r},{b}L{l},{b}Z\" fill=\"#fff\" \
             stroke-width=\"0.35\" />",
            l = mm(x - 90),
            r = mm(x + 90),
            t = mm(y - 90),
            b = mm(y + 90)
        ),
    }
}
