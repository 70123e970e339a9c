//! How much of the network the show fills.

use crate::calc::refusal::Refusal;
use crate::calc::source::{Source, Standing};

/// Octets around a UDP payload on Ethernet.
pub const SOURCE: Source = Source {
    title: "RFC 768 (UDP), RFC 791 (IPv4), IEEE 802.3 (frame, preamble, gap)",
    edition: "",
    clause: "8 + 20 + 14 + 4 + 8 + 12 octets",
    standing: Standing::Published,
};

/// Headers of UDP and IPv4.
const INSIDE: u64 = 8 + 20;
/// Ethernet header and check sequence, preamble, gap between frames.
const AROUND: u64 = 14 + 4 + 8 + 12;
/// A frame carries at least 46 octets, so short packets are filled up.
const LEAST_INSIDE: u64 = 46;
/// 100 Mbit/s.
const LINE_BITS: f64 = 1e8;

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Input {
    /// 0 to 64,000.
    pub universes: u32,
    /// 1 to 240 frames a second.
    pub fps: f64,
    /// Octets of one packet inside UDP, 1 to 1472: 638 for a full E1.31 universe.
    pub udp_payload: u32,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Output {
    /// Of one packet.
    pub octets_on_wire: u64,
    pub bits_per_s: f64,
    /// Of a 100 Mbit/s line; keep below half.
    pub share_of_100m: f64,
}

/// The load of all universes on one line.
///
/// # Errors
/// `universe_count`, `frame_rate` or `udp_payload` outside their ranges.
pub fn network_load(input: Input) -> Result<Output, Refusal> {
    let within = |code, what, value, unit, range, remedy| {
        Refusal { code, what, value, unit, range, remedy }.unless_within()
    };
    let universes = within(
        "universe_count",
        "universes",
        f64::from(input.universes),
        "",
        (0.0, 64_000.0),
        "count them again",
    )?;
    let fps = within("frame_rate", "frame rate", input.fps, "fps", (1.0, 240.0), "40 is usual")?;
    let payload = f64::from(input.udp_payload);
    within("udp_payload", "packet", payload, "octets", (1.0, 1472.0), "a full universe takes 638")?;
    let octets_on_wire = (u64::from(input.udp_payload) + INSIDE).max(LEAST_INSIDE) + AROUND;
    let bits_per_s = universes * fps * 8.0 * octets_on_wire as f64;
    Ok(Output { octets_on_wire, bits_per_s, share_of_100m: bits_per_s / LINE_BITS })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn load(universes: u32) -> Output {
        network_load(Input { universes, fps: 40.0, udp_payload: 638 }).unwrap()
    }

    /// By the header sizes of RFC 768, RFC 791 and IEEE 802.3: 704 octets a packet, 225,280 bit/s a universe at 40 fps.
    #[test]
    fn a_universe_takes_225_kilobits() {
        assert_eq!(load(1).octets_on_wire, 704);
        assert!((load(1).bits_per_s - 225_280.0).abs() < 1e-9);
        assert!(load(443).share_of_100m < 1.0 && load(444).share_of_100m > 1.0);
    }

    proptest! {
        #[test]
        fn more_universes_never_load_less(count in 0_u32..1000, more in 0_u32..1000) {
            prop_assert!(load(count + more).bits_per_s >= load(count).bits_per_s);
        }
    }
}
