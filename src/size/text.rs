//! What was found, for a person.

use super::answer::{CircuitSizing, Neighbour, Numbers, Outcome, Sizing};
use crate::job::Job;
use crate::layout::{Grid, Hang, Sheet, style, wrap};
use crate::refdata::Tube;
use crate::rules::Finding;
use crate::survey::deferral;
use crate::units::System;
use std::fmt::Write as _;

/// The answer of `size` as text.
#[must_use]
pub fn text(job: &Job, sizing: &Sizing, width: usize) -> String {
    let mut sheet = Sheet::new(width);
    put(&mut sheet, job, sizing);
    sheet.finish()
}

/// Writes it on a sheet.
pub(crate) fn put(sheet: &mut Sheet, job: &Job, sizing: &Sizing) {
    sheet.paragraph(0, &job.title);
    if !sizing.is_open() {
        let write = "No tube is open: write tube = \"auto\" on a line or a run, or use --all.";
        return sheet.styled(Hang::flush(0), style::NOTE, write);
    }
    let fails = |circuit: &CircuitSizing| matches!(&circuit.outcome, Outcome::Found { fails, .. } if !fails.is_empty());
    let stopped =
        sizing.circuits.iter().any(|circuit| matches!(circuit.outcome, Outcome::Blocked { stopped: true, .. }));
    let verdict = match (sizing.sized(), sizing.plant.is_empty()) {
        (true, false) => ("All open runs sized, but the plant does not carry its load", style::FAIL),
        (true, true) if sizing.circuits.iter().any(fails) => {
            ("All open runs sized, but the tube does not resolve what fails", style::FAIL)
        }
        (true, true) => ("All open runs sized", style::PASS),
        (false, _) if stopped => ("The search stopped before it had tried every tube", style::FAIL),
        (false, _) if sizing.circuits.len() > 1 => ("Not all open runs sized", style::FAIL),
        (false, _) => ("Nothing passes", style::FAIL),
    };
    sheet.styled(Hang::flush(0), verdict.1, verdict.0);
    let copper: f64 = sizing.circuits.iter().filter_map(|c| Some(f64::from(c.copies) * found(c)?.copper_kg)).sum();
    if copper > 0.0 && sizing.circuits.len() > 1 {
        sheet.paragraph(0, &format!("Copper tube of all circuits: {}.", job.units.mass(copper)));
    }
    for finding in &sizing.plant {
        sheet.space();
        told(sheet, &sizing.job, finding);
    }
    for circuit in &sizing.circuits {
        sheet.space();
        one(sheet, &sizing.job, circuit);
    }
    sheet.space();
    sheet.paragraph(
        0,
        &format!(
            "Chosen: the lightest copper tube, fittings not weighed, with which no rule fails at any operating point; usual \
             pressure drop and velocity are met where any tube meets them. The charge is that of the two lines on the \
             design day; {} Licensed practice, the manufacturer's instructions and the code in force govern.",
            deferral(sizing.job.site.code)
        ),
    );
}

fn found(circuit: &CircuitSizing) -> Option<&Numbers> {
    match &circuit.outcome {
        Outcome::Found { numbers, .. } => Some(numbers),
        Outcome::NothingOpen | Outcome::Blocked { .. } => None,
    }
}

/// `1-3/8 ACR`, or `7/8 ACR + 1-3/8 ACR` for two in parallel.
pub(super) fn tubes(tubes: &[Tube]) -> String {
    tubes.iter().map(|tube| tube.name.as_str()).collect::<Vec<_>>().join(" + ")
}

fn one(sheet: &mut Sheet, job: &Job, circuit: &CircuitSizing) {
    let units = job.units;
    let mut name = circuit.name.clone();
    if circuit.copies > 1 {
        let _ = write!(name, ", {} identical", circuit.copies);
    }
    sheet.styled(Hang::flush(0), style::STRONG, &name);
    match &circuit.outcome {
        Outcome::NothingOpen => {
            sheet.paragraph(1, "No tube is open.");
        }
        Outcome::Found { set, numbers, neighbours, cautions, sealed_at, fails } => {
            let mut rows = vec![(String::new(), "all as chosen".to_owned(), Some(numbers))];
            for (section, choice) in set {
                rows.push((String::new(), format!("{}: {}, chosen", section.name(), tubes(&choice.tubes)), None));
                let beside = neighbours.iter().filter(|neighbour| neighbour.section == *section);
                rows.extend(
                    beside.map(|neighbour| (against(neighbour, fails), label(neighbour), neighbour.numbers.as_ref())),
                );
            }
            compared(sheet, units, &rows);
            if let Some((_, choice)) = set.iter().find(|(_, choice)| choice.tubes.len() > 1) {
                let larger = choice.tubes.last().map(|tube| tube.name.as_str()).unwrap_or_default();
                let at = sealed_at.join(", ");
                sheet.paragraph(1, &format!("{larger} of the double riser is sealed with oil at {at}."));
            }
            if !cautions.is_empty() {
                sheet.paragraph(1, &format!("It passes with cautions: {}.", cautions.join(", ")));
            }
            if !fails.is_empty() {
                sheet.styled(Hang::flush(1), style::FAIL, "What fails with any tube:");
            }
            for finding in fails {
                told(sheet, job, finding);
            }
        }
        Outcome::Blocked { nearest, fails, stopped } => {
            let says = if *stopped {
                "The search stopped: no set that was tried passes every rule; others may. Limit the kinds with --from."
            } else {
                "No tube that was tried passes every rule."
            };
            sheet.styled(Hang::flush(1), style::FAIL, says);
            let set: Vec<String> = nearest
                .iter()
                .map(|(section, choice)| format!("{} {}", section.name(), tubes(&choice.tubes)))
                .collect();
            sheet.paragraph(1, &format!("Nearest: {}. With it still fails:", set.join("; ")));
            for finding in fails {
                told(sheet, job, finding);
            }
        }
    }
}

/// A fail with what would have to change.
fn told(sheet: &mut Sheet, job: &Job, finding: &Finding) {
    sheet.labelled(1, finding.rule, style::FAIL, 20, &finding.text(job));
}

/// The narrowest sheet for all numbers.
const WIDE: usize = 84;
/// The narrowest sheet for a table of the sets; below it they stand in words.
const TABLE: usize = 60;

/// What stands beside a choice is set in below it.
const INDENT: &str = "\u{a0}\u{a0}";
/// What speaks against it keeps to so many columns.
const BESIDE: usize = 34;

/// Sets beside each other: what speaks against each, what it is, its numbers.
fn compared(sheet: &mut Sheet, units: System, rows: &[(String, String, Option<&Numbers>)]) {
    let columns: &[Column] = if sheet.width() < WIDE { &NUMBERS[1..] } else { &NUMBERS };
    let value = |column: &Column, numbers: &Numbers| (column.value)(units, numbers);
    if sheet.width() < TABLE {
        for (against, what, numbers) in rows {
            let of = |column: &Column| {
                let words = |numbers| {
                    [&column.says.replace('\n', " "), &value(column, numbers), (column.unit)(units)].join(" ")
                };
                numbers.map(|numbers| words(numbers).trim_end().to_owned())
            };
            let says: Vec<String> =
                columns.iter().filter_map(of).chain((!against.is_empty()).then(|| against.clone())).collect();
            let says = if says.is_empty() { what.clone() } else { format!("{what}: {}", says.join(", ")) };
            sheet.styled(Hang { first: 1, rest: 3 }, style::PLAIN, &says);
        }
        return;
    }
    let mut grid = Grid::new().left("");
    for column in columns {
        grid = grid.right(format!("{}\n{}", column.says, (column.unit)(units)).trim_end());
    }
    for (against, what, numbers) in rows {
        let indent: String = what.chars().take_while(|letter| letter.is_whitespace()).collect();
        let against = wrap(against, Hang::flush(0), BESIDE).into_iter().filter(|line| !line.is_empty());
        let what = std::iter::once(what.clone()).chain(against.map(|line| format!("{indent}{line}")));
        let what = what.collect::<Vec<_>>().join("\n");
        let values = columns.iter().map(|column| numbers.map(|numbers| value(column, numbers)).unwrap_or_default());
        grid.row(std::iter::once(what).chain(values).collect());
    }
    sheet.table(1, &grid.without_empty_columns());
}

/// A number of a set.
struct Column {
    says: &'static str,
    unit: fn(System) -> &'static str,
    value: fn(System, &Numbers) -> String,
}

const NUMBERS: [Column; 6] = [
    Column { says: "capacity", unit: System::capacity_unit, value: |show, n| show.capacity_value(n.capacity_W) },
    Column {
        says: "disch.\ndrop",
        unit: System::difference_unit,
        value: |show, n| format!("{:.2}", n.discharge_drop_K * if show == System::Ip { 1.8 } else { 1.0 }),
    },
    Column {
        says: "oil\nreturn\nratio",
        unit: |_| "",
        value: |_, n| n.oil_ratio.map(|ratio| format!("{ratio:.2}")).unwrap_or_default(),
    },
    Column {
        says: "subcool.\nat valve",
        unit: System::difference_unit,
        value: |show, n| show.difference_value(n.subcooling_K),
    },
    Column { says: "copper", unit: System::mass_unit, value: |show, n| show.mass_value(n.copper_kg) },
    Column { says: "refrig.\nin lines", unit: System::mass_unit, value: |show, n| show.mass_value(n.refrigerant_kg) },
];

fn label(neighbour: &Neighbour) -> String {
    let direction = if neighbour.larger { "up to" } else { "down to" };
    format!("{INDENT}{direction} {}", tubes(&neighbour.choice.tubes))
}

/// What fails with a neighbour that does not fail whatever the tube, and which usual aims it misses.
fn against(neighbour: &Neighbour, whatever: &[Finding]) -> String {
    if neighbour.numbers.is_none() && neighbour.fails.is_empty() {
        return "no solution".to_owned();
    }
    let said = |what: &str, rules: &[&str]| (!rules.is_empty()).then(|| format!("{what} {}", rules.join(", ")));
    let own = |rule: &&&str| !whatever.iter().any(|finding| finding.rule == **rule);
    let fails: Vec<&str> = neighbour.fails.iter().filter(own).copied().collect();
    [said("fails", &fails), said("misses", &neighbour.misses)].into_iter().flatten().collect::<Vec<_>>().join("; ")
}
