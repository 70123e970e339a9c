//! KIND signal: multicast groups, packets, slot allocation, port timing, network load, addresses.

use ladderday::calc::signal::addressing::{self, Subnet, addressing};
use ladderday::calc::signal::allocation::{self, Mode, Place, Prop, allocation};
use ladderday::calc::signal::network_load::{self, network_load};
use ladderday::calc::signal::packet::{self, packet};
use ladderday::calc::signal::port_timing::{self, port_timing};
use ladderday::calc::signal::universe::multicast_group;
use serde::Deserialize;
use serde_json::Value;

use super::compare::{Differences, Tolerance, each_section, row};

/// The file rounds at the sixth decimal.
const NEAR: Tolerance = Tolerance::relative(1e-6);

pub fn check(text: &str) -> Vec<String> {
    each_section(
        text,
        &[
            ("multicast", |value| row("group", value, multicast_row)),
            ("packets", |value| row("packet", value, packet_row)),
            ("allocation", |value| row("slots", value, allocation_row)),
            ("port_timing", |value| row("port", value, port_row)),
            ("network_load", |value| row("load", value, load_row)),
            ("addressing", |value| row("addresses", value, addressing_row)),
        ],
    )
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct MulticastRow {
    universe: u32,
    valid: bool,
    group: Option<String>,
    ethernet: Option<String>,
}

fn multicast_row(wanted: &MulticastRow, differences: &mut Differences) {
    let got = multicast_group(wanted.universe).ok();
    differences.same("valid", got.is_some(), wanted.valid);
    if wanted.valid || wanted.group.is_some() || wanted.ethernet.is_some() {
        differences.same("group", got.map(|got| got.group.to_string()), wanted.group.clone());
        differences.same("ethernet", got.map(|got| got.show_ethernet()), wanted.ethernet.clone());
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PacketRow {
    universe: u32,
    priority: u8,
    sequence: u8,
    source_name: String,
    first_slots: Vec<u8>,
    octets: usize,
    header_hex: String,
}

fn packet_row(wanted: &PacketRow, differences: &mut Differences) {
    let mut slots = wanted.first_slots.clone();
    slots.resize(packet::SLOTS.max(slots.len()), 0);
    // The file's sender id is 00 01 .. 0F.
    let cid = std::array::from_fn(|at| at as u8);
    let &PacketRow { universe, priority, sequence, .. } = wanted;
    let source_name = wanted.source_name.clone();
    match packet(&packet::Input { cid, source_name, priority, sequence, universe, slots }) {
        Err(error) => differences.say(format_args!("not computed: {error}")),
        Ok(octets) => {
            differences.same("octets", octets.len(), wanted.octets);
            let hex: Vec<String> =
                octets.iter().take(packet::HEADER).map(|octet| format!("{octet:02x}")).collect();
            differences.same("header_hex", hex.concat(), wanted.header_hex.to_lowercase());
            let first = octets.get(packet::HEADER..packet::HEADER + wanted.first_slots.len());
            differences.same("first_slots", first, Some(wanted.first_slots.as_slice()));
        }
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct AllocationRow {
    start_universe: u64,
    start_slot: u32,
    mode: String,
    props: Vec<PropRow>,
    universes_used: u64,
    valid: bool,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PropRow {
    name: String,
    pixels: u32,
    channels: u32,
    first: PlaceRow,
    last: PlaceRow,
    channels_used: u64,
    universes: u64,
}

#[derive(Deserialize, Clone, Copy)]
#[serde(deny_unknown_fields)]
struct PlaceRow {
    universe: u64,
    slot: u32,
}

impl From<PlaceRow> for Place {
    fn from(row: PlaceRow) -> Self {
        Self { universe: row.universe, slot: row.slot }
    }
}

fn allocation_row(wanted: &AllocationRow, differences: &mut Differences) {
    let mode = match wanted.mode.as_str() {
        "packed" => Mode::Packed,
        "whole_pixel" => Mode::WholePixel,
        "own_universe" => Mode::OwnUniverse,
        other => return differences.say(format_args!("unknown mode {other}")),
    };
    let start = Place { universe: wanted.start_universe, slot: wanted.start_slot };
    let props =
        wanted.props.iter().map(|prop| Prop { pixels: prop.pixels, channels: prop.channels }).collect();
    let got = match allocation(&allocation::Input { start, mode, props }) {
        Ok(got) => got,
        Err(error) => return differences.say(format_args!("not computed: {error}")),
    };
    differences.same("valid", got.valid, wanted.valid);
    differences.same("universes_used", got.universes_used, wanted.universes_used);
    for (span, prop) in got.spans.iter().zip(&wanted.props) {
        differences.same(&format!("{} first", prop.name), span.first, prop.first.into());
        differences.same(&format!("{} last", prop.name), span.last, prop.last.into());
        differences.same(&format!("{} channels_used", prop.name), span.channels_used, prop.channels_used);
        differences.same(&format!("{} universes", prop.name), span.universes, prop.universes);
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PortRow {
    pixels: u32,
    bits_per_pixel: u32,
    bit_rate_khz: f64,
    reset_us: f64,
    target_fps: f64,
    us_per_pixel: f64,
    frame_us: f64,
    max_fps: f64,
    max_pixels_at_target: u32,
    fits: bool,
}

fn port_row(wanted: &PortRow, differences: &mut Differences) {
    let &PortRow { pixels, bits_per_pixel, bit_rate_khz, reset_us, target_fps, .. } = wanted;
    let runs = vec![port_timing::Run { pixels, bits_per_pixel }];
    match port_timing(port_timing::Input { runs, bit_rate_khz, reset_us, target_fps }) {
        Err(error) => differences.say(format_args!("not computed: {error}")),
        Ok(got) => {
            differences.number("us_per_pixel", got.us_per_pixel, wanted.us_per_pixel, NEAR);
            differences.number("frame_us", got.frame_us, wanted.frame_us, NEAR);
            differences.number("max_fps", got.max_fps, wanted.max_fps, NEAR);
            differences.same("max_pixels_at_target", got.max_pixels_at_target, wanted.max_pixels_at_target);
            differences.same("fits", got.fits, wanted.fits);
        }
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct LoadRow {
    universes: u32,
    fps: f64,
    udp_payload: u32,
    octets_on_wire: u64,
    bits_per_s: f64,
    share_of_100m: f64,
}

fn load_row(wanted: &LoadRow, differences: &mut Differences) {
    let &LoadRow { universes, fps, udp_payload, .. } = wanted;
    match network_load(network_load::Input { universes, fps, udp_payload }) {
        Err(error) => differences.say(format_args!("not computed: {error}")),
        Ok(got) => {
            differences.same("octets_on_wire", got.octets_on_wire, wanted.octets_on_wire);
            differences.number("bits_per_s", got.bits_per_s, wanted.bits_per_s, NEAR);
            differences.number("share_of_100m", got.share_of_100m, wanted.share_of_100m, NEAR);
        }
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct AddressingRow {
    show_network: String,
    home_network: Option<String>,
    usable_hosts: u64,
    netmask: String,
    first_host: String,
    last_host: String,
    overlaps_home: bool,
    private: bool,
    controllers: Vec<ControllerRow>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ControllerRow {
    name: String,
    address: Value,
    findings: Vec<String>,
}

fn addressing_row(wanted: &AddressingRow, differences: &mut Differences) {
    let networks = wanted
        .show_network
        .parse::<Subnet>()
        .and_then(|show| Ok((show, wanted.home_network.as_deref().map(str::parse::<Subnet>).transpose()?)));
    let (show, home) = match networks {
        Ok(networks) => networks,
        Err(error) => return differences.say(format_args!("not computed: {error}")),
    };
    differences.same("usable_hosts", show.usable_hosts(), wanted.usable_hosts);
    differences.same("netmask", show.netmask().to_string(), wanted.netmask.clone());
    differences.same("first_host", show.first_host().to_string(), wanted.first_host.clone());
    differences.same("last_host", show.last_host().to_string(), wanted.last_host.clone());
    differences.same("private", show.is_private(), wanted.private);
    let controllers = wanted
        .controllers
        .iter()
        .map(|row| addressing::Controller {
            name: row.name.clone(),
            address: row.address.as_str().unwrap_or_default().to_owned(),
        })
        .collect();
    let got = addressing(&addressing::Input { show, home, controllers });
    differences.same("overlaps_home", got.overlaps_home, wanted.overlaps_home);
    for (found, row) in got.findings.iter().zip(&wanted.controllers) {
        let codes: Vec<String> = found.iter().map(addressing::Finding::code).collect();
        differences.same(&row.name, &codes, &row.findings);
    }
}
