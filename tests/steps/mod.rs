//! Steps from facts: the rules that order them, what ticks say, and the demo yard as a whole.

mod alone;
mod cautions;
mod demo;
mod order_rules;
mod outdoors;
mod progress;
mod rules;
pub mod small_yard;
