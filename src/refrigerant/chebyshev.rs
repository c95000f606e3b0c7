//! Chebyshev expansions in one and two variables: `f = sum c_i T_i(x)` and `f = sum c_ij T_i(x) T_j(y)`, c0 not halved.
//!
//! One basis `T_i(x)` serves every expansion at the same x, and a grid taken at one x is a series in y, which is then
//! cheap to evaluate and to solve.

/// Coefficients and polynomials are kept in packs of this many, for the sake of vector registers.
const PACK: usize = 4;
type Pack = [f64; PACK];
/// Most packs of a series in x, and of the rows of a grid.
const LONG: usize = 8;
/// Most packs in a row of a grid.
const WIDE: usize = 6;
/// Most terms of a series and most rows of a grid.
pub(super) const TERMS: usize = PACK * LONG;
/// Most columns of a grid.
pub(super) const COLUMNS: usize = PACK * WIDE;

/// `T_0(x) .. T_(n-1)(x)`, to a whole pack; zero after.
#[derive(Debug, Clone, Copy)]
pub(super) struct Basis {
    packs: [Pack; LONG],
}

impl Basis {
    /// Four polynomials at a time: `T_(n+4) = 2 T_4 T_n - T_(n-4)`, and `T_(-n) = T_n`.
    #[inline]
    pub(super) fn new(x: f64, n: usize) -> Basis {
        let t2 = 2.0 * x * x - 1.0;
        let t3 = x * (2.0 * t2 - 1.0);
        let t4 = 2.0 * t2 * t2 - 1.0;
        let (mut before, mut now) = ([t4, t3, t2, x], [1.0, x, t2, t3]);
        let mut packs = [[0.0; PACK]; LONG];
        for pack in packs.iter_mut().take(n.div_ceil(PACK)) {
            *pack = now;
            for (b, n) in before.iter_mut().zip(&mut now) {
                (*b, *n) = (*n, 2.0 * t4 * *n - *b);
            }
        }
        Basis { packs }
    }

    #[inline]
    fn dot(&self, c: &[Pack]) -> f64 {
        let mut sum = [0.0; PACK];
        for (c, t) in c.iter().zip(&self.packs) {
            for ((s, c), t) in sum.iter_mut().zip(c).zip(t) {
                *s += c * t;
            }
        }
        (sum[0] + sum[1]) + (sum[2] + sum[3])
    }
}

/// A series in one variable.
#[derive(Debug, Clone)]
pub(super) struct Series {
    len: usize,
    c: Box<[Pack]>,
}

impl Series {
    /// From its coefficients, at most [`TERMS`] of them.
    pub(super) fn new(c: &[f64]) -> Option<Series> {
        (!c.is_empty() && c.len() <= TERMS)
            .then(|| Series { len: c.len(), c: packed(c, c.len().div_ceil(PACK)).into() })
    }

    pub(super) fn len(&self) -> usize {
        self.len
    }

    /// The value over a basis of at least as many terms.
    #[inline]
    pub(super) fn over(&self, basis: &Basis) -> f64 {
        basis.dot(&self.c)
    }

    /// The value at x.
    #[inline]
    pub(super) fn at(&self, x: f64) -> f64 {
        self.over(&Basis::new(x, self.len))
    }

    /// Value and slope at x.
    pub(super) fn with_slope(&self, x: f64) -> (f64, f64) {
        with_slope(self.c.as_flattened(), x)
    }
}

/// Coefficients in so many packs, zeros at the end.
fn packed(c: &[f64], packs: usize) -> Vec<Pack> {
    let mut out = vec![[0.0; PACK]; packs];
    for (place, value) in out.as_flattened_mut().iter_mut().zip(c) {
        *place = *value;
    }
    out
}

/// A grid of coefficients: a row for each i, padded to whole packs.
#[derive(Debug, Clone)]
pub(super) struct Grid {
    rows: usize,
    columns: usize,
    packs: usize,
    c: Box<[Pack]>,
}

impl Grid {
    /// From its rows, which may be of different lengths; at most [`TERMS`] by [`COLUMNS`].
    pub(super) fn new(rows: &[Vec<f64>]) -> Option<Grid> {
        let columns = rows.iter().map(Vec::len).max()?;
        if rows.len() > TERMS || columns == 0 || columns > COLUMNS {
            return None;
        }
        let packs = columns.div_ceil(PACK);
        let c: Vec<Pack> = rows.iter().flat_map(|row| packed(row, packs)).collect();
        Some(Grid { rows: rows.len(), columns, packs, c: c.into() })
    }

    pub(super) fn rows(&self) -> usize {
        self.rows
    }

    /// The series in y at the x of a basis.
    #[inline]
    pub(super) fn over(&self, basis: &Basis) -> Slice {
        let mut c = [[0.0; PACK]; WIDE];
        match self.packs {
            1 => self.sum::<1>(basis, &mut c),
            2 => self.sum::<2>(basis, &mut c),
            3 => self.sum::<3>(basis, &mut c),
            4 => self.sum::<4>(basis, &mut c),
            5 => self.sum::<5>(basis, &mut c),
            _ => self.sum::<WIDE>(basis, &mut c),
        }
        Slice { c, columns: self.columns, packs: self.packs }
    }

    #[inline]
    fn sum<const N: usize>(&self, basis: &Basis, out: &mut [Pack; WIDE]) {
        let mut sum = [[0.0; PACK]; N];
        for (row, t) in self.c.chunks_exact(N).zip(basis.packs.as_flattened()) {
            for (s, c) in sum.as_flattened_mut().iter_mut().zip(row.as_flattened()) {
                *s += t * c;
            }
        }
        for (place, value) in out.iter_mut().zip(sum) {
            *place = value;
        }
    }

    /// The series in x along the edge y = -1.
    pub(super) fn edge(&self) -> Option<Series> {
        let alternating =
            |line: &[Pack]| line.as_flattened().iter().enumerate().map(|(j, c)| if j % 2 == 0 { *c } else { -c }).sum();
        let c: Vec<f64> = self.c.chunks(self.packs).map(alternating).collect();
        Series::new(&c)
    }
}

/// A grid at one x: a series in y.
#[derive(Debug, Clone, Copy)]
pub(super) struct Slice {
    c: [Pack; WIDE],
    columns: usize,
    packs: usize,
}

impl Slice {
    #[inline]
    pub(super) fn at(&self, y: f64) -> f64 {
        Basis::new(y, self.columns).dot(&self.c[..self.packs])
    }

    /// The y in -1 to 1 where a rising series has this value: Newton, kept within a bracket that closes. Values outside
    /// the ends give the end.
    pub(super) fn solve(&self, target: f64, guess: f64) -> f64 {
        let c = &self.c.as_flattened()[..self.columns];
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
        let series = Series::new(&c).unwrap();
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

    // T_n(cos a) = cos(n a), to the last term there is room for.
    #[test]
    fn the_polynomials_are_cosines() {
        for k in 0..=100 {
            let angle = std::f64::consts::PI * f64::from(k) / 100.0;
            let basis = Basis::new(angle.cos(), TERMS);
            for (n, t) in (0_u32..).zip(basis.packs.as_flattened()) {
                assert!((t - (f64::from(n) * angle).cos()).abs() < 1e-12, "T_{n}(cos {angle}) {t}");
            }
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
        assert!(Series::new(&[]).is_none());
        assert!(Series::new(&[1.0; TERMS + 1]).is_none());
        assert!(Grid::new(&[]).is_none());
        assert!(Grid::new(&[vec![]]).is_none());
        assert!(Grid::new(&[vec![1.0; COLUMNS + 1]]).is_none());
        assert!(Grid::new(&vec![vec![1.0]; TERMS + 1]).is_none());
    }
}
