//! Which differences the data support: exact tests, corrected for how many were made.

use std::collections::{BTreeMap, BTreeSet};

use crate::answers::record::ALPHA;
use crate::answers::record::groups::{By, Group, name_in};
use crate::answers::record::units::UnitSeason;
use crate::stats::{fisher, holm, rate_ratio};
use crate::steps::Facts;

/// One comparison; two groupings of the very same things are one comparison with two names.
#[derive(Debug, Clone)]
pub(crate) struct Verdict {
    /// Grouping, first name, second name; the second is "the rest" where it is everything else.
    pub names: Vec<(By, String, String)>,
    /// The kind within which like was compared with like.
    pub within: Option<String>,
    /// Unit-seasons failed and sound.
    pub counts: ((u64, u64), (u64, u64)),
    pub p: f64,
    /// After Holm's correction.
    pub adjusted: f64,
    pub differ: bool,
    /// The same comparison by failures per pixel-hour; nothing where pixels or hours of one are not told.
    pub rates: Option<Rates>,
    /// Groupings that fall together with this one on one side, so that it can't be told which of them it is.
    pub tied: Option<String>,
}

/// Failures per pixel-hour compared: exact, given how many failures there were in all.
#[derive(Debug, Clone)]
pub(crate) struct Rates {
    /// The first rate over the second; nothing where the second had no failure.
    pub ratio: Option<f64>,
    pub p: f64,
    /// After Holm's correction among the comparisons of rates.
    pub adjusted: f64,
    pub differ: bool,
}

/// Fewest unit-seasons of a group that is compared.
const FEWEST: usize = 4;

/// What the second group is called where it is all others.
pub(crate) const REST: &str = "the rest";

/// All comparisons: each kind, method and place with the rest; IP classes by pairs; products, batches and IP classes
/// by pairs within a kind.
pub(crate) fn verdicts(facts: &Facts, units: &[UnitSeason], groups: &[Group]) -> Vec<Verdict> {
    type Key = (Option<String>, (Vec<usize>, Vec<usize>));
    type Names = Vec<(By, String, String)>;
    let mut found: BTreeMap<Key, Names> = BTreeMap::new();
    let mut add = |within: Option<&str>, by: By, a: (&str, Vec<usize>), b: (&str, Vec<usize>)| {
        if a.1.len() >= FEWEST && b.1.len() >= FEWEST {
            let key = (within.map(str::to_owned), (a.1, b.1));
            found.entry(key).or_default().push((by, a.0.to_owned(), b.0.to_owned()));
        }
    };
    let of = |by: By| groups.iter().filter(move |g| g.by == by);
    for by in [By::Kind, By::Method, By::Place] {
        for g in of(by) {
            let all = of(by).flat_map(|o| o.members.iter().copied());
            // Props with props, where the group is one.
            let prop = g.members.first().and_then(|m| units.get(*m)).is_some_and(UnitSeason::is_prop);
            let rest: BTreeSet<usize> = all
                .filter(|m| !g.members.contains(m))
                .filter(|m| units.get(*m).is_some_and(UnitSeason::is_prop) || !prop)
                .collect();
            add(None, by, (&g.name, g.members.clone()), (REST, rest.into_iter().collect()));
        }
    }
    pairs(&of(By::IpClass).collect::<Vec<_>>(), None, &mut add);
    for kind in of(By::Kind) {
        let inside: BTreeSet<usize> = kind.members.iter().copied().collect();
        for by in [By::Product, By::Batch, By::IpClass] {
            let parts: Vec<Group> = of(by)
                .map(|g| {
                    let members = g.members.iter().copied().filter(|m| inside.contains(m)).collect();
                    Group { members, ..g.clone() }
                })
                .filter(|g| !g.members.is_empty())
                .collect();
            pairs(&parts.iter().collect::<Vec<_>>(), Some(&kind.name), &mut add);
        }
    }
    let mut list: Vec<Verdict> = found
        .into_iter()
        .filter_map(|((within, (first, second)), names)| {
            let counts = (count(units, &first), count(units, &second));
            let p = fisher(counts.0, counts.1).ok()?.two_sided;
            // The side that failed more often is named first.
            let share = |(x, n): (u64, u64)| x as f64 / (x + n) as f64;
            let rest = names.iter().any(|n| n.2 == REST);
            let (first, second, counts, names) = if share(counts.0) < share(counts.1) && !rest {
                let turned = names.into_iter().map(|(by, a, b)| (by, b, a)).collect();
                (second, first, (counts.1, counts.0), turned)
            } else {
                (first, second, counts, names)
            };
            let tied = tied(facts, units, &names, &first, &second);
            let rates = rates(units, &first, &second);
            Some(Verdict { names, within, counts, p, adjusted: p, differ: false, rates, tied })
        })
        .collect();
    let adjusted = holm(&list.iter().map(|v| v.p).collect::<Vec<_>>());
    for (v, a) in list.iter_mut().zip(adjusted) {
        v.adjusted = a;
        v.differ = a < ALPHA;
    }
    let adjusted = holm(&list.iter().filter_map(|v| v.rates.as_ref()).map(|r| r.p).collect::<Vec<_>>());
    for (r, a) in list.iter_mut().filter_map(|v| v.rates.as_mut()).zip(adjusted) {
        r.adjusted = a;
        r.differ = a < ALPHA;
    }
    list.sort_by(|a, b| {
        a.adjusted.total_cmp(&b.adjusted).then(a.p.total_cmp(&b.p)).then(a.names.cmp(&b.names))
    });
    list
}

fn pairs(
    groups: &[&Group],
    within: Option<&str>,
    add: &mut impl FnMut(Option<&str>, By, (&str, Vec<usize>), (&str, Vec<usize>)),
) {
    for (at, a) in groups.iter().enumerate() {
        for b in groups.iter().skip(at + 1) {
            // The same two sides in the same order, whatever they are grouped by.
            let (a, b) = if a.members <= b.members { (a, b) } else { (b, a) };
            add(within, a.by, (&a.name, a.members.clone()), (&b.name, b.members.clone()));
        }
    }
}

fn rates(units: &[UnitSeason], first: &[usize], second: &[usize]) -> Option<Rates> {
    let side = |members: &[usize]| -> Option<(u64, f64)> {
        // What has no pixels, or no hours told, has no such rate and stays out with its failures.
        let of =
            members.iter().filter_map(|m| units.get(*m)).filter_map(|u| Some((u.faults, u.pixel_hours?)));
        let (faults, hours) = of.fold((0, 0.0), |sum, (n, h)| (sum.0 + n, sum.1 + h));
        (hours > 0.0).then_some((faults, hours / 1000.0))
    };
    let found = rate_ratio(side(first)?, side(second)?).ok()?;
    Some(Rates { ratio: found.ratio, p: found.two_sided, adjusted: found.two_sided, differ: false })
}

fn count(units: &[UnitSeason], members: &[usize]) -> (u64, u64) {
    let failed = members.iter().filter(|m| units.get(**m).is_some_and(|u| u.faults > 0)).count() as u64;
    (failed, members.len() as u64 - failed)
}

/// Across kinds: the kind that all things of one side share while the other side has none of it.
fn tied(
    facts: &Facts,
    units: &[UnitSeason],
    names: &[(By, String, String)],
    first: &[usize],
    second: &[usize],
) -> Option<String> {
    if !names.iter().all(|(by, ..)| *by == By::IpClass) {
        return None;
    }
    let kinds = |side: &[usize]| -> BTreeSet<String> {
        side.iter().filter_map(|m| units.get(*m)).filter_map(|u| name_in(facts, u, By::Kind)).collect()
    };
    let (a, b) = (kinds(first), kinds(second));
    let only = |own: &BTreeSet<String>, other: &BTreeSet<String>, name: &str| {
        let kind = own.first().filter(|k| own.len() == 1 && !other.contains(*k))?;
        Some(format!("everything of {name} is {kind}: its class and its kind can't be told apart"))
    };
    let (_, name_a, name_b) = names.first()?;
    only(&a, &b, name_a).or_else(|| only(&b, &a, name_b))
}
