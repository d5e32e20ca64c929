//! Making to suit by the real program: from a measured mate, typed or in a record, to verdicts,
//! record and report.

#![cfg(unix)]

use std::fs;

use crate::support::program::{Answer, Shop, lines_of};

const GAUGES: &str = "[[gauge]]\nid = \"mic\"\nkind = \"outside_micrometer\"\nrange = [0, 25]\n\
resolution = 0.001\nmpe = 0.002\n[[gauge]]\nid = \"bore\"\nkind = \"inside_micrometer\"\n\
range = [10, 30]\nresolution = 0.001\ncalibration = { U = 0.002, k = 2 }\n";
const BUSH: &str = "[part]\nname = \"Bush\"\n[[feature]]\nid = \"A\"\ncallout = \"20 g6\"\n\
[[pair]]\nhole = \"housing.toml#B\"\nshaft = \"A\"\nintended = \"20 H7/g6\"\n";
const HOUSING: &str = "[part]\nname = \"Housing\"\n[[feature]]\nid = \"B\"\ncallout = \"20 H7\"\n\
points = 3\n[[pair]]\nhole = \"B\"\nshaft = \"bush.toml#A\"\n";
const ALONE: &str = "[part]\nname = \"Pin\"\n[[feature]]\nid = \"A\"\ncallout = \"20 g6\"\n";
const BOTH: &str = "[part]\nname = \"Pump\"\n[[feature]]\nid = \"A\"\ncallout = \"20 g6\"\n\
[[feature]]\nid = \"B\"\ncallout = \"20 H7\"\n[[feature]]\nid = \"C\"\ncallout = \"M10-6g\"\n\
[[feature]]\nid = \"D\"\ncallout = \"20 max\"\nsurface = \"inside\"\n\
[[pair]]\nhole = \"B\"\nshaft = \"A\"\n[[pair]]\nhole = \"D\"\nshaft = \"A\"\n\
[[pair]]\nhole = \"x.toml#H\"\nshaft = \"C\"\nintended = \"20 H7/g6\"\n";

fn shop() -> Shop {
    let shop = Shop::in_memory();
    for (name, text) in [
        ("gauges.toml", GAUGES),
        ("bush.toml", BUSH),
        ("housing.toml", HOUSING),
        ("alone.toml", ALONE),
        ("both.toml", BOTH),
    ] {
        fs::write(shop.path(name), text).unwrap();
    }
    shop
}

fn inspect(shop: &Shop, plan: &str, more: &[&str], values: &str) -> Answer {
    let gauge = if plan == "housing.toml" {
        "bore=typed"
    } else {
        "mic=typed"
    };
    let mut all = vec!["inspect", "--plan", plan, "--gauge", gauge, "--json"];
    all.extend(more);
    shop.run(&all, values)
}

#[test]
fn a_shaft_is_made_to_suit_a_typed_bore_and_record_and_report_say_why() {
    let shop = shop();
    let suit = ["--suit", "housing.toml#B=20.030±0.001"];
    let done = inspect(&shop, "bush.toml", &suit, "20.008\n");
    assert_eq!(done.code, 0, "{}", done.told);
    for told in [
        "it may be 19.989 to 20.023 mm.",
        "leaves 19.991 to 20.021 mm.",
        "Its own class is 19.980 to 19.993 mm;",
    ] {
        assert!(done.told.contains(told), "{}", done.told);
    }
    let journal = shop.journal();
    let verdict = &lines_of(&journal, "verdict_given")[0]["body"];
    assert_eq!(
        (&verdict["verdict"], &verdict["lower"], &verdict["upper"]),
        (&"GO".into(), &"19.991".into(), &"20.021".into())
    );
    assert_eq!(verdict["notes"], serde_json::json!(["made_to_suit"]));
    let suits = &lines_of(&journal, "session_opened")[0]["body"]["suits"];
    assert_eq!(
        *suits,
        serde_json::json!([{
            "feature": "A", "mate": "housing.toml#B", "mate_is": "hole", "fit": "20 H7/g6",
            "least": "0.007", "most": "0.041", "size": "20.030", "u": "0.001", "source": "typed"
        }])
    );
    assert_eq!(shop.verified(&journal)["state"], "sound");
    let journal = journal.to_str().unwrap();
    for page in ["r.html", "r.pdf"] {
        let answer = shop.run(&["report", journal, "--out", page], "");
        assert!(answer.code < 2, "{}", answer.told);
    }
    let page = fs::read_to_string(shop.path("r.html")).unwrap();
    for told in [
        "limits of this session only, not the class",
        "This session only, every part of it: the shaft A is made to suit the hole housing.toml#B",
        "A to suit housing.toml#B, 20.030 mm (typed)",
        "Its own class is 19.980 to 19.993 mm",
        "19.991",
        "20.021",
    ] {
        assert!(page.contains(told), "{told}");
    }
}

#[test]
fn the_mate_comes_out_of_a_record_with_its_uncertainty_and_its_form() {
    let shop = shop();
    let measured = inspect(
        &shop,
        "housing.toml",
        &["--advance", "always"],
        "20.028\n20.032\n20.030\n",
    );
    assert!(measured.code < 2, "{}", measured.told);
    let journal = shop.journal();
    let name = journal.file_name().unwrap().to_str().unwrap().to_owned();
    let suit = format!("housing.toml#B=sessions/{name}");
    let done = inspect(&shop, "bush.toml", &["--suit", &suit], "");
    assert!(done.code < 2, "{}", done.told);
    let all = shop.journals();
    let opened = all.iter().find(|path| **path != journal).unwrap();
    let suits = &lines_of(opened, "session_opened")[0]["body"]["suits"][0];
    // The middle of 20.028 and 20.032; u of U/2 and a step: sqrt(1000^2 + 1000^2/12) nm, rounded up.
    assert_eq!(
        (&suits["size"], &suits["form"], &suits["u"]),
        (&"20.030".into(), &"0.002".into(), &"0.001041".into())
    );
    assert_eq!(suits["source"], format!("{name} part 1"));
    for (text, code) in [
        (format!("{suit}#2"), "mate_not_measured"),
        (format!("{suit}#x"), "suit_unreadable"),
        (
            "housing.toml#B=sessions/none.jsonl".to_owned(),
            "journal_not_read",
        ),
    ] {
        let refused = inspect(&shop, "bush.toml", &["--suit", &text], "");
        assert_eq!(
            refused.lines[0]["error"]["code"], code,
            "{text}: {:?}",
            refused.lines
        );
    }
    // Of two parts it has to be said which, and each has to be measured whole.
    let more = "20.028\n20.032\n20.030\n20.029\n";
    inspect(&shop, "housing.toml", &["--advance", "always"], more);
    let found = shop.journals().into_iter().find(|path| !all.contains(path));
    let path = found.unwrap();
    let suit = format!("housing.toml#B={}", path.to_str().unwrap());
    for (text, told) in [
        (suit.clone(), "has 2 parts"),
        (format!("{suit}#2"), "is not measured on all its points"),
    ] {
        let refused = inspect(&shop, "bush.toml", &["--suit", &text], "");
        let error = &refused.lines[0]["error"];
        assert_eq!(error["code"], "mate_not_measured");
        assert!(error["message"].as_str().unwrap().contains(told), "{error}");
    }
    assert!(inspect(&shop, "bush.toml", &["--suit", &format!("{suit}#1")], "").code < 2);
}

#[test]
fn a_mate_that_was_measured_before_its_last_stage_is_refused() {
    let shop = shop();
    let bored = "[part]\nname = \"Housing\"\n[[feature]]\nid = \"B\"\ncallout = \"20 H7\"\n\
                 stages = [\"bored\", \"honed\"]\nleave = 0.02\n";
    fs::write(shop.path("bored.toml"), bored).unwrap();
    let measured = inspect(&shop, "bored.toml", &["--stage", "bored"], "19.985\n");
    assert!(measured.code < 2, "{}", measured.told);
    let suit = format!("housing.toml#B={}", shop.journal().to_str().unwrap());
    let refused = inspect(&shop, "bush.toml", &["--suit", &suit], "");
    let error = &refused.lines[0]["error"];
    assert_eq!(error["code"], "mate_not_measured");
    let message = error["message"].as_str().unwrap();
    assert!(message.contains("before its last stage"), "{message}");
}

#[test]
fn inches_make_the_same_limits_as_millimetres() {
    let shop = shop();
    let mut found = Vec::new();
    // 0.788in is 20.0152 mm by definition.
    for suit in [
        "housing.toml#B=20.0152+-0.00127",
        "housing.toml#B=0.788in±0.00005in",
    ] {
        let done = inspect(&shop, "bush.toml", &["--suit", suit], "20.000\n");
        assert!(done.code < 2, "{}", done.told);
        let journal = shop.journal();
        let verdict = lines_of(&journal, "verdict_given")[0]["body"].clone();
        found.push((verdict["lower"].clone(), verdict["upper"].clone()));
        fs::remove_file(journal).unwrap();
    }
    assert_eq!(found[0], ("19.97674".into(), "20.00566".into()));
    assert_eq!(found[0], found[1]);
}

#[test]
fn a_pair_without_a_fit_takes_the_limits_of_both_features() {
    let shop = shop();
    let done = inspect(&shop, "both.toml", &["--suit", "B=20.030"], "");
    assert!(
        done.told
            .contains("for a clearance of 0.007 to 0.041 mm it may be"),
        "{}",
        done.told
    );
}

#[test]
fn what_cannot_be_made_to_suit_is_told_and_nothing_is_recorded() {
    let shop = shop();
    for (plan, suit, code, told) in [
        (
            "bush.toml",
            "B=20.030",
            "unknown_mate",
            "No pair of the plan has B.",
        ),
        (
            "alone.toml",
            "A=20",
            "unknown_mate",
            "This plan has no pair",
        ),
        (
            "housing.toml",
            "B=20.010",
            "mate_in_other_plan",
            "made by the plan bush.toml",
        ),
        ("both.toml", "D=20.010", "fit_not_stated", "states no fit"),
        (
            "both.toml",
            "x.toml#H=20.010",
            "nothing_to_suit",
            "C has no size",
        ),
        (
            "bush.toml",
            "housing.toml#B",
            "suit_unreadable",
            "says not what is measured",
        ),
        (
            "bush.toml",
            "housing.toml#B=",
            "suit_unreadable",
            "says not what is measured",
        ),
        ("bush.toml", "housing.toml#B=wide", "bad_character", "wide"),
        (
            "bush.toml",
            "housing.toml#B=20.03±-0.1",
            "uncertainty_out_of_range",
            "negative",
        ),
        (
            "bush.toml",
            "housing.toml#B=20.03±0.02",
            "nothing_left",
            "leaves nothing",
        ),
        (
            "bush.toml",
            "housing.toml#B=-20.03",
            "suit_out_of_range",
            "no size",
        ),
    ] {
        let refused = inspect(&shop, plan, &["--suit", suit], "");
        assert_eq!(refused.code, 2, "{suit}");
        let error = &refused.lines[0]["error"];
        assert_eq!(error["code"], code, "{suit}: {error}");
        assert!(
            error["message"].as_str().unwrap().contains(told),
            "{suit}: {error}"
        );
    }
    let kept = ["--suit", "housing.toml#B=20.050", "--keep-class"];
    let refused = inspect(&shop, "bush.toml", &kept, "");
    assert_eq!(refused.lines[0]["error"]["code"], "not_in_class");
    assert_eq!(inspect(&shop, "bush.toml", &["--keep-class"], "").code, 2);
    assert_eq!(shop.journals().len(), 0);
}
