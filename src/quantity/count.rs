//! How many of a thing there are, as sentences say it.

/// `1 line`, `2 lines`: a number with the name of what is counted, one that takes an s for several.
pub fn counted(count: u64, name: &str) -> String {
    match count {
        1 => format!("1 {name}"),
        count => format!("{count} {name}s"),
    }
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
