//! The frame of a chart: scales, ticks and grid. Axes carry numbers; the units stand in the title.

use super::canvas::{Canvas, Text, escaped};
use super::plane::{At, Rect};
use super::style::{Type, class};
use crate::job::Job;
use crate::units::{System, factor};

/// A scale from values to places on the drawing.
#[derive(Clone, Copy, Debug)]
pub struct Scale {
    from: f64,
    to: f64,
    place: (f64, f64),
    is_log: bool,
}

impl Scale {
    /// Equal steps for equal differences.
    #[must_use]
    pub fn linear(from: f64, to: f64, place: (f64, f64)) -> Self {
        Self { from, to: if to > from { to } else { from + 1.0 }, place, is_log: false }
    }

    /// Equal steps for equal ratios, of values above 0.
    #[must_use]
    pub fn log(from: f64, to: f64, place: (f64, f64)) -> Self {
        let from = from.max(1e-9);
        Self { from, to: if to > from { to } else { from * 2.0 }, place, is_log: true }
    }

    /// Where a value lies.
    #[must_use]
    pub fn at(&self, value: f64) -> f64 {
        let share = if self.is_log {
            (value.max(1e-9) / self.from).ln() / (self.to / self.from).ln()
        } else {
            (value - self.from) / (self.to - self.from)
        };
        self.place.0 + share * (self.place.1 - self.place.0)
    }

    /// The value that lies at a place.
    #[must_use]
    pub fn value_at(&self, place: f64) -> f64 {
        let share = (place - self.place.0) / (self.place.1 - self.place.0);
        if self.is_log {
            self.from * (self.to / self.from).powf(share)
        } else {
            self.from + share * (self.to - self.from)
        }
    }

    /// Where a value lies, or the nearest end.
    #[must_use]
    pub fn within(&self, value: f64) -> f64 {
        self.at(value.clamp(self.from, self.to))
    }

    /// Whether a value lies on it.
    #[must_use]
    pub fn holds(&self, value: f64) -> bool {
        (self.from..=self.to).contains(&value)
    }

    /// Round values along a linear one, at most so many.
    #[must_use]
    pub fn ticks(&self, maximum: u32) -> Vec<f64> {
        let step = step((self.to - self.from).abs(), maximum);
        let first = (self.from / step - 1e-9).ceil();
        (0..200).map(|i| (first + f64::from(i)) * step).take_while(|value| *value <= self.to + 1e-9 * step).collect()
    }
}

/// A round step, 1, 2 or 5 of a decade, that parts a span into at most so many.
#[must_use]
pub fn step(span: f64, maximum: u32) -> f64 {
    let minimum = (span / f64::from(maximum.max(1))).max(1e-9);
    let decade = 10.0_f64.powf(minimum.log10().floor());
    [1.0, 2.0, 5.0, 10.0].into_iter().map(|part| part * decade).find(|step| *step >= minimum * 0.999).unwrap_or(decade)
}

/// The next round value below or at, for the beginning of an axis.
#[must_use]
pub fn floor(value: f64, step: f64) -> f64 {
    (value / step + 1e-9).floor() * step
}

/// The next round value above or at, for the end of an axis.
#[must_use]
pub fn ceil(value: f64, step: f64) -> f64 {
    (value / step - 1e-9).ceil() * step
}

/// A frame with its two scales.
#[derive(Clone, Copy, Debug)]
pub struct Panel {
    /// The frame.
    pub frame: Rect,
    /// To the right.
    pub x: Scale,
    /// Upward.
    pub y: Scale,
}

impl Panel {
    /// A frame with linear scales.
    #[must_use]
    pub fn new(frame: Rect, x: (f64, f64), y: (f64, f64)) -> Self {
        Self {
            frame,
            x: Scale::linear(x.0, x.1, (frame.x, frame.right())),
            y: Scale::linear(y.0, y.1, (frame.bottom(), frame.y)),
        }
    }

    /// The place of a pair of values.
    #[must_use]
    pub fn at(&self, x: f64, y: f64) -> At {
        (self.x.at(x), self.y.at(y))
    }

    /// Begins its group, by that name.
    pub fn begin(&self, canvas: &mut Canvas, name: &str) {
        canvas.raw(format_args!("<g data-panel=\"{}\">", escaped(name)));
    }

    /// Ends its group.
    pub fn end(&self, canvas: &mut Canvas) {
        canvas.raw("</g>");
    }

    /// Grid lines with their numbers to the left.
    pub fn rows(&self, canvas: &mut Canvas, ticks: &[(f64, String)]) {
        for (value, words) in ticks {
            let y = self.y.at(*value);
            canvas.line(class::HAIR, (self.frame.x, y), (self.frame.right(), y));
            canvas.write(Text::new(words, (self.frame.x - 6.0, y + 4.0), Type::Soft).end());
        }
    }

    /// Numbers along the foot.
    pub fn columns(&self, canvas: &mut Canvas, ticks: &[(f64, String)]) {
        let foot = self.frame.bottom();
        for (value, words) in ticks {
            let x = self.x.at(*value);
            canvas.line(class::THIN, (x, foot), (x, foot + 4.0));
            let text = Text::new(words, (x, foot + 17.0), Type::Soft).middle();
            canvas.write(text);
        }
    }
}

/// Ticks with their numbers, as many decimals as their step needs.
#[must_use]
pub fn numbered_ticks(scale: &Scale, maximum: u32) -> Vec<(f64, String)> {
    let ticks = scale.ticks(maximum);
    let step = ticks.windows(2).map(|pair| pair[1] - pair[0]).next().unwrap_or(1.0);
    let decimals = [0.999, 0.0999, 0.00999].iter().filter(|minimum| step < **minimum).count();
    let words = |value: f64| {
        let text = format!("{value:.decimals$}");
        text.strip_prefix('-').map_or(text.clone(), |size| format!("\u{2212}{size}"))
    };
    ticks.into_iter().map(|value| (value, words(value))).collect()
}

/// How many, as a number to reckon with.
#[must_use]
#[expect(clippy::cast_precision_loss, reason = "counts of what a chart shows")]
pub const fn many(count: usize) -> f64 {
    count as f64
}

/// The units of a chart.
#[derive(Clone, Copy, Debug)]
pub struct Show {
    /// Of the job.
    pub units: System,
    atmosphere: f64,
}

impl Show {
    /// Of a job.
    #[must_use]
    pub fn of(job: &Job) -> Self {
        Self { units: job.units, atmosphere: job.site.atmosphere.pascals() }
    }

    fn pick(&self, ip: f64, si: f64) -> f64 {
        if self.units == System::Ip { ip } else { si }
    }

    /// A gauge pressure from Pa absolute, in psig or bar.
    #[must_use]
    pub fn gauge(&self, pascals: f64) -> f64 {
        (pascals - self.atmosphere) / self.pick(factor::PSI, factor::BAR)
    }

    /// The unit of a gauge pressure.
    #[must_use]
    pub fn gauge_unit(&self) -> &'static str {
        self.units.pressure_gauge_unit()
    }

    /// A temperature from K, in F or °C.
    #[must_use]
    pub fn temperature(&self, kelvin: f64) -> f64 {
        self.pick(factor::kelvin_to_fahrenheit(kelvin), kelvin - 273.15)
    }

    /// A length from m, in ft or m.
    #[must_use]
    pub fn length(&self, metres: f64) -> f64 {
        metres / self.pick(factor::FOOT, 1.0)
    }

    /// A capacity from W, in tons or kW.
    #[must_use]
    pub fn capacity(&self, watts: f64) -> f64 {
        watts / self.pick(factor::TON, 1e3)
    }

    /// An enthalpy from J/kg, in Btu/lb or kJ/kg.
    #[must_use]
    pub fn enthalpy(&self, joules: f64) -> f64 {
        joules / self.pick(factor::BTU_PER_POUND, 1e3)
    }
}

/// The title of a chart and the line below it, broken where it is longer than the drawing is wide; where the next begins.
pub fn title(canvas: &mut Canvas, words: &str, below: &str) -> f64 {
    let room = canvas.width() - 32.0;
    let mut y = 6.0;
    for line in super::measure::wrap(words, Type::Title, room) {
        y += 18.0;
        canvas.write(Text::new(&line, (16.0, y), Type::Title));
    }
    for line in super::measure::wrap(below, Type::Soft, room) {
        y += 17.0;
        canvas.write(Text::new(&line, (16.0, y), Type::Soft));
    }
    y
}

#[cfg(test)]
pub(super) mod testing {
    /// What a panel of a drawing shows, read back out of its SVG.
    pub struct Shown {
        /// Its SVG.
        pub svg: String,
        x: [(f64, f64); 2],
        y: [(f64, f64); 2],
    }

    fn attribute(tag: &str, name: &str) -> Option<f64> {
        tag.split_once(&format!(" {name}=\""))?.1.split_once('"')?.0.parse().ok()
    }

    /// The numbers that stand on the drawing: place and value, of those at the end or the middle of their text.
    fn numbers(svg: &str, class: &str) -> Vec<((f64, f64), f64)> {
        let texts = svg.split("<text").skip(1).filter_map(|rest| rest.split_once("</text>")).map(|(text, _)| text);
        let own = texts.filter(|text| text.contains(&format!("class=\"ts {class}\"")));
        own.filter_map(|text| {
            let value = text.split_once('>')?.1.replace('\u{2212}', "-").parse().ok()?;
            Some(((attribute(text, "x")?, attribute(text, "y")?), value))
        })
        .collect()
    }

    impl Shown {
        /// The panel of that name.
        pub fn of(svg: &str, name: &str) -> Self {
            let svg = svg.split_once(&format!("data-panel=\"{name}\"")).unwrap().1.split_once("</g>").unwrap().0;
            let rows = numbers(svg, "end");
            let columns = numbers(svg, "middle");
            let (first, last) = (rows.first().unwrap(), rows.last().unwrap());
            // Numbers alone; of an axis of time places stay places.
            let alone = ((0.0, 0.0), 0.0);
            let (left, right) = (columns.first().unwrap_or(&alone), columns.last().unwrap_or(&((1.0, 0.0), 1.0)));
            Self {
                svg: svg.to_owned(),
                // A number stands 4 below its line.
                y: [(first.0.1 - 4.0, first.1), (last.0.1 - 4.0, last.1)],
                x: [(left.0.0, left.1), (right.0.0, right.1)],
            }
        }

        /// The values of a place, where both scales are linear.
        pub fn values(&self, (x, y): (f64, f64)) -> (f64, f64) {
            let along = |[a, b]: [(f64, f64); 2], at: f64| a.1 + (at - a.0) / (b.0 - a.0) * (b.1 - a.1);
            (along(self.x, x), along(self.y, y))
        }

        /// The first and the last number of the axis upward, each with its place.
        pub fn rows(&self) -> [(f64, f64); 2] {
            self.y
        }

        /// The points of the first curve of that class.
        pub fn curve(&self, class: &str) -> Vec<(f64, f64)> {
            let d =
                self.svg.split_once(&format!("<path class=\"{class}\" d=\"M")).unwrap().1.split_once('"').unwrap().0;
            d.split('L')
                .map(|pair| pair.split_once(' ').unwrap())
                .map(|(x, y)| (x.parse().unwrap(), y.parse().unwrap()))
                .collect()
        }

        /// The middles of the circles of that class.
        pub fn circles(&self, class: &str) -> Vec<(f64, f64)> {
            let head = format!("<circle class=\"{class}\"");
            let tags = self.svg.split(&head).skip(1);
            tags.map(|tag| (attribute(tag, "cx").unwrap(), attribute(tag, "cy").unwrap())).collect()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_are_round_and_inside() {
        let scale = Scale::linear(196.0, 254.0, (300.0, 100.0));
        assert_eq!(scale.ticks(6), [200.0, 210.0, 220.0, 230.0, 240.0, 250.0]);
        assert!((step(0.9, 5) - 0.2).abs() < 1e-12);
        assert_eq!(numbered_ticks(&Scale::linear(-0.2, 0.4, (0.0, 1.0)), 3).first().unwrap().1, "\u{2212}0.2");
        assert_eq!((floor(196.0, 10.0), ceil(254.0, 10.0), ceil(250.0, 10.0)), (190.0, 260.0, 250.0));
    }

    #[test]
    fn a_logarithmic_scale_gives_ratios_equal_room() {
        let scale = Scale::log(1e5, 1e7, (0.0, 200.0));
        assert!((scale.at(1e6) - 100.0).abs() < 1e-9);
        assert!((scale.within(1e9) - 200.0).abs() < 1e-9 && !scale.holds(1e9));
    }
}
