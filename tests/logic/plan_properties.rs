//! Properties of plans: no text panics, moved limits are exact.

use fitledger::plan::Stage;
use fitledger::quantity::Length;
use proptest::prelude::{Strategy, any, prop};
use proptest::{prop_assert, prop_assert_eq, proptest};

use crate::plan::{one_feature, parse, typed};

fn scrambled() -> impl Strategy<Value = String> {
    let piece = prop::sample::select(vec![
        "[part]\nname = \"a\"\n",
        "[[feature]]\nid = \"A\"\n",
        "[[feature]]\nid = \"B\"\ncallout = \"20 H7\"\n",
        "[[pair]]\nhole = \"B\"\nshaft = \"A\"\n",
        "[rules]\n",
        "general = ",
        "callout = ",
        "\"20 k6\"\n",
        "\"25 H7/p6\"\n",
        "\"30°\"\n",
        "\"\\u00d812 ±\\x41\"\n",
        "'M10x1-6H'\n",
        "\"M10\"\n",
        "\"M16xPh3P1.5-6g\"\n",
        "wire = ",
        "0.895\n",
        "full_thread = ",
        "12\n",
        "[\"wires\", \"go_ring\", \"full_thread\", \"mate\"]\n",
        "[\"minor\", \"no_go_plug\"]\n",
        "\"\"\"12\n max\"\"\"\n",
        "surface = ",
        "\"outside\"\n",
        "leave = ",
        "coating = ",
        "stages = ",
        "elements = ",
        "along = ",
        "intended = ",
        "[0.006, 0.010]\n",
        "[\"a\", \"b\"]\n",
        "0.02\n",
        "9999999\n",
        "-1e9\n",
        "\"m\"\n",
        "\n",
        "\"",
        "{",
        "]",
        "#",
        "\r\n",
        "\u{feff}",
        "\u{0}",
        "é",
    ]);
    prop::collection::vec(piece, 0..30).prop_map(|pieces| pieces.concat())
}

#[test]
fn deep_nesting_and_long_garbage_are_refused_in_good_time() {
    let deep = format!("part = {}", "[".repeat(100_000));
    let garbage = "= ".repeat(100_000);
    let lines = "=\n".repeat(100_000);
    let features = "[[feature]]\nid = \"A\"\n".repeat(20_000);
    for text in [deep, garbage, lines, features] {
        let errors = parse(&text).unwrap_err();
        assert!((1..=21).contains(&errors.len()), "{}", errors.len());
    }
}

proptest! {
    #[test]
    fn no_text_makes_the_plan_panic(text in any::<String>(), pieces in scrambled()) {
        for text in [text, pieces] {
            match parse(&text) {
                Ok(plan) => prop_assert!(!plan.features.is_empty()),
                Err(errors) => {
                    prop_assert!(!errors.is_empty());
                    for error in errors {
                        prop_assert!(error.place().line >= 1 && error.place().column >= 1);
                        prop_assert!(error.to_string().lines().count() >= 4);
                    }
                }
            }
        }
    }

    #[test]
    fn no_typed_callout_makes_the_plan_panic(
        callouts in prop::collection::vec(any::<String>(), 0..4),
    ) {
        let callouts: Vec<&str> = callouts.iter().map(String::as_str).collect();
        if let Err(errors) = typed(&callouts) {
            prop_assert!(!errors.is_empty());
        }
    }

    /// Definition: metal on is up for a shaft and down for a bore, by the number in the file to
    /// the nanometre, and the last stage is never moved.
    #[test]
    fn metal_left_moves_both_limits_exactly(nm in 0_i64..=5_000_000) {
        let text = format!("{}.{:06}", nm / 1_000_000, nm % 1_000_000);
        for (callout, sign) in [("20 k6", 1), ("20 H7", -1)] {
            for number in [text.clone(), format!("\"{text}\"")] {
                let lines = format!(
                    "callout = \"{callout}\"\nstages = [\"a\", \"b\", \"c\"]\nleave = {number}"
                );
                let one = one_feature(&lines);
                let length = |stage: &Stage| *stage.bounds.length().unwrap();
                let limits: Vec<_> = one.stages.iter().map(length).collect();
                let by = Length::from_nm(sign * nm);
                for early in &limits[..2] {
                    prop_assert_eq!(early.lower().unwrap() - limits[2].lower().unwrap(), by);
                    prop_assert_eq!(early.upper().unwrap() - limits[2].upper().unwrap(), by);
                }
                prop_assert_eq!(limits[2].moves().count(), 0);
            }
        }
    }

    /// Definition: a coat of any thickness in its range on both surfaces brings every size that
    /// is inside before to a size that is inside after; one nanometre more at either end does
    /// not. The zone is refused exactly when it would be empty.
    #[test]
    fn limits_before_coating_are_the_widest_that_suffice(
        thin in 0_i64..=20_000, more in 0_i64..=20_000,
    ) {
        let thick = thin + more;
        let text = |nm: i64| format!("0.{nm:06}");
        for (callout, grows, zone) in [("25 h9", 1, 52_000), ("25 H9", -1, 52_000)] {
            let lines = format!(
                "[part]\nname = \"a\"\n[[feature]]\nid = \"A\"\ncallout = \"{callout}\"\n\
                 coating = [{}, {}]\n", text(thin), text(thick)
            );
            let plan = match parse(&lines) {
                Ok(plan) => plan,
                Err(errors) => {
                    prop_assert_eq!(errors[0].code(), "empty_zone");
                    prop_assert!(2 * more > zone);
                    continue;
                }
            };
            prop_assert!(2 * more <= zone);
            let one = plan.order()[0].clone();
            let before = *one.stages[0].bounds.length().unwrap();
            let after = *one.stages[1].bounds.length().unwrap();
            let coated = |size: Length, coat: i64| size + Length::from_nm(grows * 2 * coat);
            let nm = Length::from_nm(1);
            for coat in [thin, thick] {
                prop_assert!(after.contains(coated(before.lower().unwrap(), coat)));
                prop_assert!(after.contains(coated(before.upper().unwrap(), coat)));
            }
            let below = before.lower().unwrap() - nm;
            let above = before.upper().unwrap() + nm;
            for outside in [below, above] {
                let suffices = [thin, thick].iter().all(|t| after.contains(coated(outside, *t)));
                prop_assert!(!suffices);
            }
        }
    }
}
