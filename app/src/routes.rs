//! The table of all addresses a browser may open, and how an address finds its screen.
//!
//! The app's router is built from [`ROUTES`] and nothing else, so a test that walks the table walks every screen.

use std::collections::BTreeMap;

/// The part of Setdown an address belongs to; it decides layout, rights and whether it must open offline.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Area {
    /// The way in: `/` and `/sign-in`.
    Door,
    /// The coordinator's phone.
    Field,
    /// The homeowner's phone, opened by an invitation link.
    Homeowner,
    /// The desk.
    Office,
}

/// One screen; [`crate::App`] matches on it exhaustively. A homeowner has some of the field's under addresses of their
/// own, for the one site they are invited to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Screen {
    /// Where to go from `/`.
    Start,
    /// Name and password.
    SignIn,
    /// The coordinator's sites on this phone.
    FieldSites,
    /// Units, light, storage, signing out.
    FieldSettings,
    /// One site at a glance.
    FieldOverview,
    /// Every question in walking order.
    FieldWalk,
    /// One question about one thing.
    FieldAsk,
    /// Every check.
    FieldChecks,
    /// One check with its working.
    FieldCheck,
    /// The tasks by party.
    FieldTasks,
    /// Every entry.
    FieldHistory,
    /// Notes and photos.
    FieldNotes,
    /// Answers that disagree.
    FieldDisagreements,
    /// The yard plan: its drawing, what it is made of, what does not fit.
    FieldPlan,
    /// The way in: verdict, played back, moves.
    FieldWay,
    /// The homeowner's checklist and tasks.
    HomeownerStart,
    /// The office's table of sites.
    OfficeSites,
    /// The office's form for a new site.
    OfficeNewSite,
    /// One site as the office reviews it.
    OfficeSite,
}

/// One line of the route table.
#[derive(Debug, PartialEq, Eq)]
pub struct RouteSpec {
    /// The address; a segment that starts with `:` matches any one segment and is named by the rest.
    pub path: &'static str,
    /// The area it belongs to.
    pub area: Area,
    /// The screen it opens.
    pub screen: Screen,
    /// Whether it must open from a killed state with no server in reach.
    pub offline: bool,
}

/// Every address the app answers to.
pub const ROUTES: &[RouteSpec] = &[
    RouteSpec {
        path: "/",
        area: Area::Door,
        screen: Screen::Start,
        offline: true,
    },
    RouteSpec {
        path: "/sign-in",
        area: Area::Door,
        screen: Screen::SignIn,
        offline: true,
    },
    RouteSpec {
        path: "/field",
        area: Area::Field,
        screen: Screen::FieldSites,
        offline: true,
    },
    RouteSpec {
        path: "/field/settings",
        area: Area::Field,
        screen: Screen::FieldSettings,
        offline: true,
    },
    RouteSpec {
        path: "/field/:site",
        area: Area::Field,
        screen: Screen::FieldOverview,
        offline: true,
    },
    RouteSpec {
        path: "/field/:site/walk",
        area: Area::Field,
        screen: Screen::FieldWalk,
        offline: true,
    },
    RouteSpec {
        path: "/field/:site/ask/:subject/:question",
        area: Area::Field,
        screen: Screen::FieldAsk,
        offline: true,
    },
    RouteSpec {
        path: "/field/:site/checks",
        area: Area::Field,
        screen: Screen::FieldChecks,
        offline: true,
    },
    RouteSpec {
        path: "/field/:site/checks/:check",
        area: Area::Field,
        screen: Screen::FieldCheck,
        offline: true,
    },
    RouteSpec {
        path: "/field/:site/tasks",
        area: Area::Field,
        screen: Screen::FieldTasks,
        offline: true,
    },
    RouteSpec {
        path: "/field/:site/history",
        area: Area::Field,
        screen: Screen::FieldHistory,
        offline: true,
    },
    RouteSpec {
        path: "/field/:site/notes",
        area: Area::Field,
        screen: Screen::FieldNotes,
        offline: true,
    },
    RouteSpec {
        path: "/field/:site/disagreements",
        area: Area::Field,
        screen: Screen::FieldDisagreements,
        offline: true,
    },
    RouteSpec {
        path: "/field/:site/plan",
        area: Area::Field,
        screen: Screen::FieldPlan,
        offline: true,
    },
    RouteSpec {
        path: "/field/:site/way",
        area: Area::Field,
        screen: Screen::FieldWay,
        offline: true,
    },
    RouteSpec {
        path: "/home",
        area: Area::Homeowner,
        screen: Screen::HomeownerStart,
        offline: true,
    },
    RouteSpec {
        path: "/home/ask/:subject/:question",
        area: Area::Homeowner,
        screen: Screen::FieldAsk,
        offline: true,
    },
    RouteSpec {
        path: "/home/checks/:check",
        area: Area::Homeowner,
        screen: Screen::FieldCheck,
        offline: true,
    },
    RouteSpec {
        path: "/home/history",
        area: Area::Homeowner,
        screen: Screen::FieldHistory,
        offline: true,
    },
    RouteSpec {
        path: "/home/notes",
        area: Area::Homeowner,
        screen: Screen::FieldNotes,
        offline: true,
    },
    RouteSpec {
        path: "/office",
        area: Area::Office,
        screen: Screen::OfficeSites,
        offline: false,
    },
    // Before `/office/:site`: the first line that fits is taken.
    RouteSpec {
        path: "/office/new",
        area: Area::Office,
        screen: Screen::OfficeNewSite,
        offline: false,
    },
    RouteSpec {
        path: "/office/:site",
        area: Area::Office,
        screen: Screen::OfficeSite,
        offline: false,
    },
];

/// Where a homeowner's screens begin.
pub const HOME: &str = "/home";

/// Where a homeowner finds what the coordinator's address `path` shows; `None` for an address of another area.
pub fn at_home(path: &str) -> Option<String> {
    let found = find(path).filter(|found| found.spec.area == Area::Field)?;
    let own = ROUTES
        .iter()
        .find(|spec| spec.area == Area::Homeowner && spec.screen == found.spec.screen);
    let Some(own) = own else {
        return Some(HOME.to_owned());
    };
    let segments = own.path.split('/').map(|segment| {
        let value = segment
            .strip_prefix(':')
            .and_then(|name| found.parameters.get(name));
        value.map_or(segment, String::as_str)
    });
    Some(segments.collect::<Vec<_>>().join("/"))
}

/// The values of an address's named segments, by name and as they stand in the address (not percent-decoded).
pub type RouteParameters = BTreeMap<&'static str, String>;

/// A route that an address has found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FoundRoute {
    /// The line of the table.
    pub spec: &'static RouteSpec,
    /// The named segments.
    pub parameters: RouteParameters,
}

/// Finds the first line of [`ROUTES`] that answers to `path` (no query, no fragment; a trailing `/` is ignored).
pub fn find(path: &str) -> Option<FoundRoute> {
    ROUTES.iter().find_map(|spec| {
        parameters_of(spec.path, path).map(|parameters| FoundRoute { spec, parameters })
    })
}

/// Matches `path` against one pattern; `None` where it does not answer.
fn parameters_of(pattern: &'static str, path: &str) -> Option<RouteParameters> {
    let wanted: Vec<&'static str> = pattern
        .split('/')
        .filter(|segment| !segment.is_empty())
        .collect();
    let given: Vec<&str> = path
        .trim_matches('/')
        .split('/')
        .filter(|segment| !segment.is_empty())
        .collect();
    if wanted.len() != given.len() {
        return None;
    }
    let mut parameters = RouteParameters::new();
    for (want, have) in wanted.iter().zip(&given) {
        match want.strip_prefix(':') {
            Some(name) => {
                parameters.insert(name, (*have).to_owned());
            }
            None if want == have => {}
            None => return None,
        }
    }
    Some(parameters)
}

impl RouteSpec {
    /// An address that this route answers to, with `value` in place of every named segment.
    pub fn example(&self, value: &str) -> String {
        self.path
            .split('/')
            .map(|segment| {
                if segment.starts_with(':') {
                    value
                } else {
                    segment
                }
            })
            .collect::<Vec<_>>()
            .join("/")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_route_finds_itself_and_none_hides_another() {
        for spec in ROUTES {
            let found = find(&spec.example("0190b3c4"))
                .unwrap_or_else(|| panic!("{} finds nothing", spec.path));
            assert_eq!(
                found.spec.path, spec.path,
                "an earlier line of the table hides {}",
                spec.path
            );
        }
    }

    #[test]
    fn named_segments_are_kept_and_lengths_must_agree() {
        let found = parameters_of("/field/:site/ask/:question", "/field/a1/ask/gate-width/")
            .expect("same length");
        assert_eq!(found["site"], "a1");
        assert_eq!(found["question"], "gate-width");
        assert_eq!(parameters_of("/field/:site", "/field"), None);
        assert_eq!(parameters_of("/field", "/field/a1"), None);
        assert_eq!(parameters_of("/", "/"), Some(RouteParameters::new()));
    }

    #[test]
    fn a_homeowner_is_led_from_every_field_address_to_a_screen_of_their_own() {
        for spec in ROUTES {
            let address = spec.example("0190b3c4");
            let Some(home) = at_home(&address) else {
                assert_ne!(spec.area, Area::Field, "{address}");
                continue;
            };
            let found = find(&home).unwrap_or_else(|| panic!("{home} finds nothing"));
            assert_eq!(found.spec.area, Area::Homeowner, "{address}: {home}");
        }
        assert_eq!(
            at_home("/field/a1/ask/site/way.chain").as_deref(),
            Some("/home/ask/site/way.chain")
        );
    }

    #[test]
    fn field_and_homeowner_routes_all_open_offline() {
        for spec in ROUTES
            .iter()
            .filter(|spec| matches!(spec.area, Area::Field | Area::Homeowner))
        {
            assert!(spec.offline, "{} must open with no server", spec.path);
        }
    }
}
