//! All parts together in a report.

use std::fs;
use std::path::Path;
use std::time::Instant;

use fitledger::report::{ReportOptions, Sheet, html, json, pdf};

use crate::support::batch_shafts::shafts;
use crate::support::sheets::sheet_of;

fn kept(name: &str, sheet: &Sheet) -> (String, Vec<u8>) {
    let options = ReportOptions::default();
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("report_batch");
    fs::create_dir_all(&folder).unwrap();
    let start = Instant::now();
    let page = html(sheet, &options);
    println!("{name} html {:?} {} bytes", start.elapsed(), page.len());
    let start = Instant::now();
    let paper = pdf(sheet, &options).unwrap();
    println!("{name} pdf {:?} {} bytes", start.elapsed(), paper.len());
    fs::write(folder.join(format!("{name}.html")), &page).unwrap();
    fs::write(folder.join(format!("{name}.pdf")), &paper).unwrap();
    fs::write(folder.join(format!("{name}.json")), json(sheet)).unwrap();
    (page, paper)
}

#[test]
fn look() {
    for count in [12, 40, 200] {
        let start = Instant::now();
        let bench = shafts(count);
        println!("{count} bench {:?}", start.elapsed());
        let start = Instant::now();
        let sheet = sheet_of(&bench);
        println!("{count} sheet {:?}", start.elapsed());
        kept(&format!("shafts-{count}"), &sheet);
    }
}
