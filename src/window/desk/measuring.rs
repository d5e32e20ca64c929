//! What each press does while nothing is open but measuring.

use super::gauges::reads_deviations;
use super::{Asked, Change, Desk, Form, Menu, Mode, next_target, typed_gauge};
use crate::session::{Command, LiveGauge, PartState, Request, Snapshot, State, WHICH};
use crate::window::press::Press;
use crate::window::view::WhyView;

const ANSWER_FIRST: &str = "A reading waits for an answer first: measure it again, or + it \
                            belongs here, − set it aside.";

impl Desk {
    pub(super) fn measuring(&mut self, press: Press, snapshot: &Snapshot) -> Vec<Asked> {
        let state = &snapshot.state;
        if self.is_why && state.bench().held.is_none() && self.read_why(&press) {
            return Vec::new();
        }
        if state.is_closed() || snapshot.ended.is_some() {
            return self.after_the_end(&press);
        }
        if let Some(asked) = self.at_check(&press, snapshot) {
            return asked;
        }
        if let Some(asked) = self.at_which(&press, state) {
            return asked;
        }
        match press {
            Press::Digit(digit) => self.begin_typing(digit, state),
            Press::Marker => self.open(Menu::Bench),
            Press::Enter => self.go_on(snapshot),
            Press::Space if snapshot.is_playing.is_some() => request(Request::PressGauge),
            Press::Space => self.go_on(snapshot),
            Press::Backspace => self.ask_void(state),
            Press::Plus | Press::Minus if state.bench().held.is_some() => {
                command(Command::AnswerHeld {
                    belongs: press == Press::Plus,
                    reason: String::new(),
                })
            }
            Press::Minus => self.begin_with_minus(state),
            Press::Star => self.repeat_point(state),
            Press::Slash => self.next_part(state),
            Press::Up | Press::Left => self.step(state, -1),
            Press::Down | Press::Right => self.step(state, 1),
            Press::Choose(at) => self.choose_at(at, state),
            Press::Verdict => self.toggle_why(),
            Press::Escape => self.leave(),
            Press::Letter(letter) => self.letter(letter, snapshot),
            Press::Pasted(text) => self.paste(&text, snapshot),
            Press::Plus
            | Press::Tab
            | Press::BackspaceHeld
            | Press::NumLockOff
            | Press::Explain
            | Press::Room(_)
            | Press::Burst(_)
            | Press::BurstCut(_) => Vec::new(),
        }
    }

    /// Nothing more is recorded: it can be looked at, and left.
    fn after_the_end(&mut self, press: &Press) -> Vec<Asked> {
        match press {
            Press::Verdict | Press::Letter('w' | 'W') => self.toggle_why(),
            Press::Letter('g' | 'G') => self.toggle_glance(),
            Press::Enter | Press::Space | Press::Escape if self.is_why => self.toggle_why(),
            Press::Enter | Press::Space | Press::Escape => vec![Asked::Start],
            // Not the key that closed it: pressed twice it must begin nothing.
            Press::Slash if self.can_begin_again => vec![Asked::NextBatch],
            Press::Digit(_) | Press::Slash => {
                self.complain("The session is closed: nothing is recorded. Enter leaves it.")
            }
            _ => Vec::new(),
        }
    }

    pub(super) fn open(&mut self, menu: Menu) -> Vec<Asked> {
        self.mode = Mode::Choosing(menu);
        Vec::new()
    }

    pub(super) fn fill(&mut self, form: Form) -> Vec<Asked> {
        let text = String::new();
        self.mode = Mode::Filling { form, text };
        Vec::new()
    }

    pub(super) fn toggle_why(&mut self) -> Vec<Asked> {
        self.is_why = !self.is_why;
        self.why_page = 0;
        Vec::new()
    }

    /// A press that is about the open reasons: on, back, away. Anything else is about measuring.
    fn read_why(&mut self, press: &Press) -> bool {
        match press {
            Press::Up => self.why_page = self.why_page.saturating_sub(1),
            Press::Down => self.why_page = (self.why_page + 1).min(WhyView::PAGES),
            Press::Backspace => (self.is_why, self.why_page) = (false, 0),
            _ => return false,
        }
        true
    }

    pub(super) fn toggle_glance(&mut self) -> Vec<Asked> {
        self.is_glance = !self.is_glance;
        vec![Asked::Settings(Change::Glance(self.is_glance))]
    }

    /// Letters double what the menu does.
    fn letter(&mut self, letter: char, snapshot: &Snapshot) -> Vec<Asked> {
        match letter.to_ascii_lowercase() {
            'c' => command(Command::SwitchCutting(!snapshot.state.bench().cutting)),
            't' => self.fill(Form::Temperature),
            'd' => self.open(Menu::Decide),
            'w' => self.toggle_why(),
            'g' => self.toggle_glance(),
            'p' => match snapshot.is_playing {
                Some(is_playing) => request(Request::Play(!is_playing)),
                None => self.complain("No gauge of this session is simulated."),
            },
            _ => Vec::new(),
        }
    }

    /// Enter, or the foot switch: away from what is shown to what comes next.
    fn go_on(&mut self, snapshot: &Snapshot) -> Vec<Asked> {
        let state = &snapshot.state;
        if let Some(held) = &state.bench().held {
            // Of a gauge that streams the next value may show that this one was a slip.
            let live = match held.cause.as_str() {
                WHICH => Vec::new(),
                _ => self.measure_again(snapshot),
            };
            return match live.is_empty() {
                true => self.complain(ANSWER_FIRST),
                false => live,
            };
        }
        if self.is_why {
            return self.toggle_why();
        }
        self.answered = None;
        let latest = state
            .latest_answer()
            .map_or(0, |(_, answer)| answer.sequence);
        if latest > self.left {
            self.left = latest;
            return Vec::new();
        }
        if snapshot.unrecorded.is_some() {
            return request(Request::TryRecording);
        }
        match state.current_part() {
            Some(_) if state.current_target().is_some() => self.take_live(snapshot),
            Some(_) if state.has_parts_left() => command(Command::StartNextPart),
            Some(_) => self.open(Menu::Close),
            None => self.take_live(snapshot),
        }
    }

    /// A value is asked for, or taken out of what streams, where a gauge waits for that; which, is
    /// asked where several can be meant.
    fn take_live(&mut self, snapshot: &Snapshot) -> Vec<Asked> {
        let live = snapshot.live_gauges();
        match snapshot.state.live_gauge(&live) {
            _ if live.is_empty() => Vec::new(),
            LiveGauge::Nobody => Vec::new(),
            LiveGauge::Of(_) => request(Request::AskAnyGauge),
            LiveGauge::Which(_) => self.open(Menu::LiveGauge),
        }
    }

    /// Another value of the gauge whose reading is held.
    fn measure_again(&mut self, snapshot: &Snapshot) -> Vec<Asked> {
        let held = snapshot.state.held_reading();
        let live = snapshot.live_gauges();
        match held.is_some_and(|held| live.contains(&held.reading.gauge)) {
            true => request(Request::AskAnyGauge),
            false => Vec::new(),
        }
    }

    /// Asks why the last reading does not count.
    fn ask_void(&mut self, state: &State) -> Vec<Asked> {
        self.voiding = state.last_reading();
        match self.voiding {
            Some(_) => self.open(Menu::VoidReasons),
            None => self.complain("There is no reading that could be voided."),
        }
    }

    fn repeat_point(&mut self, state: &State) -> Vec<Asked> {
        if state.last_place().is_none() {
            return self.complain("Nothing has been measured on this part yet.");
        }
        self.leave_answer(state);
        command(Command::RepeatPoint)
    }

    /// `/`: the next part, at once when this one is settled, else after a question.
    fn next_part(&mut self, state: &State) -> Vec<Asked> {
        if state.bench().held.is_some() {
            return self.complain(ANSWER_FIRST);
        }
        let is_open = state
            .current_part()
            .is_some_and(|part| part.state() == PartState::Open);
        if !state.has_parts_left() {
            return match (is_open, state.setup().parts_wanted) {
                (true, Some(wanted)) => self.complain(format!(
                    "This is the last of {wanted} parts, and it is still open."
                )),
                _ => self.open(Menu::Close),
            };
        }
        if is_open {
            return self.open(Menu::NextPart);
        }
        self.leave_answer(state);
        command(Command::StartNextPart)
    }

    /// An arrow: the selected characteristic before or after the one that is measured.
    fn step(&mut self, state: &State, step: isize) -> Vec<Asked> {
        let part = state.current_part();
        let selected = |at: &usize| {
            part.and_then(|part| part.characteristics.get(*at))
                .is_none_or(|one| one.selected)
        };
        let all: Vec<usize> = (0..state.setup().targets.len()).filter(selected).collect();
        let latest = state.latest_answer().map(|(target, _)| target);
        let from = state.current_target().or(latest);
        let from = from.or_else(|| next_target(state)).unwrap_or(0);
        let at = all.iter().position(|one| *one == from).unwrap_or(0);
        let to = at.saturating_add_signed(step);
        match all.get(to) {
            Some(target) if to != at => self.choose_at(*target, state),
            _ => Vec::new(),
        }
    }

    pub(super) fn choose_at(&mut self, target: usize, state: &State) -> Vec<Asked> {
        let Some(target) = state.setup().targets.get(target) else {
            return Vec::new();
        };
        self.leave_answer(state);
        (self.is_why, self.why_page) = (false, 0);
        command(Command::ChooseCharacteristic {
            feature: target.feature.clone(),
            element: target.element.clone(),
        })
    }

    /// Escape: away from what is open; where nothing is, out of the session.
    fn leave(&mut self) -> Vec<Asked> {
        if self.is_why {
            return self.toggle_why();
        }
        if self.is_glance {
            return self.toggle_glance();
        }
        self.open(Menu::Close)
    }

    /// Pasted text begins a reading if it begins like a number.
    fn paste(&mut self, text: &str, snapshot: &Snapshot) -> Vec<Asked> {
        let text = text.trim();
        let gauge = typed_gauge(self.typed_gauge.as_ref(), &snapshot.state);
        let is_signed = text.starts_with('-') && reads_deviations(&gauge, &snapshot.state);
        if !text.starts_with(|c: char| c.is_ascii_digit()) && !is_signed {
            return self.complain("What was pasted is no number.");
        }
        let text = text.to_owned();
        self.typing(Press::Pasted(text), String::new(), gauge, snapshot)
    }
}

pub(super) fn command(command: Command) -> Vec<Asked> {
    request(Request::Command(command))
}

pub(super) fn request(request: Request) -> Vec<Asked> {
    vec![Asked::Request(request)]
}
