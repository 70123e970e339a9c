//! A fact is one row of one table: declared once, read and written by the same declaration.

use uuid::Uuid;

use super::cell::{CellFault, CellKind, Value};

/// One column of a fact's table.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Column {
    /// Its name in the table, with the unit.
    pub name: &'static str,
    pub kind: CellKind,
    /// Whether it may be empty.
    pub optional: bool,
    /// Its comment in the declaration; empty where its name says all.
    pub about: &'static str,
}

impl Column {
    /// What files call it: a reference without `_id`, a moment without `_ms`.
    pub fn header(&self) -> &'static str {
        match self.kind {
            CellKind::Refers(_) => self.name.strip_suffix("_id").unwrap_or(self.name),
            CellKind::Moment => self.name.strip_suffix("_ms").unwrap_or(self.name),
            _ => self.name,
        }
    }
}

/// A fact's table: its name and columns, without `id` and `ended_at`, which every table has.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Table {
    pub name: &'static str,
    /// What one row is: its comment in the declaration.
    pub about: &'static str,
    pub columns: &'static [Column],
}

impl Table {
    pub fn column(&self, name: &str) -> Option<&'static Column> {
        self.columns.iter().find(|c| c.name == name)
    }

    /// Whether people name its rows by a code.
    pub fn has_code(&self) -> bool {
        self.column("code").is_some()
    }
}

/// Where the columns of one row are read from.
pub trait Cells {
    fn cell(&self, column: &'static str) -> Result<Value, CellFault>;
}

/// A type that is one row of a table.
pub trait Fact: Sized {
    const TABLE: Table;

    fn read(cells: &dyn Cells) -> Result<Self, CellFault>;
    fn row_id(&self) -> Uuid;
    /// The whole row as a change that inserts it, or sets all its columns.
    fn to_row(&self) -> RowChange;
}

/// Columns of one row to set; a row that is not there yet is inserted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RowChange {
    pub table: &'static str,
    pub id: Uuid,
    pub set: Vec<(&'static str, Value)>,
}

impl RowChange {
    /// Changes some columns of a row.
    pub fn new(table: &'static str, id: Uuid, set: Vec<(&'static str, Value)>) -> Self {
        Self { table, id, set }
    }

    /// Says that a row no longer holds.
    pub fn end(table: &'static str, id: Uuid, at_ms: i64) -> Self {
        Self { table, id, set: vec![("ended_at", Value::Int(at_ms))] }
    }
}

/// What a person did, as one journal entry: a verb, a sentence, the rows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Deed {
    /// A stable word, as `step-done`.
    pub verb: &'static str,
    /// What was done, as read in the history: "Ticked: drive stakes, boat cut-outs".
    pub what: String,
    /// When, UTC milliseconds.
    pub at_ms: i64,
    pub rows: Vec<RowChange>,
}

macro_rules! fact {
    ($(#[doc = $doc:literal])* $name:ident, $id:ident, $table:literal {
        $($(#[doc = $fdoc:literal])* $field:ident : $type:ty),+ $(,)?
    }) => {
        #[doc = concat!("The id of a row of `", $table, "`.")]
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $id(pub uuid::Uuid);

        impl $crate::domain::Cell for $id {
            const KIND: $crate::domain::CellKind = $crate::domain::CellKind::Refers($table);

            fn to_value(&self) -> $crate::domain::Value {
                $crate::domain::cell::uuid_value(self.0)
            }

            fn from_value(value: &$crate::domain::Value) -> Option<Self> {
                $crate::domain::cell::uuid_from(value).map(Self)
            }
        }

        impl std::fmt::Display for $id {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                self.0.fmt(f)
            }
        }

        $(#[doc = $doc])*
        #[derive(Debug, Clone, PartialEq, Eq)]
        pub struct $name {
            pub id: $id,
            /// When it stopped to hold, UTC milliseconds.
            pub ended_at: Option<i64>,
            $($(#[doc = $fdoc])* pub $field: $type),+
        }

        impl $crate::domain::Fact for $name {
            const TABLE: $crate::domain::Table = $crate::domain::Table {
                name: $table,
                about: concat!($($doc),*),
                columns: &[$($crate::domain::Column {
                    name: stringify!($field),
                    kind: <$type as $crate::domain::Cell>::KIND,
                    optional: <$type as $crate::domain::Cell>::OPTIONAL,
                    about: concat!($($fdoc),*),
                }),+],
            };

            fn read(cells: &dyn $crate::domain::Cells) -> Result<Self, $crate::domain::CellFault> {
                Ok(Self {
                    id: $crate::domain::fact::read_cell(cells, "id", "a UUID")?,
                    ended_at: $crate::domain::fact::read_cell(cells, "ended_at", "a moment")?,
                    $($field: $crate::domain::fact::read_cell(cells, stringify!($field), stringify!($type))?),+
                })
            }

            fn row_id(&self) -> uuid::Uuid {
                self.id.0
            }

            fn to_row(&self) -> $crate::domain::RowChange {
                $crate::domain::RowChange {
                    table: $table,
                    id: self.id.0,
                    set: vec![
                        ("ended_at", $crate::domain::Cell::to_value(&self.ended_at)),
                        $((stringify!($field), $crate::domain::Cell::to_value(&self.$field))),+
                    ],
                }
            }
        }
    };
}
pub(crate) use fact;

pub(crate) fn read_cell<T: super::cell::Cell>(
    cells: &dyn Cells,
    column: &'static str,
    wanted: &'static str,
) -> Result<T, CellFault> {
    let value = cells.cell(column)?;
    T::from_value(&value).ok_or(CellFault { column, value, wanted })
}
