//! A trend over its time: condensing over outdoor against that of a healthy machine, what ran, and what was found, marked where it is.

use super::canvas::{Canvas, Drawing, Hatch, Seen, Setting, Text};
use super::chart::{Panel, Show, ceil, floor, many, numbered_ticks, step, title};
use super::marks::{HEIGHT, PITCH, note};
use super::measure;
use super::plane::{At, Rect};
use super::style::{Type, class};
use crate::diagnose::{Event, Happened, Trend, lead, said};
use crate::job::Job;
use crate::trend::shown;

/// Steps of the axis of time, s.
const STEPS: &[i64] =
    &[3_600, 10_800, 21_600, 43_200, 86_400, 172_800, 345_600, 604_800, 1_209_600, 2_592_000, 7_776_000, 31_536_000];
/// Bins without a steady stretch over which a curve still goes on.
const BRIDGED: usize = 2;
/// Height of a lane.
const LANE: f64 = 14.0;

/// What a lane of the trend shows.
struct Lane {
    name: &'static str,
    happened: Happened,
    bars: Bars,
}

/// Where its bars come from.
#[derive(Clone, Copy)]
enum Bars {
    /// What ran, as high as its share.
    Ran,
    /// Bins in which it was lost.
    Lost(usize),
    /// From the first to the last time of each event.
    Spans,
}

const LANES: [Lane; 6] = [
    Lane { name: "compressors on, by share", happened: Happened::Gap, bars: Bars::Ran },
    Lane { name: "oil return lost", happened: Happened::OilLost, bars: Bars::Lost(0) },
    Lane { name: "liquid flashes", happened: Happened::Flash, bars: Bars::Lost(1) },
    Lane { name: "hunts", happened: Happened::Hunting, bars: Bars::Spans },
    Lane { name: "a column stays the same", happened: Happened::Stuck, bars: Bars::Spans },
    Lane { name: "a column in another unit", happened: Happened::Slip, bars: Bars::Spans },
];

/// The drawing of a trend; nothing where it has no time.
#[must_use]
pub fn trend(job: &Job, trend: &Trend, setting: Setting) -> Option<Drawing> {
    if trend.over_time.span[1] <= trend.over_time.span[0] {
        return None;
    }
    let narrow = setting.is_narrow();
    let mut canvas = Canvas::new("trend", if narrow { 360.0 } else { 760.0 }, setting);
    let words = format!("Trend of circuit {}: condensing over outdoor", trend.circuit);
    let below = format!(
        "{}, steady stretches, over the time of the log. Solid: read. Dashed: a healthy chiller at like load.",
        job.units.difference_unit()
    );
    let top = title(&mut canvas, &words, &below);
    let scene = Scene { trend, show: Show::of(job) };
    let frame = Rect::new(44.0, top + 34.0, if narrow { 300.0 } else { 700.0 }, 170.0);
    scene.split(&mut canvas, frame);
    let mut y = frame.bottom() + 30.0;
    for lane in &LANES {
        y = scene.lane(&mut canvas, lane, Rect::new(frame.x, y, frame.w, LANE));
    }
    if canvas.setting.seen == Seen::Alone {
        scene.list(&mut canvas, y + 6.0);
    }
    let said: Vec<String> = trend.events.iter().map(said).collect();
    Some(canvas.done(words, said.join(" ")))
}

struct Scene<'a> {
    trend: &'a Trend,
    show: Show,
}

impl Scene<'_> {
    /// The events of some kinds with their numbers.
    fn events(&self, is: impl Fn(&Event) -> bool) -> Vec<(usize, &Event)> {
        self.trend.events.iter().enumerate().filter(|(_, event)| is(event)).map(|(at, event)| (at + 1, event)).collect()
    }

    /// Seconds since the beginning of the log.
    fn since(&self, local: i64) -> f64 {
        #[expect(clippy::cast_precision_loss, reason = "seconds of a file")]
        let since = (local - self.trend.over_time.span[0]) as f64;
        since
    }

    fn whole(&self) -> f64 {
        self.since(self.trend.over_time.span[1])
    }

    /// A difference of temperatures as it is shown.
    fn difference(&self, kelvin: f64) -> f64 {
        self.show.temperature(273.15 + kelvin) - self.show.temperature(273.15)
    }

    /// The middle of a bin, s.
    fn middle(&self, bin: usize) -> f64 {
        (many(bin) + 0.5) * self.whole() / many(self.trend.over_time.bins.len())
    }

    fn split(&self, canvas: &mut Canvas, frame: Rect) {
        let bins = &self.trend.over_time.bins;
        let points: Vec<(usize, [f64; 2])> = bins
            .iter()
            .enumerate()
            .filter_map(|(at, bin)| Some((at, bin.split()?.map(|split| self.difference(split)))))
            .collect();
        let values = || points.iter().flat_map(|(_, both)| *both);
        let (low, high) =
            values().fold((f64::INFINITY, 0.0_f64), |(low, high), value| (low.min(value), high.max(value)));
        let low = if low.is_finite() { low.min(high - 1.0) } else { 0.0 };
        let round = step((high - low).max(4.0), 6);
        let panel = Panel::new(
            frame,
            (0.0, self.whole()),
            (floor(low - 0.05 * (high - low), round), ceil(high.max(low + round), round)),
        );
        panel.begin(canvas, "split");
        panel.rows(canvas, &numbered_ticks(&panel.y, 6));
        self.times(canvas, &panel);
        for (which, look) in [(1, class::LIMIT), (0, class::CURVE_GAS)] {
            for piece in points.chunk_by(|a, b| b.0 - a.0 <= BRIDGED) {
                let path: Vec<At> = piece.iter().map(|(bin, both)| panel.at(self.middle(*bin), both[which])).collect();
                match path.as_slice() {
                    [one] => canvas.circle(class::GAS_FILL, *one, if which == 0 { 2.2 } else { 1.2 }),
                    path => canvas.polyline(look, path),
                }
                for at in &path {
                    canvas.avoid(Rect::round(*at, *at, 2.0));
                }
            }
        }
        if points.is_empty() {
            let at = (f64::midpoint(frame.x, frame.right()), f64::midpoint(frame.y, frame.bottom()));
            canvas.write(Text::new("no steady stretch", at, Type::Soft).middle());
        }
        self.worst(canvas, &panel, &points);
        self.steps(canvas, &panel);
        panel.end(canvas);
        self.above(canvas, frame);
    }

    /// The moments that are explained.
    fn worst(&self, canvas: &mut Canvas, panel: &Panel, points: &[(usize, [f64; 2])]) {
        for (turn, moment) in self.trend.worst.iter().enumerate() {
            let at = self.since(moment.span[0]);
            let apart = |bin: usize| (self.middle(bin) - at).abs();
            let Some((_, both)) = points.iter().min_by(|a, b| apart(a.0).total_cmp(&apart(b.0))) else { continue };
            let at = panel.at(at, both[0]);
            canvas.turned(class::INK, "M-5 0L0-5L5 0L0 5z", at, 0.0);
            canvas.take(Rect::round(at, at, 5.0));
            let when = shown(moment.span[0], false);
            let words = if turn == 0 { format!("worst, {when}") } else { when };
            let places = [-10.0, 20.0, -26.0, 36.0].into_iter().flat_map(|off| {
                let text = Text::new(&words, (at.0, at.1 + off), Type::Soft).halo();
                [text.middle(), text, text.end()]
            });
            canvas.write_where_free(&places.collect::<Vec<Text>>());
        }
    }

    /// What steps, where it does.
    fn steps(&self, canvas: &mut Canvas, panel: &Panel) {
        for (number, event) in self.events(|event| event.kind == Happened::Step) {
            let x = panel.x.at(self.since(event.span[0]));
            canvas.line(class::OUTLINE, (x, panel.frame.y), (x, panel.frame.bottom()));
            note(canvas, number, (x, panel.frame.y - HEIGHT / 2.0));
        }
    }

    /// What holds over all of it, in words above the panel.
    fn above(&self, canvas: &mut Canvas, frame: Rect) {
        let over_all =
            |event: &Event| matches!(event.kind, Happened::Split | Happened::Drift | Happened::Hour | Happened::Wind);
        let mut x = frame.x + 6.0;
        for (number, _) in self.events(over_all) {
            let y = frame.y - HEIGHT / 2.0;
            while !canvas.is_free(&Rect::new(x - 6.0, y - HEIGHT / 2.0, HEIGHT, HEIGHT)) && x < frame.right() {
                x += PITCH;
            }
            note(canvas, number, (x, y));
            x += PITCH;
        }
    }

    fn times(&self, canvas: &mut Canvas, panel: &Panel) {
        let [from, to] = self.trend.over_time.span;
        let most = if panel.frame.w < 400.0 { 5 } else { 10 };
        let step = STEPS.iter().copied().find(|step| (to - from) / step <= most).unwrap_or(31_536_000);
        let first = from.div_euclid(step) * step;
        let ticks = (0..200).map(|turn| first + turn * step).filter(|at| (from..=to).contains(at));
        let words = |at: i64| {
            let whole = shown(at, false);
            let (day, hour) = whole.rsplit_once(' ').unwrap_or((&whole, ""));
            if at.rem_euclid(86_400) == 0 { day.to_owned() } else { hour.to_owned() }
        };
        let ticks: Vec<(f64, String)> = ticks.map(|at| (self.since(at), words(at))).collect();
        panel.columns(canvas, &ticks);
        canvas.line(class::THIN, (panel.frame.x, panel.frame.bottom()), (panel.frame.right(), panel.frame.bottom()));
    }

    /// A lane with its name and marks above its bars; where the next begins. One of which nothing was found is left out.
    fn lane(&self, canvas: &mut Canvas, lane: &Lane, room: Rect) -> f64 {
        let events = self.events(|event| event.kind == lane.happened);
        if events.is_empty() && !matches!(lane.bars, Bars::Ran) {
            return room.y;
        }
        let mut x = room.x;
        canvas.write(Text::new(lane.name, (x, room.y + 14.0), Type::Plain));
        x += measure::width(lane.name, Type::Plain) + 18.0;
        for (number, _) in &events {
            note(canvas, *number, (x, room.y + 10.0));
            x += PITCH;
        }
        let bar = Rect::new(room.x, room.y + 22.0, room.w, LANE);
        let panel = Panel::new(bar, (0.0, self.whole()), (0.0, 1.0));
        panel.begin(canvas, lane.name);
        canvas.rect(class::BAND, bar, 0.0);
        let each = self.whole() / many(self.trend.over_time.bins.len());
        let mut fill = |from: f64, to: f64, share: f64| {
            let [left, right] = [from, to].map(|at| panel.x.within(at));
            let top = panel.y.at(share.clamp(0.0, 1.0));
            let corners = [(left, bar.bottom()), (left, top), (right, top), (right, bar.bottom())];
            match lane.bars {
                Bars::Ran => canvas.rect(class::GAS_FILL, Rect::new(left, top, right - left, bar.bottom() - top), 0.0),
                Bars::Lost(_) | Bars::Spans => canvas.hatched(Hatch::Fails, &corners),
            }
        };
        match lane.bars {
            Bars::Spans => events.iter().for_each(|(_, event)| {
                fill(self.since(event.span[0]), self.since(event.span[1]), 1.0);
            }),
            Bars::Ran | Bars::Lost(_) => {
                let share = |bin: usize| {
                    let bin = self.trend.over_time.bins.get(bin)?;
                    match lane.bars {
                        Bars::Lost(which) => bin.lost.get(which).copied().unwrap_or(false).then_some(1.0),
                        _ => bin.share().map(|share| (20.0 * share).round() / 20.0).filter(|share| *share > 0.0),
                    }
                };
                let bins: Vec<usize> =
                    (0..self.trend.over_time.bins.len()).filter(|bin| share(*bin).is_some()).collect();
                let same = |a: &usize, b: &usize| b - a == 1 && share(*a) == share(*b);
                for stretch in bins.chunk_by(same) {
                    if let [first, .., last] | [first @ last] = stretch {
                        fill(many(*first) * each, many(last + 1) * each, share(*first).unwrap_or(0.0));
                    }
                }
            }
        }
        canvas.line(class::THIN, (bar.x, bar.bottom()), (bar.right(), bar.bottom()));
        panel.end(canvas);
        bar.bottom() + 8.0
    }

    /// What was found, where no list stands beside the drawing.
    fn list(&self, canvas: &mut Canvas, y: f64) {
        let mut y = y;
        let room = canvas.width() - 60.0;
        for (number, event) in self.events(|_| true) {
            y += 10.0;
            note(canvas, number, (26.0, y + 9.0));
            for line in measure::wrap(&said(event), Type::Plain, room) {
                y += 14.0;
                canvas.write(Text::new(&line, (44.0, y), Type::Plain));
                y += 2.0;
            }
        }
        if let Some(worst) = self.trend.worst.first() {
            for line in measure::wrap(&format!("Worst moment: {}", lead(&worst.answer)), Type::Strong, room) {
                y += 20.0;
                canvas.write(Text::new(&line, (16.0, y), Type::Strong));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::chart::testing::Shown;
    use super::*;
    use crate::diagnose::{Bins, Verdict};

    const DAY: i64 = 86_400;

    fn job() -> Job {
        let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/as-drawn.toml");
        crate::job::open(&path).unwrap()
    }

    /// Ten days in which condensing over outdoor rises by 1 K a day over 10 K, but for the sixth, on which nothing is steady; half of the
    /// compressors run, oil is lost on the third day.
    fn by_hand() -> Trend {
        let span = [0, 10 * DAY];
        let mut over_time = Bins::over(span, 0);
        for hour in 0..240_i64 {
            let at = hour * 3600 + 1800;
            #[expect(clippy::cast_precision_loss, reason = "hours")]
            let days = at as f64 / DAY as f64;
            if hour / 24 != 5 {
                over_time.hear(at, [10.0 + days, 10.0]);
            }
            over_time.ran(hour * 3600, 0.5, 3600);
            over_time.lost(hour * 3600, [hour / 24 == 2, false], 3600);
        }
        let event = |kind, span, says: &str| Event { span, kind, value: 1.0, unit: "s", says: says.to_owned() };
        Trend {
            circuit: "1A".to_owned(),
            file: "by-hand.csv".to_owned(),
            written: String::new(),
            columns: Vec::new(),
            told: Vec::new(),
            rows: 1,
            interval: 60,
            span,
            times: [0; 3],
            events: vec![
                event(Happened::OilLost, [2 * DAY, 3 * DAY], "oil return is lost for a day"),
                event(Happened::Step, [4 * DAY, 10 * DAY], "condensing over outdoor steps"),
                event(Happened::Stuck, [6 * DAY, 7 * DAY], "a column stays the same"),
            ],
            worst: Vec::new(),
            verdict: Verdict::Healthy,
            over_time,
        }
    }

    #[test]
    fn curves_bars_and_marks_stand_where_the_trend_says() {
        let drawing = trend(&job(), &by_hand(), Setting::ALONE).unwrap();
        let svg = drawing.svg();
        let split = Shown::of(&svg, "split");
        let per_day = 700.0 / 10.0;
        let first = split.curve(class::CURVE_GAS);
        // Five days of 24 bins; the sixth is left out, so that another curve begins.
        assert_eq!(first.len(), 120);
        for (x, y) in &first {
            let days = (x - 44.0) / per_day;
            let fahrenheit = split.values((*x, *y)).1;
            assert!((fahrenheit - 1.8 * (10.0 + days)).abs() < 0.1, "{fahrenheit} after {days} days");
        }
        assert_eq!(split.svg.matches(&format!("class=\"{}\"", class::CURVE_GAS)).count(), 2);
        let healthy = split.curve(class::LIMIT);
        assert!(healthy.iter().all(|at| (split.values(*at).1 - 18.0).abs() < 0.1));
        // The step, as a line from top to foot.
        let x = 44.0 + 4.0 * per_day;
        assert!(split.svg.contains(&format!("<path class=\"{}\" d=\"M{x} ", class::OUTLINE)), "{}", split.svg);
        let corner = |name: &str| {
            let lane = svg.split_once(&format!("data-panel=\"{name}\"")).unwrap().1.split_once("</g>").unwrap().0;
            let d = lane.split_once("-fails)\" d=\"M").unwrap().1.split_once('"').unwrap().0;
            let x = d.split('L').map(|pair| pair.split_once(' ').unwrap().0.parse::<f64>().unwrap());
            x.collect::<Vec<f64>>()
        };
        for (name, from, to) in [("oil return lost", 2.0, 3.0), ("a column stays the same", 6.0, 7.0)] {
            let corners = corner(name);
            assert!((corners[0] - 44.0 - from * per_day).abs() < 0.1 && (corners[2] - 44.0 - to * per_day).abs() < 0.1);
        }
        let ran = svg.split_once("data-panel=\"compressors on, by share\"").unwrap().1;
        let ran = ran.split_once(&format!("<rect class=\"{}\"", class::GAS_FILL)).unwrap().1;
        assert!(
            ran.starts_with(" x=\"44\"") && ran.split_once("height=\"").unwrap().1.starts_with("7\""),
            "{ran:.200}"
        );
        assert!(!svg.contains("liquid flashes") && drawing.description.contains("Oil return is lost for a day."));
        assert!(svg.contains(">A column stays the same.<"), "the list stands on it");
    }

    #[test]
    fn on_a_page_every_event_is_marked_once_and_leads_to_the_list() {
        let setting = Setting { seen: Seen::OnPage, ..Setting::ALONE };
        let svg = trend(&job(), &by_hand(), setting).unwrap().svg();
        for number in 1..=3 {
            assert_eq!(svg.matches(&format!("href=\"#finding-{number}\"")).count(), 1);
        }
        assert!(!svg.contains(">A column stays the same.<"));
    }
}
