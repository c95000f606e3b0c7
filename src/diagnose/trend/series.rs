//! How condensing over outdoor, over that of a healthy machine at like load, moves: with the days, by the hour, by the wind.

use std::collections::BTreeMap;

/// Seconds in a day.
const DAY: i64 = 86_400;
/// What a change has to be to be told, K: a drift or a step of days; a step by hour or wind.
const TOLD: [f64; 2] = [1.1, 1.7];
/// Points that a drift needs.
const POINTS: usize = 6;
/// Scatter that is left of that about the mean where a drift or a step is told.
const LEFT: f64 = 0.5;
/// So many days have to show what is told of an hour or of a wind.
const DAYS: u32 = 2;
/// Wind that says nothing, m/s.
const CALM: f64 = 1.0;
/// Sectors of the wind.
pub const SECTORS: [&str; 8] =
    ["north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"];

/// Sum, sum of squares, count.
#[derive(Clone, Copy, Debug, Default)]
struct Scatter {
    sum: f64,
    squares: f64,
    count: u32,
}

impl Scatter {
    fn add(&mut self, value: f64) {
        self.sum += value;
        self.squares += value * value;
        self.count += 1;
    }

    fn mean(&self) -> f64 {
        self.sum / f64::from(self.count.max(1))
    }

    /// Standard error of the mean.
    fn error(&self) -> f64 {
        let count = f64::from(self.count.max(2));
        let variance = (self.squares / count - (self.sum / count).powi(2)).max(0.0);
        (variance / (count - 1.0)).sqrt()
    }
}

/// A change with time, told of the span of days or of the moment at which it steps.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Change {
    /// By so much from the first to the last day, K.
    Drift(f64),
    /// By so much at a moment, s by the clock on the wall, K.
    Step(f64, i64),
}

/// The series of one load.
#[derive(Clone, Debug, Default)]
pub struct Series {
    /// By the hour since 1970.
    hours: BTreeMap<i64, Scatter>,
    day: Option<i64>,
    by_hour_today: [Scatter; 24],
    by_wind_today: [Scatter; 8],
    by_hour: [Scatter; 24],
    by_wind: [Scatter; 8],
    /// Stretches.
    pub count: u32,
}

impl Series {
    /// Hears the excess of a stretch, K, with its time and its wind.
    pub fn hear(&mut self, local: i64, excess: f64, wind: Option<(f64, Option<f64>)>) {
        let day = local.div_euclid(DAY);
        if self.day != Some(day) {
            self.end_of_day();
            self.day = Some(day);
        }
        self.count += 1;
        self.hours.entry(local.div_euclid(3600)).or_default().add(excess);
        let hour = usize::try_from(local.rem_euclid(DAY) / 3600).unwrap_or(0);
        self.by_hour_today[hour].add(excess);
        if let Some((from, _)) = wind.filter(|(_, speed)| speed.is_none_or(|speed| speed > CALM)) {
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 8")]
            let sector = (from.rem_euclid(360.0) / 45.0).round() as usize % 8;
            self.by_wind_today[sector].add(excess);
        }
    }

    /// Hours and winds count against the mean of their day, so that a drift is none of theirs.
    pub fn end_of_day(&mut self) {
        let hours = self.by_hour_today.iter().filter(|tally| tally.count > 0);
        let (sum, count) = hours.fold((0.0, 0_u32), |(sum, count), tally| (sum + tally.mean(), count + 1));
        let mean = sum / f64::from(count.max(1));
        let days = [
            (&mut self.by_hour_today[..], &mut self.by_hour[..]),
            (&mut self.by_wind_today[..], &mut self.by_wind[..]),
        ];
        for (today, all) in days {
            for (today, all) in today.iter_mut().zip(all) {
                if today.count > 0 {
                    all.add(today.mean() - mean);
                }
                *today = Scatter::default();
            }
        }
    }

    /// Least, median and greatest hour, K.
    pub fn range(&self) -> Option<[f64; 3]> {
        let mut all: Vec<f64> = self.hours.values().map(Scatter::mean).collect();
        all.sort_by(f64::total_cmp);
        Some([*all.first()?, all[all.len() / 2], *all.last()?])
    }

    /// Means of days, or of hours where there are few days: s by the clock on the wall, K.
    fn means(&self) -> Vec<(i64, f64)> {
        let mut days: BTreeMap<i64, Scatter> = BTreeMap::new();
        for (hour, tally) in &self.hours {
            days.entry(hour.div_euclid(24)).or_default().add(tally.mean());
        }
        if days.len() >= POINTS {
            return days.into_iter().map(|(day, tally)| (day * DAY, tally.mean())).collect();
        }
        self.hours.iter().map(|(hour, tally)| (hour * 3600, tally.mean())).collect()
    }

    /// Whether it drifts with the days or steps at one.
    pub fn change(&self) -> Option<Change> {
        let means = self.means();
        if means.len() < POINTS {
            return None;
        }
        let mut whole = Scatter::default();
        for (_, value) in &means {
            whole.add(*value);
        }
        let scatter = |tally: &Scatter| tally.squares - tally.sum * tally.mean();
        let about_mean = scatter(&whole);
        let (first, last) = (means.first()?.0, means.last()?.0);
        #[expect(clippy::cast_precision_loss, reason = "seconds of a file")]
        let place = |at: i64| (at - first) as f64 / (last - first).max(1) as f64;
        let (mut xx, mut xy, mut x_sum) = (0.0, 0.0, 0.0);
        let count = f64::from(whole.count);
        for (at, _) in &means {
            x_sum += place(*at);
        }
        for (at, value) in &means {
            let x = place(*at) - x_sum / count;
            xx += x * x;
            xy += x * (value - whole.mean());
        }
        let slope = xy / xx.max(1e-12);
        let about_line = about_mean - slope * xy;
        let mut best: Option<(f64, f64, i64)> = None;
        let mut before = Scatter::default();
        for (at, (_, value)) in means.iter().enumerate() {
            before.add(*value);
            let after = Scatter {
                sum: whole.sum - before.sum,
                squares: whole.squares - before.squares,
                count: whole.count - before.count,
            };
            if before.count < 2 || after.count < 2 {
                continue;
            }
            let left = scatter(&before) + scatter(&after);
            if best.is_none_or(|(least, ..)| left < least) {
                best = means.get(at + 1).map(|next| (left, after.mean() - before.mean(), next.0));
            }
        }
        let step = best.filter(|(left, by, _)| *left < LEFT * about_mean && by.abs() > TOLD[0]);
        let line = Some(slope).filter(|slope| about_line < LEFT * about_mean && slope.abs() > TOLD[0]);
        match (step, line) {
            (Some((left, by, at)), line) if line.is_none() || left < 0.8 * about_line => Some(Change::Step(by, at)),
            (_, Some(slope)) => Some(Change::Drift(slope)),
            _ => None,
        }
    }

    /// Hours of the day in which it is higher than in the others: from, to (the hour that ends it), by how much, K.
    pub fn hours_of_day(&self) -> Option<(usize, usize, f64)> {
        let seen: Vec<usize> = (0..24).filter(|hour| self.by_hour[*hour].count >= DAYS).collect();
        if seen.len() < 4 {
            return None;
        }
        let mut means: Vec<f64> = seen.iter().map(|hour| self.by_hour[*hour].mean()).collect();
        means.sort_by(f64::total_cmp);
        let usual = means[means.len() / 2].min(means[(means.len() - 1) / 2]);
        let is_high = |hour: usize| {
            let tally = &self.by_hour[hour];
            tally.count >= DAYS && tally.mean() - usual > TOLD[1].max(3.0 * tally.error())
        };
        let worst = seen.iter().copied().max_by(|a, b| self.by_hour[*a].mean().total_cmp(&self.by_hour[*b].mean()))?;
        if !is_high(worst) {
            return None;
        }
        let mut from = worst;
        while from > 0 && is_high(from - 1) {
            from -= 1;
        }
        let mut to = worst + 1;
        while to < 24 && is_high(to) {
            to += 1;
        }
        let mut window = Scatter::default();
        (from..to).for_each(|hour| window.add(self.by_hour[hour].mean()));
        Some((from, to, window.mean() - usual))
    }

    /// The wind at which it is higher than at the others: its sector, by how much, K.
    pub fn wind(&self) -> Option<(usize, f64)> {
        let seen = || (0..8).filter(|sector| self.by_wind[*sector].count >= DAYS);
        let worst = seen().max_by(|a, b| self.by_wind[*a].mean().total_cmp(&self.by_wind[*b].mean()))?;
        let mut others = Scatter::default();
        seen().filter(|sector| *sector != worst).for_each(|sector| others.add(self.by_wind[sector].mean()));
        let tally = &self.by_wind[worst];
        let by = tally.mean() - others.mean();
        (others.count > 0 && by > TOLD[1].max(3.0 * tally.error())).then_some((worst, by))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A number that looks like noise, from -0.5 to 0.5.
    fn noise(k: i64) -> f64 {
        let x = k.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        #[expect(clippy::cast_precision_loss, reason = "noise")]
        let x = (x >> 40) as f64;
        x / f64::from(1 << 24)
    }

    #[expect(clippy::cast_precision_loss, reason = "days")]
    fn series(days: i64, excess: impl Fn(f64, i64) -> f64, wind: impl Fn(i64) -> f64) -> Series {
        let mut series = Series::default();
        for stretch in 0..days * 144 {
            let local = stretch * 600;
            let day = local as f64 / 86_400.0;
            let hour = local.rem_euclid(DAY) / 3600;
            series.hear(local, excess(day, hour) + noise(stretch), Some((wind(stretch / 40), Some(4.0))));
        }
        series.end_of_day();
        series
    }

    #[test]
    fn a_drift_a_step_an_hour_and_a_wind_are_found_and_nothing_is_not() {
        let still = series(14, |_, _| 2.0, |k| f64::from(i32::try_from(k % 8).unwrap()) * 45.0);
        assert_eq!((still.change(), still.hours_of_day(), still.wind()), (None, None, None));
        let drift = series(14, |day, _| 0.4 * day, |_| 0.0);
        let Some(Change::Drift(by)) = drift.change() else { panic!("{:?}", drift.change()) };
        assert!((by - 5.2).abs() < 0.3, "{by}");
        let step = series(14, |day, _| if day < 9.0 { 0.0 } else { 5.0 }, |_| 0.0);
        let Some(Change::Step(by, at)) = step.change() else { panic!("{:?}", step.change()) };
        assert!((by - 5.0).abs() < 0.3 && at == 9 * DAY, "{by} {at}");
        let sun = series(14, |_, hour| if (13..17).contains(&hour) { 4.0 } else { 0.0 }, |_| 0.0);
        let (from, to, by) = sun.hours_of_day().unwrap();
        assert!((from, to) == (13, 17) && (by - 4.0).abs() < 0.3, "{from} {to} {by}");
        assert_eq!(sun.change(), None);
        let west = |k: i64| if noise(k) > 0.2 { 270.0 } else { 45.0 * (noise(k + 7) * 6.0).round() };
        let mut windy = Series::default();
        for stretch in 0..14_i64 * 144 {
            let from = west(stretch / 13).rem_euclid(360.0);
            let excess = if (from - 270.0).abs() < 1.0 { 6.0 } else { 0.0 };
            windy.hear(stretch * 600, excess + noise(stretch), Some((from, Some(4.0))));
        }
        windy.end_of_day();
        let (sector, by) = windy.wind().unwrap();
        assert!(SECTORS[sector] == "west" && (by - 6.0).abs() < 1.0, "{sector} {by}");
    }
}
