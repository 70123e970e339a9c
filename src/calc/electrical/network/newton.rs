//! Newton's method from no load downwards.
//!
//! Current taken at constant power falls with rising voltage and bends one way only, so that full Newton steps from
//! the no-load voltages come down to the highest working point without passing it. Where a step would pass the lowest
//! point of the network's potential (knees; voltages that fall through a cutoff), the step is cut by bisection on the
//! potential's slope; where the matrix is not positive definite, falling load currents are held for that step.

use super::NetworkError;
use super::nodes::Nodes;
use super::order::positions;
use super::sparse::{Factor, Pattern};

const MOST_STEPS: usize = 300;
/// Volts below which a full step counts as rounding.
const STILL: f64 = 1e-10;
/// Share of the first slope of the potential that counts as level.
const LEVEL: f64 = 0.1;

/// The matrix of the network with everything that does not change from step to step.
struct System<'a> {
    nodes: &'a Nodes,
    /// Unknown → row.
    position: Vec<usize>,
    pattern: Pattern,
    diagonal: Vec<f64>,
    values: Vec<f64>,
    /// For each pixel its rows and the slot between them; nothing where a terminal's voltage is given.
    loads: Vec<(Option<usize>, Option<usize>, Option<usize>)>,
}

impl<'a> System<'a> {
    fn of(nodes: &'a Nodes) -> Self {
        let position = positions(nodes);
        let row = |terminal: usize| nodes.terminals[terminal].unknown.map(|unknown| position[unknown]);
        let pairs = nodes.resistors.iter().map(|edge| (row(edge.a), row(edge.b)));
        let places = pairs
            .chain(nodes.pixels.iter().map(|pixel| (row(pixel.pos), row(pixel.neg))))
            .filter_map(|ends| match ends {
                (Some(a), Some(b)) if a != b => Some((a.max(b), a.min(b))),
                _ => None,
            })
            .collect();
        let pattern = Pattern::of(nodes.unknowns, places);
        let slot = |a: Option<usize>, b: Option<usize>| match (a, b) {
            (Some(a), Some(b)) if a != b => Some(pattern.slot(a.max(b), a.min(b))),
            _ => None,
        };
        let (mut diagonal, mut values) = (vec![0.0; nodes.unknowns], vec![0.0; pattern.places()]);
        for edge in &nodes.resistors {
            let (a, b) = (row(edge.a), row(edge.b));
            add(&mut diagonal, &mut values, (a, b, slot(a, b)), 1.0 / edge.ohm);
        }
        let loads = nodes
            .pixels
            .iter()
            .map(|pixel| {
                let (pos, neg) = (row(pixel.pos), row(pixel.neg));
                (pos, neg, slot(pos, neg))
            })
            .collect();
        Self { nodes, position, pattern, diagonal, values, loads }
    }

    /// Current that leaves each row's terminals, less what should: zero everywhere at the working point.
    fn residual(&self, x: &[f64], loaded: bool) -> Vec<f64> {
        let mut out = vec![0.0; self.nodes.unknowns];
        let mut flow = |from: usize, to: usize, amps: f64| {
            if let Some(unknown) = self.nodes.terminals[from].unknown {
                out[self.position[unknown]] += amps;
            }
            if let Some(unknown) = self.nodes.terminals[to].unknown {
                out[self.position[unknown]] -= amps;
            }
        };
        for edge in &self.nodes.resistors {
            let drop = self.nodes.volts(edge.a, x) - self.nodes.volts(edge.b, x) + edge.emf;
            flow(edge.a, edge.b, drop / edge.ohm);
        }
        if loaded {
            for pixel in &self.nodes.pixels {
                let v = self.nodes.volts(pixel.pos, x) - self.nodes.volts(pixel.neg, x);
                flow(pixel.pos, pixel.neg, pixel.load.at(v).0);
            }
        }
        out
    }

    /// Slope in A/V of each pixel's current.
    fn slopes(&self, x: &[f64]) -> Vec<f64> {
        let volts = |terminal| self.nodes.volts(terminal, x);
        self.nodes.pixels.iter().map(|pixel| pixel.load.at(volts(pixel.pos) - volts(pixel.neg)).1).collect()
    }

    fn factor(&self, factor: &mut Factor, slopes: &[f64]) -> bool {
        let (mut diagonal, mut values) = (self.diagonal.clone(), self.values.clone());
        for (&rows, &slope) in self.loads.iter().zip(slopes) {
            if slope != 0.0 {
                add(&mut diagonal, &mut values, rows, slope);
            }
        }
        factor.fill(&self.pattern, &diagonal, &values)
    }

    /// `x` moved by `share` of the step, which is by row.
    fn moved(&self, x: &[f64], step: &[f64], share: f64) -> Vec<f64> {
        x.iter().zip(&self.position).map(|(v, &row)| v + share * step[row]).collect()
    }
}

fn add(
    diagonal: &mut [f64],
    values: &mut [f64],
    (a, b, slot): (Option<usize>, Option<usize>, Option<usize>),
    siemens: f64,
) {
    if a.is_some() && a == b {
        return;
    }
    if let Some(a) = a {
        diagonal[a] += siemens;
    }
    if let Some(b) = b {
        diagonal[b] += siemens;
    }
    if let Some(slot) = slot {
        values[slot] -= siemens;
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// The unknown voltages at the working point.
pub(super) fn settle(nodes: &Nodes) -> Result<Vec<f64>, NetworkError> {
    let system = System::of(nodes);
    let mut factor = system.pattern.factor();
    let mut x = vec![0.0; nodes.unknowns];
    let mut slopes = vec![0.0; nodes.pixels.len()];
    // Conductors alone always give a positive definite matrix, once every part reaches a supply.
    if !system.factor(&mut factor, &slopes) {
        return Err(NetworkError::NotSettled { steps: 0, volts: f64::NAN });
    }
    let mut step = system.residual(&x, false);
    factor.solve(&system.pattern, &mut step);
    x = system.moved(&x, &step, -1.0);
    let mut out = system.residual(&x, true);
    let mut largest = f64::INFINITY;
    for _ in 0..MOST_STEPS {
        let now = system.slopes(&x);
        if now != slopes {
            slopes = now;
            if !system.factor(&mut factor, &slopes) {
                for slope in &mut slopes {
                    *slope = slope.max(0.0);
                }
                system.factor(&mut factor, &slopes);
            }
        }
        let mut step = out.clone();
        factor.solve(&system.pattern, &mut step);
        for volts in &mut step {
            *volts = -*volts;
        }
        largest = step.iter().fold(0.0, |most: f64, volts| most.max(volts.abs()));
        if largest <= STILL {
            return Ok(system.moved(&x, &step, 1.0));
        }
        let slope = dot(&out, &step).abs();
        let end = system.moved(&x, &step, 1.0);
        let at_end = system.residual(&end, true);
        if dot(&at_end, &step) <= LEVEL * slope {
            (x, out) = (end, at_end);
        } else {
            x = system.moved(&x, &step, cut(&system, &x, &step, slope));
            out = system.residual(&x, true);
        }
    }
    Err(NetworkError::NotSettled { steps: MOST_STEPS, volts: largest })
}

/// How much to take of a step along which the potential falls and rises again: as far as where it is about level.
fn cut(system: &System, x: &[f64], step: &[f64], slope: f64) -> f64 {
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..40 {
        let middle = f64::midpoint(low, high);
        let here = dot(&system.residual(&system.moved(x, step, middle), true), step);
        if here.abs() <= LEVEL * slope {
            return middle;
        }
        if here < 0.0 { low = middle } else { high = middle }
    }
    f64::midpoint(low, high)
}
