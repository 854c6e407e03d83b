//! A site as its page shows it: the answer of the server with its ledger folded, and what the page's parts share.

use std::collections::BTreeMap;
use std::sync::Arc;

use leptos::prelude::*;
use setdown_rules::Assessment;
use setdown_rules::frame::spread::by_method;
use setdown_types::entry::Entry;
use setdown_types::ids::{EntryId, PersonId, SiteId};
use setdown_types::ledger::{Record, Standing, fold};
use setdown_types::quantity::{Quantity, UnitSystem};
use setdown_types::site::{Site, Stream, StreamState};
use setdown_types::value::Value;

use super::live::Live;
use super::messages::SiteView;
use crate::parts::answer::shown;
use crate::words::{Wording, instant_text, word};

/// A site with its ledger folded.
#[derive(Debug, Clone, PartialEq)]
pub struct Loaded {
    /// As the server told it.
    pub view: SiteView,
    /// Folded here, from the very entries listed.
    pub site: Arc<Site>,
    /// What the rules say.
    pub assessment: Arc<Assessment>,
    /// Every entry that can be read, by id.
    pub records: BTreeMap<EntryId, Record>,
}

impl Loaded {
    /// Folds the ledger of an answer.
    pub fn new(view: SiteView) -> Self {
        let records: BTreeMap<EntryId, Record> = view
            .records
            .iter()
            .filter_map(|record| record.record())
            .map(|record| (record.entry.id, record))
            .collect();
        let site = Arc::new(fold(records.values()));
        Self {
            site,
            assessment: Arc::new(view.assessment.clone()),
            records,
            view,
        }
    }

    /// Shown name of a person.
    pub fn person(&self, person: PersonId) -> String {
        self.view
            .people
            .get(&person)
            .cloned()
            .unwrap_or_else(|| word("office.somebody"))
    }

    /// A moment by the site's own clock.
    pub fn moment(&self, milliseconds: i64) -> String {
        instant_text(milliseconds, i64::from(self.view.offset_minutes))
    }

    /// When an entry was written: by the server's clock where that is known, else by its device's.
    pub fn written_at(&self, record: &Record) -> i64 {
        match &record.standing {
            Standing::Accepted(acceptance) => {
                acceptance.effective_at.unwrap_or(acceptance.received_at)
            }
            Standing::Unsent | Standing::Held | Standing::Refused(_) => record.entry.stamp.wall,
        }
    }

    /// What an entry says, with its spread.
    pub fn said(&self, entry: &Entry, system: UnitSystem) -> Option<String> {
        let value = entry.value()?;
        let text = match value {
            Value::Pin(digest) => self.sheet_name(digest),
            _ => shown(&entry.question, value, system),
        };
        Some(match self.spread(entry) {
            Some(spread) if spread.base > 0 => {
                let spread = Wording { system, site: None }.quantity(spread.dimension, spread.si());
                format!("{text} ± {spread}")
            }
            _ => text,
        })
    }

    /// The spread of a measure: as stated, else by its method.
    fn spread(&self, entry: &Entry) -> Option<Quantity> {
        let Value::Measure(measure) = entry.value()? else {
            return None;
        };
        let quantity = measure.quantity();
        match entry.spread {
            Some(base) => Some(Quantity::new(quantity.dimension, base)),
            None => {
                let si = by_method(
                    &self.view.practice_sheet,
                    entry.method,
                    quantity.dimension,
                    quantity.si(),
                );
                Quantity::from_si(quantity.dimension, si).ok()
            }
        }
    }

    fn sheet_name(&self, digest: &str) -> String {
        let known = [&self.view.spa, &self.view.practice]
            .into_iter()
            .find(|sheet| sheet.digest == digest);
        known.map_or_else(|| short_digest(digest), |sheet| sheet.name.clone())
    }

    /// Streams with answers that nobody has settled.
    pub fn disagreements(&self) -> usize {
        self.site
            .streams()
            .values()
            .filter(|stream| disagrees(stream))
            .count()
    }
}

/// Whether people who did not know of each other answered differently and nobody has settled it.
pub const fn disagrees(stream: &Stream) -> bool {
    matches!(stream.state, StreamState::Conflict { .. })
}

/// The beginning of a digest, enough to tell revisions apart.
pub fn short_digest(digest: &str) -> String {
    digest.chars().take(12).collect()
}

/// What every part of the site page needs.
#[derive(Clone, Copy)]
pub struct OnSite {
    /// Which site.
    pub id: SiteId,
    /// The site as last heard.
    pub loaded: Signal<Arc<Loaded>>,
    /// Loads it again after a change made here.
    pub live: Live<Loaded>,
}

impl OnSite {
    /// Part of the site that changes only when its own content does.
    pub fn part<T>(self, of: impl Fn(&Loaded) -> T + Send + Sync + 'static) -> Memo<T>
    where
        T: PartialEq + Send + Sync + 'static,
    {
        let loaded = self.loaded;
        Memo::new(move |_| of(&loaded.get()))
    }
}

/// What the parts share.
///
/// The site page provides it around everything it shows.
pub fn on_site() -> OnSite {
    expect_context::<OnSite>()
}
