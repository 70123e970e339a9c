//! How fast a port can send its pixels.

use crate::calc::refusal::Refusal;
use crate::calc::source::{Source, Standing};

/// Bits one after another, then a pause that makes the pixels show them.
pub const SOURCE: Source = Source {
    title: "One-wire pixel data sheets: WS2811, WS2812B, WS2813, WS2815, SK6812, UCS1903",
    edition: "",
    clause: "data transfer time and reset time",
    standing: Standing::MakersData,
};

/// Bit rate and pause of a kind of chip.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChipTiming {
    pub chip: &'static str,
    pub bit_rate_khz: f64,
    pub reset_us: f64,
    pub standing: Standing,
}

/// Chips by data sheet; where issues of a sheet differ, or only the bit rate is known, the longest pause of any.
pub const CHIPS: [ChipTiming; 20] = [
    ChipTiming { chip: "WS2811", bit_rate_khz: 800.0, reset_us: 50.0, standing: Standing::MakersData },
    ChipTiming { chip: "WS2811 slow", bit_rate_khz: 400.0, reset_us: 50.0, standing: Standing::MakersData },
    ChipTiming {
        chip: "WS2812B first issue",
        bit_rate_khz: 800.0,
        reset_us: 50.0,
        standing: Standing::MakersData,
    },
    ChipTiming { chip: "WS2812B", bit_rate_khz: 800.0, reset_us: 280.0, standing: Standing::MakersData },
    ChipTiming { chip: "WS2813", bit_rate_khz: 800.0, reset_us: 300.0, standing: Standing::MakersData },
    ChipTiming { chip: "WS2815", bit_rate_khz: 800.0, reset_us: 300.0, standing: Standing::MakersData },
    ChipTiming { chip: "SK6812", bit_rate_khz: 800.0, reset_us: 80.0, standing: Standing::MakersData },
    ChipTiming { chip: "UCS1903", bit_rate_khz: 800.0, reset_us: 24.0, standing: Standing::FromMemory },
    ChipTiming { chip: "GS8206", bit_rate_khz: 800.0, reset_us: 300.0, standing: Standing::FromMemory },
    ChipTiming { chip: "INK1003", bit_rate_khz: 800.0, reset_us: 300.0, standing: Standing::FromMemory },
    ChipTiming { chip: "SK6805", bit_rate_khz: 800.0, reset_us: 300.0, standing: Standing::FromMemory },
    ChipTiming { chip: "TM1804", bit_rate_khz: 800.0, reset_us: 300.0, standing: Standing::FromMemory },
    ChipTiming { chip: "TM1809", bit_rate_khz: 800.0, reset_us: 300.0, standing: Standing::FromMemory },
    ChipTiming { chip: "WS2818", bit_rate_khz: 800.0, reset_us: 300.0, standing: Standing::FromMemory },
    ChipTiming { chip: "GS8208", bit_rate_khz: 800.0, reset_us: 300.0, standing: Standing::FromMemory },
    ChipTiming { chip: "SM16703", bit_rate_khz: 800.0, reset_us: 300.0, standing: Standing::FromMemory },
    ChipTiming { chip: "SM16704", bit_rate_khz: 800.0, reset_us: 300.0, standing: Standing::FromMemory },
    ChipTiming { chip: "UCS2903", bit_rate_khz: 800.0, reset_us: 300.0, standing: Standing::FromMemory },
    ChipTiming { chip: "UCS2904", bit_rate_khz: 800.0, reset_us: 300.0, standing: Standing::FromMemory },
    ChipTiming { chip: "WS2814", bit_rate_khz: 800.0, reset_us: 300.0, standing: Standing::FromMemory },
];

/// Used unless the pixel's kind says otherwise: the longest pause of any sheet.
pub const DEFAULT_TIMING: ChipTiming =
    ChipTiming { chip: "unknown", bit_rate_khz: 800.0, reset_us: 300.0, standing: Standing::MakersData };

/// Pixels of one kind, one after another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Run {
    pub pixels: u32,
    /// 8 to 64: 24 for RGB, 32 for RGBW.
    pub bits_per_pixel: u32,
}

#[derive(Debug, Clone, PartialEq)]
pub struct Input {
    /// All that hangs on the port, in any order: their bits add up.
    pub runs: Vec<Run>,
    /// 50 to 20,000 kHz.
    pub bit_rate_khz: f64,
    /// 0 to 100,000 µs.
    pub reset_us: f64,
    /// 1 to 240 frames a second.
    pub target_fps: f64,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Output {
    /// On the mean, where pixels are mixed.
    pub us_per_pixel: f64,
    pub frame_us: f64,
    pub max_fps: f64,
    /// At the wanted frame rate, as they are mixed; 0 where the pause alone is too long.
    pub max_pixels_at_target: u32,
    pub fits: bool,
}

/// Frame time, highest frame rate, most pixels at the wanted one.
///
/// # Errors
/// `bits_per_pixel`, `bit_rate`, `reset_time`, `frame_rate` outside their ranges; `frame_time` where there is nothing to
/// send.
pub fn port_timing(input: Input) -> Result<Output, Refusal> {
    let within = |code, what, value, unit, range| {
        Refusal { code, what, value, unit, range, remedy: "take it from the pixel's data sheet" }
            .unless_within()
    };
    let rate = within("bit_rate", "bit rate", input.bit_rate_khz, "kHz", (50.0, 20_000.0))?;
    let reset = within("reset_time", "reset time", input.reset_us, "µs", (0.0, 100_000.0))?;
    let target = within("frame_rate", "frame rate", input.target_fps, "fps", (1.0, 240.0))?;
    let (mut pixels, mut sent_us) = (0_u32, 0.0);
    let mut widest = 0.0_f64;
    for run in &input.runs {
        let bits = within("bits_per_pixel", "bits a pixel", f64::from(run.bits_per_pixel), "", (8.0, 64.0))?;
        pixels = pixels.saturating_add(run.pixels);
        sent_us += f64::from(run.pixels) * bits * 1000.0 / rate;
        widest = widest.max(bits * 1000.0 / rate);
    }
    let frame = within("frame_time", "frame time", sent_us + reset, "µs", (f64::MIN_POSITIVE, 1e13))?;
    let us_per_pixel = if pixels > 0 { sent_us / f64::from(pixels) } else { widest };
    // A whole number of pixels that just fits must not be lost to rounding.
    let most = ((1e6 / target - reset) / us_per_pixel + 1e-9).floor().max(0.0) as u32;
    Ok(Output {
        us_per_pixel,
        frame_us: frame,
        max_fps: 1e6 / frame,
        max_pixels_at_target: most,
        fits: frame <= 1e6 / target * (1.0 + 1e-12),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn port(pixels: u32, khz: f64, reset_us: f64, target_fps: f64) -> Output {
        let runs = vec![Run { pixels, bits_per_pixel: 24 }];
        port_timing(Input { runs, bit_rate_khz: khz, reset_us, target_fps }).unwrap()
    }

    /// WS2811 data sheet: at 30 fps at least 512 pixels at 400 kHz, 1024 at 800 kHz; by its own bit times 554 and 1109.
    #[test]
    fn the_data_sheets_pixel_counts_fit() {
        assert!(port(512, 400.0, 50.0, 30.0).fits && port(1024, 800.0, 50.0, 30.0).fits);
        assert_eq!(port(1, 400.0, 50.0, 30.0).max_pixels_at_target, 554);
        assert_eq!(port(1, 800.0, 50.0, 30.0).max_pixels_at_target, 1109);
    }

    #[test]
    fn the_last_pixel_that_fits_and_the_first_that_does_not() {
        assert!(port(823, 800.0, 300.0, 40.0).fits && !port(824, 800.0, 300.0, 40.0).fits);
        // 825 pixels of 30 µs and 250 µs are 25,000 µs to the microsecond.
        assert_eq!(port(825, 800.0, 250.0, 40.0).max_pixels_at_target, 825);
    }

    /// By hand: 300 of 30 µs, 380 of 40 µs and a pause of 300 µs are 24.5 ms; 600 and 200 are 26.3 ms.
    #[test]
    fn bits_of_a_row_add_up() {
        let row = |rgb, rgbw| {
            let runs =
                vec![Run { pixels: rgb, bits_per_pixel: 24 }, Run { pixels: rgbw, bits_per_pixel: 32 }];
            port_timing(Input { runs, bit_rate_khz: 800.0, reset_us: 300.0, target_fps: 40.0 }).unwrap()
        };
        assert!((row(300, 380).max_fps - 40.816).abs() < 0.001 && row(300, 380).fits);
        assert!((row(600, 200).max_fps - 38.023).abs() < 0.001 && !row(600, 200).fits);
    }

    proptest! {
        #[test]
        fn more_pixels_are_never_faster(pixels in 0_u32..5000, more in 0_u32..5000) {
            prop_assert!(port(pixels + more, 800.0, 300.0, 40.0).max_fps <= port(pixels, 800.0, 300.0, 40.0).max_fps);
        }
    }
}
