//! The scale of a plan: rulers, bar and north.

use super::sheet::Sheet;
use crate::draw::canvas::{Canvas, Text};
use crate::draw::chart::{Scale, Show, numbered_ticks};
use crate::draw::measure;
use crate::draw::plane::Rect;
use crate::draw::style::{Type, class};
use crate::draw::symbols;
use crate::job::Xy;
use crate::units::{System, factor};

impl Sheet<'_> {
    /// The numbers of x below the plan and of y beside it, from the job's zero, which is marked where it is shown.
    pub(super) fn rulers(&self, canvas: &mut Canvas) {
        let show = Show::of(self.job);
        let (paper, window) = (self.window.paper, &self.window);
        let (least, most) = window.corners();
        let x = Scale::linear(show.length(least.x_m), show.length(most.x_m), (paper.x, paper.right()));
        let y = Scale::linear(show.length(least.y_m), show.length(most.y_m), (paper.bottom(), paper.y));
        let many = |along: f64| if along < 200.0 { 4 } else { 8 };
        let (foot, side) = (paper.bottom() + 8.0, paper.right() + 6.0);
        canvas.line(class::THIN, (paper.x, foot), (paper.right(), foot));
        canvas.avoid(Rect::round((paper.x, foot), (paper.right(), foot), 2.0));
        canvas.avoid(Rect::round((side, paper.y), (side, paper.bottom()), 2.0));
        for (value, words) in numbered_ticks(&x, many(paper.w)) {
            canvas.line(class::THIN, (x.at(value), foot), (x.at(value), foot + 4.0));
            canvas.write(Text::new(&words, (x.at(value), foot + 16.0), Type::Soft).middle());
        }
        canvas.line(class::THIN, (side, paper.y), (side, paper.bottom()));
        for (value, words) in numbered_ticks(&y, many(paper.h)) {
            canvas.line(class::THIN, (side, y.at(value)), (side + 4.0, y.at(value)));
            canvas.write(Text::new(&words, (side + 7.0, y.at(value) + 4.0), Type::Soft));
        }
        let zero = Xy::new(0.0, 0.0);
        if window.shows(zero) {
            let (x, y) = window.at(zero);
            canvas.circle(class::OUTLINE, (x, y), 4.5);
            canvas.take(Rect::round((x, y), (x, y), 5.0));
            let spots = [(-8.0, 15.0), (8.0, 15.0), (8.0, -8.0), (-8.0, -8.0)];
            let texts = spots.map(|(dx, dy)| {
                let text = Text::new("0, 0", (x + dx, y + dy), Type::Soft).halo();
                if dx < 0.0 { text.end() } else { text }
            });
            canvas.write_where_free(&texts);
        }
    }

    /// The bar of the scale and an arrow to the north, under the plan, and what has no name on it.
    pub(super) fn bar_and_north(&self, canvas: &mut Canvas, unnamed: &[String]) {
        let (steps, unit): (&[f64], f64) = match self.job.units {
            System::Ip => (&[1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0], factor::FOOT),
            System::Si => (&[0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0], 1.0),
        };
        let y = canvas.bottom().max(self.window.paper.bottom() + 12.0) + 22.0;
        let right = self.window.paper.x + self.window.paper.w.max(160.0);
        if let Some(step) = steps.iter().rev().find(|step| **step * unit * self.window.scale <= 130.0) {
            let long = step * unit * self.window.scale;
            symbols::dimension(canvas, (right - long, y), (right, y));
            let words = self.job.units.length(step * unit);
            canvas.write(Text::new(&words, (right - long - 8.0, y + 4.0), Type::Soft).end());
            canvas.take(Rect::round((right - long, y), (right, y), 5.0));
        }
        let at = (self.window.paper.x + 16.0, y - 4.0);
        canvas.turned(class::OUTLINE, "M0 16V-8", at, -self.roof.north_deg);
        canvas.turned(class::INK, "M-4.5-6L0-16L4.5-6z", at, -self.roof.north_deg);
        canvas.write(Text::new("N", (at.0 + 20.0, at.1 + 4.0), Type::Strong));
        canvas.take(Rect::round(at, at, 17.0));
        if unnamed.is_empty() {
            return;
        }
        let words = format!("Not named on the plan: {}.", unnamed.join("; "));
        let mut y = y + 16.0;
        for line in measure::wrap(&words, Type::Soft, self.window.paper.w.max(300.0)) {
            y += 15.0;
            canvas.write(Text::new(&line, (self.window.paper.x, y), Type::Soft));
        }
    }
}
