//! Room round each unit: at every face what is in the way, how far off, and how much is required.

mod working;

pub use working::{Opposite, Working};

use super::plan::{Frontage, Obstacle, SLACK_M, What, bearing_deg, faces, obstacles};
use crate::job::{Face, Job, Roof, RoofUnit};
use crate::physics::plane;
use schemars::JsonSchema;
use serde::Serialize;

/// Room round a unit.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Clearance {
    /// The unit.
    pub name: String,
    /// The smaller of its plan dimensions, by which room is measured.
    pub width_m: f64,
    /// Its four sides.
    pub faces: Vec<FaceRoom>,
    /// The pit that it stands in.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pit: Option<Pit>,
    /// Clear height required over an outlet at the top. Nothing above the units is drawn, so that it is not judged.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub above_m: Option<f64>,
    /// The space in front of its controls, where their side is given.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub working: Option<Working>,
}

/// What air does at a face.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Air {
    /// Enters.
    In,
    /// Leaves.
    Out,
    /// Neither.
    None,
}

/// Why so much room is required.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Asks {
    /// The manufacturer's own figure.
    Maker,
    /// A wall or a parapet before a side that needs air.
    Wall,
    /// A screen that is open enough not to count as a wall of a pit.
    Screen,
    /// Another unit.
    Unit,
    /// Air of one thrown at the intake of another.
    Throw,
    /// A wall of a pit.
    Pit,
    /// Room for pipework and service where no air passes.
    End,
}

/// Room before a face.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct FaceRoom {
    /// The unit's own name for it: `north`.
    pub side: &'static str,
    /// The compass bearing that it looks to, degrees.
    pub bearing_deg: f64,
    /// What air does there.
    pub air: Air,
    /// What stands before it and is nearest to what is asked of it; none where nothing does.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub obstacle: Option<String>,
    /// How far off that is.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub free_m: Option<f64>,
    /// Share of the face's height that it hides.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hidden_share: Option<f64>,
    /// How much room is required.
    pub asked_m: f64,
    /// Why so much.
    pub asks: Asks,
    /// By how much it is short; 0 where it is not.
    pub short_m: f64,
}

/// A pit, a court or a ring of walls.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Pit {
    /// The sides of the unit that have a wall.
    pub sides: Vec<&'static str>,
    /// By how much the unit's top lies below the lowest of the walls; 0 where it does not.
    pub sunk_m: f64,
}

impl Clearance {
    /// What stands where room is short, by name.
    pub(crate) fn in_the_way(&self) -> impl Iterator<Item = &str> {
        let sides = self.faces.iter().filter(|face| face.short_m > 0.0).filter_map(|face| face.obstacle.as_deref());
        let working = self.working.iter().filter(|working| working.short_m > 0.0);
        sides.chain(working.filter_map(|working| working.obstacle.as_deref()))
    }

    /// What its controls are short of, m.
    pub(crate) fn working_short_m(&self) -> f64 {
        self.working.as_ref().map_or(0.0, |working| working.short_m)
    }

    /// How deep its top lies in a pit, m.
    pub(crate) fn sunk_m(&self) -> f64 {
        self.pit.as_ref().map_or(0.0, |pit| pit.sunk_m)
    }

    /// What its sides are short of together, m; 0 where all have their room.
    pub(crate) fn sides_short_m(&self) -> f64 {
        self.faces.iter().map(|face| face.short_m).sum()
    }
}

/// The room round every unit.
pub(crate) fn clearances(job: &Job, roof: &Roof) -> Vec<Clearance> {
    let standing = obstacles(roof);
    (0..roof.units.len()).filter_map(|index| clearance(job, roof, &standing, index)).collect()
}

/// The room round one unit.
pub(crate) fn clearance(job: &Job, roof: &Roof, standing: &[Obstacle], index: usize) -> Option<Clearance> {
    let unit = roof.units.get(index)?;
    let around = Around { job, roof, standing, index, unit };
    let faces = faces(unit);
    let pit = around.pit(&faces);
    Some(Clearance {
        name: unit.name.clone(),
        width_m: unit.narrow_m(),
        faces: faces.iter().map(|face| around.room(face, pit.is_some())).collect(),
        pit,
        above_m: unit.air_out.is_none().then(|| unit.clearance_above_m.unwrap_or_else(|| job.limit("clearance_above"))),
        working: unit.controls.and_then(|side| around.working(&faces, side)),
    })
}

/// A unit and what stands round it.
struct Around<'a> {
    job: &'a Job,
    roof: &'a Roof,
    standing: &'a [Obstacle],
    index: usize,
    unit: &'a RoofUnit,
}

/// How much is missing; nothing for what only rounding leaves.
fn short(asked_m: f64, free_m: f64) -> f64 {
    let short = asked_m - free_m;
    if short > 1e-6 { short } else { 0.0 }
}

impl Around<'_> {
    fn air(&self, side: Face) -> Air {
        if self.unit.air_out == Some(side) {
            Air::Out
        } else if self.unit.air_in.contains(&side) || self.unit.air_in_below {
            // What enters from below comes in round the foot.
            Air::In
        } else {
            Air::None
        }
    }

    /// What stands before a face and is seen by it, with its distance.
    fn before<'s>(&'s self, face: &'s Frontage) -> impl Iterator<Item = (&'s Obstacle, f64)> {
        let foot = if self.unit.air_in_below { 0.0 } else { self.unit.base_height_m };
        self.standing
            .iter()
            .filter(move |o| {
                o.what != What::Unit(self.index) && o.top_m > foot + 1e-9 && o.bottom_m < self.unit.height_m
            })
            .filter_map(move |o| o.ahead(face).map(|free| (o, free)))
    }

    /// Whether an obstacle is a wall of a pit where it stands near enough: solid and as high as the unit, or a screen that
    /// rises too far over it.
    fn walls_in(&self, obstacle: &Obstacle) -> bool {
        let solid = obstacle.open < self.job.limit("screen_open");
        let level = obstacle.top_m > self.unit.height_m - 1e-6;
        !matches!(obstacle.what, What::Unit(_)) && if solid { level } else { self.is_too_high(obstacle) }
    }

    /// Whether a screen rises farther over the unit than it may.
    fn is_too_high(&self, screen: &Obstacle) -> bool {
        screen.top_m > self.unit.height_m + self.job.limit("screen_over") + 1e-6
    }

    /// The pit that the unit stands in: walls to its own height or higher before three sides or all.
    fn pit(&self, faces: &[Frontage]) -> Option<Pit> {
        let reach = self.job.limit("clearance_pit") * self.unit.narrow_m();
        let mut sides = Vec::new();
        let mut lowest = f64::INFINITY;
        for face in faces {
            let walls = self.before(face).filter(|(o, free)| self.walls_in(o) && *free <= reach + 1e-6);
            if let Some(top) = walls.map(|(o, _)| o.top_m).reduce(f64::max) {
                sides.push(face.side.name());
                lowest = lowest.min(top);
            }
        }
        // Air that is thrown sideways does not have to clear the walls.
        let sunk_m = if self.unit.air_out.is_none() { short(lowest, self.unit.height_m) } else { 0.0 };
        (sides.len() >= 3).then_some(Pit { sides, sunk_m })
    }

    /// The room before a face: of all that stands there, what falls shortest of what is asked.
    fn room(&self, face: &Frontage, in_a_pit: bool) -> FaceRoom {
        let air = self.air(face.side);
        let own = Face::ALL
            .iter()
            .position(|side| *side == face.side)
            .and_then(|i| self.unit.clearance_m.get(i).copied().flatten());
        let worst = self
            .before(face)
            .map(|(obstacle, free)| (obstacle, free, self.asked(face, air, own, obstacle, free, in_a_pit)))
            .fold(None, |worst: Option<(&Obstacle, f64, (f64, Asks))>, one| match worst {
                Some(worst) if worst.2.0 - worst.1 >= one.2.0 - one.1 => Some(worst),
                _ => Some(one),
            });
        let side = face.side.name();
        let bearing_deg = bearing_deg(self.roof, face.outward);
        let Some((obstacle, free, (asked_m, asks))) = worst else {
            let (asked_m, asks) = self.asked_at_least(air, own);
            return FaceRoom {
                side,
                bearing_deg,
                air,
                obstacle: None,
                free_m: None,
                hidden_share: None,
                asked_m,
                asks,
                short_m: 0.0,
            };
        };
        let (foot, top) = (self.unit.base_height_m, self.unit.height_m);
        let hidden = (obstacle.top_m.min(top) - obstacle.bottom_m.max(foot)).max(0.0) / (top - foot);
        FaceRoom {
            side,
            bearing_deg,
            air,
            obstacle: Some(obstacle.name(self.roof)),
            free_m: Some(free),
            hidden_share: Some(hidden),
            asked_m,
            asks,
            short_m: short(asked_m, free),
        }
    }

    /// What is asked of a face whatever stands before it.
    fn asked_at_least(&self, air: Air, own: Option<f64>) -> (f64, Asks) {
        match (own, air) {
            (Some(own), _) => (own, Asks::Maker),
            (None, Air::None) => (self.job.limit("clearance_end"), Asks::End),
            (None, _) => (self.job.limit("clearance_wall") * self.unit.narrow_m(), Asks::Wall),
        }
    }

    /// What is asked of a face before that obstacle.
    fn asked(
        &self,
        face: &Frontage,
        air: Air,
        own: Option<f64>,
        obstacle: &Obstacle,
        free: f64,
        in_a_pit: bool,
    ) -> (f64, Asks) {
        if own.is_some() || air == Air::None {
            return self.asked_at_least(air, own);
        }
        let width = self.unit.narrow_m();
        let wall = self.job.limit("clearance_wall") * width;
        let pit = self.job.limit("clearance_pit");
        match obstacle.what {
            What::Unit(index) => {
                let Some(other) = self.roof.units.get(index) else { return (wall, Asks::Unit) };
                let wider = width.max(other.narrow_m());
                if thrown(face, air, other) {
                    return (pit * wider, Asks::Throw);
                }
                (self.job.limit("clearance_units") * wider, Asks::Unit)
            }
            _ if in_a_pit && self.walls_in(obstacle) && free <= pit * width + 1e-6 => (pit * width, Asks::Pit),
            _ if obstacle.open >= self.job.limit("screen_open") && self.is_too_high(obstacle) => {
                (pit * width, Asks::Screen)
            }
            _ if obstacle.open >= self.job.limit("screen_open") => (wall, Asks::Screen),
            _ => (wall, Asks::Wall),
        }
    }
}

/// Whether the air of one is thrown at the intake of the other.
fn thrown(face: &Frontage, air: Air, other: &RoofUnit) -> bool {
    faces(other).iter().filter(|theirs| looks_back(face, theirs)).any(|theirs| match air {
        Air::Out => other.air_in.contains(&theirs.side) || other.air_in_below,
        Air::In => other.air_out == Some(theirs.side),
        Air::None => false,
    })
}

/// Whether a face looks back at another, to an eighth of a turn.
fn looks_back(face: &Frontage, theirs: &Frontage) -> bool {
    theirs.outward.dot(face.outward) < -0.7 && plane::ahead(theirs.ends, face.ends, SLACK_M).is_some()
}
