//! What each listener hears.

use crate::report::heading;
use crate::roof::{Heard, NightBy, Share};
use crate::sheet::{Align, Grid, Sheet};
use crate::site::Site;
use crate::units::System;

pub(super) fn section(sheet: &mut Sheet, site: &Site) {
    let Some(roof) = site.roof.as_ref() else { return };
    let heard: Vec<&Heard> = roof.heard.iter().filter(|heard| !heard.units.is_empty()).collect();
    if heard.is_empty() {
        return;
    }
    let show = site.job.units;
    heading(sheet, "Sound");
    sheet.paragraph(
        0,
        "Over the roof as a reflecting plane, air at 10 °C and 70 %, walls, parapet and roof edge as screens, over and round them. Open \
         screens, the bodies of units, the ground beyond and reflections at walls are not counted: a wall behind a unit can add up to 3 dB.",
    );
    sheet.space();
    let mut grid = Grid::new()
        .column("listener", Align::Left)
        .column("unit", Align::Left)
        .column(format!("distance\n{}", show.length_unit()), Align::Right)
        .column("power\ndBA", Align::Right)
        .column("spreading\ndB", Align::Right)
        .column("air\ndB", Align::Right)
        .column("screens\ndB", Align::Right)
        .column("by day\ndBA", Align::Right)
        .column("at night\ndBA", Align::Right);
    for heard in &heard {
        for (index, unit) in heard.units.iter().enumerate() {
            let name = if index == 0 { heard.name.clone() } else { String::new() };
            grid.row(row(show, name, unit));
        }
        if heard.units.len() > 1 {
            let mut all = vec![String::new(), "in all".to_owned()];
            all.extend(vec![String::new(); 5]);
            all.extend([level(heard.day_dBA), level(heard.night_dBA)]);
            grid.row(all);
        }
        allowed(&mut grid, heard);
    }
    sheet.table(0, &grid);
    let by_speed =
        heard.iter().flat_map(|heard| &heard.units).any(|unit| matches!(unit.night_by, Some(NightBy::Speed { .. })));
    if by_speed {
        sheet.paragraph(0, "At night by the speed of the fans: 50 lg of its share of the full speed.");
    }
}

fn allowed(grid: &mut Grid, heard: &Heard) {
    if heard.limit_dBA.is_none() && heard.night_limit_dBA.is_none() {
        return;
    }
    let mut row = vec![String::new(), "allowed".to_owned()];
    row.extend(vec![String::new(); 5]);
    row.extend([level(heard.limit_dBA), level(heard.night_limit_dBA)]);
    grid.row(row);
}

fn level(decibels: Option<f64>) -> String {
    decibels.map_or_else(String::new, |level| format!("{level:.1}"))
}

fn row(show: System, listener: String, unit: &Share) -> Vec<String> {
    vec![
        listener,
        unit.name.clone(),
        show.length_value(unit.distance_m),
        level(unit.power_dBA.or(unit.night_power_dBA)),
        level(Some(unit.spread_dB)),
        level(Some(unit.air_dB)),
        level(Some(unit.screens_dB)),
        level(unit.day_dBA),
        level(unit.night_dBA),
    ]
}
