//! What is met at a glance: the mark at the first step, one person's steps, the very thing that Today names.

use ladderday::answers::view::{Aim, ScreenId};
use ladderday::domain::Phase;
use ladderday::tui::popup::{Flow, Pick, Popup};
use ladderday::tui::screens::hints;
use ladderday::tui::{Look, Theme};

use super::fake::Fill;
use super::stage::Stage;

/// Walk, with what opens by itself closed.
fn walk() -> Stage {
    let mut stage = Stage::new(Fill::Normal);
    stage.keys("2");
    stage.state.popups.clear();
    stage
}

#[test]
fn an_untouched_list_begins_at_its_first_step_whatever_a_better_plan_moves() {
    let mut stage = walk();
    let first = stage.state.walk.step().unwrap().key.clone();
    let turn = |stage: &mut Stage| {
        let mut page = stage.state.walk.page.clone().unwrap();
        page.places.reverse();
        page.places.iter_mut().for_each(|p| p.steps.reverse());
        stage.state.walk.set(page);
    };
    turn(&mut stage);
    assert_eq!(stage.state.walk.at, 0, "nobody had put the mark anywhere");
    assert_ne!(stage.state.walk.step().unwrap().key, first);
    stage.keys("down");
    let marked = stage.state.walk.step().unwrap().key.clone();
    turn(&mut stage);
    assert_eq!(stage.state.walk.step().unwrap().key, marked, "a mark that was put stays on its step");
}

#[test]
fn one_persons_steps_are_a_list_of_their_own() {
    let mut stage = walk();
    let all = stage.state.walk.steps().count();
    let mut page = stage.state.walk.page.clone().unwrap();
    for (n, step) in page.places.iter_mut().flat_map(|p| &mut p.steps).enumerate() {
        step.people = vec![["Ansel", "Birgit"][n % 2].to_owned()];
    }
    stage.state.walk.set(page);
    stage.keys("v").shows("The steps of Ansel");
    let mine = stage.state.walk.steps().count();
    assert!(mine > 0 && mine < all);
    assert!(stage.state.walk.steps().all(|s| s.people == ["Ansel"]));
    stage.shows(&format!("here 0 of {mine} (Ansel; v: whose)"));
    stage.keys("v").shows("The steps of Birgit");
    assert_eq!(stage.state.walk.steps().count(), all - mine);
    stage.keys("v").shows("The steps of all");
    assert_eq!(stage.state.walk.steps().count(), all);
    assert_eq!(stage.host.whose, ["Ansel", "Birgit", ""], "kept for the next start");
}

#[test]
fn walk_begins_with_the_steps_of_who_uses_it() {
    let mut stage = walk();
    let all = stage.state.walk.steps().count();
    let mut page = stage.state.walk.page.clone().unwrap();
    for (n, step) in page.places.iter_mut().flat_map(|p| &mut p.steps).enumerate() {
        step.people = vec![["Ansel", "Birgit"][n % 2].to_owned()];
    }
    stage.state.walk.set(page);
    // A login is written in small letters; one that nobody here is called by shows all.
    for (name, shown) in [("birgit", Some("Birgit")), ("root", None)] {
        stage.state.walk.whose = Some(name.to_owned());
        assert_eq!(stage.state.walk.shown_whose(), shown);
        let mine = stage.state.walk.steps().count();
        assert_eq!(mine < all, shown.is_some(), "{name}");
    }
}

#[test]
fn a_digit_leaves_the_fetch_list_for_its_screen() {
    let mut stage = Stage::new(Fill::Normal);
    stage.keys("2 g");
    assert!(matches!(stage.state.popups.last(), Some(Popup::Reading(_))), "the fetch list is open");
    stage.keys("6");
    assert!(stage.state.popups.is_empty());
    assert_eq!(stage.state.screen, ScreenId::Power);
}

#[test]
fn six_of_six_finishes_and_one_piece_is_explained() {
    let mut stage = walk();
    stage.keys("/").text("drive").keys("enter c");
    stage.text("8").keys("enter");
    let drive = stage.state.walk.steps().find(|s| s.title == "drive stakes").unwrap();
    assert_eq!(drive.state, ladderday::answers::view::StepState::Done);
    stage.keys("home c").shows("this is one piece");
}

#[test]
fn enter_on_today_goes_to_that_very_thing() {
    let mut stage = Stage::new(Fill::Normal);
    let page = stage.state.today.page.as_mut().unwrap();
    page.alarms.truncate(1);
    page.alarms[0].screen = ScreenId::Faults;
    page.alarms[0].aim = Aim::Fault("F-033".to_owned());
    stage.keys("home enter");
    assert_eq!(stage.state.screen, ScreenId::Faults);
    assert_eq!(stage.state.faults.row().unwrap().code, "F-033");
    stage.keys("1 home");
    let page = stage.state.today.page.as_mut().unwrap();
    page.alarms[0].screen = ScreenId::Plan;
    page.alarms[0].aim = Aim::Unplaced;
    stage.keys("enter").shows("too cold");
    stage.keys("1 home");
    let page = stage.state.today.page.as_mut().unwrap();
    page.alarms[0].screen = ScreenId::Walk;
    page.alarms[0].aim = Aim::Phase(Phase::Down);
    stage.keys("enter");
    assert_eq!((stage.state.screen, stage.state.phase), (ScreenId::Walk, Some(Phase::Down)));
    stage.state.popups.clear();
    stage.keys("1 end enter");
    assert_eq!(stage.state.screen, ScreenId::Walk);
}

#[test]
fn nothing_on_today_speaks_of_the_shell() {
    for fill in [Fill::Empty, Fill::Normal] {
        let mut stage = Stage::new(fill);
        stage.hides("ladderday ");
    }
}

#[test]
fn a_code_or_a_line_is_copied() {
    let mut stage = Stage::new(Fill::Normal);
    stage.keys("7 Y").shows("Copied: F-031");
    assert_eq!(stage.state.copied.as_deref(), Some("F-031"));
    stage.keys("C");
    assert!(stage.state.copied.as_deref().unwrap().contains("bridge arch 2"));
}

#[test]
fn the_mouse_is_switched_while_it_runs() {
    let mut stage = Stage::new(Fill::Normal);
    stage.keys("M").shows("Clicks and the wheel count now");
    assert!(stage.state.mouse);
    stage.keys("M").shows("The mouse is the terminal's again");
    assert!(!stage.state.mouse);
}

#[test]
fn help_is_found_in_by_letters_and_does_what_is_picked() {
    let mut stage = walk();
    stage.keys("?").shows("Keys on Walk").text("big").shows("One step in big letters");
    stage.hides("Leaves; all deeds are saved already").keys("enter");
    assert!(stage.state.walk.big);
}

#[test]
fn groups_of_kit_and_branches_of_power_fold() {
    let mut stage = Stage::new(Fill::Normal);
    stage.keys("5 g");
    let all = stage.state.kit.list.shown.len();
    stage.keys("left").shows("folded, → opens");
    assert!(stage.state.kit.list.shown.len() < all);
    stage.keys("right");
    assert_eq!(stage.state.kit.list.shown.len(), all);
    stage.keys("6 tab home");
    let all = stage.state.power.shown().len();
    stage.keys("left");
    assert!(stage.state.power.shown().len() < all);
    stage.keys("right");
    assert_eq!(stage.state.power.shown().len(), all);
}

#[test]
fn the_street_lies_below_the_house() {
    let mut stage = Stage::looking(Fill::Normal, Look { theme: Theme::Plain, ..Look::default() });
    stage.keys("3");
    let text = super::stage::lines(&stage.buffer(120, 40));
    let row =
        |what: &str| text.lines().position(|l| l.contains(what)).unwrap_or_else(|| panic!("{what}\n{text}"));
    assert!(row(" street ") > row("┌"), "{text}");
    // Nearer to the house is higher up, by the measures and by the arrows.
    let far =
        stage.state.yard.places().iter().enumerate().filter(|(_, p)| p.on_map).min_by_key(|(_, p)| p.y_mm);
    stage.state.yard.at = far.unwrap().0;
    let before = stage.state.yard.place().unwrap().y_mm;
    stage.keys("up");
    assert!(stage.state.yard.place().unwrap().y_mm > before);
}

#[test]
fn what_opens_leaves_the_line_of_keys_in_sight() {
    for (screen, key) in [("2", "f"), ("7", "n"), ("7", "+"), ("7", "?"), ("7", ":"), ("2", "?")] {
        let mut stage = Stage::new(Fill::Normal);
        stage.keys(screen);
        stage.state.popups.clear();
        stage.keys(key);
        assert!(!stage.state.popups.is_empty(), "{screen} {key} opens something");
        let picture = stage.picture();
        let line = picture.lines().nth(22).unwrap().to_owned();
        for (key, word) in hints(&stage.state) {
            assert!(line.contains(&format!("{key} {word}")), "\"{key} {word}\" is not in {line}\n{picture}");
        }
    }
}

#[test]
fn a_pick_names_each_row_however_long_its_words_are() {
    let mut stage = Stage::new(Fill::Normal);
    let words = "the lead is fine, so it is the box, its port or what it was told to send ".repeat(2);
    let title =
        "F25-10 dark from pixel 37 on, 1 of 4: put a short known-good lead between box and prop, then look";
    let rows = vec![("It lights".to_owned(), words.clone()), ("Still dark".to_owned(), words)];
    stage.state.popups.push(Pick::digits(title, rows, Flow::Jump));
    stage.shows("1  It lights").shows("2  Still dark").shows("then look").hides("…");
}

#[test]
fn one_escape_too_many_stays_where_one_is() {
    let mut stage = Stage::new(Fill::Normal);
    for digit in 0..10 {
        stage.keys(&digit.to_string());
        let here = stage.state.screen;
        stage.keys("? esc esc esc").shows("Nothing is open here");
        assert_eq!(stage.state.screen, here);
    }
}

#[test]
fn work_that_nobody_is_told_for_stands_side_by_side() {
    let mut stage = Stage::new(Fill::Normal);
    stage.keys("4");
    let mut page = stage.state.plan.page.clone().unwrap();
    page.sessions.truncate(1);
    let session = &mut page.sessions[0];
    (session.people, session.past, session.from_min, session.to_min) = (Vec::new(), false, 540, 780);
    session.steps.truncate(3);
    for (n, step) in session.steps.iter_mut().enumerate() {
        (step.from_min, step.to_min, step.bar) = (540, 780, format!("Prop {n} of all"));
        step.people = Vec::new();
    }
    let many = session.steps.len();
    stage.state.plan.set(page);
    for n in 0..many {
        stage.shows(&format!("Prop {n} of all"));
    }
    stage.shows("nobody told");
}

#[test]
fn the_marked_bar_is_named_by_the_marked_step() {
    let mut stage = Stage::new(Fill::Normal);
    stage.keys("4");
    let mut page = stage.state.plan.page.clone().unwrap();
    page.sessions.truncate(1);
    let session = &mut page.sessions[0];
    session.past = false;
    session.steps.truncate(2);
    let (from, who) = (session.from_min, session.people.clone());
    for (n, step) in session.steps.iter_mut().enumerate() {
        let n = n as i64;
        (step.from_min, step.to_min) = (from + n * 5, from + 5 + n * (1 + n));
        (step.bar, step.place) = (["Long one", "Short one"][n as usize].to_owned(), format!("place {n}"));
        step.people = who.clone();
    }
    stage.state.plan.set(page);
    stage.keys("home").shows("Long one +1").keys("down").shows("Short one +1");
}

#[test]
fn what_cannot_be_done_here_is_not_in_the_line_of_keys() {
    let mut stage = Stage::new(Fill::Empty);
    stage.shows("n begin").shows("i bring in").shows("o demo").hides("Enter go there");
    let mut stage = walk();
    let mut page = stage.state.walk.page.clone().unwrap();
    page.places.iter_mut().flat_map(|p| &mut p.steps).for_each(|s| s.count = None);
    page.places[0].steps[0].counts = false;
    let all = page.places.iter().map(|p| p.steps.len()).sum::<usize>();
    stage.state.walk.set(page);
    stage.hides("c count").shows(&format!("of {} ", all - 1));
    stage.keys("0 tab enter").shows("This part is to read");
}
