//! A table for each line, run by run in the order of flow.

use super::heading;
use crate::job::Circuit;
use crate::report::answer::Answer;
use crate::rules::Verdict;
use crate::sheet::{Align, Grid, Sheet};
use crate::survey::{CircuitSurvey, LineAnswer, PipeAnswer, Point, RunAnswer};
use crate::units::System;

/// From this width on, the tube has a column of its own.
const WIDE: usize = 84;

/// The discharge line at two points: that by which its drop is judged, else the full one that costs most; and that by
/// which its oil lift is judged, else the one where oil rises worst.
pub(super) fn discharge(sheet: &mut Sheet, answer: &Answer, circuit: &Circuit, solved: &CircuitSurvey) {
    let units = answer.job.units;
    let costs_most = || worst(&solved.points, is_full, |point| -point.discharge_line.saturation_drop_K);
    let lifts_least = || worst(&solved.points, |_| true, |point| oil_lift(&point.discharge_line));
    let Some(full) = judged(answer, solved, "discharge-drop").or_else(costs_most) else { return };
    let least = judged(answer, solved, "oil-lift").or_else(lifts_least);
    let least = least.filter(|least| least.name != full.name);
    heading(sheet, "Discharge line, from the compressors to the condenser");
    let at_least = least.map(|least| format!("; least at {}{}", least.name, bypass(units, least)));
    sheet.paragraph(0, &format!("Full flow at {}{}.", full.name, at_least.unwrap_or_default()));

    let line = &full.discharge_line;
    let wide = sheet.width() >= WIDE;
    let mut grid = route_columns(units, wide)
        .column(format!("{}\n{}", if wide { "full flow" } else { "full" }, units.velocity_unit()), Align::Right)
        .column(format!("loss\n{}", units.pressure_difference_unit()), Align::Right);
    if least.is_some() {
        let head = if wide { "least flow" } else { "least" };
        grid = grid.column(format!("{head}\n{}", units.velocity_unit()), Align::Right);
    }
    grid = grid.column(if wide { "lifts oil\ntimes" } else { "oil\nx" }, Align::Right);
    for run in &line.runs {
        let mut cells = route_cells(units, run, wide);
        cells.push(velocities(units, run, wide));
        cells.push(units.pressure_difference_value(run.friction_Pa));
        let at_least = least.map_or(Some(run), |least| least.discharge_line.runs.get(run.index - 1));
        if least.is_some() {
            cells.push(at_least.map(|run| velocities(units, run, wide)).unwrap_or_default());
        }
        cells.push(at_least.and_then(|run| run.oil_lift).map(|lift| units.ratio(lift.ratio)).unwrap_or_default());
        grid.row(cells);
    }
    let mut cells = total_cells(units, line, wide);
    cells.extend([String::new(), units.pressure_difference_value(line.friction_Pa + line.parts_Pa)]);
    grid.row(cells);
    sheet.table(1, &grid.without_empty_columns());

    let mut sentences = Vec::new();
    if !told(answer, circuit, "discharge-drop") {
        sentences.push(format!(
            "Friction and parts cost {} of condensing temperature.",
            units.small_difference(line.saturation_drop_K)
        ));
    }
    sentences.extend(static_head(units, line));
    sentences.extend(heat(units, line));
    sentences.extend(sealed(least.unwrap_or(full)));
    sheet.paragraph(1, &sentences.join(" "));
}

/// The liquid line at the point by which its subcooling is judged, else that which leaves the least.
pub(super) fn liquid(sheet: &mut Sheet, answer: &Answer, circuit: &Circuit, solved: &CircuitSurvey) {
    let units = answer.job.units;
    let margin = |point: &Point| point.liquid_line.least_subcooling_K.unwrap_or(f64::INFINITY);
    let leaves_least = || worst(&solved.points, |_| true, margin);
    let Some(point) = judged(answer, solved, "liquid-flash").or_else(leaves_least) else { return };
    let line = &point.liquid_line;
    heading(sheet, "Liquid line, from the condenser to the expansion valve");
    sheet.paragraph(
        0,
        &format!(
            "At {}{}, which leaves the least subcooling. The condenser gives {}; height gives or takes pressure.",
            point.name,
            bypass(units, point),
            units.difference(circuit.condenser.subcooling.value)
        ),
    );

    let wide = sheet.width() >= WIDE;
    let pressure = units.pressure_difference_unit();
    let mut grid = route_columns(units, wide)
        .column(format!("{}\n{}", if wide { "velocity" } else { "flow" }, units.velocity_unit()), Align::Right)
        .column(format!("loss\n{pressure}"), Align::Right)
        .column(format!("height\n{pressure}"), Align::Right)
        .column(
            if wide {
                format!("subcooling\nleft, {}", units.difference_unit())
            } else {
                format!("left\n{}", units.difference_unit())
            },
            Align::Right,
        );
    for run in &line.runs {
        let mut cells = route_cells(units, run, wide);
        cells.push(velocities(units, run, wide));
        cells.push(units.pressure_difference_value(run.friction_Pa));
        cells.push(if run.static_Pa == 0.0 { String::new() } else { units.pressure_difference_value(-run.static_Pa) });
        cells.push(match (run.out.state.quality, run.out.subcooling_K) {
            (Some(quality), _) if quality > 0.0 => format!("{} gas", units.percent(quality)),
            (_, Some(subcooling)) => units.difference_value(subcooling),
            _ => String::new(),
        });
        grid.row(cells);
    }
    let mut cells = total_cells(units, line, wide);
    cells.extend([
        String::new(),
        units.pressure_difference_value(line.friction_Pa + line.parts_Pa),
        if line.static_Pa == 0.0 { String::new() } else { units.pressure_difference_value(-line.static_Pa) },
        String::new(),
    ]);
    grid.row(cells);
    sheet.table(1, &grid.without_empty_columns());

    let cost = units.small_difference(line.saturation_drop_K);
    let mut sentences = vec![format!("Friction and parts cost {cost} of subcooling.")];
    sentences.extend(heat(units, line));
    sheet.paragraph(1, &sentences.join(" "));
}

/// The point that a rule judged a circuit by, so that table and finding tell of the same; of its worst finding.
fn judged<'a>(answer: &Answer, solved: &'a CircuitSurvey, rule: &str) -> Option<&'a Point> {
    let about = answer.findings.iter().filter(|f| f.rule == rule && f.circuit.as_ref() == Some(&solved.name));
    about.filter_map(|f| Some((f.verdict, solved.point(f.point.as_deref()?)?))).max_by_key(|(v, _)| *v).map(|(_, p)| p)
}

/// The point of those that `counts` with the least `key`; the first of equals.
fn worst(points: &[Point], counts: impl Fn(&Point) -> bool, key: impl Fn(&Point) -> f64) -> Option<&Point> {
    points.iter().filter(|point| counts(point)).min_by(|a, b| key(a).total_cmp(&key(b)))
}

fn is_full(point: &Point) -> bool {
    point.compressor_share >= 1.0
}

/// The least oil lift of a line; without rises its flow, set behind every lift.
fn oil_lift(line: &LineAnswer) -> f64 {
    line.runs
        .iter()
        .filter_map(|run| run.oil_lift)
        .map(|lift| lift.ratio)
        .reduce(f64::min)
        .unwrap_or(1e6 + line.flow_kg_s)
}

fn bypass(units: System, point: &Point) -> String {
    if point.bypass_share > 0.0 {
        format!(", the bypass open for {}", units.percent(point.bypass_share))
    } else {
        String::new()
    }
}

/// Whether a rule already told its number for the circuit.
fn told(answer: &Answer, circuit: &Circuit, rule: &str) -> bool {
    answer
        .findings
        .iter()
        .any(|f| f.rule == rule && f.verdict != Verdict::Pass && f.circuit.as_deref() == Some(circuit.name.as_str()))
}

fn route_columns(units: System, wide: bool) -> Grid {
    let grid = Grid::new();
    let grid = if wide {
        grid.column("", Align::Right)
            .column("run", Align::Left)
            .column(format!("length\n{}", units.length_unit()), Align::Right)
            .column("tube", Align::Left)
    } else {
        grid.column(format!("run, {}", units.length_unit()), Align::Left)
    };
    grid.column(format!("{}\n{}", if wide { "equivalent" } else { "equiv." }, units.length_unit()), Align::Right)
}

fn route_cells(units: System, run: &RunAnswer, wide: bool) -> Vec<String> {
    let number = run.index.to_string();
    let length = if run.part.is_some() { String::new() } else { units.length_value(run.length_m) };
    let name = run.part.as_deref().unwrap_or(run.path);
    let tubes: Vec<&str> =
        if run.part.is_some() { Vec::new() } else { run.tubes.iter().map(|t| t.size.as_str()).collect() };
    let equivalent =
        if run.equivalent_length_m > 0.0 { units.length_value(run.equivalent_length_m) } else { String::new() };
    if wide {
        vec![number, name.to_owned(), length, tubes.join("\n"), equivalent]
    } else {
        let run = format!("{number:>2} {name} {length}");
        let below = tubes.iter().map(|tube| format!("   {tube}"));
        let cell: Vec<String> = std::iter::once(run.trim_end().to_owned()).chain(below).collect();
        vec![cell.join("\n").replace(' ', "\u{a0}"), equivalent]
    }
}

fn total_cells(units: System, line: &LineAnswer, wide: bool) -> Vec<String> {
    let (length, equivalent) = (units.length_value(line.length_m), units.length_value(line.equivalent_length_m));
    if wide {
        vec![String::new(), "in all".to_owned(), length, String::new(), equivalent]
    } else {
        vec![format!("   in all {length}").replace(' ', "\u{a0}"), equivalent]
    }
}

/// The velocity in each of a run's tubes, a line each; where the tubes stand below the run, so do these.
fn velocities(units: System, run: &RunAnswer, wide: bool) -> String {
    if run.part.is_some() {
        return String::new();
    }
    let velocity = |tube: &PipeAnswer| {
        if tube.sealed { "sealed".to_owned() } else { units.velocity_value(tube.velocity_m_s) }
    };
    let lines: Vec<String> = run.tubes.iter().map(velocity).collect();
    let above = if !wide && lines.len() > 1 { "\n" } else { "" };
    format!("{above}{}", lines.join("\n"))
}

fn static_head(units: System, line: &LineAnswer) -> Option<String> {
    let height = units.length(line.rise_m.abs());
    let pressure = units.pressure_difference(line.static_Pa.abs());
    // A twentieth of a kilopascal is nothing in either system.
    if line.static_Pa.abs() < 50.0 {
        None
    } else if line.static_Pa > 0.0 {
        Some(format!("The column of gas, {height} high, takes {pressure} more."))
    } else {
        Some(format!("The column of gas, {height} down, gives {pressure} back."))
    }
}

fn heat(units: System, line: &LineAnswer) -> Option<String> {
    if line.heat_W.abs() < 1.0 {
        return None;
    }
    let way = if line.heat_W > 0.0 { "gives" } else { "takes" };
    let air = if line.heat_W > 0.0 { "to" } else { "from" };
    Some(format!("It {way} {} {air} the air round it.", units.heat(line.heat_W.abs())))
}

/// Says which tube of a double riser oil seals.
fn sealed(point: &Point) -> Option<String> {
    let run = point.discharge_line.runs.iter().find(|run| run.tubes.iter().any(|tube| tube.sealed))?;
    let tube = run.tubes.iter().find(|tube| tube.sealed)?;
    Some(format!("At {} oil seals the {} of run {}, as a double riser should.", point.name, tube.size, run.index))
}
