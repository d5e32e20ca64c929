//! The why of a thread: standard, row, rule and arithmetic, and what is verified, in words.

use fitledger::tolerance::{Context, ThreadTables, limits_of};

fn why(text: &str) -> Vec<String> {
    let context = Context::standard();
    let (_, limits) = limits_of(text, &context).unwrap_or_else(|error| panic!("{text}: {error}"));
    limits
        .explain(&context)
        .iter()
        .map(ToString::to_string)
        .collect()
}

/// The remark in brackets of the step that starts so.
fn source(text: &str, start: &str) -> String {
    let steps = why(text);
    let step = steps.iter().find(|step| step.starts_with(start));
    let step = step.unwrap_or_else(|| panic!("{text} has no {start}: {steps:#?}"));
    let (_, remark) = step.split_once(" µm (").unwrap();
    remark.trim_end_matches(')').to_owned()
}

#[test]
fn a_whole_why_reads_in_order() {
    assert_eq!(
        why("M10-6H"),
        [
            "no pitch written: the coarse pitch of M10 is 1.5 mm (ISO 261)",
            "ISO 724: D2 = 10 - 0.649519 × 1.5 = 9.0257",
            "ISO 724: D1 = 10 - 1.082532 × 1.5 = 8.3762",
            "ISO 965-1:2013: position H, P 1.5 mm: EI = 0 µm (zero by definition)",
            "ISO 965-1:2013: TD2 of grade 6, over 5.6 to 11.2 mm, P 1.5 mm = 180 µm (from memory, \
             compared with open CAD data; the formula gives 170 µm, the table wins)",
            "ISO 965-1:2013: TD1 of grade 6, P 1.5 mm = 300 µm (from memory, compared with open \
             CAD data)",
            "major diameter, lower limit: D + EI = 10 + 0 µm = 10.000",
            "major diameter, upper limit: none in the standard",
            "pitch diameter, lower limit: D2 + EI = 9.0257 + 0 µm = 9.026",
            "pitch diameter, upper limit: D2 + EI + TD2 = 9.0257 + 0 µm + 180 µm = 9.206",
            "minor diameter, lower limit: D1 + EI = 8.3762 + 0 µm = 8.376",
            "minor diameter, upper limit: D1 + EI + TD1 = 8.3762 + 0 µm + 300 µm = 8.676",
        ]
    );
}

#[test]
fn defaults_starts_engagement_and_formulas_are_told() {
    let has = |text: &str, wanted: &str| {
        let steps = why(text);
        assert!(
            steps.iter().any(|step| step.contains(wanted)),
            "{wanted}: {steps:#?}"
        );
    };
    has(
        "M10",
        "no class written: 6H, the class of quality medium and engagement N",
    );
    has(
        "M10",
        "no class written: 6g, the class of quality medium and engagement N",
    );
    has("M1.4", "no class written: 5H,");
    has("M1.4", "no class written: 6h,");
    has("M1.6", "no class written: 6H,");
    has("M1x0.2", "no class written: 4H,");
    has(
        "M16xPh3P1.5-6H",
        "2 starts: 190 × 1.12 = 213 µm (ISO 965-1:2013 clause 9, from memory, unverified)",
    );
    has(
        "M20x2-7g6g-15",
        "engagement 15 mm is of group N: S up to 8 mm, L over 24 mm (ISO 965-1:2013; from memory, \
         compared with Machinery's Handbook 27th ed.)",
    );
    has(
        "M10x1.1-6g",
        "Td2 of grade 6, over 5.6 to 11.2 mm, P 1.1 mm, not tabled: 112 µm by the formula of ISO \
         965-1:2013 (from memory)",
    );
    has(
        "M10x1.1-6g",
        "position g, P 1.1 mm, not tabled: es = -28 µm by the formula",
    );
    has(
        "M10-6az",
        "ISO 965-4 (from memory): es = -(300 + 20 P), P 1.5 mm: -330 µm",
    );
    has(
        "M10-6AZ",
        "ISO 965-5 (its abstract): EI = 300 + 20 P, P 1.5 mm: +330 µm",
    );
}

/// The codes of a row are read for the one cell that is used: the same row is verified at one
/// grade and not at another.
#[test]
fn what_is_verified_is_said_of_the_cell_and_not_of_the_row() {
    let unverified = "from memory; the formula gives the same; in no public table seen: not \
                      verified";
    let td2 = "ISO 965-1:2013: Td2";
    // Row 22.4 to 45, P 3.5: BS3643 grades 4 6 8; CAD grade 6.
    assert_eq!(
        source("M30-6g", td2),
        "from memory, compared with BS 3643 in Machinery's Handbook 27th ed. and open CAD data"
    );
    assert_eq!(
        source("M30-8g", td2),
        "from memory, compared with BS 3643 in Machinery's Handbook 27th ed."
    );
    assert_eq!(source("M30-7g6g", td2), unverified);
    // Row 22.4 to 45, P 3: MH31 grades 3-7; CAD grade 6.
    assert_eq!(
        source("M24-7g6g", td2),
        "from memory, compared with Machinery's Handbook 31st ed."
    );
    assert_eq!(source("M24-8g", td2), unverified);
    assert_eq!(source("M24-9g8g", td2), unverified);
    // Row 22.4 to 45, P 2: MH31 all grades.
    assert!(source("M27x2-5g6g", td2).starts_with("from memory, compared with Machinery's"));
    // Deviations: G by a catalogue at P 0.5 only, a from memory only, e off its formula.
    let position = "ISO 965-1:2013: position";
    assert_eq!(
        source("M3-6G", position),
        "from memory, compared with a tap maker's catalogue"
    );
    assert_eq!(source("M10-6G", position), unverified);
    assert_eq!(
        source("M10-6a", position),
        "from memory; in no public table seen: not verified"
    );
    assert_eq!(
        source("M3-6e", position),
        "from memory; the formula gives -56 µm, the table wins; in no public table seen: not \
         verified"
    );
    assert_eq!(
        source("M10-6g", position),
        "from memory, compared with ASME B1.13M and open CAD data"
    );
}

/// No code of a row reaches the reader, and no step is told twice.
#[test]
fn every_why_is_in_words_and_says_each_step_once() {
    let codes = [
        "mem;", "mem ", "MH2", "MH3", "BS3643", "GB9145", "YAM", "OPT", "LIM", "; F",
    ];
    for size in ThreadTables::standard().sizes() {
        let classes = ["-4H", "-5H/6h", "-6H/6g", "-7H/8g", "-6G/6e", "-6H/6a", ""];
        for class in classes {
            let text = match class {
                "" => format!("M{}", size.nominal), // the coarse pitch is told once for both
                class => format!("M{}x{}{class}", size.nominal, size.pitch),
            };
            let context = Context::standard();
            let Ok((_, limits)) = limits_of(&text, &context) else {
                continue;
            };
            let steps = limits.explain(&context);
            for (at, step) in steps.iter().enumerate() {
                assert!(!steps[..at].contains(step), "{text}: {step}");
                let step = step.to_string().replace("from memory", "");
                for code in codes {
                    assert!(!step.contains(code), "{text}: {step}");
                }
            }
        }
    }
}
