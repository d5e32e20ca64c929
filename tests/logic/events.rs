//! Every event survives its body on disk; what is not a body is refused with its place.

use fitledger::gauge::{
    CheckEnd, CheckOutcome, GaugeId, GaugeStatus, Observed, Origin, Reading, Shown,
};
use fitledger::journal::{
    AssembledWith, Disposition, DispositionKind, EarlierZero, Event, GaugeSource, Job, LeftOpen,
    Manner, Meaning, Outcome, PartAssembled, Place, ReadingTaken, SessionOpened, SignedOff,
    StudyCell, StudyOpened, StudyPart, Suit, ValueUnit, VerdictGiven, ZeroChecked, body_of,
    event_of,
};
use fitledger::measure::{Rule, Side, VerdictWord};
use fitledger::pair::Measured;
use fitledger::quantity::{Angle, Celsius, Length, LengthUnit};
use proptest::option;
use proptest::prelude::{Just, Strategy, any, prop_oneof, proptest};
use proptest::prop_assert_eq;

/// Text as people and hostile files have it: quotes, controls, line ends, bidirectional marks.
fn text() -> impl Strategy<Value = String> {
    prop_oneof![
        "[ -~]{0,20}",
        "\\PC{0,12}",
        Just("a\"b\\c\n\r\t\u{0}\u{7f}\u{202e}é\u{10ffff}".to_owned()),
        Just(String::new()),
    ]
}

fn length() -> impl Strategy<Value = Length> {
    (-10_000_000_000_i64..=10_000_000_000).prop_map(Length::from_nm)
}

fn celsius() -> impl Strategy<Value = Celsius> {
    (-200_000..1_500_000_i32).prop_map(Celsius::from_milli)
}

fn place() -> impl Strategy<Value = Place> {
    (any::<u32>(), text(), text(), any::<u16>()).prop_map(|(part, feature, element, point)| Place {
        part,
        feature,
        element,
        point,
    })
}

fn reading() -> impl Strategy<Value = Reading> {
    // What a gauge shows in a unit is that many whole steps of it.
    let shown = prop_oneof![
        (-9_999_999_i64..9_999_999, 3_u8..=6).prop_map(|(count, decimals)| {
            let step = 10_i64.pow(6 - u32::from(decimals));
            (
                Length::from_nm(count * step),
                LengthUnit::Millimetre,
                decimals,
            )
        }),
        (-99_999_i64..99_999)
            .prop_map(|count| { (Length::from_nm(count * 1270), LengthUnit::Inch, 5) }),
    ];
    let observed = prop_oneof![
        shown.prop_map(|(length, unit, decimals)| {
            (
                Observed::Length(length),
                Shown {
                    unit,
                    decimals,
                    minus: length.is_negative(),
                },
            )
        }),
        (0..1_296_000_000_i64).prop_map(|mas| {
            let unit = LengthUnit::Millimetre;
            (
                Observed::Angle(Angle::from_mas(mas)),
                Shown {
                    unit,
                    decimals: 0,
                    minus: false,
                },
            )
        }),
        (0..3_usize, 0..4_usize).prop_map(|(end, outcome)| {
            let end = [CheckEnd::Go, CheckEnd::NoGo, CheckEnd::Mate][end];
            let outcome = [
                CheckOutcome::Goes,
                CheckOutcome::DoesNot,
                CheckOutcome::TurnsTwoOrFewer,
                CheckOutcome::TurnsMore,
            ][outcome];
            let unit = LengthUnit::Millimetre;
            (
                Observed::Check { end, outcome },
                Shown {
                    unit,
                    decimals: 0,
                    minus: false,
                },
            )
        }),
    ];
    let origin = (0..Origin::ALL.len()).prop_map(|i| Origin::ALL[i]);
    let status = (0..GaugeStatus::WORDS.len()).prop_map(|i| GaugeStatus::WORDS[i].0);
    (text(), observed, status, origin, any::<Vec<u8>>()).prop_map(
        |(gauge, (observed, shown), status, origin, raw)| Reading {
            gauge: GaugeId::new(&gauge),
            observed,
            shown,
            status,
            origin,
            raw,
            rounded: false,
        },
    )
}

fn rule() -> impl Strategy<Value = Rule> {
    prop_oneof![
        (0.5_f64..0.999).prop_map(|confidence| Rule::Probability { confidence }),
        (0.0_f64..9.0).prop_map(|factor| Rule::Guard { factor }),
        Just(Rule::Simple),
    ]
}

fn verdict() -> impl Strategy<Value = VerdictGiven> {
    let outcome = prop_oneof![
        Just(Outcome::Inside),
        Just(Outcome::Verdict(VerdictWord::Go)),
        Just(Outcome::Verdict(VerdictWord::NoGo)),
        Just(Outcome::Verdict(VerdictWord::Doubt)),
        Just(Outcome::Noted),
    ];
    let side = (0..5_usize).prop_map(|i| {
        [
            Side::Inside,
            Side::MetalOn,
            Side::MetalGone,
            Side::Above,
            Side::Below,
        ][i]
    });
    let unit = prop_oneof![
        Just(ValueUnit::Nanometre),
        Just(ValueUnit::Milliarcsecond),
        Just(ValueUnit::Check)
    ];
    let number = || -1_200_000_000_i64..1_200_000_000;
    let numbers = (
        number(),
        option::of(0..1_000_000_i64),
        option::of(number()),
        option::of(number()),
        option::of(number()),
        option::of(0..=1_000_000_u32),
    );
    let links = (any::<u64>(), place(), any::<u16>(), any::<Vec<u64>>());
    (
        links,
        numbers,
        outcome,
        side,
        unit,
        rule(),
        proptest::collection::vec(text(), 0..3),
    )
        .prop_map(
            |(
                (reading, place, points, from),
                (value_at_20, u, lower, upper, to_middle, conformance_ppm),
                outcome,
                side,
                unit,
                rule,
                notes,
            )| VerdictGiven {
                reading,
                place,
                points,
                from,
                value_at_20,
                u,
                lower,
                upper,
                unit,
                outcome,
                side,
                to_middle,
                conformance_ppm,
                rule,
                notes,
            },
        )
        .prop_map(as_it_can_be)
}

/// A check has an outcome and no numbers; what proves nothing lies nowhere.
fn as_it_can_be(mut verdict: VerdictGiven) -> VerdictGiven {
    if verdict.unit == ValueUnit::Check {
        verdict.value_at_20 = verdict.value_at_20.rem_euclid(4);
        (verdict.u, verdict.lower, verdict.upper) = (None, None, None);
        (verdict.to_middle, verdict.conformance_ppm) = (None, None);
        verdict.rule = Rule::Simple;
    }
    if verdict.outcome == Outcome::Noted {
        verdict.side = Side::Inside;
    }
    verdict
}

fn opened() -> impl Strategy<Value = SessionOpened> {
    let texts = proptest::collection::vec(text(), 10);
    let lists = (
        proptest::collection::vec(text(), 0..3),
        proptest::collection::vec(
            (text(), text(), text(), any::<u32>()).prop_map(
                |(gauge, source, adapter, repeat_ms)| GaugeSource {
                    gauge,
                    source,
                    adapter,
                    repeat_ms,
                },
            ),
            0..3,
        ),
        proptest::collection::vec((text(), text()), 0..2),
    );
    (
        texts,
        option::of(text()),
        lists,
        option::of(any::<u32>()),
        any::<(bool, bool)>(),
        proptest::collection::vec(earlier_zero(), 0..3),
        job(),
        proptest::collection::vec(suit(), 0..3),
    )
        .prop_map(
            |(
                texts,
                plan,
                (callouts, sources, house),
                parts,
                (advance_always, advance_rework),
                zeros,
                job,
                suits,
            )| {
                SessionOpened {
                    program: texts[0].clone(),
                    tables: texts[1].clone(),
                    plan_name: texts[2].clone(),
                    plan,
                    callouts,
                    gauges: texts[3].clone(),
                    house,
                    sources,
                    stage: texts[7].clone(),
                    general: texts[8].clone(),
                    dial: texts[9].clone(),
                    operator: texts[4].clone(),
                    rule: texts[5].clone(),
                    parts,
                    advance_always,
                    advance_rework,
                    offset: texts[6].clone(),
                    zeros,
                    job,
                    suits,
                }
            },
        )
}

fn suit() -> impl Strategy<Value = Suit> {
    (
        (text(), text(), text(), text()),
        prop_oneof![Just(Measured::Hole), Just(Measured::Shaft)],
        (length(), length(), length(), option::of(length())),
        prop_oneof![Just(Length::ZERO), length()],
        any::<bool>(),
    )
        .prop_map(
            |((feature, mate, fit, source), measured, (least, most, size, u), form, keep)| Suit {
                feature,
                mate,
                measured,
                fit,
                least,
                most,
                size,
                u,
                form,
                source,
                keep_class: keep,
            },
        )
}

/// One that says nothing is left out: it must not be left to chance.
fn job() -> impl Strategy<Value = Job> {
    let said =
        (text(), text(), text(), text()).prop_map(|(order, customer, material_lot, machine)| Job {
            order,
            customer,
            material_lot,
            machine,
        });
    prop_oneof![1 => Just(Job::default()), 3 => said]
}

fn decided() -> impl Strategy<Value = Event> {
    let left = (text(), text(), text(), option::of(0..=1_000_000_u32)).prop_map(
        |(feature, element, state, conformance_ppm)| LeftOpen {
            feature,
            element,
            state,
            conformance_ppm,
        },
    );
    prop_oneof![
        job().prop_map(Event::JobNoted),
        (any::<u32>(), text()).prop_map(|(part, serial)| Event::PartNamed { part, serial }),
        any::<u32>().prop_map(|part| Event::PartTakenUp { part }),
        (
            any::<u32>(),
            proptest::collection::vec(text(), 6),
            proptest::collection::vec(proptest::collection::vec(text(), 5), 0..3),
        )
            .prop_map(|(part, texts, others)| {
                Event::PartAssembled(Box::new(PartAssembled {
                    part,
                    assembly: texts[0].clone(),
                    drawing: texts[1].clone(),
                    serial: texts[2].clone(),
                    member: texts[3].clone(),
                    state: texts[4].clone(),
                    by: texts[5].clone(),
                    with: others
                        .into_iter()
                        .map(|texts| AssembledWith {
                            member: texts[0].clone(),
                            part_name: texts[1].clone(),
                            serial: texts[2].clone(),
                            journal: texts[3].clone(),
                            head: texts[4].clone(),
                        })
                        .collect(),
                }))
            }),
        (
            any::<u32>(),
            0..DispositionKind::WORDS.len(),
            proptest::collection::vec(text(), 5),
            any::<u64>(),
        )
            .prop_map(|(part, kind, texts, of)| {
                Event::DispositionGiven(Box::new(Disposition {
                    part,
                    kind: DispositionKind::WORDS[kind].0,
                    feature: texts[0].clone(),
                    element: texts[1].clone(),
                    reason: texts[2].clone(),
                    by: texts[3].clone(),
                    agreed_with: texts[4].clone(),
                    of,
                }))
            }),
        (
            any::<u32>(),
            0..Meaning::WORDS.len(),
            0..Manner::WORDS.len(),
            proptest::collection::vec(text(), 3),
            any::<u64>(),
            proptest::collection::vec(left, 0..3),
        )
            .prop_map(|(part, meaning, manner, texts, covers, left)| {
                Event::SignedOff(Box::new(SignedOff {
                    part,
                    meaning: Meaning::WORDS[meaning].0,
                    manner: Manner::WORDS[manner].0,
                    by: texts[0].clone(),
                    reason: texts[1].clone(),
                    covers,
                    hash: texts[2].clone(),
                    left,
                }))
            }),
    ]
}

fn earlier_zero() -> impl Strategy<Value = EarlierZero> {
    (
        text(),
        text(),
        text(),
        any::<u64>(),
        length(),
        any::<bool>(),
    )
        .prop_map(
            |(gauge, standard, time, age_ms, offset, good)| EarlierZero {
                gauge,
                standard,
                time,
                age_ms,
                offset,
                good,
            },
        )
}

fn about_gauges() -> impl Strategy<Value = Event> {
    prop_oneof![
        (text(), text(), length()).prop_map(|(gauge, standard, shows)| Event::ZeroCheckAsked {
            gauge,
            standard,
            shows
        }),
        text().prop_map(|gauge| Event::ZeroCheckDropped { gauge }),
        (text(), text(), text()).prop_map(|(gauge, feature, element)| Event::GaugeRouted {
            gauge,
            feature,
            element
        }),
        (
            any::<u64>(),
            (text(), text()),
            (length(), length()),
            option::of(length()),
            any::<bool>()
        )
            .prop_map(
                |(reading, (gauge, standard), (shows, offset), bound, good)| {
                    Event::ZeroChecked(Box::new(ZeroChecked {
                        reading,
                        gauge,
                        standard,
                        shows,
                        offset,
                        bound,
                        good,
                    }))
                }
            ),
        (text(), option::of(text()), text(), text()).prop_map(|(gauge, since, reason, by)| {
            Event::GaugeDoubted {
                gauge,
                since,
                reason,
                by,
            }
        }),
    ]
}

fn about_studies() -> impl Strategy<Value = Event> {
    let cell = || {
        (any::<u32>(), any::<u32>(), any::<u32>()).prop_map(|(part, operator, trial)| StudyCell {
            part,
            operator,
            trial,
        })
    };
    let part =
        (text(), option::of(length()), text()).prop_map(|(name, reference, standard)| StudyPart {
            name,
            reference,
            standard,
        });
    prop_oneof![
        (
            (text(), any::<u32>(), option::of(length())),
            proptest::collection::vec(part, 0..3),
            proptest::collection::vec(text(), 0..3),
            proptest::collection::vec(cell(), 0..4),
        )
            .prop_map(|((gauge, trials, tolerance), parts, operators, order)| {
                Event::StudyOpened(Box::new(StudyOpened {
                    gauge,
                    parts,
                    operators,
                    trials,
                    tolerance,
                    order,
                }))
            }),
        (any::<u64>(), cell()).prop_map(|(reading, cell)| Event::StudyCellFilled { reading, cell }),
    ]
}

fn about_readings() -> impl Strategy<Value = Event> {
    let n = any::<u64>;
    prop_oneof![
        reading().prop_map(Event::ReadingReceived),
        (
            n(),
            text(),
            any::<u32>(),
            option::of(length()),
            option::of(length()),
            n()
        )
            .prop_map(|(reading, how, values, smallest, largest, over_ms)| {
                Event::ReadingTaken(ReadingTaken {
                    reading,
                    how,
                    values,
                    smallest,
                    largest,
                    over_ms,
                })
            }),
        (text(), text(), any::<Vec<u8>>()).prop_map(|(gauge, code, raw)| Event::ReadingRefused {
            gauge,
            code,
            raw
        }),
        (n(), place()).prop_map(|(reading, place)| Event::ReadingAssigned { reading, place }),
        verdict().prop_map(|verdict| Event::VerdictGiven(std::sync::Arc::new(verdict))),
        (
            n(),
            place(),
            length(),
            length(),
            option::of(length()),
            option::of(length())
        )
            .prop_map(|(reading, place, value_at_20, left, depth, dial)| {
                Event::CuttingNoted {
                    reading,
                    place,
                    value_at_20,
                    left,
                    depth,
                    dial,
                }
            }),
        (n(), place(), text(), text()).prop_map(|(reading, place, cause, sentence)| {
            Event::ReadingHeld {
                reading,
                place,
                cause,
                sentence,
            }
        }),
        (n(), text()).prop_map(|(reading, reason)| Event::ReadingSetAside { reading, reason }),
        (n(), n()).prop_map(|(reading, of)| Event::RepeatMarked { reading, of }),
        (n(), text(), text()).prop_map(|(reading, reason, by)| Event::ReadingVoided {
            reading,
            reason,
            by
        }),
    ]
}

fn about_the_bench() -> impl Strategy<Value = Event> {
    let texts = || proptest::collection::vec(text(), 0..3);
    prop_oneof![
        opened().prop_map(|opened| Event::SessionOpened(Box::new(opened))),
        ("[ -!#-\\[\\]-~]{0,20}", "[0-9a-f]{64}")
            .prop_map(|(program, tables)| Event::SessionResumed { program, tables }),
        (any::<u64>(), any::<u32>(), text()).prop_map(|(readings, parts, reason)| {
            Event::SessionClosed {
                readings,
                parts,
                reason,
            }
        }),
        (text(), any::<u64>(), text()).prop_map(|(file, sequence, hash)| {
            Event::ContinuationOpened {
                file,
                sequence,
                hash,
            }
        }),
        (any::<u64>(), any::<u64>())
            .prop_map(|(bytes, offset)| Event::TailDamaged { bytes, offset }),
        any::<u32>().prop_map(|part| Event::PartStarted { part }),
        decided(),
        (text(), any::<u64>(), text()).prop_map(|(gauge, count, code)| Event::GarbageCounted {
            gauge,
            count,
            code
        }),
        (text(), text(), text()).prop_map(|(gauge, state, detail)| Event::GaugeStateChanged {
            gauge,
            state,
            detail
        }),
        any::<bool>().prop_map(|on| Event::CuttingSwitched { on }),
        (text(), text())
            .prop_map(|(feature, element)| Event::CharacteristicChosen { feature, element }),
        place().prop_map(|place| Event::PointChosen { place }),
        texts().prop_map(|open| Event::TakenOut { open }),
        (text(), option::of(length()))
            .prop_map(|(method, runout)| Event::PutBack { method, runout }),
        text().prop_map(|note| Event::ToolChanged { note }),
        (length(), text()).prop_map(|(amount, note)| Event::OffsetApplied { amount, note }),
        (option::of(celsius()), option::of(celsius()))
            .prop_map(|(part, gauge)| Event::TemperatureSet { part, gauge }),
        text().prop_map(|name| Event::OperatorChanged { name }),
        any::<i64>().prop_map(|by_ms| Event::ClockStepped { by_ms }),
    ]
}

/// An event of any kind.
pub(crate) fn any_event() -> impl Strategy<Value = Event> {
    prop_oneof![
        about_readings(),
        about_the_bench(),
        about_gauges(),
        about_studies(),
    ]
}

proptest! {
    #[test]
    fn every_event_survives_its_body(event in any_event()) {
        let body = body_of(&event);
        prop_assert_eq!(event_of(event.kind(), &body), Ok(event));
        // One line of the journal holds it: no raw line end may be inside.
        prop_assert_eq!(body.find('\n'), None);
    }

    #[test]
    fn no_body_makes_the_reader_panic(
        kind in "[a-z_]{0,20}|reading_received|verdict_given|session_opened|temperature_set",
        body in "\\PC{0,60}|\\{\"[a-z]{1,8}\":[0-9\"{}]{0,12}\\}",
    ) {
        let _ = event_of(&kind, &body);
    }
}

#[test]
fn a_body_that_is_none_is_refused_with_kind_and_field() {
    for (kind, body, message) in [
        (
            "part_started",
            "{\"part\":-1}",
            "The body of a “part_started” event cannot be read: invalid value: integer `-1`, expected u32 at line 1 column 10.",
        ),
        (
            "offset_applied",
            "{\"amount\":\"0.0000001\",\"note\":\"\"}",
            "The body of a “offset_applied” event cannot be read: amount: 0.0000001 mm is not a whole number of nanometres, so it would have to be rounded.",
        ),
        (
            "reading_received",
            "{\"gauge\":\"m\",\"origin\":\"heard\",\"value\":\"1\",\"unit\":\"mm\",\"status\":\"ok\",\"raw\":\"\"}",
            "The body of a “reading_received” event cannot be read: origin holds the unknown word “heard”.",
        ),
        (
            "reading_received",
            "{\"gauge\":\"m\",\"origin\":\"sent\",\"value\":\"1\",\"unit\":\"mm\",\"status\":\"ok\",\"raw\":\"0G\"}",
            "The body of a “reading_received” event cannot be read: raw is not lower-case hexadecimal.",
        ),
    ] {
        assert_eq!(event_of(kind, body).unwrap_err().to_string(), message);
    }
}

#[test]
fn a_newer_kind_is_kept_as_unknown() {
    let event = event_of("part_weighed", "{\"grams\":\"12\"}");
    assert_eq!(
        event,
        Ok(Event::Unknown {
            kind: "part_weighed".to_owned()
        })
    );
}

#[test]
fn a_minus_that_a_zero_carried_is_kept() {
    let sent = |minus| {
        Event::ReadingReceived(Reading {
            gauge: GaugeId::new("indicator"),
            observed: Observed::Length(Length::ZERO),
            shown: Shown {
                unit: LengthUnit::Millimetre,
                decimals: 3,
                minus,
            },
            status: GaugeStatus::Ok,
            origin: Origin::Sent,
            raw: b"-0.000".to_vec(),
            rounded: false,
        })
    };
    for minus in [true, false] {
        let event = sent(minus);
        assert_eq!(event_of(event.kind(), &body_of(&event)), Ok(event));
    }
}

/// The lines stand here as they are on disk: renaming something inside the program must not change
/// them.
#[test]
fn a_check_stands_in_the_record_with_its_words_and_without_numbers() {
    let received = "{\"gauge\":\"plug\",\"origin\":\"typed\",\"check\":{\"end\":\"no_go\",\
        \"outcome\":\"turns_two_or_fewer\"},\"status\":\"ok\",\"raw\":\"312c35\"}";
    let event = event_of("reading_received", received).unwrap();
    let Event::ReadingReceived(reading) = &event else {
        panic!("{event:?}")
    };
    let expected = Observed::Check {
        end: CheckEnd::NoGo,
        outcome: CheckOutcome::TurnsTwoOrFewer,
    };
    assert_eq!(
        (reading.observed, reading.raw.as_slice()),
        (expected, &b"1,5"[..])
    );
    assert_eq!(body_of(&event), received);
    let verdict = |value: &str, lower: &str, word: &str, side: &str, rule: &str| {
        format!(
            "{{\"reading\":2,\"place\":{{\"part\":1,\"feature\":\"A\",\"element\":\"no_go_plug\",\
             \"point\":1}},\"points\":1,\"from\":[2],\"unit\":\"check\",\"value_at_20\":\"{value}\",\
             \"u\":null,\"lower\":{lower},\"upper\":null,\"verdict\":\"{word}\",\"side\":{side},\
             \"to_middle\":null,\"conformance_ppm\":null,\"rule\":\"{rule}\",\"notes\":[]}}"
        )
    };
    let gone = "\"metal_gone\"";
    for body in [
        verdict(
            "turns_two_or_fewer",
            "null",
            "GO",
            "\"inside\"",
            "attribute",
        ),
        verdict("turns_more", "null", "NO-GO", gone, "attribute"),
        verdict("goes", "null", "NOTED", "null", "attribute"),
        verdict("does_not", "null", "DOUBT", "\"inside\"", "attribute"),
    ] {
        assert_eq!(body_of(&event_of("verdict_given", &body).unwrap()), body);
    }
    for (body, what) in [
        (
            verdict("1.5", "null", "GO", "\"inside\"", "attribute"),
            "value_at_20",
        ),
        (
            verdict("goes", "\"goes\"", "GO", "\"inside\"", "attribute"),
            "a check has no limits",
        ),
        (
            verdict("goes", "null", "GO", "\"inside\"", "simple"),
            "rule",
        ),
        (
            verdict("goes", "null", "NOTED", "\"inside\"", "attribute"),
            "side and verdict",
        ),
        (
            verdict("goes", "null", "GO", "null", "attribute"),
            "side and verdict",
        ),
    ] {
        let error = event_of("verdict_given", &body).unwrap_err();
        assert!(error.what.starts_with(what), "{error}");
    }
}
