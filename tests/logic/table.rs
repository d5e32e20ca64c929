//! Tables of cases: `tests/tables/*.csv`, with their house rules checked while reading.

use std::collections::HashMap;

/// One case of a table.
pub(crate) struct Case {
    fields: HashMap<String, String>,
}

impl Case {
    /// The text of a column; a missing column fails the test.
    pub(crate) fn text(&self, column: &str) -> &str {
        let found = self.fields.get(column);
        found.unwrap_or_else(|| panic!("no column {column}"))
    }

    /// The number in a column.
    pub(crate) fn number(&self, column: &str) -> f64 {
        let text = self.text(column);
        text.parse()
            .unwrap_or_else(|_| panic!("{}: {column} is “{text}”", self.name()))
    }

    /// The number in a column, or none where it is empty.
    pub(crate) fn number_if_any(&self, column: &str) -> Option<f64> {
        (!self.text(column).is_empty()).then(|| self.number(column))
    }

    /// What the case is called.
    pub(crate) fn name(&self) -> &str {
        self.text("case")
    }

    /// Fails unless `found` is the number of `column` within `allowed_difference`, which must
    /// not be wider than one unit of the last digit printed there.
    pub(crate) fn check(&self, column: &str, found: f64) {
        let (expected, allowed) = (self.number(column), self.number("allowed_difference"));
        let unit = last_digit(self.text(column));
        let name = self.name();
        assert!(
            allowed > 0.0 && allowed <= unit * 1.000_001,
            "{name}: a difference of {allowed} cannot fail against {column}"
        );
        assert!(
            (found - expected).abs() <= allowed,
            "{name}: {column} expected {expected}, found {found}"
        );
    }
}

/// The value of one unit in the last printed digit.
fn last_digit(text: &str) -> f64 {
    let (mantissa, exponent) = text.split_once('e').unwrap_or((text, "0"));
    let decimals = mantissa.split_once('.').map_or(0, |(_, d)| d.len());
    let power = exponent.parse::<i32>().unwrap() - i32::try_from(decimals).unwrap();
    format!("1e{power}").parse().unwrap()
}

/// The cases of a table; every one has a name, a kind and a source.
pub(crate) fn cases(text: &str) -> Vec<Case> {
    let mut lines = text.lines();
    let columns = split(lines.next().unwrap());
    let cases: Vec<Case> = lines
        .map(|line| {
            let fields = split(line);
            assert_eq!(fields.len(), columns.len(), "columns of: {line}");
            Case {
                fields: columns.iter().cloned().zip(fields).collect(),
            }
        })
        .collect();
    assert!(!cases.is_empty(), "an empty table");
    for case in &cases {
        assert!(!case.name().is_empty() && !case.text("source").is_empty());
        let kinds = ["published", "computed", "definition", "practice"];
        assert!(kinds.contains(&case.text("kind")), "{}", case.name());
    }
    cases
}

/// The fields of one line; quotes keep commas together.
fn split(line: &str) -> Vec<String> {
    let mut fields = vec![String::new()];
    let mut quoted = false;
    for c in line.chars() {
        match c {
            '"' => quoted = !quoted,
            ',' if !quoted => fields.push(String::new()),
            _ => fields.last_mut().unwrap().push(c),
        }
    }
    fields
}
