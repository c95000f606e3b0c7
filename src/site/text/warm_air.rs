//! Warm air that returns.

use crate::layout::{Align, Grid, Sheet};
use crate::report::heading;
use crate::roof::{FedBack, Return, WarmAir};
use crate::site::Site;
use crate::units::System;

/// From this width on, all columns have room.
const WIDE: usize = 84;

pub(super) fn section(sheet: &mut Sheet, site: &Site) {
    let Some(roof) = site.roof.as_ref().filter(|roof| roof.warm_air.iter().any(|warm| warm.leaves_warmer_K.is_some()))
    else {
        return;
    };
    let show = site.job.units;
    heading(sheet, "Warm air that returns");
    let worst = || roof.warm_air.iter().filter_map(|warm| warm.worst.as_ref());
    let mut says = "By the separation formula for outlets and intakes, in each of sixteen winds; expect half to twice \
                    of it (roofrun judgement)."
        .to_owned();
    if worst().any(|worst| worst.at_least) {
        says += " With a + the formula is out of range so close: it may be more, up to warm air alone.";
    }
    sheet.paragraph(0, &says);
    sheet.space();
    let unit = show.difference_unit();
    let mut grid = Grid::new()
        .column("unit", Align::Left)
        .column(format!("outlet\nrise, {unit}"), Align::Right)
        .column("worst\nwind", Align::Right)
        .column(format!("air on\nrise, {unit}"), Align::Right)
        .column(format!("its own\n{unit}"), Align::Right)
        .column("maximum from another", Align::Left)
        .column(format!("summer\nwind, {unit}"), Align::Right)
        .column("from another\nin summer", Align::Right);
    for warm in &roof.warm_air {
        let mut cells = row(show, warm);
        if sheet.width() < WIDE {
            // What the findings tell too makes room.
            for index in [1, 4] {
                cells.get_mut(index).into_iter().for_each(String::clear);
            }
        }
        grid.row(cells);
    }
    sheet.table(0, &grid.without_empty_columns());
    let moved: Vec<&FedBack> = roof.fed_back.iter().filter(|fed| told(show, fed)).collect();
    if !moved.is_empty() {
        sheet.space();
        sheet.paragraph(0, "One coil with the estimate in place of what the job says, at summer full:");
        sheet.table(0, &fed_back(site, &moved));
    }
}

/// Whether the estimate differs from what the job says, as shown.
fn told(show: System, fed: &FedBack) -> bool {
    fed.estimate_K.is_none_or(|estimate| show.difference(fed.said_K) != show.difference(estimate))
}

fn row(show: System, warm: &WarmAir) -> Vec<String> {
    let value = |kelvin: Option<f64>| kelvin.map_or_else(String::new, |kelvin| show.difference_value(kelvin));
    let worst = |of: fn(&Return) -> Option<f64>| value(warm.worst.as_ref().and_then(of));
    let other = warm
        .worst
        .as_ref()
        .and_then(|worst| Some(format!("{} {}", worst.other.as_ref()?, show.difference(worst.other_K?))));
    vec![
        warm.name.clone(),
        value(warm.leaves_warmer_K),
        warm.worst.as_ref().map_or_else(String::new, |worst| {
            worst.wind_from_deg.map_or_else(|| "any".to_owned(), |from| format!("{from:.0}°"))
        }),
        warm.worst.as_ref().map_or_else(
            || if warm.leaves_warmer_K.is_some() { "no end".to_owned() } else { String::new() },
            |worst| format!("{}{}", show.difference_value(worst.rise_K), if worst.at_least { "+" } else { "" }),
        ),
        worst(|worst| Some(worst.own_K)),
        other.unwrap_or_default(),
        value(warm.prevailing.as_ref().map(|wind| wind.rise_K)),
        warm.downwind_share.map_or_else(String::new, |share| show.percent(share)),
    ]
}

fn fed_back(site: &Site, circuits: &[&FedBack]) -> Grid {
    let show = site.job.units;
    let mut grid = Grid::new()
        .column("unit", Align::Left)
        .column("circuit", Align::Left)
        .column(format!("in job\n{}", show.difference_unit()), Align::Right)
        .column(format!("estimate\n{}", show.difference_unit()), Align::Right)
        .column(format!("capacity\n{}", show.capacity_unit()), Align::Right)
        .column(format!("with it,\n{}", show.capacity_unit()), Align::Right)
        .column(format!("discharge\n{}", show.pressure_gauge_unit()), Align::Right)
        .column(format!("with it,\n{}", show.pressure_gauge_unit()), Align::Right);
    let atmosphere = site.job.site.atmosphere.pascals();
    let capacity = |watts: Option<f64>| watts.map_or_else(|| "none".to_owned(), |watts| show.capacity_value(watts));
    let pressure = |pascals: Option<f64>| {
        pascals.map_or_else(|| "none".to_owned(), |pascals| show.pressure_gauge_value(pascals, atmosphere))
    };
    for fed in circuits {
        grid.row(vec![
            fed.unit.clone(),
            fed.circuit.clone(),
            show.difference_value(fed.said_K),
            fed.estimate_K.map_or_else(|| "no end".to_owned(), |estimate| show.difference_value(estimate)),
            capacity(fed.capacity_W),
            capacity(fed.capacity_then_W),
            pressure(fed.discharge_Pa),
            pressure(fed.discharge_then_Pa),
        ]);
    }
    grid
}

#[cfg(test)]
mod tests {
    use super::super::testing::on_the_roof;
    use super::*;
    use crate::job::Job;
    use crate::roof::testing::{another, planned};
    use unicode_width::UnicodeWidthStr;

    fn text(job: &Job, width: usize) -> String {
        on_the_roof(job, width, section)
    }

    /// Two units of one circuit, 40 ft apart, the air of the first blown so fast.
    fn pair(flow: f64, velocity: f64) -> Job {
        planned(|roof| {
            roof.units[0].air_flow_m3_s = Some(18.0);
            roof.units[0].outlet_m_s = Some(8.0);
            let twin = another(roof, "C2", (0.0, 40.0));
            roof.units.push(twin);
            (roof.units[0].air_flow_m3_s, roof.units[0].outlet_m_s) = (Some(flow), Some(velocity));
        })
    }

    fn words_of(text: &str, first: &str) -> Vec<Vec<String>> {
        let rows = text.lines().filter(|line| line.split_whitespace().next() == Some(first));
        rows.map(|line| line.split_whitespace().map(str::to_owned).collect()).collect()
    }

    #[test]
    fn a_minimum_has_a_plus_and_what_never_ends_no_number() {
        let alone = text(&planned(|roof| roof.units[0].outlet_m_s = Some(8.0)), 100);
        assert_eq!(words_of(&alone, "C1")[0][2], "any", "{alone}");
        assert!(!alone.contains('+') && alone.contains("(roofrun judgement)"), "{alone}");
        let slow = text(&pair(18.0, 1.0), 100);
        assert!(words_of(&slow, "C1")[0][3].ends_with('+') && !words_of(&slow, "C2")[0][3].ends_with('+'), "{slow}");
        assert!(slow.contains("With a +"), "{slow}");
        let stifled = text(&pair(2.0, 0.5), 100);
        // Its row, and that of the circuit: no estimate, no capacity, no pressure. The other unit has both.
        assert!(words_of(&stifled, "C1").iter().all(|row| row.join(" ").contains("no end")), "{stifled}");
        assert_eq!(words_of(&stifled, "C1")[1].iter().filter(|word| *word == "none").count(), 2, "{stifled}");
        assert!(!words_of(&stifled, "C2")[1].contains(&"none".to_owned()), "{stifled}");
        for width in [60, 80, 84, 140] {
            assert!(text(&pair(2.0, 0.5), width).lines().all(|line| line.width() <= width), "{width}");
        }
    }
}
