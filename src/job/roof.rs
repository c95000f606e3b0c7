//! The roof as drawn: units, walls, other heat sources and listeners in coordinates.
//!
//! x runs to the right and y up on the plan, in m; heights are over the roof's surface unless said otherwise. The sides of the
//! plan are called by the compass as if y pointed north; `Roof::north_deg` says how far it is off.

pub use crate::physics::plane::Xy;

/// The roof.
#[derive(Clone, Debug, PartialEq)]
pub struct Roof {
    /// Compass bearing of the plan's y axis, degrees clockwise from north: 0 where y points north.
    pub north_deg: f64,
    /// Corners of the roof's edge in order, none where it is not drawn.
    pub outline: Vec<Xy>,
    /// Of the roof's surface over the ground, m, where known.
    pub height_m: Option<f64>,
    /// Of the parapet along the whole outline, m; 0 for none.
    pub parapet_m: f64,
    /// Of the guard rail along the whole outline, m; 0 for none.
    pub guard_m: f64,
    /// Of the units' supply, V to ground: what the working space in front of their controls depends on.
    pub volts_to_ground: f64,
    /// Design wind speed of the structure (gust), m/s, where known.
    pub wind_m_s: Option<f64>,
    /// The condensers.
    pub units: Vec<RoofUnit>,
    /// Walls, screens and parapets inside the outline.
    pub walls: Vec<Wall>,
    /// Guard rails along stretches of the edge.
    pub rails: Vec<Rail>,
    /// Other sources of warm air.
    pub heats: Vec<HeatSource>,
    /// Those who hear it.
    pub listeners: Vec<Listener>,
    /// Where piping passes over a walkway.
    pub crossings: Vec<Crossing>,
}

/// A side of the plan, turned with a unit that is turned.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Face {
    /// y upward.
    North,
    /// x to the right.
    East,
    /// y downward.
    South,
    /// x to the left.
    West,
}

impl Face {
    /// All four, clockwise.
    pub const ALL: [Face; 4] = [Face::North, Face::East, Face::South, Face::West];

    /// Its name.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Face::North => "north",
            Face::East => "east",
            Face::South => "south",
            Face::West => "west",
        }
    }
}

/// A condenser on its supports.
#[derive(Clone, Debug, PartialEq)]
pub struct RoofUnit {
    /// Its name on the plan.
    pub name: String,
    /// The circuits whose coils it holds: the index in `Job::circuits`, and how many coils of that circuit.
    pub circuits: Vec<(usize, u32)>,
    /// The corner with the lowest x and y before it is turned.
    pub at: Xy,
    /// Length along x before it is turned, m.
    pub length_m: f64,
    /// Width along y before it is turned, m.
    pub width_m: f64,
    /// Turned about `at`, degrees counter-clockwise.
    pub rotation_deg: f64,
    /// Of its top, m.
    pub height_m: f64,
    /// Of its underside, m.
    pub base_height_m: f64,
    /// Sides at which air enters.
    pub air_in: Vec<Face>,
    /// Whether air enters from below too.
    pub air_in_below: bool,
    /// The side at which air leaves; none where it leaves at the top, straight up.
    pub air_out: Option<Face>,
    /// Air flow, m3/s, where known.
    pub air_flow_m3_s: Option<f64>,
    /// Velocity at which the air leaves, m/s, where known.
    pub outlet_m_s: Option<f64>,
    /// The manufacturer's own clearances by side, in the order of `Face::ALL`, m.
    pub clearance_m: [Option<f64>; 4],
    /// The manufacturer's own clearance over an outlet at the top, m.
    pub clearance_above_m: Option<f64>,
    /// The side at which its controls are worked on.
    pub controls: Option<Face>,
    /// What it weighs without refrigerant.
    pub weight: Option<Weight>,
    /// What each support may carry, kg, by the structural engineer.
    pub allowed_kg: Option<f64>,
    /// Whether it is held down against the wind.
    pub held_down: bool,
    /// Sound power at full speed, where known.
    pub sound: Option<SoundPower>,
    /// Sound power at night, where known.
    pub night_sound: Option<SoundPower>,
    /// Share of the full fan speed at night, where given instead.
    pub night_speed: Option<f64>,
}

impl RoofUnit {
    /// Its corners on the plan, counter-clockwise from `at`.
    #[must_use]
    pub fn corners(&self) -> [Xy; 4] {
        let (length, width) = (self.length_m, self.width_m);
        [(0.0, 0.0), (length, 0.0), (length, width), (0.0, width)]
            .map(|(x, y)| self.at.plus(Xy::new(x, y).turned(self.rotation_deg)))
    }

    /// The smaller of its plan dimensions, m: what room is measured by.
    #[must_use]
    pub fn narrow_m(&self) -> f64 {
        self.length_m.min(self.width_m)
    }
}

/// Share of the face at which air leaves that the fans' discs take, where the velocity is not given: so that condensers of
/// usual size blow at 1000 to 1800 fpm.
pub const FAN_DISCS: f64 = 0.25;

/// Weight without refrigerant.
#[derive(Clone, Debug, PartialEq)]
pub enum Weight {
    /// In all, on so many supports.
    Total {
        /// kg.
        kg: f64,
        /// How many supports carry it.
        supports: u32,
    },
    /// On each support, kg.
    Each(Vec<f64>),
}

/// Sound power level, dB over 1 pW.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SoundPower {
    /// A-weighted.
    A(f64),
    /// By octave from 63 to 8000 Hz, without weighting.
    Octaves([f64; 8]),
}

/// A wall, a screen or a parapet: straight, upright, from the roof to its height.
#[derive(Clone, Debug, PartialEq)]
pub struct Wall {
    /// Its name.
    pub name: String,
    /// One end.
    pub from: Xy,
    /// The other end.
    pub to: Xy,
    /// Of its top, m.
    pub height_m: f64,
    /// Share of its face that is open; 0 where solid.
    pub open: f64,
}

impl Wall {
    /// Its name in a sentence.
    #[must_use]
    pub fn in_a_sentence(&self) -> String {
        format!("the wall {}", self.name)
    }
}

/// A guard rail: no obstacle to air, which a wall is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rail {
    /// One end.
    pub from: Xy,
    /// The other end.
    pub to: Xy,
    /// Of its top, m.
    pub height_m: f64,
}

/// Another source of warm air, blowing straight up.
#[derive(Clone, Debug, PartialEq)]
pub struct HeatSource {
    /// Its name.
    pub name: String,
    /// Where.
    pub at: Xy,
    /// Of its outlet, m.
    pub height_m: f64,
    /// Air flow, m3/s.
    pub air_flow_m3_s: f64,
    /// How much warmer than outdoors its air is, K.
    pub temperature_rise_K: f64,
    /// Velocity at which the air leaves, m/s, where known.
    pub outlet_m_s: Option<f64>,
}

/// Someone who hears it.
#[derive(Clone, Debug, PartialEq)]
pub struct Listener {
    /// Their name.
    pub name: String,
    /// Where.
    pub at: Xy,
    /// Of the ear over the ground, m.
    pub height_m: f64,
    /// What the local ordinance allows by day, dBA, where given.
    pub limit_dBA: Option<f64>,
    /// What it allows at night, dBA, where given.
    pub night_limit_dBA: Option<f64>,
}

/// Piping that passes over a walkway.
#[derive(Clone, Debug, PartialEq)]
pub struct Crossing {
    /// Its name.
    pub name: String,
    /// Of its underside over the walkway, m.
    pub height_m: f64,
}
