//! Will it light, evenly, without tripping, at the frame rate: the yard's facts put to the electrical formulas.
//!
//! `wiring` builds the real DC network of a season from supplies, boxes, ports, leads and props; `study` solves it and
//! gathers loads; `ends`, `zones`, `feeds`, `mains`, `taps`, `rings`, `running`, `start_up` and `signal` say what is wrong,
//! each finding with value, limit and remedy; `segments` and `numbers` lay universes and slots; `what_if` tries changes without
//! touching facts; `answer`, `page`, `tree`, `card`, `rehearsal` say it where it is wanted, in the words of the site;
//! `called` says names for codes.
//!
//! Not here: formulas (`calc`), drawing, facts changed but for the proposed numbers.

pub(crate) mod advice;
mod called;
pub(crate) mod card;
mod carried;
pub(crate) mod cords;
pub(crate) mod dc;
pub(crate) mod doubts;
pub(crate) mod ends;
pub(crate) mod feeds;
pub(crate) mod fuses;
mod generators;
mod leads;
pub(crate) mod levels;
pub(crate) mod load;
pub(crate) mod mains;
mod mixed;
pub(crate) mod numbers;
mod own;
pub mod page;
pub(crate) mod pieces;
pub(crate) mod plugs;
mod ports;
mod ratings;
pub mod rehearsal;
pub(crate) mod residual;
mod rings;
pub(crate) mod running;
pub(crate) mod segments;
pub(crate) mod signal;
pub(crate) mod start_up;
mod strings;
pub(crate) mod study;
mod switches;
mod taps;
pub(crate) mod tree;
pub(crate) mod what_if;
pub(crate) mod wiring;
pub(crate) mod words;
pub(crate) mod zones;

pub(crate) use levels::Levels;
pub(crate) use ports::has_port;
pub(crate) use study::Study;
pub use what_if::{WhatIf, try_power};

use crate::answers::Outlook;
use crate::answers::problem::{Problem, ProblemKind};
use crate::answers::shopping::stock::stock_findings;
use crate::answers::view::{BoxCard, Finding, Level, NumberRow, SeasonEnergy, StartPhase, Tried};
use crate::domain::{LinkKind, Numbering, Phase, Season, Terms, Yard};
use crate::steps::Facts;
use crate::units::Percent;

/// What is looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CheckKind {
    Power,
    Signal,
    /// What the plan needs against what is usable.
    Stock,
    /// What stands in the wind, and from which gust it is lowered.
    Wind,
    /// What the forecasts of coming sessions do to open steps.
    Weather,
}

/// What a check came to.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Checked {
    pub findings: Vec<Finding>,
    /// One line a kind of thing that keeps something from being checked.
    pub not_told: Vec<String>,
    /// How boxes are switched on, circuit by circuit; empty where start-up currents are not told.
    pub start_up: Vec<StartPhase>,
    /// Universes and slots of every data lead, set or proposed.
    pub numbers: Vec<NumberRow>,
    /// What the season takes, where power was looked at and nights, hours and average level are told.
    pub energy: Option<SeasonEnergy>,
}

/// What `check` answers: what was found, and with changes tried what they change.
pub struct CheckAnswer {
    pub checked: Checked,
    pub tried: Option<Tried>,
    /// Currents to expect at the load part of the rehearsal.
    pub expected: Vec<rehearsal::Expected>,
    /// Nothing where it could not be solved.
    pub network: Option<NetworkSums>,
    /// The same sums in words.
    pub sums: Option<String>,
    /// Power was looked at.
    pub of_power: bool,
}

/// What the network takes at the level.
pub struct NetworkSums {
    pub load_w: f64,
    pub wire_loss_w: f64,
    pub supply_w: f64,
}

/// Checks what is asked for; with changes tried, as it would be then, and what they change. Numbers are proposed in the
/// way asked for, else in the season's.
///
/// # Errors
/// `no-season` where there is none; what the trial names and is not there.
pub fn check_answer(
    outlook: &Outlook,
    kinds: &[CheckKind],
    what_if: &WhatIf,
    numbering: Option<Numbering>,
) -> Result<CheckAnswer, Problem> {
    let season = outlook.season_for(Phase::Up)?;
    let yard = what_if.yard(outlook.yard, season)?;
    let facts = Facts::new(&yard);
    let study = study(outlook, &facts, season, what_if.level);
    let of_power = kinds.contains(&CheckKind::Power);
    let solved = study.at_level.as_ref().ok().filter(|_| of_power);
    Ok(CheckAnswer {
        checked: checked_as(outlook, &facts, season, &study, kinds, numbering.or(season.numbering)),
        tried: if what_if.is_empty() { None } else { Some(try_power(outlook, what_if)?) },
        expected: if of_power { rehearsal::expected(&facts, season, &study) } else { Vec::new() },
        network: solved.map(|s| NetworkSums {
            load_w: s.load_w,
            wire_loss_w: s.wire_loss_w,
            supply_w: s.supply_w,
        }),
        sums: study.sums(&facts).filter(|_| of_power),
        of_power,
    })
}

/// A card for each box lid, in the order of their codes.
///
/// # Errors
/// `no-season`; `no-box` where no box is told.
pub fn wiring_cards(outlook: &Outlook) -> Result<Vec<BoxCard>, Problem> {
    let season = outlook.season_for(Phase::Up)?;
    let yard = WhatIf::default().yard(outlook.yard, season)?;
    let facts = Facts::new(&yard);
    let study = study(outlook, &facts, season, None);
    let checked = checked(outlook, &facts, season, &study, &[CheckKind::Power, CheckKind::Signal]);
    let cards = card::cards(outlook, &facts, season, &study, &checked);
    if cards.is_empty() {
        return Err(Problem::new(ProblemKind::Data, "no-box", "no box with a lead from it is told")
            .hint("tell them in link.csv: from_piece, from_port, to_placement"));
    }
    Ok(cards)
}

impl Checked {
    pub fn must_stop(&self) -> bool {
        self.findings.iter().any(|f| f.level == Level::Stop)
    }
}

/// Checks power, signal, stock, or all of them; with changes tried, as it would be then.
///
/// # Errors
/// `no-season` where there is none; what the trial names and is not there.
pub fn check(outlook: &Outlook, kinds: &[CheckKind], what_if: &WhatIf) -> Result<Checked, Problem> {
    let season = outlook.season_for(Phase::Up)?;
    let yard = what_if.yard(outlook.yard, season)?;
    let facts = Facts::new(&yard);
    let study = study(outlook, &facts, season, what_if.level);
    Ok(checked(outlook, &facts, season, &study, kinds))
}

/// How many findings of power and signal must stop the work, and the first of them.
pub(crate) fn wiring_stops(outlook: &Outlook) -> Option<(usize, String)> {
    let season = outlook.season_for(Phase::Up).ok()?;
    let page = page::as_told(outlook, season, None).ok()?;
    let mut stops = page.findings.iter().filter(|f| f.level == Level::Stop);
    let first = stops.next()?;
    Some((stops.count() + 1, first.what.clone()))
}

fn level_limit(outlook: &Outlook) -> Option<Percent> {
    outlook.yard.sites.first().and_then(|s| s.level_limit_pct)
}

/// The level of each prop, the show's at a level, else at its limit, else full.
pub(crate) fn levels(outlook: &Outlook, facts: &Facts, season: &Season, level: Option<Percent>) -> Levels {
    Levels::of(facts, season, level.or(level_limit(outlook)).unwrap_or_else(study::full))
}

pub(crate) fn checked(
    outlook: &Outlook,
    facts: &Facts,
    season: &Season,
    study: &Study,
    kinds: &[CheckKind],
) -> Checked {
    checked_as(outlook, facts, season, study, kinds, season.numbering)
}

pub(crate) fn checked_as(
    outlook: &Outlook,
    facts: &Facts,
    season: &Season,
    study: &Study,
    kinds: &[CheckKind],
    numbering: Option<Numbering>,
) -> Checked {
    let mut checked = Checked::default();
    // Leads told to pieces are followed for power and signal alone; the rest goes by the facts as they are.
    let whole = &outlook.facts();
    let by_product = [CheckKind::Power, CheckKind::Stock, CheckKind::Weather, CheckKind::Wind];
    if by_product.iter().any(|k| kinds.contains(k)) {
        checked.findings.extend(mixed::look(whole, season));
    }
    if kinds.contains(&CheckKind::Power) {
        let words = outlook.yard.terms();
        checked.findings.extend(doubts::look(facts, false));
        checked.findings.extend(ends::look(facts, season, &mut checked.not_told));
        for kind in [LinkKind::Dc, LinkKind::Mains] {
            checked.findings.extend(ports::plugged(facts, season, kind, &mut checked.not_told));
        }
        checked.findings.extend(feeds::look(facts, season, study, &mut checked.not_told));
        checked.not_told.extend(study.not_told.clone());
        checked.findings.extend(leads::look(
            facts,
            season,
            outlook.units(),
            &[LinkKind::Mains, LinkKind::Dc],
            &mut checked.not_told,
        ));
        checked.findings.extend(mains::look(outlook, facts, season, study, &mut checked.not_told));
        let (energy, found) = running::look(outlook, facts, season, study, &mut checked.not_told);
        checked.energy = energy;
        checked.findings.extend(found);
        let (phases, found) = start_up::look(facts, season, study, words, &mut checked.not_told);
        checked.start_up = phases;
        checked.findings.extend(found);
    }
    if kinds.contains(&CheckKind::Signal) {
        let kinds = [LinkKind::Data, LinkKind::Network];
        checked.findings.extend(leads::look(facts, season, outlook.units(), &kinds, &mut checked.not_told));
        let signal = signal::look(outlook, facts, season, numbering);
        checked.findings.extend(signal.findings);
        checked.not_told.extend(signal.not_told);
        checked.numbers = signal.numbers;
    }
    if kinds.contains(&CheckKind::Stock) {
        let (findings, not_told) = stock_findings(outlook, whole, season);
        checked.findings.extend(findings);
        checked.not_told.extend(not_told);
    }
    if kinds.contains(&CheckKind::Weather) || kinds.contains(&CheckKind::Wind) {
        checked.findings.extend(doubts::look(whole, true));
    }
    if kinds.contains(&CheckKind::Wind) {
        let (findings, not_told) = crate::answers::outdoors::wind_findings(outlook, whole, season);
        checked.findings.extend(findings);
        checked.not_told.extend(not_told);
    }
    if kinds.contains(&CheckKind::Weather) {
        let (findings, not_told) = crate::answers::outdoors::weather_findings(outlook, whole, season);
        checked.findings.extend(findings);
        checked.not_told.extend(not_told);
    }
    if kinds.contains(&CheckKind::Power) || kinds.contains(&CheckKind::Signal) {
        checked.not_told.extend(pieces::held_line(outlook.yard, season));
    }
    if facts.links_in(season.id).is_empty() {
        let untold = [(CheckKind::Power, "power"), (CheckKind::Signal, "signal")];
        let asked = untold.into_iter().filter(|(kind, _)| kinds.contains(kind));
        checked.not_told.extend(
            asked.map(|(_, what)| format!("no mains cord and no other lead is told: {what} not checked")),
        );
    }
    in_words_of_site(&mut checked, outlook.yard);
    checked.findings.sort_by(|a, b| (a.level, &a.place, &a.code).cmp(&(b.level, &b.place, &b.code)));
    // One lead that carries both dc and data is one thing to mend.
    checked.findings.dedup();
    let mut said = std::collections::BTreeSet::new();
    checked.not_told.retain(|line| said.insert(line.clone()));
    checked
}

/// Words and spelling of the site; names and codes of the owner's stay as they are.
fn in_words_of_site(checked: &mut Checked, yard: &Yard) {
    let terms = yard.terms();
    let names = names_to_keep(yard, terms);
    let say = |text: &str| terms.say_beside(text, &names);
    for f in &mut checked.findings {
        for text in [&mut f.what, &mut f.remedy].into_iter().chain(&mut f.caution) {
            *text = say(text);
        }
        f.value.say(say);
        f.limit.say(say);
    }
    for line in &mut checked.not_told {
        *line = say(line);
    }
}

/// The owner's names and codes that have a word of prose in them which the site says otherwise.
fn names_to_keep(yard: &Yard, terms: Terms) -> Vec<&str> {
    let products = yard.products.iter().flat_map(|p| [&p.code, &p.name, &p.kind]);
    let pieces = yard.pieces.iter().flat_map(|p| [&p.code, &p.name]);
    let placements = yard.placements.iter().flat_map(|p| [&p.code, &p.name]);
    let circuits = yard.circuits.iter().flat_map(|c| [&c.code, &c.name]);
    let places = yard.places.iter().flat_map(|p| [&p.code, &p.name]);
    let outlets = yard.outlets.iter().flat_map(|o| [Some(&o.code), o.residual_group.as_ref()]).flatten();
    let links = yard.links.iter().map(|l| &l.code);
    let ends = yard.product_ends.iter().flat_map(|e| {
        [Some(&e.end_name), e.plug_family.as_ref(), e.conductor_order.as_ref()].into_iter().flatten()
    });
    let seasons = yard.seasons.iter().map(|s| &s.name);
    let named = products.chain(pieces).chain(placements).chain(circuits).chain(places);
    let all = named.chain(outlets).chain(links).chain(ends).chain(seasons);
    all.map(String::as_str).filter(|name| terms.would_change(name)).collect()
}

/// Solves the season's DC network at a level, else at the show's limit.
pub(crate) fn study(outlook: &Outlook, facts: &Facts, season: &Season, level: Option<Percent>) -> Study {
    let told = level.is_some() || level_limit(outlook).is_some();
    study::study(facts, season, levels(outlook, facts, season, level), told)
}
