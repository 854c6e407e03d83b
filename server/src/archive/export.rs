//! Writing an archive: one snapshot of the database, row by row, with the bytes of photos from the photo store.

use std::collections::BTreeSet;
use std::io::Write;

use futures::TryStreamExt;
use setdown_types::entry::Entry;
use setdown_types::ids::{OrganisationId, SiteId};
use setdown_types::value::Value;
use sqlx::any::AnyRow;
use sqlx::{Any, AssertSqlSafe, Row, Transaction};

use super::ArchiveError;
use super::format::{
    ArchiveWriter, ContactLine, DocumentLine, EntryLine, Extent, Header, InvitationLine, Line,
    OrganisationLine, PersonLine, PhotoLine, SiteLine, VERSION, Verdict,
};
use crate::error::ServerError;
use crate::state::AppState;
use crate::store::{Database, count, from_word, id};

/// What to export.
#[derive(Debug, Clone, Copy)]
pub struct Wanted {
    /// Of which dealer.
    pub organisation: OrganisationId,
    /// Only this site; `None` for everything.
    pub site: Option<SiteId>,
    /// With people, invitations and contacts.
    pub personal: bool,
}

/// How much an archive holds.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Counts {
    /// Sites.
    pub sites: u64,
    /// Entries, held and refused ones among them.
    pub entries: u64,
    /// Photos with their bytes.
    pub photos: u64,
}

/// Writes everything `wanted` names to `out`, which is flushed at the end.
///
/// # Errors
/// [`ArchiveError`] when the dealer or site is not there, or reading or writing fails; what was written is then no
/// archive.
pub async fn export<W: Write>(
    state: &AppState,
    wanted: &Wanted,
    out: W,
) -> Result<(W, Counts), ArchiveError> {
    let header = Header {
        setdown_archive: VERSION,
        extent: match wanted.site {
            Some(_) => Extent::Site,
            None => Extent::Organisation,
        },
        personal: wanted.personal,
    };
    let mut exporter = Exporter {
        state,
        wanted: *wanted,
        snapshot: snapshot(state).await?,
        out: ArchiveWriter::begin(out, &header).map_err(unwritable)?,
        counts: Counts::default(),
    };
    exporter.organisation().await?;
    let sites = exporter.site_ids().await?;
    let named = exporter.named(&sites).await?;
    if wanted.personal {
        exporter.people(&named).await?;
    }
    exporter.documents(&named).await?;
    for site in sites {
        exporter.site(site).await?;
    }
    exporter.photos().await?;
    let out = exporter.out.end().map_err(unwritable)?;
    Ok((out, exporter.counts))
}

/// A transaction in which nothing moves.
async fn snapshot(state: &AppState) -> Result<Transaction<'static, Any>, ServerError> {
    let pool = state.store.pool();
    Ok(match state.store.database() {
        Database::Sqlite => pool.begin().await?,
        Database::Postgres => {
            pool.begin_with("BEGIN ISOLATION LEVEL REPEATABLE READ, READ ONLY")
                .await?
        }
    })
}

/// What the entries of one site name: people and sheets.
#[derive(Default)]
struct Named {
    people: BTreeSet<String>,
    documents: BTreeSet<String>,
}

struct Exporter<'a, W: Write> {
    state: &'a AppState,
    wanted: Wanted,
    snapshot: Transaction<'static, Any>,
    out: ArchiveWriter<W>,
    counts: Counts,
}

impl<W: Write> Exporter<'_, W> {
    fn line(&mut self, line: &Line) -> Result<(), ArchiveError> {
        self.out.line(line).map_err(unwritable)
    }

    /// Rows of a query whose first parameter is the dealer and whose second is `site`, if any.
    async fn rows(&mut self, sql: &str, site: Option<SiteId>) -> Result<Vec<AnyRow>, ArchiveError> {
        let mut query =
            sqlx::query(AssertSqlSafe(sql.to_owned())).bind(self.wanted.organisation.to_string());
        if let Some(site) = site {
            query = query.bind(site.to_string());
        }
        Ok(query.fetch_all(&mut *self.snapshot).await?)
    }

    async fn organisation(&mut self) -> Result<(), ArchiveError> {
        let sql = "SELECT id, name, created_at FROM organisations WHERE id = $1";
        let rows = self.rows(sql, None).await?;
        let row = rows.first().ok_or(ServerError::NotFound("dealer"))?;
        let line = Line::Organisation(OrganisationLine {
            id: id(row, "id")?,
            name: row.try_get("name")?,
            created_at: row.try_get("created_at")?,
        });
        self.line(&line)
    }

    async fn site_ids(&mut self) -> Result<Vec<SiteId>, ArchiveError> {
        let all = "SELECT id FROM sites WHERE organisation = $1 ORDER BY id";
        let mut sites = Vec::new();
        for row in self.rows(all, None).await? {
            sites.push(id(&row, "id")?);
        }
        if let Some(wanted) = self.wanted.site {
            sites.retain(|site| *site == wanted);
            if sites.is_empty() {
                return Err(ServerError::NotFound("site").into());
            }
        }
        Ok(sites)
    }

    /// People and sheets that one site's entries name; nothing for a whole dealer, where all go out.
    async fn named(&mut self, sites: &[SiteId]) -> Result<Named, ArchiveError> {
        let mut named = Named::default();
        if self.wanted.site.is_none() {
            return Ok(named);
        }
        for site in sites {
            let sql = "SELECT spa, practice FROM sites WHERE organisation = $1 AND id = $2";
            for row in self.rows(sql, Some(*site)).await? {
                named.documents.insert(row.try_get("spa")?);
                named.documents.insert(row.try_get("practice")?);
            }
            let mut raws =
                sqlx::query("SELECT raw FROM entries WHERE organisation = $1 AND site = $2")
                    .bind(self.wanted.organisation.to_string())
                    .bind(site.to_string())
                    .fetch(&mut *self.snapshot);
            while let Some(row) = raws.try_next().await? {
                let raw: String = row.try_get("raw")?;
                let Ok(entry) = Entry::from_json(&raw) else {
                    continue;
                };
                named.people.insert(entry.author.to_string());
                if let Some(Value::Pin(digest)) = entry.value() {
                    named.documents.insert(digest.clone());
                }
            }
        }
        Ok(named)
    }

    async fn people(&mut self, named: &Named) -> Result<(), ArchiveError> {
        let sql = "SELECT id, sign_in, name, role, active, created_at FROM people \
                   WHERE organisation = $1 ORDER BY id";
        for row in self.rows(sql, None).await? {
            let person: String = row.try_get("id")?;
            if self.wanted.site.is_some() && !named.people.contains(&person) {
                continue;
            }
            let role: String = row.try_get("role")?;
            self.line(&Line::Person(PersonLine {
                id: id(&row, "id")?,
                sign_in: row.try_get("sign_in")?,
                name: row.try_get("name")?,
                role: from_word(&role)?,
                active: row.try_get::<i64, _>("active")? == 1,
                created_at: row.try_get("created_at")?,
            }))?;
        }
        Ok(())
    }

    async fn documents(&mut self, named: &Named) -> Result<(), ArchiveError> {
        let sql = "SELECT digest, kind, name, created_at, body FROM documents \
                   WHERE organisation = $1 ORDER BY digest";
        for row in self.rows(sql, None).await? {
            let digest: String = row.try_get("digest")?;
            if self.wanted.site.is_some() && !named.documents.contains(&digest) {
                continue;
            }
            self.line(&Line::Document(DocumentLine {
                digest,
                kind: row.try_get("kind")?,
                name: row.try_get("name")?,
                created_at: row.try_get("created_at")?,
                body: row.try_get("body")?,
            }))?;
        }
        Ok(())
    }

    async fn site(&mut self, site: SiteId) -> Result<(), ArchiveError> {
        let sql = "SELECT id, name, time_zone, spa, practice, last_seq, last_received_at, \
                   created_at FROM sites WHERE organisation = $1 AND id = $2";
        for row in self.rows(sql, Some(site)).await? {
            self.line(&Line::Site(site_line(&row)?))?;
        }
        self.counts.sites += 1;
        if self.wanted.personal {
            self.invitations(site).await?;
            self.contacts(site).await?;
        }
        self.entries(site).await
    }

    async fn invitations(&mut self, site: SiteId) -> Result<(), ArchiveError> {
        let sql = "SELECT id, token_hash, person, name, created_by, created_at, expires_at, \
                   revoked_at FROM invitations WHERE organisation = $1 AND site = $2 ORDER BY id";
        for row in self.rows(sql, Some(site)).await? {
            self.line(&Line::Invitation(InvitationLine {
                id: id(&row, "id")?,
                token_hash: row.try_get("token_hash")?,
                person: id(&row, "person")?,
                name: row.try_get("name")?,
                created_by: id(&row, "created_by")?,
                created_at: row.try_get("created_at")?,
                expires_at: row.try_get("expires_at")?,
                revoked_at: row.try_get("revoked_at")?,
            }))?;
        }
        Ok(())
    }

    async fn contacts(&mut self, site: SiteId) -> Result<(), ArchiveError> {
        let sql = "SELECT id, party, name, phone, email, address, access_code, changed_at \
                   FROM contacts WHERE organisation = $1 AND site = $2 ORDER BY id";
        for row in self.rows(sql, Some(site)).await? {
            let party: String = row.try_get("party")?;
            self.line(&Line::Contact(ContactLine {
                id: id(&row, "id")?,
                party: from_word(&party)?,
                name: row.try_get("name")?,
                phone: row.try_get("phone")?,
                email: row.try_get("email")?,
                address: row.try_get("address")?,
                access_code: row.try_get("access_code")?,
                changed_at: row.try_get("changed_at")?,
            }))?;
        }
        Ok(())
    }

    /// Accepted entries by seq, then those held and refused by receipt; read and written row by row.
    async fn entries(&mut self, site: SiteId) -> Result<(), ArchiveError> {
        let mut rows = sqlx::query(
            "SELECT id, seq, raw, digest, received_at, effective_at, standing, refusal \
             FROM entries WHERE organisation = $1 AND site = $2 \
             ORDER BY CASE WHEN seq IS NULL THEN 1 ELSE 0 END, seq, received_at, id",
        )
        .bind(self.wanted.organisation.to_string())
        .bind(site.to_string())
        .fetch(&mut *self.snapshot);
        while let Some(row) = rows.try_next().await? {
            let line = Line::Entry(entry_line(&row)?);
            self.out.line(&line).map_err(unwritable)?;
            self.counts.entries += 1;
        }
        Ok(())
    }

    async fn photos(&mut self) -> Result<(), ArchiveError> {
        let sql = match self.wanted.site {
            None => {
                "SELECT sha256, media_type, state, changed_at FROM photos \
                 WHERE organisation = $1 ORDER BY sha256"
            }
            Some(_) => {
                "SELECT DISTINCT p.sha256, p.media_type, p.state, p.changed_at FROM photos p \
                 JOIN photo_uses u ON u.organisation = p.organisation AND u.sha256 = p.sha256 \
                 WHERE p.organisation = $1 AND u.site = $2 AND p.state = 'present' \
                 ORDER BY p.sha256"
            }
        };
        for row in self.rows(sql, self.wanted.site).await? {
            self.photo(&row).await?;
        }
        Ok(())
    }

    async fn photo(&mut self, row: &AnyRow) -> Result<(), ArchiveError> {
        let taken_out = row.try_get::<String, _>("state")? != "present";
        let mut line = PhotoLine {
            sha256: row.try_get("sha256")?,
            media_type: row.try_get("media_type")?,
            bytes: 0,
            taken_out,
            changed_at: row.try_get("changed_at")?,
        };
        if taken_out {
            line.media_type.clear();
            return self.line(&Line::Photo(line));
        }
        let photos = &self.state.photos;
        let bytes = photos.get(self.wanted.organisation, &line.sha256).await?;
        if setdown_types::digest::digest_hex(&bytes) != line.sha256 {
            return Err(ServerError::Unreadable(format!(
                "the bytes of the photo {} in the photo store are not those that were sent",
                line.sha256
            ))
            .into());
        }
        line.bytes = u64::try_from(bytes.len()).unwrap_or(u64::MAX);
        self.counts.photos += 1;
        self.line(&Line::Photo(line))?;
        self.out.bytes(&bytes).map_err(unwritable)
    }
}

fn site_line(row: &AnyRow) -> Result<SiteLine, ArchiveError> {
    Ok(SiteLine {
        id: id(row, "id")?,
        name: row.try_get("name")?,
        time_zone: row.try_get("time_zone")?,
        spa: row.try_get("spa")?,
        practice: row.try_get("practice")?,
        last_seq: count(row.try_get("last_seq")?),
        last_received_at: row.try_get("last_received_at")?,
        created_at: row.try_get("created_at")?,
    })
}

fn entry_line(row: &AnyRow) -> Result<EntryLine, ArchiveError> {
    let standing: String = row.try_get("standing")?;
    let verdict: Verdict = from_word(&standing)?;
    Ok(EntryLine {
        id: id(row, "id")?,
        verdict,
        seq: row.try_get::<Option<i64>, _>("seq")?.map(count),
        refusal: row.try_get("refusal")?,
        received_at: row.try_get("received_at")?,
        effective_at: row.try_get("effective_at")?,
        digest: row.try_get("digest")?,
        raw: row.try_get("raw")?,
    })
}

fn unwritable(source: std::io::Error) -> ArchiveError {
    ArchiveError::File {
        path: "the archive".into(),
        source,
    }
}
