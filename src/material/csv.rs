//! One line of an embedded table into its fields.

/// The fields of a line: commas between them, double quotes around a field that holds commas.
/// Borrowed from the line; a doubled quote inside a field is not part of this format.
pub(super) fn fields(line: &str) -> Vec<&str> {
    let mut fields = Vec::new();
    let (mut start, mut quoted) = (0, false);
    for (at, c) in line.char_indices() {
        match c {
            '"' => quoted = !quoted,
            ',' if !quoted => {
                fields.push(line[start..at].trim_matches('"'));
                start = at + 1;
            }
            _ => {}
        }
    }
    fields.push(line[start..].trim_matches('"'));
    fields
}
