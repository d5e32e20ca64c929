//! Word, side, value and deviation of a verdict, of one point and of several.

use fitledger::session::Incoming;
use fitledger::window::view::Mark;

use super::{block, choose, shaft, stainless, states, warm};
use crate::support::bench::{Bench, feature, plan, typed_angle};
use crate::support::shown::shown;

#[test]
fn each_verdict_has_its_word_its_side_and_its_action() {
    // (reading, word, side, action); 20.014: chance = Φ((20.015 - 20.014) / 1.291 µm) = Φ(0.775)
    // = 0.781 by the table of the normal distribution.
    let cases = [
        (
            "20.008",
            "GO",
            "",
            "Part 1 is GO. Take part 2 and measure A",
        ),
        (
            "20.046",
            "NO-GO",
            "metal on",
            "Take 0.037 off the diameter: cut 0.018 deep.",
        ),
        (
            "19.990",
            "NO-GO",
            "metal gone",
            "Stop. Metal is gone: concession or scrap.",
        ),
        (
            "20.014",
            "DOUBT",
            "78 % chance of being inside",
            "Zero on a standard of about 20.014 mm, or use a gauge of U 1.2 µm at most.",
        ),
    ];
    for (reading, word, side, action) in cases {
        let mut bench = shaft("");
        bench.reads(reading);
        let view = shown(&bench);
        assert_eq!(block(&view), (word, side, reading));
        assert!(
            view.action.starts_with(action),
            "{reading}: {}",
            view.action
        );
        assert_eq!(view.verdict.uncertainty, "U 2.6 µm (k = 2)");
        assert_eq!(view.verdict.shown, "", "nothing was corrected");
    }
}

#[test]
fn a_bore_has_its_metal_on_the_other_side_and_a_length_has_none() {
    let mut bore = Bench::new(plan(&feature("A", "20 H7", "")));
    bore.reads("19.970");
    assert_eq!(block(&shown(&bore)), ("NO-GO", "metal on", "19.970"));
    // To the middle of what is proved, 20.0105: 0.0405 on the diameter, 0.02025 deep.
    let action = "Open the bore by 0.040: cut 0.020 deep.";
    assert_eq!(shown(&bore).action, action);
    let mut bore = Bench::new(plan(&feature("A", "20 H7", "")));
    bore.reads("20.030");
    assert_eq!(block(&shown(&bore)), ("NO-GO", "metal gone", "20.030"));

    let text = feature("A", "62 ±0.1", "surface = \"length\"");
    for (reading, side, action) in [
        (
            "62.25",
            "above",
            "Stop. It is 0.150 too large: rework, concession or scrap.",
        ),
        (
            "61.80",
            "below",
            "Stop. It is 0.100 too small: rework, concession or scrap.",
        ),
    ] {
        let mut length = Bench::new(plan(&text));
        length.reads_with("caliper", reading);
        let view = shown(&length);
        assert_eq!(block(&view), ("NO-GO", side, reading));
        assert_eq!(view.action, action);
        assert_eq!(view.subject.callout, "62 ±0.1", "no sign of a diameter");
    }
}

#[test]
fn deviation_is_the_value_less_the_middle_in_micrometres() {
    // The middle of 20 k6 is 20.0085.
    for (reading, deviation) in [
        ("20.010", "+1.5 µm from the middle"),
        ("20.007", "−1.5 µm from the middle"),
        ("20.0085", "0.0 µm from the middle"),
    ] {
        let mut bench = shaft("");
        bench.reads(reading);
        assert_eq!(shown(&bench).verdict.deviation, deviation);
    }
    let mut bench = Bench::new(plan(&feature("A", "20 max", "surface = \"outside\"")));
    bench.reads("19.990");
    assert_eq!(shown(&bench).verdict.deviation, "−10.0 µm from the limit");
}

#[test]
fn a_value_beyond_its_limit_is_not_rounded_to_look_inside() {
    let mut bench = stainless("");
    warm(&mut bench, 22_000);
    bench.reads("20.016");
    let view = shown(&bench);
    // 20.016 / (1 + 33e-6) = 20.015339: with three decimals it would stand on the limit 20.015.
    assert_eq!(view.verdict.value, "20.0153");
    assert_ne!(view.verdict.word, "GO");
}

#[test]
fn a_comparator_shows_deviations_from_its_ring() {
    let mut bench = Bench::new(plan(&feature("A", "20 H7", "")));
    bench.reads_with("comparator", "0.012");
    let view = shown(&bench);
    assert_eq!(block(&view), ("GO", "", "20.012"));
    // The ring is 20.000 and the middle 20.0105: half to even at the step of 0.001.
    assert_eq!(
        view.verdict.shown,
        "gauge shows 0.012; for the middle it must show +0.010"
    );
}

#[test]
fn what_is_known_of_no_gauge_is_said() {
    let mut bench = shaft("");
    bench.reads_with("unheard-of", "20.008");
    let view = shown(&bench);
    assert_eq!(view.verdict.uncertainty, "uncertainty not considered");
    assert_eq!(view.verdict.word, "GO");
    let zones: Vec<&str> = view
        .bar
        .as_ref()
        .unwrap()
        .zones
        .iter()
        .map(|z| z.label.as_str())
        .collect();
    assert_eq!(
        zones,
        ["metal gone", "GO", "metal on"],
        "no guard without u"
    );
}

#[test]
fn points_are_inside_until_the_last_and_then_go_with_their_form() {
    let mut bench = shaft("points = 3");
    bench.reads("20.008");
    assert_eq!(shown(&bench).verdict.word, "inside, 1 of 3");
    bench.reads("20.011");
    let view = shown(&bench);
    assert_eq!(view.verdict.word, "inside, 2 of 3");
    assert_eq!(view.verdict.mark, Mark::Inside);
    assert_eq!(view.action, "Measure point 3 of 3 of A at another place.");
    let at: Vec<bool> = view.points.iter().map(|point| point.is_current).collect();
    assert_eq!(at, [false, false, true]);
    bench.reads("20.006");
    let view = shown(&bench);
    assert_eq!(view.verdict.word, "GO");
    // 20.011 - 20.006 = 5 µm.
    assert_eq!(
        view.form,
        "smallest 20.006 at point 3, largest 20.011 at point 2: 5.0 µm apart"
    );
    let extremes: Vec<&str> = view.points.iter().map(|p| p.extreme.as_str()).collect();
    assert_eq!(extremes, ["", "largest", "smallest"]);
    assert_eq!(view.points[0].value, "20.008");
    // Away from the characteristic, the list says how far it is.
    let text = feature("A", "20 k6", "points = 3") + &feature("B", "15 h6", "");
    let mut bench = Bench::new(plan(&text));
    bench.reads("20.008");
    bench.reads("20.008");
    bench.asks(choose("B"));
    assert_eq!(states(&shown(&bench)), ["2 of 3", "now"]);
}

#[test]
fn a_worse_point_elsewhere_is_named_and_not_this_points_chance() {
    let mut opened = plan(&feature("A", "20 k6", "points = 2"));
    opened.advance_always = true;
    let mut bench = Bench::new(opened.clone());
    bench.reads("19.990");
    bench.reads("20.008");
    let view = shown(&bench);
    assert_eq!(
        block(&view),
        ("NO-GO", "another point is beyond its limit", "20.008")
    );
    assert_eq!(
        view.action,
        "Stop. Metal is gone at point 1: concession or scrap."
    );
    assert_eq!(view.verdict.notes, ["Worst at point 1."]);
    let mut bench = Bench::new(opened);
    bench.reads("20.014");
    bench.reads("20.008");
    let view = shown(&bench);
    assert_eq!(
        block(&view),
        ("DOUBT", "another point is in doubt", "20.008")
    );
    assert_eq!(
        view.action,
        "Point 1 is in doubt: measure it with a better gauge."
    );
}

#[test]
fn readings_that_disagree_are_named_and_a_mean_is_called_one() {
    let mut bench = shaft("");
    // 20.014 is DOUBT; the next one is a repeat of it. 2.8 × 0.5 µm = 1.4 µm is their limit.
    bench.reads("20.014");
    bench.reads("20.015");
    let view = shown(&bench);
    assert!(
        view.verdict
            .notes
            .contains(&"The value is the mean of 2 readings.".to_owned()),
        "{:?}",
        view.verdict.notes
    );
    assert_eq!(view.verdict.shown, "", "a mean is no correction");
    bench.reads("20.008");
    let view = shown(&bench);
    assert_eq!(view.verdict.notes[0], "Readings disagree.");
    assert!(
        view.action.contains("void the wrong one"),
        "{}",
        view.action
    );
}

#[test]
fn no_size_can_be_proved_with_a_gauge_that_is_too_coarse() {
    let mut bench = shaft("");
    bench.reads_with("caliper", "20.01");
    let view = shown(&bench);
    let bar = view.bar.unwrap();
    assert!(
        bar.zones.iter().all(|zone| zone.label != "GO"),
        "{:?}",
        bar.zones
    );
    assert_eq!(view.verdict.value, "20.01");
    let note = "No size can be proved with this gauge: its doubt is wider than the tolerance.";
    assert!(
        view.verdict.notes.contains(&note.to_owned()),
        "{:?}",
        view.verdict.notes
    );
}

#[test]
fn an_angle_has_degrees_and_no_side() {
    let mut bench = Bench::new(plan(&feature("A", "30° ±0.5°", "")));
    bench.take(vec![Incoming::Reading(typed_angle("protractor", "30°15'"))]);
    let view = shown(&bench);
    assert_eq!(view.verdict.unit, "°");
    assert_eq!(view.verdict.value, "30.25");
    assert_eq!(view.verdict.deviation, "+0°15' from the middle");
    assert_eq!(view.subject.limits, "29.5° to 30.5°");
    assert_eq!(view.bar.unwrap().direction, "smaller");
    assert_eq!(view.subject.callout, "30° ±0.5°");
}

#[test]
fn one_limit_alone_has_a_bar_too() {
    let mut bench = Bench::new(plan(&feature("A", "20 max", "surface = \"outside\"")));
    bench.reads("19.990");
    let view = shown(&bench);
    let bar = view.bar.unwrap();
    assert_eq!(bar.ticks.len(), 1);
    assert_eq!(bar.middle, None);
    let labels: Vec<&str> = bar.zones.iter().map(|zone| zone.label.as_str()).collect();
    assert_eq!(labels, ["GO", "", "metal on"]);
    assert_eq!(view.subject.limits, "at most 20.000");
}
