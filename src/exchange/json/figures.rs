//! Documents as text, indented; a figure that is nothing carries no sign, as on the screens.

use std::io::{Result, Write};

use serde_json::ser::{Formatter, PrettyFormatter, Serializer};

/// The indented form, with nothing written as `0.0` alone.
struct Unsigned<'a>(PrettyFormatter<'a>);

impl Formatter for Unsigned<'_> {
    fn write_f64<W: ?Sized + Write>(&mut self, to: &mut W, value: f64) -> Result<()> {
        self.0.write_f64(to, value + 0.0)
    }

    fn begin_array<W: ?Sized + Write>(&mut self, to: &mut W) -> Result<()> {
        self.0.begin_array(to)
    }

    fn end_array<W: ?Sized + Write>(&mut self, to: &mut W) -> Result<()> {
        self.0.end_array(to)
    }

    fn begin_array_value<W: ?Sized + Write>(&mut self, to: &mut W, first: bool) -> Result<()> {
        self.0.begin_array_value(to, first)
    }

    fn end_array_value<W: ?Sized + Write>(&mut self, to: &mut W) -> Result<()> {
        self.0.end_array_value(to)
    }

    fn begin_object<W: ?Sized + Write>(&mut self, to: &mut W) -> Result<()> {
        self.0.begin_object(to)
    }

    fn end_object<W: ?Sized + Write>(&mut self, to: &mut W) -> Result<()> {
        self.0.end_object(to)
    }

    fn begin_object_key<W: ?Sized + Write>(&mut self, to: &mut W, first: bool) -> Result<()> {
        self.0.begin_object_key(to, first)
    }

    fn begin_object_value<W: ?Sized + Write>(&mut self, to: &mut W) -> Result<()> {
        self.0.begin_object_value(to)
    }

    fn end_object_value<W: ?Sized + Write>(&mut self, to: &mut W) -> Result<()> {
        self.0.end_object_value(to)
    }
}

pub(super) fn text(doc: &impl serde::Serialize) -> String {
    let mut bytes = Vec::new();
    let _ = doc.serialize(&mut Serializer::with_formatter(&mut bytes, Unsigned(PrettyFormatter::new())));
    String::from_utf8(bytes).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    #[test]
    fn nothing_has_no_sign_and_all_else_is_as_it_was() {
        let doc = serde_json::json!({ "a": [1, 2.5, -3.0], "b": { "c": "-0.0", "d": [] } });
        assert_eq!(super::text(&doc), serde_json::to_string_pretty(&doc).unwrap());
        assert_eq!(super::text(&[-0.0]), super::text(&[0.0]));
    }
}
