//! Recording: answers, strikes and undo; drafts and photos about to be taken.

use std::collections::BTreeSet;
use std::rc::Rc;

use setdown_types::entry::Entry;
use setdown_types::ids::{EntryId, PersonId, SiteId};
use setdown_types::ledger::{Record, fold};
use setdown_types::site::Site;
use setdown_types::subject::Subject;
use setdown_types::value::Value;

use super::commit::{CommitError, Plan};
use super::database::{DRAFTS, EXPECTED, META, StoreError, Transaction};
use super::inner::{self, Inner};
use super::logic::drafts::{self, is_for};
use super::logic::replica::Replica;
use super::logic::writing::{Author, ComposeError, Composed, Undo, compose, compose_strike, undo};
use super::rows::{DraftRow, from_text, to_text};
use super::types::*;
use super::{NewAnswer, clock, photo, sync, wake};

/// Saves one answer.
pub async fn append(answer: NewAnswer) -> Result<EntryId, AppendError> {
    let ids = append_all(vec![answer]).await?;
    ids.first().copied().ok_or(AppendError::Nothing)
}

/// Saves several answers of one site in one transaction.
pub async fn append_all(answers: Vec<NewAnswer>) -> Result<Vec<EntryId>, AppendError> {
    append_each(answers, Typing::Done).await
}

/// What becomes of what is being typed to the same question.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Typing {
    /// It is what is saved.
    Done,
    /// It stays: something else is written than was typed.
    Stays,
}

async fn append_each(answers: Vec<NewAnswer>, typing: Typing) -> Result<Vec<EntryId>, AppendError> {
    let inner = inner::get();
    let Some(site) = answers.first().map(|answer| answer.site) else {
        return Ok(Vec::new());
    };
    if answers.iter().any(|answer| answer.site != site) {
        return Err(AppendError::Invalid(
            "the answers are of several sites; save them site by site.".to_owned(),
        ));
    }
    let author = author(&inner)?;
    // Drawn once: where an attempt had reached the disk after all, the next one finds its ids there.
    let ids: Vec<EntryId> = answers.iter().map(|_| EntryId(clock::new_id())).collect();
    let stamps: Vec<_> = answers.iter().map(|_| clock::stamp(0)).collect();
    let saved = inner
        .commit(site, |replica, counter| {
            if ids.iter().all(|id| replica.records.contains_key(id)) {
                return Ok(Plan::default());
            }
            let mut working = replica.clone();
            let mut plan = Plan::default();
            for ((answer, id), stamp) in answers.iter().zip(&ids).zip(&stamps) {
                let seen = stream_of(&working, answer.subject, &answer.question);
                let mut stamp = *stamp;
                stamp.counter = counter + plan.written + 1;
                let composed = compose(answer, &seen, author, *id, stamp)?;
                add(&mut plan, &mut working, composed, typing);
            }
            Ok(plan)
        })
        .await;
    // What was typed stays a draft: its screen has kept it at every input.
    saved?;
    after_write(&inner);
    Ok(ids)
}

/// Strikes an entry.
pub async fn strike(site: SiteId, target: EntryId) -> Result<EntryId, AppendError> {
    let inner = inner::get();
    let author = author(&inner)?;
    let (id, stamp) = (EntryId(clock::new_id()), clock::stamp(0));
    inner
        .commit(site, |replica, counter| {
            if replica.records.contains_key(&id) {
                return Ok(Plan::default());
            }
            let target = replica
                .records
                .get(&target)
                .ok_or(ComposeError::NothingThere)?;
            let seen = stream_of(replica, target.entry.subject, &target.entry.question);
            let mut stamp = stamp;
            stamp.counter = counter + 1;
            let composed = compose_strike(&target.entry, &seen, author, id, stamp)?;
            let mut plan = Plan::default();
            add(&mut plan, &mut replica.clone(), composed, Typing::Stays);
            Ok(plan)
        })
        .await?;
    after_write(&inner);
    Ok(id)
}

/// Takes back the last thing recorded here.
pub async fn undo_last(site: SiteId) -> Result<Undone, AppendError> {
    let inner = inner::get();
    let author = author(&inner)?;
    let (replica, _) = inner.replica(site).await.map_err(append_error)?;
    let records: Vec<&Record> = replica.records.values().map(AsRef::as_ref).collect();
    let mut brought_back = brought_back(&inner, site).await.map_err(append_error)?;
    let undo = undo(records, &replica.fold(), author, &brought_back);
    match undo.ok_or(AppendError::Nothing)? {
        Undo::Strike(entry) => {
            strike(site, entry.id).await?;
            Ok(undone(&entry, None))
        }
        Undo::Restore(entry, answer) => {
            let restored = answer.value.clone();
            brought_back.extend(append_each(vec![*answer], Typing::Stays).await?);
            note_brought_back(&inner, site, &brought_back).await;
            Ok(undone(&entry, Some(restored)))
        }
    }
}

/// Where the ids lie of what undo brought back on a site.
pub fn brought_back_key(site: SiteId) -> String {
    format!("brought_back.{site}")
}

/// What undo brought back on this phone: not a value that somebody typed.
async fn brought_back(inner: &Inner, site: SiteId) -> Result<BTreeSet<EntryId>, StoreError> {
    let key = brought_back_key(site);
    let text = inner
        .database
        .read(&[META], async |transaction| {
            transaction.text(META, &key).await
        })
        .await?;
    Ok(text
        .and_then(|text| serde_json::from_str(&text).ok())
        .unwrap_or_default())
}

/// Where it cannot be kept, the next undo takes back this one; nothing recorded is lost by that.
async fn note_brought_back(inner: &Inner, site: SiteId, all: &BTreeSet<EntryId>) {
    let key = brought_back_key(site);
    let text = serde_json::to_string(all).unwrap_or_default();
    let written = inner
        .database
        .write(&[META], async |transaction| {
            transaction.put_text(META, &key, &text)
        })
        .await;
    if let Err(error) = written {
        leptos::logging::warn!("an undo was not noted: {error}");
    }
}

fn undone(entry: &Entry, restored: Option<Value>) -> Undone {
    Undone {
        entry: entry.id,
        subject: entry.subject,
        question: entry.question.clone(),
        restored,
        intent: entry.intent,
    }
}

fn author(inner: &Inner) -> Result<Author, AppendError> {
    let session = inner.session().ok_or(AppendError::NoSession)?;
    Ok(Author::of(&session, inner.device))
}

/// The fold of one stream alone: all that composing an entry looks at.
fn stream_of(replica: &Replica, subject: Subject, question: &str) -> Site {
    fold(
        replica
            .records
            .values()
            .map(AsRef::as_ref)
            .filter(|record| record.entry.subject == subject && record.entry.question == question),
    )
}

fn add(plan: &mut Plan, working: &mut Replica, composed: Composed, typing: Typing) {
    let record = composed.unsent();
    let entry = &record.entry;
    if typing == Typing::Done {
        let author = Some(entry.author);
        plan.done_with.extend(drafts::keys(
            entry.site,
            entry.subject,
            &entry.question,
            author,
        ));
    }
    if let Some(Value::Photo(photo)) = entry.value() {
        plan.photos.push((photo.sha256.clone(), entry.id));
    }
    let changes = super::logic::replica::Changes::one(record);
    working.apply(&changes);
    plan.changes.put.extend(changes.put);
    plan.written += 1;
}

fn after_write(inner: &Rc<Inner>) {
    wake::ask_to_persist(inner);
    sync::wake();
}

/// Keeps a draft; an empty text removes it.
pub async fn keep_draft(
    site: SiteId,
    subject: Subject,
    question: &str,
    text: &str,
    how: Option<How>,
) {
    let typed = (!text.is_empty()).then_some((text, how));
    put_draft(DRAFTS, site, subject, question, typed).await;
}

/// The draft of a question.
pub async fn draft(site: SiteId, subject: Subject, question: &str) -> Option<Draft> {
    let drafts = drafts(site).await;
    // One's own comes after nobody's.
    drafts
        .into_iter()
        .rfind(|draft| draft.subject == subject && draft.question == question)
}

/// All drafts of a site that are for the signed-in person.
pub async fn drafts(site: SiteId) -> Vec<Draft> {
    let rows = draft_rows(DRAFTS, site).await;
    rows.into_iter()
        .map(|row| Draft {
            subject: row.subject,
            question: row.question,
            text: row.text,
            how: row.how,
            wall: row.wall,
        })
        .collect()
}

/// Marks that the camera is about to open.
pub async fn expect_photo(site: SiteId, subject: Subject, question: &str) {
    put_draft(EXPECTED, site, subject, question, Some(("", None))).await;
}

/// All marks of a site that are for the signed-in person.
pub async fn expected_photos(site: SiteId) -> Vec<ExpectedPhoto> {
    let rows = draft_rows(EXPECTED, site).await;
    rows.into_iter()
        .map(|row| ExpectedPhoto {
            subject: row.subject,
            question: row.question,
            wall: row.wall,
        })
        .collect()
}

/// Takes the mark away.
pub async fn forget_expected_photo(site: SiteId, subject: Subject, question: &str) {
    put_draft(EXPECTED, site, subject, question, None).await;
}

/// Writes a row of the signed-in person, or takes it out; the one of earlier builds goes either way.
async fn put_draft(
    store: &str,
    site: SiteId,
    subject: Subject,
    question: &str,
    typed: Option<(&str, Option<How>)>,
) {
    let inner = inner::get();
    let author = me(&inner);
    let [own, nobodys] = drafts::keys(site, subject, question, author);
    let row = typed.map(|(text, how)| DraftRow {
        subject,
        question: question.to_owned(),
        author,
        text: text.to_owned(),
        how,
        wall: clock::wall(),
    });
    let work = async |transaction: &Transaction| {
        transaction.delete(store, &nobodys)?;
        match &row {
            Some(row) => transaction.put_text(store, &own, &to_text(row)?),
            None => transaction.delete(store, &own),
        }
    };
    let mut written = inner.database.write(&[store], &work).await;
    if written == Err(StoreError::Full) && photo::make_room(&inner).await {
        written = inner.database.write(&[store], &work).await;
    }
    inner.note_reopened();
    if let Err(error) = written {
        leptos::logging::warn!("a draft was not kept: {error}");
        if row.is_some() {
            inner.note("What is typed or photographed here is not kept if this page closes before you save it: the phone's storage is full or does not answer. Free some storage.");
        }
    }
}

fn me(inner: &Inner) -> Option<PersonId> {
    inner.session().map(|session| session.person)
}

/// The rows of a site that are for the signed-in person.
async fn draft_rows(store: &str, site: SiteId) -> Vec<DraftRow> {
    let inner = inner::get();
    let me = me(&inner);
    let rows = inner
        .database
        .read(&[store], async |transaction| {
            transaction.all_under(store, &drafts::prefix(site)).await
        })
        .await;
    match rows {
        Ok(rows) => rows
            .iter()
            .filter_map(|row| from_text::<DraftRow>(&row))
            .filter(|row| is_for(row.author, me))
            .collect(),
        Err(error) => {
            leptos::logging::warn!("drafts could not be read: {error}");
            Vec::new()
        }
    }
}

fn append_error(error: StoreError) -> AppendError {
    match error {
        StoreError::Full => AppendError::Full,
        other => AppendError::Store(other.to_string()),
    }
}

impl From<CommitError<ComposeError>> for AppendError {
    fn from(error: CommitError<ComposeError>) -> Self {
        match error {
            CommitError::Store(error) => append_error(error),
            CommitError::Plan(ComposeError::NotAllowed(reason)) => Self::NotAllowed(reason),
            CommitError::Plan(ComposeError::NothingThere) => Self::Nothing,
            CommitError::Plan(ComposeError::Entry(error)) => Self::Invalid(format!("{error}.")),
        }
    }
}
