//! A PDF read back: the text of each page in the order of its content, by the faces' own tables
//! from glyph to character, and what its objects say. Of the library only objects, streams and
//! operators are taken, so that the text is not what another library guesses it to be.

use std::collections::BTreeMap;

use lopdf::content::Content;
use lopdf::{Dictionary, Document, Object, ObjectId};

/// A PDF that was read.
pub(crate) struct Read {
    pub(crate) document: Document,
    /// The text of each page, a line a string that was drawn.
    pub(crate) pages: Vec<String>,
}

/// From a glyph's code to its text.
type Table = BTreeMap<u16, String>;

impl Read {
    pub(crate) fn of(bytes: &[u8]) -> Self {
        let document = Document::load_mem(bytes).unwrap();
        let pages = document.get_pages();
        let pages = pages
            .values()
            .map(|page| page_text(&document, *page))
            .collect();
        Self { document, pages }
    }

    /// All pages' text without white space, so that it does not matter where lines end.
    pub(crate) fn all(&self) -> String {
        bare(&self.pages.concat())
    }

    /// Dictionaries that have that key.
    pub(crate) fn with_key(&self, key: &[u8]) -> Vec<&Dictionary> {
        let objects = self.document.objects.values();
        let dictionaries = objects.filter_map(|object| match object {
            Object::Dictionary(dictionary) => Some(dictionary),
            Object::Stream(stream) => Some(&stream.dict),
            _ => None,
        });
        dictionaries.filter(|one| one.has(key)).collect()
    }

    /// How many elements of its structure are of that kind.
    pub(crate) fn count_of(&self, kind: &[u8]) -> usize {
        let all = self.with_key(b"S").into_iter();
        all.filter(|one| {
            one.get(b"S")
                .unwrap()
                .as_name()
                .is_ok_and(|name| name == kind)
        })
        .count()
    }

    /// How far down a page is filled, of the height between its upper margin and its foot: where
    /// the lowest text above the foot stands. A4, in points.
    pub(crate) fn used_height(&self, page: usize) -> f32 {
        const HEIGHT: f32 = 841.89;
        const TOP: f32 = 42.52;
        const BOTTOM: f32 = HEIGHT - 56.0;
        let pages = self.document.get_pages();
        let id = pages.values().nth(page).unwrap();
        let downs = text_heights(&self.document, *id);
        let above = downs
            .into_iter()
            .map(|up| HEIGHT - up)
            .filter(|down| *down < BOTTOM);
        (above.fold(0.0, f32::max) - TOP) / (BOTTOM - TOP)
    }

    /// The file's description of itself (XMP).
    pub(crate) fn metadata(&self) -> String {
        let catalog = self.document.catalog().unwrap();
        let id = catalog.get(b"Metadata").unwrap().as_reference().unwrap();
        let stream = self.document.get_object(id).unwrap().as_stream().unwrap();
        let bytes = stream
            .decompressed_content()
            .unwrap_or(stream.content.clone());
        String::from_utf8(bytes).unwrap()
    }
}

/// Without white space.
pub(crate) fn bare(text: &str) -> String {
    text.chars().filter(|one| !one.is_whitespace()).collect()
}

fn page_text(document: &Document, page: ObjectId) -> String {
    let fonts = document.get_page_fonts(page).unwrap();
    let fonts: BTreeMap<Vec<u8>, Table> = fonts
        .into_iter()
        .map(|(name, font)| (name, table_of(document, font)))
        .collect();
    let content = document.get_page_content(page);
    let content = Content::decode(&content).unwrap();
    let mut text = String::new();
    let mut font = &Table::new();
    // Text that stands for what is drawn, until its mark ends.
    let mut marks: Vec<bool> = Vec::new();
    for operation in content.operations {
        let operands = &operation.operands;
        match operation.operator.as_str() {
            "Tf" => font = &fonts[operands[0].as_name().unwrap()],
            "BMC" => marks.push(false),
            "BDC" => {
                let told = operands[1]
                    .as_dict()
                    .ok()
                    .filter(|one| one.has(b"ActualText"));
                if let Some(told) = told {
                    text += &lopdf::decode_text_string(told.get(b"ActualText").unwrap()).unwrap();
                }
                marks.push(told.is_some());
            }
            "EMC" => {
                marks.pop();
            }
            "ET" => text.push('\n'),
            "Tj" | "TJ" if marks.contains(&true) => {}
            "Tj" => push(&mut text, font, &operands[0]),
            "TJ" => {
                for piece in operands[0].as_array().unwrap() {
                    push(&mut text, font, piece);
                }
            }
            _ => {}
        }
    }
    text
}

/// How high each text of a page stands above its lower edge (ISO 32000-1, 8.3.4 and 9.4.2: a
/// matrix of six numbers; only moves and scales are used here).
fn text_heights(document: &Document, page: ObjectId) -> Vec<f32> {
    let content = Content::decode(&document.get_page_content(page)).unwrap();
    let numbers = |operands: &[Object]| -> Vec<f32> {
        operands.iter().map(|one| one.as_float().unwrap()).collect()
    };
    // Vertical scale and move, of the page and of what was kept of it.
    let mut at = (1.0, 0.0);
    let mut kept = Vec::new();
    let mut heights = Vec::new();
    for operation in content.operations {
        match operation.operator.as_str() {
            "q" => kept.push(at),
            "Q" => at = kept.pop().unwrap(),
            "cm" => {
                let by = numbers(&operation.operands);
                at = (at.0 * by[3], at.0 * by[5] + at.1);
            }
            "Tm" => {
                let by = numbers(&operation.operands);
                heights.push(at.0 * by[5] + at.1);
            }
            _ => {}
        }
    }
    heights
}

fn push(text: &mut String, font: &Table, piece: &Object) {
    let Ok(codes) = piece.as_str() else {
        return; // a distance
    };
    for code in codes.chunks(2) {
        let code = u16::from_be_bytes([code[0], code[1]]);
        *text += font
            .get(&code)
            .expect("every glyph says what it stands for");
    }
}

/// The table that a face has for whoever copies text (ISO 32000-1, 9.10.3).
fn table_of(document: &Document, font: &Dictionary) -> Table {
    let id = font.get(b"ToUnicode").unwrap().as_reference().unwrap();
    let stream = document.get_object(id).unwrap().as_stream().unwrap();
    let bytes = stream
        .decompressed_content()
        .unwrap_or(stream.content.clone());
    let source = String::from_utf8(bytes).unwrap();
    let mut table = Table::new();
    let words: Vec<&str> = source.split_whitespace().collect();
    let mut at = 0;
    while at < words.len() {
        let count: usize = match (at, words[at]) {
            (1.., "beginbfchar" | "beginbfrange") => words[at - 1].parse().unwrap(),
            _ => {
                at += 1;
                continue;
            }
        };
        let is_range = words[at] == "beginbfrange";
        at += 1;
        for _ in 0..count {
            let from = units(words[at])[0];
            let (to, text) = match is_range {
                true => (units(words[at + 1])[0], units(words[at + 2])),
                false => (from, units(words[at + 1])),
            };
            at += if is_range { 3 } else { 2 };
            for code in from..=to {
                let mut text = text.clone();
                *text.last_mut().unwrap() += code - from;
                table.insert(code, String::from_utf16(&text).unwrap());
            }
        }
    }
    table
}

/// `<0041D83D>` as 16 bit numbers.
fn units(word: &str) -> Vec<u16> {
    let digits = word.trim_matches(['<', '>']);
    let starts = (0..digits.len()).step_by(4);
    let units = starts.map(|at| u16::from_str_radix(&digits[at..(at + 4).min(digits.len())], 16));
    units.map(Result::unwrap).collect()
}
