//! Needs that the owner notes.

use super::Desk;
use super::{mistyped, next_code, read_day, refused};
use crate::answers::problem::Problem;
use chrono::NaiveDate;

use crate::domain::{Fact, Need, NeedId, NeedReason, Phase, ProductId, RowChange, Value};

/// "improve: a second feed" is a note of what to do better; the rest is a plain need.
fn improvement(title: &str) -> (&str, NeedReason) {
    let word = title.split_once(':').filter(|(word, rest)| {
        !rest.trim().is_empty()
            && ["improve", "improvement", "better"].contains(&word.trim().to_lowercase().as_str())
    });
    word.map_or((title, NeedReason::Noted), |(_, rest)| (rest.trim(), NeedReason::Improvement))
}

/// Noted needs that `n` of a product meet, the earliest first; of one that is met in part the rest stays.
pub(super) fn needs_met(desk: &dyn Desk, product: ProductId, n: i64, today: NaiveDate) -> Vec<RowChange> {
    let yard = desk.yard();
    let named = yard.products.iter().find(|p| p.id == product);
    let same = |title: &str| {
        named.is_some_and(|p| p.name.eq_ignore_ascii_case(title) || p.code.eq_ignore_ascii_case(title))
    };
    let mut open: Vec<&Need> = yard
        .needs
        .iter()
        .filter(|x| x.met_on.is_none())
        .filter(|x| x.product_id.map_or_else(|| same(x.title.trim()), |id| id == product))
        .collect();
    open.sort_by_key(|x| (x.need_by.is_none(), x.need_by, x.code.clone()));
    let (mut left, mut rows) = (n, Vec::new());
    for need in open {
        let set = match need.quantity {
            _ if left <= 0 => break,
            q if q <= left => vec![("met_on", Value::Text(today.to_string()))],
            q => {
                let came = format!("{left} of {q} came {today}");
                let note = if need.note.is_empty() { came } else { format!("{}; {came}", need.note) };
                vec![("quantity", Value::Int(q - left)), ("note", Value::Text(note))]
            }
        };
        left -= need.quantity;
        rows.push(RowChange::new("need", need.id.0, set));
    }
    rows
}

pub(super) fn add_need(
    desk: &mut dyn Desk,
    title: &str,
    quantity: i64,
    need_by: Option<&str>,
) -> Result<String, Problem> {
    if title.trim().is_empty() {
        return Err(refused("no-title", "what is needed is not told"));
    }
    if !(1..=100_000).contains(&quantity) {
        return Err(mistyped("bad-quantity", format!("{quantity} is no quantity")).hint("1 to 100000"));
    }
    let (title, reason) = improvement(title);
    let by = match need_by.map(str::trim).filter(|t| !t.is_empty()) {
        None => None,
        Some(text) => Some(read_day(text)?),
    };
    let product = desk
        .yard()
        .products
        .iter()
        .find(|p| p.code.eq_ignore_ascii_case(title.trim()) || p.name.eq_ignore_ascii_case(title.trim()));
    let need = Need {
        code: next_code(&desk.mark(), "N", desk.yard().needs.iter().map(|n| n.code.as_str())),
        product_id: product.map(|p| p.id),
        title: product.map_or_else(|| title.trim().to_owned(), |p| p.name.clone()),
        id: NeedId(desk.id()),
        ended_at: None,
        quantity,
        season_id: desk.outlook().season_for(Phase::Up).ok().map(|s| s.id),
        need_by: by,
        reason,
        fault_id: None,
        worth: 3,
        met_on: None,
        note: String::new(),
    };
    let said = format!("Needed: {quantity} x {}", need.title);
    desk.write("need-add", &said, vec![need.to_row()])?;
    Ok(said)
}
