//! Chebyshev expansions in one and two variables: `f = sum c_i T_i(x)` and `f = sum c_ij T_i(x) T_j(y)`, c0 not halved.
//!
//! One basis `T_i(x)` serves every expansion at the same x, and a grid taken at one x is a series in y, which is then
//! cheap to evaluate and to solve.

/// Most terms of a series and most rows of a grid.
pub(super) const TERMS: usize = 40;
/// Coefficients are kept in packs of this many, for the sake of vector registers.
const PACK: usize = 4;
/// Most packs in a row of a grid.
const PACKS: usize = 6;
/// Most columns of a grid.
pub(super) const COLUMNS: usize = PACK * PACKS;

/// `T_0(x) .. T_(n-1)(x)`, zero after.
#[derive(Debug, Clone, Copy)]
pub(super) struct Basis {
    t: [f64; TERMS],
}

impl Basis {
    pub(super) fn new(x: f64, n: usize) -> Basis {
        let mut t = [0.0; TERMS];
        let (mut before, mut now) = (x, 1.0);
        for value in t.iter_mut().take(n) {
            *value = now;
            (before, now) = (now, 2.0 * x * now - before);
        }
        Basis { t }
    }
}

/// A series in one variable.
#[derive(Debug, Clone)]
pub(super) struct Series {
    c: Box<[f64]>,
}

impl Series {
    /// From its coefficients, at most [`TERMS`] of them.
    pub(super) fn new(c: Vec<f64>) -> Option<Series> {
        (!c.is_empty() && c.len() <= TERMS).then(|| Series { c: c.into() })
    }

    pub(super) fn len(&self) -> usize {
        self.c.len()
    }

    /// The value over a basis of at least as many terms.
    pub(super) fn over(&self, basis: &Basis) -> f64 {
        let mut sum = [0.0; 2];
        for (pair, t) in self.c.chunks(2).zip(basis.t.chunks(2)) {
            for ((s, c), t) in sum.iter_mut().zip(pair).zip(t) {
                *s += c * t;
            }
        }
        sum[0] + sum[1]
    }

    /// The value at x, by Clenshaw's recurrence.
    pub(super) fn at(&self, x: f64) -> f64 {
        clenshaw(&self.c, x)
    }

    /// Value and slope at x.
    pub(super) fn with_slope(&self, x: f64) -> (f64, f64) {
        with_slope(&self.c, x)
    }
}

/// A grid of coefficients: a row for each i, padded to whole packs.
#[derive(Debug, Clone)]
pub(super) struct Grid {
    rows: usize,
    columns: usize,
    packs: usize,
    c: Box<[[f64; PACK]]>,
}

impl Grid {
    /// From its rows, which may be of different lengths; at most [`TERMS`] by [`COLUMNS`].
    pub(super) fn new(rows: &[Vec<f64>]) -> Option<Grid> {
        let columns = rows.iter().map(Vec::len).max()?;
        if rows.len() > TERMS || columns == 0 || columns > COLUMNS {
            return None;
        }
        let packs = columns.div_ceil(PACK);
        let mut c = vec![[0.0; PACK]; rows.len() * packs];
        for (row, line) in rows.iter().zip(c.chunks_mut(packs)) {
            for (value, place) in row.iter().zip(line.iter_mut().flatten()) {
                *place = *value;
            }
        }
        Some(Grid { rows: rows.len(), columns, packs, c: c.into() })
    }

    pub(super) fn rows(&self) -> usize {
        self.rows
    }

    /// The series in y at the x of a basis.
    #[inline]
    pub(super) fn over(&self, basis: &Basis) -> Slice {
        let mut c = [0.0; COLUMNS];
        match self.packs {
            1 => self.sum::<1>(basis, &mut c),
            2 => self.sum::<2>(basis, &mut c),
            3 => self.sum::<3>(basis, &mut c),
            4 => self.sum::<4>(basis, &mut c),
            5 => self.sum::<5>(basis, &mut c),
            _ => self.sum::<PACKS>(basis, &mut c),
        }
        Slice { c, len: self.columns }
    }

    #[inline]
    fn sum<const N: usize>(&self, basis: &Basis, out: &mut [f64; COLUMNS]) {
        let mut sum = [[0.0; PACK]; N];
        for (row, t) in self.c.chunks_exact(N).zip(&basis.t) {
            for (s, c) in sum.iter_mut().zip(row) {
                for (s, c) in s.iter_mut().zip(c) {
                    *s += t * c;
                }
            }
        }
        for (place, value) in out.iter_mut().zip(sum.iter().flatten()) {
            *place = *value;
        }
    }

    /// The series in x along the edge y = -1.
    pub(super) fn edge(&self) -> Option<Series> {
        let alternating = |line: &[[f64; PACK]]| {
            line.iter().flatten().enumerate().map(|(j, c)| if j % 2 == 0 { *c } else { -c }).sum()
        };
        Series::new(self.c.chunks(self.packs).map(alternating).collect())
    }
}

/// A grid at one x: a series in y.
#[derive(Debug, Clone, Copy)]
pub(super) struct Slice {
    c: [f64; COLUMNS],
    len: usize,
}

impl Slice {
    pub(super) fn at(&self, y: f64) -> f64 {
        clenshaw(&self.c[..self.len], y)
    }

    /// The y in -1 to 1 where a rising series has this value: Newton, kept within a bracket that closes. Values outside
    /// the ends give the end.
    pub(super) fn solve(&self, target: f64, guess: f64) -> f64 {
        let c = &self.c[..self.len];
        let (mut low, mut high) = (-1.0_f64, 1.0_f64);
        let mut y = if (-1.0..=1.0).contains(&guess) { guess } else { 0.0 };
        for _ in 0..80 {
            let (value, slope) = with_slope(c, y);
            if value < target {
                low = y;
            } else {
                high = y;
            }
            let step = (target - value) / slope;
            let next = y + step;
            if step.abs() < 1e-8 {
                // Newton doubles the digits: what is left is rounding.
                return next.clamp(-1.0, 1.0);
            }
            y = if next > low && next < high { next } else { 0.5 * (low + high) };
        }
        y
    }
}

fn clenshaw(c: &[f64], x: f64) -> f64 {
    let (mut a, mut b) = (0.0, 0.0);
    for value in c.iter().skip(1).rev() {
        (a, b) = (value + 2.0 * x * a - b, a);
    }
    c.first().copied().unwrap_or(0.0) + x * a - b
}

/// Value and slope: `T'_(n+1) = 2 T_n + 2 x T'_n - T'_(n-1)`.
fn with_slope(c: &[f64], x: f64) -> (f64, f64) {
    let (mut before, mut now) = (x, 1.0);
    let (mut slope_before, mut slope_now) = (1.0, 0.0);
    let (mut value, mut slope) = (0.0, 0.0);
    for c in c {
        value += c * now;
        slope += c * slope_now;
        (slope_before, slope_now) = (slope_now, 2.0 * now + 2.0 * x * slope_now - slope_before);
        (before, now) = (now, 2.0 * x * now - before);
    }
    (value, slope)
}

#[cfg(test)]
mod tests {
    use super::*;

    // T_0 .. T_4 written out.
    fn by_hand(x: f64) -> [f64; 5] {
        [1.0, x, 2.0 * x * x - 1.0, 4.0 * x.powi(3) - 3.0 * x, 8.0 * x.powi(4) - 8.0 * x * x + 1.0]
    }

    #[test]
    fn a_series_is_the_sum_of_its_polynomials() {
        let c = [0.7, -1.3, 0.25, 2.0, -0.125];
        let series = Series::new(c.to_vec()).unwrap();
        for k in 0..=20 {
            let x = -1.0 + 0.1 * f64::from(k);
            let want: f64 = c.iter().zip(by_hand(x)).map(|(c, t)| c * t).sum();
            assert!((series.at(x) - want).abs() < 1e-14);
            assert!((series.over(&Basis::new(x, 5)) - want).abs() < 1e-14);
            let (value, slope) = series.with_slope(x);
            assert!((value - want).abs() < 1e-14);
            let slope_by_hand =
                c[1] + c[2] * 4.0 * x + c[3] * (12.0 * x * x - 3.0) + c[4] * (32.0 * x.powi(3) - 16.0 * x);
            assert!((slope - slope_by_hand).abs() < 1e-13);
        }
    }

    #[test]
    fn a_ragged_grid_is_the_sum_of_its_products() {
        let rows = vec![vec![1.0, 2.0, 3.0, 4.0, 5.0], vec![-1.0], vec![0.5, 0.25]];
        let grid = Grid::new(&rows).unwrap();
        let (x, y) = (0.3, -0.8);
        let (tx, ty) = (by_hand(x), by_hand(y));
        let sum = |ty: [f64; 5]| -> f64 {
            rows.iter().zip(tx).map(|(row, a)| row.iter().zip(ty).map(|(c, b)| a * b * c).sum::<f64>()).sum()
        };
        let basis = Basis::new(x, grid.rows());
        assert!((grid.over(&basis).at(y) - sum(ty)).abs() < 1e-14);
        assert!((grid.edge().unwrap().over(&basis) - sum(by_hand(-1.0))).abs() < 1e-14);
    }

    #[test]
    fn solving_inverts_and_stops_at_the_ends() {
        let rising = Grid::new(&[vec![3.0, 2.0, 0.4, 0.05]]).unwrap().over(&Basis::new(0.0, 1));
        for k in 0..=20 {
            let y = -1.0 + 0.1 * f64::from(k);
            for guess in [-1.0, 0.0, 1.0, f64::NAN, 7.0] {
                assert!((rising.solve(rising.at(y), guess) - y).abs() < 1e-13);
            }
        }
        assert!((rising.solve(-100.0, 0.0) + 1.0).abs() < 1e-12);
        assert!((rising.solve(100.0, 0.0) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn sizes_beyond_the_room_are_refused() {
        assert!(Series::new(vec![]).is_none());
        assert!(Series::new(vec![1.0; TERMS + 1]).is_none());
        assert!(Grid::new(&[]).is_none());
        assert!(Grid::new(&[vec![]]).is_none());
        assert!(Grid::new(&[vec![1.0; COLUMNS + 1]]).is_none());
        assert!(Grid::new(&vec![vec![1.0]; TERMS + 1]).is_none());
    }
}
