//! The browser is killed in the middle of an entry, with no server to come back to.

use image::{ImageFormat, RgbImage};
use reqwest::{Method as HttpMethod, StatusCode};
use setdown_tests::browser::Failure;
use setdown_tests::clients::Client;
use setdown_tests::yard::{LIMIT, Yard, page_says, press, sign_in, strip_says};
use setdown_types::entry::Method;
use setdown_types::value::Value;

use super::{COORDINATOR, LENGTH, OFFICE, Phone};

pub(super) const PHOTO: &str = "street.photo_left";

#[tokio::test]
async fn a_length_half_keyed_is_back_on_its_question_and_can_be_kept() -> Result<(), Failure> {
    let yard = Yard::new().await?;
    let server = yard.start();
    let phone = Phone::with_a_site(&yard.at("")).await?;
    server.kill();
    phone.ask(LENGTH).await?;
    for key in ["5", "ft", "1"] {
        phone.key(key).await?;
    }
    let opens = "document.querySelector('details.how').open = true; return true;";
    phone.browser.run(opens).await?;
    press(&phone.browser, "Estimate").await?;
    phone
        .until_stored("drafts", "the length so far", |draft| {
            draft["text"] == "5 ft 1 in" && draft["how"]["method"] == "estimate"
        })
        .await?;

    let phone = phone.killed().await?;
    phone.open("").await?;
    page_says(&phone.browser, "Typed and not saved").await?;
    phone
        .browser
        .click(&format!("a[href$='/ask/site/{LENGTH}']"))
        .await?;
    phone.length_reads("5 ft 1 in").await?;
    page_says(&phone.browser, "It is not saved yet").await?;
    phone.key("0").await?;
    phone.length_reads("5 ft 10 in").await?;
    phone.keep().await?;
    strip_says(&phone.browser, "1 only on this phone").await?;

    let kept = phone.entries(LENGTH).await?;
    let [(entry, state)] = kept.as_slice() else {
        return Err(format!("not one entry: {kept:?}").into());
    };
    let typed = match entry.value() {
        Some(Value::Measure(measure)) => measure.typed.as_str(),
        other => return Err(format!("not a measure: {other:?}").into()),
    };
    assert_eq!((typed, entry.method), ("5 ft 10 in", Method::Estimate));
    assert_eq!(state, "unsent");
    assert!(
        phone.stored("drafts").await?.is_empty(),
        "the draft is done with"
    );
    Ok(())
}

#[tokio::test]
async fn a_photo_is_remembered_through_the_camera_and_through_a_kill() -> Result<(), Failure> {
    let yard = Yard::new().await?;
    let server = yard.start();
    let phone = Phone::with_a_site(&yard.at("")).await?;
    server.kill();
    phone.ask(PHOTO).await?;
    press(&phone.browser, "Take a photo").await?;
    let about = |row: &serde_json::Value| row["question"] == PHOTO;
    phone
        .until_stored("expected_photos", "the mark", about)
        .await?;

    // The camera is on, and the phone drops the page.
    let phone = phone.killed().await?;
    phone.open("").await?;
    page_says(&phone.browser, "A photo was about to be taken here").await?;
    phone
        .browser
        .click(&format!("a[href$='/ask/site/{PHOTO}']"))
        .await?;
    page_says(&phone.browser, "Is it still wanted?").await?;
    let folder = tempfile::tempdir()?;
    choose_picture(&phone, folder.path()).await?;
    phone.browser.text("img.photo").await?;
    phone.until_stored("drafts", "the picture", about).await?;

    // Kept on the phone, not yet given as the answer.
    let phone = phone.killed().await?;
    phone.ask(PHOTO).await?;
    phone.browser.text("img.photo").await?;
    assert!(
        phone.stored("expected_photos").await?.is_empty(),
        "the photo came"
    );
    phone.keep().await?;
    strip_says(&phone.browser, "photos to send: 1").await?;

    let _server = yard.start();
    // A killed browser may lose its newest cookie.
    sign_in(&phone.browser, &yard, COORDINATOR, "/field").await?;
    strip_says(&phone.browser, "Everything is sent").await?;
    let [photo] = &phone.stored("photos").await?[..] else {
        return Err("not one photo".into());
    };
    let path = format!("/api/photos/{}", photo["sha256"].as_str().ok_or("a hash")?);
    let office = Client::sign_in(&yard.at(""), OFFICE).await;
    let answer = office.request(HttpMethod::GET, &path).send().await?;
    assert_eq!(answer.status(), StatusCode::OK);
    Ok(())
}

#[tokio::test]
async fn a_photo_nobody_wants_any_more_is_asked_about_once() -> Result<(), Failure> {
    let yard = Yard::new().await?;
    let _server = yard.start();
    let phone = Phone::with_a_site(&yard.at("")).await?;
    phone.ask(PHOTO).await?;
    press(&phone.browser, "Take a photo").await?;
    phone
        .until_stored("expected_photos", "the mark", |row| {
            row["question"] == PHOTO
        })
        .await?;
    phone.ask(PHOTO).await?;
    press(&phone.browser, "Not any more").await?;
    let asked = "return !document.body.textContent.includes('Is it still wanted?');";
    phone
        .browser
        .until("the question to go", LIMIT, asked)
        .await?;
    phone.until_empty("expected_photos").await
}

/// Gives the photo input a picture, as the camera does.
pub(super) async fn choose_picture(phone: &Phone, folder: &std::path::Path) -> Result<(), Failure> {
    let path = folder.join("street.jpg");
    RgbImage::from_fn(640, 480, |x, y| {
        image::Rgb([(x % 256) as u8, (y % 256) as u8, 90])
    })
    .save_with_format(&path, ImageFormat::Jpeg)?;
    let input = fantoccini::Locator::Css("input[type=file]");
    let input = phone.browser.client.find(input).await?;
    Ok(input.send_keys(&path.display().to_string()).await?)
}
