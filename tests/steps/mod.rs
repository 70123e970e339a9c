//! Steps from facts: the rules that order them, what ticks say, and the demo yard as a whole.

mod alone;
mod bad_input;
mod cautions;
mod demo;
mod differently;
mod order_rules;
mod outdoor_pairs;
mod outdoors;
mod progress;
mod rules;
mod said;
pub mod small_yard;
