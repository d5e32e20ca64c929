//! What the Bench shows of a session, by value.
//!
//! Limits by hand from the tables of ISO 286-2 (from memory): 20 k6 is +15 and +2 µm (20.002 to
//! 20.015), 15 h6 is 0 and -11 µm, 20 H7 is +21 and 0 µm. `mic` has MPE 2 µm, step 1 µm and
//! repeatability 0.5 µm: u² = 2²/3 + 0.5²/3 + 0.5² = 1.6667 µm², u = 1.291 µm, U = 2.582 µm.
#![allow(clippy::unwrap_used)]

mod actions;
mod around;
mod charted;
mod texts;
mod typed;
mod verdicts;
mod warm;

use fitledger::quantity::Celsius;
use fitledger::session::Command;
use fitledger::window::desk::Desk;
use fitledger::window::view::BenchView;

use crate::support::bench::{Bench, feature, plan};

fn shaft(more: &str) -> Bench {
    Bench::new(plan(&feature("A", "20 k6", more)))
}

/// A seat, a smaller seat, and something in a second setting.
fn three() -> Bench {
    let text = feature("A", "20 k6", "name = \"bearing seat, left\"")
        + &feature("B", "15 h6", "name = \"collar\"")
        + &feature("C", "20 H7", "setting = 2");
    let mut opened = plan(&text);
    opened.parts = Some(12);
    Bench::new(opened)
}

/// A shaft of stainless steel, 16.5e-6 per kelvin (the materials table's row of 1.4301).
fn stainless(more: &str) -> Bench {
    let text = feature("A", "20 k6", more);
    Bench::new(plan(&format!("material = \"1.4301\"\n{text}")))
}

fn warm(bench: &mut Bench, milli: i32) {
    let part = Some(Celsius::from_milli(milli));
    bench.asks(Command::SetTemperature { part, gauge: None });
}

/// Word, side and value of the verdict block.
fn block(view: &BenchView) -> (&str, &str, &str) {
    let verdict = &view.verdict;
    (&verdict.word, &verdict.side, &verdict.value)
}

fn states(view: &BenchView) -> Vec<&str> {
    view.rows.iter().map(|row| row.state.as_str()).collect()
}

fn choose(feature: &str) -> Command {
    let (feature, element) = (feature.to_owned(), String::new());
    Command::ChooseCharacteristic { feature, element }
}

/// The desk after Enter: the last answer has been looked at.
fn left(bench: &Bench) -> Desk {
    Desk {
        left: bench.state().latest_answer().unwrap().1.sequence,
        ..Desk::default()
    }
}
