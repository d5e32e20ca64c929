//! Real sessions on threads: the questions of limit gauges, and wires.

use fitledger::journal::SessionOpened;
use fitledger::window::view::Mark;

use super::bench::Bench;
use super::hand::Hand;
use super::scenes::{Scene, demo};

/// A gland with a thread outside and one inside, proved by everything that there is.
pub(crate) const GLAND: &str = "\
[part]
name = \"Pump gland\"
drawing = \"GP-05\"
revision = \"A\"
[[feature]]
id = \"A\"
callout = \"M10-6H\"
name = \"port thread\"
along = [16, 34]
elements = [\"minor\", \"go_plug\", \"no_go_plug\", \"mate\"]
[[feature]]
id = \"B\"
callout = \"M16x1.5-6g\"
name = \"gland thread\"
along = [0, 18]
wire = 0.895
elements = [\"major\", \"wires\", \"go_ring\", \"no_go_ring\"]
[[feature]]
id = \"C\"
callout = \"28 h11\"
name = \"flange\"
along = [20, 34]
[[feature]]
id = \"D\"
callout = \"M5-6H\"
name = \"set screw\"
full_thread = 2.4
elements = [\"no_go_plug\"]
";

/// Gauges of which two can be the GO plug.
pub(crate) const TWO_PLUGS: &str = "[[gauge]]\nid = \"bore-6\"\nkind = \"small_hole_gauge\"\n\
range = [6, 12]\nresolution = 0.001\nmpe = 0.004\n\
[[gauge]]\nid = \"plug-6H-old\"\nkind = \"plug\"\n\
[[gauge]]\nid = \"plug-6H\"\nkind = \"plug\"\n";

pub(crate) fn gland() -> SessionOpened {
    SessionOpened {
        plan_name: "pump-gland.toml".to_owned(),
        plan: Some(GLAND.to_owned()),
        ..demo()
    }
}

/// The same with this in place of the elements of A.
pub(crate) fn gland_with(elements: &str) -> SessionOpened {
    let old = "elements = [\"minor\", \"go_plug\", \"no_go_plug\", \"mate\"]";
    assert!(GLAND.contains(old));
    SessionOpened {
        plan: Some(GLAND.replace(old, elements)),
        ..gland()
    }
}

/// A hand that has pressed these keys; sizes with Enter, answers alone.
pub(crate) fn at_gland(opened: SessionOpened, keys: &str) -> Hand {
    let mut hand = Hand::at(Bench::new(opened));
    hand.keys(keys);
    hand
}

pub(crate) fn thread_scenes() -> Vec<Scene> {
    let all = |keys| at_gland(gland(), keys);
    let shown = |name, hand: Hand, mark| {
        let mut scene = Scene::new(name, &hand.bench, mark);
        scene.desk = hand.desk;
        scene
    };
    // D1 of M10-6H: 8.376 to 8.676; d2 of M16x1.5-6g: 14.854 to 14.994 (ISO 965-2, from memory).
    let mut scenes = vec![
        shown("thread-fresh", all(""), Mark::Open),
        shown("check-go", all("8.52⏎"), Mark::Go),
        shown("check-turns", all("8.52⏎+"), Mark::Go),
        shown("check-mate", all("8.52⏎+-"), Mark::Go),
        shown("check-noted", all("8.52⏎+-+"), Mark::Noted),
        shown("check-metal-on", all("8.52⏎-"), Mark::NoGo),
        shown("check-metal-gone", all("8.52⏎++"), Mark::NoGo),
        shown("check-open", all("8.52⏎+-⏎"), Mark::Open),
        shown("check-turns-typed", all("8.52⏎+1.5"), Mark::Open),
        shown("check-short", all("↓↓↓↓↓↓↓↓↓"), Mark::Open),
        shown("check-short-go", all("↓↓↓↓↓↓↓↓↓-"), Mark::Go),
        shown("wires-open", all("8.52⏎+-+15.9⏎⏎"), Mark::Open),
        shown("wires-go", all("8.52⏎+-+15.9⏎16.310⏎"), Mark::Go),
        shown("wires-on", all("8.52⏎+-+15.9⏎16.402⏎"), Mark::NoGo),
        shown("check-ring", all("8.52⏎+-+15.9⏎16.310⏎⏎"), Mark::Open),
    ];
    let mut opened = gland_with("gauge = [\"bore-6\", \"plug-6H-old\", \"plug-6H\"]");
    opened.gauges = TWO_PLUGS.to_owned();
    scenes.push(shown(
        "check-which",
        at_gland(opened.clone(), "8.52⏎"),
        Mark::Go,
    ));
    scenes.push(shown("check-chosen", at_gland(opened, "8.52⏎2"), Mark::Go));
    for (name, keys, mark) in [
        ("check-why", "8.52⏎+w", Mark::Go),
        ("wires-why", "8.52⏎+-+15.9⏎16.310⏎w", Mark::Go),
    ] {
        scenes.push(shown(name, all(keys), mark));
    }
    for (name, keys, mark) in [
        ("check-glance", "8.52⏎+", Mark::Go),
        ("check-metal-on-glance", "8.52⏎-", Mark::NoGo),
        ("wires-glance", "8.52⏎+-+15.9⏎16.402⏎", Mark::NoGo),
    ] {
        let mut scene = shown(name, all(keys), mark);
        scene.desk.is_glance = true;
        scenes.push(scene);
    }
    scenes
}
