//! What one person may confirm to do alone, and what never (common practice: nobody is alone on a roof, on an extension
//! ladder, at a mast, or with what takes two hands).

use ladderday::domain::{Phase, Yard};
use ladderday::steps::Step;

use super::small_yard::{derived, step, yard};

const PROPS: &str = "code,name,season,product,count,place,method\n\
    LOW,Rail light,glow-2026,BOAT,1,LAWN,tie\nHIGH,Eave light,glow-2026,BOAT,1,EAVES,tie\n\
    TOP,Roof star,glow-2026,STAR,1,ROOF,roof_strap\nMAST,Cone tree,glow-2026,LINE,1,LAWN,guyed_mast\n\
    PANEL,Board,glow-2026,PANEL,1,LAWN,frame_panel\n";

fn confirmed(keys: &[&str]) -> Yard {
    let ticks = keys.iter().fold("step_key,kind,at,season,cautions,why\n".to_owned(), |all, key| {
        format!("{all}placement:{key}/up,note,2026-09-02T10:00Z,glow-2026,alone,confirmed\n")
    });
    yard(&[("placement.csv", PROPS), ("tick.csv", &ticks)])
}

#[test]
fn alone_is_confirmed_step_by_step_on_the_ground_and_nowhere_higher() {
    let all = [
        "LOW/tie.tie",
        "HIGH/tie.tie",
        "TOP/roof_strap.fit",
        "MAST/guyed_mast.raise",
        "PANEL/frame_panel.hang",
    ];
    let told = |y: &Yard| -> Vec<bool> {
        let steps: Vec<Step> = derived(y, Phase::Up);
        let of = |key: &&str| {
            let (placement, recipe) = key.split_once('/').unwrap();
            step(&steps, y, placement, recipe.rsplit('.').next().unwrap()).not_alone
        };
        all.iter().map(of).collect()
    };
    assert_eq!(told(&confirmed(&[])), [true; 5]);
    assert_eq!(told(&confirmed(&all)), [false, true, true, true, true]);
    // One step says nothing of another.
    let y = confirmed(&["LOW/tie.tie"]);
    let steps = derived(&y, Phase::Up);
    assert!(!step(&steps, &y, "LOW", "tie").not_alone);
    assert!(step(&steps, &y, "LOW", "dress").not_alone);
}
