//! Every text of the Bench: the marker that is set, a true minus, nothing hidden.

use fitledger::session::Incoming;
use fitledger::window::desk::Desk;
use fitledger::window::view::{BenchView, clean};

use super::{shaft, stainless, warm};
use crate::support::bench::typed;
use crate::support::shown::{shown, shown_with};

/// Every text of the view that stands on the screen.
fn texts(view: &BenchView) -> Vec<String> {
    let mut all = vec![
        view.header.temperature.clone(),
        view.subject.limits.clone(),
        view.form.clone(),
        view.action.clone(),
        view.chart.spoken.clone(),
        view.verdict.spoken(),
    ];
    all.extend(view.points.iter().map(|point| point.spoken()));
    all.extend(
        view.bar
            .iter()
            .flat_map(|bar| bar.ticks.iter().map(|tick| tick.label.clone())),
    );
    for limit in [&view.chart.upper, &view.chart.lower] {
        all.extend(limit.iter().map(|(_, label)| label.clone()));
    }
    if let Some(question) = &view.question {
        all.push(question.spoken());
    }
    if let Some(why) = &view.why {
        all.push(why.title.clone());
        for line in why.limits.iter().chain(&why.corrections).chain(&why.rule) {
            all.extend([line.what.clone(), line.value.clone()]);
        }
        all.extend(
            why.budget
                .iter()
                .flat_map(|bar| [bar.what.clone(), bar.value.clone()]),
        );
        all.push(why.total.clone());
        all.extend(why.remedies.clone());
    }
    all
}

#[test]
fn the_marker_of_the_setting_stands_in_every_number_and_no_ascii_minus() {
    let desk = Desk {
        marker: ',',
        is_why: true,
        ..Desk::default()
    };
    let mut bench = stainless("points = 2");
    warm(&mut bench, 31_000);
    for reading in ["20.008", "20.018", "0.7877"] {
        bench.take(vec![Incoming::Reading(typed("mic", reading))]);
        let view = shown_with(&bench, &desk);
        for text in texts(&view) {
            let letters: Vec<char> = text.chars().collect();
            for three in letters.windows(3) {
                let digits = three[0].is_ascii_digit() && three[2].is_ascii_digit();
                assert!(!(digits && three[1] == '.'), "{text}");
                let minus = three[0] == ' ' && three[1] == '-' && three[2].is_ascii_digit();
                assert!(!minus, "{text}");
            }
        }
        assert!(
            texts(&view).iter().any(|text| text.contains("20,0")),
            "{reading}"
        );
    }
}

#[test]
fn names_cannot_hide_or_turn_a_text_nor_fill_the_screen() {
    assert_eq!(clean("seat\nleft"), "seat\\u{a}left");
    assert_eq!(clean("GO\u{202e}ON"), "GO\\u{202e}ON");
    assert_eq!(clean("a\u{200b}b\u{1b}[2J"), "a\\u{200b}b\\u{1b}[2J");
    assert_eq!(clean("20\u{fffc}k6"), "20\\u{fffc}k6");
    let long = clean(&"x".repeat(5_000));
    assert_eq!(long.chars().count(), 201);
    assert!(long.ends_with('…'));
    let name = format!("name = \"{}\\u202E\"", "n".repeat(3_000));
    let view = shown(&shaft(&name));
    assert_eq!(view.subject.name.chars().count(), 201);
    assert!(
        view.action.ends_with("(20.002 to 20.015)."),
        "the limits stay in sight"
    );
}
