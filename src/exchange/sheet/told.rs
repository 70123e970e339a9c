//! What the columns of a file were told to be, by their titles: asked for now, or remembered from an earlier reading.

use super::columns::Columns;
use super::titles::{self, Role};

/// Roles of titles whose own words tell nothing, or something else.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ToldColumns {
    asked: Vec<(String, Role)>,
    remembered: Vec<(String, Role)>,
}

impl ToldColumns {
    /// Reads `Zeug=name` of `asked`, and what `text` wrote of an earlier reading.
    ///
    /// # Errors
    /// The text that is none, with the words that may stand behind the sign.
    pub fn new(asked: &[String], remembered: Option<&str>) -> Result<Self, (String, String)> {
        let read = |text: &String| {
            let told = text.rsplit_once('=').and_then(|(title, what)| {
                let title = titles::plain(title);
                Some((title, role_called(what)?)).filter(|t| !t.0.is_empty())
            });
            told.ok_or_else(|| {
                let words: Vec<&str> = Role::ALL.iter().map(|r| r.word()).collect();
                (text.clone(), format!("write it like Thing=name; what a column tells: {}", words.join(", ")))
            })
        };
        let asked = asked.iter().map(read).collect::<Result<_, _>>()?;
        let lines = remembered.unwrap_or_default().lines();
        let remembered = lines.filter_map(|l| l.split_once('\t')).filter_map(|(title, word)| {
            Some((title.to_owned(), Role::ALL.into_iter().find(|r| r.word() == word)?))
        });
        Ok(Self { asked, remembered: remembered.collect() })
    }

    /// What was told of a title, whatever its words say.
    pub(super) fn of(&self, title: &str) -> Option<Role> {
        let title = titles::plain(title);
        let find = |list: &[(String, Role)]| list.iter().find(|(t, _)| *t == title).map(|t| t.1);
        find(&self.asked).or_else(|| find(&self.remembered))
    }

    /// What a title is: as told, else by its words.
    pub(super) fn role(&self, title: &str) -> Option<Role> {
        self.of(title).or_else(|| titles::role_of(title))
    }

    /// Titles asked for that the file does not have.
    pub(super) fn not_there(&self, titles: &[String]) -> Vec<&str> {
        let there = |t: &str| titles.iter().any(|x| titles::plain(x) == t);
        self.asked.iter().map(|(t, _)| t.as_str()).filter(|t| !there(t)).collect()
    }

    /// Whether a title is known from an earlier reading alone.
    pub(super) fn is_remembered(&self, title: &str) -> bool {
        let title = titles::plain(title);
        let has = |list: &[(String, Role)]| list.iter().any(|(t, _)| *t == title);
        has(&self.remembered) && !has(&self.asked)
    }
}

/// What a person calls the meaning of a column: its own word here, or a title that is known.
fn role_called(word: &str) -> Option<Role> {
    let word = titles::plain(word);
    let kept = matches!(word.as_str(), "kept" | "none" | "nothing" | "other");
    let own = Role::ALL.into_iter().find(|r| r.word() == word);
    own.or(kept.then_some(Role::Kept)).or_else(|| titles::role_of(&word))
}

/// The titles whose words alone do not tell what they were taken for, a line each: to be known again in this file.
pub(super) fn text(read: &Columns) -> String {
    let told = read.roles.iter().zip(&read.titles).filter(|(_, t)| !t.is_empty());
    let lines: Vec<String> = told
        .filter_map(|(role, title)| Some(((*role)?, title)))
        // What is kept in the note because nothing is known of it may be understood another year.
        .filter(|(role, title)| {
            titles::role_of(title) != Some(*role) && (*role != Role::Kept || read.is_told(title))
        })
        .map(|(role, title)| format!("{}\t{}", titles::plain(title), role.word()))
        .collect();
    lines.join("\n")
}
