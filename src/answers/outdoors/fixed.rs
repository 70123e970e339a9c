//! What is staked, hung or screwed on: the push of the design gust and its weight against what is told to hold it.

use crate::answers::Outlook;
use crate::answers::view::{Amount, Finding, Level};
use crate::answers::words::{called, n_of, some};
use crate::calc::structural::ballast;
use crate::calc::structural::concrete::{self, Mould};
use crate::steps::{FACTOR, Held, LEAST_M2, Pull};
use crate::units::si::{CubicMetres, Fraction, KilogramsPerCubicMetre};
use crate::units::{Mass, System};

const CAUTION: &str =
    "A planning estimate, no structural design: an engineer decides where people or lines are near.";

pub(super) fn look(outlook: &Outlook, pulls: &[Pull]) -> (Vec<Finding>, Vec<String>) {
    let units = outlook.units();
    let found = pulls.iter().flat_map(|p| [pushed(p, units), weighs(p, units)]).flatten().collect();
    let codes = |is: &dyn Fn(&&Pull) -> bool| -> Vec<String> {
        pulls.iter().filter(|p| is(p)).map(|p| called(p.placement)).collect()
    };
    let mut lines = Vec::new();
    let mut say = |codes: Vec<String>, what: &str, then: &str| {
        if !codes.is_empty() {
            lines.push(format!("{what} {} ({}): {then}", n_of(codes.len(), "placement"), some(codes)));
        }
    };
    say(codes(&|p| p.area_m2.is_none()), "size not told for what is fixed at", "wind not checked");
    say(
        codes(&|p| p.stakes_untold),
        "stakes not told for",
        "what they hold in the wind and what they bear not checked",
    );
    let bare = |p: &&Pull| p.holds_n.is_none() && !p.stakes_untold;
    let unheld = codes(&|p| p.area_m2.is_some_and(|a| a >= LEAST_M2) && bare(p));
    let unborne = codes(&|p| p.area_m2.is_none_or(|a| a < LEAST_M2) && bare(p));
    say(unborne, "its mount, or what that carries (max_load_g), not told for", "weight on it not checked");
    let worst = pulls.iter().filter_map(|p| p.push.as_ref().map(|f| f.force.get())).fold(0.0, f64::max);
    let then = if worst > 0.0 {
        format!("wind not checked; the design gust pushes with up to {}", super::wind::force(worst, units))
    } else {
        "wind not checked".to_owned()
    };
    say(unheld, "what its mount or stakes hold (max_load_g) not told for", &then);
    let facts = outlook.facts();
    let board = |p: &&Pull| {
        let product = facts.product_of(p.placement);
        p.push.is_some() && product.is_some_and(|x| x.width_mm.is_some() && x.solid_pct.is_none())
    };
    say(codes(&board), "solid share not told for", "100 % taken of what is fixed there");
    let unweighed = codes(&|p| p.holds_n.is_some() && p.mass_untold);
    say(unweighed, "mass not told of all on the mount of", "not compared with what it carries");
    (found, lines)
}

/// ": 34 kg more hold it in the design gust, as 1 five-gallon bucket of concrete of 45 kg"; nothing where weight is no help.
pub(super) fn more_ballast(held: &Held, units: System) -> Option<String> {
    const BUCKET_M3: f64 = 0.018_927;
    let Held::Weight(input) = held else { return None };
    let extra = ballast::check(input).ok()?.extra_mass?.get();
    let bucket = concrete::base(concrete::Input {
        mould: Mould::Volume(CubicMetres::new(BUCKET_M3).ok()?),
        fill: Fraction::new(1.0).ok()?,
        sleeve: None,
        density: KilogramsPerCubicMetre::new(2400.0).ok()?,
        bag: None,
    });
    let bucket = bucket.ok()?.mass.get();
    let kg = |kg: f64| Mass::from_kilograms(kg).map(|m| m.say(units));
    let n = (extra / bucket).ceil() as i64;
    let buckets = if n == 1 { "bucket" } else { "buckets" };
    (extra > 0.0 && n <= 20).then_some(())?;
    Some(format!(
        ": {} more hold it in the design gust, as {n} five-gallon (19 l) {buckets} of concrete of {}",
        kg(extra)?,
        kg(bucket)?
    ))
}

fn place(p: &Pull) -> String {
    format!("{} {}", p.placement.code, p.placement.name)
}

fn newtons(n: f64, units: System) -> Amount {
    Amount::figure(super::wind::force(n, units), "n", n)
}

/// F = q G C A against a third less than what is told to hold it; how it tips over its stakes is not reckoned.
fn pushed(p: &Pull, units: System) -> Option<Finding> {
    if let Some(refusal) = &p.refused {
        let what = format!("not computed: {} outside its range", refusal.what);
        let value = format!("{} {}", refusal.value, refusal.unit);
        return Some(Finding::new(Level::Mend, refusal.code, place(p), what, value, "", refusal.remedy));
    }
    let (push, holds) = (p.push.as_ref().filter(|_| !p.said_with_another)?, p.holds_n?);
    let (own, limit) = (push.force.get(), holds / FACTOR);
    let force = own + p.others_n;
    let over = force > limit;
    let figures = [
        ("pressure_pa", push.pressure.get()),
        ("coefficient", push.coefficient),
        ("gust_factor", p.gust_factor),
        ("area_m2", p.area_m2?),
        ("holds_n", holds),
        ("factor", FACTOR),
        ("others_n", p.others_n),
    ];
    let what = match (over, p.others_n > 0.0) {
        (true, false) => "the design gust pushes harder than its stakes or mount are told to hold",
        (true, true) => "the design gust pushes all on its mount harder than the mount is told to hold",
        (false, false) => {
            "its stakes or mount are told to hold the push of the design gust; whether it tips over them is not reckoned"
        }
        (false, true) => {
            "its mount is told to hold the push of the design gust on all that it bears; whether it tips is not reckoned"
        }
    };
    let found = Finding::new(
        if over { Level::Mend } else { Level::Note },
        if over { "wind_push" } else { "wind_push_held" },
        place(p),
        what.to_owned(),
        newtons(force, units),
        newtons(limit, units),
        if over {
            "take it in before such a wind; more or longer stakes, or a mount that carries more"
        } else {
            "look at it after each windy night"
        },
    )
    .by(
        "value_n = pressure_pa * gust_factor * coefficient * area_m2 + others_n; limit_n = holds_n / factor",
        &figures,
    );
    Some(if over { found.caution(CAUTION) } else { found })
}

fn weighs(p: &Pull, units: System) -> Option<Finding> {
    let (weighs, holds) = (p.weighs_n?, p.holds_n?);
    (weighs > holds).then(|| {
        let what = "what hangs on its mount weighs more than it is told to carry".to_owned();
        let remedy = "another mount, or fewer things on it";
        Finding::new(
            Level::Stop,
            "mount_overloaded",
            place(p),
            what,
            newtons(weighs, units),
            newtons(holds, units),
            remedy,
        )
        .caution(CAUTION)
    })
}
