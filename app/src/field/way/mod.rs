//! The way in on screen: what is proved, the way played back, the moves for the crew, and other sizes tried.

mod limits;
mod moves;
mod page;
mod verdict;

pub use page::WayPage;
