//! The made-up host: keeps states of steps in memory and remembers what was asked.

use super::*;
use ladderday::answers::view::PastRow;
use ladderday::app::LookWord;
use ladderday::domain::Phase;

/// How much the yard holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::tui) enum Fill {
    Empty,
    Normal,
    /// More rows than fit, long names, and text that tries to break the screen.
    Overfull,
}

/// What is tried where it is asked what helps most.
const HELPS: &str = "what helps";

/// A host that keeps states of steps in memory and remembers what was asked.
pub(in crate::tui) struct Fake {
    pub(in crate::tui) fill: Fill,
    pub(in crate::tui) asked: Vec<Ask>,
    /// Refuses the next deed with this.
    pub(in crate::tui) refuse: Option<Problem>,
    /// What was tried each time that Buy was computed.
    pub(in crate::tui) bought: Vec<ladderday::app::BuyChoice>,
    pub(in crate::tui) work: Option<Background>,
    pub(in crate::tui) pauses: Vec<ladderday::answers::view::PauseRow>,
    pub(in crate::tui) opened: Vec<(String, usize)>,
    pub(super) states: BTreeMap<String, (StepState, i64, String)>,
    /// A change being weighed.
    tried: Option<String>,
    before: Vec<BTreeMap<String, (StepState, i64, String)>>,
    last: Option<String>,
    /// The look kept for the next start.
    pub(in crate::tui) kept_look: Option<LookWord>,
    /// Whose steps were kept for the next start.
    pub(in crate::tui) whose: Vec<String>,
}

impl Fake {
    pub(in crate::tui) fn new(fill: Fill) -> Self {
        Self {
            fill,
            asked: Vec::new(),
            refuse: None,
            bought: Vec::new(),
            work: None,
            pauses: Vec::new(),
            opened: Vec::new(),
            states: BTreeMap::new(),
            tried: None,
            before: Vec::new(),
            last: None,
            kept_look: None,
            whose: Vec::new(),
        }
    }

    /// The state of a step by its key.
    pub(in crate::tui) fn state(&self, key: &str) -> StepState {
        self.states.get(key).map_or(StepState::Open, |(state, ..)| *state)
    }

    fn set(&mut self, key: &str, state: StepState, count: i64, why: Option<&String>) {
        self.states.insert(key.to_owned(), (state, count, why.cloned().unwrap_or_default()));
    }
}

impl Host for Fake {
    fn frame(&self) -> Frame {
        Frame {
            season: if self.fill == Fill::Empty { String::new() } else { "Midwinter Harbor 2026".to_owned() },
            now: "Sat 17 Oct 2026 09:40".to_owned(),
            demo_clock: self.fill == Fill::Normal,
            read_only: None,
            last_deed: self.last.clone(),
            empty: self.fill == Fill::Empty,
        }
    }

    fn page(&mut self, screen: ScreenId, want: &PageWant) -> Result<Page, Problem> {
        let empty = self.fill == Fill::Empty;
        Ok(match screen {
            ScreenId::Today => Page::Today(if empty { Today::default() } else { desk::today(self.fill) }),
            ScreenId::Walk => Page::Walk(self.walk(want.walk_session)),
            ScreenId::Yard => Page::Yard(if empty { YardMap::default() } else { plan::yard(self.fill) }),
            ScreenId::Plan => Page::Plan(if empty { Plan::default() } else { plan::plan(self.fill) }),
            ScreenId::Kit => Page::Kit(if empty { Kit::default() } else { desk::kit(self.fill) }),
            ScreenId::Power => Page::Power(if empty { Power::default() } else { power(self.fill) }),
            ScreenId::Faults => Page::Faults(if empty { Faults::default() } else { faults(self.fill) }),
            ScreenId::Totes => Page::Totes(if empty { Totes::default() } else { totes(self.fill) }),
            ScreenId::Buy => Page::Buy(if empty {
                Buy::default()
            } else {
                self.bought.push(want.buy.clone());
                tried(buy(self.fill), &want.buy)
            }),
            ScreenId::Seasons => Page::Seasons(if empty { Seasons::default() } else { seasons(self.fill) }),
        })
    }

    fn detail(&self, of: DetailOf) -> Option<Detail> {
        Some(match of {
            DetailOf::Kit(_, id) => {
                Detail::Kit(desk::kit_detail(desk::kit(self.fill).rows.iter().find(|r| r.id == id)?))
            }
            DetailOf::Fault(id) => {
                Detail::Fault(fault_detail(faults(self.fill).rows.iter().find(|r| r.id == id)?))
            }
        })
    }

    fn kinds(&self) -> Vec<(&'static str, String, usize)> {
        vec![("piece", "One labelled thing.".into(), 28), ("place", "A place of the yard.".into(), 3)]
    }

    fn rows(&self, kind: &str) -> Vec<(String, String, String)> {
        let rows = desk::kit(self.fill).rows.into_iter().filter(|r| r.kind.word() == kind);
        rows.map(|r| (r.id.to_string(), r.name, r.code)).collect()
    }

    fn form(&self, _kind: &str, called: Option<&str>) -> Option<ladderday::answers::told::FormPage> {
        let rows = desk::kit(self.fill).rows;
        match called {
            Some(called) => Some(desk::form(Some(rows.iter().find(|r| r.id.to_string() == called)?))),
            None => Some(desk::form(None)),
        }
    }

    fn perform(&mut self, ask: &Ask) -> Result<String, Problem> {
        if let Some(problem) = self.refuse.take() {
            return Err(problem);
        }
        self.asked.push(ask.clone());
        let said = match ask {
            Ask::Undo => match self.before.pop() {
                Some(states) => {
                    self.states = states;
                    "taken back".to_owned()
                }
                None => {
                    return Err(Problem::new(
                        ProblemKind::Data,
                        "nothing-to-undo",
                        "there is no deed to take back",
                    ));
                }
            },
            other => {
                self.before.push(self.states.clone());
                match other {
                    Ask::Tick { key, kind, count, why } => {
                        let state = match kind {
                            TickKind::Start | TickKind::Count => StepState::Doing,
                            TickKind::Done => StepState::Done,
                            TickKind::Hold => StepState::Held,
                            TickKind::Skip => StepState::Skipped,
                            TickKind::Reopen | TickKind::Note => StepState::Open,
                        };
                        self.set(key, state, count.unwrap_or(0), why.as_ref());
                        format!("{}: {key}", state.word())
                    }
                    Ask::TickAll { keys } => {
                        for key in keys {
                            self.set(key, StepState::Done, 0, None);
                        }
                        format!("{} steps done", keys.len())
                    }
                    Ask::DoneDifferently { key, text, .. } => {
                        self.set(key, StepState::Done, 0, Some(text));
                        format!("done differently: {key}")
                    }
                    Ask::LogFault(new) => format!("Logged F-099: {}", new.target),
                    _ => "kept".to_owned(),
                }
            }
        };
        self.last = Some(format!("09:40 {said}"));
        Ok(said)
    }

    fn switch_season(&mut self, code: &str) -> String {
        format!("{code} is shown everywhere")
    }

    fn past(&self) -> Result<Vec<PastRow>, Problem> {
        let undone = ["a deed taken back", "a deed of the other laptop"];
        let open = self.asked.iter().rev().enumerate().map(|(n, ask)| PastRow {
            at: "Sat 17 Oct 2026 09:40".to_owned(),
            device: "A".to_owned(),
            what: format!("{ask:?}").chars().take(60).collect(),
            mark: "",
            undos: Some(n + 1),
        });
        let rest = undone.into_iter().map(|what| PastRow {
            at: "Fri 16 Oct 2026 21:00".to_owned(),
            device: "B".to_owned(),
            what: what.to_owned(),
            mark: "taken back",
            undos: None,
        });
        Ok(open.chain(rest.filter(|_| self.fill != Fill::Empty)).collect())
    }

    fn what_if(&mut self, _: Option<Phase>, change: &str) -> Result<(), Problem> {
        self.tried = Some(change.to_owned());
        self.work = Some(Background { what: "weighing the change".to_owned(), share: Some(0) });
        Ok(())
    }

    fn what_helps(&mut self, phase: Option<Phase>) -> Result<(), Problem> {
        self.what_if(phase, HELPS)
    }

    fn weighed(&mut self, _: bool) -> Option<Result<Vec<(String, String)>, Problem>> {
        let change = self.tried.take()?;
        self.work = None;
        if change == HELPS {
            return Some(Ok(vec![("helps most".to_owned(), "an evening more: 93 → 97 %".to_owned())]));
        }
        Some(Ok(vec![
            ("what if".to_owned(), change),
            ("as it is".to_owned(), "ends Sat 14 Nov, 93 % in time".to_owned()),
            ("then".to_owned(), "ends Wed 18 Nov, 71 % in time".to_owned()),
        ]))
    }

    fn keep_look(&mut self, look: LookWord) -> Result<(), Problem> {
        self.kept_look = Some(look);
        Ok(())
    }

    fn keep_whose(&mut self, name: &str) -> Result<(), Problem> {
        self.whose.push(name.to_owned());
        Ok(())
    }

    fn open_photo(&mut self, fault: &str, number: usize) -> Result<String, Problem> {
        self.opened.push((fault.to_owned(), number));
        Ok("opened".to_owned())
    }

    fn background(&mut self) -> Option<Background> {
        self.work.clone()
    }

    fn poll(&mut self) -> Vec<ScreenId> {
        Vec::new()
    }

    fn stop(&mut self) -> &'static str {
        self.work = None;
        self.tried = None;
        "Stopped; the best found so far stays"
    }
}

/// The page of a trial, made up: closing a vendor costs more.
fn tried(page: Buy, choice: &ladderday::app::BuyChoice) -> Buy {
    if choice.is_plain() {
        return page;
    }
    Buy {
        tried: Some("Quay Wire closed".into()),
        against: Some(
            "without these choices $133.00; this way it costs $12.00 more; 1 needs have no offer in time, before 1".into(),
        ),
        changes: words(&["Quay Wire: nothing instead of $50.80", "ties, UV, 200 mm: not bought"]),
        ..page
    }
}
