//! The cycle on the pressure-enthalpy diagram, pressure on a logarithmic axis, with what its lines take.

use super::canvas::{Canvas, Drawing, Setting, Text};
use super::chart::{Panel, Scale, Show, ceil, floor, numbered_ticks, step, title};
use super::measure;
use super::plane::{At, Rect};
use super::style::{Type, class};
use crate::job::{Circuit, Job};
use crate::refrigerant::{self, Refrigerant};
use crate::survey::{CircuitSurvey, Point, PointId};
use crate::units::{System, factor};

/// Points along each side of the dome.
const DOME: u32 = 48;
/// Temperature differences across the dome from which on the glide is told, K.
const GLIDE: f64 = 0.1;

/// The drawing of a circuit on the design day; of the first point that has a solution where that has none.
#[must_use]
pub fn ph(job: &Job, (index, circuit, solved): (usize, &Circuit, &CircuitSurvey), setting: Setting) -> Option<Drawing> {
    let fluid = refrigerant::named(&circuit.refrigerant)?;
    let mut running = solved.points.iter().filter(|point| point.id.is_running());
    let point = solved.point(PointId::SummerFull).or_else(|| running.next())?;
    let show = Show::of(job);
    let narrow = setting.is_narrow();
    let mut canvas = Canvas::new(&format!("ph-{}", index + 1), if narrow { 360.0 } else { 760.0 }, setting);
    let words = format!("Pressure and enthalpy of circuit {}, {}", circuit.name, point.name);
    let below = format!(
        "{}, {} on a logarithmic scale over {}; bubble line left, dew line right.",
        circuit.refrigerant,
        show.units.pressure_absolute_unit(),
        show.units.enthalpy_unit()
    );
    let top = title(&mut canvas, &words, &below);
    let frame = Rect::new(50.0, top + 18.0, if narrow { 296.0 } else { 420.0 }, 270.0);
    let scene = Scene { fluid, point, show };
    let panel = scene.panel(frame)?;
    panel.begin(&mut canvas, "cycle");
    scene.axes(&mut canvas, &panel);
    let sides = scene.dome(&mut canvas, &panel);
    let isotherms = scene.isotherms(&mut canvas, &panel);
    scene.cycle(&mut canvas, &panel);
    name_sides(&mut canvas, &sides);
    name_isotherms(&mut canvas, &isotherms);
    panel.end(&mut canvas);
    let room = if narrow {
        Rect::new(16.0, canvas.bottom() + 10.0, 328.0, 0.0)
    } else {
        Rect::new(500.0, frame.y - 6.0, 244.0, 0.0)
    };
    scene.table(&mut canvas, room);
    Some(canvas.done(words, scene.says()))
}

struct Scene<'a> {
    fluid: &'static Refrigerant,
    point: &'a Point,
    show: Show,
}

impl Scene<'_> {
    /// The corners of the cycle in order: name, pressure and enthalpy.
    fn corners(&self) -> [(&'static str, f64, f64); 6] {
        let state = &self.point.state;
        let of = |name, state: &crate::survey::StateAnswer| (name, state.pressure_Pa, state.enthalpy_J_kg);
        let valve = of("valve inlet", &state.valve_inlet);
        [
            of("suction", &state.suction),
            of("discharge", &state.discharge),
            of("condenser inlet", &state.condenser_inlet),
            of("condenser outlet", &state.condenser_outlet),
            valve,
            ("evaporator inlet", state.suction.pressure_Pa, valve.2),
        ]
    }

    fn panel(&self, frame: Rect) -> Option<Panel> {
        let corners = self.corners();
        let pressures = || corners.iter().map(|corner| corner.1);
        let low = pressures().fold(f64::INFINITY, f64::min) * 0.72;
        let range = self.fluid.range();
        let high =
            (pressures().fold(0.0, f64::max) * 1.4).min(range.pressure_max.min(self.fluid.critical_pressure()) * 0.985);
        let left = self.fluid.bubble_p(low.max(range.pressure_min)).ok()?.enthalpy;
        let right = corners
            .iter()
            .map(|corner| corner.2)
            .fold(self.fluid.dew_p(low.max(range.pressure_min)).ok()?.enthalpy, f64::max);
        let [left, right] = [left, right].map(|h| self.show.enthalpy(h));
        let round = step(right - left, 8);
        Some(Panel {
            frame,
            x: Scale::linear(floor(left, round), ceil(right + 0.03 * (right - left), round), (frame.x, frame.right())),
            y: Scale::log(low.max(range.pressure_min), high, (frame.bottom(), frame.y)),
        })
    }

    fn at(&self, panel: &Panel, pressure: f64, enthalpy: f64) -> At {
        (panel.x.at(self.show.enthalpy(enthalpy)), panel.y.within(pressure))
    }

    fn axes(&self, canvas: &mut Canvas, panel: &Panel) {
        panel.columns(canvas, &numbered_ticks(&panel.x, 8));
        // Round absolute pressures, as the field draws them, that leave one another room on the logarithmic axis.
        let (unit, rounds): (f64, &[f64]) = match self.show.units {
            System::Ip => {
                (factor::PSI, &[10.0, 20.0, 50.0, 100.0, 150.0, 200.0, 300.0, 400.0, 500.0, 600.0, 800.0, 1000.0])
            }
            System::Si => (factor::BAR, &[1.0, 2.0, 3.0, 5.0, 7.0, 10.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 60.0]),
        };
        let mut last = f64::INFINITY;
        let mut rows = Vec::new();
        for round in rounds {
            let pressure = round * unit;
            let y = panel.y.at(pressure);
            if panel.y.holds(pressure) && last - y > 15.0 {
                rows.push((pressure, format!("{round:.0}")));
                last = y;
            }
        }
        panel.rows(canvas, &rows);
        canvas.line(class::THIN, (panel.frame.x, panel.frame.bottom()), (panel.frame.right(), panel.frame.bottom()));
    }

    fn dome(&self, canvas: &mut Canvas, panel: &Panel) -> [Vec<At>; 2] {
        let (low, high) = (panel.y.value_at(panel.frame.bottom()), panel.y.value_at(panel.frame.y));
        let pressures = (0..=DOME).map(|i| low * (high / low).powf(f64::from(i) / f64::from(DOME)));
        let (mut bubble, mut dew): (Vec<At>, Vec<At>) = (Vec::new(), Vec::new());
        for pressure in pressures {
            if let (Ok(liquid), Ok(vapour)) = (self.fluid.bubble_p(pressure), self.fluid.dew_p(pressure)) {
                bubble.push(self.at(panel, pressure, liquid.enthalpy));
                dew.push(self.at(panel, pressure, vapour.enthalpy));
            }
        }
        let corners: Vec<At> = bubble.iter().copied().chain(dew.iter().rev().copied()).collect();
        canvas.polyline(class::BAND, &corners);
        canvas.polyline(class::OUTLINE, &bubble);
        canvas.polyline(class::OUTLINE, &dew);
        canvas.avoid_along(&bubble);
        canvas.avoid_along(&dew);
        [bubble, dew]
    }

    /// The temperatures at which it condenses and evaporates across the dome: level lines where nothing glides.
    fn isotherms(&self, canvas: &mut Canvas, panel: &Panel) -> Vec<(At, At, String)> {
        let mut drawn = Vec::new();
        for kelvin in [self.point.condensing_K, self.point.evaporating_K] {
            let (Ok(dew), Ok(bubble)) = (self.fluid.dew_t(kelvin), self.fluid.bubble_t(kelvin)) else { continue };
            let right = self.at(panel, dew.pressure, dew.enthalpy);
            let left = self.at(panel, bubble.pressure, bubble.enthalpy);
            canvas.line(class::LIMIT, left, right);
            canvas.avoid_along(&[left, right]);
            drawn.push((left, right, self.show.units.temperature(kelvin)));
        }
        drawn
    }

    fn cycle(&self, canvas: &mut Canvas, panel: &Panel) {
        let corners = self.corners().map(|(_, pressure, enthalpy)| self.at(panel, pressure, enthalpy));
        let [suction, discharge, inlet, outlet, valve, expanded] = corners;
        canvas.polyline(class::CURVE_GAS, &[expanded, suction, discharge, inlet, outlet]);
        // The line itself, state by state.
        let runs = self
            .point
            .liquid_line
            .runs
            .iter()
            .map(|run| self.at(panel, run.out.state.pressure_Pa, run.out.state.enthalpy_J_kg));
        let liquid: Vec<At> = std::iter::once(outlet).chain(runs).chain([valve, expanded]).collect();
        canvas.polyline(class::CURVE_LIQUID, &liquid);
        for (from, to) in [(expanded, suction), (suction, discharge), (discharge, outlet), (valve, expanded)] {
            along(from, to, 24).for_each(|at| canvas.take(Rect::round(at, at, 1.5)));
        }
        // The higher of the two ends of the liquid line has its number above.
        let (three, four) = if valve.1 < outlet.1 { (12.0, -4.0) } else { (-4.0, 12.0) };
        let marked = [
            (suction, "1", (9.0, 4.0)),
            (discharge, "2", (9.0, 4.0)),
            (outlet, "3", (-9.0, three)),
            (valve, "4", (-9.0, four)),
        ];
        for (at, words, off) in marked {
            canvas.circle(class::INK, at, 3.6);
            canvas.take(Rect::round(at, at, 3.6));
            let text = Text::new(words, (at.0 + off.0, at.1 + off.1), Type::Strong).halo();
            canvas.write(if off.0 < 0.0 { text.end() } else { text });
        }
        let units = self.show.units;
        let over = format!("condenser, {}", units.heat(self.point.rejection_W));
        let under = format!("evaporator, {}", units.capacity(self.point.capacity_W));
        let middle = |a: At, b: At| f64::midpoint(a.0, b.0);
        let beside = |words, (x, y): At, offs: [f64; 4]| -> Vec<Text> {
            let spots =
                offs.into_iter().flat_map(|off| [0.0, -24.0, -48.0, -72.0, 24.0, 48.0].map(|dx| (x + dx, y + off)));
            spots.map(|at| Text::new(words, at, Type::Soft).middle().halo()).collect()
        };
        let (top, foot) = (outlet.1.min(inlet.1), expanded.1.max(suction.1));
        canvas.write_where_free(&beside(&over, (middle(outlet, inlet), top), [-9.0, -14.0, -25.0, 20.0]));
        canvas.write_where_free(&beside(&under, (middle(expanded, suction), foot), [18.0, 22.0, -9.0, -14.0]));
    }

    /// The states, what the lines take, and the glide.
    fn table(&self, canvas: &mut Canvas, room: Rect) {
        let (units, state) = (self.show.units, &self.point.state);
        let mut y = room.y + 14.0;
        let columns = [room.right() - 62.0, room.right()];
        canvas.write(Text::new(units.pressure_absolute_unit(), (columns[0], y), Type::Soft).end());
        canvas.write(Text::new(units.temperature_unit(), (columns[1], y), Type::Soft).end());
        let rows = [
            ("1", "suction", &state.suction),
            ("2", "discharge", &state.discharge),
            ("", "condenser inlet", &state.condenser_inlet),
            ("3", "condenser outlet", &state.condenser_outlet),
            ("4", "valve inlet", &state.valve_inlet),
        ];
        for (number, name, state) in rows {
            y += 19.0;
            canvas.write(Text::new(number, (room.x, y), Type::Strong));
            canvas.write(Text::new(name, (room.x + 18.0, y), Type::Plain));
            let pressure = units.pressure_absolute_value(state.pressure_Pa);
            canvas.write(Text::new(&pressure, (columns[0], y), Type::Plain).end());
            canvas.write(Text::new(&units.temperature_value(state.temperature_K), (columns[1], y), Type::Plain).end());
        }
        y += 30.0;
        canvas.write(Text::new("What the lines take", (room.x, y), Type::Strong));
        canvas.write(Text::new(units.pressure_difference_unit(), (room.right(), y), Type::Soft).end());
        let (gas, liquid) = (&self.point.discharge_line, &self.point.liquid_line);
        let takes = [
            ("discharge, friction and parts", gas.friction_Pa + gas.parts_Pa),
            ("discharge, static head", gas.static_Pa),
            ("liquid, friction", liquid.friction_Pa),
            ("liquid, parts", liquid.parts_Pa),
            ("liquid, static head", liquid.static_Pa),
        ];
        let shown = units.pressure_difference_column(&takes.map(|take| take.1));
        for ((name, _), value) in takes.iter().zip(shown) {
            y += 19.0;
            let value = value.strip_prefix('-').map_or(value.clone(), |size| format!("\u{2212}{size}"));
            canvas.write(Text::new(name, (room.x, y), Type::Plain));
            canvas.write(Text::new(&value, (room.right(), y), Type::Plain).end());
        }
        y += 24.0;
        for line in measure::wrap(&self.glide(), Type::Soft, room.w) {
            canvas.write(Text::new(&line, (room.x, y), Type::Soft));
            y += 16.0;
        }
    }

    /// The glide at the condenser, and what dashes are.
    fn glide(&self) -> String {
        let pressure = self.point.state.condenser_inlet.pressure_Pa;
        let glide = self.fluid.dew_temperature(pressure).ok().zip(self.fluid.bubble_temperature(pressure).ok());
        let glide = glide.map_or(0.0, |(dew, bubble)| dew - bubble);
        let told = if glide < GLIDE {
            "no glide to be seen".to_owned()
        } else {
            format!("condensing it glides {} from dew to bubble", self.show.units.small_difference(glide))
        };
        format!("Minus: gained by height. Dashed: one temperature across the dome (dew); {told}.")
    }

    fn says(&self) -> String {
        let told = self.corners().map(|(name, pressure, enthalpy)| {
            format!("{name} {} and {}", self.show.units.pressure_absolute(pressure), self.show.units.enthalpy(enthalpy))
        });
        format!("The cycle: {}. {}", told.join(", "), self.glide())
    }
}

/// Points from one to another.
fn along(from: At, to: At, parts: u32) -> impl Iterator<Item = At> {
    (0..=parts).map(move |i| {
        let share = f64::from(i) / f64::from(parts);
        (from.0 + share * (to.0 - from.0), from.1 + share * (to.1 - from.1))
    })
}

fn name_sides(canvas: &mut Canvas, [bubble, dew]: &[Vec<At>; 2]) {
    let beside = |line: &[At], words: &'static str, dx: f64| {
        let at =
            [10, 8, 13, 5].iter().filter_map(|part| line.get(line.len() * part / 16).copied()).collect::<Vec<At>>();
        at.into_iter().map(move |at| {
            let text = Text::new(words, (at.0 + dx, at.1), Type::Soft).halo();
            if dx < 0.0 { text.end() } else { text }
        })
    };
    canvas
        .write_where_free(&beside(bubble, "bubble", -8.0).chain(beside(bubble, "bubble", 10.0)).collect::<Vec<Text>>());
    canvas.write_where_free(&beside(dew, "dew", 8.0).chain(beside(dew, "dew", -8.0)).collect::<Vec<Text>>());
}

fn name_isotherms(canvas: &mut Canvas, drawn: &[(At, At, String)]) {
    for (left, right, words) in drawn {
        let shares = [0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9];
        let places = [-6.0, 16.0, 20.0, -10.0].into_iter().flat_map(|off| {
            shares.map(|share| {
                let at = (left.0 + share * (right.0 - left.0), left.1 + share * (right.1 - left.1));
                Text::new(words, (at.0, at.1 + off), Type::Soft).middle().halo()
            })
        });
        canvas.write_where_free(&places.collect::<Vec<Text>>());
    }
}

#[cfg(test)]
mod tests {
    use super::super::chart::testing::Shown;
    use super::*;

    #[test]
    fn states_stand_at_their_values() {
        let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/as-drawn.toml");
        let job = crate::job::open(&path).unwrap();
        let survey = crate::survey::survey(&job).unwrap();
        let (circuit, solved) = (&job.circuits[0], &survey.circuits[0]);
        let show = Show::of(&job);
        let svg = ph(&job, (0, circuit, solved), Setting::ALONE).unwrap().svg();
        let shown = Shown::of(&svg, "cycle");
        let state = &solved.point(PointId::SummerFull).unwrap().state;
        let states = [&state.suction, &state.discharge, &state.condenser_outlet, &state.valve_inlet];
        let places = shown.circles(class::INK);
        assert_eq!(places.len(), 4);
        // Of the logarithmic axis two states give the scale, and the others must lie on it.
        let height = |i: usize| (places[i].1, states[i].pressure_Pa.ln());
        let (a, b) = (height(0), height(1));
        for (i, state) in states.iter().enumerate() {
            assert!((shown.values(places[i]).0 - show.enthalpy(state.enthalpy_J_kg)).abs() < 0.4);
            let ln = a.1 + (places[i].1 - a.0) / (b.0 - a.0) * (b.1 - a.1);
            assert!((ln.exp() / state.pressure_Pa - 1.0).abs() < 0.005, "{i}");
        }
        // The axis carries absolute pressures: the number beside a line and the states go together.
        for (y, psia) in shown.rows() {
            let ln = a.1 + (y - a.0) / (b.0 - a.0) * (b.1 - a.1);
            assert!((ln.exp() / factor::PSI / psia - 1.0).abs() < 0.005, "{psia}");
        }
        assert!(svg.contains("psia on a logarithmic scale") && !svg.contains("psig"));
    }

    #[test]
    fn a_glide_is_told_and_slopes() {
        let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/as-drawn.toml");
        let text = std::fs::read_to_string(path).unwrap().replace("R-410A", "R-407C").replace("610 psig", "430 psig");
        let job = crate::job::read("hall.toml", &text, std::path::Path::new(".")).unwrap();
        let survey = crate::survey::survey(&job).unwrap();
        let drawing = ph(&job, (0, &job.circuits[0], &survey.circuits[0]), Setting::ALONE).unwrap();
        assert!(drawing.description.contains("glides"), "{}", drawing.description);
        let shown = Shown::of(&drawing.svg(), "cycle");
        let isotherm = shown.curve(class::LIMIT);
        assert!(isotherm[0].1 < isotherm[1].1 - 4.0, "bubble stands higher than dew: {isotherm:?}");
    }
}
