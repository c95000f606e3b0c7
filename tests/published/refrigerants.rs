//! Printed properties of refrigerants: `refrigerants.csv`, sources in `refrigerants.toml`.

use std::collections::BTreeMap;

use roofrun::refrigerant::{End, Refrigerant, named};
use serde::Deserialize;

#[derive(Debug, Deserialize)]
struct Row {
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
}

/// A table: its name, the unit of its values, and how one is computed from its arguments.
struct Table(&'static str, &'static str, fn(&[&str]) -> f64);

const TABLES: &[Table] = &[
    Table("saturation pressure", "kPa", |at| fluid(at).dew_pressure(kelvin(at[1])).unwrap() / 1e3),
    Table("dew pressure", "psi", |at| fluid(at).dew_pressure(kelvin(at[1])).unwrap() / PSI),
    Table("density of bubble liquid", "kg/m3", |at| fluid(at).bubble_t(kelvin(at[1])).unwrap().density),
    Table("density of dew vapour", "kg/m3", |at| fluid(at).dew_t(kelvin(at[1])).unwrap().density),
    Table("enthalpy of bubble liquid", "kJ/kg", |at| fluid(at).bubble_t(kelvin(at[1])).unwrap().enthalpy / 1e3),
    Table("enthalpy of dew vapour", "kJ/kg", |at| fluid(at).dew_t(kelvin(at[1])).unwrap().enthalpy / 1e3),
    Table("density of superheated vapour", "kg/m3", |at| {
        fluid(at).vapour_density(pressure(at), kelvin(at[2])).unwrap()
    }),
    Table("enthalpy of superheated vapour", "kJ/kg", |at| {
        fluid(at).vapour_pt(pressure(at), kelvin(at[2])).unwrap().enthalpy / 1e3
    }),
    Table("molar mass", "g/mol", |at| fluid(at).molar_mass() * 1e3),
    Table("critical temperature", "K", |at| fluid(at).critical_temperature()),
    Table("critical pressure", "kPa", |at| fluid(at).critical_pressure() / 1e3),
    Table("normal boiling point", "K", |at| fluid(at).bubble_temperature(101_325.0).unwrap()),
];

/// Pound-force per square inch, Pa.
const PSI: f64 = 6_894.757_293_168_361;

fn fluid(at: &[&str]) -> &'static Refrigerant {
    named(at[0]).unwrap()
}

fn kelvin(argument: &str) -> f64 {
    let (number, unit) = argument.split_once(' ').unwrap();
    let number: f64 = number.parse().unwrap();
    match unit {
        "C" => number + 273.15,
        "F" => (number + 459.67) / 1.8,
        other => panic!("{other}"),
    }
}

/// The pressure of a superheated state is given by its dew temperature: the source prints it with too few digits for
/// the density, but it is that of a saturation row.
fn pressure(at: &[&str]) -> f64 {
    fluid(at).dew_pressure(kelvin(at[1])).unwrap()
}

fn rows() -> Vec<Row> {
    let text = include_str!("refrigerants.csv");
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(text.as_bytes());
    reader.deserialize().collect::<Result<_, _>>().unwrap()
}

impl Row {
    fn printed(&self) -> f64 {
        self.value.parse().unwrap()
    }

    /// Half a unit of the last printed digit, or the row's own tolerance.
    fn tolerance(&self) -> f64 {
        if let Some(percent) = self.within.strip_suffix('%') {
            return percent.trim().parse::<f64>().unwrap() / 100.0 * self.printed();
        }
        if !self.within.is_empty() {
            return self.within.parse().unwrap();
        }
        let decimals = self.value.split_once('.').map_or(0, |(_, after)| after.len());
        // A hair more, for halves that are not exact in binary.
        0.5 * 10f64.powi(-i32::try_from(decimals).unwrap()) * (1.0 + 1e-9)
    }
}

#[test]
fn every_printed_property_comes_out() {
    let mut misses = Vec::new();
    for row in rows() {
        let Table(_, unit, compute) = TABLES.iter().find(|table| table.0 == row.table).unwrap();
        assert_eq!(row.unit, *unit, "{row:?}");
        let arguments: Vec<&str> = row.at.split("; ").collect();
        let computed = compute(&arguments);
        let printed = row.printed();
        if (computed - printed).abs() <= row.tolerance() {
            continue;
        }
        misses.push(format!(
            "{}, {}: {} {unit} printed ({}, {}), {computed} computed, off by {:+.4} %",
            row.table,
            row.at,
            row.value,
            row.source,
            row.place,
            (computed / printed - 1.0) * 100.0
        ));
    }
    assert!(misses.is_empty(), "\n{}", misses.join("\n"));
}

#[test]
fn every_row_has_a_source_and_every_wider_tolerance_its_reason() {
    #[derive(Deserialize)]
    #[serde(deny_unknown_fields)]
    struct Publication {
        title: String,
        place: String,
    }
    let publications: BTreeMap<String, Publication> = toml::from_str(include_str!("refrigerants.toml")).unwrap();
    let rows = rows();
    for row in &rows {
        assert!(publications.contains_key(&row.source) && !row.place.is_empty(), "{row:?}");
        assert_eq!(row.within.is_empty(), row.why.is_empty(), "{row:?}");
        assert!(row.tolerance() <= 5e-3 * row.printed(), "{row:?}");
    }
    for (key, publication) in &publications {
        assert!(rows.iter().any(|row| row.source == *key), "{key} is not used");
        assert!(!publication.title.is_empty() && !publication.place.is_empty());
    }
    for table in TABLES {
        assert!(rows.iter().any(|row| row.table == table.0), "{} has no row", table.0);
    }
    let read = rows.iter().filter(|row| row.known != Known::Memory).count();
    assert!(read >= 75, "{read} values that were read, of {}", rows.len());
}

/// R-410A boils at 221.71 K under one atmosphere (Lemmon 2003, quoted at the head of a fluid file): that is below the
/// range here, and is refused with a bound that lies where it must.
#[test]
fn the_normal_boiling_point_of_r410a_lies_below_the_range() {
    let error = named("R-410A").unwrap().bubble_temperature(101_325.0).unwrap_err();
    assert_eq!((error.quantity, error.end), ("pressure", End::Least));
    // The vapour pressure rises about 5 % a kelvin there: 1.44 K above the boiling point.
    let kelvins = (error.bound / 101_325.0).ln() / 0.0507;
    assert!((kelvins - (223.15 - 221.71)).abs() < 0.01, "{kelvins}");
}
