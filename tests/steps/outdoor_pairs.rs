//! Limits of wind, ladder, cold, wet and frost: a yard a little inside, one a little outside, and one with the deciding
//! fact blank, each worked by hand. Inside says nothing of it, outside names it, blank says that it is not known.

use ladderday::answers::power::{CheckKind, WhatIf};
use ladderday::app::{App, Ask, Choices};

struct Case {
    what: &'static str,
    source: &'static str,
    check: CheckKind,
    /// Files; `?` is where the deciding fact goes. A file called `forecast` is typed for the session.
    files: &'static [(&'static str, &'static str)],
    inside: &'static str,
    outside: &'static str,
    /// The code that outside has and inside has not.
    code: &'static str,
    /// What is said to be missing where the fact is blank.
    missing: &'static str,
}

const SEASON: (&str, &str) =
    ("season.csv", "code,name,show,lights_on,lights_off\nglow-2026,Glow,glow,2026-11-27T17:00,2027-01-03\n");
const SESSION: (&str, &str) = ("session.csv", "code,starts,ends\nS1,2026-10-17T09:00,2026-10-17T17:00\n");
const EAVES: &str = "code,name,access,height_mm\nEAVES,Eaves,extension_ladder,5000\nLAWN,Lawn,ground,\n";
const LINE: &str = "code,name,season,count,place,method\nP1,Line,glow-2026,1,EAVES,hook\n";

/// Simple method, still gust q = 0.625 v² (air 1.25 kg/m³); a board of 1 m² with coefficient 1.8 on a base of 0.5 m to
/// each side, 50 kg, friction 0.8, factor 1.5: it slides first, 0.8 * 50 * 9.80665 = 1.5 * 1.125 v², v = 15.25 m/s.
const BOARD: &[(&str, &str)] = &[
    ("site.csv", "name,units,wind_method,design_gust_mms\nYard,si,simple,? m/s\n"),
    ("place.csv", EAVES),
    ("product.csv", "code,name,role,width_mm,height_mm,mass_g\nBOARD,Board,prop,1000,1000,50000\n"),
    ("placement.csv", "code,name,season,product,count,place,method\nP1,Board,glow-2026,BOARD,1,LAWN,weigh\n"),
    ("stand.csv", "code,placement,kind,half_base_mm,friction_pct\nST,P1,weight,500,80\n"),
];

const CASES: &[Case] = &[
    Case {
        what: "sliding in the design gust",
        source: "statics, Florida Building Code 1807.2.3 factor 1.5",
        check: CheckKind::Wind,
        files: BOARD,
        inside: "14.9",
        outside: "15.7",
        code: "wind_lower_at",
        missing: "",
    },
    Case {
        what: "tipping, base blank",
        source: "the same board, friction 1, v² = 490.33 * b / (1.6875 * 0.5): b 0.5 m at 17.05 m/s",
        check: CheckKind::Wind,
        files: &[
            ("site.csv", "name,units,wind_method,design_gust_mms\nYard,si,simple,16.8 m/s\n"),
            ("place.csv", EAVES),
            ("product.csv", "code,name,role,width_mm,height_mm,mass_g\nBOARD,Board,prop,1000,1000,50000\n"),
            (
                "placement.csv",
                "code,name,season,product,count,place,method\nP1,Board,glow-2026,BOARD,1,LAWN,weigh\n",
            ),
            ("stand.csv", "code,placement,kind,half_base_mm,friction_pct\nST,P1,weight,?,100\n"),
        ],
        inside: "500",
        outside: "470",
        code: "wind_lower_at",
        missing: "base width not told",
    },
    Case {
        what: "ballast",
        source: "the same board with 1 kg of its own and ballast: 16 m/s needs 1.6875 * 256 / (0.8 * 9.80665) = 55.06 kg",
        check: CheckKind::Wind,
        files: &[
            ("site.csv", "name,units,wind_method,design_gust_mms\nYard,si,simple,16 m/s\n"),
            ("place.csv", EAVES),
            ("product.csv", "code,name,role,width_mm,height_mm\nBOARD,Board,prop,1000,1000\n"),
            (
                "placement.csv",
                "code,name,season,product,count,place,method\nP1,Board,glow-2026,BOARD,1,LAWN,weigh\n",
            ),
            ("stand.csv", "code,placement,kind,half_base_mm,friction_pct,ballast_g\nST,P1,weight,900,80,?\n"),
        ],
        inside: "56500",
        outside: "53500",
        code: "wind_lower_at",
        missing: "weight not told",
    },
    Case {
        what: "a board that is carried",
        source: "the same board carried by a bare frame without area of its own in 14.9 and 15.7 m/s",
        check: CheckKind::Wind,
        files: &[
            ("site.csv", "name,units,wind_method,design_gust_mms\nYard,si,simple,15.25 m/s\n"),
            ("place.csv", EAVES),
            (
                "product.csv",
                "code,name,role,width_mm,height_mm,mass_g\nBOARD,Board,prop,?,1000,40000\nPOST,Post,mount,1,1000,10000\n",
            ),
            (
                "placement.csv",
                "code,name,season,product,count,place,method,carried_by\nP1,Post,glow-2026,POST,1,LAWN,weigh,\nP2,Board,glow-2026,BOARD,1,LAWN,frame_panel,P1\n",
            ),
            ("stand.csv", "code,placement,kind,half_base_mm,friction_pct\nST,P1,weight,500,80\n"),
        ],
        inside: "970",
        outside: "1030",
        code: "wind_lower_at",
        missing: "area or size of all that stands in the wind",
    },
    Case {
        what: "anchor of a guy",
        source: "statics of a mast on four guys at 45°, pretension 100 N: F = 1.2 * 0.625 * 15² * 0.5 m² at 3 m is 42.2 N at the \
                 guys (6 m); T = 100 + 42.2 / (2 cos 45°) = 129.8 N, times 1.5 of a tested anchor: 194.7 N",
        check: CheckKind::Wind,
        files: &[
            ("site.csv", "name,units,wind_method,design_gust_mms\nYard,si,simple,15 m/s\n"),
            ("place.csv", EAVES),
            ("product.csv", "code,name,role,mass_g\nMAST,Mast,mount,15000\n"),
            (
                "placement.csv",
                "code,name,season,product,count,place,method\nP1,Mast,glow-2026,MAST,1,LAWN,guyed_mast\n",
            ),
            (
                "stand.csv",
                "code,placement,kind,area_cm2,centroid_mm,drag_pct,guy_height_mm,guy_stiffness_mn,pretension_mn,half_base_mm\n\
                 ST,P1,guyed,5000,3000,120,6000,60 kN,100 N,250\n",
            ),
            (
                "guy.csv",
                "code,stand,azimuth_deg,radius_mm,holding_mn,holding_by\nG1,ST,0,6000,?,tested\nG2,ST,90,6000,?,tested\n\
                 G3,ST,180,6000,?,tested\nG4,ST,270,6000,?,tested\n",
            ),
        ],
        inside: "200000",
        outside: "189000",
        code: "wind_lower_at",
        missing: "anchor holding not told",
    },
    Case {
        what: "ladder that rests at 5 m",
        source: "29 CFR 1926.1053(b)(5)(i): 5 m * 4 / sqrt 15 = 5.164 m, and 3 ft of overlap: 6.078 m",
        check: CheckKind::Weather,
        files: &[
            SESSION,
            ("place.csv", EAVES),
            ("placement.csv", LINE),
            ("product.csv", "code,name,role,serves_as,height_mm\nLAD,Ladder,ladder,extension_ladder,?\n"),
            ("piece.csv", "code,product\nL1,LAD\n"),
        ],
        inside: "6240",
        outside: "5920",
        code: "ladder_short",
        missing: "length not told for 1 ladder",
    },
    Case {
        what: "height of the eaves",
        source: "the same, a ladder of 6.078 m",
        check: CheckKind::Weather,
        files: &[
            SESSION,
            ("place.csv", "code,name,access,height_mm\nEAVES,Eaves,extension_ladder,?\n"),
            ("placement.csv", LINE),
            ("product.csv", "code,name,role,serves_as,height_mm\nLAD,Ladder,ladder,extension_ladder,6078\n"),
            ("piece.csv", "code,product\nL1,LAD\n"),
        ],
        inside: "4850",
        outside: "5150",
        code: "ladder_short",
        missing: "height not told",
    },
    Case {
        what: "ladder that is stepped off",
        source: "29 CFR 1926.1053(b)(1), 3 ft of rails: (4 + 0.9144) * 4 / sqrt 15 + 0.9144 = 5.990 m",
        check: CheckKind::Weather,
        files: &[
            SESSION,
            ("place.csv", "code,name,access,height_mm\nROOF,Roof,roof,4000\n"),
            ("placement.csv", "code,name,season,count,place,method\nP1,Star,glow-2026,1,ROOF,tie\n"),
            ("product.csv", "code,name,role,serves_as,height_mm\nLAD,Ladder,ladder,extension_ladder,?\n"),
            ("piece.csv", "code,product\nL1,LAD\n"),
        ],
        inside: "6150",
        outside: "5830",
        code: "ladder_short",
        missing: "length not told for 1 ladder",
    },
    Case {
        what: "step ladder",
        source: "common practice: 4 ft above its size, 3.6 m - 1.219 m = 2.381 m",
        check: CheckKind::Weather,
        files: &[
            SESSION,
            ("place.csv", "code,name,access,height_mm\nPORCH,Porch,step_ladder,3600\n"),
            ("placement.csv", "code,name,season,count,place,method\nP1,Star,glow-2026,1,PORCH,hook\n"),
            ("product.csv", "code,name,role,serves_as,height_mm\nLAD,Ladder,ladder,step_ladder,?\n"),
            ("piece.csv", "code,product\nL1,LAD\n"),
        ],
        inside: "2440",
        outside: "2320",
        code: "ladder_short",
        missing: "length not told for 1 ladder",
    },
    Case {
        what: "load of a ladder",
        source: "ANSI A14 duty ratings: 300 lb (136.1 kg) against 100 kg and what is taken up",
        check: CheckKind::Weather,
        files: &[
            SESSION,
            ("place.csv", EAVES),
            (
                "placement.csv",
                "code,name,season,product,count,place,method\nP1,Star,glow-2026,STAR,1,EAVES,hook\n",
            ),
            ("person.csv", "code,name,mass_g\nA,Ann,100000\n"),
            (
                "product.csv",
                "code,name,role,serves_as,height_mm,max_load_g,mass_g\nLAD,Ladder,ladder,extension_ladder,7000,136078,\nSTAR,Star,prop,,,,?\n",
            ),
            ("piece.csv", "code,product\nL1,LAD\n"),
        ],
        inside: "35000",
        outside: "37200",
        code: "ladder_overloaded",
        missing: "mass not told for 1 thing taken up",
    },
    Case {
        what: "gust for hanging",
        source: "UK roofing trade practice: 23 mph",
        check: CheckKind::Weather,
        files: &[
            SESSION,
            ("place.csv", EAVES),
            ("placement.csv", LINE),
            ("forecast", "dry, thawed, low 60F, gust ? mph"),
        ],
        inside: "22.4",
        outside: "23.7",
        code: "weather_too_windy",
        missing: "gust not told in the forecast of 1 session",
    },
    Case {
        what: "cold for glue",
        source: "product sheets: 10 °C",
        check: CheckKind::Weather,
        files: &[
            SESSION,
            ("place.csv", EAVES),
            ("placement.csv", "code,name,season,count,place,method\nP1,Star,glow-2026,1,LAWN,glue\n"),
            ("forecast", "dry, thawed, gust 3 mph, low ?C"),
        ],
        inside: "10.3",
        outside: "9.7",
        code: "weather_too_cold",
        missing: "lowest temperature not told in the forecast of 1 session",
    },
    Case {
        what: "too cold to bend",
        source: "the maker's sheet of the string: -5 °C",
        check: CheckKind::Weather,
        files: &[
            SESSION,
            ("place.csv", EAVES),
            ("product.csv", "code,name,role,pixels,min_handling_mc\nSTR,String,prop,10,-5000\n"),
            (
                "placement.csv",
                "code,name,season,product,count,place,method\nP1,String,glow-2026,STR,1,LAWN,set_out\n",
            ),
            ("forecast", "dry, thawed, gust 3 mph, low ?C"),
        ],
        inside: "-4.8",
        outside: "-5.2",
        code: "weather_too_cold",
        missing: "lowest temperature not told in the forecast of 1 session",
    },
    Case {
        what: "the coldest at which it may be bent",
        source: "a string that is told for -5.3 or -4.9 °C in a forecast of -5.1 °C",
        check: CheckKind::Weather,
        files: &[
            SESSION,
            ("place.csv", EAVES),
            ("product.csv", "code,name,role,pixels,min_handling_mc\nSTR,String,prop,10,?\n"),
            (
                "placement.csv",
                "code,name,season,product,count,place,method\nP1,String,glow-2026,STR,1,LAWN,set_out\n",
            ),
            ("forecast", "dry, thawed, gust 3 mph, low -5.1C"),
        ],
        inside: "-5300",
        outside: "-4900",
        code: "weather_too_cold",
        missing: "coldest handling not told for STR",
    },
    Case {
        what: "cure in the cold",
        source: "product sheets, common practice: as at 20 °C or longer",
        check: CheckKind::Weather,
        files: &[
            SESSION,
            ("place.csv", EAVES),
            ("placement.csv", "code,name,season,count,place,method\nP1,Star,glow-2026,1,LAWN,glue\n"),
            ("forecast", "dry, thawed, gust 3 mph, low ?C"),
        ],
        inside: "20.3",
        outside: "19.5",
        code: "cure_longer",
        missing: "lowest temperature not told in the forecast of 1 session",
    },
    Case {
        what: "frost in the ground",
        source: "stakes need unfrozen ground",
        check: CheckKind::Weather,
        files: &[
            SESSION,
            ("place.csv", EAVES),
            ("placement.csv", "code,name,season,count,place,method\nP1,Tree,glow-2026,1,LAWN,stake\n"),
            ("forecast", "dry, gust 3 mph, low 60F, ?"),
        ],
        inside: "thawed",
        outside: "frozen",
        code: "weather_ground_frozen",
        missing: "frozen ground not told in the forecast of 1 session",
    },
    Case {
        what: "wet wall",
        source: "adhesive sheets: dry surface",
        check: CheckKind::Weather,
        files: &[
            SESSION,
            ("place.csv", EAVES),
            ("placement.csv", "code,name,season,count,place,method\nP1,Star,glow-2026,1,LAWN,glue\n"),
            ("forecast", "thawed, gust 3 mph, low 70F, ?"),
        ],
        inside: "dry",
        outside: "rain",
        code: "weather_wet",
        missing: "rain, snow or ice not told in the forecast of 1 session",
    },
];

/// Codes and what is not told, with a value put in; with nothing, the clause that has it is left out.
fn said(case: &Case, value: Option<&str>) -> (Vec<String>, Vec<String>) {
    let folder = tempfile::tempdir().unwrap();
    let csv = folder.path().join("csv");
    std::fs::create_dir(&csv).unwrap();
    std::fs::write(csv.join(SEASON.0), SEASON.1).unwrap();
    let mut forecast = None;
    for (name, text) in case.files {
        if *name == "forecast" {
            let parts = text.split(", ").filter(|p| value.is_some() || !p.contains('?'));
            forecast = Some(parts.collect::<Vec<_>>().join(", ").replace('?', value.unwrap_or_default()));
        } else {
            let text = if value.is_none() { text.replace("? m/s", "") } else { (*text).to_owned() };
            std::fs::write(csv.join(name), text.replace('?', value.unwrap_or_default())).unwrap();
        }
    }
    let choices = Choices { now: Some("2026-09-01T12:00".to_owned()), ..Choices::default() };
    let mut app = App::create(&folder.path().join("y.ladderday"), &choices).unwrap();
    app.import(&[csv]).unwrap();
    if let Some(text) = forecast {
        app.perform(&Ask::Forecast { session: "S1".to_owned(), text }).unwrap();
    }
    let checked = app.check(&[case.check], &WhatIf::default()).unwrap();
    (checked.findings.into_iter().map(|f| f.code).collect(), checked.not_told)
}

#[test]
fn inside_outside_and_blank_are_told_apart() {
    let mut wrong = Vec::new();
    for case in CASES {
        assert!(!case.source.is_empty());
        let is = |value| said(case, value);
        let has = |codes: &[String]| codes.iter().any(|c| c == case.code);
        let lacks =
            |lines: &[String]| !case.missing.is_empty() && lines.iter().any(|l| l.contains(case.missing));
        let (inside, outside, blank) = (is(Some(case.inside)), is(Some(case.outside)), is(None));
        if has(&inside.0) || lacks(&inside.1) {
            wrong.push(format!("{}: inside {inside:?}", case.what));
        }
        if !has(&outside.0) {
            wrong.push(format!("{}: outside {outside:?}", case.what));
        }
        if !case.missing.is_empty() && (has(&blank.0) || !lacks(&blank.1)) {
            wrong.push(format!("{}: blank {blank:?}", case.what));
        }
    }
    assert!(wrong.is_empty(), "{} of {}:\n{}", wrong.len(), 3 * CASES.len(), wrong.join("\n"));
}
