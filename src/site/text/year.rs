//! The year, hour by hour.

use crate::job::{HeadControl, Roof};
use crate::layout::{Align, Grid, Sheet};
use crate::report::heading;
use crate::site::Site;
use crate::units::System;
use crate::year::{CircuitYear, Energy, PlantYear, Year};
use std::fmt::Write as _;

/// From this width on, what a circuit gives and what goes wrong stand in one table.
const WIDE: usize = 96;

pub(super) fn section(sheet: &mut Sheet, site: &Site) {
    let Some(year) = site.year.as_ref().filter(|year| !year.circuits.is_empty()) else { return };
    let show = site.job.units;
    heading(sheet, "The year, hour by hour");
    sheet.paragraph(0, &basis(site, year));
    sheet.space();
    if sheet.width() < WIDE {
        sheet.table(0, &hours(site, year, true, false));
        sheet.space();
        sheet.table(0, &hours(site, year, false, true));
    } else {
        sheet.table(0, &hours(site, year, true, true));
    }
    sheet.paragraph(0, &columns(year));
    if let Some(plant) = &year.plant {
        sheet.space();
        sheet.paragraph(0, &carries(site, plant));
    }
    sheet.space();
    sheet.table(0, &energy(show, year, sheet.width() >= WIDE));
    for says in fans(site, year) {
        sheet.paragraph(0, &says);
    }
    if let Some(saved) = saved(site, year) {
        sheet.paragraph(0, &saved);
    }
}

/// What was run.
fn basis(site: &Site, year: &Year) -> String {
    let show = site.job.units;
    let missing = if year.missing_hours > 0.0 {
        let hours = show.hours(year.missing_hours);
        let (has, is) = if hours == "1 hour" { ("has", "is") } else { ("have", "are") };
        format!(" {hours} {has} no temperature and {is} left out.")
    } else {
        String::new()
    };
    let how = match (&year.plant, site.job.plant.as_ref().map(|plant| plant.running)) {
        (Some(_), Some(crate::job::Running::Few)) => {
            "as few chillers run as carry the load, in the order of the file, equally loaded"
        }
        (Some(_), _) => "all chillers run, equally loaded",
        (None, _) => "no load is given, so every circuit runs at full all the year",
    };
    format!("{} of the weather file, each solved; {how}.{missing}", show.hours(year.hours))
}

fn number(show: System, hours: f64) -> String {
    show.hours(hours).split(' ').next().unwrap_or_default().to_owned()
}

/// What each circuit gives, and the hours in which something goes wrong.
fn hours(site: &Site, year: &Year, gives: bool, wrong: bool) -> Grid {
    let show = site.job.units;
    let unit = show.capacity_unit();
    let mut grid = Grid::new().column("circuit", Align::Left);
    if gives {
        for head in [format!("hottest\nhour, {unit}"), format!("mean\n{unit}"), "runs\nh".to_owned()] {
            grid = grid.column(head, Align::Right);
        }
    }
    if wrong {
        for head in ["no operating\npoint, h", "cut-out\nh", "within\n5 %, h", "flashes\nh", "oil return\nlost, h"] {
            grid = grid.column(head, Align::Right);
        }
    }
    for circuit in &year.circuits {
        let mut row = vec![circuit.name.clone()];
        if gives {
            row = vec![if circuit.copies > 1 {
                format!("{}, {} identical", circuit.name, circuit.copies)
            } else {
                circuit.name.clone()
            }];
            let capacity =
                |watts: Option<f64>| watts.map_or_else(|| "none".to_owned(), |watts| show.capacity_value(watts));
            row.extend([
                capacity(circuit.hottest_capacity_W),
                capacity(circuit.mean_capacity_W),
                number(show, circuit.running_hours),
            ]);
        }
        if wrong {
            row.extend([
                number(show, circuit.unsolved.hours + circuit.falls.hours),
                number(show, circuit.trips.hours),
                number(show, circuit.near_cutout.hours),
                number(show, circuit.flash.hours),
                number(show, circuit.oil.hours),
            ]);
        }
        grid.row(row);
    }
    grid
}

/// What the columns count.
fn columns(year: &Year) -> String {
    let alike = if year.circuits.iter().any(|circuit| circuit.copies > 1) { ", any of identical ones" } else { "" };
    format!(
        "Hottest hour and mean: available capacity with the compressors that stay on, not the load. Runs: hours of \
         operation{alike}, \
         be it for a part of the hour. No operating point, cut-out and within 5 % of the cut-out: with all its compressors running. \
         Flashes and oil return lost: as it runs then."
    )
}

/// The plant over the year.
fn carries(site: &Site, plant: &PlantYear) -> String {
    let show = site.job.units;
    let gaps = site.job.weather.as_ref().is_some_and(|weather| !weather.gaps().is_empty());
    let always = if gaps { "in every hour that the weather file has" } else { "all the year" };
    let hottest = &plant.hottest;
    let out = match plant.out_names.as_slice() {
        [one] => format!("with one chiller of {one} out of service"),
        several => format!("with {} chillers out of service ({})", several.len(), plant.out_in_words()),
    };
    let without =
        if hottest.capacity_without_W > 0.0 { show.capacity(hottest.capacity_without_W) } else { "nothing".to_owned() };
    let short = match (plant.short.hours > 0.0, plant.short_without.hours > 0.0) {
        (false, false) => format!("It carries its load {always}, {out} too."),
        (false, true) => {
            format!(
                "It carries its load {always}; {out} it is short of it in {}.",
                show.hours(plant.short_without.hours)
            )
        }
        (true, _) => format!(
            "It is short of its load in {}, {out} in {}.",
            show.hours(plant.short.hours),
            show.hours(plant.short_without.hours)
        ),
    };
    format!(
        "In the hottest hour ({}, {}) the plant gives {}, and {without} {out}, against {} of load. {short}",
        hottest.moment.says(),
        show.temperature(hottest.moment.outdoor_K),
        show.capacity(hottest.capacity_W),
        show.capacity(hottest.moment.load_W.unwrap_or(plant.load_W))
    )
}

fn energy(show: System, year: &Year, wide: bool) -> Grid {
    let unit = show.energy_unit();
    let mut grid = Grid::new()
        .column("energy", Align::Left)
        .column(format!("cooling\n{unit}"), Align::Right)
        .column(format!("compressors\n{unit}"), Align::Right)
        .column(format!("fans\n{unit}"), Align::Right)
        .column("held at", Align::Right)
        .column("floats to", Align::Right)
        .column(format!("floating\n{unit}"), Align::Right)
        .column("saves", Align::Right);
    let cells = |energy: &Energy| {
        vec![
            show.energy_value(energy.cooling_J),
            show.energy_value(energy.compressors_J),
            energy.fans_J.map_or_else(String::new, |joules| show.energy_value(joules)),
        ]
    };
    let then = |before: &Energy, after: Option<&Energy>| match after {
        Some(after) => vec![show.energy_value(after.all_J()), show.percent(1.0 - after.all_J() / before.all_J())],
        None => vec![String::new(), String::new()],
    };
    let row = |name: &str, before: &Energy, levels: [String; 2], after: Option<&Energy>| {
        let mut row = vec![name.to_owned()];
        row.extend(cells(before));
        row.extend(levels);
        row.extend(then(before, after));
        row
    };
    let levels = |circuit: &CircuitYear| match &circuit.floating {
        Some(floating) if wide => [show.temperature(floating.held_K), show.temperature(floating.to_K)],
        _ => [String::new(), String::new()],
    };
    for circuit in &year.circuits {
        let after = circuit.floating.as_ref().map(|floating| &floating.energy);
        grid.row(row(&circuit.name, &circuit.energy, levels(circuit), after));
    }
    if year.circuits.len() > 1 {
        grid.row(row("total", &year.energy, [String::new(), String::new()], year.floating.as_ref()));
    }
    grid.without_empty_columns()
}

/// What the energy counts.
fn fans(site: &Site, year: &Year) -> Vec<String> {
    let circuits = || site.job.circuits.iter().zip(&year.circuits);
    let unknown: Vec<String> =
        circuits().filter(|(_, year)| year.energy.fans_J.is_none()).map(|(circuit, _)| circuit.name.clone()).collect();
    let by_speed = circuits().any(|(circuit, year)| {
        year.energy.fans_J.is_some() && matches!(circuit.condenser.head_control, HeadControl::Fans { .. })
    });
    let by_speed = by_speed.then(|| {
        "The power of fans under head control follows the cube of their air fraction (fan laws); staged fans take more."
            .to_owned()
    });
    let unknown = (!unknown.is_empty()).then(|| {
        format!(
            "Compressors only for {}: the power of the fans is not given (fan_power), and with a floating head they \
             take more.",
            unknown.join(", ")
        )
    });
    let slower = |roof: &Roof| roof.units.iter().any(|unit| unit.night_speed.is_some());
    let by_night = site
        .job
        .roof
        .as_ref()
        .is_some_and(slower)
        .then(|| "A night speed of the fans counts for sound only: here they follow the head control.".to_owned());
    [by_speed, unknown, by_night].into_iter().flatten().collect()
}

/// What floating the head is worth, and what it does to the valve.
fn saved(site: &Site, year: &Year) -> Option<String> {
    let show = site.job.units;
    let after = year.floating.as_ref()?;
    let saved = year.energy.all_J() - after.all_J();
    let starved: f64 =
        year.circuits.iter().filter_map(|c| Some((c.floating?.flash_hours - c.flash.hours).max(0.0))).sum();
    let verb = if saved >= 0.0 { "saves" } else { "costs" };
    let mut says = format!(
        "A floating head {verb} {} in the year. The level is the lowest at which the valves keep their \
         minimum drop in the coldest hour, not below {}.",
        show.energy(saved.abs()),
        show.temperature(site.job.limit("float_minimum"))
    );
    if starved > 0.0 {
        let _ = write!(says, " The liquid then flashes in {} more.", show.hours(starved));
    }
    Some(says)
}
