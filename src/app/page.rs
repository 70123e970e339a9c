//! One screen's content, by screen.

use super::view::{Buy, Faults, Kit, Plan, Power, ScreenId, Seasons, Today, Totes, Walk, YardMap};

/// What a screen shows, as `App::page` computes it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Page {
    Today(Today),
    Walk(Walk),
    Yard(YardMap),
    Plan(Plan),
    Kit(Kit),
    Power(Power),
    Faults(Faults),
    Totes(Totes),
    Buy(Buy),
    Seasons(Seasons),
}

impl Page {
    pub const fn screen(&self) -> ScreenId {
        match self {
            Self::Today(_) => ScreenId::Today,
            Self::Walk(_) => ScreenId::Walk,
            Self::Yard(_) => ScreenId::Yard,
            Self::Plan(_) => ScreenId::Plan,
            Self::Kit(_) => ScreenId::Kit,
            Self::Power(_) => ScreenId::Power,
            Self::Faults(_) => ScreenId::Faults,
            Self::Totes(_) => ScreenId::Totes,
            Self::Buy(_) => ScreenId::Buy,
            Self::Seasons(_) => ScreenId::Seasons,
        }
    }
}
