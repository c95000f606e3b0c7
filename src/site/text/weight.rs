//! Weight on the supports.

use crate::layout::{Align, Grid, Sheet};
use crate::report::heading;
use crate::site::Site;

/// From this width on, what the wind adds has room.
const WIDE: usize = 84;

pub(super) fn section(sheet: &mut Sheet, site: &Site) {
    let Some(roof) = site.roof.as_ref().filter(|roof| roof.loads.iter().any(|load| load.dry_kg.is_some())) else {
        return;
    };
    let show = site.job.units;
    heading(sheet, "Weight on the supports");
    let unit = show.mass_unit();
    let mut grid = Grid::new()
        .column("unit", Align::Left)
        .column(format!("empty\n{unit}"), Align::Right)
        .column(format!("refrigerant\n{unit}"), Align::Right)
        .column("supports", Align::Right)
        .column(format!("maximum per\nsupport, {unit}"), Align::Right)
        .column(format!("allowed\n{unit}"), Align::Right)
        .column(format!("wind adds,\nleeward, {unit}"), Align::Right);
    let value = |kg: Option<f64>| kg.map_or_else(String::new, |kg| show.mass_value(kg));
    for load in &roof.loads {
        grid.row(vec![
            load.name.clone(),
            value(load.dry_kg),
            show.mass_value(load.refrigerant_kg),
            if load.each_kg.is_empty() { String::new() } else { load.each_kg.len().to_string() },
            value(load.greatest_kg()),
            value(load.allowed_kg),
            if sheet.width() < WIDE { String::new() } else { value(load.wind.map(|wind| wind.lee_kg)) },
        ]);
    }
    sheet.table(0, &grid.without_empty_columns());
    sheet.paragraph(
        0,
        "Refrigerant at the operating point with the greatest charge in the coils. Snow, people, frame and piping are not counted.",
    );
    if let Some(wind) = roof.loads.iter().find_map(|load| load.wind) {
        sheet.paragraph(
            0,
            &format!(
                "At {} the wind pressure is {}; half of the supports are taken as leeward, without factors for \
                 exposure, height and direction, and without suction on the top.",
                show.wind(wind.speed_m_s),
                show.face_pressure(wind.pressure_Pa)
            ),
        );
    }
}
