//! Yards to check: the demo, and a small one of CSV texts.

use ladderday::answers::power::{CheckKind, Checked, WhatIf, check_answer};
use ladderday::app::{App, Choices};
use tempfile::TempDir;

pub(super) const BOTH: [CheckKind; 2] = [CheckKind::Power, CheckKind::Signal];

fn choices(season: &str) -> Choices {
    Choices {
        now: Some("2026-09-01T12:00".to_owned()),
        season: Some(season.to_owned()),
        ..Choices::default()
    }
}

pub(super) fn demo(season: &str) -> (TempDir, App) {
    let folder = tempfile::tempdir().unwrap();
    let app = App::demo(&folder.path().join("demo.ladderday"), true, &choices(season)).unwrap();
    (folder, app)
}

/// One supply of 5 V, one box, one string of ten pixels of 0.1 A each, 10 m of 14 AWG between them. A second string has data
/// from the box and power by a cord of its own, of which nothing is told.
pub(super) const FILES: [(&str, &str); 8] = [
    (
        "site.csv",
        "name,terms,level_limit_pct,level_limit_in,frame_rate_hz,show_network\nYard,us,100,hardware,40,10.1.1.0/24\n",
    ),
    ("season.csv", "code,name,show,lights_on,lights_off\nglow,Glow,glow,2026-11-27T17:00,2026-12-31\n"),
    (
        "product.csv",
        "code,name,role,volts_mv,load_model,pixels,pixel_ma,chip,channels_per_pixel,pitch_mm,wire,output_mv,rated_mw\n\
        STRING,String,prop,5000,constant_current,10,100,WS2811,3,1000,18 AWG,,\n\
        SUP,Supply,supply,,,,,,,,,5000,100000\nBOX,Box,box,,,,,,,,,,\nLEAD,Lead,lead,,,,,,,,,,\n",
    ),
    ("piece.csv", "code,product,tag_mv,address\nS-1,SUP,,\nB-1,BOX,,10.1.1.5\nL-1,LEAD,5000,\n"),
    (
        "placement.csv",
        "code,name,season,product\nP-1,Eaves string,glow,STRING\nP-2,Porch string,glow,STRING\n",
    ),
    ("circuit.csv", "code,name,breaker_ma,volts_mv\nC,House,15000,120000\n"),
    ("outlet.csv", "code,circuit\nO,C\n"),
    (
        "link.csv",
        "code,kind,season,from_outlet,from_piece,from_port,to_piece,to_placement,to_end,at_pixel,lead,wire,length_mm,fuse_ma,start_universe,start_slot\n\
        M,mains,glow,O,,,B-1,,,,,14 AWG,3000,,,\n\
        F,dc,glow,,S-1,,B-1,,A,,,10 AWG,100,,,\n\
        D,dc,glow,,B-1,A1,,P-1,in,1,L-1,14 AWG,10000,5000,,\n\
        N,data,glow,,B-1,A1,,P-1,in,1,L-1,,4000,,1,1\n\
        N2,data,glow,,B-1,A2,,P-2,in,1,,,4000,,1,31\n\
        Q,mains,glow,,,,,P-2,,,,,,,,\n",
    ),
];

/// The small yard with nothing led to its second string.
pub(super) const ONE_STRING: (&str, &str, &str) =
    ("link.csv", "N2,data,glow,,B-1,A2,,P-2,in,1,,,4000,,1,31\nQ,mains,glow,,,,,P-2,,,,,,,,\n", "");

/// The small yard with texts replaced, each `(file, from, to)`; every one must be there.
pub(super) fn small(changes: &[(&str, &str, &str)]) -> (TempDir, App) {
    let folder = tempfile::tempdir().unwrap();
    let csv = folder.path().join("csv");
    std::fs::create_dir(&csv).unwrap();
    for (name, text) in FILES {
        let mut text = text.to_owned();
        for (_, from, to) in changes.iter().filter(|(file, _, _)| *file == name) {
            assert!(text.contains(from), "{name} has no {from:?}");
            text = text.replace(from, to);
        }
        std::fs::write(csv.join(name), text).unwrap();
    }
    let plain = Choices { season: None, ..choices("") };
    let path = folder.path().join("y.ladderday");
    let mut app = App::create(&path, &plain).unwrap();
    app.import(&[csv]).unwrap();
    (folder, app)
}

pub(super) fn checked(app: &App) -> Checked {
    check_answer(&app.outlook(), &BOTH, &WhatIf::default(), None).unwrap().checked
}

pub(super) fn codes(checked: &Checked) -> Vec<&str> {
    checked.findings.iter().map(|f| f.code.as_str()).collect()
}
