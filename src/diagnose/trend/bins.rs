//! What a trend shows over time, in so many bins whatever its length: what its drawing is made of.

/// Bins at most, and the least that one lasts, s.
const BINS: i64 = 240;
const LEAST: i64 = 600;

/// A sum with how much went into it.
#[derive(Clone, Copy, Debug, Default)]
struct Mean {
    sum: f64,
    weight: f64,
}

impl Mean {
    fn add(&mut self, value: f64, weight: f64) {
        self.sum += weight * value;
        self.weight += weight;
    }

    fn get(self) -> Option<f64> {
        (self.weight > 0.0).then(|| self.sum / self.weight)
    }
}

/// A stretch of time.
#[derive(Clone, Copy, Debug, Default)]
pub struct Bin {
    split: Mean,
    healthy: Mean,
    share: Mean,
    /// Whether oil was not lifted in it, and whether liquid flashed.
    pub lost: [bool; 2],
}

impl Bin {
    /// Condensing over outdoor of steady stretches as read, and of a healthy machine at like load, K.
    #[must_use]
    pub fn split(&self) -> Option<[f64; 2]> {
        Some([self.split.get()?, self.healthy.get()?])
    }

    /// Share of displacement that ran, by time; none where nothing is logged.
    #[must_use]
    pub fn share(&self) -> Option<f64> {
        self.share.get()
    }
}

/// A trend over its time.
#[derive(Clone, Debug)]
pub struct Bins {
    /// First and last time by the clock on the wall, s.
    pub span: [i64; 2],
    /// One after the other, all as long.
    pub bins: Vec<Bin>,
}

impl Bins {
    /// Over that time, with nothing in it yet; no bin is shorter than what lies between two rows.
    #[must_use]
    pub fn over(span: [i64; 2], interval: i64) -> Self {
        let count = ((span[1] - span[0]) / LEAST.max(interval)).clamp(1, BINS);
        Self { span, bins: vec![Bin::default(); usize::try_from(count).unwrap_or(1)] }
    }

    fn bin(&mut self, local: i64) -> Option<&mut Bin> {
        let count = i64::try_from(self.bins.len()).ok()?;
        let place = (local - self.span[0]).max(0) * count / (self.span[1] - self.span[0]).max(1);
        let last = self.bins.len().checked_sub(1)?;
        self.bins.get_mut(usize::try_from(place).ok()?.min(last))
    }

    /// Hears condensing over outdoor of a steady stretch, as read and of a healthy machine, K.
    pub fn hear(&mut self, local: i64, [read, healthy]: [f64; 2]) {
        if let Some(bin) = self.bin(local) {
            bin.split.add(read, 1.0);
            bin.healthy.add(healthy, 1.0);
        }
    }

    /// The bins of a stretch, each with the seconds of the stretch that are in it.
    #[expect(
        clippy::cast_precision_loss,
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "seconds of a file, not before its first"
    )]
    fn stretch(&mut self, local: i64, seconds: i64) -> impl Iterator<Item = (&mut Bin, f64)> {
        let (start, whole) = (self.span[0], (self.span[1] - self.span[0]).max(1));
        let each = whole as f64 / self.bins.len().max(1) as f64;
        let [from, to] = [local - start, local + seconds - start].map(|at| at as f64);
        let [first, last] = [from, to].map(|at| (at / each).max(0.0) as usize);
        let bins = self.bins.iter_mut().enumerate().take(last + 1).skip(first);
        bins.filter_map(move |(at, bin)| {
            let begins = each * at as f64;
            let within = to.min(begins + each) - from.max(begins);
            (within > 0.0).then_some((bin, within))
        })
    }

    /// Hears what share ran for so many s.
    pub fn ran(&mut self, local: i64, share: f64, seconds: i64) {
        self.stretch(local, seconds).for_each(|(bin, within)| bin.share.add(share, within));
    }

    /// Hears that oil was not lifted, that liquid flashed, for so many s.
    pub fn lost(&mut self, local: i64, lost: [bool; 2], seconds: i64) {
        self.stretch(local, seconds).for_each(|(bin, _)| bin.lost = std::array::from_fn(|k| bin.lost[k] || lost[k]));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_of_an_hour_leave_no_gap() {
        for days in [1, 7, 40] {
            let mut over_time = Bins::over([0, days * 86_400], 3600);
            for hour in 0..days * 24 {
                over_time.ran(hour * 3600, 0.5, 3600);
                over_time.lost(hour * 3600, [true, false], 3600);
            }
            let ran =
                |bin: &Bin| bin.share().is_some_and(|share| (share - 0.5).abs() < 1e-9) && bin.lost == [true, false];
            assert!(over_time.bins.len() >= 24 && over_time.bins.iter().all(ran), "{days}");
        }
    }

    #[test]
    fn a_stretch_counts_where_it_lies() {
        let mut over_time = Bins::over([0, 6000], 60);
        over_time.ran(300, 1.0, 600);
        over_time.ran(900, 0.0, 300);
        let shares: Vec<Option<f64>> = over_time.bins.iter().map(Bin::share).collect();
        assert_eq!(shares[..3], [Some(1.0), Some(0.5), None]);
    }
}
