//! `draw`: a drawing of a job.

use super::arguments::{Draw, What};
use super::check;
use super::diagnose::{self, Answered};
use super::screen::{self, Trouble, View};
use crate::draw::{self, Breadth, Drawing, Setting, marks};
use crate::job::Job;
use crate::survey::Survey;
use crate::{remedies, roof, rules, survey, year};
use std::path::Path;
use std::process::ExitCode;

pub(super) fn run(what: &Draw, view: View) -> Result<ExitCode, Trouble> {
    if let Some(out) = &what.out {
        screen::may_write(out, what.overwrite)?;
    }
    let drawing = match &what.readings {
        Some(readings) => read(what, readings, view)?,
        None if what.trend.columns.is_some() || what.trend.dates.is_some() => return Err(of_read()),
        None => drawing(what, &check::open(&what.job, view)?, view)?,
    };
    match &what.out {
        Some(out) if is_png(out) => screen::put(out, png(&drawing)?, what.overwrite)?,
        Some(out) => screen::put(out, drawing.svg(), what.overwrite)?,
        None => screen::print(&drawing.svg())?,
    }
    Ok(ExitCode::SUCCESS)
}

/// What was read, or a trend.
fn read(what: &Draw, readings: &Path, view: View) -> Result<Drawing, Trouble> {
    if what.what != What::Read {
        return Err(of_read());
    }
    let drawn = match diagnose::answered(&what.job, readings, what.circuit.as_deref(), &what.trend, view)? {
        (job, Answered::Set(answer)) => draw::diagnosis(&job, &answer, setting(what)),
        (job, Answered::Trend(trend)) => draw::trend(&job, &trend, setting(what)),
    };
    drawn.ok_or_else(|| {
        Trouble::words("these readings leave nothing to draw: nothing ran, or nothing was held against them")
    })
}

fn of_read() -> Trouble {
    Trouble::words("--readings, --columns and --dates are of --what read")
}

fn setting(what: &Draw) -> Setting {
    Setting { breadth: if what.narrow { Breadth::Narrow } else { Breadth::Wide }, ..Setting::ALONE }
}

fn is_png(file: &Path) -> bool {
    file.extension().is_some_and(|end| end.eq_ignore_ascii_case("png"))
}

#[cfg(feature = "png")]
fn png(drawing: &Drawing) -> Result<Vec<u8>, Trouble> {
    draw::png::png(drawing).map_err(|fault| Trouble::words(fault.to_string()))
}

#[cfg(not(feature = "png"))]
fn png(_: &Drawing) -> Result<Vec<u8>, Trouble> {
    Err(Trouble::words(
        "this build of roofrun draws SVG alone, which every browser opens and prints; for PNG build it with --features png",
    ))
}

fn drawing(what: &Draw, job: &Job, view: View) -> Result<Drawing, Trouble> {
    let setting = setting(what);
    let survey = if what.what == What::Capacity { survey::survey(job) } else { survey::without_curve(job) };
    let survey = survey.map_err(|faults| check::unsurveyed(job, &faults, view))?;
    let drawn = match what.what {
        What::Isometric => {
            let circuit = circuit(job, what.circuit.as_deref())?;
            draw::isometric::draw(job, circuit, setting).or_else(|| {
                screen::note(
                    "No sketch: the first level run of each line must say its turn. This is the route in elevation.",
                    view.width,
                );
                draw::route::draw(job, circuit, &[], setting)
            })
        }
        What::Plan => roof::study(job, &survey).and_then(|study| {
            let findings = rules::check_site(job, Some(&study), None);
            draw::plan::draw(job, &study, &marks::numbered(job, &findings, &[]), setting)
        }),
        What::Duration | What::Hours => {
            let year = year::year(job, &|_| {}).map_err(|faults| check::unsurveyed(job, &faults, view))?;
            let draw = |year| {
                if what.what == What::Hours { draw::map(year, setting) } else { draw::duration(job, year, setting) }
            };
            year.as_ref().and_then(draw)
        }
        _ => of_a_circuit(what, job, &survey, setting)?,
    };
    drawn.ok_or_else(|| Trouble::words(format!("{}: nothing to draw: {}", job.file, lacks(what.what))))
}

/// What a job lacks where a drawing of it is empty.
const fn lacks(what: What) -> &'static str {
    match what {
        What::Plan => "it has no [roof] that says where its condensers are",
        What::Duration | What::Hours => "it names no weather file (`weather` in [site])",
        What::Oil => "no riser of its discharge line lifts oil",
        What::Capacity => "its capacity has no curve over outdoor temperature",
        What::Liquid | What::Cycle => "no operating point has a solution",
        What::Route | What::Isometric | What::Read => "the circuit has no route",
    }
}

/// A drawing of one circuit.
fn of_a_circuit(what: &Draw, job: &Job, survey: &Survey, setting: Setting) -> Result<Option<Drawing>, Trouble> {
    let index = circuit(job, what.circuit.as_deref())?;
    let Some(which) = job.circuits.get(index).zip(survey.circuits.get(index)) else { return Ok(None) };
    let which = (index, which.0, which.1);
    // What would mend them tells which findings of several circuits are one, and so their numbers.
    let findings = rules::check_all(job, survey);
    let (remedies, ..) = remedies::remedies_and_whole(job, survey, &findings);
    let marked = marks::numbered(job, &findings, &remedies);
    Ok(match what.what {
        What::Liquid => draw::liquid(job, which, &marked, setting),
        What::Oil => draw::oil(job, which, &marked, setting).into_iter().next(),
        What::Capacity => draw::capacity(job, which, setting),
        What::Cycle => draw::ph(job, which, setting),
        _ => draw::route::draw(job, index, &marked, setting),
    })
}

/// The circuit of that name, or the only one.
fn circuit(job: &Job, name: Option<&str>) -> Result<usize, Trouble> {
    let names = || job.circuits.iter().map(|circuit| circuit.name.as_str()).collect::<Vec<_>>().join(", ");
    match name {
        Some(name) => job
            .circuits
            .iter()
            .position(|circuit| circuit.name == name)
            .ok_or_else(|| Trouble::words(format!("{} has no circuit {name}; it has {}", job.file, names()))),
        None if job.circuits.len() == 1 => Ok(0),
        None => Err(Trouble::words(format!("{} has several circuits; give one with --circuit: {}", job.file, names()))),
    }
}
