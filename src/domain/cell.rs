//! One value of one column, and how each type of the domain becomes one.

use std::sync::Arc;

use chrono::{NaiveDate, NaiveDateTime};
use uuid::Uuid;

use crate::units::{
    Angle, Current, Force, Gauge, Length, Mass, Money, Percent, Power, Span, Speed, System, Temperature,
    Voltage, Volume,
};

/// The value of one column as it is kept: nothing, a whole number, or text.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Value {
    Null,
    Int(i64),
    Text(String),
}

/// What a column holds, for reading it from a file, showing it and checking what is typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CellKind {
    Text,
    /// Words parted by blanks, as skills.
    Words,
    Whole,
    YesNo,
    /// One of a fixed list.
    Choice(&'static [&'static str]),
    /// The row of another table, by its code.
    Refers(&'static str),
    Length,
    Mass,
    Volume,
    Voltage,
    Current,
    Power,
    Force,
    Speed,
    Temperature,
    Span,
    Money,
    Percent,
    Angle,
    Gauge,
    /// A day of the calendar, `2026-11-27`.
    Date,
    /// Local civil time to the minute, `2026-11-27T17:00`.
    LocalTime,
    /// A moment, UTC milliseconds.
    Moment,
}

/// A value that a column's type refuses: the file is damaged, or newer than this program.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CellFault {
    pub column: &'static str,
    pub value: Value,
    pub wanted: &'static str,
}

/// A type that one column can hold.
pub trait Cell: Sized {
    const KIND: CellKind;
    /// Whether nothing is an answer.
    const OPTIONAL: bool = false;

    fn to_value(&self) -> Value;
    /// Nothing where the value is none of this type.
    fn from_value(value: &Value) -> Option<Self>;
}

impl<T: Cell> Cell for Option<T> {
    const KIND: CellKind = T::KIND;
    const OPTIONAL: bool = true;

    fn to_value(&self) -> Value {
        self.as_ref().map_or(Value::Null, Cell::to_value)
    }

    fn from_value(value: &Value) -> Option<Self> {
        match value {
            Value::Null => Some(None),
            other => T::from_value(other).map(Some),
        }
    }
}

macro_rules! whole_cells {
    ($($type:ty, $kind:ident, $of:ident, $get:ident;)+) => { $(
        impl Cell for $type {
            const KIND: CellKind = CellKind::$kind;

            fn to_value(&self) -> Value {
                Value::Int(self.$get())
            }

            fn from_value(value: &Value) -> Option<Self> {
                if let Value::Int(n) = value { Some(Self::$of(*n)) } else { None }
            }
        }
    )+ };
}

whole_cells! {
    Length, Length, from_mm, mm;
    Mass, Mass, from_g, g;
    Volume, Volume, from_ml, ml;
    Voltage, Voltage, from_mv, mv;
    Current, Current, from_ma, ma;
    Power, Power, from_mw, mw;
    Force, Force, from_mn, mn;
    Speed, Speed, from_mms, mms;
    Temperature, Temperature, from_mc, mc;
    Span, Span, from_s, s;
    Money, Money, from_cents, cents;
    Angle, Angle, from_udeg, udeg;
}

impl Cell for Percent {
    const KIND: CellKind = CellKind::Percent;

    fn to_value(&self) -> Value {
        Value::Int(self.get())
    }

    fn from_value(value: &Value) -> Option<Self> {
        if let Value::Int(n) = value { Self::new(*n) } else { None }
    }
}

impl Cell for i64 {
    const KIND: CellKind = CellKind::Whole;

    fn to_value(&self) -> Value {
        Value::Int(*self)
    }

    fn from_value(value: &Value) -> Option<Self> {
        if let Value::Int(n) = value { Some(*n) } else { None }
    }
}

impl Cell for bool {
    const KIND: CellKind = CellKind::YesNo;

    fn to_value(&self) -> Value {
        Value::Int(i64::from(*self))
    }

    fn from_value(value: &Value) -> Option<Self> {
        match value {
            Value::Int(0) => Some(false),
            Value::Int(1) => Some(true),
            _ => None,
        }
    }
}

impl Cell for String {
    const KIND: CellKind = CellKind::Text;

    fn to_value(&self) -> Value {
        Value::Text(self.clone())
    }

    fn from_value(value: &Value) -> Option<Self> {
        if let Value::Text(t) = value { Some(t.clone()) } else { None }
    }
}

/// Text that many hold and nobody changes.
impl Cell for Arc<str> {
    const KIND: CellKind = CellKind::Text;

    fn to_value(&self) -> Value {
        Value::Text(self.as_ref().to_owned())
    }

    fn from_value(value: &Value) -> Option<Self> {
        if let Value::Text(t) = value { Some(t.as_str().into()) } else { None }
    }
}

/// Words parted by single blanks, as `roof solder`.
#[derive(Debug, Clone, PartialEq, Eq, Default, PartialOrd, Ord, Hash)]
pub struct Words(Vec<String>);

impl Words {
    /// Splits at blanks, commas and semicolons.
    pub fn of(text: &str) -> Self {
        Self(text.split([' ', ',', ';', '\t']).filter(|w| !w.is_empty()).map(str::to_owned).collect())
    }

    pub fn iter(&self) -> impl Iterator<Item = &str> {
        self.0.iter().map(String::as_str)
    }

    pub fn has(&self, word: &str) -> bool {
        self.0.iter().any(|w| w == word)
    }

    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Parted by single blanks.
    pub fn text(&self) -> String {
        self.0.join(" ")
    }
}

impl Cell for Words {
    const KIND: CellKind = CellKind::Words;

    fn to_value(&self) -> Value {
        Value::Text(self.text())
    }

    fn from_value(value: &Value) -> Option<Self> {
        if let Value::Text(t) = value { Some(Self::of(t)) } else { None }
    }
}

impl Cell for System {
    const KIND: CellKind = CellKind::Choice(&["us", "si"]);

    fn to_value(&self) -> Value {
        Value::Text(self.as_str().to_owned())
    }

    fn from_value(value: &Value) -> Option<Self> {
        if let Value::Text(t) = value { Self::from_text(t) } else { None }
    }
}

impl Cell for Gauge {
    const KIND: CellKind = CellKind::Gauge;

    fn to_value(&self) -> Value {
        Value::Text(self.show())
    }

    fn from_value(value: &Value) -> Option<Self> {
        if let Value::Text(t) = value { Self::parse(t).ok() } else { None }
    }
}

impl Cell for NaiveDate {
    const KIND: CellKind = CellKind::Date;

    fn to_value(&self) -> Value {
        Value::Text(self.format("%Y-%m-%d").to_string())
    }

    fn from_value(value: &Value) -> Option<Self> {
        if let Value::Text(t) = value { Self::parse_from_str(t, "%Y-%m-%d").ok() } else { None }
    }
}

impl Cell for NaiveDateTime {
    const KIND: CellKind = CellKind::LocalTime;

    fn to_value(&self) -> Value {
        Value::Text(self.format("%Y-%m-%dT%H:%M").to_string())
    }

    fn from_value(value: &Value) -> Option<Self> {
        if let Value::Text(t) = value { Self::parse_from_str(t, "%Y-%m-%dT%H:%M").ok() } else { None }
    }
}

/// A moment that happened: UTC milliseconds since 1970.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Moment(pub i64);

impl Cell for Moment {
    const KIND: CellKind = CellKind::Moment;

    fn to_value(&self) -> Value {
        Value::Int(self.0)
    }

    fn from_value(value: &Value) -> Option<Self> {
        if let Value::Int(n) = value { Some(Self(*n)) } else { None }
    }
}

/// Text form of a row's id.
pub(crate) fn uuid_value(id: Uuid) -> Value {
    Value::Text(id.hyphenated().to_string())
}

pub(crate) fn uuid_from(value: &Value) -> Option<Uuid> {
    if let Value::Text(t) = value { Uuid::parse_str(t).ok() } else { None }
}

/// A fixed list of words as an enum; the words are the same in table, CSV, JSON and command.
macro_rules! choice {
    ($(#[$doc:meta])* $name:ident { $($(#[$vdoc:meta])* $variant:ident => $word:literal),+ $(,)? }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum $name { $($(#[$vdoc])* $variant),+ }

        impl $name {
            pub const ALL: &'static [Self] = &[$(Self::$variant),+];
            pub const WORDS: &'static [&'static str] = &[$($word),+];

            /// The word used in files and on screen.
            pub const fn as_str(self) -> &'static str {
                match self { $(Self::$variant => $word),+ }
            }

            /// The choice of that word.
            pub fn from_text(text: &str) -> Option<Self> {
                match text { $($word => Some(Self::$variant),)+ _ => None }
            }
        }

        impl $crate::domain::Cell for $name {
            const KIND: $crate::domain::CellKind = $crate::domain::CellKind::Choice(Self::WORDS);

            fn to_value(&self) -> $crate::domain::Value {
                $crate::domain::Value::Text(self.as_str().to_owned())
            }

            fn from_value(value: &$crate::domain::Value) -> Option<Self> {
                if let $crate::domain::Value::Text(t) = value { Self::from_text(t) } else { None }
            }
        }
    };
}
pub(crate) use choice;
