//! The demo yard's record: the arches' strips stand out, the rest is said to be what the data can't tell.

use ladderday::app::Form;

use super::{Yard, json, rows, text};

const NOW: &str = "2026-09-01T12:00";

/// 9 of 12: bounds by the beta quantiles of Clopper and Pearson 1934, 42.8 % and 94.5 % (their published charts and
/// the table of 95 % limits for n = 12, x = 9, give .428 and .945).
#[test]
fn the_arches_stand_out_with_their_interval() {
    let doc = json(&Yard::demo().at(NOW).history_answer(Form::Json).unwrap());
    let arch = rows(&doc, "groups").iter().find(|g| g["by"] == "kind" && g["name"] == "arch").unwrap();
    assert_eq!((arch["failed"].as_u64(), arch["unit_seasons"].as_u64()), (Some(9), Some(12)));
    let bound = |b: &str| arch["share"][b].as_f64().unwrap();
    assert!((bound("lower") - 0.428).abs() < 5e-4 && (bound("upper") - 0.945).abs() < 5e-4, "{arch}");
    let shrunk = arch["shrunk_share"].as_f64().unwrap();
    assert!(shrunk < 0.75 && shrunk > 0.5, "twelve unit-seasons are drawn a little to the usual: {shrunk}");
    let told =
        rows(&doc, "comparisons").iter().find(|c| c["first"][0] == "arch" && c["second"][0] == "the rest");
    assert_eq!(told.unwrap()["differ"], true);
    let finding = rows(&doc, "findings")[1].as_str().unwrap();
    assert!(
        finding.starts_with("arch fail more often than the rest: 9 of 12 unit-seasons failed (75 %;"),
        "{finding}"
    );
    assert!(finding.contains("43 % to 95 %") && finding.contains("place Drive edge"), "{finding}");
}

#[test]
fn the_ip_comparison_says_what_the_data_can_and_cannot_tell() {
    let doc = json(&Yard::demo().at(NOW).history_answer(Form::Json).unwrap());
    let within = rows(&doc, "comparisons").iter().find(|c| c["within"] == "arch").unwrap();
    let by: Vec<&str> = rows(within, "by").iter().filter_map(|b| b.as_str()).collect();
    assert_eq!(by, ["product", "batch", "IP class"], "one comparison, three names for it");
    // 6 of 6 against 3 of 6, by hand: tables no more likely than this one hold C(6,0)·C(6,3)·2 of C(12,3) = 40 of 220.
    assert!((within["p"].as_f64().unwrap() - 40.0 / 220.0).abs() < 1e-9, "{within}");
    assert_eq!(within["differ"], false);
    let across = rows(&doc, "comparisons")
        .iter()
        .find(|c| c["within"].is_null() && c["first"][0] == "IP67" && c["second"][0] == "IP68")
        .unwrap();
    assert_eq!(across["differ"], true);
    assert!(text(across, "tied").contains("can't be told apart"), "all IP67 things are arches: {across}");
    let tests = rows(&doc, "comparisons").len();
    for c in rows(&doc, "comparisons") {
        let (p, adjusted) = (c["p"].as_f64().unwrap(), c["adjusted_p"].as_f64().unwrap());
        assert!(adjusted >= p && adjusted <= (p * tests as f64).min(1.0) + 1e-12);
        assert_eq!(c["differ"].as_bool().unwrap(), adjusted < 0.05);
    }
}

#[test]
fn weeks_weather_survival_and_durations_are_told() {
    let yard = Yard::demo();
    let mut app = yard.at(NOW);
    let doc = json(&app.history_answer(Form::Json).unwrap());
    let sum = |list: &str| rows(&doc, list).iter().map(|r| r["faults"].as_u64().unwrap()).sum::<u64>();
    assert_eq!(sum("faults_by_week"), 25, "all but the spare strand's, which was in no season");
    assert!(rows(&doc, "faults_by_weather").iter().any(|w| w["name"] == "wet" && w["faults"] == 5));
    let arch: Vec<f64> = rows(&doc, "survival")
        .iter()
        .filter(|l| l["kind"] == "arch")
        .map(|l| l["without_failure"].as_f64().unwrap())
        .collect();
    // Four of six failed in their first season, the other two in their second.
    assert!((arch[0] - 2.0 / 6.0).abs() < 1e-9 && arch[1].abs() < 1e-9, "{arch:?}");
    let drive = rows(&doc, "durations").iter().find(|d| d["recipe_step"] == "stake.drive").unwrap();
    let (planned, taken) =
        (drive["planned_minutes"].as_f64().unwrap(), drive["taken_minutes"].as_f64().unwrap());
    let factor = drive["factor"].as_f64().unwrap();
    assert!(taken > planned && factor > 1.0 && factor < taken / planned + 0.05, "{drive}");
    let plain = app.history_answer(Form::Text).unwrap();
    assert!(plain.contains("What the record says") && plain.contains("Faults by weather"));
}

#[test]
fn the_plan_takes_the_record_s_durations_and_says_so() {
    let yard = Yard::demo();
    let mut app = yard.at(NOW);
    let plan = json(&app.plan_answer(ladderday::domain::Phase::Up, 16, Form::Json).unwrap());
    let assumed: Vec<&str> = rows(&plan, "assumed").iter().filter_map(|l| l.as_str()).collect();
    let own = assumed.iter().find(|l| l.contains("your own record's")).unwrap();
    assert!(own.starts_with("durations of ") && own.contains("recipe steps"), "{own}");
    let again = Yard::demo().at(NOW).plan_answer(ladderday::domain::Phase::Up, 16, Form::Json).unwrap();
    assert_eq!(plan, json(&again), "two demos, the same plan");
}

/// Given all failures, those of one side are binomial with the share of its pixel-hours (Przyborowski and Wilenski,
/// Biometrika 1940): summed here term by term, apart from the program's own way.
#[test]
fn rates_per_pixel_hour_are_compared_exactly_too() {
    let doc = json(&Yard::demo().at(NOW).history_answer(Form::Json).unwrap());
    let within = rows(&doc, "comparisons").iter().find(|c| c["within"] == "arch").unwrap();
    let side = |name: &serde_json::Value| {
        let g = rows(&doc, "groups").iter().find(|g| g["by"] == "product" && g["name"] == *name).unwrap();
        (g["faults"].as_u64().unwrap(), g["thousand_pixel_hours"].as_f64().unwrap())
    };
    let ((x1, t1), (x2, t2)) = (side(&within["first"][0]), side(&within["second"][0]));
    let ratio = within["rate"]["ratio"].as_f64().unwrap();
    assert!((ratio - x1 as f64 / t1 / (x2 as f64 / t2)).abs() < 1e-9, "{within}");
    let (n, p) = (x1 + x2, t1 / (t1 + t2));
    let chance = |k: u64| {
        let ways = (0..k).fold(1.0, |w, i| w * (n - i) as f64 / (i + 1) as f64);
        ways * p.powi(k as i32) * (1.0 - p).powi((n - k) as i32)
    };
    let by_hand: f64 = (0..=n).map(chance).filter(|q| *q <= chance(x1) * (1.0 + 1e-9)).sum();
    assert!((within["rate"]["p"].as_f64().unwrap() - by_hand).abs() < 1e-9, "{by_hand}: {within}");
    let arch =
        rows(&doc, "comparisons").iter().find(|c| c["first"][0] == "arch" && c["second"][0] == "the rest");
    let arch = &arch.unwrap()["rate"];
    assert!(arch["differ"] == true && arch["ratio"].as_f64().unwrap() > 5.0, "{arch}");
    let all: Vec<_> = rows(&doc, "comparisons").iter().map(|c| &c["rate"]).filter(|r| !r.is_null()).collect();
    for r in &all {
        let (p, adjusted) = (r["p"].as_f64().unwrap(), r["adjusted_p"].as_f64().unwrap());
        assert!(adjusted >= p && adjusted <= (p * all.len() as f64).min(1.0) + 1e-12);
    }
    let finding = rows(&doc, "findings")[1].as_str().unwrap();
    assert!(finding.contains("per pixel-hour") && finding.contains("times as often"), "{finding}");
}
