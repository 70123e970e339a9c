//! How long steps really take: the recipe's figure drawn towards the owner's own record.
//!
//! Common practice, no published source: the ratio of minutes taken to minutes planned is taken as log-normal; the
//! recipe counts as three observations at a ratio of 1.

use super::error::{StatsError, positive, within};

/// How many observations the recipe's own figure is worth.
const RECIPE_WEIGHT: f64 = 3.0;
/// Spread (standard deviation of the log ratio) believed before anything was timed.
const RECIPE_SPREAD: f64 = 0.35;

/// One doing of a step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Observation {
    pub planned_minutes: f64,
    pub taken_minutes: f64,
    /// 1 for a step timed by itself, less where several were ticked together.
    pub weight: f64,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// Middle estimate: half of the doings take less.
    pub minutes: f64,
    /// Standard deviation of the log of the minutes, for the odds.
    pub spread: f64,
    /// Share of the estimate that comes from the record, 0 to 1.
    pub weight_on_record: f64,
}

/// The estimate for a step that the recipe puts at `planned_minutes`.
pub fn learn(planned_minutes: f64, record: &[Observation]) -> Result<Estimate, StatsError> {
    let planned = positive("stats.minutes", "planned minutes", planned_minutes)?;
    let (mut weight, mut sum) = (0.0, 0.0);
    let mut ratios = Vec::with_capacity(record.len());
    for o in record {
        let taken = positive("stats.minutes", "minutes taken", o.taken_minutes)?;
        let ratio = (taken / positive("stats.minutes", "planned minutes", o.planned_minutes)?).ln();
        let w = within("stats.weight", "weight of a tick", o.weight, (0.0, 1.0))?;
        weight += w;
        sum += w * ratio;
        ratios.push((w, ratio));
    }
    let mean = sum / (RECIPE_WEIGHT + weight);
    let squares: f64 = ratios.iter().map(|(w, r)| w * (r - mean).powi(2)).sum();
    let believed = RECIPE_WEIGHT * (RECIPE_SPREAD.powi(2) + mean.powi(2));
    Ok(Estimate {
        minutes: planned * mean.exp(),
        spread: ((believed + squares) / (RECIPE_WEIGHT + weight)).sqrt(),
        weight_on_record: weight / (RECIPE_WEIGHT + weight),
    })
}

/// A step ticked off, in the order of the ticks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tick {
    /// Minutes since the session began, or since the last tick before it.
    pub at_minutes: f64,
    pub planned_minutes: f64,
}

/// Ticks closer than this to the one before belong to one bunch.
const BUNCH_MINUTES: f64 = 3.0;

/// Turns ticks of one person into observations: the time since the last bunch is shared by the plan's figures, and
/// each of n ticks of a bunch weighs 1/n.
pub fn share_out(ticks: &[Tick]) -> Result<Vec<Observation>, StatsError> {
    let mut out: Vec<Observation> = Vec::with_capacity(ticks.len());
    let (mut begun, mut last) = (0.0, 0.0);
    let mut bunch: Vec<f64> = Vec::new();
    let close = |bunch: &mut Vec<f64>, span: f64, out: &mut Vec<Observation>| {
        let (planned, n): (f64, f64) = (bunch.iter().sum(), bunch.len() as f64);
        out.extend(bunch.drain(..).map(|p| Observation {
            planned_minutes: p,
            // Ticks at the very minute the session begins say nothing: a second is the least.
            taken_minutes: (span * p / planned).max(1.0 / 60.0),
            weight: if span > 0.0 { 1.0 / n } else { 0.0 },
        }));
    };
    for tick in ticks {
        let at = within("stats.time", "time of a tick", tick.at_minutes, (last, 1e7))?;
        let planned = positive("stats.minutes", "planned minutes", tick.planned_minutes)?;
        if !bunch.is_empty() && at - last > BUNCH_MINUTES {
            close(&mut bunch, last - begun, &mut out);
            begun = last;
        }
        bunch.push(planned);
        last = at;
    }
    close(&mut bunch, last - begun, &mut out);
    Ok(out)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn nothing_timed_is_the_recipe() {
        let got = learn(30.0, &[]).unwrap();
        assert!((got.minutes - 30.0).abs() < 1e-12 && (got.spread - RECIPE_SPREAD).abs() < 1e-12);
        assert_eq!(learn(0.0, &[]).unwrap_err().code, "stats.minutes");
    }

    #[test]
    fn a_bunch_shares_the_time_and_weighs_less() {
        let tick = |at_minutes, planned_minutes| Tick { at_minutes, planned_minutes };
        let got = share_out(&[tick(10.0, 8.0), tick(40.0, 10.0), tick(41.0, 20.0), tick(43.0, 3.0)]).unwrap();
        let taken: Vec<f64> = got.iter().map(|o| o.taken_minutes).collect();
        assert_eq!(taken, [10.0, 10.0, 20.0, 3.0]);
        assert!((got[1].weight - 1.0 / 3.0).abs() < 1e-12 && (got[0].weight - 1.0).abs() < 1e-12);
        assert_eq!(share_out(&[tick(5.0, 1.0), tick(4.0, 1.0)]).unwrap_err().code, "stats.time");
    }

    proptest! {
        #[test]
        fn many_doings_outweigh_the_recipe(ratio in 0.2..5.0_f64, n in 1_usize..60) {
            let one = Observation { planned_minutes: 10.0, taken_minutes: 10.0 * ratio, weight: 1.0 };
            let got = learn(20.0, &vec![one; n]).unwrap();
            let more = learn(20.0, &vec![one; n + 20]).unwrap();
            let off = |e: Estimate| (e.minutes / 20.0 / ratio).ln().abs();
            prop_assert!(off(more) <= off(got) + 1e-12);
            prop_assert!(got.weight_on_record < more.weight_on_record);
        }

        #[test]
        fn no_minute_is_lost(gaps in prop::collection::vec((0.1..20.0_f64, 1.0..30.0_f64), 1..20)) {
            let mut at = 0.0;
            let ticks: Vec<Tick> = gaps.iter().map(|&(gap, planned_minutes)| {
                at += gap;
                Tick { at_minutes: at, planned_minutes }
            }).collect();
            let sum: f64 = share_out(&ticks).unwrap().iter().map(|o| o.taken_minutes).sum();
            prop_assert!((sum - at).abs() < 0.5);
        }
    }
}
