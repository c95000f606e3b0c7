//! What can't stand as it is drawn: overlaps, units over the edge, a listener inside a unit.

use super::Typed;
use crate::job::fault::Fault;
use crate::job::notes::{Notes, and};
use crate::job::syntax::quoted;
use crate::job::{HeatSource, Listener, Place, RoofUnit, Wall};
use crate::physics::plane::{self, crossing, length_within, to_sides, to_stretch, way_out, within};
use crate::units::{System, factor};

/// Less than this is how finely lengths are typed, m.
const SLACK_M: f64 = 2e-3;

/// What stands on the roof, each with its place as typed.
pub(super) struct Standing<'a> {
    pub outline: &'a [Place],
    pub roof_height: Option<f64>,
    pub units: &'a [(RoofUnit, Typed)],
    pub walls: &'a [(Wall, Typed)],
    pub heats: &'a [(HeatSource, Typed)],
    pub listeners: &'a [(Listener, Typed)],
}

/// Notes an outline that is none.
pub(super) fn outline(notes: &mut Notes<'_>, corners: &[Typed], whole: std::ops::Range<usize>) -> bool {
    if corners.len() < 3 {
        let has = match corners.len() {
            0 => "`outline` is empty".to_owned(),
            1 => "`outline` has one corner".to_owned(),
            count => format!("`outline` has {count} corners"),
        };
        notes.fault(Fault::new(whole, has).expected("three or more, in order round the roof"));
        return false;
    }
    let mut sound = true;
    for (index, corner) in corners.iter().enumerate() {
        let before = if index == 0 { corners.last() } else { corners.get(index - 1) };
        if before.is_some_and(|before| before.place.minus(corner.place).length() <= SLACK_M) {
            let (says, label) = if index == 0 {
                ("the last corner of `outline` is the first again", "it closes by itself: leave the last out")
            } else {
                ("a corner of `outline` stands twice", "the same as the one before")
            };
            let span = if index == 0 {
                corners.last().map_or(whole.clone(), |last| last.span.clone())
            } else {
                corner.span.clone()
            };
            notes.fault(Fault::new(span, says).expected(label));
            sound = false;
        }
    }
    if !sound {
        return false;
    }
    let places: Vec<Place> = corners.iter().map(|corner| corner.place).collect();
    if let Some((one, other)) = crossing(&places, SLACK_M)
        && let Some(corner) = corners.get(other)
    {
        let says = format!("`outline` crosses itself: its sides {} and {} meet", one + 1, other + 1);
        notes.fault(Fault::new(corner.span.clone(), says).expected("corners in order round the roof"));
        return false;
    }
    true
}

impl Standing<'_> {
    /// Notes every clash.
    pub fn note(&self, notes: &mut Notes<'_>) {
        self.overlaps(notes);
        self.over_the_edge(notes);
        self.walls_through_units(notes);
        self.heats_in_units(notes);
        self.listeners_inside(notes);
    }

    fn overlaps(&self, notes: &mut Notes<'_>) {
        for (index, (unit, typed)) in self.units.iter().enumerate() {
            let ways: Vec<(&str, Place)> = self
                .units
                .iter()
                .take(index)
                .filter_map(|(other, _)| {
                    Some((other.name.as_str(), way_out(&other.corners(), &unit.corners(), SLACK_M)?))
                })
                .collect();
            let by: Vec<String> = ways
                .iter()
                .map(|(other, way)| format!("`{other}` by {}", short_length(notes.system, way.length())))
                .collect();
            let [first, rest @ ..] = &ways[..] else { continue };
            let says = format!("`{}` overlaps {}", unit.name, and(&by));
            let fault = Fault::new(typed.span.clone(), says).expected("units stand side by side");
            let moved = if rest.is_empty() { self.moved_out(notes.system, unit, typed, first.1) } else { None };
            notes.fault(match moved {
                Some((span, text)) => fault.mend(span, text),
                None => fault,
            });
        }
    }

    /// Where the unit would stand clear, where one coordinate more or less does it.
    fn moved_out(
        &self,
        system: System,
        unit: &RoofUnit,
        typed: &Typed,
        way: Place,
    ) -> Option<(std::ops::Range<usize>, String)> {
        let step = match system {
            System::Ip => 0.1 * factor::FOOT,
            System::Si => 0.1,
        };
        // A whole step further on, and no step for what only rounding leaves.
        let beyond = |at: f64, by: f64| {
            let steps = (at + by) / step;
            step * if by > 0.0 { (steps - 1e-6).ceil() } else { (steps + 1e-6).floor() }
        };
        let [along_x, along_y] = typed.spans.clone();
        let (at, span, value) = if way.y_m.abs() <= 1e-9 {
            let x_m = beyond(unit.at.x_m, way.x_m);
            (Place { x_m, ..unit.at }, along_x, x_m)
        } else if way.x_m.abs() <= 1e-9 {
            let y_m = beyond(unit.at.y_m, way.y_m);
            (Place { y_m, ..unit.at }, along_y, y_m)
        } else {
            return None;
        };
        let moved = RoofUnit { at, ..unit.clone() };
        let corners = moved.corners();
        let clear = self
            .units
            .iter()
            .filter(|(other, _)| other.name != unit.name)
            .all(|(other, _)| way_out(&other.corners(), &corners, SLACK_M).is_none());
        let runs_through = |wall: &Wall| length_within(&corners, (wall.from, wall.to), SLACK_M) > 0.0;
        let clear =
            clear && outside(self.outline, &corners).is_none() && !self.walls.iter().any(|(w, _)| runs_through(w));
        clear.then(|| (span, quoted(&system.length(value))))
    }

    fn over_the_edge(&self, notes: &mut Notes<'_>) {
        for (unit, typed) in self.units {
            let Some(past) = outside(self.outline, &unit.corners()) else { continue };
            let says =
                format!("`{}` reaches {} past the edge of the roof", unit.name, short_length(notes.system, past));
            // Within the brackets: the same place may overlap a unit too.
            let [x, y] = typed.spans.clone();
            notes.fault(Fault::new(x.start..y.end, says).expected("a place within `outline`"));
        }
    }

    fn walls_through_units(&self, notes: &mut Notes<'_>) {
        for (wall, typed) in self.walls {
            let through = |(unit, _): &(RoofUnit, Typed)| {
                let length = length_within(&unit.corners(), (wall.from, wall.to), SLACK_M);
                (length > SLACK_M).then(|| format!("`{}` for {}", unit.name, short_length(notes.system, length)))
            };
            let through: Vec<String> = self.units.iter().filter_map(through).collect();
            if !through.is_empty() {
                let says = format!("the wall `{}` runs through {}", wall.name, and(&through));
                notes.fault(Fault::new(typed.span.clone(), says).expected("walls stand beside units"));
            }
        }
    }

    fn heats_in_units(&self, notes: &mut Notes<'_>) {
        for (heat, typed) in self.heats {
            if let Some((unit, _)) = self.units.iter().find(|(unit, _)| inside(&unit.corners(), heat.at)) {
                let says = format!("`{}` stands inside `{}`", heat.name, unit.name);
                notes.fault(Fault::new(typed.span.clone(), says).expected("a place beside the units"));
            }
        }
    }

    fn listeners_inside(&self, notes: &mut Notes<'_>) {
        let Some(roof_height) = self.roof_height else { return };
        for (listener, typed) in self.listeners {
            let over_roof = listener.height_m - roof_height;
            let says = if let Some((unit, _)) =
                self.units.iter().find(|(unit, _)| over_roof <= unit.height_m && inside(&unit.corners(), listener.at))
            {
                let place = if over_roof < 0.0 { "under" } else { "inside" };
                format!("the listener `{}` stands {place} `{}`", listener.name, unit.name)
            } else if over_roof < 0.0 && inside(self.outline, listener.at) {
                format!("the listener `{}` stands under the roof", listener.name)
            } else if let Some((wall, _)) = self.walls.iter().find(|(wall, _)| {
                (0.0..=wall.height_m).contains(&over_roof) && to_stretch(listener.at, (wall.from, wall.to)) <= SLACK_M
            }) {
                format!("the listener `{}` stands in the line of the wall `{}`", listener.name, wall.name)
            } else {
                continue;
            };
            notes.fault(Fault::new(typed.span.clone(), says).expected("a place in the open air, on one side"));
        }
    }
}

/// How far these corners reach past the edge, m, where they do.
fn outside(outline: &[Place], corners: &[Place]) -> Option<f64> {
    if outline.is_empty() {
        return None;
    }
    let past = corners
        .iter()
        .filter(|corner| !within(outline, **corner))
        .map(|corner| to_sides(outline, *corner))
        .fold(0.0, f64::max);
    if past > SLACK_M {
        return Some(past);
    }
    // No corner is outside, but a corner of the edge may reach in.
    let cut = plane::sides(outline).map(|side| length_within(corners, side, SLACK_M)).fold(0.0, f64::max);
    Some(cut).filter(|cut| *cut > SLACK_M)
}

fn inside(polygon: &[Place], place: Place) -> bool {
    within(polygon, place) && to_sides(polygon, place) > SLACK_M
}

/// A length that may be a few inches.
fn short_length(system: System, metres: f64) -> String {
    match system {
        System::Ip if metres < factor::FOOT => format!("{:.1} in", metres / factor::INCH),
        System::Si if metres < 1.0 => format!("{:.0} mm", metres * 1e3),
        _ => system.length(metres),
    }
}
