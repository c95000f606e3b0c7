//! Readings that hold a case: the rest is compared with what a chiller shows where these are right, so that a wrong one of them makes
//! good ones look wrong. Each is left out in turn, taken in another unit, or taken for another count of compressors.

use super::accuracy;
use super::answer::{Answer, NoAnswer, Row, Verdict};
use super::contradiction::{Contradiction, Typed, apart};
use super::group;
use super::next;
use super::taken::{self, Taken};
use super::units_exchanged;
use crate::job::{Circuit, Job, Reading, Readings, Runs, Set};

/// Discharge pressure over what is expected at which the outdoor temperature is doubted (assumption).
const FAR_UP: f64 = 1.5;

/// Why an answer is doubted.
pub(super) struct Doubt {
    /// Its readings contradict each other.
    pub contradictory: bool,
    /// How many readings are wrong by the best explanation.
    wrong: usize,
    /// Beside a reading that is wrong something else is, or nothing explains them all, or the fluid is not as it can be: one wrong
    /// reading that holds the rest may be all of it.
    pub of_one: bool,
    /// Several wrong readings at once are rather all of one unit; so are a head higher than any fault drives it, and two causes at once.
    pub of_the_set: bool,
}

impl Doubt {
    /// Of an answer.
    pub fn of(answer: &Answer) -> Self {
        let contradictory = answer.verdict == Verdict::Contradictory;
        let best = answer.groups.first().and_then(|group| group.fits.first());
        let causes = best.map_or(0, |fit| fit.causes.len());
        let out: Vec<Reading> = answer.rows.iter().filter(|row| row.left_out).map(|row| row.reading).collect();
        let sensor = best.and_then(|fit| fit.sensor).filter(|sensor| !out.contains(sensor));
        let of_the_fluid = answer.contradictions.iter().any(|one| one.readings.contains(&Reading::LeavingFluid));
        // Where nothing may be wrong no reading is.
        let wrong = if answer.verdict == Verdict::Healthy { 0 } else { out.len() + usize::from(sensor.is_some()) };
        let discharge = answer.rows.iter().find(|row| row.reading == Reading::DischargePressure);
        let far_up = discharge.is_some_and(|row| row.read > FAR_UP * row.expected);
        Self {
            contradictory,
            wrong,
            of_one: contradictory || (!out.is_empty() && causes > 0) || answer.poor || of_the_fluid,
            of_the_set: contradictory || wrong > 1 || far_up || causes > 1,
        }
    }

    fn of_a_reading(&self) -> bool {
        self.contradictory || self.wrong > 0
    }
}

/// A set as it may have been meant: what is said of it, the set, and the readings that change.
type Meant = (String, Set, Vec<Reading>);

/// A set with another count of compressors.
fn other_counts(set: &Set, count: u32) -> impl Iterator<Item = Meant> {
    let Some(Runs::Count(typed)) = set.running else { return None.into_iter().flatten() };
    let others = (1..=count).rev().filter(move |running| *running != typed).map(move |running| {
        let set = Set { running: Some(Runs::Count(running)), ..set.clone() };
        (format!("{running} of {count} compressors running: which run?"), set, vec![Reading::Power])
    });
    Some(others).into_iter().flatten()
}

/// The unit in which a set that is doubted would not be, or the count of compressors. Of one wrong reading it is asked whether
/// nothing at all would be wrong.
pub(super) fn exchanged(
    job: &Job,
    readings: &Readings,
    doubt: &Doubt,
    (explained, well): (impl Fn(&Readings) -> Result<Answer, NoAnswer>, impl Fn(&Readings) -> Option<Answer>),
) -> Option<Contradiction> {
    if !(doubt.of_a_reading() || doubt.of_the_set) {
        return None;
    }
    let heals = |set: &Set, whole: bool| {
        let readings = Readings { set: set.clone(), ..readings.clone() };
        let answer = if whole { well(&readings) } else { explained(&readings).ok() };
        answer.is_some_and(|answer| {
            let well =
                if whole { answer.verdict == Verdict::Healthy } else { answer.verdict != Verdict::Contradictory };
            well && answer.contradictions.is_empty() && !answer.poor
        })
    };
    let set = &readings.set;
    let whole = !(doubt.contradictory || doubt.wrong > 1);
    let said = |(says, set, readings): (&str, Set, Vec<Reading>)| (says.to_owned(), set, readings);
    let units = units_exchanged::meant(set, job.site.atmosphere.pascals()).map(said);
    let count = circuit_of(job, set).map_or(0, |circuit| circuit.compressors.count);
    let mut alone = units_exchanged::outdoor_meant(set).map(said).chain(other_counts(set, count));
    let mut of_units = units.filter(|_| doubt.of_a_reading());
    let found = of_units.find(|(_, set, _)| heals(set, whole)).or_else(|| alone.find(|(_, set, _)| heals(set, true)));
    let (says, _, readings) = found?;
    Some(Contradiction { readings, says: format!("the set would go together with {says}"), by: 0.0, accuracy: 1.0 })
}

fn circuit_of<'a>(job: &'a Job, set: &Set) -> Option<&'a Circuit> {
    match (&set.circuit, job.circuits.as_slice()) {
        (Some(name), circuits) => circuits.iter().find(|circuit| circuit.name == *name),
        (None, [one]) => Some(one),
        (None, _) => None,
    }
}

/// A set without one of its readings.
fn without(set: &Set, reading: Reading) -> Set {
    let mut set = set.clone();
    match reading {
        Reading::DischargePressure => set.discharge.pressure = None,
        Reading::SuctionPressure => set.suction.pressure = None,
        reading => {
            set.values.remove(&reading);
        }
    }
    set
}

/// Which of its readings may be the one that is wrong.
fn suspects(answer: &Answer) -> Vec<Reading> {
    let named = answer.contradictions.iter().flat_map(|one| &one.readings).copied();
    let pressures = named.filter(|one| matches!(one, Reading::DischargePressure | Reading::SuctionPressure));
    let mut all = vec![Reading::LeavingFluid, Reading::EnteringFluid];
    all.extend(pressures);
    all.dedup();
    all
}

/// The answer without the one reading whose absence leaves nothing wrong; none where there is no such one.
pub(super) fn healed(
    job: &Job,
    readings: &Readings,
    answer: &Answer,
    well: impl Fn(&Readings) -> Option<Answer>,
) -> Option<Answer> {
    let circuit = circuit_of(job, &readings.set)?;
    let all = taken::of(crate::refrigerant::named(&circuit.refrigerant)?, &readings.set).ok()?;
    let read = |reading: Reading| all.iter().find(|taken| taken.reading == reading);
    suspects(answer).into_iter().filter_map(read).find_map(|wrong| {
        let set = without(&readings.set, wrong.reading);
        let rest = well(&Readings { set, ..readings.clone() })?;
        let well = rest.verdict == Verdict::Healthy && rest.contradictions.is_empty() && !rest.poor;
        well.then(|| blaming(rest, wrong, (job, readings)))?
    })
}

/// An answer in which nothing is wrong, but for a reading that was left out.
fn blaming(mut answer: Answer, wrong: &Taken, (job, readings): (&Job, &Readings)) -> Option<Answer> {
    let fit = answer.groups.first()?.fits.first()?;
    let (reading, read, expected) = (wrong.reading, wrong.value, fit.prediction.of(wrong.reading)?);
    let accuracy = accuracy::of(wrong, &readings.accuracy).value;
    let typed = Typed { atmosphere_Pa: job.site.atmosphere.pascals(), bare: readings.bare };
    answer.contradictions = vec![apart(reading, [read, expected, accuracy], typed)];
    answer.rows.push(Row { reading, read, expected, accuracy, left_out: true });
    answer.sort_rows();
    answer.verdict = Verdict::Suspects;
    answer.missing.retain(|missing| *missing != reading);
    group::doubt(&mut answer.groups, reading);
    answer.next = answer.groups.first().and_then(|group| next::again(group.fits.first()?)).into_iter().collect();
    Some(answer)
}
