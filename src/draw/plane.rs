//! Points and boxes on a drawing: x to the right, y down, in units of the drawing (a pixel at its own size).

/// A point.
pub type At = (f64, f64);

/// A box along the axes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rect {
    /// Left edge.
    pub x: f64,
    /// Top edge.
    pub y: f64,
    /// Width.
    pub w: f64,
    /// Height.
    pub h: f64,
}

impl Rect {
    /// From its top left corner and its size.
    #[must_use]
    pub const fn new(x: f64, y: f64, w: f64, h: f64) -> Self {
        Self { x, y, w, h }
    }

    /// Round two points, and that much to all sides.
    #[must_use]
    pub fn round(a: At, b: At, margin: f64) -> Self {
        let (x, y) = (a.0.min(b.0) - margin, a.1.min(b.1) - margin);
        Self::new(x, y, (a.0 - b.0).abs() + 2.0 * margin, (a.1 - b.1).abs() + 2.0 * margin)
    }

    /// That much larger on every side.
    #[must_use]
    pub fn grown(self, margin: f64) -> Self {
        Self::new(self.x - margin, self.y - margin, self.w + 2.0 * margin, self.h + 2.0 * margin)
    }

    /// Whether two share more than an edge.
    #[must_use]
    pub fn meets(&self, other: &Self) -> bool {
        self.x < other.right() && other.x < self.right() && self.y < other.bottom() && other.y < self.bottom()
    }

    /// Whether all of another lies in it.
    #[must_use]
    pub fn holds(&self, other: &Self) -> bool {
        self.x <= other.x && self.y <= other.y && other.right() <= self.right() && other.bottom() <= self.bottom()
    }

    /// Right edge.
    #[must_use]
    pub fn right(&self) -> f64 {
        self.x + self.w
    }

    /// Bottom edge.
    #[must_use]
    pub fn bottom(&self) -> f64 {
        self.y + self.h
    }

    /// Its middle.
    #[must_use]
    pub fn middle(&self) -> At {
        (self.x + self.w / 2.0, self.y + self.h / 2.0)
    }
}

/// Places from one to another, no more than so far apart, both ends among them.
pub fn along(from: At, to: At, apart: f64) -> impl Iterator<Item = At> {
    let steps = ((to.0 - from.0).hypot(to.1 - from.1) / apart).ceil().clamp(1.0, 500.0);
    let at = move |step: f64| (from.0 + (to.0 - from.0) * step / steps, from.1 + (to.1 - from.1) * step / steps);
    (0..=500_u16).map(f64::from).take_while(move |step| *step <= steps).map(at)
}
