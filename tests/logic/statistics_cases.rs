//! Files of public cases in JSON, with their house rules checked while reading; numbers may be
//! written as text.

use serde_json::Value;

/// The cases of a file: so many, each with a name of its own and a source.
pub(crate) fn json_cases(text: &str, expected_count: usize) -> Vec<Value> {
    let file: Value = serde_json::from_str(text).unwrap();
    let cases = file["cases"].as_array().unwrap().clone();
    assert_eq!(cases.len(), expected_count, "number of cases");
    let mut names: Vec<&str> = cases.iter().map(|case| text_of(case, "id")).collect();
    names.sort_unstable();
    names.dedup();
    assert_eq!(names.len(), expected_count, "a name stands twice");
    for case in &cases {
        let source = case.get("source").or(file.get("source"));
        let source = source.and_then(Value::as_str).unwrap_or_default();
        assert!(!source.is_empty(), "{} has no source", case["id"]);
    }
    cases
}

/// A text of a case.
pub(crate) fn text_of<'a>(case: &'a Value, key: &str) -> &'a str {
    let found = case[key].as_str();
    found.unwrap_or_else(|| panic!("{}: no text {key}", case["id"]))
}

/// One data set of NIST StRD, univariate summary statistics.
pub(crate) struct DataSet {
    pub(crate) name: String,
    /// The values as printed.
    pub(crate) printed: Vec<String>,
    pub(crate) mean: f64,
    pub(crate) standard_deviation: f64,
    pub(crate) autocorrelation: f64,
}

impl DataSet {
    pub(crate) fn values(&self) -> Vec<f64> {
        self.printed.iter().map(|y| y.parse().unwrap()).collect()
    }

    /// The values as whole numbers of the last printed digit, and how many decimals that is.
    pub(crate) fn whole_numbers(&self) -> (Vec<i64>, i32) {
        let decimals = |y: &String| y.split_once('.').map_or(0, |(_, digits)| digits.len());
        let most = self.printed.iter().map(decimals).max().unwrap();
        let whole = |y: &String| {
            let digits = y.replace('.', "") + &"0".repeat(most - decimals(y));
            digits.parse().unwrap()
        };
        let numbers = self.printed.iter().map(whole).collect();
        (numbers, i32::try_from(most).unwrap())
    }
}

/// The five data sets.
pub(crate) fn data_sets() -> Vec<DataSet> {
    let cases = json_cases(include_str!("../tables/strd_univariate.json"), 5);
    let set = |case: &Value| {
        let list = case["data"].as_array().unwrap();
        let printed: Vec<String> = list
            .iter()
            .map(|y| y.as_str().unwrap().to_owned())
            .collect();
        assert_eq!(Some(printed.len() as u64), case["n"].as_u64());
        let expected = |key| text_of(&case["expected"], key).parse().unwrap();
        DataSet {
            name: text_of(case, "id").to_owned(),
            printed,
            mean: expected("mean"),
            standard_deviation: expected("standard_deviation_n_minus_1"),
            autocorrelation: expected("lag1_autocorrelation"),
        }
    };
    cases.iter().map(set).collect()
}

/// How many digits agree, at most 15: the log relative error of NIST StRD.
pub(crate) fn digits(found: f64, certified: f64) -> f64 {
    let error = ((found - certified) / certified).abs();
    assert!(!error.is_nan());
    if error > 0.0 {
        (-error.log10()).clamp(0.0, 15.0)
    } else {
        15.0
    }
}

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
