//! Sessions that are all past hold no work: the order and the hours, and what to tell.

use ladderday::app::{Ask, Form};
use ladderday::domain::Phase;

use super::{Yard, json, rows};

fn yard() -> Yard {
    Yard::of(&[
        ("site.csv", "name,time_zone,units\nHof,Europe/Vienna,si\n"),
        ("place.csv", "code,name,access\nGATE,Gate,ground\n"),
        ("product.csv", "code,name,role\nTREE,Tree,prop\n"),
        (
            "season.csv",
            "code,name,show,lights_on,lights_off\nglow-2026,Glow,glow,2026-10-01T17:00,2026-10-31\n\
             frost-2026,Frost,frost,2026-12-01T17:00,2027-01-06\n",
        ),
        (
            "placement.csv",
            "code,name,season,product,count,place,method\nP-1,First,frost-2026,TREE,1,GATE,stake\n\
             P-2,Second,frost-2026,TREE,1,GATE,stake\nP-0,Early,glow-2026,TREE,1,GATE,stake\n",
        ),
        (
            "session.csv",
            "code,starts,ends,work_lights\nS-1,2026-09-05T09:00,2026-09-05T15:00,yes\n\
             S-2,2026-09-06T09:00,2026-09-06T15:00,yes\n",
        ),
    ])
}

#[test]
fn past_sessions_give_order_and_hours_and_say_what_to_tell() {
    let yard = yard();
    // Up before the first show, the change between both, down after the last; an hour after the last session, too.
    for (now, phase) in [
        ("2026-09-06T16:00", Phase::Up),
        ("2026-09-20T10:00", Phase::Up),
        ("2026-11-02T10:00", Phase::Change),
        ("2027-01-09T10:00", Phase::Down),
    ] {
        let mut app = yard.at(now);
        let doc = json(&app.plan_answer(phase, 200, Form::Json).unwrap());
        assert_eq!(doc["told"]["sessions"], false, "{now}");
        assert!(rows(&doc, "unplaced").is_empty(), "{now}: {:#}", doc["unplaced"]);
        let steps = rows(&doc, "steps");
        assert!(!steps.is_empty(), "{now}");
        let text = app.plan_answer(phase, 200, Form::Text).unwrap();
        let last = "sessions to come not told, the last was on Sun 6 Sep 2026";
        assert!(text.contains(last) && text.contains(" min"), "{now}: {text}");
    }
    // One that is still to come is planned on.
    let mut app = yard.at("2027-01-09T10:00");
    let new = Ask::AddSession {
        starts: "2027-01-10 09:00".to_owned(),
        ends: "15:00".to_owned(),
        people: Vec::new(),
        work_lights: true,
    };
    app.perform(&new).unwrap();
    let doc = json(&app.plan_answer(Phase::Down, 200, Form::Json).unwrap());
    assert_eq!(doc["told"]["sessions"], true);
}
