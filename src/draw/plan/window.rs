//! What of a roof is shown, and at which scale.

use crate::draw::plane::{At, Rect};
use crate::job::{Roof, RoofUnit, Xy};

/// A part of the plan on a part of the paper: one scale, y up on the plan and down on the paper.
#[derive(Clone, Copy, Debug)]
pub struct Window {
    /// Its least corner on the plan, m.
    least: Xy,
    /// Its greatest corner on the plan, m.
    most: Xy,
    /// Units of the drawing per metre.
    pub scale: f64,
    /// Where it lies on the paper.
    pub paper: Rect,
}

impl Window {
    /// The window of two corners of the plan, as large as fits below and to the right of a point.
    #[must_use]
    pub fn new((least, most): (Xy, Xy), (x, y): At, (wide, high): (f64, f64)) -> Self {
        let (w, h) = ((most.x_m - least.x_m).max(0.1), (most.y_m - least.y_m).max(0.1));
        let scale = (wide / w).min(high / h);
        Self { least, most, scale, paper: Rect::new(x, y, w * scale, h * scale) }
    }

    /// Its least and its greatest corner on the plan.
    #[must_use]
    pub const fn corners(&self) -> (Xy, Xy) {
        (self.least, self.most)
    }

    /// Where a point of the plan lies on the paper.
    #[must_use]
    pub fn at(&self, place: Xy) -> At {
        let x = self.paper.x + (place.x_m - self.least.x_m) * self.scale;
        (x, self.paper.y + (self.most.y_m - place.y_m) * self.scale)
    }

    /// Whether it shows a point.
    #[must_use]
    pub fn shows(&self, place: Xy) -> bool {
        (self.least.x_m - 1e-6..=self.most.x_m + 1e-6).contains(&place.x_m)
            && (self.least.y_m - 1e-6..=self.most.y_m + 1e-6).contains(&place.y_m)
    }
}

/// The box of points, m; none of none.
#[must_use]
pub fn bounds(places: impl IntoIterator<Item = Xy>) -> Option<(Xy, Xy)> {
    places.into_iter().fold(None, |bounds, place| {
        let (a, b) = bounds.unwrap_or((place, place));
        let least = Xy::new(a.x_m.min(place.x_m), a.y_m.min(place.y_m));
        Some((least, Xy::new(b.x_m.max(place.x_m), b.y_m.max(place.y_m))))
    })
}

/// What is drawn large: the units, walls near them, and what warms them, with room round it; the whole roof where that is hardly
/// more.
#[must_use]
pub fn shown(roof: &Roof) -> Option<(Xy, Xy)> {
    const NEAR: f64 = 12.0;
    const ROUND: f64 = 3.5;
    let units = bounds(roof.units.iter().flat_map(RoofUnit::corners))?;
    let grown = |(a, b): (Xy, Xy), by: f64| (Xy::new(a.x_m - by, a.y_m - by), Xy::new(b.x_m + by, b.y_m + by));
    let (least, most) = grown(units, NEAR);
    let near = |place: &Xy| (least.x_m..=most.x_m).contains(&place.x_m) && (least.y_m..=most.y_m).contains(&place.y_m);
    let walls = roof.walls.iter().flat_map(|wall| [wall.from, wall.to]);
    let heats = roof.heats.iter().map(|heat| heat.at);
    let around = walls.chain(heats).filter(near);
    let (least, most) = grown(bounds([units.0, units.1].into_iter().chain(around))?, ROUND);
    let Some((a, b)) = bounds(roof.outline.iter().copied()) else { return Some((least, most)) };
    // The edge itself is shown where it is near; nothing much beyond it.
    let (a, b) = grown((a, b), 1.0);
    let size = |(a, b): (Xy, Xy)| (b.x_m - a.x_m) * (b.y_m - a.y_m);
    if size((a, b)) < 2.2 * size((least, most)) {
        return bounds([a, b, units.0, units.1]);
    }
    let clipped = (
        Xy::new(least.x_m.max(a.x_m).min(units.0.x_m), least.y_m.max(a.y_m).min(units.0.y_m)),
        Xy::new(most.x_m.min(b.x_m).max(units.1.x_m), most.y_m.min(b.y_m).max(units.1.y_m)),
    );
    Some(clipped)
}
