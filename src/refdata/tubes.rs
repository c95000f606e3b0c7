//! Tube sizes.

use super::practices;
use super::table::{between, inches, rows};
use crate::physics::tube_metal::metal_volume;
use crate::units::{Length, Mass, MassDensity, PressureDifference, kilograms_per_cubic_metre, metres};
use serde::Deserialize;
use std::sync::OnceLock;

/// The table.
const TEXT: &str = include_str!("../../refdata/tubes.csv");

/// The table of metric copper.
const METRIC_TEXT: &str = include_str!("../../refdata/tubes_metric.csv");

/// Kind of metric copper tube.
pub const METRIC: &str = "EN 12735-1";

/// What a tube is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Material {
    /// Copper, annealed where it is brazed.
    Copper,
    /// Carbon steel.
    Steel,
}

impl Material {
    /// Its density.
    ///
    /// Sources: `cda-c12200`, `asme-b36-10`.
    #[must_use]
    pub fn density(self) -> MassDensity {
        kilograms_per_cubic_metre(match self {
            Material::Copper => practices::figure("copper_density"),
            Material::Steel => practices::figure("steel_density"),
        })
    }
}

/// A size of tube.
#[derive(Clone, Debug, PartialEq)]
pub struct Tube {
    /// Trade name: size and kind, `1-3/8 ACR`; of metric copper outside diameter and wall in mm, `42 x 1.5`.
    pub name: String,
    /// Kind: `ACR`, `L`, `K`, `EN 12735-1`, `Sch40`, `Sch80`, or empty for the user's own.
    pub kind: String,
    /// Outside diameter, nominal.
    pub outside: Length,
    /// Wall, nominal.
    pub wall: Length,
    /// Largest outside diameter by the standard's tolerance.
    pub outside_max: Length,
    /// Least wall by the standard's tolerance.
    pub wall_min: Length,
    /// Roughness of the bore.
    pub roughness: Length,
    /// Material.
    pub material: Material,
    /// The user's own rating in place of a computed one.
    pub rated: Option<PressureDifference>,
    /// The user's own allowable stress in place of the table's.
    pub allowable: Option<PressureDifference>,
    /// Source key.
    pub source: String,
}

impl Tube {
    /// Inside diameter: outside less two walls.
    #[must_use]
    pub fn bore(&self) -> Length {
        self.outside - 2.0 * self.wall
    }

    /// Whether it is metric copper of EN 12735-1.
    #[must_use]
    pub fn is_metric(&self) -> bool {
        self.kind == METRIC
    }

    /// Mass of a length of it, by its nominal diameter and wall. The user's own tube counts as copper.
    ///
    /// ```
    /// use roofrun::{refdata::tube, units::metres};
    /// let foot = tube("1-3/8 L").unwrap().mass(metres(0.3048));
    /// assert_eq!(format!("{:.3}", foot.value / 0.453_592_37), "0.884"); // lb
    /// ```
    #[must_use]
    pub fn mass(&self, length: Length) -> Mass {
        self.material.density() * metal_volume(self.outside, self.wall, length)
    }

    /// Nominal size, the pipe size by which fittings are listed: of copper the outside diameter less 1/8 in; of steel
    /// by the outside diameters of ASME B36.10, in proportion between them.
    #[must_use]
    pub fn nominal(&self) -> Length {
        match self.material {
            Material::Copper => self.outside - inches(0.125),
            Material::Steel => {
                let sizes: Vec<(f64, f64)> =
                    entries().iter().filter(|e| e.tube.kind == "Sch40").map(Entry::outside_and_nominal).collect();
                metres(between(&sizes, self.outside.value))
            }
        }
    }

    /// The nominal size by which types L and K are bought elsewhere than in this trade, in inches: `3/4` of 7/8 OD K.
    #[must_use]
    pub fn nominal_size(&self) -> Option<String> {
        if !matches!(self.kind.as_str(), "L" | "K") {
            return None;
        }
        // Every nominal size is whole eighths.
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few eighths")]
        let eighths = (self.nominal().value / inches(0.125).value).round() as u32;
        let (whole, over) = (eighths / 8, eighths % 8);
        let fraction = match over {
            0 => String::new(),
            4 => "1/2".to_owned(),
            even if even % 2 == 0 => format!("{}/4", even / 2),
            odd => format!("{odd}/8"),
        };
        Some(match (whole, over) {
            (0, _) => fraction,
            (_, 0) => whole.to_string(),
            _ => format!("{whole}-{fraction}"),
        })
    }
}

#[derive(Deserialize)]
struct Row {
    name: String,
    kind: String,
    material: Material,
    nominal_in: f64,
    outside_in: f64,
    wall_in: f64,
    outside_max_in: f64,
    wall_min_in: f64,
    roughness_um: f64,
    source: String,
}

#[derive(Deserialize)]
#[serde(from = "Row")]
struct Entry {
    nominal: Length,
    tube: Tube,
}

impl Entry {
    fn outside_and_nominal(&self) -> (f64, f64) {
        (self.tube.outside.value, self.nominal.value)
    }
}

impl From<Row> for Entry {
    fn from(row: Row) -> Self {
        Self {
            nominal: inches(row.nominal_in),
            tube: Tube {
                name: row.name,
                kind: row.kind,
                outside: inches(row.outside_in),
                wall: inches(row.wall_in),
                outside_max: inches(row.outside_max_in),
                wall_min: inches(row.wall_min_in),
                roughness: metres(row.roughness_um * 1e-6),
                material: row.material,
                rated: None,
                allowable: None,
                source: row.source,
            },
        }
    }
}

#[derive(Deserialize)]
struct MetricRow {
    outside_mm: f64,
    wall_mm: f64,
    outside_tolerance_mm: f64,
    wall_tolerance_percent: f64,
    source: String,
}

impl From<MetricRow> for Tube {
    fn from(row: MetricRow) -> Self {
        let millimetres = |value: f64| metres(value * 1e-3);
        Self {
            name: format!("{} x {}", row.outside_mm, row.wall_mm),
            kind: METRIC.to_owned(),
            outside: millimetres(row.outside_mm),
            wall: millimetres(row.wall_mm),
            outside_max: millimetres(row.outside_mm + row.outside_tolerance_mm),
            wall_min: millimetres(row.wall_mm * (1.0 - row.wall_tolerance_percent / 100.0)),
            roughness: metres(1.5e-6),
            material: Material::Copper,
            rated: None,
            allowable: None,
            source: row.source,
        }
    }
}

fn metric() -> Vec<Tube> {
    rows::<MetricRow>(METRIC_TEXT).unwrap_or_default().into_iter().map(Tube::from).collect()
}

fn entries() -> &'static [Entry] {
    static TABLE: OnceLock<Vec<Entry>> = OnceLock::new();
    TABLE.get_or_init(|| rows(TEXT).unwrap_or_default())
}

/// All tubes: ACR, L and K copper by rising size, then steel of schedule 40 and 80, then metric copper.
#[must_use]
pub fn tubes() -> &'static [Tube] {
    static TABLE: OnceLock<Vec<Tube>> = OnceLock::new();
    TABLE.get_or_init(|| entries().iter().map(|e| e.tube.clone()).chain(metric()).collect())
}

/// The tube of that trade name. Copper goes by its outside diameter, steel by its nominal size, metric copper by outside diameter
/// and wall however they are written: `42x1,5`, `42 × 1.5 mm`. Types L and K say that it is the outside: `7/8 OD K`, or `7/8 K`.
///
/// ```
/// let tube = roofrun::refdata::tube("1-3/8 ACR").unwrap();
/// assert_eq!(format!("{:.4}", tube.bore().value), "0.0321"); // m: 1.265 in
/// assert!(roofrun::refdata::tube("1-3/16 ACR").is_none());
/// assert_eq!(roofrun::refdata::tube("42×1,5 mm").unwrap().name, "42 x 1.5");
/// ```
#[must_use]
pub fn tube(name: &str) -> Option<&'static Tube> {
    let of_the_plumbers = |tube: &&Tube| tube.name.replacen(" OD ", " ", 1) == name;
    tubes().iter().find(|tube| tube.name == name).or_else(|| tubes().iter().find(of_the_plumbers)).or_else(|| {
        let [outside, wall] = metric_size(name)?;
        let near = |length: Length, mm: Option<f64>| mm.is_some_and(|mm| (length.value * 1e3 - mm).abs() < 1e-6);
        tubes().iter().find(|t| t.is_metric() && near(t.outside, outside) && near(t.wall, wall))
    })
}

/// The metric tubes of the outside diameter in a name: `42 x 3` and `42 mm` mean those of 42 mm, whatever their wall. Where there is
/// none, those of the next diameter below and above: 64 and 76.1 mm for `70 x 2`.
#[must_use]
pub fn metric_tubes(name: &str) -> Vec<&'static Tube> {
    let Some([Some(outside), _]) = metric_size(name) else { return Vec::new() };
    let metric = || tubes().iter().filter(|tube| tube.is_metric());
    let sizes = || metric().map(|tube| tube.outside.value * 1e3);
    let of = |mm: f64| metric().filter(move |tube| (tube.outside.value * 1e3 - mm).abs() < 1e-6);
    let same: Vec<_> = of(outside).collect();
    if !same.is_empty() {
        return same;
    }
    let below = sizes().filter(|mm| *mm < outside).fold(f64::NEG_INFINITY, f64::max);
    let above = sizes().filter(|mm| *mm > outside).fold(f64::INFINITY, f64::min);
    of(below).chain(of(above)).collect()
}

/// Outside diameter and wall of a metric name, mm: two numbers with a cross between, point or comma in them, with or without blanks
/// and `mm`; or the diameter alone, with `mm`.
fn metric_size(name: &str) -> Option<[Option<f64>; 2]> {
    let plain: String =
        name.to_lowercase().replace(',', ".").replace(['\u{d7}', '*'], "x").split_whitespace().collect();
    let number =
        |text: &str| text.strip_suffix("mm").unwrap_or(text).parse::<f64>().ok().filter(|size| size.is_finite());
    match plain.trim_start_matches('\u{f8}').split_once('x') {
        Some((outside, wall)) => Some([Some(number(outside)?), Some(number(wall)?)]),
        None if plain.ends_with("mm") => Some([Some(number(plain.trim_start_matches('\u{f8}'))?), None]),
        None => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn the_nominal_size_of_plumbing_copper_is_an_eighth_less() {
        for (name, nominal) in [
            ("3/8 K", "1/4"),
            ("1/2 L", "3/8"),
            ("7/8 OD K", "3/4"),
            ("1-1/8 L", "1"),
            ("1-3/8 K", "1-1/4"),
            ("6-1/8 L", "6"),
        ] {
            assert_eq!(tube(name).unwrap().nominal_size().as_deref(), Some(nominal), "{name}");
        }
        assert_eq!(tube("7/8 ACR").unwrap().nominal_size(), None);
    }

    #[test]
    fn the_table_reads_and_every_row_is_a_tube() {
        let entries: Vec<Entry> = rows(TEXT).unwrap();
        assert_eq!(entries.len(), 15 + 15 + 15 + 12 + 12);
        for Entry { nominal, tube } in &entries {
            assert!(tube.bore().value > 0.0, "{}", tube.name);
            assert!(tube.outside_max > tube.outside && tube.wall_min < tube.wall, "{}", tube.name);
            assert!(tube.wall_min > 0.8 * tube.wall, "{}", tube.name);
            assert_relative_eq!(tube.nominal().value, nominal.value, max_relative = 1e-12);
            assert!(tube.name.ends_with(&tube.kind));
        }
    }

    #[test]
    fn metric_tube_reads_and_is_called_as_people_write_it() {
        let metric: Vec<Tube> = rows::<MetricRow>(METRIC_TEXT).unwrap().into_iter().map(Tube::from).collect();
        assert_eq!(metric.len(), 20);
        for tube in &metric {
            assert!(tube.bore().value > 0.0 && tube.outside_max > tube.outside && tube.wall_min < tube.wall);
            assert!(tube.wall_min > 0.8 * tube.wall, "{}", tube.name);
            assert_eq!(super::tube(&tube.name), Some(tube));
        }
        for name in [
            "42 x 1.5",
            "42x1.5",
            "42 x 1,5",
            "42×1,5",
            "42 × 1.5 mm",
            "42mm x 1.5mm",
            "42 X 1.50",
            "42.0x1.5",
            "ø42 x 1.5",
        ] {
            assert_eq!(super::tube(name).map(|tube| tube.name.as_str()), Some("42 x 1.5"), "{name}");
        }
        assert_eq!(super::tube("76,1 x 2").unwrap().name, "76.1 x 2");
        let called = |name: &str| metric_tubes(name).iter().map(|tube| tube.name.as_str()).collect::<Vec<_>>();
        assert_eq!(called("42 mm"), ["42 x 1.5", "42 x 2"]);
        assert_eq!(called("54 x 3"), ["54 x 1.5", "54 x 2"]);
        assert_eq!(called("70 x 2"), ["64 x 2", "76.1 x 2"]);
        assert_eq!(called("43 mm"), ["42 x 1.5", "42 x 2", "54 x 1.5", "54 x 2"]);
        assert_eq!([called("5 mm"), called("133 x 3")], [["6 x 1"], ["108 x 2.5"]]);
        for none in ["42", "x", "42 x", "nan x 1", "42 x 1.5 x 2", "mm", ""] {
            assert!(super::tube(none).is_none() && called(none).is_empty(), "{none}");
        }
    }

    #[test]
    fn names_are_all_different() {
        let mut names: Vec<_> = tubes().iter().map(|t| &t.name).collect();
        names.sort();
        names.dedup();
        assert_eq!(names.len(), tubes().len());
    }

    #[test]
    fn the_name_says_the_size() {
        for Entry { nominal, tube } in entries() {
            let size: f64 = tube.name.split(' ').next().unwrap().split('-').map(fraction).sum();
            let named = if tube.material == Material::Copper { tube.outside } else { *nominal };
            assert_relative_eq!(inches(size).value, named.value, max_relative = 1e-12);
        }
    }

    fn fraction(text: &str) -> f64 {
        match text.split_once('/') {
            Some((over, under)) => over.parse::<f64>().unwrap() / under.parse::<f64>().unwrap(),
            None => text.parse().unwrap(),
        }
    }
}
