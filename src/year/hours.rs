//! The hours of a weather file that have a dry-bulb, each temperature once.

use crate::job::{Job, Profile};
use crate::weather::Weather;

/// An hour, or the part of one that a record stands for.
#[derive(Clone, Copy, Debug)]
pub(super) struct Slot {
    /// Number of the record in the weather file.
    pub record: usize,
    /// Where its temperature stands among them.
    pub at: usize,
    /// Load as a share of that on the design day.
    pub share: f64,
}

/// The hours of a year.
#[derive(Clone, Debug, Default)]
pub(super) struct Hours {
    /// In the order of the file.
    pub slots: Vec<Slot>,
    /// Their temperatures, each once, from the hottest down, K.
    pub temperatures: Vec<f64>,
    /// Hours that a record stands for.
    pub each_h: f64,
    /// Hours without a temperature.
    pub missing_h: f64,
}

impl Hours {
    /// Of a weather file, with the load that the profile gives each.
    pub fn new(weather: &Weather, profile: &Profile) -> Self {
        let each = 1.0 / f64::from(weather.per_hour.max(1));
        let mut temperatures: Vec<f64> = weather.records.iter().filter_map(|record| record.dry_bulb_K).collect();
        temperatures.sort_by(|a, b| b.total_cmp(a));
        temperatures.dedup();
        let mut hours = Self {
            slots: Vec::with_capacity(weather.records.len()),
            temperatures,
            each_h: each,
            missing_h: weather.missing_hours(),
        };
        for (number, record) in weather.records.iter().enumerate() {
            let Some(outdoor) = record.dry_bulb_K else { continue };
            let at = hours.temperatures.partition_point(|temperature| *temperature > outdoor);
            let share = share(profile, weather.hour_of_week(record), outdoor);
            hours.slots.push(Slot { record: number, at, share });
        }
        hours
    }
}

/// Load as a share of that on the design day, at an hour of the week and an outdoor temperature (K).
fn share(profile: &Profile, hour: usize, outdoor: f64) -> f64 {
    match profile {
        Profile::Constant => 1.0,
        Profile::Week(shares) => shares.get(hour).copied().unwrap_or(1.0),
        Profile::Outdoor { none, full, minimum } => {
            let (none, full) = (none.kelvin(), full.kelvin());
            if outdoor >= full {
                1.0
            } else if outdoor <= none {
                *minimum
            } else {
                ((outdoor - none) / (full - none)).max(*minimum)
            }
        }
    }
}

/// The profile of a job: constant where it names no plant.
pub(super) fn profile(job: &Job) -> Profile {
    job.plant.as_ref().map_or(Profile::Constant, |plant| plant.profile.clone())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Temperature;

    #[test]
    #[expect(clippy::float_cmp, reason = "exact as written")]
    fn the_load_goes_straight_from_none_to_full() {
        let [none, full] = [280.0, 310.0].map(Temperature::from_kelvin);
        let profile = Profile::Outdoor { none, full, minimum: 0.25 };
        let at = |outdoor: f64| share(&profile, 0, outdoor);
        assert_eq!([at(270.0), at(280.0), at(286.0)], [0.25; 3]);
        assert_eq!([at(295.0), at(310.0), at(320.0)], [0.5, 1.0, 1.0]);
    }
}
