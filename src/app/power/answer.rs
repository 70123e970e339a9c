//! What `check` and `print wiring` say.

use std::fmt::Write as _;

use super::{CheckKind, Checked, WhatIf, card, rehearsal};
use crate::app::answers::Form;
use crate::app::owner::App;
use crate::app::problem::{Problem, ProblemKind};
use crate::app::view::{Finding, Level, Tried};
use crate::domain::{Numbering, Phase};
use crate::exchange::json::{
    EnergyDoc, ExpectedDoc, FindingDoc, FindingsDoc, NetworkDoc, NumbersDoc, StartPhaseDoc, TriedChangeDoc,
    TriedDoc, text,
};
use crate::steps::Facts;

/// Said with every answer about power.
const AID: &str = "A planning aid, not an approval: local code and a licensed electrician decide.";

const fn word(level: Level) -> &'static str {
    match level {
        Level::Stop => "stop",
        Level::Mend => "mend",
        Level::Note => "note",
    }
}

fn finding_doc(f: Finding) -> FindingDoc {
    FindingDoc {
        severity: word(f.level).to_owned(),
        code: f.code,
        place: f.place,
        what: f.what,
        value: f.value,
        limit: f.limit,
        remedy: f.remedy,
        caution: f.caution,
    }
}

fn tried_doc(tried: Tried) -> TriedDoc {
    let changes = |list: Vec<crate::app::view::TriedChange>| {
        list.into_iter().map(|c| TriedChangeDoc { name: c.name, before: c.before, after: c.after }).collect()
    };
    TriedDoc {
        what: tried.what,
        lowest: changes(tried.strings),
        supplies: changes(tried.supplies),
        gone: tried.gone.into_iter().map(finding_doc).collect(),
        come: tried.come.into_iter().map(finding_doc).collect(),
    }
}

fn finding_text(out: &mut String, f: &Finding) {
    let (level, place, what) = (word(f.level), &f.place, &f.what);
    let _ = writeln!(out, "{level:<4} {place}: {what} ({}; limit {}) [{}]", f.value, f.limit, f.code);
    let _ = writeln!(out, "       {}", f.remedy);
    if let Some(c) = &f.caution {
        let _ = writeln!(out, "       ! {c}");
    }
}

fn tried_text(tried: &Tried) -> String {
    let mut out = format!("what if {}; no fact is changed\n", tried.what);
    for (title, list) in [("lowest pixel", &tried.strings), ("supply", &tried.supplies)] {
        for c in list {
            let _ = writeln!(out, "  {title} {}: {} -> {}", c.name, c.before, c.after);
        }
    }
    if tried.strings.is_empty() && tried.supplies.is_empty() {
        out.push_str("  no voltage and no load changes\n");
    }
    for (title, list) in [("gone", &tried.gone), ("new", &tried.come)] {
        for f in list {
            let _ = writeln!(out, "  {title}: {} {}: {} ({})", word(f.level), f.place, f.what, f.value);
        }
    }
    out.push('\n');
    out
}

fn numbers_text(checked: &Checked) -> String {
    let mut out = String::new();
    for row in &checked.numbers {
        let mark = if row.proposed { "proposed" } else { "set" };
        let _ = writeln!(out, "{mark:<8} {}: {} to {}, group {}", row.name, row.first, row.last, row.groups);
    }
    out
}

impl App {
    /// The answer of `check`; with changes tried, what they change and what would then be found. Numbers are proposed
    /// in the way asked for, else in the season's.
    ///
    /// # Errors
    /// As [`App::check`].
    pub fn check_answer(
        &self,
        kinds: &[CheckKind],
        what_if: &WhatIf,
        numbering: Option<Numbering>,
        form: Form,
    ) -> Result<(bool, String), Problem> {
        let season = self.season_for(Phase::Up)?;
        let yard = what_if.yard(&self.yard, season)?;
        let facts = Facts::new(&yard);
        let study = self.study(&facts, season, what_if.level);
        let checked = self.checked_as(&facts, season, &study, kinds, numbering.or(season.numbering));
        let tried = if what_if.is_empty() { None } else { Some(self.try_power(what_if)?) };
        let fine = !checked.must_stop();
        if form == Form::Json {
            let expected = if kinds.contains(&CheckKind::Power) {
                rehearsal::expected(&facts, season, &study)
            } else {
                Vec::new()
            };
            let doc = FindingsDoc {
                what_if: tried.map(tried_doc),
                findings: checked.findings.into_iter().map(finding_doc).collect(),
                not_told: checked.not_told,
                start_up: checked
                    .start_up
                    .into_iter()
                    .map(|p| StartPhaseDoc {
                        circuit: p.circuit,
                        phase: p.phase,
                        boxes: p.boxes,
                        peak: p.peak,
                        limit: p.limit,
                        runs: p.runs,
                        over: p.over,
                    })
                    .collect(),
                numbers: checked
                    .numbers
                    .into_iter()
                    .map(|n| NumbersDoc {
                        lead: n.lead,
                        name: n.name,
                        first: n.first,
                        last: n.last,
                        groups: n.groups,
                        proposed: n.proposed,
                    })
                    .collect(),
                caution: kinds.contains(&CheckKind::Power).then_some(AID),
                network: study.at_level.as_ref().ok().filter(|_| kinds.contains(&CheckKind::Power)).map(
                    |s| NetworkDoc { load_w: s.load_w, wire_loss_w: s.wire_loss_w, supply_w: s.supply_w },
                ),
                energy: checked.energy.map(|e| EnergyDoc {
                    watts: e.watts,
                    hours_a_night: e.hours_a_night,
                    nights: e.nights,
                    kwh: e.kwh,
                    cost: e.cost,
                }),
                expected: expected
                    .into_iter()
                    .map(|e| ExpectedDoc { target: e.target, at: e.at, amps: e.amps, of: e.of })
                    .collect(),
            };
            return Ok((fine, text(&doc)));
        }
        let mut out = tried.as_ref().map(tried_text).unwrap_or_default();
        for f in &checked.findings {
            finding_text(&mut out, f);
        }
        if checked.findings.is_empty() {
            out.push_str("nothing found in what could be checked\n");
        }
        for line in &checked.not_told {
            let _ = writeln!(out, "not known: {line}");
        }
        for p in &checked.start_up {
            let runs = p.runs.as_ref().map_or_else(String::new, |r| format!(", then {r} run"));
            let over = if p.over { " OVER" } else { "" };
            let _ = writeln!(
                out,
                "start {} phase {}: {}, peak {} of {}{over}{runs}",
                p.circuit,
                p.phase,
                p.boxes.join(", "),
                p.peak,
                p.limit
            );
        }
        out.push_str(&numbers_text(&checked));
        if let Some(sums) = study.sums().filter(|_| kinds.contains(&CheckKind::Power)) {
            let _ = writeln!(out, "{sums}");
        }
        if kinds.contains(&CheckKind::Power) {
            let _ = writeln!(out, "! {AID}");
        }
        Ok((fine, out))
    }

    /// A card for each box lid, as text or HTML.
    ///
    /// # Errors
    /// `no-season`; `no-box` where no box is told.
    pub fn wiring_cards(&self, html: bool) -> Result<String, Problem> {
        let season = self.season_for(Phase::Up)?;
        let facts = self.facts();
        let study = self.study(&facts, season, None);
        let checked = self.checked(&facts, season, &study, &[CheckKind::Power, CheckKind::Signal]);
        let cards = card::cards(self, &facts, season, &study, &checked);
        if cards.is_empty() {
            return Err(Problem::new(ProblemKind::Data, "no-box", "no box with a lead from it is told")
                .hint("tell them in link.csv: from_piece, from_port, to_placement"));
        }
        Ok(if html {
            crate::exchange::print::cards_html(&cards)
        } else {
            crate::exchange::print::cards_text(&cards)
        })
    }
}
