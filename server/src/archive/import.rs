//! Taking an archive in: checked whole, then written in one transaction, so that nothing is ever half there.
//!
//! Bytes of photos lie outside the database. They are written before the commit, under their hash; where the import
//! fails, those that it wrote are deleted again.

use std::fs::File;
use std::io::{BufRead, BufReader};
use std::path::Path;

use bytes::Bytes;
use setdown_types::entry::Entry;
use setdown_types::ids::{OrganisationId, SiteId};
use setdown_types::value::Value;
use sqlx::{Any, Row, Transaction};

use super::ArchiveError;
use super::check::{Checked, check};
use super::export::Counts;
use super::format::{
    ArchiveReader, ContactLine, DocumentLine, EntryLine, Extent, InvitationLine, Line,
    OrganisationLine, PersonLine, PhotoLine, SiteLine, Verdict,
};
use crate::error::ServerError;
use crate::photo_store::PhotoStore;
use crate::state::AppState;
use crate::store::photos::{PhotoState, note_use};
use crate::store::{Store, bigint, waiting, word};
use crate::summary;

/// What an import brought.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Imported {
    /// The dealer's name.
    pub dealer: String,
    /// How much.
    pub counts: Counts,
}

/// Takes the archive at `path` into the database.
///
/// # Errors
/// [`ArchiveError`] for a file that cannot be taken whole; then nothing of it is there.
pub async fn import(state: &AppState, path: &Path) -> Result<Imported, ArchiveError> {
    let open = || {
        File::open(path)
            .map(BufReader::new)
            .map_err(ArchiveError::file(path))
    };
    let checked = check(open()?)?;
    refuse_what_is_here(&state.store, &checked).await?;
    let mut write = state.store.begin().await?;
    let mut importer = Importer {
        photos: &state.photos,
        checked: &checked,
        transaction: &mut write.transaction,
        site: None,
        counts: Counts::default(),
        written: Vec::new(),
    };
    let outcome = importer.all(open()?).await;
    let (counts, written) = (importer.counts, importer.written);
    let outcome = match outcome {
        Ok(()) => write.commit().await.map_err(ArchiveError::from),
        Err(error) => {
            drop(write);
            Err(error)
        }
    };
    if let Err(error) = outcome {
        take_back(state, checked.dealer(), &written).await;
        return Err(error);
    }
    for (site, _) in &checked.sites {
        summary::refresh_quietly(&state.store, checked.dealer(), *site).await;
    }
    Ok(Imported {
        dealer: checked.organisation.name,
        counts,
    })
}

/// Deletes bytes that a failed import wrote, unless somebody else counts on them by now.
async fn take_back(state: &AppState, organisation: OrganisationId, written: &[String]) {
    for sha256 in written {
        let present = state.store.photo_state(organisation, sha256).await;
        if !matches!(present, Ok(PhotoState::Present(_)))
            && let Err(error) = state.photos.delete(organisation, sha256).await
        {
            tracing::error!(%error, sha256, "a photo of a failed import could not be deleted");
        }
    }
}

async fn refuse_what_is_here(store: &Store, checked: &Checked) -> Result<(), ArchiveError> {
    let dealer = &checked.organisation;
    let by_name = store.find_organisation(&dealer.name).await?;
    let by_id = sqlx::query("SELECT name FROM organisations WHERE id = $1")
        .bind(dealer.id.to_string())
        .fetch_optional(store.pool())
        .await?;
    if by_name.is_some_and(|id| id != dealer.id) {
        return Err(ArchiveError::AlreadyHere(format!(
            "another dealer is named '{}' in this database: import into an empty one (--data or --database-url)",
            dealer.name
        )));
    }
    if by_id.is_some() && checked.header.extent == Extent::Organisation {
        return Err(ArchiveError::AlreadyHere(format!(
            "the dealer '{}' is in this database already: import into an empty one (--data or --database-url), or \
             export and import single sites with --site",
            dealer.name
        )));
    }
    for (site, name) in &checked.sites {
        if store.site(dealer.id, *site).await?.is_some() {
            return Err(ArchiveError::AlreadyHere(format!(
                "the site '{name}' is in this database already"
            )));
        }
    }
    Ok(())
}

struct Importer<'a> {
    photos: &'a PhotoStore,
    checked: &'a Checked,
    transaction: &'a mut Transaction<'static, Any>,
    site: Option<SiteId>,
    counts: Counts,
    /// Photos whose bytes were not in the photo store before.
    written: Vec<String>,
}

impl Importer<'_> {
    const fn dealer(&self) -> OrganisationId {
        self.checked.dealer()
    }

    async fn all(&mut self, input: impl BufRead) -> Result<(), ArchiveError> {
        let (mut reader, _) = ArchiveReader::begin(input)?;
        while let Some(line) = reader.next_line()? {
            if let Line::Photo(photo) = &line {
                let bytes = match photo.taken_out {
                    true => None,
                    false => Some(reader.bytes(photo.bytes)?),
                };
                self.photo(photo, bytes).await?;
            } else {
                self.row(&line).await?;
            }
        }
        if reader.digest() != Some(self.checked.digest.as_str()) {
            return Err(ArchiveError::Damaged);
        }
        Ok(())
    }

    async fn row(&mut self, line: &Line) -> Result<(), ArchiveError> {
        match line {
            Line::Organisation(organisation) => self.organisation(organisation).await,
            Line::Person(person) => self.person(person).await,
            Line::Document(document) => self.document(document).await,
            Line::Site(site) => self.add_site(site).await,
            Line::Invitation(invitation) => self.invitation(invitation).await,
            Line::Contact(contact) => self.contact(contact).await,
            Line::Entry(entry) => self.entry(entry).await,
            Line::Photo(_) | Line::End(_) => Ok(()),
        }
    }

    async fn organisation(&mut self, line: &OrganisationLine) -> Result<(), ArchiveError> {
        sqlx::query(
            "INSERT INTO organisations (id, name, created_at) VALUES ($1, $2, $3) \
             ON CONFLICT (id) DO NOTHING",
        )
        .bind(line.id.to_string())
        .bind(&line.name)
        .bind(line.created_at)
        .execute(&mut **self.transaction)
        .await?;
        Ok(())
    }

    /// People come without a password: nobody signs in as them before one is set.
    async fn person(&mut self, line: &PersonLine) -> Result<(), ArchiveError> {
        sqlx::query(
            "INSERT INTO people (organisation, id, sign_in, name, role, password, active, \
             created_at) VALUES ($1, $2, $3, $4, $5, '', $6, $7) ON CONFLICT DO NOTHING",
        )
        .bind(self.dealer().to_string())
        .bind(line.id.to_string())
        .bind(&line.sign_in)
        .bind(&line.name)
        .bind(word(&line.role)?)
        .bind(i64::from(line.active))
        .bind(line.created_at)
        .execute(&mut **self.transaction)
        .await?;
        let here = sqlx::query("SELECT id FROM people WHERE organisation = $1 AND id = $2")
            .bind(self.dealer().to_string())
            .bind(line.id.to_string())
            .fetch_optional(&mut **self.transaction)
            .await?;
        if here.is_none() {
            return Err(ArchiveError::AlreadyHere(format!(
                "the sign-in name '{}' belongs to somebody else in this database: import into an empty one (--data \
                 or --database-url), or export again with --without-personal",
                line.sign_in
            )));
        }
        Ok(())
    }

    async fn document(&mut self, line: &DocumentLine) -> Result<(), ArchiveError> {
        sqlx::query(
            "INSERT INTO documents (organisation, digest, kind, name, body, created_at) \
             VALUES ($1, $2, $3, $4, $5, $6) ON CONFLICT (organisation, digest) DO NOTHING",
        )
        .bind(self.dealer().to_string())
        .bind(&line.digest)
        .bind(&line.kind)
        .bind(&line.name)
        .bind(&line.body)
        .bind(line.created_at)
        .execute(&mut **self.transaction)
        .await?;
        Ok(())
    }

    async fn add_site(&mut self, line: &SiteLine) -> Result<(), ArchiveError> {
        let added = sqlx::query(
            "INSERT INTO sites (organisation, id, name, name_folded, time_zone, spa, practice, \
             last_seq, last_received_at, created_at, summary_seq) \
             VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, 0) ON CONFLICT DO NOTHING",
        )
        .bind(self.dealer().to_string())
        .bind(line.id.to_string())
        .bind(&line.name)
        .bind(line.name.to_lowercase())
        .bind(&line.time_zone)
        .bind(&line.spa)
        .bind(&line.practice)
        .bind(bigint(line.last_seq))
        .bind(line.last_received_at)
        .bind(line.created_at)
        .execute(&mut **self.transaction)
        .await?;
        if added.rows_affected() == 0 {
            return Err(ArchiveError::AlreadyHere(format!(
                "the site '{}' is in this database already",
                line.name
            )));
        }
        self.site = Some(line.id);
        self.counts.sites += 1;
        Ok(())
    }

    /// The site that the lines of invitations, contacts and entries belong to.
    fn current(&self) -> Result<SiteId, ArchiveError> {
        self.site
            .ok_or_else(|| ServerError::Internal("a line of no site".into()).into())
    }

    async fn invitation(&mut self, line: &InvitationLine) -> Result<(), ArchiveError> {
        let added = sqlx::query(
            "INSERT INTO invitations (organisation, site, id, token_hash, person, name, \
             created_by, created_at, expires_at, revoked_at) \
             VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10) ON CONFLICT DO NOTHING",
        )
        .bind(self.dealer().to_string())
        .bind(self.current()?.to_string())
        .bind(line.id.to_string())
        .bind(&line.token_hash)
        .bind(line.person.to_string())
        .bind(&line.name)
        .bind(line.created_by.to_string())
        .bind(line.created_at)
        .bind(line.expires_at)
        .bind(line.revoked_at)
        .execute(&mut **self.transaction)
        .await?;
        if added.rows_affected() == 0 {
            return Err(ArchiveError::AlreadyHere(format!(
                "the invitation for '{}' is in this database already",
                line.name
            )));
        }
        Ok(())
    }

    async fn contact(&mut self, line: &ContactLine) -> Result<(), ArchiveError> {
        sqlx::query(
            "INSERT INTO contacts (organisation, site, id, party, name, phone, email, address, \
             access_code, changed_at) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)",
        )
        .bind(self.dealer().to_string())
        .bind(self.current()?.to_string())
        .bind(line.id.to_string())
        .bind(word(&line.party)?)
        .bind(&line.name)
        .bind(&line.phone)
        .bind(&line.email)
        .bind(&line.address)
        .bind(&line.access_code)
        .bind(line.changed_at)
        .execute(&mut **self.transaction)
        .await?;
        Ok(())
    }

    async fn entry(&mut self, line: &EntryLine) -> Result<(), ArchiveError> {
        let (dealer, site) = (self.dealer(), self.current()?);
        sqlx::query(
            "INSERT INTO entries (organisation, site, id, seq, raw, digest, received_at, \
             effective_at, standing, refusal) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10)",
        )
        .bind(dealer.to_string())
        .bind(site.to_string())
        .bind(line.id.to_string())
        .bind(line.seq.map(bigint))
        .bind(&line.raw)
        .bind(&line.digest)
        .bind(line.received_at)
        .bind(line.effective_at)
        .bind(word(&line.verdict)?)
        .bind(&line.refusal)
        .execute(&mut **self.transaction)
        .await?;
        self.counts.entries += 1;
        if line.verdict == Verdict::Held {
            waiting::add(self.transaction, dealer, site, line.id, &line.raw).await?;
        }
        if line.verdict == Verdict::Accepted
            && let Some(sha256) = shown_photo(&line.raw)
        {
            note_use(self.transaction, dealer, site, line.id, &sha256).await?;
        }
        Ok(())
    }

    async fn photo(
        &mut self,
        line: &PhotoLine,
        bytes: Option<Vec<u8>>,
    ) -> Result<(), ArchiveError> {
        let mut media_type = "";
        if let Some(bytes) = bytes {
            let known =
                sqlx::query("SELECT state FROM photos WHERE organisation = $1 AND sha256 = $2")
                    .bind(self.dealer().to_string())
                    .bind(&line.sha256)
                    .fetch_optional(&mut **self.transaction)
                    .await?;
            if known.is_some() {
                // Its bytes are here already, or were taken out here on purpose: both stay as they are.
                return Ok(());
            }
            media_type = self.keep(line, bytes.into()).await?;
            self.counts.photos += 1;
        }
        sqlx::query(
            "INSERT INTO photos (organisation, sha256, media_type, bytes, state, changed_at) \
             VALUES ($1, $2, $3, $4, $5, $6) ON CONFLICT (organisation, sha256) DO NOTHING",
        )
        .bind(self.dealer().to_string())
        .bind(&line.sha256)
        .bind(media_type)
        .bind(bigint(line.bytes))
        .bind(if line.taken_out {
            "taken_out"
        } else {
            "present"
        })
        .bind(line.changed_at)
        .execute(&mut **self.transaction)
        .await?;
        Ok(())
    }

    /// Checks a photo as one that a phone sends, and writes it to the photo store.
    async fn keep(&mut self, line: &PhotoLine, bytes: Bytes) -> Result<&'static str, ArchiveError> {
        let checked = self.photos.check(&line.sha256, bytes.clone()).await?;
        let media_type = checked.media_type;
        self.written.push(line.sha256.clone());
        self.photos
            .put(self.dealer(), &line.sha256, bytes, checked)
            .await?;
        Ok(media_type)
    }
}

/// The photo that an entry's bytes show; nothing once they were redacted.
fn shown_photo(raw: &str) -> Option<String> {
    match Entry::from_json(raw).ok()?.value() {
        Some(Value::Photo(photo)) => Some(photo.sha256.clone()),
        _ => None,
    }
}

/// How many rows of anything a database holds, to tell an empty one.
pub async fn rows(store: &Store) -> Result<i64, ServerError> {
    let mut all = 0;
    for sql in [
        "SELECT COUNT(*) AS n FROM organisations",
        "SELECT COUNT(*) AS n FROM people",
        "SELECT COUNT(*) AS n FROM documents",
        "SELECT COUNT(*) AS n FROM sites",
        "SELECT COUNT(*) AS n FROM entries",
        "SELECT COUNT(*) AS n FROM photos",
        "SELECT COUNT(*) AS n FROM photo_uses",
    ] {
        let row = sqlx::query(sql).fetch_one(store.pool()).await?;
        all += row.try_get::<i64, _>("n")?;
    }
    Ok(all)
}
