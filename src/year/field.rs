//! A circuit of variable speed at outdoor temperatures and shares of full displacement: the shares that give capacities.
//!
//! Within a regime of the head-pressure control the states run smoothly with both. So a patch of temperatures and shares is solved at
//! a few of each, held against what is solved at others, and where that comes to the same within `EXACT` every share asked for in
//! it is found from there. Where it does not, the patch is halved across the worse of its two sides, down to so few that each is
//! solved by itself.

use super::column::{CAPACITY, EXACT, FED, KELVIN, SMOOTH, alike, smooth, with};
use super::stage::Stage;
use super::stand::{Runner, Stand};
use crate::machine::{Regime, Trail};
use crate::solve::{bracketed, lagrange};
use crate::survey::Left;
use std::convert::Infallible;

/// Temperatures at which a patch is solved.
const OUTDOORS: usize = 8;
/// Shares at which it is.
const SHARES: usize = 8;
/// So few are sooner solved one by one than by a patch.
const FEW: usize = 20;
/// No patch is wider: K, share.
const WIDEST: [f64; 2] = [12.0, 0.5];
/// How much wider than what is asked in it a patch is: K, share.
const MARGIN: [f64; 2] = [0.02, 0.02];
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

/// A solved place.
#[derive(Clone, Debug)]
struct Place {
    stand: Stand,
    left: Left,
    /// What is interpolated: of the stand, the reserve of the coil, what is left of the subcooling at the liquid line's inlet and
    /// after each of its runs. That run in which least is left changes over a patch; what is left after each runs smoothly.
    values: Vec<f64>,
}

/// Where the reserve stands among the values, and what is left of the subcooling.
const RESERVE: usize = SMOOTH;
const LEFT: usize = SMOOTH + 1;

impl Place {
    fn new(stand: Stand, reserve: f64, left: Left) -> Self {
        let of_stand = smooth(&stand).map(|(value, _)| value);
        let values = of_stand.into_iter().chain([reserve, left.inlet]).chain(left.runs.iter().copied()).collect();
        Self { stand, left, values }
    }

    /// Whether two places have the same of what does not run smoothly.
    fn alike(&self, other: &Self) -> bool {
        alike(&self.stand, &other.stand) && self.left.least_at_inlet == other.left.least_at_inlet
    }

    /// By how much the values are off, each of its scale, at the worst.
    fn off(&self, values: &[f64]) -> f64 {
        let scales = smooth(&self.stand).map(|(_, scale)| scale);
        let mut worst = 0.0_f64;
        for (k, (own, other)) in self.values.iter().zip(values).enumerate() {
            // Where nothing is held the reserve is endless, in all alike.
            if FED.contains(&k) || own.to_bits() == other.to_bits() {
                continue;
            }
            let scale = match k {
                RESERVE => own.abs().max(1.0),
                _ => scales.get(k).copied().unwrap_or(KELVIN),
            };
            worst = worst.max((own - other).abs() / scale);
        }
        worst
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
        let side = if wide > WIDEST[0] {
            Side::Outdoor
        } else if deep > WIDEST[1] {
            Side::Share
        } else {
            match Patch::solve(self, ranges) {
                None => Side::Outdoor,
                Some(patch) if self.regime == Regime::Held && patch.spent() => {
                    return asked.into_iter().map(|asked| (asked, Found::In(Regime::CoilAlone))).collect();
                }
                Some(patch) => match patch.halved(self) {
                    None => return asked.into_iter().map(|asked| patch.find(self, asked)).collect(),
                    Some(side) => {
                        for asked in &mut asked {
                            let row = patch.row(asked.outdoor);
                            asked.share = patch.share(&row, asked.capacity).unwrap_or(asked.share);
                        }
                        side
                    }
                },
            }
        };
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
        let (stand, left) = self.runner.seen(&condition, &solution).ok()?;
        Some(Place::new(stand, reserve, left))
    }
}

/// A patch of temperatures and shares, solved.
struct Patch {
    outdoor: [f64; OUTDOORS],
    share: [f64; SHARES],
    /// By share, then by temperature.
    places: Vec<Vec<Place>>,
    trail: Trail,
}

/// Places from `low` to `high`, denser at both ends: those of Chebyshev, with the ends among them.
fn nodes<const N: usize>([low, high]: [f64; 2]) -> [f64; N] {
    std::array::from_fn(|i| {
        #[expect(clippy::cast_precision_loss, reason = "a count of nodes")]
        let turn = std::f64::consts::PI * i as f64 / (N - 1) as f64;
        0.5 * (low + high) - 0.5 * (high - low) * turn.cos()
    })
}

/// In the middle of the widest three gaps between places.
fn middles<const N: usize>(nodes: &[f64; N]) -> [f64; 3] {
    [N / 2, N / 2 + 1, N / 2 - 1].map(|at| 0.5 * (nodes[at - 1] + nodes[at]))
}

impl Patch {
    /// Solves a patch; nothing where something in it has no balance.
    fn solve(cover: Cover, [outdoor, share]: [[f64; 2]; 2]) -> Option<Self> {
        let outdoor: [f64; OUTDOORS] = nodes([outdoor[0] - MARGIN[0], outdoor[1] + MARGIN[0]]);
        let share = [share[0] - MARGIN[1], share[1] + MARGIN[1]];
        let share: [f64; SHARES] = nodes(share.map(|share| share.clamp(cover.shares.least.share, cover.shares.most)));
        let mut trail = Trail::default();
        let mut places = Vec::with_capacity(SHARES);
        for (row, share) in share.iter().enumerate() {
            trail.turn();
            // To and fro, so that each is next to the one before.
            let back = row % 2 == 1;
            let order = (0..OUTDOORS).map(|step| if back { OUTDOORS - 1 - step } else { step });
            let solved = order.map(|at| cover.at(outdoor[at], *share, &mut trail));
            let mut solved = solved.collect::<Option<Vec<Place>>>()?;
            if back {
                solved.reverse();
            }
            places.push(solved);
        }
        Some(Self { outdoor, share, places, trail })
    }

    fn first(&self) -> &Place {
        &self.places[0][0]
    }

    /// Whether the coil has nothing in reserve anywhere.
    fn spent(&self) -> bool {
        self.places.iter().flatten().all(|place| place.values[RESERVE] < SPENT)
    }

    /// Across which side the patch is to be halved; none where it is what is solved between its places.
    fn halved(&self, cover: Cover) -> Option<Side> {
        let changes = |a: &Place, b: &Place| usize::from(!a.alike(b));
        let by_outdoor: usize =
            self.places.iter().flat_map(|row| row.windows(2)).map(|pair| changes(&pair[0], &pair[1])).sum();
        let by_share: usize =
            self.places.windows(2).flat_map(|rows| rows[0].iter().zip(&rows[1])).map(|(a, b)| changes(a, b)).sum();
        if by_outdoor + by_share > 0 {
            return Some(if by_outdoor > by_share { Side::Outdoor } else { Side::Share });
        }
        let mut trail = self.trail.clone();
        let mut off = |outdoor: f64, share: f64| {
            trail.turn();
            let place = cover.at(outdoor, share, &mut trail).filter(|place| place.alike(self.first()));
            place.map_or(f64::INFINITY, |place| place.off(&blend(&self.row(outdoor), &lagrange(&self.share, share))))
        };
        // Between the middle places of one side, at places of the other; last between those of both.
        let [outdoors, shares] = [middles(&self.outdoor), middles(&self.share)];
        let by_outdoor = off(outdoors[0], self.share[SHARES - 2]).max(off(outdoors[1], self.share[1]));
        let by_share = off(self.outdoor[1], shares[0]).max(off(self.outdoor[OUTDOORS - 2], shares[1]));
        let both = off(outdoors[2], shares[2]);
        let side = if by_outdoor > by_share { Side::Outdoor } else { Side::Share };
        (by_outdoor.max(by_share).max(both) > EXACT).then_some(side)
    }

    /// The values at an outdoor temperature, for each share.
    fn row(&self, outdoor: f64) -> Vec<Vec<f64>> {
        let weights = lagrange(&self.outdoor, outdoor);
        let of_row = |row: &Vec<Place>| blend(&row.iter().map(|place| &place.values).collect::<Vec<_>>(), &weights);
        self.places.iter().map(of_row).collect()
    }

    /// The share that gives a capacity, within the patch.
    fn share(&self, row: &[Vec<f64>], capacity: f64) -> Option<f64> {
        let over = |share: f64| {
            let weights = lagrange(&self.share, share);
            let gives: f64 = row.iter().zip(&weights).map(|(values, weight)| values[CAPACITY] * weight).sum();
            Ok::<_, Infallible>(gives / capacity - 1.0)
        };
        bracketed(over, self.share[0], self.share[SHARES - 1], 1e-14).ok().map(|root| root.x)
    }

    fn find(&self, cover: Cover, asked: Asked) -> (Asked, Found) {
        let row = self.row(asked.outdoor);
        let Some(share) = self.share(&row, asked.capacity) else { return (asked, Found::Left) };
        let asked = Asked { share, ..asked };
        let values = blend(&row, &lagrange(&self.share, share));
        let stage = Stage { share, ..cover.shares.least };
        let left = Left { inlet: values[LEFT], runs: values[LEFT + 1..].to_vec(), ..self.first().left };
        let stand = with(&self.first().stand, std::array::from_fn(|k| values[k]));
        let mut stand = Stand { stage, feed: left.feed(cover.runner.circuitry.circuit), ..stand };
        if cover.regime == Regime::Held {
            let condition = cover.runner.condition(asked.outdoor, stage);
            let acting = cover.runner.circuitry.acting(&condition, values[RESERVE]);
            if acting.regime != Regime::Held {
                return (asked, Found::In(acting.regime));
            }
            (stand.air_share, stand.flooded_share) = (acting.air_share, acting.flooded_share);
        }
        (asked, Found::Stand(stand))
    }
}

/// Values weighted and summed; what is the same in all of them stays so to the last digit.
fn blend(values: &[impl AsRef<[f64]>], weights: &[f64]) -> Vec<f64> {
    let Some(first) = values.first() else { return Vec::new() };
    let of = |k: usize| values.iter().map(move |values| values.as_ref()[k]);
    let blended = first.as_ref().iter().enumerate().map(|(k, first)| {
        if of(k).all(|value| value.to_bits() == first.to_bits()) {
            return *first;
        }
        of(k).zip(weights).map(|(value, weight)| value * weight).sum()
    });
    blended.collect()
}
