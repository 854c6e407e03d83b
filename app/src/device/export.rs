//! What is on the phone as one file, for when nothing else helps: entries with their exact bytes, and the rest.

use js_sys::Array;
use serde::Serialize;
use serde_json::json;
use setdown_types::ids::SiteId;
use setdown_types::ledger::Record;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{Blob, BlobPropertyBag, Clipboard, HtmlAnchorElement, Url};

use super::clock;
use super::database::{
    DOCUMENTS, DRAFTS, ENTRIES, EXPECTED, PHOTO_BYTES, PHOTOS, SITES, StoreError, get, text_at,
    text_of,
};
use super::inner::{self, Inner};
use super::logic::exporting::{Chosen, LeftOut};
use super::rows::{PhotoRow, SETTLED, bytes, from_text, record};
use super::types::DeviceError;
use crate::words::filled;

/// What stayed out, in words; nothing where nothing did.
fn told(left: LeftOut) -> Option<String> {
    let numbers = [left.entries, left.photos, left.only_here, left.drafts];
    let [entries, photos, only, drafts] = numbers.map(|number| number.to_string());
    let arguments = [
        ("entries", entries.as_str()),
        ("photos", photos.as_str()),
        ("only", only.as_str()),
        ("drafts", drafts.as_str()),
    ];
    left.is_any().then(|| filled("export.left_out", &arguments))
}

/// Everything on this phone that whoever is signed in may see, what of theirs is nowhere else, and in words what stays out.
pub async fn everything() -> Result<(Blob, Option<String>), DeviceError> {
    let inner = inner::get();
    let photos = inner.photo_rows.borrow().clone();
    let mut chosen = Chosen::new(inner.device, inner.session(), photos.values());
    let parts = Array::new();
    let head = json!({
        "what": "everything that Setdown keeps on this phone, as far as who is signed in may see it",
        "version": 1,
        "device": inner.device,
        "session": chosen.session(),
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
            let here = row.is_none_or(|row| row.is_for(chosen.session()));
            chosen.takes_draft(text, here)
        };
        push_texts(&inner, &parts, (name, store), takes).await?;
    }
    push_entries(&inner, &parts, &mut chosen).await?;
    let takes = |_: &str, text: &str| chosen.takes_site(text);
    push_texts(&inner, &parts, ("sites", SITES), takes).await?;
    let takes = |digest: &str, _: &str| chosen.takes_document(digest);
    push_texts(&inner, &parts, ("documents", DOCUMENTS), takes).await?;
    push_photos(&inner, &parts, &mut chosen).await?;
    let told = told(chosen.left());
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
            Some(record) => chosen.takes(&record),
            None => {
                let only_here = text_at(&row, "state").as_deref() != Some(SETTLED);
                chosen.takes_unread(&text_at(&row, "raw").unwrap_or_default(), only_here)
            }
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

async fn push_photos(inner: &Inner, parts: &Array, chosen: &mut Chosen) -> Result<(), StoreError> {
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
