//! A batch over real records on a real disk: parts are measured in sessions of both plans, found in
//! the Pairs room by key, and what is recorded while it is seen is put together too.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::path::Path;
use std::time::{Duration, Instant};

use eframe::egui::Context;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use fitledger::session::{Begin, What, Workspace};
use fitledger::window::app::Disk;
use fitledger::window::shell::Window;

use crate::shell::{events_of, harness};
use crate::support::program::Shop;

const GAUGES: &str = "[[gauge]]\nid = \"mic\"\nkind = \"outside_micrometer\"\nrange = [0, 25]\n\
    resolution = 0.001\ncalibration = { U = 0.001, k = 2 }\n[[gauge]]\nid = \"bore\"\n\
    kind = \"inside_micrometer\"\nrange = [10, 30]\nresolution = 0.001\n\
    calibration = { U = 0.001, k = 2 }\n";
const BUSH: &str = "[part]\nname = \"Bush\"\n[[feature]]\nid = \"A\"\ncallout = \"20 g6\"\n\
    [[pair]]\nhole = \"housing.toml#B\"\nshaft = \"A\"\nintended = \"20 H7/g6\"\n";
const HOUSING: &str = "[part]\nname = \"Housing\"\ndrawing = \"GH-1\"\n[[feature]]\nid = \"B\"\n\
    callout = \"20 H7\"\n";

pub(crate) struct Bench<'a> {
    pub(crate) harness: Harness<'a, Option<Window>>,
    pub(crate) shop: Shop,
}

pub(crate) fn shop() -> Shop {
    let shop = Shop::in_memory();
    for (name, text) in [
        ("gauges.toml", GAUGES),
        ("bush.toml", BUSH),
        ("housing.toml", HOUSING),
    ] {
        std::fs::write(shop.path(name), text).unwrap();
    }
    shop
}

/// Three housings: 20.010 and 20.014 GO, 20.030 NO-GO.
pub(crate) fn housings(shop: &Shop) {
    let all = [
        "inspect",
        "--plan",
        "housing.toml",
        "--gauge",
        "bore=typed",
        "--json",
    ];
    shop.run(
        &[&all[..], &["--advance", "always"]].concat(),
        "20.010\n20.014\n20.030\n",
    );
}

impl Bench<'_> {
    pub(crate) fn open(shop: Shop, begin: Option<Begin>) -> Self {
        let root = shop.path("");
        let workspace = Workspace::locate(Some(Path::new(&root)));
        let make = move |context: &Context| {
            let disk = Disk::new(workspace.clone(), context.clone());
            let (settings, faults) = disk.settings('.');
            Window::new(Box::new(disk), settings, &faults, begin.as_ref())
        };
        Self {
            harness: harness(800.0, 480.0, make),
            shop,
        }
    }

    pub(crate) fn keys(&mut self, keys: &str) {
        for key in keys.chars() {
            for event in events_of(key) {
                self.harness.event(event);
            }
            self.harness.step();
            self.harness.step();
        }
    }

    pub(crate) fn until_told(&mut self, text: &str) {
        let end = Instant::now() + Duration::from_secs(60);
        loop {
            self.harness.step();
            if self.tells(text) {
                return;
            }
            assert!(
                Instant::now() < end,
                "{text}: {:?}",
                self.window().links_told()
            );
            std::thread::sleep(Duration::from_millis(5));
        }
    }

    pub(crate) fn tells(&self, text: &str) -> bool {
        let mut found = self.harness.query_all_by_label_contains(text);
        found.next().is_some()
    }

    pub(crate) fn window(&self) -> &Window {
        self.harness.state().as_ref().unwrap()
    }
}

#[test]
fn parts_of_both_plans_are_found_in_their_records_and_put_together_as_they_are_measured() {
    let shop = shop();
    housings(&shop);
    let mut begin = Begin::new(What::Plan(shop.path("bush.toml")));
    begin.gauges = vec!["mic=typed".to_owned()];
    let mut bench = Bench::open(shop, Some(begin));
    bench.keys("③");
    bench.until_told("2 measured in records, 20.010 to 20.014");
    bench.keys("1");
    bench.until_told("No part is offered with the shaft A. Measure parts of this plan whole");
    assert!(bench.tells("2 of 3 parts in 1 record are offered; not offered: 1 NO-GO"));
    // A device that plays keyboard is heard at the Bench, whatever is seen.
    let keys = "19.988".chars().chain(['⏎']);
    let events: Vec<_> = keys.flat_map(events_of).collect();
    bench.harness.input_mut().events.extend(events);
    // 20.010 - 19.988 = 22 µm and 20.014 - 19.988 = 26 µm are as far from 24 µm: either.
    bench.until_told("1 pair: 1 inside; 1 hole is left.");
    assert!(bench.tells("shaft no. 1, 19.988 mm: clearance 0.02"));
    bench.keys("⏎");
    bench.until_told("left: there is no shaft for it");
    // Back to the pair; the larger housing is looked at with this shaft.
    bench.keys("..2+⏎");
    bench.until_told("It is only looked at with this part");
    assert!(bench.tells("Clearance 0.026 mm"));
    let picked = bench.window().pairs().unwrap().links.picked.len();
    assert_eq!(picked, 1);
    // Further housings are found when the room is entered again.
    let more = [
        "inspect",
        "--plan",
        "housing.toml",
        "--gauge",
        "bore=typed",
        "--json",
    ];
    bench.shop.run(&more, "20.018\n");
    bench.keys("①③");
    bench.until_told("3 measured in records, 20.010 to 20.018");
}
