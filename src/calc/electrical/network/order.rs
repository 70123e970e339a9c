//! The order of elimination: along the chains first, then least degree among the points where cables meet.

use std::collections::BTreeSet;

use super::nodes::Nodes;

/// Position of each unknown in the order of elimination.
pub(super) fn positions(nodes: &Nodes) -> Vec<usize> {
    let mut position = vec![usize::MAX; nodes.unknowns];
    let mut next = 0;
    let mut place = |unknown: usize, position: &mut Vec<usize>| {
        if position[unknown] == usize::MAX {
            position[unknown] = next;
            next += 1;
        }
    };
    let mut around: Vec<BTreeSet<usize>> = vec![BTreeSet::new(); nodes.unknowns];
    let mut join = |clique: &BTreeSet<usize>| {
        for &a in clique {
            around[a].extend(clique.iter().copied().filter(|&b| b != a));
        }
    };
    for chain in nodes.starts.windows(2) {
        // Eliminating a run of plain pixels joins all points that touch the run.
        let mut touched = BTreeSet::new();
        for pixel in &nodes.pixels[chain[0]..chain[1]] {
            let ends = [pixel.pos, pixel.neg].map(|terminal| nodes.terminals[terminal].unknown);
            let plain = |unknown: &usize| !nodes.meeting[*unknown];
            let inside = ends.iter().flatten().any(plain);
            touched.extend(ends.iter().flatten().copied().filter(|unknown| nodes.meeting[*unknown]));
            if inside {
                ends.iter()
                    .flatten()
                    .copied()
                    .filter(plain)
                    .for_each(|unknown| place(unknown, &mut position));
            } else {
                join(&touched);
                touched = ends.iter().flatten().copied().collect();
            }
        }
        join(&touched);
    }
    for edge in &nodes.resistors {
        let ends = [edge.a, edge.b].map(|terminal| nodes.terminals[terminal].unknown);
        if let [Some(a), Some(b)] = ends
            && nodes.meeting[a]
            && nodes.meeting[b]
        {
            join(&BTreeSet::from([a, b]));
        }
    }
    let left: Vec<usize> = (0..nodes.unknowns).filter(|&unknown| nodes.meeting[unknown]).collect();
    least_degree(&left, &mut around, |unknown| place(unknown, &mut position));
    position
}

/// Eliminates the point with the fewest neighbours again and again, joining its neighbours to each other.
fn least_degree(points: &[usize], around: &mut [BTreeSet<usize>], mut place: impl FnMut(usize)) {
    let mut queue: BTreeSet<(usize, usize)> =
        points.iter().map(|&point| (around[point].len(), point)).collect();
    while let Some((_, point)) = queue.pop_first() {
        place(point);
        let neighbours = std::mem::take(&mut around[point]);
        for &a in &neighbours {
            queue.remove(&(around[a].len(), a));
            around[a].remove(&point);
            around[a].extend(neighbours.iter().copied().filter(|&b| b != a));
            queue.insert((around[a].len(), a));
        }
    }
}
