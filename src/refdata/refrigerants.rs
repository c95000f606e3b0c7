//! What is known of a refrigerant beside its properties: safety, composition, climate.

use super::table::rows;
use serde::Deserialize;
use std::sync::OnceLock;

/// The refrigerants.
const REFRIGERANTS: &str = include_str!("../../refdata/refrigerants.csv");
/// What they consist of.
const COMPONENTS: &str = include_str!("../../refdata/components.csv");

/// A pure component.
#[derive(Clone, Debug, PartialEq, Deserialize)]
pub struct Component {
    /// ASHRAE 34 number.
    pub name: String,
    /// Molar mass, g/mol.
    #[serde(rename = "molar_mass_g_mol")]
    pub molar_mass: f64,
    /// Global warming potential over 100 years, fourth assessment report.
    pub gwp_ar4: f64,
    /// The same, fifth assessment report.
    pub gwp_ar5: f64,
    /// The same, sixth assessment report.
    pub gwp_ar6: f64,
    /// Ozone depletion potential, R-11 = 1.
    pub odp: f64,
    /// Source key of `gwp_ar4`.
    pub ar4_source: String,
    /// Source key of `gwp_ar5`.
    pub ar5_source: String,
    /// Source key of `gwp_ar6`.
    pub ar6_source: String,
    /// Source key of `odp`.
    pub source: String,
}

/// A component's share of a refrigerant.
#[derive(Clone, Debug, PartialEq)]
pub struct Constituent {
    /// ASHRAE 34 number of the component.
    pub name: String,
    /// Its share by mass, 0 to 1.
    pub mass_share: f64,
}

/// A refrigerant's facts.
#[derive(Clone, Debug, PartialEq)]
pub struct RefrigerantFacts {
    /// ASHRAE 34 number, `R-410A`.
    pub name: String,
    /// ASHRAE 34 safety group: `A1`, `A2L`, `A3`.
    pub safety_group: String,
    /// What it consists of.
    pub composition: Vec<Constituent>,
    /// Molar mass, g/mol.
    pub molar_mass: f64,
    /// Global warming potential over 100 years by the fourth assessment report: sum of mass share times the
    /// component's.
    pub gwp_ar4: f64,
    /// The same by the fifth.
    pub gwp_ar5: f64,
    /// The same by the sixth.
    pub gwp_ar6: f64,
    /// Ozone depletion potential, R-11 = 1.
    pub odp: f64,
    /// Refrigerant concentration limit, parts per million by volume.
    pub rcl_ppm: Option<f64>,
    /// Refrigerant concentration limit, kg/m3.
    pub rcl_kg_m3: Option<f64>,
    /// Lower flammability limit, kg/m3; none where it does not burn.
    pub lfl_kg_m3: Option<f64>,
    /// Practical limit of EN 378, kg/m3.
    pub en_practical_kg_m3: Option<f64>,
    /// Concentration that poisons or takes the oxygen away by EN 378 (ATEL/ODL), kg/m3.
    pub en_atel_kg_m3: Option<f64>,
    /// Lower flammability limit by EN 378, kg/m3.
    pub en_lfl_kg_m3: Option<f64>,
    /// Source key of composition and molar mass.
    pub source: String,
    /// Source key of the safety group.
    pub safety_source: String,
    /// Source key of the concentration limit.
    pub rcl_source: Option<String>,
    /// Source key of the flammability limit.
    pub lfl_source: Option<String>,
    /// Source key of the figures of EN 378.
    pub en_source: Option<String>,
}

#[derive(Deserialize)]
struct Row {
    name: String,
    safety_group: String,
    composition_mass_percent: String,
    molar_mass_g_mol: f64,
    rcl_ppm: Option<f64>,
    rcl_g_m3: Option<f64>,
    lfl_kg_m3: Option<f64>,
    source: String,
    safety_source: String,
    rcl_source: Option<String>,
    lfl_source: Option<String>,
    en_practical_kg_m3: Option<f64>,
    en_atel_kg_m3: Option<f64>,
    en_lfl_kg_m3: Option<f64>,
    en_source: Option<String>,
}

fn composition(text: &str) -> Option<Vec<Constituent>> {
    text.split(';')
        .map(|item| {
            let (name, percent) = item.trim().split_once(' ')?;
            let mass_share = percent.trim().parse::<f64>().ok()? / 100.0;
            Some(Constituent { name: name.to_owned(), mass_share })
        })
        .collect()
}

fn read(components: &[Component]) -> Result<Vec<RefrigerantFacts>, String> {
    rows::<Row>(REFRIGERANTS)
        .map_err(|bad| bad.to_string())?
        .into_iter()
        .map(|row| {
            let bad = || format!("`{}` is not a composition of listed components", row.composition_mass_percent);
            let composition = composition(&row.composition_mass_percent).ok_or_else(bad)?;
            let shares: Vec<(f64, &Component)> = composition
                .iter()
                .map(|c| Some((c.mass_share, components.iter().find(|k| k.name == c.name)?)))
                .collect::<Option<_>>()
                .ok_or_else(bad)?;
            let sum = |of: fn(&Component) -> f64| shares.iter().map(|(share, c)| share * of(c)).sum();
            Ok(RefrigerantFacts {
                gwp_ar4: sum(|c| c.gwp_ar4),
                gwp_ar5: sum(|c| c.gwp_ar5),
                gwp_ar6: sum(|c| c.gwp_ar6),
                odp: sum(|c| c.odp),
                name: row.name,
                safety_group: row.safety_group,
                composition,
                molar_mass: row.molar_mass_g_mol,
                rcl_ppm: row.rcl_ppm,
                rcl_kg_m3: row.rcl_g_m3.map(|g| g / 1000.0),
                lfl_kg_m3: row.lfl_kg_m3,
                en_practical_kg_m3: row.en_practical_kg_m3,
                en_atel_kg_m3: row.en_atel_kg_m3,
                en_lfl_kg_m3: row.en_lfl_kg_m3,
                source: row.source,
                safety_source: row.safety_source,
                rcl_source: row.rcl_source,
                lfl_source: row.lfl_source,
                en_source: row.en_source,
            })
        })
        .collect()
}

/// The pure components.
#[must_use]
pub fn components() -> &'static [Component] {
    static TABLE: OnceLock<Vec<Component>> = OnceLock::new();
    TABLE.get_or_init(|| rows(COMPONENTS).unwrap_or_default())
}

/// The facts of all refrigerants.
#[must_use]
pub fn all_facts() -> &'static [RefrigerantFacts] {
    static TABLE: OnceLock<Vec<RefrigerantFacts>> = OnceLock::new();
    TABLE.get_or_init(|| read(components()).unwrap_or_default())
}

/// The facts of a refrigerant, by its ASHRAE 34 number.
///
/// ```
/// let facts = roofrun::refdata::facts("R-410A").unwrap();
/// assert_eq!(format!("{} {:.1}", facts.safety_group, facts.gwp_ar4), "A1 2087.5");
/// ```
#[must_use]
pub fn facts(refrigerant: &str) -> Option<&'static RefrigerantFacts> {
    all_facts().iter().find(|f| f.name == refrigerant)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn the_tables_read() {
        assert_eq!(rows::<Component>(COMPONENTS).unwrap().len(), 12);
        assert_eq!(read(components()).unwrap().len(), 23);
    }

    #[test]
    fn compositions_add_up_and_agree_with_the_molar_mass() {
        for f in all_facts() {
            let sum: f64 = f.composition.iter().map(|c| c.mass_share).sum();
            assert_relative_eq!(sum, 1.0, epsilon = 1e-9);
            let molar_mass = |name: &str| components().iter().find(|c| c.name == name).unwrap().molar_mass;
            let moles: f64 = f.composition.iter().map(|c| c.mass_share / molar_mass(&c.name)).sum();
            assert_relative_eq!(1.0 / moles, f.molar_mass, max_relative = 3e-5);
        }
    }

    #[test]
    fn what_burns_has_a_limit_and_a_source() {
        for f in all_facts() {
            assert_eq!(f.lfl_kg_m3.is_some(), f.safety_group != "A1", "{}", f.name);
            assert_eq!(f.lfl_kg_m3.is_some(), f.lfl_source.is_some(), "{}", f.name);
            assert_eq!(f.rcl_ppm.is_some(), f.rcl_source.is_some(), "{}", f.name);
            assert_eq!(f.en_practical_kg_m3.is_some(), f.en_source.is_some(), "{}", f.name);
            if let (Some(lfl), Some(practical)) = (f.en_lfl_kg_m3, f.en_practical_kg_m3) {
                // A fifth of it, rounded to a gram.
                assert!((practical - 0.2 * lfl).abs() < 0.00051, "{}", f.name);
            }
            if let (Some(lfl), Some(rcl)) = (f.lfl_kg_m3, f.rcl_kg_m3) {
                assert!(rcl < 0.27 * lfl, "{}", f.name);
            }
        }
    }

    #[test]
    fn the_two_forms_of_the_limit_agree() {
        // Ideal gas at 25 degC and 101.325 kPa. The standard rounds both forms: R-404A and R-449A are 4 % apart.
        for f in all_facts() {
            let (Some(ppm), Some(kg_m3)) = (f.rcl_ppm, f.rcl_kg_m3) else { continue };
            let moles_per_m3 = 101_325.0 / (8.314_462_618 * 298.15);
            assert_relative_eq!(ppm * 1e-6 * moles_per_m3 * f.molar_mass / 1000.0, kg_m3, max_relative = 0.04);
        }
    }
}
