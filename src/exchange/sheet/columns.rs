//! What the columns of a list are: by their titles, whatever words and order, and where those tell nothing by content.

use super::number;
use super::titles::{EITHER, MAIN, Role, plain};
use super::told::ToldColumns;
use crate::exchange::csv::grid::Line;

/// The line of titles, among the first lines.
pub(super) fn header(lines: &[Line], asked: &ToldColumns) -> Option<usize> {
    const LOOKED_AT: usize = 30;
    lines.iter().take(LOOKED_AT).position(|line| {
        let roles: Vec<Role> = line.cells.iter().filter_map(|c| asked.role(c)).collect();
        let told = |role: Role| roles.contains(&role);
        let kinds = [Role::Count, Role::Place, Role::How, Role::Note, Role::Code]
            .iter()
            .filter(|r| told(**r))
            .count();
        // A title that was told is no name of a prop.
        (told(Role::Name) && kinds >= 1) || kinds >= 2 || line.cells.iter().any(|c| asked.of(c).is_some())
    })
}

/// The columns of a list, and what was assumed of them.
#[derive(Debug)]
pub(super) struct Columns {
    pub(super) roles: Vec<Option<Role>>,
    pub(super) titles: Vec<String>,
    pub(super) said: Vec<String>,
    /// Titles that were told: their columns are not looked at.
    told: Vec<String>,
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
        asked: &ToldColumns,
    ) -> Result<Self, Twice> {
        // Cells beyond the titles are told at their line: a number with a comma in it may have been torn in two.
        let widest = rows.iter().map(|l| l.cells.len()).max().unwrap_or(0);
        let width = if titles.is_empty() { widest } else { titles.len() };
        let title = |at: usize| titles.get(at).map_or("", String::as_str);
        let empty = |at: usize| rows.iter().all(|l| l.cell(at).is_empty());
        let mut roles: Vec<Option<Role>> = (0..width).map(|at| asked.role(title(at))).collect();
        let mut said = Vec::new();
        for at in 0..width {
            if EITHER.contains(&plain(title(at)).as_str()) && asked.of(title(at)).is_none() {
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
        let titles: Vec<String> = (0..width).map(|at| title(at).to_owned()).collect();
        let told: Vec<String> = titles.iter().filter(|t| asked.of(t).is_some()).cloned().collect();
        let again: Vec<&str> = told.iter().filter(|t| asked.is_remembered(t)).map(String::as_str).collect();
        if !again.is_empty() {
            said.push(format!("as this file was read before: {}", again.join(", ")));
        }
        let mut columns = Self { roles, titles, said, told };
        columns.by_content(rows, tells_how);
        Ok(columns)
    }

    /// Fills in what the titles leave open.
    fn by_content(&mut self, rows: &[Line], tells_how: &dyn Fn(&str) -> bool) {
        let cells =
            |at: usize| -> Vec<&str> { rows.iter().map(|l| l.cell(at)).filter(|c| !c.is_empty()).collect() };
        let most = |part: usize, all: usize| all > 0 && 10 * part >= 6 * all;
        let width = self.roles.len();
        let open = |s: &Self, at: usize| {
            let told = s.titles.get(at).is_some_and(|t| s.is_told(t));
            matches!(s.roles.get(at), Some(None | Some(Role::Kept))) && !told
        };
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

    pub(super) fn is_told(&self, title: &str) -> bool {
        self.told.iter().any(|t| t == title)
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
