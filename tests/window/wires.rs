//! The worked example over three wires, against an independent sum.
//!
//! M16x1.5-6g over wires of 0.895 mm: d2 from 14.854 to 14.994 (ISO 965-2, from memory; d2 basic
//! 15.026, es -32 µm, Td2 140 µm). With H = 0.866025 P = 1.299038 and c = W (sqrt(4 + 3 t²) - 2),
//! t = P / (pi d2), computed outside this program: M is 16.240655 at the lower limit, 16.380642 at
//! the upper and 16.310649 in the middle, where c is 0.000687; M 16.310 is d2 14.923351.
#![allow(clippy::unwrap_used)]

use fitledger::session::Command;
use fitledger::window::view::{BenchView, bench_view};

use crate::support::hand::Hand;
use crate::support::shown::snapshot;
use crate::support::thread_scenes::{at_gland, gland};

fn seen(hand: &Hand) -> BenchView {
    let snapshot = snapshot(&hand.bench);
    bench_view(&snapshot, &hand.desk, snapshot.now_ms)
}

#[test]
fn before_a_reading_it_says_what_m_must_be_and_what_to_take_off_it() {
    let view = seen(&at_gland(gland(), "↓↓↓↓↓"));
    let wires = view.wires.clone().unwrap();
    let expected = [
        "M must be 16.241 to 16.380, in the middle 16.311",
        "d2 = M − 3 W + 0.866025 P − c   (c: lead angle)",
        "d2 = M − 2.685 + 1.29904 − 0.00069 = M − 1.38665",
        "wire W 0.895, best 0.866, usable 0.840 to 1.350",
    ];
    assert_eq!(wires.lines(), expected);
    assert_eq!(
        view.action,
        "Measure B, M16x1.5-6g, gland thread, over three wires (M 16.241 to 16.380)."
    );
    // The bar stays the pitch diameter's.
    let bar = view.bar.unwrap();
    let labels: Vec<&str> = bar.ticks.iter().map(|tick| tick.label.as_str()).collect();
    assert_eq!(labels, ["14.854", "14.994"]);
    assert_eq!(view.subject.name, "gland thread, over three wires");
}

#[test]
fn after_a_reading_the_sum_stands_beside_the_value_and_adds_up() {
    let view = seen(&at_gland(gland(), "↓↓↓↓↓16.310⏎"));
    let sum = "d2 = 16.310 − 2.685 + 1.29904 − 0.00069 = 14.92335";
    assert_eq!(view.wires.unwrap().sum, sum);
    assert_eq!(
        (view.verdict.value.as_str(), view.verdict.shown.as_str()),
        ("14.923", sum)
    );
    // Numbers that stand there add up as they stand, for every M.
    for thousandths in (16_200..16_420).step_by(7) {
        let text = format!("16.{:03}", thousandths - 16_000);
        let mut hand = at_gland(gland(), &format!("↓↓↓↓↓{text}⏎"));
        if hand.bench.state().bench().held.is_some() {
            hand.bench.asks(Command::AnswerHeld {
                belongs: true,
                reason: String::new(),
            });
        }
        let sum = seen(&hand).wires.unwrap().sum;
        let numbers: Vec<i64> = sum
            .split(['=', '−', '+'])
            .skip(1)
            .map(|number| {
                let (whole, rest) = number.trim().split_once('.').unwrap();
                format!("{whole}{rest:0<5}").parse().unwrap()
            })
            .collect();
        let [m, three, height, lead, found] = numbers[..] else {
            panic!("{sum}");
        };
        assert_eq!(m, thousandths * 100, "{sum}");
        assert_eq!(m - three + height - lead, found, "{sum}");
        assert!((68..=70).contains(&lead), "{sum}");
    }
}

#[test]
fn a_held_reading_stands_on_the_bar_where_its_verdict_will_be() {
    let mut hand = at_gland(gland(), "↓↓↓↓↓26.310⏎");
    assert!(hand.bench.state().bench().held.is_some());
    let held = seen(&hand).bar.unwrap().value.unwrap();
    hand.keys("+");
    let view = seen(&hand);
    assert_eq!(view.verdict.word, "NO-GO");
    let judged = view.bar.unwrap().value.unwrap();
    assert!((held - judged).abs() < 1e-5, "{held} {judged}");
}

#[test]
fn with_a_comma_and_while_typing() {
    let mut hand = at_gland(gland(), "↓↓↓↓↓16.3");
    hand.desk.marker = ',';
    let view = seen(&hand);
    assert!(view.wires.unwrap().sum.ends_with("= M − 1,38665"));
    assert_eq!(
        view.verdict.entry.unwrap().what,
        "M over the wires, of mic-25"
    );
    // What is not measured over wires has no example.
    assert_eq!(seen(&at_gland(gland(), "")).wires, None);
    assert_eq!(seen(&at_gland(gland(), "↓")).wires, None);
}
