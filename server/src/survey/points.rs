//! Names of things in a survey file, and the points and ties of the yard plan that are written with them.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;

use setdown_types::ids::{SiteId, SubjectId};
use setdown_types::subject::SubjectKind;
use setdown_types::value::{PointList, Tie, TieKind};
use toml::{Table, Value as Toml};

use super::{Problem, derived_subject, text};

/// Things by kind and name; of a name that stands twice the first is meant, and telling so is up to whoever asks.
#[derive(Debug, Default)]
pub(super) struct Names {
    ids: BTreeMap<(SubjectKind, String), SubjectId>,
    twice: Vec<(SubjectKind, String)>,
}

impl Names {
    /// Every named thing of a file.
    pub(super) fn of(table: &Table, site: SiteId) -> Self {
        let mut names = Self::default();
        for kind in SubjectKind::ADDED {
            let Some(Toml::Array(list)) = table.get(kind.key()) else {
                continue;
            };
            for (index, thing) in list.iter().enumerate() {
                if let Some(name) = thing.get("name").and_then(Toml::as_str) {
                    names.add(kind, name, derived_subject(site, kind.key(), index));
                }
            }
        }
        names
    }

    fn add(&mut self, kind: SubjectKind, name: &str, id: SubjectId) {
        let key = (kind, name.to_owned());
        match self.ids.entry(key) {
            Entry::Vacant(free) => {
                free.insert(id);
            }
            Entry::Occupied(taken) => self.twice.push(taken.key().clone()),
        }
    }

    fn id(&self, kind: SubjectKind, place: &str, name: &str) -> Result<SubjectId, Problem> {
        let key = (kind, name.to_owned());
        if self.twice.contains(&key) {
            let why = format!(
                "two things of [[{}]] are called \"{name}\": give each its own name",
                kind.key()
            );
            return Err(Problem::new(place, why));
        }
        self.ids.get(&key).copied().ok_or_else(|| {
            let why = format!(
                "\"{name}\" is no name under [[{}]]: add it or check its spelling",
                kind.key()
            );
            Problem::new(place, why)
        })
    }

    /// A list of things of one kind by their names.
    pub(super) fn points(
        &self,
        kind: SubjectKind,
        place: &str,
        toml: &Toml,
    ) -> Result<PointList, Problem> {
        let wanted = || {
            Problem::new(
                place,
                format!("must be a list of names under [[{}]]", kind.key()),
            )
        };
        let list = toml.as_array().ok_or_else(wanted)?;
        let mut ids = Vec::new();
        for entry in list {
            let name = entry.as_str().ok_or_else(wanted)?;
            ids.push(self.id(kind, place, name)?);
        }
        PointList::new(ids).map_err(|why| Problem::new(place, why.to_string()))
    }

    /// The `kind` and `points` of a `[[tie]]`.
    pub(super) fn tie(&self, place: &str, table: &Table) -> Result<Tie, Problem> {
        let word = text(table, "kind")
            .map_err(|problem| Problem::new(format!("{place}, kind"), problem.reason))?;
        let kind = TieKind::from_key(&word).ok_or_else(|| {
            let known = TieKind::ALL.map(TieKind::key).join(", ");
            Problem::new(
                format!("{place}, kind"),
                format!("\"{word}\" is not known. Use one of {known}"),
            )
        })?;
        let place = format!("{place}, points");
        let points = table.get("points").ok_or_else(|| {
            Problem::new(&place, "missing. Name the points, such as [\"A\", \"B\"]")
        })?;
        let points = self.points(SubjectKind::PlanPoint, &place, points)?;
        Tie::new(kind, points).map_err(|why| Problem::new(place, why.to_string()))
    }
}
