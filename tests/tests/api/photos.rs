//! Bytes of photos: facts first, bytes checked, seen only where shown, gone when redacted.

use std::io::{Cursor, Write};
use std::net::TcpStream;
use std::time::Duration;

use image::{DynamicImage, ImageFormat};
use reqwest::{Method, StatusCode};
use setdown_server::demo::PASSWORD;
use setdown_tests::clients::{Client, answered, seq};
use setdown_tests::server::{EVERYWHERE, World};
use setdown_types::digest::digest_hex;
use setdown_types::entry::{Entry, Intent, Payload};
use setdown_types::ids::SiteId;
use setdown_types::party::Role;
use setdown_types::value::{PhotoRef, Value};

pub fn picture(width: u32, height: u32) -> Vec<u8> {
    let mut bytes = Vec::new();
    DynamicImage::new_luma8(width, height)
        .write_to(&mut Cursor::new(&mut bytes), ImageFormat::Png)
        .expect("a picture");
    bytes
}

pub fn photo_entry(client: &Client, site: SiteId, bytes: &[u8]) -> Entry {
    let mut entry = client.reading(site);
    entry.payload = Payload::Known(Value::Photo(PhotoRef {
        sha256: digest_hex(bytes),
        media_type: "image/png".into(),
        width: 1,
        height: 1,
        bytes: 1,
    }));
    entry
}

pub async fn show(client: &Client, site: SiteId, bytes: &[u8]) -> Entry {
    let entry = photo_entry(client, site, bytes);
    seq(&client.push_one(&entry).await);
    entry
}

pub async fn put(client: &Client, sha256: &str, bytes: Vec<u8>) -> StatusCode {
    let request = client
        .request(Method::PUT, &format!("/api/photos/{sha256}"))
        .header("content-type", "image/png")
        .body(bytes);
    answered(request).await.0
}

#[tokio::test(flavor = "multi_thread")]
async fn a_photo_comes_after_its_entry_and_is_seen_only_where_it_is_shown() {
    for place in EVERYWHERE {
        let world = World::start_at(place).await;
        let coordinator = world.as_coordinator().await;
        let homeowner = world.as_homeowner().await;
        let stranger = world.as_stranger(Role::Office).await;
        let own = homeowner.site().await;
        let other = coordinator
            .sites()
            .await
            .sites
            .iter()
            .find(|card| card.site != own)
            .unwrap()
            .site;
        let (here, there) = (picture(400, 100), picture(30, 40));
        let (sha, elsewhere) = (digest_hex(&here), digest_hex(&there));
        assert_eq!(
            put(&coordinator, &sha, here.clone()).await,
            StatusCode::NOT_FOUND,
            "facts first"
        );
        show(&coordinator, own, &here).await;
        show(&coordinator, other, &there).await;
        let path = format!("/api/photos/{sha}");
        assert_eq!(
            homeowner.get(&path).await.0,
            StatusCode::NOT_FOUND,
            "no bytes yet"
        );
        assert_eq!(
            put(&stranger, &sha, here.clone()).await,
            StatusCode::NOT_FOUND
        );
        assert_eq!(put(&coordinator, &sha, here.clone()).await, StatusCode::OK);
        assert_eq!(
            put(&coordinator, &sha, here.clone()).await,
            StatusCode::OK,
            "a retry"
        );
        assert_eq!(put(&coordinator, &elsewhere, there).await, StatusCode::OK);
        let answer = homeowner.request(Method::GET, &path).send().await.unwrap();
        assert_eq!(answer.headers()["content-type"], "image/png");
        assert_eq!(answer.bytes().await.unwrap(), here);
        let thumb = homeowner
            .request(Method::GET, &format!("{path}/thumb"))
            .send()
            .await
            .unwrap();
        assert_eq!(thumb.headers()["content-type"], "image/jpeg");
        let small = image::load_from_memory(&thumb.bytes().await.unwrap()).unwrap();
        assert_eq!((small.width(), small.height()), (320, 80));
        assert_eq!(
            homeowner.get(&format!("/api/photos/{elsewhere}")).await.0,
            StatusCode::NOT_FOUND
        );
        for path in [path.clone(), format!("{path}/thumb")] {
            assert_eq!(stranger.get(&path).await.0, StatusCode::NOT_FOUND);
        }
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn wrong_bytes_no_pictures_and_bombs_are_refused() {
    for place in EVERYWHERE {
        let world = World::start_at(place).await;
        let client = world.as_coordinator().await;
        let site = client.site().await;
        let good = picture(8, 8);
        show(&client, site, &good).await;
        assert_eq!(
            put(&client, &digest_hex(&good), picture(9, 9)).await,
            StatusCode::BAD_REQUEST
        );
        let words = b"these are words".to_vec();
        show(&client, site, &words).await;
        assert_eq!(
            put(&client, &digest_hex(&words), words.clone()).await,
            StatusCode::BAD_REQUEST
        );
        // A small file that claims 20,000 by 20,000 pixels: a header is enough to be refused.
        let bomb = bomb(20_000);
        show(&client, site, &bomb).await;
        assert!(bomb.len() < 1000);
        assert_eq!(
            put(&client, &digest_hex(&bomb), bomb.clone()).await,
            StatusCode::BAD_REQUEST
        );
        let fat = vec![0u8; 17 * 1024 * 1024];
        assert_eq!(
            put(&client, &digest_hex(&good), fat).await,
            StatusCode::PAYLOAD_TOO_LARGE
        );
    }
}

/// A PNG whose header claims `side` by `side` pixels; the header's CRC is right.
fn bomb(side: u32) -> Vec<u8> {
    let mut bytes = picture(8, 8);
    bytes[16..20].copy_from_slice(&side.to_be_bytes());
    bytes[20..24].copy_from_slice(&side.to_be_bytes());
    let crc = crc(&bytes[12..29]);
    bytes[29..33].copy_from_slice(&crc.to_be_bytes());
    bytes
}

/// CRC-32 as PNG (third edition, annex D) defines it.
fn crc(bytes: &[u8]) -> u32 {
    let mut crc = u32::MAX;
    for byte in bytes {
        crc ^= u32::from(*byte);
        for _ in 0..8 {
            crc = if crc & 1 == 1 {
                0xEDB8_8320 ^ (crc >> 1)
            } else {
                crc >> 1
            };
        }
    }
    !crc
}

#[tokio::test(flavor = "multi_thread")]
async fn a_redacted_photo_is_gone_from_the_store_and_not_taken_again() {
    for place in EVERYWHERE {
        let world = World::start_at(place).await;
        let office = world.as_office().await;
        let site = office.site().await;
        let bytes = picture(20, 20);
        let sha = digest_hex(&bytes);
        let entry = show(&office, site, &bytes).await;
        assert_eq!(put(&office, &sha, bytes.clone()).await, StatusCode::OK);
        let kept = world
            .photos()
            .join(office.session.organisation.to_string())
            .join(&sha);
        assert!(kept.exists());
        let mut redaction = office.reading(site);
        redaction.intent = Intent::Redact;
        redaction.payload = Payload::Nothing;
        redaction.replaces = vec![entry.id];
        seq(&office.push_one(&redaction).await);
        assert!(!kept.exists());
        assert_eq!(
            office.get(&format!("/api/photos/{sha}")).await.0,
            StatusCode::GONE
        );
        assert_eq!(put(&office, &sha, bytes).await, StatusCode::GONE);
    }
}

/// As a photo folder that was put back from a copy older than the database.
#[tokio::test(flavor = "multi_thread")]
async fn a_photo_that_the_store_lost_is_taken_when_it_is_sent_again() {
    for place in EVERYWHERE {
        let world = World::start_at(place).await;
        let office = world.as_office().await;
        let site = office.site().await;
        let bytes = picture(19, 19);
        let sha = digest_hex(&bytes);
        show(&office, site, &bytes).await;
        let path = format!("/api/photos/{sha}");
        for lost in [[true, true], [true, false], [false, true]] {
            assert_eq!(put(&office, &sha, bytes.clone()).await, StatusCode::OK);
            let kept = world.photos().join(office.session.organisation.to_string());
            let files = [sha.clone(), format!("{sha}.small.jpg")];
            for (file, _) in files.iter().zip(lost).filter(|(_, lost)| *lost) {
                std::fs::remove_file(kept.join(file)).unwrap();
            }
            assert_eq!(put(&office, &sha, bytes.clone()).await, StatusCode::OK);
            for path in [path.clone(), format!("{path}/thumb")] {
                assert_eq!(office.get(&path).await.0, StatusCode::OK, "{place:?}");
            }
        }
    }
}

/// The cookie of a new session of the office.
async fn cookie(world: &World) -> String {
    let message = serde_json::json!({ "sign_in": "valley-office", "password": PASSWORD });
    let request = reqwest::Client::new().post(world.at("/api/sign-in"));
    let answer = request.json(&message).send().await.unwrap();
    let cookie = answer.headers()["set-cookie"].to_str().unwrap();
    cookie.split(';').next().unwrap().to_owned()
}

#[tokio::test(flavor = "multi_thread")]
async fn one_session_sends_only_so_many_photos_at_once() {
    for place in EVERYWHERE {
        let world = World::start_at(place).await;
        let (office, cookie) = (world.as_office().await, cookie(&world).await);
        let bytes = picture(18, 18);
        let sha = digest_hex(&bytes);
        show(&office, office.site().await, &bytes).await;
        let path = format!("/api/photos/{sha}");
        let begun = format!(
            "PUT {path} HTTP/1.1\r\nhost: {}\r\ncookie: {cookie}\r\ncontent-type: image/png\r\n\
             content-length: 1000\r\n\r\n",
            world.address
        );
        let send = async || {
            let request = reqwest::Client::new().put(world.at(&path));
            let request = request
                .header("cookie", &cookie)
                .header("content-type", "image/png");
            answered(request.body(bytes.clone())).await.0
        };
        let limit = Duration::from_secs(20);
        // Where a quick one was before a slow one, the slow one is turned away: another takes its place.
        let mut open = Vec::new();
        let full = tokio::time::timeout(limit, async {
            loop {
                let mut stream = TcpStream::connect(world.address).unwrap();
                stream.write_all(begun.as_bytes()).unwrap();
                open.push(stream);
                if open.len() > 2 && send().await == StatusCode::TOO_MANY_REQUESTS {
                    return;
                }
            }
        })
        .await;
        assert!(full.is_ok(), "{place:?}: two at once");
        let other = put(&office, &sha, bytes.clone()).await;
        assert_eq!(other, StatusCode::OK, "another session is not concerned");
        drop(open);
        let again = tokio::time::timeout(limit, async {
            while send().await != StatusCode::OK {
                tokio::time::sleep(Duration::from_millis(20)).await;
            }
        })
        .await;
        assert!(again.is_ok(), "{place:?}: who hangs up makes room");
    }
}
