//! What `check` says.

use std::fmt::Write as _;

use crate::answers::power::{CheckAnswer, Checked};
use crate::answers::view::{Amount, Finding, Level, Tried, TriedChange};
use crate::exchange::json::{
    EnergyDoc, ExpectedDoc, Figures, FindingDoc, FindingsDoc, NetworkDoc, NumbersDoc, StartPhaseDoc,
    TriedChangeDoc, TriedDoc,
};

/// Said with every answer about power.
const AID: &str = "A planning aid, not an approval: local code and a licensed electrician decide.";

const fn word(level: Level) -> &'static str {
    match level {
        Level::Stop => "stop",
        Level::Due => "due",
        Level::Mend => "mend",
        Level::Note => "note",
    }
}

fn finding_doc(f: Finding) -> FindingDoc {
    let figures = f.figures().into_iter().map(|f| (f.name, f.value)).collect::<Figures>();
    let words = |a: &Amount| (!a.is_figure() && !a.is_empty()).then(|| a.to_string());
    FindingDoc {
        severity: word(f.level).to_owned(),
        code: f.code,
        place: f.place,
        what: f.what,
        value: words(&f.value),
        limit: words(&f.limit).filter(|_| !figures.keys().any(|name| name.starts_with("limit_"))),
        figures,
        formula: f.formula.map(str::to_owned),
        remedy: f.remedy,
        caution: f.caution,
    }
}

fn tried_doc(tried: Tried) -> TriedDoc {
    let changes = |list: Vec<TriedChange>| {
        let figures = |c: &TriedChange| {
            let named = [c.before.named("before"), c.after.named("after"), c.limit.named("limit")];
            named.into_iter().flatten().map(|f| (f.name, f.value)).collect()
        };
        list.into_iter().map(|c| TriedChangeDoc { figures: figures(&c), name: c.name }).collect()
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
    let limit = if f.limit.is_empty() { String::new() } else { format!("; limit {}", f.limit) };
    let _ = writeln!(out, "{level:<4} {place}: {what} ({}{limit}) [{}]", f.value, f.code);
    let _ = writeln!(out, "       {}", f.remedy);
    if let Some(c) = &f.caution {
        let _ = writeln!(out, "       ! {c}");
    }
}

fn tried_text(tried: &Tried) -> String {
    let mut out = format!("what if {}; no fact is changed\n", tried.what);
    for (title, list) in [("lowest pixel", &tried.strings), ("supply", &tried.supplies)] {
        for c in list {
            let _ = writeln!(out, "  {title} {}: {} -> {}", c.name, c.shown(&c.before), c.shown(&c.after));
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

/// The document of `check`.
pub(crate) fn document(a: CheckAnswer) -> FindingsDoc {
    FindingsDoc {
        what_if: a.tried.map(tried_doc),
        findings: a.checked.findings.into_iter().map(finding_doc).collect(),
        not_told: a.checked.not_told,
        start_up: a
            .checked
            .start_up
            .into_iter()
            .map(|p| StartPhaseDoc {
                circuit: p.circuit,
                phase: p.phase,
                boxes: p.boxes,
                peak_a: p.peak.si(),
                limit_a: p.limit.si(),
                runs_a: p.runs.and_then(|r| r.si()),
                over: p.over,
            })
            .collect(),
        numbers: a
            .checked
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
        caution: a.of_power.then_some(AID),
        network: a.network.map(|n| NetworkDoc {
            load_w: n.load_w,
            wire_loss_w: n.wire_loss_w,
            supply_w: n.supply_w,
        }),
        energy: a.checked.energy.map(|e| EnergyDoc {
            watts: e.watts,
            hours_a_night: e.hours_a_night,
            nights: e.nights,
            kwh: e.kwh,
            cost: e.cost,
        }),
        expected: a
            .expected
            .into_iter()
            .map(|e| ExpectedDoc { target: e.target, at: e.at, amps: e.amps, of: e.of })
            .collect(),
    }
}

/// The text of `check`.
pub(crate) fn text(a: &CheckAnswer) -> String {
    let mut out = a.tried.as_ref().map(tried_text).unwrap_or_default();
    for f in &a.checked.findings {
        finding_text(&mut out, f);
    }
    if a.checked.findings.is_empty() {
        out.push_str("nothing found in what could be checked\n");
    }
    for line in &a.checked.not_told {
        let _ = writeln!(out, "not known: {line}");
    }
    for p in &a.checked.start_up {
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
    out.push_str(&numbers_text(&a.checked));
    if let Some(sums) = &a.sums {
        let _ = writeln!(out, "{sums}");
    }
    if a.of_power {
        let _ = writeln!(out, "! {AID}");
    }
    out
}
