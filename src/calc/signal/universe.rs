//! Universe numbers and their multicast groups.

use std::net::Ipv4Addr;

use crate::calc::refusal::Refusal;
use crate::calc::source::{Source, Standing};

/// Numbering and group of E1.31; the group's hardware address is by the rule of RFC 1112.
pub const SOURCE: Source = Source {
    title: "ANSI E1.31, streaming ACN; RFC 1112",
    edition: "E1.31-2018",
    clause: "E1.31 9.3.1 and table 9-10; RFC 1112 6.4",
    standing: Standing::Published,
};

/// The last universe that carries data; 64214 is for discovery only.
pub const LAST_UNIVERSE: u32 = 63_999;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Output {
    pub group: Ipv4Addr,
    pub ethernet: [u8; 6],
}

impl Output {
    /// The hardware address as `01-00-5E-7F-00-01`.
    pub fn show_ethernet(&self) -> String {
        self.ethernet.map(|octet| format!("{octet:02X}")).join("-")
    }
}

/// The multicast group of a universe.
///
/// # Errors
/// `universe_number` outside 1 to 63999.
pub fn multicast_group(universe: u32) -> Result<Output, Refusal> {
    let number = checked(universe)?;
    let [high, low] = number.to_be_bytes();
    // The low 23 bits of the group go into the hardware address: the top bit of 255 is lost.
    Ok(Output { group: Ipv4Addr::new(239, 255, high, low), ethernet: [0x01, 0x00, 0x5E, 0x7F, high, low] })
}

/// A universe number that carries data.
pub(super) fn checked(universe: u32) -> Result<u16, Refusal> {
    let refusal = Refusal {
        code: "universe_number",
        what: "universe",
        value: f64::from(universe),
        unit: "",
        range: (1.0, f64::from(LAST_UNIVERSE)),
        remedy: "take a number from 1 to 63999",
    };
    refusal.unless_within()?;
    u16::try_from(universe).map_err(|_| refusal)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// E1.31 9.3.1: the universe's high and low octet end the group 239.255.x.x; examples 1, 256, 63999.
    #[test]
    fn groups_by_the_standard() {
        for (universe, group, ethernet) in [
            (1, "239.255.0.1", "01-00-5E-7F-00-01"),
            (256, "239.255.1.0", "01-00-5E-7F-01-00"),
            (63_999, "239.255.249.255", "01-00-5E-7F-F9-FF"),
        ] {
            let got = multicast_group(universe).unwrap();
            assert_eq!((got.group.to_string().as_str(), got.show_ethernet().as_str()), (group, ethernet));
        }
    }

    #[test]
    fn numbers_without_data_are_refused() {
        for universe in [0, 64_000, 64_214, 65_535, 65_537] {
            assert_eq!(multicast_group(universe).map_err(|r| r.code), Err("universe_number"), "{universe}");
        }
    }

    proptest! {
        #[test]
        fn no_two_universes_share_a_group(a in 1_u32..=LAST_UNIVERSE, b in 1_u32..=LAST_UNIVERSE) {
            prop_assert_eq!(a == b, multicast_group(a).unwrap() == multicast_group(b).unwrap());
        }
    }
}
