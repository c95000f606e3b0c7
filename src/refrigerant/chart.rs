//! A pressure-enthalpy chart: what flows in a tube at any pressure and enthalpy, from cells that are filled from the expansions when
//! they are first required.
//!
//! A column of the chart is a span of pressure, linear in `-sqrt(1 - (p/pc)^(1/4))`, nearly the x of the expansions and had by roots. In it bubble and dew are cubics; liquid is
//! counted in rows of enthalpy down from bubble, vapour up from dew, so that no cell straddles a line, and each cell is a cubic in
//! both. Neighbours share their edges, so nothing jumps. Against the expansions: 1e-5 of density, 1e-4 of viscosity, 1e-4 K.

use std::sync::OnceLock;

/// Columns between the minimum and the greatest pressure.
pub(super) const COLUMNS: u32 = 96;
/// Rows of each single phase.
pub(super) const ROWS: usize = 192;
/// Height of a row over the gas constant, K: some 2 K of vapour.
pub(super) const HEIGHT: f64 = 25.0;

/// By this share of a row the chart's bubble line lies above that of the expansions, so that theirs is never a mixture.
pub(super) const SLACK: f64 = 2e-7;

/// A cubic, from its constant up.
pub(super) type Cubic = [f64; 4];
/// Temperature, density and viscosity, each a cubic in the row of cubics in pressure.
pub(super) type Cell = [[Cubic; 4]; 3];
/// What is filled when it is first required; none where the refrigerant's range ends in it.
pub(super) type Lazy<T> = OnceLock<Option<Box<T>>>;

/// The chart of a refrigerant.
#[derive(Clone)]
pub(super) struct Chart {
    pub columns: Vec<Lazy<Column>>,
    critical: f64,
    /// What its pressures begin with, and what a column spans.
    begin: f64,
    span: f64,
}

/// A span of pressure.
#[derive(Clone)]
pub(super) struct Column {
    /// At its nodes: pressure and the enthalpies of bubble and dew.
    pub nodes: [[f64; 3]; 4],
    pub bubble: Line,
    pub dew: Line,
    pub liquid: Vec<Lazy<Cell>>,
    pub vapour: Vec<Lazy<Cell>>,
}

/// A saturation line in a column.
#[derive(Clone)]
pub(super) struct Line {
    pub enthalpy: Cubic,
    /// Temperature, density and viscosity.
    pub rest: [Cubic; 3],
}

/// The cubic through values at 0, 1/3, 2/3 and 1.
pub(super) fn cubic([a, b, c, d]: [f64; 4]) -> Cubic {
    [
        a,
        -5.5 * a + 9.0 * b - 4.5 * c + d,
        9.0 * a - 22.5 * b + 18.0 * c - 4.5 * d,
        -4.5 * a + 13.5 * b - 13.5 * c + 4.5 * d,
    ]
}

pub(super) fn at(c: &Cubic, s: f64) -> f64 {
    c[0] + s * (c[1] + s * (c[2] + s * c[3]))
}

/// A cubic in y whose coefficients are cubics in s.
pub(super) fn of_cubics(c: &[Cubic; 4], [y, s]: [f64; 2]) -> f64 {
    let [a, b, c, d] = c;
    at(&std::array::from_fn(|i| a[i] + y * (b[i] + y * (c[i] + y * d[i]))), s)
}

/// `of` at the four nodes of a span, where it has a value at all of them.
pub(super) fn at_nodes<T>(of: impl FnMut(usize) -> Option<T>) -> Option<[T; 4]> {
    (0..4).map(of).collect::<Option<Vec<T>>>()?.try_into().ok()
}

pub(super) fn lazies<T>(count: usize) -> Vec<Lazy<T>> {
    std::iter::repeat_with(OnceLock::new).take(count).collect()
}

pub(super) fn filled<T>(place: Option<&Lazy<T>>, fill: impl FnOnce() -> Option<T>) -> Option<&T> {
    place?.get_or_init(|| fill().map(Box::new)).as_deref()
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a place on the chart is small and not negative"
)]
pub(super) fn whole(place: f64) -> usize {
    place as usize
}

#[expect(clippy::cast_precision_loss, reason = "there are four nodes and two hundred rows")]
pub(super) fn share(row: usize, node: usize) -> f64 {
    row as f64 + node as f64 / 3.0
}

/// What columns are linear in.
fn root(p: f64, critical: f64) -> f64 {
    -(1.0 - (p / critical).sqrt().sqrt()).sqrt()
}

impl Chart {
    /// Between two pressures, Pa.
    pub(super) fn new([low, high]: [f64; 2], critical: f64) -> Self {
        let [begin, end] = [low, high].map(|p| root(p, critical));
        Self { columns: lazies(COLUMNS as usize), critical, begin, span: (end - begin) / f64::from(COLUMNS) }
    }

    /// In which column a pressure is, and where in it, 0 to 1.
    pub(super) fn place(&self, p: f64) -> (usize, f64) {
        let place = ((root(p, self.critical) - self.begin) / self.span).max(0.0);
        let index = whole(place).min(COLUMNS as usize - 1);
        (index, place - share(index, 0))
    }

    /// The pressure at a node of a column, Pa.
    pub(super) fn pressure(&self, index: usize, node: usize) -> f64 {
        let root = self.begin + self.span * share(index, node);
        self.critical * (1.0 - root * root).powi(4)
    }
}
