//! What comes first by its nature, one test a rule. The rules are common practice, no published source.

use ladderday::domain::{Phase, StepDeed, Yard};
use ladderday::steps::{DeriveError, Step};

use super::small_yard::{before, derived, step, try_derived, yard};

fn by_key<'a>(steps: &'a [Step], part: &str) -> &'a Step {
    steps.iter().find(|s| s.key.as_str().contains(part)).unwrap_or_else(|| panic!("no step {part}"))
}

fn by_title<'a>(steps: &'a [Step], part: &str) -> &'a Step {
    steps.iter().find(|s| s.title.contains(part)).unwrap_or_else(|| panic!("no step {part}"))
}

const TOOLS: &str = "code,name,role,volts_mv,pixels,ports,kind,serves_as\n\
    CURTAIN,Icicle curtain,prop,5000,150,,,\nSTAR,Roof star,prop,12000,80,,,\nLADDER,Extension ladder,ladder,,,,,extension_ladder\n\
    STEPS,Step ladder,ladder,,,,,step_ladder\nHARN,Harness,tool,,,,harness,harness\nBOX,Box,box,,,4,,\nBOAT,Boat,prop,5000,50,,,\nFRAME,Frame,mount,,,,,\n";

const HIGH: &str = "code,name,season,product,count,place,method\nCU,Curtains,glow-2026,CURTAIN,2,EAVES,hook\nST,Star,glow-2026,STAR,1,ROOF,roof_strap\n";

#[test]
fn ladders_and_harness_are_looked_over_before_their_first_use() {
    let y = yard(&[
        ("product.csv", TOOLS),
        (
            "piece.csv",
            "code,product,looked_over_on\nLAD-1,LADDER,2025-03-01\nLAD-2,STEPS,2025-03-01\nHARN-1,HARN,2025-03-01\nLAD-3,LADDER,2026-09-01\n",
        ),
        ("placement.csv", HIGH),
    ]);
    let up = derived(&y, Phase::Up);
    let look = |code: &str| {
        let id = y.pieces.iter().find(|p| p.code == code).unwrap().id;
        by_key(&up, &format!("piece:{id}/look_over"))
    };
    for (code, steps) in [("LAD-1", ["CU hang", "ST conduit"]), ("HARN-1", ["ST conduit", "ST fit"])] {
        for s in steps {
            let (placement, word) = s.split_once(' ').unwrap();
            assert!(before(&up, look(code), step(&up, &y, placement, word)), "{code} before {s}");
        }
    }
    assert!(!before(&up, look("HARN-1"), step(&up, &y, "CU", "hang")), "nobody needs a harness there");
    assert!(!before(&up, look("LAD-2"), step(&up, &y, "CU", "hang")), "another ladder is used there");
    assert!(!up.iter().any(|s| s.title.contains("LAD-3")), "looked over this year");
}

#[test]
fn a_duty_to_look_tools_over_comes_before_what_it_names() {
    let duty = |title: &str| {
        let row = format!("code,season,title,kind,minutes_s\nD-1,glow-2026,{title},look_over,600\n");
        yard(&[
            ("product.csv", TOOLS),
            ("piece.csv", "code,product\nLAD-1,LADDER\n"),
            ("placement.csv", HIGH),
            ("duty.csv", &row),
        ])
    };
    for (title, ladder, roof) in
        [("Look over ladders", true, true), ("Harness looked over", false, true), ("Tools", true, true)]
    {
        let y = duty(title);
        let up = derived(&y, Phase::Up);
        let look = by_title(&up, title);
        assert_eq!(before(&up, look, step(&up, &y, "CU", "hang")), ladder, "{title}");
        assert_eq!(before(&up, look, step(&up, &y, "ST", "fit")), roof, "{title}");
    }
}

const RUN: &str = "code,name,season,product,count,place,method\nRU,Lead run,glow-2026,BOX,1,LAWN,cable_run\n\
    BX,Box,glow-2026,BOX,1,PORCH,box\nBO,Boats,glow-2026,BOAT,8,LAWN,stake\n";

#[test]
fn a_lead_is_laid_before_either_end_is_plugged() {
    let files = |links: &'static str| {
        yard(&[
            ("piece.csv", "code,product\nBX,BOX\nLD-1,BOX\nCRD,BOX\n"),
            ("placement.csv", RUN),
            ("placement_piece.csv", "placement,piece\nBX,BX\nRU,LD-1\nRU,CRD\n"),
            ("link.csv", links),
        ])
    };
    let y = files(
        "code,kind,from_piece,from_port,to_placement,to_piece,lead\nL1,data,BX,1,BO,,LD-1\nL2,mains,,,,BX,CRD\n",
    );
    let up = derived(&y, Phase::Up);
    let lay = step(&up, &y, "RU", "lay");
    for (placement, word) in [("BO", "connect"), ("BX", "outputs"), ("BX", "power")] {
        assert!(before(&up, lay, step(&up, &y, placement, word)), "{placement} {word}");
    }
    // No lead told: nothing is said.
    let y = files(
        "code,kind,from_piece,from_port,to_placement,to_piece,lead\nL1,data,BX,1,BO,,\nL2,mains,,,,BX,\n",
    );
    let up = derived(&y, Phase::Up);
    assert!(!before(&up, step(&up, &y, "RU", "lay"), step(&up, &y, "BX", "power")));
}

#[test]
fn a_frame_is_squared_before_anything_hangs_on_it() {
    let y = yard(&[(
        "placement.csv",
        "code,name,season,product,place,method,carried_by\nFR,Frame,glow-2026,FRAME,LAWN,bare_frame,\nPA,Panel,glow-2026,PANEL,LAWN,frame_panel,FR\n",
    )]);
    let up = derived(&y, Phase::Up);
    assert!(before(&up, step(&up, &y, "FR", "square"), step(&up, &y, "PA", "hang")));
}

#[test]
fn what_is_hung_is_one_stretch_with_what_ties_it() {
    let y = yard(&[(
        "placement.csv",
        "code,name,season,product,place,method\nCU,Curtain,glow-2026,CURTAIN,EAVES,hook\nBO,Boats,glow-2026,BOAT,LAWN,stake\nMA,Mast,glow-2026,STAR,LAWN,guyed_mast\n",
    )]);
    let up = derived(&y, Phase::Up);
    for (placement, first, last) in
        [("CU", "hang", "dress"), ("BO", "set", "tie"), ("MA", "raise", "guys"), ("MA", "strands", "feeds")]
    {
        let (first, last) = (step(&up, &y, placement, first), step(&up, &y, placement, last));
        assert!(first.stretch.is_some() && first.stretch == last.stretch, "{} {}", first.title, last.title);
    }
    assert_eq!(step(&up, &y, "BO", "drive").stretch, None, "stakes may go in weeks earlier");
    assert_eq!(step(&up, &y, "MA", "retension").stretch, None, "after the first windy night");
}

#[test]
fn a_song_is_chosen_then_programmed_then_settings_are_copied() {
    let y = yard(&[(
        "desk_task.csv",
        "code,season,title,minutes_s\nA,glow-2026,Settings copied,600\nB,glow-2026,Programming: new song,600\nC,glow-2026,Choose the new song,600\nD,glow-2026,Paint the sign,600\n",
    )]);
    let up = derived(&y, Phase::Up);
    let of = |t: &str| by_title(&up, t);
    assert!(
        before(&up, of("Choose"), of("Programming")) && before(&up, of("Programming"), of("Settings copied"))
    );
    assert!(!before(&up, of("Paint"), of("Settings copied")) && !before(&up, of("Choose"), of("Paint")));
}

#[test]
fn field_strength_is_measured_once_the_antenna_is_up() {
    let y = yard(&[
        (
            "placement.csv",
            "code,name,season,product,place,method\nTX,Transmitter,glow-2026,BOX,EAVES,radio\nBO,Boats,glow-2026,BOAT,LAWN,stake\n",
        ),
        ("duty.csv", "code,season,title,kind,minutes_s\nD-1,glow-2026,Field strength measured,other,600\n"),
    ]);
    let up = derived(&y, Phase::Up);
    let measured = by_title(&up, "Field strength");
    assert!(
        before(&up, step(&up, &y, "TX", "antenna"), measured)
            && before(&up, step(&up, &y, "TX", "range"), measured)
    );
    assert!(!before(&up, step(&up, &y, "BO", "set"), measured));
}

const PROPS: &str = "code,name,season,product,count,place,method,carried_by,held_why\n\
    B1,Boats one,glow-2026,BOAT,8,LAWN,stake,,\nB2,Boats two,glow-2026,BOAT,8,LAWN,stake,,\nBX,Box,glow-2026,BOX,1,PORCH,box,,\n";
const LINKS: &str = "code,kind,from_piece,from_port,to_placement\nL1,data,BX,1,B1\nL2,data,BX,2,B2\n";

fn rounds(props: &str, more: &[(&str, &str)]) -> Yard {
    let mut files = vec![
        ("placement.csv", props),
        ("link.csv", LINKS),
        ("placement_piece.csv", "placement,piece\nBX,BX\n"),
    ];
    files.extend(more);
    yard(&files)
}

fn offs(up: &[Step]) -> Vec<&Step> {
    up.iter().filter(|s| s.key.as_str().starts_with("box:") && s.deed == StepDeed::Power).collect()
}

#[test]
fn a_round_is_one_stretch_that_begins_once_all_hangs() {
    let y = rounds(PROPS, &[]);
    let up = derived(&y, Phase::Up);
    let off = offs(&up)[0];
    assert_eq!(offs(&up).len(), 1);
    for placement in ["B1", "B2"] {
        assert!(
            before(&up, step(&up, &y, placement, "tie"), off),
            "{placement} stands before the box is off"
        );
        assert_eq!(step(&up, &y, placement, "connect").stretch.as_ref(), Some(&off.key));
    }
    let mine: Vec<_> = up.iter().filter(|s| s.stretch.as_ref() == Some(&off.key)).collect();
    assert_eq!(mine.len(), 5, "off, two connects, look, test");
    assert!(off.title.contains("tag"), "the tag shows: {}", off.title);
}

#[test]
fn a_round_longer_than_any_session_becomes_several() {
    let session = |minutes: &str| format!("code,starts,ends\nS-1,2026-11-07T09:00,2026-11-07T09:{minutes}\n");
    for (minutes, many) in [("50", 1), ("30", 2)] {
        let text = session(minutes);
        let y = rounds(PROPS, &[("session.csv", &text)]);
        let up = derived(&y, Phase::Up);
        assert_eq!(offs(&up).len(), many, "a session of {minutes} minutes");
        // The first keeps its key, and each has a look and a test of its own.
        assert!(offs(&up).iter().any(|s| s.key.as_str().ends_with("/off/up")));
        let tests =
            up.iter().filter(|s| s.key.as_str().starts_with("box:") && s.key.as_str().contains("/test"));
        assert_eq!(tests.count(), many);
    }
}

#[test]
fn what_is_held_keeps_nobody_else_in_the_dark() {
    let y = rounds(
        &PROPS.replace(
            "B2,Boats two,glow-2026,BOAT,8,LAWN,stake,,",
            "B2,Boats two,glow-2026,BOAT,8,LAWN,stake,,a part is missing",
        ),
        &[],
    );
    let up = derived(&y, Phase::Up);
    let off = offs(&up)[0];
    assert_eq!(step(&up, &y, "B1", "connect").stretch.as_ref(), Some(&off.key));
    assert_eq!(step(&up, &y, "B2", "connect").stretch, None);
    assert!(!before(&up, step(&up, &y, "B2", "tie"), off));
}

/// What hangs only after another of the same box and place was tested is connected in a later round.
#[test]
fn a_round_that_would_wait_for_itself_becomes_two() {
    // Only the permanent line's own lighting comes first there, so what hangs on it waits for that.
    let y = rounds(
        "code,name,season,product,count,place,method,carried_by,permanent\n\
         B1,Lamp,glow-2026,BOAT,1,LAWN,set_out,,yes\nB2,Boat,glow-2026,BOAT,1,LAWN,stake,B1,\nBX,Box,glow-2026,BOX,1,PORCH,box,,\n",
        &[],
    );
    let up = derived(&y, Phase::Up);
    let (first, second) = (step(&up, &y, "B1", "connect"), step(&up, &y, "B2", "connect"));
    assert_ne!(first.stretch, second.stretch);
    assert_eq!(offs(&up).len(), 2);
}

#[test]
fn a_circle_of_what_carries_and_what_feeds_is_told() {
    // The box hangs on the frame that it feeds once the frame is lit.
    let y = yard(&[
        (
            "placement.csv",
            "code,name,season,product,count,place,method,carried_by,permanent\nB1,Lamp,glow-2026,BOAT,1,LAWN,set_out,,yes\nBX,Box,glow-2026,BOX,1,PORCH,box,B1,\n",
        ),
        ("link.csv", "code,kind,from_piece,from_port,to_placement\nL1,data,BX,1,B1\n"),
        ("placement_piece.csv", "placement,piece\nBX,BX\n"),
    ]);
    let refused = try_derived(&y, "glow-2026", Phase::Up).unwrap_err();
    let DeriveError::Cycle(lines) = refused else { panic!("{refused:?}") };
    let text = lines.join("\n");
    assert!(text.contains("after the light test of BX") && text.contains("plugged in and closed"), "{text}");
}

#[test]
fn an_outlet_that_is_not_there_yet_holds_back_all_that_hangs_on_it() {
    let mains = "code,kind,from_outlet,from_piece,from_port,to_piece,to_placement\nM1,mains,O,,,X-1,\n\
        M2,mains,,X-1,,BX,\nL1,data,,BX,1,,B1\nL2,data,,BX,2,,B2\n";
    let split = "code,product\nBX,BOX\nB-1,BOAT\nB-2,BOAT\nF-1,FRAME\nX-1,BOX\n";
    let outlet = |day: &str| format!("code,ready_on\nO,{day}\n");
    for (day, held) in [("2026-11-20", Some("2026-11-20 00:00:00")), ("", None)] {
        let outlet = outlet(day);
        let y = rounds(PROPS, &[("link.csv", mains), ("piece.csv", split), ("outlet.csv", &outlet)]);
        let up = derived(&y, Phase::Up);
        let plugged = step(&up, &y, "BX", "power");
        assert_eq!(plugged.not_before.map(|t| t.to_string()).as_deref(), held);
        assert_eq!(step(&up, &y, "BX", "seal").not_before, None, "what plugs nothing in does not wait");
    }
}

#[test]
fn a_box_told_by_its_placement_has_the_same_rounds() {
    let by_placement = "code,kind,from_placement,from_port,to_placement\nL1,data,BX,1,B1\nL2,data,BX,2,B2\n";
    let steps = |links| {
        let y = rounds(PROPS, &[("link.csv", links)]);
        let up = derived(&y, Phase::Up);
        up.iter().map(|s| (s.title.clone(), s.stretch.is_some(), s.after.len())).collect::<Vec<_>>()
    };
    assert_eq!(steps(LINKS), steps(by_placement));
}
