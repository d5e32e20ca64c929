//! Reference cases in JSON: every case names its source, numbers may be written as text.

use serde_json::Value;

/// The cases of a file, each with its source.
pub(crate) fn cases(text: &str) -> Vec<Value> {
    let file: Value = serde_json::from_str(text).unwrap();
    let cases = file["cases"].as_array().unwrap().clone();
    for case in &cases {
        let source = case["source"].as_str().unwrap_or("");
        assert!(source.len() > 5, "{} has no source", case["id"]);
    }
    cases
}

/// The case of this name.
pub(crate) fn case(text: &str, id: &str) -> Value {
    let mut cases = cases(text).into_iter();
    let found = cases.find(|case| case["id"] == id);
    found.unwrap_or_else(|| panic!("no case {id}"))
}

/// A number, written as one or as text.
pub(crate) fn number(value: &Value) -> f64 {
    match value {
        Value::String(text) => text.parse().unwrap(),
        other => other
            .as_f64()
            .unwrap_or_else(|| panic!("no number: {other}")),
    }
}

/// A list of numbers.
pub(crate) fn numbers(value: &Value) -> Vec<f64> {
    let list = value
        .as_array()
        .unwrap_or_else(|| panic!("no list: {value}"));
    list.iter().map(number).collect()
}

/// A list of lists.
pub(crate) fn groups(value: &Value) -> Vec<Vec<f64>> {
    value.as_array().unwrap().iter().map(numbers).collect()
}

/// Fails unless two numbers agree to this relative difference.
pub(crate) fn near(what: &str, found: f64, expected: f64, relative: f64) {
    let allowed = relative * expected.abs().max(1e-300);
    assert!(
        (found - expected).abs() <= allowed,
        "{what}: expected {expected}, found {found}"
    );
}
