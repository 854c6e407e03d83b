//! Everything on the phone as one file, for when nothing else helps: entries with their exact bytes, and the rest.

use js_sys::Array;
use serde::Serialize;
use serde_json::json;
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
use super::rows::{PhotoRow, bytes, from_text};
use super::types::DeviceError;

/// Everything on this phone.
pub async fn everything() -> Result<Blob, DeviceError> {
    let inner = inner::get();
    let parts = Array::new();
    let head = json!({
        "what": "everything that Setdown keeps on this phone",
        "version": 1,
        "device": inner.device,
        "session": inner.session(),
        "wall": clock::wall(),
    });
    let head = head.to_string();
    // The lists follow inside the same object, piece by piece, so that no text of the whole is ever needed.
    parts.push(&head.trim_end_matches('}').into());
    for (name, store) in [
        ("sites", SITES),
        ("documents", DOCUMENTS),
        ("drafts", DRAFTS),
        ("expected_photos", EXPECTED),
    ] {
        push_texts(&inner, &parts, name, store).await?;
    }
    push_entries(&inner, &parts).await?;
    push_photos(&inner, &parts).await?;
    parts.push(&"}\n".into());
    let properties = BlobPropertyBag::new();
    properties.set_type("application/json");
    Blob::new_with_str_sequence_and_options(&parts, &properties)
        .map_err(|error| DeviceError::Store(text_of(&error)))
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
    name: &str,
    store: &str,
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
        let value: serde_json::Value = from_text(&value).unwrap_or_default();
        push_item(
            parts,
            &mut first,
            &json!({"key": key.as_string(), "value": value}).to_string(),
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

async fn push_entries(inner: &Inner, parts: &Array) -> Result<(), StoreError> {
    let rows = inner
        .database
        .read(&[ENTRIES], async |transaction| {
            transaction.all(ENTRIES).await
        })
        .await?;
    begin(parts, "entries");
    let mut first = true;
    for row in rows.iter() {
        let entry = ExportedEntry {
            raw: text_at(&row, "raw"),
            standing: text_at(&row, "standing").and_then(|text| serde_json::from_str(&text).ok()),
        };
        push_item(parts, &mut first, &super::rows::to_text(&entry)?);
    }
    parts.push(&"]".into());
    Ok(())
}

async fn push_photos(inner: &Inner, parts: &Array) -> Result<(), StoreError> {
    let rows = inner
        .database
        .read(&[PHOTOS], async |transaction| transaction.all(PHOTOS).await)
        .await?;
    begin(parts, "photos");
    let mut first = true;
    for row in rows.iter().filter_map(|row| from_text::<PhotoRow>(&row)) {
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
    let blob = everything().await?;
    let day = clock::today_here()
        .map(|date| date.to_string())
        .unwrap_or_default();
    offer(&blob, &format!("setdown-phone-{day}.json"))
        .map_err(|error| DeviceError::Store(text_of(&error)))
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
