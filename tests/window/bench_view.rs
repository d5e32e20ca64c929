//! What the Bench shows of a session, by value.

use crate::support::bench::{Bench, feature, plan};
use crate::support::shown::shown;

#[test]
fn a_bench_before_its_first_reading_says_what_to_measure() {
    let bench = Bench::new(plan(&feature("A", "20 k6", "name = \"bearing seat\"")));
    let view = shown(&bench);
    // 20 k6: +15 and +2 µm (ISO 286-2, table for k6 over 18 to 30 mm).
    assert_eq!(
        view.action,
        "Measure A, Ø20 k6, bearing seat (20.002 to 20.015)."
    );
    assert_eq!(
        (view.verdict.word.as_str(), view.verdict.value.as_str()),
        ("", "")
    );
}
