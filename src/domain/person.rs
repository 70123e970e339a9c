//! Who helps.

use super::cell::Words;
use super::fact::fact;
use crate::units::Mass;

fact! {
    /// A person who helps.
    Person, PersonId, "person" {
        code: String,
        name: String,
        skills: Words,
        mass_g: Option<Mass>,
        note: String,
    }
}
