//! Today: will it be ready, what can be done now, what is in the way.
//!
//! Not here: the plan itself (`planner`), drawing.

pub(crate) mod alarms;
pub(crate) mod due;
pub(crate) mod duties;
pub(crate) mod page;
