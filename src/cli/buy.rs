//! `buy [list|add|order|receive|expect|offer]`

use std::process::ExitCode;

use super::args::Args;
use super::deed_args::{BuyArgs, BuyDeed};
use super::{deeds, output, wrong_use};
use crate::app::{Ask, BuyChoice, NewOffer, Problem};

pub(super) fn buy(args: &Args, choice: &BuyArgs, deed: Option<&BuyDeed>) -> Result<ExitCode, Problem> {
    let ask = match deed {
        None | Some(BuyDeed::List) => {
            let choice = read(choice)?;
            return Ok(output::answer(&args.open()?.buy_answer(&choice, args.form())?));
        }
        Some(BuyDeed::Add { title, quantity, by }) => {
            Ask::AddNeed { title: title.clone(), quantity: *quantity, need_by: by.clone() }
        }
        Some(BuyDeed::Order { vendor, try_only: true }) => {
            return Ok(output::answer(&args.open()?.order_shown(vendor, args.form())?));
        }
        Some(BuyDeed::Order { vendor, .. }) => Ask::Order { vendor: vendor.clone() },
        Some(BuyDeed::Expect { order, on }) => Ask::ExpectOrder { order: order.clone(), on: on.clone() },
        Some(BuyDeed::Offer(o)) => Ask::AddOffer(NewOffer {
            vendor: o.vendor.clone(),
            product: o.product.clone(),
            price: o.price.clone(),
            pack: o.pack,
            min_packs: o.min_packs,
            max_packs: o.max_packs,
            lead_days: o.lead_days,
            sale_from: o.sale_from.clone(),
            sale_to: o.sale_to.clone(),
        }),
        Some(BuyDeed::Receive { order, lines, into }) => Ask::Receive {
            into: into.clone(),
            order: order.clone(),
            lines: lines.iter().map(|l| line(l)).collect::<Result<_, Problem>>()?,
        },
    };
    deeds::perform(args, &ask)
}

fn read(choice: &BuyArgs) -> Result<BuyChoice, Problem> {
    let budget = choice.budget.as_deref().map(BuyChoice::read_budget).transpose()?;
    Ok(BuyChoice {
        budget,
        local: choice.local,
        without: choice.without.clone(),
        close: choice.close.clone(),
    })
}

/// `C-TIE` or `C-TIE=200`.
fn line(text: &str) -> Result<(String, Option<i64>), Problem> {
    match text.split_once('=') {
        None => Ok((text.to_owned(), None)),
        Some((code, n)) => n.trim().parse().map(|n| (code.trim().to_owned(), Some(n))).map_err(|_| {
            wrong_use("bad-count", format!("{n:?} is no number of pieces")).hint("--line C-TIE=200")
        }),
    }
}
