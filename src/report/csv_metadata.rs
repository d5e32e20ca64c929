//! What a program must know to read a table of ours: a description beside it, after the
//! W3C Recommendation "Metadata Vocabulary for Tabular Data" (17 December 2015). Its file's name is
//! the table's with `-metadata.json` behind it, where a reader of that standard looks first.

use serde_json::{Map, Value, json};

use super::canonical::canonical;
use super::csv_columns::COLUMNS;

/// The description of the table in the file `table` (its name alone, without folders).
pub fn csv_metadata(table: &str) -> Vec<u8> {
    let columns = COLUMNS.iter().map(|column| {
        let is_key = column.name == "reading";
        described(
            (column.name, column.meaning),
            (column.datatype, column.unit),
            is_key,
        )
    });
    let about = "One row a reading; a reading that was voided, set aside or held has its row too. \
                 A text that a spreadsheet would take for a formula has a single quote before it.";
    description(
        (table, "Readings of an inspection record", about),
        json!(columns.collect::<Vec<_>>()),
        "reading",
    )
}

/// The description of a table: its file, its title, what it holds; its columns, the name of the
/// one that is different in every row.
pub(super) fn description(
    (table, title, about): (&str, &str, &str),
    columns: Value,
    key: &str,
) -> Vec<u8> {
    let description = json!({
        "@context": ["http://www.w3.org/ns/csvw", { "@language": "en" }],
        "url": url(table),
        "dc:title": title,
        "dc:description": about,
        "dialect": {
            "commentPrefix": null,
            "delimiter": ",",
            "doubleQuote": true,
            "encoding": "utf-8",
            "header": true,
            "headerRowCount": 1,
            "lineTerminators": ["\r\n"],
            "quoteChar": "\"",
            "skipBlankRows": false,
            "skipColumns": 0,
            "skipInitialSpace": false,
            "skipRows": 0,
            "trim": false
        },
        "tableSchema": {
            "columns": columns,
            "primaryKey": key
        }
    });
    canonical(&description)
}

/// A column: its name and what it means, its datatype and unit (empty: none), whether every row
/// has it.
pub(super) fn described(
    (name, meaning): (&str, &str),
    (of, unit): (&str, &str),
    is_required: bool,
) -> Value {
    let mut map = Map::new();
    map.insert("name".to_owned(), json!(name));
    map.insert("titles".to_owned(), json!(name));
    map.insert("dc:description".to_owned(), json!(meaning));
    map.insert("datatype".to_owned(), datatype(of));
    // An empty field says that nothing was recorded.
    map.insert("null".to_owned(), json!(""));
    map.insert("required".to_owned(), json!(is_required));
    if !unit.is_empty() {
        map.insert("schema:unitText".to_owned(), json!(unit));
    }
    Value::Object(map)
}

/// Numbers have a point and nothing between thousands.
fn datatype(name: &str) -> Value {
    match name {
        "decimal" | "integer" => json!({
            "base": name,
            "format": { "decimalChar": ".", "groupChar": null }
        }),
        "boolean" => json!({ "base": "boolean", "format": "true|false" }),
        other => json!(other),
    }
}

/// A file's name as a relative reference: what is no plain character of RFC 3986 is a percent sign
/// and two digits.
fn url(name: &str) -> String {
    let mut text = String::with_capacity(name.len());
    for byte in name.bytes() {
        match byte {
            b'A'..=b'Z' | b'a'..=b'z' | b'0'..=b'9' | b'-' | b'.' | b'_' | b'~' => {
                text.push(char::from(byte));
            }
            other => text.push_str(&format!("%{other:02X}")),
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::url;

    #[test]
    fn a_name_becomes_a_reference_to_the_file_beside() {
        assert_eq!(url("pump-shaft_1.csv"), "pump-shaft_1.csv");
        // RFC 3986, section 2.1 and 2.3: everything but unreserved characters is encoded.
        assert_eq!(url("a b:c#ä.csv"), "a%20b%3Ac%23%C3%A4.csv");
    }
}
