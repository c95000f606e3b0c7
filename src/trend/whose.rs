//! Of which circuit a column is, by its name: `Ckt 1B Disch Press`, `SYS 2 Comp 1`.

use super::point::{named, parted};
use super::sampled::Scene;
use super::table::Unusable;
use crate::job::Point;
use std::collections::BTreeSet;

/// Names of circuits as columns label them: which are this one's, and which those of other circuits of the job.
pub struct Labels<'a> {
    scene: &'a Scene<'a>,
    own: BTreeSet<String>,
    others: BTreeSet<String>,
}

/// A label without what is written in several ways.
fn plain(label: &str) -> String {
    let small = label.trim().to_lowercase();
    let id = parted(&super::point::words(&small)).0.unwrap_or(small);
    id.trim_start_matches('0').to_owned()
}

impl<'a> Labels<'a> {
    /// By the job, and by what is said of columns: one that is said to be of this circuit says it of all with its label.
    pub fn new(scene: &'a Scene<'a>) -> Self {
        let (own, others) = scene.job.circuits.iter().partition::<Vec<_>, _>(|of| of.name == scene.circuit.name);
        let labels = |circuits: Vec<&crate::job::Circuit>| circuits.iter().map(|of| plain(&of.name)).collect();
        let mut all = Self { scene, own: labels(own), others: labels(others) };
        let said = scene.said.iter().filter(|(_, said)| said.point.is_some());
        let said: Vec<String> = said.filter_map(|(name, _)| all.of(name)).collect();
        all.others.retain(|label| !said.contains(label));
        all.own.extend(said);
        all
    }

    /// The circuit that a name speaks of.
    fn of(&self, name: &str) -> Option<String> {
        let words = super::point::words(name);
        if let Some(label) = parted(&words).0 {
            return Some(plain(&label));
        }
        let of_job = |word: &&String| {
            let alone = word.len() > 1 && word.chars().any(char::is_alphabetic);
            alone && (self.own.contains(*word) || self.others.contains(*word))
        };
        words.iter().find(of_job).cloned()
    }

    /// Whether a name speaks of this circuit.
    pub fn is_own(&self, name: &str) -> bool {
        self.of(name).is_some_and(|label| self.own.contains(&label))
    }

    /// What a column is by what is said of it, else by its name; nothing where it is another circuit's.
    pub fn point_of(&self, name: &str) -> Option<Point> {
        if let Some(given) = self.scene.said.get(name) {
            return given.point;
        }
        let other = self.of(name).is_some_and(|label| self.others.contains(&label) && !self.own.contains(&label));
        if other { None } else { named(name) }
    }

    /// What each column of a file is, and what is to be told of circuits that the job does not know by their label.
    ///
    /// # Errors
    /// [`Unusable`] where columns are of several circuits and none says that it is of this one.
    pub fn points(&self, names: &[String]) -> Result<(Vec<Option<Point>>, Option<String>), Unusable> {
        let mut points: Vec<Option<Point>> = names.iter().map(|name| self.point_of(name)).collect();
        let open = |name: &str| self.of(name).filter(|label| !self.own.contains(label));
        let known = || points.iter().zip(names).filter(|(point, _)| point.is_some());
        let is_said = |name: &str| self.scene.said.contains_key(name);
        let unknown: BTreeSet<String> =
            known().filter(|(_, name)| !is_said(name)).filter_map(|(_, name)| open(name)).collect();
        let this = &self.scene.circuit.name;
        if known().any(|(_, name)| self.is_own(name)) {
            for (point, name) in points.iter_mut().zip(names).filter(|(_, name)| !is_said(name)) {
                *point = point.filter(|_| open(name).is_none());
            }
            return Ok((points, None));
        }
        if unknown.len() > 1 {
            return Err(Unusable(self.asks(names, &points, &unknown)));
        }
        let told = unknown
            .first()
            .map(|label| format!("its columns are of circuit `{label}`, which is taken to be {this} of the job"));
        Ok((points, told))
    }

    /// The question which circuit of a file is meant, with an answer for each.
    fn asks(&self, names: &[String], points: &[Option<Point>], unknown: &BTreeSet<String>) -> String {
        let labels: Vec<String> = unknown.iter().map(|label| format!("`{label}`")).collect();
        let mut says = format!(
            "has columns of circuits {} and none of {}.\nSay which it is with --columns FILE; one column of it is enough:",
            labels.join(", "),
            self.scene.circuit.name
        );
        says.push_str("\n  [columns]");
        for (count, label) in unknown.iter().enumerate() {
            let or = if count > 0 { "\n  or" } else { "" };
            let mut of_label = points.iter().zip(names).filter(|(_, name)| self.of(name).as_ref() == Some(label));
            if let Some((Some(point), name)) = of_label.find(|(point, _)| point.is_some()) {
                says.push_str(or);
                says.extend(["\n  \"", name, "\" = \"", point.key(), "\""]);
            }
        }
        says
    }
}
