//! Tube sizes.

use crate::units::{Length, PressureDifference};

/// What a tube is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Material {
    /// Copper, annealed where it is brazed.
    Copper,
    /// Carbon steel.
    Steel,
}

/// A size of tube.
#[derive(Clone, Debug, PartialEq)]
pub struct Tube {
    /// Trade name: size and kind, `1-3/8 ACR`.
    pub name: String,
    /// Kind: `ACR`, `L`, `K`, `Sch40`, `Sch80`, or empty for the user's own.
    pub kind: String,
    /// Outside diameter, nominal.
    pub outside: Length,
    /// Wall, nominal.
    pub wall: Length,
    /// Largest outside diameter by the standard's tolerance.
    pub outside_max: Length,
    /// Least wall by the standard's tolerance.
    pub wall_min: Length,
    /// Roughness of the bore.
    pub roughness: Length,
    /// Material.
    pub material: Material,
    /// The user's own rating in place of a computed one.
    pub rated: Option<PressureDifference>,
    /// The user's own allowable stress in place of the table's.
    pub allowable: Option<PressureDifference>,
    /// Source key.
    pub source: String,
}

impl Tube {
    /// Inside diameter: outside less two walls.
    #[must_use]
    pub fn bore(&self) -> Length {
        self.outside - 2.0 * self.wall
    }
}
