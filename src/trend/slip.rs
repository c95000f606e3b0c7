//! A column that goes over into another unit within the file: its numbers jump, and as the other unit they go on.

use crate::units::Kind;

/// A number goes on where it is within so much of the last, as a share of it (pressures) or in its degrees (temperatures).
const GOES_ON: [f64; 2] = [0.15, 6.0];
/// So many numbers make a slip; fewer are a spike.
const ENOUGH: u32 = 5;
/// Factors between units of pressure.
const FACTORS: &[(f64, &str)] = &[
    (1.0 / 6.894_757, "kPa among psi"),
    (6.894_757, "psi among kPa"),
    (14.503_77, "bar among psi"),
    (1.0 / 14.503_77, "psi among bar"),
    (0.01, "kPa among bar"),
    (100.0, "bar among kPa"),
    (10.0, "a tenth"),
    (0.1, "ten times"),
];
/// Runs that are kept.
const KEPT: usize = 100;

/// A stretch in which a column was written in another unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Run {
    /// From, s.
    pub from: i64,
    /// To, s.
    pub to: i64,
    /// How it was written.
    pub says: &'static str,
    /// Values.
    pub values: u32,
}

#[derive(Clone, Copy, Debug)]
struct Slipped {
    from: i64,
    says: &'static str,
    factor: Conversion,
    values: u32,
}

#[derive(Clone, Copy, Debug)]
enum Conversion {
    Times(f64),
    FromCelsius,
    FromFahrenheit,
}

impl Conversion {
    fn of(self, value: f64) -> f64 {
        match self {
            Self::Times(factor) => value * factor,
            Self::FromCelsius => value * 1.8 + 32.0,
            Self::FromFahrenheit => (value - 32.0) / 1.8,
        }
    }
}

/// What watches a column for it.
#[derive(Clone, Debug, Default)]
pub struct Watch {
    level: Option<(f64, bool)>,
    slipped: Option<Slipped>,
}

fn goes_on(kind: Kind, value: f64, level: f64) -> bool {
    match kind {
        Kind::Pressure => (value - level).abs() <= GOES_ON[0] * level.abs().max(1e-9),
        _ => (value - level).abs() <= GOES_ON[1],
    }
}

impl Watch {
    /// Whether the column is written in another unit now.
    pub fn slipped(&self) -> bool {
        self.slipped.is_some()
    }

    /// Hears a value as written, and whether the machine runs: a start or a stop moves everything.
    pub fn hear(&mut self, kind: Kind, value: f64, at: i64, runs: bool, runs_of: &mut Vec<Run>) {
        if !matches!(kind, Kind::Pressure | Kind::Temperature) {
            return;
        }
        let Some((level, ran)) = self.level else {
            self.level = Some((value, runs));
            return;
        };
        if let Some(slipped) = &mut self.slipped {
            let converted = slipped.factor.of(value);
            if goes_on(kind, converted, level) {
                slipped.values += 1;
                self.level = Some((converted, runs));
                return;
            }
            self.finish(at - 1, runs_of);
            self.level = Some((value, runs));
            return;
        }
        if goes_on(kind, value, level) || ran != runs {
            self.level = Some((value, runs));
            return;
        }
        let candidates: Vec<(Conversion, &'static str)> = match kind {
            Kind::Pressure => FACTORS.iter().map(|(factor, says)| (Conversion::Times(*factor), *says)).collect(),
            _ => vec![(Conversion::FromCelsius, "C among F"), (Conversion::FromFahrenheit, "F among C")],
        };
        let far = match kind {
            Kind::Pressure => value > 2.5 * level || value < level / 2.5,
            _ => (value - level).abs() > 15.0,
        };
        let near = |conversion: Conversion| match kind {
            Kind::Pressure => (conversion.of(value) / level).ln().abs(),
            _ => (conversion.of(value) - level).abs(),
        };
        let best = candidates.into_iter().filter(|(conversion, _)| goes_on(kind, conversion.of(value), level));
        match best.min_by(|a, b| near(a.0).total_cmp(&near(b.0))).filter(|_| far && level > 0.0 && value > 0.0) {
            Some((factor, says)) => {
                self.slipped = Some(Slipped { from: at, says, factor, values: 1 });
                self.level = Some((factor.of(value), runs));
            }
            None => self.level = Some((value, runs)),
        }
    }

    /// A slip ends.
    pub fn finish(&mut self, at: i64, runs: &mut Vec<Run>) {
        if let Some(slipped) = self.slipped.take()
            && slipped.values >= ENOUGH
            && runs.len() < KEPT
        {
            runs.push(Run { from: slipped.from, to: at, says: slipped.says, values: slipped.values });
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn runs(kind: Kind, values: &[f64], running: impl Fn(usize) -> bool) -> Vec<Run> {
        let (mut watch, mut runs) = (Watch::default(), Vec::new());
        for (k, value) in values.iter().enumerate() {
            watch.hear(kind, *value, i64::try_from(k).unwrap(), running(k), &mut runs);
        }
        watch.finish(i64::try_from(values.len()).unwrap(), &mut runs);
        runs
    }

    /// 1 psi is 6.894757 kPa (NIST SP 811).
    #[test]
    fn kilopascals_among_psi_are_seen_and_where_they_end() {
        let mut values = vec![380.0; 30];
        values[10..20].fill(380.0 * 6.894_757);
        let found = runs(Kind::Pressure, &values, |_| true);
        assert_eq!(found, [Run { from: 10, to: 19, says: "kPa among psi", values: 10 }]);
    }

    #[test]
    fn celsius_among_fahrenheit_is_seen() {
        let mut values = vec![95.0; 30];
        values[10..].fill(35.0);
        assert_eq!(runs(Kind::Temperature, &values, |_| true)[0].says, "C among F");
    }

    #[test]
    fn a_start_a_spike_and_a_slope_are_no_slips() {
        let step: Vec<f64> = (0..30).map(|k| if k < 15 { 150.0 } else { 400.0 }).collect();
        assert!(runs(Kind::Pressure, &step, |k| k >= 15).is_empty());
        let mut spike = vec![380.0; 30];
        spike[10] = 3800.0;
        assert!(runs(Kind::Pressure, &spike, |_| true).is_empty());
        let slope: Vec<f64> = (0..100).map(|k| 60.0 + 0.5 * f64::from(k)).collect();
        assert!(runs(Kind::Temperature, &slope, |_| true).is_empty());
    }
}
