//! From what is in memory to the signals that screens read.

use setdown_types::order;
use std::sync::Arc;

use leptos::prelude::*;
use setdown_types::ids::SiteId;
use setdown_types::ledger::Standing;
use setdown_types::site::Site;
use setdown_types::value::Value;
use wasm_bindgen::JsValue;

use super::clock;
use super::database::{BY_STATE, ENTRIES, StoreError};
use super::inner::{Inner, Waiting};
use super::logic::queue::Queued;
use super::rows::{HELD, REFUSED, UNSENT, record};
use super::types::*;

impl Inner {
    /// Folds a site and shows it.
    pub fn show(&self, site: SiteId) {
        let (replica, view, loaded) = {
            let slots = self.slots.borrow();
            let Some(slot) = slots.get(&site) else { return };
            (slot.replica.clone(), slot.view.clone(), slot.loaded)
        };
        let row = self.row(site);
        let folded = replica.fold();
        let pins = pins(&folded);
        let documents = self.documents.borrow();
        let card = row
            .as_ref()
            .map(|row| row.card.clone())
            .filter(|card| !card.name.is_empty());
        let refused = replica.records.values().filter(|record| {
            record.entry.device == self.device && matches!(record.standing, Standing::Refused(_))
        });
        view.set(SiteView {
            id: site,
            loaded,
            today: card
                .as_ref()
                .and_then(|card| clock::today_in(&card.time_zone))
                .or_else(clock::today_here),
            card,
            unsent: replica.count_where(|standing| *standing == Standing::Unsent),
            held: replica.count_where(|standing| *standing == Standing::Held),
            refused: refused.map(|record| record.entry.id).collect(),
            last_pull: row.and_then(|row| row.last_pull),
            missing_documents: pins
                .iter()
                .filter(|pin| !documents.contains_key(*pin))
                .cloned()
                .collect(),
            documents: Arc::new(
                pins.into_iter()
                    .filter_map(|pin| Some((pin.clone(), Arc::clone(documents.get(&pin)?))))
                    .collect(),
            ),
            site: Arc::new(folded),
            records: replica.records,
        });
    }

    /// Counts what is not sent, and shows it together with the list of sites.
    pub async fn refresh_counts(&self) -> Result<(), StoreError> {
        let (unsent, held, refused) = self
            .database
            .read(&[ENTRIES], async |transaction| {
                Ok((
                    transaction.all_by(ENTRIES, BY_STATE, UNSENT).await?,
                    transaction.count_by(ENTRIES, BY_STATE, HELD).await?,
                    transaction.count_by(ENTRIES, BY_STATE, REFUSED).await?,
                ))
            })
            .await?;
        let unsent: Vec<Waiting> = unsent.iter().filter_map(|row| waiting(&row)).collect();
        self.unsent.replace(unsent);
        self.status.update(|status| {
            status.held = held;
            status.refused = refused;
        });
        self.show_counts();
        Ok(())
    }

    /// Shows the counts in memory: the status line and the list of sites. They are also remembered outside the store.
    pub fn show_counts(&self) {
        self.remember();
        let session = self.session();
        let unsent = self.unsent.borrow();
        let now = clock::wall();
        let oldest = unsent.iter().map(|waiting| waiting.wall).min();
        let others = unsent
            .iter()
            .filter(|waiting| {
                session
                    .as_ref()
                    .is_none_or(|session| !waiting.queued.belongs_to(session))
            })
            .count();
        let photos = self.photos_unsent();
        let last_pull = self
            .rows
            .borrow()
            .values()
            .filter(|row| row.is_for(session.as_ref()))
            .filter_map(|row| row.last_pull)
            .max();
        self.status.update(|status| {
            status.unsent = unsent.len();
            status.oldest_unsent_minutes =
                oldest.map(|oldest| u64::try_from((now - oldest) / 60_000).unwrap_or_default());
            status.of_others = others;
            status.photos_unsent = photos;
            status.last_pull = last_pull;
        });
        let mut sites: Vec<SiteOnPhone> = self
            .rows
            .borrow()
            .values()
            .filter(|row| (row.taken || row.offered) && row.is_for(session.as_ref()))
            .map(|row| SiteOnPhone {
                card: row.card.clone(),
                taken: row.taken,
                last_pull: row.last_pull,
                unsent: unsent
                    .iter()
                    .filter(|waiting| waiting.site == row.card.site)
                    .count(),
                no_longer_yours: row.is_closed_to(session.as_ref()),
            })
            .collect();
        order::sort_by(&mut sites, |a, b| {
            (!a.taken, &a.card.name, a.card.site).cmp(&(!b.taken, &b.card.name, b.card.site))
        });
        if self.sites.with_untracked(|known| *known != sites) {
            self.sites.set(sites);
        }
    }

    /// Shows how far photos have come.
    pub fn show_photos(&self) {
        let states = self
            .photo_rows
            .borrow()
            .values()
            .map(|row| {
                let state = match (row.verified, row.sent) {
                    (true, _) => PhotoState::Verified,
                    (false, true) => PhotoState::Sent,
                    (false, false) => PhotoState::Kept,
                };
                (row.sha256.clone(), state)
            })
            .collect();
        self.photos.set(states);
        self.show_counts();
    }
}

/// What a screen sees of a site until the store has been read.
pub fn empty_view(site: SiteId) -> SiteView {
    SiteView {
        id: site,
        loaded: false,
        card: None,
        site: Arc::default(),
        records: Arc::default(),
        documents: Arc::default(),
        missing_documents: Vec::new(),
        today: None,
        unsent: 0,
        held: 0,
        refused: Vec::new(),
        last_pull: None,
    }
}

/// Digests of all documents that standing pins of a site name.
pub fn pins(site: &Site) -> Vec<String> {
    let mut pins: Vec<String> = site
        .streams()
        .values()
        .flat_map(|stream| stream.standing())
        .filter_map(|head| match &head.value {
            Some(Value::Pin(digest)) => Some(digest.clone()),
            _ => None,
        })
        .collect();
    order::sort(&mut pins);
    pins.dedup();
    pins
}

fn waiting(row: &JsValue) -> Option<Waiting> {
    let record = record(row)?;
    Some(Waiting {
        site: record.entry.site,
        wall: record.entry.stamp.wall,
        queued: Queued {
            id: record.entry.id,
            counter: record.entry.stamp.counter,
            author: record.entry.author,
            organisation: record.entry.organisation,
            raw: record.raw,
        },
    })
}
