//! Label sheets by their size, and where each label lies on them. Geometry of common sheets, from memory.

/// A sheet of labels; lengths in tenths of a millimetre.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LabelSheet {
    pub name: &'static str,
    pub page: (i64, i64),
    pub across: i64,
    pub down: i64,
    pub label: (i64, i64),
    /// Of the first label.
    pub left: i64,
    pub top: i64,
    /// From one label to the next.
    pub step: (i64, i64),
}

/// A4 and US Letter, each with a large and a small label.
pub const SHEETS: [LabelSheet; 4] = [
    LabelSheet {
        name: "a4-2x7",
        page: (2100, 2970),
        across: 2,
        down: 7,
        label: (991, 381),
        left: 47,
        top: 151,
        step: (1016, 381),
    },
    LabelSheet {
        name: "a4-3x8",
        page: (2100, 2970),
        across: 3,
        down: 8,
        label: (700, 370),
        left: 0,
        top: 5,
        step: (700, 370),
    },
    LabelSheet {
        name: "letter-2x5",
        page: (2159, 2794),
        across: 2,
        down: 5,
        label: (1016, 508),
        left: 40,
        top: 127,
        step: (1063, 508),
    },
    LabelSheet {
        name: "letter-3x10",
        page: (2159, 2794),
        across: 3,
        down: 10,
        label: (667, 254),
        left: 48,
        top: 127,
        step: (698, 254),
    },
];

/// The smallest module of a code that a hand scanner reads, in hundredths of a millimetre. Common practice, no
/// published source.
const SMALLEST_MODULE: i64 = 33;
/// Modules of white around a code (ISO/IEC 18004, 2015, 5.3.8).
pub(super) const QUIET: i64 = 4;
/// White at the edge of a label, tenths of a millimetre.
pub(super) const EDGE: i64 = 20;

impl LabelSheet {
    pub const fn on_a_page(&self) -> usize {
        (self.across * self.down) as usize
    }

    /// Where the n-th label of a page begins, from the upper left corner.
    pub const fn at(&self, n: usize) -> (i64, i64) {
        let (row, column) = (n as i64 / self.across, n as i64 % self.across);
        (self.left + column * self.step.0, self.top + row * self.step.1)
    }

    /// Side of the code with its white margin; nothing where its modules would be too small to read.
    pub const fn code_side(&self, modules: i64) -> Option<i64> {
        let side = self.label.1 - 2 * EDGE;
        // No more than half of the label: the rest is for people.
        let side = if side > self.label.0 / 2 { self.label.0 / 2 } else { side };
        if side * 10 < (modules + 2 * QUIET) * SMALLEST_MODULE { None } else { Some(side) }
    }
}
