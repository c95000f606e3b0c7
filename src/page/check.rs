//! The page of `check`.

use super::Unwritten;
use super::common::{CHECK, begun, drawn, safety, sketches, whole};
use super::piece::{pieces, without_title};
use super::row::{findings, passed};
use super::view::{Figure, Page, Part};
use crate::draw::marks::Numbered;
use crate::draw::{self, Setting};
use crate::job::{Circuit, Concerns, Job};
use crate::layout::{Grid, Sheet};
use crate::report::first::{First, Unjudged, charges};
use crate::report::row::{blind, circuits_named};
use crate::report::{self, Answer, assumptions, circuit_tables, of_the_circuits, plant_table};
use crate::rules::Verdict;
use crate::survey::{CircuitSurvey, Survey};
use crate::takeoff::TakeOff;
use crate::units::words::and;
use rayon::prelude::*;

/// The answer of `check` as a page.
///
/// # Errors
/// [`Unwritten`], which no answer brings about.
pub fn check(answer: &Answer) -> Result<String, Unwritten> {
    let job = answer.job;
    let first = First::of(answer);
    let mut page = begun(job, &first, "");
    subtitle(&mut page, answer);
    page.whole = answer.whole.as_ref().map(|found| whole(job, found));
    page.unjudged = unjudged(&first.unjudged);
    page.unjudged.extend(blind(job, &first, usize::MAX));
    page.charge = charge(answer);
    page.check = CHECK;
    if job.circuits.len() > 1 {
        page.blocks(pieces(|sheet| circuits(sheet, answer)));
    }
    let routes = routes(answer, &first);
    let figures = figures(answer, &first);
    let found = findings(job, &first, &|row| drawn(routes.iter().chain(&figures), row.number));
    page.heading("routes", if first.count(Verdict::Fail) > 0 { "Where it fails" } else { "The route" });
    page.parts.extend(routes.into_iter().map(Part::Figure));
    if !found.is_empty() {
        page.heading("findings", "Findings");
        page.part(Part::Findings(found));
    }
    if !figures.is_empty() {
        page.heading("why", "Why");
        page.parts.extend(figures.into_iter().map(Part::Figure));
    }
    page.heading("numbers", "Numbers");
    for (circuit, solved) in answer.circuits() {
        page.blocks(pieces(|sheet| circuit_tables(sheet, answer, circuit, solved)));
    }
    page.blocks(pieces(|sheet| plant_table(sheet, answer)));
    end(&mut page, job, &first);
    take_off(&mut page, job, answer.survey);
    page.html()
}

/// The routes of every circuit.
fn routes(answer: &Answer, first: &First) -> Vec<Figure> {
    let marked = first.numbered(&answer.findings);
    let marked: Vec<Numbered> = marked.map(|(number, finding)| Numbered { number, finding }).collect();
    let of = |index: usize| Figure::of(|setting| draw::route::draw(answer.job, index, &marked, setting));
    (0..answer.job.circuits.len()).into_par_iter().filter_map(of).collect()
}

/// The charts of every circuit.
fn figures(answer: &Answer, first: &First) -> Vec<Figure> {
    let job = answer.job;
    let marked = first.numbered(&answer.findings);
    let marked: Vec<Numbered> = marked.map(|(number, finding)| Numbered { number, finding }).collect();
    let marked = marked.as_slice();
    let circuits: Vec<_> = answer.circuits().enumerate().collect();
    let of = |(index, (circuit, solved)): &(usize, (&Circuit, &CircuitSurvey))| -> Vec<Figure> {
        let which = (*index, *circuit, *solved);
        let risers = draw::oil(job, which, marked, Setting::ALONE).len();
        let oil = (0..risers)
            .map(|riser| Figure::of(|setting| draw::oil(job, which, marked, setting).into_iter().nth(riser)));
        let single = [
            Figure::of(|setting| draw::liquid(job, which, marked, setting)),
            Figure::of(|setting| draw::capacity(job, which, setting)),
            Figure::of(|setting| draw::ph(job, which, setting)),
        ];
        let [liquid, capacity, ph] = single;
        std::iter::once(liquid).chain(oil).chain([capacity, ph]).flatten().collect()
    };
    circuits.par_iter().flat_map_iter(of).collect()
}

/// The circuit in a line, or how many there are.
fn subtitle(page: &mut Page, answer: &Answer) {
    let job = answer.job;
    let line = match (job.circuits.as_slice(), answer.survey.circuits.as_slice()) {
        ([circuit], [solved]) => format!("{}.", report::findings::circuit_line(job.units, circuit, solved)),
        (circuits, _) => {
            let all: u32 = circuits.iter().map(|circuit| circuit.copies).sum();
            format!("{all} circuits, {} of them different.", circuits.len())
        }
    };
    page.subtitle.insert(0, line);
}

fn unjudged(areas: &[Unjudged]) -> Vec<String> {
    let says = |area: &Unjudged| match area {
        Unjudged::SuctionLine => "Suction line: it is not in the job.",
        Unjudged::Evaporator => "Evaporator: its inside, its oil.",
        Unjudged::PlantLoad => "Plant load: none is given.",
        Unjudged::Roof { drawn: true } => "Roof: drawn, and judged by roofrun site.",
        Unjudged::Roof { drawn: false } => "Roof (clearances, warm air, sound, weight): none is drawn.",
        Unjudged::Year { named: true } => "Year: judged by roofrun site.",
        Unjudged::Year { named: false } => "Year: no weather file is named.",
        Unjudged::Remedies => "Remedies: not all were tried; apply what is told, then check again.",
    };
    let said: Vec<&str> = areas.iter().map(says).collect();
    vec![said.join(" ")]
}

fn charge(answer: &Answer) -> Vec<String> {
    let job = answer.job;
    let mut missing: Vec<&str> = Vec::new();
    let mut lines: Vec<String> = Vec::new();
    for (index, charge) in charges(answer) {
        let of = if job.circuits.len() > 1 { format!("{}: ", circuits_named(job, &[index])) } else { String::new() };
        lines.push(format!("{of}{} at {}.", job.units.mass(charge.total_kg), charge.greatest));
        missing.extend(charge.not_counted.iter().filter(|what| !missing.contains(what)).collect::<Vec<_>>());
    }
    if !missing.is_empty() {
        lines.push(format!("Not the system charge: {} are not counted.", and(&missing)));
    }
    lines
}

/// The circuits of a plant, identical ones once.
fn circuits(sheet: &mut Sheet, answer: &Answer) {
    let units = answer.job.units;
    let mut grid = Grid::new()
        .left("circuit")
        .right("quantity")
        .left("refrigerant")
        .right(format!("each\n{}", units.capacity_unit()))
        .right(format!("charge each\n{}", units.mass_unit()))
        .right("cut-out trips\noutdoors");
    for (circuit, solved) in answer.circuits() {
        let derating = solved.derating.as_ref();
        grid.row(vec![
            circuit.name.clone(),
            circuit.copies.to_string(),
            circuit.refrigerant.clone(),
            derating.map(|d| units.capacity_value(d.at_design_W)).unwrap_or_default(),
            solved.charge.as_ref().map(|charge| units.mass_value(charge.total_kg)).unwrap_or_default(),
            derating
                .filter(|derating| derating.highest_is_cutout)
                .map(|derating| units.temperature(derating.highest_outdoor_K))
                .unwrap_or_default(),
        ]);
    }
    sheet.table(0, &grid);
}

/// What passed, what was assumed and what to mind.
fn end(page: &mut Page, job: &Job, first: &First) {
    if !first.passed.is_empty() {
        page.heading("passed", "Passed");
        page.part(Part::Passed(passed(job, &first.passed)));
    }
    page.blocks(pieces(|sheet| {
        assumptions::own_limits(sheet, job, of_the_circuits);
        assumptions::assumptions(sheet, job, |concerns| matches!(concerns, Concerns::Circuits | Concerns::Plant));
    }));
    safety(page, job);
}

/// What to buy and to braze, where every size is known.
fn take_off(page: &mut Page, job: &Job, survey: &Survey) {
    if let Ok(list) = TakeOff::new(job, Some(survey), None) {
        page.heading("take-off", "Take-off");
        page.parts.extend(sketches(job).map(Part::Figure));
        page.blocks(without_title(pieces(|sheet| list.put(sheet))));
    }
}
