//! A step and its order edges.

use super::key::StepKey;
use crate::calc::weather::ladder;
use crate::domain::{Access, BoxMode, CureRule, MethodId, Phase, PieceId, PlaceId, PlacementId, StepDeed};
use crate::units::si::Metres;
use crate::units::{Length, Speed, Temperature};

/// What a step is to the plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Role {
    Work,
    Rehearsal,
    LightsOn,
    Watch,
}

impl Role {
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Work => "work",
            Self::Rehearsal => "rehearsal",
            Self::LightsOn => "lights_on",
            Self::Watch => "watch",
        }
    }
}

/// The light a step needs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Light {
    /// Between sunrise and sunset.
    Day,
    /// Between civil dawn and dusk.
    Twilight,
    /// Twilight, or with work lights.
    Lamp,
    /// Wholly before dawn or after dusk.
    Dark,
    Indoors,
}

impl Light {
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Day => "day",
            Self::Twilight => "twilight",
            Self::Lamp => "lamp",
            Self::Dark => "dark",
            Self::Indoors => "indoors",
        }
    }
}

/// Weather limits of a step; nothing where there is none.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Limits {
    pub min: Option<Temperature>,
    pub max_gust: Option<Speed>,
    pub dry: bool,
    pub unfrozen: bool,
}

/// Why a step comes after another.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Reason {
    /// The recipe's own order.
    Sequence,
    /// What carries comes before what is carried.
    Carries,
    /// The box that feeds it must hang first.
    Feeds,
    /// High before low in the same fall line.
    Above,
    /// Something must cure.
    Cures,
    /// Tested before what builds on it.
    Tested,
    /// Leads are connected with the box off.
    Unpowered,
    /// Something must dry.
    Dries,
    /// Another show still uses it.
    Shared,
    /// Tested on the bench before it goes out.
    Bench,
}

impl Reason {
    pub const ALL: [Self; 10] = [
        Self::Sequence,
        Self::Carries,
        Self::Feeds,
        Self::Above,
        Self::Cures,
        Self::Tested,
        Self::Unpowered,
        Self::Dries,
        Self::Shared,
        Self::Bench,
    ];

    /// The stable code.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Sequence => "sequence",
            Self::Carries => "carries",
            Self::Feeds => "feeds",
            Self::Above => "above",
            Self::Cures => "cures",
            Self::Tested => "tested",
            Self::Unpowered => "unpowered",
            Self::Dries => "dries",
            Self::Shared => "shared",
            Self::Bench => "bench",
        }
    }
}

/// "This step after that one", with the wait between and the reason.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Edge {
    pub key: StepKey,
    /// Elapsed minutes after the other step's end, in mild weather.
    pub wait_min: i64,
    /// The table that lengthens the wait in the cold, where it is a cure.
    pub cure: Option<CureRule>,
    /// At most so many minutes after the other step's end.
    pub within_min: Option<i64>,
    /// On the same local day.
    pub same_day: bool,
    /// What the other step started runs until then: in the same session, and somebody of it is there.
    pub watched: bool,
    pub reason: Reason,
    pub why: String,
}

impl Edge {
    /// Right after `key`, for a reason told in `why`.
    pub fn after(key: StepKey, reason: Reason, why: impl Into<String>) -> Self {
        let (within_min, same_day, watched) = (None, false, false);
        Self { key, wait_min: 0, cure: None, within_min, same_day, watched, reason, why: why.into() }
    }
}

/// How a test runs by itself.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Run {
    pub(super) start_s: i64,
    pub(super) runs_s: i64,
    /// What is done to start it.
    pub(super) title: String,
}

/// One thing to do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Step {
    pub key: StepKey,
    pub role: Role,
    pub phase: Phase,
    pub deed: StepDeed,
    pub title: String,
    /// What it is done to, as "boat cut-outs, 8"; empty for season steps.
    pub subject: String,
    /// Code of its recipe step; empty where it has none.
    pub recipe_step: String,
    pub method: Option<MethodId>,
    pub placement: Option<PlacementId>,
    /// Nothing for desk and bench work.
    pub place: Option<PlaceId>,
    pub access: Access,
    /// How high its place is, where that is told and it is reached by a ladder.
    pub height: Option<Length>,
    /// Estimated seconds for the whole of it.
    pub seconds: i64,
    /// Whether `seconds` is a guess because a length or number was not told.
    pub assumed: bool,
    /// Over how many pieces it goes, where it can be done in part.
    pub of: Option<i64>,
    pub hands: i64,
    /// Of all hands together.
    pub skills: Vec<String>,
    /// What each hand must be able to do, where the recipe tells it hand by hand; see [`Step::needs`].
    pub by_hand: Vec<Vec<String>>,
    /// Equipment words; ladders by what its access asks.
    pub equipment: Vec<String>,
    pub light: Light,
    pub not_alone: bool,
    pub limits: Limits,
    /// Codes of cautions.
    pub cautions: Vec<String>,
    /// The box that must be off or on meanwhile.
    pub box_mode: Option<(PieceId, BoxMode)>,
    /// The first step of the stretch it belongs to: all of it is done in one session, and where that is a round of a box,
    /// the box stays off until the last of it.
    pub stretch: Option<StepKey>,
    /// It runs by itself: `seconds` are those of looking at it. Taken apart once all steps are there (`running`).
    pub(super) run: Option<Run>,
    /// It fills a slot of the drying place until its wait is over: minutes.
    pub drying_min: Option<i64>,
    /// Not before this local time, as `2026-11-22T13:00`.
    pub not_before: Option<chrono::NaiveDateTime>,
    /// Over by this local time, as the end of the day on which marks expire.
    pub not_after: Option<chrono::NaiveDateTime>,
    /// Why the owner holds it.
    pub held: Option<String>,
    pub after: Vec<Edge>,
}

impl Step {
    /// Whole minutes, a begun one counted whole.
    pub fn minutes(&self) -> i64 {
        crate::units::Span::from_s(self.seconds).minutes_up()
    }

    /// The skills of each hand, one list a hand. Where they were told in one heap, one person has them all and the others
    /// hold, hand up or watch.
    pub fn needs(&self) -> Vec<Vec<String>> {
        let told = if self.by_hand.is_empty() { vec![self.skills.clone()] } else { self.by_hand.clone() };
        let hands = usize::try_from(self.hands).unwrap_or(0);
        let any = std::iter::repeat_with(Vec::new);
        told.into_iter().chain(any).take(hands).collect()
    }

    /// Whether one person may confirm to do it alone: one pair of hands, on the ground or a step ladder, and no mast.
    pub fn may_be_alone(&self) -> bool {
        let low = matches!(self.access, Access::Ground | Access::StepLadder);
        let climbs = self.equipment.iter().any(|e| e == "extension_ladder");
        low && !climbs && self.hands <= 1 && !self.cautions.iter().any(|c| c == "mast" || c == "roof")
    }

    /// Takes skills as they are told: `roof`, or hand by hand as `roof + any`. Fewer hands than are told so are mended.
    pub(super) fn set_skills<'a>(&mut self, words: impl Iterator<Item = &'a str>) {
        let mut by_hand: Vec<Vec<String>> = vec![Vec::new()];
        for word in words {
            match (word, by_hand.last_mut()) {
                ("+", _) => by_hand.push(Vec::new()),
                ("any", _) => {}
                (skill, Some(hand)) => hand.push(skill.to_owned()),
                (_, None) => {}
            }
        }
        self.skills = by_hand.concat();
        self.skills.sort();
        self.skills.dedup();
        if by_hand.len() > 1 {
            self.hands = self.hands.max(by_hand.len() as i64);
            self.by_hand = by_hand;
        }
    }

    /// The ladder word its access asks for.
    pub fn ladder(&self) -> Option<&'static str> {
        match self.access {
            Access::Ground => None,
            Access::StepLadder => Some("step_ladder"),
            Access::ExtensionLadder | Access::Roof => Some("extension_ladder"),
        }
    }

    /// The least size, as ladders are sold, of the one it asks for; nothing where no height is told, and where no ladder is
    /// that long.
    pub fn ladder_size(&self) -> Option<Length> {
        let height = Metres::new(self.height?.metres()).ok()?;
        let size = match self.access {
            Access::Ground => return None,
            Access::StepLadder => ladder::step_size(height),
            Access::ExtensionLadder => ladder::leaning_size(height, false).ok()?,
            Access::Roof => ladder::leaning_size(height, true).ok()?,
        };
        Length::from_metres(size.get())
    }

    /// Adds an edge unless one to the same step is there; the longer wait stands.
    pub fn add_edge(&mut self, edge: Edge) {
        if edge.key == self.key {
            return;
        }
        if let Some(old) = self.after.iter_mut().find(|e| e.key == edge.key) {
            old.same_day |= edge.same_day;
            old.within_min = match (old.within_min, edge.within_min) {
                (Some(a), Some(b)) => Some(a.min(b)),
                (a, b) => a.or(b),
            };
            if edge.wait_min > old.wait_min {
                old.wait_min = edge.wait_min;
                old.cure = edge.cure;
                old.reason = edge.reason;
                old.why = edge.why;
            }
        } else {
            self.after.push(edge);
        }
    }
}
