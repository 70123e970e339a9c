//! Ports, numbers and addresses.

use std::collections::BTreeSet;

use crate::answers::Outlook;
use crate::answers::power::ends::{open_ends, told_by_piece};
use crate::answers::power::leads;
use crate::answers::power::numbers;
use crate::answers::power::ports;
use crate::answers::power::rings;
use crate::answers::power::segments::{Segment, segments};
use crate::answers::power::switches;
use crate::answers::view::{Amount, Finding, Level, NumberRow};
use crate::answers::words::{n_of, some};
use crate::calc::signal::addressing::{Controller, Subnet, addressing};
use crate::calc::signal::data_lead::{Carries, data_lead};
use crate::calc::signal::{addressing, data_lead};
use crate::domain::{Condition, Link, LinkKind, Numbering, Piece, PieceId, Role, Season};
use crate::steps::Facts;
use crate::units::si::Metres;
use crate::units::{Length, System};

/// Frames a second wanted where none are told (common practice, no published source).
const FRAMES: f64 = 40.0;

/// What the signal side came to.
pub(crate) struct Signal {
    pub(crate) findings: Vec<Finding>,
    pub(crate) not_told: Vec<String>,
    pub(crate) numbers: Vec<NumberRow>,
}

pub(crate) fn look(outlook: &Outlook, facts: &Facts, season: &Season, way: Option<Numbering>) -> Signal {
    let mut found = Vec::new();
    let mut not_told = Vec::new();
    let links = facts.links_in(season.id);
    let all = segments(facts, &links);
    let told = outlook.yard.sites.first().and_then(|s| s.frame_rate_hz);
    let frames = told.map_or(FRAMES, |f| f as f64);
    if told.is_none() && !all.is_empty() {
        not_told.push(format!("frame rate not told: {FRAMES} a second assumed"));
    }
    not_told.extend(open_ends(&links, &[LinkKind::Data, LinkKind::Network]));
    not_told.extend(told_by_piece(facts, &links, LinkKind::Data));
    untold_of(facts, &links, &all, &mut not_told);
    found.extend(ports::plugged(facts, season, LinkKind::Data, &mut not_told));
    found.extend(ports::look(facts, &all, frames, &mut not_told));
    found.extend(rings::data(facts, season));
    found.extend(switches::look(facts, &links, &mut not_told));
    found.extend(lengths(outlook.units(), facts, &links, &mut not_told));
    found.extend(addresses(outlook, facts, &mut not_told));
    let laid = numbers::lay(&all, way);
    found.extend(numbers::look(&all, &laid, way, frames, (&mut not_told, facts.yard.terms())));
    Signal { findings: found, not_told, numbers: numbers::rows(&laid) }
}

/// What keeps a port from being checked: pixels, channels, the port itself, what its board drives, an address.
fn untold_of(facts: &Facts, links: &[&Link], all: &[Segment], not_told: &mut Vec<String>) {
    let data = links.iter().filter(|l| l.kind == LinkKind::Data);
    let props = data.filter_map(|l| facts.placement(l.to_placement_id?));
    let dark: BTreeSet<String> = props
        .filter(|p| facts.product_of(p).is_none_or(|x| x.pixels.is_none()))
        .map(|p| p.code.clone())
        .collect();
    let boards = all.iter().filter_map(|s| facts.piece(s.port.as_ref()?.0));
    let boards: Vec<&Piece> = boards.collect();
    let product = |p: &Piece| facts.product(p.product_id);
    let limitless = boards.iter().filter(|p| product(p).is_none_or(|x| x.port_pixels.is_none()));
    let limitless: BTreeSet<String> = limitless.map(|p| p.code.clone()).collect();
    let networked = links.iter().filter(|l| l.kind == LinkKind::Network);
    let ends =
        networked.flat_map(|l| [l.from_piece_id, l.to_piece_id]).flatten().filter_map(|p| facts.piece(p));
    let ends: Vec<&Piece> = ends.collect();
    let of = |roles: &'static [Role]| {
        let mine = move |p: &&Piece| product(p).is_some_and(|x| roles.contains(&x.role));
        ends.iter().copied().filter(mine)
    };
    let boxes = of(&[Role::Box, Role::Controller, Role::Player]);
    let switches = of(&[Role::Network]).filter(|p| p.address.is_none()).map(|p| p.code.clone()).collect();
    let with_data = boards.iter().copied().chain(boxes);
    let nameless = with_data.filter(|p| p.address.is_none()).map(|p| p.code.clone()).collect();
    let colourless = all.iter().filter(|s| s.product.channels_per_pixel.is_none());
    let colourless = colourless.map(|s| s.prop.code.clone()).collect();
    // Told the same numbers, two of its leads show the same.
    let open = all.iter().filter(|s| s.set.is_none()).filter_map(|s| s.branch);
    let split = open.filter_map(|(piece, _)| facts.piece(piece)).map(|p| p.code.clone()).collect();
    let portless = all.iter().filter(|s| s.port.is_none());
    let portless = portless.map(|s| s.code.to_owned()).collect();
    let mut say = |codes: BTreeSet<String>, what: &str, then: &str| {
        if !codes.is_empty() {
            not_told.push(format!("{what} ({}): {then}", some(codes)));
        }
    };
    say(
        dark,
        "pixels not told for props on a data lead",
        "not counted on their ports, nor their numbers and the load of the network",
    );
    say(colourless, "channels a pixel not told for props", "by their chip, else 3 assumed");
    let entries = |l: &&&Link| l.kind == LinkKind::Data && l.to_placement_id.is_some();
    let several = |l: &&&Link| {
        links.iter().filter(entries).filter(|o| o.to_placement_id == l.to_placement_id).count() > 1
    };
    let anywhere = links.iter().filter(entries).filter(several).filter(|l| l.at_pixel.is_none());
    say(
        anywhere.map(|l| l.code.clone()).collect(),
        "the pixel they enter at not told for data leads",
        "1 taken",
    );
    say(
        split,
        "whether all behind it show the same not told for data splitters",
        "counted as each with numbers of its own",
    );
    say(portless, "port not told for data leads", "frame rate not checked");
    say(limitless, "pixels that an output drives not told for boxes", "only the frame rate is checked");
    say(nameless, "address not told for boxes and players with data or network leads", "not checked");
    say(switches, "address not told for network things", "not compared; a plain switch has none");
}

/// The leads that a lead goes on from through couplers and splitters, which send nothing on afresh.
fn through<'a>(facts: &Facts, links: &[&'a Link], link: &Link) -> Vec<&'a Link> {
    const SENDS: [&str; 5] = ["repeater", "booster", "amplifier", "switch", "extender"];
    let passive = |piece: PieceId| {
        facts.piece(piece).and_then(|p| facts.product(p.product_id)).is_some_and(|p| {
            let words = format!("{} {}", p.kind, p.name).to_lowercase();
            matches!(p.role, Role::Adaptor | Role::Lead) && !SENDS.iter().any(|w| words.contains(w))
        })
    };
    let mut row: Vec<&Link> = Vec::new();
    let mut at = link.from_piece_id;
    while let Some(piece) = at.filter(|p| passive(*p)) {
        let into = |l: &&&Link| l.kind == link.kind && l.to_piece_id == Some(piece);
        let Some(before) = links.iter().find(into).filter(|l| row.iter().all(|r| r.id != l.id)) else {
            break;
        };
        row.push(before);
        at = before.from_piece_id;
    }
    row
}

/// Data and network leads against their longest length, with what they go on from.
fn lengths(units: System, facts: &Facts, links: &[&Link], not_told: &mut Vec<String>) -> Vec<Finding> {
    let mut found = Vec::new();
    let mut unknown = 0;
    for link in links {
        let carries = match link.kind {
            // A lead from prop to prop begins at a pixel, which sends the data on as far as a port does.
            LinkKind::Data => Carries::PixelData,
            LinkKind::Network => Carries::Network,
            _ => continue,
        };
        let before = through(facts, links, link);
        let own = leads::length(facts, link).map(Length::metres);
        unknown += usize::from(own.is_none());
        let lengths = before.iter().map(|l| leads::length(facts, l).map(Length::metres));
        let together = lengths.chain(std::iter::once(own)).sum::<Option<f64>>();
        let Some(length) = together.and_then(|m| Metres::new(m).ok()) else { continue };
        let Ok(answer) = data_lead(data_lead::Input { carries, length, own_limit: None }) else { continue };
        if !answer.within_limit {
            let to = link.to_placement_id.and_then(|p| facts.placement(p)).map_or("", |p| p.name.as_str());
            found.push(Finding::new(
                Level::Stop,
                "data_lead_long",
                format!("{} {to}", link.code),
                if before.is_empty() {
                    "longer than data travels without a repeater".to_owned()
                } else {
                    let names = some(before.iter().map(|l| l.code.clone()));
                    format!("with {names} longer than data travels without a repeater")
                },
                Length::from_metres(length.get()).map_or_else(Amount::default, |l| Amount::length(l, units)),
                Length::from_metres(answer.limit.get())
                    .map_or_else(Amount::default, |l| Amount::length(l, units)),
                "a remote box, a repeater, or a shorter lead",
            ));
        }
    }
    if unknown > 0 {
        let leads = n_of(unknown, "data or network lead");
        not_told.push(format!("length not told for {leads}: reach not checked"));
    }
    found
}

fn addresses(outlook: &Outlook, facts: &Facts, not_told: &mut Vec<String>) -> Vec<Finding> {
    let site = outlook.yard.sites.first();
    let net = |text: Option<&String>| text.and_then(|t| t.parse::<Subnet>().ok());
    // What is scrapped or lost has left its address to another.
    let gone = |p: &&Piece| matches!(p.condition, Condition::Scrapped | Condition::Lost);
    let controllers: Vec<Controller> = facts
        .yard
        .pieces
        .iter()
        .filter(|p| !gone(p))
        .filter_map(|p| p.address.as_ref().map(|a| Controller { name: p.code.clone(), address: a.clone() }))
        .collect();
    let Some(show) = net(site.and_then(|s| s.show_network.as_ref())) else {
        if !controllers.is_empty() {
            not_told
                .push(format!("show network not told: {} not checked", n_of(controllers.len(), "address")));
        }
        return Vec::new();
    };
    let home = net(site.and_then(|s| s.home_network.as_ref()));
    if home.is_none() && !controllers.is_empty() {
        not_told.push("home network not told: whether the show's overlaps it not checked".to_owned());
    }
    let names: Vec<(String, String)> =
        controllers.iter().map(|c| (c.name.clone(), c.address.clone())).collect();
    let answer = addressing(&addressing::Input { show, home, controllers });
    let mut found: Vec<Finding> = answer
        .findings
        .iter()
        .zip(names)
        .flat_map(|(list, (name, address))| {
            list.iter()
                .map(|f| {
                    let code = f.code();
                    // The other one of two is no part of the code.
                    let (code, other) = code.split_once(':').unwrap_or((&code, ""));
                    let what = match other {
                        "" => "this address can't be used here".to_owned(),
                        other => format!("this address can't be used here: {other} has it"),
                    };
                    Finding::new(
                        Level::Stop,
                        code,
                        name.clone(),
                        what,
                        address.clone(),
                        "one of its own in the show network".to_owned(),
                        "give it a free address of the show network, and write it on its lid",
                    )
                })
                .collect::<Vec<_>>()
        })
        .collect();
    if answer.overlaps_home {
        found.push(Finding::new(
            Level::Stop,
            "networks_overlap",
            "the site".to_owned(),
            "show and home network share addresses".to_owned(),
            site.and_then(|s| s.show_network.clone()).unwrap_or_default(),
            "apart".to_owned(),
            "give the show a network of its own",
        ));
    }
    found
}
