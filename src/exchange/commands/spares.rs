//! `spares`: what to carry, and why.

use std::fmt::Write as _;

use crate::answers::Outlook;
use crate::answers::record::{Spare, percent};
use crate::domain::ProductId;
use crate::exchange::json::{SpareDoc, SparesDoc};

fn name<'a>(outlook: &Outlook<'a>, id: ProductId) -> (&'a str, &'a str) {
    outlook.facts().product(id).map_or(("", ""), |p| (p.code.as_str(), p.name.as_str()))
}

pub(crate) fn document(outlook: &Outlook, service: f64, list: &[Spare]) -> SparesDoc {
    let doc = |s: &Spare| SpareDoc {
        product: name(outlook, s.product).0.to_owned(),
        name: name(outlook, s.product).1.to_owned(),
        carry: s.carry,
        on_hand: s.on_hand,
        achieved: s.achieved,
        why: s.reason.clone(),
    };
    SparesDoc { service, spares: list.iter().map(doc).collect() }
}

pub(crate) fn text(outlook: &Outlook, service: f64, list: &[Spare]) -> String {
    if list.iter().all(|s| s.carry == 0) {
        return format!("no spares are needed at a service level of {}\n", percent(service));
    }
    let mut out = format!("Spares to carry, enough with a chance of at least {}\n", percent(service));
    for s in list.iter().filter(|s| s.carry > 0) {
        let (code, name) = name(outlook, s.product);
        let _ =
            writeln!(out, "{:>4} x {name} ({code}), {} on hand\n         {}", s.carry, s.on_hand, s.reason);
    }
    out
}
