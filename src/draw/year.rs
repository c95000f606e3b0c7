//! The year: load and capacity by duration, and maps of days and hours of what is counted.

use super::canvas::{Canvas, Drawing, Setting, Text, number};
use super::chart::{Panel, Show, ceil, many, numbered_ticks, step, title};
use super::plane::{At, Rect};
use super::style::{Type, class};
use crate::job::Job;
use crate::year::{CourseHour, Year};
use std::fmt::Write as _;

/// Points along a curve of duration.
const ALONG: usize = 160;
/// Days before each month of a year of 365.
const BEFORE: [(u16, &str); 12] = [
    (0, "Jan"),
    (31, "Feb"),
    (59, "Mar"),
    (90, "Apr"),
    (120, "May"),
    (151, "Jun"),
    (181, "Jul"),
    (212, "Aug"),
    (243, "Sep"),
    (273, "Oct"),
    (304, "Nov"),
    (334, "Dec"),
];

/// Load and capacity, each sorted by itself; nothing of a year without hours.
#[must_use]
pub fn duration(job: &Job, year: &Year, setting: Setting) -> Option<Drawing> {
    let show = Show::of(job);
    let narrow = setting.is_narrow();
    let sorted = |of: &dyn Fn(&CourseHour) -> Option<f64>| {
        let mut values: Vec<f64> = year.course.iter().filter_map(of).collect();
        values.sort_by(|a, b| b.total_cmp(a));
        values
    };
    let capacity = sorted(&|hour| Some(hour.capacity_W));
    let load = sorted(&|hour| hour.moment.load_W);
    let top_value = capacity.iter().chain(&load).copied().fold(0.0, f64::max);
    if capacity.len() < 2 || top_value <= 0.0 {
        return None;
    }
    let mut canvas = Canvas::new("year-duration", if narrow { 360.0 } else { 760.0 }, setting);
    let unit = show.units.capacity_unit();
    let words =
        if load.is_empty() { "The year: capacity by duration" } else { "The year: load and capacity by duration" };
    let maps = if has_hours_on_map(year) { "; the maps tell which hours are short" } else { "" };
    let below = format!("{unit} over hours of the year, each curve sorted by itself{maps}.");
    let top = title(&mut canvas, words, &below);
    let frame = Rect::new(52.0, top + 18.0, if narrow { 292.0 } else { 660.0 }, 200.0);
    let high = show.capacity(top_value);
    let panel = Panel::new(frame, (0.0, year.hours), (0.0, ceil(high * 1.02, step(high, 6))));
    panel.begin(&mut canvas, "duration");
    panel.rows(&mut canvas, &numbered_ticks(&panel.y, 6));
    panel.columns(&mut canvas, &numbered_ticks(&panel.x, if narrow { 4 } else { 9 }));
    let curve = |values: &[f64]| -> Vec<At> {
        let last = values.len() - 1;
        let each = year.hours / many(values.len());
        let steps = ALONG.min(last);
        (0..=steps)
            .map(|i| i * last / steps.max(1))
            .map(|at| panel.at((many(at) + 0.5) * each, show.capacity(values[at])))
            .collect()
    };
    for (values, look, words) in [(&capacity, class::CURVE_LIQUID, "capacity"), (&load, class::CURVE_GAS, "load")] {
        if values.len() < 2 {
            continue;
        }
        let points = curve(values);
        canvas.polyline(look, &points);
        for at in &points {
            canvas.take(Rect::round(*at, *at, 2.0));
        }
        let at = points.get(points.len() / 12).copied().unwrap_or((frame.x, frame.y));
        let places = [-10.0, 20.0, 34.0].map(|off| Text::new(words, (at.0 + 6.0, at.1 + off), Type::Strong).halo());
        canvas.write_where_free(&places);
    }
    panel.end(&mut canvas);
    let maximum = |values: &[f64]| values.first().map(|watts| show.units.capacity(*watts)).unwrap_or_default();
    let minimum = capacity.last().map(|watts| show.units.capacity(*watts)).unwrap_or_default();
    let mut told = format!("Capacity from {} down to {minimum}", maximum(&capacity));
    if !load.is_empty() {
        let _ = write!(told, "; load up to {}", maximum(&load));
    }
    Some(canvas.done(words.to_owned(), format!("{told}.")))
}

/// A kind of hour that is counted.
struct Kind {
    name: &'static str,
    counts: fn(&CourseHour) -> bool,
}

const KINDS: [Kind; 5] = [
    Kind {
        name: "short of the load",
        counts: |hour| hour.moment.load_W.is_some_and(|load| hour.capacity_W < load * (1.0 - 1e-9)),
    },
    Kind { name: "cut-out trips, or the heat can't be rejected", counts: |hour| hour.counts.trips },
    Kind { name: "near the cut-out", counts: |hour| hour.counts.near_cutout },
    Kind { name: "liquid flashes, or too little subcooling at the valve", counts: |hour| hour.counts.flash },
    Kind { name: "oil return lost", counts: |hour| hour.counts.oil },
];

/// Whether any hour stands on the map.
#[must_use]
pub fn has_hours_on_map(year: &Year) -> bool {
    KINDS.iter().any(|kind| year.course.iter().any(kind.counts))
}

/// A map of days and hours for everything that is counted; nothing of a year without hours.
#[must_use]
pub fn map(year: &Year, setting: Setting) -> Option<Drawing> {
    if year.course.is_empty() {
        return None;
    }
    let narrow = setting.is_narrow();
    let mut canvas = Canvas::new("year-map", if narrow { 360.0 } else { 760.0 }, setting);
    let words = "The year: which hours";
    let top =
        title(&mut canvas, words, "Day of the year to the right, hour of the day from 0 at the foot to 24 at the top.");
    let each = year.hours / many(year.course.len());
    let (mut y, mut none, mut told) = (top + 10.0, Vec::new(), Vec::new());
    for kind in &KINDS {
        let hours: Vec<&CourseHour> = year.course.iter().filter(|hour| (kind.counts)(hour)).collect();
        if hours.is_empty() {
            none.push(kind.name);
            continue;
        }
        let count = format!("{:.0}", many(hours.len()) * each);
        let head = format!("{count} h {}", kind.name);
        y += 20.0;
        canvas.write(Text::new(&head, (16.0, y), Type::Strong));
        let frame = Rect::new(40.0, y + 8.0, if narrow { 310.0 } else { 700.0 }, 72.0);
        let panel = Panel::new(frame, (0.0, 365.0), (0.0, 24.0));
        one(&mut canvas, &panel, kind.name, &hours);
        y = frame.bottom() + 24.0;
        told.push(head);
    }
    if !none.is_empty() {
        let words = format!("No hour: {}.", none.join("; "));
        y += 4.0;
        for line in super::measure::wrap(&words, Type::Plain, canvas.width() - 32.0) {
            y += 16.0;
            canvas.write(Text::new(&line, (16.0, y), Type::Plain));
        }
        told.push(words);
    }
    Some(canvas.done(words.to_owned(), told.join("; ")))
}

/// One map: months along the foot, a box for each stretch of hours of a day.
fn one(canvas: &mut Canvas, panel: &Panel, name: &str, hours: &[&CourseHour]) {
    panel.begin(canvas, name);
    canvas.rect(class::BAND, panel.frame, 0.0);
    for hour in ["0", "12", "24"] {
        let value = hour.parse().unwrap_or(0.0);
        let y = panel.y.at(value);
        canvas.line(class::HAIR, (panel.frame.x, y), (panel.frame.right(), y));
        canvas.write(Text::new(hour, (panel.frame.x - 6.0, y + 4.0), Type::Soft).end());
    }
    let narrow = panel.frame.w < 400.0;
    for (place, (day, name)) in BEFORE.iter().enumerate() {
        let x = panel.x.at(f64::from(*day));
        canvas.line(class::HAIR, (x, panel.frame.y), (x, panel.frame.bottom()));
        if !narrow || place % 2 == 0 {
            canvas.write(Text::new(name, (x + 3.0, panel.frame.bottom() + 14.0), Type::Soft));
        }
    }
    let mut cells: Vec<(u16, u8)> = hours.iter().map(|hour| (day_of(hour), hour.moment.hour)).collect();
    cells.sort_unstable();
    cells.dedup();
    let mut path = String::new();
    let day_width = panel.x.at(1.0) - panel.x.at(0.0);
    for stretch in cells.chunk_by(|a, b| a.0 == b.0 && b.1 == a.1 + 1) {
        let (Some(first), Some(last)) = (stretch.first(), stretch.last()) else { continue };
        let x = panel.x.at(f64::from(first.0));
        let (foot, head) = (panel.y.at(f64::from(first.1)), panel.y.at(f64::from(last.1) + 1.0));
        let [x, foot, width, height] = [x, foot, day_width, foot - head].map(number);
        let _ = write!(path, "M{x} {foot}h{width}v-{height}h-{width}z");
    }
    canvas.path(class::FAILS_FILL, &path);
    panel.end(canvas);
}

/// Days before that of an hour.
fn day_of(hour: &CourseHour) -> u16 {
    let month = usize::from(hour.moment.month.clamp(1, 12)) - 1;
    (BEFORE[month].0 + u16::from(hour.moment.day.max(1)) - 1).min(364)
}

#[cfg(test)]
mod tests {
    use super::super::chart::testing::Shown;
    use super::*;
    use crate::year::{Counts, Energy, Moment};

    /// A year whose capacity falls and whose load rises over it, short in its last 240 hours, oil lost at 3 h of each day.
    fn by_hand() -> Year {
        let day = |hour: u16| hour / 24;
        let month = |day: u16| BEFORE.iter().rposition(|(before, _)| *before <= day).unwrap();
        let course = (0..8760_u16).map(|hour| {
            let month = month(day(hour));
            let moment = Moment {
                month: u8::try_from(month).unwrap() + 1,
                day: u8::try_from(day(hour) - BEFORE[month].0).unwrap() + 1,
                hour: u8::try_from(hour % 24).unwrap(),
                outdoor_K: 300.0,
                load_W: Some(if hour < 8520 { 1e5 } else { 4e5 }),
            };
            let counts = Counts { oil: hour % 24 == 3, ..Counts::default() };
            CourseHour { moment, capacity_W: 3e5 - 10.0 * f64::from(hour), counts }
        });
        Year {
            hours: 8760.0,
            missing_hours: 0.0,
            circuits: Vec::new(),
            plant: None,
            energy: Energy::default(),
            floating: None,
            course: course.collect(),
        }
    }

    fn job() -> Job {
        let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/as-drawn.toml");
        crate::job::open(&path).unwrap()
    }

    #[test]
    fn curves_of_duration_stand_at_their_values() {
        let (year, job) = (by_hand(), job());
        let show = Show::of(&job);
        let svg = duration(&job, &year, Setting::ALONE).unwrap().svg();
        let shown = Shown::of(&svg, "duration");
        for (hours, tons) in shown.curve(class::CURVE_LIQUID).iter().map(|at| shown.values(*at)) {
            assert!((tons - show.capacity(3e5 - 10.0 * hours)).abs() < 0.2, "{tons} after {hours} h");
        }
        let load: Vec<f64> = shown.curve(class::CURVE_GAS).iter().map(|at| shown.values(*at).1).collect();
        assert!((load[0] - show.capacity(4e5)).abs() < 0.2 && (load[load.len() - 1] - show.capacity(1e5)).abs() < 0.2);
    }

    /// Hours that the boxes of a map cover.
    fn covered(svg: &str, kind: &str) -> f64 {
        let map = svg.split_once(&format!("data-panel=\"{kind}\"")).unwrap().1.split_once("</g>").unwrap().0;
        let path =
            map.split_once(&format!("class=\"{}\" d=\"", class::FAILS_FILL)).unwrap().1.split_once('"').unwrap().0;
        let boxes = path.split('M').skip(1).map(|one| {
            let size = |letter: char| one.split(letter).nth(1).unwrap().split(['v', 'h', 'z']).next().unwrap();
            let [width, height]: [f64; 2] =
                [size('h'), size('v')].map(|text| text.trim_start_matches('-').parse().unwrap());
            // 700 wide for 365 days, 72 high for 24 hours.
            width / (700.0 / 365.0) * height / 3.0
        });
        boxes.sum()
    }

    #[test]
    fn maps_cover_as_many_hours_as_are_counted_and_the_rest_is_said() {
        let drawing = map(&by_hand(), Setting::ALONE).unwrap();
        let svg = drawing.svg();
        assert!((covered(&svg, "short of the load") - 240.0).abs() < 2.0);
        assert!((covered(&svg, "oil return lost") - 365.0).abs() < 3.0);
        assert!(drawing.description.contains("240 h short of the load"), "{}", drawing.description);
        assert!(drawing.description.contains("No hour: cut-out trips"), "{}", drawing.description);
        assert!(!svg.contains("data-panel=\"near the cut-out\""));
    }
}
