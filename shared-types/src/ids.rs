//! Identifiers: one newtype per thing that can be named, all UUIDs on the wire.

use serde::{Deserialize, Serialize};
use uuid::Uuid;

macro_rules! id {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(pub Uuid);

        impl $name {
            /// The all-zero identifier, used only where a value must exist before one is drawn.
            pub const NIL: Self = Self(Uuid::nil());

            /// Parses the usual hyphenated form; `None` for anything else.
            pub fn parse(text: &str) -> Option<Self> {
                Uuid::parse_str(text).ok().map(Self)
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                self.0.fmt(f)
            }
        }

        impl From<Uuid> for $name {
            fn from(value: Uuid) -> Self {
                Self(value)
            }
        }
    };
}

id!(
    /// One ledger entry: a UUIDv7 drawn on the device (RFC 9562), primary key everywhere.
    EntryId
);
id!(
    /// One job at one address.
    SiteId
);
id!(
    /// Something on a site that answers belong to: an opening, a leg, a line.
    SubjectId
);
id!(
    /// A dealer: no right and no row reaches from one organisation into another.
    OrganisationId
);
id!(
    /// One browser profile on one device.
    DeviceId
);
id!(
    /// A person who signs in, or the holder of an invitation.
    PersonId
);
id!(
    /// One page load of one device: monotonic times compare only inside one boot.
    BootId
);

impl EntryId {
    /// The 74 random bits of a UUIDv7, without its clock bits.
    ///
    /// Used to decide between concurrent entries where no time can be trusted: the clock bits
    /// of the id would let a phone with a wrong clock win every time.
    pub fn random_bits(self) -> u128 {
        let all = self.0.as_u128();
        let rand_a = (all >> 64) & 0x0fff;
        let rand_b = all & 0x3fff_ffff_ffff_ffff;
        (rand_a << 62) | rand_b
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: RFC 9562 Appendix A.6 (rand_a 0xCC3, rand_b 0x18C4DC0C0C07398F).
    #[test]
    fn random_bits_leave_the_clock_out() {
        let id = EntryId::parse("017f22e2-79b0-7cc3-98c4-dc0c0c07398f").unwrap();
        assert_eq!(id.random_bits(), (0xCC3u128 << 62) | 0x18C4_DC0C_0C07_398F);
        let earlier = EntryId::parse("00000000-0000-7cc3-98c4-dc0c0c07398f").unwrap();
        assert_eq!(id.random_bits(), earlier.random_bits());
    }
}
