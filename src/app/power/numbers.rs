//! Universes and slots: what shares numbers, and a proposal for what has none.

use super::segments::{Segment, segments};
use crate::app::owner::App;
use crate::app::problem::{Problem, ProblemKind};
use crate::app::view::{Finding, Level};
use crate::calc::signal::allocation::{self, Mode, Place, Prop, Span, allocation};
use crate::calc::signal::network_load::{self, network_load};
use crate::calc::signal::universe::LAST_UNIVERSE;
use crate::domain::{Deed, LinkId, Phase, RowChange, Season, Value};
use crate::steps::Facts;

/// Octets of a full universe inside UDP (ANSI E1.31).
const FULL_PACKET: u32 = 638;
/// Share of a 100 Mbit/s line kept free for the rest (common practice, no published source).
const LINE_SHARE: f64 = 0.5;

/// Numbers for one data lead that has none.
pub(super) struct Proposal {
    pub(super) link: LinkId,
    pub(super) name: String,
    pub(super) span: Span,
}

/// Segments with numbers, and proposals for those without: after the last universe in use, no pixel split.
pub(super) fn lay<'a>(all: &'a [Segment<'a>]) -> (Vec<(Span, &'a Segment<'a>)>, Vec<Proposal>) {
    let span = |place: Place, s: &Segment| {
        let props = vec![Prop { pixels: s.pixels, channels: s.channels }];
        let answer = allocation(&allocation::Input { start: place, mode: Mode::WholePixel, props });
        answer.ok().and_then(|a| a.spans.first().copied())
    };
    let mut set: Vec<(Span, &Segment)> = all
        .iter()
        .filter_map(|s| s.set.and_then(|(universe, slot)| span(Place { universe, slot }, s)).map(|x| (x, s)))
        .collect();
    set.sort_by_key(|(x, s)| (x.first, x.last, &s.prop.code));
    let last = set.iter().map(|(x, _)| x.last.universe).max().unwrap_or(0);
    let open: Vec<&Segment> = all.iter().filter(|s| s.set.is_none()).collect();
    let answer = allocation(&allocation::Input {
        start: Place { universe: last + 1, slot: 1 },
        mode: Mode::WholePixel,
        props: open.iter().map(|s| Prop { pixels: s.pixels, channels: s.channels }).collect(),
    });
    let spans = answer.map(|a| a.spans).unwrap_or_default();
    let proposed = open
        .iter()
        .zip(spans)
        .filter(|(_, x)| x.last.universe <= u64::from(LAST_UNIVERSE))
        .map(|(s, span)| Proposal { link: s.link, name: s.show(), span })
        .collect();
    (set, proposed)
}

pub(super) fn look(all: &[Segment], frames: f64, not_told: &mut Vec<String>) -> Vec<Finding> {
    let (set, proposed) = lay(all);
    let mut found = Vec::new();
    let show = |p: Place| format!("universe {} slot {}", p.universe, p.slot);
    // The span that reaches furthest so far, as one may cover several that follow.
    let mut reach: Option<(Place, String)> = None;
    for (span, segment) in &set {
        if let Some((last, other)) = reach.as_ref().filter(|(last, _)| span.first <= *last) {
            found.push(finding(
                Level::Stop,
                "numbers_overlap",
                segment.show(),
                format!("shares numbers with {other}"),
                show(span.first),
                format!("after {}", show(*last)),
                "clear the numbers of one of the two and propose numbers, then set its controller to them",
            ));
        }
        if span.last.universe > u64::from(LAST_UNIVERSE) {
            found.push(finding(
                Level::Stop,
                "numbers_too_high",
                segment.show(),
                "runs past the last universe there is".to_owned(),
                show(span.last),
                format!("universe {LAST_UNIVERSE}"),
                "begin at a lower universe",
            ));
        }
        if reach.as_ref().is_none_or(|(last, _)| span.last > *last) {
            reach = Some((span.last, segment.show()));
        }
    }
    let open = all.iter().filter(|s| s.set.is_none()).count();
    if open > 0 {
        not_told.push(format!("start universe not told for {open} leads: proposed, not written"));
    }
    found.extend(proposed.iter().map(|p| {
        finding(
            Level::Note,
            "numbers_proposed",
            p.name.clone(),
            "has no numbers yet; proposed, no pixel split".to_owned(),
            show(p.span.first),
            format!("to {}", show(p.span.last)),
            "write them with `check signal --write`, then set the controller to them",
        )
    }));
    found.extend(load(&set, &proposed, frames));
    found
}

/// What all universes together put on the show network.
fn load(set: &[(Span, &Segment)], proposed: &[Proposal], frames: f64) -> Option<Finding> {
    let used: std::collections::BTreeSet<u64> = set
        .iter()
        .map(|(x, _)| x)
        .chain(proposed.iter().map(|p| &p.span))
        .flat_map(|x| x.first.universe..=x.last.universe.min(u64::from(LAST_UNIVERSE)))
        .collect();
    let universes = u32::try_from(used.len()).ok().filter(|n| *n > 0)?;
    let answer =
        network_load(network_load::Input { universes, fps: frames, udp_payload: FULL_PACKET }).ok()?;
    let over = answer.share_of_100m > LINE_SHARE;
    Some(finding(
        if over { Level::Mend } else { Level::Note },
        "network_load",
        "the show network".to_owned(),
        format!("{universes} universes at {frames} frames a second"),
        format!("{:.1} Mbit/s", answer.bits_per_s / 1e6),
        format!("{:.0} Mbit/s", LINE_SHARE * 100.0),
        if over { "fewer frames a second, or a faster line to the switch" } else { "nothing to do" },
    ))
}

fn finding(
    level: Level,
    code: &str,
    place: String,
    what: String,
    value: String,
    limit: String,
    remedy: &str,
) -> Finding {
    Finding {
        level,
        code: code.to_owned(),
        place,
        what,
        value,
        limit,
        remedy: remedy.to_owned(),
        caution: None,
    }
}

impl App {
    /// Writes the proposed numbers; what is set stays.
    pub(in crate::app) fn write_numbers(&mut self) -> Result<String, Problem> {
        let rows: Vec<RowChange> = {
            let season: &Season = self.season_for(Phase::Up)?;
            let facts = Facts::new(&self.yard);
            let links = facts.links_in(season.id);
            let all = segments(&facts, &links);
            let whole = |n: u64| Value::Int(i64::try_from(n).unwrap_or(i64::MAX));
            lay(&all)
                .1
                .iter()
                .map(|p| {
                    let cells = vec![
                        ("start_universe", whole(p.span.first.universe)),
                        ("start_slot", whole(u64::from(p.span.first.slot))),
                        ("card_stale", Value::Int(1)),
                    ];
                    RowChange::new("link", p.link.0, cells)
                })
                .collect()
        };
        if rows.is_empty() {
            return Err(Problem::new(
                ProblemKind::Data,
                "nothing-proposed",
                "every data lead has its numbers",
            )
            .hint("clear a start universe to have another proposed"));
        }
        let what =
            format!("Numbers written for {} leads; their lid cards are to be printed again", rows.len());
        self.apply(&Deed { verb: "numbers-write", what: what.clone(), at_ms: self.now_ms(), rows })?;
        Ok(what)
    }
}
