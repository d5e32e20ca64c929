//! How a session begins from a window: what is refused, and what is told before measuring.

#![cfg(unix)]

use std::fs;
use std::path::PathBuf;

use fitledger::session::{Begin, Live, What, Workspace, prepare};

use crate::support::program::{FarEnd, Shop};

const REGISTER: &str = "\
[[gauge]]\nid = \"mic-25\"\nkind = \"outside_micrometer\"\nrange = [0, 25]\nresolution = 0.001\n\
due = 2020-03-01\n[[gauge]]\nid = \"cal\"\nkind = \"caliper\"\n";

fn workspace(shop: &Shop) -> Workspace {
    Workspace::locate(Some(shop.place.path()))
}

fn callouts(callouts: &[&str], gauges: &[&str]) -> Begin {
    let all = |texts: &[&str]| texts.iter().map(|one| (*one).to_owned()).collect();
    Begin {
        gauges: all(gauges),
        ..Begin::new(What::Callouts(all(callouts)))
    }
}

#[test]
fn what_cannot_begin_is_refused_with_its_word_and_leaves_nothing_behind() {
    let busy = FarEnd::new();
    let typed = |gauge: &str| callouts(&["20 k6"], &[gauge]);
    let plan = |name: &str| Begin::new(What::Plan(PathBuf::from(name)));
    for (begin, code, is_outside) in [
        (callouts(&[], &[]), "plan_missing", false),
        (callouts(&["20 q99"], &[]), "setup", false),
        (plan("/nowhere/plan.toml"), "file_not_found", false),
        (typed("usb"), "source_unreadable", false),
        (typed("nosuch=typed"), "gauge_unknown", false),
        (typed("nosuch=simulated"), "gauge_unknown", false),
        (typed("nosuch=serial:/dev/null"), "gauge_unknown", false),
        (typed("serial:/nowhere/at/all"), "port_not_found", true),
        (typed("serial:/dev/null"), "port_not_serial", false),
        (typed("cal"), "gauge_without_port", false),
        (
            callouts(&["20 k6"], &["cal=typed", "cal=simulated"]),
            "source_twice",
            false,
        ),
        (
            typed(&format!("serial:{}@nothing", busy.path)),
            "unknown_adapter",
            false,
        ),
        (
            Begin::new(What::Continue(PathBuf::from("/nowhere/a.jsonl"))),
            "journal_not_read",
            true,
        ),
    ] {
        let shop = Shop::new();
        fs::write(shop.path("gauges.toml"), REGISTER).unwrap();
        let error = prepare(&begin, &workspace(&shop)).err().unwrap();
        let code = if code == "setup" { error.code } else { code };
        assert_eq!(
            (error.code, error.is_outside),
            (code, is_outside),
            "{error}"
        );
        assert!(error.message.contains('.'), "a sentence: {error}");
        assert!(error.hint.is_some(), "{error}");
        assert_eq!(shop.journals(), Vec::<PathBuf>::new(), "{error}");
    }
}

#[test]
fn a_gauge_that_the_register_lacks_is_refused_with_those_that_it_has() {
    let shop = Shop::new();
    let begin = callouts(&["20 k6"], &["mic=typed"]);
    let refused = |shop: &Shop| prepare(&begin, &workspace(shop)).err().unwrap();
    let error = refused(&shop);
    assert_eq!(error.message, "The gauge “mic” is not in the register.");
    assert!(error.hint.unwrap().contains("gauges.toml"));
    fs::write(shop.path("gauges.toml"), REGISTER).unwrap();
    assert!(refused(&shop).hint.unwrap().contains("mic-25, cal"));
    // On the command line as in the window.
    let arguments = ["--json", "--callout", "20 k6", "--gauge", "mic=typed"];
    let arguments: Vec<&str> = ["inspect"].into_iter().chain(arguments).collect();
    let answer = shop.run(&arguments, "20.008\n");
    assert_eq!(answer.lines[0]["error"]["code"], "gauge_unknown");
    assert_eq!((answer.code, answer.lines.len()), (2, 1));
    assert_eq!(shop.journals(), Vec::<PathBuf>::new());
}

#[test]
fn a_register_that_is_not_right_is_told_in_sentences_and_drawn_on_the_command_line() {
    let shop = Shop::new();
    fs::write(
        shop.path("gauges.toml"),
        "[[gauge]]\nid = \"a\"\nkind = \"ruler\"\n",
    )
    .unwrap();
    let begin = callouts(&["20 k6"], &["typed"]);
    let error = prepare(&begin, &workspace(&shop)).err().unwrap();
    assert_eq!(error.code, "gauge_register_invalid");
    let answer = shop.run(&["inspect", "--callout", "20 k6", "--gauge", "typed"], "");
    assert!(
        answer.told.contains("gauges.toml, line 3"),
        "{}",
        answer.told
    );
    assert!(answer.told.contains('^'), "{}", answer.told);
}

#[test]
fn a_calibration_that_was_due_is_the_first_message() {
    let shop = Shop::new();
    fs::write(shop.path("gauges.toml"), REGISTER).unwrap();
    let begin = callouts(&["20 k6"], &["mic-25=typed"]);
    let prepared = prepare(&begin, &workspace(&shop)).unwrap();
    let wanted = "mic-25: the calibration was due on 2020-03-01.";
    assert_eq!(prepared.told, [wanted]);
    let live = Live::start(prepared, || {}).unwrap();
    assert_eq!(live.snapshot().message.as_ref().unwrap().text, wanted);
}

/// A comparator, a micrometer whose zero is checked on a block, and both standards; `error` is what
/// the standards state.
fn with_standards(error: &str) -> String {
    format!(
        "[[gauge]]\nid = \"bore-6\"\nkind = \"bore_gauge\"\nrange = [-0.2, 0.2]\n\
         resolution = 0.001\nmpe = 0.002\nreads = \"deviation\"\nset_on = \"ring-6.003\"\n\
         [[gauge]]\nid = \"ring-6.003\"\nkind = \"setting_ring\"\nrange = 6.003\n{error}\
         [[gauge]]\nid = \"mic\"\nkind = \"outside_micrometer\"\nrange = [0, 25]\n\
         resolution = 0.001\nmpe = 0.002\nzero_check = {{ on = \"block\" }}\n\
         [[gauge]]\nid = \"block\"\nkind = \"gauge_block\"\nrange = 10\n{error}"
    )
}

#[test]
fn a_standard_whose_error_nobody_states_is_told_before_measuring() {
    let told = |error: &str, gauges: &[&str]| {
        let shop = Shop::new();
        fs::write(shop.path("gauges.toml"), with_standards(error)).unwrap();
        let begin = callouts(&["6 H7"], gauges);
        prepare(&begin, &workspace(&shop)).unwrap().told
    };
    let of = |gauge: &str, standard: &str| {
        format!(
            "{gauge}: the error of its standard {standard} is not stated, so it is left out of the \
             uncertainty."
        )
    };
    let both = ["bore-6=typed", "mic=typed"];
    let cautions = |told: Vec<String>| -> Vec<String> {
        let is_caution = |one: &String| one.contains("its standard");
        told.into_iter().filter(is_caution).collect()
    };
    let (ring, block) = (of("bore-6", "ring-6.003"), of("mic", "block"));
    assert_eq!(cautions(told("", &both)), [ring.clone(), block]);
    // Of the gauges of this session only, and only where nothing is stated.
    assert_eq!(cautions(told("", &["bore-6=typed"])), [ring]);
    let stated = "calibration = { U = 0.001, k = 2 }\n";
    assert_eq!(cautions(told(stated, &both)), Vec::<String>::new());
}
