//! Hunting: a reading that swings up and down while nothing steps.

/// Swings that make hunting: turns within so long, s.
const TURNS: usize = 6;
const WITHIN: i64 = 1_800;

/// Watches one reading.
#[derive(Clone, Debug)]
pub struct Swings {
    /// Swings smaller than that are none, SI.
    least: f64,
    rising: bool,
    extreme: Option<(f64, i64)>,
    last_turn: Option<f64>,
    turns: Vec<(i64, f64)>,
    /// Time in which it swung, s.
    pub time: i64,
    /// First and last time by the clock on the wall.
    pub span: Option<[i64; 2]>,
    sum_of_swings: f64,
    sum_of_periods: f64,
    count: u32,
    until: i64,
}

impl Swings {
    /// Swings of at least that, SI.
    pub fn of(least: f64) -> Self {
        Self {
            least,
            rising: true,
            extreme: None,
            last_turn: None,
            turns: Vec::new(),
            time: 0,
            span: None,
            sum_of_swings: 0.0,
            sum_of_periods: 0.0,
            count: 0,
            until: i64::MIN,
        }
    }

    /// What stepped begins anew.
    pub fn restart(&mut self) {
        self.extreme = None;
        self.last_turn = None;
        self.turns.clear();
    }

    /// Hears a value at a time, and by the clock on the wall.
    pub fn hear(&mut self, value: f64, at: i64, local: i64) {
        let Some((extreme, _)) = self.extreme else {
            self.extreme = Some((value, at));
            return;
        };
        let beyond = if self.rising { value > extreme } else { value < extreme };
        if beyond {
            self.extreme = Some((value, at));
            return;
        }
        if (value - extreme).abs() < self.least {
            return;
        }
        // It has turned, at its extreme.
        let swing = self.last_turn.map_or(0.0, |last| (extreme - last).abs());
        self.turns.push((at, swing));
        self.last_turn = Some(extreme);
        self.rising = !self.rising;
        self.extreme = Some((value, at));
        self.turns.retain(|(turn, _)| at - turn <= WITHIN);
        let (Some((first, _)), true) = (self.turns.first(), self.turns.len() >= TURNS) else { return };
        let from = (*first).max(self.until);
        self.time += (at - from).max(0);
        self.until = at;
        let begins = local - (at - first);
        self.span = Some([self.span.map_or(begins, |[first, _]| first), local]);
        self.sum_of_swings += swing;
        #[expect(clippy::cast_precision_loss, reason = "turns in half an hour")]
        let period = 2.0 * (at - first) as f64 / (self.turns.len() - 1) as f64;
        self.sum_of_periods += period;
        self.count += 1;
    }

    /// Swing and period, SI; none where it never hunted.
    pub fn found(&self) -> Option<[f64; 2]> {
        let count = f64::from(self.count);
        (self.count > 0).then(|| [self.sum_of_swings / count, self.sum_of_periods / count])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_swing_of_four_minutes_is_hunting_and_noise_is_not() {
        let mut swings = Swings::of(3.0);
        for k in 0..720_i64 {
            #[expect(clippy::cast_precision_loss, reason = "a time")]
            let value = 5.0 * (std::f64::consts::TAU * k as f64 / 24.0).sin();
            swings.hear(value, k * 10, k * 10);
        }
        let [swing, period] = swings.found().unwrap();
        assert!((swing - 10.0).abs() < 0.2 && (period - 240.0).abs() < 5.0, "{swing} {period}");
        assert!((6_500..=7_200).contains(&swings.time), "{}", swings.time);
        let mut still = Swings::of(3.0);
        for k in 0..720_i64 {
            still.hear(if k % 2 == 0 { 1.0 } else { -1.0 }, k * 10, k * 10);
        }
        assert!(still.found().is_none());
    }
}
