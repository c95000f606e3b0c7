//! The plant: what its circuits together must carry, over the year too.

use crate::job::fault::Fault;
use crate::job::key::Bounds;
use crate::job::notes::Notes;
use crate::job::syntax::quoted;
use crate::job::table::{Entry, Table, called, plain_number};
use crate::job::{Circuit, Concerns, HeadControl, Plant, Profile, Running, machines, modules};
use crate::units::{Kind, System, Temperature, spelling::nearest};
use crate::weather::Weather;
use std::ops::Range;
use toml::de::DeValue;

const DAY: usize = 24;
const WEEK: usize = 168;

/// The keys that belong to a load by the week, and those of one by outdoor temperature.
const BY_WEEK: [&str; 4] = ["workday", "saturday", "sunday", "week"];
const BY_OUTDOOR: [&str; 3] = ["none", "full", "minimum"];

pub(super) fn plant(notes: &mut Notes<'_>, root: &Table<'_>, weather: Option<&Weather>) -> Option<Plant> {
    let Some(table) = notes.table(root, "plant") else {
        notes.concerns = Concerns::Year;
        if weather.is_some() && !root.has("plant") {
            let why = "no load is given: every circuit runs at full load all year";
            notes.assume("plant.profile", (1.0, Kind::Ratio, "full"), why, "roofrun");
        }
        return None;
    };
    let load = notes.need(&table, "load");
    let spare = notes.count(&table, "spare");
    notes.concerns = Concerns::Year;
    let profile = profile(notes, &table, weather);
    let running = running(notes, &table, profile.as_ref());
    Some(Plant { load, spare: spare?, profile: profile?, running: running? })
}

fn running(notes: &mut Notes<'_>, table: &Table<'_>, profile: Option<&Profile>) -> Option<Running> {
    if table.has("running") || profile.is_some_and(|profile| *profile != Profile::Constant) {
        return notes.choice(table, "running", &[Running::Few, Running::All]);
    }
    Some(Running::Few)
}

fn profile(notes: &mut Notes<'_>, table: &Table<'_>, weather: Option<&Weather>) -> Option<Profile> {
    let Some(entry) = table.get("profile") else {
        if weather.is_some() {
            notes.key(table, "profile").and_then(|key| notes.taken(table, key));
        }
        return Some(Profile::Constant);
    };
    if let Some(word) = entry.value.as_str() {
        return word_for(notes, &entry, word);
    }
    if !entry.value.is_table() {
        let says = format!("`profile` is \"constant\" or a table, not {}", called(entry.value));
        notes.fault(Fault::new(entry.span, says).expected(example(notes.system, "week")));
        return None;
    }
    let table = notes.table(table, "profile")?;
    let by_week = notes.choice(&table, "by", &[true, false])?;
    let (by, strangers): (_, &[&str]) = if by_week { ("week", &BY_OUTDOOR) } else { ("outdoor", &BY_WEEK) };
    for key in strangers {
        if let Some(entry) = table.get(key) {
            let fault = Fault::new(entry.key_span, format!("a load by = \"{by}\" has no `{key}`"));
            notes.fault(fault.expected(example(notes.system, by)));
        }
    }
    if by_week { week(notes, &table, weather) } else { outdoor(notes, &table) }
}

/// A profile that is one word.
fn word_for(notes: &mut Notes<'_>, entry: &Entry<'_>, word: &str) -> Option<Profile> {
    if word == "constant" {
        return Some(Profile::Constant);
    }
    let fault = Fault::new(entry.span.clone(), "`profile` is \"constant\" or a table");
    notes.fault(match nearest(word, ["constant", "week", "outdoor"]) {
        Some("constant") => fault.expected("nearest: \"constant\"").mend(entry.span.clone(), quoted("constant")),
        Some("outdoor") => fault.expected(example(notes.system, "outdoor")),
        _ => fault.expected(example(notes.system, "week")),
    });
    None
}

/// What to write for a load of that kind.
fn example(system: System, by: &str) -> String {
    match (by, system) {
        ("outdoor", System::Ip) => "{ by = \"outdoor\", none = \"45 F\", full = \"96 F\", minimum = 0.3 }".to_owned(),
        ("outdoor", System::Si) => "{ by = \"outdoor\", none = \"7 °C\", full = \"36 °C\", minimum = 0.3 }".to_owned(),
        _ => "by = \"week\" with workday, saturday and sunday, 24 fractions of the load each".to_owned(),
    }
}

fn week(notes: &mut Notes<'_>, table: &Table<'_>, weather: Option<&Weather>) -> Option<Profile> {
    if weather.is_some_and(|weather| weather.first_day.is_none()) {
        let why = "the weather file does not say on which day of the week its year begins";
        notes.assume("plant.profile.first_day", (0.0, Kind::Ratio, "Monday"), why, "roofrun");
    }
    if let Some(entry) = table.get("week") {
        for key in ["workday", "saturday", "sunday"] {
            if let Some(other) = table.get(key) {
                let fault = Fault::new(other.key_span, format!("`week` and `{key}` are both given"));
                notes.fault(fault.expected("all 168 hours in `week`, or the kinds of days instead"));
            }
        }
        let week = shares(notes, &entry, WEEK)?;
        return some_load(notes, entry.span, week);
    }
    let Some(workday) = table.get("workday") else {
        let fault = Fault::new(table.span(), "missing key `workday` in `profile` by the week");
        notes.structural(fault.expected("24 fractions of the load, one for each hour; or `week`, all 168"));
        return None;
    };
    let workday = shares(notes, &workday, DAY);
    // A fault of one day keeps nothing back of the others.
    let mut day = |key: &str, otherwise: &str| {
        let Some(entry) = table.get(key) else {
            let why = format!("the load of a {key} is not given: that of a {otherwise} is taken");
            notes.taken_as(table, key, 0.0, otherwise, &why);
            return Some(None);
        };
        shares(notes, &entry, DAY).map(Some)
    };
    let (saturday, sunday) = (day("saturday", "workday"), day("sunday", "saturday"));
    let workday = workday?;
    let saturday = saturday?.unwrap_or_else(|| workday.clone());
    let sunday = sunday?.unwrap_or_else(|| saturday.clone());
    let week: Vec<f64> = std::iter::repeat_n(workday, 5).chain([saturday, sunday]).flatten().collect();
    some_load(notes, table.span_of("workday"), week)
}

/// The load of a week, which may not be nothing all week.
fn some_load(notes: &mut Notes<'_>, span: Range<usize>, week: Vec<f64>) -> Option<Profile> {
    if week.iter().all(|share| *share == 0.0) {
        notes.fault(Fault::new(span, "every fraction of the load is 0: the plant would never run"));
        return None;
    }
    Some(Profile::Week(week))
}

/// So many shares of the load.
fn shares(notes: &mut Notes<'_>, entry: &Entry<'_>, count: usize) -> Option<Vec<f64>> {
    let array = notes.array(entry, "0.4, 0.4, 0.5, …")?;
    let mut shares = Vec::with_capacity(count);
    for item in array.iter().take(2 * WEEK) {
        let value: &DeValue<'_> = item.get_ref();
        shares.push(notes.number_of(entry.key, value, &item.span(), Bounds::From(0.0, 1.0)));
    }
    if array.len() != count {
        let has = match array.len() {
            0 => "no shares".to_owned(),
            1 => "1 share".to_owned(),
            n => format!("{n} shares"),
        };
        let what = if count == WEEK { "from Monday 0 to 1 h on" } else { "from midnight on" };
        let fault = Fault::new(entry.span.clone(), format!("`{}` has {has}, not {count}", entry.key));
        notes.fault(fault.expected(format!("one for each hour, {what}")));
        return None;
    }
    shares.into_iter().collect()
}

fn outdoor(notes: &mut Notes<'_>, table: &Table<'_>) -> Option<Profile> {
    notes.missing(table, &["none", "full"]);
    let [none, full]: [Option<Temperature>; 2] = ["none", "full"].map(|key| notes.get(table, key));
    let minimum = notes.need(table, "minimum");
    let (none, full) = (none?, full?);
    if none >= full {
        let fault = Fault::new(table.span_of("none"), "`none` is not below `full`");
        notes.fault(fault.expected("the load begins at `none` and is the whole at `full`"));
    }
    Some(Profile::Outdoor { none, full, minimum })
}

/// Notes chillers out of service that leave none of several to run. Of a single one it is for the rules to say what that means.
pub(super) fn spare(notes: &mut Notes<'_>, root: &Table<'_>, circuits: &[Circuit]) {
    let machines = machines(&modules(circuits));
    let Some(entry) = root.get("plant").and_then(|plant| plant.value.as_table()?.get("spare")) else { return };
    let maximum = machines.saturating_sub(1).max(1);
    #[expect(clippy::cast_precision_loss, reason = "chillers of one plant")]
    if machines > 0 && plain_number(entry.get_ref()).is_some_and(|spare| spare > maximum as f64) {
        let are = if machines == 1 { "is 1 chiller".to_owned() } else { format!("are {machines} chillers") };
        let fault = Fault::new(entry.span(), format!("`spare` leaves nothing to run: there {are}"));
        notes.fault(fault.expected(match machines {
            1 => "0, or a second chiller drawn".to_owned(),
            _ => format!("no more than {maximum}"),
        }));
    }
}

/// What is taken for granted where the year counts the energy of the fans.
pub(super) fn fans(notes: &mut Notes<'_>, circuits: &[Circuit], weather: Option<&Weather>) {
    if weather.is_none() {
        return;
    }
    for circuit in circuits {
        let condenser = &circuit.condenser;
        if condenser.fan_power.is_some() && matches!(condenser.head_control, HeadControl::Fans { .. }) {
            let why = "exponent of fan power by air fraction, for head control by speed";
            notes.assume(
                format!("circuit {} condenser.fan_power", circuit.name),
                (3.0, Kind::Ratio, ""),
                why,
                "fan-affinity",
            );
        }
    }
}
