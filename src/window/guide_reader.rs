//! The guide in the window: which page is read, and how far. A plain value: a press gives what is
//! next.

use super::press::Press;

/// What is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct GuideReader {
    /// The page that is chosen in the list, or read.
    pub chosen: usize,
    /// The first line that is seen of it; none: the list is seen.
    pub from: Option<usize>,
    /// The digit of a page's number that may go on.
    typed: Option<usize>,
}

/// What was drawn of it last.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct GuideDrawn {
    /// Lines of the page, at this width.
    pub lines: usize,
    /// Lines that there is room for.
    pub fit: usize,
}

impl GuideReader {
    /// Takes a press, with the number of pages there are; false: it is left.
    #[must_use]
    pub fn press(&mut self, press: &Press, pages: usize, drawn: GuideDrawn) -> bool {
        let typed = self.typed.take();
        match (press, self.from) {
            (Press::Escape | Press::Backspace | Press::Marker, None) => return false,
            (Press::Escape | Press::Backspace | Press::Marker, Some(_)) => self.from = None,
            (Press::Choose(at), None) if *at < pages => self.open(*at),
            (Press::Digit(digit), None) => self.type_number(*digit, typed, pages),
            (Press::Enter | Press::Space, None) => self.open(self.chosen),
            (Press::Down | Press::Plus, None) => self.chosen = (self.chosen + 1) % pages.max(1),
            (Press::Up | Press::Minus, None) => {
                self.chosen = self
                    .chosen
                    .checked_sub(1)
                    .unwrap_or(pages.saturating_sub(1));
            }
            (Press::Plus | Press::Right, Some(_)) => self.open((self.chosen + 1) % pages.max(1)),
            (Press::Minus | Press::Left, Some(_)) => {
                self.open(
                    self.chosen
                        .checked_sub(1)
                        .unwrap_or(pages.saturating_sub(1)),
                );
            }
            (Press::Star | Press::Enter | Press::Space, Some(from)) => {
                // Past the end it begins again.
                let next = from + drawn.fit.max(1);
                self.from = Some(if next < drawn.lines { next } else { 0 });
            }
            (Press::Down, Some(from)) if from + drawn.fit < drawn.lines => {
                self.from = Some(from + 1);
            }
            (Press::Up, Some(from)) => self.from = Some(from.saturating_sub(1)),
            _ => {}
        }
        true
    }

    fn open(&mut self, page: usize) {
        self.chosen = page;
        self.from = Some(0);
    }

    /// Two digits in a row are one number, where there is such a page.
    fn type_number(&mut self, digit: char, typed: Option<usize>, pages: usize) {
        let Some(digit) = digit
            .to_digit(10)
            .and_then(|digit| usize::try_from(digit).ok())
        else {
            return;
        };
        let both = typed.map(|tens| tens * 10 + digit);
        let number = both.filter(|number| *number <= pages).unwrap_or(digit);
        if (1..=pages).contains(&number) {
            self.chosen = number - 1;
            self.typed = Some(number);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{GuideDrawn, GuideReader};
    use crate::window::press::Press;

    const DRAWN: GuideDrawn = GuideDrawn { lines: 50, fit: 20 };

    fn after(keys: &str) -> (GuideReader, bool) {
        let mut reader = GuideReader::default();
        let mut stays = true;
        for key in keys.chars() {
            let press = match key {
                '0'..='9' => Press::Digit(key),
                '*' => Press::Star,
                '+' => Press::Plus,
                '-' => Press::Minus,
                'e' => Press::Enter,
                'b' => Press::Backspace,
                'u' => Press::Up,
                'd' => Press::Down,
                _ => Press::Letter(key),
            };
            stays = reader.press(&press, 17, DRAWN);
        }
        (reader, stays)
    }

    #[test]
    fn numbers_choose_enter_opens_and_backspace_leads_back_step_by_step() {
        let at = |keys: &str| (after(keys).0.chosen, after(keys).0.from);
        assert_eq!(at("3"), (2, None));
        assert_eq!(at("12"), (11, None));
        assert_eq!(at("17"), (16, None));
        assert_eq!(at("18"), (7, None), "there is no page 18");
        assert_eq!(at("1x2"), (1, None), "another key ends the number");
        assert_eq!(at("0"), (0, None));
        assert_eq!(at("3e"), (2, Some(0)));
        assert_eq!(at("u"), (16, None));
        assert_eq!(at("ud"), (0, None));
        assert_eq!(after("3e"), (after("3e").0, true));
        assert_eq!(at("3eb"), (2, None));
        assert!(after("3eb").1 && !after("3ebb").1);
    }

    #[test]
    fn a_page_is_read_to_its_end_and_begins_again() {
        let from = |keys: &str| after(keys).0.from;
        assert_eq!(from("e*"), Some(20));
        assert_eq!(from("e**"), Some(40));
        assert_eq!(from("e***"), Some(0));
        assert_eq!(from("eu"), Some(0));
        assert_eq!(from("ed"), Some(1));
        assert_eq!(from("e**d"), Some(40), "nothing is below");
        let (reader, _) = after("e*+");
        assert_eq!((reader.chosen, reader.from), (1, Some(0)));
        let (reader, _) = after("e-");
        assert_eq!((reader.chosen, reader.from), (16, Some(0)));
    }
}
