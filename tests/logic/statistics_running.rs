//! Running statistics: exact, and the same as computing again.

use crate::statistics_cases::{data_sets, digits};
use fitledger::statistics::{Series, individuals_chart, mean_moving_range, summary};
use proptest::prelude::*;

#[test]
fn whole_number_sums_reach_all_certified_digits() {
    for set in data_sets() {
        let (values, decimals) = set.whole_numbers();
        let mut series = Series::new();
        for value in values {
            series.add(value).unwrap();
        }
        let found = series.summary().unwrap();
        let unit = 10.0_f64.powi(decimals);
        let reached = [
            digits(found.mean / unit, set.mean),
            digits(
                found.standard_deviation.unwrap() / unit,
                set.standard_deviation,
            ),
        ];
        println!("{}: digits of mean, deviation {reached:.1?}", set.name);
        // A certified value has 15 digits itself; half a unit of the last is 14.3 to 15.3 digits.
        assert!(
            reached.iter().all(|digits| *digits >= 14.5),
            "{}: {reached:?}",
            set.name
        );
    }
}

#[test]
fn constructed_series_of_three_values_have_their_exact_mean_and_deviation() {
    // NumAcc2 and NumAcc4 of NIST StRD (public domain; their construction from memory): the middle
    // value once, then the two others in turns, 500 times each; the deviation is exactly 0.1.
    for middle in [12, 100_000_002] {
        let mut series = Series::new();
        series.add(middle).unwrap();
        for _ in 0..500 {
            series.add(middle - 1).unwrap();
            series.add(middle + 1).unwrap();
        }
        let found = series.summary().unwrap();
        assert!(digits(found.mean, middle as f64) >= 15.0);
        assert!(digits(found.standard_deviation.unwrap(), 1.0) >= 15.0);
    }
}

#[test]
fn few_readings_have_stated_results() {
    let mut series = Series::new();
    assert_eq!(series.summary().unwrap_err().code(), "too_few");
    assert_eq!(series.add(5), Ok(0));
    assert_eq!(series.summary().unwrap().standard_deviation, None);
    assert_eq!(series.mean_moving_range().unwrap_err().code(), "too_few");
    assert_eq!(series.individuals_limits().unwrap_err().code(), "too_few");
    assert_eq!(series.void(0), Ok(true));
    assert_eq!(series.void(0), Ok(false));
    assert_eq!(series.summary().unwrap_err().code(), "too_few");
    assert_eq!(series.void(1).unwrap_err().code(), "out_of_range");
    assert_eq!(series.restore(1).unwrap_err().code(), "out_of_range");
    assert_eq!(series.restore(0), Ok(true));
    assert_eq!(series.restore(0), Ok(false));
    assert_eq!(series.summary().unwrap().count, 1);
    for far in [1_000_000_000_001, i64::MIN, i64::MAX] {
        let before = series.clone();
        assert_eq!(series.add(far).unwrap_err().code(), "out_of_range");
        assert_eq!(series, before, "a refused reading leaves no trace");
    }
}

#[test]
fn the_largest_values_do_not_overflow() {
    let mut series = Series::new();
    for at in 0..100_000_i64 {
        series
            .add(if at % 2 == 0 {
                1_000_000_000_000
            } else {
                -1_000_000_000_000
            })
            .unwrap();
    }
    let found = series.summary().unwrap();
    assert!(
        digits(
            found.standard_deviation.unwrap(),
            1e12 * (1e5_f64 / 99_999.0).sqrt()
        ) > 14.5
    );
    assert!(digits(series.mean_moving_range().unwrap(), 2e12) >= 15.0);
}

#[derive(Debug, Clone)]
enum Deed {
    Add(i64),
    Void(prop::sample::Index),
    Restore(prop::sample::Index),
}

fn deeds() -> impl Strategy<Value = Vec<Deed>> {
    // Few different values, so that the extremes stand more than once; and any values.
    let value = prop_oneof![-3_i64..3, -1_000_000_000_000_i64..=1_000_000_000_000];
    let deed = prop_oneof![
        3 => value.prop_map(Deed::Add),
        2 => any::<prop::sample::Index>().prop_map(Deed::Void),
        1 => any::<prop::sample::Index>().prop_map(Deed::Restore),
    ];
    prop::collection::vec(deed, 1..60)
}

proptest! {
    #[test]
    fn any_sequence_of_deeds_equals_computing_again(deeds in deeds()) {
        let mut series = Series::new();
        let mut model: Vec<(i64, bool)> = Vec::new();
        for deed in deeds {
            match deed {
                Deed::Add(value) => {
                    prop_assert_eq!(series.add(value), Ok(model.len()));
                    model.push((value, true));
                }
                Deed::Void(at) if !model.is_empty() => {
                    let at = at.index(model.len());
                    prop_assert_eq!(series.void(at), Ok(model[at].1));
                    model[at].1 = false;
                }
                Deed::Restore(at) if !model.is_empty() => {
                    let at = at.index(model.len());
                    prop_assert_eq!(series.restore(at), Ok(!model[at].1));
                    model[at].1 = true;
                }
                Deed::Void(_) | Deed::Restore(_) => {}
            }
            let left: Vec<i64> = model.iter().filter(|(_, live)| *live).map(|(y, _)| *y).collect();
            prop_assert!(series.live_values().eq(left.iter().copied()));
            // To the last bit what a series has that never knew the voided readings.
            let mut again = Series::new();
            for value in &left {
                again.add(*value).unwrap();
            }
            prop_assert_eq!(series.count(), left.len());
            prop_assert_eq!(series.summary(), again.summary());
            prop_assert_eq!(series.mean_moving_range(), again.mean_moving_range());
            prop_assert_eq!(series.individuals_limits(), again.individuals_limits());
            agrees_with_the_list(&series, &left)?;
        }
    }
}

/// The series says what the functions over lists say.
fn agrees_with_the_list(series: &Series, left: &[i64]) -> Result<(), TestCaseError> {
    let floats: Vec<f64> = left.iter().map(|y| *y as f64).collect();
    let (Ok(found), Ok(listed)) = (series.summary(), summary(&floats)) else {
        prop_assert!(left.is_empty());
        return Ok(());
    };
    let size = listed.max.abs().max(listed.min.abs()).max(1.0);
    let near = |a: f64, b: f64| (a - b).abs() <= 1e-12 * size;
    prop_assert!(near(found.mean, listed.mean), "{:?} {:?}", found, listed);
    let deviations = found.standard_deviation.zip(listed.standard_deviation);
    prop_assert_eq!(deviations.is_some(), left.len() > 1);
    prop_assert!(deviations.is_none_or(|(a, b)| near(a, b)));
    prop_assert_eq!((found.min, found.max), (listed.min, listed.max));
    if left.len() > 1 {
        let (a, b) = (series.mean_moving_range(), mean_moving_range(&floats));
        prop_assert!(near(a.unwrap(), b.unwrap()));
        let chart = individuals_chart(&floats).unwrap().limits;
        let limits = series.individuals_limits().unwrap();
        prop_assert!(near(limits.location.upper, chart.location.upper));
        prop_assert!(near(limits.spread.upper, chart.spread.upper));
    }
    Ok(())
}
