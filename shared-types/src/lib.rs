//! The words of Setdown: quantities with spread, questions, the ledger and its folding, sites,
//! spas, practice sheets, parties and wire messages. Pure data and pure functions: nothing here
//! reads a clock, random numbers, files or the network.

pub mod admission;
pub mod civil;
pub mod digest;
pub mod entry;
pub mod ids;
pub mod ledger;
pub mod order;
pub mod party;
pub mod practice;
pub mod quantity;
pub mod question;
pub mod site;
pub mod spa;
pub mod subject;
pub mod value;
pub mod wire;
