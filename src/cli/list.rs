//! `list`: what a job may name, and where the numbers come from.

use super::arguments::{List, Listed};
use super::screen::{self, Trouble, View};
use crate::layout::{Align, Grid, Sheet, style, whole};
use crate::physics::atmosphere::SEA_LEVEL;
use crate::refdata::{self, Known, Lines, Typical};
use crate::refrigerant;
use crate::report::figure;
use crate::units::{System, factor};
use std::process::ExitCode;

/// From this width on, everything stands in one table.
const WIDE: usize = 100;

/// Sizes at which equivalent lengths are shown.
const SHOWN_SIZES: [&str; 5] = ["7/8 ACR", "1-1/8 ACR", "1-3/8 ACR", "1-5/8 ACR", "2-1/8 ACR"];

pub(super) fn run(what: &List, view: View) -> Result<ExitCode, Trouble> {
    let mut sheet = Sheet::new(view.width);
    let units = view.units.unwrap_or_default();
    match what.what {
        Listed::Tubes => tubes(&mut sheet, units),
        Listed::Fittings => fittings(&mut sheet, units),
        Listed::Parts => parts(&mut sheet, units),
        Listed::Refrigerants => refrigerants(&mut sheet, units),
        Listed::Sources => sources(&mut sheet),
        Listed::Limits => limits(&mut sheet, units),
    }
    screen::answer(&sheet.finish(), false)
}

fn tubes(sheet: &mut Sheet, units: System) {
    let unit = units.small_length_unit();
    let mut grid = Grid::new()
        .whole("size")
        .right("nominal\nsize")
        .right(format!("outside\n{unit}"))
        .right(format!("wall\n{unit}"))
        .right(format!("bore\n{unit}"))
        .whole("source");
    for tube in refdata::tubes() {
        grid.row(vec![
            whole(&tube.name),
            tube.nominal_size().unwrap_or_default(),
            units.small_length_value(tube.outside.value),
            units.small_length_value(tube.wall.value),
            units.small_length_value(tube.bore().value),
            tube.source.clone(),
        ]);
    }
    sheet.table(0, &grid);
}

fn fittings(sheet: &mut Sheet, units: System) {
    let tubes: Vec<&refdata::Tube> = SHOWN_SIZES.iter().filter_map(|name| refdata::tube(name)).collect();
    let mut grid = Grid::new().whole("fitting");
    for tube in &tubes {
        let size = tube.name.split(' ').next().unwrap_or(&tube.name);
        grid = grid.right(format!("{size}\n{}", units.length_unit()));
    }
    let wide = sheet.width() >= WIDE;
    if wide {
        grid = grid.left("what it is").whole("source");
    }
    for fitting in refdata::fittings() {
        let mut cells = vec![whole(&fitting.name)];
        cells.extend(tubes.iter().map(|tube| units.length_value(fitting.equivalent_length(tube).value)));
        if wide {
            cells.extend([fitting.says.clone(), whole(&fitting.source)]);
        }
        grid.row(cells);
    }
    sheet.table(0, &grid);
    sheet.space();
    let mut sources: Vec<&str> = refdata::fittings().iter().map(|fitting| fitting.lengths_source.as_str()).collect();
    sources.dedup();
    sheet.paragraph(
        0,
        &format!("Equivalent lengths of straight tube, by the outside diameter of copper ({}).", sources.join(", ")),
    );
}

fn parts(sheet: &mut Sheet, units: System) {
    let facts = refdata::parts().iter().map(|part| {
        let line = match part.lines {
            Lines::Discharge => "discharge",
            Lines::Liquid => "liquid",
            Lines::Both => "both",
        };
        let typical = match part.typical {
            Typical::Loss(loss) => units.pressure_difference(loss.value),
            Typical::Bores(bores) => format!("{} bores", units.ratio(bores)),
        };
        [part.name.as_str(), line, &typical, &part.says, &part.source].map(str::to_owned)
    });
    entries(sheet, ["part", "line", "typical pressure drop", "what it is", "source"], facts);
    sheet.space();
    sheet.paragraph(0, "A pressure drop is at the line's flow at the rating; bores are an equivalent length, L/D.");
}

/// Things of which each has a name, some short facts, a sentence and a source: a table where there is room, else a few
/// lines each.
fn entries<const N: usize>(sheet: &mut Sheet, heads: [&str; N], things: impl Iterator<Item = [String; N]>) {
    if sheet.width() >= WIDE {
        let mut grid = Grid::new();
        for (i, head) in heads.into_iter().enumerate() {
            grid = grid.column(head, if i + 2 == N { Align::Left } else { Align::Whole });
        }
        for thing in things {
            grid.row(thing.into());
        }
        sheet.table(0, &grid);
        return;
    }
    for thing in things {
        let [name, facts @ .., says, source] = thing.as_slice() else { continue };
        sheet.labelled(0, name, style::STRONG, 28, &facts.join(", "));
        sheet.paragraph(4, &format!("{says} ({source})"));
    }
}

fn refrigerants(sheet: &mut Sheet, units: System) {
    // At a condensing temperature of the trade, 120 F.
    let condensing = factor::fahrenheit_to_kelvin(120.0);
    let glide = |name: &str| {
        let refrigerant = refrigerant::named(name)?;
        let pressure = refrigerant.dew_pressure(condensing).ok()?;
        Some(condensing - refrigerant.bubble_temperature(pressure).ok()?)
    };
    let mut grid = Grid::new()
        .whole("refrigerant")
        .whole("group")
        .right(format!("glide\n{}", units.difference_unit()))
        .right("GWP\nAR5")
        .left("composition by mass")
        .whole("source");
    for name in refrigerant::names() {
        let facts = refdata::facts(name);
        let composition = facts.map(|facts| {
            let parts = facts
                .composition
                .iter()
                .map(|part| whole(&format!("{} {}", part.name, units.percent(part.mass_share))));
            parts.collect::<Vec<String>>().join(", ")
        });
        grid.row(vec![
            whole(name),
            facts.map(|facts| facts.safety_group.clone()).unwrap_or_default(),
            glide(name).map(|glide| units.difference_value(glide)).unwrap_or_default(),
            facts.map(|facts| format!("{:.0}", facts.gwp_ar5)).unwrap_or_default(),
            composition.unwrap_or_default(),
            facts.map(|facts| facts.source.clone()).unwrap_or_default(),
        ]);
    }
    sheet.table(0, &grid);
    sheet.space();
    sheet.paragraph(
        0,
        &format!("Glide between bubble and dew at a dew temperature of {}.", units.temperature_exact(condensing)),
    );
}

fn sources(sheet: &mut Sheet) {
    for source in refdata::sources() {
        let known = match source.known {
            Known::Seen => "read in the source itself",
            Known::Secondary => "second hand, where another quotes it",
            Known::Memory => "from memory, to be replaced when the document is at hand",
            Known::Practice => "practice or a roofrun default, with no published source",
        };
        sheet.labelled(0, &source.key, style::STRONG, 22, &source.title);
        sheet.paragraph(4, &format!("{}; {known}.", source.place));
    }
}

fn limits(sheet: &mut Sheet, units: System) {
    let facts = refdata::limits().iter().map(|limit| {
        let default = figure(units, limit.value, limit.kind, SEA_LEVEL.pascals());
        [limit.key.as_str(), &default, &limit.says, &limit.source].map(str::to_owned)
    });
    entries(sheet, ["limit", "default", "what it is", "source"], facts);
    sheet.space();
    sheet.paragraph(0, "A job's [limits] replace them, each written with its unit.");
}
