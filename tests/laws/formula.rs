//! Works out a stated formula from named figures: numbers, names, + - * / and brackets.

use std::collections::BTreeMap;

struct Reader<'t> {
    rest: &'t str,
    figures: &'t BTreeMap<String, f64>,
}

impl Reader<'_> {
    fn skip(&mut self) {
        self.rest = self.rest.trim_start();
    }

    fn take(&mut self, sign: char) -> bool {
        self.skip();
        let rest = self.rest.strip_prefix(sign);
        self.rest = rest.unwrap_or(self.rest);
        rest.is_some()
    }

    fn sum(&mut self) -> Option<f64> {
        let mut total = self.product()?;
        loop {
            if self.take('+') {
                total += self.product()?;
            } else if self.take('-') {
                total -= self.product()?;
            } else {
                return Some(total);
            }
        }
    }

    fn product(&mut self) -> Option<f64> {
        let mut total = self.one()?;
        loop {
            if self.take('*') {
                total *= self.one()?;
            } else if self.take('/') {
                total /= self.one()?;
            } else {
                return Some(total);
            }
        }
    }

    fn one(&mut self) -> Option<f64> {
        if self.take('(') {
            let inner = self.sum()?;
            return self.take(')').then_some(inner);
        }
        self.skip();
        let end = self
            .rest
            .find(|c: char| !(c.is_alphanumeric() || c == '_' || c == '.'))
            .unwrap_or(self.rest.len());
        let (word, rest) = self.rest.split_at(end);
        self.rest = rest;
        word.parse().ok().or_else(|| self.figures.get(word).copied())
    }
}

/// Each equation of a formula, with the figure it states and the one worked out.
pub fn equations(formula: &str, figures: &BTreeMap<String, f64>) -> Vec<(String, Option<f64>, Option<f64>)> {
    let one = |equation: &str| {
        let (name, right) = equation.split_once('=')?;
        let mut reader = Reader { rest: right, figures };
        let worked = reader.sum().filter(|_| reader.rest.trim().is_empty());
        Some((name.trim().to_owned(), figures.get(name.trim()).copied(), worked))
    };
    formula.split(';').map(|e| one(e).unwrap_or((e.to_owned(), None, None))).collect()
}
