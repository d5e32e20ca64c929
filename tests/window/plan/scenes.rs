//! A plan of a garden-irrigation pump being edited, in every state of the room.
#![allow(clippy::unwrap_used)]

use std::path::PathBuf;

use fitledger::session::{GaugesSaid, Snapshot};
use fitledger::tolerance::Tables;
use fitledger::window::keys::character_press;
use fitledger::window::plan_disk::PlanShelfFacts;
use fitledger::window::plan_learned::LearnedTold;
use fitledger::window::plan_open::OpenPlan;
use fitledger::window::plan_room::{PlanAsked, PlanRoom};
use fitledger::window::plan_sense::PlanSense;
use fitledger::window::press::Press;
use fitledger::window::start::Known;
use fitledger::window::view::{PlanSeen, PlanView, plan_now, plan_view, typed_sheet};

pub(crate) const GAUGES: &str = "\
[[gauge]]\nid = \"mic-25\"\nkind = \"outside_micrometer\"\nrange = [0, 25]\nresolution = 0.001\n\
calibration = { U = 0.002, k = 2 }\nrepeatability = 0.0008\n\
[[gauge]]\nid = \"caliper-150\"\nkind = \"caliper\"\nrange = [0, 150]\nresolution = 0.01\nmpe = 0.03\n\
[[gauge]]\nid = \"bore-20\"\nkind = \"inside_micrometer\"\nrange = [18, 22]\nresolution = 0.001\n\
calibration = { U = 0.002, k = 2 }\n";

/// The register with a resolution that is no number.
pub(crate) const UNSOUND: &str = "\
[[gauge]]\nid = \"mic-25\"\nkind = \"outside_micrometer\"\nrange = [0, 25]\nresolution = fine\n";

pub(crate) const SHAFT: &str = "# Pump shaft, as the customer drew it.
[part]
name = \"Pump shaft\"
drawing = \"GP-07\"
revision = \"B\"
material = \"1.4301\"   # stainless
quantity = 12

[rules]
general = \"m\"

# runs in the ball bearing
[[feature]]
id = \"A\"
callout = \"20 k6\"
name = \"bearing seat, left\"
along = [0, 14]
points = 3
gauge = [\"mic-25\"]

[[feature]]
id = \"B\"
callout = \"25 h9\"
name = \"collar\"
along = [14, 22]

[[feature]]
id = \"D\"
callout = \"15 f7\"
name = \"impeller seat\"
along = [22, 48]
stages = [\"turned\", \"ground\"]
leave = 0.2

[[feature]]
id = \"M\"
callout = \"M12-6g\"
name = \"thread for the nut\"
along = [48, 62]
full_thread = 16

[[feature]]
id = \"L\"
callout = \"62 ±0.1\"
surface = \"length\"
along = [0, 62]
every = 5

[[pair]]
hole = \"impeller.toml#bore\"
shaft = \"D\"
intended = \"15 H7/f7\"
";

pub(crate) fn facts() -> PlanShelfFacts {
    let known = |name: &str, detail: &str| Known {
        path: PathBuf::from(format!("/w/{name}")),
        name: name.to_owned(),
        detail: detail.to_owned(),
    };
    PlanShelfFacts {
        plans: vec![
            known("plans/shaft.toml", "Pump shaft, GP-07"),
            known("plans/bush.toml", "2 faults; Enter shows them"),
        ],
        features: vec![("plans/impeller.toml".to_owned(), vec!["bore".to_owned()])],
        gauges: GAUGES.to_owned(),
        tables: Some(Tables::standard().clone()),
        ..PlanShelfFacts::default()
    }
}

/// The room without a disk: what it asks for is kept.
pub(crate) struct Hand {
    pub(crate) room: PlanRoom,
    pub(crate) facts: PlanShelfFacts,
    pub(crate) asked: Vec<PlanAsked>,
    pub(crate) learned: LearnedTold,
}

impl Hand {
    pub(crate) fn at_files() -> Self {
        Self {
            room: PlanRoom::default(),
            facts: facts(),
            asked: Vec::new(),
            learned: LearnedTold::default(),
        }
    }

    pub(crate) fn on(text: &str) -> Self {
        let mut hand = Self::at_files();
        let path = PathBuf::from("/w/plans/shaft.toml");
        let plan = OpenPlan::of(path, "plans/shaft.toml".to_owned(), text.to_owned());
        hand.room.opened(plan);
        hand
    }

    pub(crate) fn sense(&self) -> (PlanSense, PlanSense) {
        let Some(open) = &self.room.open else {
            return (PlanSense::default(), PlanSense::default());
        };
        match (open.sheet(), typed_sheet(&self.room)) {
            (Some(sheet), Some(typed)) => {
                let before = PlanSense::of(sheet, &open.name, &self.facts);
                match typed == *sheet {
                    true => (before.clone(), before),
                    false => (PlanSense::of(&typed, &open.name, &self.facts), before),
                }
            }
            _ => {
                let sense = PlanSense::of_text(open.text(), &open.name, &self.facts);
                (sense.clone(), sense)
            }
        }
    }

    pub(crate) fn press(&mut self, press: &Press) {
        self.press_drawn(press, (3, true));
    }

    /// So many lines were drawn, and whether there are more.
    pub(crate) fn press_drawn(&mut self, press: &Press, drawn: (usize, bool)) {
        let (sense, _) = self.sense();
        let now = plan_now(&self.room, &self.facts, (&sense, &self.learned), drawn);
        self.asked.extend(self.room.press(press, &now));
    }

    /// Keys as they are struck: `⏎⌫␛↑↓←→⇥` and characters.
    pub(crate) fn keys(mut self, keys: &str) -> Self {
        for key in keys.chars() {
            let press = match key {
                '⏎' => Press::Enter,
                '⌫' => Press::Backspace,
                '␛' => Press::Escape,
                '↑' => Press::Up,
                '↓' => Press::Down,
                '←' => Press::Left,
                '→' => Press::Right,
                '⇥' => Press::Tab,
                ',' if self.room.is_writing() => Press::Letter(','),
                other => character_press(other),
            };
            self.press(&press);
        }
        self
    }

    pub(crate) fn seen_with(&self, snapshot: Option<&Snapshot>, marker: char) -> PlanView {
        let (sense, before) = self.sense();
        let sheet = typed_sheet(&self.room);
        plan_view(&PlanSeen {
            room: &self.room,
            facts: &self.facts,
            sheet: sheet.as_ref(),
            sense: &sense,
            before: &before,
            learned: &self.learned,
            snapshot,
            now_ms: 0,
            marker,
        })
    }

    pub(crate) fn seen(&self) -> PlanView {
        self.seen_with(None, '.')
    }

    pub(crate) fn text(&self) -> &str {
        self.room.open.as_ref().unwrap().text()
    }

    /// Somebody else writes this into the file.
    pub(crate) fn overtaken(mut self, text: &str) -> Self {
        self.room.open.as_mut().unwrap().seen(text);
        self
    }
}

/// The collar is taken out here, and was changed on the disk.
pub(crate) fn gone() -> Hand {
    let theirs = SHAFT.replace("25 h9", "25 h8").replace(
        "\"collar\"",
        "\"collar, chamfered on both sides\"  # new jaws",
    );
    Hand::on(SHAFT).keys("↓x").overtaken(&theirs)
}

/// Another order and other sizes on both sides.
pub(crate) fn much() -> Hand {
    let text = many(40);
    let theirs = text
        .replace("h9", "h8")
        .replace("Manifold", "Manifold, right");
    Hand::on(&text).keys("x⏎↓⏎⌫⌫k6⏎␛").overtaken(&theirs)
}

/// Both changed a long name that has what cannot be seen in it.
pub(crate) fn odd() -> Hand {
    let long = "the-second-foundry-as-machined-again ".repeat(6);
    let named = |word: &str| SHAFT.replace("\"collar\"", &format!("\"{long}{word} ב\\u202E\""));
    let (text, theirs) = (named("collar"), named("flange"));
    Hand::on(&text).keys("↓⏎↓↓⏎⌫⌫x⏎␛").overtaken(&theirs)
}

/// A plan with so many features.
pub(crate) fn many(count: usize) -> String {
    let mut text = "[part]\nname = \"Manifold\"\n".to_owned();
    for at in 0..count {
        let size = 10 + at % 90;
        text.push_str(&format!(
            "\n[[feature]]\nid = \"F{at}\"\ncallout = \"{size} h9\"\nalong = [{at}, {}]\n",
            at + 1
        ));
    }
    text
}

/// Names as long as they come, right to left, and what cannot be seen in them.
pub(crate) fn strange() -> String {
    let long = "the-impeller-seat-of-the-second-foundry-as-machined-again-2026";
    format!(
        "[part]\nname = \"עגלה \\u202E shaft {long} {long}\"\ndrawing = \"{long}\"\n\
         [[feature]]\nid = \"{long}\"\ncallout = \"20 k6\"\nname = \"\\u202Eesrever {long} {long}\"\n\
         gauge = [\"{long}\", \"mic-25\"]\nalong = [0, 10]\n\
         [[feature]]\nid = \"ب\"\ncallout = \"15 ±\\u200B0.2\"\nalong = [10, 30]\n\
         [[pair]]\nhole = \"{long}.toml#{long}\"\nshaft = \"{long}\"\nintended = \"20 H7/k6\"\n"
    )
}

pub(crate) fn scenes() -> Vec<(&'static str, PlanView)> {
    let mut taught = Hand::on(SHAFT).keys("↓↓");
    taught.learned = super::learned::told();
    let on = |keys: &str| Hand::on(SHAFT).keys(keys).seen();
    let theirs = SHAFT.replace("20 k6", "20 h6").replace("12\n", "20\n");
    let edited = || Hand::on(SHAFT).keys("⏎↓⏎⌫⌫m6⏎").overtaken(&theirs);
    let broken = SHAFT
        .replace("25 h9", "25 q9")
        .replace("15 f7", "15 ±")
        .replace("62 ±", "±");
    let faulty = Hand::on(&super::faults::faulty(400));
    let listed = Hand::on(&super::faults::faulty(400)).keys("4");
    let mut last = Hand::on(&super::faults::faulty(400)).keys("4");
    last.press(&Press::Choose(100));
    let mut unsound = Hand::on(SHAFT);
    unsound
        .facts
        .hear_gauges(GaugesSaid::Text(UNSOUND.to_owned()));
    vec![
        ("register-broken", unsound.seen()),
        ("faults-many", listed.seen()),
        ("faults-many-last", last.seen()),
        ("faults-many-features", faulty.seen()),
        (
            "not-drawn",
            Hand::on(&format!("colour = 1\n{SHAFT}")).seen(),
        ),
        ("files", Hand::at_files().keys("↓").seen()),
        ("features", on("")),
        ("stages", on("↓↓")),
        ("learned", taught.seen()),
        ("thread", on("↓↓↓")),
        ("fields", on("⏎↓↓↓")),
        ("typed", on("↓⏎↓⏎⌫⌫k6")),
        ("typed-wrong", on("↓⏎↓⏎⌫⌫q9")),
        ("typed-gauge", on("⏎↓↓↓↓↓↓↓↓↓⏎, c")),
        ("typed-surface", on("⏎↓↓↓⏎⇥")),
        ("head", on("2")),
        ("pairs", on("3")),
        ("pair-typed", on("3⏎↓↓⏎⌫⌫k6")),
        ("faults", Hand::on(&broken).keys("4").seen()),
        ("broken", Hand::on(&broken).keys("↓").seen()),
        ("edited", on("⏎↓⏎⌫⌫m6⏎␛")),
        ("overtaken", edited().seen()),
        ("overtaken-asked", edited().keys("␛c").seen()),
        ("conflict", edited().keys("␛c1").seen()),
        ("conflict-gone", gone().keys("c1").seen()),
        ("conflict-strange", odd().keys("c1").seen()),
        ("overtaken-much", much().keys("c*").seen()),
        ("leave", on("⏎↓⏎⌫⌫m6⏎␛.")),
        ("not-toml", Hand::on("[part\nname = 1").seen()),
        ("new", Hand::at_files().keys("n⏎Pump bush⏎").seen()),
        (
            "new-name",
            Hand::at_files().keys("n⏎Pump bush, left⏎s").seen(),
        ),
        (
            "many",
            Hand::on(&many(300)).keys("↓↓↓↓↓↓↓↓↓↓↓↓↓↓↓↓↓↓↓↓↓↓↓↓").seen(),
        ),
        ("strange", Hand::on(&strange()).seen()),
        ("strange-fields", Hand::on(&strange()).keys("⏎↓↓⏎").seen()),
        ("strange-pair", Hand::on(&strange()).keys("3").seen()),
    ]
}
