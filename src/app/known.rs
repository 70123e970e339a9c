//! What a yard has by its codes, for the shell that completes a word.

use super::app::App;
use crate::answers::words::code_key;
use crate::domain::Phase;
use crate::steps::{Scope, State};

/// A kind of code.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Known {
    Steps,
    Sessions,
    Seasons,
    People,
    Faults,
    Kit,
    Places,
    Totes,
    Vendors,
    Products,
    Orders,
}

impl App {
    /// Code and name of everything of a kind that can be told or ticked now.
    pub fn known(&self, kind: Known) -> Vec<(String, String)> {
        let yard = self.yard();
        let pair = |code: &str, name: &str| (code.to_owned(), name.to_owned());
        match kind {
            Known::Steps => self.known_steps(),
            Known::Sessions => {
                let coming = yard.sessions.iter().filter(|s| !s.lost && s.ended_at.is_none());
                coming.map(|s| pair(&s.code, &s.starts.format("%a %-d %b %Y %H:%M").to_string())).collect()
            }
            Known::Seasons => yard.seasons.iter().map(|s| pair(&s.code, &s.name)).collect(),
            Known::People => yard.people.iter().map(|p| pair(&p.name, &p.code)).collect(),
            Known::Faults => {
                yard.faults.iter().rev().map(|f| pair(&f.code, &f.symptom.replace('_', " "))).collect()
            }
            Known::Kit => {
                let season = self.outlook().season_for(Phase::Up).ok().map(|s| s.id);
                let placed = yard.placements.iter().filter(|p| Some(p.season_id) == season);
                let placed = placed.filter(|p| p.ended_at.is_none()).map(|p| pair(&p.code, &p.name));
                let owned = yard.pieces.iter().filter(|p| p.ended_at.is_none());
                placed.chain(owned.map(|p| pair(&p.code, &p.name))).collect()
            }
            Known::Places => yard.places.iter().map(|p| pair(&p.code, &p.name)).collect(),
            Known::Totes => yard.containers.iter().map(|c| pair(&c.code, &c.name)).collect(),
            Known::Vendors => yard.vendors.iter().map(|v| pair(&v.code, &v.name)).collect(),
            Known::Products => yard.products.iter().map(|p| pair(&p.code, &p.name)).collect(),
            Known::Orders => {
                yard.purchase_orders.iter().map(|o| pair(&o.code, &o.ordered_on.to_string())).collect()
            }
        }
    }

    /// Steps that are not over, of every phase; without a plan, so that the shell need not wait.
    fn known_steps(&self) -> Vec<(String, String)> {
        let outlook = self.outlook();
        let mut out: Vec<(String, String)> = Vec::new();
        for phase in [Phase::Up, Phase::Bench, Phase::Tonight, Phase::Down, Phase::Change] {
            let Ok(season) = outlook.season_for(phase).map(|s| s.id) else { continue };
            let Ok(derived) = outlook.derived(Scope { season, phase, day: outlook.tonight() }) else {
                continue;
            };
            for step in &derived.steps {
                let state = derived.progress.get(&step.key).map_or(State::Open, |p| p.state);
                if matches!(state, State::Done | State::Skipped) {
                    continue;
                }
                let title = if step.subject.is_empty() {
                    step.title.clone()
                } else {
                    format!("{}: {}", step.subject, step.title)
                };
                out.push((code_key(&outlook, step), title));
            }
        }
        out.sort();
        out.dedup_by(|a, b| a.0 == b.0);
        out
    }
}
