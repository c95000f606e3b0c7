//! `concentration`: what if all the refrigerant leaks into one room?

use super::case::{Case, charge_in_words};
use super::finding::{Finding, Look, Place, Rule, Source, Verdict, wrong_or_greatest};
use super::say::{Value, say};
use crate::job::{LineId, Room};
use crate::refdata::{self, RefrigerantFacts};
use crate::survey::{Charge, DEFERRAL};
use crate::units::Kind;

pub const RULE: Rule = Rule {
    id: "concentration",
    question: "What if all the refrigerant of the circuit leaks into one room that its lines cross?",
    explanation: "\
The whole charge of the circuit over the volume of each room that one of its lines crosses, against the refrigerant \
concentration limit of ASHRAE Standard 34: the least of what is toxic, what takes the oxygen away and a quarter of what burns. \
Over it a leak can harm the people in the room: a fail where the room is occupied, a caution where people only come to work on \
the plant. Of a refrigerant that burns the finding also says how near the lower flammability limit the leak comes; at or over \
that it is a fail in any room, for a spark needs nobody in it.

The charge is as the rule `receiver` counts it; what the job gives no volume for is missing from it, and where that is the \
condenser, a room that would pass is not judged. Volumes are of the room alone: rooms open to each other, ventilation, \
detection, high ceilings and heavy gas near the floor are for the code to weigh.

ASHRAE Standard 15 and \
the local code decide what is allowed.",
    limits: &[],
    look: Look::Circuit(look),
};

fn look(case: &Case) -> Vec<Finding> {
    let rooms: Vec<(&Room, Place)> =
        case.job.rooms.iter().filter_map(|room| crossed(case, room).map(|by| (room, by))).collect();
    let (Some(charge), Some(facts)) = (&case.solved.charge, refdata::facts(&case.circuit.refrigerant)) else {
        let told = !rooms.is_empty() && case.points().next().is_some();
        let finding = case.finding(RULE.id, Verdict::NotJudged).by(Source::Published("ashrae-34"));
        return told.then(|| finding.says("The charge could not be counted.")).into_iter().collect();
    };
    let leak = |room: &Room| charge.total_kg / room.volume.value;
    wrong_or_greatest(rooms.iter().map(|(room, by)| (judge(case, charge, facts, room, by), leak(room))))
}

/// The runs that cross a room.
fn crossed(case: &Case, room: &Room) -> Option<Place> {
    let numbers = |side: LineId| -> Vec<usize> {
        let runs = side.of(case.circuit).runs.iter().enumerate();
        runs.filter(|(_, run)| run.room.as_ref() == Some(&room.name)).map(|(index, _)| index + 1).collect()
    };
    let lines = [LineId::Discharge, LineId::Liquid].map(|side| (side, numbers(side)));
    let by: Vec<_> = lines.into_iter().filter(|(_, numbers)| !numbers.is_empty()).collect();
    (!by.is_empty()).then_some(Place::Lines(by))
}

fn judge(case: &Case, charge: &Charge, facts: &'static RefrigerantFacts, room: &Room, by: &Place) -> Finding {
    let density = |density: f64| Value::Of(Kind::Concentration, density);
    let leak = charge.total_kg / room.volume.value;
    let mut says = say(
        "All of it in the {} ({}, {}) would be {} of {}",
        [
            Value::name(&room.name),
            Value::Of(Kind::RoomVolume, room.volume.value),
            Value::name(if room.occupied { "occupied" } else { "not occupied" }),
            density(leak),
            Value::name(&facts.name),
        ],
    );
    let source = Source::Published(facts.rcl_source.as_deref().unwrap_or("ashrae-34"));
    let finding = case.finding(RULE.id, Verdict::NotJudged).place(by.clone()).by(source);
    let decides = [Value::name(DEFERRAL)];
    let Some(limit) = facts.rcl_kg_m3 else {
        says = says.and("; no concentration limit is listed. ", []).then(charge_in_words(charge)).and(" {}", decides);
        return finding.found(leak, None, Kind::Concentration).says(says);
    };
    let takes = Value::Of(Kind::Mass, limit * room.volume.value);
    says = says.and(", where the limit is {}: the room takes {}. ", [density(limit), takes]);
    says = says.then(charge_in_words(charge));
    if let Some(lfl) = facts.lfl_kg_m3 {
        says = says.and(
            " {} burns (group {}); its lower flammability limit is {}, and the leak would come to {} of it.",
            [
                Value::name(&facts.name),
                Value::name(&facts.safety_group),
                density(lfl),
                Value::Of(Kind::Share, leak / lfl),
            ],
        );
    }
    let burns = facts.lfl_kg_m3.filter(|lfl| leak >= *lfl);
    if burns.is_some() {
        says = says.and(" A spark in the room could set it off.", []);
    }
    let against = if room.occupied { limit } else { burns.unwrap_or(limit) };
    let mut finding = finding.found(leak, against, Kind::Concentration).says(says.and(" {}", decides));
    finding.verdict = match (leak > limit, room.occupied || burns.is_some()) {
        (true, true) => Verdict::Fail,
        (true, false) => Verdict::Caution,
        (false, _) if case.circuit.condenser.volume.is_none() => Verdict::NotJudged,
        (false, _) => Verdict::Pass,
    };
    finding
}

#[cfg(test)]
mod tests {
    use super::super::testing::{finding, findings, job, liquid, only, solved};
    use super::*;
    use crate::job::Job;
    use crate::units::cubic_metres;

    /// The job with its liquid line through a room of that volume, m3.
    fn through(volume: f64, occupied: bool) -> Job {
        let mut job = job();
        let volume = cubic_metres(volume);
        let name = "corridor".to_owned();
        job.rooms.push(Room { name, volume, occupied, machinery_room: false, ventilation: None, detector: None });
        liquid(&mut job.circuits[0], 4).room = Some("corridor".to_owned());
        job
    }

    fn total(job: &Job) -> f64 {
        solved(job).circuits[0].charge.as_ref().unwrap().total_kg
    }

    #[test]
    fn a_large_room_passes_and_says_who_decides() {
        let found = finding(RULE, &through(2000.0, true));
        assert_eq!(found.verdict, Verdict::Pass, "{found:#?}");
        assert!(found.words().ends_with(DEFERRAL) && found.words().contains("13.1 lb/1000 ft3"), "{}", found.words());
        assert_eq!(found.place, Some(Place::Lines(vec![(LineId::Liquid, vec![4])])));
    }

    #[test]
    fn exactly_at_the_limit_it_passes() {
        let limit = refdata::facts("R-134a").unwrap().rcl_kg_m3.unwrap();
        let at = total(&job()) / limit;
        assert_eq!(finding(RULE, &through(at * (1.0 + 1e-12), true)).verdict, Verdict::Pass);
        assert_eq!(finding(RULE, &through(at * (1.0 - 1e-9), true)).verdict, Verdict::Fail);
    }

    #[test]
    fn a_small_room_fails() {
        let found = finding(RULE, &through(40.0, true));
        assert_eq!(found.verdict, Verdict::Fail);
        assert!(found.words().ends_with(DEFERRAL), "{}", found.words());
        let empty = finding(RULE, &through(40.0, false));
        assert_eq!(empty.verdict, Verdict::Caution);
        assert!(empty.words().contains("not occupied"));
    }

    #[test]
    fn what_burns_is_said_to() {
        let mut job = through(3000.0, true);
        job.circuits[0].refrigerant = "R-1234yf".to_owned();
        job.circuits[0].condenser.cutout = None;
        let survey = solved(&job);
        let found = only(RULE.check(&job, &survey));
        assert!(found.words().contains("R-1234yf burns (group A2L)"), "{}", found.words());
        assert!(!finding(RULE, &through(3000.0, true)).words().contains("burns"));
    }

    #[test]
    fn what_could_burn_is_a_fail_in_a_room_that_nobody_occupies_too() {
        let mut job = through(3000.0, false);
        job.circuits[0].refrigerant = "R-1234yf".to_owned();
        job.circuits[0].condenser.cutout = None;
        let lfl = refdata::facts("R-1234yf").unwrap().lfl_kg_m3.unwrap();
        let whole = total(&job) / lfl;
        job.rooms[0].volume = cubic_metres(whole * (1.0 - 1e-9));
        let found = finding(RULE, &job);
        assert_eq!((found.verdict, found.limit()), (Verdict::Fail, lfl));
        assert!(
            found.words().contains("would come to 100 % of it. A spark in the room could set it off."),
            "{}",
            found.words()
        );
        job.rooms[0].volume = cubic_metres(whole * 1.001);
        assert_eq!(finding(RULE, &job).verdict, Verdict::Caution);
    }

    #[test]
    fn a_job_without_rooms_has_no_finding_and_without_a_coil_volume_none_is_judged() {
        assert!(findings(RULE, &job()).is_empty());
        let mut job = through(3000.0, true);
        job.circuits[0].condenser.volume = None;
        assert_eq!(finding(RULE, &job).verdict, Verdict::NotJudged);
        job.rooms[0].volume = cubic_metres(1.0);
        assert_eq!(finding(RULE, &job).verdict, Verdict::Fail);
    }
}
