//! Teaching: simulated gauges of every family, at right and wrong line settings.

use std::sync::Arc;

use fitledger::quantity::Length;
use fitledger::wire::{
    Adapter, Decoded, Lesson, Press, Role, Taught, TeachProblem, Trigger, captured_lesson,
    decode_groups, line_of_text, line_text, lines_to_try, teach,
};

use crate::support::taught_gauges::{Gauge, binary_gauges, text_gauges, through_line};

const ERROR: Length = Length::from_um(20);

fn mm(text: &str) -> Length {
    Length::parse_mm(text).unwrap()
}

fn all_gauges() -> Vec<Gauge> {
    text_gauges().into_iter().chain(binary_gauges()).collect()
}

/// The nine presses of the routine, in the order of the design page.
fn roles() -> Vec<Role> {
    let size = |text| Role::Size(mm(text));
    let mut roles = ["1.005", "1.005", "7.5", "7.5", "20", "20"]
        .map(size)
        .to_vec();
    roles.push(Role::Zeroed {
        on: mm("20"),
        size: mm("7.5"),
    });
    roles.push(Role::OtherUnit(mm("7.5")));
    roles.push(Role::Confirm(mm("12.345")));
    roles
}

/// What a gauge shows is a few micrometres beside the block.
fn shown(role: Role, at: usize) -> i64 {
    let off = [1_700, -2_300, 3_100, 600, -3_900, 2_200, -1_200, 400, 2_900];
    role.expected().as_nm() + off[at % off.len()]
}

fn burst(gauge: &Gauge, role: Role, at: usize, line: &str) -> Press {
    let inch = gauge.unit_sent && matches!(role, Role::OtherUnit(_));
    let bytes = gauge.send(shown(role, at), inch);
    Press {
        role,
        line: line_of_text(line).unwrap(),
        chunks: vec![match line == gauge.line {
            true => bytes,
            false => through_line(&bytes, gauge.line, line),
        }],
    }
}

/// The presses that the gauge can give.
fn asked(gauge: &Gauge) -> Vec<Role> {
    let can = |role: &Role| match role {
        Role::Zeroed { .. } => gauge.signed,
        Role::OtherUnit(_) => gauge.unit_sent,
        _ => true,
    };
    roles().into_iter().filter(can).collect()
}

fn lesson(gauge: &Gauge, line: &str) -> Lesson {
    let text = format!("trigger {}\n", gauge.trigger);
    let presses = asked(gauge).into_iter().enumerate();
    Lesson {
        presses: presses
            .map(|(at, role)| burst(gauge, role, at, line))
            .collect(),
        ..captured_lesson(&text, ERROR).unwrap()
    }
}

fn adapter(taught: &Taught) -> Arc<Adapter> {
    let text = taught.draft.as_ref().unwrap();
    Arc::new(Adapter::from_text(text, None).unwrap_or_else(|error| panic!("{error}\n{text}")))
}

/// What an adapter makes of one burst: the length in nanometres, if it is one reading.
fn decoded(adapter: &Arc<Adapter>, bytes: Vec<u8>) -> Option<i64> {
    match decode_groups(adapter, &[bytes]).as_slice() {
        [Decoded::Reading(reading)] => reading.length.ok().map(Length::as_nm),
        _ => None,
    }
}

/// Lengths that were not taught must come out as the gauge's own counts.
fn reads_what_was_not_taught(gauge: &Gauge, taught: &Taught) {
    let adapter = adapter(taught);
    for nm in [3_270_000, 0, 9_990_000, -4_110_000, 24_680_000, 11_110_000] {
        if nm < 0 && !gauge.signed {
            continue;
        }
        for inch in [false, true] {
            if inch && !gauge.unit_sent {
                continue;
            }
            let expected = gauge.count(nm, inch) * gauge.step_nm[usize::from(inch)];
            let bytes = gauge.send(nm, inch);
            assert_eq!(
                decoded(&adapter, bytes.clone()),
                Some(expected),
                "{} {nm} {inch} {bytes:02x?}\n{}",
                gauge.name,
                taught.draft.as_ref().unwrap()
            );
        }
    }
}

#[test]
fn every_family_is_learnt_at_its_own_settings_and_reads_what_was_not_taught() {
    for gauge in all_gauges() {
        let taught = teach(&lesson(&gauge, gauge.line));
        assert_eq!(taught.problem, None, "{}: {taught:#?}", gauge.name);
        assert!(taught.confirmed, "{}", gauge.name);
        let line = taught.line.map(line_text).unwrap();
        assert_eq!(
            line[..line.len() - 1],
            gauge.line[..line.len() - 1],
            "{}",
            gauge.name
        );
        reads_what_was_not_taught(&gauge, &taught);
    }
}

/// Presses on the first size at every other setting, as the line search leaves them, change
/// nothing; nor does a lesson that was heard at a setting which arrives whole.
#[test]
fn wrong_settings_lose_against_the_right_one() {
    for gauge in all_gauges() {
        if gauge.trigger == "typed" {
            continue;
        }
        let right = lesson(&gauge, gauge.line);
        let mut all = right.clone();
        for line in lines_to_try().into_iter().map(line_text) {
            if line != gauge.line {
                let press = burst(&gauge, Role::Size(mm("1.005")), 0, &line);
                all.presses.insert(0, press);
            }
        }
        let taught = teach(&all);
        assert!(taught.confirmed, "{}: {taught:#?}", gauge.name);
        assert_eq!(taught.draft, teach(&right).draft, "{}", gauge.name);
    }
}

/// A whole lesson heard at a wrong setting gives an adapter only if that setting hears the same.
#[test]
fn a_lesson_heard_wrongly_gives_no_adapter() {
    let (mut refused, mut heard_whole) = (0, 0);
    for gauge in all_gauges() {
        if gauge.trigger == "typed" {
            continue;
        }
        for line in lines_to_try().into_iter().map(line_text) {
            if line == gauge.line {
                continue;
            }
            let taught = teach(&lesson(&gauge, &line));
            let Some(draft) = &taught.draft else {
                assert!(taught.problem.is_some());
                refused += 1;
                continue;
            };
            // Seven bits heard as eight: the only settings that hear the same, told as 7 bits.
            let speed = gauge.line.split('-').next().unwrap();
            assert_eq!(line, format!("{speed}-8N1"), "{}\n{draft}", gauge.name);
            assert!(gauge.line.contains("-7E"), "{}\n{draft}", gauge.name);
            assert_eq!(taught.line.map(line_text).unwrap(), format!("{speed}-7E1"));
            reads_what_was_not_taught(&gauge, &taught);
            heard_whole += 1;
        }
    }
    assert!(refused > 300, "{refused}");
    assert_eq!(heard_whole, 3);
}

/// splitmix64, published by Steele, Lea, Flood 2014.
struct Random(u64);

impl Random {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }
}

#[test]
fn noise_teaches_nothing() {
    let mut random = Random(5);
    for round in 0..3_000 {
        let length = 1 + usize::try_from(random.next() % 14).unwrap();
        let printable = round % 2 == 0;
        let end: &[u8] = if round % 4 == 0 { b"\r\n" } else { b"" };
        // The whole routine, and the least that may confirm anything.
        let asked = match round % 3 {
            0 => roles(),
            _ => vec![Role::Size(mm("7.5")), Role::Confirm(mm("12.345"))],
        };
        let presses = asked.into_iter().map(|role| {
            let mut bytes: Vec<u8> = (0..length)
                .map(|_| match printable {
                    true => b" +-.,0123456789mM"[(random.next() % 17) as usize],
                    false => random.next().to_le_bytes()[3],
                })
                .collect();
            bytes.extend(end);
            if round % 5 == 4 {
                // Frames as a gauge sends them, with numbers that mean nothing.
                let number = random.next() % 100_000;
                let (whole, rest) = (number / 1_000, number % 1_000);
                bytes = format!("+{whole:02}.{rest:03}\r").into_bytes();
            }
            Press {
                role,
                line: line_of_text("9600-8N1").unwrap(),
                chunks: vec![bytes],
            }
        });
        let lesson = Lesson {
            presses: presses.collect(),
            trigger: Trigger::Unsolicited,
            error: ERROR,
        };
        let taught = teach(&lesson);
        assert_eq!(taught.draft, None, "{lesson:?}");
        assert!(taught.problem.is_some());
    }
    let nothing = Lesson {
        presses: vec![],
        trigger: Trigger::Unsolicited,
        error: ERROR,
    };
    assert_eq!(teach(&nothing).problem, Some(TeachProblem::NothingHeard));
}

#[test]
fn a_mistyped_size_is_named() {
    for gauge in all_gauges() {
        if gauge.name == "bin24" || gauge.name == "bits-high-first" {
            continue;
        }
        let mut lesson = lesson(&gauge, gauge.line);
        for press in &mut lesson.presses {
            if press.role == Role::Size(mm("7.5")) {
                press.role = Role::Size(mm("5.7"));
            }
        }
        let taught = teach(&lesson);
        let Some(TeachProblem::Mistyped { typed, read }) = taught.problem else {
            panic!("{}: {taught:#?}", gauge.name);
        };
        assert_eq!(typed, mm("5.7"), "{}", gauge.name);
        assert!(
            (read.as_nm() - 7_500_000).abs() < 20_000,
            "{}: {read:?}",
            gauge.name
        );
    }
}

#[test]
fn a_gauge_that_was_not_zeroed_is_told_with_its_offset() {
    for gauge in all_gauges() {
        if gauge.name == "bin24" || gauge.name == "bits-high-first" {
            continue;
        }
        let mut lesson = lesson(&gauge, gauge.line);
        for (at, press) in lesson.presses.iter_mut().enumerate() {
            press.chunks = vec![gauge.send(shown(press.role, at) + 340_000, false)];
        }
        let taught = teach(&lesson);
        let Some(TeachProblem::NotZeroed { by }) = taught.problem else {
            panic!("{}: {taught:#?}", gauge.name);
        };
        assert!(
            (by.as_nm() - 340_000).abs() < 20_000,
            "{}: {by:?}",
            gauge.name
        );
    }
}

/// Bits have no skeleton that would tell a slip from noise; they are refused without a reason
/// beyond that.
#[test]
fn bits_with_a_mistyped_size_give_no_adapter() {
    for gauge in binary_gauges() {
        let mut lesson = lesson(&gauge, gauge.line);
        for press in &mut lesson.presses {
            if press.role == Role::Size(mm("7.5")) {
                press.role = Role::Size(mm("5.7"));
            }
        }
        let taught = teach(&lesson);
        assert!(
            taught.draft.is_none() && taught.problem.is_some(),
            "{}",
            gauge.name
        );
    }
}

#[test]
fn one_size_teaches_text_with_what_is_assumed_and_asks_for_another_for_bits() {
    for gauge in all_gauges() {
        let mut lesson = lesson(&gauge, gauge.line);
        lesson.presses.retain(|press| {
            [Role::Size(mm("7.5")), Role::Confirm(mm("12.345"))].contains(&press.role)
        });
        let taught = teach(&lesson);
        if ["bin24", "bits-high-first"].contains(&gauge.name) {
            assert_eq!(
                taught.problem,
                Some(TeachProblem::OneSize),
                "{}",
                gauge.name
            );
            continue;
        }
        assert_eq!(taught.problem, None, "{}", gauge.name);
        let assumed = taught.assumed.join(" ").to_lowercase();
        for words in ["only one size", "negative"] {
            assert!(assumed.contains(words), "{}: {assumed}", gauge.name);
            let draft = taught.draft.as_ref().unwrap().to_lowercase();
            assert!(draft.contains(words), "{}", gauge.name);
        }
    }
}

#[test]
fn a_scale_that_small_sizes_leave_open_asks_for_a_larger_one_which_decides() {
    let gauges = text_gauges();
    let gauge = gauges.iter().find(|gauge| gauge.name == "implied").unwrap();
    let small = |sizes: &[&str]| Lesson {
        presses: sizes
            .iter()
            .map(|size| burst(gauge, Role::Size(mm(size)), 0, gauge.line))
            .collect(),
        trigger: Trigger::Unsolicited,
        error: Length::from_um(30),
    };
    let taught = teach(&small(&["0.1", "0.13"]));
    let Some(TeachProblem::Ambiguous { factors, larger }) = taught.problem else {
        panic!("{taught:#?}");
    };
    assert!(factors.len() > 1, "{factors:?}");
    let larger = larger.to_mm();
    let taught = teach(&small(&["0.1", "0.13", &larger]));
    assert_eq!(taught.problem, None, "{larger}: {taught:#?}");
}

#[test]
fn only_a_right_reading_on_a_fresh_size_confirms() {
    let gauges = text_gauges();
    let gauge = &gauges[0];
    let mut lesson = lesson(gauge, gauge.line);
    let last = lesson.presses.len() - 1;
    lesson.presses[last].chunks = vec![gauge.send(12_400_000, false)];
    let taught = teach(&lesson);
    let size = mm("12.345");
    assert_eq!(taught.problem, Some(TeachProblem::NotConfirmed { size }));
    assert!(!taught.confirmed);
    lesson.presses[last] = burst(gauge, Role::Confirm(mm("7.5")), 0, gauge.line);
    let taught = teach(&lesson);
    let size = mm("7.5");
    assert_eq!(taught.problem, Some(TeachProblem::NotFresh { size }));
    assert!(!taught.confirmed && taught.draft.is_none());
    lesson.presses.pop();
    let taught = teach(&lesson);
    assert!(taught.draft.is_some() && !taught.confirmed);
}

#[test]
fn states_and_units_that_were_not_seen_are_refused_by_what_is_written() {
    let gauges = text_gauges();
    let of = |name: &str| gauges.iter().find(|gauge| gauge.name == name).unwrap();
    let refused = |name: &str, drop_unit: bool, bytes: &[u8]| {
        let gauge = of(name);
        let mut lesson = lesson(gauge, gauge.line);
        if drop_unit {
            lesson
                .presses
                .retain(|p| !matches!(p.role, Role::OtherUnit(_)));
        }
        match decode_groups(&adapter(&teach(&lesson)), &[bytes.to_vec()]).as_slice() {
            [Decoded::Error(sent)] => sent.error.code(),
            other => panic!("{name}: {other:?}"),
        }
    };
    assert_eq!(
        refused("id-line", false, b"01B+00012.345\r"),
        "unknown_status"
    );
    assert_eq!(refused("implied", false, b"500012344\r"), "unknown_status");
    assert_eq!(refused("tail-id", false, b"+1.234 R/"), "unknown_status");
    assert_eq!(refused("line-free", true, b"0.500 in\r\n"), "unknown_unit");
    assert_eq!(refused("line-strict", false, b"+12.34\r"), "wrong_decimals");
    assert_eq!(
        refused("padded-unit", false, b"+ 12.345, MM\r\n"),
        "malformed"
    );
    assert_eq!(refused("sum-check", false, b"+12.345$00\r"), "bad_check");
}

#[test]
fn a_unit_that_is_not_sent_is_told_and_a_missing_sign_refused() {
    let gauges = text_gauges();
    let gauge = gauges
        .iter()
        .find(|gauge| gauge.name == "line-strict")
        .unwrap();
    let mut lesson = lesson(gauge, gauge.line);
    lesson.presses.push(Press {
        role: Role::OtherUnit(mm("7.5")),
        line: line_of_text(gauge.line).unwrap(),
        chunks: vec![b"+0.2953\r".to_vec()],
    });
    let taught = teach(&lesson);
    assert_eq!(taught.problem, None);
    let unknown = taught.unknown.join(" ");
    assert!(unknown.contains("unit is not sent"), "{unknown}");
    for press in &mut lesson.presses {
        if matches!(press.role, Role::Zeroed { .. }) {
            press.chunks = vec![b"+12.500\r".to_vec()];
        }
    }
    assert_eq!(teach(&lesson).problem, Some(TeachProblem::NoSign));
}

/// A stream is caught in mid frame at both ends.
#[test]
fn a_stream_that_is_caught_in_mid_frame_is_learnt() {
    for gauge in text_gauges() {
        if gauge.trigger != "stream" {
            continue;
        }
        let mut lesson = lesson(&gauge, gauge.line);
        for (at, press) in lesson.presses.iter_mut().enumerate() {
            let frame = press.chunks[0].clone();
            let whole = frame.repeat(6);
            let from = 1 + at % (frame.len() - 1);
            press.chunks = whole[from..whole.len() - at % 4]
                .chunks(7)
                .map(<[u8]>::to_vec)
                .collect();
        }
        let taught = teach(&lesson);
        assert!(taught.confirmed, "{}: {taught:#?}", gauge.name);
        reads_what_was_not_taught(&gauge, &taught);
    }
}
