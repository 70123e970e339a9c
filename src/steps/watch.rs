//! The watch on the wind: what is laid down tonight, and put back with a light test when it is over.

use chrono::{Duration, NaiveDate};

use super::boxes::plain_step;
use super::facts::Facts;
use super::key::StepKey;
use super::progress::{Asked, State};
use super::step::{Edge, Reason, Role, Step};
use super::tonight::night_weather;
use super::wind::{WindLook, wind_looks};
use crate::domain::{Access, Phase, Season, StandKind, StepDeed, Words};
use crate::units::Speed;

/// How many nights back a thing that was laid down is still asked for.
const NIGHTS_BACK: i64 = 14;

/// Forecast gust → what to lay down tonight, and tomorrow the put-back with a light test.
pub(super) fn watch(facts: &Facts, season: &Season, day: NaiveDate, progress: &Asked) -> Vec<Step> {
    let gust_of = |d: NaiveDate| night_weather(facts, d).and_then(|w| w.gust);
    let nights: Vec<(NaiveDate, Speed)> = (0..=NIGHTS_BACK)
        .rev()
        .filter_map(|n| day.checked_sub_signed(Duration::days(n)))
        .filter_map(|d| gust_of(d).map(|g| (d, g)))
        .collect();
    if nights.is_empty() {
        return Vec::new();
    }
    let mut all = Vec::new();
    for look in wind_looks(facts, season.id) {
        let Some(limit) = look.lower_at() else { continue };
        let windy: Vec<(NaiveDate, Speed)> = nights.iter().copied().filter(|(_, g)| *g >= limit).collect();
        let tonight = windy.iter().find(|(d, _)| *d == day).copied();
        let mut lies = false;
        for (night, gust) in &windy {
            let Some(pair) = Pair::new(&look, *night) else { continue };
            let over = |k: &StepKey| {
                progress.get(k).is_some_and(|p| matches!(p.state, State::Done | State::Skipped))
            };
            let laid = progress.get(&pair.down).is_some_and(|p| p.state == State::Done);
            let left = progress.get(&pair.down).is_some_and(|p| p.state == State::Skipped);
            let shown = if *night == day {
                // It lies from an earlier night: it is not laid down twice.
                !lies
            } else {
                laid && (!over(&pair.back) || !over(&pair.test) || (day - *night).num_days() <= 1)
            };
            if left || !shown {
                continue;
            }
            let wait = tonight.filter(|(d, _)| *d != *night).map(|(_, g)| g);
            lies |= laid && !over(&pair.back);
            all.extend(pair.steps(facts, &look, *gust, limit, wait));
        }
    }
    all
}

/// The keys of one thing laid down in one night.
struct Pair {
    down: StepKey,
    back: StepKey,
    test: StepKey,
    next: NaiveDate,
}

impl Pair {
    fn new(look: &WindLook, night: NaiveDate) -> Option<Self> {
        let next = night.succ_opt()?;
        let key =
            |deed: &str, day: NaiveDate| StepKey::new("watch", look.placement.id, deed, &day.to_string());
        Some(Self {
            down: key("lay_down", night),
            back: key("put_back", next),
            test: key("light_test", next),
            next,
        })
    }

    fn steps(
        self,
        facts: &Facts,
        look: &WindLook,
        gust: Speed,
        limit: Speed,
        wait: Option<Speed>,
    ) -> Vec<Step> {
        let units = facts.yard.sites.first().map(|s| s.units).unwrap_or_default();
        let what = look.stand.map(|s| s.lay_down.as_str()).filter(|t| !t.is_empty());
        let title = format!(
            "Gust {} forecast, stands to {}: {}",
            gust.show(units),
            limit.show(units),
            what.unwrap_or("lay it down or take it in")
        );
        let mut down = watch_step(facts, look, self.down.clone(), StepDeed::Lower, &title);
        down.role = Role::Watch;
        let mut back = watch_step(
            facts,
            look,
            self.back.clone(),
            StepDeed::Raise,
            "Put it back when the wind is over; look it over",
        );
        back.not_before = self.next.and_hms_opt(0, 0, 0);
        back.add_edge(Edge::after(self.down, Reason::Sequence, "it was laid down for the wind"));
        if let Some(gust) = wait {
            back.held =
                Some(format!("gust {} forecast again, stands to {}", gust.show(units), limit.show(units)));
        }
        let mut test = watch_step(facts, look, self.test, StepDeed::Test, "Light test of what was put back");
        test.seconds = 120;
        test.hands = 1;
        test.not_alone = false;
        test.cautions = vec!["mains".to_owned()];
        test.not_before = back.not_before;
        test.held.clone_from(&back.held);
        test.add_edge(Edge::after(self.back, Reason::Tested, "it is lit again after it was put back"));
        vec![down, back, test]
    }
}

fn watch_step(facts: &Facts, look: &WindLook, key: StepKey, deed: StepDeed, title: &str) -> Step {
    let seconds = look.stand.map_or(900, |s| s.lay_down_s.s());
    let mut step = plain_step(key, deed, title, seconds);
    step.role = Role::Watch;
    step.phase = Phase::Tonight;
    step.placement = Some(look.placement.id);
    step.place = look.placement.place_id;
    step.subject = super::build::subject(look.placement);
    step.access = facts.access(look.placement.place_id);
    step.height = super::build::height(facts, look.placement).filter(|_| step.access != Access::Ground);
    step.hands = look.stand.map_or(1, |s| s.hands);
    step.not_alone = step.hands > 1;
    let guyed = look.stand.is_some_and(|s| s.kind == StandKind::Guyed);
    let mut cautions = vec!["wind", "lifting"];
    if guyed {
        cautions.extend(["overhead", "guys", "fall_zone"]);
    }
    // What is lit lies and stands again without power.
    if !facts.product_of(look.placement).is_some_and(super::cautions::unlit) {
        cautions.extend(["mains", "supply_off"]);
    }
    step.cautions = cautions.into_iter().map(str::to_owned).collect();
    let own = look.placement.place_id.and_then(|p| facts.place(p)).map(|p| &p.cautions);
    for code in own.into_iter().flat_map(Words::iter) {
        if !step.cautions.iter().any(|c| c == code) {
            step.cautions.push(code.to_owned());
        }
    }
    step
}
