//! Reading one embedded file of expansions. `refdata/refrigerants/README.md` says what such a file holds.

use super::Refrigerant;
use super::chart::Chart;
use super::chebyshev::{Grid, Series};
use super::line::{Line, PressureScale, TemperatureScale};

/// The quantities that are expanded in each phase, in the order kept.
pub(super) const QUANTITIES: [&str; 6] = ["density", "enthalpy", "entropy", "cp", "viscosity", "speed_of_sound"];
pub(super) const DENSITY: usize = 0;
pub(super) const ENTHALPY: usize = 1;
pub(super) const ENTROPY: usize = 2;
pub(super) const CP: usize = 3;
pub(super) const VISCOSITY: usize = 4;
pub(super) const SOUND: usize = 5;

/// The lines of a file, sorted by what they are.
#[derive(Default)]
struct Sheet<'a> {
    facts: Vec<(&'a str, Vec<&'a str>)>,
    series: Vec<(&'a str, Series)>,
    grids: Vec<(&'a str, Grid)>,
    errors: Vec<(&'a str, f64)>,
}

impl<'a> Sheet<'a> {
    fn read(text: &'a str) -> Option<Sheet<'a>> {
        let mut sheet = Sheet::default();
        let mut lines = text.lines().filter(|line| !line.starts_with('#') && !line.is_empty());
        while let Some(line) = lines.next() {
            let mut words = line.split_ascii_whitespace();
            match (words.next()?, words.next()?) {
                ("series", key) => {
                    let c = numbers(lines.next()?)?;
                    if c.len() != words.next()?.parse::<usize>().ok()? {
                        return None;
                    }
                    sheet.series.push((key, Series::new(&c)?));
                }
                ("grid", key) => {
                    let (count, columns): (usize, usize) = (words.next()?.parse().ok()?, words.next()?.parse().ok()?);
                    let rows: Option<Vec<_>> = lines.by_ref().take(count).map(numbers).collect();
                    let rows = rows?;
                    if rows.len() != count || rows.iter().map(Vec::len).max()? != columns {
                        return None;
                    }
                    sheet.grids.push((key, Grid::new(&rows)?));
                }
                ("error", key) => sheet.errors.push((key, words.next()?.parse().ok()?)),
                (key, first) => sheet.facts.push((key, std::iter::once(first).chain(words).collect())),
            }
        }
        Some(sheet)
    }

    fn word(&self, key: &str, place: usize) -> Option<&'a str> {
        self.facts.iter().find(|fact| fact.0 == key)?.1.get(place).copied()
    }

    fn number(&self, key: &str, place: usize) -> Option<f64> {
        self.word(key, place)?.parse().ok().filter(|value: &f64| value.is_finite())
    }

    fn series(&self, key: &str) -> Option<Series> {
        Some(self.series.iter().find(|entry| entry.0 == key)?.1.clone())
    }

    fn phase(&self, phase: &str) -> Option<[Grid; 6]> {
        let grids: Option<Vec<Grid>> = QUANTITIES
            .iter()
            .map(|quantity| {
                let is_it = |key: &str| key.strip_prefix(phase).and_then(|k| k.strip_prefix('_')) == Some(quantity);
                Some(self.grids.iter().find(|entry| is_it(entry.0))?.1.clone())
            })
            .collect();
        grids?.try_into().ok()
    }
}

fn numbers(line: &str) -> Option<Vec<f64>> {
    line.split_ascii_whitespace().map(|word| word.parse().ok().filter(|v: &f64| v.is_finite())).collect()
}

/// The refrigerant in a file, or none where the file is not what it should be.
pub(super) fn read(name: &'static str, text: &str) -> Option<Refrigerant> {
    let sheet = Sheet::read(text)?;
    if sheet.word("name", 0)? != name {
        return None;
    }
    let critical_pressure = sheet.number("critical_pressure", 0)?;
    let scale = PressureScale::new(sheet.number("pressure", 0)?, sheet.number("pressure", 1)?, critical_pressure);
    let line = |which: &str| {
        let temperature = sheet.series(&format!("{which}_temperature"))?;
        Some(Line::new(scale, temperature, sheet.series(&format!("{which}_log_pressure"))?))
    };
    let dew = line("dew")?;
    let pure = match sheet.word("pure", 0)? {
        "yes" => true,
        "no" => false,
        _ => return None,
    };
    let bubble = if pure { dew.clone() } else { line("bubble")? };
    let vapour = sheet.phase("vapour")?;
    let dew_edge: Option<Vec<Series>> = vapour.iter().map(Grid::edge).collect();
    let liquid = sheet.phase("liquid")?;
    Some(Refrigerant {
        name,
        pure,
        molar_mass: sheet.number("molar_mass", 0)?,
        gas_constant: sheet.number("gas_constant", 0)?,
        critical_temperature: sheet.number("critical_temperature", 0)?,
        critical_pressure,
        scale,
        coldest: sheet.number("coldest", 0)?,
        superheat: sheet.number("superheat", 0)?,
        vapour_terms: vapour.iter().map(Grid::rows).chain([dew.terms(), bubble.terms()]).max()?,
        liquid_terms: liquid.iter().map(Grid::rows).max()?,
        liquid_scale: TemperatureScale::new(bubble.t_low, bubble.t_high),
        dew,
        bubble,
        vapour,
        dew_edge: dew_edge?.try_into().ok()?,
        liquid,
        chart: Chart::new([scale.low, scale.high], critical_pressure),
        errors: sheet.errors.iter().map(|(key, value)| ((*key).to_owned(), *value)).collect(),
    })
}
