//! `export` and `import`: archives of a dealer or a site, and the rescue of a phone's own file.

use std::fmt::Write as _;
use std::fs::{File, OpenOptions};
use std::io::{BufRead, BufReader, BufWriter, Read};
use std::path::{Path, PathBuf};

use clap::Args;
use setdown_types::ids::{OrganisationId, SiteId};

use crate::archive::export::{Counts, Wanted};
use crate::archive::phone::Rescued;
use crate::archive::{self, ArchiveError};
use crate::error::ServerError;
use crate::settings::DataSettings;
use crate::state::AppState;

/// What to export, and where to.
#[derive(Debug, Args)]
pub struct ExportArguments {
    /// The file to write; it must not be there yet.
    file: PathBuf,
    /// Name of the dealer.
    #[arg(long)]
    dealer: String,
    /// Only this site, by its name or id.
    #[arg(long)]
    site: Option<String>,
    /// Leave out people, invitations, contacts and addresses.
    #[arg(long)]
    without_personal: bool,
    /// Where data lives.
    #[command(flatten)]
    data: DataSettings,
}

/// What to import.
#[derive(Debug, Args)]
pub struct ImportArguments {
    /// An archive, or the file that a phone exported.
    file: PathBuf,
    /// Where data lives.
    #[command(flatten)]
    data: DataSettings,
}

/// Writes an archive; what could not be finished is removed again.
pub async fn export(arguments: ExportArguments) -> Result<String, ArchiveError> {
    let state = open(&arguments.data).await?;
    let organisation = dealer(&state, &arguments.dealer).await?;
    let site = match &arguments.site {
        Some(text) => Some(site(&state, organisation, text).await?),
        None => None,
    };
    let wanted = Wanted {
        organisation,
        site,
        personal: !arguments.without_personal,
    };
    let file = OpenOptions::new()
        .write(true)
        .create_new(true)
        .open(&arguments.file)
        .map_err(ArchiveError::file(&arguments.file))?;
    let written = write(&state, &wanted, file, &arguments.file).await;
    state.store.close().await;
    match written {
        Ok(counts) => Ok(format!(
            "Exported {} to {}.\n",
            told(counts),
            arguments.file.display()
        )),
        Err(error) => {
            // The error says more than a second failure to remove what is left would.
            let _ = std::fs::remove_file(&arguments.file);
            Err(error)
        }
    }
}

async fn write(
    state: &AppState,
    wanted: &Wanted,
    file: File,
    path: &Path,
) -> Result<Counts, ArchiveError> {
    let (out, counts) = archive::export::export(state, wanted, BufWriter::new(file)).await?;
    out.get_ref().sync_all().map_err(ArchiveError::file(path))?;
    Ok(counts)
}

/// Takes in an archive or a phone's file, whichever it is.
pub async fn import(arguments: ImportArguments) -> Result<String, ArchiveError> {
    let file = &arguments.file;
    let ours = is_archive(file)?;
    let state = open(&arguments.data).await?;
    let text = if ours {
        let imported = archive::import::import(&state, file).await?;
        format!(
            "Imported {} of {}. People came without passwords: set them with `setdown-server set-password NAME`.\n",
            told(imported.counts),
            imported.dealer
        )
    } else {
        rescued(&archive::phone::rescue(&state, file).await?)
    };
    state.store.close().await;
    Ok(text)
}

/// Archives begin with their version; a phone's file is one JSON object that begins otherwise.
fn is_archive(path: &Path) -> Result<bool, ArchiveError> {
    let mut start = Vec::new();
    File::open(path)
        .map(BufReader::new)
        .and_then(|file| file.take(64).read_until(b'\n', &mut start))
        .map_err(ArchiveError::file(path))?;
    let start = String::from_utf8_lossy(&start);
    if start.starts_with("{\"setdown_archive\"") {
        return Ok(true);
    }
    if start.trim_start().starts_with('{') {
        return Ok(false);
    }
    Err(ArchiveError::Foreign(
        "it begins like neither of them".into(),
    ))
}

async fn open(data: &DataSettings) -> Result<AppState, ServerError> {
    AppState::open_data(data, "http://127.0.0.1:8080").await
}

async fn dealer(state: &AppState, name: &str) -> Result<OrganisationId, ServerError> {
    let found = state.store.find_organisation(name).await?;
    found.ok_or_else(|| {
        ServerError::BadInput(format!(
            "there is no dealer named '{name}' in this database"
        ))
    })
}

async fn site(
    state: &AppState,
    organisation: OrganisationId,
    text: &str,
) -> Result<SiteId, ServerError> {
    let sites = state.store.all_sites(organisation).await?;
    let named: Vec<SiteId> = sites
        .iter()
        .filter(|row| row.name == text.trim() || row.site.to_string() == text)
        .map(|row| row.site)
        .collect();
    match named[..] {
        [site] => Ok(site),
        [] => Err(ServerError::BadInput(format!(
            "this dealer has no site named '{text}'"
        ))),
        _ => Err(ServerError::BadInput(format!(
            "several sites are named '{text}': name one by its id"
        ))),
    }
}

fn told(counts: Counts) -> String {
    format!(
        "{} sites, {} entries and {} photos",
        counts.sites, counts.entries, counts.photos
    )
}

fn rescued(rescued: &Rescued) -> String {
    let mut text = format!(
        "From the phone: {} entries taken, {} were here already, {} wait for others, {} refused; {} photos taken.\n\
         {} entries had been sent or refused before and were left alone; {} could not be read on the phone.\n",
        rescued.accepted,
        rescued.known,
        rescued.held,
        rescued.refused.len(),
        rescued.photos,
        rescued.left_alone,
        rescued.unreadable
    );
    for (entry, reason) in &rescued.refused {
        let _ = writeln!(text, "  entry {entry}: {reason}");
    }
    for (photo, reason) in &rescued.photos_refused {
        let _ = writeln!(text, "  photo {photo}: {reason}");
    }
    text
}
