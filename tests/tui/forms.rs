//! One form for any kind of fact: opened by a key, filled line by line, refused at the line, never lost.

use ladderday::app::{Ask, Problem, ProblemKind};

use super::fake::Fill;
use super::stage::Stage;

fn cells(ask: &Ask) -> Vec<(&str, &str)> {
    match ask {
        Ask::Tell { cells, .. } => cells.iter().map(|(c, t)| (c.as_str(), t.as_str())).collect(),
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_form_tells_what_was_changed_and_no_more() {
    let mut stage = Stage::new(Fill::Normal);
    stage.keys("5 e").shows("bridge arch 2").shows("condition").shows("a text");
    stage.keys("down").shows("Takes: a length like").text("8'6\"").keys("enter");
    // A list is picked from by letters; what is picked stands in the line.
    stage.keys("enter").shows("not told").text("faul").keys("enter").shows("faulty");
    stage.keys("ctrl-s");
    assert_eq!(cells(&stage.host.asked[0]), [("length_mm", "8'6\""), ("condition", "faulty")]);
    assert!(matches!(&stage.host.asked[0], Ask::Tell { kind, code: Some(_), .. } if kind == "piece"));
    assert!(stage.state.popups.is_empty());
}

#[test]
fn what_is_refused_stands_at_its_line_with_all_that_was_typed() {
    let mut stage = Stage::new(Fill::Normal);
    stage.keys("5 e").text("Arch two").keys("down").text("long").keys("down down").text("bent");
    let mut problem = Problem::new(ProblemKind::Use, "bad-data", "one fault");
    problem.at = vec![("length_mm".into(), "this is no length; write it like 2.3 m".into())];
    stage.host.refuse = Some(problem);
    stage.keys("ctrl-s").shows("this is no length; write it like 2.3 m").shows("Arch two").shows("bent");
    // The cursor stands where it is wrong.
    stage.keys("ctrl-u").text("2.3 m").keys("ctrl-s");
    let told = [("name", "Arch two"), ("length_mm", "2.3 m"), ("note", "bent")];
    assert_eq!(cells(stage.host.asked.last().unwrap()), told);
}

#[test]
fn a_form_closed_by_mistake_comes_back_as_it_was() {
    let mut stage = Stage::new(Fill::Normal);
    stage.keys("5 e down").text("9 m").keys("esc").shows("is kept");
    stage.keys("1 5 e").shows("9 m").keys("ctrl-s");
    assert_eq!(cells(&stage.host.asked[0]), [("length_mm", "9 m")]);
    // Told, it is not offered again.
    stage.keys("e").shows("7'6\"");
}

#[test]
fn any_kind_is_told_by_key_and_ended_with_a_reason() {
    let mut stage = Stage::new(Fill::Normal);
    stage
        .keys("+")
        .shows("One labelled thing")
        .text("piece")
        .keys("enter")
        .shows("a new piece")
        .keys("enter");
    stage.shows("A new piece").text("Comet").keys("ctrl-s");
    assert!(matches!(&stage.host.asked[0], Ask::Tell { kind, code: None, .. } if kind == "piece"));
    stage.keys("5 e ctrl-d").shows("why?").text("broken").keys("enter");
    assert!(
        matches!(&stage.host.asked[1], Ask::End { kind, why: Some(why), .. } if kind == "piece" && why == "broken")
    );
    assert!(stage.state.popups.is_empty());
}

#[test]
fn a_form_fits_the_least_screen_and_scrolls_to_its_marked_line() {
    let mut stage = Stage::new(Fill::Overfull);
    stage.keys("5 e end").shows("note").shows("Ctrl-S saves");
}
