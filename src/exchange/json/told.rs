//! `told --json`.

use serde::Serialize;

/// Every kind of fact, with how many of it are told.
#[derive(Debug, Clone, Serialize)]
pub struct ToldKindsDoc {
    pub kinds: Vec<KindDoc>,
}

#[derive(Debug, Clone, Serialize)]
pub struct KindDoc {
    /// Its table.
    pub kind: String,
    pub told: usize,
}

/// The rows of one kind that hold.
#[derive(Debug, Clone, Serialize)]
pub struct ToldRowsDoc {
    pub kind: String,
    pub rows: Vec<ToldFactDoc>,
}

/// Columns as files name them, with figures in the unit of the name and codes for what is referred to.
pub type Columns = std::collections::BTreeMap<String, serde_json::Value>;

#[derive(Debug, Clone, Serialize)]
pub struct ToldFactDoc {
    pub code: String,
    pub columns: Columns,
}
