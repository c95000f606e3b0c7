//! How each thing is counted, in words. The count itself is in `count` and `junction`.

use super::answer::{Allowance, CountedBy};
use super::count::straight_length;
use crate::job::{Code, Job};
use crate::refdata::practices::figure;
use crate::refdata::{Material, fitting, practice};
use crate::units::factor::fahrenheit_to_kelvin;

/// The rules of a take-off, in its order.
pub(super) fn counted_by(job: &Job, allowance: &Allowance) -> Vec<CountedBy> {
    let show = job.units;
    let asked = if allowance.source == "user" { " as given" } else { "" };
    let percent = format!("{}{asked}", show.percent(allowance.share));
    let (copper, steel) =
        (straight_length(job.site.code, Material::Copper), straight_length(job.site.code, Material::Steel));
    let trap = fitting("trap");
    let mut all = vec![
        by(
            "tube",
            format!(
                "The drawn lengths of all circuits, copies and parallel tubes, and {percent} for cuts and waste. \
                 Straight lengths are {} in copper and {} in steel.",
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
                "Those drawn, on each of parallel tubes. Added: a coupling for each further straight length of {} in \
                 copper; a reducer where the tube changes; tees where parallel tubes part or meet, if none are drawn. At the ends of parallel tubes, and at a part, they meet in a header, one tube with the section of all of them or more.",
                show.length(copper)
            ),
            "common-practice",
        ),
        by(
            "traps",
            format!(
                "A trap or a loop is {} standard elbows; the short tube between them is in the allowance.",
                trap.map_or(0, |fitting| fitting.pieces)
            ),
            trap.map_or("", |fitting| fitting.source.as_str()),
        ),
        by(
            "parts",
            "Those drawn, in the size of their line; between parallel tubes in the size of the header.".to_owned(),
            "user",
        ),
        by(
            "insulation",
            format!("The drawn lengths of the runs that have it, through their fittings, and {percent}."),
            "common-practice",
        ),
        by(
            "hangers",
            "The length of each run divided by the maximum distance between supports, rounded up. The equipment at a \
             line's start supports its first end. Guides and anchors of risers are not included."
                .to_owned(),
            if job.site.code == Code::Eu { "metric-supports" } else { "irc-p2605" },
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
                "Dry, as gas at one atmosphere: {} volumes of the tube to purge the air, {} an hour for {} minutes a \
                 brazed joint, and one pressure test of the tube at the high-side design pressure. The code governs how a system is tested.",
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
        "The charge of the operating point with the greatest requirement, with the receiver's minimum \
         level."
            .to_owned(),
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
                "Strength test at {} of the design pressure, leak test at the design pressure, neither above the \
                 annealed rating of the weakest tube. A lower nameplate that is not isolated is the maximum.",
                show.percent(figure(strength))
            ),
            &source(strength),
        ),
        by(
            "tests",
            format!(
                "The leak test lasts {} h, corrected for absolute temperature. Dry nitrogen, with no more than {} of \
                 refrigerant as a tracer; never oxygen or air.",
                show.ratio(figure("test_hold") / 3600.0),
                show.percent(figure("tracer"))
            ),
            &source("test_hold"),
        ),
        by(
            "evacuation",
            format!(
                "{} times, the vacuum broken with dry nitrogen between, at an ambient above {}.",
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
