//! A table for each line, run by run in the order of flow.

use crate::job::Circuit;
use crate::layout::{Grid, Sheet, heading, whole};
use crate::refrigerant;
use crate::report::answer::Answer;
use crate::rules::Verdict;
use crate::survey::{CircuitSurvey, LineAnswer, PipeAnswer, Point, RunAnswer, StateAnswer};
use crate::units::System;
use crate::units::words::and;

/// From this width on, the tube has a column of its own.
const WIDE: usize = 84;

/// The discharge line at two points at which the plant runs: the full one by which its drop is judged, else that which
/// costs most; and that at which the gas is slowest, as its sweep is judged, else that of minimum flow.
pub(super) fn discharge(sheet: &mut Sheet, answer: &Answer, circuit: &Circuit, solved: &CircuitSurvey) {
    let units = answer.job.units;
    let costs_maximum = || worst(solved, is_full, |point| -point.discharge_line.saturation_drop_K);
    let flows_minimum = || worst(solved, |_| true, |point| point.discharge_line.flow_kg_s);
    let minimum = judged(answer, solved, "oil-level").or_else(flows_minimum);
    let judged_full = judged(answer, solved, "discharge-drop").filter(|point| is_full(point));
    let Some(full) = judged_full.or_else(costs_maximum).or(minimum) else { return };
    let minimum = minimum.filter(|minimum| minimum.name != full.name);
    heading(sheet, "Discharge line, from the compressors to the condenser");
    let at_least = minimum.map(|minimum| format!("; minimum load at {}{}", minimum.name, bypass(units, minimum)));
    let at_full = if is_full(full) { "Full load" } else { "Load" };
    sheet.paragraph(0, &format!("{at_full} at {}{}.", full.name, at_least.unwrap_or_default()));

    let line = &full.discharge_line;
    let wide = sheet.width() >= WIDE;
    let [at_full, at_least, lifts] =
        if wide { ["full load", "minimum load", "oil return\nratio"] } else { ["full", "min.", "oil\nx"] };
    let mut grid = route(units, line, wide)
        .numbers(format!("{at_full}\n{}", units.velocity_unit()), velocities(units, &line.runs, wide))
        .numbers(format!("drop\n{}", units.pressure_difference_unit()), losses(units, line));
    if let Some(minimum) = minimum {
        let velocities = velocities(units, &minimum.discharge_line.runs, wide);
        grid = grid.numbers(format!("{at_least}\n{}", units.velocity_unit()), velocities);
    }
    let lift = |run: &RunAnswer| run.oil_lift.map(|lift| format!("{:.2}", lift.ratio)).unwrap_or_default();
    let runs_at_least = minimum.map_or(&line.runs, |minimum| &minimum.discharge_line.runs);
    grid = grid.numbers(lifts, runs_at_least.iter().map(lift).collect());
    sheet.table(1, &grid.without_empty_columns());

    let mut sentences = Vec::new();
    if !told(answer, circuit, "discharge-drop") {
        sentences.push(format!(
            "Friction and parts are worth {} of condensing temperature.",
            units.small_difference(line.saturation_drop_K)
        ));
    }
    sentences.extend(static_head(units, line));
    sentences.extend(heat(units, line));
    let shown: Vec<&Point> = std::iter::once(full).chain(minimum).collect();
    sentences.extend((0..line.runs.len()).filter_map(|index| sealed(&shown, index)));
    sheet.paragraph(1, &sentences.join(" "));
}

/// The liquid line at the point by which its subcooling is judged, else that at which the plant runs with the minimum.
pub(super) fn liquid(sheet: &mut Sheet, answer: &Answer, circuit: &Circuit, solved: &CircuitSurvey) {
    let units = answer.job.units;
    let margin = |point: &Point| point.liquid_line.minimum_subcooling_K.unwrap_or(f64::INFINITY);
    let leaves_minimum = || worst(solved, |_| true, margin);
    let Some(point) = judged(answer, solved, "liquid-flash").or_else(leaves_minimum) else { return };
    let line = &point.liquid_line;
    heading(sheet, "Liquid line, from the condenser to the expansion valve");
    let gives = match subcooling(circuit, &point.state.condenser_outlet) {
        Some(gives) if gives < 0.05 && circuit.condenser.subcooling.value > 0.0 => {
            "The coil drains into the receiver and gives no subcooling".to_owned()
        }
        Some(gives) if gives < 0.05 => "The condenser gives no subcooling".to_owned(),
        Some(gives) => format!("The condenser gives {} of subcooling", units.difference(gives)),
        None => "The condenser gives gas with the liquid".to_owned(),
    };
    sheet.paragraph(
        0,
        &format!(
            "At {}{}, by which subcooling is judged. {gives}. Static head adds or takes pressure.",
            point.name,
            bypass(units, point),
        ),
    );

    let wide = sheet.width() >= WIDE;
    let pressure = units.pressure_difference_unit();
    let heights: Vec<f64> = line.runs.iter().map(|run| -run.static_Pa).chain([-line.static_Pa]).collect();
    let shown = units.pressure_difference_column(&heights).into_iter().zip(&heights);
    let heights = shown.map(|(text, height)| if *height == 0.0 { String::new() } else { text }).collect();
    let left = |run: &RunAnswer| match (run.out.state.quality, run.out.subcooling_K) {
        (Some(quality), _) if quality > 0.0 => format!("{:.1} % gas", 100.0 * quality),
        (_, Some(subcooling)) => units.difference_value(subcooling),
        _ => String::new(),
    };
    let (flow, subcooling) = if wide { ("velocity", "subcooling\nleft, ") } else { ("flow", "left\n") };
    let grid = route(units, line, wide)
        .numbers(format!("{flow}\n{}", units.velocity_unit()), velocities(units, &line.runs, wide))
        .numbers(format!("drop\n{pressure}"), losses(units, line))
        .numbers(format!("static\nhead, {pressure}"), heights)
        .numbers(format!("{subcooling}{}", units.difference_unit()), line.runs.iter().map(left).collect());
    sheet.table(1, &grid.without_empty_columns());

    let cost = units.small_difference(line.saturation_drop_K);
    let mut sentences = vec![format!("Friction and parts are worth {cost} of subcooling.")];
    sentences.extend(heat(units, line));
    sheet.paragraph(1, &sentences.join(" "));
}

/// Subcooling of a liquid; none of a mixture.
fn subcooling(circuit: &Circuit, state: &StateAnswer) -> Option<f64> {
    if state.quality.is_some_and(|quality| quality > 0.0) {
        return None;
    }
    let bubble = refrigerant::named(&circuit.refrigerant)?.bubble_temperature(state.pressure_Pa).ok()?;
    Some(bubble - state.temperature_K)
}

/// The point that a rule judged a circuit by, so that table and finding tell of the same; of its worst finding.
fn judged<'a>(answer: &Answer, solved: &'a CircuitSurvey, rule: &str) -> Option<&'a Point> {
    let index = answer.survey.circuits.iter().position(|circuit| circuit.name == solved.name)?;
    let about = answer.findings.iter().filter(|f| f.rule == rule && f.circuit == Some(index));
    about.filter_map(|f| Some((f.verdict, solved.point(f.point()?)?))).max_by_key(|(v, _)| *v).map(|(_, p)| p)
}

/// The point at which the plant runs, of those that `counts`, with the minimum `key`; the first of equals.
fn worst(solved: &CircuitSurvey, counts: impl Fn(&Point) -> bool, key: impl Fn(&Point) -> f64) -> Option<&Point> {
    // At the compressors' rating no plant runs.
    let running = solved.points.iter().filter(|point| point.id.is_running());
    running.filter(|point| counts(point)).min_by(|a, b| key(a).total_cmp(&key(b)))
}

fn is_full(point: &Point) -> bool {
    point.compressor_share >= 1.0
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
    let index = answer.job.circuits.iter().position(|drawn| drawn.name == circuit.name);
    answer.findings.iter().any(|f| f.rule == rule && f.verdict != Verdict::Pass && f.circuit == index)
}

/// The first columns of a line: its runs, then the whole of it.
fn route(units: System, line: &LineAnswer, wide: bool) -> Grid {
    let given = |of: fn(&RunAnswer) -> f64, all: f64| -> Vec<String> {
        let values: Vec<f64> = line.runs.iter().map(of).chain([all]).collect();
        let texts = units.length_column(&values).into_iter().zip(values);
        texts.map(|(text, value)| if value > 0.0 { text } else { String::new() }).collect()
    };
    let lengths = given(|run| run.length_m, line.length_m);
    let equivalents = given(|run| run.equivalent_length_m, line.equivalent_length_m);
    let equivalents = equivalents.into_iter().enumerate().map(|(index, text)| {
        let below = line.runs.get(index).map_or(0, |run| line_of_largest(run, wide));
        format!("{}{text}", "\n".repeat(below))
    });
    let equivalents: Vec<String> = equivalents.collect();
    let tubes = |run: &RunAnswer| -> Vec<String> {
        if run.part.is_some() { Vec::new() } else { run.tubes.iter().map(|tube| tube.size.clone()).collect() }
    };
    let name = |run: &RunAnswer| {
        run.part.clone().unwrap_or_else(|| if run.path == "rise" { "riser" } else { run.path }.to_owned())
    };
    let unit = units.length_unit();
    if wide {
        return Grid::new()
            .numbers("", line.runs.iter().map(|run| run.index.to_string()).collect())
            .words("run", line.runs.iter().map(name).chain(["total".to_owned()]).collect())
            .numbers(format!("length\n{unit}"), lengths)
            .words("tube", line.runs.iter().map(|run| tubes(run).join("\n")).collect())
            .numbers(format!("equivalent\n{unit}"), equivalents);
    }
    let cell = |(run, length): (&RunAnswer, &String)| {
        let first = format!("{:>2} {} {length}", run.index, name(run));
        let below = tubes(run).into_iter().map(|tube| format!("   {tube}"));
        let lines: Vec<String> = std::iter::once(first.trim_end().to_owned()).chain(below).collect();
        whole(&lines.join("\n"))
    };
    let all = lengths.last().map(|length| whole(&format!("   total {length}")));
    Grid::new()
        .words(format!("run, {unit}"), line.runs.iter().zip(&lengths).map(cell).chain(all).collect())
        .numbers(format!("equiv.\n{unit}"), equivalents)
}

/// How far below the first line of a run the largest of its parallel tubes that flows stands, whose equivalent length is told.
fn line_of_largest(run: &RunAnswer, wide: bool) -> usize {
    if run.part.is_some() || run.tubes.len() < 2 {
        return 0;
    }
    run.tubes.iter().rposition(|tube| !tube.sealed).unwrap_or(0) + usize::from(!wide)
}

/// The losses of the runs, then of the whole line.
fn losses(units: System, line: &LineAnswer) -> Vec<String> {
    let all = line.friction_Pa + line.parts_Pa;
    units.pressure_difference_column(&line.runs.iter().map(|run| run.friction_Pa).chain([all]).collect::<Vec<f64>>())
}

/// The velocity in each tube of each run, a line each; where the tubes stand below the run, so do these.
fn velocities(units: System, runs: &[RunAnswer], wide: bool) -> Vec<String> {
    let tubes = |run: &RunAnswer| if run.part.is_some() { 0 } else { run.tubes.len() };
    let flows = |tube: &PipeAnswer| if tube.sealed { f64::NAN } else { tube.velocity_m_s };
    let all: Vec<f64> = runs.iter().flat_map(|run| run.tubes.iter().take(tubes(run)).map(flows)).collect();
    let mut texts = units.velocity_column(&all).into_iter();
    let cell = |run: &RunAnswer| {
        let of_run = run.tubes.iter().take(tubes(run)).zip(texts.by_ref());
        let lines: Vec<String> =
            of_run.map(|(tube, text)| if tube.sealed { "sealed".to_owned() } else { text }).collect();
        let above = if !wide && lines.len() > 1 { "\n" } else { "" };
        format!("{above}{}", lines.join("\n"))
    };
    runs.iter().map(cell).collect()
}

fn static_head(units: System, line: &LineAnswer) -> Option<String> {
    let height = units.length(line.rise_m.abs());
    let pressure = units.pressure_difference(line.static_Pa.abs());
    // A twentieth of a kilopascal is nothing in either system.
    if line.static_Pa.abs() < 50.0 {
        None
    } else if line.static_Pa > 0.0 {
        Some(format!("The static head of the gas, {height}, takes {pressure} more."))
    } else {
        Some(format!("The static head of the gas, {height}, gives {pressure} back."))
    }
}

fn heat(units: System, line: &LineAnswer) -> Option<String> {
    let (gives, to) = if line.heat_W > 0.0 { ("gives", "to") } else { ("takes", "from") };
    let air = format!("The line {gives} {} {to} the ambient air.", units.heat(line.heat_W.abs()));
    let subcooler = format!("The mechanical subcooler takes {}.", units.heat(line.subcooled_W));
    let told = [(line.heat_W, air), (line.subcooled_W, subcooler)];
    let told: Vec<String> = told.into_iter().filter(|(heat, _)| heat.abs() >= 1.0).map(|(_, text)| text).collect();
    (!told.is_empty()).then(|| told.join(" "))
}

/// Says which of a run's parallel tubes oil seals at the points shown, and what is left to flow in.
fn sealed(shown: &[&Point], index: usize) -> Option<String> {
    let tubes = |point: &&Point, sealed: bool| -> Vec<String> {
        let run = point.discharge_line.runs.get(index);
        run.into_iter().flat_map(|run| &run.tubes).filter(|t| t.sealed == sealed).map(|t| t.size.clone()).collect()
    };
    let first = shown.iter().find(|point| !tubes(point, true).is_empty())?;
    let (shut, open) = (tubes(first, true), tubes(first, false));
    let same = shown.iter().filter(|point| tubes(point, true) == shut);
    let names: Vec<String> = same.map(|point| point.name.clone()).collect();
    let run = first.discharge_line.runs.get(index)?;
    let (are, climbs) =
        (if shut.len() == 1 { "is" } else { "are" }, if run.path == "rise" { "climbs" } else { "goes" });
    Some(format!(
        "At {} {} of run {} {are} sealed with oil; all of the flow {climbs} in {}.",
        and(&names),
        and(&shut),
        run.index,
        and(&open)
    ))
}
