//! Photos: turned upright, made smaller, freed of their location, kept as bytes, sent after the entry that names them.
//!
//! Drawing the picture on a canvas and encoding it anew is what drops everything but the pixels. Bytes are kept as
//! `Uint8Array`: some browsers give stored Blobs back empty.

use std::collections::BTreeSet;
use std::rc::Rc;

use js_sys::{Array, ArrayBuffer, Function, Object, Promise, Uint8Array};
use setdown_types::digest::digest_hex;
use setdown_types::ledger::Record;
use setdown_types::value::PhotoRef;
use setdown_types::wire::{PhotoStored, Session};
use wasm_bindgen::closure::Closure;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{
    Blob, BlobPropertyBag, CanvasRenderingContext2d, HtmlCanvasElement, ImageBitmap, Url,
};

use super::database::{
    DRAFTS, ENTRIES, PHOTO_BYTES, PHOTOS, StoreError, Transaction, get, set, text_at, text_of,
};
use super::inner::{self, Inner};
use super::logic::photos;
use super::rows::{DraftRow, PhotoRow, bytes, from_text, record, to_text};
use super::types::{KeptPhoto, PhotoError, RequestError};
use super::wake::{self, Told};
use super::{clock, http};

/// The longest side of a kept photo, pixels.
const LONG_SIDE: f64 = 2048.0;
/// JPEG quality, 0 to 1.
const QUALITY: f64 = 0.85;
/// Media type of kept photos.
const JPEG: &str = "image/jpeg";

/// A picture made ready to be kept.
struct Prepared {
    bytes: Vec<u8>,
    width: u32,
    height: u32,
}

/// Keeps a picture.
pub async fn keep(picture: &Blob) -> Result<KeptPhoto, PhotoError> {
    let inner = inner::get();
    let taken_by = inner.session().map(|session| session.person);
    let prepared = prepare(picture)
        .await
        .map_err(|error| PhotoError::Unreadable(text_of(&error)))?;
    let sha256 = digest_hex(&prepared.bytes);
    let photo = PhotoRef {
        sha256: sha256.clone(),
        media_type: JPEG.to_owned(),
        width: prepared.width,
        height: prepared.height,
        bytes: u32::try_from(prepared.bytes.len())
            .map_err(|_| PhotoError::Unreadable("it is too large".to_owned()))?,
    };
    let known = inner.photo_rows.borrow().get(&sha256).cloned();
    let row = known.unwrap_or_else(|| PhotoRow {
        sha256: sha256.clone(),
        media_type: JPEG.to_owned(),
        verified: false,
        sent: false,
        entry: None,
        also: Vec::new(),
        taken_by,
        wall: clock::wall(),
    });
    let mut written = put(&inner, &row, &prepared.bytes).await;
    if written == Err(StoreError::Full) && make_room(&inner).await {
        written = put(&inner, &row, &prepared.bytes).await;
    }
    written.map_err(photo_error)?;
    let back = stored(&inner, &sha256).await.map_err(photo_error)?;
    if back.as_deref() != Some(prepared.bytes.as_slice()) {
        return Err(PhotoError::Store(
            "what was read back is not what was written".to_owned(),
        ));
    }
    inner.note_reopened();
    inner.photo_rows.borrow_mut().insert(sha256.clone(), row);
    inner.show_photos();
    wake::tell(&inner, Told::Photos);
    let address = address_of(&inner, &sha256, &prepared.bytes, JPEG)
        .map_err(|error| PhotoError::Store(text_of(&error)))?;
    Ok(KeptPhoto { photo, address })
}

fn photo_error(error: StoreError) -> PhotoError {
    match error {
        StoreError::Full => PhotoError::Full,
        other => PhotoError::Store(other.to_string()),
    }
}

async fn put(inner: &Inner, row: &PhotoRow, bytes: &[u8]) -> Result<(), StoreError> {
    let text = to_text(row)?;
    let array = Uint8Array::from(bytes);
    inner
        .database
        .write(&[PHOTOS, PHOTO_BYTES], async |transaction| {
            transaction.put(PHOTO_BYTES, &row.sha256, &array)?;
            transaction.put_text(PHOTOS, &row.sha256, &text)
        })
        .await
}

async fn stored(inner: &Inner, sha256: &str) -> Result<Option<Vec<u8>>, StoreError> {
    inner
        .database
        .read(&[PHOTO_BYTES], async |transaction| {
            Ok(bytes(&transaction.get(PHOTO_BYTES, sha256).await?))
        })
        .await
}

/// Removes the bytes of photos that the server has verified; they can be fetched again. `false`: there were none.
pub async fn make_room(inner: &Inner) -> bool {
    let verified: Vec<String> = inner
        .photo_rows
        .borrow()
        .values()
        .filter(|row| row.verified)
        .map(|row| row.sha256.clone())
        .collect();
    if verified.is_empty() {
        return false;
    }
    let removed = inner
        .database
        .write(&[PHOTOS, PHOTO_BYTES], async |transaction| {
            verified.iter().try_for_each(|sha256| {
                transaction.delete(PHOTO_BYTES, sha256)?;
                transaction.delete(PHOTOS, sha256)
            })
        })
        .await;
    if removed.is_ok() {
        inner.photo_rows.borrow_mut().retain(|_, row| !row.verified);
        inner.show_photos();
        wake::tell(inner, Told::Photos);
    }
    removed.is_ok()
}

/// Upright, at most [`LONG_SIDE`] long, encoded anew.
async fn prepare(picture: &Blob) -> Result<Prepared, JsValue> {
    let bitmap = bitmap(picture).await?;
    let scale = (LONG_SIDE / f64::from(bitmap.width().max(bitmap.height()).max(1))).min(1.0);
    let side = |pixels: u32| (f64::from(pixels) * scale).round().max(1.0) as u32;
    let (width, height) = (side(bitmap.width()), side(bitmap.height()));
    let canvas = canvas(width, height)?;
    let context: CanvasRenderingContext2d = canvas
        .get_context("2d")?
        .ok_or("this browser has no canvas")?
        .unchecked_into();
    // See-through parts of a picture come out white, not black.
    context.set_fill_style_str("#ffffff");
    context.fill_rect(0.0, 0.0, f64::from(width), f64::from(height));
    set(
        context.unchecked_ref(),
        "imageSmoothingQuality",
        &"high".into(),
    );
    context.draw_image_with_image_bitmap_and_dw_and_dh(
        &bitmap,
        0.0,
        0.0,
        f64::from(width),
        f64::from(height),
    )?;
    bitmap.close();
    let encoded = encoded(&canvas).await?;
    // Frees the pixels now: phones allow little canvas memory.
    canvas.set_width(0);
    let buffer: ArrayBuffer = JsFuture::from(encoded.array_buffer())
        .await?
        .unchecked_into();
    Ok(Prepared {
        bytes: Uint8Array::new(&buffer).to_vec(),
        width,
        height,
    })
}

fn canvas(width: u32, height: u32) -> Result<HtmlCanvasElement, JsValue> {
    let document = web_sys::window()
        .and_then(|window| window.document())
        .ok_or("there is no page")?;
    let canvas: HtmlCanvasElement = document.create_element("canvas")?.unchecked_into();
    canvas.set_width(width);
    canvas.set_height(height);
    Ok(canvas)
}

/// The decoded picture, turned as its camera was held.
async fn bitmap(picture: &Blob) -> Result<ImageBitmap, JsValue> {
    let global = js_sys::global();
    let create: Function = get(&global, "createImageBitmap")
        .dyn_into()
        .map_err(|_| "this browser cannot read pictures")?;
    let options = Object::new();
    set(&options, "imageOrientation", &"from-image".into());
    let promise: Promise = create.call2(&global, picture, &options)?.unchecked_into();
    Ok(JsFuture::from(promise).await?.unchecked_into())
}

async fn encoded(canvas: &HtmlCanvasElement) -> Result<Blob, JsValue> {
    let mut failed = None;
    let promise = Promise::new(&mut |resolve, _| {
        let done = Closure::once_into_js(move |blob: JsValue| {
            let _ = resolve.call1(&JsValue::UNDEFINED, &blob);
        });
        let quality = JsValue::from_f64(QUALITY);
        failed = canvas
            .to_blob_with_type_and_encoder_options(done.unchecked_ref(), JPEG, &quality)
            .err();
    });
    if let Some(error) = failed {
        return Err(error);
    }
    JsFuture::from(promise)
        .await?
        .dyn_into()
        .map_err(|_| "the picture could not be encoded".into())
}

/// An address for a photo from this phone, else from the server.
pub async fn address(sha256: &str) -> Result<String, RequestError> {
    let inner = inner::get();
    if let Some(address) = inner.photo_addresses.borrow().get(sha256) {
        return Ok(address.clone());
    }
    let known = inner.photo_rows.borrow().get(sha256).cloned();
    let media_type = known.map_or_else(|| JPEG.to_owned(), |row| row.media_type);
    let bytes = match stored(&inner, sha256).await? {
        Some(bytes) => bytes,
        None => fetched(&inner, sha256).await?,
    };
    address_of(&inner, sha256, &bytes, &media_type)
        .map_err(|error| RequestError::Answer(text_of(&error)))
}

/// Fetches a photo, checks it, and keeps it for when there is no signal.
async fn fetched(inner: &Rc<Inner>, sha256: &str) -> Result<Vec<u8>, RequestError> {
    let bytes = http::get_bytes(&format!("/api/photos/{sha256}")).await?;
    if digest_hex(&bytes) != sha256 {
        return Err(RequestError::Answer(
            "the photo's bytes are not the ones that were asked for".to_owned(),
        ));
    }
    let row = PhotoRow {
        sha256: sha256.to_owned(),
        media_type: media_type_of(&bytes).to_owned(),
        verified: true,
        sent: true,
        entry: None,
        also: Vec::new(),
        taken_by: None,
        wall: clock::wall(),
    };
    // A copy for later is worth having, not worth an error.
    if put(inner, &row, &bytes).await.is_ok() {
        inner.photo_rows.borrow_mut().insert(sha256.to_owned(), row);
        inner.show_photos();
    }
    Ok(bytes)
}

/// The media type by the first bytes: PNG, WebP, else JPEG.
fn media_type_of(bytes: &[u8]) -> &'static str {
    match bytes {
        [0x89, b'P', b'N', b'G', ..] => "image/png",
        [b'R', b'I', b'F', b'F', ..] => "image/webp",
        _ => JPEG,
    }
}

fn address_of(
    inner: &Inner,
    sha256: &str,
    bytes: &[u8],
    media_type: &str,
) -> Result<String, JsValue> {
    let properties = BlobPropertyBag::new();
    properties.set_type(media_type);
    let parts = Array::of1(&Uint8Array::from(bytes));
    let blob = Blob::new_with_u8_array_sequence_and_options(&parts, &properties)?;
    let address = Url::create_object_url_with_blob(&blob)?;
    inner
        .photo_addresses
        .borrow_mut()
        .insert(sha256.to_owned(), address.clone());
    Ok(address)
}

/// How many photos wait that this person can send.
pub async fn owed_by(inner: &Inner, session: &Session) -> Result<usize, StoreError> {
    let mut owed = 0;
    for row in waiting(inner) {
        let records = records_of(inner, &row).await?;
        let theirs = records
            .iter()
            .filter(|record| photos::is_theirs(record, session));
        owed += usize::from(row.is_owed(theirs));
    }
    Ok(owed)
}

fn waiting(inner: &Inner) -> Vec<PhotoRow> {
    let rows = inner.photo_rows.borrow();
    rows.values().filter(|row| row.waits()).cloned().collect()
}

/// Sends the bytes of every photo whose entry the server has accepted, facts first; those of somebody else's wait for them.
pub async fn send_all(inner: &Inner) -> Result<(), RequestError> {
    let mut trouble = None;
    for row in waiting(inner) {
        let records = records_of(inner, &row).await?;
        let Some(session) = inner.session() else {
            break;
        };
        let theirs = records
            .iter()
            .filter(|record| photos::is_theirs(record, &session));
        if !row.may_go(theirs) {
            continue;
        }
        match send(inner, row).await {
            // It asks for a pause: the others would only be refused as well.
            Err(error @ RequestError::Server { status: 429, .. }) => return Err(error),
            // One photo that the server does not take holds up no other.
            Err(error @ (RequestError::Server { .. } | RequestError::Answer(_))) => {
                trouble.get_or_insert(error);
            }
            other => other?,
        }
    }
    trouble.map_or(Ok(()), Err)
}

/// The entries that name it, as they stand on this phone.
async fn records_of(inner: &Inner, row: &PhotoRow) -> Result<Vec<Record>, StoreError> {
    let keys: Vec<String> = row.entries().map(|entry| entry.to_string()).collect();
    inner
        .database
        .read(&[ENTRIES], async |transaction| {
            let mut records = Vec::new();
            for key in &keys {
                records.extend(record(&transaction.get(ENTRIES, key).await?));
            }
            Ok(records)
        })
        .await
}

/// Removes photos that no entry and no draft names any more: once per page, and after content was taken out.
pub async fn tidy(inner: &Inner) -> Result<(), StoreError> {
    if inner.photo_rows.borrow().is_empty() || !inner.syncing.take_untidy() {
        return Ok(());
    }
    let now = clock::wall();
    let stores = [ENTRIES, DRAFTS, PHOTOS, PHOTO_BYTES];
    let removed = inner
        .database
        .write(&stores, async |transaction| {
            let named = named(transaction).await?;
            let rows = transaction.all(PHOTOS).await?;
            let gone: Vec<String> = rows
                .iter()
                .filter_map(|row| from_text::<PhotoRow>(&row))
                .filter(|row| row.is_done_with(&named, now))
                .map(|row| row.sha256)
                .collect();
            gone.iter().try_for_each(|sha256| {
                transaction.delete(PHOTO_BYTES, sha256)?;
                transaction.delete(PHOTOS, sha256)
            })?;
            Ok(gone)
        })
        .await;
    if removed.is_err() {
        inner.syncing.photos_untidy();
    }
    forgotten(inner, &removed?);
    Ok(())
}

/// The hashes of all photos that an entry shows or a draft names.
async fn named(transaction: &Transaction) -> Result<BTreeSet<String>, StoreError> {
    let entries = transaction.all(ENTRIES).await?;
    let shown = entries
        .iter()
        .filter(|row| text_at(row, "raw").is_some_and(|raw| raw.contains("sha256")))
        .filter_map(|row| record(&row))
        .filter_map(|record| photos::shown(&record).map(str::to_owned));
    let drafts = transaction.all(DRAFTS).await?;
    let drafted = drafts
        .iter()
        .filter_map(|row| from_text::<DraftRow>(&row))
        .filter_map(|draft| serde_json::from_str::<PhotoRef>(&draft.text).ok())
        .map(|photo| photo.sha256);
    Ok(shown.chain(drafted).collect())
}

/// Carries into memory and screens that photos are gone.
fn forgotten(inner: &Inner, gone: &[String]) {
    if gone.is_empty() {
        return;
    }
    inner
        .photo_rows
        .borrow_mut()
        .retain(|sha256, _| !gone.contains(sha256));
    inner
        .photo_addresses
        .borrow_mut()
        .retain(|sha256, _| !gone.contains(sha256));
    inner.show_photos();
    wake::tell(inner, Told::Photos);
}

async fn send(inner: &Inner, mut row: PhotoRow) -> Result<(), RequestError> {
    let Some(bytes) = stored(inner, &row.sha256).await? else {
        return Ok(());
    };
    let path = format!("/api/photos/{}", row.sha256);
    let stored: PhotoStored = match http::put_photo(&path, &bytes, &row.media_type).await {
        // Taken out by the office: nobody keeps it any more.
        Err(RequestError::Server { status: 410, .. }) => return forget(inner, &row.sha256).await,
        // Not shown to this person any more. Where an entry here still shows it, the server has lost that entry, and the
        // bytes wait until it is there again.
        Err(RequestError::Server { status: 404, .. })
            if !row.may_go(&records_of(inner, &row).await?) =>
        {
            return forget(inner, &row.sha256).await;
        }
        answer => answer?,
    };
    if stored.sha256 != row.sha256 || u64::try_from(bytes.len()) != Ok(stored.bytes) {
        return Err(RequestError::Answer(
            "the server holds other bytes than this photo's".to_owned(),
        ));
    }
    row.sent = true;
    row.verified = true;
    let text = to_text(&row)?;
    inner
        .database
        .write(&[PHOTOS], async |transaction| {
            transaction.put_text(PHOTOS, &row.sha256, &text)
        })
        .await?;
    inner
        .photo_rows
        .borrow_mut()
        .insert(row.sha256.clone(), row);
    inner.show_photos();
    wake::tell(inner, Told::Photos);
    Ok(())
}

/// Removes a photo from this phone.
async fn forget(inner: &Inner, sha256: &str) -> Result<(), RequestError> {
    inner
        .database
        .write(&[PHOTOS, PHOTO_BYTES], async |transaction| {
            transaction.delete(PHOTO_BYTES, sha256)?;
            transaction.delete(PHOTOS, sha256)
        })
        .await?;
    forgotten(inner, &[sha256.to_owned()]);
    Ok(())
}
