//! Tube sizes.

use super::practices;
use super::table::{between, inches, rows};
use crate::physics::tube_metal::metal_volume;
use crate::units::{Length, Mass, MassDensity, PressureDifference, kilograms_per_cubic_metre, metres};
use serde::Deserialize;
use std::sync::OnceLock;

/// The table.
const TEXT: &str = include_str!("../../refdata/tubes.csv");

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
    /// Trade name: size and kind, `1-3/8 ACR`.
    pub name: String,
    /// Kind: `ACR`, `L`, `K`, `Sch40`, `Sch80`, or empty for the user's own.
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

fn entries() -> &'static [Entry] {
    static TABLE: OnceLock<Vec<Entry>> = OnceLock::new();
    TABLE.get_or_init(|| rows(TEXT).unwrap_or_default())
}

/// All tubes: ACR, L and K copper by rising size, then steel of schedule 40 and 80.
#[must_use]
pub fn tubes() -> &'static [Tube] {
    static TABLE: OnceLock<Vec<Tube>> = OnceLock::new();
    TABLE.get_or_init(|| entries().iter().map(|e| e.tube.clone()).collect())
}

/// The tube of that trade name. Copper goes by its outside diameter, steel by its nominal size.
///
/// ```
/// let tube = roofrun::refdata::tube("1-3/8 ACR").unwrap();
/// assert_eq!(format!("{:.4}", tube.bore().value), "0.0321"); // m: 1.265 in
/// assert!(roofrun::refdata::tube("1-3/16 ACR").is_none());
/// ```
#[must_use]
pub fn tube(name: &str) -> Option<&'static Tube> {
    tubes().iter().find(|t| t.name == name)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

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
