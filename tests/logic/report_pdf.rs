//! The report on paper, read back.
use fitledger::report::{ReportOptions, pdf};

use crate::support::pdf_sheets;

#[test]
fn looked_at() {
    let out = std::path::Path::new("/tmp/look");
    std::fs::create_dir_all(out).unwrap();
    let all = [
        ("one", pdf_sheets::one_part()),
        ("concession", pdf_sheets::with_concession()),
        ("long60", pdf_sheets::long(60)),
        ("long200", pdf_sheets::long(200)),
        ("parts50", pdf_sheets::parts(50)),
        ("empty", pdf_sheets::empty()),
        (
            "names500",
            pdf_sheets::everywhere(&"Pumpenwelle mit Bund ".repeat(24)),
        ),
        ("word500", pdf_sheets::everywhere(&"W".repeat(500))),
        (
            "hostile",
            pdf_sheets::everywhere(&pdf_sheets::HOSTILE.join(" | ")),
        ),
    ];
    for (name, sheet) in all {
        let options = ReportOptions {
            with_readings: true,
            ..ReportOptions::default()
        };
        let bytes = pdf(&sheet, &options).unwrap_or_else(|why| panic!("{name}: {why}"));
        std::fs::write(out.join(format!("{name}.pdf")), bytes).unwrap();
    }
}
