//! A site whose spa sheet is not there any more: the page says which one, and works again with another.

use setdown_app::words::{filled, word};
use setdown_server::demo::DEALERS;
use setdown_tests::browser::Failure;
use setdown_tests::yard::page_says;
use setdown_types::digest::digest_hex;
use setdown_types::practice::PracticeSheet;
use sqlx::{AnyConnection, Connection};

use super::{Office, SITE};

const FORM: &str = "form.missing-sheet";

#[tokio::test]
async fn a_site_without_its_sheet_names_it_and_takes_another() -> Result<(), Failure> {
    let office = Office::open().await?;
    let id = office.go_to(SITE).await?;
    let before = office.site(&id).await?;
    let gone = &before.spa.digest;
    sqlx::any::install_default_drivers();
    let mut connection = AnyConnection::connect(&office.yard.database_url).await?;
    let taken = sqlx::query("DELETE FROM documents WHERE digest = $1 AND organisation = $2")
        .bind(gone)
        .bind(DEALERS[0].organisation.to_string())
        .execute(&mut connection)
        .await?;
    assert_eq!(taken.rows_affected(), 1);
    connection.close().await?;
    office.desk.client.refresh().await?;
    let sheet = word("office.spa");
    let told = filled(
        "office.missing_sheet",
        &[("sheet", &sheet), ("digest", gone)],
    );
    office.says(".missing-digest", &told).await?;
    office.says("h1", SITE).await?;
    page_says(&office.desk, "setdown-server import").await?;
    let pin = "form.missing-sheet button[type=submit]";
    let unready = format!("return document.querySelector('{pin}').disabled;");
    assert_eq!(office.desk.run(&unready).await?, true, "nothing is chosen");
    let other = "return [...document.querySelectorAll('#site-spa option')].find((one) => one.value).textContent;";
    let other = office.desk.run(other).await?;
    office
        .desk
        .pick("#site-spa", other.as_str().ok_or("another sheet")?)
        .await?;
    office
        .desk
        .tap(pin, &word("office.missing_sheet_pin"))
        .await?;
    office.is_on_a_site().await?;
    let after = office.site(&id).await?;
    assert_ne!(&after.spa.digest, gone);
    assert_eq!(after.last_seq, before.last_seq + 1);
    Ok(())
}

/// Both sheets are gone: each form names its own, the first to be exchanged goes, and the page comes with the second.
#[tokio::test]
async fn a_site_without_both_sheets_takes_them_one_after_the_other() -> Result<(), Failure> {
    let office = Office::open().await?;
    let id = office.go_to(SITE).await?;
    let before = office.site(&id).await?;
    let another = PracticeSheet {
        name: "Another practice sheet".to_owned(),
        ..PracticeSheet::default()
    };
    let dealer = DEALERS[0].organisation.to_string();
    sqlx::any::install_default_drivers();
    let mut connection = AnyConnection::connect(&office.yard.database_url).await?;
    for digest in [&before.spa.digest, &before.practice.digest] {
        sqlx::query("DELETE FROM documents WHERE digest = $1 AND organisation = $2")
            .bind(digest)
            .bind(&dealer)
            .execute(&mut connection)
            .await?;
    }
    let body = another.canonical();
    let added = "INSERT INTO documents (organisation, digest, kind, name, body, created_at) \
                 VALUES ($1, $2, 'practice', $3, $4, 1)";
    sqlx::query(added)
        .bind(&dealer)
        .bind(digest_hex(body.as_bytes()))
        .bind(&another.name)
        .bind(&body)
        .execute(&mut connection)
        .await?;
    connection.close().await?;
    office.desk.client.refresh().await?;
    office.counts(FORM, 2).await?;
    exchange(&office, "#site-spa").await?;
    office.counts(FORM, 1).await?;
    exchange(&office, "#site-practice").await?;
    office.is_on_a_site().await?;
    let after = office.site(&id).await?;
    assert_eq!(after.last_seq, before.last_seq + 2);
    Ok(())
}

/// Chooses the first sheet that there is, and pins the site to it.
async fn exchange(office: &Office, field: &str) -> Result<(), Failure> {
    let other = format!(
        "return [...document.querySelectorAll('{field} option')].find((one) => one.value).textContent;"
    );
    let other = office.desk.run(&other).await?;
    let other = other.as_str().ok_or("another sheet")?;
    office.desk.pick(field, other).await?;
    let pin = format!("{FORM}:has({field}) button[type=submit]");
    office
        .desk
        .tap(&pin, &word("office.missing_sheet_pin"))
        .await
}
