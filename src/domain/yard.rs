//! All facts of one yard, as loaded.

use std::collections::{BTreeMap, BTreeSet};

use uuid::Uuid;

use super::cell::Value;
use super::fact::{Fact, RowChange, Table};
use super::rows::{Rows, Stamp};
use super::{
    Attachment, Caution, Circuit, Container, DarkTime, DeskTask, Duty, FallLine, Fault, Guy, Link,
    MeterReading, Method, Need, Night, Offer, OrderLine, Outlet, Person, Piece, PieceLook, Place, Placement,
    PlacementPiece, Product, ProductEnd, PurchaseOrder, RecipeRun, RecipeStep, RecipeUse, RepairEntry,
    Season, SeasonDifference, Session, SessionPerson, ShippingTier, Site, Stand, Stock, StockMove, Terms,
    Tick, TimeCorrection, Vendor,
};

/// Every fact table, parents before children: the order in which rows may be written.
pub const TABLES: &[Table] = &[
    Site::TABLE,
    Place::TABLE,
    FallLine::TABLE,
    Container::TABLE,
    Caution::TABLE,
    Method::TABLE,
    Product::TABLE,
    ProductEnd::TABLE,
    RecipeStep::TABLE,
    RecipeUse::TABLE,
    RecipeRun::TABLE,
    Piece::TABLE,
    Person::TABLE,
    Season::TABLE,
    Duty::TABLE,
    Stock::TABLE,
    StockMove::TABLE,
    Attachment::TABLE,
    Placement::TABLE,
    PlacementPiece::TABLE,
    Circuit::TABLE,
    Outlet::TABLE,
    Link::TABLE,
    Session::TABLE,
    SessionPerson::TABLE,
    DeskTask::TABLE,
    Fault::TABLE,
    RepairEntry::TABLE,
    MeterReading::TABLE,
    Tick::TABLE,
    TimeCorrection::TABLE,
    SeasonDifference::TABLE,
    Need::TABLE,
    Vendor::TABLE,
    ShippingTier::TABLE,
    Offer::TABLE,
    PurchaseOrder::TABLE,
    OrderLine::TABLE,
    Stand::TABLE,
    Guy::TABLE,
    Night::TABLE,
    DarkTime::TABLE,
    PieceLook::TABLE,
];

/// The facts of one yard that hold now (`ended_at` empty), each list in the order of its code, then id.
/// Attachments are left out: their bytes are read when one is opened.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Yard {
    pub sites: Rows<Site>,
    pub places: Rows<Place>,
    pub fall_lines: Rows<FallLine>,
    pub containers: Rows<Container>,
    pub cautions: Rows<Caution>,
    pub methods: Rows<Method>,
    pub products: Rows<Product>,
    pub product_ends: Rows<ProductEnd>,
    pub recipe_steps: Rows<RecipeStep>,
    pub recipe_uses: Rows<RecipeUse>,
    pub recipe_runs: Rows<RecipeRun>,
    pub pieces: Rows<Piece>,
    pub people: Rows<Person>,
    pub seasons: Rows<Season>,
    pub duties: Rows<Duty>,
    pub stock: Rows<Stock>,
    pub stock_moves: Rows<StockMove>,
    pub placements: Rows<Placement>,
    pub placement_pieces: Rows<PlacementPiece>,
    pub circuits: Rows<Circuit>,
    pub outlets: Rows<Outlet>,
    pub links: Rows<Link>,
    pub sessions: Rows<Session>,
    pub session_people: Rows<SessionPerson>,
    pub desk_tasks: Rows<DeskTask>,
    pub faults: Rows<Fault>,
    pub repair_entries: Rows<RepairEntry>,
    pub meter_readings: Rows<MeterReading>,
    pub ticks: Rows<Tick>,
    pub time_corrections: Rows<TimeCorrection>,
    pub season_differences: Rows<SeasonDifference>,
    pub needs: Rows<Need>,
    pub vendors: Rows<Vendor>,
    pub shipping_tiers: Rows<ShippingTier>,
    pub offers: Rows<Offer>,
    pub purchase_orders: Rows<PurchaseOrder>,
    pub order_lines: Rows<OrderLine>,
    pub stands: Rows<Stand>,
    pub guys: Rows<Guy>,
    pub nights: Rows<Night>,
    pub dark_times: Rows<DarkTime>,
    pub piece_looks: Rows<PieceLook>,
}

/// Where all rows of one fact's table come from.
pub trait FactSource {
    type Fault;

    /// All rows that hold, by code then id; what happened by its time then id; else by id.
    fn facts<F: Fact>(&mut self) -> Result<Vec<F>, Self::Fault>;

    /// One row; nothing where it is not there or no longer holds.
    fn fact<F: Fact>(&mut self, id: Uuid) -> Result<Option<F>, Self::Fault>;
}

/// What orders the rows of a list: its code or the moment it happened, then its id.
fn place_of<F: Fact>(fact: &F) -> (Option<i64>, String, Uuid) {
    let column = |name| fact.to_row().set.into_iter().find(|(c, _)| *c == name).map(|(_, value)| value);
    match (column("code"), column("at_ms")) {
        (Some(Value::Text(code)), _) => (None, code, fact.row_id()),
        (None, Some(Value::Int(at))) => (Some(at), String::new(), fact.row_id()),
        _ => (None, String::new(), fact.row_id()),
    }
}

fn name_of<F: Fact>(fact: &F) -> String {
    let row = fact.to_row();
    let text = |name| {
        row.set.iter().find_map(|(column, value)| match value {
            Value::Text(text) if *column == name => Some(text.clone()),
            _ => None,
        })
    };
    text("code").or_else(|| text("step_key")).unwrap_or_else(|| row.id.to_string())
}

/// Rows that a full list makes room for at once.
const ROOM: usize = 64;

/// Puts a row where it belongs in a list, in place of how it stood before.
fn put<F: Fact>(list: &mut Vec<F>, id: Uuid, now: Option<F>) {
    list.retain(|f| f.row_id() != id);
    if let Some(fact) = now {
        let place = place_of(&fact);
        // A full list would double, for one tick of thousands.
        if list.len() == list.capacity() {
            list.reserve_exact(ROOM);
        }
        list.insert(list.partition_point(|f| place_of(f) < place), fact);
    }
}

/// The fields of `Yard` with their facts, in the order of `TABLES`: the one list that loads and writes them all.
macro_rules! yard_lists {
    ($($list:ident : $fact:ty),+ $(,)?) => {
        impl Yard {
            /// The words of its site; those of the United States where no site is told.
            pub fn terms(&self) -> Terms {
                self.sites.first().map_or(Terms::Us, |s| s.terms)
            }

            /// Reads every list from `source`.
            pub fn gather<S: FactSource>(source: &mut S) -> Result<Self, S::Fault> {
                Ok(Self { $($list: source.facts::<$fact>()?.into()),+ })
            }

            /// What each list says, by its stamp.
            pub fn stamps(&self) -> BTreeSet<Stamp> {
                BTreeSet::from([$(self.$list.stamp()),+])
            }

            /// Keeps the lists of `before` that say the same, stamps and all: what was worked out from them holds.
            #[must_use]
            pub fn keeping(mut self, before: &Self) -> Self {
                $(self.$list.keep(&before.$list);)+
                self
            }

            /// Takes in how one row stands now.
            pub fn refresh<S: FactSource>(&mut self, table: &str, id: Uuid, source: &mut S) -> Result<(), S::Fault> {
                $(if table == <$fact>::TABLE.name {
                    put(&mut self.$list, id, source.fact::<$fact>(id)?);
                })+
                Ok(())
            }

            /// How people name those of some rows, by table and id, that are there: by the code, else by the key of the
            /// step that a row is about, else by its id.
            pub fn names(&self, of: &[(&str, Uuid)]) -> BTreeMap<Uuid, String> {
                let mut names = BTreeMap::new();
                $({
                    let mine = of.iter().filter(|(table, _)| *table == <$fact>::TABLE.name);
                    let asked: BTreeSet<Uuid> = mine.map(|(_, id)| *id).collect();
                    let rows = self.$list.iter().filter(|f| !asked.is_empty() && asked.contains(&f.row_id()));
                    names.extend(rows.map(|f| (f.row_id(), name_of(f))));
                })+
                names
            }

            /// The facts of one table as the rows that write them whole.
            pub fn rows_of(&self, table: &str) -> Vec<RowChange> {
                $(if table == <$fact>::TABLE.name {
                    return self.$list.iter().map(Fact::to_row).collect();
                })+
                Vec::new()
            }

            /// Every fact as the row that writes it whole, parents before children.
            pub fn rows(&self) -> Vec<RowChange> {
                let mut rows = Vec::new();
                $(rows.extend(self.$list.iter().map(Fact::to_row));)+
                rows
            }
        }
    };
}

yard_lists! {
    sites: Site,
    places: Place,
    fall_lines: FallLine,
    containers: Container,
    cautions: Caution,
    methods: Method,
    products: Product,
    product_ends: ProductEnd,
    recipe_steps: RecipeStep,
    recipe_uses: RecipeUse,
    recipe_runs: RecipeRun,
    pieces: Piece,
    people: Person,
    seasons: Season,
    duties: Duty,
    stock: Stock,
    stock_moves: StockMove,
    placements: Placement,
    placement_pieces: PlacementPiece,
    circuits: Circuit,
    outlets: Outlet,
    links: Link,
    sessions: Session,
    session_people: SessionPerson,
    desk_tasks: DeskTask,
    faults: Fault,
    repair_entries: RepairEntry,
    meter_readings: MeterReading,
    ticks: Tick,
    time_corrections: TimeCorrection,
    season_differences: SeasonDifference,
    needs: Need,
    vendors: Vendor,
    shipping_tiers: ShippingTier,
    offers: Offer,
    purchase_orders: PurchaseOrder,
    order_lines: OrderLine,
    stands: Stand,
    guys: Guy,
    nights: Night,
    dark_times: DarkTime,
    piece_looks: PieceLook,
}
