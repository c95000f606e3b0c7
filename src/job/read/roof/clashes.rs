//! What can't stand as it is drawn: overlaps, units over the edge, a listener inside a unit.

use super::plan::Typed;
use crate::job::fault::Fault;
use crate::job::notes::Notes;
use crate::job::{HeatSource, Listener, RoofUnit, Wall, Xy};
use crate::physics::plane::{SLACK_M, crossing, length_within, reaches_past, to_sides, to_stretch, way_out, within};
use crate::units::words::and;

/// What stands on the roof, each with its place as typed.
pub(super) struct Standing<'a> {
    pub outline: &'a [Xy],
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
                ("a corner of `outline` is there twice", "the same as the one before")
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
    let places: Vec<Xy> = corners.iter().map(|corner| corner.place).collect();
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

    /// Each overlap once: of the unit that has the most of them, the later one of two.
    fn overlaps(&self, notes: &mut Notes<'_>) {
        let mut left: Vec<(usize, usize, f64)> = Vec::new();
        for (later, (unit, _)) in self.units.iter().enumerate() {
            for (earlier, (other, _)) in self.units.iter().take(later).enumerate() {
                let way = way_out(&other.corners(), &unit.corners(), SLACK_M);
                left.extend(way.map(|way| (earlier, later, way.length())));
            }
        }
        while !left.is_empty() {
            let count = |index: usize| left.iter().filter(|(a, b, _)| *a == index || *b == index).count();
            let Some(worst) = (0..self.units.len()).max_by_key(|index| count(*index)) else { return };
            let (of_worst, rest): (Vec<_>, Vec<_>) = left.iter().partition(|(a, b, _)| *a == worst || *b == worst);
            let by = |(a, b, by): &(usize, usize, f64)| {
                let (other, _) = self.units.get(if *a == worst { *b } else { *a })?;
                Some(format!("`{}` by {}", other.name, notes.system.inches_or_length(*by)))
            };
            let by: Vec<String> = of_worst.iter().filter_map(by).collect();
            if let Some((unit, typed)) = self.units.get(worst) {
                let says = format!("`{}` overlaps {}", unit.name, and(&by));
                notes.fault(Fault::new(typed.span.clone(), says).expected("units have no overlap"));
            }
            left = rest;
        }
    }

    fn over_the_edge(&self, notes: &mut Notes<'_>) {
        for (unit, typed) in self.units {
            let Some(past) = reaches_past(self.outline, &unit.corners(), SLACK_M) else { continue };
            let says =
                format!("`{}` reaches {} past the edge of the roof", unit.name, notes.system.inches_or_length(past));
            // Within the brackets: the same place may overlap a unit too.
            let [x, y] = typed.spans.clone();
            notes.fault(Fault::new(x.start..y.end, says).expected("a place within `outline`"));
        }
    }

    fn walls_through_units(&self, notes: &mut Notes<'_>) {
        for (wall, typed) in self.walls {
            let through = |(unit, _): &(RoofUnit, Typed)| {
                let length = length_within(&unit.corners(), (wall.from, wall.to), SLACK_M);
                (length > SLACK_M).then(|| format!("`{}` for {}", unit.name, notes.system.inches_or_length(length)))
            };
            let through: Vec<String> = self.units.iter().filter_map(through).collect();
            if !through.is_empty() {
                let says = format!("the wall `{}` runs through {}", wall.name, and(&through));
                notes.fault(Fault::new(typed.span.clone(), says).expected("walls are beside units"));
            }
        }
    }

    fn heats_in_units(&self, notes: &mut Notes<'_>) {
        for (heat, typed) in self.heats {
            if let Some((unit, _)) = self.units.iter().find(|(unit, _)| inside(&unit.corners(), heat.at)) {
                let says = format!("`{}` is inside `{}`", heat.name, unit.name);
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
                format!("the listener `{}` is {place} `{}`", listener.name, unit.name)
            } else if over_roof < 0.0 && inside(self.outline, listener.at) {
                format!("the listener `{}` is under the roof", listener.name)
            } else if let Some((wall, _)) = self.walls.iter().find(|(wall, _)| {
                (0.0..=wall.height_m).contains(&over_roof) && to_stretch(listener.at, (wall.from, wall.to)) <= SLACK_M
            }) {
                format!("the listener `{}` is in the line of the wall `{}`", listener.name, wall.name)
            } else {
                continue;
            };
            notes.fault(Fault::new(typed.span.clone(), says).expected("a place in the open air, on one side"));
        }
    }
}

fn inside(polygon: &[Xy], place: Xy) -> bool {
    within(polygon, place) && to_sides(polygon, place) > SLACK_M
}
