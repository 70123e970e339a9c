//! The shipped recipes and the demo yard, compiled in and read by the same importer as an owner's own files.

/// Recipes and cautions that every new yard begins with.
pub(super) const RECIPES: &[(&str, &str)] = &[
    ("caution.csv", include_str!("../../sample-data/caution.csv")),
    ("method.csv", include_str!("../../sample-data/method.csv")),
    ("recipe_step.csv", include_str!("../../sample-data/recipe_step.csv")),
    ("recipe_run.csv", RUNS),
];

/// Which tests of the recipes run by themselves.
pub(super) const RUNS: &str = include_str!("../../sample-data/recipe_run.csv");

macro_rules! yard_files {
    ($($name:literal),+ $(,)?) => {
        /// The demo yard, recipes among it.
        pub const DEMO: &[(&str, &str)] = &[$(($name, include_str!(concat!("../../sample-data/", $name)))),+];
    };
}

yard_files!(
    "caution.csv",
    "circuit.csv",
    "container.csv",
    "dark_time.csv",
    "desk_task.csv",
    "duty.csv",
    "fall_line.csv",
    "fault.csv",
    "guy.csv",
    "link.csv",
    "method.csv",
    "need.csv",
    "offer.csv",
    "order_line.csv",
    "outlet.csv",
    "person.csv",
    "piece.csv",
    "place.csv",
    "placement.csv",
    "placement_piece.csv",
    "product.csv",
    "product_end.csv",
    "purchase_order.csv",
    "recipe_run.csv",
    "recipe_step.csv",
    "recipe_use.csv",
    "repair_entry.csv",
    "season.csv",
    "session.csv",
    "session_person.csv",
    "shipping_tier.csv",
    "site.csv",
    "stand.csv",
    "stock.csv",
    "stock_move.csv",
    "tick.csv",
    "vendor.csv",
);
