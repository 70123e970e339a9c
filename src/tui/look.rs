//! How things look by role: day, night, without colour; and the way down to poor consoles.

use ratatui::style::{Color, Modifier, Style};

use crate::answers::view::WorkKind;

/// The set of colours.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Theme {
    /// Black on painted white, for sun.
    Day,
    /// Amber on black, nothing brighter.
    Night,
    /// No colour: marks, bold and reverse.
    Plain,
}

/// How many colours the terminal takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Depth {
    True,
    Indexed,
    Sixteen,
}

/// What a piece of text is, never how it is coloured.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    Text,
    /// Headings and what must be read first.
    Strong,
    /// The bar with the screen's name.
    Title,
    /// The marked row.
    Selected,
    /// The key of a hint.
    Key,
    Line,
    /// The full part of a bar.
    Full,
    /// The empty part of a bar.
    Rest,
    /// What was refused, in the status line.
    Refused,
    Chip(Tint),
    /// A chip in the marked row: its tint is the ink, so that the row stays one bar.
    Marked(Tint),
    /// A bar of work; the sign that fills it carries the kind too.
    Work(WorkKind),
}

/// The tint of a chip; word and mark carry the meaning.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tint {
    Done,
    Open,
    Doing,
    /// It waits, or is held back.
    Held,
    /// Something is to be put right.
    Mend,
    Skipped,
    Stop,
    Note,
}

impl Tint {
    pub const ALL: [Self; 8] =
        [Self::Done, Self::Open, Self::Doing, Self::Held, Self::Mend, Self::Skipped, Self::Stop, Self::Note];

    /// The tint of the day look: light, under black text (at least 13:1; 3:1 with a quarter of white added).
    const fn day(self) -> u32 {
        match self {
            Self::Done => 0x0099_D8C7,
            Self::Open => 0x00AA_DAF4,
            Self::Doing => 0x00F2_CF80,
            Self::Held => 0x00F0_E442,
            Self::Mend => 0x00FA_FF69,
            Self::Skipped => 0x00EB_C9DC,
            Self::Stop => 0x00F2_CFB2,
            Self::Note => 0x00B2_D5E8,
        }
    }
}

/// Theme, colour depth and whether only ASCII is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Look {
    pub theme: Theme,
    pub depth: Depth,
    pub ascii: bool,
}

/// Whether the locale has other letters than UTF-8: the first that is told decides (POSIX.1-2017, 8.2). Where none is,
/// terminals know UTF-8 these days.
pub fn poor_locale(told: impl Fn(&str) -> String) -> bool {
    let locale = ["LC_ALL", "LC_CTYPE", "LANG"].map(told).into_iter().find(|l| !l.is_empty());
    locale.is_some_and(|l| !l.to_ascii_lowercase().replace('-', "").contains("utf8"))
}

impl Default for Look {
    fn default() -> Self {
        Self { theme: Theme::Day, depth: Depth::True, ascii: false }
    }
}

/// The ground of a bar by day, light under black text, none of those that mean a state; for colour-blind eyes too at
/// least 5.7 apart from each other and from those (CIE L*a*b*).
const fn work(kind: WorkKind) -> u32 {
    match kind {
        WorkKind::Bench => 0x00C9_FBFC,
        WorkKind::Ground => 0x00DF_D499,
        WorkKind::Mount => 0x00C7_FFA7,
        WorkKind::Wire => 0x00CC_E3C7,
        WorkKind::Desk => 0x00E0_DEDC,
    }
}

const BLACK: u32 = 0;
const WHITE: u32 = 0x00FF_FFFF;
const AMBER: u32 = 0x00FF_B000;
/// States and bars at night: read well, and no brighter than they matter beside the marked row.
const DIM: u32 = 0x00B4_8700;
/// A dark ground for the title and the bars of work at night.
const EMBER: u32 = 0x0030_2000;

impl Look {
    /// The other look of day and night; without colour there is only one.
    #[must_use]
    pub const fn switched(self) -> Self {
        let theme = match self.theme {
            Theme::Day => Theme::Night,
            Theme::Night => Theme::Day,
            Theme::Plain => Theme::Plain,
        };
        Self { theme, ..self }
    }

    /// The style of a role in this look.
    pub fn style(self, role: Role) -> Style {
        match self.theme {
            Theme::Day => self.day(role),
            Theme::Night => self.night(role),
            Theme::Plain => plain(role),
        }
    }

    fn day(self, role: Role) -> Style {
        match role {
            Role::Text | Role::Line | Role::Rest | Role::Full => self.paint(BLACK, WHITE),
            Role::Strong | Role::Key => self.paint(BLACK, WHITE).add_modifier(Modifier::BOLD),
            Role::Title | Role::Selected | Role::Refused => {
                self.paint(WHITE, BLACK).add_modifier(Modifier::BOLD)
            }
            Role::Chip(tint) => self.paint(BLACK, tint.day()),
            Role::Marked(tint) => self.paint(tint.day(), BLACK).add_modifier(Modifier::BOLD),
            Role::Work(kind) => self.paint(BLACK, work(kind)),
        }
    }

    fn night(self, role: Role) -> Style {
        match role {
            // What asks for a deed is no dimmer than what it asks of.
            Role::Text | Role::Chip(Tint::Mend | Tint::Held) => self.paint(AMBER, BLACK),
            Role::Line | Role::Rest | Role::Full => self.paint(DIM, BLACK),
            Role::Strong | Role::Key | Role::Chip(Tint::Stop | Tint::Doing) => {
                self.paint(AMBER, BLACK).add_modifier(Modifier::BOLD)
            }
            Role::Title => self.paint(AMBER, EMBER).add_modifier(Modifier::BOLD),
            Role::Selected | Role::Refused | Role::Marked(_) => {
                self.paint(BLACK, AMBER).add_modifier(Modifier::BOLD)
            }
            Role::Chip(_) => self.paint(DIM, BLACK),
            Role::Work(_) => self.paint(AMBER, EMBER),
        }
    }

    fn paint(self, fg: u32, bg: u32) -> Style {
        Style::new().fg(self.colour(fg)).bg(self.colour(bg))
    }

    fn colour(self, rgb: u32) -> Color {
        let (r, g, b) = parts(rgb);
        match self.depth {
            Depth::True => Color::Rgb(r, g, b),
            Depth::Indexed => Color::Indexed(nearest_indexed(rgb, self.theme)),
            Depth::Sixteen => sixteen(rgb),
        }
    }
}

fn plain(role: Role) -> Style {
    let style = Style::new();
    match role {
        Role::Text | Role::Line | Role::Full | Role::Rest | Role::Work(_) => style,
        Role::Strong | Role::Key | Role::Chip(_) => style.add_modifier(Modifier::BOLD),
        Role::Title | Role::Selected | Role::Refused | Role::Marked(_) => {
            style.add_modifier(Modifier::REVERSED)
        }
    }
}

const fn parts(rgb: u32) -> (u8, u8, u8) {
    ((rgb >> 16) as u8, (rgb >> 8) as u8, rgb as u8)
}

fn distance(a: u32, b: u32) -> i32 {
    let ((r, g, b1), (x, y, z)) = (parts(a), parts(b));
    let square = |p: u8, q: u8| (i32::from(p) - i32::from(q)).pow(2);
    square(r, x) + square(g, y) + square(b1, z)
}

/// The nearest of xterm's fixed colours 16 to 255 (6 × 6 × 6 cube and greys; from memory of xterm's 256colres.h).
///
/// By day a ground gets no darker and at night nothing gets brighter, so that the contrast holds.
fn nearest_indexed(rgb: u32, theme: Theme) -> u8 {
    let holds = |n: u8| match theme {
        Theme::Night => brightness(indexed_rgb(n)) <= brightness(rgb),
        _ => brightness(indexed_rgb(n)) >= brightness(rgb),
    };
    (16..=255u8).filter(|n| holds(*n)).min_by_key(|&n| (distance(indexed_rgb(n), rgb), n)).unwrap_or(16)
}

/// Brightness by the weights of relative luminance, good enough to compare neighbours.
fn brightness(rgb: u32) -> u32 {
    let (r, g, b) = parts(rgb);
    2126 * u32::from(r) + 7152 * u32::from(g) + 722 * u32::from(b)
}

/// The colour of an index from 16 to 255.
pub fn indexed_rgb(index: u8) -> u32 {
    const LEVEL: [u32; 6] = [0, 95, 135, 175, 215, 255];
    if index >= 232 {
        let grey = 8 + 10 * u32::from(index - 232);
        return grey << 16 | grey << 8 | grey;
    }
    let n = usize::from(index.saturating_sub(16));
    let level = |at: usize| LEVEL.get(at % 6).copied().unwrap_or(0);
    level(n / 36) << 16 | level(n / 6) << 8 | level(n)
}

/// Of sixteen only four grounds and two inks are used, since their real colours are the terminal's choice.
fn sixteen(rgb: u32) -> Color {
    match rgb {
        BLACK | EMBER => Color::Black,
        WHITE => Color::White,
        AMBER | DIM => Color::Yellow,
        _ => Color::Gray,
    }
}
