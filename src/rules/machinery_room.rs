//! `machinery-room`: has a machinery room the ventilation and the detector that its charge requires?

use super::case::{Case, asked_for, charge_in_words};
use super::finding::{Finding, Look, Place, Rule, Source, Verdict};
use super::say::{Say, Value, say};
use crate::job::Code;
use crate::refdata::{self, RefrigerantFacts};
use crate::survey::{Charge, Leak, RoomLimits, leaks, room_limits};
use crate::units::Kind;

pub const RULE: Rule = Rule {
    id: "machinery-room",
    question: "Does a machinery room have the ventilation and the detector that the charge requires?",
    explanation: "\
A room with machinery_room = true may hold more refrigerant than other rooms, because a leak is detected and \
exhausted. The rule checks every such room that a line of the circuit crosses or its chiller is in (`room` of the \
circuit), with all of the circuit's charge.

Where the American codes govern, the emergency ventilation (`ventilation`) is Q = 100 sqrt(G) cfm, G the pounds of \
the circuit (0.07 sqrt(G) m3/s, G in kg). By EN 378 it is V = 0.014 m^(2/3) m3/s, m in kg (from memory). Less is a \
fail. A detector (`detector`) must start it: none is a fail. What the job does not say is a caution.

Group A2L: ASHRAE 15 from 2019 on requires air that keeps a broken line at half of the lower flammability limit, \
whatever the charge (from memory). It is Q = density a A / (0.5 LFL): gas at 50 degC leaves through A = 0.00136 ft2 \
at its speed of sound a. California lets the room be Class I, Division 2 instead (second hand), so less is a caution. \
EN 378 has one formula for all groups and sets no limit of charge for A2L.

Group A3 requires a room in which nothing can ignite it: Class I, Division 2 in the American codes, a hazardous-area \
assessment in Europe. No drawing shows that, so it is never better than a caution. The British guidelines for \
hydrocarbons ask for V = M / (t SF LFL) where the electrical installation could ignite it (second hand). All of the \
charge M then leaks in t = 0.17 h into SF = 0.5 of the limit.

The finding gives the concentration of the whole charge in the room, and of what burns the fraction of the lower \
flammability limit. The detector must act at 25 % of that limit or below (EN 378: at half of the toxicity limit where \
that is lower); ASHRAE 15 sets its alarm at the occupational exposure limit of ASHRAE 34. The charge is counted as in \
`receiver`.",
    limits: &[],
    look: Look::Circuit(look),
};

fn look(case: &Case) -> Vec<Finding> {
    let Some(facts) = refdata::facts(&case.circuit.refrigerant) else { return Vec::new() };
    let limits = room_limits(case.job.site.code, facts);
    let Some(charge) = &case.solved.charge else { return uncounted(case) };
    let leaks = leaks(case.job, case.circuit, charge).into_iter().filter(|leak| leak.room.machinery_room);
    leaks.map(|leak| judge(case, charge, facts, &limits, &leak)).collect()
}

/// Whose formula it is.
fn formula(case: &Case) -> Source {
    Source::Published(match case.job.site.code {
        Code::Us => "imc-1105",
        Code::Eu => "en-378-3",
    })
}

/// A circuit in a machinery room whose charge is not known.
fn uncounted(case: &Case) -> Vec<Finding> {
    let runs = crate::job::LineId::BOTH.into_iter().flat_map(|side| &side.of(case.circuit).runs);
    let mut named = runs.filter_map(|run| run.room.as_ref()).chain(&case.circuit.room);
    let is_one = |name: &String| case.job.rooms.iter().any(|room| room.machinery_room && room.name == *name);
    let told = case.points().next().is_some() && named.any(is_one);
    let finding = case.finding(RULE.id, Verdict::NotJudged).by(formula(case));
    told.then(|| finding.says("The charge could not be counted.")).into_iter().collect()
}

fn judge(case: &Case, charge: &Charge, facts: &RefrigerantFacts, limits: &RoomLimits, leak: &Leak) -> Finding {
    let room = leak.room;
    let air = |flow: f64| Value::Of(Kind::VolumeRate, flow);
    let all = say(
        "The whole charge in the {} ({}) gives {} of {}",
        [
            Value::name(&room.name),
            Value::Of(Kind::RoomVolume, room.volume.value),
            Value::Of(Kind::Concentration, leak.concentration_kg_m3),
            Value::name(&facts.name),
        ],
    );
    let all = match limits.maximum_kg_m3 {
        Some(maximum) => all.and("; the limit for people is {}.", [Value::Of(Kind::Concentration, maximum)]),
        None => all.and(".", []),
    };
    let given = room.ventilation.map(|flow| flow.value);
    let less_than = |flow: f64| given.is_some_and(|given| given < flow * (1.0 - 1e-9));
    let short = less_than(leak.ventilation_m3_s);
    let short_of_a2l = leak.of_a2l_m3_s.is_some_and(less_than);
    let required = air(leak.ventilation_m3_s);
    let ventilation = match given {
        Some(flow) if short_of_a2l && !short => say("The machinery room has {} of emergency ventilation.", [air(flow)]),
        Some(flow) => say("The machinery room requires {} of emergency ventilation and has {}.", [required, air(flow)]),
        None => say("The machinery room requires {} of emergency ventilation: give its ventilation.", [required]),
    };
    // What decides comes first.
    let unstarted = room.detector == Some(false) && !short;
    let of_a2l = leak.of_a2l_m3_s.map(of_a2l);
    let [first, second] =
        if short_of_a2l && !short { [of_a2l, Some(ventilation)] } else { [Some(ventilation), of_a2l] };
    let detector: Option<Say> = match room.detector {
        Some(true) => None,
        Some(false) => Some("A refrigerant detector must start the emergency ventilation; there is none.".into()),
        None => Some("A refrigerant detector must start the emergency ventilation: give detector.".into()),
    };
    let alarm = limits
        .alarm_kg_m3
        .filter(|_| room.detector != Some(false))
        .map(|alarm| say("The detector must act at {} or below.", [Value::Of(Kind::Concentration, alarm)]));
    let verdict = if short || room.detector == Some(false) {
        Verdict::Fail
    } else if given.is_none()
        || room.detector.is_none()
        || !charge.missing.is_empty()
        || short_of_a2l
        || leak.of_a3_m3_s.is_some()
    {
        Verdict::Caution
    } else {
        Verdict::Pass
    };
    let decides = say("{}", [Value::name(charge.decides)]);
    let says = [
        detector.clone().filter(|_| unstarted),
        leak.of_a3_m3_s.map(|flow| of_a3(case, facts, flow)).filter(|_| !short),
        first,
        second,
        detector.filter(|_| !unstarted),
        alarm,
        Some(all),
        limits.lfl_kg_m3.map(|lfl| burns(case, facts, leak.concentration_kg_m3 / lfl)),
        Some(charge_in_words(charge)),
        asked_for(charge),
        Some(decides),
    ];
    let place = if leak.runs.is_empty() { Place::Room(leak.index) } else { Place::Lines(leak.runs.clone()) };
    // What governs is the largest flow, where that of the charge alone is given.
    let governs = leak.of_a2l_m3_s.filter(|_| !short && !unstarted);
    let source = governs.map_or(formula(case), |_| Source::Published("ashrae-15-a2l"));
    let finding = case.finding(RULE.id, verdict).place(place).by(source);
    let finding = finding.says(Say::sentences(says.into_iter().flatten()));
    match given.filter(|_| short || !unstarted && leak.of_a3_m3_s.is_none()) {
        Some(flow) => finding.found(flow, governs.unwrap_or(leak.ventilation_m3_s), Kind::VolumeRate),
        None => finding,
    }
}

/// How near what burns comes to burning.
fn burns(case: &Case, facts: &RefrigerantFacts, share: f64) -> Say {
    let says = say(
        "{} is flammable (group {}): the leak is at {} of the lower flammability limit.",
        [Value::name(&facts.name), Value::name(&facts.safety_group), Value::Of(Kind::Share, share)],
    );
    let unlimited = facts.safety_group == "A2L" && case.job.site.code == Code::Eu;
    if unlimited { says.and(" The charge has no limit in a machinery room.", []) } else { says }
}

/// What newer editions require of group A2L.
fn of_a2l(flow: f64) -> Say {
    say(
        "ASHRAE 15 from 2019 on requires {} of emergency ventilation for group A2L, whatever the charge (from memory), \
         unless the code lets the room be Class I, Division 2 instead.",
        [Value::Of(Kind::VolumeRate, flow)],
    )
}

/// What group A3 requires.
fn of_a3(case: &Case, facts: &RefrigerantFacts, flow: f64) -> Say {
    let room = match case.job.site.code {
        Code::Us => "{} is of group A3: the code requires a room in which nothing can ignite it (Class I, Division 2).",
        Code::Eu => "{} is of group A3: nothing in the room may ignite it, and a hazardous-area assessment decides.",
    };
    say(room, [Value::name(&facts.name)]).and(
        " Where the electrical installation could, the guidelines for hydrocarbons require {} of ventilation (second \
         hand).",
        [Value::Of(Kind::VolumeRate, flow)],
    )
}

#[cfg(test)]
mod tests {
    use super::super::testing::{finding, findings, job, liquid, solved};
    use super::*;
    use crate::job::{Job, Room};
    use crate::units::{cubic_metres, cubic_metres_per_second};
    use approx::assert_relative_eq;

    /// The job with its chiller in a machinery room with that ventilation, m3/s, and that detector.
    fn with(ventilation: Option<f64>, detector: Option<bool>) -> Job {
        let mut job = job();
        let ventilation = ventilation.map(cubic_metres_per_second);
        let name = "chiller room".to_owned();
        let volume = cubic_metres(300.0);
        job.rooms.push(Room { name, volume, occupied: true, machinery_room: true, ventilation, detector });
        job.circuits[0].room = Some("chiller room".to_owned());
        job
    }

    fn required(job: &Job) -> f64 {
        let survey = solved(job);
        leaks(job, &job.circuits[0], survey.circuits[0].charge.as_ref().unwrap())[0].ventilation_m3_s
    }

    #[test]
    fn at_the_required_ventilation_it_passes_and_under_it_it_fails() {
        let required = required(&with(None, None));
        let found = finding(RULE, &with(Some(required), Some(true)));
        assert_eq!((found.verdict, found.place.clone()), (Verdict::Pass, Some(Place::Room(0))), "{found:#?}");
        assert!(found.words().ends_with("govern the charge that is allowed."), "{}", found.words());
        let found = finding(RULE, &with(Some(required * 0.999), Some(true)));
        assert_eq!(found.verdict, Verdict::Fail);
        assert_relative_eq!(found.limit(), required);
        assert!(found.words().contains("The machinery room requires "), "{}", found.words());
    }

    #[test]
    fn it_is_a_hundred_cubic_feet_a_minute_for_the_root_of_the_pounds() {
        let mut job = with(None, None);
        let pounds = solved(&job).circuits[0].charge.as_ref().unwrap().total_kg / 0.453_592_37;
        assert_relative_eq!(required(&job) / 0.3048_f64.powi(3) * 60.0, 100.0 * pounds.sqrt(), max_relative = 1e-9);
        job.site.code = Code::Eu;
        let kilograms = pounds * 0.453_592_37;
        assert_relative_eq!(required(&job), 0.014 * kilograms.powf(2.0 / 3.0), max_relative = 1e-9);
    }

    #[test]
    fn what_is_not_said_is_asked_for_and_what_is_missing_fails() {
        let asked = finding(RULE, &with(None, None));
        assert_eq!((asked.verdict, asked.measure), (Verdict::Caution, None));
        assert!(
            asked.words().contains("give its ventilation") && asked.words().contains("give detector."),
            "{asked:#?}"
        );
        assert_eq!(finding(RULE, &with(Some(9.0), None)).verdict, Verdict::Caution);
        assert_eq!(finding(RULE, &with(Some(9.0), Some(false))).verdict, Verdict::Fail);
        let mut partly = with(Some(9.0), Some(true));
        partly.circuits[0].evaporator.volume = None;
        assert_eq!(finding(RULE, &partly).verdict, Verdict::Caution);
    }

    /// The job with that refrigerant and that ventilation, m3/s, and a detector.
    fn flammable(refrigerant: &str, ventilation: f64) -> Job {
        let mut job = with(Some(ventilation), Some(true));
        job.circuits[0].refrigerant = refrigerant.to_owned();
        job.circuits[0].condenser.cutout = None;
        job
    }

    #[test]
    fn group_a2l_requires_its_own_air_whatever_the_charge() {
        let cfm = crate::units::factor::CUBIC_FOOT_PER_MINUTE;
        let found = finding(RULE, &flammable("R-32", 33_000.0 * cfm));
        assert_eq!(
            (found.verdict, found.source.clone()),
            (Verdict::Pass, Source::Published("ashrae-15-a2l")),
            "{found:#?}"
        );
        assert_relative_eq!(found.limit(), 32_600.0 * cfm, max_relative = 0.005);
        let found = finding(RULE, &flammable("R-32", 32_000.0 * cfm));
        assert_eq!(found.verdict, Verdict::Caution);
        // The charge alone would be content with what there is.
        assert!(found.words().contains("The machinery room has 32000 cfm"), "{}", found.words());
        assert!(found.words().contains("Class I, Division 2 instead"), "{}", found.words());
        // Under what the charge alone requires it is a fail, by the formula that was seen.
        let found = finding(RULE, &flammable("R-32", 100.0 * cfm));
        assert_eq!(found.verdict, Verdict::Fail);
        assert!(found.limit() < 3_000.0 * cfm, "{}", found.limit());
    }

    #[test]
    fn the_european_formula_holds_for_all_groups() {
        let mut job = flammable("R-1234yf", 9.0);
        // A quarter of 0.289 kg/m3.
        let found = finding(RULE, &job);
        assert!(found.words().contains("The detector must act at 4.51 lb/1000 ft3 or below."), "{}", found.words());
        job.site.code = Code::Eu;
        let found = finding(RULE, &job);
        assert_eq!(found.verdict, Verdict::Pass);
        assert_relative_eq!(found.limit(), required(&job));
        assert!(found.words().contains("no limit in a machinery room"), "{}", found.words());
    }

    #[test]
    fn group_a3_is_never_better_than_a_caution() {
        for code in [Code::Us, Code::Eu] {
            let mut job = flammable("R-290", 90.0);
            job.site.code = code;
            let found = finding(RULE, &job);
            assert_eq!(found.verdict, Verdict::Caution, "{found:#?}");
            assert!(found.words().contains("guidelines for hydrocarbons require"), "{}", found.words());
            job.rooms[0].ventilation = Some(cubic_metres_per_second(0.001));
            assert_eq!(finding(RULE, &job).verdict, Verdict::Fail);
        }
    }

    #[test]
    fn rooms_of_another_kind_and_rooms_apart_are_not_its() {
        let mut job = with(None, None);
        job.rooms[0].machinery_room = false;
        assert!(findings(RULE, &job).is_empty());
        job.rooms[0].machinery_room = true;
        job.circuits[0].room = None;
        assert!(findings(RULE, &job).is_empty());
        liquid(&mut job.circuits[0], 4).room = Some("chiller room".to_owned());
        let found = finding(RULE, &job);
        assert_eq!(found.place, Some(Place::Lines(vec![(crate::job::LineId::Liquid, vec![4])])));
    }
}
