//! The room by its keys.

use std::collections::BTreeSet;

use fitledger::window::batch_room::{BatchAsked, BatchNow, BatchPage, BatchRoom, ChartForm};
use fitledger::window::batch_run::batch_ends;
use fitledger::window::keys::character_press;
use fitledger::window::press::Press;
use fitledger::window::view::{batch_now, batch_view};

use super::Kept;
use super::scenes::{at, seen_of, shafts, worked_out, worn};

fn keys(room: &mut BatchRoom, now: BatchNow, keys: &str) -> Vec<BatchAsked> {
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
        asked.extend(room.press(&press, now));
    }
    asked
}

const NOW: BatchNow = BatchNow {
    characteristics: 3,
    shown: 4,
    has_more: true,
    has_chart: true,
};

#[test]
fn a_keypad_goes_through_pages_and_characteristics_reads_on_and_leads_back() {
    let mut room = BatchRoom::default();
    assert_eq!((room.page, room.chosen), (BatchPage::Run, 0));
    for (looked_at, key, _) in BatchPage::ALL {
        keys(&mut room, NOW, &key.to_string());
        assert_eq!(room.page, looked_at);
    }
    keys(&mut room, NOW, "9");
    assert_eq!(room.fault.as_deref(), Some("9 is none of the pages."));
    keys(&mut room, NOW, "1");
    assert_eq!(room.fault, None);
    let mut turned = Vec::new();
    for _ in 0..8 {
        keys(&mut room, NOW, "⏎");
        turned.push(room.page);
    }
    assert_eq!(turned.last(), Some(&BatchPage::Run), "once round");
    assert_eq!(
        turned
            .iter()
            .collect::<std::collections::HashSet<_>>()
            .len(),
        8
    );
    keys(&mut room, NOW, "+++++");
    assert_eq!(room.chosen, 2, "not past the end");
    keys(&mut room, NOW, "-");
    assert_eq!(room.chosen, 1);
    keys(&mut room, NOW, "*↓");
    assert_eq!(room.skipped, 5);
    let end = BatchNow {
        has_more: false,
        ..NOW
    };
    keys(&mut room, end, "↓");
    assert_eq!(room.skipped, 5, "nothing below");
    keys(&mut room, end, "*");
    assert_eq!(room.skipped, 0, "* begins again");
    keys(&mut room, NOW, "*-");
    assert_eq!(
        (room.chosen, room.skipped),
        (0, 0),
        "another characteristic from its top"
    );
    assert_eq!(keys(&mut room, NOW, "⌫"), []);
    assert_eq!(room.page, BatchPage::Table);
    keys(&mut room, NOW, "*+");
    assert_eq!(
        (room.chosen, room.skipped),
        (1, 4),
        "the rows of the table stay"
    );
    assert_eq!(keys(&mut room, NOW, "⌫"), [BatchAsked::Bench]);
    assert_eq!(keys(&mut room, NOW, "2."), [BatchAsked::Bench]);
    room.press(&Press::NumLockOff, NOW);
    assert!(room.fault.as_deref().unwrap().contains("Num Lock"));
}

#[test]
fn a_chart_is_kept_by_two_keys_of_a_keypad_and_only_where_there_is_one() {
    let mut room = BatchRoom::default();
    let png = BatchAsked::Keep(ChartForm::Png);
    let svg = BatchAsked::Keep(ChartForm::Svg);
    assert_eq!(keys(&mut room, NOW, "/1"), [png]);
    assert_eq!(keys(&mut room, NOW, "/2"), [svg]);
    assert_eq!(keys(&mut room, NOW, "Ps"), [png, svg]);
    assert_eq!(keys(&mut room, NOW, "/⏎⏎"), [], "Enter chooses nothing");
    assert!(room.is_keeping);
    assert_eq!(keys(&mut room, NOW, "7"), []);
    assert!(room.is_keeping && room.fault.is_some());
    assert_eq!(keys(&mut room, NOW, "⌫"), []);
    assert!(!room.is_keeping);
    let without = BatchNow {
        has_chart: false,
        ..NOW
    };
    for key in ["/", "p", "s"] {
        assert_eq!(keys(&mut room, without, key), []);
        assert!(!room.is_keeping && room.fault.is_some());
    }
    // What the question offers is what is taken.
    let snapshot = worn();
    let facts = worked_out(&snapshot, at(0, BatchPage::Run));
    room.is_keeping = true;
    let offered = batch_view(&seen_of(&room, &facts, &snapshot))
        .question
        .unwrap();
    for key in '0'..='9' {
        let mut one = room.clone();
        let asked = keys(&mut one, NOW, &key.to_string());
        let is_offered = offered.answers.iter().any(|answer| answer.key == key);
        assert_eq!(!asked.is_empty(), is_offered, "{key}");
    }
}

#[test]
fn every_press_is_survived_on_every_page() {
    let snapshot = shafts();
    let mut room = BatchRoom::default();
    let mut random = 7_u64;
    let mut reached = BTreeSet::new();
    let (_, mut side) = batch_ends();
    for _ in 0..3_000 {
        random = random
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1);
        let bits = random >> 33;
        let press = match (bits >> 4) % 14 {
            0 => Press::Enter,
            1 => Press::Backspace,
            2 => Press::Up,
            3 => Press::Down,
            4 => Press::Plus,
            5 => Press::Minus,
            6 => Press::Star,
            7 => Press::Slash,
            8 => Press::Choose(900),
            9 => Press::Pasted("é\u{202e}1".repeat(90)),
            10 => Press::Digit(char::from(b'0' + u8::try_from(bits % 10).unwrap())),
            11 => Press::Burst("20.008".to_owned()),
            12 => Press::Escape,
            _ => Press::Space,
        };
        let facts = side.worked_out(&snapshot, at(room.chosen, room.page), &mut Kept::default());
        let seen = seen_of(&room, &facts, &snapshot);
        let drawn = (usize::try_from(bits % 9).unwrap(), bits & 1 == 1);
        let now = batch_now(&seen, drawn);
        let _ = batch_view(&seen);
        room.press(&press, now);
        reached.insert((room.page.name(), room.is_keeping));
    }
    assert_eq!(reached.len(), 8 + 6, "{reached:?}");
}
