//! The key plan: the whole roof, its listeners, and what they hear.

use super::window::{Window, bounds};
use crate::draw::canvas::{Canvas, Text};
use crate::draw::marks::{self, Numbered};
use crate::draw::measure;
use crate::draw::plane::{At, Rect};
use crate::draw::style::{Type, class};
use crate::job::{Job, Roof, RoofUnit, Xy};
use crate::roof::{Heard, RoofStudy};
use crate::rules::Place;

/// A ring with a dot.
pub fn listener(canvas: &mut Canvas, at: At) {
    canvas.circle(class::OUTLINE, at, 5.0);
    canvas.circle(class::INK, at, 1.8);
    canvas.take(Rect::round(at, at, 6.0));
}

/// Draws it in a room from its top left corner; the marks that were drawn.
pub fn draw(
    canvas: &mut Canvas,
    job: &Job,
    roof: &Roof,
    study: &RoofStudy,
    room: Rect,
    findings: &[Numbered],
) -> Vec<usize> {
    let all = roof
        .outline
        .iter()
        .copied()
        .chain(roof.units.iter().flat_map(RoofUnit::corners))
        .chain(roof.listeners.iter().map(|listener| listener.at))
        .chain(roof.heats.iter().map(|heat| heat.at));
    let Some(bounds) = bounds(all) else { return Vec::new() };
    let title = if roof.listeners.is_empty() { "Whole roof" } else { "Whole roof and listeners" };
    canvas.write(Text::new(title, (room.x, room.y + 12.0), Type::Strong));
    let window = Window::new(bounds, (room.x + 8.0, room.y + 26.0), (room.w - 44.0, room.h - 40.0));
    let outline: Vec<At> = roof.outline.iter().chain(roof.outline.first()).map(|corner| window.at(*corner)).collect();
    canvas.polyline(class::OUTLINE, &outline);
    for unit in &roof.units {
        let corners = unit.corners();
        let corners: Vec<At> = corners.iter().chain(corners.first()).map(|corner| window.at(*corner)).collect();
        canvas.polyline(class::INK, &corners);
    }
    for wall in &roof.walls {
        canvas.line(class::OUTLINE, window.at(wall.from), window.at(wall.to));
    }
    canvas.reach(window.paper.bottom());
    let mut marked = Vec::new();
    let mut y = window.paper.bottom() + 24.0;
    for (index, drawn) in roof.listeners.iter().enumerate() {
        let at = window.at(drawn.at);
        let heard = study.heard.get(index);
        if let Some(nearest) = nearest(roof, drawn.at) {
            let near = window.at(nearest);
            canvas.line("thin dash", near, at);
        }
        listener(canvas, at);
        let letter = letter(index);
        let spots =
            [(at.0 + 8.0, at.1 + 4.0), (at.0 - 16.0, at.1 + 4.0), (at.0 - 4.0, at.1 - 9.0), (at.0 - 4.0, at.1 + 17.0)];
        let texts: Vec<Text> = spots.iter().map(|spot| Text::new(&letter, *spot, Type::Strong).halo()).collect();
        canvas.write_where_free(&texts);
        let of_it = findings.iter().copied().filter(|of| of.finding.place == Some(Place::Listener(index)));
        y = entry(canvas, job, (&letter, &drawn.name, heard), of_it, Rect::new(room.x, y, room.w, 0.0), &mut marked);
    }
    marked
}

fn letter(index: usize) -> String {
    let letter = u8::try_from(index % 26).map_or('A', |index| char::from(b'A' + index));
    letter.to_string()
}

/// The corner of a unit that is nearest to a place.
fn nearest(roof: &Roof, to: Xy) -> Option<Xy> {
    let corners = roof.units.iter().flat_map(RoofUnit::corners);
    corners.min_by(|a, b| a.minus(to).length().total_cmp(&b.minus(to).length()))
}

/// A listener in words from a top left corner; where the next begins.
fn entry<'a>(
    canvas: &mut Canvas,
    job: &Job,
    (letter, name, heard): (&str, &str, Option<&Heard>),
    findings: impl Iterator<Item = Numbered<'a>>,
    room: Rect,
    marked: &mut Vec<usize>,
) -> f64 {
    let mut y = room.y;
    let distance = heard.and_then(|heard| heard.units.iter().map(|unit| unit.distance_m).min_by(f64::total_cmp));
    let far = distance.map(|metres| format!(", {}", job.units.length(metres))).unwrap_or_default();
    for line in measure::wrap(&format!("{letter} {name}{far}"), Type::Strong, room.w).iter().take(4) {
        canvas.write(Text::new(line, (room.x, y), Type::Strong));
        y += 16.0;
    }
    let level = |word: &str, found: Option<f64>, limit: Option<f64>| {
        let found = found.map(|level| job.units.level(level))?;
        let limit = limit
            .map(|limit| format!(", limit {}", job.units.level(limit).trim_end_matches(" dBA")))
            .unwrap_or_default();
        Some(format!("{word} {found}{limit}"))
    };
    let heard = heard.map(|heard| {
        [level("day", heard.day_dBA, heard.limit_dBA), level("night", heard.night_dBA, heard.night_limit_dBA)]
    });
    for line in heard.into_iter().flatten().flatten() {
        canvas.write(Text::new(&line, (room.x, y), Type::Plain));
        y += 16.0;
    }
    let mut x = room.x;
    let mut any = false;
    for of in findings {
        let wide = marks::width(of);
        marks::mark(canvas, of, (x + wide / 2.0, y));
        x += wide + 6.0;
        marked.push(of.number);
        any = true;
    }
    y + if any { 28.0 } else { 10.0 }
}
