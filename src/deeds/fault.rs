//! Faults: logged in the dark, mended in summer.

use super::Desk;
use super::ask::{NewFault, NewRepair, Tonight};
use super::mending::fault_by_code;
use super::{mistyped, next_code, refused};
use crate::answers::faults::page::symptom_words;
use crate::answers::problem::Problem;
use crate::answers::symptoms::{SYMPTOMS, answer_words, cause_known, causes, symptom};
use crate::answers::words::{container_name, deed_words, forecast_words, target_name};
use crate::domain::{
    Condition, Fact, Fault, FaultId, Moment, MoveKind, PersonId, PieceId, PlacementId, RepairDeed,
    RepairEntry, RepairEntryId, RowChange, StockMove, StockMoveId, Value,
};
use crate::units::Span;

/// Where the file remembers who logs on this laptop.
const LOGS: &str = "logged_by";

pub(super) fn log_fault(desk: &mut dyn Desk, new: &NewFault) -> Result<String, Problem> {
    // What is to be mended now comes into the list, and moves none of it.
    desk.keep_walked(None)?;
    let Some(symptom) = SYMPTOMS.iter().find(|s| s.code == new.symptom) else {
        let known: Vec<&str> = SYMPTOMS.iter().map(|s| s.code).collect();
        return Err(
            mistyped("bad-symptom", format!("{:?} is no symptom", new.symptom)).hint(known.join(", "))
        );
    };
    let (piece, placement) = fault_target(desk, &new.target)?;
    let (at_pixel, segment) = fault_spot(desk, new.at.as_deref(), piece, placement)?;
    let now = desk.now();
    let code = next_code(&desk.mark(), "F", desk.yard().faults.iter().map(|f| f.code.as_str()));
    let fault = Fault {
        id: FaultId(desk.id()),
        ended_at: None,
        code: code.clone(),
        piece_id: piece,
        placement_id: placement,
        season_id: placement
            .and_then(|p| desk.yard().placements.iter().find(|x| x.id == p))
            .map(|p| p.season_id)
            .or_else(|| desk.outlook().season_for(crate::domain::Phase::Tonight).ok().map(|s| s.id)),
        symptom: symptom.code.to_owned(),
        at_pixel,
        segment,
        found_ms: Moment(now.timestamp_millis()),
        person_id: person_now(desk),
        weather: weather_now(desk),
        dark_hours: None,
        note: new.note.clone(),
    };
    let deed = match new.tonight {
        Tonight::Nothing => None,
        Tonight::Mended => Some(RepairDeed::Mended),
        Tonight::Patched => Some(RepairDeed::Patched),
        Tonight::SwitchedOff => Some(RepairDeed::SwitchedOff),
    };
    let mut rows = vec![fault.to_row()];
    if let Some(deed) = deed {
        rows.push(entry(desk, fault.id, deed).to_row());
    }
    rows.extend(piece.map(|p| condition(p, Condition::Faulty)));
    let said = format!(
        "Logged {code}: {}, {}",
        target_name(&desk.outlook(), piece, placement),
        symptom_words(&fault)
    );
    let which = match (piece, placement) {
        (None, Some(p)) if desk.outlook().facts().pieces_of(p).len() > 1 => {
            format!("; which of its pieces is not known: fault which {code} PIECE tells it later")
        }
        _ => String::new(),
    };
    desk.write("fault-log", &said, rows)?;
    Ok(format!("{said}{which}"))
}

/// The fault is of one piece of its placement: what was done about it stands in that piece's life from then on.
pub(super) fn fault_piece(desk: &mut dyn Desk, fault: &str, piece: &str) -> Result<String, Problem> {
    let fault = fault_by_code(desk, fault)?;
    let facts = desk.outlook().facts();
    let pieces = fault.placement_id.map_or(&[][..], |p| facts.pieces_of(p));
    let of: Vec<_> = pieces.iter().filter_map(|id| facts.piece(*id)).collect();
    let Some(found) = of.iter().find(|p| p.code.eq_ignore_ascii_case(piece.trim())) else {
        let known: Vec<&str> = of.iter().map(|p| p.code.as_str()).collect();
        let hint =
            if known.is_empty() { "its placement names no pieces".to_owned() } else { known.join(", ") };
        return Err(refused("no-piece", format!("{} is not of {piece:?}", fault.code)).hint(hint));
    };
    let mut rows =
        vec![RowChange::new("fault", fault.id.0, vec![("piece_id", Value::Text(found.id.to_string()))])];
    if !facts.fault_over(&fault) && found.condition == Condition::Good {
        rows.push(condition(found.id, Condition::Faulty));
    }
    let said = format!("{} is of {}", fault.code, found.code);
    desk.write("fault-which", &said, rows)?;
    Ok(said)
}

pub(super) fn repair(desk: &mut dyn Desk, new: &NewRepair) -> Result<String, Problem> {
    let fault = fault_by_code(desk, &new.fault)?;
    let now = desk.now();
    if now.timestamp_millis() < fault.found_ms.0 {
        return Err(refused(
            "repair-before-fault",
            format!(
                "{} was found {}, after this repair",
                fault.code,
                desk.outlook().say_ms(fault.found_ms.0)
            ),
        )
        .hint("check the clock, or the time given with --now"));
    }
    let over = desk.outlook().facts().fault_over(&fault);
    if over && new.deed != RepairDeed::Reopened {
        return Err(refused("fault-over", format!("{} is over", fault.code)).hint("reopen it first"));
    }
    if let Some(cause) = new.cause.as_deref().filter(|c| !c.is_empty() && !cause_known(c)) {
        return Err(mistyped("bad-cause", format!("{cause:?} is no cause")).hint(causes()));
    }
    let mut entry = entry(desk, fault.id, new.deed);
    entry.cause = new.cause.clone().filter(|c| !c.is_empty());
    entry.minutes_s = new.minutes.map(Span::from_minutes);
    entry.note.clone_from(&new.note);
    let mut rows = Vec::new();
    let mut short = String::new();
    if let Some(part) = new.part.as_deref().filter(|p| !p.is_empty()) {
        let (code, n) = parts(part)?;
        let product = desk
            .yard()
            .products
            .iter()
            .find(|p| p.code.eq_ignore_ascii_case(code))
            .ok_or_else(|| refused("no-product", format!("there is no product {code:?}")))?;
        entry.part_id = Some(product.id);
        // Waiting for a part, or looking, takes none from stock.
        let takes = matches!(new.deed, RepairDeed::Mended | RepairDeed::Patched | RepairDeed::Replaced);
        entry.parts_used = takes.then_some(n);
        let lots = desk.yard().stock.iter().filter(|s| s.product_id == product.id);
        let lot = lots.max_by_key(|s| crate::steps::on_hand(desk.yard(), s.id));
        if let Some(stock) = lot.filter(|_| takes) {
            let have = crate::steps::on_hand(desk.yard(), stock.id);
            if have < n {
                short = format!("; only {have} were on hand by the record: count {}", stock.code);
            }
            let stock_id = stock.id;
            rows.push(
                StockMove {
                    id: StockMoveId(desk.id()),
                    ended_at: None,
                    stock_id,
                    kind: MoveKind::Used,
                    quantity: n,
                    at_ms: Moment(now.timestamp_millis()),
                    season_id: None,
                    why: format!("fault {}", fault.code),
                }
                .to_row(),
            );
        }
    }
    rows.insert(0, entry.to_row());
    // Mended means tested: only the test on the bench makes a piece good again.
    let becomes = match new.deed {
        RepairDeed::Tested => Some(Condition::Good),
        RepairDeed::Scrapped => Some(Condition::Scrapped),
        RepairDeed::Reopened => Some(Condition::Faulty),
        _ => None,
    };
    if let Some((piece, becomes)) = fault.piece_id.zip(becomes) {
        rows.push(condition(piece, becomes));
    }
    let said = format!(
        "{}: {} {}",
        fault.code,
        target_name(&desk.outlook(), fault.piece_id, fault.placement_id),
        deed_words(new.deed)
    );
    desk.write("fault-repair", &said, rows)?;
    let home = fault.piece_id.filter(|_| new.deed == RepairDeed::Tested);
    let home = home.and_then(|id| desk.outlook().facts().piece(id)?.home_id);
    let home = home.and_then(|id| container_name(&desk.outlook(), id));
    let home = home.map_or_else(String::new, |home| format!("; put it back into {home}"));
    Ok(format!("{said}{short}{home}"))
}

/// What one thing to try showed: kept with the fault, and what it means is said.
pub(super) fn answer_guide(
    desk: &mut dyn Desk,
    fault: &str,
    tried: &str,
    result: &str,
    note: &str,
) -> Result<String, Problem> {
    let fault = fault_by_code(desk, fault)?;
    let Some([what, seen, means]) = answer_words(desk.yard().terms(), &fault.symptom, tried, result) else {
        let guide = symptom(&fault.symptom).map_or(&[][..], |s| s.guide);
        let known: Vec<String> = guide
            .iter()
            .flat_map(|t| t.results.iter().map(|(code, ..)| format!("{} {code}", t.code)))
            .collect();
        return Err(refused(
            "no-answer",
            format!("{tried:?} {result:?} is no answer to the guide of {}", symptom_words(&fault)),
        )
        .hint(known.join(", ")));
    };
    let mut entry = entry(desk, fault.id, RepairDeed::Looked);
    tried.clone_into(&mut entry.tried);
    result.clone_into(&mut entry.result);
    note.clone_into(&mut entry.note);
    let what = format!("{}: {what} {seen}", fault.code);
    desk.write("fault-answer", &what, vec![entry.to_row()])?;
    Ok(format!("{}: {seen}. So: {means}", fault.code))
}

/// Remembers on this laptop who logs.
pub(super) fn logged_by(desk: &mut dyn Desk, person: &str) -> Result<String, Problem> {
    let named = person.trim();
    let same =
        |p: &&crate::domain::Person| p.code.eq_ignore_ascii_case(named) || p.name.eq_ignore_ascii_case(named);
    let Some(found) = desk.yard().people.iter().find(same).cloned() else {
        let known: Vec<&str> = desk.yard().people.iter().map(|p| p.name.as_str()).collect();
        return Err(refused("no-person", format!("there is no person {named:?}")).hint(known.join(", ")));
    };
    desk.remember(LOGS, &found.id.to_string())?;
    Ok(format!("Faults and repairs are logged by {} from now on", found.name))
}

/// Who does this: whoever was told to log here, or alone is in the session, or alone does the work; else who was told last tonight.
fn person_now(desk: &dyn Desk) -> Option<PersonId> {
    let told = desk.remembered(LOGS);
    if let Some(p) = told.and_then(|id| desk.yard().people.iter().find(|p| p.id.to_string() == id)) {
        return Some(p.id);
    }
    let session = desk.outlook().session_now().map(|s| s.id);
    let mut there: Vec<PersonId> = desk
        .yard()
        .session_people
        .iter()
        .filter(|x| Some(x.session_id) == session)
        .map(|x| x.person_id)
        .collect();
    if there.is_empty() {
        there = desk.yard().people.iter().map(|p| p.id).collect();
    }
    if let [one] = there.as_slice() {
        return Some(*one);
    }
    let since = desk.now().timestamp_millis() - 12 * 3_600_000;
    let told = desk.yard().faults.iter().map(|f| (f.found_ms.0, f.person_id));
    let told = told.chain(desk.yard().repair_entries.iter().map(|e| (e.at_ms.0, e.person_id)));
    told.filter(|(at, _)| *at >= since).filter_map(|(at, p)| Some((at, p?))).max().map(|(_, p)| p)
}

pub(super) fn entry(desk: &mut dyn Desk, fault: FaultId, deed: RepairDeed) -> RepairEntry {
    let now = desk.now();
    RepairEntry {
        id: RepairEntryId(desk.id()),
        ended_at: None,
        fault_id: fault,
        at_ms: Moment(now.timestamp_millis()),
        deed,
        cause: None,
        minutes_s: None,
        person_id: person_now(desk),
        part_id: None,
        parts_used: None,
        spare_id: None,
        note: String::new(),
        tried: String::new(),
        result: String::new(),
    }
}

/// The piece or placement of a code; a placement with one piece means that piece.
fn fault_target(desk: &dyn Desk, code: &str) -> Result<(Option<PieceId>, Option<PlacementId>), Problem> {
    let code = code.trim();
    let season = desk.outlook().season_for(crate::domain::Phase::Tonight).ok().map(|s| s.id);
    if let Some(piece) = desk.yard().pieces.iter().find(|p| p.code.eq_ignore_ascii_case(code)) {
        let facts = desk.outlook().facts();
        let placement = season.and_then(|s| facts.placement_of_piece(s, piece.id)).map(|p| p.id);
        return Ok((Some(piece.id), placement));
    }
    let placement =
        desk.yard().placements.iter().find(|p| p.code.eq_ignore_ascii_case(code)).ok_or_else(|| {
            refused("no-target", format!("no piece or placement has the code {code:?}"))
                .hint("find it in Kit, or with `ladderday export`")
        })?;
    let facts = desk.outlook().facts();
    let piece = match facts.pieces_of(placement.id) {
        [one] => Some(*one),
        _ => None,
    };
    Ok((piece, Some(placement.id)))
}

/// A pixel number, checked against the prop, or a segment in words.
fn fault_spot(
    desk: &dyn Desk,
    at: Option<&str>,
    piece: Option<PieceId>,
    placement: Option<PlacementId>,
) -> Result<(Option<i64>, Option<String>), Problem> {
    let Some(at) = at.map(str::trim).filter(|a| !a.is_empty()) else { return Ok((None, None)) };
    let Ok(pixel) = at.parse::<i64>() else { return Ok((None, Some(at.to_owned()))) };
    let facts = desk.outlook().facts();
    let product = match (piece, placement) {
        (Some(p), _) => facts.piece(p).and_then(|p| facts.product(p.product_id)),
        (None, Some(p)) => facts.placement(p).and_then(|p| facts.product_of(p)),
        (None, None) => None,
    };
    let most = product.and_then(|p| p.pixels);
    if pixel < 1 || most.is_some_and(|m| pixel > m) {
        let limit = most.map_or_else(|| "1 or more".to_owned(), |m| format!("1 to {m}"));
        return Err(refused("pixel-beyond", format!("pixel {pixel} is beyond the prop")).hint(limit));
    }
    Ok((Some(pixel), None))
}

/// The weather of the session that goes on, or of the last one begun today.
fn weather_now(desk: &dyn Desk) -> String {
    let id = desk.outlook().session_now().map(|s| s.id);
    let now = desk.now().with_timezone(&desk.zone()).naive_local();
    let today = |s: &&crate::domain::Session| s.starts.date() == now.date() && s.starts <= now;
    let running = desk.yard().sessions.iter().find(|s| Some(s.id) == id);
    running
        .or_else(|| desk.yard().sessions.iter().filter(today).max_by_key(|s| s.starts))
        .map_or_else(String::new, |s| forecast_words(&desk.outlook(), s))
}

/// `PT-BULLET` or `PT-BULLET=3`.
fn parts(text: &str) -> Result<(&str, i64), Problem> {
    let Some((code, n)) = text.split_once('=') else { return Ok((text.trim(), 1)) };
    match n.trim().parse::<i64>() {
        Ok(n) if (1..=10_000).contains(&n) => Ok((code.trim(), n)),
        _ => {
            Err(mistyped("bad-count", format!("{n:?} is no number of parts"))
                .hint("1 to 10000, as PT-BULLET=3"))
        }
    }
}

pub(super) fn condition(piece: PieceId, condition: Condition) -> RowChange {
    RowChange::new("piece", piece.0, vec![("condition", Value::Text(condition.as_str().to_owned()))])
}
