//! The keys of a job file, table by table. Keys are only ever added.

mod circuit;
mod line;
pub(super) mod readings;
mod roof;
mod site;

pub(super) use line::RUN;

use super::key::{Holds, Keys, form, table, tables};

/// What files of earlier versions and people call a key, with the key.
const OTHER_NAMES: &[(&str, &str)] = &[
    ("least", "minimum"),
    ("least_share", "minimum_share"),
    ("least_air", "minimum_air"),
    ("least_drop", "minimum_drop"),
    ("hold", "setpoint"),
    ("difference", "td"),
    ("above", "elevation"),
    ("loss", "pressure_drop"),
    ("around", "ambient"),
    ("fall", "drop"),
    ("down", "drop"),
    ("up", "rise"),
    ("riser", "rise"),
    ("downcomer", "drop"),
    ("dropper", "drop"),
    ("horizontal", "level"),
    ("stands", "base_height"),
    ("turned", "rotation"),
    ("warmer", "temperature_rise"),
    ("open", "free_area"),
];

/// What people call a key where it may be one of two, and what is said of it.
const EITHER_NAME: &[(&str, [&str; 2], &str)] =
    &[("vertical", ["rise", "drop"], "a vertical run is a `rise` or a `drop`, in the direction of flow")];

impl Keys {
    /// What is said of a name that may stand for one of two keys of these.
    pub(super) fn either_called(&self, name: &str) -> Option<&'static str> {
        let is = |keys: [&str; 2]| keys.iter().all(|key| self.key(key).is_some());
        EITHER_NAME.iter().find(|(other, keys, _)| *other == name && is(*keys)).map(|(.., says)| *says)
    }

    /// The table of a circuit, `[circuit.valve]`, that stands in the file without its circuit.
    pub(super) fn of_circuit(&self, key: &str) -> Option<&'static Keys> {
        let circuit = self.key("circuit").and(circuit::CIRCUIT.key(key))?;
        match circuit.holds {
            Holds::Table(keys) => Some(keys),
            _ => None,
        }
    }

    /// The key of these that another name stands for.
    pub(super) fn otherwise_called(&self, name: &str) -> Option<&'static str> {
        let (_, key) = OTHER_NAMES.iter().find(|(other, key)| *other == name && self.key(key).is_some())?;
        self.key(name).is_none().then_some(*key)
    }

    /// Where a key belongs that one of its own tables has, or how it is written: `discharge = { pressure = ... }` for
    /// `discharge_pressure`.
    pub(super) fn within(&self, name: &str) -> Option<String> {
        let tables = || {
            self.all.iter().filter_map(|key| match key.holds {
                Holds::Table(keys) | Holds::Tables(keys) => Some((key.name, keys)),
                _ => None,
            })
        };
        let has = tables().find(|(_, keys)| keys.key(name).is_some());
        let joined = |(outer, keys): (&str, &Keys)| {
            let inner = name.strip_prefix(outer)?.strip_prefix('_')?;
            keys.key(inner).map(|_| format!("write {outer} = {{ {inner} = ... }}"))
        };
        has.map(|(_, keys)| format!("it belongs in {}", keys.place))
            .or_else(|| tables().find_map(joined))
            .or_else(|| tables().filter(|_| self.apart).find_map(|(_, keys)| keys.within(name)))
    }

    /// The table where a key belongs that is none of these; none of those that are apart.
    pub(super) fn home(&self, key: &str) -> Option<&'static Keys> {
        TABLES.iter().copied().filter(|_| !self.apart).find(|other| other.key(key).is_some())
    }
}

/// What the whole file holds.
#[rustfmt::skip]
pub static FILE: Keys = Keys { apart: true, ..Keys::new("a job file", &[
    table("job", &site::JOB).doc("title and units"),
    table("site", &site::SITE).doc("the place"),
    table("plant", &site::PLANT).doc("the load of all circuits"),
    form("limits", ["{ liquid_velocity = \"300 fpm\" }", "{ liquid_velocity = \"1.5 m/s\" }"])
        .doc("your own limits in place of the defaults: `roofrun list limits` shows them all"),
    tables("room", &site::ROOM).doc("rooms that the refrigerant lines cross"),
    tables("point", &site::POINT).doc("operating points beside full and minimum load in summer and winter"),
    tables("tube", &site::TUBE).doc("tube that `roofrun list tubes` lacks, then used by its name"),
    tables("circuit", &circuit::CIRCUIT).doc("the circuits").needed(),
    table("roof", &roof::ROOF).doc("the roof as drawn, for `roofrun site`"),
]) };

/// Every table but the whole file, in the order of the file: where a misplaced key may belong.
pub static TABLES: &[&Keys] = &[
    &site::JOB,
    &site::SITE,
    &site::PLANT,
    &site::PROFILE,
    &site::ROOM,
    &site::POINT,
    &site::TUBE,
    &circuit::CIRCUIT,
    &circuit::RELIEF,
    &circuit::COMPRESSORS,
    &circuit::RATING,
    &circuit::MAP,
    &circuit::BYPASS,
    &circuit::EVAPORATOR,
    &circuit::CONDENSER,
    &circuit::HEAD_CONTROL,
    &circuit::LEGS,
    &circuit::VALVE,
    &line::DISCHARGE,
    &line::LIQUID,
    &line::RUN,
    &line::SHELL,
    &roof::ROOF,
    &roof::UNIT,
    &roof::CLEARANCE,
    &roof::WALL,
    &roof::RAIL,
    &roof::HEAT,
    &roof::LISTENER,
    &roof::CROSSING,
];
