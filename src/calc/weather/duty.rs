//! Which ladder carries this person with tools and load.

use crate::calc::refusal::Refusal;
use crate::calc::source::{Source, Standing};
use crate::units::si::Kilograms;

pub const SOURCE: Source = Source {
    title: "ANSI-ASC A14 series, ladder duty ratings",
    edition: "A14.2 and A14.5, as marked on the ladder",
    clause: "III 200, II 225, I 250, IA 300, IAA 375 lb: person, clothes, tools and load together",
    standing: Standing::Published,
};

/// Kilograms in a pound.
pub const KG_PER_LB: f64 = 0.453_592_37;

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Duty {
    III,
    II,
    I,
    IA,
    IAA,
}

impl Duty {
    /// Lightest first.
    pub const ALL: [Self; 5] = [Self::III, Self::II, Self::I, Self::IA, Self::IAA];

    /// As printed on the ladder.
    pub const fn name(self) -> &'static str {
        match self {
            Self::III => "III",
            Self::II => "II",
            Self::I => "I",
            Self::IA => "IA",
            Self::IAA => "IAA",
        }
    }

    pub const fn pounds(self) -> f64 {
        match self {
            Self::III => 200.0,
            Self::II => 225.0,
            Self::I => 250.0,
            Self::IA => 300.0,
            Self::IAA => 375.0,
        }
    }
}

/// What stands on the ladder.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Input {
    pub person: Kilograms,
    pub clothes: Kilograms,
    pub tools: Kilograms,
    pub load: Kilograms,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Output {
    pub total: Kilograms,
    /// The lightest rating that carries it.
    pub lightest: Duty,
}

impl Input {
    /// All that the ladder carries, in kg.
    pub fn total(&self) -> f64 {
        self.person.get() + self.clothes.get() + self.tools.get() + self.load.get()
    }
}

/// The lightest duty rating that carries everything; refused above the heaviest.
pub fn lightest(input: Input) -> Result<Output, Refusal> {
    let total = input.total();
    let refusal = Refusal {
        code: "duty_over",
        what: "weight on the ladder",
        value: total,
        unit: "kg",
        range: (0.0, Duty::IAA.pounds() * KG_PER_LB),
        remedy: "no ladder of this series carries it: hoist the load, or share it",
    };
    let lightest =
        Duty::ALL.into_iter().find(|d| total <= d.pounds() * KG_PER_LB * (1.0 + 1e-12)).ok_or(refusal)?;
    Ok(Output { total: Kilograms::new(total).map_err(|_| refusal)?, lightest })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn lb(pounds: f64) -> Kilograms {
        Kilograms::new(pounds * KG_PER_LB).unwrap()
    }

    /// ANSI A14: a person of 185 lb with 10 lb clothes, 12 lb tools and 25 lb load makes 232 lb: type I.
    #[test]
    fn everything_counts() {
        let input = Input { person: lb(185.0), clothes: lb(10.0), tools: lb(12.0), load: lb(25.0) };
        assert_eq!(lightest(input).unwrap().lightest, Duty::I);
        assert_eq!(lightest(Input { person: lb(250.0), ..Input::default() }).unwrap().lightest, Duty::I);
        assert_eq!(lightest(Input { person: lb(376.0), ..Input::default() }).unwrap_err().code, "duty_over");
    }

    proptest! {
        #[test]
        fn the_lightest_carries_it_and_no_lighter_one(p in 0.0..375.0_f64) {
            let got = lightest(Input { person: lb(p), ..Input::default() }).unwrap().lightest;
            prop_assert!(got.pounds() + 1e-6 >= p);
            prop_assert!(Duty::ALL.into_iter().filter(|d| *d < got).all(|d| d.pounds() < p));
        }
    }
}
