//! Whether an archive can be taken at all: read from its first byte to its last before anything is written.

use std::collections::BTreeSet;
use std::io::BufRead;

use serde::de::DeserializeOwned;
use setdown_types::admission::{Address, raw_digest};
use setdown_types::digest::{digest_hex, is_digest};
use setdown_types::entry::Entry;
use setdown_types::ids::{OrganisationId, SiteId};
use setdown_types::ledger::Refusal;
use setdown_types::practice::PracticeSheet;
use setdown_types::spa::SpaSheet;

use super::ArchiveError;
use super::format::{
    ArchiveReader, DocumentLine, EntryLine, Extent, Header, Line, OrganisationLine, PhotoLine,
    SiteLine, Verdict,
};
use crate::clock;
use crate::store::documents::{PRACTICE, SPA};
use crate::store::plain;

/// What was found in an archive that can be taken.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Checked {
    /// Its first line.
    pub header: Header,
    /// The dealer.
    pub organisation: OrganisationLine,
    /// Its sites, with their names.
    pub sites: Vec<(SiteId, String)>,
    /// The digest at its end: what is written later must be the same file.
    pub digest: String,
}

/// Reads the whole archive and judges every line.
pub fn check(input: impl BufRead) -> Result<Checked, ArchiveError> {
    let (mut reader, header) = ArchiveReader::begin(input)?;
    let mut judge = Judge::new(header);
    while let Some(line) = reader.next_line()? {
        judge.take(&line).map_err(|reason| reader.wrong(&reason))?;
        if let Line::Photo(photo) = &line
            && !photo.taken_out
        {
            let bytes = reader.bytes(photo.bytes)?;
            if digest_hex(&bytes) != photo.sha256 {
                return Err(reader.wrong("the bytes of a photo do not fit its hash"));
            }
        }
    }
    let digest = reader.digest().unwrap_or_default().to_owned();
    judge
        .done()
        .map(|(organisation, sites)| Checked {
            header,
            organisation,
            sites,
            digest,
        })
        .map_err(|reason| reader.wrong(&reason))
}

/// Judges lines in their order.
struct Judge {
    header: Header,
    place: u8,
    organisation: Option<OrganisationLine>,
    documents: BTreeSet<String>,
    sites: Vec<(SiteId, String)>,
    site: Option<SiteLine>,
    /// Entries of the current site: ids, and the highest seq so far.
    entries: BTreeSet<setdown_types::ids::EntryId>,
    last_seq: u64,
    named: BTreeSet<String>,
    photos: BTreeSet<String>,
}

type Judged = Result<(), String>;

impl Judge {
    const fn new(header: Header) -> Self {
        Self {
            header,
            place: 0,
            organisation: None,
            documents: BTreeSet::new(),
            sites: Vec::new(),
            site: None,
            entries: BTreeSet::new(),
            last_seq: 0,
            named: BTreeSet::new(),
            photos: BTreeSet::new(),
        }
    }

    fn take(&mut self, line: &Line) -> Judged {
        self.follows(line)?;
        match line {
            Line::Organisation(organisation) => self.organisation(organisation),
            Line::Person(person) => {
                one_line("a person's name", &person.name)?;
                one_line("a sign-in name", &person.sign_in)?;
                self.once(format!("person {}", person.id))?;
                self.once(format!("sign-in name {}", person.sign_in))
            }
            Line::Document(document) => self.document(document),
            Line::Site(site) => self.site(site),
            Line::Invitation(invitation) => {
                one_line("an invitation's name", &invitation.name)?;
                if !is_digest(&invitation.token_hash) {
                    return Err("an invitation without the digest of its link".into());
                }
                self.once(format!("invitation {}", invitation.id))?;
                self.once(format!("link {}", invitation.token_hash))
            }
            Line::Contact(contact) => {
                for text in [
                    &contact.name,
                    &contact.phone,
                    &contact.email,
                    &contact.address,
                    &contact.access_code,
                ] {
                    one_line("a contact's line", text)?;
                }
                self.once(format!("contact {}", contact.id))
            }
            Line::Entry(entry) => self.entry(entry),
            Line::Photo(photo) => self.photo(photo),
            Line::End(_) => Ok(()),
        }
    }

    /// Lines stand in one order only, so that the same content is always the same bytes.
    fn follows(&mut self, line: &Line) -> Judged {
        let place = match line {
            Line::Organisation(_) => 1,
            Line::Person(_) => 2,
            Line::Document(_) => 3,
            Line::Site(_) => 4,
            Line::Invitation(_) => 5,
            Line::Contact(_) => 6,
            Line::Entry(_) => 7,
            Line::Photo(_) => 8,
            Line::End(_) => 9,
        };
        let personal = matches!(place, 2 | 5 | 6);
        let begins = place == 1 && self.place == 0;
        let next_site = place == 4 && (3..=7).contains(&self.place);
        let of_site = (5..=7).contains(&place) && (4..=place).contains(&self.place);
        let later = matches!(place, 2 | 3 | 8 | 9) && self.place <= place && self.place > 0;
        if !(begins || next_site || of_site || later) {
            return Err("it stands where no such line can stand".into());
        }
        if personal && !self.header.personal {
            return Err("a personal line in a file that says it has none".into());
        }
        self.place = place;
        Ok(())
    }

    fn once(&mut self, name: String) -> Judged {
        if self.named.contains(&name) {
            return Err(format!("{name} stands twice"));
        }
        self.named.insert(name);
        Ok(())
    }

    fn organisation(&mut self, organisation: &OrganisationLine) -> Judged {
        one_line("the dealer's name", &organisation.name)?;
        self.organisation = Some(organisation.clone());
        Ok(())
    }

    fn document(&mut self, document: &DocumentLine) -> Judged {
        one_line("a sheet's name", &document.name)?;
        if digest_hex(document.body.as_bytes()) != document.digest {
            return Err("the bytes of a sheet do not fit its digest".into());
        }
        let readable = match document.kind.as_str() {
            SPA => reads_as::<SpaSheet>(&document.body),
            PRACTICE => reads_as::<PracticeSheet>(&document.body),
            _ => Err("it is neither a spa sheet nor a practice sheet".into()),
        };
        readable.map_err(|reason| format!("a sheet cannot be read: {reason}"))?;
        if !self.documents.insert(document.digest.clone()) {
            return Err("a sheet stands twice".into());
        }
        Ok(())
    }

    fn site(&mut self, site: &SiteLine) -> Judged {
        self.site_done()?;
        one_line("a site's name", &site.name)?;
        if !clock::knows_zone(&site.time_zone) {
            return Err(format!("'{}' is no time zone", site.time_zone));
        }
        if ![&site.spa, &site.practice]
            .into_iter()
            .all(|digest| self.documents.contains(digest))
        {
            return Err("a site is made with a sheet that is not in the file".into());
        }
        if self.sites.last().is_some_and(|(last, _)| *last >= site.id) {
            return Err("a site stands twice or out of order".into());
        }
        if self.header.extent == Extent::Site && !self.sites.is_empty() {
            return Err("more than one site in a file of one".into());
        }
        self.sites.push((site.id, site.name.clone()));
        self.site = Some(site.clone());
        self.entries.clear();
        self.last_seq = 0;
        Ok(())
    }

    fn site_done(&self) -> Judged {
        match &self.site {
            Some(site) if site.last_seq != self.last_seq => Err(format!(
                "the site before says that it has {} accepted entries, and {} were found",
                site.last_seq, self.last_seq
            )),
            _ => Ok(()),
        }
    }

    fn entry(&mut self, line: &EntryLine) -> Judged {
        let (Some(organisation), Some(site)) = (&self.organisation, &self.site) else {
            return Err("an entry of no site".into());
        };
        let address = Address::of(&line.raw).ok_or("an entry without an address")?;
        if address.id != line.id
            || address.organisation != organisation.id
            || address.site != site.id
        {
            return Err("an entry of another id, dealer or site than its line says".into());
        }
        let readable = Entry::from_json(&line.raw).map_err(|error| error.to_string());
        match (line.verdict, line.seq, &line.refusal) {
            (Verdict::Accepted, Some(seq), None) if seq == self.last_seq + 1 => {
                readable?;
                self.last_seq = seq;
            }
            (Verdict::Accepted, ..) => {
                return Err("an accepted entry without the next seq".into());
            }
            (Verdict::Held, None, None) => {
                readable?;
            }
            (Verdict::Refused, None, Some(refusal)) => reads_as::<Refusal>(refusal)?,
            _ => return Err("an entry whose verdict and seq do not fit".into()),
        }
        let whole = line.verdict != Verdict::Refused;
        if let Some(digest) = &line.digest
            && whole
            && *digest != raw_digest(&line.raw)
        {
            return Err("the bytes of an entry do not fit its digest".into());
        }
        if !self.entries.insert(line.id) {
            return Err(format!("the entry {} stands twice", line.id));
        }
        Ok(())
    }

    fn photo(&mut self, photo: &PhotoLine) -> Judged {
        self.site_done()?;
        if !is_digest(&photo.sha256) || (photo.taken_out && photo.bytes != 0) {
            return Err("a photo's line does not fit itself".into());
        }
        if !self.photos.insert(photo.sha256.clone()) {
            return Err("a photo stands twice".into());
        }
        Ok(())
    }

    fn done(self) -> Result<(OrganisationLine, Vec<(SiteId, String)>), String> {
        self.site_done()?;
        let organisation = self.organisation.ok_or("the file names no dealer")?;
        if self.header.extent == Extent::Site && self.sites.len() != 1 {
            return Err("a file of one site without a site".into());
        }
        Ok((organisation, self.sites))
    }
}

fn reads_as<T: DeserializeOwned>(text: &str) -> Judged {
    serde_json::from_str::<T>(text)
        .map(|_| ())
        .map_err(|error| error.to_string())
}

fn one_line(what: &str, text: &str) -> Judged {
    match plain(what, text, 400) {
        Ok(same) if same == text => Ok(()),
        Ok(_) => Err(format!("{what} has blanks at its ends")),
        Err(error) => Err(error.to_string()),
    }
}

impl Checked {
    /// Which dealer.
    pub const fn dealer(&self) -> OrganisationId {
        self.organisation.id
    }
}
