//! Which units a site reads and writes.

/// Units of a site: what is shown, and what a bare number typed there means.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, PartialOrd, Ord, Hash)]
pub enum System {
    /// Feet and inches, pounds, miles an hour, degrees Fahrenheit.
    Us,
    /// Metres, kilograms, metres a second, degrees Celsius.
    #[default]
    Si,
}

impl System {
    /// The text used in files: `us` or `si`.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Us => "us",
            Self::Si => "si",
        }
    }

    /// Reads `us` or `si`.
    pub fn from_text(text: &str) -> Option<Self> {
        match text.trim().to_ascii_lowercase().as_str() {
            "us" => Some(Self::Us),
            "si" | "metric" => Some(Self::Si),
            _ => None,
        }
    }
}
