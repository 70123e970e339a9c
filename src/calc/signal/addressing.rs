//! IPv4 addresses of the show network.

use std::collections::BTreeMap;
use std::fmt;
use std::net::Ipv4Addr;
use std::str::FromStr;

use crate::calc::source::{Source, Standing};

/// Network and broadcast address, private, loopback and multicast ranges.
pub const SOURCE: Source = Source {
    title: "RFC 1918 (private ranges), RFC 1122 (loopback, broadcast), RFC 5771 (multicast), RFC 3021 (/31)",
    edition: "",
    clause: "",
    standing: Standing::Published,
};

/// A network as `192.168.50.0/24`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Subnet {
    base: u32,
    prefix: u32,
}

/// Text that is no network; code `not_a_network`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NotASubnet {
    pub text: String,
}

impl fmt::Display for NotASubnet {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} is not a network: write it as 192.168.50.0/24, the host part zero", self.text)
    }
}

impl std::error::Error for NotASubnet {}

impl NotASubnet {
    /// The stable code.
    pub const fn code(&self) -> &'static str {
        "not_a_network"
    }
}

impl FromStr for Subnet {
    type Err = NotASubnet;

    fn from_str(text: &str) -> Result<Self, NotASubnet> {
        let refuse = || NotASubnet { text: text.to_owned() };
        let (base, prefix) = text.split_once('/').ok_or_else(refuse)?;
        let base: u32 = base.parse::<Ipv4Addr>().map_err(|_| refuse())?.into();
        let prefix: u32 = prefix.parse().map_err(|_| refuse())?;
        let subnet = Self { base, prefix };
        if prefix > 32 || base & subnet.mask() != base { Err(refuse()) } else { Ok(subnet) }
    }
}

impl Subnet {
    const fn mask(self) -> u32 {
        if self.prefix == 0 { 0 } else { u32::MAX << (32 - self.prefix) }
    }

    const fn top(self) -> u32 {
        self.base | !self.mask()
    }

    const fn contains(self, address: u32) -> bool {
        address & self.mask() == self.base
    }

    /// Networks of one or two addresses have neither network nor broadcast address (RFC 3021).
    const fn small(self) -> bool {
        self.prefix >= 31
    }

    const fn overlaps(self, other: Self) -> bool {
        self.contains(other.base) || other.contains(self.base)
    }

    /// Wholly inside one of the private ranges of RFC 1918.
    pub fn is_private(self) -> bool {
        let ranges = [
            (Ipv4Addr::new(10, 0, 0, 0), 8),
            (Ipv4Addr::new(172, 16, 0, 0), 12),
            (Ipv4Addr::new(192, 168, 0, 0), 16),
        ];
        ranges.iter().any(|&(base, prefix)| {
            let range = Self { base: base.into(), prefix };
            range.contains(self.base) && self.prefix >= prefix
        })
    }

    pub fn netmask(self) -> Ipv4Addr {
        self.mask().into()
    }

    pub fn usable_hosts(self) -> u64 {
        let all = u64::from(self.top()) - u64::from(self.base) + 1;
        if self.small() { all } else { all - 2 }
    }

    pub fn first_host(self) -> Ipv4Addr {
        (if self.small() { self.base } else { self.base + 1 }).into()
    }

    pub fn last_host(self) -> Ipv4Addr {
        (if self.small() { self.top() } else { self.top() - 1 }).into()
    }
}

/// One controller and what was typed as its address.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Controller {
    pub name: String,
    pub address: String,
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Input {
    pub show: Subnet,
    pub home: Option<Subnet>,
    pub controllers: Vec<Controller>,
}

/// What is wrong with an address.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Finding {
    NotAnAddress,
    /// Of the first controller with the same address, by name.
    DuplicateOf(String),
    Multicast,
    Loopback,
    OutsideShowNetwork,
    InsideHomeNetwork,
    NetworkAddress,
    BroadcastAddress,
}

impl Finding {
    /// The stable code; a duplicate names the other controller after a colon.
    pub fn code(&self) -> String {
        match self {
            Self::NotAnAddress => "not_an_address".to_owned(),
            Self::DuplicateOf(name) => format!("duplicate_of:{name}"),
            Self::Multicast => "multicast_address".to_owned(),
            Self::Loopback => "loopback_address".to_owned(),
            Self::OutsideShowNetwork => "outside_show_network".to_owned(),
            Self::InsideHomeNetwork => "inside_home_network".to_owned(),
            Self::NetworkAddress => "network_address".to_owned(),
            Self::BroadcastAddress => "broadcast_address".to_owned(),
        }
    }
}

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Output {
    pub overlaps_home: bool,
    /// For each controller, in the order given.
    pub findings: Vec<Vec<Finding>>,
}

/// Findings for every address, and whether show and home network share addresses.
pub fn addressing(input: &Input) -> Output {
    let mut seen: BTreeMap<u32, &str> = BTreeMap::new();
    let findings = input
        .controllers
        .iter()
        .map(|controller| {
            let Ok(address) = controller.address.parse::<Ipv4Addr>() else {
                return vec![Finding::NotAnAddress];
            };
            let number = u32::from(address);
            let mut found = Vec::new();
            match seen.get(&number) {
                Some(name) => found.push(Finding::DuplicateOf((*name).to_owned())),
                None => {
                    seen.insert(number, &controller.name);
                }
            }
            found.extend(misplaced(address, input.show, input.home));
            found
        })
        .collect();
    Output { overlaps_home: input.home.is_some_and(|home| home.overlaps(input.show)), findings }
}

fn misplaced(address: Ipv4Addr, show: Subnet, home: Option<Subnet>) -> Vec<Finding> {
    let number = u32::from(address);
    if address.is_multicast() {
        vec![Finding::Multicast]
    } else if address.is_loopback() {
        vec![Finding::Loopback]
    } else if !show.contains(number) {
        let at_home = home.is_some_and(|home| home.contains(number));
        std::iter::once(Finding::OutsideShowNetwork)
            .chain(at_home.then_some(Finding::InsideHomeNetwork))
            .collect()
    } else if !show.small() && number == show.base {
        vec![Finding::NetworkAddress]
    } else if !show.small() && number == show.top() {
        vec![Finding::BroadcastAddress]
    } else {
        Vec::new()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn findings(show: &str, home: Option<&str>, addresses: &[&str]) -> Vec<Vec<String>> {
        let controllers = addresses
            .iter()
            .enumerate()
            .map(|(at, address)| Controller { name: format!("c{at}"), address: (*address).to_owned() })
            .collect();
        let home = home.map(|home| home.parse().unwrap());
        let out = addressing(&Input { show: show.parse().unwrap(), home, controllers });
        out.findings.into_iter().map(|found| found.iter().map(Finding::code).collect()).collect()
    }

    /// RFC 1918 section 3, by the ends of its three ranges.
    #[test]
    fn private_ranges_end_where_the_rfc_says() {
        let private = |text: &str| text.parse::<Subnet>().unwrap().is_private();
        assert!(private("10.255.255.0/24") && private("172.31.0.0/16") && private("192.168.0.0/16"));
        assert!(!private("172.32.0.0/16") && !private("11.0.0.0/8") && !private("192.0.0.0/8"));
    }

    #[test]
    fn a_duplicate_is_named_and_still_judged() {
        let got = findings(
            "10.0.0.0/24",
            Some("10.1.0.0/24"),
            &["10.1.0.9", "10.1.0.9", "10.0.0.255", "10.0.0.256"],
        );
        assert_eq!(got[1], ["duplicate_of:c0", "outside_show_network", "inside_home_network"]);
        assert_eq!(got[2], ["broadcast_address"]);
        assert_eq!(got[3], ["not_an_address"]);
    }

    #[test]
    fn a_host_part_in_a_network_is_refused() {
        assert_eq!("192.168.1.5/24".parse::<Subnet>().map_err(|error| error.code()), Err("not_a_network"));
        assert!("192.168.1.0/33".parse::<Subnet>().is_err());
        assert_eq!("0.0.0.0/0".parse::<Subnet>().map(Subnet::usable_hosts), Ok((1 << 32) - 2));
    }

    proptest! {
        #[test]
        fn every_host_between_first_and_last_is_fine(prefix in 8_u32..=32, share in 0.0..1.0_f64) {
            let show = Subnet { base: Ipv4Addr::new(10, 0, 0, 0).into(), prefix };
            let first = u32::from(show.first_host());
            let host = first + (share * (show.usable_hosts() - 1) as f64) as u32;
            prop_assert!(misplaced(host.into(), show, None).is_empty());
        }
    }
}
