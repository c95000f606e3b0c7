//! How each thing is counted, in words. The count itself is in `count` and `junction`.

use super::answer::{Allowance, CountedBy};
use crate::job::{Code, Job};
use crate::refdata::practices::figure;
use crate::refdata::{fitting, practice};
use crate::units::factor::fahrenheit_to_kelvin;

/// The rules of a take-off, in its order.
pub(super) fn counted_by(job: &Job, allowance: &Allowance) -> Vec<CountedBy> {
    let show = job.units;
    let asked = if allowance.source == "user" { " as asked" } else { "" };
    let percent = format!("{}{asked}", show.percent(allowance.share));
    let (copper, steel) = (figure("straight_length_copper"), figure("straight_length_steel"));
    let trap = fitting("trap");
    let mut all = vec![
        by(
            "tube",
            format!(
                "The drawn lengths of all circuits, each copy and each of parallel tubes, and {percent} for cuts and \
                 waste. Straight lengths are of {} in copper and {} in steel.",
                show.length(copper),
                show.length(steel)
            ),
            "common-practice",
        ),
        by(
            "metal",
            format!(
                "Tube alone, by its nominal diameter and wall: copper {}, steel {}.",
                show.density(figure("copper_density")),
                show.density(figure("steel_density"))
            ),
            &source("copper_density"),
        ),
        by(
            "fittings",
            format!(
                "Those drawn, on each of parallel tubes. Besides: a coupling for each further straight length begun \
                 between two changes of tube or parts, {} in copper; a reducer where the tube changes and none is drawn \
                 beside it; tees where parallel tubes part or meet and none are drawn. Where a line of parallel tubes begins or \
                 ends, or a part stands in it, they meet in a header, one tube of no less section than all of them.",
                show.length(copper)
            ),
            "common-practice",
        ),
        by(
            "traps",
            format!(
                "A trap or a loop is {} standard elbows; the short tube between them comes out of the allowance.",
                trap.map_or(0, |fitting| fitting.pieces)
            ),
            trap.map_or("", |fitting| fitting.source.as_str()),
        ),
        by(
            "parts",
            "Those drawn, in the size of their line; between parallel tubes in that of their header.".to_owned(),
            "user",
        ),
        by(
            "insulation",
            format!("The drawn lengths of the runs that have it, through their fittings, and {percent}."),
            "common-practice",
        ),
        by(
            "hangers",
            "The length of each run over the greatest distance between supports, rounded up; what stands at a line's \
             start holds its first end. A riser's guides and anchors are not among them."
                .to_owned(),
            "irc-p2605",
        ),
        by(
            "joints",
            "Two at an elbow, a bend, a coupling, a reducer and a part, one at a street elbow, three at a tee, one at \
             each end of a line. Steel is welded, with one joint and no coupling for each further length."
                .to_owned(),
            "common-practice",
        ),
        by(
            "nitrogen",
            format!(
                "Dry, as gas of one atmosphere: {} volumes of the tube to sweep the air out, {} an hour for {} minutes a \
                 brazed joint, and once to the high-side design pressure in the tube alone. The code governs how a system \
                 is tested.",
                show.ratio(figure("sweep_volumes")),
                show.volume(figure("brazing_flow") * 3600.0),
                show.ratio(figure("brazing_time") / 60.0)
            ),
            &source("sweep_volumes"),
        ),
    ];
    all.extend(of_tests(job));
    all.push(by(
        "refrigerant",
        "What the most demanding operating point requires, with the receiver's minimum level.".to_owned(),
        "roofrun",
    ));
    all
}

/// How pressure tests and evacuation are told.
fn of_tests(job: &Job) -> [CountedBy; 3] {
    let show = job.units;
    let strength = if job.site.code == Code::Eu { "strength_test_eu" } else { "strength_test" };
    [
        by(
            "tests",
            format!(
                "Strength test at {} of the design pressure, leak test at the design pressure, neither over the rating of the \
                 weakest tube, brazed; what is not isolated may have less on its nameplate, and then that is the most.",
                show.percent(figure(strength))
            ),
            &source(strength),
        ),
        by(
            "tests",
            format!(
                "The leak test stands for {} h, corrected for temperature by the absolute ratio. Dry nitrogen, at most {} of \
                 refrigerant in it as a tracer; never oxygen or air.",
                show.ratio(figure("test_hold") / 3600.0),
                show.percent(figure("tracer"))
            ),
            &source("test_hold"),
        ),
        by(
            "evacuation",
            format!(
                "{} times, the vacuum broken with dry nitrogen between; the air warmer than {}.",
                show.ratio(figure("evacuations")),
                show.temperature(fahrenheit_to_kelvin(35.0))
            ),
            &source("evacuations"),
        ),
    ]
}

fn by(what: &'static str, says: String, source: &str) -> CountedBy {
    CountedBy { what, says, source: source.to_owned() }
}

fn source(key: &str) -> String {
    practice(key).map_or_else(String::new, |practice| practice.source.clone())
}
