//! The keys of a job file, table by table. Keys are only ever added.

mod circuit;
mod line;
mod roof;
mod site;

pub(super) use line::RUN;
pub(super) use site::FILE;

use super::key::Keys;

impl Keys {
    /// The table where a key belongs that is none of these; none of those that are apart.
    pub(super) fn home(&self, key: &str) -> Option<&'static Keys> {
        TABLES.iter().copied().filter(|_| !self.apart).find(|other| other.key(key).is_some())
    }
}

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
    &roof::ROOF,
    &roof::UNIT,
    &roof::CLEARANCE,
    &roof::WALL,
    &roof::RAIL,
    &roof::HEAT,
    &roof::LISTENER,
    &roof::CROSSING,
];
