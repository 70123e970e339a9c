//! The layer table as data: what each folder under `src` may import. A new need is a change here, seen in review.

/// One row. `folder` is a path under `src`; a longer path adds to what its layer may do.
pub struct Layer {
    pub folder: &'static str,
    /// Layers of this crate, besides its own.
    pub layers: &'static [&'static str],
    /// Outside crates, besides `thiserror`.
    pub crates: &'static [&'static str],
    /// Powers of the standard library, as [`POWERS`] names them.
    pub powers: &'static [&'static str],
}

/// What reaches out of the program: a name, and the paths that reach it. A path that ends in `!` is a macro.
pub const POWERS: &[(&str, &[&str])] = &[
    ("files", &["std::fs"]),
    ("environment", &["std::env"]),
    ("processes", &["std::process"]),
    (
        "network",
        &["std::net::TcpStream", "std::net::TcpListener", "std::net::UdpSocket", "std::net::ToSocketAddrs"],
    ),
    ("threads", &["std::thread"]),
    ("clock", &["std::time::SystemTime", "std::time::Instant"]),
    ("terminal", &["std::io::stdin", "std::io::stdout", "std::io::stderr"]),
    ("printing", &["println!", "print!", "eprintln!", "eprint!", "dbg!"]),
];

/// `chrono` is built without its `clock` feature. `chrono_tz` in `domain` is for the one place that resolves local
/// times.
pub const LAYERS: &[Layer] = &[
    row("units", &[], &[]),
    row("domain", &["units"], &["chrono", "chrono_tz", "uuid"]),
    row("calc", &["units"], &["chrono", "solar_positioning"]),
    row("steps", &["units", "domain", "calc"], &["chrono", "uuid"]),
    row("planner", &["units", "domain", "calc", "steps"], &["chrono", "chrono_tz", "fastrand", "rayon"]),
    row("planner/engine", &[], &["fastrand", "rayon"]),
    row("stats", &["units", "domain"], &["chrono", "statrs"]),
    row("buying", &["units", "domain"], &["chrono"]),
    row("packing", &["units", "domain"], &[]),
    Layer {
        folder: "store",
        layers: &["units", "domain"],
        crates: &["base64", "rusqlite", "serde_json", "sha2", "uuid"],
        powers: &["files"],
    },
    row(
        "exchange",
        &["units", "domain", "answers"],
        &[
            "chrono",
            "chrono_tz",
            "csv",
            "maud",
            "miniz_oxide",
            "qrcodegen",
            "quick_xml",
            "serde",
            "serde_json",
            "sha2",
            "toml",
            "unicode_width",
            "uuid",
        ],
    ),
    // Some answers are plans, their steps and rates themselves.
    row("exchange/commands", &["calc", "planner", "stats"], &[]),
    row(
        "answers",
        &["units", "domain", "calc", "steps", "planner", "stats", "buying", "packing"],
        &["chrono", "chrono_tz", "uuid"],
    ),
    row(
        "deeds",
        &["units", "domain", "steps", "planner", "answers", "exchange"],
        &["chrono", "chrono_tz", "uuid"],
    ),
    Layer {
        folder: "app",
        layers: &["units", "domain", "steps", "planner", "store", "answers", "exchange", "deeds"],
        crates: &["chrono", "chrono_tz", "directories", "fastrand", "uuid"],
        powers: &["files", "environment", "threads", "clock"],
    },
    row("app/low_priority.rs", &[], &["rayon", "rustix"]),
    row(
        "tui",
        &["units", "domain", "answers", "app"],
        &["base64", "chrono", "crossterm", "nucleo_matcher", "ratatui", "tui_input", "unicode_width"],
    ),
    Layer {
        folder: "tui/run.rs",
        layers: &["units", "domain", "answers", "app"],
        crates: &["chrono", "crossterm", "ratatui", "signal_hook"],
        powers: &["environment", "processes", "threads", "clock", "terminal"],
    },
    Layer { folder: "tui/viewer.rs", layers: &["app"], crates: &[], powers: &["processes"] },
    Layer {
        folder: "cli",
        layers: &["units", "domain", "app", "tui"],
        crates: &["chrono", "clap", "clap_complete", "clap_mangen"],
        powers: &["processes", "terminal", "printing", "environment"],
    },
    Layer {
        folder: "main.rs",
        layers: &["cli"],
        crates: &["git_version", "ladderday"],
        powers: &["processes"],
    },
    row("lib.rs", &[], &[]),
];

/// The engine knows nothing of yards: its row stands alone and does not add to `planner`'s.
pub const ALONE: &[&str] = &["planner/engine"];

const fn row(
    folder: &'static str,
    layers: &'static [&'static str],
    crates: &'static [&'static str],
) -> Layer {
    Layer { folder, layers, crates, powers: &[] }
}
