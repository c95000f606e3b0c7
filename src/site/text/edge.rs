//! The edge of the roof and the walkways.

use crate::layout::{Align, Grid, Sheet};
use crate::report::heading;
use crate::roof::Edge;
use crate::site::Site;
use crate::units::System;

pub(super) fn section(sheet: &mut Sheet, site: &Site) {
    let Some(roof) = site.roof.as_ref().filter(|roof| !(roof.edges.is_empty() && roof.walkways.is_empty())) else {
        return;
    };
    let show = site.job.units;
    heading(sheet, "Edge of the roof");
    if !roof.edges.is_empty() {
        let mut grid = Grid::new()
            .column("unit", Align::Left)
            .column(format!("from the edge\n{}", show.length_unit()), Align::Right)
            .column("guard", Align::Left);
        for edge in &roof.edges {
            grid.row(vec![edge.name.clone(), show.length_value(edge.edge_m), guard(show, edge)]);
        }
        sheet.table(0, &grid);
    }
    if !roof.walkways.is_empty() {
        sheet.space();
        let mut grid = Grid::new()
            .column("piping over", Align::Left)
            .column(format!("height\n{}", show.small_length_unit()), Align::Right);
        for walkway in &roof.walkways {
            grid.row(vec![walkway.name.clone(), show.rule_length_value(walkway.height_m)]);
        }
        sheet.table(0, &grid);
    }
}

/// Whether a guard is required, and what is there.
fn guard(show: System, edge: &Edge) -> String {
    let there = if edge.barrier_m > 0.0 {
        format!("{} there", show.rule_length(edge.barrier_m))
    } else {
        "none there".to_owned()
    };
    match edge.guard_asked {
        Some(false) => "not required".to_owned(),
        Some(true) => format!("required; {there}"),
        None => format!("required where the edge is high; {there}"),
    }
}
