//! The guide in the window: by keys over a running session, every line of every page painted, and
//! pictures.
#![allow(clippy::unwrap_used, clippy::panic)]

use eframe::egui::{Pos2, Rect, Ui};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use fitledger::guide::{LineKind, pages};
use fitledger::session::{Begin, What};
use fitledger::window::guide_reader::{GuideDrawn, GuideReader};
use fitledger::window::guide_ui::guide_ui;
use fitledger::window::look::{Look, Sizes, Theme};
use fitledger::window::press::Press;
use fitledger::window::view::{GuideView, guide_view};

use crate::shell::Desk;
use crate::support::bench::{Bench, feature, plan};
use crate::support::hand::Hand;
use crate::support::picture::{compare, keep, painted_texts, window};
use crate::support::scenes::live;

const SMALL: [f32; 2] = [800.0, 458.0];
const LARGE: [f32; 2] = [1280.0, 778.0];

fn shown(reader: GuideReader) -> GuideView {
    guide_view(reader, (None, 0, '.'))
}

fn at(page: usize, from: Option<usize>) -> GuideReader {
    let mut reader = GuideReader::default();
    (reader.chosen, reader.from) = (page, from);
    reader
}

fn painted(reader: GuideReader, theme: Theme, size: [f32; 2]) -> Harness<'static> {
    let (view, look) = (shown(reader), Look::new(theme, Sizes::default()));
    window(size, 1.0, move |ui| {
        guide_ui(ui, &view, &look, &mut Vec::new());
    })
}

/// What the painting function said that it drew.
fn drawn(reader: GuideReader, size: [f32; 2]) -> (Harness<'static>, GuideDrawn) {
    let said = std::rc::Rc::new(std::cell::Cell::new(GuideDrawn::default()));
    let (view, look) = (shown(reader), Look::new(Theme::Day, Sizes::default()));
    let tell = std::rc::Rc::clone(&said);
    let harness = window(size, 1.0, move |ui| {
        tell.set(guide_ui(ui, &view, &look, &mut Vec::new()));
    });
    (harness, said.get())
}

#[test]
fn the_foot_of_the_guide_has_the_marker_that_is_set() {
    let mut hand = Hand::at(Bench::new(plan(&feature("A", "20 k6", ""))));
    hand.taps = vec![live("mic")];
    let view = guide_view(GuideReader::default(), (Some(&hand.seen()), 0, ','));
    let foot: Vec<&str> = view.status.gauges.iter().map(|one| &*one.text).collect();
    assert!(
        foot.iter().any(|text| text.contains("20,008 mm")),
        "{foot:?}"
    );
}

/// The list from its beginning and its end, and a page with tables.
pub(crate) fn every_page(theme: Theme) -> Vec<(String, crate::contrast::Paint)> {
    let readers = [
        ("guide-list", at(0, None)),
        ("guide-list-end", at(16, None)),
        ("guide-page", at(5, Some(20))),
    ];
    let all = readers.into_iter().map(|(name, reader)| {
        let (view, look) = (shown(reader), Look::new(theme, Sizes::default()));
        let paint: crate::contrast::Paint = Box::new(move |ui: &mut Ui| {
            guide_ui(ui, &view, &look, &mut Vec::new());
        });
        (name.to_owned(), paint)
    });
    all.collect()
}

/// Texts of a frame: none leaves the window, is cut, or lies on another.
fn sound_texts(harness: &Harness<'_>, size: [f32; 2], name: &str) -> Vec<String> {
    let whole = Rect::from_min_size(Pos2::ZERO, size.into());
    let texts = painted_texts(harness);
    for (at, text) in texts.iter().enumerate() {
        let (words, rect) = (&text.text, text.rect);
        assert!(
            whole.expand(0.5).contains_rect(rect),
            "{name}: {words:?} {rect:?}"
        );
        let clip = text.clip.expand(1.0);
        assert!(
            clip.contains_rect(rect.shrink(1.0)),
            "{name}: {words:?} is cut: {clip:?}"
        );
        assert!(
            !words.contains('\u{FFFD}'),
            "{name}: no face has all of {words:?}"
        );
        for other in &texts[at + 1..] {
            let common = rect.intersect(other.rect);
            let apart = common.width() <= 1.0 || common.height() <= 1.0;
            assert!(apart, "{name}: {words:?} and {:?} overlap", other.text);
        }
    }
    texts.into_iter().map(|text| text.text).collect()
}

#[test]
fn every_line_of_every_page_is_painted_whole_once_while_it_is_read_on() {
    for size in [SMALL, LARGE] {
        for (at_page, page) in pages().iter().enumerate() {
            let mut reader = at(at_page, Some(0));
            let mut seen: Vec<String> = Vec::new();
            let mut screens = 0;
            loop {
                let name = format!("{} {size:?} {:?}", page.name, reader.from);
                let (harness, drawn) = drawn(reader, size);
                assert!(drawn.fit >= 15, "{drawn:?}");
                seen.extend(sound_texts(&harness, size, &name));
                screens += 1;
                assert!(reader.press(&Press::Star, pages().len(), drawn));
                if reader.from == Some(0) {
                    break;
                }
                assert!(screens < 40, "{name}");
            }
            // How many columns there were: the words of the widest, line for line.
            let is_seen = |columns: usize| {
                let lines = page.lines(columns).into_iter().skip(2);
                let mut words =
                    lines.filter(|line| line.kind != LineKind::Rule && !line.text.is_empty());
                words.all(|line| seen.contains(&line.text))
            };
            assert!((60..200).any(is_seen), "{} {size:?}: {seen:#?}", page.name);
        }
    }
}

#[test]
fn the_list_names_every_page_and_what_it_is_about() {
    for size in [SMALL, LARGE] {
        let mut seen = Vec::new();
        for chosen in 0..pages().len() {
            let (harness, _) = drawn(at(chosen, None), size);
            seen.extend(sound_texts(
                &harness,
                size,
                &format!("list {size:?} {chosen}"),
            ));
            let page = &pages()[chosen];
            let said = format!("{} {}: {}, chosen", chosen + 1, page.title, page.about);
            assert!(harness.query_by_label(&said).is_some(), "{said}");
        }
        for page in pages() {
            assert!(seen.iter().any(|text| text == page.about), "{}", page.about);
            assert!(seen.iter().any(|text| text == page.title), "{}", page.title);
        }
    }
}

#[test]
fn it_is_painted_into_any_window() {
    let sizes = [
        [1.0, 1.0],
        [30.0, 700.0],
        [90.0, 40.0],
        [320.0, 240.0],
        [700.0, 30.0],
    ];
    for size in sizes {
        for reader in [
            at(0, None),
            at(9, Some(0)),
            at(9, Some(9_999)),
            at(99, Some(0)),
        ] {
            drop(painted(reader, Theme::Day, size));
        }
    }
}

fn says(desk: &Desk<'_>, what: &str) -> bool {
    desk.harness
        .query_all_by_label_contains(what)
        .next()
        .is_some()
}

fn at_bench() -> Desk<'static> {
    let mut begin = Begin::new(What::Callouts(vec!["20 k6".to_owned()]));
    begin.gauges = vec!["mic=typed".to_owned()];
    let mut desk = Desk::open(Some(begin));
    desk.wait("session_opened", 1);
    desk
}

#[test]
fn a_keypad_alone_opens_it_reads_on_and_comes_back_while_the_session_goes_on() {
    let mut desk = at_bench();
    desk.keys("./");
    assert!(says(&desk, "/ opens the guide"), "the key is shown there");
    desk.keys("/");
    assert!(says(&desk, "The first part in ten minutes:") || says(&desk, "1 The first part"));
    assert!(
        says(&desk, "recorded: event"),
        "how the record stands is seen"
    );
    let before = desk.journal();
    desk.keys("10⏎");
    assert_eq!(desk.window().guide().unwrap().chosen, 9);
    assert!(says(&desk, "Records and decisions") && says(&desk, "lines 1 to"));
    desk.keys("*");
    assert!(desk.window().guide().unwrap().from.unwrap() > 10);
    assert_eq!(desk.journal(), before, "reading leaves no trace");
    // What a gauge types is a reading all the same.
    desk.burst("20.009");
    desk.wait("verdict_given", 1);
    assert!(desk.window().guide().is_some());
    desk.keys("⌫");
    assert_eq!(desk.window().guide().unwrap().from, None);
    desk.keys("⌫");
    assert!(desk.window().guide().is_none() && !says(&desk, "10 Records"));
}

#[test]
fn function_keys_lead_out_of_it_and_what_is_what_is_asked_in_it_too() {
    let mut desk = at_bench();
    desk.keys("⑦/");
    assert!(desk.window().guide().is_some());
    desk.keys("⑦");
    assert!(says(&desk, "the guide: The page that is read"));
    desk.keys("⑦3⏎");
    assert_eq!(desk.window().guide().unwrap().from, Some(0));
    desk.keys("⑥");
    assert!(desk.window().guide().is_none() && desk.window().gauges().is_some());
    desk.keys("⑦/");
    assert!(desk.window().guide().is_some());
    desk.keys("⌫");
    assert!(desk.window().gauges().is_some(), "the room is as it was");
    // From the Start room as well.
    let mut start = Desk::open(None);
    start.keys("⑦/2⏎");
    assert!(says(&start, "At the bench"));
    assert!(says(&start, "no session runs: nothing is recorded"));
}

#[test]
fn the_accepted_pictures_of_the_guide() {
    let shots = [
        ("guide-night-list", at(3, None), Theme::Night),
        ("guide-day-page", at(5, Some(18)), Theme::Day),
    ];
    let mut faults = Vec::new();
    for (name, reader, theme) in shots {
        let image = painted(reader, theme, SMALL).render().unwrap();
        keep(name, &image);
        faults.extend(compare(name, &image).err());
    }
    let large = painted(at(11, Some(0)), Theme::HighContrast, LARGE)
        .render()
        .unwrap();
    keep("guide-large-high-window", &large);
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}
