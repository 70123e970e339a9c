//! The general ways of mounting, each planned up and down on a yard of its own, at every height.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use ladderday::app::{App, Choices};
use ladderday::domain::{Access, Phase, StepDeed};
use ladderday::steps::Step;

/// Methods that a stranger's yard needs, and whether their recipe makes or bonds something in the first year.
const GENERAL: &[(&str, bool)] = &[
    ("tie", false),
    ("bracket", true),
    ("clip", false),
    ("laid", false),
    ("weigh", false),
    ("hang_from", false),
    ("suction", false),
    ("adhesive_hook", false),
    ("magnet_steel", false),
    ("tape", false),
    ("glue", true),
    ("drape", false),
    ("throw", false),
];
/// Those with which nothing may be bonded, glued or taped.
const NEVER_BONDED: &[&str] =
    &["tie", "clip", "laid", "weigh", "hang_from", "suction", "magnet_steel", "drape", "throw"];
/// Those that ask for a drill.
const DRILLED: &[&str] = &["bracket"];

fn yard(lines: &str) -> (tempfile::TempDir, App) {
    let folder = tempfile::tempdir().unwrap();
    let csv = folder.path().join("csv");
    std::fs::create_dir(&csv).unwrap();
    let places =
        "code,name,access\nG,Yard,ground\nS,Porch,step_ladder\nX,Eaves,extension_ladder\nR,Roof,roof\n";
    std::fs::write(csv.join("place.csv"), places).unwrap();
    let season = "code,name,show,lights_on,lights_off\nglow-2026,Glow,glow,2026-11-27T17:00,2027-01-03\n";
    std::fs::write(csv.join("season.csv"), season).unwrap();
    std::fs::write(csv.join("placement.csv"), lines).unwrap();
    let choices = Choices { now: Some("2026-10-01T12:00".to_owned()), ..Choices::default() };
    let mut app = App::create(&folder.path().join("y.ladderday"), &choices).unwrap();
    app.import(&[csv]).unwrap();
    (folder, app)
}

fn steps(app: &App, phase: Phase, code: &str) -> Vec<Step> {
    let id = app.yard().placements.iter().find(|p| p.code == code).unwrap().id;
    let all = app.steps(phase).unwrap();
    all.steps.iter().filter(|s| s.placement == Some(id)).map(|s| (**s).clone()).collect()
}

#[test]
fn each_general_method_is_planned_up_and_down_at_every_height() {
    for (method, makes) in GENERAL {
        let mut lines = "code,name,season,count,place,method\n".to_owned();
        for place in ["G", "S", "X", "R"] {
            writeln!(lines, "P-{place},Prop {place},glow-2026,3,{place},{method}").unwrap();
        }
        let (_folder, mut app) = yard(&lines);
        let known: BTreeSet<String> = app.yard().cautions.iter().map(|c| c.code.clone()).collect();
        for phase in [Phase::Up, Phase::Down] {
            let plan = app.plan(phase, 60).unwrap();
            app.judge(&plan).unwrap_or_else(|p| panic!("{method} {phase:?}: {}", p.what));
            assert!(plan.unplaced.is_empty(), "{method} {phase:?}");
        }
        for place in ["G", "S", "X", "R"] {
            let code = format!("P-{place}");
            let up = steps(&app, Phase::Up, &code);
            let has = |steps: &[Step], deed: StepDeed| steps.iter().filter(|s| s.deed == deed).count();
            assert_eq!((has(&up, StepDeed::Connect), has(&up, StepDeed::Test)), (1, 1), "{method} {place}");
            assert_eq!(has(&up, StepDeed::Make) > 0, *makes, "{method} {place}");
            let drilled = up.iter().any(|s| s.equipment.iter().any(|e| e == "drill"));
            assert_eq!(drilled, DRILLED.contains(method), "{method}");
            let bonded = up.iter().any(|s| s.cautions.iter().any(|c| c == "adhesive" || c == "tape"));
            assert!(!(bonded && NEVER_BONDED.contains(method)), "{method}");
            let down = steps(&app, Phase::Down, &code);
            assert_eq!(has(&down, StepDeed::Disconnect), 1);
            assert!(has(&down, StepDeed::Lower) >= 1 && has(&down, StepDeed::Pack) == 1, "{method} {place}");
            for s in up.iter().chain(&down) {
                for caution in &s.cautions {
                    assert!(known.contains(caution), "{}: {caution}", s.recipe_step);
                }
                let high = s.access != Access::Ground;
                assert!(!high || s.cautions.iter().any(|c| c == "ladder"), "{}", s.recipe_step);
                assert!(s.access != Access::Roof || s.not_alone, "{}", s.recipe_step);
            }
        }
        let id = app.yard().methods.iter().find(|m| m.code == *method).unwrap().id;
        let tonight = |r: &&ladderday::domain::RecipeStep| r.method_id == id && r.phase == Phase::Tonight;
        assert!(
            app.yard().recipe_steps.iter().any(|r| tonight(&r)),
            "{method}: never looked at while it runs"
        );
    }
}

/// What stays gets its care and is not taken down: told at the placement, or so by its method.
#[test]
fn what_stays_is_cared_for_and_not_taken_down() {
    let mut lines = "code,name,season,count,place,method,permanent\n".to_owned();
    let staying: Vec<_> = GENERAL.iter().map(|m| m.0).filter(|m| *m != "suction").collect();
    for method in &staying {
        writeln!(lines, "P-{method},Prop {method},glow-2026,1,G,{method},yes").unwrap();
    }
    for method in ["trim_channel", "trim_tape"] {
        writeln!(lines, "P-{method},Prop {method},glow-2026,1,G,{method},").unwrap();
    }
    let (_folder, mut app) = yard(&lines);
    for phase in [Phase::Up, Phase::Down] {
        let plan = app.plan(phase, 60).unwrap();
        app.judge(&plan).unwrap();
    }
    for method in staying.iter().chain(&["trim_channel", "trim_tape"]) {
        let down = steps(&app, Phase::Down, &format!("P-{method}"));
        assert!(down.iter().any(|s| s.deed == StepDeed::Care), "{method} gets no care");
        for s in &down {
            let taken = matches!(s.deed, StepDeed::Lower | StepDeed::Pull | StepDeed::Pack | StepDeed::Dry);
            assert!(!taken, "{} takes down what stays", s.recipe_step);
        }
        let up = steps(&app, Phase::Up, &format!("P-{method}"));
        let put = up.iter().any(|s| matches!(s.deed, StepDeed::Hang | StepDeed::Set | StepDeed::GroundLight));
        assert!(!put, "{method} is put up again");
    }
}
