//! Where the wind comes from.

use super::calendar::MONTHS;
use super::record::Record;
use super::year::{Weather, mean};
use schemars::JsonSchema;
use serde::Serialize;

/// The sixteen directions of the compass, clockwise.
const NAMES: [&str; 16] =
    ["N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW"];
/// Between two of them, degrees.
const STEP: f64 = 22.5;
/// Between two directions of a file that gives them in tens of degrees.
const TENS: f64 = 10.0;

/// The wind of the year and of its warm season.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Wind {
    /// The whole year.
    pub year: Rose,
    /// The warm season: June to August north of the equator, December to February south of it; where the file gives no
    /// latitude, the warmer of the two.
    pub warm_season: Rose,
    /// Months of the warm season, 1 to 12.
    pub warm_months: [u8; 3],
    /// Whether the file gives all directions in tens of degrees. Each is then shared over the 5 degrees on both its sides: of the
    /// thirty-six, three lie in each of N, E, S and W and but two or three in the other sixteenths, which would make a wind of
    /// the rounding.
    pub in_tens: bool,
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
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
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
    /// The one from which it blows most, the first of equals.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub prevailing: Option<Prevailing>,
}

/// A sixteenth of the compass.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
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
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Prevailing {
    /// Where it comes from.
    pub from: &'static str,
    /// Clockwise from north.
    pub from_deg: f64,
    /// Share of the hours with wind.
    pub share: f64,
    /// Mean speed.
    pub mean_m_s: f64,
    /// Others from which it blows as often.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub equals: Vec<&'static str>,
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
        let in_tens = self.records.iter().filter_map(blows).all(|(_, from)| from % TENS == 0.0);
        let width = if in_tens { TENS } else { 0.0 };
        Wind {
            year: self.rose(width, |_| true),
            warm_season: self.rose(width, |record| warm_months.contains(&record.month)),
            warm_months,
            in_tens,
        }
    }

    /// Mean dry-bulb of some months, K.
    fn mean_of(&self, months: [u8; 3]) -> f64 {
        let of = self.records.iter().filter(|record| months.contains(&record.month)).filter_map(|r| r.dry_bulb_K);
        mean(of).map_or(f64::NAN, |(mean, _)| mean)
    }

    /// The rose of some records, each direction shared evenly over a width in degrees.
    fn rose(&self, width: f64, counts: impl Fn(&Record) -> bool) -> Rose {
        let weight = 1.0 / f64::from(self.per_hour);
        let (mut calm, mut missing, mut windy) = (0_u32, 0_u32, 0_u32);
        let mut run = 0.0;
        let mut sums = [(0.0, 0.0); 16];
        for record in self.records.iter().filter(|record| counts(record)) {
            match (record.wind_m_s, blows(record)) {
                (Some(0.0), _) => calm += 1,
                (_, Some((speed, from))) => {
                    windy += 1;
                    run += speed;
                    for (sector, share) in shares(from, width) {
                        if let Some((hours, sum)) = sums.get_mut(sector) {
                            *hours += share;
                            *sum += share * speed;
                        }
                    }
                }
                _ => missing += 1,
            }
        }
        let mean = |count: f64, sum: f64| (count > 0.0).then(|| sum / count);
        let sectors: Vec<Sector> = NAMES
            .into_iter()
            .zip(sums)
            .enumerate()
            .map(|(index, (from, (count, sum)))| Sector {
                from,
                from_deg: f64::from(u32::try_from(index).unwrap_or(0)) * STEP,
                hours: count * weight,
                mean_m_s: mean(count, sum),
            })
            .collect();
        let hours = f64::from(windy) * weight;
        Rose {
            hours,
            calm_hours: f64::from(calm) * weight,
            missing_hours: f64::from(missing) * weight,
            mean_m_s: mean(f64::from(windy + calm), run),
            prevailing: prevailing(&sectors, hours),
            sectors,
        }
    }
}

/// Speed and direction of a wind; none where it is calm or either is missing.
fn blows(record: &Record) -> Option<(f64, f64)> {
    record.wind_m_s.zip(record.wind_from_deg).filter(|(speed, _)| *speed > 0.0)
}

/// The sixteenth from which it blows most of so many hours with wind.
fn prevailing(sectors: &[Sector], hours: f64) -> Option<Prevailing> {
    // Hours are counted in eighths of a record, so that equals are equal.
    let maximum = sectors.iter().map(|sector| sector.hours).fold(0.0, f64::max);
    let mut equals = sectors.iter().filter(|sector| sector.hours >= maximum);
    let first = equals.next()?;
    Some(Prevailing {
        from: first.from,
        from_deg: first.from_deg,
        share: maximum / hours,
        mean_m_s: first.mean_m_s?,
        equals: equals.map(|sector| sector.from).collect(),
    })
}

/// The sixteenths in which a direction lies that is shared evenly over a width below a sixteenth, and its share in each:
/// `share = (edge - (from - width/2)) / width`, the edge that of the first of them.
fn shares(from_deg: f64, width: f64) -> [(usize, f64); 2] {
    let low = (from_deg - width / 2.0).rem_euclid(360.0);
    let edge = ((low / STEP).round() + 0.5) * STEP;
    let first = sector(low);
    let share = if width > 0.0 { ((edge - low) / width).min(1.0) } else { 1.0 };
    [(first, share), ((first + 1) % NAMES.len(), 1.0 - share)]
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

    /// By hand, with edges at 11.25, 33.75 and 348.75 degrees: 10 is 5 to 15, of which 6.25 lie in N; 30 is 25 to 35, 8.75 of it
    /// in NNE; 350 is 345 to 355, 3.75 of it in NNW; 20 is 15 to 25, all of it NNE.
    #[test]
    fn tens_of_degrees_are_shared() {
        assert_eq!(shares(10.0, 10.0), [(0, 0.625), (1, 0.375)]);
        assert_eq!(shares(30.0, 10.0), [(1, 0.875), (2, 0.125)]);
        assert_eq!(shares(350.0, 10.0), [(15, 0.375), (0, 0.625)]);
        assert_eq!(
            (shares(20.0, 10.0)[0], shares(360.0, 10.0)[0], shares(0.0, 10.0)[0]),
            ((1, 1.0), (0, 1.0), (0, 1.0))
        );
        assert_eq!((shares(11.25, 0.0)[0], shares(359.0, 0.0)[0]), ((1, 1.0), (0, 1.0)));
        // Thirty-six directions alike give each sixteenth the same: 2.25 of them.
        let mut all = [0.0; 16];
        for tens in 1..=36 {
            for (sector, share) in shares(f64::from(tens) * 10.0, 10.0) {
                all[sector] += share;
            }
        }
        assert!(all.iter().all(|of| (of - 2.25_f64).abs() < 1e-12), "{all:?}");
    }
}
