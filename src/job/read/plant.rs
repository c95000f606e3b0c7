//! What the circuits together must carry, and how the load goes over the year.

use super::OUTDOOR;
use crate::job::fault::Fault;
use crate::job::keys::{self, PLANT, PROFILE};
use crate::job::notes::Notes;
use crate::job::table::{Bounds, Table};
use crate::job::{Plant, Profile, Running};
use crate::units::{Kind, Temperature, watts};

/// Hours of a day.
const DAY: usize = 24;
/// Hours of a week.
const WEEK: usize = 7 * DAY;
/// Shares of the load on the design day.
const SHARE: Bounds = Bounds::From(0.0, 1.0);

pub(super) fn plant(notes: &mut Notes<'_>, root: &Table<'_>) -> Option<Plant> {
    let table = notes.table(root, "plant", &PLANT)?;
    notes.check_keys(&table, &PLANT, keys::HOMES);
    let load = notes.quantity(&table, "load", Kind::Capacity, Bounds::Above(0.0, 1e9));
    if !table.has("spare") {
        notes.assume("plant.spare", 0.0, "-", "no module is said to be spare", "roofrun");
    }
    let spare = if table.has("spare") { notes.count(&table, "spare", 0, 100) } else { Some(0) };
    let running = if table.has("running") {
        notes.choice(&table, "running", &[("few", Running::Few), ("all", Running::All)])
    } else {
        notes.assume("plant.running", 0.0, "-", "over the year as few modules run as carry the load", "roofrun");
        Some(Running::Few)
    };
    let profile = profile(notes, &table);
    Some(Plant { load: watts(load?), spare: spare?, profile: profile?, running: running? })
}

#[derive(Clone, Copy, PartialEq)]
enum By {
    Week,
    Outdoor,
}

fn profile(notes: &mut Notes<'_>, plant: &Table<'_>) -> Option<Profile> {
    let Some(entry) = plant.get("profile") else {
        notes.assume("plant.profile", 1.0, "-", "the whole load at every hour of the year", "roofrun");
        return Some(Profile::Constant);
    };
    if let Some(word) = entry.value.as_str() {
        if word == "constant" {
            return Some(Profile::Constant);
        }
        notes.fault(
            Fault::new(entry.span, "`profile` is \"constant\" or a table")
                .expected("{ by = \"week\", ... } or { by = \"outdoor\", ... }"),
        );
        return None;
    }
    let table = notes.table(plant, "profile", &PROFILE)?;
    notes.check_keys(&table, &PROFILE, keys::HOMES);
    let by = notes.choice(&table, "by", &[("week", By::Week), ("outdoor", By::Outdoor)])?;
    let (own, others): (&[&str], &[&str]) = match by {
        By::Week => (&["week", "workday", "saturday", "sunday"], &["none", "full", "least"]),
        By::Outdoor => (&["none", "full", "least"], &["week", "workday", "saturday", "sunday"]),
    };
    for entry in others.iter().filter_map(|key| table.get(key)) {
        let word = if by == By::Week { "week" } else { "outdoor" };
        let fault = Fault::new(entry.key_span, format!("`{}` in a profile by {word}", entry.key));
        notes.fault(fault.expected(format!("its keys: {}", own.join(", "))));
    }
    match by {
        By::Week => week(notes, &table),
        By::Outdoor => outdoor(notes, &table),
    }
}

fn week(notes: &mut Notes<'_>, table: &Table<'_>) -> Option<Profile> {
    if table.has("week") {
        for key in ["workday", "saturday", "sunday"] {
            if let Some(entry) = table.get(key) {
                let fault = Fault::new(entry.key_span, format!("`week` and `{key}` are both given"));
                notes.fault(fault.expected("all 168 hours, or the days"));
            }
        }
        return shares(notes, table, "week", WEEK).map(Profile::Week);
    }
    if !table.has("workday") {
        let shares = format!("[{}]", ["1"; DAY].join(", "));
        notes.missing(table, &[("workday", &shares, &shares)]);
    }
    let workday = shares(notes, table, "workday", DAY);
    let mut day = |key: &str, like: Option<&Vec<f64>>, why: &str| {
        if table.has(key) {
            return shares(notes, table, key, DAY);
        }
        notes.assume(format!("plant.profile.{key}"), 1.0, "-", why, "roofrun");
        like.cloned()
    };
    let saturday = day("saturday", workday.as_ref(), "like a workday");
    let sunday = day("sunday", saturday.as_ref(), "like a Saturday");
    let mut week = workday?.repeat(5);
    week.extend(saturday?);
    week.extend(sunday?);
    Some(Profile::Week(week))
}

/// A list of so many shares.
fn shares(notes: &mut Notes<'_>, table: &Table<'_>, key: &str, count: usize) -> Option<Vec<f64>> {
    let entry = table.get(key)?;
    let array = notes.array(&entry, &format!("{count} shares of the load, one for each hour"))?;
    if array.len() != count {
        let fault = Fault::new(entry.span, format!("`{key}` has {} shares", array.len()));
        notes.fault(fault.expected(format!("{count}: one for each hour, the first from midnight")));
        return None;
    }
    let all: Vec<Option<f64>> =
        array.iter().map(|item| notes.number_of(key, item.get_ref(), &item.span(), SHARE)).collect();
    all.into_iter().collect()
}

fn outdoor(notes: &mut Notes<'_>, table: &Table<'_>) -> Option<Profile> {
    let needed = [("none", "\"45 F\"", "\"7 °C\""), ("full", "\"96 F\"", "\"35 °C\"")];
    let missing: Vec<_> = needed.into_iter().filter(|(key, ..)| !table.has(key)).collect();
    notes.missing(table, &missing);
    let none = notes.quantity(table, "none", Kind::Temperature, OUTDOOR);
    let full = notes.quantity(table, "full", Kind::Temperature, OUTDOOR);
    if let (Some(none), Some(full)) = (none, full)
        && none >= full
    {
        notes.fault(
            Fault::new(table.span_of("none"), "`none` is not colder than `full`")
                .expected("the outdoor temperature at which the load begins"),
        );
        return None;
    }
    let least = if table.has("least") {
        notes.number(table, "least", SHARE)
    } else {
        notes.assume("plant.profile.least", 0.0, "-", "no load below the temperature at which it begins", "roofrun");
        Some(0.0)
    };
    let [none, full] = [none?, full?].map(Temperature::from_kelvin);
    Some(Profile::Outdoor { none, full, least: least? })
}
