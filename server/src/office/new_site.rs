//! A new site as the office asks for it: once by one id, however often it is asked for.

use setdown_types::admission::Writer;
use setdown_types::value::Value;
use setdown_types::wire::Session;

use super::append::arrival;
use super::{Draft, Office};
use crate::error::ServerError;
use crate::follow_up::{Follow, follow_up};
use crate::store::new_sites::NewSite;

impl Office {
    /// Makes a site with its pins and contacts, all of it or nothing; where the organisation has this very one, that
    /// stays as it is. Done in a task of its own: what follows the commit is done also where the asker goes away.
    ///
    /// # Errors
    /// [`ServerError::BadInput`] for what cannot be used, [`ServerError::SiteThere`] for another site of this id.
    pub async fn make_site(&self, caller: &Session, new: NewSite) -> Result<(), ServerError> {
        let (office, caller) = (self.clone(), caller.clone());
        tokio::spawn(async move { office.make_site_here(&caller, &new).await })
            .await
            .map_err(|error| ServerError::Internal(format!("a new site stopped: {error}")))?
    }

    async fn make_site_here(&self, caller: &Session, new: &NewSite) -> Result<(), ServerError> {
        let arrival = arrival();
        let pins = [("site.spa", &new.spa), ("site.practice", &new.practice)];
        let mut raws = Vec::new();
        for ((question, digest), counter) in pins.into_iter().zip(1..) {
            let draft = Draft::first(question, Value::Pin(digest.clone()));
            let raw = draft.entry(caller, new.site, &arrival, counter).to_json();
            raws.push(raw.ok_or_else(|| ServerError::Internal("a pin has no text".into()))?);
        }
        let raws: Vec<&str> = raws.iter().map(String::as_str).collect();
        let writer = Writer::from(caller);
        let store = &self.state.store;
        if store.make_site(&writer, &arrival, new, &raws).await? {
            let key = (caller.organisation, new.site);
            follow_up(&self.state, key, Follow::Awaited).await;
        }
        Ok(())
    }
}
