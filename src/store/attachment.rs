//! Photos and settings files: listed without their bytes, opened one at a time, checked by their hash.

use sha2::{Digest, Sha256};

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;

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

/// Most bytes of a file that a yard keeps.
pub const MOST_BYTES: usize = 8 * 1024 * 1024;

/// Lower-case hexadecimal SHA-256 of the bytes that base64 `text` stands for; nothing where it is no base64.
pub(super) fn hash_of(text: &str) -> Option<String> {
    Some(sha256_hex(&decode(text)?))
}

/// Lower-case hexadecimal SHA-256 (FIPS 180-4).
pub fn sha256_hex(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().fold(String::with_capacity(64), |mut hex, b| {
        for half in [b >> 4, b & 15] {
            hex.extend(char::from_digit(u32::from(half), 16));
        }
        hex
    })
}

/// Base64 with padding, RFC 4648 section 4.
pub fn encode(bytes: &[u8]) -> String {
    STANDARD.encode(bytes)
}

/// Base64 with padding, RFC 4648 section 4; nothing where it is none.
pub fn decode(text: &str) -> Option<Vec<u8>> {
    STANDARD.decode(text).ok()
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
            assert_eq!(encode(plain.as_bytes()), text);
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
