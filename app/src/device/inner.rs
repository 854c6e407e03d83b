//! The one open store of the page and its signals.
use std::collections::BTreeMap;
use std::rc::Rc;
use std::cell::RefCell;
use leptos::prelude::*;
use setdown_types::ids::{DeviceId, SiteId};
use setdown_types::wire::Session;
use web_sys::Blob;
use super::types::*;
use super::Device;
pub struct Inner { pub device: DeviceId, pub session: RwSignal<Option<Session>>, pub sites: RwSignal<Vec<SiteOnPhone>>, pub photos: RwSignal<BTreeMap<String, PhotoState>>, pub status: RwSignal<SyncStatus> }
thread_local! { static INNER: RefCell<Option<Rc<Inner>>> = const { RefCell::new(None) }; }
pub fn get() -> Rc<Inner> { INNER.with_borrow(|inner| inner.clone()).expect("a Device is given out after the store is open") }
pub fn opened() -> Signal<Opening> { Signal::stored(Opening::Underway) }
pub async fn open() -> Result<Device, DeviceError> { let _ = Device::new(); Err(DeviceError::NoStore("not there yet".into())) }
pub async fn leave_behind(_: SiteId) -> Result<(), DeviceError> { Err(DeviceError::UnknownSite) }
pub fn site(_: SiteId) -> Signal<SiteView> { let s: Option<Signal<SiteView>> = None; s.expect("not open") }
pub fn announce(_: &str) {}
pub async fn export() -> Result<Blob, DeviceError> { Err(DeviceError::UnknownSite) }
pub async fn download() -> Result<(), DeviceError> { Err(DeviceError::UnknownSite) }
