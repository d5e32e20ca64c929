//! Several points of one characteristic.

use fitledger::measure::{Point, VerdictWord, judge, judged_points, taper_of_points};
use fitledger::quantity::Length;
use fitledger::tolerance::{Derivation, Limits, Surface};

/// Points of a shaft 20 h7 (19.979 to 20.000), u = 1 µm, at places 1, 2, ...
fn points(values_um: &[i64]) -> Vec<Point> {
    let (low, high) = (Length::from_um(19_979), Length::from_um(20_000));
    let limits = Limits::new(Some(low), Some(high), Derivation::Stated).unwrap();
    values_um
        .iter()
        .zip(1_u32..)
        .map(|(um, place)| {
            let value = Length::from_um(*um);
            let judgement = judge(value, &limits, Surface::Outside, Some(1_000.0), None).unwrap();
            Point {
                place,
                value,
                judgement,
            }
        })
        .collect()
}

#[test]
fn go_is_said_only_after_the_last_point() {
    let two = judged_points(&points(&[19_990, 19_992]), 3).unwrap();
    assert_eq!(
        (two.verdict, two.to_string().as_str()),
        (None, "inside, 2 of 3")
    );
    let three = judged_points(&points(&[19_990, 19_992, 19_985]), 3).unwrap();
    assert_eq!(three.verdict, Some(VerdictWord::Go));
    assert_eq!(three.to_string(), "GO");
    assert_eq!((three.smallest.place, three.largest.place), (3, 2));
    assert_eq!(three.ovality(), Length::from_um(7));
    assert_eq!(three.inside, 3);
    assert_eq!(judged_points(&[], 3), None);
}

#[test]
fn a_bad_or_doubtful_point_is_said_at_once() {
    let doubt = judged_points(&points(&[19_990, 19_999]), 3).unwrap();
    assert_eq!(
        (doubt.verdict, doubt.worst.place),
        (Some(VerdictWord::Doubt), 2)
    );
    let bad = judged_points(&points(&[20_010, 19_999]), 3).unwrap();
    assert_eq!((bad.verdict, bad.worst.place), (Some(VerdictWord::NoGo), 1));
    assert_eq!(bad.inside, 1);
}

#[test]
fn one_extreme_outside_spoils_the_rest() {
    let found = judged_points(&points(&[19_990, 19_970, 19_991]), 3).unwrap();
    assert_eq!(found.verdict, Some(VerdictWord::NoGo));
    assert_eq!((found.smallest.place, found.worst.place), (2, 2));
}

#[test]
fn metal_gone_is_worse_than_metal_on() {
    let found = judged_points(&points(&[20_050, 19_970]), 2).unwrap();
    assert_eq!(found.worst.place, 2);
}

#[test]
fn the_worst_good_point_is_the_one_nearest_a_limit() {
    let found = judged_points(&points(&[19_990, 19_983, 19_994]), 3).unwrap();
    assert_eq!(found.worst.place, 2);
}

#[test]
fn equal_extremes_are_the_first_of_their_kind() {
    let found = judged_points(&points(&[19_990, 19_990]), 2).unwrap();
    assert_eq!((found.smallest.place, found.largest.place), (1, 1));
}

#[test]
fn taper_goes_from_the_first_place_to_the_last() {
    let along = points(&[19_990, 19_980, 19_994]);
    assert_eq!(taper_of_points(&along), Some(Length::from_um(4)));
    let mut backwards = along;
    backwards.reverse();
    assert_eq!(taper_of_points(&backwards), Some(Length::from_um(4)));
    assert_eq!(taper_of_points(&points(&[19_990])), None);
}
