//! Where the unit stands and on what, as the questions tell them apart.

use setdown_types::subject::Subject;

use crate::frame::context::Context;

/// How the unit sits in the site.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Placing {
    /// On the ground as it is.
    OnGrade,
    /// Partly sunk.
    PartlyRecessed,
    /// In a vault below grade.
    Vault,
    /// On a deck above the ground.
    RaisedDeck,
    /// In a garage or another building.
    Indoors,
}

/// The placing, read as the question `base.placing`; `None` while it is not answered.
pub fn of(context: &Context<'_>) -> Option<Placing> {
    let choice = context.choice(Subject::SITE, "base.placing")?;
    match choice.as_str() {
        "on_grade" => Some(Placing::OnGrade),
        "partly_recessed" => Some(Placing::PartlyRecessed),
        "vault" => Some(Placing::Vault),
        "raised_deck" => Some(Placing::RaisedDeck),
        "indoors" => Some(Placing::Indoors),
        _ => None,
    }
}

/// What the unit stands on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A new concrete slab.
    Slab,
    /// A slab that was there before.
    ExistingSlab,
    /// Crushed rock.
    Rock,
    /// A synthetic pad on prepared ground.
    Pad,
    /// A deck or a suspended floor.
    Deck,
}

impl Kind {
    /// Whether it is concrete on the ground.
    pub const fn is_slab(self) -> bool {
        matches!(self, Self::Slab | Self::ExistingSlab)
    }
}

/// The kind of base, read as the question `base.kind`; `None` while it is not answered.
pub fn kind_of(context: &Context<'_>) -> Option<Kind> {
    let choice = context.choice(Subject::SITE, "base.kind")?;
    match choice.as_str() {
        "slab" => Some(Kind::Slab),
        "existing_slab" => Some(Kind::ExistingSlab),
        "rock" => Some(Kind::Rock),
        "pad" => Some(Kind::Pad),
        "deck" => Some(Kind::Deck),
        _ => None,
    }
}
