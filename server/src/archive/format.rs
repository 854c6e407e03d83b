//! The lines of an archive, how they are written, and how they are read back one by one.
//!
//! JSON lines; behind a photo's line stand its very bytes and a line feed. The last line carries the number of lines
//! before it and the SHA-256 of every byte before it.

use std::io::{BufRead, Read, Write};

use serde::{Deserialize, Serialize};
use setdown_types::ids::{EntryId, OrganisationId, PersonId, SiteId};
use setdown_types::party::{Party, Role};
use sha2::{Digest, Sha256};
use uuid::Uuid;

use super::ArchiveError;
use crate::photo_store::MAX_PHOTO_BYTES;

/// The version of the format that is written and read.
pub const VERSION: u32 = 1;
/// The longest line: an entry of the greatest length with every character escaped.
const MAX_LINE: u64 = 8 * 1024 * 1024;

/// What an archive holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Extent {
    /// Everything of a dealer.
    Organisation,
    /// One site with what it needs.
    Site,
}

/// The first line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Header {
    /// [`VERSION`] of the writer.
    pub setdown_archive: u32,
    /// What it holds.
    pub extent: Extent,
    /// Whether people, invitations and contacts are in it.
    pub personal: bool,
}

/// Every further line.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Line {
    /// The dealer.
    Organisation(OrganisationLine),
    /// Somebody with an account; personal.
    Person(PersonLine),
    /// A revision of a spa sheet or practice sheet.
    Document(DocumentLine),
    /// A site; what belongs to it follows.
    Site(SiteLine),
    /// An invitation to the site above; personal.
    Invitation(InvitationLine),
    /// A contact of the site above; personal.
    Contact(ContactLine),
    /// An entry of the site above.
    Entry(EntryLine),
    /// A photo; its bytes follow where it is present.
    Photo(PhotoLine),
    /// The end.
    End(EndLine),
}

/// A dealer.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OrganisationLine {
    /// Which one.
    pub id: OrganisationId,
    /// Its name.
    pub name: String,
    /// When it was made, milliseconds since 1970.
    pub created_at: i64,
}

/// Somebody with an account, without the password.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PersonLine {
    /// Who.
    pub id: PersonId,
    /// What they sign in with.
    pub sign_in: String,
    /// Shown name.
    pub name: String,
    /// As what.
    pub role: Role,
    /// Whether they may sign in.
    pub active: bool,
    /// When they were added, milliseconds since 1970.
    pub created_at: i64,
}

/// A revision of a sheet.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DocumentLine {
    /// SHA-256 of `body`.
    pub digest: String,
    /// `spa` or `practice`.
    pub kind: String,
    /// Its name.
    pub name: String,
    /// When it was imported, milliseconds since 1970.
    pub created_at: i64,
    /// Its canonical bytes.
    pub body: String,
}

/// A site's row.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SiteLine {
    /// Which one.
    pub id: SiteId,
    /// Its descriptive name.
    pub name: String,
    /// IANA time zone.
    pub time_zone: String,
    /// Digest of the spa sheet it was made with.
    pub spa: String,
    /// Digest of the practice sheet it was made with.
    pub practice: String,
    /// The highest seq of its ledger.
    pub last_seq: u64,
    /// When the last entry came, milliseconds since 1970.
    pub last_received_at: Option<i64>,
    /// When it was made, milliseconds since 1970.
    pub created_at: i64,
}

/// An invitation, with the digest of its link.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct InvitationLine {
    /// Which one.
    pub id: Uuid,
    /// SHA-256 of the token in its link.
    pub token_hash: String,
    /// As whom its holder writes.
    pub person: PersonId,
    /// Whom it is for.
    pub name: String,
    /// Who made it.
    pub created_by: PersonId,
    /// When, milliseconds since 1970.
    pub created_at: i64,
    /// Until when it opens.
    pub expires_at: i64,
    /// When it was revoked, if it was.
    pub revoked_at: Option<i64>,
}

/// Somebody to reach for a site.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ContactLine {
    /// Which one.
    pub id: Uuid,
    /// As what they take part.
    pub party: Party,
    /// Name.
    pub name: String,
    /// Phone number as written.
    pub phone: String,
    /// E-mail address.
    pub email: String,
    /// Postal address.
    pub address: String,
    /// Gate or door code.
    pub access_code: String,
    /// When it was last written, milliseconds since 1970.
    pub changed_at: i64,
}

/// What the server made of an entry.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// Part of the site.
    Accepted,
    /// Waiting for what it builds on.
    Held,
    /// Not taken.
    Refused,
}

/// An entry as the server keeps it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EntryLine {
    /// Its id.
    pub id: EntryId,
    /// What became of it.
    pub verdict: Verdict,
    /// Its place among the accepted ones.
    pub seq: Option<u64>,
    /// Why it was refused, as the server keeps it.
    pub refusal: Option<String>,
    /// When it first came, milliseconds since 1970.
    pub received_at: i64,
    /// When it was written, by the server's clock.
    pub effective_at: Option<i64>,
    /// SHA-256 of the bytes as they first came; none after a redaction.
    pub digest: Option<String>,
    /// Its exact bytes; without what it said once it was refused or redacted.
    pub raw: String,
}

/// A photo.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PhotoLine {
    /// SHA-256 of its bytes.
    pub sha256: String,
    /// Media type; empty where it was taken out.
    pub media_type: String,
    /// How many bytes follow this line; 0 where it was taken out.
    pub bytes: u64,
    /// Whether a redaction took it out.
    pub taken_out: bool,
    /// When that was decided, milliseconds since 1970.
    pub changed_at: i64,
}

/// The last line.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EndLine {
    /// How many lines stand before it.
    pub lines: u64,
    /// SHA-256 of every byte before it.
    pub sha256: String,
}

/// Writes an archive line by line.
pub struct ArchiveWriter<W: Write> {
    out: W,
    digest: Sha256,
    lines: u64,
}

impl<W: Write> ArchiveWriter<W> {
    /// Begins with the first line.
    pub fn begin(out: W, header: &Header) -> std::io::Result<Self> {
        let mut writer = Self {
            out,
            digest: Sha256::new(),
            lines: 0,
        };
        writer.json(header)?;
        Ok(writer)
    }

    /// Writes a line.
    pub fn line(&mut self, line: &Line) -> std::io::Result<()> {
        self.json(line)
    }

    /// Writes the bytes that belong to the photo's line before.
    pub fn bytes(&mut self, bytes: &[u8]) -> std::io::Result<()> {
        self.put(bytes)?;
        self.put(b"\n")
    }

    /// Writes the last line and hands the output back, flushed.
    pub fn end(mut self) -> std::io::Result<W> {
        let end = Line::End(EndLine {
            lines: self.lines,
            sha256: hex::encode(self.digest.clone().finalize()),
        });
        self.json(&end)?;
        self.out.flush()?;
        Ok(self.out)
    }

    fn json(&mut self, value: &impl Serialize) -> std::io::Result<()> {
        let mut text = serde_json::to_vec(value).map_err(std::io::Error::other)?;
        text.push(b'\n');
        self.lines += 1;
        self.put(&text)
    }

    fn put(&mut self, bytes: &[u8]) -> std::io::Result<()> {
        self.digest.update(bytes);
        self.out.write_all(bytes)
    }
}

/// Reads an archive line by line, and at its end compares what was read with what was written.
pub struct ArchiveReader<R: BufRead> {
    input: R,
    digest: Sha256,
    lines: u64,
    /// The digest at the end, once it was read and compared.
    ended: Option<String>,
}

/// Only the version of a header, readable in every version.
#[derive(Deserialize)]
struct AnyHeader {
    setdown_archive: u32,
}

impl<R: BufRead> ArchiveReader<R> {
    /// Reads the first line.
    ///
    /// # Errors
    /// [`ArchiveError::Foreign`] or [`ArchiveError::Version`] where it is no header of this version.
    pub fn begin(input: R) -> Result<(Self, Header), ArchiveError> {
        let mut reader = Self {
            input,
            digest: Sha256::new(),
            lines: 0,
            ended: None,
        };
        let text = reader.text()?;
        let any: AnyHeader = serde_json::from_slice(&text)
            .map_err(|_| ArchiveError::Foreign("its first line is no header".into()))?;
        if any.setdown_archive != VERSION {
            return Err(ArchiveError::Version(any.setdown_archive));
        }
        let header = reader.parse(&text)?;
        Ok((reader, header))
    }

    /// The next line; `None` after the end, whose digest was found right.
    pub fn next_line(&mut self) -> Result<Option<Line>, ArchiveError> {
        let before = (self.lines, hex::encode(self.digest.clone().finalize()));
        let text = self.text()?;
        let line: Line = self.parse(&text)?;
        let Line::End(end) = line else {
            return Ok(Some(line));
        };
        if (end.lines, end.sha256.as_str()) != (before.0, before.1.as_str()) {
            return Err(ArchiveError::Damaged);
        }
        if !self.input.fill_buf().map_err(unreadable)?.is_empty() {
            return Err(self.wrong("something follows the end"));
        }
        self.ended = Some(end.sha256);
        Ok(None)
    }

    /// The bytes that belong to the photo's line before.
    pub fn bytes(&mut self, count: u64) -> Result<Vec<u8>, ArchiveError> {
        let most = u64::try_from(MAX_PHOTO_BYTES).unwrap_or(u64::MAX);
        if count > most {
            return Err(self.wrong(&format!("a photo of more than {most} bytes")));
        }
        let mut bytes = Vec::new();
        let wanted = count + 1;
        let read = (&mut self.input)
            .take(wanted)
            .read_to_end(&mut bytes)
            .map_err(unreadable)?;
        if u64::try_from(read).unwrap_or(u64::MAX) < wanted {
            return Err(ArchiveError::Truncated(self.lines));
        }
        self.digest.update(&bytes);
        if bytes.pop() != Some(b'\n') {
            return Err(self.wrong("a photo has another length than its line says"));
        }
        Ok(bytes)
    }

    /// An error at the line read last.
    pub fn wrong(&self, reason: &str) -> ArchiveError {
        ArchiveError::Line {
            line: self.lines,
            reason: reason.to_owned(),
        }
    }

    /// The digest at the end of the file, once the end was reached.
    pub fn digest(&self) -> Option<&str> {
        self.ended.as_deref()
    }

    fn text(&mut self) -> Result<Vec<u8>, ArchiveError> {
        let mut text = Vec::new();
        (&mut self.input)
            .take(MAX_LINE)
            .read_until(b'\n', &mut text)
            .map_err(unreadable)?;
        if text.last() != Some(&b'\n') {
            return Err(match u64::try_from(text.len()) {
                Ok(length) if length < MAX_LINE => ArchiveError::Truncated(self.lines),
                _ => ArchiveError::Foreign("a line is longer than any of ours".into()),
            });
        }
        self.lines += 1;
        self.digest.update(&text);
        Ok(text)
    }

    fn parse<T: serde::de::DeserializeOwned>(&self, text: &[u8]) -> Result<T, ArchiveError> {
        serde_json::from_slice(text).map_err(|error| self.wrong(&error.to_string()))
    }
}

fn unreadable(source: std::io::Error) -> ArchiveError {
    ArchiveError::File {
        path: "the archive".into(),
        source,
    }
}
