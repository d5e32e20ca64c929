//! Claims that are far too large (numbers, counts, lengths, depths) give findings and faults, and
//! cost bounded memory and time. How: every piece of work is done under the counting allocator of
//! `support/counted.rs`, which tells which claim cost too much; a limit would only end the process.

use std::io::{BufReader, Read};

use fitledger::journal::{
    DamageKind, FileStart, Finding, FindingKind, Hash, Item, LONGEST_LINE, Moment, Part, Reader,
    State, encode, verify,
};
use fitledger::session::{Check, replay};

use crate::support::bench::{moment_at, plan};
use crate::support::counted::most_held;
use crate::support::damage::MOST_BYTES;
use crate::support::journals::{closed_journal, line_starts};

/// The largest number that a line may carry (RFC 8259, section 6).
const LARGEST: u64 = (1 << 53) - 1;
/// Most that a session's state may hold here: plan, register and tables take some of it.
const MOST_OF_STATE: usize = 32 * 1024 * 1024;

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
    let ((), held) = most_held(|| {
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
    });
    assert!(held <= MOST_BYTES, "{held} bytes held");
    assert_eq!(
        found.iter().map(|(seq, _)| *seq).collect::<Vec<_>>(),
        [1, 0, 2, 3]
    );
    assert_eq!(found[1].1, (16 << 20) + 1);
}

#[test]
fn an_endless_file_without_a_line_end_is_one_torn_tail() {
    for filler in [0_u8, b'x', b'{', b'"', 0xff] {
        let source = BufReader::new(std::io::repeat(filler).take(8 << 20));
        let (report, held) = most_held(|| verify(source, |_| {}).unwrap());
        assert!(held <= MOST_BYTES, "{held} bytes held");
        assert_eq!((report.state, report.events), (State::TornTail, 0));
        assert_eq!(report.length, 8 << 20);
    }
}

/// A session whose second line makes a claim, with a chain that is right.
fn claiming(seq: u64, mono_ms: u64, kind: &str, body: &str) -> Vec<u8> {
    let opened = plan("[[feature]]\nid = \"A\"\ncallout = \"20 k6\"\n");
    let event = fitledger::journal::Event::SessionOpened(Box::new(opened));
    let mut bytes = Vec::new();
    let opening = fitledger::journal::body_of(&event);
    let first = encode(
        &mut bytes,
        1,
        moment_at(0),
        event.kind(),
        &opening,
        Hash::GENESIS,
    );
    let moment = Moment {
        mono_ms,
        ..moment_at(1_000)
    };
    let prev = encode(&mut bytes, seq, moment, kind, body, first.unwrap()).unwrap();
    let last = seq.min(LARGEST - 1) + 1;
    encode(
        &mut bytes,
        last,
        moment,
        "part_started",
        "{\"part\":1}",
        prev,
    )
    .unwrap();
    bytes
}

#[test]
fn a_claim_far_too_large_is_told_and_costs_no_more_than_it_is_long() {
    let place = |part: &str, point: &str| {
        format!("{{\"part\":{part},\"feature\":\"A\",\"element\":\"size\",\"point\":{point}}}")
    };
    let assigned = |part: &str, point: &str| {
        (
            "reading_assigned",
            format!("{{\"reading\":2,\"place\":{}}}", place(part, point)),
        )
    };
    let nines = "9".repeat(40_000);
    let deep = format!("{{\"a\":{}{}}}", "[".repeat(30), "]".repeat(30));
    let raw = format!(
        "{{\"gauge\":\"mic\",\"origin\":\"sent\",\"value\":\"{nines}\",\"unit\":\"mm\",\
         \"status\":\"ok\",\"raw\":\"00\"}}"
    );
    let hash = "0".repeat(64);
    let claims = [
        ("part_started", "{\"part\":4294967295}".to_owned()),
        ("part_taken_up", "{\"part\":4294967295}".to_owned()),
        (
            "part_named",
            "{\"part\":4294967295,\"serial\":\"x\"}".to_owned(),
        ),
        (
            "part_assembled",
            "{\"part\":4294967295,\"assembly\":\"x\",\"serial\":\"x\",\"member\":\"x\",\
             \"state\":\"GO\",\"by\":\"x\",\"with\":[]}"
                .to_owned(),
        ),
        assigned("4294967295", "1"),
        assigned("1", "65535"),
        assigned("99999999999999999999", "1"),
        ("reading_received", raw),
        (
            "reading_voided",
            format!("{{\"reading\":{LARGEST},\"reason\":\"x\",\"by\":\"x\"}}"),
        ),
        (
            "garbage_counted",
            format!("{{\"gauge\":\"mic\",\"count\":{nines},\"code\":\"x\"}}"),
        ),
        (
            "clock_stepped",
            "{\"by_ms\":9223372036854775807}".to_owned(),
        ),
        (
            "tail_damaged",
            format!("{{\"bytes\":{LARGEST},\"offset\":{LARGEST}}}"),
        ),
        (
            "continuation_opened",
            format!("{{\"file\":\"x\",\"seq\":{LARGEST},\"hash\":\"{hash}\"}}"),
        ),
        (
            "session_closed",
            format!("{{\"readings\":{LARGEST},\"parts\":9,\"reason\":\"x\"}}"),
        ),
        (
            "temperature_set",
            format!("{{\"part\":\"{nines}\",\"gauge\":null}}"),
        ),
        ("of_a_newer_program", deep),
    ];
    let mut tried = 0;
    for (kind, body) in &claims {
        for (seq, mono_ms) in [
            (2, 1_000),
            (3, LARGEST),
            (LARGEST - 1, 1_000),
            (LARGEST, LARGEST),
        ] {
            let bytes = claiming(seq, mono_ms, kind, body);
            let case = format!("{kind} as line {seq}");
            let (report, held) = most_held(|| verify(bytes.as_slice(), |_| {}).unwrap());
            assert!(held <= MOST_BYTES, "{case}: {held} bytes held");
            assert_eq!(
                report.state == State::Damaged,
                seq > 2 || is_told(kind),
                "{case}"
            );
            let part = Part {
                name: "claim.jsonl".to_owned(),
                until: None,
            };
            let ((reports, replayed), held) =
                most_held(|| replay(&[part], |_| Ok(bytes.as_slice()), Check::Verdicts).unwrap());
            assert!(held <= MOST_OF_STATE, "{case}: {held} bytes held");
            assert!(replayed.state.unwrap().parts().len() <= 1, "{case}");
            let told = reports[0].findings.len() + replayed.faults.len();
            let harmless = *kind == "of_a_newer_program" || *kind == "clock_stepped";
            assert!(
                told > 0 || (harmless && seq == 2),
                "{case}: nothing was told"
            );
            tried += 1;
        }
    }
    println!("{tried} claims");
}

/// The body may hold it, no line can have it, and one more would be too much to count with.
#[test]
fn a_continuation_of_a_line_beyond_all_numbers_is_a_bad_link() {
    let hash = "0".repeat(64);
    for (seq, is_possible) in [(LARGEST - 1, true), (LARGEST + 1, false), (u64::MAX, false)] {
        let body = format!("{{\"file\":\"x.jsonl\",\"seq\":{seq},\"hash\":\"{hash}\"}}");
        let mut bytes = Vec::new();
        let kind = fitledger::journal::CONTINUATION_OPENED;
        let (moment, prev) = (moment_at(0), Hash::parse(&hash).unwrap());
        encode(&mut bytes, LARGEST, moment, kind, &body, prev).unwrap();
        bytes.extend_from_slice(b"cut off in the middle");
        let report = verify(bytes.as_slice(), |_| {}).unwrap();
        let is_bad = |finding: &&Finding| finding.kind == FindingKind::BadLink;
        let bad = report.findings.iter().filter(is_bad).count();
        assert_eq!(bad == 0, is_possible, "{seq}: {:?}", report.findings);
        let start = FileStart::read("y.jsonl", bytes.as_slice()).unwrap();
        assert_eq!(start.continues.is_some(), is_possible, "{seq}");
    }
}

/// Claims about the file itself are told without knowing what the session is about.
fn is_told(kind: &str) -> bool {
    matches!(
        kind,
        "tail_damaged" | "continuation_opened" | "session_closed"
    )
}

/// The real program on a file of 256 MiB without a line end, with less address space than that.
#[test]
#[cfg(target_os = "linux")]
fn the_program_verifies_a_huge_file_within_less_memory_than_it_is_long() {
    let place = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
    let path = place.path().join("huge.jsonl");
    let file = std::fs::File::create(&path).unwrap();
    file.set_len(256 << 20).unwrap(); // sparse: takes no space
    let line = "ulimit -v 204800; exec \"$0\" verify --json \"$1\"";
    let output = std::process::Command::new("sh")
        .args(["-c", line, env!("CARGO_BIN_EXE_fitledger")])
        .arg(&path)
        .env("FITLEDGER_WORKSPACE", place.path())
        .output()
        .unwrap();
    let answer = String::from_utf8(output.stdout).unwrap();
    let errors = String::from_utf8_lossy(&output.stderr);
    assert!(
        answer.contains("\"state\":\"torn_tail\""),
        "{answer} {errors}"
    );
    assert_eq!(output.status.code(), Some(1), "{errors}");
}
