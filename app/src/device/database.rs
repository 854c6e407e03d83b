//! A thin, awaitable face of IndexedDB: transactions that say when they are really on the disk.
//!
//! Every writing transaction is opened with `{durability: "strict"}`, and [`Database::write`] returns only when it has
//! completed. A handle that the browser closed behind our back is opened again and the work tried once more.

use std::cell::{Cell, RefCell};
use std::pin::Pin;

use js_sys::{Array, Function, Object, Promise, Reflect};
use thiserror::Error;
use wasm_bindgen::closure::Closure;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{
    DomException, IdbDatabase, IdbFactory, IdbIndexParameters, IdbKeyRange, IdbObjectStore,
    IdbOpenDbRequest, IdbRequest, IdbTransaction,
};

/// Name of the database.
const NAME: &str = "setdown";
/// Version of its stores; raise it together with a step in [`upgrade`].
const VERSION: u32 = 1;

/// Small facts about the phone, by name.
pub const META: &str = "meta";
/// Sites, by id.
pub const SITES: &str = "sites";
/// Entries, by id.
pub const ENTRIES: &str = "entries";
/// Documents, by digest.
pub const DOCUMENTS: &str = "documents";
/// What is known of each photo, by hash.
pub const PHOTOS: &str = "photos";
/// The bytes of photos, by hash; apart, so that a list of photos does not load them.
pub const PHOTO_BYTES: &str = "photo_bytes";
/// Typed and not saved, by site, subject and question.
pub const DRAFTS: &str = "drafts";
/// Photos about to be taken, by site, subject and question.
pub const EXPECTED: &str = "expected_photos";
/// Index of [`ENTRIES`] by site.
pub const BY_SITE: &str = "site";
/// Index of [`ENTRIES`] by how they stand.
pub const BY_STATE: &str = "state";

/// Why the store did not do what was asked. Nothing was written.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum StoreError {
    /// No room.
    #[error("the storage is full")]
    Full,
    /// Another tab holds an older version open.
    #[error("another tab holds an older version open")]
    Blocked,
    /// A newer version of the app has made the store its own.
    #[error("a newer version of this app has taken over the store; load this page again")]
    Newer,
    /// The browser has no store, or does not open it.
    #[error("{0}")]
    Missing(String),
    /// Reading or writing failed; the text is the browser's.
    #[error("{0}")]
    Failed(String),
    /// What is stored cannot be read back.
    #[error("what is stored cannot be read: {0}")]
    Unreadable(String),
}

/// The database, open or to be opened again.
pub struct Database {
    handle: RefCell<IdbDatabase>,
    reopened: Cell<bool>,
}

impl Database {
    /// Opens the database, and makes or upgrades its stores.
    pub async fn open() -> Result<Self, StoreError> {
        Ok(Self {
            handle: RefCell::new(open_handle().await?),
            reopened: Cell::new(false),
        })
    }

    /// Whether the browser had closed the handle since this was last asked.
    pub fn take_reopened(&self) -> bool {
        self.reopened.take()
    }

    /// Does `work` in a reading transaction over `stores`.
    pub fn read<T>(
        &self,
        stores: &[&str],
        work: impl AsyncFn(&Transaction) -> Result<T, StoreError>,
    ) -> impl Future<Output = Result<T, StoreError>> {
        self.run(stores, "readonly", work)
    }

    /// Does `work` in a strict writing transaction over `stores`, and returns once it has completed. May run `work`
    /// twice; the first run's writes are undone then. `work` awaits nothing but its transaction.
    pub fn write<T>(
        &self,
        stores: &[&str],
        work: impl AsyncFn(&Transaction) -> Result<T, StoreError>,
    ) -> impl Future<Output = Result<T, StoreError>> {
        self.run(stores, "readwrite", work)
    }

    async fn run<T>(
        &self,
        stores: &[&str],
        mode: &str,
        work: impl AsyncFn(&Transaction) -> Result<T, StoreError>,
    ) -> Result<T, StoreError> {
        // A loop, not two calls: every caller compiles its own copy of what stands here.
        let mut reopened = false;
        loop {
            match self.once(stores, mode, &work).await {
                Err(StoreError::Failed(_)) if !reopened => {
                    self.reopen().await?;
                    reopened = true;
                }
                result => {
                    if reopened && result.is_ok() {
                        self.reopened.set(true);
                    }
                    return result;
                }
            }
        }
    }

    /// Background pages lose their handle; the data is untouched.
    fn reopen(&self) -> Pin<Box<dyn Future<Output = Result<(), StoreError>> + '_>> {
        Box::pin(async {
            let fresh = open_handle().await.map_err(gone)?;
            self.handle.replace(fresh).close();
            Ok(())
        })
    }

    async fn once<T>(
        &self,
        stores: &[&str],
        mode: &str,
        work: &impl AsyncFn(&Transaction) -> Result<T, StoreError>,
    ) -> Result<T, StoreError> {
        let handle = self.handle.borrow().clone();
        let transaction = Transaction::begin(&handle, stores, mode)?;
        match work(&transaction).await {
            Ok(result) => {
                transaction.completed().await?;
                Ok(result)
            }
            Err(error) => Err(transaction.undone(error).await),
        }
    }
}

/// One transaction.
pub struct Transaction {
    inner: IdbTransaction,
    done: Promise,
}

impl Transaction {
    fn begin(handle: &IdbDatabase, stores: &[&str], mode: &str) -> Result<Self, StoreError> {
        let names: Array = stores.iter().map(|name| JsValue::from_str(name)).collect();
        let options = Object::new();
        set(&options, "durability", &"strict".into());
        // Called by name: the bindings know this method only without its options.
        let begin: Function = get(handle, "transaction")
            .dyn_into()
            .map_err(|_| StoreError::Missing("this browser has no IndexedDB".to_owned()))?;
        let inner: IdbTransaction = begin
            .call3(handle, &names, &mode.into(), &options)
            .map_err(|error| failure(&error))?
            .unchecked_into();
        let done = completion(&inner);
        Ok(Self { inner, done })
    }

    fn store(&self, name: &str) -> Result<IdbObjectStore, StoreError> {
        self.inner
            .object_store(name)
            .map_err(|error| failure(&error))
    }

    /// The value under a key, `undefined` where there is none.
    pub async fn get(&self, store: &str, key: &str) -> Result<JsValue, StoreError> {
        let request = self
            .store(store)?
            .get(&key.into())
            .map_err(|error| failure(&error))?;
        result_of(request).await
    }

    /// The text under a key.
    pub async fn text(&self, store: &str, key: &str) -> Result<Option<String>, StoreError> {
        Ok(self.get(store, key).await?.as_string())
    }

    /// Every value of a store, in the order of its keys.
    pub async fn all(&self, store: &str) -> Result<Array, StoreError> {
        let request = self
            .store(store)?
            .get_all()
            .map_err(|error| failure(&error))?;
        Ok(result_of(request).await?.unchecked_into())
    }

    /// Every key of a store, in order.
    pub async fn keys(&self, store: &str) -> Result<Array, StoreError> {
        let request = self
            .store(store)?
            .get_all_keys()
            .map_err(|error| failure(&error))?;
        Ok(result_of(request).await?.unchecked_into())
    }

    /// Every value whose key begins with `prefix`.
    pub async fn all_under(&self, store: &str, prefix: &str) -> Result<Array, StoreError> {
        let range = under(prefix)?;
        let request = self
            .store(store)?
            .get_all_with_key(&range)
            .map_err(|error| failure(&error))?;
        Ok(result_of(request).await?.unchecked_into())
    }

    /// Every value that an index files under `key`.
    pub async fn all_by(&self, store: &str, index: &str, key: &str) -> Result<Array, StoreError> {
        let index = self
            .store(store)?
            .index(index)
            .map_err(|error| failure(&error))?;
        let request = index
            .get_all_with_key(&key.into())
            .map_err(|error| failure(&error))?;
        Ok(result_of(request).await?.unchecked_into())
    }

    /// Every primary key that an index files under `key`.
    pub async fn keys_by(&self, store: &str, index: &str, key: &str) -> Result<Array, StoreError> {
        let index = self
            .store(store)?
            .index(index)
            .map_err(|error| failure(&error))?;
        let request = index
            .get_all_keys_with_key(&key.into())
            .map_err(|error| failure(&error))?;
        Ok(result_of(request).await?.unchecked_into())
    }

    /// How many values an index files under `key`.
    pub async fn count_by(&self, store: &str, index: &str, key: &str) -> Result<usize, StoreError> {
        let index = self
            .store(store)?
            .index(index)
            .map_err(|error| failure(&error))?;
        let request = index
            .count_with_key(&key.into())
            .map_err(|error| failure(&error))?;
        let count = result_of(request).await?.as_f64().unwrap_or_default();
        Ok(count as usize)
    }

    /// Puts a value under a key. A failure shows when the transaction ends.
    pub fn put(&self, store: &str, key: &str, value: &JsValue) -> Result<(), StoreError> {
        let put = self.store(store)?.put_with_key(value, &key.into());
        put.map(|_| ()).map_err(|error| failure(&error))
    }

    /// Puts a text under a key. A failure shows when the transaction ends.
    pub fn put_text(&self, store: &str, key: &str, text: &str) -> Result<(), StoreError> {
        self.put(store, key, &text.into())
    }

    /// Removes what is under a key. A failure shows when the transaction ends.
    pub fn delete(&self, store: &str, key: &str) -> Result<(), StoreError> {
        let delete = self.store(store)?.delete(&key.into());
        delete.map(|_| ()).map_err(|error| failure(&error))
    }

    /// Removes everything whose key begins with `prefix`. A failure shows when the transaction ends.
    pub fn delete_under(&self, store: &str, prefix: &str) -> Result<(), StoreError> {
        let range = under(prefix)?;
        let delete = self.store(store)?.delete(&range);
        delete.map(|_| ()).map_err(|error| failure(&error))
    }

    async fn completed(self) -> Result<(), StoreError> {
        match JsFuture::from(self.done).await {
            Ok(_) => Ok(()),
            Err(error) => Err(failure(&error)),
        }
    }

    /// Undoes everything; gives the reason of the browser where it has a better one.
    async fn undone(self, error: StoreError) -> StoreError {
        // Fails where the transaction is already over, which is what is wanted.
        let _ = self.inner.abort();
        match self.completed().await {
            Err(StoreError::Full) => StoreError::Full,
            _ => error,
        }
    }
}

/// Resolves when the transaction has completed, rejects with its error when it was aborted.
fn completion(transaction: &IdbTransaction) -> Promise {
    Promise::new(&mut |resolve, reject| {
        let complete = Closure::once_into_js(move || {
            let _ = resolve.call0(&JsValue::UNDEFINED);
        });
        let over = transaction.clone();
        let abort = Closure::once_into_js(move || {
            let reason = over
                .error()
                .map_or_else(|| "the transaction was aborted".into(), JsValue::from);
            let _ = reject.call1(&JsValue::UNDEFINED, &reason);
        });
        transaction.set_oncomplete(Some(complete.unchecked_ref()));
        transaction.set_onabort(Some(abort.unchecked_ref()));
    })
}

async fn result_of(request: IdbRequest) -> Result<JsValue, StoreError> {
    let mut kept = Vec::new();
    let promise = Promise::new(&mut |resolve, reject| {
        let here = request.clone();
        let success = Closure::<dyn FnMut()>::new(move || {
            let value = here.result().unwrap_or(JsValue::UNDEFINED);
            let _ = resolve.call1(&JsValue::UNDEFINED, &value);
        });
        let here = request.clone();
        let error = Closure::<dyn FnMut()>::new(move || {
            let reason = here
                .error()
                .ok()
                .flatten()
                .map_or(JsValue::UNDEFINED, JsValue::from);
            let _ = reject.call1(&JsValue::UNDEFINED, &reason);
        });
        request.set_onsuccess(Some(success.as_ref().unchecked_ref()));
        request.set_onerror(Some(error.as_ref().unchecked_ref()));
        kept.push((success, error));
    });
    let result = JsFuture::from(promise).await;
    drop(kept);
    result.map_err(|error| failure(&error))
}

async fn open_handle() -> Result<IdbDatabase, StoreError> {
    let missing = || StoreError::Missing("it has no IndexedDB".to_owned());
    let factory: IdbFactory = get(&js_sys::global(), "indexedDB")
        .dyn_into()
        .map_err(|_| missing())?;
    let request = factory
        .open_with_u32(NAME, VERSION)
        .map_err(|error| StoreError::Missing(text_of(&error)))?;
    let upgrading = request.clone();
    let upgrade_needed = Closure::<dyn FnMut()>::new(move || {
        if let Err(error) = upgrade(&upgrading) {
            leptos::logging::error!("the store could not be made: {}", text_of(&error));
        }
    });
    request.set_onupgradeneeded(Some(upgrade_needed.as_ref().unchecked_ref()));
    let opened = opened(&request).await;
    request.set_onupgradeneeded(None);
    let handle: IdbDatabase = opened?.unchecked_into();
    let closing = handle.clone();
    // Gives way to a newer build in another tab: the next use here opens again, or is told that it is too old.
    let version_change = Closure::<dyn FnMut()>::new(move || closing.close());
    handle.set_onversionchange(Some(version_change.into_js_value().unchecked_ref()));
    Ok(handle)
}

/// A store that was open before is not missing: it does not answer just now.
fn gone(error: StoreError) -> StoreError {
    match error {
        StoreError::Missing(reason) => StoreError::Failed(reason),
        other => other,
    }
}

/// The handle, or why it does not open. A blocked opening is reported at once, not when the other tab closes.
async fn opened(request: &IdbOpenDbRequest) -> Result<JsValue, StoreError> {
    let blocked = Promise::new(&mut |resolve, _| request.set_onblocked(Some(&resolve)));
    let settled = Promise::new(&mut |resolve, reject| {
        request.set_onsuccess(Some(&resolve));
        request.set_onerror(Some(&reject));
    });
    match JsFuture::from(Promise::race(&Array::of2(&settled, &blocked))).await {
        Ok(event) if text_at(&event, "type").as_deref() == Some("blocked") => {
            Err(StoreError::Blocked)
        }
        Ok(_) => request
            .result()
            .map_err(|error| StoreError::Missing(text_of(&error))),
        Err(_) => {
            let reason = request
                .error()
                .ok()
                .flatten()
                .map_or(JsValue::UNDEFINED, JsValue::from);
            Err(match failure(&reason) {
                known @ (StoreError::Full | StoreError::Newer) => known,
                other => StoreError::Missing(other.to_string()),
            })
        }
    }
}

/// Makes the stores of this version; each is made only where it is not there yet.
fn upgrade(request: &IdbOpenDbRequest) -> Result<(), JsValue> {
    let handle: IdbDatabase = request.result()?.unchecked_into();
    let there = handle.object_store_names();
    for name in [
        META,
        SITES,
        DOCUMENTS,
        PHOTOS,
        PHOTO_BYTES,
        DRAFTS,
        EXPECTED,
    ] {
        if !there.contains(name) {
            handle.create_object_store(name)?;
        }
    }
    if !there.contains(ENTRIES) {
        let entries = handle.create_object_store(ENTRIES)?;
        for index in [BY_SITE, BY_STATE] {
            entries.create_index_with_str_and_optional_parameters(
                index,
                index,
                &IdbIndexParameters::new(),
            )?;
        }
    }
    Ok(())
}

fn under(prefix: &str) -> Result<IdbKeyRange, StoreError> {
    let end = format!("{prefix}\u{ffff}");
    IdbKeyRange::bound(&prefix.into(), &end.into()).map_err(|error| failure(&error))
}

/// What went wrong, by the name the browser gives it.
fn failure(error: &JsValue) -> StoreError {
    let name = error
        .dyn_ref::<DomException>()
        .map(DomException::name)
        .unwrap_or_default();
    match name.as_str() {
        "QuotaExceededError" => StoreError::Full,
        "VersionError" => StoreError::Newer,
        _ => StoreError::Failed(text_of(error)),
    }
}

/// A text for any error value.
pub fn text_of(error: &JsValue) -> String {
    if let Some(text) = error.as_string() {
        return text;
    }
    match (text_at(error, "name"), text_at(error, "message")) {
        (Some(name), Some(message)) if !message.is_empty() => format!("{name}: {message}"),
        (Some(name), _) => name,
        _ => "no reason given".to_owned(),
    }
}

/// A property, `undefined` where there is none.
pub fn get(target: &JsValue, name: &str) -> JsValue {
    Reflect::get(target, &name.into()).unwrap_or(JsValue::UNDEFINED)
}

/// A property that is a text.
pub fn text_at(target: &JsValue, name: &str) -> Option<String> {
    get(target, name).as_string()
}

/// Sets a property of a plain object.
pub fn set(target: &Object, name: &str, value: &JsValue) {
    // A plain, unfrozen object takes any property.
    let _ = Reflect::set(target, &name.into(), value);
}
