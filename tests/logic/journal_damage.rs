//! Whatever happens to a journal's bytes is reported with its place, and everything else stays
//! readable. Sizes: debug builds use the smaller journals named below, release builds 200 events.

use std::io::{BufReader, Read};

use fitledger::journal::{
    DamageKind, FindingKind, Item, LONGEST_LINE, Reader, State, Tail, verify,
};

use crate::support::journals::{Seeded, checked, closed_journal, line_starts};

/// Events of the journals that are damaged at every place.
const fn events(debug: u64) -> u64 {
    if cfg!(debug_assertions) { debug } else { 200 }
}

/// Runs `test` for every number below `count`, on two threads.
fn on_two_threads(count: usize, test: impl Fn(usize) + Sync) {
    std::thread::scope(|scope| {
        for half in 0..2 {
            let test = &test;
            scope.spawn(move || (half..count).step_by(2).for_each(test));
        }
    });
}

#[test]
fn a_journal_cut_at_every_byte_keeps_its_complete_lines() {
    let journal = closed_journal(events(70));
    let starts = line_starts(&journal);
    on_two_threads(journal.len() + 1, |cut| {
        let whole = starts.partition_point(|start| *start <= cut) - 1;
        let (start, bytes) = (starts[whole], cut - starts[whole]);
        let (numbers, report) = checked(&journal[..cut]);
        let only_end_missing = starts.get(whole + 1) == Some(&(cut + 1));
        let readable = whole + usize::from(only_end_missing);
        assert!(
            numbers.iter().copied().eq(1..=readable as u64),
            "cut at {cut}: {numbers:?}"
        );
        let codes: Vec<_> = report
            .findings
            .iter()
            .map(|f| (f.code(), f.place.offset))
            .collect();
        let expected = match bytes {
            0 if cut == journal.len() => (State::Sound, Tail::Whole, vec![]),
            0 => (State::NotClosed, Tail::Whole, vec![]),
            _ if only_end_missing => (
                State::TornTail,
                Tail::LineEndMissing,
                vec![("line_end_missing", start as u64)],
            ),
            _ => (
                State::TornTail,
                Tail::Torn {
                    offset: start as u64,
                    bytes: bytes as u64,
                },
                vec![("torn_tail", start as u64)],
            ),
        };
        assert_eq!((report.state, report.tail, codes), expected, "cut at {cut}");
    });
}

#[test]
fn a_flip_of_any_bit_is_found_in_its_line_and_the_other_lines_stay_readable() {
    let journal = closed_journal(events(16));
    let starts = line_starts(&journal);
    let lines = starts.len() - 1;
    on_two_threads(journal.len() * 8, |flip| {
        let (at, bit) = (flip / 8, flip % 8);
        let mut flipped = journal.clone();
        flipped[at] ^= 1 << bit;
        let line = starts.partition_point(|start| *start <= at) - 1;
        let end_hit = at + 1 == starts[line + 1];
        let (numbers, report) = checked(&flipped);
        let lost =
            |number: &u64| *number == line as u64 + 1 || (end_hit && *number == line as u64 + 2);
        let expected: Vec<u64> = (1..=lines as u64).filter(|number| !lost(number)).collect();
        assert_eq!(numbers, expected, "bit {bit} of byte {at}");
        let last_end_hit = end_hit && line + 1 == lines;
        let state = if last_end_hit {
            State::TornTail
        } else {
            State::Damaged
        };
        assert_eq!(report.state, state, "bit {bit} of byte {at}");
        let first = report.findings.first().unwrap();
        assert_eq!(
            first.place.offset, starts[line] as u64,
            "bit {bit} of byte {at}"
        );
        assert!(
            report.findings.len() <= 2,
            "bit {bit} of byte {at}: {:?}",
            report.findings
        );
    });
}

#[test]
fn an_overwritten_block_is_found_and_the_lines_outside_it_stay_readable() {
    let journal = closed_journal(events(70));
    let starts = line_starts(&journal);
    for size in [512, 4096] {
        for block in 0..journal.len() / size {
            let (from, to) = (block * size, (block + 1) * size);
            let other = if block == 0 { size } else { 0 };
            let misdirected = journal[other..other + size].to_vec();
            for content in [vec![0; size], vec![0xff; size], misdirected] {
                let mut damaged = journal.clone();
                damaged[from..to].copy_from_slice(&content);
                let (numbers, report) = checked(&damaged);
                assert_eq!(report.state, State::Damaged, "block {block} of {size}");
                let first = report.findings.first().unwrap().place.offset;
                assert!(first < to as u64, "block {block} of {size}: {first}");
                for (index, pair) in starts.windows(2).enumerate() {
                    // A line directly behind may have lost its beginning with the LF before it.
                    let outside = pair[1] <= from || pair[0] >= to;
                    let glued = pair[0] == to && damaged[to - 1] != b'\n';
                    let number = index as u64 + 1;
                    assert!(
                        !outside || glued || numbers.contains(&number),
                        "line {number}"
                    );
                }
            }
        }
    }
}

/// The journal's lines put together in another order.
fn rearranged(journal: &[u8], order: &[usize]) -> Vec<u8> {
    let starts = line_starts(journal);
    order
        .iter()
        .flat_map(|line| journal[starts[*line]..starts[line + 1]].to_vec())
        .collect()
}

#[test]
fn every_line_dropped_doubled_or_swapped_is_found() {
    let count = 40;
    let journal = closed_journal(count);
    let lines = usize::try_from(count).unwrap();
    for line in 0..lines {
        let number = line as u64 + 1;
        let without: Vec<usize> = (0..lines).filter(|other| *other != line).collect();
        let (numbers, report) = checked(&rearranged(&journal, &without));
        assert_eq!(numbers.len(), lines - 1);
        if line + 1 == lines {
            // Whole lines cut off the end leave a valid shorter chain; only the close tells.
            assert_eq!(report.state, State::NotClosed);
        } else {
            let kinds: Vec<_> = report.findings.iter().map(|f| f.kind).collect();
            assert_eq!(
                kinds,
                [FindingKind::Missing {
                    first: number,
                    last: number
                }]
            );
            assert_eq!(report.findings[0].place.line, number);
        }

        let mut doubled: Vec<usize> = (0..lines).collect();
        doubled.insert(line, line);
        let (_, report) = checked(&rearranged(&journal, &doubled));
        assert_eq!(
            report.findings[0].kind,
            if line + 1 == lines {
                FindingKind::AfterClose
            } else {
                FindingKind::Duplicate
            }
        );
        assert_eq!(report.findings[0].place.line, number + 1);

        if line + 1 < lines {
            let mut swapped: Vec<usize> = (0..lines).collect();
            swapped.swap(line, line + 1);
            let (numbers, report) = checked(&rearranged(&journal, &swapped));
            assert_eq!(numbers.len(), lines);
            assert_eq!(report.state, State::Damaged);
            let codes: Vec<_> = report.findings.iter().map(|f| f.code()).collect();
            let at_close = line + 2 == lines;
            let expected: &[&str] = if at_close {
                &["missing", "after_close", "out_of_order"]
            } else {
                &["missing", "out_of_order"]
            };
            assert_eq!(codes, expected, "lines {number} and {}", number + 1);
        }
    }
}

#[test]
fn a_line_replaced_by_another_sound_one_breaks_the_chain_at_the_next() {
    use fitledger::journal::{Hash, encode};
    let journal = closed_journal(9);
    let starts = line_starts(&journal);
    let prev = {
        let before = &journal[starts[3]..starts[4] - 1];
        fitledger::journal::Line::parse(before).unwrap().hash
    };
    let mut forged = journal[..starts[4]].to_vec();
    let moment = crate::support::journals::moment(5);
    encode(
        &mut forged,
        5,
        moment,
        "reading_assigned",
        "{\"reading\":4,\"part\":2}",
        prev,
    )
    .unwrap();
    forged.extend_from_slice(&journal[starts[5]..]);
    let (numbers, report) = checked(&forged);
    assert_eq!(numbers.len(), 9);
    assert_eq!(report.findings.len(), 1);
    assert_eq!(report.findings[0].kind, FindingKind::ChainBroken);
    assert_eq!(report.findings[0].place.line, 6);
    assert_ne!(prev, Hash::GENESIS);
}

#[test]
fn converted_line_ends_and_a_byte_order_mark_are_told_precisely_and_all_is_readable() {
    let journal = closed_journal(12);
    let text = String::from_utf8(journal.clone()).unwrap();

    let (numbers, report) = checked(text.replace('\n', "\r\n").as_bytes());
    assert_eq!(numbers.len(), 12);
    assert_eq!(report.state, State::Damaged);
    let kinds: Vec<_> = report.findings.iter().map(|f| f.kind).collect();
    assert_eq!(kinds, [FindingKind::LineEndsConverted { lines: 12 }]);

    let (numbers, report) = checked(format!("\u{feff}{text}").as_bytes());
    assert_eq!(numbers.len(), 12);
    let kinds: Vec<_> = report.findings.iter().map(|f| f.kind).collect();
    assert_eq!(kinds, [FindingKind::ByteOrderMark]);

    let (_, report) = checked(text.replace('\n', "\r").as_bytes());
    assert_eq!(report.state, State::Damaged);
    assert_eq!(report.findings[0].code(), "line_ends_converted");
}

#[test]
fn an_endless_line_costs_bounded_memory_and_reading_goes_on_behind_it() {
    let journal = closed_journal(3);
    let starts = line_starts(&journal);
    let endless = std::io::repeat(b'x').take(16 << 20);
    let source = journal[..starts[1]]
        .chain(endless)
        .chain(&b"\n"[..])
        .chain(&journal[starts[1]..]);
    let mut reader = Reader::new(BufReader::new(source));
    let mut found = Vec::new();
    while let Some(item) = reader.next_item().unwrap() {
        found.push(match item {
            Item::Line(sound) => (sound.line.seq, sound.place.length),
            Item::Damage(damage) => {
                assert_eq!(damage.kind, DamageKind::TooLong);
                (0, damage.place.length)
            }
        });
        assert!(reader.held_bytes() <= 3 * LONGEST_LINE);
    }
    assert_eq!(
        found.iter().map(|(seq, _)| *seq).collect::<Vec<_>>(),
        [1, 0, 2, 3]
    );
    assert_eq!(found[1].1, (16 << 20) + 1);
}

#[test]
fn blank_lines_zeros_and_newer_versions_have_their_own_names() {
    let journal = closed_journal(3);
    let starts = line_starts(&journal);
    let between = |bytes: &[u8]| [&journal[..starts[1]], bytes, &journal[starts[1]..]].concat();
    let newer = {
        let covered = br#"{"v":2,"seq":2,"shape":"unknown""#;
        let hash = fitledger::journal::Hash::of(covered);
        [&covered[..], format!(",\"hash\":\"{hash}\"}}\n").as_bytes()].concat()
    };
    for (bytes, code) in [
        (&b"\n"[..], "blank_line"),
        (b"\0\0\0\0\n", "zeros"),
        (b"{\"v\":1,\"seq\":2}\n", "not_a_line"),
        (&newer, "newer_version"),
    ] {
        let (numbers, report) = checked(&between(bytes));
        assert_eq!(numbers, [1, 2, 3]);
        let codes: Vec<_> = report.findings.iter().map(|f| f.code()).collect();
        assert_eq!(codes, [code]);
        assert_eq!(report.findings[0].place.line, 2);
        assert_eq!(report.findings[0].place.length, bytes.len() as u64);
    }
}

#[test]
fn findings_are_bounded_and_the_rest_is_counted() {
    let report = verify(&*vec![b'\n'; 5_000], |_| {}).unwrap();
    assert_eq!(report.findings.len(), fitledger::journal::MOST_FINDINGS);
    assert_eq!(report.more_findings, 4_000);
    assert_eq!(report.state, State::Damaged);
}

#[test]
fn no_mutation_of_a_journal_makes_the_reader_panic_or_invent_a_line() {
    let mutations = if cfg!(debug_assertions) {
        4_000
    } else {
        100_000
    };
    let journal = closed_journal(12);
    let originals: Vec<_> = journal.split(|byte| *byte == b'\n').collect();
    on_two_threads(mutations, |seed| {
        let mut random = Seeded(seed as u64);
        let mut bytes = journal.clone();
        for _ in 0..=random.below(4) {
            let at = random.below(bytes.len());
            let length = random.below(400).min(bytes.len() - at);
            match random.below(5) {
                0 => bytes[at] = random.next().to_le_bytes()[0],
                1 => drop(bytes.drain(at..at + length.min(bytes.len() - 1))),
                2 => bytes
                    .splice(at..at, journal[..length].iter().copied())
                    .for_each(drop),
                3 => bytes.extend_from_within(at..at + length),
                _ => bytes[at..at + length].fill(0),
            }
        }
        let mut total = 0;
        let report = verify(&*bytes, |sound| {
            total += 1;
            let from = usize::try_from(sound.place.offset).unwrap();
            let line = bytes[from..].split(|byte| *byte == b'\n').next().unwrap();
            let line = line.strip_suffix(b"\r").unwrap_or(line);
            assert!(
                originals.contains(&line),
                "seed {seed}: a line that was never written"
            );
        })
        .unwrap();
        assert_eq!(report.events, total, "seed {seed}");
        assert_eq!(report.length, bytes.len() as u64, "seed {seed}");
        let unchanged = bytes == journal;
        assert_eq!(
            report.state == State::Sound,
            unchanged,
            "seed {seed}: {report:?}"
        );
    });
}
