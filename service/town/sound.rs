//! The sounds of the talks, worked out by arithmetic when first asked for and printed as WAV files.
//! It knows nothing of talks or of the web.

use std::{collections::BTreeMap, f32::consts::TAU, sync::LazyLock};

/// Samples a second; enough for partials below 4 kHz.
const RATE_HZ: u32 = 8_000;

/// The partials of a tuned bell: frequency over the prime's, loudness, seconds to fall to a
/// thousandth. Hum, prime, minor third, fifth and octave: common practice of founders, no source.
const BELL: [(f32, f32, f32); 5] = [
    (0.5, 0.5, 9.0),
    (1.0, 0.7, 5.0),
    (1.2, 0.6, 4.0),
    (1.5, 0.3, 2.5),
    (2.0, 1.0, 2.0),
];

/// A finished sound.
pub(super) struct Sound {
    /// A WAV file: PCM, one channel, 16 bits.
    pub wav: Vec<u8>,
    /// How long it lasts.
    pub seconds: u32,
}

/// Every sound by its name.
pub(super) fn sounds() -> &'static BTreeMap<&'static str, Sound> {
    static SOUNDS: LazyLock<BTreeMap<&'static str, Sound>> = LazyLock::new(|| {
        BTreeMap::from([
            ("bell-buoy", bell_buoy(24)),
            ("two-notes", two_notes(18)),
            ("eight-bells", eight_bells(16)),
        ])
    });
    &SOUNDS
}

/// Four clappers round a bell in a swell of three waves: each strikes as the roll passes its angle.
fn bell_buoy(seconds: u32) -> Sound {
    let mut samples = silence(seconds);
    let roll = |time: f32, clapper: f32| {
        (TAU * (time / 5.3 + clapper / 4.0)).sin()
            + 0.6 * (TAU * time / 3.7 + 1.0).sin()
            + 0.4 * (TAU * time / 2.3 + clapper).sin()
    };
    let step_s = 0.02;
    let steps = seconds * 50;
    for clapper in [0.0, 1.0, 2.0, 3.0] {
        for step in 1..steps {
            let time = step as f32 * step_s;
            let (before, now) = (roll(time - step_s, clapper), roll(time, clapper));
            if before < 1.2 && now >= 1.2 {
                strike(&mut samples, time, 440.0, 0.4 + (now - before) * 4.0);
            }
        }
    }
    finish(&samples, seconds)
}

/// A horn's two notes, a fourth apart, and the cliffs that answer, each later and fainter.
fn two_notes(seconds: u32) -> Sound {
    let mut samples = silence(seconds);
    for (delay_s, loudness) in [(0.5, 1.0), (4.1, 0.22), (6.9, 0.1), (10.2, 0.05)] {
        blow(&mut samples, delay_s, 2.0, 220.0, loudness);
        blow(&mut samples, delay_s + 2.0, 4.0, 165.0, loudness);
    }
    finish(&samples, seconds)
}

/// The end of a watch: eight strokes in pairs.
fn eight_bells(seconds: u32) -> Sound {
    let mut samples = silence(seconds);
    for pair in 0..4u8 {
        let start_s = 0.5 + f32::from(pair) * 1.8;
        strike(&mut samples, start_s, 880.0, 1.0);
        strike(&mut samples, start_s + 0.5, 880.0, 0.9);
    }
    finish(&samples, seconds)
}

fn silence(seconds: u32) -> Vec<f32> {
    vec![0.0; (seconds * RATE_HZ) as usize]
}

/// Adds one stroke of a bell at `start_s`.
fn strike(samples: &mut [f32], start_s: f32, prime_hz: f32, loudness: f32) {
    let first = (start_s * RATE_HZ as f32) as usize;
    for (index, sample) in samples.iter_mut().skip(first).enumerate() {
        let time = index as f32 / RATE_HZ as f32;
        let partials = BELL.iter().map(|&(ratio, part, fall_s)| {
            // A thousandth is e to the minus 6.9.
            part * (-6.9 * time / fall_s).exp() * (TAU * prime_hz * ratio * time).sin()
        });
        *sample += loudness * partials.sum::<f32>();
    }
}

/// Adds one note of a horn, with soft ends so that it does not click.
fn blow(samples: &mut [f32], start_s: f32, length_s: f32, pitch_hz: f32, loudness: f32) {
    let first = (start_s * RATE_HZ as f32) as usize;
    let count = (length_s * RATE_HZ as f32) as usize;
    for (index, sample) in samples.iter_mut().skip(first).take(count).enumerate() {
        let time = index as f32 / RATE_HZ as f32;
        let ends = (time / 0.15).min((length_s - time) / 0.3).clamp(0.0, 1.0);
        let harmonics =
            (1..=8u8).map(|n| (TAU * pitch_hz * f32::from(n) * time).sin() / f32::from(n));
        *sample += loudness * ends * harmonics.sum::<f32>();
    }
}

/// Scales to nine tenths of full scale and prints the file: the RIFF form's 44 bytes of header for
/// plain PCM (from memory), then the samples.
fn finish(samples: &[f32], seconds: u32) -> Sound {
    let peak = samples
        .iter()
        .fold(f32::MIN_POSITIVE, |peak, sample| peak.max(sample.abs()));
    let data_bytes = seconds * RATE_HZ * 2;
    let mut wav = Vec::with_capacity(44 + samples.len() * 2);
    wav.extend_from_slice(b"RIFF");
    wav.extend_from_slice(&(36 + data_bytes).to_le_bytes());
    wav.extend_from_slice(b"WAVEfmt ");
    wav.extend_from_slice(&16u32.to_le_bytes());
    wav.extend_from_slice(&1u16.to_le_bytes());
    wav.extend_from_slice(&1u16.to_le_bytes());
    wav.extend_from_slice(&RATE_HZ.to_le_bytes());
    wav.extend_from_slice(&(RATE_HZ * 2).to_le_bytes());
    wav.extend_from_slice(&2u16.to_le_bytes());
    wav.extend_from_slice(&16u16.to_le_bytes());
    wav.extend_from_slice(b"data");
    wav.extend_from_slice(&data_bytes.to_le_bytes());
    for sample in samples {
        let value = (sample / peak * 0.9 * f32::from(i16::MAX)) as i16;
        wav.extend_from_slice(&value.to_le_bytes());
    }
    Sound { wav, seconds }
}
