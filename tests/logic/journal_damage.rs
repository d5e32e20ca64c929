//! Whatever happens to a journal's bytes is reported with its place, and everything else stays
//! readable. Every case of the tables below goes through the five invariants of
//! `support/damage.rs`; what a test says beside them is what it knows more exactly.
//!
//! With `FITLEDGER_DAMAGE=all` every cut and every bit is tried; else each as said below.

use fitledger::journal::{FindingKind, State, Tail, verify};

use crate::support::damage::{Harm, Written, five_invariants, on_two_threads, stride};
use crate::support::journals::{checked, closed_journal, line_starts};

/// Events of the journals that are damaged at every place.
const EVENTS: u64 = 200;
/// Each 7th cut, as long as not all are asked for: each length of a line's rest occurs.
const CUTS: usize = 7;
/// Each 127th bit: prime, so that each bit of a byte and each field of a line is hit.
const BITS: usize = 127;

#[test]
fn a_journal_cut_at_every_byte_keeps_its_complete_lines() {
    let written = Written::new(closed_journal(EVENTS));
    let length = written.bytes.len();
    let cases = on_two_threads(length + 1, stride(CUTS), |cut| {
        let whole = written.starts.partition_point(|start| *start <= cut) - 1;
        let (start, bytes) = (written.starts[whole], cut - written.starts[whole]);
        let only_end_missing = written.starts.get(whole + 1) == Some(&(cut + 1));
        let readable = whole + usize::from(only_end_missing);
        let at_line = bytes == 0;
        let read = five_invariants(
            &written,
            written.bytes[..cut].to_vec(),
            &Harm {
                case: &format_args!("cut at {cut}"),
                spared: &|line| line < readable,
                told_at: (!at_line).then_some(start as u64..=start as u64),
            },
        );
        assert!(read.numbers.iter().copied().eq(1..=readable as u64));
        let torn = Tail::Torn {
            offset: start as u64,
            bytes: bytes as u64,
        };
        let expected = match bytes {
            0 if cut == length => (State::Sound, Tail::Whole, vec![]),
            0 => (State::NotClosed, Tail::Whole, vec![]),
            _ if only_end_missing => (
                State::TornTail,
                Tail::LineEndMissing,
                vec!["line_end_missing"],
            ),
            _ => (State::TornTail, torn, vec!["torn_tail"]),
        };
        let found = (read.report.state, read.report.tail, read.codes());
        assert_eq!(found, expected, "cut at {cut}");
    });
    println!("{cases} cuts of {length} bytes");
}

#[test]
fn a_flip_of_any_bit_is_found_in_its_line_and_the_other_lines_stay_readable() {
    let written = Written::new(closed_journal(EVENTS));
    let lines = written.lines();
    let cases = on_two_threads(written.bytes.len() * 8, stride(BITS), |flip| {
        check_flip(&written, flip / 8, flip % 8, lines);
    });
    // Whatever the stride, every bit of the line ends, where two lines are hit.
    let ends = on_two_threads(lines * 8, stride(7), |flip| {
        check_flip(&written, written.starts[flip / 8 + 1] - 1, flip % 8, lines);
    });
    println!("{cases} bits, and {ends} of line ends");
}

fn check_flip(written: &Written, at: usize, bit: usize, lines: usize) {
    let mut flipped = written.bytes.clone();
    flipped[at] ^= 1 << bit;
    let line = written.line_of(at);
    let end_hit = at + 1 == written.starts[line + 1];
    let start = written.starts[line] as u64;
    let read = five_invariants(
        written,
        flipped,
        &Harm {
            case: &format_args!("bit {bit} of byte {at}"),
            spared: &|other| other != line && !(end_hit && other == line + 1),
            told_at: Some(start..=start),
        },
    );
    let lost = if end_hit && line + 1 < lines { 2 } else { 1 };
    assert_eq!(read.numbers.len(), lines - lost, "bit {bit} of byte {at}");
    let last_end_hit = end_hit && line + 1 == lines;
    let state = if last_end_hit {
        State::TornTail
    } else {
        State::Damaged
    };
    assert_eq!(read.report.state, state, "bit {bit} of byte {at}");
    assert!(read.report.findings.len() <= 2, "{:?}", read.codes());
}

#[test]
fn an_overwritten_block_is_found_and_the_lines_outside_it_stay_readable() {
    let written = Written::new(closed_journal(EVENTS));
    let journal = &written.bytes;
    let mut cases = 0;
    for size in [512, 4096] {
        for block in 0..journal.len() / size {
            let (from, to) = (block * size, (block + 1) * size);
            let other = if block == 0 { size } else { 0 };
            let misdirected = journal[other..other + size].to_vec();
            for (what, content) in [
                ("zeros", vec![0; size]),
                ("0xFF", vec![0xff; size]),
                ("another block", misdirected),
            ] {
                let mut damaged = journal.clone();
                damaged[from..to].copy_from_slice(&content);
                // A line directly behind may have lost its beginning with the LF before it.
                let glued = damaged[to - 1] != b'\n';
                let first = written.starts[written.line_of(from)] as u64;
                five_invariants(
                    &written,
                    damaged,
                    &Harm {
                        case: &format_args!("block {block} of {size} bytes: {what}"),
                        spared: &|line| {
                            let (start, end) = (written.starts[line], written.starts[line + 1]);
                            end <= from || start > to || (start == to && !glued)
                        },
                        told_at: Some(first..=to as u64 - 1),
                    },
                );
                cases += 1;
            }
        }
    }
    println!("{cases} blocks of {} bytes", journal.len());
}

/// The journal's lines put together in another order.
fn rearranged(written: &Written, order: &[usize]) -> Vec<u8> {
    let lines = order.iter().map(|line| written.line(*line));
    lines.flat_map(|line| [line, b"\n"].concat()).collect()
}

#[test]
fn every_line_dropped_doubled_or_swapped_is_found() {
    let written = Written::new(closed_journal(EVENTS));
    let lines = written.lines();
    let start = |line: usize| written.starts[line] as u64;
    for line in 0..lines {
        let number = line as u64 + 1;
        let is_last = line + 1 == lines;
        let without: Vec<usize> = (0..lines).filter(|other| *other != line).collect();
        let read = five_invariants(
            &written,
            rearranged(&written, &without),
            &Harm {
                case: &format_args!("line {number} dropped"),
                spared: &|other| other != line,
                // Whole lines cut off the end leave a valid shorter chain; only the close tells.
                told_at: (!is_last).then(|| start(line)..=start(line)),
            },
        );
        if !is_last {
            let (first, last) = (number, number);
            let kinds: Vec<_> = read.report.findings.iter().map(|one| one.kind).collect();
            assert_eq!(kinds, [FindingKind::Missing { first, last }]);
        }
        let mut doubled: Vec<usize> = (0..lines).collect();
        doubled.insert(line, line);
        let read = five_invariants(
            &written,
            rearranged(&written, &doubled),
            &Harm {
                case: &format_args!("line {number} doubled"),
                spared: &|_| true,
                told_at: Some(start(line + 1)..=start(line + 1)),
            },
        );
        let expected: &[&str] = match is_last {
            true => &["after_close", "duplicate"],
            false => &["duplicate"],
        };
        assert_eq!(read.codes(), expected);
        if !is_last {
            check_swap(&written, line);
        }
    }
    println!(
        "{lines} lines dropped, {lines} doubled, {} swapped",
        lines - 1
    );
}

fn check_swap(written: &Written, line: usize) {
    let lines = written.lines();
    let mut swapped: Vec<usize> = (0..lines).collect();
    swapped.swap(line, line + 1);
    let start = written.starts[line] as u64;
    let read = five_invariants(
        written,
        rearranged(written, &swapped),
        &Harm {
            case: &format_args!("lines {} and {} swapped", line + 1, line + 2),
            spared: &|_| true,
            told_at: Some(start..=start),
        },
    );
    let expected: &[&str] = match line + 2 == lines {
        true => &["missing", "after_close", "out_of_order"],
        false => &["missing", "out_of_order"],
    };
    assert_eq!(read.codes(), expected, "line {}", line + 1);
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
