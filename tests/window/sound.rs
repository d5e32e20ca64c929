//! Sound: patterns measured as samples, players that work, are not there, hang or fail, and what
//! of a session is heard.
#![allow(clippy::unwrap_used, clippy::panic)]

use fitledger::session::Command;
use fitledger::window::sound::{LOUDEST, PITCH_HZ, SAMPLES_PER_SECOND, Tone};
use fitledger::window::view::Heard;

use crate::support::bench::{Bench, feature, plan};
use crate::support::scenes::{demo, scene};
use crate::support::shown::snapshot;

/// Lengths of tone and silence in turn, ms, measured from the samples alone: a window of 2 ms is
/// tone when its loudness is above a fiftieth of the largest there can be.
fn stretches(samples: &[i16]) -> Vec<(bool, usize)> {
    const WINDOW: usize = 96;
    let mut found: Vec<(bool, usize)> = Vec::new();
    for window in samples.chunks(WINDOW) {
        let squares: f64 = window.iter().map(|one| f64::from(*one).powi(2)).sum();
        let is_tone = (squares / window.len() as f64).sqrt() > f64::from(i16::MAX) / 50.0;
        match found.last_mut() {
            Some((before, length)) if *before == is_tone => *length += 2,
            _ => found.push((is_tone, 2)),
        }
    }
    found
}

fn tones(samples: &[i16]) -> Vec<usize> {
    let all = stretches(samples).into_iter();
    all.filter(|(is_tone, _)| *is_tone)
        .map(|(_, length)| length)
        .collect()
}

fn silences(samples: &[i16]) -> Vec<usize> {
    let all = stretches(samples).into_iter();
    all.filter(|(is_tone, _)| !is_tone)
        .map(|(_, length)| length)
        .collect()
}

/// The window's page of this project: one long, three short, two-and-one.
#[test]
fn the_rhythms_are_one_long_three_short_and_two_and_one() {
    assert_eq!(SAMPLES_PER_SECOND, 48_000);
    let [good, bad, look] = Tone::ALL.map(Tone::samples);
    let [long, short, parted] = [&good, &bad, &look].map(|samples| tones(samples));
    assert_eq!((long.len(), short.len(), parted.len()), (1, 3, 3));
    let most_short = *short.iter().chain(&parted).max().unwrap();
    assert!(long[0] >= 4 * most_short, "{long:?} {short:?} {parted:?}");
    assert!(short.iter().chain(&parted).all(|one| *one >= 80));
    // Silence first and last; between them the pauses.
    let (even, uneven) = (silences(&bad), silences(&look));
    assert_eq!((even.len(), uneven.len()), (4, 4));
    assert!(even[1].abs_diff(even[2]) <= 2, "{even:?}");
    assert!(uneven[2] >= 5 * uneven[1] / 2, "{uneven:?}");
    assert!(even[1].min(uneven[1]) >= 80, "{even:?} {uneven:?}");
    for samples in [&good, &bad, &look] {
        assert!(
            samples.len() < 48_000 * 5 / 4,
            "too long to follow readings"
        );
    }
}

#[test]
fn nothing_clips_or_clicks_and_all_are_as_loud_and_as_high() {
    let mut loudness = Vec::new();
    for tone in Tone::ALL {
        let samples = tone.samples();
        let largest = samples.iter().map(|one| one.unsigned_abs()).max().unwrap();
        assert!(
            largest <= LOUDEST.unsigned_abs() && largest > 16_000,
            "{tone:?}"
        );
        // A sine of 1 kHz this loud moves by at most 2 π f A in a second.
        let step = samples
            .windows(2)
            .map(|two| (i32::from(two[0]) - i32::from(two[1])).abs());
        let most = std::f64::consts::TAU * 1_000.0 / 48_000.0 * f64::from(LOUDEST);
        assert!(
            f64::from(step.max().unwrap()) <= most * 1.02,
            "{tone:?} clicks"
        );
        // The middle of the first tone: pitch from its crossings, loudness from its squares.
        let start = samples.iter().position(|one| *one != 0).unwrap() + 48 * 20;
        let middle = &samples[start..start + 48 * 80];
        let rises = middle.windows(2).filter(|two| two[0] < 0 && two[1] >= 0);
        let hertz = rises.count() as f64 / 0.080;
        assert!(
            (hertz - f64::from(PITCH_HZ)).abs() < 15.0,
            "{tone:?}: {hertz} Hz"
        );
        let squares: f64 = middle.iter().map(|one| f64::from(*one).powi(2)).sum();
        loudness.push((squares / middle.len() as f64).sqrt());
    }
    let largest = loudness.iter().copied().fold(0.0, f64::max);
    assert!(
        loudness.iter().all(|one| *one > 0.99 * largest),
        "{loudness:?}"
    );
}

/// Read back by the layout of RIFF, from memory: sizes little endian, chunks after each other.
#[test]
fn a_wav_is_read_back_as_its_samples() {
    for tone in Tone::ALL {
        let file = tone.wav();
        let number = |at: usize| u32::from_le_bytes(file[at..at + 4].try_into().unwrap()) as usize;
        let short = |at: usize| u16::from_le_bytes([file[at], file[at + 1]]);
        assert_eq!((&file[..4], &file[8..16]), (&b"RIFF"[..], &b"WAVEfmt "[..]));
        assert_eq!((number(4), number(16)), (file.len() - 8, 16));
        assert_eq!((short(20), short(22), number(24)), (1, 1, 48_000));
        assert_eq!((number(28), short(32), short(34)), (96_000, 2, 16));
        assert_eq!((&file[36..40], number(40)), (&b"data"[..], file.len() - 44));
        let samples: Vec<i16> = file[44..]
            .chunks(2)
            .map(|two| i16::from_le_bytes([two[0], two[1]]))
            .collect();
        assert_eq!(samples, tone.samples());
    }
}

/// What sounds when readings come to a bench one after another.
fn heard(bench: &mut Bench, readings: &[&str]) -> Vec<Option<Tone>> {
    let mut heard = Heard::of(&snapshot(bench));
    let each = readings.iter().map(|reading| {
        bench.events("mic-25", reading);
        heard.go_on(Heard::of(&snapshot(bench)))
    });
    each.collect()
}

#[test]
fn a_verdict_is_heard_once_and_what_is_none_is_silent() {
    let mut bench = Bench::new(demo());
    // Two points that are inside say nothing yet.
    let three = heard(&mut bench, &["20.008", "20.009", "20.008"]);
    assert_eq!(three, [None, None, Some(Tone::Good)]);
    let mut same = Heard::of(&snapshot(&bench));
    assert_eq!(
        same.go_on(Heard::of(&snapshot(&bench))),
        None,
        "heard twice"
    );
    assert_eq!(
        heard(&mut Bench::new(demo()), &["19.986"]),
        [Some(Tone::Bad)]
    );
    assert_eq!(
        heard(&mut Bench::new(demo()), &["20.014"]),
        [Some(Tone::Look)]
    );
    let held = heard(&mut Bench::new(demo()), &["20.008", "20.508"]);
    assert_eq!(held, [None, Some(Tone::Look)]);
    let mut bench = Bench::new(demo());
    bench.asks(Command::SwitchCutting(true));
    assert_eq!(heard(&mut bench, &["20.412", "20.046"]), [None, None]);
}

#[test]
fn voiding_and_taking_up_are_silent_and_a_later_verdict_is_heard() {
    let two = feature("A", "20 k6", "") + &feature("B", "15 h6", "");
    let mut bench = Bench::new(plan(&two));
    bench.events("mic", "20.008");
    // As the window begins with a session: what is known then was heard before.
    let mut heard = Heard::of(&snapshot(&bench));
    let mut next = |bench: &Bench| heard.go_on(Heard::of(&snapshot(bench)));
    assert_eq!(next(&bench), None);
    bench.events("mic", "14.980");
    assert_eq!(next(&bench), Some(Tone::Bad));
    bench.void(None);
    assert_eq!(next(&bench), None, "the GO of A was heard before");
    bench.asks(Command::StartNextPart);
    assert_eq!(next(&bench), None);
    bench.asks(Command::TakeUpPart { part: 1 });
    assert_eq!(next(&bench), None, "the part has its GO from before");
    bench.events("mic", "14.995");
    assert_eq!(next(&bench), Some(Tone::Good));
}

#[test]
fn not_recorded_is_heard_with_every_lost_reading_and_never_as_good() {
    let lost = scene("not-recorded").snapshot;
    let mut heard = Heard::of(&scene("go").snapshot);
    assert_eq!(heard.go_on(Heard::of(&lost)), Some(Tone::Look));
    assert_eq!(heard.go_on(Heard::of(&lost)), None);
    let mut more = lost.clone();
    more.unrecorded.as_mut().unwrap().count += 1;
    assert_eq!(heard.go_on(Heard::of(&more)), Some(Tone::Look));
    // Recorded again: the verdict of what waited is given now.
    let again = heard.go_on(Heard::of(&scene("continued").snapshot));
    assert_eq!(again, Some(Tone::Good));
}

/// Players are scripts here; they are looked for as on any system.
#[cfg(unix)]
mod players {
    use std::fs;
    use std::os::unix::fs::PermissionsExt;
    use std::path::{Path, PathBuf};
    use std::sync::Arc;
    use std::sync::atomic::{AtomicUsize, Ordering};
    use std::time::{Duration, Instant};

    use fitledger::window::sound::Tone;
    use fitledger::window::sound_player::{SoundPlaces, SoundPlayer};

    /// Long enough for any machine, and never waited for where all is well.
    const LONG: Duration = Duration::from_secs(60);

    struct Shop {
        folder: tempfile::TempDir,
        told: Arc<AtomicUsize>,
    }

    impl Shop {
        fn new() -> Self {
            let folder = tempfile::tempdir().unwrap();
            for name in ["bin", "sounds"] {
                fs::create_dir(folder.path().join(name)).unwrap();
            }
            Self {
                folder,
                told: Arc::default(),
            }
        }

        fn at(&self, name: &str) -> PathBuf {
            self.folder.path().join(name)
        }

        /// A player of that name; `$HERE` is the shop's folder.
        fn player(&self, name: &str, script: &str) {
            let path = self.at("bin").join(name);
            let here = self.folder.path().display();
            let text = format!("#!/bin/sh\nHERE='{here}'\n{script}\n");
            fs::write(&path, text).unwrap();
            fs::set_permissions(&path, fs::Permissions::from_mode(0o755)).unwrap();
        }

        fn open(&self, patience: Duration) -> SoundPlayer {
            let told = Arc::clone(&self.told);
            let places = SoundPlaces {
                search: vec![self.at("nowhere"), self.at("bin")],
                folder: self.at("sounds"),
                patience,
            };
            SoundPlayer::new(places, move || {
                told.fetch_add(1, Ordering::SeqCst);
            })
        }

        fn played(&self) -> String {
            fs::read_to_string(self.at("played")).unwrap_or_default()
        }

        fn sounds(&self) -> usize {
            fs::read_dir(self.at("sounds")).unwrap().count()
        }
    }

    fn until(what: &str, mut is_so: impl FnMut() -> bool) {
        let end = Instant::now() + LONG;
        while !is_so() {
            assert!(Instant::now() < end, "never: {what}");
            std::thread::sleep(Duration::from_millis(5));
        }
    }

    fn told(player: &mut SoundPlayer) -> String {
        let mut said = None;
        until("something told", || {
            said = player.told();
            said.is_some()
        });
        said.unwrap()
    }

    /// A process that is there, even one that has ended and that nobody took.
    fn is_there(pid: &Path) -> bool {
        let pid = fs::read_to_string(pid).unwrap();
        Path::new("/proc").join(pid.trim()).exists()
    }

    /// Copies what it was given, then says its name.
    const RECORDS: &str = "cp \"$1\" $HERE/copy && basename \"$1\" >> $HERE/played";

    #[test]
    fn a_player_is_given_a_whole_file_and_nothing_is_left() {
        let shop = Shop::new();
        shop.player("aplay", RECORDS);
        let mut player = shop.open(LONG);
        assert_eq!(
            shop.sounds(),
            0,
            "nothing is written before it is asked for"
        );
        for (tone, name) in [(Tone::Bad, "bad.wav"), (Tone::Good, "good.wav")] {
            player.play(tone);
            until("played", || shop.played().contains(name));
            assert_eq!(fs::read(shop.at("copy")).unwrap(), tone.wav(), "{tone:?}");
        }
        assert_eq!(player.told(), None);
        drop(player);
        assert_eq!(shop.sounds(), 0, "files of sounds are left");
    }

    #[test]
    fn without_a_player_it_is_told_once() {
        let shop = Shop::new();
        let mut player = shop.open(LONG);
        player.play(Tone::Good);
        let said = told(&mut player);
        assert!(said.contains("none of pw-play, paplay and aplay"), "{said}");
        assert!(said.contains("shown as before"), "{said}");
        for _ in 0..20 {
            player.play(Tone::Bad);
            // Its thread has the time to tell it again, were it to.
            std::thread::sleep(Duration::from_millis(10));
        }
        drop(player);
        assert_eq!(shop.told.load(Ordering::SeqCst), 1);
        // Turned on again, it looks again.
        let mut player = shop.open(LONG);
        player.play(Tone::Good);
        told(&mut player);
        shop.player("aplay", RECORDS);
        player.anew();
        player.play(Tone::Bad);
        until("played", || shop.played().contains("bad.wav"));
    }

    #[test]
    fn a_player_that_hangs_is_stopped_and_told_and_leaves_nothing() {
        let shop = Shop::new();
        shop.player(
            "aplay",
            "echo $$ > $HERE/pid.new; mv $HERE/pid.new $HERE/pid; exec sleep 600",
        );
        let mut player = shop.open(Duration::from_millis(300));
        player.play(Tone::Good);
        let said = told(&mut player);
        assert!(
            said.contains("aplay did not end by itself and was stopped"),
            "{said}"
        );
        let pid = shop.at("pid");
        assert!(!pid.exists() || !is_there(&pid), "it is still there");
        drop(player);
        // The window goes while another one hangs.
        shop.player(
            "paplay",
            "echo $$ > $HERE/p.new; mv $HERE/p.new $HERE/p; exec sleep 600",
        );
        let mut player = shop.open(LONG);
        player.play(Tone::Good);
        until("begun", || shop.at("p").exists());
        assert!(is_there(&shop.at("p")));
        drop(player);
        assert!(!is_there(&shop.at("p")), "it is left behind");
        assert_eq!(shop.sounds(), 0);
    }

    #[test]
    fn of_players_that_fail_the_next_plays_and_the_last_is_told() {
        let shop = Shop::new();
        shop.player("pw-play", "echo x >> $HERE/tried; exit 3");
        shop.player("aplay", RECORDS);
        let mut player = shop.open(LONG);
        for tone in [Tone::Good, Tone::Look] {
            player.play(tone);
            until("played", || shop.played().contains(tone.word()));
        }
        assert_eq!(player.told(), None);
        let tried = fs::read_to_string(shop.at("tried")).unwrap();
        assert_eq!(tried, "x\n", "what fails is not asked again");
        drop(player);
        shop.player("aplay", "exit 1");
        let mut player = shop.open(LONG);
        player.play(Tone::Good);
        let said = told(&mut player);
        assert!(said.contains("aplay ended with exit status: 1"), "{said}");
        drop(player);
        // A file that is no program, and a folder that cannot be written.
        shop.player("aplay", "");
        fs::write(shop.at("bin").join("aplay"), [0, 1, 2]).unwrap();
        let mut player = shop.open(LONG);
        player.play(Tone::Good);
        assert!(told(&mut player).contains("aplay"));
        drop(player);
        fs::remove_dir_all(shop.at("sounds")).unwrap();
        let mut player = shop.open(LONG);
        player.play(Tone::Good);
        assert!(told(&mut player).contains("could not be written"));
    }

    /// It asks a thousand times while a player waits for what is done after that: were asking to
    /// wait, this would never end.
    #[test]
    fn asking_never_waits_and_the_newest_wins() {
        let shop = Shop::new();
        let waits = "basename \"$1\" >> $HERE/played; while [ ! -e $HERE/go ]; do sleep 0.02; done";
        shop.player("paplay", waits);
        let mut player = shop.open(LONG);
        player.play(Tone::Good);
        until("begun", || shop.played().contains("good.wav"));
        for _ in 0..1_000 {
            player.play(Tone::Look);
        }
        player.play(Tone::Bad);
        fs::write(shop.at("go"), "").unwrap();
        until("the newest", || shop.played().contains("bad.wav"));
        drop(player);
        assert_eq!(shop.played(), "good.wav\nbad.wav\n");
    }
}

/// The window with an outside that only listens.
mod window {
    use std::cell::RefCell;
    use std::rc::Rc;

    use egui_kittest::kittest::Queryable;
    use fitledger::session::{Begin, BeginError, What, Workspace};
    use fitledger::window::app::Disk;
    use fitledger::window::settings::Settings;
    use fitledger::window::shell::{Outside, Running, Window};
    use fitledger::window::sound::Tone;
    use fitledger::window::start::{GaugeChoice, StartFacts};

    use crate::shell::{events_of, harness};

    #[derive(Clone, Default)]
    struct Ear {
        tones: Rc<RefCell<Vec<Tone>>>,
        told: Rc<RefCell<Option<String>>>,
        kept: Rc<RefCell<String>>,
    }

    /// The real outside but for what is heard.
    struct Listens {
        disk: Disk,
        ear: Ear,
    }

    impl Outside for Listens {
        fn facts(&mut self) -> StartFacts {
            self.disk.facts()
        }

        fn gauges(&mut self) -> Vec<GaugeChoice> {
            self.disk.gauges()
        }

        fn begin(&mut self, begin: &Begin) -> Result<Box<dyn Running>, BeginError> {
            self.disk.begin(begin)
        }

        fn play(&mut self, tone: Tone) {
            self.ear.tones.borrow_mut().push(tone);
        }

        fn sound_told(&mut self) -> Option<String> {
            self.ear.told.borrow_mut().take()
        }

        fn keep_settings(&mut self, text: &str) -> Result<(), String> {
            text.clone_into(&mut self.ear.kept.borrow_mut());
            Ok(())
        }
    }

    #[test]
    fn sound_is_off_at_first_and_goes_on_in_every_room_when_it_is_turned_on() {
        let folder = tempfile::tempdir().unwrap();
        let ear = Ear::default();
        let mut begin = Begin::new(What::Callouts(vec!["20 k6".to_owned()]));
        begin.gauges = vec!["typed".to_owned()];
        let (heard, workspace) = (ear.clone(), Workspace::locate(Some(folder.path())));
        let mut window = harness(800.0, 480.0, move |context| {
            let disk = Disk::new(workspace.clone(), context.clone());
            let ear = heard.clone();
            let outside = Box::new(Listens { disk, ear });
            Window::new(outside, Settings::usual('.'), &[], Some(&begin))
        });
        let mut keys = |keys: &str| {
            for key in keys.chars() {
                events_of(key)
                    .into_iter()
                    .for_each(|event| window.event(event));
                window.step();
                window.step();
            }
            let end = std::time::Instant::now() + std::time::Duration::from_millis(400);
            while std::time::Instant::now() < end {
                window.step();
                std::thread::sleep(std::time::Duration::from_millis(5));
            }
            let said = |text: &str| window.query_by_label_contains(text).is_some();
            (said("Sound is on"), said("No sound: as was told"))
        };
        keys("20.046⏎");
        assert!(ear.tones.borrow().is_empty(), "it was not asked for");
        // The keypad alone reaches it; it lets itself be heard and says what is what.
        assert!(keys(".90").0);
        assert_eq!(ear.tones.take(), [Tone::Good]);
        assert!(ear.kept.borrow().contains("sound = true\n"));
        keys("20.046⏎");
        assert_eq!(ear.tones.take().len(), 1);
        // Behind another room too: the session goes on there.
        *ear.told.borrow_mut() = Some("No sound: as was told.".to_owned());
        assert!(keys("").1, "what went wrong is told");
        assert!(!keys("g").1, "until a key is pressed");
        keys(".90");
        assert!(ear.kept.borrow().contains("sound = false\n"));
        keys("20.046⏎");
        assert!(ear.tones.take().is_empty());
    }
}
