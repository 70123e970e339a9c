//! A list of props as a person keeps it in a spreadsheet: one line a prop, in their own words and order.
//!
//! What is told is read, what is assumed is said, what can be read two ways is refused with both. A line is known again
//! by its code, else by name and place, so that sorting the sheet moves nothing; an empty cell changes nothing.
//!
//! Not here: tables by their own name (`csv`), files, writing the rows, what was changed in the program since (`app`).

mod columns;
mod dates;
mod known;
mod line;
mod list;
pub mod mounting;
mod number;
mod places;
mod quick;
mod rows;
mod season;
mod skip;
mod spoken;
mod text;
mod titles;
mod told;
mod torn;

pub(in crate::exchange) use dates::clock as read_clock;
pub use dates::{day as read_day, with_year};
pub(in crate::exchange) use known::{letters, plain};
pub use list::{Different, List, Missing, PlaceRenamed, ReadProp, Was, has_titles, is_list, read_list};
pub(in crate::exchange) use places::{free as free_code, slug};
pub use quick::{Quick, quick};
pub use titles::column_called;
pub use told::ToldColumns;
