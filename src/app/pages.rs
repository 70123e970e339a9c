//! One screen's content, by screen: what other programs wrote is taken in, a plan is found, an answer is asked.

use super::app::App;
use super::planning::QUICK;
use crate::answers::faults::detail::fault_detail;
use crate::answers::faults::page::faults_page;
use crate::answers::kit::detail::kit_detail;
use crate::answers::kit::page::kit_page;
use crate::answers::page::{Detail, DetailOf, Page};
use crate::answers::plan::page::{no_plan, plan_page};
use crate::answers::power::WhatIf;
use crate::answers::power::page::power_page;
use crate::answers::problem::Problem;
use crate::answers::seasons::seasons_page;
use crate::answers::shopping::BuyChoice;
use crate::answers::shopping::page::buy_page;
use crate::answers::start::{Asked, Question, next, read_back};
use crate::answers::today::page::{past, today_page};
use crate::answers::totes::page::totes_page;
use crate::answers::untold::not_told;
use crate::answers::view::{Aim, Alarm, Frame, KitKind, Level, ScreenId, Today};
use crate::answers::walk::list::next as next_of;
use crate::answers::walk::page::{no_season, walk_page};
use crate::answers::walk::states::states;
use crate::answers::yard_map::yard_page;
use crate::domain::{FaultId, Numbering, Phase, Season};
use crate::store::Mode;

/// Which part of a page is wanted.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct PageWant {
    /// Which session Walk shows; nothing takes the one that is due.
    pub walk_session: Option<usize>,
    /// A step whose session Walk shows, whatever session that is.
    pub walk_step: Option<String>,
    /// Which phase Walk, Yard and Plan show; nothing takes the one of the day.
    pub phase: Option<Phase>,
    /// What Power tries without touching facts.
    pub what_if: WhatIf,
    /// How Power proposes numbers; nothing takes the season's way.
    pub numbering: Option<Numbering>,
    /// What Buy tries without touching facts.
    pub buy: BuyChoice,
}

impl App {
    /// The question of the start after one, or the first; nothing after the last.
    pub fn next_question(&self, after: Option<Question>) -> Option<Asked> {
        next(&self.outlook(), after)
    }

    /// What is told, assumed and not told, at the end of the start.
    pub fn read_back(&self) -> Vec<(String, String)> {
        read_back(&self.outlook())
    }

    /// Computes one screen.
    ///
    /// # Errors
    /// What keeps the steps from being derived, or what a trial names and is not there; a yard without a season gives
    /// empty pages, not errors.
    pub fn page(&mut self, screen: ScreenId, want: &PageWant) -> Result<Page, Problem> {
        let chosen = self.season.is_some();
        let outlook = self.look()?;
        // Today is of the day, whatever is walked.
        let phase = match (screen, want.phase) {
            (ScreenId::Today, _) => outlook.phase_now(),
            (_, Some(phase)) => phase,
            (ScreenId::Plan, None) => outlook.phase_planned(),
            (_, None) => outlook.phase_now(),
        };
        match screen {
            ScreenId::Kit => return Ok(Page::Kit(kit_page(&outlook))),
            ScreenId::Totes => return Ok(Page::Totes(totes_page(&outlook))),
            ScreenId::Seasons => return Ok(Page::Seasons(seasons_page(&outlook))),
            ScreenId::Power => return Ok(Page::Power(power_page(&outlook, &want.what_if, want.numbering)?)),
            ScreenId::Today | ScreenId::Walk | ScreenId::Yard | ScreenId::Plan => {}
            ScreenId::Faults | ScreenId::Buy => {}
        }
        // Days to buy and to mend by are those of the build, whatever is walked.
        let of = if matches!(screen, ScreenId::Faults | ScreenId::Buy) { Phase::Up } else { phase };
        // A show that is over is no work any more, and nothing is needed by its days; a season that was chosen shows.
        let today = outlook.local_now().date();
        let over = |s: &Season| !chosen && past(s, of, today);
        let told = outlook.season_for(of).is_ok_and(|s| screen == ScreenId::Today || !over(s));
        let shown = match (told, screen) {
            (false, _) => None,
            (true, ScreenId::Faults | ScreenId::Buy) => self.plan_to_show(of).ok(),
            (true, _) => Some(self.plan_to_show(of)?),
        };
        // While a show is lit Plan has its takedown, and what is next is of its round: one answer on every screen.
        let day = self.outlook().phase_now();
        let before = screen == ScreenId::Plan && want.phase.is_none() && phase != day;
        let round = if before { self.plan_to_show(day).ok() } else { None };
        let outlook = self.outlook();
        let plan = shown.as_ref().map(|(plan, _)| &**plan);
        let odds = shown.as_ref().and_then(|(_, odds)| odds.as_ref());
        let season = outlook.season_for(of).ok();
        let ended = season.filter(|_| !told).map(|s| s.name.clone());
        let both = season.zip(plan);
        Ok(match screen {
            ScreenId::Today => Page::Today(match both {
                Some((season, plan)) => self.with_file(today_page(&outlook, season, plan, odds)),
                None => self.with_file(Today { not_told: not_told(&outlook, None), ..Today::default() }),
            }),
            ScreenId::Walk => Page::Walk(match both {
                Some((season, plan)) => {
                    let step = want.walk_step.as_deref();
                    walk_page(&outlook, season.id, plan, (want.walk_session, step))
                }
                None => no_season(phase, ended.as_deref()),
            }),
            ScreenId::Plan => Page::Plan(match both {
                Some((season, plan)) => {
                    let mut page = plan_page(&outlook, season, plan, odds);
                    if let Some((round, _)) = &round {
                        page.begins = page.next.take();
                        page.next = next_of(&outlook, round, &states(&outlook, round));
                    }
                    page
                }
                None => no_plan(&outlook, phase, ended),
            }),
            ScreenId::Faults => Page::Faults(faults_page(&outlook, plan)),
            ScreenId::Buy => Page::Buy(buy_page(&outlook, plan, &want.buy)?),
            _ => Page::Yard(yard_page(&outlook, both)),
        })
    }

    /// Computes all about one row of a page; nothing where it is not there.
    pub fn detail(&self, of: DetailOf) -> Option<Detail> {
        let outlook = self.outlook();
        Some(match of {
            DetailOf::Kit(kind, id) => {
                // A past that can't be read is no reason to hide the piece; verify says what is wrong.
                let moves = match kind {
                    KitKind::Piece => self.store.changes("piece", &id.to_string(), &["home_id", "condition"]),
                    _ => Ok(Vec::new()),
                };
                Detail::Kit(kit_detail(&outlook, kind, id, &moves.unwrap_or_default())?)
            }
            DetailOf::Fault(id) => {
                // A photo that can't be listed is no reason to hide the fault.
                let photos = self.store.list_attachments().unwrap_or_default();
                Detail::Fault(fault_detail(&outlook, FaultId(id), &photos)?)
            }
        })
    }

    /// Season, clock, whether anything can be written, and the last deed on disk.
    pub fn frame(&self) -> Frame {
        let outlook = self.outlook();
        let season = outlook.season_for(outlook.phase_now()).ok();
        let last = self.store.last_deed().ok().flatten();
        Frame {
            season: season.map_or_else(String::new, |s| s.name.clone()),
            now: outlook.say_moment(outlook.now()),
            demo_clock: self.clock.is_shifted(),
            read_only: self.store.notice(),
            last_deed: last.map(|d| format!("{} {}", outlook.say_ms(d.at_ms), d.what)),
            empty: outlook.yard.seasons.is_empty() && outlook.yard.placements.is_empty(),
        }
    }

    /// Shows one season everywhere, or what the date asks for where that one is shown; says which.
    pub fn switch_season(&mut self, code: &str) -> String {
        if self.season.as_deref() == Some(code) {
            self.season = None;
            return "The season that the date asks for is shown everywhere".to_owned();
        }
        self.season = Some(code.to_owned());
        format!("{code} is shown everywhere; s on it again shows what the date asks for")
    }

    /// What is wrong with the file comes before everything else, then what its copies contradict.
    fn with_file(&self, mut today: Today) -> Today {
        // A conflict that can't be read is no reason to hide the day; verify says what is wrong.
        let apart = self.told_apart().unwrap_or_default();
        if let Some(first) = apart.first() {
            let more = match apart.len() {
                1 => String::new(),
                n => format!(" and {} more", n - 1),
            };
            let alarm = Alarm {
                level: Level::Mend,
                what: format!("told differently on two copies: {}{more}", first.what),
                remedy: "pick the value that is right".to_owned(),
                screen: ScreenId::Today,
                aim: Aim::Apart(apart),
            };
            today.alarms.insert(0, alarm);
        }
        if let Mode::Damaged { what } = self.store.mode() {
            let alarm = Alarm {
                level: Level::Stop,
                what: format!("the yard file is damaged: {what}"),
                remedy: "nothing is written any more; leave, and bring back a backup (restore)".to_owned(),
                screen: ScreenId::Today,
                aim: Aim::First,
            };
            today.alarms.insert(0, alarm);
        }
        today
    }

    /// The quick plan of the build, where there is one: for days to buy and to mend by.
    pub(super) fn build_plan(&mut self) -> Option<std::sync::Arc<crate::planner::Plan>> {
        self.plan(Phase::Up, QUICK).ok()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::app::{Ask, Choices};
    use crate::domain::TickKind;

    #[test]
    fn a_tick_leaves_what_no_tick_changes() {
        let folder = tempfile::tempdir().unwrap();
        let at = Choices { now: Some("2026-11-14T10:20".to_owned()), ..Choices::default() };
        let mut app = App::demo(&folder.path().join("yard.ladderday"), true, &at).unwrap();
        let all = |app: &mut App| {
            for screen in ScreenId::ALL {
                app.page(screen, &PageWant::default()).unwrap();
            }
        };
        let known = |app: &App| {
            let of = &app.current.remembered;
            [of.power.known(), of.spares.known(), of.seasons.known(), of.whereabouts.known()]
        };
        all(&mut app);
        let Page::Walk(walk) = app.page(ScreenId::Walk, &PageWant::default()).unwrap() else { panic!() };
        // A look-over is remembered by the piece, too: that is more than a tick.
        let mut steps = walk.places.iter().flat_map(|p| &p.steps);
        let key = steps.find(|s| !s.key.contains("/look_over/")).unwrap().key.clone();
        assert!(known(&app).iter().all(|n| *n > 0));
        app.perform(&Ask::Tick { key, kind: TickKind::Done, count: None, why: None }).unwrap();
        let [power, spares, _, whereabouts] = known(&app);
        assert!(power > 0, "loads and voltages hold over a tick");
        assert!(spares > 0, "so does what failed");
        assert_eq!(whereabouts, 0, "where a piece is follows from ticks");
        // Told anew, a lead is worked out anew.
        all(&mut app);
        let lead = app.yard().links.iter().find(|l| l.length_mm.is_some()).unwrap().code.clone();
        let cells = vec![("length_mm".to_owned(), "31 m".to_owned())];
        app.perform(&Ask::Tell { kind: "link".to_owned(), code: Some(lead), cells }).unwrap();
        assert_eq!(known(&app)[0], 0);
    }
}
