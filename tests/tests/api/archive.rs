//! Archives: out of one database and into another with the same bytes, whole or not at all; and the rescue of a phone.

use std::path::{Path, PathBuf};

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use serde_json::json;
use setdown_server::archive::ArchiveError;
use setdown_server::archive::export::{Wanted, export};
use setdown_server::archive::import::{import, rows};
use setdown_server::archive::phone::rescue;
use setdown_server::state::AppState;
use setdown_tests::clients::{Client, answered, seq};
use setdown_tests::server::{BOTH, Kind, World, empty};
use setdown_types::digest::digest_hex;
use setdown_types::entry::{Entry, Intent, Payload};
use setdown_types::ids::{EntryId, SiteId};
use setdown_types::ledger::Standing;
use setdown_types::party::Role;
use setdown_types::value::Value;
use setdown_types::wire::Verdict;
use uuid::Uuid;

use super::photos::{photo_entry, picture, put, show};

async fn archive_of(state: &AppState, wanted: &Wanted) -> Vec<u8> {
    export(state, wanted, Vec::new())
        .await
        .expect("an archive")
        .0
}

fn everything(client: &Client) -> Wanted {
    Wanted {
        organisation: client.session.organisation,
        site: None,
        personal: true,
    }
}

/// One site with everything that can be kept of a ledger: taken, held, refused and redacted entries, entries of a
/// newer version, a photo that is shown and one that was taken out.
async fn lived_in(world: &World) -> (Client, SiteId) {
    let office = world.as_office().await;
    let coordinator = world.as_coordinator().await;
    let homeowner = world.as_homeowner().await;
    let site = homeowner.site().await;
    let newer = coordinator.reading(site).to_json().unwrap().replace(
        r#""value":{"count":7}"#,
        r#""value": {"hologram": [1.50, "é\u0000x"]}, "later":  true"#,
    );
    assert!(matches!(
        coordinator.push_raw(&[newer]).await[0],
        Verdict::Accepted(_)
    ));
    let mut waiting = coordinator.reading(site);
    waiting.intent = Intent::Correct;
    waiting.replaces = vec![EntryId(Uuid::now_v7())];
    assert_eq!(coordinator.push_one(&waiting).await, Verdict::Held);
    let mut beyond = homeowner.reading(site);
    beyond.question = "site.spa".into();
    beyond.subject = setdown_types::subject::Subject::SITE;
    assert!(matches!(
        homeowner.push_one(&beyond).await,
        Verdict::Refused(_)
    ));
    for (side, taken_out) in [(12, false), (14, true)] {
        let bytes = picture(side, side);
        let entry = show(&office, site, &bytes).await;
        put(&office, &digest_hex(&bytes), bytes).await;
        if taken_out {
            let mut redaction = office.reading(site);
            redaction.intent = Intent::Redact;
            redaction.payload = Payload::Nothing;
            redaction.replaces = vec![entry.id];
            seq(&office.push_one(&redaction).await);
        }
    }
    (office, site)
}

fn write(folder: &Path, bytes: &[u8]) -> PathBuf {
    let path = folder.join("an.archive");
    std::fs::write(&path, bytes).expect("a file");
    path
}

#[tokio::test(flavor = "multi_thread")]
async fn export_import_and_export_give_the_same_bytes_across_databases() {
    for from in BOTH {
        let world = World::start(from).await;
        let (office, site) = lived_in(&world).await;
        let wanted = everything(&office);
        let first = archive_of(&world.state, &wanted).await;
        let page = office.pull(site, 0).await;
        for to in BOTH {
            let (folder, state) = empty(to).await;
            let path = write(folder.path(), &first);
            let imported = import(&state, &path).await.expect("it is taken");
            assert_eq!((imported.counts.sites, imported.counts.photos), (5, 1));
            assert!(
                archive_of(&state, &wanted).await == first,
                "{from:?} {to:?}"
            );
            let digest = state
                .store
                .digest(
                    office.session.organisation,
                    site,
                    Role::Office,
                    page.last_seq,
                )
                .await
                .unwrap();
            assert_eq!(Some(digest), page.digest, "the same site");
            let token = state.store.open_invitation(&world.invitation, 0).await;
            assert!(token.is_ok(), "the homeowner's link still opens");
            let account = state.store.account("valley-office").await.unwrap().unwrap();
            assert_eq!(account.password_hash, "", "nobody's password is carried");
        }
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn one_site_goes_out_alone_and_without_people_if_wanted() {
    for database in BOTH {
        let world = World::start(database).await;
        let (office, site) = lived_in(&world).await;
        for personal in [true, false] {
            let wanted = Wanted {
                site: Some(site),
                personal,
                ..everything(&office)
            };
            let first = archive_of(&world.state, &wanted).await;
            let text = String::from_utf8_lossy(&first);
            for name in [
                "at the end of the lane",
                "Demo homeowner",
                "valley-coordinator",
            ] {
                assert_eq!(text.contains(name), personal, "{name}");
            }
            assert!(!text.contains("argon2"), "no password in any form");
            assert!(!text.contains("Farm lane"), "nothing of another site");
            let (folder, state) = empty(database).await;
            let path = write(folder.path(), &first);
            let imported = import(&state, &path).await.expect("it is taken");
            assert_eq!(imported.counts.sites, 1);
            assert!(archive_of(&state, &wanted).await == first);
            let again = import(&state, &path).await.unwrap_err();
            assert!(matches!(again, ArchiveError::AlreadyHere(_)), "{again}");
        }
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_site_moves_into_a_dealer_who_is_there_and_whole_dealers_do_not() {
    for database in BOTH {
        let world = World::start(database).await;
        let (office, _) = lived_in(&world).await;
        let whole = archive_of(&world.state, &everything(&office)).await;
        let folder = tempfile::tempdir().unwrap();
        let path = write(folder.path(), &whole);
        let before = rows(&world.state.store).await.unwrap();
        let error = import(&world.state, &path).await.unwrap_err();
        assert!(error.to_string().contains("Valley dealer"), "{error}");
        assert_eq!(rows(&world.state.store).await.unwrap(), before);
        // Two sites of one dealer, one after the other, into a database that has neither.
        let (folder, state) = empty(database).await;
        for card in office.sites().await.sites.iter().take(2) {
            let wanted = Wanted {
                site: Some(card.site),
                ..everything(&office)
            };
            let bytes = archive_of(&world.state, &wanted).await;
            import(&state, &write(folder.path(), &bytes)).await.unwrap();
        }
        let sites = state
            .store
            .all_sites(office.session.organisation)
            .await
            .unwrap();
        assert_eq!(sites.len(), 2);
    }
}

/// The archive with lines changed and an end that fits again: what somebody would make on purpose.
fn forged(bytes: &[u8], change: impl Fn(&str) -> Option<String>) -> Vec<u8> {
    let mut out = Vec::new();
    let (mut rest, mut lines) = (bytes, 0);
    loop {
        let end = rest.iter().position(|byte| *byte == b'\n').unwrap() + 1;
        let line = std::str::from_utf8(&rest[..end]).unwrap();
        rest = &rest[end..];
        if line.starts_with(r#"{"end""#) {
            let sum = digest_hex(&out);
            let line = format!("{{\"end\":{{\"lines\":{lines},\"sha256\":\"{sum}\"}}}}\n");
            out.extend(line.bytes());
            return out;
        }
        let parsed: serde_json::Value = serde_json::from_str(line).unwrap();
        let follow = match parsed["photo"]["bytes"].as_u64() {
            Some(count) if parsed["photo"]["taken_out"] == false => count as usize + 1,
            _ => 0,
        };
        let changed = change(line).unwrap_or_else(|| line.to_owned());
        lines += changed.matches('\n').count();
        out.extend(changed.bytes());
        out.extend(&rest[..follow]);
        rest = &rest[follow..];
    }
}

async fn refused(kind: Kind, bytes: &[u8]) -> ArchiveError {
    let (folder, state) = empty(kind).await;
    let path = write(folder.path(), bytes);
    let error = import(&state, &path).await.expect_err("it is refused");
    assert_eq!(
        rows(&state.store).await.unwrap(),
        0,
        "nothing half: {error}"
    );
    let photos: Vec<_> = walk(&folder.path().join("photos"));
    assert!(photos.is_empty(), "{photos:?} {error}");
    error
}

fn walk(folder: &Path) -> Vec<PathBuf> {
    let Ok(entries) = std::fs::read_dir(folder) else {
        return Vec::new();
    };
    entries
        .flatten()
        .flat_map(|entry| match entry.path().is_dir() {
            true => walk(&entry.path()),
            false => vec![entry.path()],
        })
        .collect()
}

#[tokio::test(flavor = "multi_thread")]
async fn what_is_cut_off_damaged_or_of_another_version_leaves_nothing_behind() {
    let world = World::start(Kind::Sqlite).await;
    let (office, _) = lived_in(&world).await;
    let good = archive_of(&world.state, &everything(&office)).await;
    for database in BOTH {
        for part in 1..8 {
            let cut = &good[..good.len() * part / 8];
            let error = refused(database, cut).await;
            assert!(matches!(error, ArchiveError::Truncated(_)), "{error}");
        }
        for part in 1..8 {
            let mut damaged = good.clone();
            let place = good.len() * part / 8;
            damaged[place] ^= 1;
            refused(database, &damaged).await;
        }
        let mut longer = good.clone();
        longer.extend(b"{}\n");
        refused(database, &longer).await;
        let newer = String::from_utf8_lossy(&good).replacen("archive\":1", "archive\":2", 1);
        let error = refused(database, newer.as_bytes()).await;
        assert!(matches!(error, ArchiveError::Version(2)), "{error}");
        let error = refused(database, b"PK\x03\x04 something else\n").await;
        assert!(matches!(error, ArchiveError::Foreign(_)), "{error}");
        let error = refused(database, b"").await;
        assert!(matches!(error, ArchiveError::Truncated(0)), "{error}");
    }
}

fn begins(line: &str, what: &str) -> bool {
    line.starts_with(&format!("{{\"{what}\""))
}

/// Rewrites one line of an archive, or leaves it.
type Forger = Box<dyn Fn(&str) -> Option<String>>;

#[tokio::test(flavor = "multi_thread")]
async fn forged_lines_are_found_even_where_the_end_fits() {
    let world = World::start(Kind::Sqlite).await;
    let (office, _) = lived_in(&world).await;
    let good = archive_of(&world.state, &everything(&office)).await;
    assert!(
        forged(&good, |_| None) == good,
        "the forger knows the format"
    );
    let cases: [(&str, Forger); 8] = [
        (
            "twice",
            Box::new(|line| {
                (begins(line, "entry") && line.contains("\"held\"")).then(|| line.repeat(2))
            }),
        ),
        (
            "fit its digest",
            Box::new(|line| {
                (begins(line, "entry") && line.contains("accepted"))
                    .then(|| line.replace("coordinator", "office"))
            }),
        ),
        (
            "next seq",
            Box::new(|line| {
                begins(line, "entry").then(|| line.replace("\"seq\":2,", "\"seq\":3,"))
            }),
        ),
        (
            "fit its digest",
            Box::new(|line| begins(line, "document").then(|| line.replace("practice", "prattice"))),
        ),
        (
            "fit its hash",
            Box::new(|line| {
                let sha = digest_hex(&picture(12, 12));
                begins(line, "photo").then(|| line.replace(&sha, &"0".repeat(64)))
            }),
        ),
        (
            "no time zone",
            Box::new(|line| {
                begins(line, "site").then(|| line.replace("America/Denver", "Moon/Crater"))
            }),
        ),
        (
            "unknown field",
            Box::new(|line| {
                begins(line, "site").then(|| line.replace("\"name\"", "\"extra\":1,\"name\""))
            }),
        ),
        (
            "no such line can stand",
            Box::new(|line| begins(line, "organisation").then(|| line.repeat(2))),
        ),
    ];
    for (wanted, change) in cases {
        let bytes = forged(&good, change);
        assert!(bytes != good, "{wanted}");
        for database in BOTH {
            let error = refused(database, &bytes).await.to_string();
            assert!(error.contains(wanted), "{wanted}: {error}");
        }
    }
    // A photo whose bytes are no picture is only found while writing: what was written by then goes again.
    let words = b"these are words, twenty four".to_vec();
    let sha = digest_hex(&words);
    let line = format!(
        "{{\"photo\":{{\"sha256\":\"{sha}\",\"media_type\":\"image/png\",\"bytes\":{},\"taken_out\":false,\"changed_at\":0}}}}\n{}\n",
        words.len(),
        String::from_utf8_lossy(&words)
    );
    let end = good.len()
        - good[..good.len() - 1]
            .iter()
            .rev()
            .position(|byte| *byte == b'\n')
            .unwrap()
        - 1;
    let mut forged = [&good[..end], line.as_bytes()].concat();
    let count: serde_json::Value = serde_json::from_slice(&good[end..]).unwrap();
    let lines = count["end"]["lines"].as_u64().unwrap() + 1;
    let sum = digest_hex(&forged);
    forged.extend(format!("{{\"end\":{{\"lines\":{lines},\"sha256\":\"{sum}\"}}}}\n").bytes());
    for database in BOTH {
        let error = refused(database, &forged).await.to_string();
        assert!(error.contains("not a picture"), "{error}");
    }
}

/// A phone's file as `app/src/device/export.rs` writes it.
fn phone_file(client: &Client, entries: &[(Entry, Standing)], photos: &[Vec<u8>]) -> Vec<u8> {
    let entries: Vec<_> = entries
        .iter()
        .map(|(entry, standing)| json!({ "raw": entry.to_json().unwrap(), "standing": standing }))
        .collect();
    let photos: Vec<_> = photos
        .iter()
        .map(|bytes| {
            json!({
                "photo": { "sha256": digest_hex(bytes), "media_type": "image/png", "verified": false,
                           "sent": false, "entry": null, "wall": 0 },
                "base64": STANDARD.encode(bytes)
            })
        })
        .collect();
    let file = json!({
        "what": "everything that Setdown keeps on this phone", "version": 1, "device": client.device,
        "session": client.session, "wall": 0, "sites": [], "documents": [], "drafts": [],
        "expected_photos": [], "entries": entries, "photos": photos
    });
    serde_json::to_vec(&file).unwrap()
}

#[tokio::test(flavor = "multi_thread")]
async fn a_lost_phones_survey_is_rescued_by_the_rights_of_its_author() {
    for database in BOTH {
        let world = World::start(database).await;
        let phone = world.as_coordinator().await;
        let site = phone.site().await;
        let before = phone.pull(site, 0).await.last_seq;
        let sent = phone.reading(site);
        seq(&phone.push_one(&sent).await);
        let mut later = phone.reading(site);
        let mut first = phone.reading(site);
        (first.stamp.counter, later.stamp.counter) = (2, 3);
        later.subject = first.subject;
        later.intent = Intent::Correct;
        later.replaces = vec![first.id];
        let bytes = picture(31, 31);
        let shown = photo_entry(&phone, site, &bytes);
        let mut posing = phone.reading(site);
        posing.role = Role::Office;
        let mut somebody = phone.reading(site);
        somebody.author = setdown_types::ids::PersonId(Uuid::new_v4());
        let mut note = phone.reading(site);
        note.payload = Payload::Known(Value::Text("behind the shed".into()));
        let acceptance = phone.pull(site, before).await.entries[0].acceptance;
        let entries = [
            (later, Standing::Unsent),
            (first.clone(), Standing::Unsent),
            (sent, Standing::Accepted(acceptance)),
            (shown, Standing::Unsent),
            (posing, Standing::Unsent),
            (somebody, Standing::Unsent),
            (note, Standing::Held),
        ];
        let folder = tempfile::tempdir().unwrap();
        let file = phone_file(&phone, &entries, &[bytes.clone(), picture(3, 3)]);
        let path = write(folder.path(), &file);
        for cut in [file.len() / 2, file.len() - 2] {
            let part = write(folder.path(), &file[..cut]);
            let error = rescue(&world.state, &part).await.unwrap_err();
            assert!(matches!(error, ArchiveError::Truncated(_)), "{error}");
        }
        assert_eq!(phone.pull(site, 0).await.last_seq, before + 1);
        write(folder.path(), &file);
        let rescued = rescue(&world.state, &path).await.unwrap();
        assert_eq!((rescued.accepted, rescued.known, rescued.held), (4, 0, 0));
        assert_eq!((rescued.left_alone, rescued.refused.len()), (1, 2));
        assert_eq!((rescued.photos, rescued.photos_refused.len()), (1, 1));
        let page = phone.pull(site, before + 1).await;
        let ids: Vec<EntryId> = page
            .entries
            .iter()
            .map(|pulled| Entry::from_json(pulled.raw.get()).unwrap().id)
            .collect();
        let place = |id: EntryId| ids.iter().position(|found| *found == id).unwrap();
        assert!(
            place(first.id) < place(entries[0].0.id),
            "in the order in which they were written"
        );
        let sha = digest_hex(&bytes);
        let request = phone.request(reqwest::Method::GET, &format!("/api/photos/{sha}"));
        assert_eq!(answered(request).await.0, reqwest::StatusCode::OK);
        let again = rescue(&world.state, &path).await.unwrap();
        assert_eq!((again.accepted, again.known, again.photos), (0, 4, 0));
        let newer = String::from_utf8(file)
            .unwrap()
            .replacen("\"version\":1", "\"version\":2", 1);
        let error = rescue(&world.state, &write(folder.path(), newer.as_bytes()))
            .await
            .unwrap_err();
        assert!(matches!(error, ArchiveError::Version(2)), "{error}");
    }
}
