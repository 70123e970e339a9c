//! The answers of commands: as text for people, or as a JSON document.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use uuid::Uuid;

use super::buying::BuyChoice;
use super::owner::App;
use super::problem::Problem;
use super::view::{Buy, FaultRow, Faults};
use crate::domain::{Fault, Phase, local_time};
use crate::exchange::json::{
    BasketDoc, BasketLineDoc, BuyDoc, DeedDoc, FaultDoc, FaultsDoc, NeedDoc, OverviewDoc, SeasonDoc,
    SeasonsDoc, SessionRowDoc, SessionsDoc, StepRowDoc, StepsDoc, text,
};
use crate::exchange::print::checklist_text;

/// How an answer is wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    Text,
    Json,
}

impl App {
    /// What a deed said.
    pub fn deed_answer(said: &str, form: Form) -> String {
        match form {
            Form::Text => format!("{said}\n"),
            Form::Json => text(&DeedDoc { said: said.to_owned() }),
        }
    }

    /// The plan of a phase.
    ///
    /// # Errors
    /// As [`App::plan`].
    pub fn plan_answer(&mut self, phase: Phase, schedules: u64, form: Form) -> Result<String, Problem> {
        let plan = self.plan(phase, schedules)?;
        if cfg!(debug_assertions) {
            self.judge(&plan)?;
        }
        let odds = self.odds(phase, schedules)?;
        Ok(match form {
            Form::Json => text(&self.plan_doc(&plan, odds.as_ref())),
            Form::Text => {
                let mut out = checklist_text(&self.sheet(&plan));
                for line in odds.iter().flat_map(|o| self.odds_lines(o)) {
                    let _ = writeln!(out, "{line}");
                }
                out
            }
        })
    }

    /// The steps of a phase with their keys and states.
    ///
    /// # Errors
    /// As [`App::plan`].
    pub fn steps_answer(&mut self, phase: Phase, form: Form) -> Result<String, Problem> {
        let plan = self.plan(phase, super::planning::QUICK)?;
        let say = |t: chrono::DateTime<chrono::Utc>| t.with_timezone(&plan.zone).to_rfc3339();
        let rows: Vec<StepRowDoc> = plan
            .steps
            .iter()
            .map(|p| StepRowDoc {
                key: p.step.key.to_string(),
                code_key: self.code_key(&p.step),
                title: p.step.title.clone(),
                subject: p.step.subject.clone(),
                state: p.state.as_str().to_owned(),
                minutes: p.minutes,
                session: p.session.and_then(|s| plan.sessions.get(s)).map(|s| s.code.clone()),
                from: p.from.map(say),
            })
            .collect();
        Ok(match form {
            Form::Json => {
                text(&StepsDoc { season: plan.season.clone(), phase: phase.as_str().to_owned(), steps: rows })
            }
            Form::Text => rows.iter().fold(String::new(), |mut out, r| {
                let _ = writeln!(out, "{:<8} {}\n         {}: {}", r.state, r.code_key, r.subject, r.title);
                out
            }),
        })
    }

    /// Faults: open ones, or all.
    pub fn faults_answer(&self, all: bool, form: Form) -> String {
        let Faults { rows, .. } = self.faults_page();
        let rows: Vec<_> = rows.into_iter().filter(|r| all || !r.ended).collect();
        let of = self.faults_by_id();
        match form {
            Form::Json => text(&self.faults_doc(rows)),
            Form::Text if rows.is_empty() => "no open faults\n".to_owned(),
            Form::Text => rows.iter().fold(String::new(), |mut out, r| {
                let found = of.get(&r.id).map_or_else(String::new, |f| self.found_words(f));
                let _ = writeln!(out, "{} {}: {} ({}), found {found}", r.code, r.target, r.symptom, r.state);
                if !r.next.is_empty() {
                    let _ = writeln!(out, "      next: {}", r.next);
                }
                out
            }),
        }
    }

    /// What to try for a fault's symptom, in order, with the words that `fault guide` takes.
    ///
    /// # Errors
    /// `no-fault`.
    pub fn guide_answer(&self, fault: &str) -> Result<String, Problem> {
        let fault = self.fault_by_code(fault)?;
        let detail = self.fault_detail(fault.id).unwrap_or_default();
        let target = self.target_name(fault.piece_id, fault.placement_id);
        let mut out = format!("{} {target}: {}\n", fault.code, Self::symptom_words(&fault));
        for caution in &detail.cautions {
            let _ = writeln!(out, "  ! {caution}");
        }
        for (n, step) in detail.guide.iter().enumerate() {
            let _ = writeln!(out, "  {}. {} [{}]", n + 1, step.what, step.code);
            for [word, seen, means] in &step.results {
                let _ = writeln!(out, "       {seen} [{word}]: {means}");
            }
            if let Some(answer) = &step.answer {
                let _ = writeln!(out, "     -> {answer}");
            }
        }
        Ok(out)
    }

    /// What to buy, where, by when; with something tried where `choice` says so.
    ///
    /// # Errors
    /// `no-item`, `no-vendor` where the choice names something that is not there.
    pub fn buy_answer(&mut self, choice: &BuyChoice, form: Form) -> Result<String, Problem> {
        let buy = self.buy_page_of(choice)?;
        Ok(match form {
            Form::Json => text(&buy_doc(buy)),
            Form::Text => buy_text(&buy),
        })
    }

    /// Seasons, newest first.
    pub fn seasons_answer(&self, form: Form) -> String {
        let rows = self.seasons_page().rows;
        match form {
            Form::Json => text(&SeasonsDoc {
                seasons: rows
                    .into_iter()
                    .map(|r| SeasonDoc {
                        code: r.code,
                        name: r.name,
                        lit: r.lit,
                        state: r.state,
                        placements: r.placements,
                        steps_done: r.steps_done,
                        planned_minutes: r.planned_min,
                        taken_minutes: r.taken_min,
                        faults: r.faults,
                        hours: r.hours,
                    })
                    .collect(),
            }),
            Form::Text => rows.iter().fold(String::new(), |mut out, r| {
                let _ = writeln!(
                    out,
                    "{:<14} {:<24} {:<9} lit {}; {} placements, {} steps done, {} faults",
                    r.code, r.name, r.state, r.lit, r.placements, r.steps_done, r.faults
                );
                if let Some(hours) = &r.hours {
                    let _ = writeln!(out, "{:<14} {hours}", "");
                }
                out
            }),
        }
    }

    /// Sessions from today on, or all.
    pub fn sessions_answer(&self, all: bool, form: Form) -> String {
        let (zone, now) = (self.zone(), self.now());
        let mut rows: Vec<SessionRowDoc> = Vec::new();
        let calendar =
            crate::planner::Calendar::new(&self.yard, chrono::DateTime::<chrono::Utc>::MIN_UTC, None);
        let mut sessions: Vec<_> = self.yard.sessions.iter().collect();
        sessions.sort_by_key(|s| (s.starts, s.code.clone()));
        for s in sessions {
            if !all && local_time(zone, s.ends).is_ok_and(|t| t < now) {
                continue;
            }
            let people = self.yard.session_people.iter().filter(|x| x.session_id == s.id);
            rows.push(SessionRowDoc {
                code: s.code.clone(),
                from: Self::say_local(s.starts),
                to: s.ends.format("%H:%M").to_string(),
                people: people
                    .filter_map(|x| self.yard.people.iter().find(|p| p.id == x.person_id))
                    .map(|p| p.name.clone())
                    .collect(),
                work_lights: s.work_lights,
                forecast: self.forecast_words(s),
                light: calendar
                    .sessions
                    .iter()
                    .find(|x| x.id == s.id)
                    .map_or_else(String::new, |x| self.light_words(x)),
                lost: s.lost,
            });
        }
        match form {
            Form::Json => text(&SessionsDoc { sessions: rows }),
            Form::Text => rows.iter().fold(String::new(), |mut out, r| {
                let lights = if r.work_lights { ", work lights" } else { "" };
                let forecast =
                    if r.forecast.is_empty() { String::new() } else { format!("; forecast: {}", r.forecast) };
                let _ = writeln!(
                    out,
                    "{:<12} {} to {}  {}{lights}{forecast}",
                    r.code,
                    r.from,
                    r.to,
                    r.people.join(", ")
                );
                if !r.light.is_empty() {
                    let _ = writeln!(out, "{:<12} {}", "", r.light);
                }
                out
            }),
        }
    }

    /// What `demo` prints without a terminal: today's plan, open faults, the buying list.
    ///
    /// # Errors
    /// As [`App::plan`].
    pub fn overview(&mut self, form: Form) -> Result<String, Problem> {
        let phase = self.phase_now();
        let plan = self.plan(phase, super::planning::QUICK)?;
        if form == Form::Json {
            let open = self.faults_page().rows.into_iter().filter(|r| !r.ended).collect();
            return Ok(text(&OverviewDoc {
                plan: self.plan_doc(&plan, None),
                faults: self.faults_doc(open).faults,
                buy: buy_doc(self.buy_page_of(&BuyChoice::default())?),
            }));
        }
        let mut out = checklist_text(&self.sheet(&plan));
        let _ = writeln!(out, "\nOpen faults\n{}", self.faults_answer(false, Form::Text));
        let _ = write!(out, "To buy\n{}", self.buy_answer(&BuyChoice::default(), Form::Text)?);
        Ok(out)
    }

    fn faults_by_id(&self) -> BTreeMap<Uuid, &Fault> {
        self.yard.faults.iter().map(|f| (f.id.0, f)).collect()
    }

    fn faults_doc(&self, rows: Vec<FaultRow>) -> FaultsDoc {
        let (facts, of) = (self.facts(), self.faults_by_id());
        let doc = |r: FaultRow| {
            let fault = of.get(&r.id);
            FaultDoc {
                found: fault.map_or_else(String::new, |f| self.found_words(f)),
                entries: fault.map_or_else(Vec::new, |f| self.entry_lines(&facts, f)),
                code: r.code,
                target: r.target,
                symptom: r.symptom,
                state: r.state.to_owned(),
                ended: r.ended,
                bench: r.bench,
                next: r.next,
            }
        };
        FaultsDoc { faults: rows.into_iter().map(doc).collect() }
    }
}

fn buy_doc(buy: Buy) -> BuyDoc {
    BuyDoc {
        needs: buy
            .needs
            .into_iter()
            .map(|n| NeedDoc {
                title: n.title,
                quantity: n.quantity,
                need_by: (n.need_by != "not told").then_some(n.need_by),
                order_by: n.order_by,
                vendor: n.vendor,
                reasons: n.reasons,
            })
            .collect(),
        baskets: buy
            .baskets
            .into_iter()
            .map(|b| BasketDoc {
                vendor: b.vendor,
                order_by: b.order_by,
                late: b.late,
                goods: b.goods,
                shipping: b.shipping,
                total: b.total,
                lines: b
                    .lines
                    .into_iter()
                    .map(|l| BasketLineDoc {
                        item: l.item,
                        packs: l.packs,
                        pack: l.pack,
                        price: l.price,
                        priced: l.priced,
                    })
                    .collect(),
            })
            .collect(),
        total: buy.total,
        proven: buy.proven,
        unmet: buy.unmet,
        left_out: buy.left_out,
        against: buy.against,
        changes: buy.changes,
        calendar: buy.calendar,
    }
}

fn buy_text(buy: &Buy) -> String {
    let mut out = String::new();
    if buy.needs.is_empty() {
        out.push_str("nothing is needed\n");
    }
    for n in &buy.needs {
        let by = n.order_by.as_ref().map_or_else(String::new, |d| format!(", order by {d}"));
        let at = n.vendor.as_ref().map_or_else(String::new, |v| format!(" at {v}"));
        let _ = writeln!(out, "{:>4} x {} (needed {}{by}{at})", n.quantity, n.title, n.need_by);
        for reason in &n.reasons {
            let _ = writeln!(out, "         {reason}");
        }
    }
    for b in &buy.baskets {
        let late = if b.late { ", LATE" } else { "" };
        let _ = writeln!(
            out,
            "{}: {} with shipping {}, order by {}{late}",
            b.vendor, b.total, b.shipping, b.order_by
        );
        for l in &b.lines {
            let priced = if l.priced.is_empty() { String::new() } else { format!(", {}", l.priced) };
            let _ = writeln!(out, "  {} packs of {} x {}  {}{priced}", l.packs, l.pack, l.item, l.price);
        }
    }
    for line in &buy.unmet {
        let _ = writeln!(out, "not met: {line}");
    }
    for line in &buy.left_out {
        let _ = writeln!(out, "left out, over the budget: {line}");
    }
    if !buy.total.is_empty() {
        let proof = if buy.proven { "least cost, proven" } else { "best found" };
        let _ = writeln!(out, "total {} ({proof})", buy.total);
    }
    if let Some(line) = &buy.against {
        let _ = writeln!(out, "{line}");
    }
    for line in &buy.changes {
        let _ = writeln!(out, "  {line}");
    }
    for o in buy.orders.iter().filter(|o| o.state != "received") {
        let _ = writeln!(out, "on order: {} at {}, expected {}: {}", o.code, o.vendor, o.expected, o.state);
    }
    out
}
