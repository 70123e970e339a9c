//! Photos and settings files.

use chrono::NaiveDate;

use super::fact::fact;
use super::fault::FaultId;
use super::piece::PieceId;

fact! {
    /// A file kept in the yard, as base64 text, at most 8 MiB.
    Attachment, AttachmentId, "attachment" {
        sha256: String,
        name: String,
        mime: String,
        bytes: String,
        piece_id: Option<PieceId>,
        fault_id: Option<FaultId>,
        noted_on: Option<NaiveDate>,
    }
}
