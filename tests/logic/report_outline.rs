//! The pictures in the HTML form: every balloon where it can be read, every bar inside its box.

use std::collections::BTreeSet;

use fitledger::plan::{FeatureId, Plan};
use fitledger::quantity::Length;
use fitledger::report::{Asked, Bar, ENGLISH, ReportOptions, Sheet, html};
use proptest::proptest;
use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};

use crate::plan::parse;
use crate::plan_outline::any_plan;
use crate::support::html_sheets::{SHAFT, full, sheet_of_plan};
use crate::support::{cases, label};

/// A circle of a picture with the text behind it.
#[derive(Debug, Clone, PartialEq)]
struct Balloon {
    number: String,
    x: f64,
    y: f64,
    radius: f64,
}

/// Element, class, coordinates.
type Mark = (String, String, Vec<(f64, f64)>);

#[derive(Debug, Default)]
struct Picture {
    class: String,
    width: f64,
    height: f64,
    balloons: Vec<Balloon>,
    /// Every coordinate pair that is drawn.
    places: Vec<(f64, f64)>,
    /// `mark`, `mark beyond`, `whisker`: element, class, coordinates.
    marks: Vec<Mark>,
}

fn attribute(tag: &BytesStart<'_>, name: &str) -> Option<String> {
    let found = tag.try_get_attribute(name).unwrap()?;
    Some(String::from_utf8(found.value.into_owned()).unwrap())
}

/// Pairs of numbers in `points` and `d`.
fn pairs(text: &str) -> Vec<(f64, f64)> {
    let text = text.replace(['M', 'L', 'Z'], " ");
    let pair = |pair: &str| {
        let (x, y) = pair.split_once(',').unwrap();
        (x.parse().unwrap(), y.parse().unwrap())
    };
    text.split_whitespace().map(pair).collect()
}

/// The pictures of a page.
fn pictures(page: &str) -> Vec<Picture> {
    let mut reader = Reader::from_str(page);
    let mut all: Vec<Picture> = Vec::new();
    let mut inside = false;
    let mut in_balloon = false;
    loop {
        match reader.read_event().unwrap() {
            Event::Eof => return all,
            Event::Start(tag) | Event::Empty(tag) => {
                let name = String::from_utf8(tag.name().as_ref().to_vec()).unwrap();
                if name == "svg" {
                    inside = true;
                    let view = attribute(&tag, "viewBox").unwrap();
                    let sides: Vec<f64> = view.split(' ').map(|n| n.parse().unwrap()).collect();
                    all.push(Picture {
                        class: attribute(&tag, "class").unwrap(),
                        width: sides[2],
                        height: sides[3],
                        ..Picture::default()
                    });
                }
                if !inside {
                    continue;
                }
                let picture = all.last_mut().unwrap();
                let class = attribute(&tag, "class").unwrap_or_default();
                in_balloon |= class == "balloon";
                let mut places = Vec::new();
                for name in ["points", "d"] {
                    places.extend(attribute(&tag, name).iter().flat_map(|text| pairs(text)));
                }
                if name == "circle" {
                    let of = |name: &str| attribute(&tag, name).unwrap().parse::<f64>().unwrap();
                    let (x, y, radius) = (of("cx"), of("cy"), of("r"));
                    places.extend([(x - radius, y - radius), (x + radius, y + radius)]);
                    if in_balloon {
                        let number = String::new();
                        picture.balloons.push(Balloon {
                            number,
                            x,
                            y,
                            radius,
                        });
                    }
                }
                picture.places.extend(&places);
                if class.contains("mark") || class == "whisker" {
                    picture.marks.push((name, class, places));
                }
            }
            Event::Text(text) if in_balloon => {
                let picture = all.last_mut().unwrap();
                let text = text.decode().unwrap();
                picture.balloons.last_mut().unwrap().number += text.trim();
            }
            Event::End(tag) => {
                inside &= tag.name().as_ref() != b"svg";
                in_balloon &= tag.name().as_ref() != b"g";
            }
            _ => {}
        }
    }
}

fn outline_of(sheet: &Sheet) -> (String, Option<Picture>) {
    let page = html(sheet, &ReportOptions::default());
    let picture = pictures(&page)
        .into_iter()
        .find(|one| one.class == "outline");
    (page, picture)
}

/// Balloons apart and in the picture, everything drawn in it too, every number either in a balloon
/// once or in the list.
fn check(sheet: &Sheet) -> Vec<Balloon> {
    let (page, picture) = outline_of(sheet);
    let Some(picture) = picture else {
        assert!(sheet.outline.is_none());
        return Vec::new();
    };
    assert!(sheet.outline.is_some());
    for (x, y) in &picture.places {
        let is_inside = (0.0..=picture.width).contains(x) && (0.0..=picture.height).contains(y);
        assert!(
            is_inside,
            "{x}, {y} in {} x {}",
            picture.width, picture.height
        );
    }
    let balloons = &picture.balloons;
    for (at, one) in balloons.iter().enumerate() {
        for other in &balloons[at + 1..] {
            let apart = (one.x - other.x).hypot(one.y - other.y);
            let least = one.radius + other.radius - 0.001;
            assert!(apart >= least, "{one:?} {other:?}");
        }
    }
    let drawn: BTreeSet<&str> = balloons.iter().map(|one| one.number.as_str()).collect();
    assert_eq!(drawn.len(), balloons.len(), "a number stands twice");
    let list = page
        .split(&format!("{}: ", ENGLISH.not_in_outline))
        .nth(1)
        .unwrap_or_default();
    let list = list.split("</p>").next().unwrap();
    let listed: BTreeSet<&str> = list
        .split("; ")
        .filter(|one| !one.is_empty())
        .map(|one| one.split(' ').next().unwrap())
        .collect();
    let asked: Vec<String> = sheet
        .asked
        .iter()
        .map(|one| one.number.to_string())
        .collect();
    for number in &asked {
        let number = number.as_str();
        assert!(
            drawn.contains(number) != listed.contains(number),
            "{number}: {list}"
        );
    }
    assert_eq!(drawn.len() + listed.len(), asked.len());
    balloons.clone()
}

fn number_of(sheet: &Sheet, feature: &str) -> Vec<String> {
    let own = sheet.asked.iter().filter(|one| one.feature == feature);
    own.map(|one| one.number.to_string()).collect()
}

#[test]
fn the_shaft_of_the_demonstration_and_every_plan_have_readable_balloons() {
    assert_eq!(check(&sheet_of_plan(&Plan::demo())).len(), 4);
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/plans/valid");
    let mut with_shape = 0;
    for (path, text) in cases(&folder) {
        let plan = parse(&text).unwrap_or_else(|_| panic!("{}", label(&path)));
        with_shape += usize::from(plan.outline().is_some());
        check(&sheet_of_plan(&plan));
    }
    assert!(with_shape > 0);
}

#[test]
fn balloons_stand_in_the_order_of_what_they_point_at_and_on_its_side() {
    let plan = parse(SHAFT).unwrap_or_else(|errors| panic!("{}", errors[0]));
    let sheet = sheet_of_plan(&plan);
    let balloons = check(&sheet);
    let of = |feature: &str| -> Vec<&Balloon> {
        let numbers = number_of(&sheet, feature);
        let own = balloons.iter().filter(|one| numbers.contains(&one.number));
        own.collect()
    };
    let columns: Vec<f64> = ["A", "B", "C", "D"].iter().map(|id| of(id)[0].x).collect();
    assert!(columns.is_sorted(), "{columns:?}");
    // A thread has several numbers, in one column.
    let thread = of("D");
    let is_in_column = |one: &Balloon| (one.x - thread[0].x).abs() < 1e-6;
    assert!(thread.len() > 1 && thread.iter().all(|one| is_in_column(one)));
    // The outside above, bores below, dimensions below those.
    let lowest = |id: &str| of(id).iter().map(|one| one.y).fold(f64::MIN, f64::max);
    let highest = |id: &str| of(id).iter().map(|one| one.y).fold(f64::MAX, f64::min);
    assert!(lowest("A") < highest("E") && lowest("D") < highest("F"));
    assert!(lowest("E") < highest("G") && lowest("F") < highest("H"));
    // The cross hole has no place on the axis.
    assert!(of("J").is_empty());
}

#[test]
fn a_hundred_features_on_a_side_and_a_long_thin_part_have_readable_balloons() {
    let mut plan = parse(SHAFT).unwrap_or_else(|errors| panic!("{}", errors[0]));
    let mut more = Vec::new();
    for (at, of) in [(0_i64, 1), (0, 6), (0, 4)]
        .iter()
        .cycle()
        .take(300)
        .enumerate()
    {
        let mut feature = plan.features[of.1].clone();
        feature.id = FeatureId::new(&format!("F{at}"));
        let from = Length::from_um(of.0 + i64::try_from(at).unwrap() * 170);
        feature.along = Some((from, from + Length::from_um(400)));
        for one in &mut feature.characteristics {
            one.id.feature = feature.id.clone();
        }
        more.push(feature);
    }
    plan.features.extend(more);
    let balloons = check(&sheet_of_plan(&plan));
    assert!(balloons.len() > 200, "{}", balloons.len());
    plan.features.truncate(2);
    plan.features[1].along = Some((Length::from_mm(14), Length::from_mm(4_000)));
    assert_eq!(check(&sheet_of_plan(&plan)).len(), 2);
}

proptest! {
    #[test]
    fn any_shape_has_readable_balloons(plan in any_plan()) {
        check(&sheet_of_plan(&plan));
    }
}

#[test]
fn feature_names_of_any_kind_are_found_in_the_outline() {
    let plan = parse(SHAFT).unwrap_or_else(|errors| panic!("{}", errors[0]));
    let mut sheet = sheet_of_plan(&plan);
    let odd = Asked {
        number: 77,
        feature: "<b>\"x".to_owned(),
        callout: "6 h9".to_owned(),
        points: 1,
        every: 1,
        ..Asked::default()
    };
    sheet.asked.push(odd);
    check(&sheet);
}

/// The first bar of the page with that place of the value.
fn bar(at: i32, half_width: i32, verdict: &str) -> Picture {
    let mut sheet = full();
    sheet.outline = None;
    sheet.parts.truncate(1);
    sheet.parts[0].results[0].bar = Some(Bar { at, half_width });
    sheet.parts[0].results[0].verdict = verdict.to_owned();
    let page = html(&sheet, &ReportOptions::default());
    pictures(&page)
        .into_iter()
        .find(|one| one.class == "bar")
        .unwrap()
}

fn middle(places: &[(f64, f64)]) -> f64 {
    let xs = || places.iter().map(|place| place.0);
    (xs().fold(f64::MAX, f64::min) + xs().fold(f64::MIN, f64::max)) / 2.0
}

fn mark(picture: &Picture) -> &(String, String, Vec<(f64, f64)>) {
    let mut marks = picture.marks.iter().filter(|one| one.1 != "whisker");
    let found = marks.next().unwrap();
    assert!(marks.next().is_none());
    found
}

#[test]
fn a_bar_shows_where_the_value_lies_and_clamps_what_is_outside() {
    // The zone takes from 7 to 23 of 30 mm.
    for (at, x) in [
        (0, 7.0),
        (1000, 23.0),
        (500, 15.0),
        (-200, 3.8),
        (1250, 27.0),
    ] {
        let picture = bar(at, 0, "GO");
        let (_, class, places) = mark(&picture);
        assert_eq!(class, "mark");
        assert!((middle(places) - x).abs() < 0.02, "{at}: {places:?}");
        assert!(!picture.marks.iter().any(|one| one.1 == "whisker"));
    }
    for (at, points_left) in [
        (i32::MIN, true),
        (-401, true),
        (5_000, false),
        (i32::MAX, false),
    ] {
        let picture = bar(at, i32::MAX, "NO-GO");
        let (_, class, places) = mark(&picture);
        assert_eq!(class, "mark beyond", "{at}");
        // The first corner is the point.
        let is_left = places[0].0 < places[1].0;
        assert_eq!(is_left, points_left);
        for (x, y) in &picture.places {
            assert!(
                (0.0..=30.0).contains(x) && (0.0..=6.0).contains(y),
                "{x} {y}"
            );
        }
    }
    let whisker = bar(500, 100, "GO");
    let (_, _, places) = whisker.marks.iter().find(|one| one.1 == "whisker").unwrap();
    assert_eq!((places[0].0, places[1].0), (13.4, 16.6));
}

#[test]
fn marks_differ_by_shape_and_not_by_colour() {
    let shape = |verdict: &str| {
        let mut sheet = full();
        sheet.parts.truncate(1);
        sheet.parts[0].results[0].verdict = verdict.to_owned();
        let page = html(&sheet, &ReportOptions::default());
        let bar = page.split("<svg class=\"bar\"").nth(1).unwrap();
        let bar = bar.split("</svg>").next().unwrap();
        let mark = bar.split("class=\"mark\"").nth(1).unwrap();
        mark.to_owned()
    };
    let all: BTreeSet<String> = ["GO", "NO-GO", "DOUBT", "INSIDE"].map(shape).into();
    assert_eq!(all.len(), 4);
    let page = html(&full(), &ReportOptions::default());
    let colours = page
        .match_indices('#')
        .filter_map(|(at, _)| page.get(at..at + 4));
    for colour in colours {
        let digits = colour.trim_start_matches('#').as_bytes();
        let is_grey = digits.len() == 3 && digits[0] == digits[1] && digits[1] == digits[2];
        assert!(is_grey || colour == "#39;", "{colour}");
    }
}
