//! Room round the units on the plan: dimensions to what stands before their sides.

use super::window::Window;
use crate::draw::block::Block;
use crate::draw::canvas::{Canvas, Hatch};
use crate::draw::marks::{self, Numbered};
use crate::draw::plane::{At, Rect};
use crate::draw::style::Type;
use crate::draw::symbols;
use crate::job::{Job, Roof, RoofUnit, Xy};
use crate::physics::plane;
use crate::roof::plan::{Frontage, faces, obstacles};
use crate::roof::{Air, Clearance, FaceRoom, RoofStudy};
use crate::rules::Place;

/// What is no farther off is dimensioned in any case, m.
const FAR_M: f64 = 5.0;

/// A dimension from a side of a unit to what stands before it.
struct Dimension<'a> {
    unit: usize,
    face: &'a FaceRoom,
    from: Xy,
    to: Xy,
    /// The side of the other unit that it is of too.
    too: Option<(usize, &'a FaceRoom)>,
}

/// Where along a face what stands before it at that distance is met, from 0 to 1 of the face.
fn met(roof: &Roof, unit: usize, front: &Frontage, free: f64) -> f64 {
    const PLACES: [f64; 11] = [0.3, 0.5, 0.7, 0.4, 0.6, 0.15, 0.85, 0.05, 0.95, 0.0, 1.0];
    let others = obstacles(roof);
    let stretches: Vec<(Xy, Xy)> = others
        .iter()
        .filter(|obstacle| obstacle.what != crate::roof::plan::What::Unit(unit))
        .flat_map(|obstacle| obstacle.stretches.iter().copied())
        .collect();
    let along = |share: f64| {
        let (a, b) = front.ends;
        a.plus(b.minus(a).times(share))
    };
    let nearest = |share: f64| {
        let hits = stretches.iter().filter_map(|stretch| hit(along(share), front.outward, *stretch));
        hits.fold(f64::INFINITY, f64::min)
    };
    PLACES.into_iter().find(|share| (nearest(*share) - free).abs() < 0.02).unwrap_or(0.5)
}

/// How far along a direction from a point a stretch is met.
fn hit(from: Xy, direction: Xy, (a, b): (Xy, Xy)) -> Option<f64> {
    let along = b.minus(a);
    let turn = direction.cross(along);
    if turn.abs() < 1e-9 {
        return None;
    }
    let to = a.minus(from);
    let (distance, share) = (to.cross(along) / turn, to.cross(direction) / turn);
    (distance >= -1e-9 && (-1e-6..=1.0 + 1e-6).contains(&share)).then_some(distance)
}

fn dimensions<'a>(roof: &Roof, clearances: &'a [Clearance]) -> Vec<Dimension<'a>> {
    let mut told: Vec<Dimension> = Vec::new();
    for (unit, (drawn, clearance)) in roof.units.iter().zip(clearances).enumerate() {
        for (front, face) in faces(drawn).iter().zip(&clearance.faces) {
            // What stands far beyond what is required needs no dimension.
            let counts = |free: &f64| face.short_m > 0.0 || *free <= (2.0 * face.asked_m).max(FAR_M);
            let Some(free) = face.free_m.filter(counts) else { continue };
            let share = met(roof, unit, front, free);
            let (a, b) = front.ends;
            let from = a.plus(b.minus(a).times(share));
            let to = from.plus(front.outward.times(free));
            // Between two units one dimension does, the one that asks for more.
            let same = |other: &Dimension| {
                let back =
                    |p: Xy, q: Xy| p.minus(q).length() < 0.05 * free.max(1.0) + 0.6 * drawn.length_m.max(drawn.width_m);
                other.unit != unit
                    && (other.face.free_m.unwrap_or(0.0) - free).abs() < 0.01
                    && other.from.minus(other.to).dot(from.minus(to)) < 0.0
                    && back(other.from, to)
                    && back(other.to, from)
            };
            if let Some(known) = told.iter_mut().find(|other| same(other)) {
                let other = (known.unit, known.face);
                if face.short_m > known.face.short_m {
                    *known = Dimension { unit, face, from, to, too: Some(other) };
                } else {
                    known.too = Some((unit, face));
                }
                continue;
            }
            told.push(Dimension { unit, face, from, to, too: None });
        }
    }
    told
}

/// Hatches the space before sides: where air that enters is short of room it fails, in a pit warm air returns. The
/// spaces, and which of the two hatches were used.
pub fn hatches(canvas: &mut Canvas, roof: &Roof, clearances: &[Clearance], window: &Window) -> (Vec<Rect>, [bool; 2]) {
    let mut spaces = Vec::new();
    let mut used = [false, false];
    for (unit, clearance) in roof.units.iter().zip(clearances) {
        for (front, face) in faces(unit).iter().zip(&clearance.faces) {
            let Some(free) = face.free_m else { continue };
            let in_pit = clearance.pit.as_ref().is_some_and(|pit| pit.sides.contains(&face.side));
            let hatch = match face.air {
                Air::In if face.short_m > 0.0 => Hatch::Fails,
                _ if in_pit => Hatch::Warm,
                _ => continue,
            };
            let (a, b) = front.ends;
            let out = front.outward.times(free);
            let corners = [a, b, b.plus(out), a.plus(out)].map(|place| window.at(place));
            canvas.hatched(hatch, &corners);
            let [a, _, c, _] = corners;
            spaces.push(Rect::round(a, c, 0.0));
            if let Some(used) = used.get_mut(usize::from(hatch == Hatch::Warm)) {
                *used = true;
            }
        }
    }
    (spaces, used)
}

/// Draws the dimensions: what was found, and what is required where that is more, with the marks of what is short. The marks
/// that were drawn.
pub fn draw(
    canvas: &mut Canvas,
    job: &Job,
    (roof, study): (&Roof, &RoofStudy),
    window: &Window,
    findings: &[Numbered],
) -> Vec<usize> {
    let mut marked = Vec::new();
    let units = job.units;
    for Dimension { unit, face, from, to, too } in dimensions(roof, &study.clearances) {
        let free = units.length(face.free_m.unwrap_or(0.0));
        let (words, look) = if face.short_m > 0.0 {
            (format!("{free}, needs {}", units.length_value(face.asked_m)), Type::Strong)
        } else {
            (free, Type::Soft)
        };
        let sides: Vec<Place> =
            too.into_iter().chain([(unit, face)]).map(|(unit, face)| Place::UnitSide(unit, face.side)).collect();
        let is_here = |of: &&Numbered| of.finding.place.as_ref().is_some_and(|place| sides.contains(place));
        let of_it: Vec<Numbered> = findings.iter().filter(is_here).copied().collect();
        marked.extend(dimension(canvas, window, (from, to), (words, look), &of_it));
    }
    for (unit, edge) in roof.units.iter().enumerate().filter_map(|(index, unit)| {
        let edge = study.edges.iter().find(|edge| edge.name == unit.name)?;
        Some((index, edge))
    }) {
        let Some((from, to)) = roof.units.get(unit).and_then(|drawn| to_edge(roof, drawn, edge.edge_m)) else {
            continue;
        };
        let here = |of: &&Numbered| of.finding.rule == "roof-edge" && of.finding.place == Some(Place::Unit(unit));
        let of_it: Vec<Numbered> = findings.iter().filter(here).copied().collect();
        let words = format!("{} to edge", units.length(edge.edge_m));
        marked.extend(dimension(canvas, window, (from, to), (words, Type::Soft), &of_it));
    }
    marked
}

/// From a side of a unit to the edge of the roof that is nearest to it.
fn to_edge(roof: &Roof, unit: &RoofUnit, distance: f64) -> Option<(Xy, Xy)> {
    let outline: Vec<(Xy, Xy)> = plane::sides(&roof.outline).collect();
    let met = |front: &Frontage, share: f64| {
        let (a, b) = front.ends;
        let from = a.plus(b.minus(a).times(share));
        let far = outline.iter().filter_map(|side| hit(from, front.outward, *side)).fold(f64::INFINITY, f64::min);
        ((far - distance).abs() < 0.03).then(|| (from, from.plus(front.outward.times(far))))
    };
    let fronts = faces(unit);
    fronts.iter().find_map(|front| [0.8, 0.2, 0.9, 0.1, 0.5].into_iter().find_map(|share| met(front, share)))
}

/// Draws a dimension with its words and marks where it is shown; the marks that were drawn.
fn dimension(
    canvas: &mut Canvas,
    window: &Window,
    (from, to): (Xy, Xy),
    (words, look): (String, Type),
    findings: &[Numbered],
) -> Vec<usize> {
    if !window.shows(from) || !window.shows(to) {
        return Vec::new();
    }
    let (a, b) = (window.at(from), window.at(to));
    symbols::dimension(canvas, a, b);
    canvas.avoid(Rect::round(a, b, 3.0));
    let block = Block::new(vec![(words, look)]);
    let marks: f64 = findings.iter().map(|of| marks::width(*of) + 4.0).sum();
    let high = if findings.is_empty() { 15.0 } else { marks::HEIGHT };
    let wide = block.width() + marks;
    let boxes = beside(a, b, wide, high).into_iter().map(|(x, y)| Rect::new(x, y, wide, high));
    // Far from its line a figure would be read as that of another.
    let (near, far): (Vec<Rect>, Vec<Rect>) = boxes.partition(|rect| Rect::round(a, b, 24.0).meets(rect));
    let free = |boxes: &[Rect]| canvas.free(boxes).and_then(|at| boxes.get(at)).copied();
    let Some(Rect { x, y, .. }) = free(&near).or_else(|| free(&far)) else { return Vec::new() };
    let mut left = x;
    for of in findings {
        let wide = marks::width(*of);
        marks::mark(canvas, *of, (left + wide / 2.0, y + high / 2.0));
        left += wide + 4.0;
    }
    block.put(canvas, &[((left, y + (high - 15.0) / 2.0), false)]);
    findings.iter().map(|of| of.number).collect()
}

/// Places for a box beside a dimension: next to its middle, then along it, then past its ends.
fn beside((ax, ay): At, (bx, by): At, w: f64, h: f64) -> Vec<At> {
    let mut spots = Vec::new();
    for share in [0.5, 0.3, 0.7, 0.1, 0.9] {
        let (x, y) = (ax + (bx - ax) * share, ay + (by - ay) * share);
        if (ax - bx).abs() < (ay - by).abs() {
            spots.extend([(x + 8.0, y - h / 2.0), (x - 8.0 - w, y - h / 2.0)]);
        } else {
            spots.extend([(x - w / 2.0, y - 7.0 - h), (x - w / 2.0, y + 7.0), (x - w, y - 7.0 - h), (x, y + 7.0)]);
        }
    }
    let (x, y) = (f64::midpoint(ax, bx), f64::midpoint(ay, by));
    for away in [14.0, 30.0, 50.0, 80.0] {
        spots.extend([
            (x + away, y - h / 2.0),
            (x - away - w, y - h / 2.0),
            (x - w / 2.0, y - away - h),
            (x - w / 2.0, y + away),
        ]);
    }
    spots
}
