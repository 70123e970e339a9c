//! The parts of an archive, by the list at its end (PKWARE's APPNOTE.TXT 6.3: sections 4.3.7, 4.3.12, 4.3.14 to 4.3.16,
//! 4.5.3), stored or deflated (RFC 1951).
//!
//! What a part unpacks to is limited by what it says it has, and all parts together by [`MOST_BYTES`].

use std::collections::BTreeMap;

use super::{SAVE_ANEW, SAVE_CSV, Unread, spoiled};

/// So many bytes are unpacked of one workbook.
const MOST_BYTES: u64 = 64 * 1024 * 1024;
/// A workbook has a part a sheet and a few more.
const MOST_PARTS: u64 = 10_000;

struct Part {
    flags: u64,
    method: u64,
    crc: u64,
    packed: u64,
    size: u64,
    /// Where its own head begins.
    at: u64,
}

pub(super) struct Archive<'a> {
    bytes: &'a [u8],
    parts: BTreeMap<String, Part>,
    room: u64,
}

/// Little-endian, of up to eight bytes.
fn number(bytes: &[u8], at: u64, len: u64) -> Result<u64, Unread> {
    let cut = || spoiled("the archive is cut short");
    let (from, to) = (usize::try_from(at), usize::try_from(at.saturating_add(len)));
    let (Ok(from), Ok(to)) = (from, to) else { return Err(cut()) };
    let read = bytes.get(from..to).ok_or_else(cut)?;
    Ok(read.iter().rev().fold(0, |all, b| (all << 8) | u64::from(*b)))
}

impl<'a> Archive<'a> {
    pub(super) fn open(bytes: &'a [u8]) -> Result<Self, Unread> {
        const END: u64 = 22;
        let len = bytes.len() as u64;
        // A comment of up to 65,535 bytes may follow.
        let from = len.saturating_sub(END + 0xFFFF);
        let end = (from..=len.saturating_sub(END)).rev().find(|at| number(bytes, *at, 4) == Ok(0x0605_4B50));
        let end = end.filter(|_| len >= END).ok_or_else(|| spoiled("the end of the archive is missing"))?;
        let (mut count, mut at) = (number(bytes, end + 10, 2)?, number(bytes, end + 16, 4)?);
        // Programs that write as they go use the long form.
        if let Some(locator) = end.checked_sub(20).filter(|at| number(bytes, *at, 4) == Ok(0x0706_4B50)) {
            let long = number(bytes, locator + 8, 8)?;
            if number(bytes, long, 4)? != 0x0606_4B50 {
                return Err(spoiled("the end of the archive is spoiled"));
            }
            (count, at) =
                (number(bytes, long.saturating_add(32), 8)?, number(bytes, long.saturating_add(48), 8)?);
        }
        if count > MOST_PARTS {
            let what = format!("the archive has {count} parts, at most {MOST_PARTS} are read");
            return Err(Unread("workbook-too-large", what, SAVE_CSV));
        }
        let mut parts = BTreeMap::new();
        for _ in 0..count {
            at = Self::listed(bytes, at, &mut parts)?;
        }
        Ok(Self { bytes, parts, room: MOST_BYTES })
    }

    /// Reads one line of the list; where the next begins.
    fn listed(bytes: &[u8], at: u64, parts: &mut BTreeMap<String, Part>) -> Result<u64, Unread> {
        let get = |offset, len| number(bytes, at.saturating_add(offset), len);
        if get(0, 4)? != 0x0201_4B50 {
            return Err(spoiled("the list of the archive's parts is spoiled"));
        }
        let (name_len, extra_len, comment_len) = (get(28, 2)?, get(30, 2)?, get(32, 2)?);
        let (mut packed, mut size, mut head) = (get(20, 4)?, get(24, 4)?, get(42, 4)?);
        let extra = at + 46 + name_len;
        let next = extra + extra_len + comment_len;
        number(bytes, next.saturating_sub(1), 1)?;
        // The long sizes stand in a field of their own, each only where its short one has no room for it.
        let mut field = extra;
        while field + 4 <= extra + extra_len {
            let (id, len) = (number(bytes, field, 2)?, number(bytes, field + 2, 2)?);
            let mut long = field + 4;
            for short in [&mut size, &mut packed, &mut head] {
                if id == 1 && *short == 0xFFFF_FFFF {
                    *short = number(bytes, long, 8)?;
                    long += 8;
                }
            }
            field += 4 + len;
        }
        let from = usize::try_from(at + 46).unwrap_or(usize::MAX);
        let name = bytes.get(from..from.saturating_add(name_len as usize)).unwrap_or_default();
        let name = String::from_utf8_lossy(name).replace('\\', "/");
        let part = Part { flags: get(8, 2)?, method: get(10, 2)?, crc: get(16, 4)?, packed, size, at: head };
        if parts.insert(name.clone(), part).is_some() {
            return Err(spoiled(format!("the archive has {name:?} twice")));
        }
        Ok(next)
    }

    pub(super) fn has(&self, name: &str) -> bool {
        self.parts.contains_key(name)
    }

    /// What a part holds; nothing where there is none of that name.
    pub(super) fn part(&mut self, name: &str) -> Result<Option<Vec<u8>>, Unread> {
        let Some(part) = self.parts.get(name) else { return Ok(None) };
        if part.flags & 1 == 1 {
            return Err(locked());
        }
        if part.size > self.room {
            let what =
                format!("{name} unpacks to {} bytes, at most {MOST_BYTES} of a workbook are read", part.size);
            return Err(Unread(
                "workbook-too-large",
                what,
                "save the sheet with the list in a file of its own",
            ));
        }
        let bad = || spoiled(format!("{name} in the archive is spoiled"));
        if number(self.bytes, part.at, 4)? != 0x0403_4B50 {
            return Err(bad());
        }
        let head = 30 + number(self.bytes, part.at + 26, 2)? + number(self.bytes, part.at + 28, 2)?;
        let from = usize::try_from(part.at + head).map_err(|_| bad())?;
        let to = usize::try_from(part.packed).ok().and_then(|n| from.checked_add(n)).ok_or_else(bad)?;
        let packed = self.bytes.get(from..to).ok_or_else(bad)?;
        let held = match part.method {
            0 => packed.to_vec(),
            8 => {
                let most = usize::try_from(part.size).map_err(|_| bad())?;
                miniz_oxide::inflate::decompress_to_vec_with_limit(packed, most).map_err(|_| bad())?
            }
            n => {
                let what = format!("{name} is packed in a way that is not read (method {n})");
                return Err(Unread("packed-otherwise", what, SAVE_ANEW));
            }
        };
        if held.len() as u64 != part.size || u64::from(checksum(&held)) != part.crc {
            return Err(bad());
        }
        self.room -= part.size;
        Ok(Some(held))
    }
}

pub(super) fn locked() -> Unread {
    Unread("locked-workbook", "the workbook is locked by a password".into(), "save it without the password")
}

/// CRC-32 as APPNOTE.TXT 4.4.7 has it, polynomial 0xEDB88320.
fn checksum(bytes: &[u8]) -> u32 {
    let mut table = [0_u32; 256];
    for (entry, n) in table.iter_mut().zip(0_u32..) {
        *entry = (0..8).fold(n, |c, _| if c & 1 == 1 { (c >> 1) ^ 0xEDB8_8320 } else { c >> 1 });
    }
    !bytes.iter().fold(!0_u32, |sum, b| {
        let at = (sum ^ u32::from(*b)) & 0xFF;
        (sum >> 8) ^ table.get(at as usize).copied().unwrap_or_default()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_checksum_is_the_published_one() {
        // The check value of CRC-32/ISO-HDLC in Ross Williams' "A Painless Guide to CRC Error Detection Algorithms".
        assert_eq!(checksum(b"123456789"), 0xCBF4_3926);
        assert_eq!(checksum(b""), 0);
    }
}
