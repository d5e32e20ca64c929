//! The shape of a part from its plan: the parts of the demonstration, what hides what, cones and
//! chamfers, and that no plan whatever makes it stumble.

use fitledger::plan::{FeatureId, Outline, Plan, Segment, SegmentKind};
use fitledger::quantity::Length;
use proptest::prelude::{Strategy, any, prop};
use proptest::{prop_assert, prop_assert_eq, proptest};

use crate::plan::parse;

const HOUSING: &str = include_str!("../plans/drawn/pump_housing.toml");
const GLAND: &str = include_str!("../plans/drawn/pump_gland.toml");

/// A plan of features: id, callout and surface, from and to in millimetres.
fn plan(features: &[(&str, &str, f64, f64)]) -> Plan {
    let mut text = "[part]\nname = \"Bush\"\n[rules]\ngeneral = \"m\"\n".to_owned();
    for (id, callout, from, to) in features {
        let (callout, surface) = callout.split_once('|').unwrap_or((callout, ""));
        text += &format!("[[feature]]\nid = \"{id}\"\ncallout = \"{callout}\"\n");
        text += &format!("along = [{from}, {to}]\n");
        if !surface.is_empty() {
            text += &format!("surface = \"{surface}\"\n");
        }
    }
    parse(&text).unwrap_or_else(|errors| panic!("{}\n{text}", errors[0]))
}

fn shape(features: &[(&str, &str, f64, f64)]) -> Outline {
    plan(features).outline().unwrap()
}

/// `A 0..14 Ø20`, `- 22..48 Ø15` for plain metal, `F 0..2 Ø16>20`, `bore C ...`, `length E 0..62`.
fn written(outline: &Outline) -> Vec<String> {
    let line = |one: &Segment| {
        let id = one.feature.as_ref().map_or("-", FeatureId::as_str);
        let place = format!("{id} {}..{}", one.from, one.to);
        let size = match one.diameter_from == one.diameter_to {
            true => format!("Ø{}", one.diameter_from),
            false => format!("Ø{}>{}", one.diameter_from, one.diameter_to),
        };
        let size = match one.thread_root {
            Some(root) => format!("{size} root Ø{root}"),
            None => size,
        };
        match one.kind {
            SegmentKind::Outside => format!("{place} {size}"),
            SegmentKind::Bore => format!("bore {place} {size}"),
            SegmentKind::Length => format!("length {place}"),
        }
    };
    outline.segments.iter().map(line).collect()
}

fn ids(outline: &Outline) -> Vec<&str> {
    outline.elsewhere.iter().map(FeatureId::as_str).collect()
}

#[test]
fn the_shaft_of_the_demonstration_has_its_steps_and_plain_metal_between_them() {
    let outline = Plan::demo().outline().unwrap();
    let expected = [
        "A 0..14 Ø20",
        "B 14..22 Ø25",
        "- 22..48 Ø15",
        "D 48..62 Ø15",
        "length E 0..62",
    ];
    assert_eq!(written(&outline), expected);
    assert_eq!(ids(&outline), ["C"]);
    let ends = [outline.left, outline.right, outline.diameter];
    assert_eq!(ends, [0, 62, 25].map(Length::from_mm));
}

#[test]
fn a_housing_has_its_bores_its_chamfer_and_metal_that_the_plan_leaves_open() {
    let outline = parse(HOUSING).unwrap().outline().unwrap();
    let expected = [
        "A 0..12 Ø120",
        "B 12..18 Ø90",
        // As thick as the snout would leave no wall around the bearing seat: a quarter of 62 on
        // each side.
        "- 18..22 Ø93",
        "- 22..54 Ø55",
        "E 54..73.5 Ø55",
        "F 73.5..75 Ø55>52",
        "bore C 0..22 Ø62",
        "bore D 22..75 Ø35",
        "length G 0..22",
        "length H 0..75",
    ];
    assert_eq!(written(&outline), expected);
    assert_eq!(ids(&outline), ["J"]);
}

/// Minor diameters of the basic profile: M16x1.5 14.376, M10 8.376 (ISO 724:1993, from memory of
/// its table; d1 = d - 1.082532 P gives 14.3762 and 8.3762).
#[test]
fn a_thread_is_its_crest_and_the_line_of_its_root_whatever_of_it_is_measured() {
    let outline = parse(GLAND).unwrap().outline().unwrap();
    // The drill is wider than the basic minor diameter, and hides no thread all the same.
    let expected = [
        "A 0..18 Ø16 root Ø14.376",
        "B 18..21 Ø13",
        "C 21..34 Ø28",
        "bore E 0..16 Ø8.5",
        "bore D 16..34 Ø8.376 root Ø10",
    ];
    assert_eq!(written(&outline), expected);
    assert_eq!(ids(&outline), ["F"]);
    // A counterbore wider than the thread does.
    let counter = [("A", "M10-6H", 0.0, 20.0), ("B", "11 H13", 0.0, 5.0)];
    let expected = [
        "- 0..20 Ø16.5",
        "bore B 0..5 Ø11",
        "bore A 5..20 Ø8.376 root Ø10",
    ];
    assert_eq!(written(&shape(&counter)), expected);
    // The elements that are measured say nothing of the shape: not the first, a depth, nor a plug.
    let mut odd = parse(GLAND).unwrap();
    for feature in &mut odd.features {
        feature.characteristics.reverse();
    }
    assert_eq!(odd.outline(), Some(outline));
}

#[test]
fn a_chamfer_and_a_groove_interrupt_a_thread() {
    let features = [
        ("A", "M12-6g", 0.0, 20.0),
        ("B", "1x45°", 0.0, 1.0),
        ("C", "10 h11", 8.0, 9.0),
    ];
    let expected = [
        "B 0..1 Ø10>12",
        "A 1..8 Ø12 root Ø10.106",
        "C 8..9 Ø10",
        "A 9..20 Ø12 root Ø10.106",
    ];
    assert_eq!(written(&shape(&features)), expected);
}

#[test]
fn the_shorter_of_two_outside_features_is_seen_and_of_equals_the_later() {
    let groove = [("A", "30 h9", 0.0, 40.0), ("B", "26 h11", 10.0, 12.0)];
    let expected = ["A 0..10 Ø30", "B 10..12 Ø26", "A 12..40 Ø30"];
    assert_eq!(written(&shape(&groove)), expected);
    let [long, short] = groove;
    assert_eq!(written(&shape(&[short, long])), expected);

    let equals = [("A", "30 h9", 0.0, 10.0), ("B", "40 h9", 5.0, 15.0)];
    let expected = ["A 0..5 Ø30", "B 5..15 Ø40"];
    assert_eq!(written(&shape(&equals)), expected);
}

#[test]
fn the_wider_of_two_bores_is_seen_whichever_comes_first() {
    let through = ("A", "20 H7", 0.0, 50.0);
    let counter = ("B", "32 H8", 0.0, 10.0);
    let expected = ["- 0..50 Ø48", "bore B 0..10 Ø32", "bore A 10..50 Ø20"];
    assert_eq!(written(&shape(&[through, counter])), expected);
    assert_eq!(written(&shape(&[counter, through])), expected);
}

#[test]
fn a_cone_runs_between_two_diameters_or_by_its_angle_from_one() {
    let between = [
        ("A", "40 h9", 0.0, 10.0),
        ("B", "30° ±1°", 10.0, 20.0),
        ("C", "24 h9", 20.0, 30.0),
    ];
    let expected = ["A 0..10 Ø40", "B 10..20 Ø40>24", "C 20..30 Ø24"];
    assert_eq!(written(&shape(&between)), expected);

    // 2 x 10 mm x tan 30° = 11.547 mm (tan 30° = 0.57735, any table of functions).
    let free = [("A", "40 h9", 10.0, 20.0), ("B", "60° ±1°", 0.0, 10.0)];
    let cone = shape(&free).segments[0].clone();
    assert_eq!(cone.diameter_to, Length::from_mm(40));
    let off = cone.diameter_from - Length::from_um(28_453);
    assert!(off.abs() <= Length::from_um(1), "{}", cone.diameter_from);
    // To the left of the large end as to the right of it.
    let mirrored = [("A", "40 h9", 0.0, 10.0), ("B", "60° ±1°", 10.0, 20.0)];
    let mirrored = shape(&mirrored).segments[1].clone();
    assert_eq!(mirrored.diameter_to, cone.diameter_from);

    // So steep that it ends in a point, not below the axis.
    let steep = [("A", "40 h9", 0.0, 10.0), ("B", "170° ±1°", 10.0, 20.0)];
    assert_eq!(written(&shape(&steep))[1], "B 10..20 Ø40>0");
    // Alone it has no diameter, and there is nothing to draw.
    assert_eq!(plan(&[("A", "60° ±1°", 0.0, 10.0)]).outline(), None);
}

#[test]
fn a_broken_edge_gets_thinner_towards_the_thinner_side_and_not_below_it() {
    let stepped = [
        ("A", "20 h9", 0.0, 10.0),
        ("B", "30 h9", 10.0, 30.0),
        ("C", "1x45°", 10.0, 11.0),
        ("D", "R8", 26.0, 30.0),
        ("E", "28 h9", 30.0, 40.0),
    ];
    let expected = [
        "A 0..10 Ø20",
        "C 10..11 Ø28>30",
        "B 11..26 Ø30",
        "D 26..30 Ø30>28",
        "E 30..40 Ø28",
    ];
    assert_eq!(written(&shape(&stepped)), expected);
}

#[test]
fn what_has_no_place_no_side_or_no_size_is_named_but_not_drawn() {
    let mut odd = plan(&[
        ("A", "20 h9", 0.0, 10.0),
        ("B", "Ø30 ±0.1", 0.0, 10.0),
        ("C", "5 ±0.1", 0.0, 5.0),
        ("D", "20 h9", 2.0, 3.0),
        ("E", "20 h9", 4.0, 5.0),
        ("F", "20.00..20.02|outside", 10.0, 12.0),
        ("G", "19.00..|outside", 12.0, 13.0),
    ]);
    odd.features[3].along = Some((Length::from_mm(3), Length::from_mm(3)));
    odd.features[4].along = Some((Length::from_nm(i64::MIN), Length::from_nm(i64::MAX)));
    let outline = odd.outline().unwrap();
    let drawn = [
        "A 0..10 Ø20",
        "F 10..12 Ø20.01",
        "G 12..13 Ø19",
        "length C 0..5",
    ];
    assert_eq!(written(&outline), drawn);
    assert_eq!(ids(&outline), ["B", "D", "E"]);
    // Reversed is the same place.
    odd.features[0].along = Some((Length::from_mm(10), Length::from_mm(0)));
    assert_eq!(odd.outline(), Some(outline));
}

#[test]
fn lengths_alone_are_no_part_and_lengths_beyond_the_metal_lengthen_it() {
    assert_eq!(plan(&[("A", "62 ±0.1|length", 0.0, 62.0)]).outline(), None);
    let features = [
        ("A", "20 h9", 0.0, 40.0),
        ("B", "62 ±0.1|length", 0.0, 62.0),
    ];
    let expected = ["A 0..40 Ø20", "- 40..62 Ø20", "length B 0..62"];
    assert_eq!(written(&shape(&features)), expected);
}

/// Callouts of every kind, with places that no file could give.
pub(crate) fn any_plan() -> impl Strategy<Value = Plan> {
    let callouts = prop::sample::select(vec![
        "20 h9",
        "25 H7",
        "400 h9",
        "9 ±0.1|outside",
        "3 ±0.1|slot",
        "30° ±1°",
        "170° ±1°",
        "2x45°",
        "1x60°",
        "R3",
        "62 ±0.1|length",
        "Ø30 ±0.1",
        "M10-6H",
        "M36-6g",
    ]);
    let end = prop::sample::select(vec![
        i64::MIN,
        -10_000_000_000,
        -5_000_001,
        0,
        1,
        2,
        7_000_000,
        7_500_000,
        62_000_000,
        10_000_000_000,
        10_000_000_001,
        i64::MAX,
    ]);
    let nominal = prop::option::weighted(0.2, any::<i64>());
    let one = (callouts, end.clone(), end, nominal);
    prop::collection::vec(one, 1..12).prop_map(|features| {
        let ids: Vec<String> = (0..features.len()).map(|at| format!("F{at}")).collect();
        let sound = ids.iter().zip(&features);
        let sound: Vec<_> = sound
            .map(|(id, one)| (id.as_str(), one.0, 0.0, 1.0))
            .collect();
        let mut plan = plan(&sound);
        for (feature, (_, from, to, nominal)) in plan.features.iter_mut().zip(&features) {
            feature.along = Some((Length::from_nm(*from), Length::from_nm(*to)));
            if let Some(nm) = nominal {
                feature.characteristics[0].nominal = Some(Length::from_nm(*nm));
            }
        }
        plan
    })
}

proptest! {
    #[test]
    fn every_shape_is_whole_and_inside_its_ends(plan in any_plan()) {
        let Some(outline) = plan.outline() else { return Ok(()) };
        prop_assert!(outline.left < outline.right && outline.diameter > Length::ZERO);
        let mut reached = outline.left;
        for one in &outline.segments {
            prop_assert!(outline.left <= one.from && one.from < one.to && one.to <= outline.right);
            let root = one.thread_root.unwrap_or(Length::ZERO);
            for diameter in [one.diameter_from, one.diameter_to, root] {
                prop_assert!(Length::ZERO <= diameter && diameter <= outline.diameter);
            }
            if one.kind == SegmentKind::Outside {
                prop_assert_eq!(one.from, reached);
                reached = one.to;
            }
        }
        prop_assert_eq!(reached, outline.right);
        // Every feature is either drawn, hidden by one that is, or named as not drawn.
        for id in &outline.elsewhere {
            let is_drawn = outline.segments.iter().any(|one| one.feature.as_ref() == Some(id));
            prop_assert!(!is_drawn);
        }
        prop_assert_eq!(plan.outline(), Some(outline));
    }
}

#[test]
fn a_thousand_features_are_drawn() {
    let mut many = plan(&[("A", "20 h9", 0.0, 10.0), ("B", "12 H7", 0.0, 10.0)]);
    for at in 0..1_000_i64 {
        let mut feature = many.features[usize::try_from(at % 2).unwrap()].clone();
        feature.id = FeatureId::new(&format!("F{at}"));
        let from = Length::from_um(at * 37);
        feature.along = Some((from, from + Length::from_um(20 + at % 17)));
        many.features.push(feature);
    }
    let outline = many.outline().unwrap();
    assert!(outline.segments.len() > 900, "{}", outline.segments.len());
}
