//! Batches of pump shafts that are measured at the bench.

use fitledger::quantity::Length;
use fitledger::session::Command;

use super::bench::{Bench, feature, plan};
use crate::statistics_made::Made;

/// Five characteristics: a seat, a collar, a seat with two points, a runout that ends at zero, and
/// a width that is measured on every fifth part.
pub(crate) fn shaft_plan() -> String {
    [
        ("A", "20 k6", "name = \"bearing seat, left\""),
        ("B", "25 h9", "name = \"collar\""),
        ("C", "15 f7", "name = \"impeller seat\"\npoints = 2"),
        (
            "D",
            "0.03 max",
            "name = \"runout of the seat\"\nsurface = \"length\"",
        ),
        (
            "E",
            "12 ±0.05",
            "name = \"width of the collar\"\nsurface = \"length\"\nevery = 5",
        ),
    ]
    .iter()
    .map(|(id, callout, more)| feature(id, callout, more))
    .collect()
}

/// So many shafts. The seat's tool wears by a tenth of a micrometre a part, is changed after half
/// of them, and gets an offset after three quarters.
pub(crate) fn shafts(count: u32) -> Bench {
    let mut opened = plan(&shaft_plan());
    opened.advance_always = true;
    let mut bench = Bench::new(opened);
    let mut made = Made::new(11);
    let mut value = |middle_um: f64, sigma_um: f64| {
        #[allow(clippy::cast_possible_truncation)]
        let um = sigma_um.mul_add(made.one(), middle_um).round() as i64;
        Length::from_um(um).to_mm()
    };
    let wear = 9.0 / f64::from(count);
    for part in 1..=count {
        if part == count / 2 + 1 {
            bench.asks(Command::ChangeTool {
                note: "insert 5".to_owned(),
            });
        }
        if part == count * 3 / 4 + 1 {
            bench.asks(Command::ApplyOffset {
                amount: Length::from_um(-2),
                note: String::new(),
            });
        }
        let worn = wear * f64::from((part - 1) % (count / 2));
        let seat = match part {
            5 => 20_017.0,
            _ => 20_005.5 + worn,
        };
        bench.reads(&value(seat, 1.0));
        bench.reads(&value(24_975.0, 6.0));
        bench.reads(&value(14_975.0, 1.6));
        bench.reads(&value(14_976.0, 1.6));
        let runout = value(0.0, 7.0);
        bench.reads(runout.trim_start_matches('-'));
        if part % 5 == 1 {
            bench.reads(&value(12_004.0, 9.0));
        }
    }
    bench
}

/// One characteristic whose parts came out so.
pub(crate) fn parts_of(callout: &str, more: &str, values: &[&str]) -> Bench {
    let mut opened = plan(&feature("A", callout, more));
    opened.advance_always = true;
    let mut bench = Bench::new(opened);
    for value in values {
        bench.reads(value);
    }
    bench
}
