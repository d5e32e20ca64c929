//! Batches to test with: of shafts that are measured at the bench, and one made by hand that has
//! something in every field.

use fitledger::report::{
    Asked, BatchAhead, BatchBreakRow, BatchCell, BatchFacts, BatchIndex, BatchInterval,
    BatchNormality, BatchRow, BatchShare, BatchSheet, BatchSignal, BatchStands, BatchStretch,
    BatchTrend,
};

fn text(text: &str) -> String {
    text.to_owned()
}

/// A batch with something in every field: two characteristics with a section of their own, one of
/// which ends at zero, and one without.
pub(crate) fn by_hand(asked: &[Asked], parts: u32) -> BatchSheet {
    let rows = (1..=parts).map(|part| BatchRow {
        part,
        serial: format!("S-{part:04}"),
        cells: asked.iter().map(|asked| cell(asked, part)).collect(),
    });
    let mut sized = asked.iter().filter(|asked| asked.unit != "check");
    let mut characteristics = Vec::new();
    if let Some(first) = sized.next() {
        characteristics.push(whole(first.number));
    }
    if let Some(second) = sized.next() {
        characteristics.push(BatchFacts {
            ahead: None,
            ..whole(second.number)
        });
    }
    if let Some(third) = sized.next() {
        characteristics.push(BatchFacts {
            stretches: Vec::new(),
            signals: Vec::new(),
            trend: None,
            ahead: None,
            share: None,
            interval: None,
            normality: None,
            put_back: Vec::new(),
            advice: Vec::new(),
            ..whole(third.number)
        });
    }
    BatchSheet {
        parts,
        remarks: vec![text("what the numbers stand on")],
        rows: rows.collect(),
        characteristics,
    }
}

fn cell(asked: &Asked, part: u32) -> BatchCell {
    let at = asked.number + usize::try_from(part).unwrap();
    let standing = ["GO", "NO-GO", "DOUBT", "NOTED", "open", "not selected"][at % 6];
    let is_there = !matches!(standing, "open" | "not selected");
    let value = |last: usize| match (is_there, asked.unit.as_str()) {
        (false, _) => String::new(),
        (true, "check") => text("goes"),
        (true, _) => format!("{}.{:03}", 10 + asked.number, 100 + last),
    };
    let is_several = asked.points > 1 && asked.unit != "check" && standing != "GO";
    let of_several = |last: usize| match is_several {
        true => value(last),
        false => String::new(),
    };
    BatchCell {
        number: asked.number,
        standing: text(standing),
        value: value(at),
        smallest: of_several(at - 1),
        largest: of_several(at + 1),
        is_in_doubt: standing == "DOUBT",
        concession: (standing == "NO-GO").then_some(140),
        voided: u32::from(at.is_multiple_of(5)),
        tests: if at.is_multiple_of(4) {
            vec![1, 5]
        } else {
            Vec::new()
        },
    }
}

fn whole(number: usize) -> BatchFacts {
    let index = |name: &str, estimate: &str, way: &str| BatchIndex {
        name: text(name),
        estimate: text(estimate),
        lower: format!("0.8{number}"),
        upper: format!("1.3{number}"),
        way: text(way),
        confidence: text("0.95"),
    };
    BatchFacts {
        number,
        unit: text("mm"),
        lower: format!("{}.101", 10 + number),
        upper: format!("{}.133", 10 + number),
        stands: BatchStands {
            go: 5,
            no_go: 2,
            doubt: 3,
            noted: 1,
            open: 4,
            not_selected: 6,
        },
        in_doubt: 1,
        values: 32,
        mean: format!("{}.1172", 10 + number),
        sd: format!("0.0041{number}"),
        smallest: format!("{}.108", 10 + number),
        largest: format!("{}.129", 10 + number),
        range: format!("0.02{number}"),
        indices: vec![
            index("Cp", "1.07", "moving_range"),
            index("Cpk", "1.05", "moving_range"),
            index("Ppk", "", "log_normal"),
        ],
        interval: Some(BatchInterval {
            lower: format!("{}.1041", 10 + number),
            upper: format!("{}.1303", 10 + number),
            share: text("0.99"),
            confidence: text("0.95"),
        }),
        normality: Some(BatchNormality {
            step_over_sd: format!("0.2{number}"),
            is_too_coarse: false,
            a2: format!("0.41{number}"),
            a2_p: format!("0.33{number}"),
            w: format!("0.97{number}"),
            w_p: format!("0.01{number}"),
        }),
        stretches: vec![
            stretch(number, 1, Vec::new()),
            stretch(
                number,
                21,
                vec![
                    BatchBreakRow {
                        kind: text("tool_changed"),
                        amount: String::new(),
                        note: text("insert four"),
                    },
                    BatchBreakRow {
                        kind: text("offset_applied"),
                        amount: text("-0.006"),
                        note: text("after the insert"),
                    },
                ],
            ),
        ],
        put_back: vec![3, 9],
        signals: vec![BatchSignal {
            test: 1,
            name: text("a point beyond a control limit"),
            parts: vec![7, 11],
        }],
        trend: Some(BatchTrend {
            parts: 12,
            slope: format!("0.00052{number}"),
            lower: format!("0.00041{number}"),
            upper: format!("0.00063{number}"),
            confidence: text("0.95"),
            is_beyond_chance: true,
        }),
        ahead: Some(BatchAhead {
            limit: format!("{}.1309", 10 + number),
            is_upper: true,
            part: 44,
            earliest: 39,
            latest: 52,
            single: 37,
            confidence: text("0.95"),
        }),
        share: Some(BatchShare {
            seen: format!("0.0038{number}"),
            measuring: format!("0.0009{number}"),
            share: text("0.06"),
            parts: format!("0.0037{number}"),
        }),
        offset: text("-0.004"),
        offset_told: text("offset -0.004 on the diameter"),
        measure_every: 4,
        advice: vec![format!("advice about {number}")],
        remarks: vec![format!("remark about {number}")],
        missing: vec![format!("what is missing of {number}")],
        charted: None,
    }
}

fn stretch(number: usize, from_part: u32, breaks: Vec<BatchBreakRow>) -> BatchStretch {
    BatchStretch {
        from_part,
        to_part: from_part + 19,
        parts: 20,
        breaks,
        lower_control: format!("{}.10{from_part}", 10 + number),
        centre: format!("{}.11{from_part}", 10 + number),
        upper_control: format!("{}.12{from_part}", 10 + number),
        deviation: format!("0.004{from_part}"),
        is_provisional: true,
        is_coarse: true,
    }
}
