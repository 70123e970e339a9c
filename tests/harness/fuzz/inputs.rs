//! Spoiled text for each parser.

use std::hint::black_box;
use std::str::FromStr;

use fastrand::Rng;
use ladderday::app::{Change, DEMO};
use ladderday::calc::signal::addressing::Subnet;
use ladderday::domain::{TABLES, Yard, time_zone};
use ladderday::exchange::csv::{CsvFile, Target, read_folder};
use ladderday::exchange::settings::{SAMPLE, read_settings};
use ladderday::exchange::sheet::{ToldColumns, is_list, read_list};
use ladderday::exchange::tell::{Telling, Which, tell};
use ladderday::steps::StepKey;
use ladderday::store::decode;
use ladderday::tui::keymap::Key;
use ladderday::tui::widgets::text::{clean, cut, part, wrap};
use ladderday::units::{
    Angle, Current, Force, Gauge, Length, Mass, Money, Power, Span, Speed, System, Temperature, Voltage,
    Volume, parse_number,
};
use uuid::Uuid;

use crate::spoil::spoil;
use crate::{calm, random_for, spread};

const KINDS: [&str; 6] = ["quantities", "cells", "words", "settings", "CSV tables", "short forms"];

/// Quantities as people type them, one or more for each parser.
const QUANTITIES: &[&str] = &[
    "7'6\"",
    "7' 6 1/2\"",
    "2.3 m",
    "12 ft",
    "19'8\"",
    "300 mm",
    "1h20",
    "45 min",
    "2 d",
    "90 s",
    "1 h 20 min",
    "$12.50",
    "12,50",
    "1,299.00",
    "-5 C",
    "50 F",
    "21 °C",
    "14 AWG",
    "2.5 mm2",
    "18 awg",
    "2.5 kg",
    "900 g",
    "5 lb",
    "12 oz",
    "64 L",
    "10 fl oz",
    "12 V",
    "55 mA",
    "3.5 A",
    "200 W",
    "15 mph",
    "7 m/s",
    "40 lbf",
    "180 N",
    "40 %",
    "45 deg",
    "1/2",
    "1 1/2 in",
];

const WORDS: &[&str] = &[
    "placement:P-1/stake.drive/up",
    "box:MT-1:LAWN:GABLE/connect/up",
    "watch:wind/x/2026-12-04",
    "192.168.50.0/24",
    "America/New_York",
    "helper 2026-11-07 09:00 to 12:00",
    "session 2026-11-07 09:00 12:00",
    "hold P-014",
    "ctrl-x",
    "F10",
    "space",
    "shift-tab",
    "SGVsbG8gd29ybGQ=",
    "Lawn, left of the path",
    "yes",
    "rain 4 mm",
];

const HANDFUL: &str = "lights on,2026-11-27\nname,how many,where,how mounted,worth,length,permanent,carried by\n\
    Mini trees,8,Lawn left,on stakes,4,,no,\nRoofline,1,Eaves,trim channel,5,12 m,yes,\nStar,1,Gable,hooks,3,,,Roofline\n";

/// Runs them all; true where none panicked.
pub fn all(inputs: u64, seed: u64) -> bool {
    let sums: [u64; KINDS.len() + 1] = spread(inputs, |i| {
        let mut counted = [0; KINDS.len() + 1];
        counted[kind(&mut random_for(seed, i))] = 1;
        let fed = || {
            one(seed, i, false);
        };
        if !calm(fed) {
            eprintln!("# input {i} panics: fuzz -- --seed {seed} --only {i}");
            counted[KINDS.len()] = 1;
        }
        counted
    });
    let each: Vec<String> = KINDS.iter().zip(sums).map(|(k, n)| format!("{n} {k}")).collect();
    println!("{inputs} inputs: {}", each.join(", "));
    sums[KINDS.len()] == 0
}

/// Of a thousand inputs: 500 quantities, 250 cells, 150 words, 40 settings, 40 tables, 20 short forms.
fn kind(random: &mut Rng) -> usize {
    match random.u32(0..1000) {
        0..500 => 0,
        500..750 => 1,
        750..900 => 2,
        900..940 => 3,
        940..980 => 4,
        _ => 5,
    }
}

/// Makes and feeds one input; `show` prints it first.
pub fn one(seed: u64, i: u64, show: bool) -> bool {
    let mut random = random_for(seed, i);
    let kind = kind(&mut random);
    let pick = |list: &[&'static str], random: &mut Rng| list[random.usize(..list.len())];
    let sample: String = match kind {
        0 | 1 => pick(QUANTITIES, &mut random).to_owned(),
        2 => pick(WORDS, &mut random).to_owned(),
        3 => settings(&mut random),
        4 => String::new(),
        _ => HANDFUL.to_owned(),
    };
    let (table, file) = table(&mut random);
    let sample = if kind == 4 { table } else { sample };
    let lender = pick(if random.bool() { QUANTITIES } else { WORDS }, &mut random);
    let bytes = spoil(sample.as_bytes(), lender.as_bytes(), &mut random);
    let text = String::from_utf8_lossy(&bytes);
    if show {
        println!("{} {file}: {text:?}", KINDS[kind]);
    }
    match kind {
        0 => quantities(&text),
        1 => {
            let table = &TABLES[random.usize(..TABLES.len())];
            let columns: Vec<_> = table.columns.iter().collect();
            let column = columns[random.usize(..columns.len())];
            let existing = Yard::default();
            let on = Telling {
                yard_id: Uuid::from_u128(7),
                existing: &existing,
                season: None,
                mark: "",
                now_ms: 0,
            };
            let cells = [(column.name.to_owned(), text.clone().into_owned())];
            let _ = black_box(tell(table.name, Which::Called(Some("A")), &cells, &on));
        }
        2 => words(&text),
        3 => drop(black_box(read_settings(&text))),
        _ => {
            let existing = Yard::default();
            let target = Target { yard_id: Uuid::from_u128(7), existing: &existing };
            let csv = CsvFile { name: file, bytes: &bytes };
            if kind == 5 || is_list(&csv) {
                drop(black_box(read_list(&csv, &target, None, &ToldColumns::default())));
            }
            drop(black_box(read_folder(&[csv], &target)));
        }
    }
    true
}

fn quantities(text: &str) {
    for system in [System::Us, System::Si] {
        macro_rules! both {
            ($($kind:ident),+) => { $(
                if let Ok(q) = $kind::parse(text, system) {
                    // What is read is shown, and what is shown is read.
                    let shown = q.show(system);
                    assert!($kind::parse(&shown, system).is_ok(), "{} shows {text:?} as {shown:?}", stringify!($kind));
                }
            )+ };
        }
        both!(Current, Force, Length, Mass, Power, Speed, Temperature, Voltage, Volume);
    }
    macro_rules! plain {
        ($($kind:ident),+) => { $(
            if let Ok(q) = $kind::parse(text) {
                let shown = q.show();
                assert!($kind::parse(&shown).is_ok(), "{} shows {text:?} as {shown:?}", stringify!($kind));
            }
        )+ };
    }
    plain!(Angle, Gauge, Span);
    if let Ok(money) = Money::parse(text) {
        black_box(money.show("USD"));
    }
    assert!(parse_number(text).is_none_or(f64::is_finite), "{text:?} is read as no number");
}

fn words(text: &str) {
    black_box(StepKey::from_text(text));
    let _ = black_box(Change::parse(text));
    let _ = black_box(Subnet::from_str(text));
    let _ = black_box((Key::parse(text), time_zone(text), decode(text), System::from_text(text)));
    let tidy = clean(text);
    for most in [0, 1, 2, 7, 40] {
        black_box((cut(&tidy, most), part(&tidy, most), wrap(&tidy, most)));
    }
}

/// The sample of the settings with some of its lines set.
fn settings(random: &mut Rng) -> String {
    let lines = SAMPLE.lines().map(|l| match l.strip_prefix('#') {
        Some(rest) if random.bool() => rest,
        _ => l,
    });
    lines.collect::<Vec<_>>().join("\n")
}

/// The head and up to four lines of a table of the demo yard, with its file's name.
fn table(random: &mut Rng) -> (String, &'static str) {
    let (name, text) = DEMO[random.usize(..DEMO.len())];
    let mut lines = text.lines();
    let mut out = vec![lines.next().unwrap_or_default()];
    let rest: Vec<&str> = lines.collect();
    for _ in 0..random.usize(0..=4) {
        if !rest.is_empty() {
            out.push(rest[random.usize(..rest.len())]);
        }
    }
    (out.join("\n"), name)
}
