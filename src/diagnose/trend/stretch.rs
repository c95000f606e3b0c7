//! Steady stretches of a trend: what is read before ten minutes are over since a compressor or a fan stepped is not fitted.

use super::state::Running;
use crate::job::{POINTS, Point};
use crate::trend::Moment;

/// So long after a step nothing is fitted, s.
pub const SETTLED: i64 = 600;
/// So long one stretch lasts, s.
const LENGTH: i64 = 600;
/// Steps of compressors, and of fans, as shares.
const STEPS: [f64; 2] = [0.03, 0.12];

/// The means of a steady stretch.
#[derive(Clone, Debug)]
pub struct Stretch {
    /// From and to by the clock on the wall, s.
    pub span: [i64; 2],
    /// What runs.
    pub running: Running,
    /// Means.
    pub mean: Moment,
    /// Rows.
    pub rows: u32,
}

/// Finds them, moment by moment.
#[derive(Default)]
pub struct Steady {
    gap: i64,
    skew: i64,
    last: Option<i64>,
    state: Option<(Running, i64)>,
    open: Option<Open>,
    /// One that has ended, and when: a step may show soon that it was none.
    ended: Option<(Stretch, i64)>,
}

struct Open {
    from: i64,
    span: [i64; 2],
    running: Running,
    sums: Vec<(f64, u32)>,
    rows: u32,
}

impl Steady {
    /// `gap`: rows further apart, s, do not belong together; `skew`: so much later than its readings a state may be logged, s.
    pub fn new(gap: i64, skew: i64) -> Self {
        Self { gap, skew: skew.min(LENGTH), ..Self::default() }
    }

    /// Whether nothing has stepped for so long at the last moment heard.
    pub fn settled(&self) -> bool {
        self.state
            .zip(self.last)
            .is_some_and(|((running, since), last)| running.share > 0.0 && last - since >= SETTLED + self.skew)
    }

    /// Hears a moment, and gives back a stretch that has ended before it.
    pub fn hear(&mut self, moment: &Moment, running: Option<Running>) -> Option<Stretch> {
        let apart = self.last.is_some_and(|last| moment.at - last > self.gap);
        self.last = Some(moment.at);
        let Some(running) = running else {
            self.state = None;
            return self.finish();
        };
        let stepped = match self.state {
            None => true,
            Some((state, _)) => {
                (state.share - running.share).abs() > STEPS[0]
                    || state.fans.zip(running.fans).is_some_and(|(was, is)| (was - is).abs() > STEPS[1])
            }
        };
        if stepped && self.skew > 0 {
            // Readings may have followed the step before it was logged.
            self.open = None;
            self.ended.take_if(|(_, at)| moment.at - *at < self.skew);
        }
        let mut ended = if stepped || apart {
            self.state = Some((running, moment.at));
            self.finish()
        } else {
            self.sure(moment.at)
        };
        if !self.settled() {
            return ended;
        }
        if self.open.as_ref().is_some_and(|open| moment.at - open.from >= LENGTH) {
            self.ended = self.close().map(|stretch| (stretch, moment.at));
            ended = ended.or_else(|| self.sure(moment.at));
        }
        let open = self.open.get_or_insert_with(|| Open {
            from: moment.at,
            span: [moment.local; 2],
            running,
            sums: vec![(0.0, 0); POINTS.len()],
            rows: 0,
        });
        open.rows += 1;
        open.span[1] = moment.local;
        for (sum, point) in open.sums.iter_mut().zip(POINTS) {
            if let Some(value) = moment.get(*point) {
                *sum = (sum.0 + value, sum.1 + 1);
            }
        }
        ended
    }

    /// One that ended so long ago that no step can show that it was none.
    fn sure(&mut self, at: i64) -> Option<Stretch> {
        self.ended.take_if(|(_, ended)| at - *ended >= self.skew).map(|(stretch, _)| stretch)
    }

    /// What is left, ended.
    pub fn finish(&mut self) -> Option<Stretch> {
        let before = self.ended.take().map(|(stretch, _)| stretch);
        let open = self.close();
        before.or(open)
    }

    /// The stretch that is open, ended.
    fn close(&mut self) -> Option<Stretch> {
        let open = self.open.take()?;
        let mean = |point: Point| {
            let at = POINTS.iter().position(|of| *of == point)?;
            let (sum, count) = open.sums[at];
            (count > 0).then(|| sum / f64::from(count))
        };
        Some(Stretch {
            span: open.span,
            running: open.running,
            mean: Moment::of(open.from, open.span[0], mean),
            rows: open.rows,
        })
    }
}
