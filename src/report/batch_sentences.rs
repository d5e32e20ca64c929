//! The numbers over the parts in sentences, for a terminal: the same that page and paper say.

use super::batch_told::{index_text, named, next, said, stands, way_text};
use super::options::ReportOptions;
use super::row_texts::value;
use super::sheet::Sheet;
use super::sheet_batch::BatchFacts;

/// Each characteristic that has sizes: its name, and what is said of it. None without a batch.
pub fn batch_sentences(sheet: &Sheet, options: &ReportOptions) -> Vec<(String, Vec<String>)> {
    let all = sheet.batch.iter().flat_map(|batch| &batch.characteristics);
    let told = all.filter_map(|facts| {
        let asked = sheet.asked_under(facts.number)?;
        Some((named(options, asked), sentences(options, facts)))
    });
    told.collect()
}

fn sentences(options: &ReportOptions, facts: &BatchFacts) -> Vec<String> {
    let words = &options.words.batch;
    let mut lines = Vec::new();
    let all = stands(options, facts).join(", ");
    lines.push(format!("{}: {}", words.values, facts.values) + &in_brackets(&all));
    let number = |text: &String| value(options, text);
    if !facts.mean.is_empty() {
        let sd = match facts.sd.as_str() {
            "" => String::new(),
            _ => format!(", {} {}", words.sd, number(&facts.sd)),
        };
        let (least, most) = (number(&facts.smallest), number(&facts.largest));
        lines.push(format!(
            "{}: {}{sd} {}",
            words.mean,
            number(&facts.mean),
            facts.unit
        ));
        lines.push(format!("{}: {least}, {most}", words.extremes));
    }
    for index in &facts.indices {
        let way = way_text(options, index);
        lines.push(index_text(options, index) + &in_brackets(&way));
    }
    let sentences = said(options, facts).into_iter().map(|said| said.text);
    lines.extend(sentences);
    if facts.advice.is_empty() {
        lines.push(next(options, facts));
    }
    lines.retain(|line| !line.is_empty());
    lines
}

fn in_brackets(text: &str) -> String {
    match text {
        "" => String::new(),
        text => format!(" ({text})"),
    }
}
