//! Zero checks by the real program, and what they put in doubt in other sessions.

#![cfg(unix)]

use std::fs;
use std::thread::sleep;
use std::time::Duration;

use serde_json::Value;

use crate::support::program::{Answer, Shop, lines_of};

const GAUGES: &str = "[[gauge]]\nid = \"mic\"\nkind = \"outside_micrometer\"\nrange = [0, 25]\n\
resolution = 0.001\nmpe = 0.002\nzero_check = { every_hours = 8, bound = 0.003, on = \"block\" }\n\
[[gauge]]\nid = \"other\"\nkind = \"outside_micrometer\"\nrange = [0, 25]\nresolution = 0.001\n\
mpe = 0.002\n[[gauge]]\nid = \"block\"\nkind = \"gauge_block\"\nrange = 20\n";

fn shop() -> Shop {
    let shop = Shop::new();
    fs::write(shop.path("gauges.toml"), GAUGES).unwrap();
    shop
}

fn measured(shop: &Shop, gauge: &str, values: &str) -> Answer {
    // Moments of records have milliseconds: nothing here falls into the same one.
    sleep(Duration::from_millis(5));
    let source = format!("{gauge}=typed");
    let all = [
        "inspect",
        "--callout",
        "20 k6",
        "--gauge",
        &source,
        "--json",
    ];
    shop.run(&all, values)
}

fn checked(shop: &Shop, shown: &str) -> Answer {
    sleep(Duration::from_millis(5));
    shop.run(&["zero-check", "--gauge", "mic=typed", "--json"], shown)
}

fn doubtful(shop: &Shop) -> (i32, Vec<Value>) {
    let answer = shop.run(&["doubtful", "--json"], "");
    (answer.code, answer.lines)
}

#[test]
fn a_typed_gauge_that_the_session_does_not_know_is_refused_and_the_known_ones_are_named() {
    let shop = shop();
    let slips = "mic=20.008\nmcl=20.009\ng mcl\ng other\n20.007\n";
    let answer = measured(&shop, "mic", slips);
    let line = |at: usize| &answer.lines[at];
    let verdict = |at: usize| (&line(at)["value"], &line(at)["gauge"]);
    assert_eq!(verdict(0), (&"20.008".into(), &"mic".into()));
    for at in [1, 2] {
        let error = &line(at)["error"];
        assert_eq!(error["code"], "no_such_gauge", "{error}");
        assert_eq!(
            error["message"],
            "This session has no gauge “mcl”; its gauges are mic, other, block."
        );
    }
    assert_eq!(verdict(3), (&"20.007".into(), &"other".into()));
    assert_eq!(answer.code, 2);
    assert_eq!(lines_of(&shop.journals()[0], "reading_received").len(), 2);
}

#[test]
fn a_failed_check_doubts_what_other_sessions_measured_since_the_last_good_one() {
    let shop = shop();
    let before = measured(&shop, "mic", "20.008\n");
    assert!(
        before.told.contains("mic: its zero check is due."),
        "{}",
        before.told
    );
    let good = checked(&shop, "20.001\n");
    let zero = &good.lines[0]["zero_check"];
    assert_eq!(
        (good.code, &zero["standard"], &zero["good"]),
        (0, &"block".into(), &true.into())
    );
    assert_eq!(
        (&zero["offset"], &zero["bound"]),
        (&"0.001".into(), &"0.003".into())
    );
    // The next session knows of it: the offset is taken off there.
    let after = measured(&shop, "mic", "20.009\n20.010\n");
    assert!(!after.told.contains("due"), "{}", after.told);
    assert_eq!(after.lines[0]["value_at_20"], "20.008");
    measured(&shop, "other", "20.009\n");
    assert_eq!(doubtful(&shop), (0, vec![]));

    let failed = checked(&shop, "20.006\n");
    assert_eq!(
        (failed.code, &failed.lines[0]["zero_check"]["good"]),
        (1, &false.into())
    );
    let (code, lines) = doubtful(&shop);
    assert_eq!((code, lines.len()), (1, 2), "{lines:?}");
    let journal = after.lines.last().unwrap()["journal"]
        .as_str()
        .unwrap()
        .to_owned();
    for (line, part) in lines.iter().zip([1, 2]) {
        assert!(journal.ends_with(line["journal"].as_str().unwrap()));
        assert_eq!(
            (&line["part"], &line["gauge"]),
            (&part.into(), &"mic".into())
        );
        assert_eq!(
            (&line["verdict"], &line["measured_again"]),
            (&"GO".into(), &false.into())
        );
        assert_eq!(line["because"]["offset"], "0.006");
    }
    // The parts' state follows; the record itself is as it was.
    let list = shop.run(&["list", "--json"], "").lines;
    let of = |name: &str| {
        let mut all = list.iter();
        all.find(|line| name.ends_with(line["journal"].as_str().unwrap()))
            .unwrap()
    };
    assert_eq!(
        (&of(&journal)["go"], &of(&journal)["in_doubt"]),
        (&0.into(), &2.into())
    );
    let first = before.lines.last().unwrap()["journal"].as_str().unwrap();
    assert_eq!(
        (&of(first)["go"], &of(first)["in_doubt"]),
        (&1.into(), &0.into())
    );
    let verified = shop.run(&["verify", "--json", &journal], "");
    assert_eq!(
        (verified.code, &verified.lines[0]["state"]),
        (0, &"sound".into())
    );

    // Until it is checked again the gauge proves nothing, in any session.
    let told = measured(&shop, "mic", "20.008\n");
    assert!(
        told.told.contains("failed its last zero check"),
        "{}",
        told.told
    );
    assert_eq!((told.code, &told.lines[0]["verdict"]), (1, &"DOUBT".into()));
    assert_eq!(checked(&shop, "20.000\n").code, 0);
    assert_eq!(measured(&shop, "mic", "20.008\n").lines[0]["verdict"], "GO");
    assert_eq!(doubtful(&shop).1.len(), 2, "what it doubted stays doubted");
}

/// Of a gauge that is asked for alone, the parts of other gauges are not counted.
#[test]
fn people_are_told_how_many_parts_a_gauge_puts_in_doubt() {
    let shop = shop();
    measured(&shop, "mic", "20.008\n");
    measured(&shop, "other", "20.008\n20.009\n");
    sleep(Duration::from_millis(5));
    for gauge in ["mic", "other"] {
        assert_eq!(
            shop.run(&["doubt", gauge, "--reason", "dropped"], "").code,
            0
        );
    }
    for (asked, told) in [
        (
            &["doubtful"][..],
            "3 parts are in doubt until they are measured again;",
        ),
        (
            &["doubtful", "--gauge", "other"],
            "2 parts are in doubt until they are measured again;",
        ),
        (
            &["doubtful", "--gauge", "mic"],
            "1 part is in doubt until it is measured again;",
        ),
    ] {
        let answer = shop.run(asked, "");
        assert!(answer.text.contains(told), "{asked:?}: {}", answer.text);
    }
}

#[test]
fn a_gauge_found_wrong_doubts_by_moment_and_a_part_measured_again_is_clear() {
    let shop = shop();
    measured(&shop, "other", "20.008\n");
    sleep(Duration::from_millis(20));
    let since = jiff::Timestamp::now().to_string();
    sleep(Duration::from_millis(20));
    measured(&shop, "other", "20.009\n");
    let all = [
        "doubt",
        "other",
        "--reason",
        "new certificate",
        "--since",
        &since,
    ];
    assert_eq!(shop.run(&all, "").code, 0);
    let (code, lines) = doubtful(&shop);
    assert_eq!((code, lines.len()), (1, 1), "{lines:?}");
    assert_eq!(lines[0]["value_at_20"], "20.009");
    assert_eq!(
        lines[0]["because"]["sentence"],
        "other was found wrong: new certificate"
    );
    let wrong = shop.run(
        &["doubt", "other", "--reason", "x", "--since", "yesterday"],
        "",
    );
    assert_eq!(wrong.code, 2);
    assert_eq!(shop.run(&["doubt", "nobody", "--reason", "x"], "").code, 2);
    assert_eq!(shop.run(&["doubt", "other", "--reason", " "], "").code, 2);

    // In one session: checked again, measured again, and only then clear.
    let lines = "20.008\nz mic\n20.010\nz mic\n20.000\nf A\n20.009\n";
    let source = [
        "inspect",
        "--callout",
        "20 k6",
        "--gauge",
        "mic=typed",
        "--parts",
        "1",
    ];
    let answer = shop.run(&[&source[..], &["--json"]].concat(), lines);
    assert_eq!(answer.code, 0, "{} {}", answer.text, answer.told);
    let again = doubtful(&shop).1;
    let again: Vec<&Value> = again.iter().filter(|line| line["gauge"] == "mic").collect();
    assert_eq!(
        (again.len(), &again[0]["measured_again"]),
        (1, &true.into()),
        "{again:?}"
    );
    let journal = answer.lines.last().unwrap()["journal"].as_str().unwrap();
    let kept = lines_of(journal.as_ref(), "zero_checked");
    assert_eq!(kept.len(), 2);
}

#[test]
fn a_check_that_nobody_answers_is_said_and_recorded_as_asked() {
    let shop = shop();
    let answer = checked(&shop, "");
    assert_eq!(answer.code, 1, "{}", answer.text);
    assert!(
        answer.told.contains("The zero of mic was not checked"),
        "{}",
        answer.told
    );
    // A failed check is carried on without any term, for the register asks none of this gauge.
    let all = ["zero-check", "--gauge", "other=typed", "--json"];
    assert_eq!(shop.run(&all, "0.010\n").code, 1);
    let told = measured(&shop, "other", "20.008\n");
    assert_eq!(told.lines[0]["verdict"], "DOUBT", "{}", told.told);
    let all = [
        "zero-check",
        "--gauge",
        "mic=typed",
        "--on",
        "other",
        "--json",
    ];
    let refused = shop.run(&all, "0.000\n");
    assert_eq!(refused.lines[0]["error"]["code"], "no_setting_standard");
    assert_eq!(refused.code, 2);
}

#[test]
fn a_session_taken_up_again_hears_of_a_check_that_failed_meanwhile() {
    let shop = shop();
    let what = ["--gauge", "mic=typed", "--json"];
    let start = [
        &["inspect", "--callout", "20 k6", "--parts", "3"][..],
        &what,
    ]
    .concat();
    let mut running = shop.start(&start);
    running.type_text("20.008\n");
    assert_eq!(running.next()["verdict"], "GO");
    let journal = shop.journal();
    running.killed();
    let journal = journal.to_str().unwrap();
    let again = [&["inspect", "--continue", journal][..], &what].concat();
    assert_eq!(checked(&shop, "20.030\n").code, 1);
    let answer = shop.run(&again, "20.009\n");
    assert!(
        answer.told.contains("failed its last zero check"),
        "{}",
        answer.told
    );
    assert_eq!(answer.lines[0]["verdict"], "DOUBT", "{}", answer.text);
    let doubts = lines_of(journal.as_ref(), "gauge_doubted");
    assert_eq!(doubts.len(), 1);
    let reason = doubts[0]["body"]["reason"].as_str().unwrap();
    assert!(
        reason.starts_with("found wrong in another session at 20"),
        "{reason}"
    );
    let verified = shop.run(&["verify", "--json", journal], "");
    assert_eq!(verified.lines[0]["state"], "sound");
}
