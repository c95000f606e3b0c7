//! The refrigerant in a circuit, point by point, and who decides about it.

use super::{heading, join};
use crate::sheet::{Align, Grid, Sheet};
use crate::survey::{Charge, ChargePoint};
use crate::units::System;
use std::fmt::Write as _;

/// A table of where the charge is, and the charge for the nameplate.
pub(super) fn charge(sheet: &mut Sheet, units: System, charge: &Charge) {
    heading(sheet, &format!("Charge, {}", units.mass_unit()));
    let receiver = charge.receiver.is_some();
    let mut grid = Grid::new().column("", Align::Left);
    for head in ["discharge\nline", "condenser", "liquid\nline", "evaporator"] {
        grid = grid.column(head, Align::Right);
    }
    grid = grid.column(if receiver { "receiver" } else { "left over" }, Align::Right).column("level", Align::Right);
    for point in &charge.points {
        grid.row(row(units, charge, point));
    }
    sheet.table(1, &grid.without_empty_columns());
    sheet.space();
    let without: Vec<String> = charge.not_counted.iter().map(|what| (*what).to_owned()).collect();
    let mut says = format!(
        "For the nameplate {}, which {} asks for, without {}.",
        units.mass(charge.total_kg),
        charge.greatest,
        join(&without)
    );
    if charge.flooding_kg > 0.0 {
        let _ = write!(says, " Flooding the coil in the cold takes {} of it.", units.mass(charge.flooding_kg));
    }
    if let Some(level) = charge.receiver.and_then(|receiver| receiver.pumped_down_level) {
        let _ = write!(says, " Pumped down it fills {} of the receiver.", units.percent(level));
    }
    sheet.paragraph(1, &format!("{says} {}", charge.decides));
}

fn row(units: System, charge: &Charge, point: &ChargePoint) -> Vec<String> {
    let mass = |kg: Option<f64>| kg.map(|kg| units.mass_value(kg)).unwrap_or_default();
    // A receiver whose volume is not known has a content that is not known either.
    let known = charge.receiver.is_none_or(|receiver| receiver.volume_m3.is_some());
    vec![
        point.name.clone(),
        mass(Some(point.discharge_line_kg)),
        mass(point.condenser_kg),
        mass(Some(point.liquid_line_kg)),
        mass(point.evaporator_kg),
        mass(Some(point.rest_kg).filter(|_| known)),
        point.receiver_level.map(|level| units.percent(level)).unwrap_or_default(),
    ]
}
