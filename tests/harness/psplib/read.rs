//! Reads published project-scheduling files into a problem: `.sm`, `.win` over a base `.sm`, `.sch`.

use ladderday::planner::engine::{Activity, Edge, FAR, Lag, Problem, Resource, Session, Window};
use std::path::Path;

/// Days of a `.win` calendar laid out ahead; far more than any schedule takes.
const DAYS: i32 = 400;

/// Reads a file by its suffix; base files are looked for beside it, then in `bases`.
pub(crate) fn file(path: &Path, bases: Option<&Path>) -> Result<Problem, String> {
    let text = read(path)?;
    let suffix = path.extension().and_then(|e| e.to_str()).unwrap_or("").to_ascii_lowercase();
    let name = path.display();
    match suffix.as_str() {
        "sm" => sm(&text),
        "sch" => sch(&text),
        "win" => win(&text, path, bases),
        other => Err(format!("suffix {other} is none of sm, win, sch")),
    }
    .map_err(|e| format!("{name}: {e}"))
}

fn read(path: &Path) -> Result<String, String> {
    std::fs::read_to_string(path).map_err(|e| format!("{}: {e}", path.display()))
}

fn numbers(line: &str) -> Option<Vec<i32>> {
    let all: Result<Vec<i32>, _> = line.split_whitespace().map(str::parse).collect();
    all.ok().filter(|x| !x.is_empty())
}

fn at(row: &[i32], k: usize) -> Result<i32, String> {
    row.get(k).copied().ok_or_else(|| format!("a line has {} numbers, {} are needed", row.len(), k + 1))
}

fn index(id: i32, first: i32, n: usize) -> Result<usize, String> {
    usize::try_from(id - first).ok().filter(|i| *i < n).ok_or_else(|| format!("activity {id} is not there"))
}

fn activity(duration: i32, requests: &[i32]) -> Activity {
    let demands = requests.iter().copied().enumerate().filter(|d| d.1 > 0).collect();
    Activity { duration, demands, work: true, ..Activity::default() }
}

fn sm(text: &str) -> Result<Problem, String> {
    let (mut arcs, mut rows, mut caps) = (Vec::new(), Vec::new(), Vec::new());
    let mut block = 0;
    for line in text.lines() {
        if line.starts_with("PRECEDENCE RELATIONS") {
            block = 1;
        } else if line.starts_with("REQUESTS/DURATIONS") {
            block = 2;
        } else if line.starts_with("RESOURCEAVAILABILITIES") {
            block = 3;
        } else if let Some(row) = numbers(line) {
            match block {
                1 => arcs.push(row),
                2 => rows.push(row),
                3 if caps.is_empty() => caps = row,
                _ => {}
            }
        }
    }
    let n = rows.len();
    if n == 0 || caps.is_empty() {
        return Err("no activities or no capacities".into());
    }
    let mut p = Problem::default();
    for r in &rows {
        p.activities.push(activity(at(r, 2)?, r.get(3..).unwrap_or(&[])));
    }
    for a in &arcs {
        let i = index(at(a, 0)?, 1, n)?;
        for j in a.get(3..).unwrap_or(&[]) {
            p.edges.push(Edge::after(i, index(*j, 1, n)?, 0));
        }
    }
    p.resources = caps.into_iter().map(|capacity| Resource { capacity, ..Resource::default() }).collect();
    Ok(p)
}

fn win(text: &str, path: &Path, bases: Option<&Path>) -> Result<Problem, String> {
    let words: Vec<Vec<&str>> = text.lines().map(|l| l.split_whitespace().collect()).collect();
    let base = words.iter().find_map(|w| match w.as_slice() {
        ["base", name, ..] => Some(*name),
        _ => None,
    });
    let base = base.ok_or("no base named")?;
    let beside = path.with_file_name(base);
    let base = if beside.exists() { beside } else { bases.map_or(beside, |b| b.join(base)) };
    let mut p = sm(&read(&base)?)?;
    let n = p.activities.len();
    let (mut day, mut weekday, mut weekend) = (16, (0, 16), (0, 16));
    let int = |w: &str| w.parse::<i32>().map_err(|_| format!("{w} is no whole number"));
    for w in &words {
        match w.as_slice() {
            [] | ["base", ..] => {}
            ["day", x] => day = int(x)?,
            ["weekday", a, b] => weekday = (int(a)?, int(b)?),
            ["weekend", a, b] => weekend = (int(a)?, int(b)?),
            ["lag", i, j, x] => {
                let (pred, succ) = (index(int(i)?, 1, n)?, index(int(j)?, 1, n)?);
                p.edges.push(Edge { pred, succ, lag: Lag::StartStart { min: int(x)? } });
            }
            ["release", i, t] => p.activities[index(int(i)?, 1, n)?].release = Some(int(t)?),
            ["capacity", r, a, b, c] => {
                let k = index(int(r.trim_start_matches('R'))?, 1, p.resources.len())?;
                p.resources[k].dips.push((int(a)?, int(b)?, int(c)?));
            }
            other => return Err(format!("line not understood: {}", other.join(" "))),
        }
    }
    let windows = |d: i32| if d % 7 < 5 { weekday } else { weekend };
    p.sessions =
        (0..DAYS).map(|d| Session { from: d * day + windows(d).0, to: d * day + windows(d).1 }).collect();
    p.calendars.push(
        p.sessions
            .iter()
            .enumerate()
            .map(|(k, s)| Window { from: s.from, to: s.to, session: k as u32 })
            .collect(),
    );
    for a in p.activities.iter_mut().filter(|a| a.duration > 0) {
        a.calendar = Some(0);
    }
    Ok(p)
}

fn sch(text: &str) -> Result<Problem, String> {
    let text = text.replace(['[', ']'], " ");
    let mut lines = text.lines().filter_map(numbers);
    let mut next = || lines.next().ok_or_else(|| "the file ends early".to_owned());
    let n = usize::try_from(at(&next()?, 0)?).map_err(|e| e.to_string())? + 2;
    let mut p = Problem::default();
    for _ in 0..n {
        let row = next()?;
        let (id, arcs) = (at(&row, 0)?, at(&row, 2)?);
        for q in 0..arcs {
            let (to, min) = (at(&row, 3 + q as usize)?, at(&row, 3 + (arcs + q) as usize)?);
            // A lag below 0 is a latest time, which is left out here.
            if min >= 0 {
                p.edges.push(Edge {
                    pred: index(id, 0, n)?,
                    succ: index(to, 0, n)?,
                    lag: Lag::StartStart { min },
                });
            }
        }
    }
    for _ in 0..n {
        let row = next()?;
        p.activities.push(activity(at(&row, 2)?, row.get(3..).unwrap_or(&[])));
    }
    p.resources = next()?.into_iter().map(|capacity| Resource { capacity, ..Resource::default() }).collect();
    let total: i64 = p.activities.iter().map(|a| i64::from(a.duration)).sum();
    if total > i64::from(FAR) {
        return Err("durations beyond what can be planned".into());
    }
    Ok(p)
}
