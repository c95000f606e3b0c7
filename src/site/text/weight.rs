//! Weight on the supports.

use crate::report::heading;
use crate::sheet::{Align, Grid, Sheet};
use crate::site::Site;
use crate::units::factor::GRAVITY;

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
        .column(format!("the most on one\n{unit}"), Align::Right)
        .column(format!("allowed\n{unit}"), Align::Right)
        .column(format!("wind adds to\na lee one, {unit}"), Align::Right);
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
        "Refrigerant at the operating point that fills the coils most. Snow, people, frame and pipework are not counted.",
    );
    if let Some(wind) = roof.loads.iter().find_map(|load| load.wind) {
        sheet.paragraph(
            0,
            &format!(
                "At {} the wind presses with {}; half of the supports are taken to stand on the lee side, without factors for exposure, \
                 height and direction, and without suction on the top.{}",
                show.wind(wind.speed_m_s),
                pressed(site, wind.pressure_Pa),
                if roof.loads.iter().any(|load| load.wind.is_some_and(|wind| wind.lifts)) {
                    " Where that is more than a support carries, the one opposite lifts: the unit must be held down."
                } else {
                    ""
                }
            ),
        );
    }
}

/// A pressure on a face: lb/ft2 or Pa.
fn pressed(site: &Site, pascals: f64) -> String {
    use crate::units::{System, factor};
    match site.job.units {
        System::Ip => format!("{:.0} lb/ft2", pascals * factor::FOOT * factor::FOOT / (factor::POUND * GRAVITY)),
        System::Si => format!("{pascals:.0} Pa"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Weight;
    use crate::roof::testing::{planned, studied};

    #[test]
    fn that_it_must_be_held_down_is_told_at_every_width() {
        let job = planned(|roof| {
            roof.wind_m_s = Some(40.0);
            roof.units[0].weight = Some(Weight::Total { kg: 2000.0, supports: 4 });
        });
        for width in [60, 80, 140] {
            let survey = crate::survey::Survey { circuits: Vec::new() };
            let roof = Some(studied(&job));
            let verdict = crate::rules::Verdict::Pass;
            let site =
                Site { job: &job, survey: &survey, roof, climate: None, year: None, findings: Vec::new(), verdict };
            let mut sheet = Sheet::new(width);
            section(&mut sheet, &site);
            let words = sheet.finish().split_whitespace().collect::<Vec<_>>().join(" ");
            assert!(words.contains("the unit must be held down"), "{width}: {words}");
        }
    }
}
