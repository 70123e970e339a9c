//! Reads published project-scheduling files into a problem: `.sm`, `.win` over a base `.sm`, `.sch`, `.msp`. What is wrong is
//! named with its line.

use ladderday::planner::engine::{Activity, Edge, FAR, Lag, Problem, Resource, Session, Window, Worker};
use std::path::Path;

/// Days of a `.win` calendar laid out ahead; far more than any schedule takes.
const DAYS: i32 = 400;

/// Suffixes that [`file`] reads.
pub(crate) const SUFFIXES: [&str; 4] = ["sm", "win", "sch", "msp"];

/// A line of numbers, and which line of the file it is.
struct Row {
    line: usize,
    numbers: Vec<i32>,
}

impl Row {
    fn at(&self, k: usize) -> Result<i32, String> {
        let short = || format!("line {} has {} numbers, {} are needed", self.line, self.numbers.len(), k + 1);
        self.numbers.get(k).copied().ok_or_else(short)
    }

    fn rest(&self, from: usize) -> &[i32] {
        self.numbers.get(from..).unwrap_or(&[])
    }

    fn activity(&self, id: i32, first: i32, n: usize) -> Result<usize, String> {
        let of = usize::try_from(id - first).ok().filter(|i| *i < n);
        of.ok_or_else(|| format!("line {}: activity {id} is not there, there are {n}", self.line))
    }

    fn positive(&self, x: i32) -> Result<i32, String> {
        if (0..FAR).contains(&x) {
            Ok(x)
        } else {
            Err(format!("line {}: {x} is not within 0 to {FAR}", self.line))
        }
    }
}

/// A problem with the lines that its activities, and its edges, are told in.
#[derive(Default)]
struct Told {
    p: Problem,
    lines: Vec<usize>,
    edges: Vec<usize>,
    /// The number of the first activity.
    first: usize,
}

/// Reads a file by its suffix; base files are looked for beside it, then in `bases`.
pub(crate) fn file(path: &Path, bases: Option<&Path>) -> Result<Problem, String> {
    let text = read(path)?;
    let suffix = path.extension().and_then(|e| e.to_str()).unwrap_or("").to_ascii_lowercase();
    let told = match suffix.as_str() {
        "sm" => sm(&text),
        "sch" => sch(&text),
        "msp" => msp(&text),
        "win" => win(&text, path, bases),
        other => Err(format!("suffix {other} is none of {}", SUFFIXES.join(", "))),
    };
    told.and_then(Told::looked_over).map_err(|e| format!("{}: {e}", path.display()))
}

fn read(path: &Path) -> Result<String, String> {
    std::fs::read_to_string(path).map_err(|e| format!("{}: {e}", path.display()))
}

/// A line of whole numbers; `None` where anything else stands in it.
fn numbers(line: &str) -> Option<Vec<i32>> {
    let all: Result<Vec<i32>, _> = line.split_whitespace().map(str::parse).collect();
    all.ok().filter(|x| !x.is_empty())
}

impl Told {
    fn activity(&mut self, row: &Row, duration: i32, requests: &[i32]) -> Result<(), String> {
        let demands = requests.iter().copied().enumerate().filter(|d| d.1 > 0).collect();
        let duration = row.positive(duration)?;
        self.p.activities.push(Activity { duration, demands, work: true, ..Activity::default() });
        self.lines.push(row.line);
        Ok(())
    }

    fn edge(&mut self, row: &Row, edge: Edge) {
        self.p.edges.push(edge);
        self.edges.push(row.line);
    }

    /// What no schedule can keep is named here, with its line.
    fn looked_over(self) -> Result<Problem, String> {
        let Self { p, lines, first, .. } = &self;
        let total: i64 = p.activities.iter().map(|a| i64::from(a.duration)).sum();
        if total > i64::from(FAR) {
            return Err(format!("durations add up to {total}, the limit is {FAR}"));
        }
        for (k, a) in p.activities.iter().enumerate() {
            let (line, id) = (lines.get(k).copied().unwrap_or(0), k + first);
            for (r, amount) in &a.demands {
                let there = p.resources.get(*r).map_or(0, |x| x.capacity);
                if *amount > there {
                    return Err(format!(
                        "line {line}: activity {id} takes {amount} of resource {}, there are {there}",
                        r + 1
                    ));
                }
            }
            for need in &a.needs {
                let skill = need.trailing_zeros() + 1;
                let asked = a.needs.iter().filter(|n| *n == need).count();
                let have = p.workers.iter().filter(|w| w.skills & need != 0).count();
                if have == 0 {
                    return Err(format!("line {line}: activity {id} needs skill {skill}, which nobody has"));
                }
                if asked > have {
                    return Err(format!(
                        "line {line}: activity {id} needs {asked} people of skill {skill}, {have} have it"
                    ));
                }
            }
            if a.hands as usize > p.workers.len() {
                return Err(format!(
                    "line {line}: activity {id} needs {} people, there are {}",
                    a.hands,
                    p.workers.len()
                ));
            }
        }
        self.no_circle()?;
        Ok(self.p)
    }

    /// Waits that close a circle: those edges are left over when all that waits for nothing is taken away, from the front
    /// and from the back.
    fn no_circle(&self) -> Result<(), String> {
        let far = |e: &Edge| match e.lag {
            Lag::FinishStart { .. } => true,
            // Such that start together may name each other.
            Lag::StartStart { min } => min > 0,
        };
        let mut left: Vec<usize> = (0..self.p.edges.len()).filter(|k| far(&self.p.edges[*k])).collect();
        loop {
            let before = left.len();
            let n = self.p.activities.len();
            let (mut waits, mut led) = (vec![false; n], vec![false; n]);
            for e in left.iter().map(|k| &self.p.edges[*k]) {
                (waits[e.succ], led[e.pred]) = (true, true);
            }
            left.retain(|k| waits[self.p.edges[*k].pred] && led[self.p.edges[*k].succ]);
            if left.len() == before {
                break;
            }
        }
        // One way round of them.
        let Some(first) = left.first() else { return Ok(()) };
        let (mut way, mut at) = (vec![self.p.edges[*first].pred], self.p.edges[*first].pred);
        let mut lines: Vec<usize> = Vec::new();
        while let Some(k) = left.iter().find(|k| self.p.edges[**k].pred == at) {
            at = self.p.edges[*k].succ;
            lines.push(self.edges.get(*k).copied().unwrap_or(0));
            if let Some(from) = way.iter().position(|a| *a == at) {
                way.drain(..from);
                lines.drain(..from);
                break;
            }
            way.push(at);
        }
        way.push(at);
        let name =
            |all: &[usize], more: usize| all.iter().map(|a| (a + more).to_string()).collect::<Vec<_>>();
        let (way, lines) = (name(&way, self.first).join(" before "), name(&lines, 0).join(", "));
        Err(format!("line {lines}: activities {way}, a circle"))
    }
}

fn sm(text: &str) -> Result<Told, String> {
    let (mut arcs, mut rows, mut caps) = (Vec::new(), Vec::new(), Vec::new());
    let mut block = 0;
    for (k, line) in text.lines().enumerate() {
        if line.starts_with("PRECEDENCE RELATIONS") {
            block = 1;
        } else if line.starts_with("REQUESTS/DURATIONS") {
            block = 2;
        } else if line.starts_with("RESOURCEAVAILABILITIES") {
            block = 3;
        } else if let Some(numbers) = numbers(line) {
            let row = Row { line: k + 1, numbers };
            match block {
                1 => arcs.push(row),
                2 => rows.push(row),
                3 if caps.is_empty() => caps = row.numbers,
                _ => {}
            }
        }
    }
    let n = rows.len();
    if n == 0 || caps.is_empty() {
        return Err("no activities or no capacities".into());
    }
    let mut t = Told { first: 1, ..Told::default() };
    for r in &rows {
        t.activity(r, r.at(2)?, r.rest(3))?;
    }
    for a in &arcs {
        let i = a.activity(a.at(0)?, 1, n)?;
        for j in a.rest(3) {
            t.edge(a, Edge::after(i, a.activity(*j, 1, n)?, 0));
        }
    }
    t.p.resources = caps.into_iter().map(|capacity| Resource { capacity, ..Resource::default() }).collect();
    Ok(t)
}

fn win(text: &str, path: &Path, bases: Option<&Path>) -> Result<Told, String> {
    let words: Vec<Vec<&str>> = text.lines().map(|l| l.split_whitespace().collect()).collect();
    let base = words.iter().find_map(|w| match w.as_slice() {
        ["base", name, ..] => Some(*name),
        _ => None,
    });
    let base = base.ok_or("no base named")?;
    let beside = path.with_file_name(base);
    let base = if beside.exists() { beside } else { bases.map_or(beside, |b| b.join(base)) };
    let mut t = sm(&read(&base)?)?;
    let n = t.p.activities.len();
    let (mut day, mut weekday, mut weekend) = (16, (0, 16), (0, 16));
    for (k, w) in words.iter().enumerate() {
        let row = Row { line: k + 1, numbers: Vec::new() };
        let int = |w: &str| w.parse::<i32>().map_err(|_| format!("line {}: {w} is no whole number", k + 1));
        match w.as_slice() {
            [] | ["base", ..] => {}
            ["day", x] => day = int(x)?,
            ["weekday", a, b] => weekday = (int(a)?, int(b)?),
            ["weekend", a, b] => weekend = (int(a)?, int(b)?),
            ["lag", i, j, x] => {
                let (pred, succ) = (row.activity(int(i)?, 1, n)?, row.activity(int(j)?, 1, n)?);
                t.edge(&row, Edge { pred, succ, lag: Lag::StartStart { min: int(x)? } });
            }
            ["release", i, at] => t.p.activities[row.activity(int(i)?, 1, n)?].release = Some(int(at)?),
            ["capacity", r, a, b, c] => {
                let many = t.p.resources.len();
                let r = usize::try_from(int(r.trim_start_matches('R'))? - 1).ok();
                let resource = r.and_then(|r| t.p.resources.get_mut(r));
                let resource =
                    resource.ok_or_else(|| format!("line {}: there are {many} resources", k + 1))?;
                resource.dips.push((int(a)?, int(b)?, int(c)?));
            }
            other => return Err(format!("line {} not understood: {}", k + 1, other.join(" "))),
        }
    }
    let windows = |d: i32| if d % 7 < 5 { weekday } else { weekend };
    let p = &mut t.p;
    p.sessions =
        (0..DAYS).map(|d| Session { from: d * day + windows(d).0, to: d * day + windows(d).1 }).collect();
    let window = |(k, s): (usize, &Session)| Window { from: s.from, to: s.to, session: k as u32 };
    p.calendars.push(p.sessions.iter().enumerate().map(window).collect());
    for a in p.activities.iter_mut().filter(|a| a.duration > 0) {
        a.calendar = Some(0);
    }
    Ok(t)
}

fn sch(text: &str) -> Result<Told, String> {
    let text = text.replace(['[', ']'], " ");
    let rows = text.lines().enumerate();
    let mut rows = rows.filter_map(|(k, l)| Some(Row { line: k + 1, numbers: numbers(l)? }));
    let mut next = || rows.next().ok_or_else(|| "the file ends early".to_owned());
    let n = usize::try_from(next()?.at(0)?).map_err(|e| e.to_string())? + 2;
    let mut t = Told::default();
    for _ in 0..n {
        let row = next()?;
        let (id, arcs) = (row.at(0)?, row.at(2)?);
        for q in 0..arcs {
            let (to, min) = (row.at(3 + q as usize)?, row.at(3 + (arcs + q) as usize)?);
            // A lag below 0 is a latest time, which is left out here.
            if min >= 0 {
                let (pred, succ) = (row.activity(id, 0, n)?, row.activity(to, 0, n)?);
                t.edge(&row, Edge { pred, succ, lag: Lag::StartStart { min } });
            }
        }
    }
    for _ in 0..n {
        let row = next()?;
        t.activity(&row, row.at(2)?, row.rest(3))?;
    }
    let caps = next()?.numbers.into_iter();
    t.p.resources = caps.map(|capacity| Resource { capacity, ..Resource::default() }).collect();
    Ok(t)
}

/// Multi-skill: how many people of each skill at once; a person works for one skill at a time, on one activity.
fn msp(text: &str) -> Result<Told, String> {
    let mut t = Told { first: 1, ..Told::default() };
    let mut counts = [None; 3];
    let mut arcs: Vec<Row> = Vec::new();
    for (k, line) in text.lines().enumerate() {
        let mut words = line.split_whitespace();
        let Some(word) = words.next() else { continue };
        let numbers: Result<Vec<i32>, _> = words.map(str::parse).collect();
        let numbers = numbers.map_err(|_| format!("line {} not understood: {line}", k + 1))?;
        let row = Row { line: k + 1, numbers };
        match word {
            "activities" => counts[0] = Some(row.at(0)?),
            "skills" => counts[1] = Some(row.at(0)?).filter(|n| *n <= 64),
            "people" => counts[2] = Some(row.at(0)?),
            "activity" => {
                t.activity(&row, row.at(0)?, &[])?;
                let mut needs = Vec::new();
                for (skill, many) in row.rest(1).iter().enumerate().take(64) {
                    needs.extend(std::iter::repeat_n(1 << skill, row.positive(*many)?.min(1000) as usize));
                }
                if let Some(a) = t.p.activities.last_mut().filter(|a| a.duration > 0) {
                    a.hands = needs.len() as u32;
                    a.needs = needs;
                }
            }
            "person" => {
                let had = row.numbers.iter().enumerate().take(64).filter(|s| *s.1 != 0);
                let skills = had.fold(0u64, |b, (k, _)| b | 1 << k);
                t.p.workers.push(Worker { skills, present: vec![(-FAR, FAR)], ..Worker::default() });
            }
            "arc" => arcs.push(row),
            _ => return Err(format!("line {} not understood: {line}", k + 1)),
        }
    }
    let n = t.p.activities.len();
    let are = [n, counts[1].map_or(0, |s| s as usize), t.p.workers.len()];
    for (name, (told, is)) in ["activities", "skills", "people"].iter().zip(counts.iter().zip(are)) {
        if told.and_then(|x| usize::try_from(x).ok()) != Some(is) {
            return Err(format!(
                "{name} told: {}, found: {is}",
                told.map_or("not".into(), |x: i32| x.to_string())
            ));
        }
    }
    for a in &arcs {
        let (pred, succ) = (a.activity(a.at(0)?, 1, n)?, a.activity(a.at(1)?, 1, n)?);
        t.edge(a, Edge::after(pred, succ, 0));
    }
    Ok(t)
}
