//! What the head of an EPW holds beside the place and the order of the hours: design temperatures, typical weeks, the ground,
//! holidays. Nothing of it is needed for the year; what cannot be read is noted.

use super::reading::{shown, text};
use schemars::JsonSchema;
use serde::Serialize;

/// What the head of a weather file says beside the place.
#[derive(Clone, Debug, Default, PartialEq, Serialize, JsonSchema)]
pub struct Header {
    /// Design temperatures that come with the file.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub design_conditions: Option<DesignConditions>,
    /// Typical and extreme weeks.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub periods: Vec<Period>,
    /// Temperatures of the ground.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub ground: Vec<Ground>,
    /// Whether 29 February is said to be in the file.
    pub leap_year: bool,
    /// First and last day of daylight saving, as written.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub daylight_saving: Option<(String, String)>,
    /// Holidays: name and date as written.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub holidays: Vec<(String, String)>,
    /// Comments.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub comments: Vec<String>,
    /// First and last day of the records, as written.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub data_period: Option<(String, String)>,
    /// What of the head could not be read, in words. Nothing of it is needed for the year.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub unread: Vec<String>,
}

/// Annual design dry-bulbs that come with the file.
#[derive(Clone, Debug, Default, PartialEq, Serialize, JsonSchema)]
pub struct DesignConditions {
    /// Where they come from.
    pub title: String,
    /// Exceeded in 99.6 % of the hours.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub heating_99_6_K: Option<f64>,
    /// Exceeded in 99 % of the hours.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub heating_99_K: Option<f64>,
    /// Exceeded in 0.4 % of the hours.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cooling_0_4_K: Option<f64>,
    /// Exceeded in 1 % of the hours.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cooling_1_K: Option<f64>,
    /// Exceeded in 2 % of the hours.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cooling_2_K: Option<f64>,
}

/// A typical or extreme week.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Period {
    /// Its name.
    pub name: String,
    /// Typical or extreme.
    pub kind: String,
    /// First day, as written.
    pub from: String,
    /// Last day, as written.
    pub to: String,
}

/// Temperatures of the ground at a depth.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Ground {
    /// How deep.
    pub depth_m: f64,
    /// Mean of each month from January.
    pub monthly_K: [f64; 12],
}

fn number(fields: &[String], at: usize) -> Option<f64> {
    fields.get(at)?.parse::<f64>().ok().filter(|number| number.is_finite())
}

fn kelvin(fields: &[String], at: usize) -> Option<f64> {
    number(fields, at).filter(|celsius| (-90.0..=70.0).contains(celsius)).map(|celsius| celsius + 273.15)
}

/// How many items a line says that it has.
fn announced(fields: &[String], line: usize, unread: &mut Vec<String>) -> usize {
    let Some(field) = fields.get(1).filter(|field| !field.is_empty()) else { return 0 };
    field.parse().unwrap_or_else(|_| {
        unread.push(format!("line {line}: `{}` is no count", shown(field)));
        0
    })
}

/// The annual design dry-bulbs of the layout in use since 2009: after `Heating` the coldest month, then 99.6 and 99 %;
/// after `Cooling` the hottest month and its daily range, then 0.4, 1 and 2 %, each with its wet-bulb.
pub(super) fn design_conditions(fields: &[String], unread: &mut Vec<String>) -> Option<DesignConditions> {
    if announced(fields, 2, unread) == 0 {
        return None;
    }
    let after = |word: &str| fields.iter().position(|field| field.eq_ignore_ascii_case(word));
    let at = |word: &str, offset: usize| after(word).and_then(|start| kelvin(fields, start + offset));
    let found = DesignConditions {
        title: text(fields, 2),
        heating_99_6_K: at("Heating", 2),
        heating_99_K: at("Heating", 3),
        cooling_0_4_K: at("Cooling", 3),
        cooling_1_K: at("Cooling", 5),
        cooling_2_K: at("Cooling", 7),
    };
    let all = [found.heating_99_6_K, found.heating_99_K, found.cooling_0_4_K, found.cooling_1_K, found.cooling_2_K];
    // In another layout the numbers stand elsewhere; then they are not in this order.
    let falls = all.into_iter().collect::<Option<Vec<f64>>>().is_some_and(|all| {
        let rising = [all[0], all[1], all[4], all[3], all[2]];
        rising.is_sorted()
    });
    if !falls {
        unread.push("line 2: design conditions of another layout".into());
        return None;
    }
    Some(found)
}

pub(super) fn typical(fields: &[String], unread: &mut Vec<String>) -> Vec<Period> {
    let count = announced(fields, 3, unread);
    let (items, _) = fields.get(2..).unwrap_or_default().as_chunks::<4>();
    let found: Vec<Period> = items
        .iter()
        .take(count)
        .filter(|item| !item[0].is_empty())
        .map(|[name, kind, from, to]| Period { name: shown(name), kind: shown(kind), from: shown(from), to: shown(to) })
        .collect();
    fewer(count, found.len(), "line 3", "periods", unread);
    found
}

pub(super) fn ground(fields: &[String], unread: &mut Vec<String>) -> Vec<Ground> {
    let count = announced(fields, 4, unread);
    let (items, _) = fields.get(2..).unwrap_or_default().as_chunks::<16>();
    let found: Vec<Ground> = items
        .iter()
        .take(count)
        .filter_map(|item| {
            // Depth, three properties of the soil, which are often left blank, then twelve months.
            let months: Option<Vec<f64>> = (4..16).map(|at| kelvin(item, at)).collect();
            let depth_m = number(item, 0).filter(|depth| *depth >= 0.0)?;
            Some(Ground { depth_m, monthly_K: <[f64; 12]>::try_from(months?).ok()? })
        })
        .collect();
    fewer(count, found.len(), "line 4", "depths", unread);
    found
}

pub(super) fn holidays(fields: &[String], header: &mut Header) {
    let text = |at: usize| text(fields, at);
    header.leap_year = text(1).eq_ignore_ascii_case("yes");
    let dates = (text(2), text(3));
    header.daylight_saving =
        (!matches!(dates.0.as_str(), "" | "0") && !matches!(dates.1.as_str(), "" | "0")).then_some(dates);
    let count = fields.get(4).and_then(|field| field.parse().ok()).unwrap_or(0);
    let (items, _) = fields.get(5..).unwrap_or_default().as_chunks::<2>();
    header.holidays = items.iter().take(count).map(|[name, date]| (shown(name), shown(date))).collect();
    fewer(count, header.holidays.len(), "line 5", "holidays", &mut header.unread);
}

fn fewer(announced: usize, found: usize, line: &str, what: &str, unread: &mut Vec<String>) {
    if found < announced {
        unread.push(format!("{line}: {found} of {announced} {what} can be read"));
    }
}
