//! Low voltage, supplies, fuses and what the network itself tells.

use crate::answers::power::advice;
use crate::answers::power::fuses;
use crate::answers::power::study::Study;
use crate::answers::power::wiring::set_point;
use crate::answers::power::words::{outside, over};
use crate::answers::power::zones::{apart, joined, rails, rings};
use crate::answers::view::{Amount, Figure, Finding, Level};
use crate::answers::words::{n_of, some};
use crate::calc::electrical::network;
use crate::calc::electrical::pixel_defaults::lowest_voltage;
use crate::calc::electrical::supply_load::CONTINUOUS;
use crate::domain::{LimitIn, PieceId, PlacementId, Season};
use crate::steps::Facts;
use crate::units::si::Volts;

const SUPPLY: &str =
    "Supplies stand dry, covered and in free air; the voltage selector is set before they are plugged in.";
pub(crate) const JOINED: &str =
    "Ordinary supplies push current into each other when joined: plus cut between them, minus common.";

pub(crate) fn look(
    facts: &Facts,
    season: &Season,
    study: &Study,
    not_told: &mut Vec<String>,
) -> Vec<Finding> {
    let mut found = Vec::new();
    if let Err(why) = &study.at_level
        && !study.wiring.network.supplies.is_empty()
    {
        found.push(plain(
            Level::Stop,
            why.code,
            "the DC network",
            why.why.clone(),
            "no answer",
            "a working point",
            "correct the wiring that is named",
        ));
    }
    found.extend(rings(facts, season));
    found.extend(joined(facts, season, not_told));
    found.extend(rails(study, not_told));
    found.extend(apart(facts, season, not_told));
    found.extend(tells(study));
    let refused = study.wiring.refused.iter();
    found.extend(refused.map(|(place, refusal)| outside(place, refusal, facts.yard.terms())));
    found.extend(strings(facts, season, study, not_told));
    found.extend(supplies(facts, study));
    found.extend(fuses::look(facts, season, study, not_told));
    let white = found.iter().any(|f| f.code.ends_with("_at_white"));
    not_told.extend(limit_untold(facts).filter(|_| white));
    found
}

/// Said where something would be too much at full white.
pub(super) fn limit_untold(facts: &Facts) -> Option<String> {
    let open = facts.yard.sites.first().is_none_or(|s| s.level_limit_in.is_none());
    open.then(|| "where the level limit is set not told: taken as software, which white may pass".to_owned())
}

pub(super) const KEEP_LEVEL: &str =
    "keep the level limit, in hardware where that can be; never run white above it in the rehearsal";

pub(crate) fn plain(
    level: Level,
    code: &str,
    place: &str,
    what: String,
    value: impl Into<Amount>,
    limit: impl Into<Amount>,
    remedy: &str,
) -> Finding {
    Finding::new(level, code, place.to_owned(), what, value, limit, remedy)
}

fn with_caution(mut found: Vec<Finding>, caution: &str) -> Vec<Finding> {
    for finding in &mut found {
        finding.caution = Some(caution.to_owned());
    }
    found
}

/// What the solved network says of itself.
fn tells(study: &Study) -> Vec<Finding> {
    let Ok(solution) = &study.at_level else { return Vec::new() };
    let told = solution.findings.iter().map(|f| {
        let said = match f {
            network::Finding::BackFeed { supply, amps } => plain(
                Level::Stop,
                f.code(),
                supply,
                "current is pushed back into this supply".to_owned(),
                Amount::amps(amps.abs()),
                Amount::amps(0.0),
                "cut the plus rail between supply zones, or set both supplies to the same voltage",
            ),
            network::Finding::NoCommonMinus { supply } => plain(
                Level::Stop,
                f.code(),
                supply,
                "its minus meets no other: data has no return".to_owned(),
                "no bond",
                "common minus",
                "join the minus terminals",
            ),
            network::Finding::BelowZero { pixel } => plain(
                Level::Stop,
                f.code(),
                &pixel.chain,
                format!("pixel {} gets no voltage", pixel.pixel),
                Amount::volts(pixel.v),
                Amount::volts(0.0),
                "thicker wire, more feeds, or a lower level",
            ),
        };
        let back = matches!(f, network::Finding::BackFeed { .. });
        Finding { caution: back.then(|| JOINED.to_owned()), ..said }
    });
    told.collect()
}

/// The lowest pixel a string may have: told, or by common practice for its voltage.
pub(crate) fn lowest(facts: &Facts, placement: PlacementId) -> Option<f64> {
    let product = facts.placement(placement).and_then(|p| facts.product_of(p))?;
    product
        .lowest_mv
        .map(crate::units::Voltage::volts)
        .or_else(|| lowest_voltage(Volts::new(product.volts_mv?.volts()).ok()?).ok().map(Volts::get))
}

fn strings(facts: &Facts, season: &Season, study: &Study, not_told: &mut Vec<String>) -> Vec<Finding> {
    let mut found = Vec::new();
    let mut untold = Vec::new();
    for s in study.strings() {
        let Some(limit) = lowest(facts, s.placement) else {
            untold.extend(facts.placement(s.placement).map(|p| p.code.clone()));
            continue;
        };
        let lowest = s.volts.iter().copied().enumerate().min_by(|a, b| a.1.total_cmp(&b.1));
        let Some((at, volts)) = lowest.filter(|(_, v)| over(limit, *v)) else { continue };
        let p = facts.placement(s.placement);
        let place = p.map_or_else(String::new, |p| format!("{} ({})", p.name, p.code));
        found.push(plain(
            Level::Mend,
            "low_voltage",
            &place,
            format!(
                "pixel {} runs low at level {} %: colours turn brown there",
                at + 1,
                study.levels.at(s.placement).get()
            ),
            Amount::volts(volts),
            Amount::volts(limit),
            &advice::thicker(facts, season, study, s.placement, limit)
                .or_else(|| advice::feeds(facts, season, study, s.placement, limit))
                .unwrap_or_else(|| {
                    format!("a feed near pixel {}, a thicker lead-in, or a lower level", at + 1)
                }),
        ));
    }
    let ruled: Vec<String> = study
        .strings()
        .iter()
        .filter(|s| lowest(facts, s.placement).is_some())
        .filter_map(|s| facts.placement(s.placement))
        .filter(|p| facts.product_of(p).is_some_and(|x| x.lowest_mv.is_none()))
        .map(|p| p.code.clone())
        .collect();
    if !ruled.is_empty() {
        let n = ruled.len();
        let names = some(ruled);
        not_told.push(format!(
            "lowest volts not told for {props} ({names}): 4.3 V of 5 V, 10.5 V of 12 V taken",
            props = n_of(n, "prop")
        ));
    }
    if !untold.is_empty() {
        let n = untold.len();
        let names = some(untold);
        not_told.push(format!(
            "lowest volts not told for {props} ({names}): their far pixels not checked",
            props = n_of(n, "prop")
        ));
    }
    found
}

fn supplies(facts: &Facts, study: &Study) -> Vec<Finding> {
    let mut found = Vec::new();
    let held = white_level(facts);
    let own = study.levels.own_ones(facts).map_or_else(String::new, |own| format!("; {own}"));
    for (id, (level, white)) in study.supplies() {
        let Some((code, rated)) = rating(facts, id) else { continue };
        let percent = study.levels.show.get();
        let share = |amps| {
            if over(amps, rated) { "its rating" } else { "four fifths of its rating" }
        };
        let (shown, in_white) = (share(level), share(white));
        if over(level, rated * CONTINUOUS) {
            found.push(plain(
                if over(level, rated) { Level::Stop } else { Level::Mend },
                "supply_over",
                &code,
                format!("more than {shown}, at level {percent} %{own}"),
                Amount::amps(level),
                Amount::amps(rated * CONTINUOUS),
                "spread the props over another supply, or lower the level",
            ));
            by_rating(&mut found, rated);
        } else if over(white, rated * CONTINUOUS) {
            found.push(plain(
                held,
                "supply_over_at_white",
                &code,
                format!("full white would be more than {in_white}; level {percent} %{own} is not"),
                Amount::amps(white),
                Amount::amps(rated * CONTINUOUS),
                KEEP_LEVEL,
            ));
            by_rating(&mut found, rated);
        }
    }
    with_caution(found, SUPPLY)
}

/// How bad it is what only full white would do: nothing to mend where hardware holds the level.
pub(super) fn white_level(facts: &Facts) -> Level {
    let limit = facts.yard.sites.first().and_then(|s| s.level_limit_in);
    if limit == Some(LimitIn::Hardware) { Level::Note } else { Level::Mend }
}

fn by_rating(found: &mut [Finding], rated: f64) {
    if let Some(last) = found.last_mut() {
        let from = Figure { name: "rated_a".to_owned(), value: rated };
        (last.formula, last.from) = (Some("limit_a = 0.8 * rated_a"), vec![from]);
    }
}

/// A supply's code and rated amperes.
pub(crate) fn rating(facts: &Facts, id: PieceId) -> Option<(String, f64)> {
    let piece = facts.piece(id)?;
    let product = facts.product(piece.product_id)?;
    let set = set_point(piece, product)?.volts();
    // Set lower, it gives no more amperes than at the volts it is made for.
    let volts = product.output_mv.map_or(set, |made| made.volts().max(set));
    (volts > 0.0).then_some(())?;
    Some((piece.code.clone(), product.rated_mw?.watts() / volts))
}
