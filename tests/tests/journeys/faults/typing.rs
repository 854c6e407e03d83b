//! What lands while somebody types takes nothing away from under their hands.

use serde_json::{Value as Json, json};
use setdown_app::words::word;
use setdown_tests::browser::Failure;
use setdown_tests::clients::Client;
use setdown_tests::yard::{LIMIT, Yard, page_says, press, strip_says};
use setdown_types::entry::{Entry, Intent};
use setdown_types::ids::SiteId;
use setdown_types::subject::Subject;
use setdown_types::value::{Attestation, Value};
use setdown_types::wire::Verdict;

use super::{OFFICE, Phone};

const WORD: &str = "attest.base_ground";
/// Documents are held back until the page is told to let them through.
const HOLD_DOCUMENTS: &str = "const real = window.fetch; window.through = [];\
     window.fetch = (...given) => {\
       const address = String(given[0].url || given[0]);\
       if (window.open_to_all || !address.includes('/api/sync/documents/')) return real(...given);\
       return new Promise((go) => window.through.push(go)).then(() => real(...given)); };\
     return true;";
const LET_THROUGH: &str =
    "window.open_to_all = true; window.through.forEach((go) => go()); return true;";

fn field(place: usize) -> String {
    format!(".entry .stack > :nth-child({place}) input")
}

impl Phone {
    /// What the four fields of a licensed person's word hold, and whether each is still the one that was there.
    async fn form(&self) -> Result<Json, Failure> {
        self.browser
            .run("return [...document.querySelectorAll('.entry .stack > label input')].map((each) => [each.value, each.dataset.mine === 'yes']);")
            .await
    }
}

/// Another spa sheet than the one that the site is pinned to, as an entry of the office that corrects the pin.
async fn another_sheet(office: &Client, site: SiteId) -> Result<Entry, Failure> {
    let (status, catalogue) = office.post("/api/office/catalogue", &json!({})).await;
    assert!(status.is_success(), "{status}: {catalogue}");
    let pulled = office.pull(site, 0).await;
    let entries = pulled.entries.iter();
    let pin = entries
        .filter_map(|pulled| Entry::from_json(pulled.raw.get()).ok())
        .find(|entry| entry.question == "site.spa")
        .ok_or("the site is pinned")?;
    let sheets = catalogue["spas"].as_array().ok_or("sheets")?;
    let other = sheets
        .iter()
        .filter_map(|sheet| sheet["digest"].as_str())
        .find(|digest| pin.value() != Some(&Value::Pin((*digest).to_owned())))
        .ok_or("another sheet")?;
    let mut entry = office.entry(
        site,
        Subject::SITE,
        "site.spa",
        Value::Pin(other.to_owned()),
    );
    entry.intent = Intent::Changed;
    entry.replaces = vec![pin.id];
    Ok(entry)
}

#[tokio::test]
async fn what_is_typed_stays_while_a_sync_lands_and_the_sheet_is_exchanged() -> Result<(), Failure>
{
    let yard = Yard::new().await?;
    let _server = yard.start();
    let phone = Phone::with_a_site(&yard.at("")).await?;
    let office = Client::sign_in(&yard.at(""), OFFICE).await;
    phone.ask(WORD).await?;
    phone.browser.run(HOLD_DOCUMENTS).await?;
    phone
        .browser
        .run("document.querySelectorAll('.entry input').forEach((each) => { each.dataset.mine = 'yes'; }); return true;")
        .await?;
    phone
        .browser
        .write(&field(2), "a structural engineer")
        .await?;
    phone.browser.write(&field(3), "12345, state").await?;

    // Somebody else's reading lands, and a sheet that is not on the phone yet.
    let note = Value::Text("The gate is open from eight".to_owned());
    let note = office.entry(phone.site, Subject::SITE, "site.note", note);
    for entry in [note, another_sheet(&office, phone.site).await?] {
        let verdict = office.push_one(&entry).await;
        assert!(matches!(verdict, Verdict::Accepted(_)), "{verdict:?}");
    }
    page_says(&phone.browser, &word("field.sheet_on_its_way")).await?;
    let typed = json!([
        ["a structural engineer", true],
        ["12345, state", true],
        ["", true],
        ["", true]
    ]);
    assert_eq!(phone.form().await?, typed);
    let focused = "return document.activeElement === document.querySelector('.entry .stack > :nth-child(3) input');";
    assert_eq!(
        phone.browser.run(focused).await?,
        true,
        "the focus stays where it was"
    );

    // Typed on without the sheet, and the sheet arrives under the hands.
    phone
        .browser
        .write(&field(4), "slab letter, page 2")
        .await?;
    phone.browser.run(LET_THROUGH).await?;
    let arrived = format!(
        "return !document.body.textContent.includes({});",
        json!(word("field.sheet_on_its_way"))
    );
    phone
        .browser
        .until("the new sheet", LIMIT, &arrived)
        .await?;
    let typed = json!([
        ["a structural engineer", true],
        ["12345, state", true],
        ["slab letter, page 2", true],
        ["", true]
    ]);
    assert_eq!(phone.form().await?, typed);
    phone
        .browser
        .set_picker(".entry input[type=date]", "2026-11-20")
        .await?;
    phone.keep().await?;
    let kept = phone.entries(WORD).await?;
    let [(entry, _)] = kept.as_slice() else {
        return Err(format!("not one entry: {kept:?}").into());
    };
    let word = Attestation {
        person: "a structural engineer".to_owned(),
        licence: "12345, state".to_owned(),
        document: "slab letter, page 2".to_owned(),
        date: jiff::civil::date(2026, 11, 20),
    };
    assert_eq!(entry.value(), Some(&Value::Attestation(word)));
    strip_says(&phone.browser, "Everything is sent").await
}

#[tokio::test]
async fn a_height_without_a_place_comes_back_and_so_does_the_place() -> Result<(), Failure> {
    let yard = Yard::new().await?;
    let server = yard.start();
    let phone = Phone::with_a_site(&yard.at("")).await?;
    server.kill();
    let point = "/ask/level_point.01924f00-0000-7000-8000-000000000007/level_point.height";
    phone.open(point).await?;
    phone.key("7").await?;
    phone.length_reads("7 in").await?;
    phone
        .until_stored("drafts", "the height", |draft| {
            draft["text"]
                .as_str()
                .is_some_and(|text| text.contains("7 in"))
        })
        .await?;
    let phone = phone.killed().await?;
    phone.open(point).await?;
    phone.length_reads("7 in").await?;
    let choose = "const places = document.querySelector('.level-entry select'); if (!places) return false;\
         places.value = places.options[3].value; places.dispatchEvent(new Event('change', { bubbles: true })); return true;";
    phone.browser.until("the places", LIMIT, choose).await?;
    phone
        .until_stored("drafts", "the point", |draft| {
            draft["text"]
                .as_str()
                .is_some_and(|text| text.contains("\"height\":177800000"))
        })
        .await?;
    let phone = phone.killed().await?;
    phone.open(point).await?;
    phone.length_reads("7 in").await?;
    let placed = "return document.querySelector('.level-entry select').selectedIndex === 3;";
    phone.browser.until("the place", LIMIT, placed).await?;
    phone.keep().await?;
    assert_eq!(phone.entries("level_point.height").await?.len(), 1);
    Ok(())
}

#[tokio::test]
async fn the_length_of_a_level_may_be_typed_before_the_gap_under_it() -> Result<(), Failure> {
    let yard = Yard::new().await?;
    let server = yard.start();
    let phone = Phone::with_a_site(&yard.at("")).await?;
    server.kill();
    phone.ask("spot.ground_fall").await?;
    press(&phone.browser, &word("slope.level_and_tape")).await?;
    let (gap, level) = (
        ".slope-entry label:first-of-type input",
        ".slope-entry label:last-of-type input",
    );
    phone.browser.write(level, "72").await?;
    phone.browser.write(gap, "1.5").await?;
    assert_eq!(phone.browser.value(level).await?, "72");
    phone
        .until_stored("drafts", "the gap", |draft| draft["text"] == "1.5:72")
        .await?;
    Ok(())
}
