//! The keys of steps: with codes in files, with row ids in the yard.
//!
//! `placement:HM-01/stake.drive/up`, `box:BOX-MAIN:LAWN/test/up`: the owner's kind, the owner and where, then the
//! recipe step and the phase, which stay as they are.

use uuid::Uuid;

use super::code::{Codes, NoRow};

/// The tables that the parts of an owner are of, first the likeliest.
fn tables(kind: &str, part: usize) -> Option<&'static [&'static str]> {
    Some(match (kind, part) {
        ("placement", 0) => &["placement"],
        ("mount" | "piece" | "box", 0) => &["piece", "placement", "product"],
        ("link", 0) => &["link"],
        ("desk", 0) => &["desk_task"],
        ("season" | "show", 0) => &["season"],
        ("duty", 0) => &["duty"],
        ("fault", 0) => &["fault"],
        ("product" | "kind", 0) => &["product"],
        ("stock", 0) => &["stock"],
        ("place", 0) => &["place"],
        ("container" | "tote", 0) => &["container"],
        ("session", 0) => &["session"],
        ("outlet", 0) => &["outlet"],
        ("circuit", 0) => &["circuit"],
        ("watch" | "round" | "change", 0) => &["season", "placement", "place", "piece"],
        ("watch" | "round" | "change", _) => &["placement", "place", "piece", "season"],
        (_, 0) => return None,
        (_, _) => &["place", "placement", "season", "piece"],
    })
}

/// Why a key is refused.
pub(super) enum KeyFault {
    Form,
    Owner(String),
    Unknown(String),
    Several(String),
}

/// Puts row ids in the place of codes.
pub(super) fn with_ids(key: &str, codes: &Codes) -> Result<String, KeyFault> {
    let (owner, rest) = key.split_once('/').ok_or(KeyFault::Form)?;
    let (kind, parts) = owner.split_once(':').ok_or(KeyFault::Form)?;
    if rest.is_empty() || parts.is_empty() {
        return Err(KeyFault::Form);
    }
    let mut out = kind.to_owned();
    for (part, at) in parts.split(':').zip(0..) {
        let tables = tables(kind, at).ok_or_else(|| KeyFault::Owner(kind.to_owned()))?;
        out.push(':');
        if Uuid::parse_str(part).is_ok() || (at > 0 && part.is_empty()) {
            out.push_str(part);
            continue;
        }
        let mut id = Err(KeyFault::Unknown(part.to_owned()));
        for table in tables {
            match codes.find(table, part) {
                Ok(found) => id = Ok(found),
                Err(NoRow::Several) => id = Err(KeyFault::Several(part.to_owned())),
                Err(NoRow::Unknown) => continue,
            }
            break;
        }
        match id {
            Ok(id) => out.push_str(&id.hyphenated().to_string()),
            // A watch may be of a kind that is no row, as `wind`.
            Err(KeyFault::Unknown(_)) if matches!(kind, "watch" | "round" | "change") => out.push_str(part),
            Err(fault) => return Err(fault),
        }
    }
    Ok(format!("{out}/{rest}"))
}

/// Puts codes in the place of row ids; what has no code stays.
pub(super) fn with_codes(key: &str, codes: &Codes) -> String {
    let Some((owner, rest)) = key.split_once('/') else { return key.to_owned() };
    let Some((kind, parts)) = owner.split_once(':') else { return key.to_owned() };
    let named = parts.split(':').zip(0..).map(|(part, at)| {
        let id = Uuid::parse_str(part).ok()?;
        tables(kind, at)?.iter().find_map(|table| codes.name(table, id))
    });
    let parts: Vec<_> = parts.split(':').zip(named).map(|(part, name)| name.unwrap_or(part)).collect();
    format!("{kind}:{}/{rest}", parts.join(":"))
}
