//! Currents read at the load rehearsal: kept, compared, a fault in the same deed, and taken back with it.

use ladderday::app::Ask;
use ladderday::units::Percent;

use super::yards::small;

const KEY: &str = "season:glow/rehearsal_load/up";

fn read(readings: &[(&str, &str)], done: bool) -> Ask {
    let readings = readings.iter().map(|(c, a)| ((*c).to_owned(), (*a).to_owned())).collect();
    Ask::ReadMeter { key: KEY.to_owned(), readings, done, why: None }
}

/// The string draws 1 A (worked in `small`); 20 % are allowed where nothing is told.
#[test]
fn a_reading_too_far_off_raises_a_fault_in_the_same_deed() {
    let (_folder, mut app) = small(&[]);
    app.perform(&read(&[("S-1", "1.1")], false)).unwrap();
    assert_eq!((app.yard().meter_readings.len(), app.yard().faults.len()), (1, 0));
    let said = app.perform(&read(&[("s-1", "1.4 A")], false)).unwrap().said;
    assert!(said.contains("1.4 A read, 1.0 A expected: more than 20 % off, fault F-001"), "{said}");
    let fault = &app.yard().faults[0];
    assert_eq!(fault.symptom, "current_off");
    let reading = app.yard().meter_readings.iter().find(|r| r.fault_id == Some(fault.id)).unwrap();
    assert_eq!((reading.read_ma.ma(), reading.expected_ma.unwrap().ma()), (1400, 1000));
    app.perform(&Ask::Undo).unwrap();
    assert_eq!((app.yard().meter_readings.len(), app.yard().faults.len()), (1, 0));
}

#[test]
fn the_owners_limit_decides_and_several_readings_end_the_step() {
    let limit = (
        "site.csv",
        "show_network\nYard,us,100,hardware,40,10.1.1.0/24",
        "show_network,reading_limit_pct\nYard,us,100,hardware,40,10.1.1.0/24,50",
    );
    let (_folder, mut app) = small(&[limit]);
    assert_eq!(app.yard().sites[0].reading_limit_pct, Percent::new(50));
    // On the mains side the power factor is assumed high: a lower reading is no fault.
    app.perform(&read(&[("S-1", "1.4"), ("B-1", "0")], true)).unwrap();
    assert_eq!((app.yard().meter_readings.len(), app.yard().faults.len()), (2, 0));
    assert!(app.yard().ticks.iter().any(|t| t.step_key.contains("rehearsal_load")));
    app.perform(&read(&[("S-1", "0.4")], false)).unwrap();
    assert_eq!(app.yard().faults.len(), 1);
}

#[test]
fn what_is_no_reading_is_refused_and_nothing_is_written() {
    let (_folder, mut app) = small(&[]);
    for (ask, code) in [
        (read(&[("S-9", "1")], false), "no-place-to-read"),
        (read(&[("S-1", "much")], false), "bad-reading"),
        (read(&[("S-1", "-1")], false), "bad-reading"),
        (read(&[("S-1", "1"), ("S-9", "1")], true), "no-place-to-read"),
        (read(&[], true), "no-reading"),
    ] {
        assert_eq!(app.perform(&ask).unwrap_err().code, code);
    }
    assert!(app.yard().meter_readings.is_empty() && app.yard().ticks.is_empty());
}
