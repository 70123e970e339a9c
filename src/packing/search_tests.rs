//! The search against trying every packing, and what it refuses.

use proptest::prelude::*;

use super::*;
use crate::packing::Tote;
use crate::units::{Length, Mass, Percent, Volume};

fn item(ml: i64, g: i64) -> Item {
    Item {
        id: format!("{ml}/{g}"),
        place: "lawn".into(),
        volume: Volume::from_ml(ml),
        weight: Mass::from_g(g),
        longest: None,
        class: None,
        keep_with: None,
    }
}

fn rules() -> Rules {
    Rules {
        tote: Tote {
            volume: Volume::from_ml(100),
            fill: Percent::new(100).unwrap(),
            tare: Mass::from_g(10),
            max_gross: Mass::from_g(110),
            longest: Length::from_mm(700),
        },
        mix_places: false,
        keep_apart: vec![("liquid".into(), "electronics".into())],
    }
}

/// Fewest totes by every way to share the items out.
fn by_trying_all(rules: &Rules, items: &[Item]) -> usize {
    fn go(rules: &Rules, items: &[Item], at: usize, totes: &mut Vec<Vec<usize>>) -> usize {
        if at == items.len() {
            return if totes.iter().all(|t| allowed(rules, items, t)) { totes.len() } else { usize::MAX };
        }
        let mut best = usize::MAX;
        for t in 0..totes.len() {
            totes[t].push(at);
            best = best.min(go(rules, items, at + 1, totes));
            totes[t].pop();
        }
        totes.push(vec![at]);
        best = best.min(go(rules, items, at + 1, totes));
        totes.pop();
        best
    }
    go(rules, items, 0, &mut Vec::new())
}

fn allowed(rules: &Rules, items: &[Item], tote: &[usize]) -> bool {
    let inside: Vec<&Item> = tote.iter().map(|&i| &items[i]).collect();
    let has = |class: &str| inside.iter().any(|i| i.class.as_deref() == Some(class));
    let whole = items.iter().enumerate().all(|(at, other)| {
        other.keep_with.is_none()
            || tote.contains(&at)
            || inside.iter().all(|i| i.keep_with != other.keep_with)
    });
    inside.iter().map(|i| i.volume.ml()).sum::<i64>() <= 100
        && inside.iter().map(|i| i.weight.g()).sum::<i64>() <= 100
        && (rules.mix_places || inside.windows(2).all(|w| w[0].place == w[1].place))
        && !rules.keep_apart.iter().any(|(a, b)| has(a) && has(b))
        && whole
}

#[test]
fn nonsense_is_refused() {
    assert_eq!(pack(&rules(), &[item(-1, 1)]).unwrap_err().code(), "packing.negative");
    let mut heavy = rules();
    heavy.tote.tare = Mass::from_g(110);
    assert_eq!(pack(&heavy, &[item(1, 1)]).unwrap_err().code(), "packing.tote");
    assert!(pack(&rules(), &[]).unwrap().totes.is_empty());
}

#[test]
fn what_fits_no_tote_is_named_and_the_rest_is_packed() {
    let group = |ml, place: &str| Item { keep_with: Some("star".into()), place: place.into(), ..item(ml, 1) };
    let pole = Item { longest: Some(Length::from_mm(701)), ..item(5, 5) };
    let got =
        pack(&rules(), &[group(60, "lawn"), item(50, 5), group(41, "lawn"), pole, item(101, 1)]).unwrap();
    assert_eq!(got.oversize, [vec![0, 2], vec![4]]);
    assert_eq!((got.too_long, got.totes), (vec![3], vec![vec![1]]));
    let torn = pack(&rules(), &[group(6, "lawn"), group(4, "roof")]).unwrap();
    assert_eq!(torn.oversize, [vec![0, 1]]);
}

/// More pieces than can be settled: the search ends, and what it found keeps every rule.
#[test]
fn three_hundred_pieces_are_packed_by_the_rules() {
    let mut n = 7_u64;
    let mut below = |most: u64| {
        n = n.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((n >> 33) % most) as i64
    };
    let classes = [None, Some("liquid"), Some("electronics")];
    let items: Vec<Item> = (0..300)
        .map(|_| Item {
            class: classes[below(3) as usize].map(Into::into),
            ..item(1 + below(45), 1 + below(45))
        })
        .collect();
    let got = pack(&rules(), &items).unwrap();
    assert!(got.totes.iter().all(|t| allowed(&rules(), &items, t)));
    assert_eq!(got.totes.iter().map(Vec::len).sum::<usize>(), 300);
    let volume: i64 = items.iter().map(|i| i.volume.ml()).sum();
    let Proof::BestFound { at_least } = got.proof else { return };
    assert!(at_least <= got.totes.len() && at_least as i64 >= volume / 100);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(150))]
    #[test]
    fn no_packing_has_fewer_totes(
        list in prop::collection::vec((1_i64..70, 1_i64..70, 0_usize..2, 0_usize..4, 0_usize..8), 0..8),
        mix: bool,
    ) {
        let classes = [None, None, Some("liquid"), Some("electronics")];
        let items: Vec<Item> = list
            .into_iter()
            .map(|(ml, g, place, class, group)| Item {
                place: ["lawn", "roof"][place].into(),
                class: classes[class].map(Into::into),
                keep_with: (group < 2).then(|| group.to_string()),
                ..item(ml, g)
            })
            .collect();
        let rules = Rules { mix_places: mix, ..rules() };
        let got = pack(&rules, &items).unwrap();
        prop_assert_eq!(got.proof, Proof::Proven);
        prop_assert!(got.totes.iter().all(|t| allowed(&rules, &items, t)));
        let tried = by_trying_all(&rules, &items);
        if got.oversize.is_empty() {
            prop_assert_eq!(got.totes.len(), tried);
        } else {
            prop_assert_eq!(tried, usize::MAX);
        }
    }
}
