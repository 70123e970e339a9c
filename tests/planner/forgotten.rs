//! A rule of order that is left out is seen by the checker, on the demo and on a yard of another make: the edges of one
//! rule are taken out of what is derived, a plan is made that would rather do everything the other way round, and the
//! checker must name what it finds.

use std::fmt::Write as _;

use std::collections::BTreeSet;
use std::sync::{Arc, OnceLock};

use chrono::{DateTime, Utc};
use ladderday::app::{App, Choices};
use ladderday::domain::{Phase, SeasonId, StepDeed, Yard};
use ladderday::planner::check::check;
use ladderday::planner::{Effort, Request, make_plan};
use ladderday::steps::{Derived, Edge, Facts, Reason, Step, StepKey};

use super::yard::{derived, utc};
use crate::steps::small_yard;

/// A yard with its season and now.
type Case = (Yard, SeasonId, DateTime<Utc>);

fn demo() -> &'static Case {
    static ONCE: OnceLock<Case> = OnceLock::new();
    ONCE.get_or_init(|| {
        let folder = tempfile::tempdir().unwrap();
        let choices = Choices { now: Some("2026-09-01T12:00".to_owned()), ..Choices::default() };
        let app = App::demo(&folder.path().join("demo.ladderday"), true, &choices).unwrap();
        let yard = app.yard().clone();
        let id = yard.seasons.iter().find(|s| s.code == "harbor-2026").unwrap().id;
        (yard, id, utc("2026-11-02T07:00:00-05:00"))
    })
}

/// A frame with its panel, a star, boats in two rounds of one box, leads, a radio, songs and tools.
fn own() -> &'static Case {
    static ONCE: OnceLock<Case> = OnceLock::new();
    ONCE.get_or_init(|| {
        let mut sessions = String::from("code,starts,ends,work_lights,low_mc\n");
        for d in 1..=20 {
            writeln!(sessions, "S-{d},2026-11-{d:02}T09:00,2026-11-{d:02}T12:00,yes,20000").unwrap();
        }
        sessions.push_str("S-21,2026-11-22T12:00,2026-11-22T22:00,yes,\nS-22,2026-11-27T16:00,2026-11-27T19:00,yes,\n");
        let yard = small_yard::yard(&[
            ("person.csv", "code,name,skills\nA,Ada,roof electric\nB,Ben,\n"),
            ("session.csv", &sessions),
            ("product.csv", "code,name,role,volts_mv,pixels,ports,kind,serves_as\nPANEL,Board,prop,5000,1536,,,\nSTAR,Star,prop,12000,80,,,\nBOAT,Boat,prop,5000,50,,,\nFRAME,Frame,mount,,,,,\nBOX,Box,box,,,4,,\nTX,Transmitter,sound,12000,,,,\nLEAD,Lead,lead,,,,,\nLADDER,Ladder,ladder,,,,,extension_ladder\n"),
            ("piece.csv", "code,product,looked_over_on\nBX,BOX,\nLD-1,LEAD,\nCRD,LEAD,\nLAD-1,LADDER,2025-01-05\n"),
            ("placement.csv", "code,name,season,product,count,place,method,carried_by\nFR,Frame,glow-2026,FRAME,1,LAWN,bare_frame,\nPA,Board,glow-2026,PANEL,1,LAWN,frame_panel,FR\nST,Star,glow-2026,STAR,2,ROOF,roof_strap,\nSU,Sun,glow-2026,STAR,1,ROOF,clamp,\nBO,Boats,glow-2026,BOAT,4,LAWN,stake,\nRU,Lead run,glow-2026,LEAD,1,PORCH,cable_run,\nBX,Box,glow-2026,BOX,1,PORCH,box,\nTX,Transmitter,glow-2026,TX,1,PORCH,radio,\n"),
            ("placement_piece.csv", "placement,piece\nBX,BX\nRU,LD-1\nRU,CRD\n"),
            ("link.csv", "code,kind,from_piece,from_port,to_placement,to_piece,lead\nL1,data,BX,1,BO,,LD-1\nL2,mains,,,,BX,CRD\nL3,data,BX,2,PA,,\nL4,data,BX,3,ST,,\n"),
            ("fall_line.csv", "upper_place,lower_place\nROOF,LAWN\n"),
            ("desk_task.csv", "code,season,title,minutes_s\nD1,glow-2026,Choose songs,3600\nD2,glow-2026,Programming,3600\nD3,glow-2026,Settings copied,600\n"),
            ("duty.csv", "code,season,title,kind,lead_days,minutes_s\nU1,glow-2026,Ask for buried lines,buried_lines,2,600\nU2,glow-2026,Field strength measured,other,,600\n"),
        ]);
        let id = yard.seasons.iter().find(|s| s.code == "glow-2026").unwrap().id;
        (yard, id, utc("2026-10-31T12:00:00+00:00"))
    })
}

/// What the checker finds once `forget` has been at each derived step.
fn found(case: &Case, phase: Phase, forget: &dyn Fn(&mut Step)) -> BTreeSet<&'static str> {
    let (yard, season, now) = case;
    let facts = Facts::new(yard);
    let mut d: Derived = derived(yard, *season, phase);
    for step in &mut d.steps {
        forget(Arc::make_mut(step));
    }
    let season = facts.season(*season).unwrap();
    // The last step first, wherever nothing says otherwise.
    let kept: Vec<StepKey> = d.steps.iter().rev().map(|s| s.key.clone()).collect();
    let request = Request { facts: &facts, derived: &d, season, phase, now: *now, seed: 1, kept: &kept };
    let plan = make_plan(&request, &[], &[], Effort::of(1));
    assert!(plan.steps.iter().filter(|p| p.from.is_some()).count() > 20, "{:?}", plan.faults);
    check(&plan, &facts, &d, season, *now).into_iter().map(|b| b.code).collect()
}

fn edges(out: &'static dyn Fn(&Edge) -> bool) -> Box<dyn Fn(&mut Step)> {
    Box::new(move |s| s.after.retain(|e| !out(e)))
}

/// Its parts come late, so that nothing but the rule would keep others from going first.
fn late(s: &mut Step, recipe_step: &str) {
    if s.recipe_step == recipe_step {
        s.not_before = super::yard::day("2026-11-18").and_hms_opt(9, 0, 0);
    }
}

/// Each of `codes` is found on both yards once the rule is left out, and nothing is found with it.
fn seen(codes: &[&str], forget: &dyn Fn(&mut Step)) {
    for (name, case) in [("demo", demo()), ("own", own())] {
        let all = found(case, Phase::Up, forget);
        for code in codes {
            assert!(all.contains(code), "{name}: {code} not among {all:?}");
        }
    }
}

#[test]
fn with_every_rule_nothing_is_found() {
    for case in [demo(), own()] {
        assert_eq!(found(case, Phase::Up, &|_| ()), BTreeSet::new());
    }
}

#[test]
fn looking_tools_over_is_missed() {
    seen(&["not_looked_over"], &*edges(&|e| e.why.contains("first use")));
}

#[test]
fn laying_leads_is_missed() {
    seen(&["not_laid"], &|s| {
        s.after.retain(|e| !e.why.contains("is laid before"));
        late(s, "cable_run.lay");
    });
}

#[test]
fn carrying_and_squaring_are_missed() {
    seen(&["carrier_not_ready"], &*edges(&|e| e.reason == Reason::Carries));
}

#[test]
fn the_box_before_its_rounds_is_missed() {
    seen(&["box_not_ready"], &*edges(&|e| e.why.contains("plugged in and closed")));
}

#[test]
fn work_overhead_is_missed() {
    seen(&["overhead_later"], &*edges(&|e| e.reason == Reason::Above));
}

#[test]
fn the_bench_is_missed() {
    seen(&["untested"], &*edges(&|e| e.reason == Reason::Bench));
}

#[test]
fn the_desk_is_missed() {
    seen(&["not_chosen"], &*edges(&|e| e.why.contains("is chosen before")));
    seen(&["not_programmed"], &*edges(&|e| e.why.contains("settings are copied once")));
}

#[test]
fn measuring_what_is_not_on_air_is_missed() {
    seen(&["not_on_air"], &|s| {
        s.after.retain(|e| !e.why.contains("field strength"));
        late(s, "radio.antenna");
    });
}

#[test]
fn buried_lines_are_missed() {
    seen(&["lines_not_marked"], &*edges(&|e| e.why.contains("buried lines are marked")));
}

#[test]
fn the_recipe_is_missed() {
    seen(&["recipe_order"], &*edges(&|e| e.reason == Reason::Sequence && e.why.starts_with("after \"")));
}

#[test]
fn the_off_before_connecting_is_missed() {
    let forget = |s: &mut Step| {
        s.after.retain(|e| !e.why.contains("is off before anything"));
        if s.key.as_str().starts_with("box:") || s.recipe_step.ends_with(".connect") {
            s.stretch = None;
        }
    };
    seen(&["not_off"], &forget);
}

#[test]
fn the_look_before_on_is_missed() {
    let forget = |s: &mut Step| {
        s.after.retain(|e| !e.why.contains("plugs are looked at before"));
        s.stretch = None;
    };
    seen(&["round_broken"], &forget);
}

fn takedown() -> Case {
    let (yard, season, _) = demo();
    (yard.clone(), *season, utc("2027-01-03T12:00:00-05:00"))
}

#[test]
fn drying_on_another_day_is_missed() {
    let forget = |s: &mut Step| {
        if s.deed == StepDeed::Dry {
            s.after.iter_mut().for_each(|e| e.same_day = false);
            s.not_before = super::yard::day("2027-01-10").and_hms_opt(9, 0, 0);
        }
    };
    let all = found(&takedown(), Phase::Down, &forget);
    assert!(all.contains("other_day"), "{all:?}");
    assert_eq!(found(&takedown(), Phase::Down, &|_| ()), BTreeSet::new());
}

#[test]
fn takedown_with_the_power_on_is_missed() {
    let case = takedown();
    let all = found(&case, Phase::Down, &*edges(&|e| e.why.contains("power is off and unplugged")));
    assert!(all.contains("power_still_on"), "{all:?}");
}
