//! A shaft that is made to suit a bore: the Bench judges by limits that are not the class's.

use fitledger::journal::{SessionOpened, Suit};
use fitledger::pair::Measured;
use fitledger::quantity::Length;

use super::bench::{Bench, feature, plan};
use super::scenes::Scene;
use fitledger::window::view::Mark;

/// 20 H7/g6: 7 to 41 µm of clearance; a bore of 20.030 with u = 1 µm takes 19.991 to 20.021, by hand.
pub(crate) fn suited(mate: &str) -> SessionOpened {
    let mm = |text: &str| Length::parse_mm(text).unwrap();
    let mut opened = plan(&feature("A", "20 g6", "name = \"impeller seat\""));
    opened.suits = vec![Suit {
        feature: "A".to_owned(),
        mate: mate.to_owned(),
        measured: Measured::Hole,
        fit: "20 H7/g6".to_owned(),
        least: mm("0.007"),
        most: mm("0.041"),
        size: mm("20.030"),
        u: Some(mm("0.001")),
        form: Length::ZERO,
        source: "typed".to_owned(),
        keep_class: false,
    }];
    opened
}

pub(crate) fn suited_scenes() -> Vec<Scene> {
    let measured = |mate: &str, size: &str| {
        let mut bench = Bench::new(suited(mate));
        bench.reads(size);
        bench
    };
    let good = measured("impeller.toml#bore", "20.008");
    let mut why = Scene::new("suited-why", &good, Mark::Go);
    why.desk.is_why = true;
    let long = "the-impeller-of-the-second-foundry, machined again.toml#bore of the hub";
    vec![
        Scene::new("suited-go", &good, Mark::Go),
        why,
        Scene::new("suited-long", &measured(long, "19.985"), Mark::NoGo),
    ]
}
