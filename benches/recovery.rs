//! How often the diagnosis finds what the model was given: the table of DEVELOPERS.md. `cargo bench --bench recovery -- 200` makes 200
//! cases of each kind, `-- 200 fans-out warm-air` of those kinds alone (`healthy` and `pairs` are kinds too),
//! with `missed` also those that were not found, were not alone after the visits that are named, or called healthy too.
#![allow(clippy::cast_precision_loss, clippy::unwrap_used, missing_docs, reason = "a measurement")]

#[path = "../tests/common/recovery.rs"]
mod recovery;

use recovery::{MADE, SEVERITIES, jobs, outcomes, percent};
use roofrun::diagnose::{Cause, Verdict};
use std::collections::BTreeMap;

/// A fault that costs less of capacity and of what power gives counts as none: so Yuill and Braun grade (Purdue, paper 1307 of 2012;
/// the figure from memory).
const DEAR: f64 = 0.05;

fn main() {
    let count = std::env::args().find_map(|argument| argument.parse().ok()).unwrap_or(40);
    let named = |kind: &str| std::env::args().any(|argument| argument == kind);
    let known = |kind: &str| MADE.iter().any(|cause| cause.name() == kind) || ["healthy", "pairs"].contains(&kind);
    let all_kinds = !std::env::args().any(|argument| known(&argument));
    let asked = |kind: &str| all_kinds || named(kind);
    let jobs = jobs();
    println!(
        "cause, severity, coefficients: cases, in the first group %, alone after one and two named visits % (at medium severity), \
         causes in it, healthy in it %, how often in those that cost 5 % or more; what leads"
    );
    for shifted in [false, true] {
        let coefficients = if shifted { "other" } else { "job's" };
        if asked("healthy") {
            let all = outcomes(&jobs, &[], 0, 4 * count, shifted);
            let faulty = percent(&all, |one| one.verdict != Verdict::Healthy);
            println!("healthy, -, {coefficients}: {}, called faulty {faulty:.1} {}", all.len(), leading(&all));
        }
        for &cause in MADE.iter().filter(|cause| asked(cause.name())) {
            for (severity, name) in SEVERITIES.iter().enumerate() {
                let all = outcomes(&jobs, &[cause], severity, count, shifted);
                let mean = all.iter().map(|one| one.causes as f64).sum::<f64>() / all.len().max(1) as f64;
                if named("missed") {
                    all.iter().filter(|one| !one.first).for_each(|one| println!("  missed {}", one.said));
                    let left = |one: &&recovery::Outcome| severity == 1 && one.first && !one.alone[1];
                    all.iter().filter(left).for_each(|one| println!("  not alone {}", one.last));
                    let slight = |one: &&recovery::Outcome| severity > 0 && one.healthy;
                    all.iter()
                        .filter(slight)
                        .for_each(|one| println!("  healthy too, costs {:.3} {}", one.cost, one.said));
                }
                let [one, two] = [0, 1].map(|turn| percent(&all, |one| one.alone[turn]));
                let alone = if severity == 1 { format!("{one:.0} {two:.0}") } else { "-".to_owned() };
                let dear = |one: &&recovery::Outcome| one.cost >= DEAR;
                let of_dear = format!(
                    "{} of {}",
                    all.iter().filter(dear).filter(|one| one.healthy).count(),
                    all.iter().filter(dear).count()
                );
                println!(
                    "{}, {name}, {coefficients}: {}, {:.0}, {alone}, {mean:.1}, {:.0}, {of_dear}; {}",
                    cause.name(),
                    all.len(),
                    percent(&all, |one| one.first),
                    percent(&all, |one| one.healthy),
                    leading(&all)
                );
            }
        }
        let pairs = [
            [Cause::DirtyCoil, Cause::Undercharge],
            [Cause::NonCondensables, Cause::CompressorLeak],
            [Cause::WarmAir, Cause::LiquidRestriction],
            [Cause::Overcharge, Cause::DirtyEvaporator],
        ];
        for pair in pairs.into_iter().filter(|_| asked("pairs")) {
            let all = outcomes(&jobs, &pair, 1, count, shifted);
            let found = percent(&all, |one| one.first_two);
            if named("missed") {
                all.iter().filter(|one| !one.first_two).for_each(|one| println!("  missed {}", one.said));
            }
            println!(
                "{} with {}, {coefficients}: {}, in the first two groups {found:.0}; {}",
                pair[0].name(),
                pair[1].name(),
                all.len(),
                leading(&all)
            );
        }
    }
}

fn leading(all: &[recovery::Outcome]) -> String {
    let mut seen: BTreeMap<Cause, usize> = BTreeMap::new();
    for one in all {
        *seen.entry(one.leading).or_default() += 1;
    }
    let said: Vec<String> = seen.iter().map(|(cause, count)| format!("{} {count}", cause.name())).collect();
    said.join(" ")
}
