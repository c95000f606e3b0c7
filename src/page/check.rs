//! The page of `check`.

use super::piece::pieces;
use super::row::{blind, circuits_named, findings, passed, rows};
use super::view::{Figure, Page, Part, Whole};
use super::{Unwritten, plain};
use crate::draw::marks::Numbered;
use crate::draw::{self, Setting};
use crate::job::{Circuit, Concerns, Job};
use crate::layout::{Grid, Sheet};
use crate::remedies;
use crate::report::first::{First, Unjudged, charges};
use crate::report::{
    self, Answer, assumptions, cautions, circuit_tables, costs, left, of_the_circuits, plant_table, steps,
};
use crate::rules::Verdict;
use crate::survey::{CircuitSurvey, Survey};
use crate::takeoff::TakeOff;
use crate::units::words::and;
use rayon::prelude::*;

/// That a page is no approval.
pub(super) const CHECK: &str = "A check of a drawing by published models, not an approval. The manufacturer, licensed \
                                practice and the authority having jurisdiction govern.";

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
    page.unjudged.extend(blind(job, &first));
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

/// The drawings on which a finding is marked.
pub(super) fn drawn<'a>(figures: impl Iterator<Item = &'a Figure>, number: usize) -> Vec<(String, &'static str)> {
    let on = figures.filter(|figure| figure.marks(number));
    on.map(|figure| (format!("{}-figure", figure.id), figure.called)).collect()
}

/// A page with what stands first on it.
pub(super) fn begun(job: &Job, first: &First, of: &str) -> Page {
    let fails = first.count(Verdict::Fail);
    let verdict = match fails {
        0 => format!("{of}No failures found ({} checks)", first.checks),
        1 => format!("{of}1 failure"),
        n => format!("{of}{n} failures"),
    };
    let mut page = Page::new(job, verdict);
    page.summary = summary(first);
    page.rows = rows(job, first);
    page.close = passed(job, &first.close);
    page
}

/// How many of what, and in which order they stand.
fn summary(first: &First) -> String {
    let counted = |verdict, one: &str, many: &str| match first.count(verdict) {
        0 => None,
        1 => Some(format!("1 {one}")),
        n => Some(format!("{n} {many}")),
    };
    let passed = match first.passed.len() {
        0 => None,
        n => Some(format!("{n} passed")),
    };
    let parts = [counted(Verdict::Caution, "caution", "cautions"), counted(Verdict::Note, "note", "notes"), passed];
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    let order = if first.count(Verdict::Fail) > 1 {
        " Gravest first: what can burst or harm, what will not run, what wears, what costs."
    } else {
        ""
    };
    if parts.is_empty() { order.trim().to_owned() } else { format!("{}.{order}", parts.join(", ")) }
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

/// The whole remedy.
pub(super) fn whole(job: &Job, found: &remedies::Whole) -> Whole {
    let steps: Vec<(String, String)> = steps(job, &found.changes, true)
        .into_iter()
        .map(|(place, what)| (place, what.replace(" -> ", " → ")))
        .collect();
    let left = left(found);
    let count = if steps.len() == 1 { "one change".to_owned() } else { format!("{} changes", steps.len()) };
    let title = if left.is_empty() {
        format!("The whole remedy: {count}, then no failures")
    } else {
        format!("The whole remedy: {count}; what still fails then: {}", and(&left))
    };
    let mut then = Vec::new();
    if !found.effect.newly_cautions.is_empty() {
        then.push(format!("New cautions: {}.", and(&found.effect.newly_cautions)));
    }
    then.push(format!("Costs {}.", costs(job, &found.cost).join(", ")));
    Whole { title, steps, then }
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

/// The cautions before work starts.
pub(super) fn safety(page: &mut Page, job: &Job) {
    page.heading("before", "Before work starts");
    page.part(Part::Cautions(cautions(job)));
}

/// What to buy and to braze, where every size is known.
fn take_off(page: &mut Page, job: &Job, survey: &Survey) {
    if let Ok(list) = TakeOff::new(job, Some(survey), None) {
        page.heading("take-off", "Take-off");
        page.blocks(plain::without_title(pieces(|sheet| list.put(sheet))));
    }
}
