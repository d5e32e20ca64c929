//! Answers to what the room asks: the file was changed by somebody else, or something is not saved.

use super::{PlanAsked, PlanNow, PlanQuestion, PlanRoom};
use crate::plan::MergeSide;
use crate::window::plan_open::PutTogether;
use crate::window::press::Press;

impl PlanRoom {
    pub(super) fn answer(
        &mut self,
        press: &Press,
        question: PlanQuestion,
        now: &PlanNow,
    ) -> Option<PlanAsked> {
        let is_away = matches!(press, Press::Escape | Press::Backspace);
        if is_away {
            self.question = None;
            self.after_save = None;
            self.skipped = 0;
            return None;
        }
        if matches!(press, Press::Star | Press::Space) {
            self.read_on(now);
            return None;
        }
        match (question, press) {
            (PlanQuestion::Overtaken, Press::Digit('1')) => self.put_together(Vec::new()),
            (PlanQuestion::Overtaken, Press::Digit('2')) => {
                self.question = None;
                return Some(PlanAsked::Beside);
            }
            (PlanQuestion::Overtaken, Press::Digit('3')) => {
                self.question = None;
                return Some(PlanAsked::DraftAndReload);
            }
            (PlanQuestion::Conflict(mut choices), Press::Digit(digit @ ('1' | '2'))) => {
                choices.push(match digit {
                    '1' => MergeSide::Mine,
                    _ => MergeSide::Theirs,
                });
                self.put_together(choices);
            }
            (PlanQuestion::Gone, Press::Plus) => {
                self.question = None;
                return Some(PlanAsked::WriteAnew);
            }
            (PlanQuestion::Leave(to), Press::Plus) => {
                self.question = None;
                self.after_save = Some(to);
                return self.save();
            }
            (PlanQuestion::Leave(to), Press::Minus) => return self.left(to),
            (PlanQuestion::Leave(to), Press::Digit('0')) => {
                self.question = None;
                return Some(PlanAsked::DraftAndLeave(to));
            }
            _ => {}
        }
        None
    }

    pub(super) fn put_together(&mut self, choices: Vec<MergeSide>) {
        let Some(open) = &mut self.open else { return };
        self.question = None;
        self.skipped = 0;
        match open.put_together(&choices) {
            PutTogether::Choose => self.question = Some(PlanQuestion::Conflict(choices)),
            PutTogether::Refused(why) => self.said = Some(why),
            PutTogether::Done(taken) => {
                let edits = match taken {
                    0 => "none of your edits was left to put on top".to_owned(),
                    1 => "1 edit of yours is on top".to_owned(),
                    many => format!("{many} edits of yours are on top"),
                };
                self.said = Some(format!("The file was read again; {edits}. S saves."));
                self.inside();
            }
        }
    }
}
