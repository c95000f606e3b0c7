//! Room round the units on the plan: dimensions to what stands before their sides.

use super::window::Window;
use crate::draw::block::Block;
use crate::draw::canvas::{Canvas, Hatch};
use crate::draw::marks::{self, Numbered};
use crate::draw::plane::{At, Rect};
use crate::draw::style::{Type, class};
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
    /// Where else along the side it may stand.
    ways: Vec<(Xy, Xy)>,
    /// The side of the other unit that it is of too.
    too: Option<(usize, &'a FaceRoom)>,
}

/// A dimension that is drawn, and what stands beside it.
pub struct Shown<'a> {
    ends: (At, At),
    words: String,
    look: Type,
    findings: Vec<Numbered<'a>>,
}

impl Shown<'_> {
    /// Whether a finding is about it.
    pub const fn is_marked(&self) -> bool {
        !self.findings.is_empty()
    }
}

/// Where along a face what stands before it at that distance is met, from 0 to 1 of the face.
fn met(roof: &Roof, unit: usize, front: &Frontage, free: f64) -> Vec<f64> {
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
    let met: Vec<f64> = PLACES.into_iter().filter(|share| (nearest(*share) - free).abs() < 0.02).collect();
    if met.is_empty() { vec![0.5] } else { met }
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
            let (a, b) = front.ends;
            let way = |share: f64| {
                let from = a.plus(b.minus(a).times(share));
                (from, from.plus(front.outward.times(free)))
            };
            let ways: Vec<(Xy, Xy)> = met(roof, unit, front, free).into_iter().map(way).collect();
            let Some((from, to)) = ways.first().copied() else { continue };
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
                    *known = Dimension { unit, face, from, to, ways, too: Some(other) };
                } else {
                    known.too = Some((unit, face));
                }
                continue;
            }
            told.push(Dimension { unit, face, from, to, ways, too: None });
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

/// Draws the lines of the dimensions, each where its words have room: what was found, and what is required where that is more.
pub fn lines<'a>(
    canvas: &mut Canvas,
    job: &Job,
    (roof, study): (&Roof, &RoofStudy),
    window: &Window,
    findings: &[Numbered<'a>],
) -> Vec<Shown<'a>> {
    let mut shown: Vec<Shown> = Vec::new();
    let units = job.units;
    for Dimension { unit, face, ways, too, .. } in dimensions(roof, &study.clearances) {
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
        line(canvas, window, &ways, (words, look, of_it), &mut shown);
    }
    for (unit, edge) in roof.units.iter().enumerate().filter_map(|(index, unit)| {
        let edge = study.edges.iter().find(|edge| edge.name == unit.name)?;
        Some((index, edge))
    }) {
        let ways = roof.units.get(unit).map(|drawn| to_edge(roof, drawn, edge.edge_m)).unwrap_or_default();
        let here = |of: &&Numbered| of.finding.rule == "roof-edge" && of.finding.place == Some(Place::Unit(unit));
        let of_it: Vec<Numbered> = findings.iter().filter(here).copied().collect();
        let words = format!("{} to edge", units.length(edge.edge_m));
        line(canvas, window, &ways, (words, Type::Soft, of_it), &mut shown);
    }
    shown
}

/// Draws the line of a dimension where it is shown, on no other, if it can be where its words have room.
fn line<'a>(
    canvas: &mut Canvas,
    window: &Window,
    ways: &[(Xy, Xy)],
    (words, look, findings): (String, Type, Vec<Numbered<'a>>),
    shown: &mut Vec<Shown<'a>>,
) {
    let on_paper = ways.iter().filter(|(from, to)| window.shows(*from) && window.shows(*to));
    let all: Vec<(At, At)> = on_paper.map(|(from, to)| (window.at(*from), window.at(*to))).collect();
    let is_alone = |(a, b): &&(At, At)| {
        let own = Rect::round(*a, *b, 4.0);
        !shown.iter().any(|other| Rect::round(other.ends.0, other.ends.1, 4.0).meets(&own))
    };
    let alone: Vec<(At, At)> = all.iter().filter(is_alone).copied().collect();
    let ways = if alone.is_empty() { all } else { alone };
    let forms = forms(&words, look, &findings);
    let has_room = |(a, b): &&(At, At)| {
        forms.iter().any(|form| {
            let own = Rect::round(*a, *b, 3.0);
            form.near(*a, *b).iter().any(|rect| canvas.is_clear(rect) && !own.meets(rect))
        })
    };
    let Some((a, b)) = ways.iter().find(has_room).or_else(|| ways.first()).copied() else { return };
    symbols::dimension(canvas, a, b);
    canvas.avoid(Rect::round(a, b, 3.0));
    shown.push(Shown { ends: (a, b), words, look, findings });
}

/// From a side of a unit to the edge of the roof that is nearest to it, at each of some places along the side.
fn to_edge(roof: &Roof, unit: &RoofUnit, distance: f64) -> Vec<(Xy, Xy)> {
    let outline: Vec<(Xy, Xy)> = plane::sides(&roof.outline).collect();
    let met = |front: &Frontage, share: f64| {
        let (a, b) = front.ends;
        let from = a.plus(b.minus(a).times(share));
        let far = outline.iter().filter_map(|side| hit(from, front.outward, *side)).fold(f64::INFINITY, f64::min);
        ((far - distance).abs() < 0.03).then(|| (from, from.plus(front.outward.times(far))))
    };
    let fronts = faces(unit);
    let ways = |front: &Frontage| -> Vec<(Xy, Xy)> {
        [0.8, 0.2, 0.9, 0.1, 0.65, 0.35, 0.5].into_iter().filter_map(|share| met(front, share)).collect()
    };
    fronts.iter().map(ways).find(|ways| !ways.is_empty()).unwrap_or_default()
}

/// Words and marks that stand beside a dimension: in a row, or the marks over the words.
struct Form {
    block: Block,
    w: f64,
    h: f64,
    /// Where the words begin.
    words: At,
    /// How high the row of marks is.
    row: f64,
}

fn forms(words: &str, look: Type, findings: &[Numbered]) -> [Form; 2] {
    let marks: f64 = findings.iter().map(|of| marks::width(*of) + 4.0).sum();
    let row = if findings.is_empty() { 15.0 } else { marks::HEIGHT };
    let one = Block::new(vec![(words.to_owned(), look)]);
    let level = Form { w: one.width() + marks, h: row, words: (marks, (row - 15.0) / 2.0), row, block: one };
    let parted = [" to ", " needs "].iter().find_map(|word| {
        words.split_once(word).map(|(found, more)| vec![found.to_owned(), format!("{}{more}", word.trim_start())])
    });
    let lines = parted.unwrap_or_else(|| vec![words.to_owned()]);
    let block = Block::new(lines.into_iter().map(|line| (line, look)).collect());
    let over = if findings.is_empty() { 0.0 } else { marks::HEIGHT + 2.0 };
    let high = Form { w: block.width().max(marks - 4.0), h: over + block.height(), words: (0.0, over), row, block };
    [level, high]
}

impl Form {
    fn places(&self, a: At, b: At) -> Vec<Rect> {
        beside(a, b, self.w, self.h).into_iter().map(|(x, y)| Rect::new(x, y, self.w, self.h)).collect()
    }

    /// Those beside the line itself. Far from it a figure would be read as that of another.
    fn near(&self, a: At, b: At) -> Vec<Rect> {
        self.places(a, b).into_iter().filter(|rect| Rect::round(a, b, 20.0).meets(rect)).collect()
    }
}

/// The words and the marks of dimensions that are drawn; the numbers of the marks.
pub fn words(canvas: &mut Canvas, shown: &[Shown]) -> Vec<usize> {
    shown.iter().flat_map(|shown| beside_its_line(canvas, shown)).collect()
}

fn beside_its_line(canvas: &mut Canvas, Shown { ends: (a, b), words, look, findings }: &Shown) -> Vec<usize> {
    let (a, b) = (*a, *b);
    let forms = forms(words, *look, findings);
    let of = |places: fn(&Form, At, At) -> Vec<Rect>| -> Vec<(&Form, Rect)> {
        forms.iter().flat_map(|form| places(form, a, b).into_iter().map(move |rect| (form, rect))).collect()
    };
    let (near, all) = (of(Form::near), of(Form::places));
    let leader = |rect: &Rect| {
        let line = Rect::round(a, b, 0.0);
        let (x, y) = rect.middle();
        let to = (x.clamp(line.x, line.right()), y.clamp(line.y, line.bottom()));
        let from = (to.0.clamp(rect.x, rect.right()), to.1.clamp(rect.y, rect.bottom()));
        (!Rect::round(a, b, 20.0).meets(rect)).then_some((from, to))
    };
    let led = |(_, rect): &&(&Form, Rect)| {
        let free = leader(rect).is_none_or(|(from, to)| canvas.is_free(&Rect::round(from, to, 0.5)));
        free && canvas.is_clear(rect)
    };
    let best = near.iter().find(|(_, rect)| canvas.is_clear(rect)).or_else(|| all.iter().find(led));
    let reached = |(_, rect): &&(&Form, Rect)| {
        let free = leader(rect).is_none_or(|(from, to)| canvas.is_free(&Rect::round(from, to, 0.5)));
        free && canvas.is_free(rect)
    };
    let best = best.or_else(|| near.iter().chain(&all).find(reached));
    let Some((form, rect)) = best.copied() else { return Vec::new() };
    if let Some((from, to)) = leader(&rect) {
        canvas.line(class::THIN, from, to);
        canvas.avoid(Rect::round(from, to, 1.0));
    }
    let mut left = rect.x;
    for of in findings {
        let wide = marks::width(*of);
        marks::mark(canvas, *of, (left + wide / 2.0, rect.y + form.row / 2.0));
        left += wide + 4.0;
    }
    form.block.put(canvas, &[((rect.x + form.words.0, rect.y + form.words.1), false)]);
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
    // Past its ends.
    if (ax - bx).abs() < (ay - by).abs() {
        spots.extend([(x - w / 2.0, ay.min(by) - 6.0 - h), (x - w / 2.0, ay.max(by) + 6.0)]);
    } else {
        spots.extend([(ax.min(bx) - 6.0 - w, y - h / 2.0), (ax.max(bx) + 6.0, y - h / 2.0)]);
    }
    for away in [14.0, 30.0, 50.0, 80.0, 110.0] {
        spots.extend([
            (x + away, y - h / 2.0),
            (x - away - w, y - h / 2.0),
            (x - w / 2.0, y - away - h),
            (x - w / 2.0, y + away),
        ]);
    }
    spots
}
