//! What a running program keeps of the facts is what a program opened afresh works out from the file.

use std::sync::Arc;

use ladderday::answers::view::ScreenId;
use ladderday::app::{App, Ask, Detail, DetailOf, NewFault, NewRepair, Page, PageWant, Tonight};
use ladderday::domain::{Phase, RepairDeed, TickKind};
use ladderday::steps::Derived;

use super::Yard;

const NOW: &str = "2026-10-17T15:00";

/// Everything that is looked up or counted from facts; nothing that follows a kept plan.
fn picture(app: &mut App) -> (Vec<Arc<Derived>>, Vec<Page>, Vec<Detail>) {
    crate::running::settle(app, Phase::Up);
    let (mut pages, mut details) = (Vec::new(), Vec::new());
    for screen in [ScreenId::Kit, ScreenId::Power, ScreenId::Faults, ScreenId::Totes, ScreenId::Seasons] {
        let page = app.page(screen, &PageWant::default()).unwrap();
        let rows: Vec<DetailOf> = match &page {
            Page::Kit(kit) => kit.rows.iter().map(|r| DetailOf::Kit(r.kind, r.id)).collect(),
            Page::Faults(faults) => faults.rows.iter().map(|r| DetailOf::Fault(r.id)).collect(),
            _ => Vec::new(),
        };
        details.extend(rows.into_iter().map(|row| app.detail(row).unwrap()));
        pages.push(page);
    }
    let steps = [Phase::Bench, Phase::Up, Phase::Down].map(|phase| app.steps(phase).unwrap());
    (steps.into(), pages, details)
}

/// Says what differs first.
fn assert_same(running: &mut App, afresh: &mut App, after: &str) {
    let (shown, right) = (picture(running), picture(afresh));
    if shown != right {
        let (a, b) = (format!("{shown:#?}"), format!("{right:#?}"));
        let line = a.lines().zip(b.lines()).find(|(x, y)| x != y);
        panic!("after {after}: shown and right differ first in {line:?}");
    }
}

#[test]
fn after_every_kind_of_deed_the_running_program_shows_what_the_file_says() {
    let yard = Yard::demo();
    let mut app = yard.at(NOW);
    // Hours are none of it, and looking for them takes long.
    let sessions: Vec<String> = app.yard().sessions.iter().map(|s| s.code.clone()).collect();
    for session in sessions {
        let _ = app.perform(&Ask::DropSession { session });
    }
    picture(&mut app);
    let steps = app.steps(Phase::Up).unwrap();
    let open = |s: &ladderday::steps::Step| !steps.progress.contains_key(&s.key);
    let one = steps.steps.iter().find(|s| open(s) && s.of.is_none()).unwrap().key.to_string();
    let counted =
        steps.steps.iter().find(|s| open(s) && s.of.is_some_and(|n| n > 2)).unwrap().key.to_string();
    // A mount that is made needs its steps no more: kept over their ticks, what was derived would be wrong.
    let mount = steps.steps.iter().find(|s| open(s) && s.key.as_str().ends_with("/once")).unwrap();
    let (owner, _) = mount.key.as_str().split_once('/').unwrap();
    let making: Vec<String> = steps
        .steps
        .iter()
        .filter(|s| s.key.as_str().starts_with(&format!("{owner}/")) && open(s))
        .map(|s| s.key.to_string())
        .collect();
    let mend = steps.steps.iter().find(|s| open(s) && s.key.as_str().starts_with("fault:")).unwrap();
    let tick = |key: &str, kind, count| Ask::Tick {
        key: key.to_owned(),
        kind,
        count,
        why: matches!(kind, TickKind::Hold).then(|| "rain".to_owned()),
    };
    let mut asks = vec![
        tick(&one, TickKind::Start, None),
        tick(&one, TickKind::Done, None),
        Ask::Undo,
        Ask::Redo,
        tick(&counted, TickKind::Count, Some(1)),
        tick(&counted, TickKind::Hold, None),
        tick(&counted, TickKind::Reopen, None),
        tick(&counted, TickKind::Skip, None),
        Ask::Undo,
    ];
    asks.extend(making.iter().chain([&mend.key.to_string()]).map(|key| tick(key, TickKind::Done, None)));
    // The mending taken back and done again: its tick comes back from no list of ticks.
    asks.extend([Ask::Undo, Ask::Redo]);
    asks.push(Ask::LogFault(NewFault {
        target: "CANE-01".to_owned(),
        symptom: "dark_from".to_owned(),
        at: Some("7".to_owned()),
        tonight: Tonight::Nothing,
        note: String::new(),
    }));
    for (at, ask) in asks.iter().enumerate() {
        app.perform(ask).unwrap_or_else(|e| panic!("{at}: {e:?}"));
        assert_same(&mut app, &mut yard.at(NOW), &format!("deed {at}, {ask:?}"));
    }
    let fault = app.yard().faults.last().unwrap().code.clone();
    // Theft is no failure of the thing: with the cause, and with its undo, the record changes.
    let repair = |deed, cause: Option<&str>| {
        Ask::Repair(NewRepair {
            fault: fault.clone(),
            deed,
            cause: cause.map(str::to_owned),
            minutes: None,
            part: None,
            note: String::new(),
        })
    };
    let asks = [
        repair(RepairDeed::Patched, None),
        repair(RepairDeed::Looked, Some("theft")),
        Ask::Undo,
        Ask::Redo,
        Ask::Undo,
        repair(RepairDeed::Mended, None),
        repair(RepairDeed::Tested, None),
        Ask::Undo,
        Ask::Redo,
    ];
    for (at, ask) in asks.iter().enumerate() {
        app.perform(ask).unwrap_or_else(|e| panic!("{at}: {e:?}"));
        assert_same(&mut app, &mut yard.at(NOW), &format!("repair {at}, {ask:?}"));
    }
}
