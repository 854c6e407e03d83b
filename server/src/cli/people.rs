//! `add-person` and the imports of sheets: what a dealer needs before the office can work.

use std::io::Read;

use clap::{Args, ValueEnum};
use setdown_types::ids::{OrganisationId, PersonId};
use setdown_types::party::Role;
use setdown_types::practice::PracticeSheet;
use setdown_types::spa::SpaSheet;
use uuid::Uuid;

use crate::clock;
use crate::error::ServerError;
use crate::secrets::{MAX_PASSWORD, hash_password};
use crate::settings::DataSettings;
use crate::store::Store;
use crate::store::people::NewPerson;

/// A role that has an account.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub enum AccountRole {
    /// Walks the yard and measures.
    Coordinator,
    /// Reviews, settles, signs and books.
    Office,
}

/// Who to add.
#[derive(Debug, Args)]
pub struct NewPersonArguments {
    /// Name of the dealer; made if there is none of this name.
    #[arg(long)]
    dealer: String,
    /// Name as shown.
    #[arg(long)]
    name: String,
    /// Name to sign in with.
    #[arg(long)]
    sign_in: String,
    /// As what.
    #[arg(long)]
    role: AccountRole,
    /// Where data lives.
    #[command(flatten)]
    data: DataSettings,
}

/// Adds a person, and their dealer where it is new.
pub async fn add(arguments: NewPersonArguments) -> Result<String, ServerError> {
    let password_hash = hash_password(read_password()?).await?;
    let store = Store::open(&arguments.data.database()?).await?;
    let now = clock::now();
    let organisation = match store.find_organisation(&arguments.dealer).await? {
        Some(organisation) => organisation,
        None => {
            let organisation = OrganisationId(Uuid::new_v4());
            store
                .add_organisation(organisation, &arguments.dealer, now)
                .await?;
            organisation
        }
    };
    let person = NewPerson {
        id: PersonId(Uuid::new_v4()),
        organisation,
        sign_in: arguments.sign_in,
        name: arguments.name,
        role: match arguments.role {
            AccountRole::Coordinator => Role::Coordinator,
            AccountRole::Office => Role::Office,
        },
        password_hash,
    };
    store.add_person(&person, now).await?;
    store.close().await;
    Ok(format!("Added {} for {}.\n", person.name, arguments.dealer))
}

/// Sets the password of somebody who is there, such as after an import, which brings none.
pub async fn set_password(data: &DataSettings, sign_in: &str) -> Result<String, ServerError> {
    let password_hash = hash_password(read_password()?).await?;
    let store = Store::open(&data.database()?).await?;
    let name = store.set_password(sign_in, &password_hash).await?;
    store.close().await;
    Ok(format!(
        "{name} signs in with the new password; earlier sessions have ended.\n"
    ))
}

fn read_password() -> Result<String, ServerError> {
    eprintln!("Password (then Enter, then end of input):");
    let mut text = String::new();
    let longest = u64::try_from(MAX_PASSWORD).unwrap_or(u64::MAX) + 2;
    std::io::stdin()
        .take(longest)
        .read_to_string(&mut text)
        .map_err(|source| ServerError::File {
            path: "standard input".into(),
            source,
        })?;
    Ok(text.trim_end_matches(['\r', '\n']).to_owned())
}

/// Imports a practice sheet as a revision.
pub async fn import_practice(
    data: &DataSettings,
    dealer: &str,
    sheet: &PracticeSheet,
) -> Result<String, ServerError> {
    let store = Store::open(&data.database()?).await?;
    let organisation = dealer_of(&store, dealer).await?;
    let digest = store
        .add_practice(organisation, sheet, clock::now())
        .await?;
    store.close().await;
    Ok(format!("Imported for {dealer} as revision {digest}.\n"))
}

/// Imports a spa sheet as a revision.
pub async fn import_spa(
    data: &DataSettings,
    dealer: &str,
    sheet: &SpaSheet,
) -> Result<String, ServerError> {
    let store = Store::open(&data.database()?).await?;
    let organisation = dealer_of(&store, dealer).await?;
    let digest = store.add_spa(organisation, sheet, clock::now()).await?;
    store.close().await;
    Ok(format!("Imported for {dealer} as revision {digest}.\n"))
}

async fn dealer_of(store: &Store, dealer: &str) -> Result<OrganisationId, ServerError> {
    store.find_organisation(dealer).await?.ok_or_else(|| {
        ServerError::BadInput(format!(
            "there is no dealer named '{dealer}': add its first person with add-person"
        ))
    })
}
