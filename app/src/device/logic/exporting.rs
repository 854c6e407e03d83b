//! What of a shared phone goes into the file that somebody saves: what they may see, and what of theirs is nowhere else.
//! With nobody signed in: what everybody may see, and all that is nowhere else, since the file may be the last of it.

use std::collections::BTreeSet;

use serde::Deserialize;
use setdown_types::ids::{DeviceId, OrganisationId, PersonId, SiteId};
use setdown_types::ledger::{Record, Standing};
use setdown_types::party::Role;
use setdown_types::question::visible;
use setdown_types::value::{PhotoRef, Value};
use setdown_types::wire::Session;

use super::drafts::is_for;
use super::photos::{PhotoRow, shown};
use super::sites::SiteRow;

/// How much stayed out of the file; it stays on the phone.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct LeftOut {
    /// Entries.
    pub entries: usize,
    /// Photos.
    pub photos: usize,
    /// Those of both that are nowhere but on this phone.
    pub only_here: usize,
    /// What others typed and did not save.
    pub drafts: usize,
}

/// What goes into the file, and what stays out of it. Asked about drafts first, then entries, sites, and photos: each goes
/// by what the ones before name.
#[derive(Debug)]
pub struct Chosen {
    device: DeviceId,
    session: Option<Session>,
    /// Photos whose bytes the server has not verified.
    owed: BTreeSet<String>,
    sites: BTreeSet<SiteId>,
    pins: BTreeSet<String>,
    photos: BTreeSet<String>,
    /// What is shown by entries and drafts that stay out.
    hidden: BTreeSet<String>,
    left: LeftOut,
}

/// What an entry says of whose it is; bytes of another version may say only some of it.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct Whose {
    organisation: Option<OrganisationId>,
    site: Option<SiteId>,
    question: Option<String>,
    author: Option<PersonId>,
}

/// What a draft says of whose it is.
#[derive(Debug, Deserialize)]
struct Typed {
    question: String,
    #[serde(default)]
    author: Option<PersonId>,
    #[serde(default)]
    text: String,
}

/// Whether an entry is nowhere but on `device`: not taken by the server, or not decided about.
pub fn is_only_on(device: DeviceId, record: &Record) -> bool {
    record.entry.device == device && !matches!(record.standing, Standing::Accepted(_))
}

impl Chosen {
    /// Nothing yet, for whoever is signed in; `photos` are all on this phone.
    pub fn new<'a>(
        device: DeviceId,
        session: Option<Session>,
        photos: impl IntoIterator<Item = &'a PhotoRow>,
    ) -> Self {
        let owed = photos.into_iter().filter(|row| !row.verified);
        Self {
            device,
            session,
            owed: owed.map(|row| row.sha256.clone()).collect(),
            sites: BTreeSet::new(),
            pins: BTreeSet::new(),
            photos: BTreeSet::new(),
            hidden: BTreeSet::new(),
            left: LeftOut::default(),
        }
    }

    /// Who is signed in.
    pub const fn session(&self) -> Option<&Session> {
        self.session.as_ref()
    }

    /// Whether an entry goes along; what it names does as well. One whose photo the server does not have is nowhere else:
    /// its facts without the picture are half of it.
    pub fn takes(&mut self, record: &Record) -> bool {
        let entry = &record.entry;
        let whose = Whose {
            organisation: Some(entry.organisation),
            site: Some(entry.site),
            question: Some(entry.question.clone()),
            author: Some(entry.author),
        };
        let owed = shown(record).is_some_and(|sha256| self.owed.contains(sha256));
        let only_here = owed || is_only_on(self.device, record);
        let goes = self.decide(&whose, only_here);
        match entry.value() {
            Some(Value::Pin(digest)) if goes => self.pins.insert(digest.clone()),
            Some(Value::Photo(photo)) if goes => self.photos.insert(photo.sha256.clone()),
            Some(Value::Photo(photo)) => self.hidden.insert(photo.sha256.clone()),
            _ => false,
        };
        goes
    }

    /// Whether an entry goes along that cannot be read, by what its bytes tell all the same. Where they do not tell whose it
    /// is, it is nobody's who is signed in.
    pub fn takes_unread(&mut self, raw: &str, only_here: bool) -> bool {
        let whose = serde_json::from_str(raw).unwrap_or_default();
        self.decide(&whose, only_here)
    }

    fn decide(&mut self, whose: &Whose, only_here: bool) -> bool {
        let goes = match &self.session {
            Some(session) => {
                let own = only_here && whose.author == Some(session.person);
                own || whose.is_theirs(session)
            }
            None => only_here || whose.is_everybodys(),
        };
        if goes {
            self.sites.extend(whose.site);
        } else {
            self.left.entries += 1;
            self.left.only_here += usize::from(only_here);
        }
        goes
    }

    /// Whether a draft goes along: one's own, or an old one without an author that one may see, on a site that is theirs
    /// (`here`). With nobody signed in each does: it is nowhere else.
    pub fn takes_draft(&mut self, text: &str, here: bool) -> bool {
        let draft = serde_json::from_str::<Typed>(text).ok();
        let goes = self.session.as_ref().is_none_or(|session| {
            draft.as_ref().is_some_and(|draft| {
                is_for(draft.author, Some(session.person))
                    && (draft.author.is_some() || here && visible(&draft.question, session.role))
            })
        });
        let photo = draft.and_then(|draft| serde_json::from_str::<PhotoRef>(&draft.text).ok());
        if let Some(photo) = photo {
            let names = if goes {
                &mut self.photos
            } else {
                &mut self.hidden
            };
            names.insert(photo.sha256);
        }
        self.left.drafts += usize::from(!goes);
        goes
    }

    /// Whether a site goes along.
    pub fn takes_site(&self, text: &str) -> bool {
        serde_json::from_str::<SiteRow>(text).is_ok_and(|row| {
            row.is_for(self.session.as_ref()) || self.sites.contains(&row.card.site)
        })
    }

    /// Whether a sheet goes along.
    pub fn takes_document(&self, digest: &str) -> bool {
        self.pins.contains(digest)
    }

    /// Whether a picture goes along. One that nothing names, its page having died under the camera, is nowhere else: it
    /// goes with whoever took it. One that was fetched is at the server.
    pub fn takes_photo(&mut self, row: &PhotoRow) -> bool {
        let me = self.session.as_ref().map(|session| session.person);
        let own = me.is_none() || is_for(row.taken_by, me);
        let unnamed =
            row.entry.is_none() && !row.verified && own && !self.hidden.contains(&row.sha256);
        let goes = unnamed || self.photos.contains(&row.sha256);
        if !goes {
            self.left.photos += 1;
            self.left.only_here += usize::from(!row.verified);
        }
        goes
    }

    /// What stayed out.
    pub const fn left(&self) -> LeftOut {
        self.left
    }
}

impl Whose {
    /// As [`super::photos::is_theirs`], where all of it is told.
    fn is_theirs(&self, session: &Session) -> bool {
        let invited = session.site;
        self.organisation == Some(session.organisation)
            && (invited.is_none() || invited == self.site)
            && self.may_be_seen_by(session.role)
    }

    fn is_everybodys(&self) -> bool {
        [Role::Coordinator, Role::Homeowner, Role::Office]
            .into_iter()
            .all(|role| self.may_be_seen_by(role))
    }

    fn may_be_seen_by(&self, role: Role) -> bool {
        let question = self.question.as_deref();
        question.is_some_and(|question| visible(question, role))
    }
}

impl LeftOut {
    /// Whether anything stayed out.
    pub const fn is_any(&self) -> bool {
        self.entries + self.photos + self.drafts > 0
    }
}

#[cfg(test)]
mod tests;
