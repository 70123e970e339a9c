//! Contrast of everything drawn, by WCAG 2.2 (relative luminance and contrast ratio; 1.4.3, 1.4.6, 1.4.11).

use ladderday::tui::look::{Tint, indexed_rgb};
use ladderday::tui::widgets::{ascii, canvas};
use ladderday::tui::{Depth, Look, Theme};
use ratatui::buffer::{Buffer, Cell};
use ratatui::style::{Color, Style};

use super::fake::Fill;
use super::pictures::visit;

/// Relative luminance, WCAG 2.2 definition.
pub(super) fn luminance(rgb: u32) -> f64 {
    let part = |shift: u32| {
        let v = f64::from((rgb >> shift) & 0xFF) / 255.0;
        if v <= 0.04045 { v / 12.92 } else { ((v + 0.055) / 1.055).powf(2.4) }
    };
    0.2126 * part(16) + 0.7152 * part(8) + 0.0722 * part(0)
}

/// Contrast ratio with light added to both, as glare does; WCAG's own where it is 0.
fn ratio(a: u32, b: u32, glare: f64) -> f64 {
    let (a, b) = (luminance(a), luminance(b));
    (a.max(b) + 0.05 + glare) / (a.min(b) + 0.05 + glare)
}

/// The colour a terminal shows; of the sixteen, xterm's (from memory of its XTerm-col.ad).
pub(super) fn shown(colour: Color) -> u32 {
    match colour {
        Color::Rgb(r, g, b) => u32::from(r) << 16 | u32::from(g) << 8 | u32::from(b),
        Color::Indexed(n) => indexed_rgb(n),
        Color::Black => 0,
        Color::White => 0xFF_FFFF,
        Color::Gray => 0xE5_E5E5,
        Color::Yellow => 0xCD_CD00,
        other => panic!("{other:?} is none of the looks"),
    }
}

/// The least contrast of text in a buffer, with the text's cell.
pub(super) fn least(buffer: &Buffer, glare: f64) -> (f64, String) {
    let text = |c: &&Cell| !c.symbol().trim().is_empty();
    let of = |c: &Cell| {
        (ratio(shown(c.fg), shown(c.bg), glare), format!("{} {:?} on {:?}", c.symbol(), c.fg, c.bg))
    };
    buffer
        .content
        .iter()
        .filter(text)
        .map(of)
        .min_by(|a, b| a.0.total_cmp(&b.0))
        .unwrap_or((21.0, String::new()))
}

#[test]
fn grey_text_would_be_found() {
    let mut buffer = Buffer::empty(ratatui::layout::Rect::new(0, 0, 4, 1));
    buffer.set_string(
        0,
        0,
        "grey",
        Style::new().fg(Color::Rgb(0x80, 0x80, 0x80)).bg(Color::Rgb(255, 255, 255)),
    );
    assert!(least(&buffer, 0.0).0 < 4.5);
    assert!((ratio(0, 0xFF_FFFF, 0.0) - 21.0).abs() < 1e-9, "WCAG: black on white is 21:1");
}

#[test]
fn day_text_reads_in_the_sun() {
    let mut lowest = (21.0f64, 21.0f64);
    for depth in [Depth::True, Depth::Indexed, Depth::Sixteen] {
        visit(
            Look { theme: Theme::Day, depth, ascii: false },
            &[Fill::Normal, Fill::Empty],
            |name, buffer| {
                let (plain, what) = least(buffer, 0.0);
                assert!(plain >= 7.0, "{name} {depth:?}: {plain:.2} {what}");
                let (glare, what) = least(buffer, 0.25);
                assert!(glare >= 3.0, "{name} {depth:?} in glare: {glare:.2} {what}");
                lowest = (lowest.0.min(plain), lowest.1.min(glare));
            },
        );
    }
    println!("day: lowest text contrast {:.2}, in glare {:.2}", lowest.0, lowest.1);
}

#[test]
fn night_text_reads_and_nothing_is_brighter_than_amber() {
    let amber = luminance(0xFF_B000);
    let mut lowest = 21.0f64;
    for depth in [Depth::True, Depth::Indexed] {
        visit(
            Look { theme: Theme::Night, depth, ascii: false },
            &[Fill::Normal, Fill::Empty],
            |name, buffer| {
                let (plain, what) = least(buffer, 0.0);
                assert!(plain >= 4.5, "{name} {depth:?}: {plain:.2} {what}");
                lowest = lowest.min(plain);
                for cell in &buffer.content {
                    for colour in [cell.fg, cell.bg] {
                        assert!(
                            luminance(shown(colour)) <= amber + 1e-9,
                            "{name}: {colour:?} is brighter than amber"
                        );
                    }
                }
            },
        );
    }
    println!("night: lowest text contrast {lowest:.2}");
}

/// The marked row is the brightest thing at night: no state and no bar is a block as bright.
#[test]
fn at_night_states_and_bars_are_dimmer_than_the_marked_row() {
    use ladderday::tui::look::Role;
    for depth in [Depth::True, Depth::Indexed] {
        let look = Look { theme: Theme::Night, depth, ascii: false };
        let ground = |role: Role| luminance(shown(look.style(role).bg.unwrap()));
        let ink = |role: Role| luminance(shown(look.style(role).fg.unwrap()));
        let marked = ground(Role::Selected);
        assert!(Tint::ALL.iter().all(|t| ground(Role::Chip(*t)) < marked / 10.0), "{depth:?}");
        assert!(ink(Role::Full) < marked * 0.7 && ink(Role::Rest) < marked * 0.7, "{depth:?}");
    }
}

#[test]
fn without_colour_nothing_is_coloured() {
    visit(Look { theme: Theme::Plain, depth: Depth::True, ascii: false }, &[Fill::Normal], |name, buffer| {
        for cell in &buffer.content {
            assert_eq!((cell.fg, cell.bg), (Color::Reset, Color::Reset), "{name}");
        }
    });
}

#[test]
fn chips_tell_apart_by_their_marks_in_unicode_and_ascii() {
    let marks: std::collections::BTreeSet<_> = Tint::ALL.map(canvas::mark).into();
    assert_eq!(marks.len(), Tint::ALL.len());
    let plain: std::collections::BTreeSet<_> = Tint::ALL.map(|t| ascii::plain(canvas::mark(t))).into();
    assert_eq!(plain.len(), Tint::ALL.len());
    assert!(!plain.contains("?"), "a mark without an ASCII form");
}
