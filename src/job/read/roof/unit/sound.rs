//! How loud a unit is, by day and at night.

use crate::job::SoundPower;
use crate::job::fault::Fault;
use crate::job::notes::Notes;
use crate::job::table::{Bounds, Entry, Table};
use crate::units::Kind;

/// Sound power levels of plant, dB.
const POWER: Bounds = Bounds::From(0.0, 160.0);

/// What is known of a unit's sound.
pub(super) struct Sound {
    /// At full speed.
    pub full: Option<SoundPower>,
    /// At night.
    pub night: Option<SoundPower>,
    /// Share of the full fan speed at night.
    pub night_speed: Option<f64>,
}

pub(super) fn sound(notes: &mut Notes<'_>, table: &Table<'_>) -> Sound {
    let full = table.get("sound_power").and_then(|entry| power(notes, &entry));
    let night = table.get("night_sound_power").and_then(|entry| power(notes, &entry));
    let night_speed = notes.number(table, "night_speed", Bounds::Above(0.0, 1.0));
    if let Some(speed) = table.get("night_speed") {
        if table.has("night_sound_power") {
            let fault = Fault::new(speed.key_span, "`night_sound_power` and `night_speed` are both given");
            notes.fault(fault.expected("one of them"));
        } else if !table.has("sound_power") {
            let fault = Fault::new(speed.key_span, "`night_speed` without `sound_power`");
            notes.structural(fault.expected("the sound at full speed, from which that at night follows"));
        }
    }
    if let (Some(SoundPower::A(day)), Some(SoundPower::A(at_night))) = (full, night)
        && at_night > day
    {
        let fault = Fault::new(table.span_of("night_sound_power"), "`night_sound_power` is above `sound_power`");
        notes.fault(fault.expected(format!("no more than the {} of full speed", notes.system.level(day))));
    }
    Sound { full, night, night_speed }
}

/// One A-weighted level, or eight by octave.
fn power(notes: &mut Notes<'_>, entry: &Entry<'_>) -> Option<SoundPower> {
    let Some(array) = entry.value.as_array() else {
        return notes.quantity_of(entry.key, entry.value, &entry.span, Kind::Level, POWER).map(SoundPower::A);
    };
    let read: Vec<Option<f64>> = array
        .iter()
        .take(64)
        .map(|item| notes.quantity_of(entry.key, item.get_ref(), &item.span(), Kind::Level, POWER))
        .collect();
    let Ok(read) = <[Option<f64>; 8]>::try_from(read) else {
        let count = array.len();
        let noun = if count == 1 { "level" } else { "levels" };
        let fault =
            Fault::new(entry.span.clone(), format!("`{}` has {count} {noun}; there are eight octaves", entry.key));
        notes.fault(fault.expected("63, 125, 250, 500, 1000, 2000, 4000 and 8000 Hz"));
        return None;
    };
    let mut levels = [0.0; 8];
    for (to, from) in levels.iter_mut().zip(read) {
        *to = from?;
    }
    Some(SoundPower::Octaves(levels))
}
