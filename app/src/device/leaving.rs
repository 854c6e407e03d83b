//! Removing a site from this phone: what would go with it, and the going.

use setdown_types::ids::SiteId;
use setdown_types::ledger::Record;

use super::database::{BY_SITE, DRAFTS, ENTRIES, EXPECTED, META, SITES, StoreError, Transaction};
use super::inner::{self, Inner, read_version, stored_row};
use super::logic::drafts;
use super::logic::leaving::Leaving;
use super::photo;
use super::rows::{DraftRow, SiteRow, from_text, record, to_text, version_key};
use super::types::DeviceError;
use super::wake::{self, Told};

/// What removing the site would take with it.
pub async fn leaving(site: SiteId) -> Result<Leaving, DeviceError> {
    let inner = inner::get();
    let found = inner
        .database
        .read(&[ENTRIES, DRAFTS], async |transaction| {
            counted(&inner, transaction, site).await
        })
        .await;
    Ok(found?)
}

async fn counted(
    inner: &Inner,
    transaction: &Transaction,
    site: SiteId,
) -> Result<Leaving, StoreError> {
    let rows = transaction
        .all_by(ENTRIES, BY_SITE, &site.to_string())
        .await?;
    let records: Vec<Record> = rows.iter().filter_map(|row| record(&row)).collect();
    let typed = transaction.all_under(DRAFTS, &drafts::prefix(site)).await?;
    let drafts = typed
        .iter()
        .filter_map(|row| from_text::<DraftRow>(&row))
        .filter(|draft| !draft.text.is_empty())
        .count();
    let photos = inner.photo_rows.borrow();
    Ok(Leaving::of(&records, inner.device, photos.values(), drafts))
}

/// Removes a site from this phone, if nothing has to be sent first and no more would go than the person was told.
pub async fn leave_behind(site: SiteId, told: Leaving) -> Result<(), DeviceError> {
    let inner = inner::get();
    inner.row(site).ok_or(DeviceError::UnknownSite)?;
    let stores = [META, SITES, ENTRIES, DRAFTS, EXPECTED];
    let left = inner
        .database
        .write(&stores, async |transaction| {
            let leaving = counted(&inner, transaction, site).await?;
            if leaving.to_send() > 0 || leaving != told {
                return Ok(Err(leaving));
            }
            take_out(transaction, site).await.map(Ok)
        })
        .await?;
    let row = left.map_err(|leaving| match leaving.to_send() {
        0 => DeviceError::MoreThanTold,
        unsent => DeviceError::Unsent(unsent),
    })?;
    inner.rows.borrow_mut().insert(site, row);
    inner.load(site).await?;
    inner.syncing.photos_untidy();
    photo::tidy(&inner).await?;
    inner.refresh_counts().await?;
    wake::tell(&inner, Told::Site(site));
    wake::tell(&inner, Told::Sites);
    Ok(())
}

async fn take_out(transaction: &Transaction, site: SiteId) -> Result<SiteRow, StoreError> {
    let key = site.to_string();
    for id in transaction.keys_by(ENTRIES, BY_SITE, &key).await?.iter() {
        transaction.delete(ENTRIES, &id.as_string().unwrap_or_default())?;
    }
    transaction.delete_under(DRAFTS, &drafts::prefix(site))?;
    transaction.delete_under(EXPECTED, &drafts::prefix(site))?;
    let mut row = stored_row(transaction, site).await?;
    row.taken = false;
    row.cursor = 0;
    row.last_pull = None;
    transaction.put_text(SITES, &key, &to_text(&row)?)?;
    let version = read_version(transaction, site).await? + 1;
    transaction.put(META, &version_key(site), &(version as f64).into())?;
    Ok(row)
}
