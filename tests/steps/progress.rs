//! What the ticks say of a step.

use ladderday::domain::Phase;
use ladderday::steps::{State, progress};

use super::small_yard::{derived, step, yard};

const BOATS: &str = "code,name,season,product,count,place,method\nBO,Boats,glow-2026,BOAT,8,LAWN,stake\n";

fn with(ticks: &str) -> ladderday::domain::Yard {
    let head = "step_key,kind,at,season,placement,done_count,of_count,why\n";
    yard(&[("placement.csv", BOATS), ("tick.csv", &format!("{head}{ticks}"))])
}

#[test]
fn a_count_leaves_the_rest_open() {
    let y = with("placement:BO/stake.set/up,count,2026-11-01T15:00Z,glow-2026,BO,6,8,two not here\n");
    let up = derived(&y, Phase::Up);
    let p = &progress(&y.ticks)[&step(&up, &y, "BO", "set").key];
    assert_eq!((p.state, p.done, p.of, p.why.as_str()), (State::Open, 6, Some(8), "two not here"));
}

#[test]
fn a_count_that_grew_opens_the_step_again() {
    let y = with("placement:BO/stake.set/up,done,2026-11-01T15:00Z,glow-2026,BO,8,8,\n");
    let up = derived(&y, Phase::Up);
    let p = &progress(&y.ticks)[&step(&up, &y, "BO", "set").key];
    assert_eq!(p.state_for(Some(8)), State::Done);
    assert_eq!((p.state_for(Some(10)), p.done), (State::Open, 8), "8 of 10 done, open again");
}

#[test]
fn the_last_event_counts_and_a_note_changes_nothing() {
    let y = with(
        "placement:BO/stake.set/up,done,2026-11-01T15:00Z,glow-2026,BO,8,8,\n\
         placement:BO/stake.set/up,reopen,2026-11-01T15:05Z,glow-2026,BO,,,wrong prop\n\
         placement:BO/stake.tie/up,hold,2026-11-01T15:06Z,glow-2026,BO,,,no ties\n\
         placement:BO/stake.tie/up,note,2026-11-01T15:07Z,glow-2026,BO,,,ask for more\n",
    );
    let up = derived(&y, Phase::Up);
    let all = progress(&y.ticks);
    assert_eq!(all[&step(&up, &y, "BO", "set").key].state, State::Open);
    let tie = &all[&step(&up, &y, "BO", "tie").key];
    assert_eq!((tie.state, tie.why.as_str()), (State::Held, "ask for more"));
}
