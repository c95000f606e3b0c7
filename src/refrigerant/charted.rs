//! What flows, read off the chart, whose columns and cells are filled here.

use super::chart::{
    Cell, Column, HEIGHT, Line, ROWS, SLACK, at, at_nodes, cubic, filled, lazies, of_cubics, share, whole,
};
use super::{Flow, OutOfRange, Phase, Refrigerant, State};

fn flow([temperature, density, viscosity]: [f64; 3], quality: Option<f64>, phase: Phase) -> Flow {
    Flow { temperature, density, viscosity, quality, phase }
}

impl Refrigerant {
    /// What an integration along a tube needs at pressure and enthalpy: as [`Refrigerant::flow_ph`], but from the chart, much sooner.
    ///
    /// # Errors
    /// As [`Refrigerant::state_ph`].
    pub fn charted(&self, p: f64, h: f64) -> Result<Flow, OutOfRange> {
        match self.on_chart(p, h) {
            Some(flow) => Ok(flow),
            None => self.flow_ph(p, h),
        }
    }

    /// The enthalpies of bubble and dew at a pressure on the chart, J/kg: up to the first it has liquid, from the second vapour.
    ///
    /// # Errors
    /// As [`Refrigerant::bubble_temperature`].
    pub fn line_enthalpies(&self, p: f64) -> Result<[f64; 2], OutOfRange> {
        match self.column(p) {
            Some((column, s)) => Ok(self.lines_at(column, s)),
            None => Ok([self.bubble_p(p)?.enthalpy, self.dew_p(p)?.enthalpy]),
        }
    }

    /// The bubble temperature at a pressure on the chart, K: just that of the liquid it has there.
    ///
    /// # Errors
    /// As [`Refrigerant::bubble_temperature`].
    pub fn charted_bubble(&self, p: f64) -> Result<f64, OutOfRange> {
        self.column(p).map_or_else(|| self.bubble_temperature(p), |(column, s)| Ok(at(&column.bubble.rest[0], s)))
    }

    /// Bubble liquid of the expansions is liquid on the chart, too.
    fn lines_at(&self, column: &Column, s: f64) -> [f64; 2] {
        let [bubble, dew] = [&column.bubble, &column.dew].map(|line| at(&line.enthalpy, s));
        [bubble + SLACK * HEIGHT * self.gas_constant, dew]
    }

    /// The column of a pressure and the place in it, 0 to 1.
    fn column(&self, p: f64) -> Option<(&Column, f64)> {
        if !(p >= self.scale.low && p <= self.scale.high) {
            return None;
        }
        let (index, place) = self.chart.place(p);
        Some((filled(self.chart.columns.get(index), || self.fill_column(index))?, place))
    }

    fn on_chart(&self, p: f64, h: f64) -> Option<Flow> {
        let (column, s) = self.column(p)?;
        let [bubble, dew] = self.lines_at(column, s);
        let height = HEIGHT * self.gas_constant;
        let (phase, rows, above) = if h <= bubble {
            (Phase::Liquid, &column.liquid, ((bubble - h) / height - SLACK).max(0.0))
        } else if h >= dew {
            (Phase::Vapour, &column.vapour, (h - dew) / height)
        } else {
            let quality = (h - bubble) / (dew - bubble);
            let [liquid, vapour] = [&column.bubble, &column.dew].map(|line| line.rest.map(|c| at(&c, s)));
            let mix = |of: fn(f64) -> f64, i: usize| quality * of(vapour[i]) + (1.0 - quality) * of(liquid[i]);
            let inverse = |i| 1.0 / mix(f64::recip, i);
            // A pressure or an enthalpy that is no number has no place.
            return (quality > 0.0)
                .then(|| flow([mix(|t| t, 0), inverse(1), inverse(2)], Some(quality), Phase::TwoPhase));
        };
        let row = whole(above);
        let cell = filled(rows.get(row), || self.fill_cell(&column.nodes, phase, row))?;
        let y = above - share(row, 0);
        Some(flow(cell.map(|quantity| of_cubics(&quantity, [y, s])), None, phase))
    }

    fn fill_column(&self, index: usize) -> Option<Column> {
        let states = at_nodes(|node| {
            let p = self.chart.pressure(index, node).clamp(self.scale.low, self.scale.high);
            Some((p, self.bubble_p(p).ok()?, self.dew_p(p).ok()?))
        })?;
        let line = |of: fn(&(f64, State, State)) -> &State| Line {
            enthalpy: cubic(states.map(|at| of(&at).enthalpy)),
            rest: [
                cubic(states.map(|at| of(&at).temperature)),
                cubic(states.map(|at| of(&at).density)),
                cubic(states.map(|at| of(&at).viscosity)),
            ],
        };
        Some(Column {
            nodes: states.map(|(p, bubble, dew)| [p, bubble.enthalpy, dew.enthalpy]),
            bubble: line(|at| &at.1),
            dew: line(|at| &at.2),
            liquid: lazies(ROWS),
            vapour: lazies(ROWS),
        })
    }

    /// A cell of a single phase: for each quantity a cubic in the row whose coefficients are cubics in pressure.
    fn fill_cell(&self, nodes: &[[f64; 3]; 4], phase: Phase, row: usize) -> Option<Cell> {
        let away = [0, 1, 2, 3].map(|k| HEIGHT * self.gas_constant * share(row, k));
        let flows = at_nodes(|i| {
            let [p, bubble, dew] = nodes[i];
            match phase {
                Phase::Liquid => self.liquid_along(p, away.map(|away| bubble - away)),
                _ => self.vapour_along(p, away.map(|away| dew + away)),
            }
        })?;
        Some([|flow: &Flow| flow.temperature, |flow: &Flow| flow.density, |flow: &Flow| flow.viscosity].map(|of| {
            let by_pressure = flows.map(|flows| cubic(flows.map(|flow| of(&flow))));
            [0, 1, 2, 3].map(|k| cubic(by_pressure.map(|row| row[k])))
        }))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::refrigerant::{named, names};

    /// Worst deviation of density, viscosity (relative) and temperature (K) from the expansions over the whole chart.
    fn worst(fluid: &Refrigerant) -> [f64; 3] {
        let mut worst = [0.0; 3];
        let range = fluid.range();
        for i in 1..200 {
            let p = range.pressure_min * (range.pressure_max / range.pressure_min).powf(f64::from(i) / 200.0);
            for k in 0..120 {
                let h = 1e3 * (120.0 + 6.133 * f64::from(k)) * if fluid.name() == "R-290" { 1.4 } else { 1.0 };
                let (Ok(there), Ok(chart)) = (fluid.flow_ph(p, h), fluid.charted(p, h)) else { continue };
                assert_eq!(there.phase, chart.phase, "{} {p} {h}", fluid.name());
                let off = [
                    chart.density / there.density - 1.0,
                    chart.viscosity / there.viscosity - 1.0,
                    chart.temperature - there.temperature,
                ];
                for (worst, off) in worst.iter_mut().zip(off) {
                    *worst = f64::max(*worst, off.abs());
                }
            }
        }
        worst
    }

    #[test]
    fn the_chart_is_as_good_as_the_expansions() {
        for name in names() {
            let worst = worst(named(name).unwrap());
            assert!(worst[0] < 1e-5 && worst[1] < 1e-4 && worst[2] < 1e-4, "{name}: {worst:?}");
        }
    }

    #[test]
    fn outside_its_range_it_says_what_the_expansions_say() {
        let fluid = named("R-410A").unwrap();
        for (p, h) in [(1e3, 4e5), (6e6, 4e5), (20e5, 9e5), (20e5, 1e4), (f64::NAN, 4e5), (20e5, f64::NAN)] {
            let [chart, expansions] = [fluid.charted(p, h), fluid.flow_ph(p, h)];
            assert_eq!(chart.unwrap_err().to_string(), expansions.unwrap_err().to_string());
        }
    }
}
