//! Which coils a unit holds.

use crate::job::fault::Fault;
use crate::job::notes::Notes;
use crate::job::read::known::Drawn;
use crate::job::read::roof::plan::list;
use crate::job::table::Table;
use crate::units::Kind;
use std::ops::Range;

/// How many coils of each circuit stand in the units so far.
pub(super) struct Coils<'a> {
    drawn: &'a Drawn<'a>,
    placed: Vec<u32>,
    /// Where a circuit stands more often than it is drawn, the first time of each.
    excess: Vec<(usize, Range<usize>)>,
}

impl<'a> Coils<'a> {
    pub fn new(drawn: &'a Drawn<'a>) -> Self {
        Self { drawn, placed: vec![0; drawn.circuits.len()], excess: Vec::new() }
    }

    pub fn drawn(&self) -> &'a Drawn<'a> {
        self.drawn
    }

    /// The coils of one more unit: circuits by index, and how many coils of each.
    pub fn of(&mut self, notes: &mut Notes<'_>, table: &Table<'_>) -> Option<Vec<(usize, u32)>> {
        let entry = table.get("circuits")?;
        let array = list(notes, &entry, "\"1A\", \"1B\"", 500)?;
        if array.is_empty() {
            notes.fault(Fault::new(entry.span, "`circuits` names no circuit").expected("those whose coils it holds"));
            return None;
        }
        let mut coils: Vec<(usize, u32)> = Vec::new();
        let mut sound = true;
        for item in array {
            let span = item.span();
            let Some(name) = notes.text_of("circuits", item.get_ref(), &span) else {
                sound = false;
                continue;
            };
            if !self.drawn.names.contains(&name) {
                let names = self.drawn.names.iter().copied();
                notes.unknown(&span, "circuit", name, names, "a [[circuit]] of this file");
                sound = false;
                continue;
            }
            // One that could not be read is told of where it is drawn.
            let Some(index) = self.drawn.circuits.iter().position(|circuit| circuit.name == name) else { continue };
            let (Some(circuit), Some(placed)) = (self.drawn.circuits.get(index), self.placed.get_mut(index)) else {
                continue;
            };
            *placed += 1;
            if *placed > circuit.copies {
                if !self.excess.iter().any(|(of, _)| *of == index) {
                    self.excess.push((index, span));
                }
                sound = false;
            }
            match coils.iter_mut().find(|(of, _)| *of == index) {
                Some((_, count)) => *count += 1,
                None => coils.push((index, 1)),
            }
        }
        Some(coils).filter(|_| sound)
    }

    /// Notes the coils that stand in too many units, and those that stand in none.
    pub fn note_the_rest(&self, notes: &mut Notes<'_>) {
        for (index, span) in &self.excess {
            let (Some(circuit), Some(placed)) = (self.drawn.circuits.get(*index), self.placed.get(*index)) else {
                continue;
            };
            let drawn = if circuit.copies == 1 { "once".to_owned() } else { format!("{} times", circuit.copies) };
            let says = format!("circuit `{}` is drawn {drawn} and placed on the roof {placed} times", circuit.name);
            let more = placed - circuit.copies;
            let fault = Fault::new(span.clone(), says);
            notes.fault(fault.expected(format!("copies = {placed} in its [[circuit]], or take {more} out here")));
        }
        for (circuit, placed) in self.drawn.circuits.iter().zip(&self.placed) {
            let rest = circuit.copies.saturating_sub(*placed);
            if rest > 0 {
                let are = if rest == 1 { "is" } else { "are" };
                let why = format!("{rest} of its {} condensers {are} not on the plan", circuit.copies);
                notes.assume(
                    format!("roof.circuit {}", circuit.name),
                    (f64::from(rest), Kind::Ratio, ""),
                    why,
                    "roofrun",
                );
            }
        }
    }
}
