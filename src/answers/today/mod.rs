//! Today: will it be ready, what can be done now, what is in the way.

pub(crate) mod alarms;
pub(crate) mod duties;
pub(crate) mod page;
pub(crate) mod untold;
