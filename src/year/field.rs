//! A circuit of variable speed at outdoor temperatures and shares of full displacement: the shares that give capacities.
//!
//! Within a regime of the head-pressure control the states run smoothly with both. So a patch of temperatures and shares is solved at
//! a few of each, held against what is solved at others, and where that comes to the same within `EXACT` every share asked for in
//! it is found from there. Where it does not, the patch is halved across the worse of its two sides, down to so few that each is
//! solved by itself.

use super::column::{EXACT, SMOOTH, alike, smooth, with};
use super::stage::Stage;
use super::stand::{Runner, Stand};
use crate::machine::{Regime, Trail};
use crate::solve::{bracketed, lagrange};
use std::convert::Infallible;

/// Temperatures and shares at which a patch is solved.
const NODES: usize = 8;
/// So few are sooner solved one by one than by a patch.
const FEW: usize = 20;
/// No patch is wider: K, share.
const WIDEST: [f64; 2] = [12.0, 0.5];
/// How much wider than what is asked in it a patch is: K, share.
const MARGIN: [f64; 2] = [0.02, 2e-3];
/// Of the reserve: all a patch under it is the coil's alone.
const SPENT: f64 = 0.9;

/// A capacity asked for at an outdoor temperature.
#[derive(Clone, Copy, Debug)]
pub(super) struct Asked {
    /// Which it is.
    pub number: usize,
    /// Outdoor temperature, K.
    pub outdoor: f64,
    /// Capacity, W.
    pub capacity: f64,
    /// About the share that gives it.
    pub share: f64,
}

/// What became of it.
#[derive(Clone, Copy, Debug)]
enum Found {
    Stand(Stand),
    /// Another regime gives it.
    In(Regime),
    /// Nothing: it is to be solved by itself.
    Left,
}

/// A range of shares, with its bypass.
#[derive(Clone, Copy, Debug)]
pub(super) struct Shares {
    pub least: Stage,
    pub most: f64,
}

/// What is interpolated of a solved place: of the stand, and the reserve of the coil.
type Values = [f64; SMOOTH + 1];

/// A solved place.
#[derive(Clone, Copy, Debug)]
struct Place {
    stand: Stand,
    reserve: f64,
}

impl Place {
    fn values(&self) -> Values {
        let of_stand = smooth(&self.stand);
        std::array::from_fn(|k| of_stand.get(k).map_or(self.reserve, |(value, _)| *value))
    }

    /// By how much the values are off, in each of its scale, at the worst.
    fn off(&self, values: &Values) -> f64 {
        let scales = smooth(&self.stand).map(|(_, scale)| scale);
        self.values().iter().zip(values).enumerate().fold(0.0, |worst, (k, (own, other))| {
            // Where nothing is held the reserve is endless, in all alike.
            let scale = scales.get(k).copied().unwrap_or(self.reserve.abs().max(1.0));
            if own.to_bits() == other.to_bits() || scale == 0.0 {
                worst
            } else {
                f64::max(worst, (own - other).abs() / scale)
            }
        })
    }
}

/// Finds what gives the capacities; with what is left to be solved by itself.
pub(super) fn settle(runner: &Runner, shares: Shares, asked: Vec<Asked>) -> (Vec<(usize, Stand)>, Vec<usize>) {
    let (mut found, mut left) = (Vec::new(), Vec::new());
    let mut open = vec![(runner.circuitry.first_regime(), asked)];
    while let Some((regime, asked)) = open.pop() {
        let mut elsewhere: Vec<(Regime, Vec<Asked>)> = Vec::new();
        for (asked, what) in (Cover { runner, shares, regime }).settle(asked) {
            match what {
                Found::Stand(stand) => found.push((asked.number, stand)),
                Found::Left => left.push(asked.number),
                Found::In(other) => match elsewhere.iter_mut().find(|(regime, _)| *regime == other) {
                    Some((_, those)) => those.push(asked),
                    None => elsewhere.push((other, vec![asked])),
                },
            }
        }
        open.append(&mut elsewhere);
    }
    (found, left)
}

/// One regime, over all that is asked of it.
#[derive(Clone, Copy)]
struct Cover<'a> {
    runner: &'a Runner<'a>,
    shares: Shares,
    regime: Regime,
}

/// Which of the two sides of a patch.
#[derive(Clone, Copy, Debug)]
enum Side {
    Outdoor,
    Share,
}

impl Side {
    fn of(self, asked: &Asked) -> f64 {
        match self {
            Self::Outdoor => asked.outdoor,
            Self::Share => asked.share,
        }
    }

    fn range(self, asked: &[Asked]) -> [f64; 2] {
        asked
            .iter()
            .map(|asked| self.of(asked))
            .fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], at| [low.min(at), high.max(at)])
    }
}

impl Cover<'_> {
    fn settle(self, mut asked: Vec<Asked>) -> Vec<(Asked, Found)> {
        if asked.len() < FEW {
            return asked.into_iter().map(|asked| (asked, Found::Left)).collect();
        }
        let ranges = [Side::Outdoor, Side::Share].map(|side| side.range(&asked));
        let [wide, deep] = ranges.map(|[low, high]| high - low);
        let across = if wide > WIDEST[0] {
            Some(Side::Outdoor)
        } else if deep > WIDEST[1] {
            Some(Side::Share)
        } else {
            match Patch::solve(self, ranges) {
                Err(side) => Some(side),
                Ok(patch) if self.regime == Regime::Held && patch.spent() => {
                    return asked.into_iter().map(|asked| (asked, Found::In(Regime::CoilAlone))).collect();
                }
                Ok(patch) => match patch.proven(self) {
                    None => return asked.into_iter().map(|asked| patch.find(self, asked)).collect(),
                    Some(side) => {
                        for asked in &mut asked {
                            asked.share = patch.share(asked).unwrap_or(asked.share);
                        }
                        Some(side)
                    }
                },
            }
        };
        let side = across.unwrap_or(Side::Outdoor);
        let [low, high] = side.range(&asked);
        let middle = 0.5 * (low + high);
        let (under, over): (Vec<Asked>, Vec<Asked>) = asked.into_iter().partition(|asked| side.of(asked) < middle);
        if under.is_empty() || over.is_empty() {
            return under.into_iter().chain(over).map(|asked| (asked, Found::Left)).collect();
        }
        let (mut under, over) = rayon::join(|| self.settle(under), || self.settle(over));
        under.extend(over);
        under
    }

    fn at(self, outdoor: f64, share: f64, trail: &mut Trail) -> Option<Place> {
        let condition = self.runner.condition(outdoor, Stage { share, ..self.shares.least });
        let (solution, reserve) = self.runner.circuitry.solve_in(self.regime, &condition, trail).ok()?;
        Some(Place { stand: self.runner.stand(&condition, &solution).ok()?, reserve })
    }
}

/// A patch of temperatures and shares, solved.
struct Patch {
    outdoor: [f64; NODES],
    share: [f64; NODES],
    /// By share, then by temperature.
    places: Vec<[Place; NODES]>,
    trail: Trail,
}

/// Places from `low` to `high`, denser at both ends: those of Chebyshev, with the ends among them.
fn nodes([low, high]: [f64; 2]) -> [f64; NODES] {
    std::array::from_fn(|i| {
        #[expect(clippy::cast_precision_loss, reason = "a count of nodes")]
        let turn = std::f64::consts::PI * i as f64 / (NODES - 1) as f64;
        0.5 * (low + high) - 0.5 * (high - low) * turn.cos()
    })
}

impl Patch {
    /// Solves a patch, or says across which side it is to be halved.
    fn solve(cover: Cover, [outdoor, share]: [[f64; 2]; 2]) -> Result<Self, Side> {
        let outdoor = nodes([outdoor[0] - MARGIN[0], outdoor[1] + MARGIN[0]]);
        let least = cover.shares.least.share;
        let share = [share[0] - MARGIN[1], share[1] + MARGIN[1]].map(|share| share.clamp(least, cover.shares.most));
        if share[1] - share[0] < MARGIN[1] {
            return Err(Side::Outdoor);
        }
        let share = nodes(share);
        let mut trail = Trail::default();
        let mut places: Vec<[Place; NODES]> = Vec::with_capacity(NODES);
        for (row, share) in share.iter().enumerate() {
            trail.turn();
            let mut solved = [None; NODES];
            for step in 0..NODES {
                // To and fro, so that each is next to the one before.
                let at = if row % 2 == 0 { step } else { NODES - 1 - step };
                solved[at] = Some(cover.at(outdoor[at], *share, &mut trail).ok_or(Side::Outdoor)?);
            }
            let [Some(first), ..] = solved else { return Err(Side::Outdoor) };
            places.push(solved.map(|place| place.unwrap_or(first)));
        }
        Ok(Self { outdoor, share, places, trail })
    }

    /// Whether the coil has nothing in reserve anywhere.
    fn spent(&self) -> bool {
        self.places.iter().flatten().all(|place| place.reserve < SPENT)
    }

    /// Across which side the patch is to be halved, none where it is what is solved between its places.
    fn proven(&self, cover: Cover) -> Option<Side> {
        let changes = |a: &Place, b: &Place| usize::from(!alike(&a.stand, &b.stand));
        let by_outdoor: usize =
            self.places.iter().flat_map(|row| row.windows(2)).map(|pair| changes(&pair[0], &pair[1])).sum();
        let by_share: usize =
            self.places.windows(2).flat_map(|rows| rows[0].iter().zip(&rows[1])).map(|(a, b)| changes(a, b)).sum();
        if by_outdoor + by_share > 0 {
            return Some(if by_outdoor > by_share { Side::Outdoor } else { Side::Share });
        }
        let between = |nodes: &[f64; NODES], at: usize| 0.5 * (nodes[at] + nodes[at + 1]);
        let mut trail = self.trail.clone();
        let mut off = |outdoor: f64, share: f64| {
            trail.turn();
            let Some(place) = cover.at(outdoor, share, &mut trail) else { return f64::INFINITY };
            if alike(&place.stand, &self.places[0][0].stand) {
                place.off(&along(&self.share, &self.row(outdoor), share))
            } else {
                f64::INFINITY
            }
        };
        const MIDDLE: usize = NODES / 2 - 1;
        let by_outdoor = off(between(&self.outdoor, MIDDLE), self.share[NODES - 2])
            .max(off(between(&self.outdoor, MIDDLE + 1), self.share[1]));
        let by_share = off(self.outdoor[1], between(&self.share, MIDDLE))
            .max(off(self.outdoor[NODES - 2], between(&self.share, MIDDLE + 1)));
        let both = off(between(&self.outdoor, MIDDLE - 1), between(&self.share, MIDDLE - 1));
        (by_outdoor.max(by_share).max(both) > EXACT).then_some(if by_outdoor > by_share {
            Side::Outdoor
        } else {
            Side::Share
        })
    }

    /// The values at an outdoor temperature, for each share.
    fn row(&self, outdoor: f64) -> [Values; NODES] {
        let weights = lagrange(&self.outdoor, outdoor);
        std::array::from_fn(|row| {
            let values = self.places.get(row).map(|row| row.map(|place| place.values())).unwrap_or_default();
            blend(&values, &weights)
        })
    }

    /// The share that gives a capacity, within the patch.
    fn share(&self, asked: &Asked) -> Option<f64> {
        share_in(&self.share, &self.row(asked.outdoor), asked.capacity)
    }

    fn find(&self, cover: Cover, asked: Asked) -> (Asked, Found) {
        let row = self.row(asked.outdoor);
        let Some(share) = share_in(&self.share, &row, asked.capacity) else { return (asked, Found::Left) };
        let asked = Asked { share, ..asked };
        let values = along(&self.share, &row, share);
        let (of_stand, reserve) = values.split_at(SMOOTH);
        let stand = with(&self.places[0][0].stand, std::array::from_fn(|k| of_stand[k]));
        let stage = Stage { share, ..cover.shares.least };
        let mut stand = Stand { stage, ..stand };
        if cover.regime == Regime::Held {
            let acting = cover.runner.circuitry.acting(&cover.runner.condition(asked.outdoor, stage), reserve[0]);
            if acting.regime != Regime::Held {
                return (asked, Found::In(acting.regime));
            }
            (stand.air_share, stand.flooded_share) = (acting.air_share, acting.flooded_share);
        }
        (asked, Found::Stand(stand))
    }
}

/// Values weighted and summed; what is the same in all of them stays so to the last digit.
fn blend(values: &[Values; NODES], weights: &[f64; NODES]) -> Values {
    std::array::from_fn(|k| {
        let first = values[0][k];
        if values.iter().all(|value| value[k].to_bits() == first.to_bits()) {
            return first;
        }
        values.iter().zip(weights).map(|(value, weight)| value[k] * weight).sum()
    })
}

fn along(shares: &[f64; NODES], row: &[Values; NODES], share: f64) -> Values {
    blend(row, &lagrange(shares, share))
}

/// The share that gives a capacity, between the first share and the last.
fn share_in(shares: &[f64; NODES], row: &[Values; NODES], capacity: f64) -> Option<f64> {
    let over = |share: f64| {
        let weights = lagrange(shares, share);
        let gives: f64 = row.iter().zip(&weights).map(|(values, weight)| values[0] * weight).sum();
        Ok::<_, Infallible>(gives / capacity - 1.0)
    };
    bracketed(over, shares[0], shares[NODES - 1], 1e-14).ok().map(|root| root.x)
}
