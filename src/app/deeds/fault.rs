//! Faults: logged in the dark, mended in summer.

use crate::app::ask::{NewFault, NewRepair, Tonight};
use crate::app::owner::App;
use crate::app::problem::Problem;
use crate::app::symptoms::{SYMPTOMS, cause_known, causes};
use crate::domain::{
    Condition, Deed, Fact, Fault, FaultId, Moment, MoveKind, PieceId, PlacementId, RepairDeed, RepairEntry,
    RepairEntryId, RowChange, StockMove, StockMoveId, Value,
};
use crate::units::Span;

use super::{next_code, refused};

impl App {
    pub(super) fn log_fault(&mut self, new: &NewFault) -> Result<String, Problem> {
        let Some(symptom) = SYMPTOMS.iter().find(|s| s.code == new.symptom) else {
            let known: Vec<&str> = SYMPTOMS.iter().map(|s| s.code).collect();
            return Err(
                refused("bad-symptom", format!("{:?} is no symptom", new.symptom)).hint(known.join(", "))
            );
        };
        let (piece, placement) = self.fault_target(&new.target)?;
        let (at_pixel, segment) = self.fault_spot(new.at.as_deref(), piece, placement)?;
        let now = self.now();
        let code = next_code(self.store.device(), "F", self.yard.faults.iter().map(|f| f.code.as_str()));
        let fault = Fault {
            id: FaultId(self.ids.make(now)),
            ended_at: None,
            code: code.clone(),
            piece_id: piece,
            placement_id: placement,
            season_id: placement
                .and_then(|p| self.yard.placements.iter().find(|x| x.id == p))
                .map(|p| p.season_id)
                .or_else(|| self.season_for(crate::domain::Phase::Tonight).ok().map(|s| s.id)),
            symptom: symptom.code.to_owned(),
            at_pixel,
            segment,
            found_ms: Moment(now.timestamp_millis()),
            person_id: None,
            weather: self.weather_now(),
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
            rows.push(self.entry(fault.id, deed).to_row());
        }
        rows.extend(piece.map(|p| condition(p, Condition::Faulty)));
        let said = format!("Logged {code}: {}, {}", self.target_name(piece, placement), symptom.text);
        self.apply(&Deed { verb: "fault-log", what: said.clone(), at_ms: now.timestamp_millis(), rows })?;
        Ok(said)
    }

    pub(super) fn repair(&mut self, new: &NewRepair) -> Result<String, Problem> {
        let fault = self.fault_by_code(&new.fault)?;
        let now = self.now();
        if now.timestamp_millis() < fault.found_ms.0 {
            return Err(refused(
                "repair-before-fault",
                format!("{} was found {}, after this repair", fault.code, self.say_ms(fault.found_ms.0)),
            )
            .hint("check the clock, or the time given with --now"));
        }
        let over = crate::steps::Facts::new(&self.yard).fault_over(&fault);
        if over && new.deed != RepairDeed::Reopened {
            return Err(refused("fault-over", format!("{} is over", fault.code)).hint("reopen it first"));
        }
        if let Some(cause) = new.cause.as_deref().filter(|c| !c.is_empty() && !cause_known(c)) {
            return Err(refused("bad-cause", format!("{cause:?} is no cause")).hint(causes()));
        }
        let mut entry = self.entry(fault.id, new.deed);
        entry.cause = new.cause.clone().filter(|c| !c.is_empty());
        entry.minutes_s = new.minutes.map(Span::from_minutes);
        entry.note.clone_from(&new.note);
        let mut rows = Vec::new();
        if let Some(part) = new.part.as_deref().filter(|p| !p.is_empty()) {
            let product = self
                .yard
                .products
                .iter()
                .find(|p| p.code == part)
                .ok_or_else(|| refused("no-product", format!("there is no product {part:?}")))?;
            entry.part_id = Some(product.id);
            // Waiting for a part, or looking, takes none from stock.
            let takes = matches!(new.deed, RepairDeed::Mended | RepairDeed::Patched | RepairDeed::Replaced);
            entry.parts_used = takes.then_some(1);
            let stock = self.yard.stock.iter().find(|s| s.product_id == product.id);
            if let Some(stock) = stock.filter(|_| takes) {
                let stock_id = stock.id;
                rows.push(
                    StockMove {
                        id: StockMoveId(self.ids.make(now)),
                        ended_at: None,
                        stock_id,
                        kind: MoveKind::Used,
                        quantity: 1,
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
            self.target_name(fault.piece_id, fault.placement_id),
            deed_words(new.deed)
        );
        self.apply(&Deed { verb: "fault-repair", what: said.clone(), at_ms: now.timestamp_millis(), rows })?;
        Ok(said)
    }

    pub(super) fn entry(&mut self, fault: FaultId, deed: RepairDeed) -> RepairEntry {
        let now = self.now();
        RepairEntry {
            id: RepairEntryId(self.ids.make(now)),
            ended_at: None,
            fault_id: fault,
            at_ms: Moment(now.timestamp_millis()),
            deed,
            cause: None,
            minutes_s: None,
            person_id: None,
            part_id: None,
            parts_used: None,
            spare_id: None,
            note: String::new(),
        }
    }

    /// The piece or placement of a code; a placement with one piece means that piece.
    fn fault_target(&self, code: &str) -> Result<(Option<PieceId>, Option<PlacementId>), Problem> {
        let code = code.trim();
        let season = self.season_for(crate::domain::Phase::Tonight).ok().map(|s| s.id);
        if let Some(piece) = self.yard.pieces.iter().find(|p| p.code.eq_ignore_ascii_case(code)) {
            let facts = crate::steps::Facts::new(&self.yard);
            let placement = season.and_then(|s| facts.placement_of_piece(s, piece.id)).map(|p| p.id);
            return Ok((Some(piece.id), placement));
        }
        let placement =
            self.yard.placements.iter().find(|p| p.code.eq_ignore_ascii_case(code)).ok_or_else(|| {
                refused("no-target", format!("no piece or placement has the code {code:?}"))
                    .hint("find it in Kit, or with `ladderday export`")
            })?;
        let facts = crate::steps::Facts::new(&self.yard);
        let piece = match facts.pieces_of(placement.id) {
            [one] => Some(*one),
            _ => None,
        };
        Ok((piece, Some(placement.id)))
    }

    /// A pixel number, checked against the prop, or a segment in words.
    fn fault_spot(
        &self,
        at: Option<&str>,
        piece: Option<PieceId>,
        placement: Option<PlacementId>,
    ) -> Result<(Option<i64>, Option<String>), Problem> {
        let Some(at) = at.map(str::trim).filter(|a| !a.is_empty()) else { return Ok((None, None)) };
        let Ok(pixel) = at.parse::<i64>() else { return Ok((None, Some(at.to_owned()))) };
        let facts = crate::steps::Facts::new(&self.yard);
        let product = match (piece, placement) {
            (Some(p), _) => facts.piece(p).and_then(|p| facts.product(p.product_id)),
            (None, Some(p)) => facts.placement(p).and_then(|p| facts.product_of(p)),
            (None, None) => None,
        };
        let most = product.and_then(|p| p.pixels);
        if pixel < 1 || most.is_some_and(|m| pixel > m) {
            let limit = most.map_or_else(|| "1 or more".to_owned(), |m| format!("1 to {m}"));
            return Err(refused("bad-pixel", format!("pixel {pixel} is beyond the prop")).hint(limit));
        }
        Ok((Some(pixel), None))
    }

    fn weather_now(&self) -> String {
        let id = self.session_now();
        self.yard
            .sessions
            .iter()
            .find(|s| Some(s.id) == id)
            .map_or_else(String::new, |s| self.forecast_words(s))
    }

    pub(in crate::app) fn target_name(
        &self,
        piece: Option<PieceId>,
        placement: Option<PlacementId>,
    ) -> String {
        let yard = &self.yard;
        if let Some(p) = piece.and_then(|id| yard.pieces.iter().find(|p| p.id == id)) {
            let name = if p.name.is_empty() {
                yard.products.iter().find(|x| x.id == p.product_id).map_or("", |x| x.name.as_str())
            } else {
                p.name.as_str()
            };
            return format!("{name} ({})", p.code);
        }
        placement
            .and_then(|id| yard.placements.iter().find(|p| p.id == id))
            .map_or_else(|| "something".to_owned(), |p| format!("{} ({})", p.name, p.code))
    }
}

pub(super) fn condition(piece: PieceId, condition: Condition) -> RowChange {
    RowChange::new("piece", piece.0, vec![("condition", Value::Text(condition.as_str().to_owned()))])
}

pub(in crate::app) const fn deed_words(deed: RepairDeed) -> &'static str {
    match deed {
        RepairDeed::Looked => "looked at",
        RepairDeed::Patched => "patched for now",
        RepairDeed::SwitchedOff => "switched off",
        RepairDeed::WaitingPart => "waits for a part",
        RepairDeed::Mended => "mended, to be tested",
        RepairDeed::Tested => "tested, good again",
        RepairDeed::Scrapped => "scrapped",
        RepairDeed::Replaced => "replaced by a spare",
        RepairDeed::Reopened => "opened again",
    }
}
