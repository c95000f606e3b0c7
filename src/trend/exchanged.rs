//! Columns that stand the wrong way round: the numbers of one under the name of the other.

use super::sampled::Sampled;
use super::unit::{linear, tidy, usual};
use crate::job::{Point, Reading};

/// By so much two columns have to be the wrong way round to be exchanged, K.
const EXCHANGED: f64 = 0.5;

/// How well two columns go with two points, in K from where they usually are; none where they can't be that.
fn go_with(sampled: &Sampled<'_>, pair: [(usize, Point, &str, f64); 2]) -> Option<f64> {
    let atmosphere = sampled.scene.job.site.atmosphere.pascals();
    let far = |(column, point, unit, scale): (usize, Point, &str, f64)| {
        let [zero, slope] = linear(point.measured(), unit, atmosphere)?;
        let [off, usual] = sampled.off(column, point, [zero, slope * scale]).unwrap_or_default();
        (off <= 0.0).then_some(usual)
    };
    Some(far(pair[0])? + far(pair[1])?)
}

/// Whether two columns of one unit stand the wrong way round: so they go with the machine, as they stand they do not, and no other unit
/// or factor of one of them alone goes better.
fn wrong_way_round(sampled: &Sampled<'_>, [(a, high), (b, low)]: [(usize, Point); 2], unit: &str) -> bool {
    let Some(exchanged) = go_with(sampled, [(a, low, unit, 1.0), (b, high, unit, 1.0)]) else { return false };
    let mut others = usual(high.measured(), sampled.temperatures)
        .iter()
        .copied()
        .chain(std::iter::once(unit))
        .flat_map(|other| [1.0, 0.1, 10.0, 0.01].map(|scale| (other, scale)));
    !others.any(|(other, scale)| {
        let one = go_with(sampled, [(a, high, other, scale), (b, low, unit, 1.0)]);
        let two = go_with(sampled, [(a, high, unit, 1.0), (b, low, other, scale)]);
        one.into_iter().chain(two).any(|far| far < exchanged)
    }) && go_with(sampled, [(a, high, unit, 1.0), (b, low, unit, 1.0)]).is_none()
}

/// Columns that may stand the wrong way round, the greater first: those that are judged first, and those that are judged by these.
pub(super) const EXCHANGEABLE: [&[[Point; 2]]; 2] = [
    &[
        [Point::Of(Reading::DischargePressure), Point::Of(Reading::SuctionPressure)],
        [Point::DischargeSaturated, Point::SuctionSaturated],
    ],
    &[
        [Point::Of(Reading::DischargeTemperature), Point::Of(Reading::LiquidTemperature)],
        [Point::Of(Reading::DischargeTemperature), Point::Of(Reading::SuctionTemperature)],
        [Point::Of(Reading::EnteringFluid), Point::Of(Reading::LeavingFluid)],
    ],
];

/// Exchanges columns that stand the wrong way round.
pub(super) fn exchange(
    points: &mut [Option<Point>],
    units: &[Option<String>],
    sampled: &Sampled<'_>,
    pairs: &[[Point; 2]],
    told: &mut Vec<String>,
) {
    for &[high, low] in pairs {
        let find = |point: Point| points.iter().position(|of| *of == Some(point));
        let (Some(a), Some(b)) = (find(high), find(low)) else { continue };
        let (Some(above), Some(below)) = (sampled.usually(a, |v, _| v), sampled.usually(b, |v, _| v)) else { continue };
        let tidied = |column: usize| units.get(column).and_then(Option::as_deref).map(tidy);
        if tidied(a) != tidied(b) || above + EXCHANGED >= below {
            continue;
        }
        let first = || usual(high.measured(), sampled.temperatures).first().map(|unit| tidy(unit));
        let Some(unit) = tidied(a).or_else(first) else { continue };
        // Fluid that leaves warmer than it enters goes with everything else.
        let by_themselves = high == Point::Of(Reading::EnteringFluid);
        if by_themselves || wrong_way_round(sampled, [(a, high), (b, low)], &unit) {
            points.swap(a, b);
            told.push(format!(
                "columns {} and {} are exchanged: {} would be below {}; taken the other way round",
                a.min(b) + 1,
                a.max(b) + 1,
                high.says(),
                low.says()
            ));
        }
    }
}
