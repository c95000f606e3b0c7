//! Room round each unit.

use crate::layout::{Align, Grid, Sheet};
use crate::report::heading;
use crate::roof::{Air, Clearance, FaceRoom, Opposite};
use crate::site::Site;
use crate::units::System;

pub(super) fn section(sheet: &mut Sheet, site: &Site) {
    let Some(roof) = site.roof.as_ref().filter(|roof| !roof.clearances.is_empty()) else { return };
    let show = site.job.units;
    heading(sheet, "Clearance around each unit");
    sheet.paragraph(0, &above(show, &roof.clearances));
    sheet.space();
    let mut grid = Grid::new()
        .column("unit", Align::Left)
        .column("side", Align::Left)
        .column("faces", Align::Right)
        .column("air", Align::Left)
        .column("nearest to its limit", Align::Left)
        .column(format!("available\n{}", show.length_unit()), Align::Right)
        .column(format!("required\n{}", show.length_unit()), Align::Right);
    for clearance in &roof.clearances {
        for (index, face) in clearance.faces.iter().enumerate() {
            let name = if index == 0 { clearance.name.clone() } else { String::new() };
            grid.row(row(show, name, face));
        }
    }
    sheet.table(0, &grid);
    if roof.clearances.iter().any(|clearance| clearance.working.is_some()) {
        sheet.space();
        sheet.table(0, &controls(show, &roof.clearances).without_empty_columns());
    }
}

/// The space in front of the controls of each unit of which their side is given.
fn controls(show: System, clearances: &[Clearance]) -> Grid {
    let mut grid = Grid::new()
        .column("unit", Align::Left)
        .column("controls", Align::Left)
        .column("in front", Align::Left)
        .column("which is", Align::Left)
        .column(format!("available\n{}", show.length_unit()), Align::Right)
        .column(format!("required\n{}", show.length_unit()), Align::Right);
    for clearance in clearances {
        let Some(working) = &clearance.working else { continue };
        let which = match working.opposite {
            Opposite::Nothing => "",
            Opposite::Grounded => "grounded",
            Opposite::Live => "live",
            Opposite::Unknown => "not known",
        };
        grid.row(vec![
            clearance.name.clone(),
            working.side.to_owned(),
            working.obstacle.clone().unwrap_or_else(|| "nothing".to_owned()),
            which.to_owned(),
            working.free_m.map_or_else(String::new, |free| show.length_value(free)),
            show.length_value(working.asked_m),
        ]);
    }
    grid
}

fn row(show: System, name: String, face: &FaceRoom) -> Vec<String> {
    let air = match face.air {
        Air::In => "in",
        Air::Out => "out",
        Air::None => "",
    };
    vec![
        name,
        face.side.to_owned(),
        format!("{:.0}°", face.bearing_deg),
        air.to_owned(),
        face.obstacle.clone().unwrap_or_else(|| "nothing".to_owned()),
        face.free_m.map_or_else(String::new, |free| show.length_value(free)),
        show.length_value(face.asked_m),
    ]
}

/// What is taken to be clear over the outlets.
fn above(show: System, clearances: &[Clearance]) -> String {
    let Some(maximum) = clearances.iter().filter_map(|c| c.above_m).reduce(f64::max) else {
        return "Straight ahead of each side, within its width.".to_owned();
    };
    let maximum = show.length(maximum);
    format!(
        "Straight ahead of each side, within its width. Nothing above the units is drawn: up to {maximum} over each \
         outlet at the \
         top is taken to be clear."
    )
}
