//! Small yards made by hand: a season, places, props by method, boxes, people, sessions, ladders, ticks.

mod happenings;
mod recipes;
mod things;

use chrono::{DateTime, NaiveDate, NaiveDateTime, Utc};
use ladderday::domain::{Phase, Season, SeasonId, Site, SiteId, Terms, Yard};
use ladderday::planner::{Effort, Plan, Request, make_plan};
use ladderday::steps::{Derived, Facts, Scope, Step, StepKey, derive};
use ladderday::units::{Angle, System};
use uuid::Uuid;

#[derive(Clone)]
pub struct Build {
    pub yard: Yard,
    next: u128,
}

/// As `2026-11-07T09:00`.
pub fn local(text: &str) -> NaiveDateTime {
    NaiveDateTime::parse_from_str(text, "%Y-%m-%dT%H:%M").unwrap()
}

pub fn day(text: &str) -> NaiveDate {
    NaiveDate::parse_from_str(text, "%Y-%m-%d").unwrap()
}

/// As `2026-11-07T09:00:00-05:00`.
pub fn utc(text: &str) -> DateTime<Utc> {
    DateTime::parse_from_rfc3339(text).unwrap().with_timezone(&Utc)
}

impl Build {
    /// A season with dates, a site with a position, and recipes; no places, props, people, sessions or tools.
    pub fn new() -> Self {
        let mut b = Self { yard: Yard::default(), next: 1 };
        let id = SiteId(b.id());
        b.yard.sites.push(Site {
            id,
            ended_at: None,
            name: "Yard".to_owned(),
            latitude_udeg: Some(Angle::from_udeg(41_500_000)),
            longitude_udeg: Some(Angle::from_udeg(-81_600_000)),
            time_zone: Some("America/New_York".to_owned()),
            units: System::Us,
            terms: Terms::Us,
            currency: "USD".to_owned(),
            level_limit_pct: None,
            level_limit_in: None,
            frame_rate_hz: None,
            show_network: None,
            home_network: None,
            place_minutes: Some(5),
            ladder_minutes: Some(10),
            drying_slots: None,
            roof_max_gust_mms: None,
            energy_cents_per_kwh: None,
            reading_limit_pct: None,
            wind_method: None,
            wind_exposure: None,
            design_gust_mms: None,
            bench_tests: None,
            session_minutes: None,
        });
        b.season("winter-2026", "2026-11-27T17:00", "2027-01-03");
        b.recipes();
        b
    }

    pub fn id(&mut self) -> Uuid {
        self.next += 1;
        Uuid::from_u128(self.next)
    }

    /// The season that `new` made.
    pub fn winter(&self) -> SeasonId {
        self.yard.seasons[0].id
    }

    /// A season with its rehearsal four days and a few hours before lights on.
    pub fn season(&mut self, code: &str, on: &str, off: &str) -> SeasonId {
        let id = SeasonId(self.id());
        let on = local(on);
        self.yard.seasons.push(Season {
            id,
            ended_at: None,
            code: code.to_owned(),
            name: code.to_owned(),
            show: code.split('-').next().unwrap().to_owned(),
            lights_on: Some(on),
            lights_off: Some(day(off)),
            rehearsal: Some(on - chrono::Duration::hours(100)),
            rehearsal_dark: Some(on - chrono::Duration::minutes(95 * 60 + 30)),
            work_from: None,
            down_from: day(off).succ_opt(),
            nightly_from: None,
            nightly_to: None,
            buffer_days: 4,
            average_level_pct: None,
            budget_cents: None,
            closed_on: None,
            note: String::new(),
            numbering: None,
        });
        id
    }

    pub fn steps(&self, phase: Phase) -> Vec<Step> {
        derived(&self.yard, self.winter(), phase).steps.iter().map(|s| (**s).clone()).collect()
    }

    /// A plan of the winter season with few schedules.
    pub fn plan(&self, phase: Phase, now: &str) -> Plan {
        plan(&self.yard, self.winter(), phase, utc(now), 1)
    }
}

pub fn derived(yard: &Yard, season: SeasonId, phase: Phase) -> Derived {
    derive(&Facts::new(yard), Scope { season, phase, day: day("2026-12-04") }).unwrap()
}

pub fn plan(yard: &Yard, season: SeasonId, phase: Phase, now: DateTime<Utc>, seed: u64) -> Plan {
    plan_kept(yard, season, phase, now, seed, &[])
}

pub fn plan_kept(
    yard: &Yard,
    season: SeasonId,
    phase: Phase,
    now: DateTime<Utc>,
    seed: u64,
    kept: &[StepKey],
) -> Plan {
    let facts = Facts::new(yard);
    let derived = derived(yard, season, phase);
    let season = facts.season(season).unwrap();
    let request = Request { facts: &facts, derived: &derived, season, phase, now, seed, kept };
    make_plan(&request, &[], &[], Effort::of(60))
}

/// What `check` finds, one line each.
pub fn breaches(yard: &Yard, season: SeasonId, plan: &Plan) -> Vec<String> {
    found(yard, season, plan).into_iter().map(|b| format!("{} {}: {}", b.code, b.key, b.what)).collect()
}

pub fn found(yard: &Yard, season: SeasonId, plan: &Plan) -> Vec<ladderday::planner::check::Breach> {
    let facts = Facts::new(yard);
    let derived = derived(yard, season, plan.phase);
    let season = facts.season(season).unwrap();
    ladderday::planner::check::check(plan, &facts, &derived, season, plan.now)
}
