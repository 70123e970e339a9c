//! What comes off wet: laid out the same day, the room counted, packed once dry; and the map of shelves.

use ladderday::answers::view::KitKind;
use ladderday::app::{App, Ask, Detail, DetailOf, Form};
use ladderday::domain::{LookKind, Phase};

use super::{Yard, json, rows, text};

const OFF: &str = "2027-01-09T10:00";

/// Three props of two pieces at the gate, a drying place for two of them, a shelf in a shed.
fn yard() -> Yard {
    Yard::of(&[
        ("site.csv", "name,time_zone,units,drying_slots\nHof,Europe/Vienna,si,2\n"),
        ("place.csv", "code,name,access\nGATE,Gate,ground\n"),
        (
            "container.csv",
            "code,name,kind,parent\nSHED,Shed,room,\nSH-1,Top shelf,shelf,SHED\nK-1,Trees,tote,SH-1\nK-2,Canes,tote,SH-1\nK-3,Loose,tote,\n",
        ),
        ("product.csv", "code,name,role\nTREE,Tree,prop\n"),
        ("piece.csv", "code,product,home\nT-1,TREE,K-1\nT-2,TREE,K-1\nT-3,TREE,K-2\n"),
        (
            "season.csv",
            "code,name,show,lights_on,lights_off\nfrost-2026,Frost,frost,2026-12-01T17:00,2027-01-06\n",
        ),
        (
            "placement.csv",
            "code,name,season,product,count,place,method\nP-1,First,frost-2026,TREE,1,GATE,stake\n\
             P-2,Second,frost-2026,TREE,1,GATE,stake\nP-3,Third,frost-2026,TREE,1,GATE,stake\n",
        ),
        ("placement_piece.csv", "placement,piece\nP-1,T-1\nP-2,T-2\nP-3,T-3\n"),
        (
            "session.csv",
            "code,starts,ends,work_lights\nS-1,2027-01-09T09:00,2027-01-09T15:00,yes\nS-2,2027-01-10T09:00,2027-01-10T15:00,yes\n\
             S-3,2027-01-16T09:00,2027-01-16T15:00,yes\n",
        ),
    ])
}

fn key(app: &App, of: &str, step: &str) -> String {
    let id = app.yard().placements.iter().find(|p| p.code == of).unwrap().id;
    format!("placement:{id}/{step}/down")
}

fn off(app: &mut App, of: &str, how: LookKind) -> String {
    let key = key(app, of, "stake.lift");
    app.perform(&Ask::CameOff { key, how, pieces: Vec::new(), many: None }).unwrap().said
}

#[test]
fn takedown_is_planned_so_that_each_dries_from_the_day_it_comes_off() {
    let yard = yard();
    let mut app = yard.at("2027-01-08T20:00");
    let doc = json(&app.plan_answer(Phase::Down, 200, Form::Json).unwrap());
    let day = |of: &str, step: &str| {
        let key = key(&app, of, step);
        let row = rows(&doc, "steps").iter().find(|s| s["key"] == key.as_str()).unwrap();
        text(row, "from")[..10].to_owned()
    };
    let mut days: Vec<String> = Vec::new();
    for of in ["P-1", "P-2", "P-3"] {
        assert_eq!(day(of, "stake.lift"), day(of, "stake.dry"), "{of}");
        days.push(day(of, "stake.lift"));
    }
    days.sort();
    assert_eq!(days.iter().filter(|d| *d == "2027-01-09").count(), 2, "the drying place takes two: {days:?}");
}

#[test]
fn what_is_wet_and_not_laid_out_is_said_today_and_the_room_is_counted() {
    let yard = yard();
    let mut app = yard.at(OFF);
    assert!(!off(&mut app, "P-1", LookKind::Wet).contains("too full"));
    assert!(!off(&mut app, "P-2", LookKind::Wet).contains("too full"));
    let said = off(&mut app, "P-3", LookKind::Wet);
    assert!(said.contains("the drying place is too full: 3 props, room for 2"), "{said}");
    let list = app.totes_answer(Form::Text).unwrap();
    assert!(list.contains("drying place: 3 props, room for 2"), "{list}");
    assert!(
        list.contains("First (T-1): came off wet Sat 9 Jan 2027 10:00, to be laid out the same day"),
        "{list}"
    );
    let alarms = |app: &mut App| {
        use ladderday::answers::view::ScreenId;
        use ladderday::app::{Page, PageWant};
        let Ok(Page::Today(today)) = app.page(ScreenId::Today, &PageWant::default()) else { panic!("Today") };
        today.alarms.into_iter().map(|a| a.what).collect::<Vec<_>>()
    };
    assert!(alarms(&mut app).contains(&"3 came off wet and not laid out to dry: First".to_owned()));
    for of in ["P-1", "P-2", "P-3"] {
        let keys = [key(&app, of, "stake.lift"), key(&app, of, "stake.dry")];
        for key in keys {
            app.perform(&Ask::Tick { key, kind: ladderday::domain::TickKind::Done, count: None, why: None })
                .unwrap();
        }
    }
    assert!(!alarms(&mut app).iter().any(|a| a.contains("came off wet")));
    let list = app.totes_answer(Form::Text).unwrap();
    assert!(
        list.contains("First (T-1): laid out Sat 9 Jan 2027 10:00, dry by Sun 10 Jan 2027 10:00"),
        "{list}"
    );
    drop(app);
    // Packed, it dries no more.
    let mut app = yard.at("2027-01-11T10:00");
    for of in ["P-1", "P-2", "P-3"] {
        let key = key(&app, of, "stake.pack");
        app.perform(&Ask::Tick { key, kind: ladderday::domain::TickKind::Done, count: None, why: None })
            .unwrap();
    }
    assert!(!app.totes_answer(Form::Text).unwrap().contains("drying place"));
}

#[test]
fn the_map_shows_each_tote_once_on_its_shelf() {
    let yard = yard();
    let mut app = yard.at(OFF);
    let map = app.tote_map_answer(Form::Text).unwrap();
    assert_eq!(
        map,
        "SHED  Shed\n  SH-1  Top shelf\n      K-1  Trees: 0 of 2 in\n      K-2  Canes: 0 of 1 in\nnowhere told\n    K-3  Loose: 0 in\n"
    );
    let doc = json(&app.tote_map_answer(Form::Json).unwrap());
    assert_eq!(doc[1]["totes"], serde_json::json!(["K-1", "K-2"]));
}

#[test]
fn a_wet_piece_that_is_put_away_is_named() {
    let yard = yard();
    let mut app = yard.at(OFF);
    off(&mut app, "P-1", LookKind::Wet);
    let put = |piece: &str| Ask::PutInto {
        tote: "K-1".to_owned(),
        pieces: vec![piece.to_owned(), "T-2".to_owned()],
    };
    let said = app.perform(&put("T-1")).unwrap().said;
    assert!(said.contains("came off wet and taken as dry now: T-1"), "{said}");
    assert!(!app.perform(&put("T-1")).unwrap().said.contains("wet"), "said once");
}

/// A prop whose pieces have no labels: what is wet dries, what is broken or gone is a fault of the prop.
#[test]
fn a_prop_without_labels_comes_off_wet_faulty_or_not_at_all() {
    let yard = Yard::of(&[
        ("place.csv", "code,name,access\nGATE,Gate,ground\n"),
        (
            "season.csv",
            "code,name,show,lights_on,lights_off\nfrost-2026,Frost,frost,2026-12-01T17:00,2027-01-06\n",
        ),
        (
            "placement.csv",
            "code,name,season,count,place,method\nP-1,First,frost-2026,3,GATE,stake\nP-2,Second,frost-2026,1,GATE,stake\n\
             P-3,Third,frost-2026,1,GATE,stake\nP-4,Fourth,frost-2026,1,GATE,stake\n",
        ),
    ]);
    let mut app = yard.at(OFF);
    let wet = off(&mut app, "P-1", LookKind::Wet);
    assert!(wet.starts_with("Wet: First"), "{wet}");
    let list = json(&app.steps_answer(Phase::Down, Form::Json).unwrap());
    let state = |of: &str, step: &str| {
        let key = key(&app, of, step);
        text(rows(&list, "steps").iter().find(|s| s["key"] == key.as_str()).unwrap(), "state").to_owned()
    };
    assert_eq!((state("P-1", "stake.lift"), state("P-1", "stake.dry")), ("done".into(), "open".into()));
    off(&mut app, "P-2", LookKind::Faulty);
    off(&mut app, "P-3", LookKind::Missing);
    let faults: Vec<(String, bool)> =
        app.yard().faults.iter().map(|f| (f.symptom.clone(), f.placement_id.is_some())).collect();
    assert_eq!(faults, [("damage".to_owned(), true), ("missing".to_owned(), true)]);
    // How many of it is told or is not; worn stands in the prop's life.
    let off_by = |app: &mut App, of: &str, how: LookKind, many: Option<i64>| {
        let key = key(app, of, "stake.lift");
        app.perform(&Ask::CameOff { key, how, pieces: Vec::new(), many })
    };
    assert_eq!(off_by(&mut app, "P-4", LookKind::Worn, Some(2)).unwrap_err().code, "count-beyond");
    assert_eq!(off_by(&mut app, "P-4", LookKind::Good, Some(1)).unwrap_err().code, "not-by-number");
    let said = off_by(&mut app, "P-4", LookKind::Worn, None).unwrap().said;
    assert!(said.starts_with("Worn: Fourth"), "{said}");
    off_by(&mut app, "P-1", LookKind::Worn, Some(2)).unwrap();
    off_by(&mut app, "P-1", LookKind::Missing, Some(1)).unwrap();
    assert!(app.yard().faults.iter().any(|f| f.note == "1 of 3 not there as it came off"));
    let next = Ask::NewSeason {
        code: "frost-2027".to_owned(),
        name: String::new(),
        lights_on: Some("2027-12-01".to_owned()),
    };
    app.perform(&next).unwrap();
    let life = |app: &App, code: &str| {
        let id = app.yard().placements.iter().find(|p| p.code == code).unwrap().id.0;
        let Some(Detail::Kit(kit)) = app.detail(DetailOf::Kit(KitKind::Placement, id)) else {
            panic!("{code}")
        };
        kit.lines.into_iter().map(|(label, text)| format!("{label} {text}")).collect::<Vec<_>>().join("\n")
    };
    for (code, words) in [
        ("P-1", ["came off wet", "2 of 3 came off worn", "missing"].as_slice()),
        ("P-4", &["came off worn"]),
        ("frost-2027/P-1", &["2 of 3 came off worn", "missing"]),
    ] {
        let life = life(&app, code);
        assert!(words.iter().all(|w| life.contains(w)), "{code}: {life}");
    }
}
