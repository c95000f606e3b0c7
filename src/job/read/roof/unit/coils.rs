//! Which coils a unit holds.

use super::Drawn;
use crate::job::fault::Fault;
use crate::job::notes::Notes;
use crate::job::read::roof::list;
use crate::job::table::Table;

/// How many coils of each circuit stand in the units so far.
pub(super) struct Coils<'a> {
    drawn: &'a Drawn<'a>,
    placed: Vec<u32>,
}

impl<'a> Coils<'a> {
    pub fn new(drawn: &'a Drawn<'a>) -> Self {
        Self { drawn, placed: vec![0; drawn.circuits.len()] }
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
                let drawn = if circuit.copies == 1 { "once".to_owned() } else { format!("{} times", circuit.copies) };
                let fault = Fault::new(span, format!("circuit `{name}` is drawn {drawn} and stands here once more"));
                notes.fault(fault.expected(format!("copies = {placed} in its [[circuit]], or take it out here")));
                sound = false;
            }
            match coils.iter_mut().find(|(of, _)| *of == index) {
                Some((_, count)) => *count += 1,
                None => coils.push((index, 1)),
            }
        }
        Some(coils).filter(|_| sound)
    }

    /// Notes the coils that stand in no unit.
    pub fn note_the_rest(&self, notes: &mut Notes<'_>) {
        for (circuit, placed) in self.drawn.circuits.iter().zip(&self.placed) {
            let rest = circuit.copies.saturating_sub(*placed);
            if rest > 0 {
                let coils = if rest == 1 { "condenser is" } else { "condensers are" };
                let why = format!("{rest} of {} {coils} not on the plan", circuit.copies);
                notes.assume(format!("roof.circuit {}", circuit.name), f64::from(rest), "-", why, "roofrun");
            }
        }
    }
}
