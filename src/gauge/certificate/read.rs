//! From a tree of elements to what a certificate holds.
//!
//! Tolerant: an element that is missing is missing, and one that is not known is passed over, so
//! that versions 2 and 3 of the form read alike. Whole subtrees are walked with a list of what is
//! still to be seen, never by a step that calls itself.

use super::number::length_power;
use super::problem::{CertificateError, CertificateProblem};
use super::table::Uncertainty;
use super::table::{Certificate, Column, Condition, Conformity, Identification, Item, Table};
use super::xml::{Node, Tree, short};
use crate::gauge::Date;

const ROOT: &str = "digitalCalibrationCertificate";

/// Reads a certificate's text.
pub(super) fn certificate(text: &str) -> Result<Certificate, CertificateError> {
    let tree = Tree::parse(text)?;
    let root = tree.root();
    let wrong = |problem| CertificateError::at(text, root.offset(), problem);
    if root.name() != ROOT {
        let found = short(root.name());
        return Err(wrong(CertificateProblem::NotACertificate { found }));
    }
    let version = root.attribute("schemaVersion").map(str::to_owned);
    if let Some(version) = &version {
        let major = version.split('.').next().unwrap_or("");
        if !["2", "3"].contains(&major) {
            let found = short(version);
            return Err(wrong(CertificateProblem::UnknownVersion { found }));
        }
    }
    let mut tables = Vec::new();
    for result in root.below("result") {
        tables_of(&mut tables, result);
    }
    let administrative = root.child("administrativeData");
    let core = administrative.and_then(|node| node.child("coreData"));
    let of_core = |name| core.and_then(|core| core.child(name)).and_then(written);
    let date = |name| of_core(name).and_then(|text| Date::parse(text.get(..10)?));
    let items = administrative.map(|node| node.below("item"));
    let laboratory = administrative
        .and_then(|node| node.path(&["calibrationLaboratory", "contact"]))
        .and_then(Node::title);
    Ok(Certificate {
        version,
        number: of_core("uniqueIdentifier"),
        performed: date("endPerformanceDate").or_else(|| date("beginPerformanceDate")),
        issued: date("issueDate"),
        laboratory: laboratory.map(str::to_owned),
        items: items.unwrap_or_default().into_iter().map(item).collect(),
        tables,
        conformity: conformity(root),
        conditions: conditions(root),
        is_signed: root.child("Signature").is_some(),
    })
}

fn written(node: Node<'_>) -> Option<String> {
    let text = node.text();
    (!text.is_empty()).then(|| text.to_owned())
}

fn item(node: Node<'_>) -> Item {
    let of = |name| node.child(name).and_then(written);
    let numbers = node.child("identifications");
    let numbers = numbers.map(|list| list.all("identification").collect::<Vec<_>>());
    let numbers = numbers.unwrap_or_default().into_iter().filter_map(|one| {
        Some(Identification {
            issuer: one.child("issuer").and_then(written).unwrap_or_default(),
            name: one.title().map(str::to_owned),
            value: one.child("value").and_then(written)?,
        })
    });
    Item {
        name: node.title().map(str::to_owned),
        manufacturer: node
            .child("manufacturer")
            .and_then(Node::title)
            .map(str::to_owned),
        model: of("model"),
        identifications: numbers.collect(),
    }
}

fn conformity(root: Node<'_>) -> Vec<Conformity> {
    let stated = root.below("metaData").into_iter().filter_map(|node| {
        let word = written(node.child("conformity")?)?;
        let about = node.title().or_else(|| {
            let declared = node.child("declaration")?;
            declared.content()
        });
        Some(Conformity {
            word,
            about: about.map(str::to_owned),
        })
    });
    stated.collect()
}

fn conditions(root: Node<'_>) -> Vec<Condition> {
    let stated = root.below("influenceCondition").into_iter();
    let stated = stated.filter_map(|node| {
        let quantity = node.below("quantity").into_iter().next()?;
        let column = column(quantity)?;
        let uncertainty = column.uncertainty.as_ref();
        Some(Condition {
            name: node.title().unwrap_or(&column.name).to_owned(),
            value: column.values.first()?.clone(),
            unit: column.unit_of(0).to_owned(),
            uncertainty: uncertainty.and_then(|one| one.expanded.first().cloned()),
        })
    });
    stated.collect()
}

/// The tables of one result.
fn tables_of(tables: &mut Vec<Table>, result: Node<'_>) {
    let Some(data) = result.child("data") else {
        return;
    };
    let mut add = |title: &str, columns: Vec<Column>| {
        if !columns.is_empty() {
            let title = title.to_owned();
            tables.push(Table { title, columns });
        }
    };
    // Titles are cut short: they are handed down to every list inside.
    let mut waiting = vec![(data, short(result.title().unwrap_or("")))];
    while let Some((node, title)) = waiting.pop() {
        add(&title, node.all("quantity").filter_map(column).collect());
        let lists: Vec<Node<'_>> = node.all("list").collect();
        if let Some(rows) = rows_of(&lists) {
            add(&title, rows);
            continue;
        }
        let inside = lists.into_iter().rev().map(|list| {
            let title = match (title.as_str(), list.title()) {
                (outer, None) => outer.to_owned(),
                ("", Some(inner)) => short(inner),
                (outer, Some(inner)) => short(&format!("{outer}: {inner}")),
            };
            (list, title)
        });
        waiting.extend(inside);
    }
}

/// Lists that are the rows of one table: each holds single values of the same names.
fn rows_of(lists: &[Node<'_>]) -> Option<Vec<Column>> {
    if lists.len() < 2 {
        return None;
    }
    let mut rows: Vec<Vec<Column>> = Vec::new();
    for list in lists {
        let row: Vec<Column> = list.all("quantity").filter_map(column).collect();
        let is_single = |one: &Column| one.values.len() == 1 && !one.name.is_empty();
        if list.child("list").is_some() || row.is_empty() || !row.iter().all(is_single) {
            return None;
        }
        rows.push(row);
    }
    let mut rows = rows.into_iter();
    let first = rows.next()?;
    let mut table: Vec<Vec<Column>> = first.into_iter().map(|one| vec![one]).collect();
    for row in rows {
        let same = table.len() == row.len()
            && table.iter().zip(&row).all(|(above, one)| {
                let above = above.first();
                above.is_some_and(|above| {
                    above.name == one.name
                        && above.uncertainty.is_some() == one.uncertainty.is_some()
                })
            });
        if !same {
            return None;
        }
        for (above, one) in table.iter_mut().zip(row) {
            above.push(one);
        }
    }
    table.into_iter().map(joined).collect()
}

/// Columns of one value each, one below the other; none of no columns. Each value keeps its own
/// unit, if only that none is written, and where one lacks an uncertainty there is none: shorter
/// lists would give it its neighbour's.
fn joined(values: Vec<Column>) -> Option<Column> {
    let is_whole = |one: &Column| {
        let stated = one.uncertainty.as_ref();
        stated.is_some_and(|one| one.expanded.len() == 1 && one.coverage_factor.len() == 1)
    };
    let are_whole = values.iter().all(is_whole);
    let mut all = values.into_iter();
    let mut column = all.next()?;
    column.units = vec![column.units.join(" ")];
    for one in all {
        column.values.extend(one.values);
        column.units.push(one.units.join(" "));
        if let (Some(of), Some(one)) = (&mut column.uncertainty, one.uncertainty) {
            of.expanded.extend(one.expanded);
            of.coverage_factor.extend(one.coverage_factor);
            of.probability.extend(one.probability);
        }
    }
    column.uncertainty = column.uncertainty.filter(|_| are_whole);
    Some(column)
}

/// One quantity; none when it holds no numbers.
fn column(quantity: Node<'_>) -> Option<Column> {
    let mut column = numbers(quantity)?;
    let label = std::mem::take(&mut column.name);
    column.name = quantity.title().map_or(label, str::to_owned);
    column.ref_type = quantity.attribute("refType").unwrap_or("").to_owned();
    Some(column)
}

/// The numbers of a quantity in whichever of the forms they stand.
fn numbers(quantity: Node<'_>) -> Option<Column> {
    if let Some(hybrid) = quantity.child("hybrid") {
        // The same in several units: the first in a unit of length, else the first.
        let forms: Vec<Column> = hybrid.children().filter_map(form).collect();
        let is_length = |one: &&Column| length_power(one.unit_of(0)).is_some();
        let chosen = forms.iter().find(is_length).or(forms.first());
        return chosen.cloned();
    }
    if let Some(list) = quantity.child("list") {
        // The older form of a list: one element for each value.
        let mut column = joined(list.all("real").filter_map(form).collect())?;
        if column.uncertainty.is_none() {
            column.uncertainty = list.child("listUnivariateUnc").and_then(uncertainty);
        }
        return Some(column);
    }
    quantity.children().find_map(form)
}

/// A number or a list of numbers.
fn form(node: Node<'_>) -> Option<Column> {
    let of = |name| node.child(name).map_or("", Node::text);
    let (values, units, name) = match node.name() {
        "real" => (vec![of("value").to_owned()], of("unit"), of("label")),
        "realListXMLList" => (words(of("valueXMLList")), of("unitXMLList"), ""),
        _ => return None,
    };
    Some(Column {
        name: name.to_owned(),
        ref_type: String::new(),
        units: words(units),
        values,
        uncertainty: uncertainty(node),
    })
}

fn words(text: &str) -> Vec<String> {
    text.split_whitespace().map(str::to_owned).collect()
}

/// The uncertainty of a number or a list: under its older names, its newer ones, expanded or
/// standard (which is one expanded by 1).
fn uncertainty(node: Node<'_>) -> Option<Uncertainty> {
    const NEWER: [&str; 2] = [
        "measurementUncertaintyUnivariate",
        "measurementUncertaintyUnivariateXMLList",
    ];
    const EXPANDED: [(&str, &str); 4] = [
        ("expandedUnc", "uncertainty"),
        ("expandedUncXMLList", "uncertaintyXMLList"),
        ("expandedMU", "valueExpandedMU"),
        ("expandedMUXMLList", "valueExpandedMUXMLList"),
    ];
    const STANDARD: [(&str, &str); 2] = [
        ("standardMU", "valueStandardMU"),
        ("standardMUXMLList", "valueStandardMUXMLList"),
    ];
    let holder = NEWER.iter().find_map(|name| node.child(name));
    let holder = holder.unwrap_or(node);
    let list = |of: Node<'_>, name: &'static str, names: &'static str| {
        let found = of.child(name).or_else(|| of.child(names));
        found.map_or_else(Vec::new, |found| words(found.text()))
    };
    let distribution = |of: Node<'_>| {
        let found = list(of, "distribution", "distributionXMLList");
        found.into_iter().next()
    };
    for (outer, inner) in EXPANDED {
        if let Some(of) = holder.child(outer) {
            return Some(Uncertainty {
                expanded: words(of.child(inner)?.text()),
                coverage_factor: list(of, "coverageFactor", "coverageFactorXMLList"),
                probability: list(of, "coverageProbability", "coverageProbabilityXMLList"),
                distribution: distribution(of),
            });
        }
    }
    STANDARD.iter().find_map(|(outer, inner)| {
        let of = holder.child(outer)?;
        Some(Uncertainty {
            expanded: words(of.child(inner)?.text()),
            coverage_factor: vec!["1".to_owned()],
            probability: Vec::new(),
            distribution: distribution(of),
        })
    })
}
