//! Chips in the eyes of colour-blind people, over rendered buffers.
//!
//! Simulation: G. M. Machado, M. M. Oliveira, L. A. F. Fernandes, "A Physiologically-based Model for Simulation of Color
//! Vision Deficiency", IEEE TVCG 15(6), 2009, matrices of severity 1.0, applied to linear RGB (figures from memory;
//! each row sums to 1 within 2e-6, which the test checks). Difference: CIE 1976 ΔE*ab, D65.

use std::collections::{BTreeMap, BTreeSet};

use ladderday::tui::{Depth, Look, Theme};
use ratatui::style::Color;

use super::fake::Fill;
use super::pictures::visit;

const PROTAN: [[f64; 3]; 3] = [
    [0.152_286, 1.052_583, -0.204_868],
    [0.114_503, 0.786_281, 0.099_216],
    [-0.003_882, -0.048_116, 1.051_998],
];
const DEUTAN: [[f64; 3]; 3] = [
    [0.367_322, 0.860_646, -0.227_968],
    [0.280_085, 0.672_501, 0.047_413],
    [-0.011_820, 0.042_940, 0.968_881],
];
const TRITAN: [[f64; 3]; 3] = [
    [1.255_528, -0.076_749, -0.178_779],
    [-0.078_411, 0.930_809, 0.147_602],
    [0.004_733, 0.691_367, 0.303_900],
];

/// A difference that is seen side by side at a glance (common practice: over 5 clearly, 2.3 just; no single source).
const SEEN: f64 = 5.0;

fn linear(rgb: (u8, u8, u8)) -> [f64; 3] {
    [rgb.0, rgb.1, rgb.2].map(|v| {
        let v = f64::from(v) / 255.0;
        if v <= 0.04045 { v / 12.92 } else { ((v + 0.055) / 1.055).powf(2.4) }
    })
}

fn seen_by(matrix: &[[f64; 3]; 3], c: [f64; 3]) -> [f64; 3] {
    matrix.map(|row| (row[0] * c[0] + row[1] * c[1] + row[2] * c[2]).clamp(0.0, 1.0))
}

/// CIE L*a*b*, D65, from linear sRGB (IEC 61966-2-1 primaries).
fn lab(c: [f64; 3]) -> [f64; 3] {
    let x = (0.4124 * c[0] + 0.3576 * c[1] + 0.1805 * c[2]) / 0.9505;
    let y = 0.2126 * c[0] + 0.7152 * c[1] + 0.0722 * c[2];
    let z = (0.0193 * c[0] + 0.1192 * c[1] + 0.9505 * c[2]) / 1.089;
    let f = |t: f64| if t > 216.0 / 24389.0 { t.cbrt() } else { (24389.0 / 27.0 * t + 16.0) / 116.0 };
    [116.0 * f(y) - 16.0, 500.0 * (f(x) - f(y)), 200.0 * (f(y) - f(z))]
}

fn difference(a: [f64; 3], b: [f64; 3]) -> f64 {
    let (a, b) = (lab(a), lab(b));
    a.iter().zip(b).map(|(a, b)| (a - b).powi(2)).sum::<f64>().sqrt()
}

/// Two kinds of chip that neither colour nor first mark tells apart.
fn confused(chips: &BTreeMap<(u8, u8, u8), BTreeSet<String>>, matrix: &[[f64; 3]; 3]) -> (f64, Vec<String>) {
    let mut least = f64::INFINITY;
    let mut found = Vec::new();
    for (a, marks_a) in chips {
        for (b, marks_b) in chips.range(a..).skip(1) {
            let d = difference(seen_by(matrix, linear(*a)), seen_by(matrix, linear(*b)));
            least = least.min(d);
            let both: Vec<_> = marks_a.intersection(marks_b).collect();
            if d < SEEN && !both.is_empty() {
                found.push(format!("{a:?} and {b:?}, {d:.1} apart, both {both:?}"));
            }
        }
    }
    (least, found)
}

#[test]
fn the_matrices_keep_white_white() {
    for matrix in [PROTAN, DEUTAN, TRITAN] {
        for row in matrix {
            assert!((row.iter().sum::<f64>() - 1.0).abs() < 2e-6, "{row:?}");
        }
    }
    let grey = difference([0.2; 3], [0.2; 3]);
    assert!(
        grey.abs() < 1e-12 && (difference([1.0; 3], [0.0; 3]) - 100.0).abs() < 0.1,
        "black to white is L* 100"
    );
}

#[test]
fn two_tints_with_one_mark_would_be_found() {
    let one: BTreeSet<String> = ["✓".to_owned()].into();
    let planted = [((0xAA, 0xDA, 0xF4), one.clone()), ((0xA6, 0xDA, 0xF0), one)].into();
    assert_eq!(confused(&planted, &DEUTAN).1.len(), 1);
}

/// Every chip that is drawn on any screen, by its ground, with the marks it begins with; the edge of a pop-up that covers
/// one is no mark.
#[test]
fn chips_tell_apart_in_every_kind_of_colour_blindness() {
    let mut chips: BTreeMap<(u8, u8, u8), BTreeSet<String>> = BTreeMap::new();
    let look = Look { theme: Theme::Day, depth: Depth::True, ascii: false };
    visit(look, &[Fill::Normal], |_, buffer| {
        let wide = usize::from(buffer.area.width);
        for row in buffer.content.chunks(wide) {
            let mut before = None;
            for (at, cell) in row.iter().enumerate() {
                let ground = match cell.bg {
                    Color::Rgb(r, g, b) if !matches!((r, g, b), (0, 0, 0) | (255, 255, 255)) => {
                        Some((r, g, b))
                    }
                    _ => None,
                };
                if let Some(ground) = ground.filter(|g| before != Some(*g)) {
                    let word: String =
                        row.iter().skip(at).take(3).map(ratatui::buffer::Cell::symbol).collect();
                    if let Some(mark) =
                        word.trim_start().chars().next().filter(|c| !c.is_alphanumeric() && *c != '│')
                    {
                        chips.entry(ground).or_default().insert(mark.to_string());
                    }
                }
                before = ground;
            }
        }
    });
    assert!(chips.len() >= 6, "only {} tints were drawn", chips.len());
    for (name, matrix) in [("protan", PROTAN), ("deutan", DEUTAN), ("tritan", TRITAN)] {
        let (least, found) = confused(&chips, &matrix);
        println!("{name}: {} tints, least difference {least:.1}", chips.len());
        assert!(found.is_empty(), "{name}: {}", found.join("; "));
        for ground in chips.keys() {
            let c = seen_by(&matrix, linear(*ground));
            let light = 0.2126 * c[0] + 0.7152 * c[1] + 0.0722 * c[2];
            assert!(
                (light + 0.05) / 0.05 >= 7.0,
                "{name}: black on {ground:?} is {:.1}",
                (light + 0.05) / 0.05
            );
        }
    }
}

/// The grounds of the bars, beside each other and beside the chips, whatever stands on them.
#[test]
fn kinds_of_work_tell_apart_in_every_kind_of_colour_blindness() {
    use ladderday::answers::view::WorkKind;
    use ladderday::tui::look::{Role, Tint};
    let look = Look { theme: Theme::Day, depth: Depth::True, ascii: false };
    let ground = |role: Role| match look.style(role).bg {
        Some(Color::Rgb(r, g, b)) => (r, g, b),
        other => panic!("{other:?}"),
    };
    let kinds = [WorkKind::Bench, WorkKind::Ground, WorkKind::Mount, WorkKind::Wire, WorkKind::Desk];
    let works: Vec<_> = kinds.iter().map(|k| ground(Role::Work(*k))).collect();
    let chips: Vec<_> = Tint::ALL.iter().map(|t| ground(Role::Chip(*t))).collect();
    for (name, matrix) in [("protan", PROTAN), ("deutan", DEUTAN), ("tritan", TRITAN)] {
        for (n, a) in works.iter().enumerate() {
            for b in works.iter().skip(n + 1).chain(&chips) {
                let apart = difference(seen_by(&matrix, linear(*a)), seen_by(&matrix, linear(*b)));
                assert!(apart >= SEEN, "{name}: {a:?} and {b:?} are {apart:.1} apart");
            }
        }
    }
}
