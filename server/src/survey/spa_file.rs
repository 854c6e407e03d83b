//! The spa sheet as a file: every quantity a text with its unit, read into a [`SpaSheet`].
//!
//! The format is documented in `tests/examples/README.md`.

use std::path::Path;

use serde::Deserialize;
use setdown_types::quantity::text::parse_quantity;
use setdown_types::quantity::{Dimension, Length, Quantity};
use setdown_types::spa::{
    Attitude, Bearing, CentreOfGravity, CoverKind, CoverSheet, CoverStandard, Handed, LiftMethod,
    Lifting, Listing, ServiceSide, Side, Size, SpaSheet, StubUp, SupplyCircuit, SupplySetting,
};
use toml::Table;

use super::{FileError, Problem, read_table};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Sheet {
    name: String,
    bare: SizeText,
    shipping: SizeText,
    dry_weight: String,
    water: String,
    people: u32,
    centre_of_gravity: Option<CentreText>,
    rim_height: String,
    rim_width: Option<String>,
    water_below_rim: Option<String>,
    bearing: BearingText,
    #[serde(default)]
    service: Vec<ServiceText>,
    #[serde(default)]
    entry_sides: Vec<Side>,
    handed: Handed,
    attitudes: Vec<Attitude>,
    lifting: Option<LiftingText>,
    #[serde(default)]
    supply: Vec<SupplyText>,
    stub_up: Option<StubUpText>,
    #[serde(default)]
    cover: Vec<CoverText>,
    level_tolerance: Option<String>,
    listing: Listing,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SizeText {
    length: String,
    width: String,
    height: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CentreText {
    from_service_end: String,
    off_centre: String,
    height: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct BearingText {
    pattern: Pattern,
    count: Option<u32>,
    width: Option<String>,
    area: Option<String>,
}

#[derive(Deserialize)]
#[serde(rename_all = "snake_case")]
enum Pattern {
    Full,
    Skids,
    Feet,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ServiceText {
    side: Side,
    depth: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct LiftingText {
    method: LiftMethod,
    points: Vec<String>,
    skid_weight: Option<String>,
    rim_squeeze_limit: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SupplyText {
    name: String,
    maximum_demand: String,
    circuit: Vec<CircuitText>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CircuitText {
    voltage: String,
    breaker: String,
    conductors: u32,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct StubUpText {
    side: Side,
    from_left: String,
    inset: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CoverText {
    kind: CoverKind,
    stow_depth: Option<String>,
    stow_side: Option<Side>,
    lift_clearance: Option<String>,
    footing: Option<String>,
    safety: Option<CoverStandard>,
    #[serde(default)]
    locks: bool,
    #[serde(default)]
    powered: bool,
    tested_load: Option<String>,
}

/// Reads a spa sheet file.
pub fn read(path: &Path) -> Result<SpaSheet, FileError> {
    from_table(&read_table(path)?).map_err(|problem| FileError::Content {
        path: path.to_owned(),
        problem,
    })
}

/// Reads a spa sheet from a TOML table.
pub fn from_table(table: &Table) -> Result<SpaSheet, Problem> {
    let sheet: Sheet = table
        .clone()
        .try_into()
        .map_err(|error: toml::de::Error| Problem::new("spa", error.message().to_owned()))?;
    sheet.parse()
}

impl Sheet {
    fn parse(self) -> Result<SpaSheet, Problem> {
        let sheet = SpaSheet {
            name: self.name,
            bare: size("bare", &self.bare)?,
            shipping: size("shipping", &self.shipping)?,
            dry_weight: positive("dry_weight", Dimension::Mass, &self.dry_weight)?,
            water: positive("water", Dimension::Volume, &self.water)?,
            people: self.people,
            centre_of_gravity: self.centre_of_gravity.map(centre).transpose()?,
            rim_height: length("rim_height", &self.rim_height)?,
            rim_width: optional_length("rim_width", self.rim_width)?,
            water_below_rim: optional_length("water_below_rim", self.water_below_rim)?,
            bearing: bearing(self.bearing)?,
            service: self
                .service
                .into_iter()
                .map(service)
                .collect::<Result<_, _>>()?,
            entry_sides: self.entry_sides,
            handed: self.handed,
            attitudes: self.attitudes,
            lifting: self.lifting.map(lifting).transpose()?,
            supply: self
                .supply
                .into_iter()
                .map(supply)
                .collect::<Result<_, _>>()?,
            stub_up: self.stub_up.map(stub_up).transpose()?,
            covers: self
                .cover
                .into_iter()
                .map(cover)
                .collect::<Result<_, _>>()?,
            level_tolerance: optional_length("level_tolerance", self.level_tolerance)?,
            listing: self.listing,
        };
        check_sizes(&sheet)?;
        Ok(sheet)
    }
}

/// A unit cannot ship smaller than it is.
fn check_sizes(sheet: &SpaSheet) -> Result<(), Problem> {
    let (bare, shipping) = (sheet.bare, sheet.shipping);
    let smaller = shipping.length < bare.length || shipping.width < bare.width;
    if smaller {
        return Err(Problem::new(
            "spa, shipping",
            "is smaller than the bare unit. Count the wrap and the skid in",
        ));
    }
    Ok(())
}

fn quantity(place: &str, dimension: Dimension, text: &str) -> Result<Quantity, Problem> {
    parse_quantity(dimension, text, None)
        .map_err(|problem| Problem::new(format!("spa, {place}"), problem.to_string()))
}

fn positive(place: &str, dimension: Dimension, text: &str) -> Result<Quantity, Problem> {
    let quantity = quantity(place, dimension, text)?;
    if quantity.base <= 0 {
        return Err(Problem::new(
            format!("spa, {place}"),
            "must be more than nothing",
        ));
    }
    Ok(quantity)
}

fn length(place: &str, text: &str) -> Result<Length, Problem> {
    let base = positive(place, Dimension::Length, text)?.base;
    Ok(Length::from_nanometres(base))
}

fn optional_length(place: &str, text: Option<String>) -> Result<Option<Length>, Problem> {
    text.map(|text| any_length(place, &text)).transpose()
}

/// A length that may be zero or, with a leading minus, negative.
fn any_length(place: &str, text: &str) -> Result<Length, Problem> {
    let (negative, rest) = match text.trim().strip_prefix(['-', '\u{2212}']) {
        Some(rest) => (true, rest),
        None => (false, text),
    };
    let base = quantity(place, Dimension::Length, rest)?.base;
    Ok(Length::from_nanometres(if negative { -base } else { base }))
}

fn size(place: &str, size: &SizeText) -> Result<Size, Problem> {
    Ok(Size {
        length: length(&format!("{place}.length"), &size.length)?,
        width: length(&format!("{place}.width"), &size.width)?,
        height: length(&format!("{place}.height"), &size.height)?,
    })
}

fn centre(text: CentreText) -> Result<CentreOfGravity, Problem> {
    Ok(CentreOfGravity {
        from_service_end: length("centre_of_gravity.from_service_end", &text.from_service_end)?,
        off_centre: any_length("centre_of_gravity.off_centre", &text.off_centre)?,
        height: length("centre_of_gravity.height", &text.height)?,
    })
}

fn bearing(text: BearingText) -> Result<Bearing, Problem> {
    let missing = |what: &str| Problem::new("spa, bearing", format!("needs {what}"));
    match text.pattern {
        Pattern::Full => Ok(Bearing::Full),
        Pattern::Skids => Ok(Bearing::Skids {
            count: text
                .count
                .filter(|count| *count > 0)
                .ok_or_else(|| missing("count = how many skids"))?,
            width: length(
                "bearing.width",
                &text
                    .width
                    .ok_or_else(|| missing("width = \"… in\" of each skid"))?,
            )?,
        }),
        Pattern::Feet => Ok(Bearing::Feet {
            count: text
                .count
                .filter(|count| *count > 0)
                .ok_or_else(|| missing("count = how many feet"))?,
            area: positive(
                "bearing.area",
                Dimension::Area,
                &text
                    .area
                    .ok_or_else(|| missing("area = \"… sq ft\" of each foot"))?,
            )?,
        }),
    }
}

fn service(text: ServiceText) -> Result<ServiceSide, Problem> {
    Ok(ServiceSide {
        side: text.side,
        depth: optional_length("service.depth", text.depth)?,
    })
}

fn lifting(text: LiftingText) -> Result<Lifting, Problem> {
    let points = text
        .points
        .iter()
        .map(|point| any_length("lifting.points", point));
    Ok(Lifting {
        method: text.method,
        points: points.collect::<Result<_, _>>()?,
        skid_weight: text
            .skid_weight
            .map(|text| quantity("lifting.skid_weight", Dimension::Mass, &text))
            .transpose()?,
        rim_squeeze_limit: text
            .rim_squeeze_limit
            .map(|text| quantity("lifting.rim_squeeze_limit", Dimension::Force, &text))
            .transpose()?,
    })
}

fn supply(text: SupplyText) -> Result<SupplySetting, Problem> {
    let circuits = text.circuit.iter().map(|circuit| {
        Ok(SupplyCircuit {
            voltage: positive(
                "supply.circuit.voltage",
                Dimension::Voltage,
                &circuit.voltage,
            )?,
            breaker: positive(
                "supply.circuit.breaker",
                Dimension::Current,
                &circuit.breaker,
            )?,
            conductors: circuit.conductors,
        })
    });
    Ok(SupplySetting {
        circuits: circuits.collect::<Result<_, Problem>>()?,
        maximum_demand: positive(
            "supply.maximum_demand",
            Dimension::Power,
            &text.maximum_demand,
        )?,
        name: text.name,
    })
}

fn stub_up(text: StubUpText) -> Result<StubUp, Problem> {
    Ok(StubUp {
        side: text.side,
        from_left: any_length("stub_up.from_left", &text.from_left)?,
        inset: any_length("stub_up.inset", &text.inset)?,
    })
}

fn cover(text: CoverText) -> Result<CoverSheet, Problem> {
    Ok(CoverSheet {
        kind: text.kind,
        stow_depth: optional_length("cover.stow_depth", text.stow_depth)?,
        stow_side: text.stow_side,
        lift_clearance: optional_length("cover.lift_clearance", text.lift_clearance)?,
        footing: optional_length("cover.footing", text.footing)?,
        safety: text.safety,
        locks: text.locks,
        powered: text.powered,
        tested_load: text
            .tested_load
            .map(|text| positive("cover.tested_load", Dimension::Mass, &text))
            .transpose()?,
    })
}
