//! What the columns of a list are: by their titles, whatever words and order, and where those tell nothing by content.

use super::grid::Line;
use super::number;

/// What a column tells.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Role {
    Name,
    Count,
    Place,
    How,
    Note,
    Worth,
    Length,
    Permanent,
    CarriedBy,
    Code,
    /// Numbers the lines of the sheet.
    Line,
    /// Something else: kept in the note, with its title.
    Kept,
}

impl Role {
    pub(super) const fn word(self) -> &'static str {
        match self {
            Self::Name => "name",
            Self::Count => "how many",
            Self::Place => "where",
            Self::How => "how mounted",
            Self::Note => "note",
            Self::Worth => "worth",
            Self::Length => "length",
            Self::Permanent => "permanent",
            Self::CarriedBy => "carried by",
            Self::Code => "code",
            Self::Line => "line number",
            Self::Kept => "kept in the note",
        }
    }
}

/// Titles as a whole.
const WHOLE: &[(&str, Role)] = &[
    ("how many", Role::Count),
    ("how much", Role::Count),
    ("carried by", Role::CarriedBy),
    ("hangs on", Role::CarriedBy),
    ("sits on", Role::CarriedBy),
    ("all year", Role::Permanent),
    ("year round", Role::Permanent),
    ("left up", Role::Permanent),
    ("stays up", Role::Permanent),
    ("item number", Role::Code),
    ("item no", Role::Code),
    ("item #", Role::Code),
    ("item id", Role::Code),
    ("item code", Role::Code),
    ("prop number", Role::Code),
    ("prop no", Role::Code),
    ("prop #", Role::Code),
    ("prop id", Role::Code),
    ("prop code", Role::Code),
    ("id", Role::Code),
    ("code", Role::Code),
    ("ref", Role::Code),
    ("tag", Role::Code),
    ("label", Role::Code),
    ("line", Role::Line),
    ("line no", Role::Line),
    ("line #", Role::Line),
    ("row", Role::Line),
    ("row no", Role::Line),
];

/// Words of which a title must have one, and may have no other but those of a name and neutral ones.
const MAIN: &[(Role, &str)] = &[
    (Role::Count, "qty quantity quantities count number many amount pcs pieces # no nr num units qnty quant"),
    (
        Role::How,
        "how mount mounts mounted mounting attachment attachments attached attach attaching fixing fixings fixed fastening \
         fastener fasteners fastened method hung hardware held secured support supports hanging",
    ),
    (
        Role::Place,
        "where location locations loc area areas place placed placement position spot zone section room",
    ),
    (Role::Note, "note notes remark remarks comment comments memo info details misc"),
    (Role::Worth, "worth priority importance rank"),
    (Role::Length, "length len"),
    (Role::Permanent, "permanent stays"),
    (
        Role::Name,
        "name item items prop props what thing things description desc element elements decoration decorations title \
         object article display product",
    ),
];
const NEUTRAL: &str =
    "of the in for needed required this year used our yard show is it goes to by with up type on and are";
const UNITS: &str = "ft feet foot m mm cm in inches metres meters yd";

/// Titles that may number the lines or tell how many.
const EITHER: &[&str] = &["#", "no", "nr", "number", "num"];

/// A title in lower case without marks and what is in brackets.
fn plain(title: &str) -> String {
    let bare = title.split(['(', '[']).next().unwrap_or_default();
    let bare = if bare.trim().is_empty() { title } else { bare };
    let spaced: String =
        bare.to_lowercase().chars().map(|c| if c.is_alphanumeric() || c == '#' { c } else { ' ' }).collect();
    spaced.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn has(list: &str, word: &str) -> bool {
    list.split_whitespace().any(|w| w == word)
}

/// What a title says; nothing where it is none that is known.
pub(super) fn role_of(title: &str) -> Option<Role> {
    let title = plain(title);
    if let Some((_, role)) = WHOLE.iter().find(|(whole, _)| *whole == title) {
        return Some(*role);
    }
    let names = MAIN.iter().find(|(role, _)| *role == Role::Name).map_or("", |m| m.1);
    let words: Vec<&str> = title.split(' ').filter(|w| !w.is_empty()).collect();
    let allowed = |main: &str, w: &str| {
        has(main, w)
            || has(names, w)
            || has(NEUTRAL, w)
            || (w.len() == 4 && w.chars().all(|c| c.is_ascii_digit()))
    };
    MAIN.iter()
        .find(|(role, main)| {
            words.iter().any(|w| has(main, w))
                && words.iter().all(|w| allowed(main, w) || (*role == Role::Length && has(UNITS, w)))
        })
        .map(|(role, _)| *role)
}

/// The unit that a title tells for bare numbers, as `Length (ft)`.
pub(super) fn unit_of(title: &str) -> Option<String> {
    let lower = title.to_lowercase();
    lower.split(|c: char| !c.is_alphanumeric()).find(|w| !w.is_empty() && has(UNITS, w)).map(str::to_owned)
}

/// The line of titles, among the first lines.
pub(super) fn header(lines: &[Line]) -> Option<usize> {
    const LOOKED_AT: usize = 30;
    lines.iter().take(LOOKED_AT).position(|line| {
        let roles: Vec<Role> = line.cells.iter().filter_map(|c| role_of(c)).collect();
        let told = |role: Role| roles.contains(&role);
        let kinds = [Role::Count, Role::Place, Role::How, Role::Note, Role::Code]
            .iter()
            .filter(|r| told(**r))
            .count();
        (told(Role::Name) && kinds >= 1) || kinds >= 2
    })
}

/// The columns of a list, and what was assumed of them.
#[derive(Debug)]
pub(super) struct Columns {
    pub(super) roles: Vec<Option<Role>>,
    pub(super) titles: Vec<String>,
    pub(super) said: Vec<String>,
}

/// Why the columns are not certain: the title and what to do.
pub(super) struct Twice(pub(super) String, pub(super) String);

impl Columns {
    /// Makes out the columns of `rows` under `titles` (none where the list has no header). `tells_how` knows a way of
    /// mounting when it reads one.
    pub(super) fn of(
        titles: &[String],
        rows: &[Line],
        tells_how: &dyn Fn(&str) -> bool,
    ) -> Result<Self, Twice> {
        // Cells beyond the titles are told at their line: a number with a comma in it may have been torn in two.
        let widest = rows.iter().map(|l| l.cells.len()).max().unwrap_or(0);
        let width = if titles.is_empty() { widest } else { titles.len() };
        let title = |at: usize| titles.get(at).map_or("", String::as_str);
        let empty = |at: usize| rows.iter().all(|l| l.cell(at).is_empty());
        let mut roles: Vec<Option<Role>> = (0..width).map(|at| role_of(title(at))).collect();
        let mut said = Vec::new();
        for at in 0..width {
            if EITHER.contains(&plain(title(at)).as_str()) {
                let numbered = rows.len() > 2 && numbers_lines(rows, at);
                let other = (0..width).any(|o| o != at && roles.get(o) == Some(&Some(Role::Count)));
                if numbered || other {
                    set(&mut roles, at, Some(if numbered { Role::Line } else { Role::Code }));
                    said.push(format!("column {:?} taken as the number of the line", title(at)));
                }
            }
        }
        // Of two names the better word is the name; what else is there twice must be told apart.
        for role in [
            Role::Name,
            Role::Place,
            Role::Count,
            Role::How,
            Role::Worth,
            Role::Length,
            Role::Permanent,
            Role::CarriedBy,
            Role::Code,
        ] {
            let mut with: Vec<usize> = (0..width).filter(|at| roles.get(*at) == Some(&Some(role))).collect();
            if with.len() > 1 {
                for at in with.clone().into_iter().filter(|at| empty(*at)) {
                    set(&mut roles, at, None);
                }
                with.retain(|at| !empty(*at));
            }
            let order = |at: &usize| {
                let names = MAIN.iter().find(|(r, _)| *r == role).map_or("", |m| m.1);
                let first = plain(title(*at));
                names.split_whitespace().position(|w| first.split(' ').any(|t| t == w)).unwrap_or(99)
            };
            with.sort_by_key(|at| (order(at), *at));
            let Some((_, others)) = with.split_first() else { continue };
            match role {
                Role::Name | Role::Place => {
                    for at in others {
                        set(&mut roles, *at, Some(Role::Kept));
                    }
                }
                _ => {
                    if let Some(other) = others.first() {
                        let remedy = format!(
                            "two columns tell {}: take one of them out, or give it another title",
                            role.word()
                        );
                        return Err(Twice(title(*other).to_owned(), remedy));
                    }
                }
            }
        }
        for at in 0..width {
            if roles.get(at) == Some(&None) && !title(at).is_empty() && !empty(at) {
                set(&mut roles, at, Some(Role::Kept));
            }
        }
        let mut columns = Self { roles, titles: (0..width).map(|at| title(at).to_owned()).collect(), said };
        columns.by_content(rows, tells_how);
        Ok(columns)
    }

    /// Fills in what the titles leave open.
    fn by_content(&mut self, rows: &[Line], tells_how: &dyn Fn(&str) -> bool) {
        let cells =
            |at: usize| -> Vec<&str> { rows.iter().map(|l| l.cell(at)).filter(|c| !c.is_empty()).collect() };
        let most = |part: usize, all: usize| all > 0 && 10 * part >= 6 * all;
        let width = self.roles.len();
        let open = |s: &Self, at: usize| matches!(s.roles.get(at), Some(None | Some(Role::Kept)));
        let untitled = |s: &Self, at: usize| s.roles.get(at) == Some(&None);
        let is_number = |c: &&&str| number::how_many(c).is_ok();
        let take = |s: &mut Self, at: usize, role: Role| {
            let title = s.titles.get(at).filter(|t| !t.is_empty()).cloned();
            let which = title.map_or_else(|| format!("column {}", at + 1), |t| format!("column {t:?}"));
            s.said.push(format!("{which} taken as {}, by what it holds", role.word()));
            set(&mut s.roles, at, Some(role));
        };
        if !self.has(Role::Count) {
            let found = (0..width).find(|at| {
                let all = cells(*at);
                untitled(self, *at)
                    && !all.is_empty()
                    && all.iter().all(|c| is_number(&c))
                    && !(rows.len() > 2 && numbers_lines(rows, *at))
            });
            if let Some(at) = found {
                take(self, at, Role::Count);
            }
        }
        if !self.has(Role::How) {
            let share = |at: usize| {
                let all = cells(at);
                let how = all.iter().filter(|c| tells_how(c)).count();
                if most(how, all.len()) { 100 * how / all.len() } else { 0 }
            };
            let found = (0..width)
                .filter(|at| open(self, *at) && share(*at) > 0)
                .max_by_key(|at| (share(*at), width - at));
            if let Some(at) = found {
                take(self, at, Role::How);
            }
        }
        if !self.has(Role::Name) {
            let found = (0..width).find(|at| {
                let all = cells(*at);
                let texts = all.iter().filter(|c| c.chars().any(char::is_alphabetic)).count();
                open(self, *at) && most(texts, rows.len())
            });
            if let Some(at) = found {
                take(self, at, Role::Name);
            }
        }
        if !self.has(Role::Place) {
            let found = (0..width).find(|at| {
                let all = cells(*at);
                untitled(self, *at)
                    && !all.is_empty()
                    && all.iter().all(|c| c.chars().any(char::is_alphabetic))
            });
            if let Some(at) = found {
                take(self, at, Role::Place);
            }
        }
        for at in 0..width {
            if untitled(self, at) && !cells(at).is_empty() {
                set(&mut self.roles, at, Some(Role::Kept));
            }
        }
    }

    pub(super) fn has(&self, role: Role) -> bool {
        self.roles.contains(&Some(role))
    }

    /// Where the one column of a role is.
    pub(super) fn at(&self, role: Role) -> Option<usize> {
        self.roles.iter().position(|r| *r == Some(role))
    }

    pub(super) fn cell<'a>(&self, line: &'a Line, role: Role) -> &'a str {
        self.at(role).map_or("", |at| line.cell(at))
    }

    /// The title of a role's column, as the sheet has it.
    pub(super) fn title(&self, role: Role) -> String {
        let title = self.at(role).and_then(|at| self.titles.get(at)).filter(|t| !t.is_empty());
        title.map_or_else(|| role.word().to_owned(), Clone::clone)
    }

    /// What each titled column was taken for, where its title is not that word.
    pub(super) fn read_back(&self) -> Option<String> {
        let told = self.roles.iter().zip(&self.titles).filter_map(|(role, title)| Some(((*role)?, title)));
        let other = told.filter(|(role, title)| !title.is_empty() && plain(title) != role.word());
        let parts: Vec<String> = other.map(|(role, title)| format!("{title:?} {}", role.word())).collect();
        (!parts.is_empty()).then(|| format!("columns: {}", parts.join(", ")))
    }
}

fn set(roles: &mut [Option<Role>], at: usize, role: Option<Role>) {
    if let Some(slot) = roles.get_mut(at) {
        *slot = role;
    }
}

/// Whether a column counts 1, 2, 3 … down the lines.
fn numbers_lines(rows: &[Line], at: usize) -> bool {
    let told = rows.iter().filter(|l| !l.cell(at).is_empty());
    told.zip(1_u64..).all(|(l, n)| l.cell(at).trim_end_matches('.') == n.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn titles_are_known_by_their_words() {
        for (title, role) in [
            ("Item", Some(Role::Name)),
            ("Prop name", Some(Role::Name)),
            ("What?", Some(Role::Name)),
            ("Qty.", Some(Role::Count)),
            ("Qty 2026", Some(Role::Count)),
            ("Number of props", Some(Role::Count)),
            ("Location in yard", Some(Role::Place)),
            ("How attached", Some(Role::How)),
            ("Mounting method", Some(Role::How)),
            ("REMARKS", Some(Role::Note)),
            ("Length (ft)", Some(Role::Length)),
            ("Prop #", Some(Role::Code)),
            ("Pixel count", None),
            ("Storage location", None),
            ("Mount height", None),
            ("Watts each", None),
            ("Controller port number", None),
            ("", None),
        ] {
            assert_eq!(role_of(title), role, "{title}");
        }
        assert_eq!(unit_of("Length (ft)").as_deref(), Some("ft"));
    }
}
