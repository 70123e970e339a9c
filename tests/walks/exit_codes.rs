//! One rule of exit codes and words, over every command: badly typed 2, refused by what the yard holds 4, a file that
//! can't be used 3, and no sentence of a parser, a library or the system.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::process::Stdio;

use super::terminal::Home;

/// Every command with all it takes. Each part in braces is put wrong once, the others right. In this order all that do
/// not begin with `!` succeed on a small yard; those would need more of it.
const COMMANDS: &str = "
plan {phase} --schedules {number} --recipe-times
plan up --drop {percent}
plan up --what-if {change}
plan why {step} --phase {phase}
step list {phase}
step start {step}
!step off {step} {how}
!step count {step} {number}
step hold {step} --why rain
!step paper {sheet} {sheet-number}
step note {step} text
step alone {step}
step reopen {step}
step done {step}
step took {step} {time}
step skip {other-step}
!step differently {step} {difference} 3
!step reading {step} {reading}
!step done {step} --reading {reading}
session list
session add {moment} {clock} --with {person}
session move {session} {moment} {clock}
session people {session} --with {person}
session forecast {session} {forecast}
session drop {session}
prop add Star {number} lawn {method}
prop hold {placement}
prop release {placement}
kit list boat
kit show {placement}
tell {kind} Lawn
tell place Gable {cell}
told {kind}
end {kind} Gable
kit set {placement} {field} 3
fault add {placement} {symptom} --tonight {tonight}
fault list
fault look {fault}
fault patch {fault} --cause {cause} --minutes {number} --part {part}
fault off {fault}
fault wait {fault}
fault photo {fault} {picture}
fault photo {fault} --open {number-of} --with true
fault guide {fault}
!fault which {fault} {piece}
fault mend {fault}
!fault replace {fault} --spare {placement}
fault test {fault}
fault reopen {fault}
!fault scrap {fault}
!fault dark {placement} {time} --night {day}
fault by {person}
season list
season dates
season new {new-code} --lights-on {day}
season close {season}
tote list
tote map
tote find tie
!tote put {tote} {piece}
!tote take {piece}
!tote count {tote}
!pack
print labels {labels}
buy --budget {money} --close {vendor} --without {product}
buy list
buy add Tape {number} --by {day}
buy offer {vendor} {product} {money} --pack {number} --sale-from {day}
buy order {vendor}
buy expect {order} {day}
buy receive {order} --line {line} --into {tote}
check {check} --level {percent}
check signal --numbers {numbering}
check power --what-if {trial}
print checklist {phase}
!print wiring
print shopping --pdf {new-sheet}
print calendar
history
spares --service {service}
journal
export {new-folder}
import {list} --yes --column {column}
backup {new-file}
lend {new-lent} --mark B
verify
merge {lent}
conflict list
!conflict decide {conflict} 3
undo --yes
redo
settings
completions {shell}
man {command}
man --to {new-folder}
!new
!demo
restore {backup}
";

/// A part: what is right, what is wrong, and what that ends with.
const PARTS: &[(&str, &str, &str, i32)] = &[
    ("phase", "up", "sideways", 2),
    ("number", "3", "three", 2),
    ("percent", "50", "200", 2),
    ("service", "90", "much", 2),
    ("change", "hold BOAT-CUT-OUTS-26", "fly", 2),
    ("step", STEP, "placement:none/none/up", 4),
    ("other-step", "placement:BOAT-CUT-OUTS-26/stake.mark/up", "nothing", 4),
    ("time", "1h20", "soon", 2),
    ("difference", "port", "colour", 2),
    ("reading", "S-1=3", "S-1", 2),
    ("moment", "2026-10-24T09:00", "some day", 2),
    ("clock", "16:30", "late", 2),
    ("person", "Wren", "Nobody", 4),
    ("session", "S-1017-0900", "S-0", 4),
    ("forecast", "rain, gust 25 mph", "rain, gust much", 2),
    ("method", "ground stakes", "by magic", 4),
    ("placement", "BOAT-CUT-OUTS-26", "NOWHERE-1", 4),
    ("field", "count", "nofield", 4),
    ("symptom", "dark_from", "sad", 2),
    ("tonight", "patched", "sung", 2),
    ("cause", "water", "boredom", 2),
    ("part", "C-TIE=2", "C-TIE=two", 2),
    ("fault", "F-001", "F-999", 4),
    ("picture", "@picture.png", "@no.png", 3),
    ("number-of", "1", "one", 2),
    ("day", "2026-10-20", "10th", 2),
    ("season", "lights-2026", "never-1999", 4),
    ("new-code", "lights-2027", "lights-2026", 4),
    ("money", "12.50", "12..5", 2),
    ("vendor", "GANNET", "NOVENDOR", 4),
    ("product", "C-TIE", "NOPRODUCT", 4),
    ("order", "PO26-001", "PO-999", 4),
    ("line", "C-TIE=1", "C-TIE=one", 2),
    ("tote", "T-01", "T-99", 4),
    ("check", "power", "luck", 2),
    ("numbering", "run-on", "dice", 2),
    ("trial", "level 60", "level much", 2),
    ("new-folder", "@out", "/proc/none/out", 3),
    ("list", "@props.csv", "@no.csv", 3),
    ("column", "where=where", "where", 2),
    ("new-file", "@copy.ladderday", "/proc/none/copy", 3),
    ("new-lent", "@lent.ladderday", "/proc/none/lent", 3),
    ("new-sheet", "@sheet.pdf", "/proc/none/sheet.pdf", 3),
    ("lent", "@lent.ladderday", "@no.ladderday", 3),
    ("backup", "@copy.ladderday", "@no.ladderday", 3),
    ("conflict", "C-1", "C-999", 4),
    ("sheet", "1AA", "9ZZ", 4),
    ("sheet-number", "1", "one", 2),
    ("command", "step", "frob", 2),
    ("how", "wet", "sad", 2),
    ("piece", "P-1", "NOPIECE", 4),
    ("labels", "totes", "clouds", 2),
    ("kind", "place", "cloud", 2),
    ("cell", "access=roof", "access=wings", 2),
    ("shell", "bash", "tortoise", 2),
];

const STEP: &str = "placement:BOAT-CUT-OUTS-26/stake.drive/up";
const NOW: &str = "2026-10-15T18:05";

/// These neither open a yard nor ask for a season.
const NO_YARD: [&str; 7] = ["new", "demo", "import", "restore", "settings", "completions", "man"];

/// Words of a parser, a library or the system's numbers.
const NOT_OURS: [&str; 12] = [
    "invalid digit",
    "invalid float",
    "invalid value",
    "unexpected argument",
    "ParseInt",
    "os error",
    "premature end",
    "input contains",
    "expected one of",
    "panicked",
    "unrecognized",
    "error:",
];

struct Yard {
    home: Home,
    parts: BTreeMap<&'static str, (String, String, i32)>,
}

impl Yard {
    fn new() -> Self {
        let home = Home::new();
        let write = |name: &str, text: &str| std::fs::write(home.path().join(name), text).unwrap();
        write(
            "props.csv",
            "lights on,2026-11-27\nname,how many,where,how mounted\nBoat cut-outs,8,path left,ground stakes\n",
        );
        write("person.csv", "code,name\nWREN,Wren\n");
        write("vendor.csv", "code,name,local\nGANNET,Gannet Hardware,yes\n");
        write("product.csv", "code,name,kind\nC-TIE,Cable tie,tie\n");
        write("container.csv", "code,name\nT-01,Tote one\n");
        std::fs::write(home.path().join("picture.png"), b"\x89PNG\r\n\x1a\n and more").unwrap();
        home.ok(&["new"]);
        for name in ["props", "person", "vendor", "product", "container"] {
            home.ok(&["import", home.path().join(format!("{name}.csv")).to_str().unwrap(), "--now", NOW]);
        }
        for args in [
            &["session", "add", "2026-10-17T09:00", "16:30"][..],
            &["buy", "add", "Cable tie", "20"],
            &["buy", "offer", "GANNET", "C-TIE", "3.50", "--pack", "100"],
        ] {
            home.ok(&[args, &["--now", NOW]].concat());
        }
        let at = |text: &str| match text.strip_prefix('@') {
            Some(name) => home.path().join(name).display().to_string(),
            None => text.to_owned(),
        };
        let parts = PARTS.iter().map(|(name, good, bad, code)| (*name, (at(good), at(bad), *code))).collect();
        Self { home, parts }
    }

    /// The words of a line, with the part at `wrong` put wrong; its code, where there is one.
    fn words(&self, line: &str, wrong: Option<usize>) -> (Vec<String>, Option<i32>) {
        let (mut seen, mut code) = (0, None);
        let words = line.split(' ').map(|word| {
            let Some(name) = word.strip_prefix('{').and_then(|w| w.strip_suffix('}')) else {
                return word.to_owned();
            };
            let (good, bad, ends) = self.parts.get(name).unwrap_or_else(|| panic!("no part {name}"));
            seen += 1;
            if wrong == Some(seen - 1) {
                code = Some(*ends);
                return bad.clone();
            }
            good.clone()
        });
        (words.collect(), code)
    }

    fn run(&self, words: &[String], more: &[&str]) -> (i32, String, String) {
        let words: Vec<&str> = words.iter().map(String::as_str).chain(more.iter().copied()).collect();
        self.home.run(&words)
    }

    fn on_it(&self) -> [String; 4] {
        ["--yard".to_owned(), self.home.yard().display().to_string(), "--now".to_owned(), NOW.to_owned()]
    }
}

fn lines() -> impl Iterator<Item = (&'static str, bool)> {
    let line = |l: &'static str| (l.trim_start_matches('!'), !l.starts_with('!'));
    COMMANDS.lines().filter(|l| !l.is_empty()).map(line)
}

/// What is not told in our own words with a stable code; nothing where all is well.
fn badly_told(what: &str, err: &str) -> String {
    let ours = err.starts_with("ladderday: ") && err.contains(" [");
    match NOT_OURS.iter().find(|w| err.contains(*w)) {
        Some(word) => format!("{what} says {word:?}: {err}"),
        None if ours => String::new(),
        None => format!("{what} has no code: {err}"),
    }
}

#[test]
fn every_command_is_in_the_table() {
    let home = Home::new();
    let below = |path: &[&str]| -> Vec<String> {
        let help = home.run(&[path, &["--help"]].concat()).1;
        let rows = help.lines().skip_while(|l| *l != "Commands:").skip(1).take_while(|l| !l.is_empty());
        let names = rows.filter_map(|l| l.strip_prefix("  ")).filter(|l| !l.starts_with(' '));
        names.filter_map(|l| l.split(' ').next()).filter(|w| *w != "help").map(str::to_owned).collect()
    };
    let mut all = BTreeSet::new();
    for command in below(&[]) {
        let deeds = below(&[&command]);
        all.extend(deeds.iter().map(|d| format!("{command} {d}")));
        if deeds.is_empty() || command == "plan" || command == "buy" {
            all.insert(command);
        }
    }
    assert!(all.len() > 60, "{all:?}");
    let told: Vec<Vec<&str>> = lines().map(|(l, _)| l.split(' ').collect()).collect();
    let missing: Vec<&String> = all
        .iter()
        .filter(|c| {
            let words: Vec<&str> = c.split(' ').collect();
            !told.iter().any(|line| line.starts_with(&words))
        })
        .collect();
    assert!(missing.is_empty(), "COMMANDS has no line for {missing:?}");
}

#[test]
fn badly_typed_is_2_refused_is_4_and_a_file_is_3() {
    let yard = Yard::new();
    yard.home.ok(&["fault", "add", "BOAT-CUT-OUTS-26", "dark_from", "--now", NOW]);
    yard.home.ok(&["buy", "order", "GANNET", "--now", NOW]);
    let before = std::fs::read(yard.home.yard()).unwrap();
    let mut faults = String::new();
    let mut tried = 0;
    for (line, _) in lines() {
        for at in 0..line.matches('{').count() {
            let (words, code) = yard.words(line, Some(at));
            let (ends, out, err) = yard.run(&words, &yard.on_it().each_ref().map(String::as_str));
            tried += 1;
            let what = words.join(" ");
            if Some(ends) == code {
                faults.push_str(&badly_told(&what, &err));
                assert!(out.is_empty(), "{what}: {out}");
            } else {
                let _ = writeln!(faults, "{what}: ends with {ends}, not {code:?}: {err}{out}");
            }
        }
    }
    assert!(faults.is_empty(), "{faults}");
    assert!(tried > 80, "{tried}");
    // Journal and facts are as they were.
    assert!(std::fs::read(yard.home.yard()).unwrap() == before, "a refused command wrote");
}

#[test]
fn an_unknown_season_a_missing_yard_and_a_bad_clock_are_the_same_everywhere() {
    let yard = Yard::new();
    let on_it = yard.on_it();
    let [_, file, _, _] = &on_it;
    for (line, _) in lines() {
        let (words, _) = yard.words(line, None);
        let what = words.join(" ");
        if NO_YARD.contains(&words[0].as_str()) {
            continue;
        }
        let nowhere = yard.home.path().join("nowhere.ladderday").display().to_string();
        for (more, code, says) in [
            (["--yard", &nowhere, "--now", NOW].as_slice(), 3, "no yard file"),
            (&["--yard", file, "--season", "never-1999"], 4, "never-1999"),
            (&["--yard", file, "--now", "yesterday"], 2, "yesterday"),
        ] {
            let (ends, out, err) = yard.run(&words, more);
            assert_eq!(ends, code, "{what} {more:?}: {err}{out}");
            assert!(err.contains(says), "{what}: {err}");
            assert_eq!(badly_told(&what, &err), "");
        }
        assert!(!std::path::Path::new(&nowhere).exists(), "{what} made a yard");
    }
}

/// A reader that goes away is no fault; all of the lines succeed on the way.
#[test]
fn a_pipe_that_closes_ends_every_command_well() {
    let yard = Yard::new();
    let mut faults = String::new();
    for (line, whole) in lines().filter(|(_, whole)| *whole) {
        let (words, _) = yard.words(line, None);
        let (read, write) = std::io::pipe().unwrap();
        drop(read);
        let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_ladderday"));
        command.args(&words).args(yard.on_it()).env("HOME", yard.home.path()).stdin(Stdio::null());
        let out = command.stdout(write).stderr(Stdio::piped()).output().unwrap();
        let err = String::from_utf8_lossy(&out.stderr);
        let fine = out.status.code() == Some(0) || (words[0] == "check" && out.status.code() == Some(1));
        if !(whole && fine) {
            let _ = writeln!(faults, "{words:?}: {:?} {err}", out.status);
        }
        assert!(!err.contains("panicked"), "{words:?}: {err}");
    }
    assert!(faults.is_empty(), "{faults}");
}

#[test]
fn wrong_use_is_a_document_where_documents_are_asked_for() {
    let home = Home::new();
    for args in [&["plan", "sideways", "--json"][..], &["frob", "--json"], &["kit", "--json"]] {
        let (code, out, err) = home.run(args);
        let doc: serde_json::Value = serde_json::from_str(&err).unwrap_or_else(|e| panic!("{e}: {err}"));
        assert!(code == 2 && out.is_empty() && doc["error"]["code"].is_string(), "{err}");
    }
    let (code, out, _) = home.run(&["settings", "--json"]);
    let doc: serde_json::Value = serde_json::from_str(&out).unwrap();
    assert!(code == 0 && doc["there"] == false && doc["glove_ms"] == 150, "{out}");
}
