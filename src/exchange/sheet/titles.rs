//! The titles of columns: what they say by their words, whatever the order.

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
    pub(super) const ALL: [Self; 12] = [
        Self::Name,
        Self::Count,
        Self::Place,
        Self::How,
        Self::Note,
        Self::Worth,
        Self::Length,
        Self::Permanent,
        Self::CarriedBy,
        Self::Code,
        Self::Line,
        Self::Kept,
    ];

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
pub(super) const MAIN: &[(Role, &str)] = &[
    (Role::Count, "qty quantity quantities count number many amount pcs pieces # no nr num units qnty quant"),
    (
        Role::How,
        "how mount mounts mounted mounting attachment attachments attached attach attaching fixing fixings fixed fastening \
         fastener fasteners fastened method hung hardware held secured support supports hanging",
    ),
    (
        Role::Place,
        "where whereabouts location locations loc area areas place placed placement position spot zone section room",
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
const NEUTRAL: &str = "of the in for needed required this year used our yard show is it goes to by with up type on and are \
     do does did have has got go we i you they them will be put stay stays hang hangs fit there";
const UNITS: &str = "ft feet foot m mm cm in inches metres meters yd";

/// Titles that may number the lines or tell how many.
pub(super) const EITHER: &[&str] = &["#", "no", "nr", "number", "num"];

/// A title in lower case without marks and what is in brackets.
pub(super) fn plain(title: &str) -> String {
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

/// The column of `placement` that the title of a list is about: "where" is `place_id`.
pub fn column_called(title: &str) -> Option<&'static str> {
    Some(match role_of(title)? {
        Role::Name => "name",
        Role::Count => "count",
        Role::Place => "place_id",
        Role::How => "method_id",
        Role::Note => "note",
        Role::Worth => "worth",
        Role::Length => "length_mm",
        Role::Permanent => "permanent",
        Role::CarriedBy => "carried_by_id",
        Role::Code => "code",
        Role::Line | Role::Kept => return None,
    })
}

/// The unit that a title tells for bare numbers, as `Length (ft)`.
pub(super) fn unit_of(title: &str) -> Option<String> {
    let lower = title.to_lowercase();
    lower.split(|c: char| !c.is_alphanumeric()).find(|w| !w.is_empty() && has(UNITS, w)).map(str::to_owned)
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
            ("What have we got", Some(Role::Name)),
            ("Where does it go?", Some(Role::Place)),
            ("How does it stay up?", Some(Role::How)),
            ("How it stays up", Some(Role::How)),
            ("Stays up", Some(Role::Permanent)),
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
