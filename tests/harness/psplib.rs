//! Solves published project-scheduling files: `psplib -- DIR [--schedules N] [--seconds S] [--seed K] [--bases DIR]
//! [--starts DIR]`. Prints `instance,makespan,lower_bound,seconds`; other lines begin with `#`.
#![allow(clippy::print_stdout, clippy::print_stderr)]

#[path = "psplib/read.rs"]
mod read;

use clap::Parser;
use ladderday::planner::engine::{Control, Limits, Placed, Problem, solve};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::time::Instant;

/// Solves every .sm, .win, .sch and .msp file of a folder, one at a time, by the search that plans yards.
#[derive(Parser)]
struct Args {
    folder: PathBuf,
    /// Forward and backward passes for each instance.
    #[arg(long)]
    schedules: Option<u64>,
    /// Time cap for each instance.
    #[arg(long)]
    seconds: Option<f64>,
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// Where the base files of .win files are, if not beside them.
    #[arg(long)]
    bases: Option<PathBuf>,
    /// Writes `<instance>.txt` there, a line an activity in order: its start, then person:skill for each who works on it.
    #[arg(long)]
    starts: Option<PathBuf>,
}

fn main() -> ExitCode {
    let args = Args::parse();
    let mut files: Vec<PathBuf> = match std::fs::read_dir(&args.folder) {
        Ok(all) => all.filter_map(|e| e.ok().map(|e| e.path())).filter(|p| wanted(p)).collect(),
        Err(e) => {
            eprintln!("{}: {e}", args.folder.display());
            return ExitCode::from(2);
        }
    };
    files.sort();
    println!("# instance,makespan,lower_bound,seconds");
    let mut failed = false;
    for f in &files {
        if let Err(e) = one(f, &args) {
            println!("# {e}");
            failed = true;
        }
    }
    if failed { ExitCode::FAILURE } else { ExitCode::SUCCESS }
}

fn wanted(p: &Path) -> bool {
    let suffix = p.extension().and_then(|e| e.to_str()).unwrap_or("").to_ascii_lowercase();
    read::SUFFIXES.contains(&suffix.as_str())
}

#[allow(clippy::disallowed_methods)] // A measuring program; the engine itself never reads a clock.
fn one(file: &Path, args: &Args) -> Result<(), String> {
    let name = file.file_stem().and_then(|s| s.to_str()).unwrap_or("");
    let problem = read::file(file, args.bases.as_deref())?;
    let begun = Instant::now();
    let over = || args.seconds.is_some_and(|s| begun.elapsed().as_secs_f64() >= s);
    let schedules = args.schedules.unwrap_or(if args.seconds.is_some() { u64::MAX } else { 50_000 });
    let control = Control { stop: &over, ..Control::default() };
    let s = solve(&problem, &Limits { schedules, seed: args.seed }, &control)
        .map_err(|e| format!("{name}: {e}"))?;
    let seconds = begun.elapsed().as_secs_f64();
    let placed: Option<Vec<&Placed>> = s.placed.iter().map(Option::as_ref).collect();
    let Some(placed) = placed else {
        let left = s.unplaced.first().map(|u| format!("{:?}", u.reason)).unwrap_or_default();
        return Err(format!("{name}: {} activities cannot be placed, the first: {left}", s.unplaced.len()));
    };
    println!("{name},{},{},{seconds:.3}", s.goals.finish.value, s.goals.finish.bound);
    println!("# {name} schedules {} stopped_by {:?}", s.schedules, s.stopped_by);
    if let Some(dir) = &args.starts {
        let line = |(k, x): (usize, &&Placed)| x.start.to_string() + &crew(&problem, k, &x.workers);
        let lines: Vec<String> = placed.iter().enumerate().map(line).collect();
        let to = dir.join(format!("{name}.txt"));
        std::fs::write(&to, lines.join("\n") + "\n").map_err(|e| format!("{}: {e}", to.display()))?;
    }
    Ok(())
}

/// Who works on an activity for which skill, each need by another person: needs take their workers one after the other,
/// and those before make way where they can (augmenting paths; trying all orders takes minutes where there are many).
fn crew(p: &Problem, activity: usize, workers: &[usize]) -> String {
    fn seat(
        k: usize,
        able: &dyn Fn(usize, usize) -> bool,
        of: &mut [Option<usize>],
        seen: &mut [bool],
    ) -> bool {
        for w in 0..of.len() {
            if able(k, w)
                && !std::mem::replace(&mut seen[w], true)
                && of[w].is_none_or(|o| seat(o, able, of, seen))
            {
                of[w] = Some(k);
                return true;
            }
        }
        false
    }
    let needs = &p.activities[activity].needs;
    let able = |k: usize, w: usize| p.workers[workers[w]].skills & needs[k] != 0;
    let mut of = vec![None; workers.len()];
    for k in 0..needs.len() {
        seat(k, &able, &mut of, &mut vec![false; workers.len()]);
    }
    let part =
        |(w, k): (&usize, &Option<usize>)| k.map(|k| format!(" {}:{}", w + 1, needs[k].trailing_zeros() + 1));
    workers.iter().zip(&of).filter_map(part).collect()
}
