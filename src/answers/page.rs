//! One screen's content, by screen.

use crate::answers::view::{
    Buy, FaultDetail, Faults, Kit, KitDetail, KitKind, Plan, Power, ScreenId, Seasons, Today, Totes, Walk,
    YardMap,
};

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

/// A row that has more to tell than its page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DetailOf {
    Kit(KitKind, uuid::Uuid),
    Fault(uuid::Uuid),
}

/// All about one row, as `App::detail` computes it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Detail {
    Kit(KitDetail),
    Fault(FaultDetail),
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
