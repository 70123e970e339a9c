//! KIND network: DC networks with the voltage at every pixel; 1e-4 V and A, watts in = watts out within 1e-6 W.

mod rows;

use ladderday::calc::electrical::network::{NetworkError, PixelPoint, Solution, solve};
use rows::{Case, Expected, PixelRow, SolvedRow, network};

use super::compare::{Differences, Tolerance, each_case};

const NEAR: Tolerance = Tolerance::absolute(1e-4);
const BALANCE_W: f64 = 1e-6;
/// The file rounds at the seventh decimal, so pixels this near each other are equals.
const TIE_V: f64 = 2e-7;

pub fn check(text: &str) -> Vec<String> {
    each_case(text, one)
}

fn one(case: &Case, differences: &mut Differences) {
    let network = match network(case) {
        Ok(network) => network,
        Err(why) => return differences.say(format_args!("not computed: {why}")),
    };
    let expected: Option<Expected> = match serde_json::from_value(case.expected.clone()) {
        Ok(expected) => expected,
        Err(error) => return differences.say(format_args!("expected can't be read: {error}")),
    };
    match (solve(&network), &expected) {
        (Ok(solution), Some(Expected::Solved(wanted))) => compare(&solution, wanted, differences),
        // Where the file gives the fallen state's numbers, they are compared all the same.
        (Err(NetworkError::NoWorkingPoint { fallen, .. }), Some(Expected::Solved(wanted))) => {
            compare(&fallen, wanted, differences);
        }
        (Err(error), Some(Expected::Solved(_))) => differences.say(format_args!("not computed: {error}")),
        (Err(error), Some(Expected::Refused(wanted))) => {
            differences.same("error", error.code(), wanted.error.as_str());
        }
        (Err(_), None) => {}
        (Ok(_), _) => differences.say("computed, where the file has no answer"),
    }
}

fn compare(got: &Solution, wanted: &SolvedRow, differences: &mut Differences) {
    let balance = got.supply_w - got.load_w - got.wire_loss_w;
    if balance.abs() > BALANCE_W || balance.is_nan() {
        differences.say(format_args!("watts in and out differ by {balance}"));
    }
    differences.same("chains", got.chains.len(), wanted.pixels.len());
    for chain in &got.chains {
        let Some(columns) = wanted.pixels.get(&chain.name) else {
            differences.say(format_args!("chain {} is not in the file's answer", chain.name));
            continue;
        };
        for (what, column, pick) in [
            ("v", &columns.v, (|p| p.v) as fn(&ladderday::calc::electrical::network::PixelState) -> f64),
            ("v_pos", &columns.v_pos, |p| p.v_pos),
            ("v_neg", &columns.v_neg, |p| p.v_neg),
            ("amps", &columns.amps, |p| p.amps),
        ] {
            differences.same(&format!("{} pixels ({what})", chain.name), chain.pixels.len(), column.len());
            for (at, (pixel, &value)) in chain.pixels.iter().zip(column).enumerate() {
                differences.number(&format!("{}:{} {what}", chain.name, at + 1), pick(pixel), value, NEAR);
            }
        }
    }
    differences.same("supplies", got.supplies.len(), wanted.supplies.len());
    for row in &wanted.supplies {
        match got.supplies.iter().find(|supply| supply.name == row.id) {
            None => differences.say(format_args!("no supply {}", row.id)),
            Some(supply) => {
                differences.number(&format!("{} amps", row.id), supply.amps, row.amps, NEAR);
                differences.number(&format!("{} watts", row.id), supply.watts, row.watts, NEAR);
            }
        }
    }
    differences.same("cables", got.cables.len(), wanted.cables.len());
    for row in &wanted.cables {
        match got.cables.iter().find(|cable| cable.name == row.id) {
            None => differences.say(format_args!("no cable {}", row.id)),
            Some(cable) => {
                differences.number(&format!("{} amps_pos", row.id), cable.amps_pos, row.amps_pos, NEAR);
                differences.number(&format!("{} amps_neg", row.id), cable.amps_neg, row.amps_neg, NEAR);
                differences.number(&format!("{} loss_w", row.id), cable.loss_w, row.loss_w, NEAR);
            }
        }
    }
    extreme("min_pixel", got, got.min_pixel.as_ref(), &wanted.min_pixel, differences);
    extreme("max_pixel", got, got.max_pixel.as_ref(), &wanted.max_pixel, differences);
    differences.number("v_neg_max", got.v_neg_max, wanted.v_neg_max, NEAR);
    differences.number("load_w", got.load_w, wanted.load_w, NEAR);
    differences.number("wire_loss_w", got.wire_loss_w, wanted.wire_loss_w, NEAR);
    differences.number("supply_w", got.supply_w, wanted.supply_w, NEAR);
    differences.number("load_amps", got.load_amps, wanted.load_amps, NEAR);
}

/// The pixel named in the file, or an equal of it.
fn extreme(
    what: &str,
    got: &Solution,
    point: Option<&PixelPoint>,
    wanted: &PixelRow,
    differences: &mut Differences,
) {
    let Some(point) = point else {
        return differences.say(format_args!("{what}: no pixels"));
    };
    differences.number(&format!("{what} v"), point.v, wanted.v, NEAR);
    let there = got
        .chains
        .iter()
        .find(|chain| chain.name == wanted.chain)
        .and_then(|chain| chain.pixels.get((wanted.pixel as usize).checked_sub(1)?));
    if there.is_none_or(|pixel| (pixel.v - point.v).abs() > TIE_V) {
        let PixelPoint { chain, pixel, .. } = point;
        differences
            .say(format_args!("{what} computed {chain}:{pixel}, file {}:{}", wanted.chain, wanted.pixel));
    }
}
