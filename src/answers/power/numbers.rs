//! Universes and slots: what shares numbers, and a proposal for what has none.

use crate::answers::Outlook;
use crate::answers::power::segments::{Segment, segments};
use crate::answers::problem::{Problem, ProblemKind};
use crate::answers::view::{Amount, Finding, Level, NumberRow};
use crate::answers::words::{n_of, some};
use crate::calc::signal::allocation::{Mode, Place, Prop, Span, allocation};
use crate::calc::signal::network_load::network_load;
use crate::calc::signal::universe::{LAST_UNIVERSE, multicast_group};
use crate::calc::signal::{allocation, network_load};
use crate::domain::{Numbering, Phase, RowChange, Season, Terms, Value};
use crate::units::figure;

/// Octets of a full universe inside UDP (ANSI E1.31).
const FULL_PACKET: u32 = 638;
/// Share of a 100 Mbit/s line kept free for the rest (common practice, no published source).
const LINE_SHARE: f64 = 0.5;
/// So many leads without numbers are named one by one.
const NAMED: usize = 12;

/// The way of numbering in plain words.
pub(crate) const fn numbering_words(way: Numbering) -> &'static str {
    match way {
        Numbering::RunOn => "numbers run on",
        Numbering::NoSplit => "no pixel split",
        Numbering::Fresh => "each prop starts fresh",
    }
}

/// Segments with numbers, and the numbers proposed for those without.
pub(crate) struct Laid<'a> {
    pub(crate) set: Vec<(Span, &'a Segment<'a>)>,
    pub(crate) proposed: Vec<(Span, &'a Segment<'a>)>,
}

fn props(segments: &[&Segment]) -> Vec<Prop> {
    segments.iter().map(|s| Prop { pixels: s.pixels, channels: s.channels }).collect()
}

fn spans(start: Place, mode: Mode, segments: &[&Segment]) -> Vec<Span> {
    let props = props(segments);
    allocation(&allocation::Input { start, mode, props }).map(|a| a.spans).unwrap_or_default()
}

/// What is set stays; what is open follows after the last universe in use, in the way asked for.
pub(crate) fn lay<'a>(all: &'a [Segment<'a>], way: Option<Numbering>) -> Laid<'a> {
    let way = way.unwrap_or(Numbering::NoSplit);
    let mut set: Vec<(Span, &Segment)> = all
        .iter()
        .filter_map(|s| {
            let (universe, slot) = s.set?;
            // A lead keeps the way its numbers were laid in, whatever the season's way is now.
            let split = s.split.unwrap_or(way == Numbering::RunOn);
            let mode = if split { Mode::Packed } else { Mode::WholePixel };
            spans(Place { universe, slot }, mode, &[s]).first().map(|span| (*span, s))
        })
        .collect();
    set.sort_by_key(|(x, s)| (x.first, x.last, &s.prop.code));
    let last = set.iter().map(|(x, _)| x.last.universe).max().unwrap_or(0);
    let open: Vec<&Segment> = all.iter().filter(|s| s.set.is_none()).collect();
    let start = Place { universe: last + 1, slot: 1 };
    let laid: Vec<Span> = match way {
        Numbering::RunOn => spans(start, Mode::Packed, &open),
        Numbering::NoSplit => spans(start, Mode::WholePixel, &open),
        Numbering::Fresh => {
            // The leads of one prop run on; the next prop starts a universe of its own.
            let mut at = start;
            let mut laid = Vec::new();
            for prop in open.chunk_by(|a, b| a.prop.id == b.prop.id) {
                let of = spans(at, Mode::WholePixel, prop);
                if let Some(end) = of.last() {
                    at = Place { universe: end.last.universe + 1, slot: 1 };
                }
                laid.extend(of);
            }
            laid
        }
    };
    let proposed =
        laid.into_iter().zip(open).filter(|(x, _)| x.last.universe <= u64::from(LAST_UNIVERSE)).collect();
    Laid { set, proposed }
}

fn show(p: Place) -> String {
    format!("universe {} slot {}", p.universe, p.slot)
}

/// "239.255.0.6", or the first and the last of several.
fn groups(span: &Span) -> String {
    let group = |u: u64| {
        u32::try_from(u)
            .ok()
            .and_then(|u| multicast_group(u).ok())
            .map_or_else(|| "none".to_owned(), |g| g.group.to_string())
    };
    let (first, last) = (span.first.universe, span.last.universe);
    if first == last { group(first) } else { format!("{} to {}", group(first), group(last)) }
}

/// Every data lead with its numbers, set ones first.
pub(crate) fn rows(laid: &Laid) -> Vec<NumberRow> {
    let row = |(span, segment): &(Span, &Segment), proposed| NumberRow {
        lead: segment.code.to_owned(),
        name: segment.show(),
        first: show(span.first),
        last: show(span.last),
        groups: groups(span),
        proposed,
    };
    let set = laid.set.iter().map(|x| row(x, false));
    set.chain(laid.proposed.iter().map(|x| row(x, true))).collect()
}

pub(crate) fn look(
    all: &[Segment],
    laid: &Laid,
    way: Option<Numbering>,
    frames: f64,
    (not_told, terms): (&mut Vec<String>, Terms),
) -> Vec<Finding> {
    let mut found = Vec::new();
    // The span that reaches furthest so far, as one may cover several that follow.
    let mut reach: Option<(Place, &Segment)> = None;
    for (span, segment) in &laid.set {
        let taken = reach.filter(|(last, other)| span.first <= *last && !segment.mirrors(other));
        if let Some((last, other)) = taken {
            found.push(Finding::new(
                Level::Stop,
                "numbers_overlap",
                segment.show(),
                format!("shares numbers with {}", other.show()),
                show(span.first),
                format!("after {}", show(last)),
                "clear the numbers of one of the two and propose numbers, then set its controller to them",
            ));
        }
        if span.last.universe > u64::from(LAST_UNIVERSE) {
            found.push(Finding::new(
                Level::Stop,
                "numbers_too_high",
                segment.show(),
                "runs past the last universe there is".to_owned(),
                show(span.last),
                format!("universe {LAST_UNIVERSE}"),
                "begin at a lower universe",
            ));
        }
        if reach.is_none_or(|(last, _)| span.last > last) {
            reach = Some((span.last, *segment));
        }
    }
    // Where 512 slots take no whole number of pixels it matters whether one may straddle two universes.
    let astride = laid.set.iter().filter(|(span, s)| {
        s.split.is_none() && span.first.universe != span.last.universe && 512 % s.channels.max(1) != 0
    });
    let astride = some(astride.filter(|_| way.is_none()).map(|(_, s)| s.code));
    if !astride.is_empty() {
        not_told.push(format!(
            "whether a pixel may straddle two universes not told for {astride}: whole pixels assumed"
        ));
    }
    let open = all.iter().filter(|s| s.set.is_none()).count();
    if open > 0 {
        not_told.push(format!(
            "start universe not told for {leads}: proposed, not written",
            leads = n_of(open, "lead")
        ));
    }
    let slotless = all.iter().filter(|s| s.set.is_some() && !s.slot_told).count();
    if slotless > 0 {
        not_told.push(format!("start slot not told for {leads}: 1 taken", leads = n_of(slotless, "lead")));
    }
    if open > laid.proposed.len() {
        found.push(Finding::new(
            Level::Stop,
            "numbers_run_out",
            "the show network".to_owned(),
            format!("no numbers left after those in use for {}", n_of(open - laid.proposed.len(), "lead")),
            format!("universe {LAST_UNIVERSE} passed"),
            format!("universe {LAST_UNIVERSE}"),
            "clear high universes that are set, then propose numbers",
        ));
    }
    let way = numbering_words(way.unwrap_or(Numbering::NoSplit));
    let proposed = |place: String, what: &str, (first, last): (Place, Place)| {
        Finding::new(
            Level::Note,
            "numbers_proposed",
            place,
            format!("{what} no numbers yet; proposed, {way}"),
            show(first),
            format!("to {}", show(last)),
            "write them, then set the controller to them",
        )
    };
    match laid.proposed.as_slice() {
        // A yard without numbers is one thing to know: each of them stands in the list of numbers.
        [(first, _), .., (last, _)] if laid.proposed.len() > NAMED => {
            let place = format!("{} of the show network", n_of(laid.proposed.len(), "lead"));
            found.push(proposed(place, "have", (first.first, last.last)));
        }
        few => {
            found.extend(few.iter().map(|(s, segment)| proposed(segment.show(), "has", (s.first, s.last))));
        }
    }
    found.extend(load(laid, frames, terms));
    found
}

/// What all universes together put on the show network.
fn load(laid: &Laid, frames: f64, terms: Terms) -> Option<Finding> {
    let used: std::collections::BTreeSet<u64> = laid
        .set
        .iter()
        .chain(&laid.proposed)
        .flat_map(|(x, _)| x.first.universe..=x.last.universe.min(u64::from(LAST_UNIVERSE)))
        .collect();
    let universes = u32::try_from(used.len()).ok().filter(|n| *n > 0)?;
    let answer = match network_load(network_load::Input { universes, fps: frames, udp_payload: FULL_PACKET })
    {
        Ok(answer) => answer,
        Err(refusal) => return Some(super::words::outside("the show network", &refusal, terms)),
    };
    let over = answer.share_of_100m > LINE_SHARE;
    Some(Finding::new(
        if over { Level::Mend } else { Level::Note },
        "network_load",
        "the show network".to_owned(),
        format!("{} at {frames} frames a second", n_of(universes, "universe")),
        Amount::figure(
            format!("{} Mbit/s", figure(answer.bits_per_s / 1e6, 1)),
            "bit_per_s",
            answer.bits_per_s,
        ),
        Amount::figure(format!("{} Mbit/s", figure(LINE_SHARE * 100.0, 0)), "bit_per_s", LINE_SHARE * 1e8),
        if over { "fewer frames a second, or a faster line to the switch" } else { "nothing to do" },
    ))
}

/// The proposed numbers in the way asked for, else in the season's, as rows to write, with that way; what is set stays.
///
/// # Errors
/// `no-season`; `nothing-proposed` where every data lead has its numbers.
pub(crate) fn numbers_to_write(
    outlook: &Outlook,
    way: Option<Numbering>,
) -> Result<(Numbering, Vec<RowChange>), Problem> {
    let season: &Season = outlook.season_for(Phase::Up)?;
    let way = way.or(season.numbering).unwrap_or(Numbering::NoSplit);
    let facts = outlook.facts();
    let links = facts.links_in(season.id);
    let whole = |n: u64| Value::Int(i64::try_from(n).unwrap_or(i64::MAX));
    let row = |(span, segment): &(Span, &Segment)| {
        let cells = vec![
            ("start_universe", whole(span.first.universe)),
            ("start_slot", whole(u64::from(span.first.slot))),
            ("pixel_split", Value::Int(i64::from(way == Numbering::RunOn))),
            ("card_stale", Value::Int(1)),
        ];
        RowChange::new("link", segment.link.0, cells)
    };
    let all = segments(&facts, &links);
    let mut rows: Vec<RowChange> = lay(&all, Some(way)).proposed.iter().map(row).collect();
    if rows.is_empty() {
        return Err(Problem::new(ProblemKind::Data, "nothing-proposed", "every data lead has its numbers")
            .hint("clear a start universe to have another proposed"));
    }
    if season.numbering != Some(way) {
        let cells = vec![("numbering", Value::Text(way.as_str().to_owned()))];
        rows.push(RowChange::new("season", season.id.0, cells));
    }
    Ok((way, rows))
}
