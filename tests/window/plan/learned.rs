//! What earlier batches teach of a plan's part: said of the chosen feature, taken into the plan by
//! a key, looked for apart from the frame.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::sync::Arc;

use fitledger::measure::learned_allowance;
use fitledger::quantity::Length;
use fitledger::session::{JoinedBy, LearnedFound, LearnedOperation, Operation, PlanKey};
use fitledger::tolerance::Surface;
use fitledger::window::plan_learned::{LearnedOutside, LearnedTold, learned_ends};
use fitledger::window::view::PlanView;

use super::live::Bench;
use super::said;
use super::scenes::{Hand, SHAFT};
use crate::support::program::Shop;

fn keys(view: &PlanView) -> String {
    let keys = view.keys.iter();
    let keys: Vec<String> = keys
        .map(|one| format!("{} {}", one.key, one.does))
        .collect();
    keys.join(", ")
}

/// The impeller seat of the shaft, with what its batches teach changed by `change`.
fn hand(text: &str, change: impl FnOnce(&mut LearnedOperation)) -> Hand {
    let mut told = self::told();
    let mut operations = told.operations.to_vec();
    change(&mut operations[0]);
    told.operations = Arc::new(operations);
    let mut hand = Hand::on(text).keys("↓↓");
    hand.learned = told;
    hand
}

#[test]
fn what_earlier_batches_taught_is_said_of_its_feature_with_where_it_is_from() {
    let hand = hand(SHAFT, |_| {});
    let told = said(hand.seen());
    let lines: Vec<&str> = told.lines().collect();
    let at = |text: &str| {
        lines
            .iter()
            .position(|line| line.starts_with(text))
            .unwrap()
    };
    // By hand: (106 + 107 + 105 + 107 + 107 + 106) / 6 = 106.3 µm, to whole micrometres.
    let first = "Learned allowance, turned to ground: leave 0.106 mm. The plan leaves 0.2: A puts \
                 0.106 there.";
    assert_eq!(lines[at("Learned allowance")], first);
    assert!(
        at("Turned: 15.166 to") + 1 == at("Learned allowance"),
        "{told}"
    );
    assert_eq!(
        lines[at("Learned between")],
        "Learned between turned and ground (1.4301) on 6 parts out of 2 batches, known by serial \
         number."
    );
    assert!(
        lines[at("On 6 parts the operation changed")].contains("−0.106 on average"),
        "{told}"
    );
    assert!(lines[at("Leave 0.106 for it, and keep")].ends_with("inside each limit before it."));
    assert_eq!(
        lines[at("From the records")],
        "From the records turned-2.jsonl and after it ground-2.jsonl; 1 batch before that."
    );
    assert!(!told.contains("not read"), "{told}");
    assert!(keys(&hand.seen()).contains("A allowance"));
    let mut more = hand;
    more.learned.unread = 3;
    let told = said(more.seen());
    assert!(
        told.contains("3 older sessions of this part were not read."),
        "{told}"
    );
    // A marker is a marker.
    let view = more.seen_with(None, ',');
    assert!(said(view).contains("leave 0,106 mm. The plan leaves 0,2: A puts 0,106 there."));
}

#[test]
fn of_anything_else_nothing_is_said() {
    let silent = |hand: Hand| {
        let told = said(hand.seen());
        let is_silent = !told.contains("earned") && !told.contains("records");
        assert!(
            is_silent && !keys(&hand.seen()).contains("allowance"),
            "{told}"
        );
        assert_eq!(hand.keys("a").room.open.unwrap().unsaved(), 0);
    };
    let usual = |_: &mut LearnedOperation| {};
    // Another feature, nothing learned at all, another material, size, side or element.
    silent(hand(SHAFT, usual).keys("↑"));
    silent(Hand::on(SHAFT).keys("↓↓"));
    silent(hand(&SHAFT.replace("1.4301", "C45E"), usual));
    silent(hand(&SHAFT.replace("15 f7", "16 f7"), usual));
    silent(hand(SHAFT, |one| one.of.surface = Surface::Inside));
    silent(hand(SHAFT, |one| one.of.element = "pitch".to_owned()));
    silent(hand(SHAFT, |one| one.of.feature = "E".to_owned()));
    silent(hand(SHAFT, |one| one.of.material = None));
    // Other pages, and a feature with a fault.
    silent(hand(SHAFT, usual).keys("3"));
    silent(hand(&SHAFT.replace("15 f7", "15 q7"), usual));
}

#[test]
fn a_key_takes_it_into_the_plan_and_the_comments_stay() {
    let text = SHAFT.replace("leave = 0.2\n", "leave = 0.2  # for the wheel\n");
    let hand = hand(&text, |_| {}).keys("a");
    let expected = text.replace("leave = 0.2", "leave = 0.106");
    assert_eq!(hand.text(), expected);
    let written = "leave = 0.106 is written, as earlier batches teach; U takes that back.";
    assert_eq!(hand.room.said.as_deref(), Some(written));
    // 15 f7: -16 to -34 µm (ISO 286-1, by hand), 0.106 mm larger before.
    let told = said(hand.seen());
    assert!(told.contains("Turned: 15.072 to 15.090 mm"), "{told}");
    assert!(
        told.contains("leave 0.106 mm, which is what the plan leaves."),
        "{told}"
    );
    assert!(!keys(&hand.seen()).contains("allowance"));
    assert_eq!(hand.keys("au").text(), text, "nothing more to be taken");
    // From the fields too; where the plan leaves nothing yet, and while something is typed.
    let none = text.replace("leave = 0.2  # for the wheel\n", "");
    let told = said(self::hand(&none, |_| {}).seen());
    assert!(
        told.contains("The plan leaves nothing: A puts 0.106 there."),
        "{told}"
    );
    let hand = self::hand(&none, |_| {}).keys("⏎A");
    assert_eq!(
        hand.text(),
        format!(
            "{}",
            none.replace(
                "stages = [\"turned\", \"ground\"]\n",
                "stages = [\"turned\", \"ground\"]\nleave = 0.106\n",
            )
        )
    );
    let hand = self::hand(&text, |_| {}).keys("⏎↓↓⏎A");
    assert_eq!(hand.text(), text);
    assert!(hand.room.typing.unwrap().text.ends_with('A'));
}

#[test]
fn what_the_plans_leave_does_not_stand_for_is_told_and_not_taken() {
    let told = |text: &str, change: fn(&mut LearnedOperation)| {
        let hand = hand(text, change);
        assert!(!keys(&hand.seen()).contains("allowance"));
        said(hand.seen())
    };
    let elsewhere = "The plan's own leave is for another operation";
    let early = told(SHAFT, |one| one.of.before = "rough".to_owned());
    assert!(early.contains("rough to ground: leave 0.106 mm.") && early.contains(elsewhere));
    let late = told(SHAFT, |one| one.of.after = "lapped".to_owned());
    assert!(late.contains(elsewhere), "{late}");
    // With a coating the metal comes off before it.
    let coated = SHAFT.replace(
        "stages = [\"turned\", \"ground\"]\n",
        "stages = [\"turned\", \"ground\", \"plated\"]\ncoating = [0.006, 0.010]\n",
    );
    assert!(keys(&hand(&coated, |_| {}).seen()).contains("A allowance"));
    let plated = told(&coated, |one| one.of.after = String::new());
    assert!(plated.contains("turned to the last stage: leave") && plated.contains(elsewhere));
    assert!(keys(&hand(SHAFT, |one| one.of.after = String::new()).seen()).contains("allowance"));
    let added = told(SHAFT, |one| one.learned.leave = None);
    assert!(
        added.contains("turned to ground. It adds metal: nothing is to be left for it."),
        "{added}"
    );
    let fault = |hand: &mut Hand| hand.learned.fault = Some("No folder.".to_owned());
    let mut failed = Hand::on(SHAFT);
    fault(&mut failed);
    let told = said(failed.seen());
    assert!(
        told.contains("What earlier batches teach is not known. No folder."),
        "{told}"
    );
}

#[derive(Default)]
struct Records {
    looked: Vec<PlanKey>,
    went_on: Vec<bool>,
    frames: usize,
    fault: Option<String>,
}

impl LearnedOutside for Records {
    fn learned(
        &mut self,
        of: &PlanKey,
        goes_on: &mut dyn FnMut() -> bool,
    ) -> Result<LearnedFound, String> {
        self.looked.push(of.clone());
        self.went_on.push(goes_on());
        let operations = told().operations.to_vec();
        let found = LearnedFound {
            operations,
            unread: 1,
        };
        self.fault.clone().map_or(Ok(found), Err)
    }

    fn changed(&mut self) {
        self.frames += 1;
    }
}

#[test]
fn a_part_is_looked_for_once_and_of_many_that_wait_the_last() {
    let key = |name: &str| PlanKey::Part {
        name: name.to_owned(),
        drawing: String::new(),
    };
    let (mut handle, mut side) = learned_ends();
    let mut records = Records::default();
    ["P", "Pu", "Pump"]
        .iter()
        .for_each(|name| handle.ask(&key(name)));
    let pump = key("Pump");
    assert!(
        handle.told(Some(&pump)).operations.is_empty(),
        "nothing yet"
    );
    side.run_waiting(&mut records);
    assert_eq!((records.looked.len(), records.frames), (1, 1));
    assert_eq!((&records.looked[0], records.went_on[0]), (&pump, true));
    let told = handle.told(Some(&pump));
    assert_eq!((told.operations.len(), told.unread), (1, 1));
    assert!(handle.told(Some(&key("Bush"))).operations.is_empty());
    assert!(handle.told(None).operations.is_empty());
    handle.ask(&pump);
    side.run_waiting(&mut records);
    assert_eq!(records.looked.len(), 1, "not again");
    records.fault = Some("No folder.".to_owned());
    handle.ask(&key("Bush"));
    side.run_waiting(&mut records);
    let told = handle.told(Some(&key("Bush")));
    assert_eq!(
        (told.fault.as_deref(), told.operations.len()),
        (Some("No folder."), 0)
    );
    // Who leaves the room ends the reading.
    handle.ask(&key("Cover"));
    drop(handle);
    side.run(&mut records);
    assert_eq!(records.went_on, [true, true, false]);
}

/// Two batches recorded by the program, then the window on the same workspace.
#[test]
fn the_records_of_the_workspace_teach_and_the_plan_is_saved_with_it() {
    let shop = Shop::new();
    std::fs::create_dir(shop.path("plans")).unwrap();
    let text = SHAFT.replace("leave = 0.2", "leave = 0.2 # for the wheel");
    std::fs::write(shop.path("plans/shaft.toml"), &text).unwrap();
    let only = text.split_once("\n[[feature]]").unwrap().0;
    let seat = text.split_once("[[feature]]\nid = \"D\"").unwrap().1;
    let seat = seat.split_once("\n[[feature]]").unwrap().0;
    let only = only.split_once("\n# runs").unwrap().0;
    let only = format!("{only}\n[[feature]]\nid = \"D\"{seat}");
    std::fs::write(shop.path("seat.toml"), only).unwrap();
    let measured = |stage: &str, values: [&str; 5]| {
        let args = [
            "inspect",
            "--plan",
            "seat.toml",
            "--gauge",
            "typed",
            "--stage",
            stage,
        ];
        shop.run(&args, &format!("{}\n", values.join("\n")));
    };
    measured("turned", ["15.081", "15.082", "15.080", "15.081", "15.083"]);
    measured("ground", ["14.975", "14.975", "14.975", "14.974", "14.976"]);
    std::fs::remove_file(shop.path("seat.toml")).unwrap();
    let mut bench = Bench::with(shop.place, None);
    bench.keys("②⏎↓↓");
    // By hand: -106 -107 -105 -107 -107 = -106.4.
    bench.until_told("turned to ground: leave 0.106 mm. The plan leaves 0.2");
    bench.keys("as");
    assert!(bench.tells("Saved: plans/shaft.toml."));
    assert_eq!(
        bench.file("shaft.toml"),
        text.replace("leave = 0.2 #", "leave = 0.106 #")
    );
}

/// By value, for the scenes: two batches, six parts.
pub(super) fn told() -> LearnedTold {
    let changes = [-106, -107, -105, -107, -107, -106].map(Length::from_um);
    let learned = learned_allowance(&changes, Surface::Outside, Length::from_um(1)).unwrap();
    let records = [
        ("turned-2.jsonl", "ground-2.jsonl"),
        ("turned-1.jsonl", "ground-1.jsonl"),
    ];
    let one = LearnedOperation {
        of: Operation {
            feature: "D".to_owned(),
            element: "size".to_owned(),
            surface: Surface::Outside,
            nominal: Some(Length::from_mm(15)),
            before: "turned".to_owned(),
            after: "ground".to_owned(),
            material: Some("1.4301".to_owned()),
        },
        learned,
        records: records
            .map(|(before, after)| (before.to_owned(), after.to_owned()))
            .to_vec(),
        joined: JoinedBy::Serial,
    };
    LearnedTold {
        of: None,
        operations: Arc::new(vec![one]),
        unread: 0,
        fault: None,
    }
}
