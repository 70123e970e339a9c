//! What if: another level, another gauge, another feed, with the facts left as they are.

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};

use uuid::Uuid;

use crate::answers::Outlook;
use crate::answers::power::feeds::rating;
use crate::answers::power::pieces::followed;
use crate::answers::power::study::Study;
use crate::answers::power::{CheckKind, Checked, checked, study};
use crate::answers::problem::{Problem, ProblemKind};
use crate::answers::view::{Amount, Tried, TriedChange};
use crate::calc::electrical::supply_load::CONTINUOUS;
use crate::domain::{Link, LinkId, LinkKind, Phase, PieceId, Season, Yard};
use crate::steps::Facts;
use crate::units::{Gauge, Length, Percent};

/// Things tried without touching facts.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct WhatIf {
    /// Another level than the show's limit.
    pub level: Option<Percent>,
    /// Another wire in a lead, by the lead's code.
    pub gauges: Vec<(String, Gauge)>,
    /// One more feed into a prop, by its code, at a pixel counted from 1.
    pub feeds: Vec<(String, u32)>,
}

fn wrong(code: &'static str, what: String, hint: &str) -> Problem {
    Problem::new(ProblemKind::Use, code, what).hint(hint)
}

/// Read well, but there is no such thing in this yard.
fn unfit(code: &'static str, what: String, hint: &str) -> Problem {
    Problem::new(ProblemKind::Data, code, what).hint(hint)
}

impl WhatIf {
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// Takes one more change in: "level 60", "gauge L-033 12 AWG", "feed HM26-24 150"; a later one of the same thing
    /// stands.
    ///
    /// # Errors
    /// `bad-what-if` says what is taken.
    pub fn with(&self, text: &str) -> Result<Self, Problem> {
        let takes = "\"level 60\", \"gauge LEAD 12 AWG\", \"feed STRING 150\"";
        let bad = || wrong("bad-what-if", format!("{text:?} is nothing to try"), takes);
        let mut tried = self.clone();
        let (kind, rest) = text.trim().split_once(' ').ok_or_else(bad)?;
        let rest = rest.trim();
        match kind.to_lowercase().as_str() {
            "level" => {
                let level = rest.trim_end_matches('%').trim().parse().ok().filter(|l| *l > 0);
                tried.level = Some(level.and_then(Percent::new).ok_or_else(bad)?);
            }
            "gauge" => {
                let (lead, gauge) = rest.split_once(' ').ok_or_else(bad)?;
                let gauge = Gauge::parse(gauge).map_err(|e| wrong("bad-what-if", e.to_string(), takes))?;
                tried.gauges.retain(|(l, _)| !l.eq_ignore_ascii_case(lead));
                tried.gauges.push((lead.to_owned(), gauge));
            }
            "feed" => {
                let (prop, pixel) = rest.split_once(' ').ok_or_else(bad)?;
                let pixel = pixel.trim().parse().ok().filter(|p| *p > 0).ok_or_else(bad)?;
                let feed = (prop.to_owned(), pixel);
                if !tried.feeds.contains(&feed) {
                    tried.feeds.push(feed);
                }
            }
            _ => return Err(bad()),
        }
        Ok(tried)
    }

    /// "level 60 %, L-033 of 12 AWG, a feed into HM26-24 at pixel 150".
    pub fn show(&self) -> String {
        let level = self.level.map(|l| format!("level {} %", l.get()));
        let gauges = self.gauges.iter().map(|(lead, gauge)| format!("{lead} of {}", gauge.show()));
        let feeds = self.feeds.iter().map(|(prop, pixel)| format!("a feed into {prop} at pixel {pixel}"));
        level.into_iter().chain(gauges).chain(feeds).collect::<Vec<_>>().join(", ")
    }

    /// The yard as it would be, leads to pieces followed to what they stand for; the level is no part of it.
    ///
    /// # Errors
    /// `no-lead`, `no-prop`, `no-feed`, `bad-pixel` name what is not there.
    pub(crate) fn yard<'a>(&self, yard: &'a Yard, season: &Season) -> Result<Cow<'a, Yard>, Problem> {
        if self.gauges.is_empty() && self.feeds.is_empty() {
            return Ok(followed(Cow::Borrowed(yard), season));
        }
        let mut changed = yard.clone();
        for (lead, gauge) in &self.gauges {
            let mine = |l: &&mut Link| {
                l.code.eq_ignore_ascii_case(lead) && l.season_id.is_none_or(|s| s == season.id)
            };
            let mut any = false;
            for link in changed.links.iter_mut().filter(mine) {
                link.wire = Some(*gauge);
                any = true;
            }
            if !any {
                let hint = "take the code of a lead of this season, as Power and the lid card show it";
                return Err(unfit("no-lead", format!("there is no lead {lead:?}"), hint));
            }
        }
        let facts = Facts::new(yard);
        for (at, (prop, pixel)) in self.feeds.iter().enumerate() {
            let feed = added(&facts, season, prop, *pixel, at)?;
            changed.links.push(feed);
        }
        Ok(followed(Cow::Owned(changed), season))
    }
}

/// One more feed from where the prop is fed already, as long as the way to that pixel.
fn added(facts: &Facts, season: &Season, prop: &str, pixel: u32, at: usize) -> Result<Link, Problem> {
    let placement =
        facts.placements_in(season.id).into_iter().find(|p| p.code.eq_ignore_ascii_case(prop)).ok_or_else(
            || unfit("no-prop", format!("there is no prop {prop:?}"), "take the code of a placement"),
        )?;
    let product = facts.product_of(placement);
    let most = product.and_then(|p| crate::answers::power::wiring::pixels(placement, p)).unwrap_or(1);
    if pixel > most {
        let hint = format!("1 to {most}");
        return Err(unfit("pixel-beyond", format!("pixel {pixel} is beyond {prop}"), &hint));
    }
    let base = facts
        .links_in(season.id)
        .into_iter()
        .filter(|l| {
            l.kind == LinkKind::Dc && l.to_placement_id == Some(placement.id) && l.from_piece_id.is_some()
        })
        .min_by_key(|l| (l.at_pixel.unwrap_or(1), l.code.clone()))
        .ok_or_else(|| {
            wrong("no-feed", format!("nothing feeds {prop} yet"), "tell its first feed in link.csv")
        })?;
    let pitch = product.and_then(|p| p.pitch_mm).map_or(0, Length::mm);
    let steps = i64::from(pixel) - base.at_pixel.unwrap_or(1);
    let length =
        base.length_mm.map(|l| Length::from_mm(l.mm().saturating_add(pitch.saturating_mul(steps.abs()))));
    Ok(Link {
        id: LinkId(Uuid::from_u128(at as u128 + 1)),
        code: format!("tried-{}", at + 1),
        season_id: Some(season.id),
        at_pixel: Some(i64::from(pixel)),
        length_mm: length,
        fuse_ma: None,
        lead_id: None,
        plus_cut: None,
        ..base.clone()
    })
}

/// Lowest voltage of each string, by its name.
fn lowest(facts: &Facts, study: &Study) -> BTreeMap<String, f64> {
    study
        .strings()
        .iter()
        .filter_map(|s| {
            let p = facts.placement(s.placement)?;
            let low = s.volts.iter().copied().min_by(f64::total_cmp)?;
            Some((format!("{} ({})", p.name, p.code), low))
        })
        .collect()
}

/// The state as it is and as it would be: lowest pixels, supply loads, findings that go and come.
pub(crate) fn compare(
    what_if: &WhatIf,
    before: (&Facts, &Study, &Checked),
    after: (&Facts, &Study, &Checked),
) -> Tried {
    let volts = |v: Option<&f64>| v.map_or_else(Amount::default, |v| Amount::volts(*v));
    // What reads alike has not changed.
    let change = |name: &String, before: Amount, after: Amount, limit: Amount| {
        (*before != *after).then(|| TriedChange { name: name.clone(), before, after, limit })
    };
    let (low_before, low_after) = (lowest(before.0, before.1), lowest(after.0, after.1));
    let names: BTreeSet<&String> = low_before.keys().chain(low_after.keys()).collect();
    let strings = names
        .into_iter()
        .filter_map(|n| change(n, volts(low_before.get(n)), volts(low_after.get(n)), Amount::default()))
        .collect();
    let load = |(facts, study, _): (&Facts, &Study, &Checked)| -> BTreeMap<String, (Amount, Amount)> {
        let known = study.at_level.is_ok();
        let one = |(id, (level, _)): (PieceId, (f64, f64))| {
            let limit = rating(facts, id).map_or_else(Amount::default, |(_, r)| Amount::amps(r * CONTINUOUS));
            let carried = if known { Amount::amps(level) } else { Amount::default() };
            Some((facts.piece(id)?.code.clone(), (carried, limit)))
        };
        study.supplies().into_iter().filter_map(one).collect()
    };
    let (load_before, load_after) = (load(before), load(after));
    let supplies = load_before
        .into_iter()
        .filter_map(|(code, (was, limit))| change(&code, was, load_after.get(&code)?.0.clone(), limit))
        .collect();
    // The same thing at another value is the same finding.
    let keys = |c: &Checked| -> BTreeSet<(String, String)> {
        c.findings.iter().map(|f| (f.code.clone(), f.place.clone())).collect()
    };
    let (had, has) = (keys(before.2), keys(after.2));
    let only = |c: &Checked, other: &BTreeSet<(String, String)>| {
        let apart = |f: &&crate::answers::view::Finding| !other.contains(&(f.code.clone(), f.place.clone()));
        c.findings.iter().filter(apart).cloned().collect()
    };
    Tried { what: what_if.show(), strings, supplies, gone: only(before.2, &has), come: only(after.2, &had) }
}

/// What would change if something were otherwise; no fact is touched.
///
/// # Errors
/// `no-season`; what the trial names and is not there.
pub fn try_power(outlook: &Outlook, what_if: &WhatIf) -> Result<Tried, Problem> {
    let season = outlook.season_for(Phase::Up)?;
    let changed = what_if.yard(outlook.yard, season)?;
    let unchanged = WhatIf::default().yard(outlook.yard, season)?;
    let (was, would) = (Facts::new(&unchanged), Facts::new(&changed));
    let (study_was, study_would) =
        (study(outlook, &was, season, None), study(outlook, &would, season, what_if.level));
    let kinds = [CheckKind::Power];
    let checked_was = checked(outlook, &was, season, &study_was, &kinds);
    let checked_would = checked(outlook, &would, season, &study_would, &kinds);
    Ok(compare(what_if, (&was, &study_was, &checked_was), (&would, &study_would, &checked_would)))
}
