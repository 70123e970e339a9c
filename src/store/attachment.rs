//! Photos and settings files: listed without their bytes, opened one at a time, checked by their hash.

use sha2::{Digest, Sha256};

use crate::domain::{Attachment, AttachmentId, Fact};

use super::error::StoreError;
use super::load;
use super::open::Store;
use super::schema;

impl Store {
    /// The attachments that hold now, with `bytes` left empty.
    pub fn list_attachments(&self) -> Result<Vec<Attachment>, StoreError> {
        let sql = schema::select(&Attachment::TABLE).replace(", bytes", ", ''");
        load::read(&self.conn, &self.path, &format!("{sql} WHERE ended_at IS NULL ORDER BY name, id"), [])
    }

    /// One attachment with its bytes as base64 text.
    pub fn load_attachment(&self, id: AttachmentId) -> Result<Option<Attachment>, StoreError> {
        let sql = format!("{} WHERE id = ?1", schema::select(&Attachment::TABLE));
        Ok(load::read(&self.conn, &self.path, &sql, [id.0.hyphenated().to_string()])?.pop())
    }
}

/// Lower-case hexadecimal SHA-256 of the bytes that base64 `text` stands for; nothing where it is no base64.
pub(super) fn hash_of(text: &str) -> Option<String> {
    let digest = Sha256::digest(decode(text)?);
    Some(digest.iter().fold(String::with_capacity(64), |mut hex, b| {
        for half in [b >> 4, b & 15] {
            hex.extend(char::from_digit(u32::from(half), 16));
        }
        hex
    }))
}

/// Base64 with padding, RFC 4648 section 4.
fn decode(text: &str) -> Option<Vec<u8>> {
    let mut out = Vec::with_capacity(text.len() / 4 * 3);
    let body = text.trim_end_matches('=');
    if !text.len().is_multiple_of(4) || text.len() - body.len() > 2 {
        return None;
    }
    let (mut bits, mut held) = (0_u32, 0_u32);
    for c in body.bytes() {
        let six = match c {
            b'A'..=b'Z' => c - b'A',
            b'a'..=b'z' => c - b'a' + 26,
            b'0'..=b'9' => c - b'0' + 52,
            b'+' => 62,
            b'/' => 63,
            _ => return None,
        };
        bits = (bits << 6) | u32::from(six);
        held += 6;
        if held >= 8 {
            held -= 8;
            out.push((bits >> held) as u8);
            bits &= (1 << held) - 1;
        }
    }
    (bits == 0).then_some(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The examples of RFC 4648, section 10.
    #[test]
    fn base64_is_read_as_published() {
        for (text, plain) in [
            ("", ""),
            ("Zg==", "f"),
            ("Zm8=", "fo"),
            ("Zm9v", "foo"),
            ("Zm9vYg==", "foob"),
            ("Zm9vYmFy", "foobar"),
        ] {
            assert_eq!(decode(text).as_deref(), Some(plain.as_bytes()), "{text}");
        }
        for broken in ["Z", "Zg=", "Zh==", "Zm9v====", "Z!=="] {
            assert_eq!(decode(broken), None, "{broken}");
        }
    }

    /// FIPS 180-4 example: SHA-256 of "abc".
    #[test]
    fn the_hash_is_the_published_one() {
        assert_eq!(
            hash_of("YWJj").as_deref(),
            Some("ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad")
        );
    }
}
