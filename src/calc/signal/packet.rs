//! The octets of a data packet.

use super::universe;
use crate::calc::refusal::Refusal;
use crate::calc::source::{Source, Standing};

/// Layout of an E1.31 data packet.
pub const SOURCE: Source = Source {
    title: "ANSI E1.31, streaming ACN",
    edition: "E1.31-2018",
    clause: "tables 4-1 to 4-3, sections 5 to 7",
    standing: Standing::Published,
};

/// Octets before the first slot, the start code included.
pub const HEADER: usize = 126;
/// Slots of a full universe.
pub const SLOTS: usize = 512;

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Input {
    /// Sender's id.
    pub cid: [u8; 16],
    /// At most 63 octets.
    pub source_name: String,
    /// 0 to 200; 100 is usual.
    pub priority: u8,
    pub sequence: u8,
    /// 1 to 63999.
    pub universe: u32,
    /// 1 to 512 of them.
    pub slots: Vec<u8>,
}

/// The packet as it goes into UDP.
///
/// # Errors
/// `universe_number`, `packet_priority` above 200, `source_name` of more than 63 octets, `slot_count` outside 1 to 512.
pub fn packet(input: &Input) -> Result<Vec<u8>, Refusal> {
    let universe = universe::checked(input.universe)?;
    let refusal = Refusal {
        code: "packet_priority",
        what: "priority",
        value: f64::from(input.priority),
        unit: "",
        range: (0.0, 200.0),
        remedy: "100 is usual",
    };
    refusal.unless_within()?;
    Refusal {
        code: "source_name",
        what: "octets of the source name",
        value: input.source_name.len() as f64,
        range: (0.0, 63.0),
        remedy: "shorten the name: its last octet of 64 stays zero",
        ..refusal
    }
    .unless_within()?;
    let slots = Refusal {
        code: "slot_count",
        what: "slots",
        value: input.slots.len() as f64,
        range: (1.0, SLOTS as f64),
        remedy: "spread them over more universes",
        ..refusal
    }
    .unless_within()? as u16;

    let total = HEADER as u16 + slots;
    let mut out = Vec::with_capacity(usize::from(total));
    // Length of each layer counts from its own length field; the top four bits are always 7.
    let layer = |begin: u16| (0x7000 | (total - begin)).to_be_bytes();
    out.extend([0x00, 0x10, 0x00, 0x00]);
    out.extend(b"ASC-E1.17\0\0\0");
    out.extend(layer(16));
    out.extend(4_u32.to_be_bytes());
    out.extend(input.cid);
    out.extend(layer(38));
    out.extend(2_u32.to_be_bytes());
    out.extend(input.source_name.as_bytes());
    out.resize(108, 0);
    out.push(input.priority);
    out.extend([0, 0]);
    out.push(input.sequence);
    out.push(0);
    out.extend(universe.to_be_bytes());
    out.extend(layer(115));
    out.extend([0x02, 0xA1, 0x00, 0x00, 0x00, 0x01]);
    out.extend((slots + 1).to_be_bytes());
    out.push(0);
    out.extend(&input.slots);
    Ok(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn input(slots: usize) -> Input {
        Input {
            cid: [7; 16],
            source_name: "porch".to_owned(),
            priority: 100,
            sequence: 255,
            universe: 513,
            slots: vec![9; slots],
        }
    }

    /// E1.31 tables 4-1 to 4-3: a full packet has 638 octets, flags and lengths 0x726E, 0x7258, 0x720B, count 513.
    #[test]
    fn a_full_packet_has_the_fields_of_the_standard() {
        let got = packet(&input(SLOTS)).unwrap();
        assert_eq!(got.len(), 638);
        for (at, field) in [
            (16, &[0x72, 0x6E][..]),
            (38, &[0x72, 0x58]),
            (44, b"porch\0"),
            (108, &[100, 0, 0, 255, 0, 2, 1]),
            (115, &[0x72, 0x0B, 0x02, 0xA1, 0, 0, 0, 1, 0x02, 0x01, 0, 9]),
        ] {
            assert_eq!(&got[at..at + field.len()], field, "at {at}");
        }
    }

    #[test]
    fn what_does_not_fit_is_refused() {
        assert_eq!(packet(&input(513)).map_err(|refusal| refusal.code), Err("slot_count"));
        let long = Input { source_name: "x".repeat(64), ..input(1) };
        assert_eq!(packet(&long).map_err(|refusal| refusal.code), Err("source_name"));
    }
}
