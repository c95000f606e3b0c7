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
    /// Condensing less outdoor of steady stretches as read, and of a healthy machine at like load, K.
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
pub struct Course {
    /// First and last time by the clock on the wall, s.
    pub span: [i64; 2],
    /// One after the other, all as long.
    pub bins: Vec<Bin>,
}

impl Course {
    /// Over that time, with nothing in it yet.
    #[must_use]
    pub fn over(span: [i64; 2]) -> Self {
        let count = ((span[1] - span[0]) / LEAST).clamp(1, BINS);
        Self { span, bins: vec![Bin::default(); usize::try_from(count).unwrap_or(1)] }
    }

    fn bin(&mut self, local: i64) -> Option<&mut Bin> {
        let count = i64::try_from(self.bins.len()).ok()?;
        let place = (local - self.span[0]).max(0) * count / (self.span[1] - self.span[0]).max(1);
        let last = self.bins.len().checked_sub(1)?;
        self.bins.get_mut(usize::try_from(place).ok()?.min(last))
    }

    /// Hears condensing less outdoor of a steady stretch, as read and of a healthy machine, K.
    pub fn hear(&mut self, local: i64, [read, healthy]: [f64; 2]) {
        if let Some(bin) = self.bin(local) {
            bin.split.add(read, 1.0);
            bin.healthy.add(healthy, 1.0);
        }
    }

    /// Hears what share ran for so many s.
    pub fn ran(&mut self, local: i64, share: f64, seconds: i64) {
        if let Some(bin) = self.bin(local) {
            #[expect(clippy::cast_precision_loss, reason = "seconds of a file")]
            bin.share.add(share, seconds as f64);
        }
    }

    /// Hears that oil was not lifted, that liquid flashed.
    pub fn lost(&mut self, local: i64, lost: [bool; 2]) {
        if let Some(bin) = self.bin(local) {
            bin.lost = std::array::from_fn(|k| bin.lost[k] || lost[k]);
        }
    }
}
