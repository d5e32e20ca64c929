//! Sound in the window: what is new is heard, whatever room is seen.

use super::{Room, Window};
use crate::window::sound::Tone;
use crate::window::view::Heard;

const SOUND_ON: &str = "Sound is on: one long tone is GO, three short ones are NO-GO, two and one \
                        say look here.";

impl Window {
    /// Asks for the sound of what is new in the session; never waits. What went wrong with sound
    /// is told once.
    pub(super) fn sound(&mut self) {
        if let Some(told) = self.outside.sound_told() {
            self.fault = Some(told);
        }
        let Room::Bench(bench) = &mut self.room else {
            return;
        };
        let now = Heard::of(&bench.session.snapshot());
        // What stood there when the session was taken up is not new.
        let tone = bench.heard.get_or_insert(now).go_on(now);
        if let Some(tone) = tone.filter(|_| self.settings.has_sound) {
            self.outside.play(tone);
        }
    }

    /// The other setting of sound; turned on, it lets itself be heard.
    pub(super) fn turn_sound(&mut self) {
        self.settings.has_sound = !self.settings.has_sound;
        self.keep_settings();
        if self.settings.has_sound {
            self.outside.sound_anew();
            self.outside.play(Tone::Good);
            self.fault.get_or_insert_with(|| SOUND_ON.to_owned());
        }
    }
}
