//! The order of calls: what a power cut would show.

use std::collections::BTreeSet;
use std::path::Path;

use ladderday::store::{NewYard, Store};
use uuid::Uuid;

use crate::strace::{calls, run};

/// Enough that the log is written back and begun anew several times.
const DEEDS: u64 = 2_000;

pub fn of_deeds(folder: &Path, sabotage: bool) -> bool {
    let yard = folder.join("order.ladderday");
    let new = NewYard { yard_id: Uuid::from_u128(1), device: "A".into(), clock_shift_ms: None, demo: false };
    drop(Store::create(&yard, &new).unwrap());
    let (path, deeds) = (yard.display().to_string(), DEEDS.to_string());
    let mut args = vec!["--write", &path, "--from", "1", "--deeds", &deeds];
    if sabotage {
        args.extend(["--sabotage", "ack-first"]);
    }
    let ran = run(folder, &args, None);
    let seen = judge(&ran.log);
    // Acknowledged first, the log is in order and says nothing of the deed: its pages come later.
    let synced_each = seen.syncs_of_log >= ran.acknowledged.len();
    println!(
        "order of deeds: {} acknowledged, {} before their sync, {} times a log was begun anew, {} before its pages were \
         synced; {} syncs of the log",
        ran.acknowledged.len(),
        seen.early,
        seen.begun_anew,
        seen.unsafe_anew,
        seen.syncs_of_log
    );
    ran.acknowledged.len() as u64 == DEEDS
        && synced_each
        && seen.early + seen.unsafe_anew == 0
        && seen.begun_anew > 1
}

pub fn of_migration(folder: &Path) -> bool {
    let yard = crate::migration::work(folder);
    let ran = run(folder, &["--open", &yard.display().to_string()], None);
    let seen = judge(&ran.log);
    println!("order of a migration: {} names given, {} before a sync", seen.named, seen.unsafe_named);
    ran.well && seen.named > 0 && seen.unsafe_named == 0
}

#[derive(Default)]
struct Seen {
    early: usize,
    begun_anew: usize,
    unsafe_anew: usize,
    named: usize,
    unsafe_named: usize,
    syncs_of_log: usize,
}

fn judge(log: &str) -> Seen {
    let mut seen = Seen::default();
    // Files with pages that are not on the disk yet.
    let mut dirty: BTreeSet<String> = BTreeSet::new();
    // What the log got since its last sync, its head left out, and how often such was synced: once a deed.
    let mut frames = false;
    let (mut rounds, mut acknowledged) = (0, 0);
    for (call, rest) in calls(log) {
        // `pwrite64(5</tmp/y.ladderday-wal>, "…"..., 4096, 32) = 4096`
        let file = rest.split_once('<').and_then(|(_, r)| r.split_once('>')).map_or("", |(path, _)| path);
        let log_of = file.strip_suffix("-wal");
        match call {
            "pwrite64" => {
                if let Some(yard) = log_of
                    && rest.contains(", 0) = ")
                {
                    seen.begun_anew += 1;
                    seen.unsafe_anew += usize::from(dirty.contains(yard));
                }
                frames |= log_of.is_some() && !rest.contains(", 0) = ");
                dirty.insert(file.to_owned());
            }
            "write" if rest.starts_with("1<") => {
                let unsynced = dirty.iter().any(|f| f.ends_with("-wal"));
                acknowledged += 1;
                seen.early += usize::from(unsynced || rounds < acknowledged);
            }
            "write" if !file.is_empty() => drop(dirty.insert(file.to_owned())),
            "fsync" | "fdatasync" => {
                seen.syncs_of_log += usize::from(log_of.is_some());
                rounds += usize::from(log_of.is_some() && std::mem::take(&mut frames));
                dirty.remove(file);
            }
            "link" | "linkat" | "rename" => {
                seen.named += 1;
                let from = rest.split('"').nth(1).unwrap_or_default();
                seen.unsafe_named += usize::from(dirty.contains(from));
            }
            _ => {}
        }
    }
    seen
}
