//! How many of a thing there are, as sentences say it.

use std::fmt::Display;

/// `1 line`, `2 lines`: a number with the name of what is counted, one that takes an s for several.
pub fn counted<N: Display + PartialEq + From<u8>>(count: N, name: &str) -> String {
    let ending = if count == N::from(1) { "" } else { "s" };
    format!("{count} {name}{ending}")
}

#[cfg(test)]
mod tests {
    use super::counted;

    #[test]
    fn one_takes_no_s() {
        let told = [0, 1, 2].map(|count| counted(count, "line"));
        assert_eq!(told, ["0 lines", "1 line", "2 lines"]);
    }
}
