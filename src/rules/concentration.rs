//! `concentration`: what if all the refrigerant leaks into one room?

use super::case::{Case, greatest};
use super::limit::title;
use super::receiver::charge_in_words;
use super::say::{list, runs};
use super::{Finding, Look, Rule, Verdict};
use crate::job::LineId;
use crate::job::Room;
use crate::refdata::{self, RefrigerantFacts};
use crate::survey::{Charge, DEFERRAL};
use std::fmt::Write as _;

/// The rule.
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
condenser, a room that would pass is only noted. Volumes are of the room alone: rooms open to each other, ventilation, \
detection, high ceilings and heavy gas near the floor are for the code to weigh.

The mends are the volume of a room that would take the charge, and the charge that this room would take. ASHRAE Standard 15 and \
the local code decide what is allowed.",
    limits: &[],
    look: Look::Circuit(look),
};

fn look(case: &Case) -> Vec<Finding> {
    let rooms: Vec<(&Room, String)> =
        case.job.rooms.iter().filter_map(|room| crossed(case, room).map(|by| (room, by))).collect();
    let (Some(charge), Some(facts)) = (&case.solved.charge, refdata::facts(&case.circuit.refrigerant)) else {
        return Vec::new();
    };
    let findings: Vec<Finding> = rooms.iter().map(|(room, by)| judge(case, charge, facts, room, by)).collect();
    if findings.iter().any(|finding| finding.verdict > Verdict::Pass) {
        return findings.into_iter().filter(|finding| finding.verdict > Verdict::Pass).collect();
    }
    greatest(findings.into_iter().map(|finding| {
        let value = finding.measure.map_or(0.0, |found| found.value);
        (finding, value)
    }))
    .map(|(finding, _)| finding)
    .into_iter()
    .collect()
}

/// The runs that cross a room: `discharge run 2 and liquid runs 3 and 4`.
fn crossed(case: &Case, room: &Room) -> Option<String> {
    let by: Vec<String> = [LineId::Discharge, LineId::Liquid]
        .into_iter()
        .filter_map(|side| {
            let numbers: Vec<usize> = side
                .of(case.circuit)
                .runs
                .iter()
                .enumerate()
                .filter(|(_, run)| run.room.as_ref() == Some(&room.name))
                .map(|(index, _)| index + 1)
                .collect();
            (!numbers.is_empty()).then(|| format!("{} {}", side.name(), runs(&numbers)))
        })
        .collect();
    (!by.is_empty()).then(|| list(by))
}

fn judge(case: &Case, charge: &Charge, facts: &RefrigerantFacts, room: &Room, by: &str) -> Finding {
    let show = case.show();
    let source = facts.rcl_source.as_deref().unwrap_or("ashrae-34");
    let finding = case.finding(RULE.id, Verdict::Note).place(by.to_owned()).by(title(source));
    let leak = charge.total_kg / room.volume.value;
    let occupied = if room.occupied { "occupied" } else { "not occupied" };
    let mut says = format!(
        "All of it in the {} ({}, {occupied}) would be {} of {}",
        room.name,
        show.room_volume(room.volume.value),
        show.concentration(leak),
        facts.name
    );
    let Some(limit) = facts.rcl_kg_m3 else {
        let _ = write!(says, "; no concentration limit is listed. {} {DEFERRAL}", charge_in_words(case, charge));
        return finding.found(leak, None, "kg/m3").says(says);
    };
    let over = leak > limit;
    let _ = write!(
        says,
        ", where the limit is {}: the room takes {}. {}",
        show.concentration(limit),
        show.mass(limit * room.volume.value),
        charge_in_words(case, charge)
    );
    if let Some(lfl) = facts.lfl_kg_m3 {
        let _ = write!(
            says,
            " {} burns (group {}); its lower flammability limit is {}, and the leak would come to {} of it.",
            facts.name,
            facts.safety_group,
            show.concentration(lfl),
            show.percent(leak / lfl)
        );
    }
    let burns = facts.lfl_kg_m3.filter(|lfl| leak >= *lfl);
    if burns.is_some() {
        let _ = write!(says, " A spark in the room could set it off.");
    }
    let _ = write!(says, " {DEFERRAL}");
    let against = if room.occupied { limit } else { burns.unwrap_or(limit) };
    let mut finding = finding.found(leak, against, "kg/m3").says(says);
    finding.verdict = match (over, room.occupied || burns.is_some()) {
        (true, true) => Verdict::Fail,
        (true, false) => Verdict::Caution,
        (false, _) if case.circuit.condenser.volume.is_none() => Verdict::Note,
        (false, _) => Verdict::Pass,
    };
    finding.mended(case, |_| {
        // Up to the whole unit, that what is told does.
        let unit = match show {
            crate::units::System::Ip => 100.0 * crate::units::factor::CUBIC_FOOT,
            crate::units::System::Si => 1.0,
        };
        let volume = (charge.total_kg / limit / unit).ceil() * unit;
        Some(format!(
            "A room of {} takes this charge, this room one of {}; or the lines go round it.",
            show.room_volume(volume),
            show.mass(limit * room.volume.value)
        ))
    })
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
        job.rooms.push(Room { name: "corridor".to_owned(), volume: cubic_metres(volume), occupied });
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
        assert!(found.says.ends_with(DEFERRAL) && found.says.contains("13.1 lb/1000 ft3"), "{}", found.says);
        assert_eq!(found.r#where.as_deref(), Some("liquid run 4"));
    }

    #[test]
    fn exactly_at_the_limit_it_passes() {
        let limit = refdata::facts("R-134a").unwrap().rcl_kg_m3.unwrap();
        let at = total(&job()) / limit;
        assert_eq!(finding(RULE, &through(at * (1.0 + 1e-12), true)).verdict, Verdict::Pass);
        assert_eq!(finding(RULE, &through(at * (1.0 - 1e-9), true)).verdict, Verdict::Fail);
    }

    #[test]
    fn a_small_room_fails_and_the_room_named_would_do() {
        let found = finding(RULE, &through(40.0, true));
        assert_eq!(found.verdict, Verdict::Fail);
        let mend = found.mend.unwrap();
        assert!(!mend.contains(DEFERRAL) && found.says.ends_with(DEFERRAL), "{mend}");
        let feet: f64 = mend.split(' ').nth(3).unwrap().parse().unwrap();
        let named = through(feet * crate::units::factor::CUBIC_FOOT, true);
        assert_eq!(finding(RULE, &named).verdict, Verdict::Pass, "{mend}");
        let empty = finding(RULE, &through(40.0, false));
        assert_eq!(empty.verdict, Verdict::Caution);
        assert!(empty.says.contains("not occupied"));
    }

    #[test]
    fn what_burns_is_said_to() {
        let mut job = through(3000.0, true);
        job.circuits[0].refrigerant = "R-1234yf".to_owned();
        job.circuits[0].condenser.cutout = None;
        let survey = solved(&job);
        let found = only(RULE.check(&job, &survey));
        assert!(found.says.contains("R-1234yf burns (group A2L)"), "{}", found.says);
        assert!(!finding(RULE, &through(3000.0, true)).says.contains("burns"));
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
        assert_eq!((found.verdict, found.limit), (Verdict::Fail, Some(lfl)));
        assert!(
            found.says.contains("would come to 100 % of it. A spark in the room could set it off."),
            "{}",
            found.says
        );
        job.rooms[0].volume = cubic_metres(whole * 1.001);
        assert_eq!(finding(RULE, &job).verdict, Verdict::Caution);
    }

    #[test]
    fn a_job_without_rooms_has_no_finding_and_without_a_coil_volume_only_a_note() {
        assert!(findings(RULE, &job()).is_empty());
        let mut job = through(3000.0, true);
        job.circuits[0].condenser.volume = None;
        assert_eq!(finding(RULE, &job).verdict, Verdict::Note);
        job.rooms[0].volume = cubic_metres(1.0);
        assert_eq!(finding(RULE, &job).verdict, Verdict::Fail);
    }
}
