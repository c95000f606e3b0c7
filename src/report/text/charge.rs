//! The refrigerant in a circuit, point by point, and who decides about it.

use crate::layout::{Grid, Sheet, heading};
use crate::survey::{Charge, ChargePoint};
use crate::units::System;
use crate::units::words::and;
use std::fmt::Write as _;

/// A table of where the charge is, and the charge for the nameplate.
pub(super) fn charge(sheet: &mut Sheet, units: System, charge: &Charge) {
    heading(sheet, &format!("Charge, {}", units.mass_unit()));
    let name = |point: &ChargePoint| point.name.clone();
    let column = |mass: &dyn Fn(&ChargePoint) -> Option<f64>| -> Vec<String> {
        let masses: Vec<f64> = charge.points.iter().map(|point| mass(point).unwrap_or(f64::NAN)).collect();
        let texts = units.mass_column(&masses);
        texts.into_iter().zip(masses).map(|(text, mass)| if mass.is_nan() { String::new() } else { text }).collect()
    };
    // A receiver whose volume is not known has a content that is not known either.
    let known = charge.receiver.is_none_or(|receiver| receiver.volume_m3.is_some());
    let level = |point: &ChargePoint| point.receiver_level.map(|level| format!("{:.0} %", 100.0 * level));
    let grid = Grid::new()
        .words("", charge.points.iter().map(name).collect())
        .numbers("discharge\nline", column(&|point| Some(point.discharge_line_kg)))
        .numbers("condenser", column(&|point| point.condenser_kg))
        .numbers("liquid\nline", column(&|point| Some(point.liquid_line_kg)))
        .numbers("evap.", column(&|point| point.evaporator_kg))
        .numbers(
            if charge.receiver.is_some() { "receiver" } else { "left over" },
            column(&|point| Some(point.rest_kg).filter(|_| known)),
        )
        .numbers("level", charge.points.iter().map(|point| level(point).unwrap_or_default()).collect());
    sheet.table(1, &grid.without_empty_columns());
    sheet.space();
    let mut says = format!(
        "Counted {} at {}, without {}: not the system charge.",
        units.mass(charge.total_kg),
        charge.greatest,
        and(&charge.not_counted)
    );
    if charge.flooding_kg > 0.0 {
        let _ = write!(says, " Winter flooding takes {} of it.", units.mass(charge.flooding_kg));
    }
    if let Some(level) = charge.receiver.and_then(|receiver| receiver.pumped_down_level) {
        let _ = write!(says, " Pumped down it fills {} of the receiver.", units.percent(level));
    }
    sheet.paragraph(1, &format!("{says} {}", charge.decides));
}
