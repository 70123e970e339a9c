//! What one plan has room for another of the same facts has room for too, whatever the seed: all comes home in January.

use ladderday::app::{App, Choices};
use ladderday::domain::Phase;
use ladderday::planner::{Effort, Request, make_plan};
use ladderday::steps::Facts;

use super::yard::{derived, utc};

/// With nothing that looks for room, the first of these seeds leaves stars on the roof.
#[test]
fn a_takedown_that_fits_is_found_to_fit() {
    let folder = tempfile::tempdir().unwrap();
    let choices = Choices { now: Some("2026-10-25T12:00".to_owned()), ..Choices::default() };
    let app = App::demo(&folder.path().join("demo.ladderday"), true, &choices).unwrap();
    let facts = Facts::new(app.yard());
    let season = app.yard().seasons.iter().find(|s| s.code == "harbor-2026").unwrap();
    let d = derived(app.yard(), season.id, Phase::Down);
    let now = utc("2026-10-25T12:00:00-04:00");
    for seed in [1, 2] {
        let request =
            Request { facts: &facts, derived: &d, season, phase: Phase::Down, now, seed, kept: &[] };
        let plan = make_plan(&request, &[], &[], Effort::of(2_000));
        let left: Vec<_> =
            plan.steps.iter().filter(|p| p.from.is_none()).map(|p| p.step.key.to_string()).collect();
        assert_eq!(left, Vec::<String>::new(), "seed {seed}");
    }
}
