//! The table of printed values: reading it, holding a computed value against a printed one, counting it.

use serde::Deserialize;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;

/// Fewest values and sources that the table must keep.
const MINIMUM_VALUES: usize = 120;
const MINIMUM_SOURCES: usize = 15;
/// Fewest of those that were read and are not only looked up.
const MINIMUM_COMPUTED: usize = 500;

/// Tables whose values are only looked up, or read back as they were typed: they guard the data, and prove no formula.
const LOOKED_UP: [&str; 25] = [
    "A-weight",
    "allowable stress",
    "bore",
    "concentration limit",
    "density",
    "design dry-bulb in the head of an EPW",
    "equivalent length",
    "expansion of copper",
    "flammability limit by EN 378",
    "global warming potential of a component",
    "greatest fill of a receiver",
    "largest outside diameter",
    "practical limit",
    "reading of a weather file",
    "siting distance in SI",
    "siting distance in inches",
    "siting distance",
    "station of a weather file",
    "support spacing in metres",
    "support spacing",
    "tolerance of metric tube",
    "toxicity or oxygen limit",
    "velocity limit",
    "wall in mm",
    "wall",
];

#[derive(Debug, Deserialize)]
pub struct Row {
    table: String,
    at: String,
    value: String,
    unit: String,
    within: String,
    why: String,
    source: String,
    place: String,
    known: Known,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
enum Known {
    Seen,
    Secondary,
    Memory,
    Computed,
}

/// A table of the file: its name, the unit of its values, and how one is computed from its arguments.
pub struct Table(pub &'static str, pub &'static str, pub fn(&[&str]) -> f64);

fn rows() -> Vec<Row> {
    crate::table::rows(include_str!("values.csv"))
}

impl Row {
    fn printed(&self) -> f64 {
        self.value.parse().unwrap()
    }

    /// Half a unit of the last printed digit, or the row's own tolerance, in the row's unit.
    fn tolerance(&self) -> f64 {
        match self.within.strip_suffix('%') {
            Some(percent) => percent.trim().parse::<f64>().unwrap() / 100.0 * self.printed().abs(),
            None if self.within.is_empty() => {
                let decimals = self.value.split_once('.').map_or(0, |(_, after)| after.len());
                // A hair more, for halves that are not exact in binary.
                0.5 * 10f64.powi(-i32::try_from(decimals).unwrap()) * (1.0 + 1e-9)
            }
            None => self.within.parse().unwrap(),
        }
    }
}

/// Computes every row of these tables, and says which do not come out as printed.
pub fn reproduce(tables: &[Table]) {
    let rows = rows();
    let mut misses = String::new();
    for Table(name, unit, compute) in tables {
        let of_table: Vec<_> = rows.iter().filter(|r| r.table == *name).collect();
        assert!(!of_table.is_empty(), "no row of `{name}`");
        for row in of_table {
            assert_eq!(row.unit, *unit, "{name}");
            let arguments: Vec<&str> = row.at.split(';').map(str::trim).collect();
            let computed = compute(&arguments);
            let (printed, tolerance) = (row.printed(), row.tolerance());
            if computed.is_nan() || (computed - printed).abs() > tolerance {
                writeln!(
                    misses,
                    "{name}, {}: {} {unit} printed ({}, {}), {computed} computed, off by {:+.2} %",
                    row.at,
                    row.value,
                    row.source,
                    row.place,
                    (computed / printed - 1.0) * 100.0,
                )
                .unwrap();
            }
        }
    }
    assert!(misses.is_empty(), "\n{misses}");
}

/// Computed over printed, for the rows of a table whose first arguments are these, relative to their mean.
pub fn shape(table: &Table, first: &[&str]) -> Vec<f64> {
    let ratios: Vec<f64> = rows()
        .iter()
        .filter(|r| r.table == table.0)
        .filter_map(|row| {
            let arguments: Vec<&str> = row.at.split(';').map(str::trim).collect();
            arguments.starts_with(first).then(|| (table.2)(&arguments) / row.printed())
        })
        .collect();
    let mean = (ratios.iter().map(|r| r.ln()).sum::<f64>() / f64::from(u32::try_from(ratios.len()).unwrap())).exp();
    ratios.into_iter().map(|r| r / mean).collect()
}

/// All tables that a module computes.
fn computed() -> impl Iterator<Item = &'static Table> {
    [
        super::air::TABLES,
        super::climate::TABLES,
        super::fittings::TABLES,
        super::flow::TABLES,
        super::friction::TABLES,
        super::growth::TABLES,
        super::limits::TABLES,
        super::lines::TABLES,
        super::machine::TABLES,
        super::refrigerants::TABLES,
        super::pressure::TABLES,
        super::riser::TABLES,
        super::safety::TABLES,
        super::sound::TABLES,
        super::surge::TABLES,
        super::takeoff::TABLES,
        super::tubes::TABLES,
        super::warm_air::TABLES,
        super::weather::TABLES,
    ]
    .into_iter()
    .flatten()
}

#[test]
fn every_row_is_computed_by_one_module() {
    let mut names: Vec<_> = computed().map(|t| t.0).collect();
    names.sort_unstable();
    let all = names.len();
    names.dedup();
    assert_eq!(all, names.len(), "a table is computed twice");
    for row in rows() {
        assert!(names.contains(&row.table.as_str()), "nothing computes `{}`", row.table);
    }
}

#[test]
fn no_value_stands_twice() {
    let mut seen = BTreeSet::new();
    for row in rows() {
        let key = (row.table.clone(), row.at.clone(), row.unit.clone(), row.source.clone());
        assert!(seen.insert(key), "{row:?}");
    }
}

#[test]
fn a_wider_tolerance_gives_its_reason() {
    for row in rows() {
        assert_eq!(row.within.is_empty(), row.why.is_empty(), "{row:?}");
        assert!(row.tolerance() >= 0.0 && row.tolerance() <= 0.1 * row.printed().abs().max(1.0), "{row:?}");
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Publication {
    title: String,
    place: String,
}

fn publications() -> BTreeMap<String, Publication> {
    toml::from_str(include_str!("sources.toml")).unwrap()
}

#[test]
fn every_source_resolves_and_is_used() {
    let publications = publications();
    let rows = rows();
    for row in &rows {
        let here = publications.contains_key(&row.source);
        let there = roofrun::refdata::source(&row.source).is_some();
        assert!(here != there, "`{}` stands in {} of the two files", row.source, if here { "both" } else { "neither" });
        assert!(!row.place.is_empty(), "{row:?}");
    }
    for (key, publication) in &publications {
        assert!(rows.iter().any(|r| &r.source == key), "`{key}` is not used");
        assert!(!publication.title.is_empty() && !publication.place.is_empty(), "{key}");
    }
}

#[test]
fn there_are_enough_values_from_enough_sources() {
    let rows = rows();
    let evidence: Vec<_> = rows.iter().filter(|r| r.known != Known::Computed).collect();
    let sources: BTreeSet<_> = evidence.iter().map(|r| &r.source).collect();
    assert!(evidence.len() >= MINIMUM_VALUES, "{} values", evidence.len());
    assert!(sources.len() >= MINIMUM_SOURCES, "{} sources", sources.len());
    // Not all of it may be what somebody remembers.
    let read = evidence.iter().filter(|r| matches!(r.known, Known::Seen | Known::Secondary)).count();
    assert!(read >= MINIMUM_VALUES, "{read} values that were read");
}

#[test]
fn there_are_enough_values_that_are_computed_and_not_looked_up() {
    let rows = rows();
    for name in LOOKED_UP {
        assert!(rows.iter().any(|row| row.table == name), "no row of `{name}`");
    }
    let computed = rows.iter().filter(|row| !LOOKED_UP.contains(&row.table.as_str()));
    let read = computed.filter(|row| matches!(row.known, Known::Seen | Known::Secondary)).count();
    assert!(read >= MINIMUM_COMPUTED, "{read} values that were read and are computed");
}

/// What stands before the unit of an argument, `105 F`.
pub fn number(argument: &str) -> f64 {
    argument.split(' ').next().unwrap().parse().unwrap()
}

/// Kelvin of an argument in degrees Fahrenheit.
pub fn kelvin(argument: &str) -> f64 {
    assert!(argument.ends_with(" F"), "{argument} is not in F");
    (number(argument) + 459.67) / 1.8
}

/// Foot, m.
pub const FOOT: f64 = 0.3048;
/// Inch, m.
pub const INCH: f64 = 0.0254;
/// Pound-force per square inch, Pa.
pub const PSI: f64 = 6_894.757_293_168_361;
/// Ton of refrigeration, 12 000 Btu (International Table) an hour, W.
pub const TON: f64 = 12_000.0 * 1_055.055_852_62 / 3600.0;
