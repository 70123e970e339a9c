//! The keys of steps: with codes in files, with row ids in the yard.
//!
//! `placement:HM-01/stake.drive/up`, `box:BOX-MAIN:LAWN:glow-2026/test/up`: the owner's kind, the owner, where and in
//! which season, then the recipe step and the phase, which stay as they are. A mount without a piece is known by
//! place, method and name:
//! `mount:GABLE.clip.star/…`. What parts a key is written in a code as `%2F`, `%3A`, `%2E`, a percent sign as `%25`.

use uuid::Uuid;

use super::code::{Codes, NoRow};
use super::fault::CsvFault;

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

/// Where there is no place, and what is just set out: words, no codes.
const NOWHERE: &str = "nowhere";
const SET_OUT: &str = "set_out";

/// A code as part of a key.
fn guard(code: &str) -> String {
    if code == NOWHERE {
        return code.replacen('n', "%6E", 1);
    }
    code.replace('%', "%25").replace('/', "%2F").replace(':', "%3A").replace('.', "%2E")
}

/// The code that a part of a key stands for; parts written without guards stay.
fn unguard(part: &str) -> String {
    let plain = part.replace("%2F", "/").replace("%3A", ":").replace("%2E", ".");
    let plain = plain.replace("%6E", "n").replace("%5F", "_");
    plain.replace("%25", "%")
}

/// Why a key is refused.
enum KeyFault {
    Form,
    Owner(String),
    Unknown(String),
    Several(String),
}

/// Puts row ids in the place of codes.
fn with_ids(key: &str, codes: &Codes) -> Result<String, KeyFault> {
    let (owner, rest) = key.split_once('/').ok_or(KeyFault::Form)?;
    let (kind, parts) = owner.split_once(':').ok_or(KeyFault::Form)?;
    if rest.is_empty() || parts.is_empty() {
        return Err(KeyFault::Form);
    }
    let mut out = kind.to_owned();
    for (part, at) in parts.split(':').zip(0..) {
        let tables = tables(kind, at).ok_or_else(|| KeyFault::Owner(kind.to_owned()))?;
        out.push(':');
        if Uuid::parse_str(part).is_ok() || (at > 0 && (part.is_empty() || part == NOWHERE)) {
            out.push_str(part);
            continue;
        }
        if let Some(mount) = mount_ids(kind, part, codes) {
            out.push_str(&mount);
            continue;
        }
        match find(tables, part, codes) {
            Ok(id) => out.push_str(&id.hyphenated().to_string()),
            // A watch may be of a kind that is no row, as `wind`.
            Err(KeyFault::Unknown(_)) if matches!(kind, "watch" | "round" | "change") => out.push_str(part),
            Err(fault) => return Err(fault),
        }
    }
    Ok(format!("{out}/{rest}"))
}

/// The row of the first table that has the code.
fn find(tables: &[&'static str], part: &str, codes: &Codes) -> Result<Uuid, KeyFault> {
    let code = unguard(part);
    for table in tables {
        match codes.find(table, &code) {
            Ok(found) => return Ok(found),
            Err(NoRow::Several) => return Err(KeyFault::Several(code)),
            Err(NoRow::Unknown) => {}
        }
    }
    Err(KeyFault::Unknown(code))
}

/// `PLACE.method.name` of a mount with ids, where that is what it is.
fn mount_ids(kind: &str, part: &str, codes: &Codes) -> Option<String> {
    let (place, rest) = part.split_once('.').filter(|_| kind == "mount")?;
    let (method, name) = rest.split_once('.')?;
    let id = |word: &str, table: &'static str, stays: &str| {
        if word == stays || Uuid::parse_str(word).is_ok() {
            return Some(word.to_owned());
        }
        find(&[table], word, codes).ok().map(|id| id.hyphenated().to_string())
    };
    Some(format!("{}.{}.{name}", id(place, "place", NOWHERE)?, id(method, "method", SET_OUT)?))
}

/// The same with codes.
fn mount_codes(kind: &str, part: &str, codes: &Codes) -> Option<String> {
    let (place, rest) = part.split_once('.').filter(|_| kind == "mount")?;
    let (method, name) = rest.split_once('.')?;
    let code = |id: &str, table: &'static str| {
        let named = Uuid::parse_str(id).ok().and_then(|id| codes.name(table, id));
        // A method of that very code must not be taken for the word.
        let guarded = |code: &str| if code == SET_OUT { "set%5Fout".to_owned() } else { guard(code) };
        named.map_or_else(|| id.to_owned(), guarded)
    };
    Some(format!("{}.{}.{name}", code(place, "place"), code(method, "method")))
}

/// Puts codes in the place of row ids; what has no code stays.
pub(super) fn with_codes(key: &str, codes: &Codes) -> String {
    let Some((owner, rest)) = key.split_once('/') else { return key.to_owned() };
    let Some((kind, parts)) = owner.split_once(':') else { return key.to_owned() };
    let named = parts.split(':').zip(0..).map(|(part, at)| {
        if let Some(mount) = mount_codes(kind, part, codes) {
            return Some(mount);
        }
        let id = Uuid::parse_str(part).ok()?;
        tables(kind, at)?.iter().find_map(|table| codes.name(table, id)).map(guard)
    });
    let parts: Vec<_> =
        parts.split(':').zip(named).map(|(part, name)| name.unwrap_or_else(|| part.to_owned())).collect();
    format!("{kind}:{}/{rest}", parts.join(":"))
}

/// The key of a step with row ids in the place of codes.
pub(super) fn key_with_ids(
    key: &str,
    codes: &Codes,
    fault: impl Fn(&'static str, String, String) -> CsvFault,
) -> Result<String, Box<CsvFault>> {
    with_ids(key, codes).map_err(|error| {
        let form = "write it like placement:HM-01/stake.drive/up";
        Box::new(match error {
            KeyFault::Form => fault("bad-step-key", "this is no step's key".into(), form.into()),
            KeyFault::Owner(kind) => {
                fault("bad-step-key", format!("steps have no owner {kind:?}"), form.into())
            }
            KeyFault::Unknown(part) => fault(
                "unknown-reference",
                format!("nothing that owns such steps has the code {part:?}"),
                "add it, or correct the code".into(),
            ),
            KeyFault::Several(part) => several(fault, &part),
        })
    })
}

pub(super) fn several(fault: impl Fn(&'static str, String, String) -> CsvFault, to: &str) -> CsvFault {
    let what = format!("two rows of the yard have this code ({to})");
    fault("ambiguous-reference", what, "give one of them another code first".into())
}
