//! The yard plan at the desk: drawn, judged and retold as on the phone, though each works it out for itself.

use setdown_app::words::{filled, word};
use setdown_tests::browser::{Browser, Failure};
use setdown_tests::yard::{LIMIT, page_says, phone, press, sign_in, take_along};

use super::Office;

/// The demo's site with a taped yard.
const TAPED: &str = "Corner lot with a side gate";

/// What is said of the way: the check's reason, with margin and spread.
const REASON: &str = "const said = [...document.querySelectorAll('p')].find((each) => each.textContent.startsWith('There is a way in with'));\
     return said ? said.textContent : '';";
/// The moves, one a line.
const MOVES: &str = "return [...document.querySelectorAll('.moves li')].map((each) => each.textContent.trim()).join('\\n');";

async fn told(browser: &Browser) -> Result<[String; 2], Failure> {
    let there = format!("return !!(() => {{ {REASON} }})() && !!(() => {{ {MOVES} }})();");
    browser
        .until("the way with its moves", LIMIT, &there)
        .await?;
    let text = async |script| -> Result<String, Failure> {
        let said = browser.run(script).await?;
        Ok(said.as_str().ok_or("a text")?.to_owned())
    };
    Ok([text(REASON).await?, text(MOVES).await?])
}

/// What is told of other sizes, in their order: the longest, the widest, the one tried.
const SIZES: &str = "return [...document.querySelectorAll('.other-sizes [role=status]')].map((each) => each.textContent.trim()).join('\\n');";

/// Asks for the longest, then for a length that is too long.
async fn other_sizes(browser: &Browser) -> Result<String, Failure> {
    press(browser, &word("way.longest.ask")).await?;
    page_says(browser, "long passes (proved)").await?;
    browser
        .write(".other-sizes input[type=text]", "30 ft")
        .await?;
    let size = ("size", "30 ft 0 in");
    press(browser, &filled("way.try.ask_size", &[size])).await?;
    page_says(browser, &filled("way.try.no_route", &[size])).await?;
    let told = browser.run(SIZES).await?;
    Ok(told.as_str().ok_or("a text")?.to_owned())
}

#[tokio::test]
async fn the_desk_and_the_phone_show_the_same_way_in() -> Result<(), Failure> {
    let office = Office::open().await?;
    office.go_to(TAPED).await?;
    office.tab("plan").await?;
    let at_the_desk = told(&office.desk).await?;
    office.counts(".plan .moving .unit", 1).await?;
    if let Ok(folder) = std::env::var("SETDOWN_PICTURES") {
        std::fs::create_dir_all(&folder)?;
        let picture = office.desk.client.screenshot().await?;
        std::fs::write(std::path::Path::new(&folder).join("desk-plan.png"), picture)?;
    }

    let sizes_at_the_desk = other_sizes(&office.desk).await?;

    let profile = tempfile::tempdir()?;
    let browser = phone(profile.path()).await?;
    sign_in(&browser, &office.yard, "valley-coordinator", "/field").await?;
    let id = take_along(&browser, TAPED).await?;
    let way = office.yard.at(&format!("/field/{id}/way"));
    browser.open(&way).await?;
    page_says(&browser, &word("way.verdict.route")).await?;
    assert_eq!(told(&browser).await?, at_the_desk);
    let lines = |told: &str| -> Vec<String> {
        let lines = told.lines().filter(|line| !line.is_empty());
        lines.map(str::to_owned).collect()
    };
    let sizes = lines(&other_sizes(&browser).await?);
    assert_eq!(sizes, lines(&sizes_at_the_desk));
    assert_eq!(sizes.len(), 2, "{sizes:?}");
    Ok(())
}
