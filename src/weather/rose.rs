//! Where the wind comes from.

use super::calendar::MONTHS;
use super::{Record, Weather};
use serde::Serialize;

/// The sixteen directions of the compass, clockwise.
const NAMES: [&str; 16] =
    ["N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW"];
/// Between two of them, degrees.
const STEP: f64 = 22.5;

/// The wind of the year and of its warm season.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Wind {
    /// The whole year.
    pub year: Rose,
    /// The warm season: June to August north of the equator, December to February south of it; where the file gives no
    /// latitude, the warmer of the two.
    pub warm_season: Rose,
    /// Months of the warm season, 1 to 12.
    pub warm_months: [u8; 3],
}

impl Wind {
    /// First and last month of the warm season.
    #[must_use]
    pub fn warm_season_names(&self) -> [&'static str; 2] {
        let name = |month: u8| MONTHS.get(usize::from(month).saturating_sub(1)).copied().unwrap_or_default();
        [name(self.warm_months[0]), name(self.warm_months[2])]
    }
}

/// Wind by direction.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Rose {
    /// Hours with a speed above nothing and a direction.
    pub hours: f64,
    /// Hours without any wind.
    pub calm_hours: f64,
    /// Hours whose speed or direction is missing.
    pub missing_hours: f64,
    /// Mean speed over the hours with wind and the calm ones.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mean_m_s: Option<f64>,
    /// The sixteen directions, clockwise from north.
    pub sectors: Vec<Sector>,
    /// The one from which it blows most.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub prevailing: Option<Prevailing>,
}

/// A sixteenth of the compass.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Sector {
    /// Where the wind comes from.
    pub from: &'static str,
    /// Its middle, clockwise from north.
    pub from_deg: f64,
    /// Hours.
    pub hours: f64,
    /// Mean speed.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub mean_m_s: Option<f64>,
}

/// The direction from which the wind blows most.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Prevailing {
    /// Where it comes from.
    pub from: &'static str,
    /// Clockwise from north.
    pub from_deg: f64,
    /// Share of the hours with wind.
    pub share: f64,
    /// Mean speed.
    pub mean_m_s: f64,
}

impl Weather {
    /// The wind of the year and of its warm season.
    #[must_use]
    pub fn wind(&self) -> Wind {
        const NORTH: [u8; 3] = [6, 7, 8];
        const SOUTH: [u8; 3] = [12, 1, 2];
        let warmer_then = || self.mean_of(SOUTH) > self.mean_of(NORTH);
        let south = self.location.latitude.map_or_else(warmer_then, |latitude| latitude < 0.0);
        let warm_months = if south { SOUTH } else { NORTH };
        Wind {
            year: self.rose(|_| true),
            warm_season: self.rose(|record| warm_months.contains(&record.month)),
            warm_months,
        }
    }

    /// Mean dry-bulb of some months, K.
    fn mean_of(&self, months: [u8; 3]) -> f64 {
        let of = self.records.iter().filter(|record| months.contains(&record.month)).filter_map(|r| r.dry_bulb_k);
        let (sum, count) = of.fold((0.0, 0.0), |(sum, count), kelvin| (sum + kelvin, count + 1.0));
        sum / count
    }

    fn rose(&self, counts: impl Fn(&Record) -> bool) -> Rose {
        let weight = 1.0 / f64::from(self.per_hour);
        let (mut calm, mut missing) = (0_u32, 0_u32);
        let mut sums = [(0_u32, 0.0); 16];
        for record in self.records.iter().filter(|record| counts(record)) {
            match (record.wind_m_s, record.wind_from_deg) {
                (Some(0.0), _) => calm += 1,
                (Some(speed), Some(from)) => {
                    if let Some((hours, sum)) = sums.get_mut(sector(from)) {
                        *hours += 1;
                        *sum += speed;
                    }
                }
                _ => missing += 1,
            }
        }
        let windy: u32 = sums.iter().map(|(count, _)| count).sum();
        let mean = |count: u32, sum: f64| (count > 0).then(|| sum / f64::from(count));
        let sectors: Vec<Sector> = NAMES
            .into_iter()
            .zip(sums)
            .enumerate()
            .map(|(index, (from, (count, sum)))| Sector {
                from,
                from_deg: f64::from(u32::try_from(index).unwrap_or(0)) * STEP,
                hours: f64::from(count) * weight,
                mean_m_s: mean(count, sum),
            })
            .collect();
        let mut most: Option<&Sector> = None;
        for sector in &sectors {
            if most.is_none_or(|most| sector.hours > most.hours) {
                most = Some(sector);
            }
        }
        let prevailing = most.and_then(|most| {
            let share = most.hours / (f64::from(windy) * weight);
            most.mean_m_s.map(|mean_m_s| Prevailing { from: most.from, from_deg: most.from_deg, share, mean_m_s })
        });
        Rose {
            hours: f64::from(windy) * weight,
            calm_hours: f64::from(calm) * weight,
            missing_hours: f64::from(missing) * weight,
            mean_m_s: mean(windy + calm, sums.iter().map(|(_, sum)| sum).sum()),
            sectors,
            prevailing,
        }
    }
}

/// The sixteenth in which a direction of 0 to 360 degrees lies; one between two counts to that clockwise.
fn sector(from_deg: f64) -> usize {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 16")]
    let nearest = (from_deg / STEP).round() as usize;
    nearest % NAMES.len()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sixteenths_of_the_compass() {
        let known =
            [(0.0, "N"), (360.0, "N"), (11.2, "N"), (11.25, "NNE"), (225.0, "SW"), (348.7, "NNW"), (348.75, "N")];
        for (degrees, name) in known {
            assert_eq!(NAMES[sector(degrees)], name, "{degrees}");
        }
    }
}
