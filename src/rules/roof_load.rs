//! `roof-load`: what does each unit put on its supports?

use super::finding::{Finding, Look, Place, Rule, Source, Verdict, When};
use super::limit::limit;
use super::say::{Say, Value, say};
use crate::job::Job;
use crate::physics::wind_load::MINIMUM_PRESSURE;
use crate::roof::{Load, RoofStudy};
use crate::units::Kind;

/// The rule.
pub const RULE: Rule = Rule {
    id: "roof-load",
    question: "What load does each unit put on its supports, and is it allowed?",
    explanation: "\
The load per support is the unit's own weight and the refrigerant in its coils, at the operating point that fills them to the maximum, winter flooding included. A total weight is divided equally, which is wrong for a unit with its weight to \
one side: give the manufacturer's weight per support where known. Snow, people, the frame and the piping are not \
included.

The load that a support may carry is the structural engineer's figure (allowed). Above it is a fail. Without it the \
load is reported, and the engineer governs.

Wind ([roof] wind) counts as q = 0.613 V2, without factors for exposure, height and direction, times 1.9 and the \
larger face. Half of the supports are taken as leeward. A leeward support above its allowed load is a caution, and a \
fail past 4/3 of it (`wind_increase`), the third that alternative load combinations let wind add. Uplift greater \
than a support's part of the empty weight requires hold-downs: a caution, unless the job has them (`held_down`). \
Suction on the top is not counted. A wind pressure below 16 psf on the face, the minimum of ASCE 7, gets a note. How \
loads combine is the engineer's decision.",
    limits: &["wind_increase"],
    look: Look::Roof(look),
};

/// Who decides.
const DECIDES: &str = "The structural engineer governs.";

/// What the wind is counted by.
const WIND: Source = Source::Published("asce-7");

fn look(job: &Job, study: &RoofStudy) -> Vec<Finding> {
    let of_one = |(index, load)| {
        let found = [Some(judge(load)), wind(job, load)];
        found.into_iter().flatten().map(move |finding| finding.place(Place::Unit(index)))
    };
    study.loads.iter().enumerate().flat_map(of_one).chain(light_wind(study)).collect()
}

fn finding(verdict: Verdict) -> Finding {
    Finding::new(RULE.id, verdict, None)
}

fn mass(kilograms: f64) -> Value {
    Value::Of(Kind::Mass, kilograms)
}

fn decides() -> Say {
    say(DECIDES, [])
}

/// What the wind does to a support that it presses on or lifts, where that is more than it may be.
fn wind(job: &Job, load: &Load) -> Option<Finding> {
    let (wind, greatest) = (load.wind?, load.greatest_kg()?);
    let with_it = greatest + wind.lee_kg;
    let over = load.allowed_kg.filter(|allowed| with_it > *allowed);
    if over.is_none() && !wind.lifts {
        return None;
    }
    let (speed, adds) = (Value::Of(Kind::Wind, wind.speed_m_s), mass(wind.lee_kg));
    let name = Value::name(&load.name);
    let presses = over.map(|allowed| {
        say(
            "Wind of {} adds {} to each leeward support of {}: {} total; {} is allowed.",
            [speed.clone(), adds.clone(), name.clone(), mass(with_it), mass(allowed)],
        )
    });
    let lifts = wind.lifts.then(|| {
        say(
            "Wind of {} lifts each windward support by {}, more than its part of the empty weight of {}. {} must be \
             held down (held_down).",
            [speed.clone(), adds.clone(), name.clone(), name.clone()],
        )
    });
    let says = Say::sentences(presses.into_iter().chain(lifts).chain([decides()]));
    let verdict = match over {
        Some(allowed) if with_it > allowed * limit(job, "wind_increase").value => Verdict::Fail,
        _ => Verdict::Caution,
    };
    Some(finding(verdict).at(When::Wind).found(with_it, over, Kind::Mass).says(says).by(WIND))
}

/// A note on a wind that is lighter than any that is designed for.
fn light_wind(study: &RoofStudy) -> Option<Finding> {
    let wind = study.loads.iter().find_map(|load| load.wind).filter(|wind| wind.below_minimum)?;
    let says = say(
        "Wind of {} ([roof] wind) gives {} on the face of a unit. The minimum of ASCE 7 is {}.",
        [
            Value::Of(Kind::Wind, wind.speed_m_s),
            Value::FacePressure(wind.on_the_face_Pa),
            Value::FacePressure(MINIMUM_PRESSURE),
        ],
    );
    Some(finding(Verdict::Note).says(Say::sentences([says, decides()])).by(WIND))
}

fn judge(load: &Load) -> Finding {
    let name = Value::name(&load.name);
    let (Some(dry), Some(greatest)) = (load.dry_kg, load.greatest_kg()) else {
        let says = say("The weight of {} is not given (weight or weights).", [name]);
        let says = Say::sentences([says, decides()]);
        return finding(Verdict::NotJudged).says(says).by(Source::Job("[[roof.unit]] weight"));
    };
    let takes = if load.shared_alike {
        "{} weighs {} with {} of refrigerant in its coils. The load per support is {}"
    } else {
        "{} weighs {} with {} of refrigerant in its coils. The greatest load on a support is {}"
    };
    let values = [name, mass(dry + load.refrigerant_kg), mass(load.refrigerant_kg), mass(greatest)];
    let (carries, verdict, source) = match load.allowed_kg {
        None => (
            say("; the allowed load (allowed) is not given.", []),
            Verdict::NotJudged,
            Source::Published("common-practice"),
        ),
        Some(allowed) => {
            let verdict = match greatest > allowed {
                true => Verdict::Fail,
                false if load.not_counted.is_empty() => Verdict::Pass,
                false => Verdict::NotJudged,
            };
            (say("; {} is allowed.", [mass(allowed)]), verdict, Source::Job("[[roof.unit]] allowed"))
        }
    };
    let weighs = say(takes, values).then(carries);
    let says = Say::sentences([Some(weighs), uncounted(load), Some(decides())].into_iter().flatten());
    finding(verdict).found(greatest, load.allowed_kg, Kind::Mass).says(says).by(source)
}

/// The circuits whose refrigerant is not in it.
fn uncounted(load: &Load) -> Option<Say> {
    let says = || {
        say(
            "The coil of {} is not counted: its volume is not given, or it has no solution.",
            [Value::names(&load.not_counted)],
        )
    };
    (!load.not_counted.is_empty()).then(says)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Weight;
    use crate::roof::testing::{planned, studied};

    fn found(weight: Option<Weight>, allowed: Option<f64>) -> Finding {
        let job = planned(|roof| {
            roof.units[0].weight = weight;
            roof.units[0].allowed_kg = allowed;
        });
        look(&job, &studied(&job)).remove(0)
    }

    /// Refrigerant in the coil of the plan's unit, kg.
    fn charge() -> f64 {
        let job = planned(|_| {});
        studied(&job).loads[0].refrigerant_kg
    }

    fn total(kg: f64) -> Weight {
        Weight::Total { kg, supports: 4 }
    }

    #[test]
    fn the_allowed_load_itself_may_stand_there_and_a_hair_more_may_not() {
        let charge = charge();
        assert!(charge > 1.0, "{charge}");
        assert_eq!(found(Some(total(4000.0 - charge)), Some(1000.0)).verdict, Verdict::Pass);
        let over = found(Some(total(4001.0 - charge)), Some(1000.0));
        assert_eq!((over.verdict, over.place.clone()), (Verdict::Fail, Some(Place::Unit(0))));
        assert!(over.words().ends_with(DECIDES), "{}", over.words());
    }

    #[test]
    fn each_support_takes_its_own_and_its_share_of_the_refrigerant() {
        let finding = found(Some(Weight::Each(vec![900.0, 1100.0])), Some(1100.0));
        assert_eq!(finding.verdict, Verdict::Fail);
        assert!((finding.value() - 1100.0 - charge() / 2.0).abs() < 1e-9);
    }

    #[test]
    fn without_an_allowed_load_or_a_weight_it_is_not_judged() {
        let open = found(Some(total(2000.0)), None);
        assert_eq!((open.verdict, open.measure.unwrap().limit), (Verdict::NotJudged, None));
        assert_eq!(found(None, Some(900.0)).verdict, Verdict::NotJudged);
    }

    #[test]
    fn the_wind_is_told_beside_it() {
        let job = planned(|roof| {
            roof.wind_m_s = Some(40.0);
            roof.units[0].weight = Some(total(2000.0));
        });
        let wind = studied(&job).loads[0].wind.unwrap();
        // By hand: q = 0.613 x 40^2 = 980.8 Pa; face 20 ft x 6 ft = 11.148 m2; F = 980.8 x 1.9 x 11.148 = 20 775 N; arm 5 ft;
        // width 7.5 ft: 20 775 x 5/7.5 / 9.80665 = 1412 kg, on two of the four supports 706 kg each, more than the 500 kg and the
        // refrigerant that they carry.
        assert!((wind.pressure_Pa - 980.8).abs() < 0.05);
        assert!((wind.force_N - 20_775.0).abs() < 1.0, "{}", wind.force_N);
        assert!((wind.lee_kg - 706.15).abs() < 0.1 && wind.lifts, "{}", wind.lee_kg);
        assert!((wind.on_the_face_Pa - 980.8 * 1.9).abs() < 0.1 && !wind.below_minimum);
    }

    /// What is said of the wind, of a unit of that weight on four supports.
    fn in_wind(speed: f64, kg: f64, allowed: Option<f64>) -> Vec<Finding> {
        let job = planned(|roof| {
            roof.wind_m_s = Some(speed);
            roof.units[0].weight = Some(total(kg));
            roof.units[0].allowed_kg = allowed;
        });
        let mut found = look(&job, &studied(&job));
        assert_eq!(found.remove(0).verdict, if allowed.is_some() { Verdict::Pass } else { Verdict::NotJudged });
        found
    }

    #[test]
    fn a_lee_support_over_what_it_may_carry_is_named() {
        // 4000 kg and the refrigerant on four, and the 706 kg of the wind as above.
        let with_it = 1000.0 + charge() / 4.0 + 706.15;
        assert!(in_wind(40.0, 4000.0, Some(with_it + 1.0)).is_empty());
        let found = in_wind(40.0, 4000.0, Some(with_it - 1.0));
        let [note] = &found[..] else { panic!("{found:#?}") };
        assert_eq!((note.verdict, note.place.clone()), (Verdict::Caution, Some(Place::Unit(0))));
        assert!((note.value() - with_it).abs() < 0.1, "{note:#?}");
        assert!(
            note.words().contains("to each leeward support of C1") && note.words().ends_with(DECIDES),
            "{}",
            note.words()
        );
    }

    #[test]
    fn past_four_thirds_of_what_a_support_may_carry_it_fails() {
        let with_it = 1000.0 + charge() / 4.0 + 706.15;
        let verdict = |allowed: f64| in_wind(40.0, 4000.0, Some(allowed))[0].verdict;
        assert_eq!(verdict(0.75 * (with_it + 1.0)), Verdict::Caution);
        assert_eq!(verdict(0.75 * (with_it - 1.0)), Verdict::Fail);
    }

    #[test]
    fn what_the_wind_lifts_is_held_against_the_empty_unit() {
        // 706.15 kg lifts 2824 kg on four supports, and not 2826 kg; the refrigerant would hold the lighter one down too.
        assert!(charge() > 2.0);
        let found = in_wind(40.0, 2824.0, None);
        let [note] = &found[..] else { panic!("{found:#?}") };
        assert_eq!((note.verdict, note.place.clone()), (Verdict::Caution, Some(Place::Unit(0))));
        assert!(note.words().contains("C1 must be held down (held_down)."), "{}", note.words());
        assert!(in_wind(40.0, 2826.0, None).is_empty());
        let held = planned(|roof| {
            (roof.wind_m_s, roof.units[0].weight) = (Some(40.0), Some(total(2824.0)));
            roof.units[0].held_down = true;
        });
        assert_eq!(look(&held, &studied(&held)).len(), 1);
    }

    #[test]
    fn a_wind_lighter_than_any_design_is_noted() {
        // 0.613 x 1.9 V2 = 16 psf = 766.1 Pa at V = 25.65 m/s.
        assert!(in_wind(25.7, 9000.0, None).is_empty());
        let found = in_wind(25.6, 9000.0, None);
        let [note] = &found[..] else { panic!("{found:#?}") };
        assert!(note.words().contains("The minimum of ASCE 7 is 16.0 psf"), "{}", note.words());
    }
}
