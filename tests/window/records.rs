//! The Records room: by value, by accessibility name, in pictures, and with real records on a disk.
#![allow(clippy::unwrap_used, clippy::panic)]

mod disk;
mod keys;
mod list;
mod run;
mod scenes;
mod sheet;

use std::cell::RefCell;
use std::rc::Rc;

use eframe::egui::Ui;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use fitledger::report::Sheet;
use fitledger::window::drawn::PageDrawn;
use fitledger::window::keys::character_press;
use fitledger::window::look::{Look, Sizes, Theme};
use fitledger::window::press::Press;
use fitledger::window::records_facts::{
    OpenRecord, RecordsTold, SessionRow, Verified, VerifyFacts,
};
use fitledger::window::records_find::{Filter, Query, find};
use fitledger::window::records_room::{
    RecordsAsked, RecordsMenu, RecordsMode, RecordsNow, RecordsPage, RecordsRoom,
};
use fitledger::window::records_ui::records_ui;
use fitledger::window::view::{
    RecordListView, RecordsPageView, RecordsSeen, RecordsView, SheetLine, SheetTextView, SheetView,
    records_now, records_view,
};

use self::scenes::{DAMAGE, HEAD, rows, sheet, told, told_open};
use crate::support::picture::{painted_texts, window};
use crate::support::readable::{Shown, assert_accepted, assert_readable, text_faults};

const SMALL: [f32; 2] = [800.0, 458.0];

const LARGE: [f32; 2] = [1280.0, 778.0];

fn seen(room: &RecordsRoom, told: &RecordsTold) -> RecordsView {
    records_view(&seen_of(room, told))
}

fn seen_of<'a>(room: &'a RecordsRoom, told: &'a RecordsTold) -> RecordsSeen<'a> {
    RecordsSeen {
        room,
        told,
        snapshot: None,
        now_ms: 0,
        marker: '.',
        message: None,
    }
}

fn now(room: &RecordsRoom, told: &RecordsTold) -> RecordsNow {
    records_now(&seen_of(room, told), 3, (4, true))
}

/// Keys as a hand presses them.
fn keys(room: &mut RecordsRoom, told: &RecordsTold, keys: &str) -> Vec<RecordsAsked> {
    let mut asked = Vec::new();
    for key in keys.chars() {
        let press = match key {
            '⏎' => Press::Enter,
            '⌫' => Press::Backspace,
            '␛' => Press::Escape,
            '↓' => Press::Down,
            '↑' => Press::Up,
            '→' => Press::Right,
            '←' => Press::Left,
            other => character_press(other),
        };
        let now = now(room, told);
        asked.extend(room.press(&press, &now));
    }
    asked
}

fn list(view: RecordsView) -> RecordListView {
    match view.page {
        RecordsPageView::List(list) => list,
        other => panic!("{other:?}"),
    }
}

fn page(view: RecordsView) -> SheetView {
    match view.page {
        RecordsPageView::Sheet(sheet) => sheet,
        other => panic!("{other:?}"),
    }
}

/// The first session open at a page.
fn at_page(sheet_page: usize) -> RecordsRoom {
    RecordsRoom {
        page: RecordsPage::Sheet,
        key: "2026-11-24-shaft.jsonl".to_owned(),
        sheet_page,
        ..RecordsRoom::default()
    }
}

fn texts(view: &SheetView) -> Vec<&SheetTextView> {
    let lines = view.lines.iter();
    lines
        .filter_map(|line| match line {
            SheetLine::Text(text) => Some(text),
            _ => None,
        })
        .collect()
}

fn found(text: &str, filter: Filter) -> Vec<usize> {
    let text = text.to_owned();
    find(&rows(), &Query { text, filter })
}

fn opened(sheet: Sheet) -> RecordsTold {
    RecordsTold {
        open: Some(OpenRecord {
            key: "2026-11-24-shaft.jsonl".to_owned(),
            sheet: Some(std::sync::Arc::new(sheet)),
            fault: None,
        }),
        ..told(rows())
    }
}

/// What cannot be seen, or turns the reading round, stands as its number wherever it is shown.
#[test]
fn hostile_names_are_shown_and_never_obeyed() {
    let hostile = "Pump\u{202e}tfahs\n\u{200b}\u{7}<b>=1+1";
    let mut rows = rows();
    rows[0].part = hostile.to_owned();
    rows[0].customer = hostile.to_owned();
    rows[0].serials = vec![hostile.to_owned()];
    rows[0].files = vec![hostile.to_owned()];
    rows[0].damage = vec![hostile.to_owned()];
    let mut sheet = sheet();
    sheet.job.part_name = hostile.to_owned();
    sheet.job.customer = hostile.to_owned();
    sheet.parts[1].serial = hostile.to_owned();
    sheet.parts[1].decisions[1].reason = hostile.to_owned();
    sheet.parts[1].results[0].operator = hostile.to_owned();
    sheet.parts[0].readings[0].reason = hostile.to_owned();
    sheet.parts[0].readings[1].raw = hostile.to_owned();
    sheet.asked[0].callout = hostile.to_owned();
    sheet.record.findings = vec![hostile.to_owned()];
    let mut told = told(rows);
    told.open = Some(OpenRecord {
        key: hostile.to_owned(),
        sheet: Some(std::sync::Arc::new(sheet)),
        fault: None,
    });
    told.faults = vec![hostile.to_owned()];
    for sheet_page in [None, Some(1), Some(2), Some(3)] {
        let mut room = RecordsRoom::default();
        if let Some(sheet_page) = sheet_page {
            room = at_page(sheet_page);
            room.key = hostile.to_owned();
        }
        room.query.text = hostile.to_owned();
        let view = seen(&room, &told);
        let look = Look::new(Theme::Night, Sizes::default());
        let harness = window(SMALL, 1.0, move |ui| {
            records_ui(ui, &view, &look, &mut Vec::new());
        });
        let painted = painted_texts(&harness);
        let is_shown = painted.iter().any(|one| one.text.contains("\\u{202e}"));
        assert!(is_shown, "shown as its number");
        for painted in painted {
            let bad = ['\u{202e}', '\u{200b}', '\u{7}'];
            assert!(!painted.text.contains(bad), "{:?}", painted.text);
        }
    }
}

#[test]
fn of_ten_thousand_sessions_only_those_on_the_screen_are_painted() {
    let one = rows().remove(0);
    let rows = (0..10_000).map(|at| SessionRow {
        files: vec![format!("{at}.jsonl")],
        part: format!("Pump shaft {at}"),
        ..one.clone()
    });
    let told = told(rows.collect());
    let room = RecordsRoom {
        chosen: 7_654,
        ..RecordsRoom::default()
    };
    let view = seen(&room, &told);
    assert!(
        list(view.clone()).rows.len() <= 200,
        "made for the screen alone"
    );
    let fit = Rc::new(RefCell::new(PageDrawn::default()));
    let drawn = Rc::clone(&fit);
    let look = Look::new(Theme::Night, Sizes::default());
    let harness = window(LARGE, 1.0, move |ui| {
        *drawn.borrow_mut() = records_ui(ui, &view, &look, &mut Vec::new());
    });
    let painted = painted_texts(&harness);
    let painted: Vec<_> = painted
        .iter()
        .filter(|text| text.text.starts_with("Pump shaft"))
        .collect();
    let fit = fit.borrow().fit;
    assert_eq!(painted.len(), fit);
    assert!((10..30).contains(&fit), "{fit} rows");
    assert!(
        painted
            .iter()
            .any(|text| text.text.contains("Pump shaft 7654"))
    );
    // 7654 is on the page that begins with a whole number of screens.
    let first = 7_654 / fit * fit;
    assert!(
        painted[0].text.contains(&format!("Pump shaft {first},")),
        "{:?}",
        painted[0].text
    );
}

/// A scene on a window.
struct Shot {
    name: String,
    view: RecordsView,
    size: [f32; 2],
    theme: Theme,
}

fn scenes() -> Vec<(&'static str, RecordsView)> {
    let told = told(rows());
    let open = told_open();
    let mut finding = RecordsRoom {
        chosen: 2,
        ..RecordsRoom::default()
    };
    let damaged = seen(&finding, &told);
    finding.chosen = 0;
    finding.query.text = "pump gp-0".to_owned();
    let mut menu = at_page(1);
    menu.mode = RecordsMode::Choosing(RecordsMenu::Record);
    let mut sign = at_page(2);
    sign.mode = RecordsMode::Choosing(RecordsMenu::Sign);
    let mut form = at_page(1);
    keys(&mut form, &open, "d5B⏎runs free in the seal⏎A. Fi");
    let mut running = open.clone();
    running.verify = Some(VerifyFacts {
        key: "2026-11-24-shaft.jsonl".to_owned(),
        is_running: true,
        read: 12_450_000,
        whole: 30_100_000,
        ..VerifyFacts::default()
    });
    let mut bad = running.clone();
    if let Some(verify) = &mut bad.verify {
        verify.is_running = false;
        verify.result = Some(Ok(Verified {
            state: "damaged".to_owned(),
            lines: 99,
            head: HEAD.to_owned(),
            findings: vec![DAMAGE.to_owned(); 2],
            ..Verified::default()
        }));
    }
    let check = RecordsRoom {
        page: RecordsPage::Verify,
        ..at_page(0)
    };
    let mut below = at_page(0);
    below.skipped = 9;
    vec![
        ("list", seen(&finding, &told)),
        ("damaged", damaged),
        ("part", seen(&at_page(0), &open)),
        ("part-below", seen(&below, &open)),
        ("conceded", seen(&at_page(1), &open)),
        ("record", seen(&at_page(2), &open)),
        ("readings", seen(&at_page(3), &open)),
        ("sign", seen(&sign, &open)),
        ("menu", seen(&menu, &open)),
        ("form", seen(&form, &open)),
        ("verify", seen(&check, &running)),
        ("verified", seen(&check, &bad)),
        (
            "empty",
            seen(&RecordsRoom::default(), &RecordsTold::default()),
        ),
    ]
}

fn shots() -> Vec<Shot> {
    let mut shots = Vec::new();
    for (name, view) in scenes() {
        for (size, theme, word) in [
            (SMALL, Theme::Night, "night"),
            (LARGE, Theme::Day, "day"),
            (SMALL, Theme::HighContrast, "high"),
        ] {
            shots.push(Shot {
                name: format!("records-{word}-{name}"),
                view: view.clone(),
                size,
                theme,
            });
        }
    }
    shots
}

impl Shown for Shot {
    fn name(&self) -> &str {
        &self.name
    }

    fn size(&self) -> [f32; 2] {
        self.size
    }

    fn shown<'a>(&self) -> Harness<'a> {
        window(self.size, 1.0, self.paint(self.theme))
    }
}

impl Shot {
    fn paint(&self, theme: Theme) -> impl FnMut(&mut Ui) + 'static {
        let (view, look) = (self.view.clone(), Look::new(theme, Sizes::default()));
        move |ui| {
            records_ui(ui, &view, &look, &mut Vec::new());
        }
    }
}

/// Every page once, to be painted in a theme on the small window.
pub(crate) fn every_page(theme: Theme) -> Vec<(String, crate::contrast::Paint)> {
    let small = shots()
        .into_iter()
        .filter(|shot| shot.size == SMALL && shot.theme == Theme::HighContrast);
    let named = small.map(|shot| {
        let paint: crate::contrast::Paint = Box::new(shot.paint(theme));
        (shot.name.replace("-high", ""), paint)
    });
    named.collect()
}

/// Each picture is kept too, in `target/pictures`.
#[test]
fn no_text_of_the_records_leaves_the_window_or_lies_on_another() {
    assert_readable(&shots(), text_faults, |_| true);
}

#[test]
fn the_accepted_pictures_of_the_records() {
    let accepted = [
        "records-night-list",
        "records-day-part",
        "records-high-damaged",
        "records-night-conceded",
        "records-night-verified",
        "records-day-readings",
        "records-night-sign",
    ];
    assert_accepted(&shots(), &accepted);
}

#[test]
fn everything_in_the_room_is_found_by_its_name_and_can_be_pointed_at() {
    let told = told(rows());
    for size in [SMALL, LARGE] {
        let view = seen(&RecordsRoom::default(), &told);
        let look = Look::new(Theme::Night, Sizes::default());
        let presses = Rc::new(RefCell::new(Vec::new()));
        let taken = Rc::clone(&presses);
        let mut harness = window(size, 1.0, move |ui| {
            records_ui(ui, &view, &look, &mut taken.borrow_mut());
        });
        for name in [
            "find: ; all sessions, 4 sessions",
            "Pump housing, GP-03 rev A, 1 NO-GO, 11 GO, closed",
            "Enter open",
        ] {
            assert!(
                harness.query_by_label_contains(name).is_some(),
                "{size:?}: {name}"
            );
        }
        harness
            .query_by_label_contains("Bush, GP-11")
            .unwrap()
            .click();
        harness.run_steps(2);
        assert_eq!(*presses.borrow(), [Press::Choose(2)]);
    }
    let view = seen(&at_page(0), &told_open());
    let look = Look::new(Theme::Day, Sizes::default());
    let presses = Rc::new(RefCell::new(Vec::new()));
    let taken = Rc::clone(&presses);
    let mut harness = window(LARGE, 1.0, move |ui| {
        records_ui(ui, &view, &look, &mut taken.borrow_mut());
    });
    for name in [
        "1, Ø20 k6, 20.002 to 20.015, 20.008, GO",
        "no longer: 1 Ø20 k6: 20.021, NO-GO",
        "Half section of Pump shaft, numbered",
    ] {
        assert!(harness.query_by_label_contains(name).is_some(), "{name}");
    }
    harness.get_by_label("page after").click();
    harness.run_steps(2);
    assert_eq!(*presses.borrow(), [Press::Plus]);
}

#[test]
fn every_size_of_the_room_is_survived() {
    for (name, view) in scenes() {
        for size in [
            [1.0, 1.0],
            [0.0, 0.0],
            [30.0, 900.0],
            [900.0, 30.0],
            [480.0, 320.0],
            [599.0, 240.0],
        ] {
            let (view, look) = (view.clone(), Look::new(Theme::Day, Sizes::default()));
            let harness = window(size, 1.0, move |ui| {
                records_ui(ui, &view, &look, &mut Vec::new());
            });
            drop((harness, name));
        }
    }
}
