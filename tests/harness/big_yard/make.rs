//! The tables of a yard by its size, the same at every call. Everything in it is invented.
//!
//! Size 1 has about what the demo has (200 placements, 2,000 step records, 500 faults, 5,000 pixels), the big yard is
//! of size 10.

use std::fmt::Write;

/// Seasons, the last one being built: 2017 to 2026.
const SEASONS: std::ops::RangeInclusive<i32> = 2017..=2026;

/// The big yard.
pub(super) const BIG: usize = 10;

/// What there is of each sort.
#[derive(Clone, Copy)]
struct Size {
    /// Of one season.
    placements: usize,
    /// Pieces with 100 pixels each.
    strings: usize,
    /// Step records of a finished season.
    ticks: usize,
    /// Of a season, of a finished one a tenth more.
    faults: usize,
    /// Each with its own supply, place and outputs for its share of the placements.
    boxes: usize,
    places: usize,
    people: usize,
}

impl Size {
    fn of(size: usize) -> Self {
        Self {
            placements: 20 * size,
            strings: 50 * size,
            ticks: 210 * size,
            faults: 50 * size,
            boxes: (8 * size).div_ceil(5),
            places: 4 * size,
            people: (size / 5).max(2),
        }
    }
}

const RECIPE_STEPS: &str = include_str!("../../../sample-data/recipe_step.csv");

/// Methods of the props in turn, with access and stakes of their places.
const METHODS: [(&str, &str); 4] =
    [("stake", "ground"), ("hook", "step_ladder"), ("clamp", "extension_ladder"), ("wrap", "ground")];

/// File names and texts.
pub(super) fn tables(size: usize) -> Vec<(&'static str, String)> {
    let size = Size::of(size);
    let (sessions, session_people) = sessions(size);
    let (placements, placement_pieces) = placements(size);
    let (faults, repairs) = faults(size);
    vec![
        ("site.csv", site()),
        ("place.csv", places(size)),
        ("person.csv", people(size)),
        ("product.csv", products()),
        (
            "circuit.csv",
            "code,name,breaker_ma,volts_mv\nC1,House,20000,120000\nC2,Shed,20000,120000\n".to_owned(),
        ),
        ("outlet.csv", "code,circuit,place\nO1,C1,PL-00\nO2,C2,PL-01\n".to_owned()),
        ("piece.csv", pieces(size)),
        ("season.csv", seasons()),
        ("session.csv", sessions),
        ("session_person.csv", session_people),
        ("placement.csv", placements),
        ("placement_piece.csv", placement_pieces),
        ("link.csv", links(size)),
        ("tick.csv", ticks(size)),
        ("fault.csv", faults),
        ("repair_entry.csv", repairs),
    ]
}

fn site() -> String {
    "name,latitude_udeg,longitude_udeg,time_zone,units,currency,place_minutes,ladder_minutes,level_limit_pct,frame_rate_hz\n\
     Bigfield,44000000,-69000000,America/New_York,us,USD,5,10,40,40\n"
        .to_owned()
}

fn people(size: Size) -> String {
    let mut text = "code,name,skills,mass_g\nANN,Ann,roof solder,70000\nBEN,Ben,,80000\n".to_owned();
    for n in 2..size.people {
        writeln!(text, "P{n},Person {n},{},75000", if n % 2 == 0 { "roof solder" } else { "" }).unwrap();
    }
    text
}

fn places(size: Size) -> String {
    let mut text = "code,name,parent,access,height_mm,map_x_mm,map_y_mm\nTOP,Bigfield,,,,,\n".to_owned();
    for n in 0..size.places {
        let (_, access) = method(n);
        let height = if access == "ground" { 0 } else { 3000 };
        let (x, y) = (n % 8 * 5000, n / 8 * 6000);
        writeln!(text, "PL-{n:02},Corner {n},TOP,{access},{height},{x},{y}").unwrap();
    }
    text
}

/// The method of the n-th place, so that a place always has the access its props need.
fn method(n: usize) -> (&'static str, &'static str) {
    METHODS[n % METHODS.len()]
}

fn products() -> String {
    let mut text =
        "code,name,kind,role,volts_mv,load_model,pixels,pixel_ma,chip,channels_per_pixel,pitch_mm,wire,\
                    output_mv,rated_mw,efficiency_pct,ports,port_pixels,fuse_ma,ip_class,mass_g,lowest_mv\n"
            .to_owned();
    for (n, ip) in ["IP20", "IP65", "IP67", "IP68"].iter().enumerate() {
        writeln!(
            text,
            "P-{n},String type {n},string,prop,12000,constant_current,100,30,WS2811,3,75,18 AWG,,,,,,,{ip},900,10000"
        )
        .unwrap();
    }
    text.push_str("P-BOX,Box with 32 outputs,box,box,120000,,,,,,,,,,,32,800,,IP65,8000,\n");
    text.push_str("P-SUP,Supply,supply,supply,120000,,,,,,,,12000,600000,88,,,,IP20,1500,\n");
    text
}

fn pieces(size: Size) -> String {
    let mut text = "code,product,batch,condition,got_on,price_cents\n".to_owned();
    for n in 0..size.strings {
        let (kind, batch, year) = (n % 4, n % 20, 2017 + n % 8);
        writeln!(text, "S-{n:03},P-{kind},B-{batch:02},good,{year}-03-01,2000").unwrap();
    }
    for n in 0..size.boxes {
        writeln!(text, "BOX-{n:02},P-BOX,,good,2017-03-01,15000\nSUP-{n:02},P-SUP,,good,2017-03-01,5000")
            .unwrap();
    }
    text
}

fn seasons() -> String {
    let mut text =
        "code,name,show,lights_on,lights_off,rehearsal,work_from,down_from,nightly_from,nightly_to,closed_on\n"
            .to_owned();
    for y in SEASONS {
        let closed = if y < 2026 { format!("{}-02-20", y + 1) } else { String::new() };
        writeln!(
            text,
            "big-{y},Winter {y},big,{y}-12-01T17:00,{}-01-03,{y}-11-26T13:00,{y}-09-15,{}-01-04,17:00,22:00,{closed}",
            y + 1,
            y + 1
        )
        .unwrap();
    }
    text
}

/// Days of a season's build sessions: each from 09:00 to 17:00.
fn days(year: i32) -> impl Iterator<Item = String> {
    (0..60).map(move |n| {
        let (month, day) = if n < 25 { (9, 5 + n) } else { (10, n - 24) };
        let (month, day) = if day > 30 { (11, day - 30) } else { (month, day) };
        format!("{year}-{month:02}-{day:02}")
    })
}

fn sessions(size: Size) -> (String, String) {
    let mut list = "code,starts,ends,work_lights,rain,gust_mms,low_mc,lost\n".to_owned();
    let mut people = "session,person\n".to_owned();
    for y in SEASONS {
        for (n, day) in days(y).enumerate() {
            let gust = n % 5 * 2000;
            writeln!(list, "D{y}-{n:02},{day}T09:00,{day}T17:00,no,no,{gust},{},no", 4000 + n * 100).unwrap();
            writeln!(people, "D{y}-{n:02},ANN\nD{y}-{n:02},BEN").unwrap();
            for p in 2..size.people {
                writeln!(people, "D{y}-{n:02},P{p}").unwrap();
            }
        }
    }
    (list, people)
}

fn placements(size: Size) -> (String, String) {
    let mut list = "code,name,season,product,piece,count,place,method,worth,length_mm,stakes\n".to_owned();
    let mut pieces = "placement,piece\n".to_owned();
    for y in SEASONS {
        for n in 0..size.placements {
            let (code, place) = (code(y, n), n % size.places);
            if n < size.boxes {
                writeln!(list, "{code},Box {n},big-{y},P-BOX,BOX-{n:02},1,PL-{place:02},box,3,,").unwrap();
                writeln!(pieces, "{code},BOX-{n:02}").unwrap();
                continue;
            }
            let (kind, (how, _)) = (n % 4, method(place));
            let stakes = if how == "stake" { "2" } else { "" };
            writeln!(
                list,
                "{code},Prop {n},big-{y},P-{kind},,2,PL-{place:02},{how},{},7500,{stakes}",
                1 + n % 5
            )
            .unwrap();
            for s in strings(n, size) {
                writeln!(pieces, "{code},S-{s:03}").unwrap();
            }
        }
    }
    (list, pieces)
}

fn code(year: i32, n: usize) -> String {
    format!("PM{}-{n:03}", year % 100)
}

/// The two strings of a placement, of the product that its number asks for.
fn strings(n: usize, size: Size) -> [usize; 2] {
    [n, (n + 25 * size.strings / 50 - 2) % size.strings]
}

/// Wiring of the season being built: mains to each box, supply into it, a data lead to each prop.
fn links(size: Size) -> String {
    let mut text =
        "code,kind,season,from_outlet,from_piece,from_placement,from_port,to_piece,to_placement,to_end,\
                    wire,length_mm,fuse_ma\n"
            .to_owned();
    for n in 0..size.boxes {
        let outlet = 1 + n % 2;
        writeln!(text, "LM-{n:02},mains,,O{outlet},,,,BOX-{n:02},,cord,14 AWG,5000,").unwrap();
        writeln!(text, "LD-{n:02},dc,,,SUP-{n:02},,,BOX-{n:02},,A,10 AWG,300,").unwrap();
    }
    for n in size.boxes..size.placements {
        let (from, port) = (code(2026, n % size.boxes), 1 + (n - size.boxes) / size.boxes);
        writeln!(text, "LP-{n:03},data,big-2026,,,{from},A{port},,{},in,18 AWG,3000,", code(2026, n))
            .unwrap();
    }
    text
}

/// Codes of the recipe steps of a method that are done each season, up first.
fn recipe(how: &str) -> Vec<(&'static str, &'static str)> {
    let field = |line: &'static str, n: usize| line.split(',').nth(n).unwrap();
    let mut steps: Vec<_> = RECIPE_STEPS
        .lines()
        .skip(1)
        .filter(|line| line.split(',').nth(1) == Some(how))
        .map(|line| (field(line, 0), field(line, 3)))
        .filter(|(_, phase)| ["up", "down"].contains(phase))
        .collect();
    steps.sort_by_key(|(_, phase)| *phase != "up");
    steps
}

fn ticks(size: Size) -> String {
    let mut text = "step_key,kind,at,began,person,session,season,placement,recipe_step,title,planned_s,taken_s,bunched\n"
        .to_owned();
    for y in SEASONS {
        let days: Vec<String> = days(y).collect();
        let mut written = 0;
        for round in 0.. {
            let before = written;
            for n in 0..size.placements {
                let how = if n < size.boxes { "box" } else { method(n % size.places).0 };
                let Some((step, phase)) = recipe(how).get(round).copied() else { continue };
                // Of the season being built only half is done.
                if written == size.ticks || (y == 2026 && n % 2 == 1) {
                    continue;
                }
                let (session, minute) = (written * 40 / size.ticks, written % 50 * 9);
                let (hour, minute) = (9 + minute / 60, minute % 60);
                let (day, placement) = (&days[session], code(y, n));
                let taken = 400 + written * 7 % 900;
                writeln!(
                    text,
                    "placement:{placement}/{step}/{phase},done,{day}T{hour:02}:{minute:02},,ANN,D{y}-{session:02},\
                     big-{y},{placement},{step},Step of prop {n},600,{taken},no"
                )
                .unwrap();
                written += 1;
            }
            if before == written {
                break;
            }
        }
    }
    text
}

fn faults(size: Size) -> (String, String) {
    let symptoms = ["one pixel out", "dark from pixel N on", "whole prop dark", "brown or reddish far end"];
    let causes = ["failed pixel", "corrosion", "solder joint", "plug"];
    let mut list = "code,piece,placement,season,symptom,at_pixel,found,person,weather\n".to_owned();
    let mut repairs = "fault,at,deed,cause,minutes_s,person\n".to_owned();
    for y in SEASONS {
        // The season being built has had none yet.
        let count = if y == 2026 { size.faults / 10 } else { size.faults * 11 / 10 };
        for n in 0..count {
            let prop = size.boxes + n * 7 % (size.placements - size.boxes);
            let (piece, placement, kind) = (strings(prop, size)[n % 2], code(y, prop), n % 4);
            let (month, day, hour) = if y == 2026 { (8, 1 + n % 28, 10) } else { (12, 2 + n % 28, 18) };
            writeln!(
                list,
                "F{y}-{n:03},S-{piece:03},{placement},big-{y},{},{},{y}-{month:02}-{day:02}T{hour}:{:02},ANN,{}",
                symptoms[kind],
                if kind < 2 { (1 + n % 100).to_string() } else { String::new() },
                n % 60,
                ["rain", "dry", "frost"][n % 3]
            )
            .unwrap();
            if y < 2026 {
                let (day, cause, seconds) = (1 + n % 28, causes[kind], 600 + n % 5 * 300);
                writeln!(
                    repairs,
                    "F{y}-{n:03},{0}-03-{day:02}T10:00,mended,{cause},{seconds},ANN\n\
                     F{y}-{n:03},{0}-03-{day:02}T11:00,tested,,,ANN",
                    y + 1,
                )
                .unwrap();
            }
        }
    }
    (list, repairs)
}
