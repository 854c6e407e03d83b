//! What is on the phone as one file, for when nothing else helps: entries with their exact bytes, and the rest.

use std::collections::BTreeSet;

use js_sys::Array;
use serde::Serialize;
use serde_json::json;
use setdown_types::ids::{DeviceId, SiteId};
use setdown_types::ledger::Record;
use setdown_types::question::visible;
use setdown_types::value::{PhotoRef, Value};
use setdown_types::wire::Session;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{Blob, BlobPropertyBag, Clipboard, HtmlAnchorElement, Url};

use super::clock;
use super::database::{
    DOCUMENTS, DRAFTS, ENTRIES, EXPECTED, PHOTO_BYTES, PHOTOS, SITES, StoreError, get, text_at,
    text_of,
};
use super::inner::{self, Inner};
use super::logic::drafts::is_for;
use super::logic::exporting::{LeftOut, goes_along};
use super::rows::{DraftRow, PhotoRow, SETTLED, SiteRow, bytes, from_text, record};
use super::types::DeviceError;
use crate::words::filled;

/// What goes into the file, and what stays out of it.
#[derive(Default)]
struct Chosen {
    session: Option<Session>,
    sites: BTreeSet<SiteId>,
    pins: BTreeSet<String>,
    photos: BTreeSet<String>,
    /// What drafts show that stay out.
    others: BTreeSet<String>,
    left: LeftOut,
}

impl Chosen {
    /// Whether an entry goes along; what it names does as well.
    fn takes(&mut self, record: &Record, device: DeviceId) -> bool {
        if !goes_along(record, device, self.session.as_ref()) {
            self.left.count(record, device);
            return false;
        }
        self.sites.insert(record.entry.site);
        match record.entry.value() {
            Some(Value::Pin(digest)) => self.pins.insert(digest.clone()),
            Some(Value::Photo(photo)) => self.photos.insert(photo.sha256.clone()),
            _ => false,
        };
        true
    }

    /// Whether a draft goes along: one's own, or an old one without an author that one may see, on a site that is theirs
    /// (`here`).
    fn takes_draft(&mut self, text: &str, here: bool) -> bool {
        let draft = serde_json::from_str::<DraftRow>(text);
        let session = self.session.as_ref();
        let own = session.is_none_or(|session| {
            draft.as_ref().is_ok_and(|draft| {
                is_for(draft.author, Some(session.person))
                    && (draft.author.is_some() || here && visible(&draft.question, session.role))
            })
        });
        let photo = draft.map(|draft| serde_json::from_str::<PhotoRef>(&draft.text));
        if let Ok(Ok(photo)) = photo {
            let named = if own {
                &mut self.photos
            } else {
                &mut self.others
            };
            named.insert(photo.sha256);
        }
        self.left.drafts += usize::from(!own);
        own
    }

    /// Whether a picture goes along. One that nothing names, its page having died under the camera, is nowhere else.
    fn takes_photo(&self, row: &PhotoRow) -> bool {
        let unnamed = row.entry.is_none() && !self.others.contains(&row.sha256);
        unnamed || self.photos.contains(&row.sha256)
    }

    fn takes_site(&self, text: &str) -> bool {
        serde_json::from_str::<SiteRow>(text).is_ok_and(|row| {
            row.is_for(self.session.as_ref()) || self.sites.contains(&row.card.site)
        })
    }

    /// What stayed out, in words; nothing where nothing did.
    fn told(&self) -> Option<String> {
        let numbers = [self.left.entries, self.left.only_here, self.left.drafts];
        let [entries, only, drafts] = numbers.map(|number| number.to_string());
        let arguments = [
            ("entries", entries.as_str()),
            ("only", only.as_str()),
            ("drafts", drafts.as_str()),
        ];
        self.left
            .is_any()
            .then(|| filled("export.left_out", &arguments))
    }
}

/// Everything on this phone that whoever is signed in may see, what of theirs is nowhere else, and in words what stays out.
pub async fn everything() -> Result<(Blob, Option<String>), DeviceError> {
    let inner = inner::get();
    let mut chosen = Chosen {
        session: inner.session(),
        ..Chosen::default()
    };
    let parts = Array::new();
    let head = json!({
        "what": "everything that Setdown keeps on this phone, as far as who is signed in may see it",
        "version": 1,
        "device": inner.device,
        "session": chosen.session,
        "wall": clock::wall(),
    });
    let head = head.to_string();
    // The lists follow inside the same object, piece by piece, so that no text of the whole is ever needed.
    parts.push(&head.trim_end_matches('}').into());
    // Drafts first: what is saved meanwhile is an entry by then. Sheets and photos go by what both name.
    for (name, store) in [("drafts", DRAFTS), ("expected_photos", EXPECTED)] {
        let takes = |key: &str, text: &str| {
            let site = key
                .split('/')
                .next()
                .and_then(|site| site.parse().ok())
                .map(SiteId);
            let row = site.and_then(|site| inner.row(site));
            let here = row.is_none_or(|row| row.is_for(chosen.session.as_ref()));
            chosen.takes_draft(text, here)
        };
        push_texts(&inner, &parts, (name, store), takes).await?;
    }
    push_entries(&inner, &parts, &mut chosen).await?;
    let takes = |_: &str, text: &str| chosen.takes_site(text);
    push_texts(&inner, &parts, ("sites", SITES), takes).await?;
    let takes = |digest: &str, _: &str| chosen.pins.contains(digest);
    push_texts(&inner, &parts, ("documents", DOCUMENTS), takes).await?;
    push_photos(&inner, &parts, &chosen).await?;
    let told = chosen.told();
    parts.push(&format!(",\n\"left_out\":{}}}\n", json!(told)).into());
    let properties = BlobPropertyBag::new();
    properties.set_type("application/json");
    let blob = Blob::new_with_str_sequence_and_options(&parts, &properties)
        .map_err(|error| DeviceError::Store(text_of(&error)))?;
    Ok((blob, told))
}

fn begin(parts: &Array, name: &str) {
    parts.push(&format!(",\n\"{name}\":[").into());
}

/// Pushes one item; `first` is taken back with it.
fn push_item(parts: &Array, first: &mut bool, item: &str) {
    let comma = if std::mem::take(first) { "\n" } else { ",\n" };
    parts.push(&format!("{comma}{item}").into());
}

async fn push_texts(
    inner: &Inner,
    parts: &Array,
    (name, store): (&str, &str),
    mut takes: impl FnMut(&str, &str) -> bool,
) -> Result<(), StoreError> {
    let (keys, values) = inner
        .database
        .read(&[store], async |transaction| {
            Ok((
                transaction.keys(store).await?,
                transaction.all(store).await?,
            ))
        })
        .await?;
    begin(parts, name);
    let mut first = true;
    for (key, value) in keys.iter().zip(values.iter()) {
        let (key, text) = (key.as_string(), value.as_string().unwrap_or_default());
        if !takes(key.as_deref().unwrap_or_default(), &text) {
            continue;
        }
        let value: serde_json::Value = serde_json::from_str(&text).unwrap_or_default();
        push_item(
            parts,
            &mut first,
            &json!({"key": key, "value": value}).to_string(),
        );
    }
    parts.push(&"]".into());
    Ok(())
}

#[derive(Serialize)]
struct ExportedEntry {
    raw: Option<String>,
    standing: Option<serde_json::Value>,
}

/// What cannot be read says nothing of whose it is: it goes along only where it is nowhere else.
async fn push_entries(inner: &Inner, parts: &Array, chosen: &mut Chosen) -> Result<(), StoreError> {
    let rows = inner
        .database
        .read(&[ENTRIES], async |transaction| {
            transaction.all(ENTRIES).await
        })
        .await?;
    begin(parts, "entries");
    let mut first = true;
    for row in rows.iter() {
        let takes = match record(&row) {
            Some(record) => chosen.takes(&record, inner.device),
            None => text_at(&row, "state").as_deref() != Some(SETTLED),
        };
        if !takes {
            continue;
        }
        let entry = ExportedEntry {
            raw: text_at(&row, "raw"),
            standing: text_at(&row, "standing").and_then(|text| serde_json::from_str(&text).ok()),
        };
        push_item(parts, &mut first, &super::rows::to_text(&entry)?);
    }
    parts.push(&"]".into());
    Ok(())
}

async fn push_photos(inner: &Inner, parts: &Array, chosen: &Chosen) -> Result<(), StoreError> {
    let rows = inner
        .database
        .read(&[PHOTOS], async |transaction| transaction.all(PHOTOS).await)
        .await?;
    begin(parts, "photos");
    let mut first = true;
    let photos = rows.iter().filter_map(|row| from_text::<PhotoRow>(&row));
    for row in photos.filter(|row| chosen.takes_photo(row)) {
        let stored = inner
            .database
            .read(&[PHOTO_BYTES], async |transaction| {
                transaction.get(PHOTO_BYTES, &row.sha256).await
            })
            .await?;
        let base64 = bytes(&stored).as_deref().and_then(base64);
        push_item(
            parts,
            &mut first,
            &json!({"photo": row, "base64": base64}).to_string(),
        );
    }
    parts.push(&"]".into());
    Ok(())
}

/// Base64 by the browser's own `btoa`, which takes one character per byte.
fn base64(bytes: &[u8]) -> Option<String> {
    let characters: String = bytes.iter().map(|byte| char::from(*byte)).collect();
    web_sys::window()?.btoa(&characters).ok()
}

/// Hands the file to the browser as a download.
pub async fn download() -> Result<(), DeviceError> {
    let (blob, told) = everything().await?;
    let day = clock::today_here()
        .map(|date| date.to_string())
        .unwrap_or_default();
    offer(&blob, &format!("setdown-phone-{day}.json"))
        .map_err(|error| DeviceError::Store(text_of(&error)))?;
    if let Some(told) = told {
        inner::get().note(&told);
    }
    Ok(())
}

fn offer(blob: &Blob, name: &str) -> Result<(), JsValue> {
    let document = web_sys::window()
        .and_then(|window| window.document())
        .ok_or("there is no page")?;
    let address = Url::create_object_url_with_blob(blob)?;
    let link: HtmlAnchorElement = document.create_element("a")?.unchecked_into();
    link.set_href(&address);
    link.set_download(name);
    link.click();
    // The address stays until the page closes: revoking it now would cut the download short in some browsers.
    Ok(())
}

/// Puts a text on the clipboard; `false` where the browser does not let us.
pub async fn copy_text(text: &str) -> bool {
    // Missing outside secure contexts.
    let clipboard = web_sys::window().map(|window| get(&window.navigator(), "clipboard"));
    let Some(Ok(clipboard)) = clipboard.map(JsCast::dyn_into::<Clipboard>) else {
        return false;
    };
    JsFuture::from(clipboard.write_text(text)).await.is_ok()
}

/// The text of one entry for the clipboard: its exact bytes, set out to be read.
pub fn copyable(record: &Record) -> String {
    serde_json::from_str::<serde_json::Value>(&record.raw)
        .and_then(|value| serde_json::to_string_pretty(&value))
        .unwrap_or_else(|_| record.raw.clone())
}
