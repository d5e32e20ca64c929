//! Line settings while they are searched: their short form, their order, and what a seven-bit
//! line looks like when it is read with eight bits.

use crate::wire::adapter::{Flow, LineSettings, Parity};

/// Speeds in the order in which they are tried (common first).
const SPEEDS: [u32; 8] = [9_600, 4_800, 2_400, 19_200, 38_400, 1_200, 57_600, 115_200];

/// Settings of a line in short form, such as `9600-8N1`; DTR and RTS on, no flow control.
pub fn line_of_text(text: &str) -> Option<LineSettings> {
    let (speed, frame) = text.trim().split_once('-')?;
    let baud = speed.parse().ok().filter(|b| (300..=230_400).contains(b))?;
    let [data, parity, stop] = frame.as_bytes() else {
        return None;
    };
    let parity = match parity.to_ascii_uppercase() {
        b'N' => Parity::None,
        b'E' => Parity::Even,
        b'O' => Parity::Odd,
        b'M' => Parity::Mark,
        b'S' => Parity::Space,
        _ => return None,
    };
    let digit = |byte: u8, low: u8, high: u8| {
        let value = byte.wrapping_sub(b'0');
        (low..=high).contains(&value).then_some(value)
    };
    Some(LineSettings {
        baud,
        data_bits: digit(*data, 7, 8)?,
        parity,
        stop_bits: digit(*stop, 1, 2)?,
        flow: Flow::None,
        dtr: true,
        rts: true,
    })
}

/// The short form of line settings: `9600-8N1`.
pub fn line_text(line: LineSettings) -> String {
    let parity = match line.parity {
        Parity::None => 'N',
        Parity::Even => 'E',
        Parity::Odd => 'O',
        Parity::Mark => 'M',
        Parity::Space => 'S',
    };
    format!("{}-{}{parity}{}", line.baud, line.data_bits, line.stop_bits)
}

/// The settings to open, in order. Every speed with 8N1 first: 8N2, 7E1, 7E2 and 7O1 arrive whole
/// there (a second stop bit is idle time to the receiver, a seventh data bit's parity is the
/// eighth bit). Then 8E1, whose parity bit 8N1 takes for a missing stop bit.
pub fn lines_to_try() -> Vec<LineSettings> {
    let one = |baud, parity| LineSettings {
        baud,
        data_bits: 8,
        parity,
        stop_bits: 1,
        flow: Flow::None,
        dtr: true,
        rts: true,
    };
    let all = |parity| SPEEDS.map(|baud| one(baud, parity));
    [all(Parity::None), all(Parity::Even)].concat()
}

/// What eight-bit bytes of one line may be when they were sent with seven bits: the line's true
/// settings. The bytes are then these without their top bit.
pub(super) fn seven_bit(line: LineSettings, bytes: &[u8]) -> Option<LineSettings> {
    if line.data_bits != 8 || line.parity != Parity::None || bytes.is_empty() {
        return None;
    }
    let even = bytes.iter().all(|byte| byte.count_ones() % 2 == 0);
    let odd = bytes.iter().all(|byte| byte.count_ones() % 2 == 1);
    let marked = bytes.iter().all(|byte| byte & 0x80 != 0);
    let (parity, stop_bits) = match (even, odd, marked) {
        (true, _, _) => (Parity::Even, 1),
        (_, true, _) => (Parity::Odd, 1),
        // A parity bit that is always one is a second stop bit to the receiver.
        (_, _, true) => (Parity::None, 2),
        _ => return None,
    };
    Some(LineSettings {
        data_bits: 7,
        parity,
        stop_bits,
        ..line
    })
}

#[cfg(test)]
mod tests {
    use super::{line_of_text, line_text, lines_to_try, seven_bit};

    #[test]
    fn the_short_form_is_read_as_it_is_written() {
        for text in ["9600-8N1", "4800-7E2", "115200-8E1", "300-7O1"] {
            let line = line_of_text(text).map(line_text);
            assert_eq!(line.as_deref(), Some(text));
        }
        for text in [
            "",
            "9600",
            "9600-9N1",
            "9600-8N3",
            "9600-8X1",
            "100-8N1",
            "9600-8N12",
        ] {
            assert_eq!(line_of_text(text), None, "{text}");
        }
        let first: Vec<String> = lines_to_try().into_iter().map(line_text).collect();
        assert_eq!(first.len(), 16);
        assert_eq!(
            (first[0].as_str(), first[8].as_str()),
            ("9600-8N1", "9600-8E1")
        );
    }

    #[test]
    fn a_seven_bit_line_read_with_eight_bits_is_known_by_its_parity() {
        let line = line_of_text("9600-8N1").unwrap();
        let known = |bytes: &[u8]| seven_bit(line, bytes).map(line_text);
        // The design page's case: `+12.345` sent 7E1 and read 8N1.
        let even = [0x2b, 0xb1, 0xb2, 0x2e, 0x33, 0xb4, 0x35];
        assert_eq!(known(&even).as_deref(), Some("9600-7E1"));
        let odd = even.map(|byte| byte ^ 0x80);
        assert_eq!(known(&odd).as_deref(), Some("9600-7O1"));
        assert_eq!(known(b"+12.345"), None);
        let marked: Vec<u8> = b"+12.345".iter().map(|byte| byte | 0x80).collect();
        assert_eq!(known(&marked).as_deref(), Some("9600-7N2"));
    }
}
