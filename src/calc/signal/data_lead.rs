//! How long a lead may be between a port and its first pixel, or between two network sockets.

use crate::calc::refusal::Refusal;
use crate::calc::source::{Source, Standing};
use crate::units::si::Metres;

/// Twisted pair by standard; one-wire data has no standard, 10 m is what two data sheets claim.
pub const SOURCE: Source = Source {
    title: "IEEE 802.3 / TIA-568 (100 m channel); WS2811 and UCS1903 data sheets (10 m claimed, less in practice)",
    edition: "",
    clause: "",
    standing: Standing::MakersData,
};

/// What the lead carries.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Carries {
    /// One-wire pixel data without a repeater.
    PixelData,
    /// Ethernet over twisted pair, patch leads included.
    Network,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Input {
    pub carries: Carries,
    pub length: Metres,
    /// The owner's own limit, where told; never above the built-in one for the network.
    pub own_limit: Option<Metres>,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Output {
    pub limit: Metres,
    pub within_limit: bool,
}

/// Whether the lead is short enough.
///
/// # Errors
/// `lead_limit` where the owner's limit for a network lead is above 100 m, or any limit is above that.
pub fn data_lead(input: Input) -> Result<Output, Refusal> {
    let usual = match input.carries {
        Carries::PixelData => 10.0,
        Carries::Network => 100.0,
    };
    let limit = Refusal {
        code: "lead_limit",
        what: "lead limit",
        value: input.own_limit.map_or(usual, Metres::get),
        unit: "m",
        range: (0.1, 100.0),
        remedy: "use a remote box, a repeater or a shorter lead",
    };
    let metres = Metres::new(limit.unless_within()?).map_err(|_| limit)?;
    Ok(Output { limit: metres, within_limit: input.length <= metres })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// TIA-568: a channel of 90 m fixed and 10 m patch leads is 100 m.
    #[test]
    fn the_last_metre_that_is_allowed() {
        let of = |carries, metres, own: Option<f64>| {
            let (length, own_limit) = (Metres::new(metres).unwrap(), own.map(|m| Metres::new(m).unwrap()));
            data_lead(Input { carries, length, own_limit }).map(|out| out.within_limit).map_err(|r| r.code)
        };
        assert_eq!(of(Carries::Network, 100.0, None), Ok(true));
        assert_eq!(of(Carries::Network, 100.1, None), Ok(false));
        assert_eq!(of(Carries::PixelData, 10.1, None), Ok(false));
        assert_eq!(of(Carries::PixelData, 10.1, Some(15.0)), Ok(true));
        assert_eq!(of(Carries::PixelData, 10.1, Some(150.0)), Err("lead_limit"));
    }
}
