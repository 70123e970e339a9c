//! What is said at a step: cautions that fit it, few and the deadliest first; words and clauses of the site.

use std::fmt::Write as _;

use ladderday::app::{App, Choices, Pick, SheetForm};
use ladderday::domain::{Access, Phase, StepDeed};
use ladderday::steps::Step;

use super::small_yard::{derived, yard};

/// A yard with a thing of every shipped method at every height, in the words of a site.
fn every_method(terms: &str) -> ladderday::domain::Yard {
    let methods = include_str!("../../sample-data/method.csv").lines().skip(1);
    let mut lines = "code,name,season,product,count,place,method\n".to_owned();
    for method in methods.filter_map(|l| l.split(',').next()) {
        for place in ["PORCH", "EAVES", "ROOF"] {
            writeln!(lines, "{method}-{place},{method},glow-2026,BOAT,2,{place},{method}").unwrap();
        }
    }
    let site = format!("name,units,terms\nYard,us,{terms}\n");
    yard(&[("site.csv", &site), ("placement.csv", &lines)])
}

fn all_steps(yard: &ladderday::domain::Yard) -> Vec<Step> {
    [Phase::Up, Phase::Down].into_iter().flat_map(|p| derived(yard, p)).collect()
}

fn has(s: &Step, code: &str) -> bool {
    s.cautions.iter().any(|c| c == code)
}

#[test]
fn a_step_says_at_most_five_cautions_and_the_deadliest_first() {
    let steps = all_steps(&every_method("us"));
    assert!(steps.len() > 500);
    for s in &steps {
        assert!(s.cautions.len() <= 5, "{}: {:?}", s.recipe_step, s.cautions);
        let at = |code: &str| s.cautions.iter().position(|c| c == code).unwrap_or(usize::MAX);
        for (deadly, less) in
            [("overhead", "wind"), ("mains", "cold"), ("roof", "adhesive"), ("ladder", "lifting")]
        {
            let both = at(deadly) < usize::MAX && at(less) < usize::MAX;
            assert!(!both || at(deadly) < at(less), "{}: {:?}", s.recipe_step, s.cautions);
        }
    }
}

#[test]
fn ladders_lines_and_masts_are_said_where_they_are() {
    for s in all_steps(&every_method("us")) {
        let aloft = matches!(s.access, Access::ExtensionLadder | Access::Roof);
        assert_eq!(has(&s, "ladder"), s.access != Access::Ground, "{} {:?}", s.recipe_step, s.access);
        assert!(!aloft || (has(&s, "overhead") && has(&s, "wind")), "{}: {:?}", s.recipe_step, s.cautions);
        if has(&s, "mast") {
            assert!(
                ["guyed_mast.raise", "guyed_mast.guys", "guyed_mast.walk"].contains(&s.recipe_step.as_str()),
                "{}",
                s.recipe_step
            );
        }
        if s.deed == StepDeed::Drive {
            assert!(has(&s, "driver") && has(&s, "buried"), "{}", s.recipe_step);
        }
        if s.key.as_str().contains("lights_on") {
            assert!(!has(&s, "supply_off") && has(&s, "temporary"), "{:?}", s.cautions);
        }
    }
    let fit = all_steps(&every_method("us")).into_iter().find(|s| s.recipe_step == "box.fit_out").unwrap();
    assert!(has(&fit, "mains") && has(&fit, "hot_tool"), "{:?}", fit.cautions);
}

/// Paint (40 CFR 745) and asbestos (29 CFR 1926.1101) before every step that drills into the house.
#[test]
fn what_drills_into_the_house_asks_how_old_it_is() {
    for s in all_steps(&every_method("us")) {
        let into_house = s.deed == StepDeed::Make && has(&s, "dust") && s.place.is_some();
        assert!(!into_house || has(&s, "old_surface"), "{}: {:?}", s.recipe_step, s.cautions);
    }
}

/// A hook in wood is turned in by hand; brick asks for the hammer drill.
#[test]
fn tools_follow_what_it_is_fixed_to() {
    let lines = "code,name,season,count,place,method\nW1,Wreath,glow-2026,1,DOOR,hook\nW2,Wreath,glow-2026,1,WALL,hook\n\
        W3,Star,glow-2026,1,WALL,bracket\nW4,Star,glow-2026,1,DOOR,bracket\n";
    let places = "code,name,access\nDOOR,Front door,ground\nWALL,Brick wall,ground\n";
    let yard = yard(&[("placement.csv", lines), ("place.csv", places)]);
    let of = |code: &str, deed| {
        let id = yard.placements.iter().find(|p| p.code == code).unwrap().id;
        let all = derived(&yard, Phase::Up);
        all.iter().find(|s| s.placement == Some(id) && s.deed == deed).map(|s| s.equipment.clone()).unwrap()
    };
    assert!(of("W1", StepDeed::Make).is_empty());
    assert_eq!(of("W2", StepDeed::Make), ["hammer_drill"]);
    assert_eq!(of("W3", StepDeed::Make), ["hammer_drill"]);
    assert_eq!(of("W4", StepDeed::Make), ["drill"]);
}

/// A switch has no colours, no polarity to meter and no pattern; a speaker is heard, not lit.
#[test]
fn a_switch_and_a_speaker_are_not_light_tested() {
    let products = "code,name,role,volts_mv,ports\nSW,Show switch,network,120000,8\nPL,Player,player,120000,\nSP,Speaker,sound,,\n";
    let lines = "code,name,season,product,count,place,method\nA,Switch,glow-2026,SW,1,PORCH,set_out\n\
        B,Player,glow-2026,PL,1,PORCH,bracket\nC,Speaker,glow-2026,SP,1,EAVES,hook\n";
    let yard = yard(&[("placement.csv", lines), ("product.csv", products), ("piece.csv", "code,product\n")]);
    for s in all_steps(&yard).iter().filter(|s| s.placement.is_some()) {
        let words = s.title.to_lowercase();
        for wrong in
            ["polarity", "light test", "all colors", "all colours", "every pixel", "light it on the ground"]
        {
            assert!(!words.contains(wrong), "{}: {}", s.subject, s.title);
        }
    }
}

/// Told to have no pixel and no load, it is hung and looked over, never plugged in.
#[test]
fn what_has_no_light_is_not_plugged_in() {
    let products = "code,name,role,pixels\nBOW,Ribbon,prop,0\nBOAT,Boat,prop,50\n";
    let lines = "code,name,season,product,count,place,method\nA,Ribbon,glow-2026,BOW,1,EAVES,hook\nB,Boat,glow-2026,BOAT,1,EAVES,hook\n";
    let yard = yard(&[("placement.csv", lines), ("product.csv", products), ("piece.csv", "code,product\n")]);
    let electric =
        [StepDeed::BenchTest, StepDeed::GroundLight, StepDeed::Connect, StepDeed::Test, StepDeed::Disconnect];
    let of = |name: &str| {
        all_steps(&yard).iter().filter(|s| s.subject == name && electric.contains(&s.deed)).count()
    };
    // The bench test is a step to start it and one to look.
    assert_eq!((of("Ribbon"), of("Boat")), (0, 6));
    assert!(all_steps(&yard).iter().any(|s| s.subject == "Ribbon" && s.deed == StepDeed::Hang));
}

/// A lead of the low-voltage side is off at its box; there is no outlet and no mains in it.
#[test]
fn a_low_voltage_lead_has_no_mains_in_it() {
    let products = "code,name,role,volts_mv,pixels,ports\nLD,Lead,lead,,,\nCORD,Cord,lead,,,\nBOAT,Boat,prop,5000,50,\nBOX,Box,box,,,4\n";
    let lines = "code,name,season,product,piece,count,place,method\nL1,Lead run,glow-2026,LD,LD-1,1,LAWN,cable_run\n\
        L2,Cord run,glow-2026,CORD,CO-1,1,LAWN,cable_run\nP1,Boat,glow-2026,BOAT,,1,LAWN,stake\nBX,Box,glow-2026,BOX,BX-1,1,LAWN,box\n";
    let yard = yard(&[
        ("placement.csv", lines),
        ("product.csv", products),
        ("piece.csv", "code,product\nLD-1,LD\nCO-1,CORD\nBX-1,BOX\n"),
        ("outlet.csv", "code\nO1\n"),
        (
            "link.csv",
            "code,kind,from_outlet,from_piece,from_port,to_piece,to_placement,lead\n\
             K1,dc,,BX-1,1,,P1,LD-1\nK2,mains,O1,,,BX-1,,CO-1\n",
        ),
    ]);
    let steps = all_steps(&yard);
    let of = |name: &str| steps.iter().filter(|s| s.subject == name).collect::<Vec<_>>();
    assert!(of("Lead run").len() > 5);
    for s in of("Lead run") {
        assert!(!has(s, "mains") && !s.title.contains("outlet"), "{}: {:?}", s.title, s.cautions);
    }
    assert!(of("Cord run").iter().any(|s| has(s, "mains")));
}

fn checklist(terms: &str) -> String {
    let folder = tempfile::tempdir().unwrap();
    let csv = folder.path().join("csv");
    std::fs::create_dir(&csv).unwrap();
    let write = |name: &str, text: &str| std::fs::write(csv.join(name), text).unwrap();
    write("site.csv", &format!("name,units,terms\nYard,us,{terms}\n"));
    write("season.csv", super::small_yard::SEASON);
    write("place.csv", super::small_yard::PLACES);
    let mut lines = "code,name,season,count,place,method\n".to_owned();
    for method in
        include_str!("../../sample-data/method.csv").lines().skip(1).filter_map(|l| l.split(',').next())
    {
        writeln!(lines, "P-{method},{method},glow-2026,2,EAVES,{method}").unwrap();
    }
    write("placement.csv", &lines);
    let choices = Choices { now: Some("2026-09-01T12:00".to_owned()), ..Choices::default() };
    let mut app = App::create(&folder.path().join("y.ladderday"), &choices).unwrap();
    app.import(&[csv]).unwrap();
    [Phase::Up, Phase::Down]
        .into_iter()
        .map(|p| app.checklist(p, &Pick::default(), 8, SheetForm::Text).unwrap())
        .collect()
}

/// Clauses hold where they are law: outside the United States the kind of local rule is named, and its words are used.
#[test]
fn clauses_and_words_are_those_of_the_site() {
    let there = checklist("elsewhere");
    for us in [
        "OSHA", "NEC ", "CFR", "UL 8", "CPSC", "NIOSH", "ADA ", "811", "GFCI", "breaker", "outlet", "10 ft",
        "color", "FDA",
    ] {
        assert!(!there.contains(us), "{us}: {}", there.lines().find(|l| l.contains(us)).unwrap());
    }
    assert!(there.contains("local utility") && there.contains("socket") && there.contains("all colours"));
    let here = checklist("us");
    for other in ["RCD", "MCB", "socket's", "colour", "neighbour", "protective earth"] {
        assert!(!here.contains(other), "{other}: {}", here.lines().find(|l| l.contains(other)).unwrap());
    }
    assert!(here.contains("29 CFR") && here.contains("NEC") && here.contains("all colors"));
}
