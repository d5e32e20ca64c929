//! What is to be heard: three patterns that are told apart without pitch, as samples.
//!
//! One long tone, three short ones, two and one: their rhythm differs, their pitch and loudness
//! are the same, for shops are loud and ears are protected. They are never the only signal.

/// Samples of a second (chosen: what sound systems take without changing it).
pub const SAMPLES_PER_SECOND: u32 = 48_000;
/// Pitch of every tone, Hz (common practice, no source: ageing ears hear it still).
pub const PITCH_HZ: u32 = 1_000;
/// Largest sample: half of what there is (chosen: loud, and nothing clips).
pub const LOUDEST: i16 = i16::MAX / 2;
/// Silence before and after, ms: devices that wake up swallow the first of it (chosen).
pub const AROUND_MS: u32 = 60;
/// A tone comes and goes over so many ms: a bare edge clicks (chosen).
pub const EDGE_MS: u32 = 8;
/// The long tone, ms; five times a short one (chosen).
const LONG_MS: u32 = 600;
/// A short tone, and the silence between two, ms (chosen).
const SHORT_MS: u32 = 120;
/// The pause of two and one, ms: three times the usual one (chosen).
const PAUSE_MS: u32 = 360;

/// What is said by a sound.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tone {
    /// GO: one long tone.
    Good,
    /// NO-GO: three short tones.
    Bad,
    /// Something needs looking at: two short tones, and after a pause one more.
    Look,
}

impl Tone {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Good, Self::Bad, Self::Look];

    /// A short name for files: `good`, `bad`, `look`.
    pub fn word(self) -> &'static str {
        match self {
            Self::Good => "good",
            Self::Bad => "bad",
            Self::Look => "look",
        }
    }

    /// Tones and the silences between them in turn, ms; the first and the last are tones.
    pub fn rhythm_ms(self) -> &'static [u32] {
        match self {
            Self::Good => &[LONG_MS],
            Self::Bad => &[SHORT_MS, SHORT_MS, SHORT_MS, SHORT_MS, SHORT_MS],
            Self::Look => &[SHORT_MS, SHORT_MS, SHORT_MS, PAUSE_MS, SHORT_MS],
        }
    }

    /// Its samples, one channel, with silence around them.
    pub fn samples(self) -> Vec<i16> {
        let mut samples = silence(AROUND_MS);
        for (at, length_ms) in self.rhythm_ms().iter().enumerate() {
            samples.extend(match at % 2 {
                0 => tone(*length_ms),
                _ => silence(*length_ms),
            });
        }
        samples.extend(silence(AROUND_MS));
        samples
    }

    /// A whole WAV file of it: RIFF, PCM, one channel of 16 bits (Multimedia Programming
    /// Interface and Data Specifications 1.0, 1991; layout from memory, a test reads it back).
    pub fn wav(self) -> Vec<u8> {
        const SAMPLE_BYTES: u32 = 2;
        let samples = self.samples();
        let data = u32::try_from(samples.len()).unwrap_or(0) * SAMPLE_BYTES;
        let mut file = Vec::new();
        file.extend(b"RIFF");
        file.extend((36 + data).to_le_bytes());
        file.extend(b"WAVEfmt ");
        file.extend(16_u32.to_le_bytes());
        // PCM, one channel.
        file.extend([1, 0, 1, 0]);
        file.extend(SAMPLES_PER_SECOND.to_le_bytes());
        file.extend((SAMPLES_PER_SECOND * SAMPLE_BYTES).to_le_bytes());
        // Bytes and bits of a sample.
        file.extend([2, 0, 16, 0]);
        file.extend(b"data");
        file.extend(data.to_le_bytes());
        file.extend(samples.into_iter().flat_map(i16::to_le_bytes));
        file
    }
}

fn count(length_ms: u32) -> u32 {
    SAMPLES_PER_SECOND / 1_000 * length_ms
}

fn silence(length_ms: u32) -> Vec<i16> {
    (0..count(length_ms)).map(|_| 0).collect()
}

/// A sine whose edges rise and fall like half a cosine.
fn tone(length_ms: u32) -> Vec<i16> {
    use std::f64::consts::{PI, TAU};
    let (all, edge) = (count(length_ms), f64::from(count(EDGE_MS)));
    let sample = |at: u32| {
        let turns = f64::from(at) * f64::from(PITCH_HZ) / f64::from(SAMPLES_PER_SECOND);
        let from_end = f64::from(at.min(all - 1 - at));
        let rise = (1.0 - (PI * (from_end / edge).min(1.0)).cos()) / 2.0;
        let value = (TAU * turns).sin() * rise * f64::from(LOUDEST);
        #[allow(clippy::cast_possible_truncation, reason = "at most LOUDEST")]
        let value = value.round() as i16;
        value
    };
    (0..all).map(sample).collect()
}
