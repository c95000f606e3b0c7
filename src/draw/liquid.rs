//! Pressure along the liquid line against the bubble pressure of the liquid there, at each operating point.

use super::canvas::{Canvas, Drawing, Hatch, Setting, Text};
use super::chart::{Panel, Show, numbered_ticks, title};
use super::marks::{self, Numbered, mark};
use super::plane::{At, Rect};
use super::style::{Type, class};
use super::symbols::dimension;
use crate::job::{Circuit, Job};
use crate::refrigerant::{self, Refrigerant};
use crate::rules::{Case, Verdict, liquid_flash};
use crate::survey::{CircuitSurvey, Point, StateAnswer, feed, wanted_subcooling};
use crate::units::System;

/// Panels at most; of more points those with the smallest margins.
const MAXIMUM: usize = 6;

/// A place along the line: length from the condenser (m), pressure and bubble pressure (Pa).
#[derive(Clone, Copy, Debug)]
struct Station {
    run: usize,
    length: f64,
    pressure: f64,
    bubble: f64,
}

impl Station {
    fn new(fluid: &Refrigerant, run: usize, length: f64, state: &StateAnswer) -> Option<Self> {
        // With gas in it the liquid is at its bubble pressure.
        let two_phase = state.quality.is_some_and(|quality| quality > 0.0);
        let bubble = if two_phase { state.pressure_Pa } else { fluid.bubble_pressure(state.temperature_K).ok()? };
        Some(Self { run, length, pressure: state.pressure_Pa, bubble })
    }

    fn margin(&self) -> f64 {
        self.pressure - self.bubble
    }
}

/// A line at an operating point.
struct Curve<'a> {
    point: &'a Point,
    stations: Vec<Station>,
    /// Subcooling that is left at the valve, K.
    left: f64,
    /// What the valve requires at this point, K; none at part load.
    asked: f64,
    /// The pressure that gives it that, Pa.
    needed: Option<f64>,
    /// Whether liquid is short of what the valve, or the line, requires.
    fails: bool,
    /// After which run it is shortest; none where that is at the valve.
    shortest: Option<usize>,
}

impl<'a> Curve<'a> {
    fn of(fluid: &Refrigerant, case: &Case, point: &'a Point) -> Option<Self> {
        let circuit = case.circuit;
        let mut length = 0.0;
        let inlet = Station::new(fluid, 0, 0.0, &point.state.condenser_outlet)?;
        let runs = point.liquid_line.runs.iter().map(|run| {
            length += run.length_m;
            Station::new(fluid, run.index, length, &run.out.state)
        });
        let stations: Vec<Station> = std::iter::once(Some(inlet)).chain(runs).collect::<Option<_>>()?;
        let asked = wanted_subcooling(circuit, point.compressor_share);
        let left = feed(circuit, &point.liquid_line);
        let needed = (asked > 0.0).then(|| fluid.bubble_pressure(point.state.valve_inlet.temperature_K + asked));
        Some(Self {
            point,
            stations,
            left: left.valve_K,
            shortest: (left.valve_K - asked > left.line_K).then_some(left.run),
            asked,
            needed: needed.and_then(Result::ok),
            fails: liquid_flash::margin(case, point) < -liquid_flash::SLACK,
        })
    }

    fn smallest(&self) -> Option<&Station> {
        self.stations.iter().min_by(|a, b| a.margin().total_cmp(&b.margin()))
    }

    /// The lowest and the highest pressure shown.
    fn range(&self) -> (f64, f64) {
        let all = self.stations.iter().flat_map(|station| [station.pressure, station.bubble]).chain(self.needed);
        all.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), p| (low.min(p), high.max(p)))
    }

    /// The smallest margin in words.
    fn says(&self, show: &Show) -> String {
        let Some(smallest) = self.smallest() else { return String::new() };
        let place = if smallest.run == 0 { "at the condenser".to_owned() } else { format!("after L{}", smallest.run) };
        let qualities =
            || self.point.liquid_line.runs.iter().map(|run| (run.index, run.out.state.quality.unwrap_or(0.0)));
        let (run, gas) = qualities().fold((0, 0.0), |most, of| if of.1 > most.1 { of } else { most });
        if gas > 0.0 {
            return format!("Flashes: {} gas after L{run}", show.units.percent(gas));
        }
        let subcooling = self.point.liquid_line.minimum_subcooling_K.map(|minimum| show.units.difference(minimum));
        format!("Smallest margin {place}: {}, {}", pressure(show, smallest.margin()), subcooling.unwrap_or_default())
    }

    /// What the valve gets, and what it requires there.
    fn valve(&self, show: &Show) -> String {
        let [left, asked] = [self.left, self.asked].map(|kelvins| show.units.difference(kelvins));
        let gets = if self.left < 0.0 { "gas".to_owned() } else { left };
        if self.asked > 0.0 {
            format!("Valve: {gets}, requires {asked}")
        } else {
            format!("Valve: {gets}, requires none at part load")
        }
    }
}

/// A difference of pressure in the unit of the axis.
fn pressure(show: &Show, pascals: f64) -> String {
    match show.units {
        System::Ip => show.units.pressure_difference(pascals),
        System::Si => format!("{:.2} bar", show.gauge(pascals) - show.gauge(0.0)),
    }
}

/// The drawing of a circuit; nothing where no point that runs has a solution.
#[must_use]
pub fn liquid(
    job: &Job,
    (index, circuit, solved): (usize, &Circuit, &CircuitSurvey),
    findings: &[Numbered],
    setting: Setting,
) -> Option<Drawing> {
    let fluid = refrigerant::named(&circuit.refrigerant)?;
    let show = Show::of(job);
    let running = solved.points.iter().filter(|point| point.id.is_running());
    let case = Case { job, index, circuit, solved };
    let mut courses: Vec<Curve> = running.filter_map(|point| Curve::of(fluid, &case, point)).collect();
    if courses.len() > MAXIMUM {
        let margin = |course: &Curve| course.smallest().map_or(f64::INFINITY, Station::margin);
        courses.sort_by(|a, b| margin(a).total_cmp(&margin(b)));
        courses.truncate(MAXIMUM);
    }
    let span = courses.iter().map(|course| course.range().1 - course.range().0).fold(0.0, f64::max);
    let longest = courses.iter().filter_map(|course| course.stations.last()).map(|end| end.length).fold(0.0, f64::max);
    if courses.is_empty() || longest <= 0.0 {
        return None;
    }
    let mut canvas =
        Canvas::new(&format!("liquid-{}", index + 1), if setting.is_narrow() { 360.0 } else { 760.0 }, setting);
    let words = format!("Liquid line of circuit {}: pressure against bubble pressure", circuit.name);
    let unit = show.gauge_unit();
    let below = format!(
        "Below the hatched edge the liquid flashes. {unit} over {} from the condenser; dashed: {} at the valve, at full load.",
        show.units.length_unit(),
        show.units.difference(circuit.valve.subcooling.value)
    );
    let top = title(&mut canvas, &words, &below);
    let scale = Shared { span: (show.gauge(span) - show.gauge(0.0)).max(1e-3), length: show.length(longest), top };
    let own: Vec<Numbered> = findings
        .iter()
        .filter(|of| of.finding.rule == liquid_flash::RULE.id && of.finding.circuit.is_none_or(|of| of == index))
        .copied()
        .collect();
    for (place, course) in courses.iter().enumerate() {
        panel(&mut canvas, &show, course, &scale, (place, courses.len()), &own);
    }
    legend(&mut canvas);
    let told: Vec<String> = courses
        .iter()
        .map(|course| format!("{}: {}. {}.", course.point.name, course.says(&show), course.valve(&show)))
        .collect();
    Some(canvas.done(words, told.join(" ")))
}

/// What the panels share.
struct Shared {
    /// Of pressure in the panel where that is largest, in the units shown.
    span: f64,
    length: f64,
    top: f64,
}

/// Height of a panel with its words.
const HEIGHT: f64 = 284.0;

fn frame(canvas: &Canvas, top: f64, place: usize) -> Rect {
    let columns = if canvas.setting.is_narrow() { 1 } else { 2 };
    let (column, row) = (u32::try_from(place % columns).unwrap_or(0), u32::try_from(place / columns).unwrap_or(0));
    let left = 56.0 + 372.0 * f64::from(column);
    let width = if canvas.setting.is_narrow() { 270.0 } else { 290.0 };
    Rect::new(left, top + 72.0 + HEIGHT * f64::from(row), width, 176.0)
}

fn panel(
    canvas: &mut Canvas,
    show: &Show,
    course: &Curve,
    shared: &Shared,
    (place, _): (usize, usize),
    own: &[Numbered],
) {
    let frame = frame(canvas, shared.top, place);
    // All panels have as many units to a pixel.
    let low = show.gauge(course.range().0) - 0.2 * shared.span;
    let panel = Panel::new(frame, (0.0, shared.length), (low, low + 1.35 * shared.span));
    panel.begin(canvas, &course.point.name);
    let outdoor = show.units.temperature(course.point.outdoor_K);
    let head = format!("{}, {outdoor} outdoors", crate::rules::say::capital(&course.point.name));
    canvas.write(Text::new(&head, (frame.x - 40.0, frame.y - 48.0), Type::Strong));
    canvas.write(Text::new(&course.says(show), (frame.x - 40.0, frame.y - 31.0), Type::Plain));
    canvas.write(Text::new(&course.valve(show), (frame.x - 40.0, frame.y - 14.0), Type::Plain));
    panel.rows(canvas, &numbered_ticks(&panel.y, 6));
    panel.columns(canvas, &numbered_ticks(&panel.x, 5));
    let at = |station: &Station, pressure: f64| panel.at(show.length(station.length), show.gauge(pressure));
    let bubble: Vec<At> = course.stations.iter().map(|station| at(station, station.bubble)).collect();
    let line: Vec<At> = course.stations.iter().map(|station| at(station, station.pressure)).collect();
    let ends = [(bubble.last().map_or(frame.right(), |end| end.0), frame.bottom()), (frame.x, frame.bottom())];
    canvas.hatched(Hatch::Fails, &bubble.iter().copied().chain(ends).collect::<Vec<At>>());
    canvas.polyline(class::FAILS, &bubble);
    canvas.polyline(class::CURVE_LIQUID, &line);
    for dot in &line {
        canvas.circle(class::LIQUID_FILL, *dot, 2.6);
        canvas.take(Rect::round(*dot, *dot, 2.6));
    }
    if let (Some(needed), Some(end)) = (course.needed, line.last()) {
        let y = panel.y.within(show.gauge(needed));
        canvas.line(class::LIMIT, (end.0 - 34.0, y), (end.0 + 12.0, y));
        canvas.avoid_along(&[(end.0 - 34.0, y), (end.0 + 12.0, y)]);
    }
    canvas.avoid_along(&line);
    canvas.avoid_along(&bubble);
    smallest(canvas, course, &at, own);
    names(canvas, course, &line);
    panel.end(canvas);
}

/// Dimensions the smallest margin, the mark of its finding beside it.
fn smallest(canvas: &mut Canvas, course: &Curve, at: &dyn Fn(&Station, f64) -> At, own: &[Numbered]) {
    let Some(smallest) = course.smallest() else { return };
    let (over, under) = (at(smallest, smallest.pressure), at(smallest, smallest.bubble));
    if (under.1 - over.1).abs() > 1.0 {
        dimension(canvas, (over.0 + 8.0, over.1), (under.0 + 8.0, under.1));
        canvas.avoid(Rect::round((over.0 + 8.0, over.1), (under.0 + 8.0, under.1), 4.0));
    }
    // Of one finding of all points: at its own, and wherever else it is so.
    let is_here = |of: &&Numbered| {
        let own = of.finding.point().is_none_or(|point| point == course.point.id);
        own || (course.fails && of.finding.verdict == Verdict::Fail)
    };
    let here = own.iter().find(is_here);
    if let Some(of) = here {
        let half = marks::width(*of) / 2.0;
        let station = course.shortest.and_then(|run| course.stations.iter().find(|station| station.run == run));
        let (x, y) = match (station, course.stations.last()) {
            (None, Some(end)) => at(end, course.needed.unwrap_or(end.pressure)),
            (station, _) => at(station.unwrap_or(smallest), station.unwrap_or(smallest).pressure),
        };
        let ends = if station.is_none() { 34.0 } else { 0.0 };
        let spots = [
            (x - ends - half - 8.0, y),
            (x, y + 16.0),
            (x + half + 16.0, y),
            (x, y - 16.0),
            (x - half - 12.0, y + 18.0),
            (x + half + 12.0, y + 18.0),
            (x - half - 40.0, y),
        ];
        let boxes = spots.map(|spot| marks::covers(*of, spot));
        let spot = canvas.free(&boxes).and_then(|at| spots.get(at)).copied();
        mark(canvas, *of, spot.unwrap_or((x - ends - half - 8.0, y)));
    }
}

/// Names the runs along the line, where there is room.
fn names(canvas: &mut Canvas, course: &Curve, line: &[At]) {
    for (pair, station) in line.windows(2).zip(course.stations.iter().skip(1)) {
        let [(x0, y0), (x1, y1)] = [pair[0], pair[1]];
        if x1 - x0 < 14.0 {
            continue;
        }
        let words = format!("L{}", station.run);
        let middle = (f64::midpoint(x0, x1), f64::midpoint(y0, y1));
        let text = |dx: f64, dy: f64| Text::new(&words, (middle.0 + dx, middle.1 + dy), Type::Soft).halo();
        let level = [-7.0, 17.0].map(|dy| text(0.0, dy).middle());
        let beside = [text(-7.0, -3.0).end(), text(7.0, 13.0), text(-7.0, 13.0).end(), text(7.0, -3.0)];
        canvas.write_where_free(&level.into_iter().chain(beside).collect::<Vec<Text>>());
    }
}

fn legend(canvas: &mut Canvas) {
    let y = canvas.bottom() + 18.0;
    canvas.line(class::CURVE_LIQUID, (16.0, y), (40.0, y));
    canvas.write(Text::new("line pressure", (46.0, y + 4.0), Type::Soft));
    canvas.line(class::FAILS, (150.0, y - 4.0), (174.0, y - 4.0));
    canvas.hatched(Hatch::Fails, &[(150.0, y - 4.0), (174.0, y - 4.0), (174.0, y + 7.0), (150.0, y + 7.0)]);
    canvas.write(Text::new("bubble pressure and below", (180.0, y + 4.0), Type::Soft));
}

#[cfg(test)]
mod tests {
    use super::super::chart::testing::Shown;
    use super::*;

    #[test]
    fn the_valves_requirement_stands_where_it_is_asked_and_each_failing_panel_is_marked() {
        for example in ["as-found-r22", "as-drawn", "long-run-si"] {
            let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("examples/{example}.toml"));
            let job = crate::job::open(&path).unwrap();
            let survey = crate::survey::survey(&job).unwrap();
            let (circuit, solved) = (&job.circuits[0], &survey.circuits[0]);
            let findings = crate::rules::check_all(&job, &survey);
            let own: Vec<Numbered> = findings
                .iter()
                .filter(|finding| finding.verdict == Verdict::Fail && finding.rule == liquid_flash::RULE.id)
                .map(|finding| Numbered { number: 77, finding })
                .collect();
            let svg = liquid(&job, (0, circuit, solved), &own, Setting::ALONE).unwrap().svg();
            let mut asked = 0;
            for point in solved.points.iter().filter(|point| point.id.is_running()) {
                let shown = Shown::of(&svg, &point.name);
                let full = point.compressor_share > 0.999;
                assert_eq!(
                    shown.svg.contains(&format!("class=\"{}\"", class::LIMIT)),
                    full,
                    "{example} {}",
                    point.name
                );
                asked += usize::from(full);
                let left = feed(circuit, &point.liquid_line);
                let fails =
                    left.valve_K < wanted_subcooling(circuit, point.compressor_share) - 1e-3 || left.line_K < -0.051;
                assert_eq!(shown.svg.contains(">77</text>"), fails && !own.is_empty(), "{example} {}", point.name);
                assert!(shown.svg.contains("Valve: "));
            }
            assert!(asked > 0 && asked < solved.points.len(), "{example}");
        }
    }

    #[test]
    fn pressures_stand_at_their_values() {
        let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/as-drawn.toml");
        let job = crate::job::open(&path).unwrap();
        let survey = crate::survey::survey(&job).unwrap();
        let (circuit, solved) = (&job.circuits[0], &survey.circuits[0]);
        let show = Show::of(&job);
        for narrow in [false, true] {
            let breadth = if narrow { super::super::Breadth::Narrow } else { super::super::Breadth::Wide };
            let drawing = liquid(&job, (0, circuit, solved), &[], Setting { breadth, ..Setting::ALONE }).unwrap();
            let svg = drawing.svg();
            for point in solved.points.iter().filter(|point| point.id.is_running()) {
                let shown = Shown::of(&svg, &point.name);
                let dots = shown.circles(class::LIQUID_FILL);
                assert_eq!(dots.len(), point.liquid_line.runs.len() + 1);
                let mut length = 0.0;
                for (dot, run) in dots[1..].iter().zip(&point.liquid_line.runs) {
                    length += run.length_m;
                    let (x, y) = shown.values(*dot);
                    assert!((x - show.length(length)).abs() < 0.5, "{x} of {length} m");
                    assert!((y - show.gauge(run.out.state.pressure_Pa)).abs() < 0.3, "{y} at {length} m");
                }
                let fluid = refrigerant::named("R-410A").unwrap();
                let bubble = shown.values(*shown.curve(class::FAILS).last().unwrap()).1;
                let wanted = show.gauge(fluid.bubble_pressure(point.state.valve_inlet.temperature_K).unwrap());
                assert!((bubble - wanted).abs() < 0.3, "{bubble} for {wanted}");
            }
        }
    }
}
