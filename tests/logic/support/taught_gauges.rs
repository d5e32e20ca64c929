//! Simulated gauges of every family of the reference page, and the line between them and a
//! receiver, bit by bit. Written from the families' descriptions, with nothing of the program's
//! own reading or writing of frames.

/// A simulated gauge: how it is set, and what it sends for a length.
pub(crate) struct Gauge {
    /// The family's name on the reference page.
    pub(crate) name: &'static str,
    /// Its line settings in short form.
    pub(crate) line: &'static str,
    /// What starts a reading, as files of captured bursts say it.
    pub(crate) trigger: &'static str,
    /// Its digit in nanometres, in mm mode and in inch mode.
    pub(crate) step_nm: [i64; 2],
    /// Whether a reading tells its sign.
    pub(crate) signed: bool,
    /// Whether a reading tells its unit.
    pub(crate) unit_sent: bool,
    /// Counts of digits to bytes; the flag says inch mode.
    pub(crate) encode: fn(count: i64, inch: bool) -> Vec<u8>,
}

impl Gauge {
    /// The count that the gauge shows for a length: half away from zero.
    pub(crate) fn count(&self, nm: i64, inch: bool) -> i64 {
        let step = self.step_nm[usize::from(inch)];
        (2 * nm + nm.signum() * step) / (2 * step)
    }

    /// What it sends for a length.
    pub(crate) fn send(&self, nm: i64, inch: bool) -> Vec<u8> {
        (self.encode)(self.count(nm, inch), inch)
    }
}

fn sign(count: i64) -> char {
    if count < 0 { '-' } else { '+' }
}

/// A count as text with decimals.
fn text(count: i64, decimals: u32) -> String {
    let power = 10_u64.pow(decimals);
    let count = count.unsigned_abs();
    let places = decimals as usize;
    format!("{}.{:0places$}", count / power, count % power)
}

/// Thirteen groups: FFFF, sign, six digits, decimals, unit.
fn thirteen(count: i64, inch: bool) -> Vec<u8> {
    let places = if inch { 4 } else { 3 };
    let mut groups = vec![15, 15, 15, 15, if count < 0 { 8 } else { 0 }];
    groups.extend(
        format!("{:06}", count.unsigned_abs())
            .bytes()
            .map(|b| b - b'0'),
    );
    groups.extend([places, u8::from(inch)]);
    groups
}

/// CRC-16 of the register line, with a table-free form of its own: bit by bit over a 16-bit
/// register, polynomial 8005h reflected.
fn with_crc(mut bytes: Vec<u8>) -> Vec<u8> {
    let mut register: u32 = 0xffff;
    for byte in &bytes {
        register ^= u32::from(*byte);
        for _ in 0..8 {
            register = match register % 2 {
                1 => (register / 2) ^ 0xa001,
                _ => register / 2,
            };
        }
    }
    bytes.extend([register % 256, register / 256].map(|half| u8::try_from(half).unwrap()));
    bytes
}

fn bits(count: i64, inch: bool, sign_bit: u32, unit_bit: u32) -> u32 {
    let raw = u32::try_from(count.unsigned_abs()).unwrap();
    raw | u32::from(count < 0) << sign_bit | u32::from(inch) << unit_bit
}

const MM_3: [i64; 2] = [1_000, 2_540];
const MM_2: [i64; 2] = [10_000, 12_700];

/// The gauges that send text.
pub(crate) fn text_gauges() -> Vec<Gauge> {
    let plain = |name, line, trigger, step_nm, unit_sent, encode| Gauge {
        name,
        line,
        trigger,
        step_nm,
        signed: true,
        unit_sent,
        encode,
    };
    vec![
        plain(
            "line-free",
            "9600-8N1",
            "unsolicited",
            MM_3,
            true,
            |count, inch| {
                let sign = if count < 0 { "-" } else { "" };
                let (places, unit) = if inch { (4, "in") } else { (3, "mm") };
                format!("{sign}{} {unit}\r\n", text(count, places)).into_bytes()
            },
        ),
        plain(
            "line-strict",
            "9600-8N1",
            "unsolicited",
            [1_000; 2],
            false,
            |count, _| format!("{}{}\r", sign(count), text(count, 3)).into_bytes(),
        ),
        plain(
            "line-fixed",
            "4800-7E2",
            "request 0d 500",
            [1_000; 2],
            false,
            |count, _| format!("{}{:>8}\r", sign(count), text(count, 3)).into_bytes(),
        ),
        plain(
            "line-comma",
            "2400-7E1",
            "unsolicited",
            MM_3,
            true,
            |count, inch| {
                let sign = if count < 0 { "-" } else { "" };
                let (places, unit) = if inch { (4, "in") } else { (3, "mm") };
                let number = text(count, places).replace('.', ",");
                format!("{sign}{number} {unit}\r\n").into_bytes()
            },
        ),
        plain(
            "line-inch",
            "9600-8N1",
            "unsolicited",
            [254; 2],
            false,
            |count, _| {
                let sign = if count < 0 { "-" } else { "" };
                let number = text(count, 5);
                let number = number.strip_prefix('0').unwrap_or(&number);
                format!("{sign}{number} in\r\n").into_bytes()
            },
        ),
        plain(
            "id-line",
            "9600-8N1",
            "unsolicited",
            [1_000; 2],
            false,
            |count, _| format!("01A{}{:0>9}\r", sign(count), text(count, 3)).into_bytes(),
        ),
        plain(
            "padded-unit",
            "9600-8N1",
            "request 520d 500",
            MM_3,
            true,
            |count, inch| {
                let (places, unit) = if inch { (4, "IN") } else { (3, "MM") };
                format!("{}{:>8}, {unit}\r\n", sign(count), text(count, places)).into_bytes()
            },
        ),
        plain(
            "flagged",
            "9600-8N1",
            "stream",
            [10_000, 25_400],
            true,
            |count, inch| {
                let (places, unit) = if inch { (3, 'I') } else { (2, 'M') };
                format!("N{}{:>5}{unit}  \n", sign(count), text(count, places)).into_bytes()
            },
        ),
        plain(
            "stx-check",
            "9600-8N1",
            "request 05 300",
            MM_3,
            true,
            |count, inch| {
                let (places, unit) = if inch { (4, 'I') } else { (3, 'M') };
                let inner = format!("0A {}{}{unit}\u{3}", sign(count), text(count, places));
                let mut check = 0;
                for byte in inner.bytes() {
                    check ^= byte;
                }
                [b"\x02", inner.as_bytes(), &[check]].concat()
            },
        ),
        plain(
            "tail-id",
            "9600-8N1",
            "unsolicited",
            [1_000; 2],
            false,
            |count, _| format!("{}{} Q/", sign(count), text(count, 3)).into_bytes(),
        ),
        plain(
            "sum-check",
            "9600-8N1",
            "request 21 400",
            [1_000; 2],
            false,
            |count, _| {
                let inner = format!("{}{}", sign(count), text(count, 3));
                let sum: u32 = inner.bytes().map(u32::from).sum();
                format!("{inner}${:02X}\r", sum % 256).into_bytes()
            },
        ),
        plain(
            "implied",
            "2400-7E1",
            "unsolicited",
            [10_000; 2],
            false,
            |count, _| {
                let sign = if count < 0 { 6 } else { 5 };
                format!("{sign}{:07}0\r", count.unsigned_abs()).into_bytes()
            },
        ),
        plain(
            "half-micron",
            "9600-8N1",
            "unsolicited",
            [500; 2],
            false,
            |count, _| format!("{}{}\n", sign(count), count.unsigned_abs()).into_bytes(),
        ),
        plain(
            "wedge",
            "9600-8N1",
            "typed",
            [10_000; 2],
            false,
            |count, _| {
                let sign = if count < 0 { "-" } else { "" };
                format!("{sign}{}\r", text(count, 2).replace('.', ",")).into_bytes()
            },
        ),
        plain(
            "typed-tab",
            "9600-8N1",
            "typed",
            [1_000; 2],
            false,
            |count, _| {
                let sign = if count < 0 { "-" } else { "" };
                format!("{sign}{}\t", text(count, 3)).into_bytes()
            },
        ),
        plain(
            "bcd13-hex",
            "9600-8N1",
            "unsolicited",
            MM_3,
            true,
            |count, inch| {
                let hex: String = thirteen(count, inch)
                    .iter()
                    .map(|g| format!("{g:X}"))
                    .collect();
                format!("{hex}\r\n").into_bytes()
            },
        ),
    ]
}

/// The gauges that send groups, bits or registers.
pub(crate) fn binary_gauges() -> Vec<Gauge> {
    let plain = |name, line, trigger, step_nm, unit_sent, encode| Gauge {
        name,
        line,
        trigger,
        step_nm,
        signed: true,
        unit_sent,
        encode,
    };
    vec![
        plain(
            "bcd13-bytes",
            "9600-8N1",
            "pulse rts 20",
            MM_3,
            true,
            thirteen,
        ),
        plain("bin24", "38400-8N1", "stream", MM_2, true, |count, inch| {
            bits(count, inch, 20, 23).to_le_bytes()[..3].to_vec()
        }),
        plain(
            "bcd7",
            "38400-8N1",
            "stream",
            [10_000, 12_700],
            true,
            |count, inch| {
                // Half thousandths of an inch: the half is a flag.
                let whole = count.unsigned_abs();
                let (digits, half) = if inch {
                    (whole / 2, whole % 2)
                } else {
                    (whole, 0)
                };
                let mut groups: Vec<u8> = format!("{digits:06}")
                    .bytes()
                    .rev()
                    .map(|b| b - b'0')
                    .collect();
                let minus = u8::from(count < 0);
                groups.push(minus + 2 * u8::try_from(half).unwrap() + 4 * u8::from(!inch));
                groups
            },
        ),
        plain(
            "bcd13-packed-high",
            "9600-8N1",
            "unsolicited",
            MM_3,
            true,
            |count, inch| {
                let mut groups = thirteen(count, inch);
                groups.push(0);
                groups
                    .chunks(2)
                    .map(|pair| pair[0] * 16 + pair[1])
                    .collect()
            },
        ),
        plain(
            "bits-high-first",
            "38400-8N1",
            "stream",
            MM_2,
            true,
            |count, inch| {
                let mut bytes = bits(count, inch, 21, 22).to_be_bytes();
                bytes[0] = 0x5a;
                bytes.to_vec()
            },
        ),
        plain(
            "modbus-i32",
            "19200-8E1",
            "request 010300000002c40b 300",
            [1_000; 2],
            false,
            |count, _| {
                let data = i32::try_from(count).unwrap().to_be_bytes();
                with_crc([&[1, 3, 4][..], &data].concat())
            },
        ),
        plain(
            "modbus-f32",
            "19200-8E1",
            "request 070300100002c5a8 500",
            [1_000; 2],
            false,
            |count, _| {
                let value: f32 = text(count, 3).parse().unwrap();
                let value = if count < 0 { -value } else { value };
                let [a, b, c, d] = value.to_be_bytes();
                with_crc(vec![7, 3, 4, c, d, a, b])
            },
        ),
        plain(
            "modbus-i16",
            "19200-8E1",
            "request 0903000500019543 300",
            [10_000; 2],
            false,
            |count, _| {
                let data = i16::try_from(count).unwrap().to_be_bytes();
                with_crc([&[9, 3, 2][..], &data].concat())
            },
        ),
        Gauge {
            signed: false,
            ..plain(
                "modbus-u32",
                "19200-8E1",
                "request 050400080002f18d 300",
                [1_000; 2],
                false,
                |count, _| {
                    let data = u32::try_from(count).unwrap().to_be_bytes();
                    with_crc([&[5, 4, 4][..], &data].concat())
                },
            )
        },
    ]
}

/// Settings in short form, taken apart: speed, data bits, parity letter, stop bits.
fn setting(text: &str) -> (f64, u32, char, u32) {
    let (speed, frame) = text.split_once('-').unwrap();
    let frame: Vec<char> = frame.chars().collect();
    let digit = |at: usize| frame[at].to_digit(10).unwrap();
    (speed.parse().unwrap(), digit(0), frame[1], digit(2))
}

fn parity_bit(value: u32, parity: char) -> bool {
    let odd = value.count_ones() % 2 == 1;
    if parity == 'E' { odd } else { !odd }
}

/// What a receiver set to `read` hears of bytes sent one behind the other with `sent`: each
/// character is sampled in the middle of its bits; without a stop bit or with wrong parity it is
/// delivered as 00h (reference page, how its wrong-settings cases were made).
#[allow(clippy::cast_possible_truncation)] // The number of a bit.
pub(crate) fn through_line(bytes: &[u8], sent: &str, read: &str) -> Vec<u8> {
    let (speed, data, parity, stops) = setting(sent);
    let mut levels = vec![true; 3];
    for byte in bytes {
        let value = u32::from(*byte) & ((1 << data) - 1);
        levels.push(false);
        levels.extend((0..data).map(|bit| value >> bit & 1 == 1));
        if parity != 'N' {
            levels.push(parity_bit(value, parity));
        }
        levels.extend((0..stops).map(|_| true));
    }
    let end = levels.len() as f64 / speed;
    let level = |time: f64| -> bool {
        let at = (time * speed).floor();
        levels.get(at as usize).copied().unwrap_or(true)
    };
    let (read_speed, read_data, read_parity, _) = setting(read);
    let fine = 1.0 / (speed.max(read_speed) * 32.0);
    let (mut time, mut heard) = (0.0, Vec::new());
    while time < end {
        if level(time) {
            time += fine;
            continue;
        }
        let bit = |at: f64| level(time + (at + 0.5) / read_speed);
        let value =
            (0..read_data).fold(0, |sum, at| sum | u32::from(bit(f64::from(at) + 1.0)) << at);
        let mut next = f64::from(read_data) + 1.0;
        let mut sound = !bit(0.0);
        if read_parity != 'N' {
            sound &= bit(next) == parity_bit(value, read_parity);
            next += 1.0;
        }
        let stopped = bit(next);
        heard.push(if sound && stopped {
            u8::try_from(value).unwrap()
        } else {
            0
        });
        time += (next + 0.5) / read_speed;
        // A missing stop bit: the line must rise before the next start is seen.
        while !stopped && time < end && !level(time) {
            time += fine;
        }
    }
    heard
}
