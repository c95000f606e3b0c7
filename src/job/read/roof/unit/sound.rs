//! How loud a unit is, by day and at night.

use crate::job::SoundPower;
use crate::job::fault::Fault;
use crate::job::notes::Notes;
use crate::job::table::Table;

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
    let [full, night] = ["sound_power", "night_sound_power"].map(|key| power(notes, table, key));
    let night_speed = table.get("night_speed").and_then(|_| notes.get(table, "night_speed"));
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
fn power(notes: &mut Notes<'_>, table: &Table<'_>, key: &str) -> Option<SoundPower> {
    let entry = table.get(key)?;
    let Some(array) = entry.value.as_array() else { return notes.get(table, key).map(SoundPower::A) };
    let levels = notes.list_of(table, key, array);
    let Ok(levels) = <[Option<f64>; 8]>::try_from(levels) else {
        let count = array.len();
        let noun = if count == 1 { "level" } else { "levels" };
        let fault = Fault::new(entry.span, format!("`{key}` has {count} {noun}; there are eight octaves"));
        notes.fault(fault.expected("63, 125, 250, 500, 1000, 2000, 4000 and 8000 Hz"));
        return None;
    };
    let mut octaves = [0.0; 8];
    for (to, from) in octaves.iter_mut().zip(levels) {
        *to = from?;
    }
    Some(SoundPower::Octaves(octaves))
}
