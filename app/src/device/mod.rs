//! The phone's own store and its sync client: what a screen calls to read, to save and to send.
//!
//! Start with [`opened`], which opens the store once per page and tells when it is there; it gives a [`Device`], a
//! `Copy` handle that goes into any closure. Everything a screen shows comes from its signals ([`Device::site`],
//! [`Device::sites`], [`Device::status`], [`Device::session`]), everything it records goes through
//! [`Device::append`], which returns once the entry is saved: its IndexedDB transaction, opened with
//! `{durability: "strict"}`, has completed. Nothing here waits for the network.
//!
//! ```ignore
//! let device = device::opened();
//! view! {
//!     {move || match device.get() {
//!         Opening::Underway => view! { <p>"Opening"</p> }.into_any(),
//!         Opening::Failed(error) => view! { <p>{error.to_string()}</p> }.into_any(),
//!         Opening::Open(device) => view! { <Walk device site/> }.into_any(),
//!     }}
//! }
//! ```
//!
//! [`logic`] holds everything that needs no browser (what an entry replaces, what goes into a push, what a pull
//! changes); it compiles everywhere, so that the tests run the very code of the phone.

pub mod logic;

#[cfg(feature = "client")]
mod clock;
#[cfg(feature = "client")]
mod commit;
#[cfg(feature = "client")]
mod database;
#[cfg(feature = "client")]
mod export;
#[cfg(feature = "client")]
mod handle;
#[cfg(feature = "client")]
mod http;
#[cfg(feature = "client")]
mod inner;
#[cfg(feature = "client")]
mod leaving;
#[cfg(feature = "client")]
mod marker;
#[cfg(feature = "client")]
mod opening;
#[cfg(feature = "client")]
mod people;
#[cfg(feature = "client")]
mod photo;
#[cfg(feature = "client")]
mod recording;
#[cfg(feature = "client")]
mod rows;
#[cfg(feature = "client")]
mod showing;
#[cfg(feature = "client")]
mod solving;
#[cfg(feature = "client")]
mod sync;
#[cfg(feature = "client")]
mod types;
#[cfg(feature = "client")]
mod wake;

#[cfg(feature = "client")]
pub use clock::new_id;
#[cfg(feature = "client")]
pub use export::{copy_text, copyable};
#[cfg(feature = "client")]
pub use handle::{Device, opened};
pub use logic::leaving::Leaving;
pub use logic::writing::NewAnswer;
#[cfg(feature = "client")]
pub use solving::{Way, Working};
#[cfg(feature = "client")]
pub use types::{
    AppendError, DeviceError, Draft, ExpectedPhoto, How, KeptPhoto, Opening, PhotoError,
    PhotoState, RequestError, SignOutError, SiteOnPhone, SiteView, StorageEstimate, SyncState,
    SyncStatus, Undone,
};
