//! A part as a row of tags and text, by their names without prefix.

use quick_xml::escape::resolve_xml_entity;
use quick_xml::events::{BytesStart, Event};
use quick_xml::{Reader, XmlVersion};

use super::{Unread, spoiled};

/// The attributes of a tag.
pub(super) struct Told<'a>(&'a BytesStart<'a>);

impl Told<'_> {
    /// The value of the first attribute of that name, whatever its prefix.
    pub(super) fn get(&self, name: &str) -> Option<String> {
        let mut all = self.0.attributes().flatten();
        let found = all.find(|a| a.key.local_name().as_ref() == name)?;
        found.normalized_value(XmlVersion::Implicit1_0).ok().map(std::borrow::Cow::into_owned)
    }

    pub(super) fn is(&self, name: &str) -> bool {
        matches!(self.get(name).as_deref(), Some("1" | "true"))
    }
}

pub(super) enum Item<'a> {
    Open(&'a str, &'a Told<'a>),
    Close(&'a str),
    Text(&'a str),
}

/// Calls `each` for all tags and texts in their order; an empty tag opens and closes.
pub(super) fn walk(part: &[u8], each: &mut dyn FnMut(Item<'_>) -> Result<(), Unread>) -> Result<(), Unread> {
    let part = part.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(part);
    let text = std::str::from_utf8(part).map_err(|_| spoiled("a part of the workbook is no UTF-8 text"))?;
    let mut reader = Reader::from_str(text);
    let bad = |error: &dyn std::fmt::Display| spoiled(format!("a part of the workbook is spoiled: {error}"));
    let mut open = 0_usize;
    loop {
        match reader.read_event().map_err(|e| bad(&e))? {
            Event::Start(tag) => {
                open += 1;
                let name = tag.local_name();
                each(Item::Open(name.as_ref(), &Told(&tag)))?;
            }
            Event::Empty(tag) => {
                let name = tag.local_name();
                each(Item::Open(name.as_ref(), &Told(&tag)))?;
                each(Item::Close(name.as_ref()))?;
            }
            Event::End(tag) => {
                open = open.saturating_sub(1);
                each(Item::Close(tag.local_name().as_ref()))?;
            }
            Event::Text(text) => each(Item::Text(&text.xml10_content()))?,
            Event::CData(text) => each(Item::Text(&text.xml10_content()))?,
            Event::GeneralRef(name) => {
                let char = name.resolve_char_ref().map_err(|e| bad(&e))?.map(String::from);
                let text = char.or_else(|| resolve_xml_entity(&name).map(str::to_owned));
                each(Item::Text(&text.ok_or_else(|| bad(&"an entity of its own"))?))?;
            }
            // Neither format has one, and it could tell entities that grow without end.
            Event::DocType(_) => return Err(bad(&"a document type")),
            Event::Eof if open > 0 => return Err(bad(&"it is cut short")),
            Event::Eof => return Ok(()),
            Event::Decl(_) | Event::PI(_) | Event::Comment(_) => {}
        }
    }
}
