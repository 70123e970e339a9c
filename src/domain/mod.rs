//! What is owned, placed, wired, done, failed and bought: plain facts, one type a table.
//!
//! Not here: formulas (`calc`), derived steps (`steps`), SQL (`store`), file formats (`exchange`).

mod apart;
mod attachment;
mod buying;
mod cell;
mod container;
mod desk;
mod fact;
mod fault;
pub mod limit;
mod local_time;
mod method;
mod night;
mod past;
mod person;
mod piece;
mod place;
mod placement;
pub mod plausible;
pub mod plug;
mod product;
mod reading;
mod rows;
mod season;
mod session;
mod site;
mod stand;
mod stock;
mod text;
mod tick;
mod wiring;
mod yard;

pub use apart::natural_key;
pub use attachment::{Attachment, AttachmentId};
pub use buying::{
    Need, NeedId, NeedReason, Offer, OfferId, OrderLine, OrderLineId, PurchaseOrder, PurchaseOrderId,
    ShippingTier, ShippingTierId, Vendor, VendorId,
};
pub use cell::{Cell, CellFault, CellKind, Moment, Value, Words};
pub use container::{Container, ContainerId};
pub use desk::{DeskTask, DeskTaskId};
pub use fact::{Cells, Column, Deed, Fact, RowChange, Table};
pub use fault::{Fault, FaultId, RepairDeed, RepairEntry, RepairEntryId};
pub use local_time::{NoSuchTime, local_time, on_clock, time_zone};
pub use method::{
    Applies, BoxMode, Caution, CautionId, CureRule, Every, Method, MethodId, Phase, RecipeAccess,
    RecipeLight, RecipeRun, RecipeRunId, RecipeStep, RecipeStepId, RecipeUse, RecipeUseId, StepDeed,
    WaitKind,
};
pub use night::{DarkTime, DarkTimeId, Night, NightId};
pub use past::{KeptStep, PastChange};
pub use person::{Person, PersonId};
pub use piece::{Condition, LookKind, Piece, PieceId, PieceLook, PieceLookId};
pub use place::{Access, FallLine, FallLineId, Place, PlaceId};
pub use placement::{Placement, PlacementId, PlacementPiece, PlacementPieceId};
pub use product::{Direction, LoadModel, PlugSex, Product, ProductEnd, ProductEndId, ProductId, Role};
pub use reading::{MeterReading, MeterReadingId};
pub use rows::{Read, Rows, Stamp, reading, reading_apart};
pub use season::{
    Decision, Differed, Duty, DutyId, DutyKind, Numbering, Season, SeasonDifference, SeasonDifferenceId,
    SeasonId,
};
pub use session::{Session, SessionId, SessionPerson, SessionPersonId};
pub use site::{LimitIn, Site, SiteId, Terms, WindExposure, WindMethod, us_zone};
pub use stand::{Guy, GuyId, HoldingBy, Stand, StandId, StandKind};
pub use stock::{MoveKind, Stock, StockId, StockMove, StockMoveId};
pub use text::{clean_lines, is_hidden, says_the_name};
pub use tick::{Tick, TickId, TickKind, TimeCorrection, TimeCorrectionId};
pub use wiring::{Circuit, CircuitId, Link, LinkId, LinkKind, Outlet, OutletId, TripCurve};
pub use yard::{FactSource, TABLES, Yard};
