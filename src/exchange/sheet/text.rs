//! The bytes of a file to text, whatever program wrote them.

/// Text, and how it was read where that was no matter of course.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct Decoded {
    pub(super) text: String,
    pub(super) said: Option<&'static str>,
}

/// Why bytes are no text: what, remedy, and the line it shows in.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct NoText(pub(super) &'static str, pub(super) &'static str, pub(super) u64);

const SAVE: &str = "save it as CSV UTF-8";
/// The characters of Windows-1252 from 0x80 on, those of Latin-1 follow; a blank where it has none.
const WINDOWS: &str = "€ ‚ƒ„…†‡ˆ‰Š‹Œ Ž  ‘’“”•–—˜™š›œ žŸ";

/// Reads UTF-8 and UTF-16, with and without a mark, and Windows-1252, of which Latin-1 is a part.
pub(super) fn decode(bytes: &[u8]) -> Result<Decoded, NoText> {
    if let Some(rest) = bytes.strip_prefix(b"\xEF\xBB\xBF") {
        return eight(rest);
    }
    if bytes.starts_with(b"\xD0\xCF\x11\xE0") {
        return Err(NoText(
            "this is a workbook of an old kind, or one that is locked by a password",
            "save the sheet as CSV in your spreadsheet program",
            0,
        ));
    }
    if let Some(rest) = bytes.strip_prefix(b"\xFF\xFE") {
        return sixteen(rest, u16::from_le_bytes, None);
    }
    if let Some(rest) = bytes.strip_prefix(b"\xFE\xFF") {
        return sixteen(rest, u16::from_be_bytes, None);
    }
    // Without a mark, every other byte of Western text is nothing.
    let nothing = |at: usize| bytes.iter().skip(at).step_by(2).filter(|b| **b == 0).count();
    let (even, odd) = (nothing(0), nothing(1));
    let most = bytes.len() / 4;
    if odd > most && odd > 4 * even {
        return sixteen(bytes, u16::from_le_bytes, Some("read as UTF-16 without its mark"));
    }
    if even > most && even > 4 * odd {
        return sixteen(bytes, u16::from_be_bytes, Some("read as UTF-16 without its mark"));
    }
    eight(bytes)
}

fn sixteen(bytes: &[u8], order: fn([u8; 2]) -> u16, said: Option<&'static str>) -> Result<Decoded, NoText> {
    if bytes.len() % 2 == 1 {
        return Err(NoText("the UTF-16 text is cut short", SAVE, 0));
    }
    let units = bytes.chunks_exact(2).filter_map(|pair| Some(order([*pair.first()?, *pair.get(1)?])));
    let read: Result<String, _> = char::decode_utf16(units).collect();
    match read {
        Ok(text) => Ok(Decoded { text, said }),
        Err(_) => Err(NoText("this is no whole UTF-16 text", SAVE, 0)),
    }
}

fn eight(bytes: &[u8]) -> Result<Decoded, NoText> {
    let Err(error) = std::str::from_utf8(bytes) else {
        return Ok(Decoded { text: String::from_utf8_lossy(bytes).into_owned(), said: None });
    };
    let before = bytes.get(..error.valid_up_to()).unwrap_or_default();
    let line = before.split(|b| *b == b'\n').count() as u64;
    // Letters of both kinds: either reading would spoil the other's.
    if bytes.utf8_chunks().any(|chunk| !chunk.valid().is_ascii()) {
        return Err(NoText("this line is in another encoding than the rest", SAVE, line));
    }
    let mut text = String::with_capacity(bytes.len());
    for byte in bytes {
        let c = match byte {
            0x80..=0x9F => WINDOWS.chars().nth(usize::from(*byte) - 0x80).filter(|c| *c != ' '),
            _ => Some(char::from(*byte)),
        };
        match c {
            Some(c) => text.push(c),
            None => return Err(NoText("this is neither UTF-8 nor Windows-1252 text", SAVE, line)),
        }
    }
    Ok(Decoded { text, said: Some("read as Windows-1252 (Latin-1)") })
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "Name,Où\r\nÉtoile – 6″,Côté";

    #[test]
    fn every_usual_encoding_gives_the_same_text() {
        let wide = |to: fn(u16) -> [u8; 2], mark: &[u8]| -> Vec<u8> {
            mark.iter().copied().chain(TEXT.encode_utf16().flat_map(to)).collect()
        };
        let marked = [b"\xEF\xBB\xBF".as_slice(), TEXT.as_bytes()].concat();
        for bytes in [
            TEXT.as_bytes().to_vec(),
            marked,
            wide(u16::to_le_bytes, b"\xFF\xFE"),
            wide(u16::to_be_bytes, b"\xFE\xFF"),
            wide(u16::to_le_bytes, b""),
            wide(u16::to_be_bytes, b""),
        ] {
            assert_eq!(decode(&bytes).unwrap().text, TEXT);
        }
        let latin = decode(b"Name,O\xF9\n\x80 5 \x96 \xC9toile").unwrap();
        assert_eq!((latin.text.as_str(), latin.said.is_some()), ("Name,Où\n€ 5 – Étoile", true));
    }

    #[test]
    fn what_is_no_one_text_is_refused() {
        assert_eq!(
            decode("a,é\nb,".as_bytes().iter().chain(b"\xE9\n").copied().collect::<Vec<_>>().as_slice())
                .unwrap_err()
                .2,
            2
        );
        assert!(decode(b"\xD0\xCF\x11\xE0rest").unwrap_err().0.contains("workbook"));
        assert!(decode(b"a\x81b").is_err());
        assert!(decode(b"\xFF\xFEa").is_err());
        assert_eq!(decode(b"").unwrap().text, "");
    }
}
