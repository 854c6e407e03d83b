//! Recording: answers, strikes and undo; drafts and photos about to be taken.

use std::cell::RefCell;
use std::rc::Rc;

use setdown_types::entry::Entry;
use setdown_types::ids::{EntryId, PersonId, SiteId};
use setdown_types::ledger::fold;
use setdown_types::site::Site;
use setdown_types::subject::Subject;
use setdown_types::value::Value;

use super::commit::{CommitError, Plan};
use super::database::{DRAFTS, EXPECTED, StoreError, Transaction};
use super::inner::{self, Inner};
use super::logic::drafts::{self, is_for};
use super::logic::replica::{Changes, Replica};
use super::logic::undoing::take_back;
use super::logic::writing::{Author, ComposeError, compose, compose_strike};
use super::rows::{DraftRow, from_text, to_text};
use super::types::*;
use super::{NewAnswer, clock, people, photo, sync, wake};

/// Saves one answer.
pub async fn append(answer: NewAnswer) -> Result<EntryId, AppendError> {
    let ids = append_all(vec![answer]).await?;
    ids.first().copied().ok_or(AppendError::Nothing)
}

/// Saves several answers of one site in one transaction; what was typed to the same questions is what is saved.
pub async fn append_all(answers: Vec<NewAnswer>) -> Result<Vec<EntryId>, AppendError> {
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
            let mut plan = by(author);
            for ((answer, id), stamp) in answers.iter().zip(&ids).zip(&stamps) {
                let seen = stream_of(&working, answer.subject, &answer.question);
                let mut stamp = *stamp;
                stamp.counter = counter + plan.written + 1;
                let composed = compose(answer, &seen, author, *id, stamp)?;
                plan.done_with.extend(drafts::keys(
                    site,
                    answer.subject,
                    &answer.question,
                    Some(author.person),
                ));
                add(&mut plan, &mut working, Changes::one(composed.unsent()));
            }
            Ok(plan)
        })
        .await;
    // What was typed stays a draft: its screen has kept it at every input.
    wrote(&inner, saved).await?;
    Ok(ids)
}

/// Strikes an entry.
pub async fn strike(site: SiteId, target: EntryId) -> Result<EntryId, AppendError> {
    let inner = inner::get();
    let author = author(&inner)?;
    let (id, stamp) = (EntryId(clock::new_id()), clock::stamp(0));
    let saved = inner
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
            let mut plan = by(author);
            let changes = Changes::one(composed.unsent());
            add(&mut plan, &mut replica.clone(), changes);
            Ok(plan)
        })
        .await;
    wrote(&inner, saved).await?;
    Ok(id)
}

/// Takes back the last thing recorded here: what that is, is decided on what the write finds, other tabs counted.
pub async fn undo_last(site: SiteId) -> Result<Undone, AppendError> {
    let inner = inner::get();
    let author = author(&inner)?;
    let (id, stamp) = (EntryId(clock::new_id()), clock::stamp(0));
    let done = RefCell::new(None);
    let saved = inner
        .commit(site, |replica, counter| {
            if replica.records.contains_key(&id) {
                return Ok(Plan::default());
            }
            let mut stamp = stamp;
            stamp.counter = counter + 1;
            let taken = take_back(replica, author, id, stamp)?;
            let mut plan = by(author);
            add(&mut plan, &mut replica.clone(), taken.changes);
            done.replace(Some(undone(taken.entry, taken.restored)));
            Ok(plan)
        })
        .await;
    wrote(&inner, saved).await?;
    done.into_inner().ok_or(AppendError::Nothing)
}

fn undone(entry: Entry, restored: Option<Value>) -> Undone {
    Undone {
        entry: entry.id,
        subject: entry.subject,
        question: entry.question,
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

fn add(plan: &mut Plan, working: &mut Replica, changes: Changes) {
    for record in &changes.put {
        if let Some(Value::Photo(photo)) = record.entry.value() {
            plan.photos.push((photo.sha256.clone(), record.entry.id));
        }
        plan.written += 1;
    }
    working.apply(&changes);
    plan.changes.put.extend(changes.put);
    plan.changes.brought_back.extend(changes.brought_back);
}

/// A plan of this person's.
fn by(author: Author) -> Plan {
    Plan {
        author: Some(author.person),
        ..Plan::default()
    }
}

/// What follows a write, or its not having come to be.
async fn wrote(
    inner: &Rc<Inner>,
    saved: Result<(), CommitError<ComposeError>>,
) -> Result<(), AppendError> {
    if matches!(saved, Err(CommitError::OtherPerson)) {
        people::take_over(inner).await.map_err(append_error)?;
    }
    saved?;
    wake::ask_to_persist(inner);
    sync::wake();
    Ok(())
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
    let me = me(&inner::get());
    put_draft(DRAFTS, (site, subject, question), me, typed).await;
}

/// Keeps a draft of whoever began it, whoever is signed in by now.
pub async fn keep_draft_of(
    author: Option<PersonId>,
    site: SiteId,
    subject: Subject,
    question: &str,
    text: &str,
) {
    let typed = Some((text, None));
    put_draft(DRAFTS, (site, subject, question), author, typed).await;
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
    let me = me(&inner::get());
    put_draft(EXPECTED, (site, subject, question), me, Some(("", None))).await;
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
    let me = me(&inner::get());
    put_draft(EXPECTED, (site, subject, question), me, None).await;
}

/// Writes a row of this person's, or takes it out; the one of earlier builds goes either way.
async fn put_draft(
    store: &str,
    (site, subject, question): (SiteId, Subject, &str),
    author: Option<PersonId>,
    typed: Option<(&str, Option<How>)>,
) {
    let inner = inner::get();
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
            CommitError::OtherPerson => Self::OtherPerson,
            CommitError::Plan(ComposeError::NotAllowed(reason)) => Self::NotAllowed(reason),
            CommitError::Plan(ComposeError::NothingThere) => Self::Nothing,
            CommitError::Plan(ComposeError::Entry(error)) => Self::Invalid(format!("{error}.")),
        }
    }
}
