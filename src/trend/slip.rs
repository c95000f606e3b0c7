//! A column that goes over into another unit within the file: its numbers jump, and as the other unit they go on.

use crate::units::Kind;

/// A number so far from where it usually is (logarithm of pressures, degrees) is looked at.
const FAR: [f64; 2] = [0.92, 15.0];
/// And slips where another unit brings it so near.
const NEAR: [f64; 2] = [0.45, 6.0];
/// So slowly the usual place moves, a value.
const SLOWLY: f64 = 0.02;
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

/// Units that a column may slip into.
fn conversions(kind: Kind) -> impl Iterator<Item = (Conversion, &'static str)> {
    let temperatures = [(Conversion::FromCelsius, "C among F"), (Conversion::FromFahrenheit, "F among C")];
    let pressures = FACTORS.iter().map(|(factor, says)| (Conversion::Times(*factor), *says));
    let is_pressure = kind == Kind::Pressure;
    pressures.filter(move |_| is_pressure).chain(temperatures.into_iter().filter(move |_| !is_pressure))
}

/// What watches a column for it.
#[derive(Clone, Debug, Default)]
pub struct Watch {
    /// The last value, in the unit of the rest, and whether the machine ran.
    level: Option<(f64, bool)>,
    /// When it was heard, s.
    pub heard: i64,
    /// Where it usually is, stopped and running, in the unit of the rest.
    home: [Option<f64>; 2],
    slipped: Option<Slipped>,
}

/// How far a value is from another: as logarithm of pressures, in degrees.
fn apart(kind: Kind, value: f64, other: f64) -> f64 {
    match kind {
        Kind::Pressure => (value.max(1e-9) / other.max(1e-9)).ln().abs(),
        _ => (value - other).abs(),
    }
}

impl Watch {
    /// Whether the column is written in another unit now.
    pub fn slipped(&self) -> bool {
        self.slipped.is_some()
    }

    /// A value as written, in the unit of the rest.
    pub fn as_the_rest(&self, value: f64) -> f64 {
        self.slipped.map_or(value, |slipped| slipped.factor.of(value))
    }

    /// Hears a value as written, whether the machine runs, and whether its pressures stay where they are: a start or a stop moves
    /// everything.
    pub fn hear(&mut self, kind: Kind, value: f64, at: i64, [runs, calm]: [bool; 2], found: &mut Vec<Run>) {
        if !matches!(kind, Kind::Pressure | Kind::Temperature) || (kind == Kind::Pressure && value <= 0.0) {
            return;
        }
        self.heard = at;
        let Some((level, ran)) = self.level else {
            self.keep(value, runs);
            return;
        };
        let home = self.home[usize::from(runs)];
        if let Some(slipped) = &mut self.slipped {
            // Where it has not been in this state yet, nothing tells that it has ended.
            let usual = home.or(Some(level).filter(|_| calm && ran == runs));
            let converted = slipped.factor.of(value);
            if usual.is_none_or(|usual| apart(kind, converted, usual) < apart(kind, value, usual)) {
                slipped.values += 1;
                self.keep(converted, runs);
                return;
            }
            self.finish(at - 1, found);
            self.keep(value, runs);
            return;
        }
        // Temperatures come and go with the day, so that only a jump tells; pressures have a place where they usually are.
        let usual = if kind == Kind::Pressure { home } else { Some(level).filter(|_| calm) };
        let Some(usual) = usual else {
            self.keep(value, runs);
            return;
        };
        let (far, near) = if kind == Kind::Pressure { (FAR[0], NEAR[0]) } else { (FAR[1], NEAR[1]) };
        if apart(kind, value, usual) < far {
            self.keep(value, runs);
            return;
        }
        let against = if ran == runs && apart(kind, level, usual) < far { level } else { usual };
        let best = conversions(kind)
            .map(|(factor, says)| (factor, says, apart(kind, factor.of(value), against)))
            .min_by(|a, b| a.2.total_cmp(&b.2));
        match best.filter(|(.., off)| *off < near) {
            Some((factor, says, _)) => {
                self.slipped = Some(Slipped { from: at, says, factor, values: 1 });
                self.keep(factor.of(value), runs);
            }
            // A spike, or a machine that goes elsewhere.
            None => self.level = Some((value, runs)),
        }
    }

    fn keep(&mut self, value: f64, runs: bool) {
        self.level = Some((value, runs));
        let home = &mut self.home[usize::from(runs)];
        *home = Some(home.map_or(value, |home| home + SLOWLY * (value - home)));
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
            let calm = k == 0 || running(k) == running(k - 1);
            watch.hear(kind, *value, i64::try_from(k).unwrap(), [running(k), calm], &mut runs);
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
    fn a_unit_that_slips_with_a_start_is_seen_too() {
        let value = |k: usize| if k % 20 < 10 { 200.0 } else { 390.0 };
        let runs_at = |k: usize| k % 20 >= 10;
        let mut values: Vec<f64> = (0..100).map(value).collect();
        values[50..60].iter_mut().for_each(|value| *value *= 6.894_757);
        let found = runs(Kind::Pressure, &values, runs_at);
        assert!(found.len() == 1 && (found[0].from, found[0].to) == (50, 59), "{found:?}");
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
