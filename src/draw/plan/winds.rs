//! The winds that bring a unit its warmest air.

use super::sheet::Sheet;
use crate::draw::block::Block;
use crate::draw::canvas::{Canvas, escaped};
use crate::draw::plane::{At, Rect, along};
use crate::draw::style::{Type, class};
use crate::roof::plan::{Frontage, faces};

impl Sheet<'_> {
    /// An arrow that ends at each unit, as the wind blows that brings it most warm air; whether each found room.
    pub(super) fn winds(&self, canvas: &mut Canvas) -> bool {
        let mut all = true;
        for (unit, warm) in self.roof.units.iter().zip(&self.study.warm_air) {
            let Some(bearing) = warm.worst.as_ref().and_then(|worst| worst.wind_from_deg) else { continue };
            // From the bearing to the unit, on the plan whose y axis has a bearing of its own.
            let angle = (bearing - self.roof.north_deg).to_radians();
            let (ux, uy) = (angle.sin(), -angle.cos());
            // Into the wind from each side that it blows on, the one that it blows on straightest first.
            let mut fronts = faces(unit);
            let into = |front: &Frontage| front.outward.x_m * ux - front.outward.y_m * uy;
            fronts.sort_by(|a, b| into(b).total_cmp(&into(a)));
            let on = |front: &Frontage, share: f64| {
                self.window.at(front.ends.0.plus(front.ends.1.minus(front.ends.0).times(share)))
            };
            let mut arrows = Vec::new();
            for long in [34.0, 26.0, 19.0, 14.0] {
                for front in fronts.iter().filter(|front| into(front) > 0.2) {
                    for share in [0.5, 0.35, 0.65, 0.2, 0.8, 0.1, 0.9, 0.02, 0.98] {
                        let (x, y) = on(front, share);
                        let tip = (x + ux * 2.0, y + uy * 2.0);
                        arrows.push((tip, (tip.0 + ux * long, tip.1 + uy * long)));
                    }
                }
            }
            // Clear of its own box by that much: the head alone touches it.
            let shaft = |(tip, tail): &(At, At)| {
                let from = (tip.0 + ux * 8.0, tip.1 + uy * 8.0);
                along(from, *tail, 4.0).map(|at| Rect::round(at, at, 4.0)).collect::<Vec<Rect>>()
            };
            let is = |free: &dyn Fn(&Rect) -> bool| {
                arrows.iter().find(|arrow| {
                    self.window.paper.grown(6.0).holds(&Rect::round(arrow.1, arrow.1, 0.0))
                        && shaft(arrow).iter().all(free)
                })
            };
            let found = is(&|rect| canvas.is_clear(rect)).or_else(|| is(&|rect| canvas.is_free(rect)));
            let Some((tip, tail)) = found.copied() else {
                all = false;
                continue;
            };
            let boxes = shaft(&(tip, tail));
            canvas.raw(format_args!("<g data-wind=\"{}\">", escaped(&unit.name)));
            let head = (tip.0 + ux * 6.0, tip.1 + uy * 6.0);
            canvas.line(class::CURVE_GAS, tail, head);
            canvas.turned(class::GAS_FILL, "M-6-4.8L6 0L-6 4.8z", head, (-uy).atan2(-ux).to_degrees());
            canvas.raw("</g>");
            for rect in boxes {
                canvas.take(rect);
            }
            let text = Block::new(vec![(format!("{bearing:.0}°"), Type::Gas)]);
            let (w, h) = (text.width(), text.height());
            let away = (w / 2.0 + 3.0) * ux.abs() + (h / 2.0) * uy.abs() + 7.0;
            let behind = (tail.0 + ux * away, tail.1 + uy * away);
            let middle = (f64::midpoint(tail.0, tip.0), f64::midpoint(tail.1, tip.1));
            let beside = [1.0, -1.0].map(|side| {
                let far = (w / 2.0 + 3.0) * uy.abs() + (h / 2.0) * ux.abs() + 7.0;
                (middle.0 - uy * far * side, middle.1 + ux * far * side)
            });
            let spots = std::iter::once(behind).chain(beside).map(|(x, y)| ((x - w / 2.0, y - h / 2.0), false));
            let clear = text.clear(canvas, &spots.collect::<Vec<_>>());
            text.put(canvas, &clear);
        }
        all
    }
}
