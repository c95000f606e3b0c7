//! `concentration`: what if all the refrigerant leaks into one room?

use super::case::{Case, asked_for, charge_in_words};
use super::finding::{Finding, Look, Place, Rule, Source, Verdict, wrong_or_greatest};
use super::say::{Say, Value, say};
use crate::job::{Ambient, Code, Job, LineId, Path};
use crate::refdata::{self, RefrigerantFacts};
use crate::survey::{Charge, Leak, RoomLimits, deferral, leaks, room_limits};
use crate::units::Kind;

pub const RULE: Rule = Rule {
    id: "concentration",
    question: "Is the room large enough if all the refrigerant of the circuit leaks into it?",
    explanation: "\
The whole charge of the circuit is divided by the volume of each room that a line crosses or the chiller is in \
(`room` of the circuit). The result is compared with the limit of the code that governs ([site] code).

In North America that is the refrigerant concentration limit of ASHRAE Standard 34: the lowest of toxicity, oxygen \
deprivation and a quarter of the lower flammability limit. In Europe it is the practical limit of EN 378. For a \
flammable refrigerant that is a fifth of the lower flammability limit, and one room never takes more than 1.5 m2 = \
39 times that limit. Where editions differ (R-454A, R-454B) the lower figure is used.

Above the limit a leak can harm the people in the room: a fail in an occupied room, a caution where people only \
service the plant. For a flammable refrigerant the finding gives the leak as a fraction of the lower flammability \
limit. At or above that limit it is a fail in any room. Group A3 under ASHRAE 15 requires the authority's approval \
in any room of people: never better than a caution. A room with `machinery_room` is judged by `machinery-room` \
instead.

The charge is counted as in `receiver`. Volumes that the job does not give are named, and the result is then never \
better than a caution. The volume is that of the room alone. Openings between rooms, ventilation, detection, ceiling \
height and heavy gas near the floor are for the code to weigh.

Two things are cautions without a figure: a flammable refrigerant with no room named, unless all its tube is \
outdoors; and a room that no line crosses and no chiller is in.",
    limits: &[],
    look: Look::Circuit(look),
};

fn look(case: &Case) -> Vec<Finding> {
    let Some(facts) = refdata::facts(&case.circuit.refrigerant) else { return Vec::new() };
    let limits = room_limits(case.job.site.code, facts);
    let nowhere = burns_somewhere(case, facts, &limits);
    let Some(charge) = &case.solved.charge else {
        let named = named(case).any(|room| case.job.rooms.iter().any(|of| of.name == room && !of.machinery_room));
        let told = named && case.points().next().is_some();
        let finding = case.finding(RULE.id, Verdict::NotJudged).by(Source::Published(limits.source));
        return told.then(|| finding.says("The charge could not be counted.")).into_iter().chain(nowhere).collect();
    };
    let leaks = leaks(case.job, case.circuit, charge).into_iter().filter(|leak| !leak.room.machinery_room);
    let judged = leaks.map(|leak| (judge(case, charge, facts, &limits, &leak), leak.concentration_kg_m3));
    wrong_or_greatest(judged).into_iter().chain(nowhere).collect()
}

/// The rooms that the circuit names.
fn named<'a>(case: &Case<'a>) -> impl Iterator<Item = &'a str> {
    let circuit = case.circuit;
    let runs = LineId::BOTH.into_iter().flat_map(|side| &side.of(circuit).runs).filter_map(|run| run.room.as_deref());
    runs.chain(circuit.room.as_deref())
}

/// A refrigerant that burns, and nothing says where: certain, whatever the charge.
fn burns_somewhere(case: &Case, facts: &RefrigerantFacts, limits: &RoomLimits) -> Option<Finding> {
    let tube = LineId::BOTH.into_iter().flat_map(|side| &side.of(case.circuit).runs);
    let indoors = tube.filter(|run| !matches!(run.path, Path::Part(_)));
    let outdoors = indoors.into_iter().all(|run| matches!(run.ambient, Some(Ambient::Outdoor(_))));
    let told = limits.lfl_kg_m3.is_some() && named(case).next().is_none() && !outdoors;
    let says = || {
        say(
            "{} is flammable (group {}), and the circuit names no room. Name the rooms that its lines cross and that \
             of its chiller (room). {}",
            [Value::name(&facts.name), Value::name(&facts.safety_group), Value::name(deferral(case.job.site.code))],
        )
    };
    let finding = case.finding(RULE.id, Verdict::Caution).by(Source::Published(limits.source));
    told.then(|| finding.says(says()))
}

/// Rooms that are described and that nothing crosses or stands in.
pub(super) fn rooms_apart(job: &Job) -> Vec<Finding> {
    let crossed = |name: &String| {
        let of = |circuit: &crate::job::Circuit| {
            let mut runs = LineId::BOTH.into_iter().flat_map(|side| &side.of(circuit).runs);
            circuit.room.as_ref() == Some(name) || runs.any(|run| run.room.as_ref() == Some(name))
        };
        job.circuits.iter().any(of)
    };
    let apart = job.rooms.iter().enumerate().filter(|(_, room)| !crossed(&room.name));
    let finding = |(index, room): (usize, &crate::job::Room)| {
        let says = say(
            "No run crosses the {} and no chiller is in it (room), so no leak into it was checked.",
            [Value::name(&room.name)],
        );
        Finding::new(RULE.id, Verdict::Caution, None).place(Place::Room(index)).says(says).by(Source::Job("[[room]]"))
    };
    apart.map(finding).collect()
}

fn judge(case: &Case, charge: &Charge, facts: &RefrigerantFacts, limits: &RoomLimits, leak: &Leak) -> Finding {
    let density = |density: f64| Value::Of(Kind::Concentration, density);
    let (room, all) = (leak.room, leak.concentration_kg_m3);
    let says = say(
        "The whole charge in the {} ({}, {}) gives {} of {}",
        [
            Value::name(&room.name),
            Value::Of(Kind::RoomVolume, room.volume.value),
            Value::name(if room.occupied { "occupied" } else { "not occupied" }),
            density(all),
            Value::name(&facts.name),
        ],
    );
    let place = if leak.runs.is_empty() { Place::Room(leak.index) } else { Place::Lines(leak.runs.clone()) };
    let finding = case.finding(RULE.id, Verdict::NotJudged).place(place).by(Source::Published(limits.source));
    let ends = |says: Say| {
        let decides = say("{}", [Value::name(charge.decides)]);
        Say::sentences([Some(says), asked_for(charge), Some(decides)].into_iter().flatten())
    };
    let Some(maximum) = limits.maximum_kg_m3 else {
        let says = says.and("; no concentration limit is listed. ", []).then(charge_in_words(charge));
        return finding.found(all, None, Kind::Concentration).says(ends(says));
    };
    let mass = |kilograms: f64| Value::Of(Kind::Mass, kilograms);
    let over_the_cap = limits.greatest_charge_kg.filter(|cap| charge.total_kg > *cap && room.occupied);
    let says =
        says.and("; the limit is {}, or {} in that room. ", [density(maximum), mass(maximum * room.volume.value)]);
    let says = over_the_cap.into_iter().fold(says, |says, cap| {
        says.and(
            "An occupied room takes no more than {} of a flammable refrigerant (1.5 m2). \
            ",
            [mass(cap)],
        )
    });
    let burns = limits.lfl_kg_m3.filter(|lfl| all >= *lfl);
    let says = says.then(charge_in_words(charge)).then(flammability(facts, limits, all));
    let approval = case.job.site.code == Code::Us && room.occupied && facts.safety_group == "A3";
    let says = if approval {
        says.and(" ASHRAE 15 requires the authority's approval for group A3 in an occupied room (from memory).", [])
    } else {
        says
    };
    let against = if room.occupied { maximum } else { burns.unwrap_or(maximum) };
    let mut finding = finding.found(all, against, Kind::Concentration).says(ends(says));
    finding.verdict = match (all > maximum, room.occupied || burns.is_some()) {
        (true, true) => Verdict::Fail,
        _ if over_the_cap.is_some() => Verdict::Fail,
        (true, false) => Verdict::Caution,
        (false, _) if approval || !charge.missing.is_empty() => Verdict::Caution,
        (false, _) => Verdict::Pass,
    };
    finding
}

/// How near a leak comes to burning.
fn flammability(facts: &RefrigerantFacts, limits: &RoomLimits, all: f64) -> Say {
    let Some(lfl) = limits.lfl_kg_m3 else { return Say::default() };
    let says = say(
        " {} is flammable (group {}). The leak is at {} of the lower flammability limit, {}.",
        [
            Value::name(&facts.name),
            Value::name(&facts.safety_group),
            Value::Of(Kind::Share, all / lfl),
            Value::Of(Kind::Concentration, lfl),
        ],
    );
    if all >= lfl { says.and(" A spark in the room could ignite it.", []) } else { says }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{finding, findings, job, liquid, only, solved};
    use super::*;
    use crate::job::Room;
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
        assert!(
            found.words().ends_with(deferral(Code::Us)) && found.words().contains("13.1 lb/1000 ft3"),
            "{}",
            found.words()
        );
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
    fn a_charge_that_could_not_be_counted_is_told_of_the_rooms_that_are_named() {
        let uncounted = |job: &Job| {
            let mut survey = solved(job);
            survey.circuits[0].charge = None;
            RULE.check(job, &survey)
        };
        let mut job = through(2000.0, true);
        let found = only(uncounted(&job));
        assert_eq!((found.verdict, found.words().as_str()), (Verdict::NotJudged, "The charge could not be counted."));
        // A machinery room is judged by its ventilation; the corridor is no longer on the way.
        job.rooms.push(Room { name: "plant room".to_owned(), machinery_room: true, ..job.rooms[0].clone() });
        liquid(&mut job.circuits[0], 4).room = Some("plant room".to_owned());
        assert!(uncounted(&job).iter().all(|finding| finding.verdict != Verdict::NotJudged));
    }

    #[test]
    fn a_small_room_fails() {
        let found = finding(RULE, &through(40.0, true));
        assert_eq!(found.verdict, Verdict::Fail);
        assert!(found.words().ends_with(deferral(Code::Us)), "{}", found.words());
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
        assert!(found.words().contains("R-1234yf is flammable (group A2L)"), "{}", found.words());
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
            found.words().contains(
                "at 100 % of the lower flammability limit, 18.0 lb/1000 ft3. A spark in the room could ignite it."
            ),
            "{}",
            found.words()
        );
        job.rooms[0].volume = cubic_metres(whole * 1.001);
        assert_eq!(finding(RULE, &job).verdict, Verdict::Caution);
    }

    #[test]
    fn a_job_without_rooms_has_no_finding_and_without_a_coil_volume_it_is_a_caution() {
        assert!(findings(RULE, &job()).is_empty());
        let mut job = through(3000.0, true);
        job.circuits[0].condenser.volume = None;
        let found = finding(RULE, &job);
        assert_eq!(found.verdict, Verdict::Caution);
        assert!(found.words().contains("Not the whole charge: give [circuit.condenser] volume."), "{}", found.words());
        job.rooms[0].volume = cubic_metres(1.0);
        assert_eq!(finding(RULE, &job).verdict, Verdict::Fail);
    }

    #[test]
    fn the_room_in_which_the_machine_stands_counts_too() {
        let mut job = through(40.0, true);
        liquid(&mut job.circuits[0], 4).room = None;
        assert!(findings(RULE, &job).is_empty());
        job.circuits[0].room = Some("corridor".to_owned());
        let found = finding(RULE, &job);
        assert_eq!((found.verdict, found.place), (Verdict::Fail, Some(Place::Room(0))));
    }

    #[test]
    fn a_machinery_room_is_judged_by_its_own_rule() {
        let mut job = through(40.0, true);
        job.rooms[0].machinery_room = true;
        assert!(findings(RULE, &job).is_empty());
    }

    #[test]
    fn a_room_that_nothing_crosses_is_a_caution() {
        let mut job = through(2000.0, true);
        assert!(rooms_apart(&job).is_empty());
        liquid(&mut job.circuits[0], 4).room = None;
        let found = only(rooms_apart(&job));
        assert_eq!((found.verdict, found.place.clone()), (Verdict::Caution, Some(Place::Room(0))));
        assert!(found.words().starts_with("No run crosses the corridor"), "{}", found.words());
        job.circuits[0].room = Some("corridor".to_owned());
        assert!(rooms_apart(&job).is_empty());
    }

    /// The same job with what burns, in no room.
    fn flammable(refrigerant: &str) -> Job {
        let mut job = job();
        job.circuits[0].refrigerant = refrigerant.to_owned();
        job.circuits[0].condenser.cutout = None;
        job
    }

    #[test]
    fn what_burns_without_a_room_is_a_caution_unless_all_of_it_is_outdoors() {
        let mut job = flammable("R-1234yf");
        let found = finding(RULE, &job);
        assert_eq!(found.verdict, Verdict::Caution);
        assert!(found.words().contains("the circuit names no room"), "{}", found.words());
        for side in LineId::BOTH {
            for run in &mut side.of_mut(&mut job.circuits[0]).runs {
                run.ambient = Some(Ambient::Outdoor(crate::units::kelvins(0.0)));
            }
        }
        assert!(findings(RULE, &job).is_empty());
    }

    #[test]
    fn the_european_limit_is_the_practical_one_with_a_cap_on_what_burns() {
        let mut job = through(1.0, true);
        job.site.code = Code::Eu;
        let limit = refdata::facts("R-134a").unwrap().en_practical_kg_m3.unwrap();
        let at = total(&job) / limit;
        job.rooms[0].volume = cubic_metres(at * (1.0 + 1e-12));
        let found = finding(RULE, &job);
        assert_eq!((found.verdict, found.limit()), (Verdict::Pass, limit));
        assert!(found.words().ends_with(deferral(Code::Eu)), "{}", found.words());
        job.rooms[0].volume = cubic_metres(at * (1.0 - 1e-9));
        assert_eq!(finding(RULE, &job).verdict, Verdict::Fail);
        // 39 times 0.289 kg/m3 of R-1234yf are 11.3 kg, less than the charge: over it in a room of any size.
        job.circuits[0].refrigerant = "R-1234yf".to_owned();
        job.circuits[0].condenser.cutout = None;
        job.rooms[0].volume = cubic_metres(90_000.0);
        let found = finding(RULE, &job);
        assert!(found.verdict == Verdict::Fail && found.words().contains("(1.5 m2)"), "{}", found.words());
        job.rooms[0].occupied = false;
        assert_eq!(finding(RULE, &job).verdict, Verdict::Pass);
    }

    #[test]
    fn propane_among_people_is_never_better_than_a_caution() {
        let mut job = through(90_000.0, true);
        job.circuits[0].refrigerant = "R-290".to_owned();
        job.circuits[0].condenser.cutout = None;
        let found = finding(RULE, &job);
        assert!(found.verdict == Verdict::Caution && found.words().contains("the authority's approval"), "{found:#?}");
    }
}
