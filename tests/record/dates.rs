//! The dates of both shows in one list, and what contradicts itself in them before any begins.

use ladderday::app::Form;
use serde_json::Value;

use super::{Yard, json, rows, text};

const NOW: &str = "2026-09-01T12:00";

/// Two shows that share a piece, with these dates of the second: code, name, rehearsal, lights on, last night, takedown.
fn yard(second: &str, sessions: &str) -> Yard {
    let seasons = format!(
        "code,name,show,rehearsal,lights_on,lights_off,down_from\n\
         glow-2026,Glow,glow,,2026-10-10T18:00,2026-10-31,\n{second}\n"
    );
    let sessions = format!("code,starts,ends\n{sessions}");
    Yard::of(&[
        ("place.csv", "code,name\nGATE,Gate\nPOND,Pond\n"),
        ("product.csv", "code,name,role\nLAMP,Lamp,prop\n"),
        ("piece.csv", "code,product\nL-1,LAMP\nL-2,LAMP\n"),
        ("season.csv", seasons.leak()),
        (
            "placement.csv",
            "code,name,season,product,count,place\nG,Lamps,glow-2026,LAMP,2,GATE\nF,Lamps,frost-2026,LAMP,1,GATE\n",
        ),
        ("placement_piece.csv", "placement,piece\nG,L-1\nG,L-2\nF,L-1\n"),
        ("session.csv", sessions.leak()),
    ])
}

fn dates(second: &str, sessions: &str) -> Value {
    json(&yard(second, sessions).at(NOW).dates_answer(Form::Json).unwrap())
}

fn codes(doc: &Value) -> Vec<&str> {
    rows(doc, "conflicts").iter().map(|c| text(c, "code")).collect()
}

const BETWEEN: &str = "S-1,2026-11-07T09:00,2026-11-07T16:00\n";
const WELL: &str = "frost-2026,Frost,frost,2026-11-22T15:00,2026-11-27T17:00,2027-01-03,";

#[test]
fn both_shows_stand_in_one_list_by_day() {
    let doc = dates(WELL, BETWEEN);
    let list: Vec<String> = rows(&doc, "dates")
        .iter()
        .map(|d| format!("{} {} {}", text(d, "at"), text(d, "season"), text(d, "what")))
        .collect();
    assert_eq!(
        list,
        [
            "2026-10-10T18:00 glow-2026 lights_on",
            "2026-10-31 glow-2026 lights_off",
            "2026-11-01 glow-2026 down_from",
            "2026-11-22T15:00 frost-2026 rehearsal",
            "2026-11-27T17:00 frost-2026 lights_on",
            "2027-01-03 frost-2026 lights_off",
            "2027-01-04 frost-2026 down_from",
        ]
    );
    assert_eq!(codes(&doc), Vec::<&str>::new());
}

#[test]
fn each_conflict_is_named_before_either_show_begins() {
    for (second, sessions, code, piece) in [
        (
            "frost-2026,Frost,frost,2026-11-22T15:00,2026-10-30T17:00,2027-01-03,",
            BETWEEN,
            "pieces-twice",
            true,
        ),
        (
            "frost-2026,Frost,frost,2026-10-31T15:00,2026-11-27T17:00,2027-01-03,",
            BETWEEN,
            "pieces-still-lit",
            true,
        ),
        (WELL, "S-1,2026-10-31T09:00,2026-10-31T16:00\n", "no-session-between", true),
        (
            "frost-2026,Frost,frost,2026-11-28T15:00,2026-11-27T17:00,2027-01-03,",
            BETWEEN,
            "dates-out-of-order",
            false,
        ),
        (
            "frost-2026,Frost,frost,,2026-11-27T17:00,2027-01-03,2027-01-02",
            BETWEEN,
            "dates-out-of-order",
            false,
        ),
    ] {
        let doc = dates(second, sessions);
        assert!(codes(&doc).contains(&code), "{code}: {doc:#}");
        let of = rows(&doc, "conflicts").iter().find(|c| text(c, "code") == code).unwrap();
        assert_eq!(of["pieces"][0] == "L-1", piece, "{of:#}");
    }
    // No session told limits nothing.
    assert_eq!(codes(&dates(WELL, "")), Vec::<&str>::new());
}

#[test]
fn two_shows_lit_at_once_at_one_place_are_named_where_they_share_no_piece() {
    let yard = Yard::of(&[
        ("place.csv", "code,name\nGATE,Gate\nPOND,Pond\n"),
        (
            "season.csv",
            "code,name,show,lights_on,lights_off\nglow-2026,Glow,glow,2026-10-10T18:00,2026-10-31\n\
             frost-2026,Frost,frost,2026-10-20T17:00,2027-01-03\nice-2026,Ice,ice,2026-12-20T17:00,2026-12-28\n",
        ),
        (
            "placement.csv",
            "code,name,season,count,place\nG,Lamps,glow-2026,2,GATE\nF,Stars,frost-2026,1,GATE\nI,Ice,ice-2026,1,POND\n",
        ),
    ]);
    let doc = json(&yard.at(NOW).dates_answer(Form::Json).unwrap());
    assert_eq!(codes(&doc), ["lit-at-once"], "{doc:#}");
    assert!(doc["conflicts"][0]["what"].as_str().unwrap().contains("at Gate"));
}

/// What is blank may hide a conflict: it is said, not taken as none.
#[test]
fn dates_that_others_hang_on_are_asked_for() {
    let doc = json(
        &Yard::of(&[
            (
                "season.csv",
                "code,name,show,rehearsal,lights_on,lights_off\nglow-2026,Glow,glow,2026-10-08T18:00,2026-10-10T18:00,\n\
                 frost-2026,Frost,frost,,2026-11-27T17:00,2027-01-03\n",
            ),
            ("product.csv", "code,name,role\nLAMP,Lamp,prop\n"),
            ("piece.csv", "code,product\nL-1,LAMP\n"),
            (
                "placement.csv",
                "code,name,season,piece\nG,Lamps,glow-2026,L-1\nF,Lamps,frost-2026,L-1\n",
            ),
            (
                "duty.csv",
                "code,season,title,kind,lead_days,expires_on\nD1,frost-2026,Marks,buried_lines,,\n\
                 D2,glow-2026,Marks,buried_lines,4,2026-10-20\n",
            ),
        ])
        .at(NOW)
        .dates_answer(Form::Json)
        .unwrap(),
    );
    let lines: Vec<&str> = rows(&doc, "not_told").iter().map(|l| l.as_str().unwrap()).collect();
    let begins = |start: &str| lines.iter().filter(|l| l.starts_with(start)).count();
    assert_eq!(lines.len(), 4, "{lines:#?}");
    for start in [
        "Glow: last night not told, whether its pieces are free for Frost",
        "Frost: rehearsal not told",
        "Frost: until when the marks of buried lines hold not told (D1)",
        "Frost: how many days the marks of buried lines take not told (D1)",
    ] {
        assert_eq!(begins(start), 1, "{start}: {lines:#?}");
    }
}
