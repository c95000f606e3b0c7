//! Oil return of a riser: the flow that it needs over condensing temperature, and the operating points.

use super::block::Block;
use super::canvas::{Canvas, Drawing, Hatch, Setting, Text};
use super::chart::{Panel, Show, ceil, floor, numbered_ticks, title};
use super::marks::{self, Numbered, mark};
use super::plane::{At, Rect};
use super::style::{Type, class};
use crate::job::{Circuit, Job, Path};
use crate::rules::Place;
use crate::survey::{CircuitSurvey, Point, PointId};

/// Risers that are drawn; of more those that carry oil worst.
const MAXIMUM: usize = 3;

/// A riser at an operating point.
struct Stand<'a> {
    point: &'a Point,
    flow: f64,
    /// Flow over the minimum flow that lifts oil.
    ratio: f64,
    /// Tubes that oil seals.
    sealed: usize,
}

/// The drawings of a circuit's risers; none where it has none, or where nothing of them has a solution.
#[must_use]
pub fn oil(
    job: &Job,
    (index, circuit, solved): (usize, &Circuit, &CircuitSurvey),
    findings: &[Numbered],
    setting: Setting,
) -> Vec<Drawing> {
    let Some(full) = solved.point(PointId::SummerFull).map(|point| point.discharge_line.flow_kg_s) else {
        return Vec::new();
    };
    let mut risers: Vec<(usize, Vec<Stand>)> = (0..circuit.discharge.runs.len())
        .map(|run| (run, stands(solved, run)))
        .filter(|(_, stands)| !stands.is_empty() && full > 0.0)
        .collect();
    let worst = |stands: &[Stand]| stands.iter().map(|stand| stand.ratio).fold(f64::INFINITY, f64::min);
    risers.sort_by(|a, b| worst(&a.1).total_cmp(&worst(&b.1)));
    risers.truncate(MAXIMUM);
    risers.sort_by_key(|(run, _)| *run);
    let own = |run: usize| -> Vec<Numbered> {
        let here = |of: &&Numbered| {
            let at = matches!(&of.finding.place, Some(Place::Runs(_, runs)) if runs.contains(&(run + 1)));
            of.finding.rule == "oil-riser" && at && of.finding.circuit.is_none_or(|of| of == index)
        };
        findings.iter().filter(here).copied().collect()
    };
    let scene = Scene { job, index, circuit, full, setting };
    risers.iter().filter_map(|(run, stands)| scene.riser(*run, stands, &own(*run))).collect()
}

fn stands(solved: &CircuitSurvey, run: usize) -> Vec<Stand<'_>> {
    let running = solved.points.iter().filter(|point| point.id.is_running());
    let stand = |point| {
        let point: &Point = point;
        let run = point.discharge_line.runs.get(run)?;
        let ratio = run.oil_lift?.ratio;
        let flow = run.tubes.iter().map(|tube| tube.flow_kg_s).sum();
        let sealed = run.tubes.iter().filter(|tube| tube.sealed).count();
        (ratio > 0.0).then_some(Stand { point, flow, ratio, sealed })
    };
    running.filter_map(stand).collect()
}

struct Scene<'a> {
    job: &'a Job,
    index: usize,
    circuit: &'a Circuit,
    /// Flow at `summer full`, kg/s.
    full: f64,
    setting: Setting,
}

impl Scene<'_> {
    fn riser(&self, run: usize, stands: &[Stand], own: &[Numbered]) -> Option<Drawing> {
        let show = Show::of(self.job);
        let drawn = self.circuit.discharge.runs.get(run)?;
        let Path::Rise { .. } = drawn.path else { return None };
        let tubes: Vec<&str> = drawn.tubes.iter().map(|tube| tube.name.as_str()).collect();
        let height = show.units.length(drawn.path.length_m());
        let words = format!(
            "Oil return in riser D{}, {height} of {}, circuit {}",
            run + 1,
            tubes.join(" + "),
            self.circuit.name
        );
        let unit = show.units.temperature_unit();
        let below = format!("Condensing temperature, {unit}, over flow in the riser, % of that at summer full.");
        let narrow = self.setting.is_narrow();
        let id = format!("oil-{}-{}", self.index + 1, run + 1);
        let mut canvas = Canvas::new(&id, if narrow { 360.0 } else { 760.0 }, self.setting);
        let top = title(&mut canvas, &words, &below);
        let warm = || stands.iter().map(|stand| show.temperature(stand.point.condensing_K));
        let share = |flow: f64| 100.0 * flow / self.full;
        let (low, high) = (warm().fold(f64::INFINITY, f64::min), warm().fold(f64::NEG_INFINITY, f64::max));
        let maximum = stands.iter().flat_map(|stand| [share(stand.flow), 1.15 * share(stand.flow / stand.ratio)]);
        let maximum = maximum.fold(100.0, f64::max);
        let frame = Rect::new(48.0, top + 18.0, if narrow { 290.0 } else { 460.0 }, 230.0);
        let panel =
            Panel::new(frame, (0.0, ceil(maximum * 1.06, 10.0)), (floor(low - 6.0, 10.0), ceil(high + 6.0, 10.0)));
        if !narrow {
            let list = Rect::new(534.0, frame.y, 212.0, 0.0);
            legend(&mut canvas, list, stands.iter().any(|stand| stand.sealed > 0));
        }
        panel.begin(&mut canvas, &format!("riser {}", run + 1));
        panel.rows(&mut canvas, &numbered_ticks(&panel.y, 7));
        panel.columns(&mut canvas, &numbered_ticks(&panel.x, 7));
        let hatched = self.limits(&mut canvas, &panel, &show, stands);
        self.points(&mut canvas, &panel, &show, (stands, own), &hatched);
        panel.end(&mut canvas);
        if narrow {
            let list = Rect::new(16.0, canvas.bottom() + 16.0, 328.0, 0.0);
            legend(&mut canvas, list, stands.iter().any(|stand| stand.sealed > 0));
        }
        let told: Vec<String> = stands.iter().map(|stand| format!("{} {:.2}", stand.point.name, stand.ratio)).collect();
        Some(canvas.done(
            words,
            format!("Flow over the minimum flow that carries oil up: {}. Below 1 it does not.", told.join(", ")),
        ))
    }

    /// The flow that is needed, and 1.15 times that: lines through the operating points in the order of their condensing temperature.
    /// What is hatched, in boxes.
    fn limits(&self, canvas: &mut Canvas, panel: &Panel, show: &Show, stands: &[Stand]) -> Vec<Rect> {
        let mut hatched = Vec::new();
        let mut states: Vec<usize> = stands.iter().map(|stand| stand.sealed).collect();
        states.sort_unstable();
        states.dedup();
        for sealed in states {
            let mut at: Vec<(f64, f64)> = stands
                .iter()
                .filter(|stand| stand.sealed == sealed)
                .map(|stand| (show.temperature(stand.point.condensing_K), 100.0 * stand.flow / stand.ratio / self.full))
                .collect();
            at.sort_by(|a, b| a.0.total_cmp(&b.0));
            let ends = (panel.frame.bottom(), panel.frame.y);
            let through = |factor: f64| -> Vec<At> {
                let along: Vec<At> = at.iter().map(|(warm, flow)| panel.at(flow * factor, *warm)).collect();
                let room = (panel.frame.x, panel.frame.right());
                let first = along.first().map(|first| (onward(along.get(1), *first, ends.0, room), ends.0));
                let before = along.len().checked_sub(2).and_then(|i| along.get(i));
                let last = along.last().map(|last| (onward(before, *last, ends.1, room), ends.1));
                first.into_iter().chain(along.iter().copied()).chain(last).collect()
            };
            let limit = through(1.0);
            let corners = limit.iter().copied().chain([(panel.frame.x, ends.1), (panel.frame.x, ends.0)]);
            canvas.hatched(Hatch::Fails, &corners.collect::<Vec<At>>());
            canvas.polyline(class::FAILS, &limit);
            canvas.polyline(concat!("caution", " dash"), &through(1.15));
            canvas.avoid_along(&limit);
            canvas.avoid_along(&through(1.15));
            // Hatched: a label there would say of a good point that it is not.
            let rows = limit.windows(2).flat_map(|pair| {
                let [(ax, ay), (bx, by)] = [pair[0], pair[1]];
                let steps = ((ay - by).abs() / 8.0).ceil().clamp(1.0, 100.0);
                let at = move |step: f64| (ax + (bx - ax) * step / steps, ay + (by - ay) * step / steps);
                (0..100_u8).map(f64::from).take_while(move |step| *step < steps).map(move |step| {
                    let (from, to) = (at(step), at(step + 1.0));
                    (from.0.min(to.0), from.1, to.1)
                })
            });
            let left = panel.frame.x;
            hatched.extend(rows.map(|(x, from, to)| Rect::round((left, from), (x.max(left), to), 0.0)));
        }
        hatched
    }

    fn points(
        &self,
        canvas: &mut Canvas,
        panel: &Panel,
        show: &Show,
        (stands, own): (&[Stand], &[Numbered]),
        hatched: &[Rect],
    ) {
        let at = |stand: &Stand| panel.at(100.0 * stand.flow / self.full, show.temperature(stand.point.condensing_K));
        for stand in stands {
            let at = at(stand);
            canvas.circle(class::INK, at, 4.2);
            canvas.take(Rect::round(at, at, 4.2));
        }
        for stand in stands {
            let at = at(stand);
            if let Some(of) = own.iter().find(|of| of.finding.point().is_none_or(|point| point == stand.point.id)) {
                mark(canvas, *of, (at.0, at.1 - 8.0 - marks::HEIGHT / 2.0));
            }
            let words = format!("{} {:.2}", stand.point.name, stand.ratio);
            let look = if stand.ratio < 1.0 {
                Type::Fails
            } else if stand.ratio < 1.15 {
                Type::Caution
            } else {
                Type::Plain
            };
            let one = Block::new(vec![(words, look)]);
            let two = Block::new(vec![(stand.point.name.clone(), look), (format!("{:.2}", stand.ratio), look)]);
            let good = stand.ratio >= 1.0;
            let mut places: Vec<(&Block, (At, bool))> = Vec::new();
            for block in [&one, &two] {
                places.extend(beside(at, block).into_iter().map(|spot| (block, spot)));
            }
            let covers = |(block, ((x, y), _)): &(&Block, (At, bool))| Rect::new(*x, *y, block.width(), block.height());
            places.retain(|place| panel.frame.grown(2.0).holds(&covers(place)));
            let on_its_side = |place: &&(&Block, (At, bool))| {
                let rect = covers(place);
                canvas.is_clear(&rect) && !(good && hatched.iter().any(|hatched| hatched.meets(&rect)))
            };
            let best =
                places.iter().find(on_its_side).or_else(|| places.iter().find(|place| canvas.is_free(&covers(place))));
            if let Some((block, spot)) = best.copied() {
                block.put(canvas, &[spot]);
            }
        }
    }
}

/// Places for the words of a point, the nearest first; whether they end there.
fn beside((x, y): At, block: &Block) -> Vec<(At, bool)> {
    let (w, h) = (block.width(), block.height());
    let places = [-h / 2.0, 5.0, -h - 5.0, 12.0, -h - 12.0, 21.0, -h - 21.0, 37.0, -h - 37.0]
        .into_iter()
        .flat_map(|down| [(9.0, false), (-9.0 - w, true)].map(|(across, end)| ((x + across, y + down), end)));
    places.collect()
}

/// Where a line from one point through another goes on to at a height, between two sides.
fn onward(from: Option<&At>, through: At, y: f64, (left, right): (f64, f64)) -> f64 {
    let slope = from
        .filter(|from| (from.1 - through.1).abs() > 1.0)
        .map_or(0.0, |from| (through.0 - from.0) / (through.1 - from.1));
    (through.0 + slope * (y - through.1)).clamp(left, right)
}

fn legend(canvas: &mut Canvas, room: Rect, sealed: bool) {
    let mut y = room.y + 10.0;
    let mut row = |canvas: &mut Canvas, class: Option<&str>, words: &str| {
        if let Some(class) = class {
            canvas.line(class, (room.x, y - 4.0), (room.x + 24.0, y - 4.0));
        }
        for line in super::measure::wrap(words, Type::Soft, room.w - 32.0) {
            canvas.write(Text::new(&line, (room.x + 32.0, y), Type::Soft));
            y += 16.0;
        }
        y += 6.0;
    };
    row(canvas, Some(class::FAILS), "minimum flow at each condensing temperature: oil climbs right of it");
    row(canvas, Some("caution dash"), "1.15 times that: caution left of it");
    row(canvas, None, "Number at a point: its flow over the minimum flow.");
    if sealed {
        row(canvas, None, "Two lines: with both tubes open, and with oil sealing the larger one.");
    }
}

#[cfg(test)]
mod tests {
    use super::super::chart::testing::Shown;
    use super::*;

    #[test]
    fn points_and_limits_stand_at_their_values() {
        let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/as-drawn.toml");
        let job = crate::job::open(&path).unwrap();
        let survey = crate::survey::survey(&job).unwrap();
        let (circuit, solved) = (&job.circuits[0], &survey.circuits[0]);
        let drawings = oil(&job, (0, circuit, solved), &[], Setting::ALONE);
        assert_eq!(drawings.len(), 1);
        let (svg, show) = (drawings[0].svg(), Show::of(&job));
        let shown = Shown::of(&svg, "riser 2");
        let full = solved.point(PointId::SummerFull).unwrap().discharge_line.flow_kg_s;
        let stands = stands(solved, 1);
        for (place, stand) in shown.circles(class::INK).iter().zip(&stands) {
            let (x, y) = shown.values(*place);
            assert!((x - 100.0 * stand.flow / full).abs() < 0.3, "{x}");
            assert!((y - show.temperature(stand.point.condensing_K)).abs() < 0.3, "{y}");
        }
        let limit: Vec<(f64, f64)> = shown.curve(class::FAILS).iter().map(|at| shown.values(*at)).collect();
        let worst = stands.iter().min_by(|a, b| a.ratio.total_cmp(&b.ratio)).unwrap();
        let needed = 100.0 * worst.flow / worst.ratio / full;
        assert!(limit.iter().any(|(x, _)| (x - needed).abs() < 0.3), "{needed} in {limit:?}");
    }
}
