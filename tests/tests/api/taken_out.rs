//! Photos that were taken out: everybody who sends one is told so, and nothing of it is left.

use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use reqwest::{Method, StatusCode};
use serde_json::json;
use setdown_server::demo::DEALERS;
use setdown_server::photo_store::{MAX_PHOTO_BYTES, PhotoStore};
use setdown_server::tidying::{Patience, Tidying};
use setdown_tests::clients::{Client, seq};
use setdown_tests::server::{BOTH, EVERYWHERE, Kind, Program, World, database, free_port};
use setdown_types::digest::digest_hex;
use setdown_types::entry::{Entry, Intent, Payload};
use setdown_types::ids::SiteId;
use setdown_types::party::Role;
use setdown_types::value::Value;
use sqlx::{AnyConnection, Connection};

use super::photos::{picture, put, show};

fn redaction(office: &Client, site: SiteId, target: &Entry) -> Entry {
    let mut redaction = office.reading(site);
    redaction.intent = Intent::Redact;
    redaction.payload = Payload::Nothing;
    redaction.replaces = vec![target.id];
    redaction
}

async fn redact(office: &Client, site: SiteId, target: &Entry) {
    seq(&office.push_one(&redaction(office, site, target)).await);
}

async fn other_site(office: &Client, site: SiteId) -> SiteId {
    let sites = office.sites().await.sites;
    sites.iter().find(|card| card.site != site).unwrap().site
}

/// Whoever holds a new invitation to a site.
async fn invited(world: &World, office: &Client, site: SiteId) -> (reqwest::Client, String) {
    let message = json!({ "site": site, "name": "somebody else" });
    let (_, made) = office.post("/api/office/invite", &message).await;
    let token = made["link"].as_str().unwrap().rsplit('#').next().unwrap();
    let http = reqwest::Client::new();
    let answer = http
        .post(world.at("/api/invitation/open"))
        .json(&json!({ "token": token }))
        .send()
        .await
        .unwrap();
    let cookie = answer.headers()["set-cookie"].to_str().unwrap();
    let cookie = cookie.split(';').next().unwrap().to_owned();
    (http, cookie)
}

#[tokio::test(flavor = "multi_thread")]
async fn a_homeowner_whose_photo_was_taken_out_is_told_so_and_strangers_are_not() {
    for place in EVERYWHERE {
        let world = World::start_at(place).await;
        let (office, homeowner) = (world.as_office().await, world.as_homeowner().await);
        let site = homeowner.site().await;
        let elsewhere = other_site(&office, site).await;
        let (http, cookie) = invited(&world, &office, elsewhere).await;
        // Redacted before its bytes came, and after.
        for (side, sent) in [(21, false), (22, true)] {
            let bytes = picture(side, side);
            let sha = digest_hex(&bytes);
            let entry = show(&homeowner, site, &bytes).await;
            if sent {
                assert_eq!(put(&homeowner, &sha, bytes.clone()).await, StatusCode::OK);
            }
            redact(&office, site, &entry).await;
            let path = format!("/api/photos/{sha}");
            let told = put(&homeowner, &sha, bytes.clone()).await;
            assert_eq!(told, StatusCode::GONE, "{place:?} {sent}");
            assert_eq!(homeowner.get(&path).await.0, StatusCode::GONE);
            let foreign = http
                .put(world.at(&path))
                .header("cookie", &cookie)
                .header("content-type", "image/png")
                .body(bytes)
                .send()
                .await
                .unwrap();
            assert_eq!(foreign.status(), StatusCode::NOT_FOUND, "{place:?}");
        }
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_photo_taken_out_at_one_site_and_shown_at_another_is_gone_for_the_one() {
    for database in BOTH {
        let world = World::start(database).await;
        let (office, homeowner) = (world.as_office().await, world.as_homeowner().await);
        let site = homeowner.site().await;
        let elsewhere = other_site(&office, site).await;
        let bytes = picture(23, 23);
        let sha = digest_hex(&bytes);
        let entry = show(&homeowner, site, &bytes).await;
        show(&office, elsewhere, &bytes).await;
        assert_eq!(put(&office, &sha, bytes.clone()).await, StatusCode::OK);
        redact(&office, site, &entry).await;
        let told = put(&homeowner, &sha, bytes.clone()).await;
        assert_eq!(told, StatusCode::GONE, "{database:?}");
        let path = format!("/api/photos/{sha}");
        assert_eq!(office.get(&path).await.0, StatusCode::OK);
        assert_eq!(put(&office, &sha, bytes).await, StatusCode::OK);
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_hidden_photo_that_was_taken_out_is_told_to_no_homeowner() {
    for database in BOTH {
        let world = World::start(database).await;
        let (office, homeowner) = (world.as_office().await, world.as_homeowner().await);
        let site = homeowner.site().await;
        let bytes = picture(24, 24);
        let mut entry = super::photos::photo_entry(&office, site, &bytes);
        entry.question = "trial.staff_photo".into();
        seq(&office.push_one(&entry).await);
        let mut out = redaction(&office, site, &entry);
        out.question = "trial.staff_photo".into();
        seq(&office.push_one(&out).await);
        let sha = digest_hex(&bytes);
        let told = put(&homeowner, &sha, bytes.clone()).await;
        assert_eq!(told, StatusCode::NOT_FOUND, "{database:?}");
        assert_eq!(put(&office, &sha, bytes).await, StatusCode::GONE);
    }
}

/// As a program leaves it that is killed between the commit of a redaction and the deletion of the bytes.
#[tokio::test(flavor = "multi_thread")]
async fn a_start_sweeps_what_a_killed_program_left_of_redacted_photos() {
    for kind in BOTH {
        let folder = tempfile::tempdir().unwrap();
        let url = database(kind, folder.path()).await;
        let port = free_port();
        let program = Program::serve(folder.path(), &url, port);
        let base = format!("http://{}", program.address);
        let office = Client::sign_in(&base, &DEALERS[0].sign_in(Role::Office)).await;
        let site = office.site().await;
        let kept: PathBuf = folder
            .path()
            .join("photos")
            .join(office.session.organisation.to_string());
        let (out, stays) = (picture(25, 25), picture(26, 26));
        let (gone, left) = (digest_hex(&out), digest_hex(&stays));
        let entry = show(&office, site, &out).await;
        show(&office, site, &stays).await;
        put(&office, &gone, out.clone()).await;
        put(&office, &left, stays).await;
        redact(&office, site, &entry).await;
        program.kill();
        let files = [kept.join(&gone), kept.join(format!("{gone}.small.jpg"))];
        for file in &files {
            assert!(!file.exists());
            std::fs::write(file, &out).unwrap();
        }
        for _ in 0..2 {
            let program = Program::serve(folder.path(), &url, port);
            let until = Instant::now() + Duration::from_secs(20);
            while files.iter().any(|file| file.exists()) {
                assert!(Instant::now() < until, "{kind:?}: still there");
                tokio::time::sleep(Duration::from_millis(50)).await;
            }
            assert!(kept.join(&left).exists(), "what is shown stays");
            program.kill();
        }
    }
}

/// A folder in a photo's place cannot be deleted as a file: the first in order stands in the way of no other.
#[tokio::test(flavor = "multi_thread")]
async fn a_photo_that_cannot_be_swept_keeps_no_other() {
    for database in BOTH {
        let world = World::start(database).await;
        let office = world.as_office().await;
        let site = office.site().await;
        let kept = world.photos().join(office.session.organisation.to_string());
        let mut hashes = Vec::new();
        for side in [51, 52] {
            let bytes = picture(side, side);
            let entry = show(&office, site, &bytes).await;
            let sha = digest_hex(&bytes);
            assert_eq!(put(&office, &sha, bytes).await, StatusCode::OK);
            redact(&office, site, &entry).await;
            hashes.push(sha);
        }
        hashes.sort();
        let [stuck, left] = [kept.join(&hashes[0]), kept.join(&hashes[1])];
        std::fs::create_dir(&stuck).unwrap();
        std::fs::write(stuck.join("in the way"), "x").unwrap();
        std::fs::write(&left, "left").unwrap();
        Tidying::default().round(&world.state).await;
        assert!(stuck.exists() && !left.exists(), "{database:?}");
    }
}

/// A peer that takes connections and never answers, as a bucket may that is far away.
#[tokio::test(flavor = "multi_thread")]
async fn a_bucket_that_never_answers_keeps_no_summary_waiting() {
    for kind in BOTH {
        let silent = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
        let url = format!(
            "s3://pictures?endpoint=http://{}&region=here",
            silent.local_addr().unwrap()
        );
        let keys = ["AWS_ACCESS_KEY_ID", "AWS_SECRET_ACCESS_KEY"];
        let keys = keys.map(|name| (name.to_owned(), "x".to_owned())).to_vec();
        let world = World::start_changed(kind, |state| {
            state.photos = PhotoStore::open_with(&url, keys).unwrap();
        })
        .await;
        let office = world.as_office().await;
        let mut connection = AnyConnection::connect(&world.database_url).await.unwrap();
        let out = "INSERT INTO photos (organisation, sha256, media_type, bytes, state, changed_at) \
                   VALUES ($1, $2, 'image/png', 1, 'taken_out', 1)";
        sqlx::query(out)
            .bind(office.session.organisation.to_string())
            .bind(digest_hex(b"out"))
            .execute(&mut connection)
            .await
            .unwrap();
        sqlx::query("UPDATE sites SET summary_seq = -1")
            .execute(&mut connection)
            .await
            .unwrap();
        let tidying = tokio::spawn({
            let state = world.state.clone();
            async move { Tidying::default().round(&state).await }
        });
        let until = Instant::now() + Duration::from_secs(20);
        while !world.state.store.stale_sites().await.unwrap().is_empty() {
            assert!(Instant::now() < until, "{kind:?}: summaries wait");
            tokio::time::sleep(Duration::from_millis(50)).await;
        }
        assert!(!tidying.is_finished(), "the bucket is still asked");
        tidying.abort();
    }
}

/// Somebody holds the table of sites, as a repair by hand may: each summary is given up in its time, and photos are swept.
#[tokio::test(flavor = "multi_thread")]
async fn summaries_that_cannot_be_written_keep_no_photo_from_being_swept() {
    for kind in BOTH {
        let world = World::start(kind).await;
        let office = world.as_office().await;
        let site = office.site().await;
        let bytes = picture(53, 53);
        let entry = show(&office, site, &bytes).await;
        let sha = digest_hex(&bytes);
        assert_eq!(put(&office, &sha, bytes).await, StatusCode::OK);
        redact(&office, site, &entry).await;
        let kept = world.photos().join(office.session.organisation.to_string());
        std::fs::write(kept.join(&sha), "left").unwrap();
        let mut connection = AnyConnection::connect(&world.database_url).await.unwrap();
        sqlx::query("UPDATE sites SET summary_seq = -1")
            .execute(&mut connection)
            .await
            .unwrap();
        let mut held = connection.begin().await.unwrap();
        sqlx::query("UPDATE sites SET summary_date = summary_date")
            .execute(&mut *held)
            .await
            .unwrap();
        let each = Duration::from_millis(500);
        let round = Duration::from_secs(1);
        let tidying = tokio::spawn({
            let state = world.state.clone();
            async move {
                Tidying::patient(Patience { each, round })
                    .round(&state)
                    .await
            }
        });
        let until = Instant::now() + Duration::from_secs(30);
        while kept.join(&sha).exists() {
            assert!(Instant::now() < until, "{kind:?}: the photo waits");
            tokio::time::sleep(Duration::from_millis(50)).await;
        }
        let stale = world.state.store.stale_sites().await.unwrap();
        assert!(!stale.is_empty(), "{kind:?}: nothing was held up");
        held.rollback().await.unwrap();
        tidying.await.unwrap();
    }
}

/// Both sites take the last two entries off each photo at once.
#[tokio::test(flavor = "multi_thread")]
async fn photos_redacted_at_two_sites_at_once_leave_no_bytes() {
    for database in BOTH {
        let world = World::start(database).await;
        let office = world.as_office().await;
        let site = office.site().await;
        let elsewhere = other_site(&office, site).await;
        let (mut here, mut there, mut hashes) = (Vec::new(), Vec::new(), Vec::new());
        for side in 30..50 {
            let bytes = picture(side, side);
            let entry = show(&office, site, &bytes).await;
            here.push(redaction(&office, site, &entry));
            let entry = show(&office, elsewhere, &bytes).await;
            there.push(redaction(&office, elsewhere, &entry));
            let sha = digest_hex(&bytes);
            assert_eq!(put(&office, &sha, bytes).await, StatusCode::OK);
            hashes.push(sha);
        }
        let (first, second) = tokio::join!(office.push(&here), office.push(&there));
        first.iter().chain(&second).for_each(|verdict| {
            seq(verdict);
        });
        let kept = world.photos().join(office.session.organisation.to_string());
        for sha in hashes {
            assert!(!kept.join(&sha).exists(), "{database:?}");
            let path = format!("/api/photos/{sha}");
            assert_eq!(office.get(&path).await.0, StatusCode::GONE, "{database:?}");
        }
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn whoever_may_not_send_a_photo_is_told_so_while_others_take_all_the_room() {
    let world = World::start(Kind::Sqlite).await;
    let client = world.as_coordinator().await;
    let site = client.site().await;
    let (shown, unknown) = (picture(27, 27), picture(28, 28));
    show(&client, site, &shown).await;
    let mut taken = Vec::new();
    for _ in 0..8 {
        taken.push(world.state.photos.room(MAX_PHOTO_BYTES - 1).await.unwrap());
    }
    let sha = digest_hex(&unknown);
    assert_eq!(put(&client, &sha, unknown).await, StatusCode::NOT_FOUND);
    let sha = digest_hex(&shown);
    let answer = client
        .request(Method::PUT, &format!("/api/photos/{sha}"))
        .header("content-type", "image/png")
        .body(shown.clone())
        .send()
        .await
        .unwrap();
    assert_eq!(answer.status(), StatusCode::TOO_MANY_REQUESTS);
    taken.pop();
    assert_eq!(put(&client, &sha, shown).await, StatusCode::OK);
}

/// Source: SQLite's documentation of PRAGMA secure_delete: deleted content is overwritten with zeros.
#[tokio::test(flavor = "multi_thread")]
async fn nothing_of_redacted_words_is_left_in_the_database_file() {
    let world = World::start(Kind::Sqlite).await;
    let office = world.as_office().await;
    let site = office.site().await;
    let words = "the gate code is 4711; ".repeat(2000);
    let mut told = office.reading(site);
    told.payload = Payload::Known(Value::Text(words));
    seq(&office.push_one(&told).await);
    let folder = world.photos();
    let folder = folder.parent().unwrap();
    assert!(!left_of(folder, b"gate code is 4711").is_empty(), "written");
    redact(&office, site, &told).await;
    assert!(left_of(folder, b"gate code is 4711").is_empty(), "served");
    world.state.store.close().await;
    assert!(left_of(folder, b"gate code is 4711").is_empty(), "closed");
}

/// The files of a folder that hold these bytes.
fn left_of(folder: &Path, words: &[u8]) -> Vec<PathBuf> {
    let (mut left, mut read) = (Vec::new(), 0);
    for file in std::fs::read_dir(folder).unwrap() {
        let path = file.unwrap().path();
        if path.is_file() {
            let bytes = std::fs::read(&path).unwrap();
            read += bytes.len();
            if bytes.windows(words.len()).any(|each| each == words) {
                left.push(path);
            }
        }
    }
    assert!(read > 4096, "the database was read");
    left
}
