//! The rules that order steps across placements, one test a rule. The rules are common practice, no published source.

use ladderday::domain::{Phase, StepDeed};
use ladderday::steps::{Reason, Role};

use super::small_yard::{before, derived, step, try_derived, yard};

const PROPS: &str = "code,name,season,product,count,place,method,carried_by,permanent,stakes\n\
    LN,Roofline,glow-2026,LINE,1,EAVES,trim_channel,,yes,\n\
    CU,Curtains,glow-2026,CURTAIN,4,EAVES,hook,LN,,\n\
    BO,Boats,glow-2026,BOAT,8,LAWN,stake,,,16\n\
    BX,Box,glow-2026,BOX,1,PORCH,box,,,\n";

const FALL: &str = "upper_place,lower_place\nEAVES,LAWN\n";

const LINKS: &str = "code,kind,from_piece,from_port,to_placement\nL1,data,BX,1,CU\nL2,data,BX,2,BO\n";

const BOX_OUT: &str = "placement,piece\nBX,BX\n";

fn props() -> ladderday::domain::Yard {
    yard(&[
        ("placement.csv", PROPS),
        ("fall_line.csv", FALL),
        ("link.csv", LINKS),
        ("placement_piece.csv", BOX_OUT),
    ])
}

#[test]
fn what_carries_comes_before_what_is_carried() {
    let y = yard(&[(
        "placement.csv",
        "code,name,season,product,place,method,carried_by\nFR,Frame,glow-2026,FRAME,LAWN,bare_frame,\nPA,Panel,glow-2026,PANEL,LAWN,frame_panel,FR\n",
    )]);
    let up = derived(&y, Phase::Up);
    let edge = up.iter().flat_map(|s| &s.after).find(|e| e.reason == Reason::Carries).unwrap();
    assert!(edge.why.contains("Frame carries Panel"), "{}", edge.why);
    let down = derived(&y, Phase::Down);
    let edge = down.iter().flat_map(|s| &s.after).find(|e| e.reason == Reason::Carries).unwrap();
    assert!(edge.why.contains("Panel is taken off Frame"), "{}", edge.why);
}

#[test]
fn leads_are_connected_with_the_box_off_and_tested_as_one_round() {
    let y = props();
    let up = derived(&y, Phase::Up);
    let box_step = |deed: &str| {
        up.iter()
            .filter(|s| s.key.as_str().starts_with("box:") && s.key.as_str().contains(deed))
            .collect::<Vec<_>>()
    };
    for (placement, place) in [("CU", "EAVES"), ("BO", "LAWN")] {
        let connect = step(&up, &y, placement, "connect");
        let at = y.places.iter().find(|p| p.code == place).unwrap().id.to_string();
        let of = |deed: &str| *box_step(deed).iter().find(|s| s.key.as_str().contains(&at)).unwrap();
        let (off, plugs, test) = (of("/off/"), of("/plugs/"), of("/test/"));
        assert!(before(&up, off, connect) && before(&up, connect, plugs) && before(&up, plugs, test));
        // The round's test stands for the placement's own.
        assert!(!up.iter().any(|s| s.placement == connect.placement && s.deed == StepDeed::Test));
        // The box hangs first.
        let hung = step(&up, &y, "BX", "hang");
        assert!(before(&up, hung, off), "the box hangs before its first round");
    }
    assert!(up.iter().flat_map(|s| &s.after).any(|e| e.reason == Reason::Feeds));
}

#[test]
fn high_before_low_in_one_fall_line() {
    let y = props();
    let up = derived(&y, Phase::Up);
    let (hang, drive) = (step(&up, &y, "CU", "hang"), step(&up, &y, "BO", "drive"));
    assert!(before(&up, hang, drive), "curtains hang before anything stands below");
    let free = yard(&[("placement.csv", PROPS), ("link.csv", LINKS), ("placement_piece.csv", BOX_OUT)]);
    let up = derived(&free, Phase::Up);
    let (hang, drive) = (step(&up, &free, "CU", "hang"), step(&up, &free, "BO", "drive"));
    assert!(!before(&up, hang, drive), "without a fall line nothing is said");
}

#[test]
fn what_stands_below_and_carries_what_is_above_closes_no_circle() {
    let y = yard(&[
        (
            "placement.csv",
            "code,name,season,product,place,method,carried_by\nFR,Frame,glow-2026,FRAME,LAWN,bare_frame,\nPA,Panel,glow-2026,PANEL,EAVES,clamp,FR\n",
        ),
        ("fall_line.csv", FALL),
    ]);
    for phase in [Phase::Up, Phase::Down] {
        let steps = derived(&y, phase);
        assert!(
            steps.iter().flat_map(|s| &s.after).all(|e| e.reason != Reason::Above),
            "carrying holds, not the fall line"
        );
    }
}

#[test]
fn nothing_goes_out_untested() {
    let y = props();
    let up = derived(&y, Phase::Up);
    for (placement, first) in [("CU", "hang"), ("BO", "set")] {
        assert!(before(&up, step(&up, &y, placement, "bench"), step(&up, &y, placement, first)));
    }
    // Stakes may go in weeks earlier, before the ground freezes.
    assert!(!before(&up, step(&up, &y, "BO", "bench"), step(&up, &y, "BO", "drive")));
}

#[test]
fn what_goes_above_reach_is_lit_on_the_ground_the_same_day() {
    let y = props();
    let up = derived(&y, Phase::Up);
    let hang = step(&up, &y, "CU", "hang");
    let light = up.iter().find(|s| s.placement == hang.placement && s.deed == StepDeed::GroundLight).unwrap();
    assert!(hang.after.iter().any(|e| e.key == light.key && e.same_day));
}

#[test]
fn the_rehearsal_has_two_parts_after_everything_and_then_the_lights_go_on() {
    let y = props();
    let up = derived(&y, Phase::Up);
    let by = |deed: &str| up.iter().find(|s| s.key.as_str().contains(deed)).unwrap();
    let (load, show, on) = (by("rehearsal_load"), by("rehearsal_show"), by("lights_on"));
    assert_eq!((load.role, show.role, on.role), (Role::Rehearsal, Role::Rehearsal, Role::LightsOn));
    assert!(before(&up, load, show) && before(&up, show, on));
    for s in up.iter().filter(|s| s.role == Role::Work) {
        assert!(before(&up, s, load), "{} comes before the rehearsal", s.title);
    }
}

#[test]
fn takedown_begins_with_the_power_off_and_ends_dry() {
    let y = props();
    let down = derived(&y, Phase::Down);
    let off = down.iter().find(|s| s.key.as_str().contains("power_off")).unwrap();
    for s in down.iter().filter(|s| s.key != off.key) {
        assert!(before(&down, off, s), "{}: {} after the power is off", s.subject, s.title);
    }
    let (dry, pack) = (step(&down, &y, "BO", "dry"), step(&down, &y, "BO", "pack"));
    let edge = pack.after.iter().find(|e| e.key == dry.key).unwrap();
    assert_eq!(edge.reason, Reason::Dries);
    assert!((24 * 60..=48 * 60).contains(&edge.wait_min), "24 to 48 hours: {}", edge.wait_min);
    assert!(dry.drying_min.is_some(), "it fills a slot of the drying place");
    // The box comes off after what it feeds is disconnected.
    assert!(
        before(&down, step(&down, &y, "BO", "disconnect"), step(&down, &y, "BX", "disconnect")) || {
            let first = down.iter().find(|s| {
                s.placement == step(&down, &y, "BX", "disconnect").placement && s.deed == StepDeed::Lower
            });
            first.is_some_and(|f| before(&down, step(&down, &y, "BO", "disconnect"), f))
        }
    );
}

#[test]
fn what_is_permanent_is_looked_after_and_stays() {
    let y = props();
    let down = derived(&y, Phase::Down);
    let line = y.placements.iter().find(|p| p.code == "LN").unwrap().id;
    let deeds: Vec<StepDeed> = down.iter().filter(|s| s.placement == Some(line)).map(|s| s.deed).collect();
    assert!(deeds.contains(&StepDeed::Care), "{deeds:?}");
    assert!(
        !deeds.iter().any(|d| matches!(d, StepDeed::Pack | StepDeed::Lower | StepDeed::Dry)),
        "{deeds:?}"
    );
}

#[test]
fn a_faulty_piece_goes_to_the_bench_tote() {
    let y = yard(&[
        (
            "placement.csv",
            "code,name,season,product,count,place,method\nBO,Boats,glow-2026,BOAT,2,LAWN,stake\n",
        ),
        ("placement_piece.csv", "placement,piece\nBO,B-1\nBO,B-2\n"),
        ("container.csv", "code,name,bench\nT-9,Bench tote,yes\n"),
        ("fault.csv", "code,piece,symptom,found\nF-1,B-2,one pixel out,2026-12-12T20:00Z\n"),
    ]);
    let down = derived(&y, Phase::Down);
    let title = &step(&down, &y, "BO", "pack").title;
    assert!(title.contains("B-2 faulty: into Bench tote, not home"), "{title}");
}

#[test]
fn a_circle_of_carrying_is_told_in_words() {
    // The importer refuses it; two laptops brought together can still make it.
    let mut y = yard(&[(
        "placement.csv",
        "code,name,season,product,place,method,carried_by\nA,Arch,glow-2026,FRAME,LAWN,bare_frame,\nB,Beam,glow-2026,FRAME,LAWN,bare_frame,A\n",
    )]);
    let (a, b) = (y.placements[0].id, y.placements[1].id);
    y.placements[0].carried_by_id = Some(b);
    y.placements[1].carried_by_id = Some(a);
    let refused = try_derived(&y, "glow-2026", Phase::Up).unwrap_err();
    let ladderday::steps::DeriveError::Cycle(lines) = refused else { panic!("{refused:?}") };
    let text = lines.join("\n");
    assert!(text.contains("Arch carries Beam") && text.contains("Beam carries Arch"), "{text}");
}
